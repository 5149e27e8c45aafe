"""What a page that looks at a running session is sent first, once."""

from typing import Literal

from analysis.publish.messages.message import Model, Versioned
from decode.quantities import Quantity


class ShownUnit(Model):
    """shown = factor * house + offset. unit: its name; symbol: as it is printed."""

    factor: float
    offset: float
    unit: str
    decimals: int
    symbol: str


class Readout(Model):
    """One large number. channel: what it shows, or the first of its cylinders; target: the channel
    of what it should be; cylinders: channels by cylinder."""

    title: str
    quantity: Quantity
    channel: str
    target: str | None
    cylinders: dict[int, str]
    unit: ShownUnit


class StripChannel(Model):
    """One line of a strip. dashed: a target."""

    name: str
    dashed: bool


class Strip(Model):
    """The last seconds of some channels."""

    title: str
    channels: tuple[StripChannel, ...]
    unit: ShownUnit


class Layout(Model):
    """engine_speed: its channel, null where the map has none. conversions: by house unit."""

    engine_speed: str | None
    max_engine_speed_rpm: float
    readouts: tuple[Readout, ...]
    strips: tuple[Strip, ...]
    conversions: dict[str, ShownUnit]


class HelloMessage(Versioned):
    """What the page must know before the first `now`. history: the strips as they stand, (time,
    value) by channel."""

    kind: Literal["hello"] = "hello"
    layout: Layout
    history: dict[str, list[tuple[float, float | None]]]
