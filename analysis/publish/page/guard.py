"""What keeps other web pages, open in the same browser, away from this one."""

from collections.abc import Collection
from ipaddress import ip_address
from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Scripts only from this server. Styles inline too: the chart library sets them on its elements.
CONTENT_SECURITY_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; connect-src 'self'; font-src 'self'; "
    "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
HEADERS: Final = {
    "Content-Security-Policy": CONTENT_SECURITY_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
}
_SAFE_METHODS: Final = ("GET", "HEAD", "OPTIONS")


class SameOrigin:
    """Refuses what another origin's page asks for, and adds the security headers.

    A request that changes something, and every WebSocket, must carry no Origin (a program, not a
    browser) or this server's own: browsers always send it there.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
        elif _changes(scope) and not _own_origin(Headers(scope=scope)):
            await _refuse(scope, receive, send, "refused: the request comes from another site", 403)
        else:
            await self._app(scope, receive, _with_headers(send))


class KnownHost:
    """Answers to this machine's names and to any address in numbers, to nothing else.

    Another site's page can let its own name point here, and would then count as this origin; an
    address in numbers it cannot take.
    """

    def __init__(self, app: ASGIApp, names: Collection[str]) -> None:
        self._app = app
        self._names = frozenset(name.lower() for name in names)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan" or self._knows(Headers(scope=scope).get("host", "")):
            await self._app(scope, receive, send)
        else:
            await _refuse(scope, receive, send, "refused: this machine goes by another name", 400)

    def _knows(self, host: str) -> bool:
        try:
            name = urlsplit(f"//{host}").hostname or ""
        except ValueError:  # brackets around no address
            return False
        return name in self._names or _is_address(name)


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True


def _changes(scope: Scope) -> bool:
    return scope["type"] == "websocket" or scope["method"] not in _SAFE_METHODS


def _own_origin(headers: Headers) -> bool:
    origin = headers.get("origin")
    return origin is None or urlsplit(origin).netloc == headers.get("host")


async def _refuse(scope: Scope, receive: Receive, send: Send, words: str, status: int) -> None:
    if scope["type"] == "websocket":
        await receive()  # the server insists on hearing the connect before a close
        await send({"type": "websocket.close", "code": 1008})
    else:
        response = PlainTextResponse(words, status)
        await response(scope, receive, send)


def _with_headers(send: Send) -> Send:
    async def send_with_headers(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return send_with_headers
