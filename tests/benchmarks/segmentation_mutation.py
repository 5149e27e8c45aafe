"""Changes each constant of the segmenter by a factor, up and down, and shows which test notices.

    python tests/benchmarks/segmentation_mutation.py --factor 2 [--only SHORTEST_S] [--tests FILE]

The tests run once unchanged, so that sessions are simulated once; each change is then made in a
fork, in every module that holds the constant, and ends with the first test that fails. Tests that
have noticed most so far come first. Whole numbers are changed by at least one.
"""

import argparse
import importlib
import io
import os
import pkgutil
import sys
from collections import Counter
from collections.abc import Sequence
from contextlib import redirect_stdout
from types import ModuleType
from typing import Any, Final

import pytest

import analysis.segmenting
import analysis.segmenting.segmenter
from analysis.segmenting.intent import Opening

TESTS: Final = (
    "tests/analysis/test_analysis_segmenting_bounds.py",
    "tests/analysis/test_analysis_segmenting_closing.py",
    "tests/analysis/test_analysis_segmenting_flap.py",
    "tests/analysis/test_analysis_segmenting_readings.py",
    "tests/analysis/test_analysis_segmenting_refusal.py",
    "tests/analysis/test_analysis_segmenting_signals.py",
    "tests/analysis/test_analysis_segmenting_watch.py",
    "tests/analysis/test_analysis_segmenting_sections.py",
    "tests/analysis/test_analysis_segmenter.py",
    "tests/analysis/test_analysis_segmenter_memory.py",
    "tests/analysis/test_analysis_segmenter_hard.py",
    "tests/analysis/test_analysis_segmenter_corpus.py",
)


def modules() -> list[ModuleType]:
    """The segmenter's own."""
    package = analysis.segmenting
    names = [f"{package.__name__}.{m.name}" for m in pkgutil.iter_modules(package.__path__)]
    return [analysis.segmenting.segmenter, *(importlib.import_module(name) for name in names)]


def constants() -> dict[str, Any]:
    """Numbers, pairs of numbers and openings by name, each once."""
    kinds = (int, float, tuple, Opening)
    return {
        name: value
        for module in modules()
        for name, value in vars(module).items()
        if name.lstrip("_").isupper() and isinstance(value, kinds) and _is_of_numbers(value)
    }


def _is_of_numbers(value: object) -> bool:
    return not isinstance(value, tuple) or all(isinstance(v, int | float) for v in value)


def changed(value: Any, factor: float) -> Any:
    """The same kind of value, by the factor."""
    if isinstance(value, Opening):
        return Opening(value.open_at * factor, value.closed_below * factor)
    if isinstance(value, tuple):
        return tuple(changed(part, factor) for part in value)
    if isinstance(value, int):
        return (
            max(round(value * factor), value + 1)
            if factor > 1.0
            else min(round(value * factor), value - 1)
        )
    return value * factor


class Ledger:
    """A pytest plugin: orders the tests by what they have noticed, keeps the first that fails."""

    def __init__(self, tests: Sequence[str]) -> None:
        self._tests = tests
        self.noticed = Counter[str]()
        self.seconds: dict[str, float] = {}
        self.failed = ""

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """The most watchful first, then the quickest."""
        items.sort(key=lambda i: (-self.noticed[i.nodeid], self.seconds.get(i.nodeid, 0.0)))

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """The time of each, and the first failure."""
        if report.when == "call":
            self.seconds[report.nodeid] = report.duration
        if report.failed and not self.failed:
            self.failed = report.nodeid

    def run(self) -> str:
        """Id of the first test that fails, empty where none does."""
        self.failed = ""
        quiet = ("-q", "-x", "-p", "no:cacheprovider", "-o", "timeout=0", "--no-header")
        with redirect_stdout(io.StringIO()):
            code = pytest.main([*quiet, *self._tests], plugins=[self])
        return self.failed or ("" if code == pytest.ExitCode.OK else "the tests did not run")


def noticed_by(ledger: Ledger, name: str, value: Any) -> str:
    """The test that notices when the constant has this value; empty where none does."""
    reading, writing = os.pipe()
    if os.fork() == 0:
        os.close(reading)
        for module in modules():
            if hasattr(module, name):
                setattr(module, name, value)
        failed = ledger.run()
        os.write(writing, failed.encode())
        os._exit(0)
    os.close(writing)
    with os.fdopen(reading) as pipe:
        failed = pipe.read()
    os.wait()
    ledger.noticed[failed] += 1
    return failed.partition("::")[2]


def main() -> None:
    """One line a constant."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--factor", type=float, default=2.0)
    arguments.add_argument("--only", nargs="*", help="names of constants")
    arguments.add_argument("--tests", nargs="*", default=TESTS, help="files")
    chosen = arguments.parse_args()
    ledger = Ledger(chosen.tests)
    unchanged = ledger.run()
    if unchanged:
        sys.exit(f"fails unchanged: {unchanged}")
    unnoticed = []
    for name, value in constants().items():
        if chosen.only and name not in chosen.only:
            continue
        found = [
            noticed_by(ledger, name, changed(value, factor))
            for factor in (chosen.factor, 1.0 / chosen.factor)
        ]
        if not any(found):
            unnoticed.append(name)
        up, down = (failed or "-" for failed in found)
        print(f"{name:24} x{chosen.factor:g}: {up:72} /{chosen.factor:g}: {down}", flush=True)
    print(f"{len(unnoticed)} constants whose change no test notices: {' '.join(unnoticed)}")


if __name__ == "__main__":
    main()
