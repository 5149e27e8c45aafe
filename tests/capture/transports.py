"""Real transports for the tests of the sources: pty pairs, and a source run in a thread."""

import fcntl
import os
import termios
import threading
import time
import tty
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

import pytest
from patience import PATIENCE_S, wait_until

from capture.sources.base.source import Source
from decode.errors import SourceError
from decode.records import RecordBatch
from simulators.ports import Port, PtyPort, TcpPort


class Plug:
    """The far end of a serial cable: a pty whose near end has a name that survives replugging."""

    def __init__(self, link: Path) -> None:
        self.link = link
        self._master = -1
        self._slave = -1

    @property
    def url(self) -> str:
        return str(self.link)

    @property
    def is_in(self) -> bool:
        return self._master >= 0

    def plug_in(self) -> None:
        self._master, self._slave = os.openpty()
        tty.setraw(self._slave)
        os.set_blocking(self._master, False)
        self.link.symlink_to(os.ttyname(self._slave))

    def unplug(self) -> None:
        if not self.is_in:
            return
        self.link.unlink()
        os.close(self._master)
        os.close(self._slave)
        self._master = -1

    def write(self, data: bytes) -> None:
        while data:
            try:
                data = data[os.write(self._master, data) :]
            except BlockingIOError:
                time.sleep(0.0005)

    def read(self) -> bytes:
        try:
            return os.read(self._master, 65_536)
        except BlockingIOError:
            return b""

    def wait_until_read(self) -> None:
        """Wait until the source has taken all that was written."""
        time.sleep(0.02)  # a pty hands over a little later
        wait_until(lambda: fcntl.ioctl(self._slave, termios.FIONREAD, bytes(4)) == bytes(4))


@pytest.fixture
def plug(tmp_path: Path) -> Iterator[Plug]:
    plug = Plug(tmp_path / "port")
    plug.plug_in()
    yield plug
    plug.unplug()


class Adapter:
    """An slcan adapter at the far end of a plug: answers commands, keeps what it was told."""

    def __init__(self, plug: Plug, answers: dict[bytes, bytes] | None = None) -> None:
        self.plug = plug
        self.told: list[bytes] = []
        self.opened = threading.Event()
        self._answers = answers or {}
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._listen)

    def __enter__(self) -> "Adapter":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join(PATIENCE_S)

    def _listen(self) -> None:
        while not self._stop.wait(0.001):
            for command in filter(None, self.plug.read().split(b"\r")):
                self.told.append(command)
                self.plug.write(self._answers.get(command, b"\r"))
                if command in (b"O", b"L"):
                    self.opened.set()


class Running:
    """A source at work in a thread, and what it has delivered."""

    def __init__(self, source: Source) -> None:
        self.batches: list[RecordBatch] = []
        self.error: SourceError | None = None
        self.stop = threading.Event()
        self._source = source
        self.thread = threading.Thread(target=self._run)

    def _run(self) -> None:
        try:
            self._source.run(self.batches.append, self.stop)
        except SourceError as error:
            self.error = error

    @property
    def payloads(self) -> list[bytes]:
        return [batch.payload(i) for batch in list(self.batches) for i in range(len(batch))]

    def column(self, name: str) -> list[int]:
        return [int(value) for batch in list(self.batches) for value in getattr(batch, name)]


@contextmanager
def running(source: Source) -> Iterator[Running]:
    """Run a source while the block lasts."""
    at_work = Running(source)
    at_work.thread.start()
    try:
        yield at_work
    finally:
        at_work.stop.set()
        at_work.thread.join(PATIENCE_S)
        assert not at_work.thread.is_alive()


class Cable(Protocol):
    """url: what the source opens, before and after."""

    @property
    def url(self) -> str: ...

    def plug_in(self) -> Port: ...

    def unplug(self) -> None: ...


class SerialCable:
    """A pty under a name of its own, as the system names an adapter by its serial number."""

    def __init__(self, folder: Path) -> None:
        self._link = folder / "adapter"
        self.url = str(self._link)

    def plug_in(self) -> Port:
        self._port = PtyPort()
        self._link.symlink_to(self._port.url)
        return self._port

    def unplug(self) -> None:
        self._link.unlink()
        self._port.close()


class TcpCable:
    """A serial server's port on the network, here on loopback."""

    def __init__(self, _: Path) -> None:
        self._port = TcpPort()
        self.url = self._port.url
        self._port.close()

    def plug_in(self) -> Port:
        self._port = TcpPort(int(self.url.rpartition(":")[2]))
        return self._port

    def unplug(self) -> None:
        self._port.close()
