"""A real mosquitto on loopback that tests may kill, freeze and start again."""

import contextlib
import random
import shutil
import signal
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from patience import PATIENCE_S, wait_until

MOSQUITTO = shutil.which("mosquitto") or shutil.which("mosquitto", path="/usr/sbin")
CONFIG = """
listener {port} 127.0.0.1
allow_anonymous true
persistence false
max_queued_messages 0
set_tcp_nodelay true
log_type error
"""


class Mosquitto:
    def __init__(self, folder: Path) -> None:
        self.port = _free_port()
        self._config = folder / "mosquitto.conf"
        self._config.write_text(CONFIG.format(port=self.port))
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        assert MOSQUITTO is not None
        # as root mosquitto would change to a user of its own, who may not read the file
        self._process = subprocess.Popen([MOSQUITTO, "-c", str(self._config)])
        wait_until(self._answers)

    def _answers(self) -> bool:
        assert self._process is not None
        assert self._process.poll() is None, "mosquitto ended at once"
        try:
            socket.create_connection(("127.0.0.1", self.port), PATIENCE_S).close()
        except OSError:
            return False
        return True

    def kill(self) -> None:
        if self._process is not None:
            self._process.send_signal(signal.SIGKILL)
            self._process.wait()
            self._process = None

    def freeze(self) -> None:
        assert self._process is not None
        self._process.send_signal(signal.SIGSTOP)

    def thaw(self) -> None:
        assert self._process is not None
        self._process.send_signal(signal.SIGCONT)


def _free_port() -> int:
    """None of those that the system gives to whoever asks for any: it stays free while the broker
    is down."""
    while True:
        port = random.SystemRandom().randrange(20_000, 32_000)
        with socket.socket() as free, contextlib.suppress(OSError):
            free.bind(("127.0.0.1", port))
            return port


@pytest.fixture
def mosquitto(tmp_path: Path) -> Iterator[Mosquitto]:
    if MOSQUITTO is None:
        pytest.skip("mosquitto is not installed (Debian: apt install mosquitto)")
    broker = Mosquitto(tmp_path)
    broker.start()
    yield broker
    broker.kill()
