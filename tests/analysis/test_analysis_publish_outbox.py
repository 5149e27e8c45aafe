import sqlite3
import subprocess
import sys
import time
from pathlib import Path

from analysis.publish.messages.station import Topic
from analysis.publish.mqtt.outbox import SETTLE_S, Outbox, Outgoing

KILLED = """
import os, sys, time
from pathlib import Path
from analysis.publish.mqtt.outbox import SETTLE_S, Outbox, Outgoing
from analysis.publish.messages.station import Topic
outbox = Outbox(Path(sys.argv[1]))
outbox.start().result()
for number in range(50):
    outbox.add(Outgoing(str(number), Topic.ALERT, b"x"))
time.sleep(SETTLE_S + 1.0)
os.kill(os.getpid(), 9)
"""


def message(number: int, topic: Topic = Topic.FINDING) -> Outgoing:
    return Outgoing(f"id-{number}", topic, f"payload {number}".encode())


def left_over(path: Path) -> list[Outgoing]:
    outbox = Outbox(path)
    messages = outbox.start().result(5.0)
    outbox.close()
    return messages


def test_what_is_not_removed_is_there_next_time_in_order(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "outbox.sqlite"
    outbox = Outbox(path)
    assert outbox.start().result(5.0) == []
    sent = [message(n, Topic.ALERT if n % 2 else Topic.FINDING) for n in range(10)]
    for each in sent:
        outbox.add(each)
    time.sleep(SETTLE_S * 5)  # some are on disk when they are removed, some are not
    outbox.add(message(10))
    for each in (sent[0], sent[4], message(10)):
        outbox.remove(each)
    outbox.close()
    assert left_over(path) == [each for each in sent if each not in (sent[0], sent[4])]


def test_what_goes_at_once_never_touches_the_disk(tmp_path: Path) -> None:
    path = tmp_path / "outbox.sqlite"
    outbox = Outbox(path)
    outbox.start().result(5.0)
    before = sum(file.stat().st_size for file in tmp_path.iterdir())
    for number in range(500):
        outbox.add(message(number))
        outbox.remove(message(number))
    time.sleep(SETTLE_S * 3)
    assert sum(file.stat().st_size for file in tmp_path.iterdir()) == before
    outbox.close()
    assert left_over(path) == []


def test_a_killed_program_leaves_its_messages(tmp_path: Path) -> None:
    path = tmp_path / "outbox.sqlite"
    killed = subprocess.run([sys.executable, "-c", KILLED, str(path)], check=False)
    assert killed.returncode != 0
    assert [each.id for each in left_over(path)] == [str(number) for number in range(50)]


def test_a_second_program_does_not_send_the_same_again(tmp_path: Path) -> None:
    path = tmp_path / "outbox.sqlite"
    first, second = Outbox(path), Outbox(path)
    first.start().result(5.0)
    first.add(message(1))
    time.sleep(SETTLE_S * 5)
    assert second.start().result(5.0) == []
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
    assert outbox.start().result(5.0) == []
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
    outbox.start().result(5.0)
    bad = Outgoing("bad", Topic.ALERT, b"\0")
    outbox.add(message(1))
    outbox.add(bad)
    time.sleep(SETTLE_S * 5)
    assert outbox.failure is not None
    outbox.remove(bad)
    outbox.close()
    assert outbox.failure is None
    assert left_over(path) == [message(1)]
