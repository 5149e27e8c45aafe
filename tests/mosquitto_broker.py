"""A real mosquitto on loopback that tests may kill, freeze and start again."""

import shutil
import signal
import socket
import subprocess
import time
from pathlib import Path

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
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port: int = free.getsockname()[1]
        self._config = folder / "mosquitto.conf"
        self._config.write_text(CONFIG.format(port=self.port))
        self._process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        assert MOSQUITTO is not None
        # as root mosquitto would change to a user of its own, who may not read the file
        self._process = subprocess.Popen([MOSQUITTO, "-c", str(self._config)])
        deadline = time.monotonic() + 5.0
        while True:
            try:
                socket.create_connection(("127.0.0.1", self.port), 0.2).close()
            except OSError:
                assert time.monotonic() < deadline, "mosquitto does not answer"
                assert self._process.poll() is None, "mosquitto ended at once"
                time.sleep(0.01)
            else:
                return

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
