"""A queue between two tasks that cannot hold up the one that fills it.

Only the recorder's queue is lossless. This one has a bound, drops its oldest item when full,
because the newest state of the car matters most, and counts what it dropped.
"""

import asyncio
from collections import deque
from collections.abc import AsyncIterator
from typing import Generic, TypeVar

T = TypeVar("T")


class BoundedQueue(Generic[T]):
    """A queue within one event loop. `put` never waits; iterate to take; `close` ends that."""

    def __init__(self, bound: int) -> None:
        if bound < 1:
            raise ValueError(f"a queue must hold at least one item, not {bound}")
        self.dropped = 0
        self._bound = bound
        self._items: deque[T] = deque()
        self._changed = asyncio.Event()
        self._closed = False

    def __len__(self) -> int:
        return len(self._items)

    @property
    def bound(self) -> int:
        """How many items it holds before the oldest goes."""
        return self._bound

    @property
    def closed(self) -> bool:
        """Whether nothing more is taken."""
        return self._closed

    def put(self, item: T) -> None:
        """Add an item; the oldest goes, and is counted, when the queue is full."""
        if self._closed:
            raise ValueError("the queue is closed")
        if len(self._items) == self._bound:
            self._items.popleft()
            self.dropped += 1
        self._items.append(item)
        self._changed.set()

    def close(self) -> None:
        """Nothing more comes; what is in the queue is still handed out."""
        self._closed = True
        self._changed.set()

    async def __aiter__(self) -> AsyncIterator[T]:
        while True:
            while self._items:
                yield self._items.popleft()
            if self._closed:
                return
            self._changed.clear()
            await self._changed.wait()
