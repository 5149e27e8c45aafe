"""Which channels the live page shows large, in which order, and how its numbers become words."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Final

from analysis.model.setup import Car
from analysis.phrases.units import Units
from analysis.publish.live.view import STRIP_QUANTITIES
from analysis.publish.messages.layout import Layout, Readout, ShownUnit, Strip, StripChannel
from analysis.publish.wording.display import Conversion, shown
from decode.quantities import HOUSE_UNIT, TARGET_OF, Quantity
from decode.samples import Channel

# What an operator must see during a pull, the most urgent first.
READOUTS: Final[tuple[tuple[str, Quantity], ...]] = (
    ("Boost", Quantity.BOOST_PRESSURE),
    ("Knock retard by cylinder", Quantity.KNOCK_RETARD),
    ("Lambda", Quantity.LAMBDA),
    ("Charge air", Quantity.CHARGE_AIR_TEMPERATURE),
    ("Intake air", Quantity.INTAKE_AIR_TEMPERATURE),
    ("Fuel, high pressure", Quantity.FUEL_PRESSURE_HIGH),
    ("Fuel, low pressure", Quantity.FUEL_PRESSURE_LOW),
)
# Each with its target, where it has one.
STRIPS: Final[tuple[tuple[str, Quantity], ...]] = (
    ("Engine speed", Quantity.ENGINE_SPEED),
    ("Boost, target dashed", Quantity.BOOST_PRESSURE),
    ("Knock retard", Quantity.KNOCK_RETARD),
    ("Lambda, target dashed", Quantity.LAMBDA),
    ("Charge air", Quantity.CHARGE_AIR_TEMPERATURE),
)
# The speed bar needs an end where the station file names none: above most engines' limiters.
DEFAULT_MAX_ENGINE_SPEED_RPM: Final = 8000.0


def layout(channels: Mapping[str, Channel], car: Car, units: Units) -> Layout:
    """Everything the live script must know once: readouts, strips, conversions, the speed bar."""
    return Layout(
        engine_speed=_first(channels, Quantity.ENGINE_SPEED),
        max_engine_speed_rpm=car.max_engine_speed_rpm or DEFAULT_MAX_ENGINE_SPEED_RPM,
        readouts=tuple(
            readout
            for title, quantity in READOUTS
            if (readout := _readout(channels, title, quantity, units)) is not None
        ),
        strips=tuple(
            Strip(title=title, channels=named, unit=_unit_of(quantity, units))
            for title, quantity in STRIPS
            if (named := _strip_channels(channels, quantity))
        ),
        conversions={
            unit: _shown_unit(shown(unit, units))
            for unit in ("kPa", "degC", "Nm", "kW", "km/h", "V", "rpm", "deg", "%", "1", "K")
        },
    )


def _readout(
    channels: Mapping[str, Channel],
    title: str,
    quantity: Quantity,
    units: Units,
) -> Readout | None:
    first, target = _first(channels, quantity), TARGET_OF.get(quantity)
    if first is None:
        return None
    return Readout(
        title=title,
        quantity=quantity,
        channel=first,
        target=None if target is None else _first(channels, target),
        cylinders={
            channel.cylinder: name
            for name, channel in channels.items()
            if channel.quantity is quantity and channel.cylinder is not None
        },
        unit=_unit_of(quantity, units),
    )


def _unit_of(quantity: Quantity, units: Units) -> ShownUnit:
    return _shown_unit(shown(HOUSE_UNIT[quantity], units, quantity))


def _shown_unit(conversion: Conversion) -> ShownUnit:
    return ShownUnit(**asdict(conversion), symbol=conversion.symbol)


def _first(channels: Mapping[str, Channel], quantity: Quantity) -> str | None:
    named = (name for name, channel in channels.items() if channel.quantity is quantity)
    return next(named, None)


def _strip_channels(
    channels: Mapping[str, Channel], shown_of: Quantity
) -> tuple[StripChannel, ...]:
    """Every cylinder's channel of a strip, else the first of the quantity and of its target."""
    quantities = [shown_of, *([TARGET_OF[shown_of]] if shown_of in TARGET_OF else [])]
    assert set(quantities) <= set(STRIP_QUANTITIES), "LiveView keeps no strip of this quantity"
    found: list[StripChannel] = []
    for quantity in quantities:
        named = [name for name, channel in channels.items() if channel.quantity is quantity]
        kept = named if quantity is Quantity.KNOCK_RETARD else named[:1]
        found += [StripChannel(name=name, dashed=quantity is not shown_of) for name in kept]
    return tuple(found)
