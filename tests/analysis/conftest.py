from collections.abc import Iterator
from pathlib import Path

import pytest
from mosquitto_broker import MOSQUITTO, Mosquitto


@pytest.fixture
def mosquitto(tmp_path: Path) -> Iterator[Mosquitto]:
    if MOSQUITTO is None:
        pytest.skip("mosquitto is not installed (Debian: apt install mosquitto)")
    broker = Mosquitto(tmp_path)
    broker.start()
    yield broker
    broker.kill()
