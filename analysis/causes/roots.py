"""Which causes bring another one about: they stand before it."""

from typing import Final

from analysis.model.findings import Cause

BROUGHT_ABOUT_BY: Final[dict[Cause, frozenset[Cause]]] = {
    # A turbo makes up for air that is lost, or does not come, with speed.
    Cause.TURBO_OVERSPEED: frozenset(
        {Cause.BOOST_LEAK, Cause.RESTRICTED_INTAKE, Cause.WASTEGATE_STUCK_CLOSED}
    ),
    # Injectors stay open longer to make up for pressure that is missing.
    Cause.INJECTOR_LIMIT: frozenset(
        {Cause.WEAK_LOW_PRESSURE_FUEL_PUMP, Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP}
    ),
    # A controller closes the throttle because of these: they stand before it.
    Cause.PROTECTIVE_THROTTLE_CLOSURE: frozenset(
        {
            Cause.SPEED_LIMITER,
            Cause.WASTEGATE_STUCK_CLOSED,
            Cause.BOOST_OSCILLATION,
            Cause.WEAK_LOW_PRESSURE_FUEL_PUMP,
            Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP,
            Cause.LOW_OCTANE_FUEL,
            Cause.SINGLE_CYLINDER_KNOCK,
            Cause.HOT_CHARGE_AIR,
            Cause.OVERHEATING,
            Cause.MISFIRE,
        }
    ),
}
