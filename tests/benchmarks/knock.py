"""How pulls with random knock are judged: verdicts and first causes over kinds of knock.

    python tests/benchmarks/knock.py             # 200 pulls of each kind, a few minutes
    python tests/benchmarks/knock.py --pulls 20

The traces are those of tests/knock_traces.py: events at random, steps of 1 to 3 degrees, decays of
0.5 to 1.5 s, logged 10 to 100 times a second in steps of 0.1 to 0.75 degrees, in sweeps of 4 to 12
seconds. Every other channel is that of a healthy engine.
"""

import argparse
import sys
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parent.parent))

import numpy as np
from engine_pulls import Sweep
from knock_traces import KnockTrace, knocking_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.judging.verdict import pull_verdict
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.setup import Car, Setup

LIMITS: Final = Limits.of(DEFAULT_LIMITS, {}, "")
CONTEXT: Final = Context(setup=Setup(car=Car(boosted=True, cylinders=4)))
CYLINDERS: Final = 4
FIRST_SEED: Final = 50_000


@dataclass(frozen=True)
class Kind:
    """Events a second of every cylinder, drawn between two rates, and those of one bad one.

    wanted: the first cause that is right; None: no cause, and the pull healthy.
    """

    rate_per_s: tuple[float, float]
    bad_per_s: tuple[float, float] | None
    wanted: Cause | None


KINDS: Final[Mapping[str, Kind]] = {
    "at the knock limit": Kind((0.05, 0.3), None, None),
    "light, all alike": Kind((1.2, 1.8), None, Cause.LOW_OCTANE_FUEL),
    "moderate, all alike": Kind((1.8, 3.0), None, Cause.LOW_OCTANE_FUEL),
    "heavy, all alike": Kind((3.0, 5.0), None, Cause.LOW_OCTANE_FUEL),
    "one bad cylinder": Kind((0.02, 0.2), (1.0, 3.0), Cause.SINGLE_CYLINDER_KNOCK),
}


def trace_of(kind: Kind, chance: np.random.Generator) -> KnockTrace:
    """One engine of a kind and its log."""
    rates = [float(chance.uniform(*kind.rate_per_s))] * CYLINDERS
    if kind.bad_per_s is not None:
        rates[chance.integers(CYLINDERS)] = float(chance.uniform(*kind.bad_per_s))
    return KnockTrace(
        tuple(rates),
        decay_s=float(chance.uniform(0.5, 1.5)),
        rate_hz=float(chance.choice([10.0, 20.0, 50.0, 100.0])),
        resolution_deg=float(chance.choice([0.1, 0.375, 0.75])),
    )


def judged(kind: Kind, seed: int) -> tuple[tuple[Finding, ...], Severity]:
    """The findings of one pull, and its verdict."""
    chance = np.random.default_rng(seed)
    sweep = Sweep(duration_s=float(chance.uniform(4.0, 12.0)), rate_hz=100.0, seed=seed)
    pull = knocking_pull(trace_of(kind, chance), seed, sweep)
    findings = run_checks(pull, LIMITS, CONTEXT)
    return findings, pull_verdict(findings, pull)


def first_cause(findings: tuple[Finding, ...]) -> Cause | None:
    """The cause of the first finding that names one."""
    return next((f.cause for f in findings if f.cause is not None), None)


def main() -> None:
    """Print one line a kind."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pulls", type=int, default=200, help="of each kind")
    parser.add_argument("--seed", type=int, default=FIRST_SEED)
    parser.add_argument("--show", action="store_true", help="what was said where it is not right")
    given = parser.parse_args()
    print(f"{given.pulls} pulls of each kind, seeds from {given.seed}")
    print(f"{'kind':22} {'right':>6}  verdicts; first causes")
    for name, kind in KINDS.items():
        verdicts: Counter[str] = Counter()
        causes: Counter[str] = Counter()
        right = 0
        for seed in range(given.seed, given.seed + given.pulls):
            findings, verdict = judged(kind, seed)
            cause = first_cause(findings)
            is_right = cause is kind.wanted and verdict.is_trouble == (kind.wanted is not None)
            right += is_right
            verdicts[str(verdict)] += 1
            causes[str(cause or "none")] += 1
            if given.show and not is_right:
                print("  ", seed, *(f.text for f in findings if f.check == "ignition"))
        said = ", ".join(f"{n} {count}" for n, count in verdicts.most_common())
        named = ", ".join(f"{n} {count}" for n, count in causes.most_common())
        print(f"{name:22} {right / given.pulls:6.3f}  {said}; {named}", flush=True)


if __name__ == "__main__":
    main()
