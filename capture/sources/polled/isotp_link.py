"""One ECU over CAN: ISO-TP (ISO 15765-2) by can-isotp, behind the read gate.

Without can-isotp's threads: the one thread of the source turns its state machine, so a request
leaves and a response is seen without a hand-over.
"""

import logging
import time
from collections.abc import Iterator
from typing import Any, Final

import can
import isotp

from capture.sources.base.clock import Clock
from capture.sources.gate.read_gate import GatedBus
from capture.sources.gate.read_requests import FUNCTIONAL
from capture.sources.polled.asking import Message
from capture.sources.polled.ecu_addresses import LARGEST_STANDARD, Addresses, request_answered_by
from decode.diagnostics import POSITIVE, READ_CURRENT_DATA, supported_parameters
from decode.records import Flag
from decode.standard_parameters import ENGINE_SPEED

PADDING: Final = 0xCC  # ISO 15765-2: fills a frame with the fewest stuff bits
WHOLE: Final = 0x1FFF_FFFF
SEGMENT_WAIT_S: Final = 0.001  # the state machine is turned so often while a request is being sent

TESTER_PRESENT: Final = b"\x3e\x80"  # 80: no answer, please
TESTER_PRESENT_S: Final = 2.0  # ISO 14229-2: a session ends after 5 s without a request (S3)

FIND_S: Final = 0.1  # all ECUs of a car have answered by then (ISO 15765-4: 50 ms)
# A question to all ECUs, and where their answers come: identifier and its bits that must agree.
QUESTIONS: Final = ((FUNCTIONAL[0], 0x7E8, 0x7F8), (FUNCTIONAL[1], 0x18DAF100, 0x1FFFFF00))

LOGGER: Final = "capture.isotp"
ISOTP_PARAMETERS: Final[dict[str, Any]] = {
    "stmin": 0,
    "blocksize": 0,  # the ECU sends a whole response without asking again
    "tx_padding": PADDING,  # ISO 15765-4 wants eight bytes in every frame
    "rx_consecutive_frame_timeout": 1000,  # ms, N_Cr
    "rx_flowcontrol_timeout": 1000,  # ms, N_Bs
    "logger_name": LOGGER,
    "wait_func": lambda seconds: None,  # of its threads only, which are not used
}

# What it warns of ends in a request without an answer, which is counted and told once.
logging.getLogger(LOGGER).setLevel(logging.ERROR)


def find_ecu(bus: GatedBus) -> Addresses | None:
    """Ask all ECUs what they support, with 11 and then with 29 bits; the engine's, or None.

    The engine's is the first, in the order of identifiers, that knows the engine speed.
    """
    for question, response, mask in QUESTIONS:
        bus.listen_to({response: mask})
        data = bytes([2, READ_CURRENT_DATA, 0]) + bytes([PADDING]) * 5
        extended = question > LARGEST_STANDARD
        bus.send(can.Message(arbitration_id=question, data=data, is_extended_id=extended))
        deadline_s = time.monotonic() + FIND_S
        found = [
            frame.arbitration_id
            for frame in _until(bus, deadline_s)
            if frame.is_extended_id == extended
            and frame.arbitration_id & mask == response
            and _knows_engine_speed(bytes(frame.data))
        ]
        if found:
            return Addresses(request_answered_by(min(found)), min(found))
    return None


def _until(bus: GatedBus, deadline_s: float) -> Iterator[can.Message]:
    while (left_s := deadline_s - time.monotonic()) > 0:
        frame = bus.recv(left_s)
        if frame is not None and not frame.is_error_frame and not frame.is_remote_frame:
            yield frame


def _knows_engine_speed(data: bytes) -> bool:
    positive = bytes([6, READ_CURRENT_DATA + POSITIVE, 0])
    return data[:3] == positive and ENGINE_SPEED in supported_parameters(0, data[3:7])


class IsoTpLink:
    """Sends requests to one ECU and receives its responses."""

    def __init__(
        self,
        bus: GatedBus,
        addresses: Addresses,
        clock: Clock,
        in_session: bool = False,
    ) -> None:
        """in_session: the ECU falls out of its session where it hears nothing for a while."""
        self._bus = bus
        self._addresses = addresses
        self._clock = clock
        self._in_session = in_session
        self._sent_s = self._deadline_s = time.monotonic()
        bus.listen_to({addresses.response: WHOLE if addresses.extended else LARGEST_STANDARD})
        mode = isotp.AddressingMode
        address = isotp.Address(
            mode.Normal_29bits if addresses.extended else mode.Normal_11bits,
            txid=addresses.request,
            rxid=addresses.response,
        )
        self._stack = isotp.TransportLayerLogic(
            self._next_frame, self._send_frame, address, params=ISOTP_PARAMETERS
        )

    def send(self, request: bytes) -> Message:
        """See `Link`."""
        self._sent_s = self._deadline_s = time.monotonic()
        self._stack.stop_sending()
        while self._stack.available():
            self._stack.recv()
        self._stack.send(request)
        at_ns = self._clock.now_ns()
        self._stack.process(0.0, do_rx=False)
        flags = self._addresses.flags | Flag.SENT
        return Message(request, self._addresses.request, at_ns, flags)

    def receive(self, timeout_s: float) -> Message | None:
        """See `Link`."""
        self._deadline_s = time.monotonic() + timeout_s
        while not self._stack.available():
            left_s = self._deadline_s - time.monotonic()
            if left_s <= 0:
                return None
            sending = self._stack.transmitting()
            self._stack.process(min(left_s, SEGMENT_WAIT_S) if sending else left_s)
        payload = bytes(self._stack.recv() or b"")
        flags = self._addresses.flags
        return Message(payload, self._addresses.response, self._clock.now_ns(), flags)

    @property
    def receiving(self) -> bool:
        """See `Link`; can-isotp gives a message up 1 s after its last frame."""
        return bool(self._stack.is_rx_active())

    def keep_alive(self) -> None:
        """See `Link`."""
        if self._in_session and time.monotonic() - self._sent_s > TESTER_PRESENT_S:
            self.send(TESTER_PRESENT)

    def _next_frame(self, timeout_s: float) -> isotp.CanMessage | None:
        # can-isotp reads on until nothing comes, however long that is
        if self._stack.available() or time.monotonic() > self._deadline_s:
            return None
        frame = self._bus.recv(timeout_s)
        if frame is None or frame.is_error_frame or frame.is_remote_frame:
            return None
        return isotp.CanMessage(
            arbitration_id=frame.arbitration_id,
            data=bytes(frame.data),
            extended_id=frame.is_extended_id,
        )

    def _send_frame(self, frame: isotp.CanMessage) -> None:
        self._bus.send(
            can.Message(
                arbitration_id=frame.arbitration_id,
                data=frame.data,
                is_extended_id=frame.is_extended_id,
                is_fd=frame.is_fd,
            )
        )
