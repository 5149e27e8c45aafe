"""Thousands of sessions of every kind with known pulls, drawn from seeds.

The truth is the simulated driver's and dyno's own, never taken from a signal. The held-out part is
drawn from other ranges and is never used for tuning.
"""

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Final

from analysis.model.findings import Cause
from decode.quantities import Quantity
from simulators.cars import CARS, SMALL_TURBO
from simulators.channels import ChannelSpec, default_channels
from simulators.disturbance import Disturbance
from simulators.dyno import Braked, DynoModel, Inertia, Road
from simulators.faults import Fault
from simulators.manoeuvres import (
    Cruise,
    CruiseControl,
    Driving,
    FreeRev,
    HoldAndLift,
    Idle,
    Manoeuvre,
    RoadPull,
    Sweep,
    TipIn,
)
from simulators.scenario import Scenario

SEEN: Final = (  # what a segmenter can look at; one slow temperature beside
    Quantity.ENGINE_SPEED,
    Quantity.PEDAL_POSITION,
    Quantity.THROTTLE_POSITION,
    Quantity.MANIFOLD_PRESSURE,
    Quantity.VEHICLE_SPEED,
    Quantity.ROLLER_SPEED,
    Quantity.COOLANT_TEMPERATURE,
)


class Kind(StrEnum):
    """What a session is about."""

    BRAKED = "held on the brake, swept"
    SLOW_RAMP = "slow ramp"
    FAST_RAMP = "fast ramp"
    INERTIA = "inertia roller"
    ROAD = "road, gear change"
    CLOSURE = "closed by protection"
    CLOSURE_NO_PEDAL = "closed by protection, no pedal"
    REAPPLY = "lift and re-apply"
    ABORTED = "aborted"
    LIMITER = "rev limiter"
    WHEELSPIN = "wheelspin"
    SLOW_PEDAL = "pedal at 3 to 6 Hz"
    POLLED = "all polled at 3 to 10 Hz"
    NO_PEDAL = "no pedal"
    NO_THROTTLE = "no pedal, no throttle"
    NOISY = "noise"
    DROPOUTS = "dropouts"
    DISORDER = "duplicate and swapped stamps"
    STARTS_INSIDE = "session starts inside"
    ENDS_INSIDE = "session ends inside"
    HOLD_ONLY = "held, no sweep"
    TIP_IN = "tip-in"
    FREE_REV = "free-revving"
    CRUISE_CONTROL = "cruise control"
    DRIVING = "ordinary driving"


WITHOUT_PULLS: Final = frozenset(
    {Kind.HOLD_ONLY, Kind.TIP_IN, Kind.FREE_REV, Kind.CRUISE_CONTROL, Kind.DRIVING}
)


@dataclass(frozen=True, slots=True)
class Ranges:
    """From where parameters are drawn: (low, high) each."""

    start_share: tuple[float, float]  # start of the sweep, of the limiter
    end_share: tuple[float, float]  # planned end
    ramp_s: tuple[float, float]  # duration of an ordinary ramp
    hold_s: tuple[float, float]
    speed_hz: tuple[float, float]
    pedal_hz: tuple[float, float]
    noise_rpm: tuple[float, float]
    pedal_top: tuple[float, float]
    roller_kg_m2: tuple[float, float]


TUNING: Final = Ranges(
    start_share=(0.22, 0.34),
    end_share=(0.90, 0.97),
    ramp_s=(6.0, 15.0),
    hold_s=(0.8, 4.0),
    speed_hz=(20.0, 100.0),
    pedal_hz=(10.0, 50.0),
    noise_rpm=(1.0, 10.0),
    pedal_top=(76.0, 100.0),
    roller_kg_m2=(90.0, 160.0),
)
HELD_OUT: Final = Ranges(
    start_share=(0.20, 0.38),
    end_share=(0.88, 0.98),
    ramp_s=(5.0, 20.0),
    hold_s=(0.6, 7.0),
    speed_hz=(15.0, 120.0),
    pedal_hz=(8.0, 80.0),
    noise_rpm=(0.5, 14.0),
    pedal_top=(75.5, 100.0),
    roller_kg_m2=(75.0, 220.0),
)


@dataclass(frozen=True)
class Case:
    """One session to be: what is simulated and what then happens to its signals."""

    kind: Kind
    seed: int
    scenario: Scenario
    disturbance: Disturbance = field(default_factory=Disturbance)


def corpus(count: int, ranges: Ranges, first_seed: int) -> Iterator[Case]:
    """count cases, every kind but hours of driving equally often."""
    kinds = [kind for kind in Kind if kind is not Kind.DRIVING]
    for index in range(count):
        yield draw(kinds[index % len(kinds)], first_seed + index, ranges)


