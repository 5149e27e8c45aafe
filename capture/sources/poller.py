"""Polls one ECU by a schedule: finds what it supports, asks, and drops what it does not have."""

import logging
import threading
import time
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Final

from capture.sources.asking import (
    NOT_IN_SESSION,
    OUT_OF_RANGE,
    RESPONSE_TOO_LONG,
    SECURITY_ACCESS_DENIED,
    SERVICE_NOT_SUPPORTED,
    SUBFUNCTION_NOT_SUPPORTED,
    WRONG_LENGTH,
    Answer,
    Asker,
)
from capture.sources.schedule import Key, Schedule, Share, Wanted, request_for
from decode.diagnostics import (
    READ_BY_IDENTIFIER,
    READ_CURRENT_DATA,
    SUPPORT_SPAN,
    ResponseReader,
    supported_parameters,
)
from decode.errors import SourceError
from decode.standard_parameters import PARAMETERS, Limit

# An ECU that misses this often in a row, while it answers others, does not have the value.
MISSES: Final = 3
SILENCE_S: Final = 2.0  # after a first request without answer: ignition off, cable off
LAST_BASE: Final = 0xE0  # parameters 0xE1 to 0xFF are the last that can be asked about
LONGEST_SLEEP_S: Final = 0.02  # while nothing is due
SHARES_INTERVAL_S: Final = 0.25
UNSUPPORTED: Final = frozenset(
    {
        SERVICE_NOT_SUPPORTED,
        SUBFUNCTION_NOT_SUPPORTED,
        WRONG_LENGTH,
        RESPONSE_TOO_LONG,
        OUT_OF_RANGE,
        SECURITY_ACCESS_DENIED,
    }
    | NOT_IN_SESSION
)

logger = logging.getLogger(__name__)


class Poller:
    """Everything that is asked of one ECU between opening its link and closing it."""

    def __init__(
        self,
        name: str,
        asker: Asker,
        wanted: Sequence[Wanted],
        at_once: dict[int, int],
    ) -> None:
        """at_once: by service, how many values one request may ask for."""
        if not wanted:
            raise SourceError(f"{name}: no channel of the map has a diagnostic of this source")
        self._name = name
        self._asker = asker
        self._schedule = Schedule(wanted, at_once)
        self._reader = ResponseReader(
            {one.key[1]: one.length for one in wanted if one.key[0] == READ_BY_IDENTIFIER}
        )
        self._misses: Counter[Key] = Counter()
        self._unanswered: list[tuple[Key, ...]] = []  # requests since the last answer
        self._silent_since_s: float | None = None

    def discover(self) -> None:
        """Ask what the ECU supports, and drop the rest; get the full scales that it sets."""
        wanted = {number for service, number in self._schedule if service == READ_CURRENT_DATA}
        if not wanted:
            return
        supported = self._supported()
        for parameter in sorted(wanted - supported) if supported else ():
            self._drop((READ_CURRENT_DATA, parameter), "the ECU does not list it as supported")
        for parameter in sorted(_scale_parameters(wanted) & supported):
            self._asker.ask(bytes([READ_CURRENT_DATA, parameter]))

    def run(self, stop: threading.Event, show: Callable[[tuple[Share, ...]], None]) -> None:
        """Poll until `stop`; SourceError when the ECU falls silent or has nothing to give."""
        shown_s = 0.0
        while not stop.is_set():
            if not len(self._schedule):
                raise SourceError(f"{self._name}: the ECU has nothing of what the map wants")
            now_s = time.monotonic()
            if now_s - shown_s >= SHARES_INTERVAL_S:
                show(self._schedule.shares(now_s))
                shown_s = now_s
            keys = self._schedule.next(now_s)
            if keys:
                self._take(keys, self._asker.ask(request_for(keys)))
                continue
            self._asker.flush()
            self._asker.keep_alive()
            time.sleep(min(LONGEST_SLEEP_S, self._schedule.wait_s(time.monotonic())))
        self._asker.flush()

    def _supported(self) -> set[int]:
        """The service 0x01 parameters the ECU has; empty where it does not tell all of them."""
        supported: set[int] = set()
        for base in range(0, LAST_BASE + 1, SUPPORT_SPAN):
            answer = self._ask_patiently(bytes([READ_CURRENT_DATA, base]))
            if answer is None or answer.refusal is not None:
                return set()
            supported |= supported_parameters(base, answer.payload[2:])
            if base + SUPPORT_SPAN not in supported:
                break
        return supported

    def _ask_patiently(self, request: bytes) -> Answer | None:
        for _ in range(MISSES):
            answer = self._asker.ask(request)
            if answer is not None:
                return answer
        return None

    def _take(self, keys: tuple[Key, ...], answer: Answer | None) -> None:
        """Judge what came back, or did not."""
        now_s = time.monotonic()
        if answer is None:
            self._unanswered.append(keys)
            self._silent_since_s = self._silent_since_s or now_s
            if now_s - self._silent_since_s > SILENCE_S:
                raise SourceError(f"{self._name}: the ECU does not answer; is the ignition on?")
            return
        self._silent_since_s = None
        if len(self._unanswered) == 1:  # it heard the others: this one it does not answer
            self._missed(self._unanswered[0], "the ECU does not answer to it")
        self._unanswered.clear()
        if answer.refusal is not None:
            if answer.refusal in UNSUPPORTED:
                self._missed(keys, f"the ECU refuses: {answer.why}")
            return
        items = self._reader.items(answer.payload)
        if items is None:
            self._missed(keys, f"its response makes no sense: {answer.payload.hex(' ')}")
            return
        found = {item.key for item in items} & set(keys)
        self._schedule.answered(found, now_s)
        for key in keys:
            if key in found:
                del self._misses[key]
            else:
                self._missed((key,), "the ECU leaves it out")

    def _missed(self, keys: tuple[Key, ...], why: str) -> None:
        """A request for several is asked in halves, until it is known who spoils it."""
        if len(keys) > 1:
            self._schedule.ask_for_fewer(keys[0][0], len(keys))
            return
        key = keys[0]
        self._misses[key] += 1
        if self._misses[key] >= MISSES:
            self._drop(key, why)

    def _drop(self, key: Key, why: str) -> None:
        if key not in self._schedule:
            return
        channels = ", ".join(self._schedule.drop(key))
        form = "04X" if key[0] == READ_BY_IDENTIFIER else "02X"
        what = f"service {key[0]:#04x}, 0x{key[1]:{form}}"
        logger.warning("%s: %s (%s) is no longer asked for: %s", self._name, channels, what, why)


def _scale_parameters(wanted: set[int]) -> set[int]:
    """The parameters that set the full scale of wanted ones (0x4F, 0x50)."""
    limits: set[Limit] = {
        value.limit
        for parameter in wanted
        if parameter in PARAMETERS
        for value in PARAMETERS[parameter].values.values()
        if value.limit is not None
    }
    return {limit.value[0] for limit in limits}
