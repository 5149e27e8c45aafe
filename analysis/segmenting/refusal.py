"""Why a candidate is not a pull; None where it is one."""

from dataclasses import dataclass
from typing import Final

from analysis.phrases.say import amount, say
from analysis.phrases.statement import Statement

RUNNING_RPM: Final = 500.0  # below every idle speed: the starter turns the engine
SHORTEST_S: Final = 1.2  # half of the fastest sweep on a roller (3 s), less its slow ends
SMALLEST_RISE_RPM: Final = 200.0  # less is a tip-in, or a hold that drifts
SMALLEST_RISE_SHARE: Final = 0.07  # of the speed it starts from
STEEPEST_PER_S: Final = 0.9  # of the start speed, gained per second ...
STEEPEST_RPM_PER_S: Final = 3000.0  # ... and this: 11,000 rpm swept in 3 s stays below it
STAND_IN_RISE_RPM: Final = 500.0  # a throttle alone also opens for cruise control on a hill
GUESSED_RISE_RPM: Final = 1500.0  # without pedal and throttle only a long sweep ...
GUESSED_RISE_SHARE: Final = 1.0  # ... to twice its start speed, as every roller run makes ...
GUESSED_S: Final = 2.5  # ... in more time than a first gear lasts, is told from ordinary driving
PULLING_AWAY_RPM: Final = 900.0  # a clutch is let in at idle speed, a pull starts above it
PULLING_AWAY_KMH: Final = 12.0  # the clutch still slips below; a pull's gear is faster
TOP_SHARE: Final = 0.85  # of the known top speed: a sweep that came so far was not given up
FOLLOW_SHARE: Final = 0.25  # of the engine's relative rise; slip takes less than the rest
MOVING_KMH: Final = 3.0  # below this a wheel or roller stands, speed signals being what they are


@dataclass(frozen=True, slots=True)
class Candidate:
    """What is judged. is_guessed: full demand was taken from pressure, not from a position;
    is_stand_in: from the throttle, not from the pedal; on_roller: a dyno's roller speed
    speaks; top_rpm: the engine's top speed where it is known. The
    road speeds are of the first channel that has them, km/h."""

    start_s: float
    end_s: float
    start_rpm: float
    end_rpm: float
    is_guessed: bool = False
    is_stand_in: bool = False
    on_roller: bool = False
    top_rpm: float | None = None
    road_start_kmh: float | None = None
    road_end_kmh: float | None = None
    road_name: str = ""


def why_refused(candidate: Candidate) -> Statement | None:
    """The first reason that holds."""
    for rule in (
        _not_running,
        _no_sweep,
        _guessed,
        _guessed_on_road,
        _pulling_away,
        _too_short,
        _free_revving,
        _too_steep,
    ):
        reason = rule(candidate)
        if reason is not None:
            return reason
    return None


def _not_running(candidate: Candidate) -> Statement | None:
    if candidate.start_rpm >= RUNNING_RPM:
        return None
    return say("refused-not-running", speed=amount(candidate.start_rpm, "rpm"))


def _no_sweep(candidate: Candidate) -> Statement | None:
    rise = candidate.end_rpm - candidate.start_rpm
    smallest = STAND_IN_RISE_RPM if candidate.is_stand_in else SMALLEST_RISE_RPM
    wanted = max(smallest, SMALLEST_RISE_SHARE * candidate.start_rpm)
    if rise >= wanted:
        return None
    return say(
        "refused-no-sweep",
        rise=amount(max(rise, 0.0), "rpm"),
        duration=amount(candidate.end_s - candidate.start_s, "s", 1),
        needed=amount(wanted, "rpm"),
    )


def _guessed(candidate: Candidate) -> Statement | None:
    rise = candidate.end_rpm - candidate.start_rpm
    wanted = max(GUESSED_RISE_RPM, GUESSED_RISE_SHARE * candidate.start_rpm)
    duration_s = candidate.end_s - candidate.start_s
    if not candidate.is_guessed or (rise >= wanted and duration_s >= GUESSED_S):
        return None
    return say(
        "refused-short-rise-without-pedal",
        rise=amount(rise, "rpm"),
        duration=amount(duration_s, "s", 1),
        needed=amount(wanted, "rpm"),
        shortest=amount(GUESSED_S, "s", 1),
    )


def _guessed_on_road(candidate: Candidate) -> Statement | None:
    """Ordinary driving fills a manifold too; only on a roller, or to the top, is it a pull."""
    if not candidate.is_guessed or candidate.on_roller:
        return None
    if candidate.top_rpm is not None and candidate.end_rpm >= TOP_SHARE * candidate.top_rpm:
        return None
    return say("refused-not-to-top-speed")


def _pulling_away(candidate: Candidate) -> Statement | None:
    road_kmh = candidate.road_start_kmh
    crawls = road_kmh is not None and road_kmh < PULLING_AWAY_KMH
    if not candidate.is_guessed or (candidate.start_rpm >= PULLING_AWAY_RPM and not crawls):
        return None
    return say("refused-pulling-away", speed=amount(candidate.start_rpm, "rpm"))


def _too_short(candidate: Candidate) -> Statement | None:
    duration_s = candidate.end_s - candidate.start_s
    if duration_s >= SHORTEST_S:
        return None
    return say(
        "refused-too-short",
        duration=amount(duration_s, "s", 1),
        needed=amount(SHORTEST_S, "s", 1),
    )


def _free_revving(candidate: Candidate) -> Statement | None:
    if candidate.road_start_kmh is None or candidate.road_end_kmh is None:
        return None
    engine = candidate.end_rpm / candidate.start_rpm - 1.0
    if candidate.road_end_kmh < MOVING_KMH:
        return say(
            "refused-road-stood-still",
            speed=amount(candidate.end_rpm, "rpm"),
            road=candidate.road_name,
        )
    road = candidate.road_end_kmh / max(candidate.road_start_kmh, MOVING_KMH) - 1.0
    if road >= FOLLOW_SHARE * engine:
        return None
    return say(
        "refused-road-fell-behind",
        engine=amount(100 * engine, "%"),
        road=candidate.road_name,
        road_rise=amount(100 * road, "%"),
    )


def _too_steep(candidate: Candidate) -> Statement | None:
    duration_s = candidate.end_s - candidate.start_s
    slope = (candidate.end_rpm - candidate.start_rpm) / duration_s
    if slope <= max(STEEPEST_RPM_PER_S, STEEPEST_PER_S * candidate.start_rpm):
        return None
    return say("refused-too-steep", slope=amount(slope, "rpm/s"))