def driving(hours: float, first_seed: int, leg_s: float = 900.0) -> Iterator[Case]:
    """Ordinary driving on the road, in legs; some without pedal, some without throttle too."""
    for index in range(round(hours * 3600.0 / leg_s)):
        yield draw(Kind.DRIVING, first_seed + index, TUNING, leg_s)


def draw(kind: Kind, seed: int, ranges: Ranges, leg_s: float = 900.0) -> Case:
    """One case; the same arguments give the same case."""
    chance = random.Random(f"{kind.value} {seed}")
    car = chance.choice(CARS)
    if kind in (Kind.CLOSURE, Kind.CLOSURE_NO_PEDAL):
        car = SMALL_TURBO
    if kind in (Kind.NO_PEDAL, Kind.CLOSURE_NO_PEDAL, Kind.CRUISE_CONTROL) and car.diesel:
        car = chance.choice([other for other in CARS if not other.diesel])
    dyno = _dyno(kind, chance, ranges)
    limiter_rpm = car.engine.limiter_rpm
    scenario = Scenario(
        car=car,
        dyno=dyno,
        plan=_plan(kind, chance, ranges, limiter_rpm, leg_s),
        faults=_faults(kind, chance),
        channels=_channels(kind, chance, ranges, default_channels(car, not _is_road(dyno))),
    )
    return Case(kind, seed, scenario, _disturbance(kind, chance, ranges))


def _is_road(dyno: DynoModel) -> bool:
    return isinstance(dyno, Road)


def _dyno(kind: Kind, chance: random.Random, ranges: Ranges) -> DynoModel:
    if kind in (Kind.ROAD, Kind.CRUISE_CONTROL, Kind.DRIVING):
        return Road()
    inertia = Inertia(inertia_kg_m2=chance.uniform(*ranges.roller_kg_m2))
    if kind is Kind.INERTIA:
        return inertia
    if kind in (Kind.NO_PEDAL, Kind.NOISY, Kind.DISORDER, Kind.TIP_IN, Kind.LIMITER):
        return inertia if chance.random() < 0.5 else Braked()
    return Braked(inertia_kg_m2=chance.uniform(12.0, 25.0))


def _sweep(chance: random.Random, ranges: Ranges, limiter_rpm: float) -> Sweep:
    start = chance.uniform(*ranges.start_share) * limiter_rpm
    end = chance.uniform(*ranges.end_share) * limiter_rpm
    return Sweep(
        gear=chance.choice([3, 4]),
        start_rpm=start,
        end_rpm=end,
        ramp_rpm_s=(end - start) / chance.uniform(*ranges.ramp_s),
        hold_s=chance.uniform(*ranges.hold_s),
        pedal_s=chance.uniform(0.1, 0.4),
        release_s=chance.uniform(0.08, 0.3),
    )


def _plan(
    kind: Kind, chance: random.Random, ranges: Ranges, limiter_rpm: float, leg_s: float
) -> tuple[Manoeuvre, ...]:
    """What the driver is asked to do; a moment of idling and cruising before."""
    rpm = chance.uniform(*ranges.start_share) * limiter_rpm
    match kind:
        case Kind.DRIVING:
            fastest = chance.uniform(60.0, 130.0)
            most_percent = chance.uniform(50.0, 70.0)
            return (Driving(leg_s, fastest_km_h=fastest, largest_pedal_percent=most_percent),)
        case Kind.CRUISE_CONTROL:
            steep = chance.uniform(3.0, 8.0)
            lasts_s = chance.uniform(40.0, 90.0)
            return (CruiseControl(lasts_s, gear=5, engine_rpm=rpm, steepest_percent=steep),)
        case Kind.FREE_REV:
            blips, top_share = chance.choice([2, 3]), chance.uniform(0.6, 1.05)
            return (Idle(3.0), FreeRev(blips, top_rpm=top_share * limiter_rpm), Idle(2.0))
        case Kind.TIP_IN:
            tip = TipIn(gear=5, engine_rpm=rpm, hold_s=chance.uniform(0.35, 0.7))
            return (Idle(1.0), tip, tip)
        case Kind.HOLD_ONLY:
            hold_s = chance.uniform(2.0, 8.0)
            return (Idle(1.0), HoldAndLift(gear=4, engine_rpm=rpm, hold_s=hold_s))
        case Kind.ROAD:
            gears = chance.choice([(2, 3), (3,), (2, 3, 4)])
            shift = chance.uniform(*ranges.end_share) * limiter_rpm
            pull = RoadPull(gears, start_rpm=rpm, shift_rpm=shift, end_rpm=shift)
            return (Idle(1.0), pull)
    sweep = _with_habit(kind, _sweep(chance, ranges, limiter_rpm), chance, limiter_rpm)
    cruise = Cruise(chance.uniform(2.0, 5.0), gear=sweep.gear, engine_rpm=rpm)
    before: tuple[Manoeuvre, ...] = (Idle(1.0), cruise)
    return (*before, sweep, Idle(2.0)) if chance.random() < 0.7 else (*before, sweep, sweep)


