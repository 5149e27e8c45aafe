"""A small fuzz run in every test run; tests/benchmarks/fuzz.py is the large one."""

from pathlib import Path

import pytest
from fuzz_targets import TARGETS, Target
from fuzzing import run

INPUTS = 3_000
SEED = 7
SHARES = sum(target.share for target in TARGETS)


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_nothing_from_outside_crashes_hangs_or_lies(target: Target, tmp_path: Path) -> None:
    (outcome,) = run(round(INPUTS * target.share / SHARES), SEED, tmp_path, [target])
    assert outcome.sound, "\n".join(outcome.bad)
    assert outcome.counts["read"] > 0
    assert outcome.counts["refused"] > 0  # the damage reaches the parser
