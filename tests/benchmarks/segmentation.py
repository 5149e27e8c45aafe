"""Scores the segmenter on the simulated corpus, beside two peers on the same sessions.

python tests/benchmarks/segmentation.py --sessions 2000 --hours 20 --pictures FOLDER
python tests/benchmarks/segmentation.py --tuning      (the part that may be tuned on)

"told" is from the true end to the announcement, "after shown" from the first reading that shows
the end: a pedal read three times a second shows nothing for up to 330 ms.

The peers are asked in every fifth session only: the change-point library takes ten times as long
as all the rest. The segmenter's own figures on those sessions stand beside theirs.
"""

import argparse
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
from rich.console import Console
from rich.progress import track
from rich.table import Table
from segmentation_peers import PEERS
from segmentation_pictures import draw_worst
from segmentation_score import Score, Span
from segmentation_shown import shown_s

from analysis.model.events import PullEnded, SegmenterEvent
from analysis.segmenting.segmenter import Segmenter
from decode.samples import SampleBatch, Samples
from simulators.corpus import HELD_OUT, TUNING, Case, corpus, driving
from simulators.corpus_session import CorpusSession, play

TUNING_SEED, HELD_OUT_SEED, DRIVING_SEED = 1_000, 2_000_000, 5_000_000
LIVE_CUT_S = 0.01
COMPARE_EVERY = 13  # sessions; the kinds come in turns of 24: a step that divides it meets few


@dataclass
class Outcome:
    """Everything one run adds up."""

    ours: dict[str, Score] = field(default_factory=lambda: defaultdict(Score))
    peers: dict[str, Score] = field(default_factory=lambda: defaultdict(Score))
    worst: list[tuple[float, CorpusSession, list[Span]]] = field(default_factory=list)
    refused: int = 0
    cpu_s: float = 0.0
    recorded_s: float = 0.0
    compared: int = 0
    different: int = 0
    sessions: int = 0


def batches(session: CorpusSession, cut_s: float) -> Iterator[tuple[SampleBatch, float]]:
    """The session cut into pieces of cut_s by time of arrival."""
    arrival = {n: np.maximum.accumulate(s.time_s) for n, s in session.samples.items() if len(s)}
    first_s = min(times[0] for times in arrival.values())
    last_s = max(times[-1] for times in arrival.values())
    done = dict.fromkeys(arrival, 0)
    for edge_s in np.arange(first_s + cut_s, last_s + 2 * cut_s, cut_s):
        part = {}
        for name, times in arrival.items():
            upto = int(np.searchsorted(times, edge_s))
            if upto > done[name]:
                found, cut = session.samples[name], slice(done[name], upto)
                part[name] = Samples(found.time_s[cut], found.value[cut])
                done[name] = upto
        yield part, min(float(edge_s), last_s)


def segment(session: CorpusSession, cut_s: float) -> list[SegmenterEvent]:
    """All events of a session cut into batches of cut_s."""
    segmenter = Segmenter(session.channels)
    events: list[SegmenterEvent] = []
    for part, now_s in batches(session, cut_s):
        events += segmenter.feed(part, now_s)
    return events + segmenter.finish()


def spans(events: Iterable[SegmenterEvent]) -> list[Span]:
    """The pulls among the events."""
    found = ((e.bounds, e.announced_s) for e in events if isinstance(e, PullEnded))
    return [Span(b.start_s, b.end_s, b.start_rpm, b.end_rpm, at_s) for b, at_s in found]


def true_spans(session: CorpusSession) -> list[Span]:
    """The true pulls."""
    return [
        Span(p.start_s, p.end_s, p.start_rpm, p.end_rpm, shown_s=shown_s(session, p))
        for p in session.pulls
    ]


def run(cases: Iterable[Case], compare_every: int, peers_every: int) -> Outcome:
    """Play and score every case, or as many as there are until Ctrl+C.

    Every so many cases the cut into batches is compared and the peers are asked; 0: never.
    """
    outcome = Outcome()
    with suppress(KeyboardInterrupt):
        _add_all(outcome, cases, compare_every, peers_every)
    return outcome


