"""A seeded fuzz run over every parser of what comes from outside.

    python tests/benchmarks/fuzz.py [inputs] [seed]        (240,000 and 1 where not given)

Counts by target: read, refused with an error for the user, wrong values, crashes, hangs (more than
two seconds of processor time; an input that never ends is stopped by the alarm). What is behind
each target, and who judges it, stands in tests/fuzz_targets.py.
"""

import faulthandler
import sys
import tempfile
import warnings
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from fuzzing import run

ALARM_S = 1_800  # a run that has not ended by then hangs: its stack is printed, and it ends


def main() -> None:
    warnings.simplefilter("error")
    faulthandler.dump_traceback_later(ALARM_S, exit=True)
    words = [int(word) for word in sys.argv[1:]]
    total, seed = (*words, *(240_000, 1)[len(words) :])
    print(f"{'':22} {'inputs':>8} {'read':>8} {'refused':>8} wrong crash  hang  slowest")
    inputs, sound = 0, True
    with tempfile.TemporaryDirectory() as folder:
        for outcome in run(total, seed, Path(folder)):
            counts = outcome.counts
            inputs, sound = inputs + counts.total(), sound and outcome.sound
            print(
                f"{outcome.target.name:22} {counts.total():8} {counts['read']:8} "
                f"{counts['refused']:8} {counts['wrong']:5} {counts['crash']:5} {counts['hang']:5} "
                f"{1e3 * outcome.slowest_s:6.0f} ms",
                flush=True,
            )
            print("\n".join(outcome.bad), end="\n" if outcome.bad else "")
    print(f"{inputs} inputs, seed {seed}")
    sys.exit(0 if sound else 1)


if __name__ == "__main__":
    main()
