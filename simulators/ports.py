"""The near end of a byte connection that a program opens as a serial port: a pty or loopback TCP.

Never blocks: what nobody reads is dropped whole, as an adapter's full buffer would.
"""

import contextlib
import errno
import os
import select
import socket
from typing import Final, Protocol

LARGEST_BACKLOG: Final = 1 << 17  # bytes waiting for a slow reader
CHUNK: Final = 4096
GONE: Final = (errno.EIO, errno.EPIPE, errno.ECONNRESET, errno.EBADF)


class Port(Protocol):
    """url: what the other program opens (a path or a pyserial URL)."""

    url: str

    @property
    def connected(self) -> bool:
        """Whether somebody has it open."""

    @property
    def has_unread(self) -> bool:
        """Whether something sent has not yet been taken by the other side."""

    def read(self) -> bytes:
        """What has arrived; empty where nothing has."""

    def write(self, data: bytes) -> None:
        """Send, or keep for later, or drop."""

    def close(self) -> None:
        """Gone for the other side too."""


class _Backlog:
    """What the other side has not yet taken."""

    def __init__(self) -> None:
        self.has_unread = b""
        self.dropped = 0

    def add(self, data: bytes) -> bytes:
        """All that should be written now."""
        if len(self.has_unread) > LARGEST_BACKLOG:
            self.dropped += len(data)
        else:
            self.has_unread += data
        return self.has_unread


class PtyPort:
    """A pseudo terminal, raw; POSIX only, as only the simulators need it."""

    def __init__(self) -> None:
        import pty  # not on every system
        import tty

        self._master, far = pty.openpty()
        tty.setraw(far)
        self.url = os.ttyname(far)
        os.close(far)  # from here the master reports a hang-up until somebody opens the far end
        os.set_blocking(self._master, False)
        self._poll = select.poll()
        self._poll.register(self._master, select.POLLIN)
        self._backlog = _Backlog()

    @property
    def connected(self) -> bool:
        """Whether the far end is open."""
        return not any(event & select.POLLHUP for _, event in self._poll.poll(0))

    @property
    def has_unread(self) -> bool:
        """Whether something sent has not yet been taken by the other side."""
        return bool(self._backlog.has_unread)

    @property
    def dropped(self) -> int:
        """Bytes lost to a slow reader."""
        return self._backlog.dropped

    def read(self) -> bytes:
        """What has arrived."""
        with contextlib.suppress(BlockingIOError, OSError):
            return os.read(self._master, CHUNK)
        return b""

    def write(self, data: bytes) -> None:
        """Without a reader everything is lost, as on a wire."""
        if not self.connected:
            self._backlog.has_unread = b""
            return
        waiting = self._backlog.add(data)
        try:
            while waiting:
                waiting = waiting[os.write(self._master, waiting[:CHUNK]) :]
        except BlockingIOError:
            pass
        except OSError as error:
            if error.errno not in GONE:
                raise
            waiting = b""
        self._backlog.has_unread = waiting

    def close(self) -> None:
        """Hang up."""
        os.close(self._master)


class TcpPort:
    """A server on loopback for one client at a time, opened by pyserial as socket://.

    number: of the port; 0 is any that is free.
    """

    def __init__(self, number: int = 0) -> None:
        self._server = socket.create_server(("127.0.0.1", number))
        self._server.setblocking(False)
        self.url = f"socket://127.0.0.1:{self._server.getsockname()[1]}"
        self._client: socket.socket | None = None
        self._backlog = _Backlog()

    @property
    def connected(self) -> bool:
        """Whether a client is there."""
        if self._client is None:
            with contextlib.suppress(BlockingIOError):
                self._client, _ = self._server.accept()
                self._client.setblocking(False)
                self._client.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return self._client is not None

    @property
    def has_unread(self) -> bool:
        """Whether something sent has not yet been taken by the other side."""
        return bool(self._backlog.has_unread)

    @property
    def dropped(self) -> int:
        """Bytes lost to a slow reader."""
        return self._backlog.dropped

    def read(self) -> bytes:
        """What has arrived."""
        if not self.connected or self._client is None:
            return b""
        try:
            data = self._client.recv(CHUNK)
        except BlockingIOError:
            return b""
        except OSError:
            data = b""
        if not data:
            self._forget()
        return data

    def write(self, data: bytes) -> None:
        """Without a client everything is lost, as on a wire."""
        if not self.connected or self._client is None:
            return
        waiting = self._backlog.add(data)
        try:
            while waiting:
                waiting = waiting[self._client.send(waiting) :]
        except BlockingIOError:
            pass
        except OSError:
            self._forget()
            return
        self._backlog.has_unread = waiting

    def close(self) -> None:
        """Hang up and stop listening."""
        self._forget()
        self._server.close()

    def _forget(self) -> None:
        if self._client is not None:
            self._client.close()
        self._client = None
        self._backlog.has_unread = b""
