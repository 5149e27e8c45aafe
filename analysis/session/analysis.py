"""One session: records in, pulls and alerts out. Live capture and replay both run exactly this."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from analysis.alerting.session_alerts import AlertMonitor
from analysis.checks.check import Context
from analysis.clocks.clock_alignment import ClockTrack, align
from analysis.clocks.clock_offset import WIDEST_S
from analysis.model.events import Alert, Phase, PullEnded, PullStarted, SegmenterEvent
from analysis.model.limits import Limits
from analysis.model.pull import AFTER_S, BEFORE_S, Pull, PullBounds, Refused, as_read
from analysis.model.setup import Air, Setup
from analysis.segmenting.segmenter import Segmenter
from analysis.session.air import SessionAir
from analysis.session.buffer import SampleBuffer
from decode.channel_map import ChannelMap
from decode.decoder import Decoder
from decode.operator_records import (
    AirRead,
    AlertAcknowledged,
    OperatorRecord,
    SilencePassed,
    StageEntered,
    read_operator_record,
)
from decode.records import RecordBatch, SessionInfo, SourceKind
from decode.samples import Channel, SampleBatch

EARLIER_PULLS: Final = 6  # heat soak and fuel show over a few pulls; more would only hold memory


@dataclass(frozen=True, slots=True)
class ClosedPull:
    """A pull cut out of the session, with what its analysis may look at beside it."""

    pull: Pull
    context: Context
    announced_s: float


@dataclass(frozen=True, slots=True)
class Step:
    """What one batch of records brought. now_s: the newest session time seen so far. stated: what
    the operator's records in it say."""

    now_s: float
    phase: Phase
    samples: SampleBatch = field(default_factory=dict)
    started: tuple[PullStarted, ...] = ()
    pulls: tuple[ClosedPull, ...] = ()
    refused: tuple[Refused, ...] = ()
    alerts: tuple[Alert, ...] = ()
    stated: tuple[OperatorRecord, ...] = ()


class SessionAnalysis:
    """Decodes, segments and watches one session, batch by batch.

    Its result is a pure function of the sequence of batches, so a recording of a session gives
    bit for bit what the session gave.
    """

    def __init__(
        self, session: SessionInfo, channel_map: ChannelMap, limits: Limits, setup: Setup
    ) -> None:
        self._setup = setup
        self._air = SessionAir(channel_map.channels, setup.air)
        self._channels = channel_map.channels
        self._operator = {s.name for s in session.sources if s.kind is SourceKind.OPERATOR}
        self.decoder = Decoder(channel_map, session)
        self._buffer = SampleBuffer()
        self._segmenter = Segmenter(self._channels, setup.car.max_engine_speed_rpm)
        self._alerts = AlertMonitor(_of_these(channel_map, session), limits, setup.car)
        self._earlier: list[Pull] = []
        self._clocks: Mapping[str, ClockTrack] = {}
        self._pull_count = 0
        self._now_s = 0.0

    def feed(self, batch: RecordBatch) -> Step:
        """Take the records of one source; tell what they brought."""
        if batch.source in self._operator:
            stated = _stated(batch)
            cleared = self._apply(stated)
            return replace(self._advance({}, cleared), stated=stated)
        samples = self.decoder.decode(batch)
        self._buffer.append(samples)
        self._air.feed(samples)
        # the times of a channel never fall (decode/clocks.py)
        newest_s = max((s.time_s[-1] for s in samples.values()), default=0.0)
        self._now_s = max(self._now_s, float(newest_s))
        return self._advance(samples, [])

    def _advance(self, samples: SampleBatch, cleared: list[Alert]) -> Step:
        events = self._segmenter.feed(samples, self._now_s)
        alerts = self._alerts.feed(samples, self._segmenter.phase, self._now_s)
        return self._step(samples, events, cleared + alerts)

    @property
    def air(self) -> Air:
        """The air of the bay as far as the session knows it now."""
        return self._air.at(self._now_s)

    def finish(self) -> Step:
        """The session is over: an open pull is closed as interrupted."""
        return self._step({}, self._segmenter.finish(), [])

    def _step(
        self, samples: SampleBatch, events: list[SegmenterEvent], alerts: list[Alert]
    ) -> Step:
        return Step(
            now_s=self._now_s,
            phase=self._segmenter.phase,
            samples=samples,
            started=tuple(e for e in events if isinstance(e, PullStarted)),
            pulls=tuple(self._close(e) for e in events if isinstance(e, PullEnded)),
            refused=tuple(e for e in events if isinstance(e, Refused)),
            alerts=tuple(alerts),
        )

    def _close(self, ended: PullEnded) -> ClosedPull:
        self._pull_count += 1
        pull = self._cut(self._pull_count, ended.bounds)
        setup = replace(self._setup, air=self._air.at(ended.bounds.end_s))
        context = Context(setup, tuple(self._earlier), self._channels)
        self._earlier = [*self._earlier, as_read(pull)][-EARLIER_PULLS:]
        return ClosedPull(pull, context, ended.announced_s)

    def _cut(self, number: int, bounds: PullBounds) -> Pull:
        """Clocks brought together: cut wide, so that a source can still be moved, then to size."""
        first_s, last_s = bounds.start_s - BEFORE_S, bounds.end_s + AFTER_S
        window = self._buffer.window(first_s - WIDEST_S, last_s + WIDEST_S)
        channels = {name: c for name, c in self._channels.items() if name in window}
        wide = Pull(number, bounds, channels, {name: window[name] for name in channels})
        aligned = align(wide, self._clocks)
        self._clocks = aligned.tracks
        end_s = np.nextafter(last_s, np.inf)  # the last instant is inside
        cut = {name: s.between(first_s, end_s) for name, s in aligned.pull.samples.items()}
        present = {name: samples for name, samples in cut.items() if len(samples)}
        kept = {name: channel for name, channel in channels.items() if name in present}
        return replace(aligned.pull, channels=kept, samples=present)

    def _apply(self, stated: Iterable[OperatorRecord]) -> list[Alert]:
        """The alerts that what the operator states clears."""
        cleared: list[Alert] = []
        for record in stated:
            match record:
                case StageEntered():  # another state of the car: earlier pulls do not speak for it
                    self._earlier = []
                case AirRead():
                    self._air.type(record.readings)
                case AlertAcknowledged():
                    cleared += self._alerts.acknowledge(record.key)
                case SilencePassed():  # without it nobody would notice that no source delivers
                    self._now_s += record.duration_s
        return cleared


def replay(analysis: SessionAnalysis, batches: Iterable[RecordBatch]) -> Iterable[Step]:
    """Feed a whole recording and finish."""
    for batch in batches:
        yield analysis.feed(batch)
    yield analysis.finish()


def _stated(batch: RecordBatch) -> tuple[OperatorRecord, ...]:
    records = (read_operator_record(batch.payload(index)) for index in range(len(batch)))
    return tuple(record for record in records if record is not None)


def _of_these(channel_map: ChannelMap, session: SessionInfo) -> dict[str, Channel]:
    """The channels that can come: of a source that the session never had (a map for the dyno, on
    the road) none is missed in every pull. That it lacks one is told once, at its start."""
    present = {"", *(source.name for source in session.sources)}
    return {name: c for name, c in channel_map.channels.items() if c.source in present}
