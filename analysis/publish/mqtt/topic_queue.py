"""The messages of one topic that wait for the broker, in order, with a bound and a count."""

import asyncio
from collections import deque
from collections.abc import Sequence

from analysis.publish.mqtt.outbox import Outgoing


class TopicQueue:
    """A queue whose head stays in it until the broker has it."""

    def __init__(self, bound: int) -> None:
        self.dropped = 0
        self._bound = bound
        self._messages: deque[Outgoing] = deque()
        self._some = asyncio.Event()
        self._none = asyncio.Event()
        self._none.set()

    def __len__(self) -> int:
        return len(self._messages)

    def put(self, message: Outgoing) -> Outgoing | None:
        """Append the message; give back the oldest where that had to go for it."""
        overflow = self._messages.popleft() if len(self._messages) >= self._bound else None
        self.dropped += overflow is not None
        self._messages.append(message)
        self._update_events()
        return overflow

    def put_before(self, messages: Sequence[Outgoing]) -> None:
        """Messages from before this program started go first."""
        self._messages.extendleft(reversed(messages))
        self._update_events()

    def discard(self) -> None:
        """Drop all that wait, counted."""
        self.dropped += len(self._messages)
        self._messages.clear()
        self._update_events()

    async def head(self) -> Outgoing:
        """The oldest message, once there is one."""
        await self._some.wait()
        return self._messages[0]

    def sent(self, message: Outgoing) -> None:
        """Let go of the head; where it was dropped meanwhile, another stands there and stays."""
        if self._messages and self._messages[0] is message:
            self._messages.popleft()
        self._update_events()

    async def empty(self) -> None:
        """Return once nothing waits."""
        await self._none.wait()

    def _update_events(self) -> None:
        full, clear = (self._some, self._none) if self._messages else (self._none, self._some)
        full.set()
        clear.clear()
