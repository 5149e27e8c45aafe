"""Polls one ECU by a schedule: finds what it supports, asks, and drops what it does not have."""

import logging
import threading
import time
from collections import Counter
from collections.abc import Callable, Sequence
from typing import Final

from capture.sources.base.source import AchievedRate
from capture.sources.polled.asking import (
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
from capture.sources.polled.schedule import Key, Schedule, Wanted, request_for
from decode.diagnostics import (
    READ_BY_IDENTIFIER,
    READ_CURRENT_DATA,
    SUPPORT_SPAN,
    ResponseReader,
    supported_parameters,
)
from decode.errors import SourceError
from decode.standard_parameters import PARAMETERS, FullScale

# An ECU that misses this often in a row, while it answers others, does not have the value.
MISSES: Final = 3
# One that it has given before is there: a noisy line loses one in three answers at worst, ten in a
# row by no accident. Then the ECU has started anew, and wants to be opened anew.
MISSES_OF_KNOWN: Final = 10
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
        self._known: set[Key] = set()  # what the ECU has given at least once
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
        for parameter in sorted(_scale_parameters(wanted)):
            if not supported or parameter in supported:
                self._learn_scale(parameter, parameter in supported)

    def _learn_scale(self, parameter: int, listed: bool) -> None:
        """Without it other values would be read with the wrong full scale, and look right."""
        for _ in range(MISSES):
            answer = self._asker.ask(bytes([READ_CURRENT_DATA, parameter]))
            if answer is not None and (answer.refusal is None or answer.refusal in UNSUPPORTED):
                return
        if listed:
            raise SourceError(
                f"{self._name}: the ECU does not say the full scale of its values (service 0x01, "
                f"0x{parameter:02X}), though it lists it; asked again before any is read"
            )

    def run(self, stop: threading.Event, show: Callable[[tuple[AchievedRate, ...]], None]) -> None:
        """Poll until `stop`; SourceError when the ECU falls silent or has nothing to give."""
        shown_s = 0.0
        while not stop.is_set():
            if not len(self._schedule):
                raise SourceError(f"{self._name}: the ECU has nothing of what the map wants")
            now_s = time.monotonic()
            if now_s - shown_s >= SHARES_INTERVAL_S:
                show(self._schedule.shares(now_s))
                shown_s = now_s
            # a single value tells an ECU that is silent from a response too long to get through
            keys = self._schedule.next(now_s, 1 if self._unanswered else None)
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
        for unanswered in dict.fromkeys(self._unanswered):  # it heard others: not these
            self._missed(unanswered, "the ECU does not answer to it", len(unanswered))
        self._unanswered.clear()
        if answer.refusal is not None:
            if answer.refusal in UNSUPPORTED:
                self._refused(keys, f"the ECU refuses: {answer.why}")
            return
        items = self._reader.items(answer.payload)
        if items is None:
            self._refused(keys, f"its response makes no sense: {answer.payload.hex(' ')}")
            return
        found = {item.key for item in items} & set(keys)
        self._schedule.answered(found, now_s)
        self._known |= found
        for key in found:
            del self._misses[key]
        left_out = tuple(key for key in keys if key not in found)
        self._missed(left_out, "the ECU leaves it out", len(keys))

    def _refused(self, keys: tuple[Key, ...], why: str) -> None:
        """A request for several is asked in halves, until it is known who spoils it."""
        if len(keys) > 1:
            self._schedule.ask_for_fewer(keys[0][0], len(keys))
        else:
            self._missed(keys, why, 1)

    def _missed(self, keys: tuple[Key, ...], why: str, asked: int) -> None:
        """asked: for how many the request was. A single answer may be lost; so many in a row are
        not: then the request was for too many, or its one value is not there."""
        self._misses.update(keys)
        for key in keys:
            most = MISSES_OF_KNOWN if key in self._known and asked == 1 else MISSES
            if self._misses[key] < most:
                continue
            del self._misses[key]
            if asked > 1:
                self._schedule.ask_for_fewer(key[0], asked)
            elif key in self._known:
                raise SourceError(f"{self._name}: {self._what(key)} comes no longer: {why}")
            else:
                self._drop(key, why)

    def _drop(self, key: Key, why: str) -> None:
        if key in self._schedule:
            what = self._what(key)
            self._schedule.drop(key)
            logger.warning("%s: %s is no longer asked for: %s", self._name, what, why)

    def _what(self, key: Key) -> str:
        channels = ", ".join(self._schedule.channels(key))
        form = "04X" if key[0] == READ_BY_IDENTIFIER else "02X"
        return f"{channels} (service {key[0]:#04x}, 0x{key[1]:{form}})"


def _scale_parameters(wanted: set[int]) -> set[int]:
    """The parameters that set the full scale of wanted ones (0x4F, 0x50)."""
    full_scales: set[FullScale] = {
        value.full_scale
        for parameter in wanted
        if parameter in PARAMETERS
        for value in PARAMETERS[parameter].values.values()
        if value.full_scale is not None
    }
    return {full_scale.value[0] for full_scale in full_scales}
