"""What a polled ECU is asked for next: its capacity spent by how often each value is wanted.

Pure: every instant is an argument. Where the ECU answers faster than all that is wanted, each value
comes at its wanted rate; where it does not, each gets the same share of it.
"""

import math
from collections import deque
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from capture.sources.base.source import AchievedRate
from decode.channel_map import ChannelMap
from decode.diagnostics import (
    READ_BY_IDENTIFIER,
    READ_CURRENT_DATA,
    parameter_size,
)
from decode.map_diagnostics import DataIdentifier, StandardParameter
from decode.quantities import Quantity

# A throttle that closes for 150 ms needs 14 samples a second to be seen; at 20 a pull that gains
# 750 rpm a second has a sample every 38 rpm.
FAST_HZ: Final = 20.0
SLOW_HZ: Final = 1.0  # these move little within one pull of 6 to 10 s
SLOW: Final = frozenset(
    {
        Quantity.AMBIENT_TEMPERATURE,
        Quantity.BAROMETRIC_PRESSURE,
        Quantity.BATTERY_VOLTAGE,
        Quantity.COOLANT_TEMPERATURE,
        Quantity.FUEL_TRIM_LONG,
        Quantity.OIL_TEMPERATURE,
        Quantity.RELATIVE_HUMIDITY,
    }
)
DUE: Final = 1.0  # urgency of a value that is exactly as old as its wanted interval
RIDES_ALONG: Final = 0.5  # half way to its turn, a value fills a request that goes out anyway
RATE_WINDOW_S: Final = 2.0  # as for every source: steady enough, and a drop shows
MOST_ANSWERS: Final = 512  # remembered of each value: RATE_WINDOW_S at 200 Hz, and a margin

Key = tuple[int, int]  # service, parameter or identifier


@dataclass(frozen=True, slots=True)
class Wanted:
    """One parameter or identifier. length: of its value in a response; None where not known."""

    key: Key
    rate_hz: float
    channels: tuple[str, ...]
    length: int | None = None


def wanted_of(channel_map: ChannelMap, source: str) -> tuple[Wanted, ...]:
    """What the map's channels want of one polled source, in the order of the map."""
    found: dict[Key, Wanted] = {}
    for name, entry in channel_map.entries.items():
        if entry.source != source or entry.diagnostic is None:
            continue
        key, length = _key_and_length(entry.diagnostic)
        rate_hz = entry.diagnostic.rate_hz or default_rate_hz(entry.quantity)
        known = found.get(key, Wanted(key, 0.0, ()))
        found[key] = Wanted(
            key,
            max(known.rate_hz, rate_hz),
            (*known.channels, name),
            length if known.length is None else known.length,
        )
    return tuple(found.values())


def _key_and_length(entry: StandardParameter | DataIdentifier) -> tuple[Key, int | None]:
    if isinstance(entry, StandardParameter):
        return (READ_CURRENT_DATA, entry.parameter), parameter_size(entry.parameter)
    return (entry.service, entry.identifier), entry.length


def default_rate_hz(quantity: Quantity | None) -> float:
    """How often a value is wanted where the map does not say."""
    return SLOW_HZ if quantity in SLOW else FAST_HZ


def request_for(keys: Sequence[Key]) -> bytes:
    """The bytes that ask for values of one service."""
    service = keys[0][0]
    size = 2 if service == READ_BY_IDENTIFIER else 1
    return bytes([service]) + b"".join(number.to_bytes(size, "big") for _, number in keys)


@dataclass(slots=True)
class _Turn:
    """When one value is asked for again, and when it was answered."""

    wanted: Wanted
    due_s: float = -math.inf
    answered_s: deque[float] = field(default_factory=lambda: deque(maxlen=MOST_ANSWERS))

    def urgency(self, now_s: float) -> float:
        return DUE + (now_s - self.due_s) * self.wanted.rate_hz

    def note_request(self, now_s: float) -> None:
        """A turn that came a little late does not push the next one back; a missed one is gone."""
        interval_s = 1.0 / self.wanted.rate_hz
        on_time = 0.0 <= now_s - self.due_s < interval_s
        self.due_s = (self.due_s if on_time else now_s) + interval_s

    def achieved(self, now_s: float) -> AchievedRate:
        recent = [s for s in self.answered_s if s > now_s - RATE_WINDOW_S]
        age_s = now_s - self.answered_s[-1] if self.answered_s else None
        return AchievedRate(
            self.wanted.channels, self.wanted.rate_hz, len(recent) / RATE_WINDOW_S, age_s
        )


class Schedule:
    """Whose turn it is. at_once: by service, how many values one request may ask for."""

    def __init__(self, wanted: Sequence[Wanted], at_once: Mapping[int, int]) -> None:
        self._turns = {one.key: _Turn(one) for one in wanted}
        self._most = dict(at_once)
        self._at_once = dict(at_once)

    def __contains__(self, key: Key) -> bool:
        return key in self._turns

    def __iter__(self) -> Iterator[Key]:
        return iter(self._turns)

    def __len__(self) -> int:
        return len(self._turns)

    def wait_s(self, now_s: float) -> float:
        """How long until somebody's turn; infinite where nobody is left."""
        return max(0.0, min((t.due_s for t in self._turns.values()), default=math.inf) - now_s)

    def next(self, now_s: float, most: int | None = None) -> tuple[Key, ...]:
        """The values of the next request, the most urgent first; empty where none is due.

        most: how many at most, where less is wanted than the ECU takes.
        """
        urgent = sorted(self._turns.values(), key=lambda turn: -turn.urgency(now_s))
        if not urgent or urgent[0].urgency(now_s) < DUE:
            return ()
        first = urgent[0].wanted
        chosen = [
            turn
            for turn in urgent
            if turn.wanted.key[0] == first.key[0]
            and turn.wanted.length is not None  # else where the next value begins is not known
            and turn.urgency(now_s) >= RIDES_ALONG
        ]
        limit = most or self._at_once.get(first.key[0], 1)
        chosen = urgent[:1] if first.length is None else chosen[:limit]
        for turn in chosen:
            turn.note_request(now_s)
        return tuple(turn.wanted.key for turn in chosen)

    def answered(self, keys: Collection[Key], now_s: float) -> None:
        """These came back."""
        for key in keys:
            if key in self._turns:
                self._turns[key].answered_s.append(now_s)

    def ask_for_fewer(self, service: int, count: int) -> None:
        """A request for so many was not answered: from now on half as many at once."""
        self._at_once[service] = max(1, count // 2)

    def channels(self, key: Key) -> tuple[str, ...]:
        """Whom this one is asked for."""
        return self._turns[key].wanted.channels

    def drop(self, key: Key) -> None:
        """Ask no more for this one.

        Whoever was asked for with it is above suspicion: requests may be as large as before.
        """
        self._at_once[key[0]] = self._most.get(key[0], 1)
        del self._turns[key]

    def shares(self, now_s: float) -> tuple[AchievedRate, ...]:
        """What each value gets, in the order of the map."""
        return tuple(turn.achieved(now_s) for turn in self._turns.values())
