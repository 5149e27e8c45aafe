"""Serves the page inside the bay's event loop."""

import asyncio
import contextlib
import socket
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import uvicorn
from fastapi import FastAPI

from decode.errors import SourceError

LOOPBACK: Final = ("127.0.0.1", "::1", "localhost")
GOODBYE_S: Final = 2  # open pages get this long to notice that the bay closes


def names_of(host: str) -> list[str]:
    """The names that a page served on host may be asked for by: this machine's own ones only
    where the user has opened it to others."""
    if host in LOOPBACK:
        return ["localhost"]
    own = socket.gethostname()
    return ["localhost", host, own, f"{own}.local"]  # .local: multicast DNS, RFC 6762


class _Server(uvicorn.Server):
    """uvicorn takes the process's signals for itself; here the command has them."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


@dataclass(frozen=True, slots=True)
class Listener:
    """An address that the page has taken. host: as the user wrote it; url: for a browser."""

    host: str
    url: str
    socket: socket.socket


@contextlib.contextmanager
def page_listener(host: str, port: int) -> Iterator[Listener]:
    """Take the page's address; port 0 picks a free one. Raises SourceError where it is taken."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as taken:
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            taken.bind((host, port))
        except OSError as error:
            raise SourceError(
                f"the page cannot be served on {host}:{port}: {error}; "
                "name a free port under `page:` in the station file"
            ) from error
        taken.listen()  # who comes before the server runs is answered once it does
        literal = f"[{host}]" if ":" in host else host
        yield Listener(host, f"http://{literal}:{taken.getsockname()[1]}/", taken)


class PageServer:
    """Answers who comes to the listener."""

    def __init__(self, app: FastAPI, listener: Listener) -> None:
        self._socket = listener.socket
        self._server = _Server(
            uvicorn.Config(
                app,
                log_level="warning",
                lifespan="off",
                ws="websockets-sansio",  # its other one rests on what websockets gives up
                ws_per_message_deflate=False,  # on the way through this building it costs only time
                access_log=False,
                timeout_graceful_shutdown=GOODBYE_S,
            )
        )

    async def run(self) -> None:
        """Serve until close()."""
        try:
            await self._server.serve(sockets=[self._socket])
        except asyncio.CancelledError:
            self._server.should_exit = True
            raise
        finally:
            self._socket.close()

    def close(self) -> None:
        """Let run() say goodbye and return."""
        self._server.should_exit = True
