"""How long one pull takes to analyse: 15 s, 40 channels at 100 Hz, every check, causes included.

python tests/benchmarks/analysis_time.py
"""

import statistics
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

sys.path.insert(0, str(Path(__file__).parent.parent))

from engine_pulls import HEALTHY, Sweep, engine_pull

from analysis.causes.explain import explain
from analysis.checks import CHECKS, DEFAULT_LIMITS, observe, run_checks
from analysis.checks.check import Context
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Dyno, Setup
from analysis.power.curve import power_curve

CHANNELS: Final = 40
RATE_HZ: Final = 100.0
REPEATS: Final = 50


def wide_pull() -> Pull:
    """The healthy pull with more channels, which are read but seldom judged, up to forty."""
    pull = engine_pull(sweep=Sweep(duration_s=15.0, rate_hz=RATE_HZ))
    names = [name for name in HEALTHY if name != "engine_speed"]
    channels, samples = dict(pull.channels), dict(pull.samples)
    for index in range(CHANNELS - len(channels)):
        twin = names[index % len(names)]
        channels[f"{twin}_twin"] = replace(channels[twin], name=f"{twin}_twin")
        samples[f"{twin}_twin"] = samples[twin]
    return replace(pull, channels=channels, samples=samples)


def median_ms(work: Callable[[], object]) -> float:
    """Median time of a call, in milliseconds."""
    times = []
    for _ in range(REPEATS):
        started = time.perf_counter()
        work()
        times.append(1000 * (time.perf_counter() - started))
    return statistics.median(times)


def main() -> None:
    """Print the table."""
    pull, limits = wide_pull(), Limits.of(DEFAULT_LIMITS, {}, "")
    setup = Setup(
        car=Car(displacement_l=1.6, boosted=True),
        dyno=Dyno(inertia_kg_m2=20.0, roller_radius_m=0.3),
    )
    context = Context(setup=setup, earlier=(pull,))
    print(f"{len(pull.channels)} channels, {len(pull.samples['boost'])} samples each")
    seen = []
    for check in CHECKS:
        found = observe(check, pull, limits, context, frozenset())
        seen += found
        spent = median_ms(partial(observe, check, pull, limits, context, frozenset()))
        print(f"  {check.name:22} {spent:7.2f} ms")
    print(f"  {'causes':22} {median_ms(lambda: explain(seen)):7.2f} ms")
    print(f"  {'torque and power':22} {median_ms(lambda: power_curve(pull, setup)):7.2f} ms")
    whole = median_ms(lambda: (run_checks(pull, limits, context), power_curve(pull, setup)))
    print(f"all of it, median of {REPEATS}: {whole:.1f} ms (at most 50)")


if __name__ == "__main__":
    main()
