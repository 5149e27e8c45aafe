"""Rules every test lives under: no task or thread left over, nothing outside this machine."""

import asyncio
import fcntl
import gc
import importlib.util
import inspect
import ipaddress
import os
import platform
import socket
import threading
import time
import tomllib
from collections.abc import AsyncIterator, Generator, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from packaging.requirements import Requirement

pytest_plugins = ["mosquitto_broker", "transports", "end_to_end_demo", "shared_browser"]  # fixtures

REPOSITORY = Path(__file__).parent.parent
NOT_FOR_THIS_PYTHON = pytest.StashKey[bool]()


def pytest_runtest_setup(item: pytest.Item) -> None:
    """A test marked needs_distribution is skipped where that is missing, and says why."""
    for marker in item.iter_markers("needs_distribution"):
        (name,) = marker.args
        if importlib.util.find_spec(name):
            continue
        needed = requirement_of_tests(name)
        if needed.marker and not needed.marker.evaluate():
            item.stash[NOT_FOR_THIS_PYTHON] = True
            python = platform.python_version()
            pytest.skip(f"{name} cannot be had for Python {python}: it asks for {needed.marker}")
        pytest.skip(f"the package {name} is not installed")


def requirement_of_tests(name: str) -> Requirement:
    """What pyproject.toml's extra `test` asks of that distribution."""
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text("utf-8"))["project"]
    wanted = [Requirement(line) for line in project["optional-dependencies"]["test"]]
    (found,) = (requirement for requirement in wanted if requirement.name == name)
    return found


# An example may take as long as the machine makes it take.
settings.register_profile(
    "any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("any machine")

# The workers share the processors: threads of the linear algebra in each would only be in the way.
for library in ("OPENBLAS", "OMP", "MKL"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")


gc.disable()  # while modules are loaded, which are no garbage


def pytest_collection_finish() -> None:
    """What is loaded stays: the garbage collector need not look through all of it again."""
    gc.freeze()
    gc.enable()


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Modules with a test that runs alone first, while little waits for it; then those with a slow
    one: begun last, it would keep a single worker busy at the end."""
    marked = {
        mark: {item.path for item in items if item.get_closest_marker(mark)}
        for mark in ("alone", "slow")
    }
    items.sort(key=lambda item: [item.path not in paths for paths in marked.values()])


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_runtest_protocol(item: pytest.Item) -> Generator[None, object, object]:
    """No other worker's test runs beside one marked `alone`; its timeout starts after the wait."""
    alone = item.get_closest_marker("alone") is not None
    with (REPOSITORY / "pyproject.toml").open() as gate, Path(__file__).open() as machine:
        fcntl.flock(gate, fcntl.LOCK_EX)  # so that whoever waits to be alone is next
        fcntl.flock(machine, fcntl.LOCK_EX if alone else fcntl.LOCK_SH)
        fcntl.flock(gate, fcntl.LOCK_UN)
        return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Any:
    """Where PULLWATCH_NO_SKIP is set (.ci/run sets it), a skipped test is a failure.

    Except one whose package pyproject.toml itself leaves out for this Python.
    """
    report = yield
    allowed = hasattr(report, "wasxfail") or item.stash.get(NOT_FOR_THIS_PYTHON, False)
    if report.skipped and os.environ.get("PULLWATCH_NO_SKIP") and not allowed:
        report.outcome = "failed"
        report.longrepr = f"skipped, and PULLWATCH_NO_SKIP forbids it: {report.longrepr}"
    return report


@pytest.fixture(autouse=True)
def loopback_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """A connection to anywhere but this machine fails the test that tries it."""
    connect = socket.socket.connect

    def guarded(self: socket.socket, address: Any) -> None:
        if self.family in (socket.AF_INET, socket.AF_INET6):
            host = "127.0.0.1" if address[0] == "localhost" else address[0]
            assert ipaddress.ip_address(host).is_loopback, f"a test reached for {address}"
        return connect(self, address)

    monkeypatch.setattr(socket.socket, "connect", guarded)


@pytest.fixture(autouse=True)
def no_leftover_task(request: pytest.FixtureRequest) -> None:
    """A test that leaves a task behind fails. One that is no coroutine needs no event loop."""
    if inspect.iscoroutinefunction(getattr(request, "function", None)):
        request.getfixturevalue("no_task_left")


@pytest.fixture
async def no_task_left() -> AsyncIterator[None]:
    before = asyncio.all_tasks()
    yield
    own = {asyncio.current_task()}  # this fixture is finished by a task of its own
    left = {task for task in asyncio.all_tasks() - before - own if task and not task.done()}
    assert not left, f"left running: {[task.get_name() for task in left]}"


@pytest.fixture(autouse=True)
def no_leftover_thread() -> Iterator[None]:
    """A test that leaves a non-daemon thread behind fails; executor threads are asyncio's own."""
    before = set(threading.enumerate())
    yield
    deadline = time.monotonic() + 20.0
    while time.monotonic() < deadline:
        left = [
            t
            for t in set(threading.enumerate()) - before
            if t.is_alive() and not t.daemon and not t.name.startswith(("asyncio_", "Thread-Pool"))
        ]
        if not left:
            return
        time.sleep(0.01)
    raise AssertionError(f"left running: {[t.name for t in left]}")


@pytest.fixture(scope="session")
def open_data() -> Path:
    """The folder with the open data sets; skips where it is absent (never part of a clone)."""
    named = os.environ.get("PULLWATCH_TEST_DATA")
    folder = Path(named) if named else REPOSITORY.parent / "shared" / "data"
    if not folder.is_dir():
        pytest.skip(f"open data not found at {folder}; set PULLWATCH_TEST_DATA to its folder")
    return folder
