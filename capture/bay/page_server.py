"""Serves the page inside the daemon's event loop."""

import asyncio
import contextlib
import socket
from collections.abc import Iterator
from typing import Final

import uvicorn
from fastapi import FastAPI

from decode.errors import SourceError

LOOPBACK: Final = ("127.0.0.1", "::1", "localhost")
GOODBYE_S: Final = 2  # open pages get this long to notice that the daemon ends


def names_of(host: str) -> list[str]:
    """The names that a page served on host may be asked for by: this machine's own ones only
    where the user has opened it to others."""
    if host in LOOPBACK:
        return ["localhost"]
    own = socket.gethostname()
    return ["localhost", host, own, f"{own}.local"]  # .local: multicast DNS, RFC 6762


class _Server(uvicorn.Server):
    """uvicorn takes the process's signals for itself; here the daemon's command has them."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


class PageServer:
    """The page on one address. port 0 picks a free one; `url` tells which."""

    def __init__(self, app: FastAPI, host: str, port: int) -> None:
        """Take the address. Raises SourceError where it is not free."""
        family = socket.AF_INET6 if ":" in host else socket.AF_INET
        self._socket = socket.socket(family, socket.SOCK_STREAM)
        self._socket.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            self._socket.bind((host, port))
        except OSError as error:
            self._socket.close()
            raise SourceError(
                f"the page cannot be served on {host}:{port}: {error}; "
                "name a free port under `page:` in the station file"
            ) from error
        literal = f"[{host}]" if ":" in host else host
        self.url = f"http://{literal}:{self._socket.getsockname()[1]}/"
        app.openapi()  # works its routes out at the first question: here nobody waits for that
        self._server = _Server(
            uvicorn.Config(
                app,
                log_level="warning",
                lifespan="off",
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
