"""Runs fuzz targets from a seed: what was read, refused, hung, crashed or came out wrong."""

import random
import time
import traceback
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from fuzz_targets import TARGETS, RefusedError, Target

from decode.errors import PullwatchError

LONGEST_S: Final = 2.0  # of processor time; the slowest sound input takes a hundredth of it
SHOWN: Final = 3


@dataclass
class Outcome:
    """counts: by "read", "refused", "wrong", "crash", "hang". bad: seed and trace of the first."""

    target: Target
    counts: Counter[str] = field(default_factory=Counter)
    slowest_s: float = 0.0
    bad: list[str] = field(default_factory=list)

    @property
    def sound(self) -> bool:
        """Nothing wrong, no crash, no hang."""
        return not self.bad


def run(
    total: int, seed: int, folder: Path, targets: Sequence[Target] = TARGETS
) -> Iterator[Outcome]:
    """Give each target its share of so many inputs."""
    shares = sum(target.share for target in targets)
    for target in targets:
        outcome = Outcome(target)
        for number in range(max(1, round(total * target.share / shares))):
            _feed(outcome, f"{seed}/{target.name}/{number}", folder)
        yield outcome


def _feed(outcome: Outcome, seed: str, folder: Path) -> None:
    begin = time.process_time()
    what, trace = "read", ""
    try:
        outcome.target.feed(random.Random(seed), folder)
    except (RefusedError, PullwatchError):
        what = "refused"
    except AssertionError:
        what, trace = "wrong", traceback.format_exc(limit=-3)
    except Exception:  # whatever else comes out is what a fuzz run looks for
        what, trace = "crash", traceback.format_exc(limit=-3)
    took_s = time.process_time() - begin
    if took_s > LONGEST_S:
        what = "hang"
    outcome.counts[what] += 1
    outcome.slowest_s = max(outcome.slowest_s, took_s)
    if what not in ("read", "refused") and len(outcome.bad) < SHOWN:
        outcome.bad.append(f"{what}: random.Random({seed!r})\n{trace}")
