"""What a session must bring for a pull to be found at all; said before a pull, and at the end."""

from collections.abc import Collection, Mapping
from typing import Final

from analysis.phrases.say import in_line, say
from analysis.phrases.statement import Statement
from decode.quantities import Quantity
from decode.samples import Channel

WISHES: Final = (  # the driver's foot first, then what follows it
    Quantity.PEDAL_POSITION,
    Quantity.THROTTLE_POSITION,
    Quantity.MANIFOLD_PRESSURE,
    Quantity.BOOST_PRESSURE,
)
PULL_NEEDS: Final = (  # one channel of each group, and the phrases without it and in silence
    ((Quantity.ENGINE_SPEED,), "no-pull-without-engine-speed", "no-pull-engine-speed-silent"),
    (WISHES, "no-pull-without-demand", "no-pull-demand-silent"),
)


def unmet(channels: Mapping[str, Channel], heard: Collection[str]) -> Statement | None:
    """The first need that no channel meets; None where a pull can be found.

    heard: names of the channels that speak. Those of the map that could meet it are named.
    """
    for quantities, unmapped, silent in PULL_NEEDS:
        able = [name for name, channel in channels.items() if channel.quantity in quantities]
        if not able:
            return say(unmapped)
        if not any(name in heard for name in able):
            return say(silent, channels=in_line(able))
    return None
