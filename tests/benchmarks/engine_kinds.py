"""Scores the verdicts on the second model's engines (tests/independent_engines).

python tests/benchmarks/engine_kinds.py --sessions 2        (healthy, every kind and rate)
python tests/benchmarks/engine_kinds.py --sessions 5 --kinds large_turbo --seed 7000 --show
python tests/benchmarks/engine_kinds.py --faults 5 --mislabelled 5 --knock 20 --leak 20

Seeds from 1,000,000 on are held out: what is mended is mended on smaller ones. Intervals are
Wilson's, 95 %. A pull is accused where its verdict is "look closer" or "stop".
"""

import argparse
import random
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1]))

from engine_kinds_sessions import (
    CLOCK,
    KNOCK,
    LEAKS,
    SENSOR,
    Answer,
    Healthy,
    faulty_session,
    healthy_session,
    knock_session,
    leak_session,
    mislabelled_session,
)
from independent_engines.faults import FAULTS
from independent_engines.instruments import RATES
from independent_engines.kinds import KINDS
from independent_engines.spoilt_logs import MISLABELLED
from rich.console import Console
from rich.table import Table
from scipy.stats import binomtest

HELD_OUT = 1_000_000
COMMONEST = 40


def share(part: int, whole: int) -> str:
    """In per cent, with its 95 % interval (Wilson, J. Am. Stat. Assoc. 22 (1927) 209)."""
    if not whole:
        return "-"
    between = binomtest(part, whole).proportion_ci(method="wilson")
    return f"{100 * part / whole:.1f} ({100 * between.low:.1f} to {100 * between.high:.1f})"


def healthy_table(title: str, by: str, results: Sequence[Healthy]) -> Table:
    """One row for each kind or rate class, and all."""
    table = Table(title=title)
    heads = ("sessions", "pulls", "found", "false", "accused %", "alerts", "with alert %")
    for head in (by, *heads, "healthy", "not judged"):
        table.add_column(head, justify="left" if head == by else "right", no_wrap=True)
    groups = dict.fromkeys(getattr(result, by) for result in results)
    for group in (*groups, "all"):
        of = [r for r in results if group == "all" or getattr(r, by) == group]
        judged = sum(r.judged for r in of)
        table.add_row(
            group,
            str(len(of)),
            str(sum(r.pulls for r in of)),
            str(sum(r.found for r in of)),
            str(sum(r.false for r in of)),
            share(sum(r.accused for r in of), judged),
            str(sum(r.alerts for r in of)),
            share(sum(r.alerts > 0 for r in of), len(of)),
            str(sum(r.healthy for r in of)),
            str(sum(r.not_judged for r in of)),
        )
    return table


def wrong_table(results: Sequence[Healthy]) -> Table:
    """The commonest accusations, each with one that was said."""
    sessions: Counter[str] = Counter()
    example: dict[str, tuple[str, Healthy]] = {}
    kinds: dict[str, Counter[str]] = {}
    for result in results:
        for key in {f"{wrong.severity} {wrong.key}" for wrong in result.wrong}:
            sessions[key] += 1
            kinds.setdefault(key, Counter())[result.kind] += 1
        for wrong in result.wrong:
            example.setdefault(f"{wrong.severity} {wrong.key}", (wrong.text, result))
    table = Table(title="Wrong sentences, by sessions", show_lines=True)
    for head in ("sessions", "key", "kinds", "example", "seed"):
        table.add_column(head, overflow="fold")
    for key, count in sessions.most_common(COMMONEST):
        text, result = example[key]
        commonest = ", ".join(f"{kind} {n}" for kind, n in kinds[key].most_common(4))
        where = f"{result.kind}, {result.rate}, {result.seed}"
        table.add_row(str(count), key, commonest, text, where)
    return table


def causes_table(answers: Sequence[Answer]) -> Table:
    """Recall of the first cause and what was said instead, and whether it was seen at all."""
    table = Table(title="Causes: first cause of the last pull", show_lines=False)
    for head in ("truth", "severity", "sessions", "right", "seen", "said instead"):
        table.add_column(head, overflow="fold")
    recalls: dict[str, list[float]] = {}
    for truth in dict.fromkeys(answer.truth for answer in answers):
        for severity in ("clear", "severe"):
            of = [a for a in answers if (a.truth, a.severity) == (truth, severity)]
            if not of:
                continue
            right = sum(a.right for a in of) / len(of)
            recalls.setdefault(severity, []).append(right)
            seen = sum(a.seen for a in of) / len(of)
            instead = Counter(f"{a.first}" for a in of if not a.right).most_common(5)
            said = ", ".join(f"{first} {n}" for first, n in instead)
            table.add_row(truth, severity, str(len(of)), f"{right:.2f}", f"{seen:.2f}", said)
    for severity, each in recalls.items():
        table.add_row("macro", severity, "", f"{sum(each) / len(each):.3f}", "", "")
    return table


def seen_table(title: str, answers: Sequence[Answer], by: str) -> Table:
    """How many were not called healthy, and the first causes and verdicts."""
    table = Table(title=title)
    for head in (by, "sessions", "not healthy %", "verdicts", "first causes"):
        table.add_column(head, overflow="fold")
    for group in dict.fromkeys(getattr(answer, by) for answer in answers):
        of = [a for a in answers if getattr(a, by) == group]
        verdicts = Counter(a.verdict or "no pull" for a in of).most_common()
        first = Counter(a.first for a in of).most_common(6)
        not_healthy = sum(a.verdict != "healthy" for a in of)
        table.add_row(
            group,
            str(len(of)),
            share(not_healthy, len(of)),
            ", ".join(f"{verdict} {n}" for verdict, n in verdicts),
            ", ".join(f"{cause} {n}" for cause, n in first),
        )
    return table


