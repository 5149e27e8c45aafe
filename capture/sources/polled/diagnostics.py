"""An ECU that is polled over CAN: SAE J1979 service 0x01 and ISO 14229 service 0x22, nothing else.

All that goes out passes `read_gate`. What is asked, and how often, follows from the channel map.
"""

import contextlib
import logging
import threading
from collections.abc import Sequence
from typing import Final

from capture.sources.base.clock import Clock
from capture.sources.base.source import AchievedRate, Emit
from capture.sources.can.can_bus import bus_label, open_bus
from capture.sources.can.slcan_wire import SlcanWire
from capture.sources.gate.read_gate import GatedBus
from capture.sources.gate.read_requests import MOST_PARAMETERS
from capture.sources.polled.asking import Asker
from capture.sources.polled.ecu_addresses import Addresses, response_to
from capture.sources.polled.ecu_settings import DiagnosticSettings
from capture.sources.polled.isotp_link import IsoTpLink, find_ecu
from capture.sources.polled.poller import Poller
from capture.sources.polled.schedule import Wanted
from decode.diagnostics import READ_BY_IDENTIFIER, READ_CURRENT_DATA
from decode.errors import SourceError
from decode.records import SourceInfo, SourceKind

EXTENDED_SESSION: Final = b"\x10\x03"
MS: Final = 1e-3
MS_10: Final = 1e-2
SERVICES: Final = (READ_CURRENT_DATA, READ_BY_IDENTIFIER)

logger = logging.getLogger(__name__)


class CanDiagnostics:
    """The responses of one ECU; requests are recorded beside them, flagged SENT.

    shares: what each wanted value gets of the ECU's time, renewed several times a second.
    """

    def __init__(
        self,
        name: str,
        settings: DiagnosticSettings,
        clock: Clock,
        wanted: Sequence[Wanted],
    ) -> None:
        self.info = SourceInfo(name, SourceKind.DIAGNOSTICS)
        self.shares: tuple[AchievedRate, ...] = ()
        self._settings = settings
        self._clock = clock
        self._wanted = [one for one in wanted if one.key[0] in SERVICES]
        for one in wanted:
            if one not in self._wanted:
                logger.warning(
                    "%s: %s cannot be had: there is no service %#04x on CAN",
                    name,
                    ", ".join(one.channels),
                    one.key[0],
                )

    def run(self, emit: Emit, stop: threading.Event) -> None:
        """Poll until `stop`; SourceError when the bus cannot be opened or the ECU is silent."""
        name, settings = self.info.name, self._settings
        with contextlib.closing(_open_gated(name, settings)) as gated:
            in_session = settings.session == "extended"
            link = IsoTpLink(gated, self._addresses(gated), self._clock, in_session)
            asker = Asker(name, link, emit, stop)
            if in_session:
                _enter_session(name, asker)
            at_once = {
                READ_CURRENT_DATA: MOST_PARAMETERS,
                READ_BY_IDENTIFIER: settings.identifiers_at_once,
            }
            poller = Poller(name, asker, self._wanted, at_once)
            poller.discover()
            poller.run(stop, self._show)

    def _show(self, shares: tuple[AchievedRate, ...]) -> None:
        self.shares = shares

    def _addresses(self, bus: GatedBus) -> Addresses:
        request, response = self._settings.request, self._settings.response
        if request is None:
            found = find_ecu(bus)
            if found is None:
                raise SourceError(
                    f"{self.info.name}: no ECU answers, with 11 bits or 29; is the ignition on, "
                    "and is the bit rate right?"
                )
            return found
        answer = response if response is not None else response_to(request)
        assert answer is not None  # DiagnosticSettings lets nothing else through
        return Addresses(request, answer)


def _open_gated(name: str, settings: DiagnosticSettings) -> GatedBus:
    where = bus_label(name, settings.interface, settings.channel)
    if (slcan := settings.as_slcan()) is not None:
        return GatedBus(SlcanWire(slcan), where)
    options = {"channel": settings.channel, "bitrate": settings.bitrate}
    return GatedBus(open_bus(where, settings.interface, options, settings.options), where)


def _enter_session(name: str, asker: Asker) -> None:
    """Into the extended session, and take over the ECU's own timing.

    50 03, P2 in ms, P2* in steps of 10 ms (ISO 14229-1).
    """
    answer = asker.ask(EXTENDED_SESSION)
    if answer is None:
        raise SourceError(f"{name}: the ECU does not answer; is the ignition on?")
    if answer.refusal is not None:
        raise SourceError(f"{name}: the ECU refuses the extended session: {answer.why}")
    p2, p2_star = answer.payload[2:4], answer.payload[4:6]
    asker.timeout_s = max(asker.timeout_s, int.from_bytes(p2, "big") * MS)
    asker.pending_s = max(asker.pending_s, int.from_bytes(p2_star, "big") * MS_10)
