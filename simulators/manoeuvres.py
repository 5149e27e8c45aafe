"""What a driver can be asked to do, one after the other; driving/ does it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Idle:
    """Clutch open, foot off."""

    duration_s: float = 5.0


@dataclass(frozen=True, slots=True)
class Cruise:
    """In gear at part throttle, held by the brake (dyno) or by the driver (road)."""

    duration_s: float = 8.0
    gear: int = 4
    engine_rpm: float = 2200.0
    pedal_percent: float = 18.0


@dataclass(frozen=True, slots=True)
class Sweep:
    """A pull: full pedal at start_rpm, hold_s on the brake, then the sweep up to the lift.

    end_rpm at or above the limiter: the driver stays on the limiter for limiter_s. abort_rpm: the
    driver gives up there. reapply_s: after abort_rpm he lifts for so long and goes on to the end.
    release_s: how quickly the pedal comes up. No brake (inertia dyno, road): no hold at full pedal.
    """

    gear: int = 4
    start_rpm: float = 1500.0
    end_rpm: float = 6500.0
    ramp_rpm_s: float = 500.0
    hold_s: float = 2.0
    pedal_s: float = 0.25
    release_s: float = 0.15
    abort_rpm: float | None = None
    reapply_s: float | None = None
    limiter_s: float = 0.8
    kind: str = "sweep"


@dataclass(frozen=True, slots=True)
class HoldAndLift:
    """Full pedal held on the brake, then a lift without any sweep."""

    gear: int = 4
    engine_rpm: float = 2500.0
    hold_s: float = 4.0


@dataclass(frozen=True, slots=True)
class TipIn:
    """The pedal goes down and comes back before the engine speed has risen."""

    gear: int = 5
    engine_rpm: float = 2200.0
    hold_s: float = 0.5


@dataclass(frozen=True, slots=True)
class FreeRev:
    """Blips of the pedal in neutral."""

    blips: int = 3
    pedal_percent: float = 100.0
    top_rpm: float = 5500.0


@dataclass(frozen=True, slots=True)
class RoadPull:
    """Full throttle through the gears on the road: one pull a gear."""

    gears: tuple[int, ...] = (2, 3)
    start_rpm: float = 2200.0
    shift_rpm: float = 6300.0
    end_rpm: float = 6200.0


@dataclass(frozen=True, slots=True)
class CruiseControl:
    """The ECU holds road speed up and down hill; the pedal is untouched."""

    duration_s: float = 60.0
    gear: int = 5
    engine_rpm: float = 2600.0
    steepest_percent: float = 7.0


@dataclass(frozen=True, slots=True)
class Driving:
    """Ordinary traffic: stops, gears, part throttle, never a full-pedal sweep."""

    duration_s: float = 600.0
    fastest_km_h: float = 110.0
    largest_pedal_percent: float = 70.0


Manoeuvre = (
    Idle | Cruise | Sweep | HoldAndLift | TipIn | FreeRev | RoadPull | CruiseControl | Driving
)
