"""Scores the verdicts on the second model's engines (tests/independent_engines).

python tests/benchmarks/engine_kinds.py --sessions 2        (healthy, every kind and rate)
python tests/benchmarks/engine_kinds.py --sessions 5 --kinds large_turbo --seed 7000 --show
python tests/benchmarks/engine_kinds.py --faults 5 --mislabelled 5 --knock 20 --leak 20

Seeds from 1,000,000 on are held out: what is mended is mended on smaller ones. Intervals are
Wilson's, 95 %. A pull is accused where its verdict is "look closer" or "stop".
"""

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path
from typing import Any, TypeVar

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
R = TypeVar("R")


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


def jobs(
    kinds: Iterable[str], rates: Iterable[str], count: int, seed: int
) -> Iterator[tuple[str, str, int]]:
    """Every healthy session to draw."""
    rates = list(rates)
    for kind in kinds:
        for rate in rates:
            for number in range(count):
                yield kind, rate, seed + number


def run(
    pool: ProcessPoolExecutor, ask: Callable[..., R], drawn: Sequence[tuple[Any, ...]]
) -> list[R]:
    """All sessions, in their order."""
    return list(pool.map(ask, *zip(*drawn, strict=True), chunksize=4)) if drawn else []


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
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--show", action="store_true", help="every wrong sentence")
    return parser.parse_args()


def main() -> None:
    """Print the tables."""
    asked = parsed()
    console = Console(width=170)
    first = asked.seed

    def seeds(count: int) -> range:
        return range(first, first + count)

    with ProcessPoolExecutor(asked.processes) as pool:
        if asked.sessions:
            drawn = list(jobs(asked.kinds, asked.rates, asked.sessions, first))
            print_healthy(console, run(pool, healthy_session, drawn), asked.show)
        faults = [
            (n, s, i) for n in asked.fault_names for s in (False, True) for i in seeds(asked.faults)
        ]
        answers = run(pool, faulty_session, faults)
        if answers:
            console.print(causes_table(answers))
        spoilt = [(name, i) for name in MISLABELLED for i in seeds(asked.mislabelled)]
        misread = [a for a in run(pool, mislabelled_session, spoilt) if a is not None]
        if misread:
            console.print(seen_table("Mislabelled columns of healthy cars", misread, "truth"))
        knock = run(pool, knock_session, [(k, i) for k in KNOCK for i in seeds(asked.knock)])
        if knock:
            console.print(seen_table("Knock, pulls", knock, "severity"))
        leak = run(pool, leak_session, [(share, i) for share in LEAKS for i in seeds(asked.leak)])
        if leak:
            console.print(seen_table("Leak after two healthy pulls", leak, "severity"))
        if asked.show:
            print_answers(console, (*answers, *misread, *knock, *leak))


if __name__ == "__main__":
    main()