def _with_habit(kind: Kind, sweep: Sweep, chance: random.Random, limiter_rpm: float) -> Sweep:
    span = sweep.end_rpm - sweep.start_rpm
    part = sweep.start_rpm + chance.uniform(0.35, 0.7) * span
    habits: dict[Kind, Callable[[], Sweep]] = {
        Kind.SLOW_RAMP: lambda: replace(sweep, ramp_rpm_s=span / chance.uniform(25.0, 40.0)),
        Kind.FAST_RAMP: lambda: replace(sweep, ramp_rpm_s=span / chance.uniform(3.0, 5.0)),
        Kind.ABORTED: lambda: replace(sweep, abort_rpm=part),
        Kind.REAPPLY: lambda: replace(sweep, abort_rpm=part, reapply_s=chance.uniform(0.3, 1.5)),
        Kind.LIMITER: lambda: replace(
            sweep, end_rpm=limiter_rpm + 200.0, limiter_s=chance.uniform(0.3, 1.5)
        ),
    }
    return habits[kind]() if kind in habits else sweep


def _faults(kind: Kind, chance: random.Random) -> tuple[Fault, ...]:
    if kind in (Kind.CLOSURE, Kind.CLOSURE_NO_PEDAL):
        trigger = chance.choice(["over_boost", "torque_limit"])
        severity = chance.uniform(0.3, 1.0)
        return (Fault(Cause.PROTECTIVE_THROTTLE_CLOSURE, severity, {"trigger": trigger}),)
    if kind is Kind.WHEELSPIN:
        return (Fault(Cause.TYRE_SLIP, chance.uniform(0.3, 1.0)),)
    return ()


def _channels(
    kind: Kind, chance: random.Random, ranges: Ranges, specs: tuple[ChannelSpec, ...]
) -> tuple[ChannelSpec, ...]:
    """What the logger has: rates, noise, and what is missing."""
    rates = {
        Quantity.ENGINE_SPEED: chance.uniform(*ranges.speed_hz),
        Quantity.PEDAL_POSITION: chance.uniform(*ranges.pedal_hz),
        Quantity.THROTTLE_POSITION: chance.uniform(*ranges.pedal_hz),
        Quantity.MANIFOLD_PRESSURE: chance.uniform(*ranges.pedal_hz),
    }
    if kind is Kind.SLOW_PEDAL:
        slow_hz = chance.uniform(3.0, 6.0)
        rates[Quantity.PEDAL_POSITION] = rates[Quantity.THROTTLE_POSITION] = slow_hz
    if kind is Kind.POLLED:
        rates = dict.fromkeys(SEEN, chance.uniform(3.0, 10.0))
    missing = {
        Kind.NO_PEDAL: (Quantity.PEDAL_POSITION,),
        Kind.CLOSURE_NO_PEDAL: (Quantity.PEDAL_POSITION,),
        Kind.CRUISE_CONTROL: (Quantity.PEDAL_POSITION,) * chance.randint(0, 1),
        Kind.NO_THROTTLE: (Quantity.PEDAL_POSITION, Quantity.THROTTLE_POSITION),
        Kind.DRIVING: chance.choice(
            [
                (),
                (Quantity.PEDAL_POSITION,),
                (Quantity.PEDAL_POSITION, Quantity.THROTTLE_POSITION),
            ]
        ),
    }.get(kind, ())
    noise_rpm = chance.uniform(*ranges.noise_rpm) * (3.0 if kind is Kind.NOISY else 1.0)
    has_scale = chance.random() < 0.5
    return tuple(
        replace(
            spec,
            rate_hz=rates.get(spec.quantity, spec.rate_hz),
            noise=noise_rpm if spec.quantity is Quantity.ENGINE_SPEED else spec.noise,
            full_scale=spec.full_scale if has_scale else None,
        )
        for spec in specs
        if spec.quantity in SEEN and spec.quantity not in missing
    )


def _disturbance(kind: Kind, chance: random.Random, ranges: Ranges) -> Disturbance:
    plain = Disturbance(pedal_top=chance.uniform(*ranges.pedal_top))
    match kind:
        case Kind.NOISY:
            return replace(plain, pedal_noise=0.6, spikes_per_s=0.2)
        case Kind.DROPOUTS:
            return replace(plain, dropouts_per_s=0.25, dropout_s=chance.uniform(0.2, 0.8))
        case Kind.DISORDER:
            return replace(plain, duplicate_share=0.1, swapped_share=0.1)
        case Kind.STARTS_INSIDE:
            return replace(plain, starts_in_pull=chance.uniform(0.1, 0.4))
        case Kind.ENDS_INSIDE:
            return replace(plain, ends_in_pull=chance.uniform(0.5, 0.9))
    return plain
