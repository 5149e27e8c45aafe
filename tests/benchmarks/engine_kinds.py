"""Scores the verdicts on the second model's engines (tests/independent_engines).

python tests/benchmarks/engine_kinds.py --sessions 2                  (healthy, every kind and rate)
python tests/benchmarks/engine_kinds.py --sessions 5 --kinds large_turbo --seed 7000 --show

Seeds from 1,000,000 on are held out: what is mended is mended on smaller ones. Intervals are
Wilson's, 95 %. A pull is accused where its verdict is "look closer" or "stop".
"""

import argparse
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass

from independent_engines.instruments import RATES
from independent_engines.judging import judge, overlap
from independent_engines.kinds import KINDS
from independent_engines.sessions import draw_session
from rich.console import Console
from rich.table import Table
from scipy.stats import binomtest

from analysis.model.events import AlertKind
from analysis.model.findings import Severity

HELD_OUT = 1_000_000
COMMONEST = 40
# alerts about what is not logged or does not come, none of which accuses the engine
OF_THE_DATA = (AlertKind.BLIND, AlertKind.SOURCE_SILENT)


@dataclass(frozen=True, slots=True)
class Wrong:
    """A sentence about a healthy car that accuses it."""

    key: str
    text: str
    severity: str


@dataclass(frozen=True, slots=True)
class Healthy:
    """What a session of a healthy car gave."""

    kind: str
    rate: str
    seed: int
    pulls: int
    found: int
    judged: int  # a pull with a gear change in it may be judged as two
    false: int  # where no pull was driven
    accused: int
    healthy: int
    not_judged: int
    alerts: int
    wrong: tuple[Wrong, ...]


def healthy_session(kind: str, rate: str, seed: int) -> Healthy:
    """Draw it and judge it."""
    session = draw_session(kind, rate, seed)
    judged = judge(session)
    found = [judged.report_of(true) for true in session.pulls]
    reports = list(judged.reports)
    wrong = [
        Wrong(finding.statements[0].key, finding.text, str(finding.severity))
        for report in reports
        for finding in report.findings
        if finding.severity.is_trouble
    ]
    alerts = [a for a in judged.alerts if a.severity.is_trouble and a.kind not in OF_THE_DATA]
    wrong += [Wrong(f"alert {a.statement.key}", a.statement.text, str(a.severity)) for a in alerts]
    return Healthy(
        kind,
        rate,
        seed,
        len(session.pulls),
        sum(report is not None for report in found),
        len(reports),
        sum(all(overlap(r, true) == 0.0 for true in session.pulls) for r in reports),
        sum(report.verdict.is_trouble for report in reports),
        sum(report.verdict is Severity.HEALTHY for report in reports),
        sum(report.verdict is Severity.NOTE for report in reports),
        len(alerts),
        tuple(wrong),
    )


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


def jobs(
    kinds: Iterable[str], rates: Iterable[str], count: int, seed: int
) -> Iterator[tuple[str, str, int]]:
    """Every session to draw, kinds and rates in turn."""
    rates = list(rates)
    for kind in kinds:
        for rate in rates:
            for number in range(count):
                yield kind, rate, seed + number


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    parser.add_argument("--sessions", type=int, default=1, help="of each kind and rate class")
    parser.add_argument("--kinds", nargs="+", default=list(KINDS), choices=list(KINDS))
    parser.add_argument("--rates", nargs="+", default=list(RATES), choices=list(RATES))
    parser.add_argument("--seed", type=int, default=0, help=f"from {HELD_OUT:,} on: held out")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--show", action="store_true", help="every wrong sentence as it comes")
    arguments = parser.parse_args()
    console = Console(width=170)
    drawn = list(jobs(arguments.kinds, arguments.rates, arguments.sessions, arguments.seed))
    results = []
    with ProcessPoolExecutor(arguments.processes) as pool:
        for result in pool.map(healthy_session, *zip(*drawn, strict=True), chunksize=4):
            results.append(result)
            if arguments.show:
                for wrong in result.wrong:
                    where = f"{result.kind}, {result.rate}, {result.seed}"
                    console.print(
                        f"[{where}] {wrong.severity} {wrong.key}: {wrong.text}", markup=False
                    )
    console.print(healthy_table("Healthy, by kind", "kind", results))
    console.print(healthy_table("Healthy, by rate class", "rate", results))
    console.print(wrong_table(results))


if __name__ == "__main__":
    main()
