"""The JSON Schemas of every message: generated, committed, served."""

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Final

from analysis.publish.messages.analysis import AnalysisMessage
from analysis.publish.messages.comparison import ComparisonMessage
from analysis.publish.messages.layout import HelloMessage
from analysis.publish.messages.live_page import NowMessage
from analysis.publish.messages.message import Versioned
from analysis.publish.messages.station import STATION_MESSAGES

FOLDER: Final = Path(__file__).parent / "schemas"
DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
MESSAGES: Final[Mapping[str, type[Versioned]]] = {
    **{message.topic.value: message for message in STATION_MESSAGES},
    "analysis": AnalysisMessage,
    "comparison": ComparisonMessage,
    "hello": HelloMessage,
    "now": NowMessage,
}


def schema_text(name: str) -> str:
    """The JSON Schema of a message, as it is committed. Raises KeyError for no such message."""
    schema = MESSAGES[name].model_json_schema(mode="serialization")
    return json.dumps({"$schema": DIALECT, **schema}, indent=2) + "\n"


def schema_file(name: str) -> Path:
    """Where it stands in the package."""
    return FOLDER / f"{name}.schema.json"


if __name__ == "__main__":
    for each in MESSAGES:
        schema_file(each).write_text(schema_text(each), encoding="utf-8", newline="\n")
