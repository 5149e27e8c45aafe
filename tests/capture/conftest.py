from collections.abc import Iterator
from pathlib import Path

import pytest
from transports import Plug


@pytest.fixture
def plug(tmp_path: Path) -> Iterator[Plug]:
    plug = Plug(tmp_path / "port")
    plug.plug_in()
    yield plug
    plug.unplug()
