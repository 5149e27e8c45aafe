"""`pullwatch map preview`: every channel of a map as it comes, and what is suspicious about it."""

import asyncio
import signal
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractContextManager, asynccontextmanager, contextmanager
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Annotated, Any, Final

import numpy as np
import typer
from rich.console import Console
from rich.live import Live
from rich.markup import escape
from rich.table import Table

from analysis.judging.channel_preview import LOOK_BACK_S, ChannelState, judge
from analysis.session.buffer import KEEP_S, SampleBuffer
from capture.commands.as_json import AsJsonLines, print_line
from capture.commands.run_loop import run_loop
from capture.commands.warnings import print_table_notes, warn_of_mismatches, warn_of_torn_recording
from capture.recording.any_recording import open_recording
from capture.sources.base.clock import Clock
from capture.sources.make import make_source
from capture.station.station import Station, load_station
from capture.supervision.reconnect import SourceRunner
from decode.channel_map import ChannelMap, load_map, parse_map
from decode.decoder import Decoder
from decode.errors import PullwatchError
from decode.raw_bytes import RawBytes
from decode.records import RecordBatch, SessionInfo
from decode.samples import Samples

REFRESH_S: Final = 0.25
RAW_SHOWN: Final = 24  # characters: eight bytes in hexadecimal
STATION_SUFFIXES: Final = (".yaml", ".yml")
NOTHING: Final = Samples(np.empty(0), np.empty(0))


@dataclass(frozen=True, slots=True)
class ChannelLine:
    """One channel as it comes. raw: the bytes it was last made of. value: None for not available.
    age_s: since it came, None where nothing did. suspicions: in words."""

    channel: str
    raw: str
    value: float | None
    unit: str
    rate_hz: float
    age_s: float | None
    suspicions: tuple[str, ...]


class Preview:
    """What came in so far, by channel."""

    def __init__(self, channel_map: ChannelMap, session: SessionInfo) -> None:
        self._channels = channel_map.channels
        self._decoder = Decoder(channel_map, session)
        self._buffer = SampleBuffer()
        self._raw = RawBytes(channel_map, session.sources)
        self.newest_s = 0.0

    def follow(self, batch: RecordBatch) -> None:
        """Take the next records."""
        samples = self._decoder.decode(batch)
        self._buffer.append(samples)
        self._raw.follow(batch)
        self.newest_s = max([self.newest_s, *(float(s.time_s[-1]) for s in samples.values())])

    def states(self, now_s: float, look_back_s: float) -> dict[str, ChannelState]:
        """Every channel of the map, judged."""
        window = self._buffer.window(now_s - look_back_s, np.inf)
        return {
            name: judge(channel, window.get(name, NOTHING), now_s, look_back_s)
            for name, channel in self._channels.items()
        }

    def lines(self, now_s: float, look_back_s: float = LOOK_BACK_S) -> list[ChannelLine]:
        """One a channel, the suspicious ones first."""
        states = self.states(now_s, look_back_s)
        return [
            ChannelLine(
                channel=name,
                raw=self._raw.text(name, self._channels[name].source),
                value=states[name].value if np.isfinite(states[name].value) else None,
                unit=self._channels[name].unit,
                rate_hz=states[name].rate_hz,
                age_s=states[name].age_s if np.isfinite(states[name].age_s) else None,
                suspicions=tuple(states[name].suspicions),
            )
            for name in sorted(states, key=lambda name: not states[name].suspicions)
        ]

    def table(self, now_s: float, look_back_s: float = LOOK_BACK_S) -> Table:
        """One row a line."""
        table = Table("channel", "raw", show_edge=False)
        table.add_column("value", justify="right")
        table.add_column("unit")
        table.add_column("rate", justify="right")
        table.add_column("age", justify="right")
        table.add_column("suspicious")
        for line in self.lines(now_s, look_back_s):
            table.add_row(*_row(line))
        return table


