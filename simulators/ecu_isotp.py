"""A simulated ECU on a CAN bus: can-isotp as the peer of our own use of it.

On any python-can bus (`virtual` in one process), or behind a simulated slcan adapter, whose far
end is a pty that a program of its own opens.
"""

import threading
import time
from typing import Final, Protocol

import can
import isotp

from simulators.ecu_answers import EcuAnswers
from simulators.slcan_adapter import SlcanAdapter

FUNCTIONAL: Final = (0x7DF, 0x18DB33F1)
LARGEST_STANDARD: Final = 0x7FF
TURN_S: Final = 0.02  # how long the ECU listens before it looks whether it is to stop
POLL_S: Final = 0.0002  # a pty is looked at so often
SPIN_S: Final = 0.0003  # sleeping wakes up so late at times: the rest of a wait is not slept


class Bus(Protocol):
    """What an ECU needs of a bus."""

    def send(self, msg: can.Message) -> None: ...

    def recv(self, timeout: float | None = None) -> can.Message | None: ...


class SlcanFarEnd:
    """The bus behind a simulated slcan adapter: what the host sends, and frames to it."""

    def __init__(self, adapter: SlcanAdapter) -> None:
        self._adapter = adapter

    def send(self, msg: can.Message) -> None:
        """To the host."""
        identifier, data = msg.arbitration_id, bytes(msg.data).hex().upper()
        head = f"T{identifier:08X}" if msg.is_extended_id else f"t{identifier:03X}"
        self._adapter.send(f"{head}{len(msg.data)}{data}\r".encode())

    def recv(self, timeout: float | None = None) -> can.Message | None:
        """The next frame of the host."""
        deadline_s = time.perf_counter() + (timeout or 0.0)
        while True:
            self._adapter.poll()
            if self._adapter.sent_by_host:
                return _frame(self._adapter.sent_by_host.pop(0))
            if time.perf_counter() >= deadline_s:
                return None
            time.sleep(POLL_S)


def _frame(command: str) -> can.Message:
    extended = command[0] == "T"
    end = 9 if extended else 4
    return can.Message(
        arbitration_id=int(command[1:end], 16),
        is_extended_id=extended,
        data=bytes.fromhex(command[end + 1 :]),
    )


class IsoTpEcu:
    """Answers under `response` what is asked under `request`, or under a functional identifier.

    frames: every frame that it has seen on the bus.
    """

    def __init__(
        self, bus: Bus, answers: EcuAnswers, request: int = 0x7E0, response: int = 0x7E8
    ) -> None:
        self.answers = answers
        self.frames: list[can.Message] = []
        self._bus = bus
        self._request = request
        self._extended = request > LARGEST_STANDARD
        self._functional = False
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="simulated ecu")
        mode = isotp.AddressingMode
        self._stack = isotp.TransportLayerLogic(
            self._receive,
            self._send,
            isotp.Address(
                mode.Normal_29bits if self._extended else mode.Normal_11bits,
                txid=response,
                rxid=request,
            ),
            params={"tx_padding": 0xAA, "stmin": 0, "blocksize": 0},
        )

    def __enter__(self) -> "IsoTpEcu":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()

    def _run(self) -> None:
        while not self._stop.is_set():
            self._stack.process(TURN_S)
            if self._stack.available():
                self._respond(bytes(self._stack.recv() or b""), time.perf_counter())

    def _respond(self, request: bytes, at_s: float) -> None:
        for response in self.answers.answer(request, self._functional):
            at_s += self.answers.response_time_s
            sleep_until(at_s)
            self._stack.send(response)
            self._stack.process(0.0, do_rx=False)
            while self._stack.transmitting() and not self._stop.is_set():
                self._stack.process(TURN_S)

    def _receive(self, timeout_s: float) -> isotp.CanMessage | None:
        if self._stack.available():
            return None
        frame = self._bus.recv(timeout_s)
        if frame is None:
            return None
        self.frames.append(frame)
        identifier = frame.arbitration_id
        self._functional = identifier in FUNCTIONAL
        if self._functional and frame.is_extended_id == self._extended:
            identifier = self._request
        return isotp.CanMessage(
            identifier, data=bytes(frame.data), extended_id=frame.is_extended_id
        )

    def _send(self, frame: isotp.CanMessage) -> None:
        self._bus.send(
            can.Message(
                arbitration_id=frame.arbitration_id,
                data=frame.data,
                is_extended_id=frame.is_extended_id,
            )
        )


def sleep_until(at_s: float) -> None:
    """Until an instant of time.perf_counter, to a few microseconds."""
    time.sleep(max(0.0, at_s - time.perf_counter() - SPIN_S))
    while time.perf_counter() < at_s:
        time.sleep(0)