def _add_all(outcome: Outcome, cases: Iterable[Case], compare_every: int, peers_every: int) -> None:
    for index, case in enumerate(cases):
        session = play(case)
        started = time.process_time()
        events = segment(session, 3600.0)
        outcome.cpu_s += time.process_time() - started
        outcome.recorded_s += session.duration_s
        found, truth = spans(events), true_spans(session)
        badness = outcome.ours[case.kind.value].add(truth, found)
        outcome.worst = sorted(
            [*outcome.worst, (badness, session, found)], key=lambda w: w[0], reverse=True
        )[:10]
        outcome.refused += len(events) - 2 * len(found)
        if compare_every and index % compare_every == 0:
            outcome.compared += 1
            outcome.different += segment(session, LIVE_CUT_S) != events
        if peers_every and index % peers_every == 0:
            outcome.peers["segmenter"].add(truth, found)
            for name, finder in PEERS.items():
                outcome.peers[name].add(truth, finder(session.channels, session.samples))
        outcome.sessions += 1


def _p95(values: list[float]) -> str:
    return f"{np.percentile(np.abs(values), 95):.0f}" if values else "-"


def table(scores: dict[str, Score], title: str, with_total: bool = True) -> Table:
    """One row a name, and all together."""
    total = Score()
    for score in scores.values():
        total.merge(score)
    columns = ("pulls", "missed", "false", "precision", "recall", "F1")
    errors = ("start ms", "end ms", "start rpm", "end rpm", "told ms", "after shown ms")
    result = Table("", *columns, *(f"{name} p95" for name in errors), title=title)
    for name, score in [*scores.items(), *([("all", total)] if with_total else [])]:
        result.add_row(
            name,
            str(score.true_found + score.missed),
            str(score.missed),
            str(score.false),
            *(f"{value:.4f}" for value in (score.precision, score.recall, score.f1)),
            *(_p95(v) for v in (score.start_ms, score.end_ms, score.start_rpm, score.end_rpm)),
            _p95(score.announced_ms),
            _p95(score.after_shown_ms),
        )
    return result


def main() -> None:
    """Run and print."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--sessions", type=int, default=2000)
    arguments.add_argument("--hours", type=float, default=20.0)
    arguments.add_argument("--tuning", action="store_true")
    arguments.add_argument("--seed", type=int, help="the first, where another one is wanted")
    arguments.add_argument("--peers-every", type=int, default=5, help="sessions; 0: never")
    arguments.add_argument("--pictures", type=Path)
    chosen = arguments.parse_args()
    console = Console(width=190)
    ranges, seed = (TUNING, TUNING_SEED) if chosen.tuning else (HELD_OUT, HELD_OUT_SEED)
    seed = seed if chosen.seed is None else chosen.seed
    cases = track(corpus(chosen.sessions, ranges, seed), total=chosen.sessions, console=console)
    outcome = run(cases, COMPARE_EVERY, chosen.peers_every)
    part = "tuning" if chosen.tuning else "held out"
    console.print(table(outcome.ours, f"segmenter, {outcome.sessions} sessions, {part}"))
    if chosen.peers_every:
        each = f"every {chosen.peers_every} sessions" if chosen.peers_every > 1 else "every session"
        console.print(table(outcome.peers, f"beside peers, {each}", with_total=False))
    hours = outcome.recorded_s / 3600.0
    console.print(
        f"refused with a reason: {outcome.refused}; CPU {outcome.cpu_s / hours:.2f} s per hour of "
        f"recording ({hours:.1f} h); cut into {LIVE_CUT_S * 1000:.0f} ms batches: "
        f"{outcome.different} of {outcome.compared} sessions differ"
    )
    roads = run(driving(chosen.hours, DRIVING_SEED), 0, 0)
    false = sum(score.false for score in roads.ours.values())
    console.print(f"ordinary driving: {false} pulls in {roads.recorded_s / 3600.0:.1f} h")
    if chosen.pictures is not None:
        draw_worst(outcome.worst, chosen.pictures)


if __name__ == "__main__":
    main()