def _row(line: ChannelLine) -> tuple[str, ...]:
    raw = line.raw if len(line.raw) <= RAW_SHOWN else f"{line.raw[: RAW_SHOWN - 3]}..."
    value = "-" if line.value is None else f"{line.value:.6g}"
    suspicion = f"[yellow]{escape('; '.join(line.suspicions))}[/yellow]"
    rate, age = f"{line.rate_hz:.1f} Hz", "-" if line.age_s is None else f"{line.age_s:.2f} s"
    return line.channel, escape(raw), value, escape(line.unit), rate, age, suspicion


Show = Callable[[Preview, float], None]  # what came in, and the session's time now


def preview(
    file: Annotated[Path, typer.Argument(help="a station file, or a recording")],
    map_file: Annotated[Path | None, typer.Option("--map", help="another channel map")] = None,
    seconds: Annotated[float | None, typer.Option(help="stop after so long")] = None,
    as_json: AsJsonLines = False,
) -> None:
    """Show each channel with raw bytes, value, unit, rate and what is suspicious about it."""
    if file.suffix.lower() in STATION_SUFFIXES:
        station = load_station(file)
        channel_map = load_map(map_file or station.map)
        show = _as_lines() if as_json else _as_table()
        run_loop(_live(station, channel_map, seconds, show))
    else:
        _recorded(file, map_file, as_json)


def _recorded(file: Path, map_file: Path | None, as_json: bool) -> None:
    """The end of a recording, as long as it is kept in memory."""
    recording = open_recording(file)
    text = recording.session.map_text
    if map_file is None and not text:
        raise PullwatchError(f"{file} carries no channel map; name one with --map")
    channel_map = load_map(map_file) if map_file else parse_map(text, f"{file} (its map)")
    seen = Preview(channel_map, recording.session)
    with Console(stderr=True).status(f"reading {file.name}"):
        for batch in recording.batches():
            seen.follow(batch)
    if as_json:
        print_line(_document(seen, seen.newest_s, KEEP_S))
    else:
        Console().print(seen.table(seen.newest_s, KEEP_S))
    print_table_notes(recording)
    warn_of_mismatches(channel_map, recording.session)
    warn_of_torn_recording(recording)


def _document(seen: Preview, now_s: float, look_back_s: float = LOOK_BACK_S) -> dict[str, Any]:
    return {"at_s": now_s, "channels": [asdict(line) for line in seen.lines(now_s, look_back_s)]}


@contextmanager
def _as_lines() -> Iterator[Show]:
    yield lambda seen, now_s: print_line(_document(seen, now_s))


@contextmanager
def _as_table() -> Iterator[Show]:
    with Live(auto_refresh=False) as live:
        yield lambda seen, now_s: live.update(seen.table(now_s), refresh=True)


async def _live(
    station: Station,
    channel_map: ChannelMap,
    seconds: float | None,
    showing: AbstractContextManager[Show],
) -> None:
    clock = Clock(station.clock_speed)
    sources = [make_source(n, s, clock, channel_map) for n, s in station.sources.items()]
    infos = tuple(source.info for source in sources)
    session = SessionInfo("preview", station.name, clock.now_ns(), time.time_ns(), infos)
    seen = Preview(channel_map, session)
    runners = [SourceRunner(source, clock) for source in sources]
    warn_of_mismatches(channel_map, session)
    stop = asyncio.Event()
    loop = asyncio.get_running_loop()
    if seconds is None:  # loop.add_signal_handler does not exist on Windows
        signal.signal(signal.SIGINT, lambda *_: loop.call_soon_threadsafe(stop.set))
    else:
        loop.call_later(seconds, stop.set)

    def now_s() -> float:
        return (clock.now_ns() - session.started_ns) / 1e9

    async with _running(runners, seen):
        with showing as show:
            while not stop.is_set():
                await asyncio.sleep(REFRESH_S)
                show(seen, now_s())
    for runner in runners:
        if runner.trouble:
            Console(stderr=True).print(
                f"{runner.name}: {runner.trouble}", style="yellow", markup=False
            )


@asynccontextmanager
async def _running(runners: list[SourceRunner], seen: Preview) -> AsyncIterator[None]:
    """The sources deliver as long as the block runs."""
    async with asyncio.TaskGroup() as group:
        tasks = [group.create_task(runner.run(seen.follow), name=runner.name) for runner in runners]
        try:
            yield
        finally:
            for task in tasks:
                task.cancel()
