"""What a session must bring for a pull to be found at all; said before a pull, and at the end."""

from collections.abc import Collection, Mapping
from typing import Final

from decode.quantities import Quantity
from decode.samples import Channel

WISHES: Final = (  # the driver's foot first, then what follows it
    Quantity.PEDAL_POSITION,
    Quantity.THROTTLE_POSITION,
    Quantity.MANIFOLD_PRESSURE,
    Quantity.BOOST_PRESSURE,
)
PULL_NEEDS: Final = (  # one channel of each group, and what to say without it
    (
        (Quantity.ENGINE_SPEED,),
        "no pull can be found without engine speed: the map needs an engine_speed channel",
    ),
    (
        WISHES,
        "no pull can be found without the driver's wish: the map needs pedal_position (best), "
        "throttle_position, manifold_pressure or boost_pressure",
    ),
)


def unmet(channels: Mapping[str, Channel], heard: Collection[str]) -> str | None:
    """The first need that no channel meets; None where a pull can be found.

    heard: names of the channels that speak. Those of the map that could meet it are named.
    """
    for quantities, words in PULL_NEEDS:
        able = [name for name, channel in channels.items() if channel.quantity in quantities]
        if not any(name in heard for name in able):
            return f"{words}; silent: {', '.join(able)}" if able else words
    return None
