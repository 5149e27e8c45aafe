"""How far the channels of this car come behind what they follow, from its own pulls.

The lag of this pull and of those before it together, each from its first sample to its end: a lift
closes the throttle and cuts the fuel, and no target says how a channel falls then.
"""

from collections.abc import Callable, Mapping
from typing import Final

from analysis.checks.check import Context
from analysis.model.pull import Pull
from analysis.physics.lag import Lag, measure
from decode.quantities import TARGET_OF, Quantity
from decode.samples import Samples

EARLIER_PULLS: Final = 2  # beside this one: a lag does not change, and more make it hardly surer

# The longest lag each can have; what stays away for longer does not follow.
LONGEST_S: Final[Mapping[Quantity, float]] = {
    # Volume of the manifold, the pressure control and a filtered sensor. A turbo that spools is no
    # lag: it takes longer, and is judged as spool.
    Quantity.BOOST_PRESSURE: 0.6,
    # A rail of some cubic centimetres answers within a few strokes of its pump; control, its filter
    # and a slow logger add some tenths.
    Quantity.FUEL_PRESSURE_HIGH: 0.6,
    Quantity.FUEL_PRESSURE_LOW: 0.6,  # an electric pump has to change its speed
    # Gas travel and a heated probe: 0.1 s in the manifold, over a second at the end of a tailpipe.
    Quantity.LAMBDA: 1.5,
}


def target_lag(quantity: Quantity, pull: Pull, context: Context) -> Lag | None:
    """The lag of a quantity behind its target; None where it cannot be told."""
    return lag_behind(
        pull,
        context,
        lambda each: each.first(quantity),
        lambda each: each.first(TARGET_OF[quantity]),
        LONGEST_S[quantity],
    )


def lag_behind(
    pull: Pull,
    context: Context,
    channel_of: Callable[[Pull], Samples | None],
    followed_of: Callable[[Pull], Samples | None],
    at_most_s: float,
) -> Lag | None:
    """The lag of any channel behind any other, at most so long; None where it cannot be told."""
    runs = []
    for each in (pull, *context.earlier[-EARLIER_PULLS:]):
        channel, followed = channel_of(each), followed_of(each)
        if channel is not None and followed is not None:
            end_s = each.bounds.end_s
            whole = channel.between(channel.time_s[0], end_s)
            runs.append((whole, followed.between(followed.time_s[0], end_s)))
    return measure(runs, at_most_s)