@dataclass(frozen=True, slots=True)
class Task:
    """One session: what is asked of it, and what draws it."""

    ask: Callable[..., Any]
    of: tuple[Any, ...]


def jobs(asked: argparse.Namespace) -> Iterator[tuple[str, str, int]]:
    """Every healthy session to draw."""
    for kind in asked.kinds:
        for rate in asked.rates:
            for number in range(asked.sessions):
                yield kind, rate, asked.seed + number


def run(tasks: Sequence[Task], processes: int, minutes: float) -> list[list[Any]]:
    """The answers of each ask, in the order of its tasks; what is not done in time is left out.

    Tasks go in random order, so that a run that is stopped has judged every kind alike.
    """
    until_s = time.monotonic() + 60.0 * minutes
    order = list(range(len(tasks)))
    random.Random(len(tasks)).shuffle(order)
    done: dict[int, Any] = {}
    with ProcessPoolExecutor(processes) as pool:
        waiting: dict[Future[Any], int] = {}
        while order or waiting:
            while order and len(waiting) < 3 * processes:
                number = order.pop()
                waiting[pool.submit(tasks[number].ask, *tasks[number].of)] = number
            finished, _ = wait(waiting, return_when=FIRST_COMPLETED)
            for future in finished:
                done[waiting.pop(future)] = future.result()
            if time.monotonic() > until_s:
                order = []
    asks = list(dict.fromkeys(task.ask for task in tasks))
    return [[done[i] for i, t in enumerate(tasks) if t.ask is ask and i in done] for ask in asks]


def print_healthy(console: Console, results: Sequence[Healthy], show: bool) -> None:
    """The tables of healthy cars."""
    for result in results if show else ():
        for wrong in result.wrong:
            where = f"{result.kind}, {result.rate}, {result.seed}"
            console.print(f"[{where}] {wrong.severity} {wrong.key}: {wrong.text}", markup=False)
    console.print(healthy_table("Healthy, by kind", "kind", results))
    console.print(healthy_table("Healthy, by rate class", "rate", results))
    console.print(wrong_table(results))


def print_answers(console: Console, answers: Iterable[Answer]) -> None:
    """Every answer that is not right, whole."""
    for a in answers:
        if not a.right:
            where = f"{a.truth} {a.severity}, {a.kind}, {a.rate}, {a.seed}"
            console.print(f"[{where}] {a.verdict}, {a.first}: {a.text}", markup=False)


def parsed() -> argparse.Namespace:
    """What the command line asks for."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--sessions", type=int, default=0, help="healthy, of each kind and rate")
    parser.add_argument("--kinds", nargs="+", default=list(KINDS), choices=list(KINDS))
    parser.add_argument("--rates", nargs="+", default=list(RATES), choices=list(RATES))
    parser.add_argument("--faults", type=int, default=0, help="of each fault and severity")
    names = [*FAULTS, SENSOR, CLOCK]
    parser.add_argument("--fault-names", nargs="+", default=names, choices=names)
    parser.add_argument("--mislabelled", type=int, default=0, help="of each mistake")
    parser.add_argument("--knock", type=int, default=0, help="of each level")
    parser.add_argument("--leak", type=int, default=0, help="of each size")
    parser.add_argument("--seed", type=int, default=0, help=f"from {HELD_OUT:,} on: held out")
    parser.add_argument("--minutes", type=float, default=600.0, help="score what is done by then")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--show", action="store_true", help="every wrong sentence")
    return parser.parse_args()


def main() -> None:
    """Print the tables."""
    asked = parsed()
    console = Console(width=170)

    def seeds(count: int) -> range:
        return range(asked.seed, asked.seed + count)

    tasks = [
        *(Task(healthy_session, job) for job in jobs(asked)),
        *(
            Task(faulty_session, (name, severe, i))
            for name in asked.fault_names
            for severe in (False, True)
            for i in seeds(asked.faults)
        ),
        *(Task(mislabelled_session, (n, i)) for n in MISLABELLED for i in seeds(asked.mislabelled)),
        *(Task(knock_session, (level, i)) for level in KNOCK for i in seeds(asked.knock)),
        *(Task(leak_session, (share, i)) for share in LEAKS for i in seeds(asked.leak)),
    ]
    asks = dict.fromkeys(task.ask for task in tasks)
    answers = dict(zip(asks, run(tasks, asked.processes, asked.minutes), strict=True))
    if healthy := answers.pop(healthy_session, []):
        print_healthy(console, healthy, asked.show)
    if faulty := answers.get(faulty_session):
        console.print(causes_table(faulty))
    for ask, title, by in (
        (mislabelled_session, "Mislabelled columns of healthy cars", "truth"),
        (knock_session, "Knock, pulls", "severity"),
        (leak_session, "Leak after two healthy pulls", "severity"),
    ):
        if given := [answer for answer in answers.get(ask, []) if answer is not None]:
            console.print(seen_table(title, given, by))
    if asked.show:
        print_answers(console, (a for given in answers.values() for a in given if a is not None))


if __name__ == "__main__":
    main()
