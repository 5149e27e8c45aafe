"""Changes each constant of the segmenter by a factor and shows which tests notice.

    python tests/benchmarks/segmentation_mutation.py [factor]     (3 where not given)

Each constant is changed in every module that holds it, in a process of its own.
"""

import importlib
import pkgutil
import re
import subprocess
import sys
from types import ModuleType

import analysis.segmenter
import analysis.segmenting

TESTS = (
    "tests/analysis/test_analysis_segmenter.py",
    "tests/analysis/test_analysis_segmenter_hard.py",
    "tests/analysis/test_analysis_segmenter_corpus.py",
)


def modules() -> list[ModuleType]:
    """The segmenter's own."""
    package = analysis.segmenting
    names = [f"{package.__name__}.{m.name}" for m in pkgutil.iter_modules(package.__path__)]
    return [analysis.segmenter, *(importlib.import_module(name) for name in names)]


def constants() -> list[str]:
    """Names of the plain numbers, each once."""
    found: dict[str, None] = {}
    for module in modules():
        for name, value in vars(module).items():
            if name.isupper() and isinstance(value, int | float) and not isinstance(value, bool):
                found[name] = None
    return list(found)


def run_changed(name: str, factor: float) -> int:
    """Inside the child: change the constant everywhere, then run the tests."""
    import pytest

    for module in modules():
        value = getattr(module, name, None)
        if isinstance(value, int | float):
            setattr(module, name, type(value)(value * factor))
    return int(pytest.main(["-q", "-x", "--no-header", "-p", "no:cacheprovider", *TESTS]))


def first_failure(name: str, factor: float) -> str:
    """The first test that notices; empty where none does."""
    child = [sys.executable, __file__, "--child", name, str(factor)]
    output = subprocess.run(child, capture_output=True, text=True, check=False).stdout
    match = re.search(r"^(?:FAILED|ERROR) \S+?::(\S+)", output, re.MULTILINE)
    return match.group(1) if match else ""


def main() -> None:
    """One line a constant, both ways."""
    factor = float(sys.argv[1]) if len(sys.argv) > 1 else 3.0
    unnoticed = 0
    for name in constants():
        noticed = [first_failure(name, factor), first_failure(name, 1.0 / factor)]
        unnoticed += not any(noticed)
        print(f"{name:26} x{factor:g}: {noticed[0] or '-':60} /{factor:g}: {noticed[1] or '-'}")
    print(f"{unnoticed} constants whose change no test notices")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--child"]:
        sys.exit(run_changed(sys.argv[2], float(sys.argv[3])))
    main()
