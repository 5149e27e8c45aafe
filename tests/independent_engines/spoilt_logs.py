"""Faults of what is logged: sensors that lie, and columns whose map says the wrong thing."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Final

import numpy as np

from decode.quantities import Quantity
from independent_engines.logs import FloatArray, Log, LoggedColumn
from independent_engines.sessions import Session

Q = Quantity
Random = np.random.Generator
Spoil = Callable[[Session], Log | None]
Change = Callable[[LoggedColumn, Session], LoggedColumn | None]
BREAKABLE: Final = (
    *(Q.MANIFOLD_PRESSURE, Q.BOOST_PRESSURE, Q.LAMBDA, Q.FUEL_PRESSURE_HIGH, Q.AIR_MASS_FLOW),
    *(Q.CHARGE_AIR_TEMPERATURE, Q.OIL_PRESSURE, Q.COOLANT_TEMPERATURE),
)
KPA_PER_PSI: Final = 6.894757


def broken_sensor(random: Random, session: Session, severe: bool) -> tuple[Log, Quantity]:
    """One sensor stands still from the first pull on, or drops out again and again."""
    log = session.log
    there = [q for q in BREAKABLE if (c := log.of(q)) is not None and not c.formula]
    slow = (Q.CHARGE_AIR_TEMPERATURE, Q.COOLANT_TEMPERATURE)
    quantity = there[int(random.integers(len(there)))]
    column = log.of(quantity)
    assert column is not None
    value = column.value.copy()
    pull = session.pulls[0]
    if quantity not in slow and random.random() < 0.5:
        from_s = pull.start_s + 0.25 * (pull.end_s - pull.start_s)
        stuck = int(np.searchsorted(column.time_s, from_s))
        value[stuck:] = value[min(stuck, len(value) - 1)]
    else:
        share = 0.3 if severe else 0.15
        gone = random.random(len(value)) < share
        value[gone] = -40.0 if quantity in slow else 0.0
    return log.replaced(column, replace(column, value=value)), quantity


def _relabel(quantity: Quantity, by: Change) -> Spoil:
    def spoil(session: Session) -> Log | None:
        column = session.log.of(quantity)
        changed = None if column is None or column.formula else by(column, session)
        return None if column is None or changed is None else session.log.replaced(column, changed)

    return spoil


def _in_house(column: LoggedColumn) -> FloatArray | None:
    return column.value if column.unit in ("kPa", "degC") else None


def _scaled(factor: float, offset: float = 0.0) -> Change:
    """Numbers of another unit under the house unit's name."""

    def change(column: LoggedColumn, session: Session) -> LoggedColumn | None:
        value = _in_house(column)
        if value is None:
            return None
        return replace(column, value=np.round(value * factor + offset, 2))

    return change


def _as(quantity: Quantity) -> Change:
    def change(column: LoggedColumn, session: Session) -> LoggedColumn | None:
        return None if session.log.of(quantity) is not None else column.relabelled(quantity)

    return change


def _without(spoil: Spoil, *left_out: Quantity) -> Spoil:
    """As if these had not been logged."""

    def change(session: Session) -> Log | None:
        kept = tuple(c for c in session.log.columns if c.quantity not in left_out)
        return spoil(replace(session, log=Log(kept)))

    return change


def _ratio(column: LoggedColumn, session: Session) -> LoggedColumn:
    return replace(column, value=np.round(14.7 * column.value, 2))


def _negative(session: Session) -> Log | None:
    """Every cylinder's retard with its sign turned."""
    if session.log.of(Q.KNOCK_RETARD) is None or session.traces.knock_events < 4:
        return None
    return Log(
        tuple(
            replace(c, value=-c.value) if c.quantity is Q.KNOCK_RETARD else c
            for c in session.log.columns
        )
    )


BOOSTED: Final = ("turbo_direct", "stoichiometric_turbo", "ethanol_turbo", "turbo_diesel")
MISLABELLED: Final[Mapping[str, tuple[tuple[str, ...], Spoil]]] = {
    "gauge as absolute": (
        BOOSTED,
        _without(_relabel(Q.BOOST_PRESSURE, _as(Q.MANIFOLD_PRESSURE)), Q.MANIFOLD_PRESSURE),
    ),
    "absolute as gauge": (
        BOOSTED,
        _without(_relabel(Q.MANIFOLD_PRESSURE, _as(Q.BOOST_PRESSURE)), Q.BOOST_PRESSURE),
    ),
    "bar for kPa": (BOOSTED, _relabel(Q.MANIFOLD_PRESSURE, _scaled(0.01))),
    "boost in bar for kPa": (BOOSTED, _relabel(Q.BOOST_PRESSURE, _scaled(0.01))),
    "boost in psi for kPa": (BOOSTED, _relabel(Q.BOOST_PRESSURE, _scaled(1.0 / KPA_PER_PSI))),
    "rail in bar for kPa": (
        ("turbo_direct", "turbo_diesel"),
        _relabel(Q.FUEL_PRESSURE_HIGH, _scaled(0.01)),
    ),
    "oil in psi for kPa": (
        ("turbo_direct", "natural_port"),
        _relabel(Q.OIL_PRESSURE, _scaled(1.0 / KPA_PER_PSI)),
    ),
    "coolant in degF for degC": (
        ("turbo_direct", "natural_port"),
        _relabel(Q.COOLANT_TEMPERATURE, _scaled(1.8, 32.0)),
    ),
    "charge air in degF for degC": (
        BOOSTED,
        _relabel(Q.CHARGE_AIR_TEMPERATURE, _scaled(1.8, 32.0)),
    ),
    "ratio for lambda": (
        ("turbo_direct", "natural_port", "blower_petrol"),
        _relabel(Q.LAMBDA, _ratio),
    ),
    "retard turned": (("turbo_direct", "natural_port", "blower_petrol"), _negative),
    "throttle as pedal": (
        ("turbo_direct", "natural_port"),
        _without(_relabel(Q.THROTTLE_POSITION, _as(Q.PEDAL_POSITION)), Q.PEDAL_POSITION),
    ),
}
