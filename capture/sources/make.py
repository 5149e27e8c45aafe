"""From what a station file says of its sources to the sources themselves."""

from collections.abc import Mapping

from capture.sources.base.clock import Clock
from capture.sources.base.settings import SlcanSettings
from capture.sources.base.source import Source
from capture.sources.can.can_bus import CanBus
from capture.sources.can.slcan import SlcanBus
from capture.sources.polled.diagnostics import CanDiagnostics
from capture.sources.polled.k_line import KLine
from capture.sources.polled.schedule import wanted_of
from capture.sources.serial.binary_frames import SerialFrames
from capture.sources.serial.serial_port import SerialLines
from capture.sources.settings import SourceSettings
from decode.channel_map import ChannelMap


def make_sources(
    sources: Mapping[str, SourceSettings], clock: Clock, channel_map: ChannelMap | None = None
) -> list[Source]:
    """Every source of a station, not yet opened, in the order of the file."""
    return [make_source(name, settings, clock, channel_map) for name, settings in sources.items()]


def make_source(
    name: str, settings: SourceSettings, clock: Clock, channel_map: ChannelMap | None = None
) -> Source:
    """The source that the settings describe, not yet opened.

    channel_map: what an ECU is polled for; a source that only listens needs none.
    """
    wanted = wanted_of(channel_map, name) if channel_map is not None else ()
    if settings.diagnostics is not None:
        return CanDiagnostics(name, settings.diagnostics, clock, wanted)
    if settings.k_line is not None:
        return KLine(name, settings.k_line, clock, wanted)
    if settings.lines is not None:
        return SerialLines(name, settings.lines, clock)
    if settings.frames is not None:
        return SerialFrames(name, settings.frames, clock)
    if isinstance(settings.can, SlcanSettings):
        return SlcanBus(name, settings.can, clock)
    assert settings.can is not None  # SourceSettings lets nothing else through
    return CanBus(name, settings.can, clock)
