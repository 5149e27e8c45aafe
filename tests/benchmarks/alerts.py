"""Are the live alerts true? Simulated pulls with and without faults, held against the physics.

python tests/benchmarks/alerts.py --pulls 2000 --seed 100000
Half of the pulls are healthy, a quarter knocks, the rest has the other faults or falls silent.
An alert is owed where the true signal, before any sensor, is beyond the second limit by the rule
itself (its lag, its mean) for as long as the rule waits. It is false where the true signal never
came near the first limit at all.

The time from onset to alert is counted twice: from where the true value first is beyond by the
rule, and from where it stays beyond for as long as the rule asks (two samples, or longer).

A healthy car's knock control works too: an alert on a retard that was really there, for all its
octane and its cold air, is true, and is counted in its own figure.
"""

import argparse
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import numpy as np
from rich.console import Console
from rich.progress import track
from rich.table import Table

sys.path.insert(0, str(Path(__file__).parents[1]))

from alert_truth import FAULTS, KNOCK, Case, Outcome, faulty, healthy, play, silenced

from analysis.model.findings import Severity

OTHERS: Final = tuple(cause for cause in FAULTS if cause not in KNOCK)
LARGEST_FALSE_SHARE: Final = 0.001  # of the pulls


def cases(count: int, first: int) -> Iterator[Case]:
    """The mixture, by seeds from first."""
    for seed in range(first, first + count // 2):
        yield healthy(seed)
    for seed in range(first, first + count // 4):
        yield faulty(KNOCK[seed % len(KNOCK)], seed)
    rest = len(OTHERS) + 2
    for seed in range(first, first + count // 4):
        kind = seed % rest
        if kind < len(OTHERS):
            yield faulty(OTHERS[kind], seed)
        else:
            yield silenced(("source", "channel")[kind - len(OTHERS)], seed)


def of_groups(outcomes: list[Outcome]) -> Table:
    """One row for what was wrong with the car."""
    table = Table("", "pulls", "with an alert", "owed", "missed", "false", title="by fault")
    groups: dict[str, list[Outcome]] = defaultdict(list)
    for outcome in outcomes:
        groups[outcome.case.name].append(outcome)
    for name, group in groups.items():
        figures = (
            sum(o.pulls for o in group),
            sum(bool(o.raised) for o in group),
            sum(sum(o.owed.values()) for o in group),
            sum(len(o.missed) for o in group),
            sum(len(o.false) for o in group),
        )
        table.add_row(name, *map(str, figures))
    return table


def of_kinds(outcomes: list[Outcome]) -> Table:
    """One row for a kind of alert."""
    table = Table("", "owed", "missed", "raised", "false", title="by kind of alert")
    for start in ("onset", "lasting"):
        for share in ("p50", "p99", "most"):
            table.add_column(f"{start} to alert, s: {share}")
    owed, missed = Counter[str](), Counter[str]()
    raised, false = Counter[str](), Counter[str]()
    late_s: dict[str, list[float]] = defaultdict(list)
    lasting_late_s: dict[str, list[float]] = defaultdict(list)
    for outcome in outcomes:
        owed.update({kind.value: count for kind, count in outcome.owed.items()})
        missed.update(subject.kind.value for subject in outcome.missed)
        raised.update(alert.kind.value for alert in outcome.raised)
        false.update(alert.kind.value for alert in outcome.false)
        for of_kind, found in outcome.delays_s.items():
            late_s[of_kind.value] += found
        for of_kind, found in outcome.lasting_delays_s.items():
            lasting_late_s[of_kind.value] += found
    for kind in sorted(raised | owed):
        times = [
            f"{np.percentile(found[kind], share):.3f}" if found[kind] else "-"
            for found in (late_s, lasting_late_s)
            for share in (50, 99, 100)
        ]
        counts = (owed[kind], missed[kind], raised[kind], false[kind])
        table.add_row(kind, *map(str, counts), *times)
    return table


def severities(outcomes: list[Outcome]) -> str:
    """Whether alert and verdict say the same."""
    live = [o for o in outcomes if o.stopped_live]
    not_said = [o for o in live if o.verdict is not Severity.STOP]
    trusted = [o for o in not_said if not o.distrusts]
    judged = [o for o in outcomes if o.verdict is Severity.STOP]
    silent = [o for o in judged if not o.stopped_live]
    checks = Counter(check for o in silent for check in o.stop_checks)
    return (
        f"{len(live)} pulls with a stop alert inside, {len(not_said)} of them without a stop in "
        f"the verdict ({len(trusted)} with all data trusted); {len(judged)} stop verdicts, "
        f"{len(silent)} of them without a stop alert in the pull: {dict(checks)}"
    )


def main() -> int:
    """Run and print; fails where an owed alert is missed or too many are false."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--pulls", type=int, default=2000)
    arguments.add_argument("--seed", type=int, default=0, help="the first")
    console = Console(width=150)
    chosen = arguments.parse_args()
    wanted = list(cases(chosen.pulls, chosen.seed))
    began = time.process_time()
    outcomes = [play(case, judge=True) for case in track(wanted, console=console)]
    console.print(of_groups(outcomes))
    console.print(of_kinds(outcomes))
    for outcome in outcomes:
        for subject in outcome.missed:
            console.print(f"missed: {outcome.case.name} {outcome.case.seed}: {subject}")
        for alert in outcome.false:
            console.print(f"false: {outcome.case.name} {outcome.case.seed}: {alert.statement.text}")
    console.print(severities(outcomes))
    missed = sum(len(outcome.missed) for outcome in outcomes)
    untrue = sum(bool(outcome.false) for outcome in outcomes)
    share = untrue / len(outcomes)
    well = [outcome for outcome in outcomes if outcome.case.name == "healthy"]
    console.print(
        f"{missed} alerts missed; {untrue} of {len(outcomes)} pulls with a false alert "
        f"({100.0 * share:.2f} %); {sum(bool(outcome.raised) for outcome in well)} of {len(well)} "
        f"healthy cars with an alert; {time.process_time() - began:.0f} s of processor time"
    )
    return int(missed > 0 or share > LARGEST_FALSE_SHARE)


if __name__ == "__main__":
    raise SystemExit(main())
