"""Our slcan reader beside python-can's own, on the same frames over a pty.

    python tests/benchmarks/slcan_reader.py [seconds]

The sender is a process of its own, so the CPU time shown is the receiver's alone: all threads of
this process, per frame received. Rates are what the sender reached. Needs a POSIX pty.
"""

import os
import subprocess
import sys
import threading
import time
import tty
from collections.abc import Callable
from dataclasses import dataclass

import can
from rich.console import Console
from rich.table import Table

from capture.sources.base.clock import Clock
from capture.sources.base.settings import CanSettings, SlcanSettings
from capture.sources.base.source import Source
from capture.sources.can.can_bus import CanBus
from capture.sources.can.slcan import SlcanBus
from decode.records import RecordBatch

RATES = (1_000, 4_000, 9_000)
TICK_S = 0.001  # frames leave one by one within it, as from an adapter's USB endpoint


def send(fd: int, rate: int, seconds: float, stamped: bool) -> None:
    """Answer commands until the channel is opened, then send frames with a running number."""
    told = b""
    while b"O\r" not in told and b"L\r" not in told:
        told += os.read(fd, 4_096)
        os.write(fd, b"\r")
    time.sleep(0.3)  # python-can's constructor still flushes its input after opening
    started_s, sent = time.monotonic(), 0
    while (elapsed_s := time.monotonic() - started_s) < seconds:
        due = int(elapsed_s * rate)
        for number in range(sent, due):
            stamp = f"{int(elapsed_s * 1000) % 60_000:04X}" if stamped else ""
            os.write(fd, f"t{0x300 + number % 16:03X}8{number:016X}{stamp}\r".encode())
        sent = max(sent, due)
        time.sleep(TICK_S)
    print(sent)


@dataclass
class Measured:
    received: int
    sent: int
    cpu_s: float
    in_order: bool


def measure(make: Callable[[str], Source], rate: int, seconds: float, stamped: bool) -> Measured:
    """Run one source against a sender and count."""
    master, slave = os.openpty()
    tty.setraw(slave)
    batches: list[RecordBatch] = []
    stop = threading.Event()
    source = make(os.ttyname(slave))
    reader = threading.Thread(target=lambda: source.run(batches.append, stop))
    command = [sys.executable, __file__, "--send", str(master), str(rate), str(seconds)]
    with subprocess.Popen(
        [*command, str(int(stamped))], pass_fds=[master], stdout=subprocess.PIPE, text=True
    ) as sender:
        cpu_start_s = 0.0
        reader.start()
        while not batches:
            cpu_start_s = time.process_time()
            time.sleep(0.001)
        assert sender.stdout is not None
        sent = int(sender.stdout.read())
    time.sleep(0.5)
    cpu_s = time.process_time() - cpu_start_s
    stop.set()
    reader.join()
    os.close(master)
    os.close(slave)
    payloads = [b.payload(i) for b in batches for i in range(len(b))]
    numbers = [int.from_bytes(payload, "big") for payload in payloads]
    return Measured(len(numbers), sent, cpu_s, numbers == list(range(len(numbers))))


def ours(port: str) -> Source:
    settings = SlcanSettings(interface="slcan", channel=port, bitrate=500_000)
    return SlcanBus("engine", settings, Clock())


def theirs(port: str) -> Source:
    settings = CanSettings(interface="slcan", channel=port, bitrate=500_000, listen_only=False)
    return CanBus("engine", settings, Clock())


def main(seconds: float) -> None:
    table = Table("reader", "frames/s", "sent", "lost", "in order", "CPU us a frame")
    readers = (("pullwatch", ours, True), (f"python-can {can.__version__}", theirs, False))
    for name, make, stamped in readers:
        for rate in RATES:
            m = measure(make, rate, seconds, stamped)
            cpu_us = 1e6 * m.cpu_s / max(m.received, 1)
            lost = str(m.sent - m.received)
            table.add_row(name, f"{rate}", f"{m.sent}", lost, str(m.in_order), f"{cpu_us:.1f}")
    Console().print(table)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--send"]:
        send(int(sys.argv[2]), int(sys.argv[3]), float(sys.argv[4]), sys.argv[5] == "1")
    else:
        main(float(sys.argv[1]) if len(sys.argv) > 1 else 5.0)
