"""Each cause in words: its name, what would settle it, and which causes bring it about."""

from typing import Final

from analysis.model.findings import Cause

NAMES: Final[dict[Cause, str]] = {
    Cause.LOW_OCTANE_FUEL: "fuel of too low an octane number",
    Cause.SINGLE_CYLINDER_KNOCK: "one knocking cylinder",
    Cause.HOT_CHARGE_AIR: "hot charge air",
    Cause.BOOST_LEAK: "a boost leak",
    Cause.WASTEGATE_STUCK_OPEN: "a wastegate stuck open",
    Cause.WASTEGATE_STUCK_CLOSED: "a wastegate stuck closed",
    Cause.BOOST_OSCILLATION: "boost control that swings",
    Cause.RESTRICTED_INTAKE: "a restricted intake",
    Cause.RESTRICTED_EXHAUST: "a restricted exhaust",
    Cause.WEAK_LOW_PRESSURE_FUEL_PUMP: "a weak low-pressure fuel pump",
    Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP: "a weak high-pressure fuel pump",
    Cause.INJECTOR_LIMIT: "injectors at their limit",
    Cause.PROTECTIVE_THROTTLE_CLOSURE: "the controller protecting the engine",
    Cause.MISFIRE: "misfire",
    Cause.TYRE_SLIP: "tyre slip on the roller",
    Cause.CLUTCH_SLIP: "clutch slip",
    Cause.OVERHEATING: "an overheating engine",
    Cause.SENSOR_FAULT: "a sensor or its wiring",
    Cause.CLOCK_OFFSET: "clocks that are apart",
}

SETTLED_BY: Final[dict[Cause, str]] = {
    Cause.LOW_OCTANE_FUEL: "Repeat on fuel of known octane at the same charge temperature.",
    Cause.SINGLE_CYLINDER_KNOCK: (
        "Swap that cylinder's plug and injector with a neighbour's: if the knock moves with one of "
        "them, that is it; if not, look into the cylinder."
    ),
    Cause.HOT_CHARGE_AIR: "Cool down with the fan on the charge cooler and repeat the pull.",
    Cause.BOOST_LEAK: "Pressure-test the tract from the compressor to the cylinder head.",
    Cause.WASTEGATE_STUCK_OPEN: (
        "Move the wastegate by hand or vacuum pump; check its preload. Fuel, clutch and knock were "
        "hardly loaded without boost: judge them by the pull after."
    ),
    Cause.WASTEGATE_STUCK_CLOSED: (
        "Move the wastegate by hand or pressure; check its hose and valve before the next pull."
    ),
    Cause.BOOST_OSCILLATION: "Repeat with the duty fixed: if it still swings, it is mechanical.",
    Cause.RESTRICTED_INTAKE: "Repeat without the filter, or measure pressure before the turbo.",
    Cause.RESTRICTED_EXHAUST: "Measure back-pressure before the catalyst, or repeat with it open.",
    Cause.WEAK_LOW_PRESSURE_FUEL_PUMP: "Measure the pump's delivery and supply voltage under load.",
    Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP: (
        "Repeat with low-side pressure logged: if that holds, the high-pressure pump is it."
    ),
    Cause.INJECTOR_LIMIT: "Repeat with less boost: if mixture recovers, it is the injectors.",
    Cause.PROTECTIVE_THROTTLE_CLOSURE: (
        "Log the controller's torque limits beside the throttle, or read its fault memory."
    ),
    Cause.MISFIRE: "Log misfire counts by cylinder; look at that cylinder's plug and coil.",
    Cause.TYRE_SLIP: "Strap the car down harder, or repeat in a higher gear.",
    Cause.CLUTCH_SLIP: "Repeat in a lower gear: with less torque on it a slipping clutch holds.",
    Cause.OVERHEATING: "Let it cool, check the fan and coolant level, and repeat.",
    Cause.SENSOR_FAULT: "Check the sensor's wiring and compare it with a second instrument.",
    Cause.CLOCK_OFFSET: (
        "Log both sources through one adapter, or name the dyno's own time in the map (clock)."
    ),
}

BROUGHT_ABOUT_BY: Final[dict[Cause, frozenset[Cause]]] = {
    # Injectors stay open longer to make up for pressure that is missing.
    Cause.INJECTOR_LIMIT: frozenset(
        {Cause.WEAK_LOW_PRESSURE_FUEL_PUMP, Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP}
    ),
    # A controller closes the throttle because of these: they stand before it.
    Cause.PROTECTIVE_THROTTLE_CLOSURE: frozenset(
        {
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
