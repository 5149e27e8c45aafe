"""One demo, played once for every test that looks at what it left behind."""

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from mosquitto_broker import MOSQUITTO, Mosquitto
from patience import PATIENCE_S


@dataclass(frozen=True)
class PlayedDemo:
    """What a demo left: its exit code, its words, its folder."""

    exit_code: int
    output: str
    folder: Path

    @property
    def recording(self) -> Path:
        (recording,) = (self.folder / "store" / "recordings").iterdir()
        return recording


@pytest.fixture(scope="session")
def played_demo(tmp_path_factory: pytest.TempPathFactory) -> PlayedDemo:
    """`pullwatch demo` as a user runs it, with mosquitto as its broker."""
    if MOSQUITTO is None:
        pytest.skip("mosquitto is not installed: the demo's alerts need a real broker here")
    folder = tmp_path_factory.mktemp("demo")
    broker = Mosquitto(tmp_path_factory.mktemp("mosquitto"))
    broker.start()
    try:
        done = subprocess.run(
            [sys.executable, "-m", "capture", "demo", "--folder", str(folder),
             "--broker", f"127.0.0.1:{broker.port}"],
            capture_output=True, text=True, timeout=2 * PATIENCE_S,
        )  # fmt: skip
    finally:
        broker.kill()
    (place,) = folder.iterdir()
    return PlayedDemo(done.returncode, done.stdout + done.stderr, place)
