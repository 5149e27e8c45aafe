"""The live stream: one JSON message 25 times a second to every page that looks."""

import asyncio
import time
from collections.abc import AsyncIterator
from contextlib import suppress
from typing import Final

from fastapi import APIRouter, WebSocket, WebSocketDisconnect

from analysis.model.setup import Setup
from analysis.phrases.reader import Reader
from analysis.phrases.table import Language
from analysis.phrases.units import HOUSE, Units
from analysis.publish.live.view import LiveView
from analysis.publish.messages.layout import HelloMessage
from analysis.publish.page.readouts import layout

PERIOD_S: Final = 0.04  # 25 Hz: smooth to the eye, and half of what a browser can draw easily


class LiveFeed:
    """Encodes the snapshot once a period for each choice of units, however many pages look."""

    def __init__(self, live: LiveView) -> None:
        self._live = live
        self._now = live.now()
        self._messages: dict[Reader, str] = {}
        self._encoded_at = float("-inf")
        self._news = live.news

    @property
    def news(self) -> asyncio.Event:
        """Set when something has happened that should not wait for the next message."""
        return self._live.news

    def message(self, reader: Reader) -> str:
        """The newest message as the reader has it: at most half a period old, and with all
        that is news."""
        now = time.monotonic()
        if now - self._encoded_at > PERIOD_S / 2 or self._news is not self._live.news:
            self._now, self._messages = self._live.now(), {}
            self._encoded_at, self._news = now, self._live.news
        if reader not in self._messages:
            self._messages[reader] = self._now.written_for(reader).model_dump_json()
        return self._messages[reader]


def live_router(live: LiveView, setup: Setup, language: Language) -> APIRouter:
    """The WebSocket route /api/v1/live: first `hello` (layout and strips so far), then `now`."""
    layout(live.channels, setup.car, HOUSE)  # units are resolved here, not while a page waits
    router = APIRouter()
    feed = LiveFeed(live)

    @router.websocket("/live")
    async def stream(socket: WebSocket) -> None:
        reader = Reader(Units.parse(socket.cookies.get("units", "")), language)
        await socket.accept()
        shown = layout(live.channels, setup.car, reader.units)
        with suppress(WebSocketDisconnect):
            hello = HelloMessage(layout=shown, history=live.history())
            await socket.send_text(hello.model_dump_json())
            async for message in _messages(feed, socket, reader):
                await socket.send_text(message)

    return router


async def _messages(feed: LiveFeed, socket: WebSocket, reader: Reader) -> AsyncIterator[str]:
    """Messages at the period, and one at once when there is news, until the page goes away; what it
    sends is read and ignored.

    The times are fixed ones, so that a late message makes none after it later; those that have
    passed meanwhile are left out.
    """
    gone = asyncio.create_task(_until_gone(socket), name="page-gone")
    news = asyncio.create_task(feed.news.wait(), name="page-news")
    due = time.monotonic()
    try:
        while not gone.done():
            yield feed.message(reader)
            now = time.monotonic()
            if news.done():
                news = asyncio.create_task(feed.news.wait(), name="page-news")
            else:
                due += PERIOD_S * (1 + (now - due) // PERIOD_S)
            await asyncio.wait((gone, news), timeout=due - now, return_when=asyncio.FIRST_COMPLETED)
    finally:
        gone.cancel()
        news.cancel()


async def _until_gone(socket: WebSocket) -> None:
    with suppress(WebSocketDisconnect):
        while True:
            await socket.receive_text()
