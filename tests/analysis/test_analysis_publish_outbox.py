import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from patience import PATIENCE_S, wait_until

from analysis.publish.messages.station import Topic
from analysis.publish.mqtt import outbox as outbox_module
from analysis.publish.mqtt.outbox import Outbox, Outgoing

# It is killed when the outbox lets something settle for the second time: the first is written.
KILLED = """
import os, sys, threading
from itertools import count
from pathlib import Path
from types import SimpleNamespace
from analysis.publish.mqtt import outbox as module
from analysis.publish.mqtt.outbox import Outbox, Outgoing
from analysis.publish.messages.station import Topic
all_added = threading.Event()
moments = iter([all_added.wait, lambda: os.kill(os.getpid(), 9)])
module.time = SimpleNamespace(sleep=lambda _: next(moments)())
outbox = Outbox(Path(sys.argv[1]))
outbox.start().result()
for number in count():
    outbox.add(Outgoing(str(number), Topic.ALERT, b"x"))
    if number == 49:
        all_added.set()
"""


class Settling:
    """Instead of the time that the outbox gives its messages: the test says when it is over."""

    def __init__(self) -> None:
        self._begun = threading.Semaphore(0)
        self._over = threading.Semaphore(0)
        self._waits = True

    def sleep(self, _seconds: float) -> None:
        if self._waits:
            self._begun.release()
            assert self._over.acquire(timeout=PATIENCE_S)

    def begun(self) -> None:
        """Until something settles."""
        assert self._begun.acquire(timeout=PATIENCE_S)

    def over(self) -> None:
        self._over.release()

    def wait_no_more(self) -> None:
        self._waits = False
        self._over.release()


@pytest.fixture
def settling(monkeypatch: pytest.MonkeyPatch) -> Settling:
    stand_in = Settling()
    monkeypatch.setattr(outbox_module, "time", stand_in)
    return stand_in


def message(number: int, topic: Topic = Topic.FINDING) -> Outgoing:
    return Outgoing(f"id-{number}", topic, f"payload {number}".encode())


def left_over(path: Path) -> list[Outgoing]:
    outbox = Outbox(path)
    messages = outbox.start().result(PATIENCE_S)
    outbox.close()
    return messages


def bytes_in(folder: Path) -> int:
    return sum(file.stat().st_size for file in folder.iterdir())


def test_what_is_not_removed_is_there_next_time_in_order(
    tmp_path: Path, settling: Settling
) -> None:
    path = tmp_path / "deep" / "outbox.sqlite"
    outbox = Outbox(path)
    assert outbox.start().result(PATIENCE_S) == []
    sent = [message(n, Topic.ALERT if n % 2 else Topic.FINDING) for n in range(10)]
    for each in sent:
        outbox.add(each)
    settling.begun()
    empty_bytes = bytes_in(path.parent)
    settling.over()
    wait_until(lambda: bytes_in(path.parent) > empty_bytes)
    outbox.add(message(10))  # the ten are on disk when they are removed, this one is not
    settling.begun()
    for each in (sent[0], sent[4], message(10)):
        outbox.remove(each)
    settling.wait_no_more()
    outbox.close()
    assert left_over(path) == [each for each in sent if each not in (sent[0], sent[4])]


def test_what_goes_at_once_never_touches_the_disk(tmp_path: Path, settling: Settling) -> None:
    path = tmp_path / "outbox.sqlite"
    outbox = Outbox(path)
    outbox.start().result(PATIENCE_S)
    for number in range(500):
        outbox.add(message(number))
        outbox.remove(message(number))
    settling.wait_no_more()
    outbox.close()
    never_used = tmp_path / "never_used.sqlite"
    assert left_over(never_used) == []
    assert path.read_bytes() == never_used.read_bytes()


def test_a_killed_program_leaves_its_messages(tmp_path: Path) -> None:
    path = tmp_path / "outbox.sqlite"
    killed = subprocess.run([sys.executable, "-c", KILLED, str(path)], check=False)
    assert killed.returncode != 0
    assert [each.id for each in left_over(path)][:50] == list(map(str, range(50)))


def test_a_second_program_does_not_send_the_same_again(tmp_path: Path) -> None:
    path = tmp_path / "outbox.sqlite"
    first, second = Outbox(path), Outbox(path)
    first.start().result(PATIENCE_S)
    first.add(message(1))
    assert second.start().result(PATIENCE_S) == []
    assert second.failure is not None
    assert "locked" in second.failure
    second.add(message(2))
    second.close()
    first.close()
    assert left_over(path) == [message(1)]


def test_a_file_that_is_no_outbox_is_said_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "outbox.sqlite"
    path.write_bytes(b"this is a letter, not a database; " * 40)
    outbox = Outbox(path)
    assert outbox.start().result(PATIENCE_S) == []
    outbox.add(message(1))
    outbox.close()
    assert outbox.failure is not None
    assert "not a database" in outbox.failure
    assert path.read_bytes().startswith(b"this is a letter")


def test_a_disk_that_fails_is_asked_again(tmp_path: Path) -> None:
    path = tmp_path / "outbox.sqlite"
    refusing = sqlite3.connect(path)
    refusing.executescript(
        "CREATE TABLE outbox (position INTEGER PRIMARY KEY, id TEXT NOT NULL UNIQUE,"
        " topic TEXT NOT NULL, payload BLOB NOT NULL CHECK (payload != x'00'));"
    )
    refusing.close()
    outbox = Outbox(path)
    outbox.start().result(PATIENCE_S)
    bad = Outgoing("bad", Topic.ALERT, b"\0")
    outbox.add(message(1))
    outbox.add(bad)
    wait_until(lambda: outbox.failure is not None)
    outbox.remove(bad)
    outbox.close()
    assert outbox.failure is None
    assert left_over(path) == [message(1)]
