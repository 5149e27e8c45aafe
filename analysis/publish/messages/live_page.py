"""What a page that looks at a running session is sent, many times a second."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal

from analysis.model.events import Alert, Phase
from analysis.model.findings import Severity
from analysis.model.setup import Air
from analysis.phrases.reader import HOUSE_READER, Reader
from analysis.phrases.statement import Statement
from analysis.publish.messages.message import Versioned
from analysis.readiness.readiness import Item, Readiness


@dataclass(frozen=True, slots=True)
class PolledValue:
    """One value that an ECU is asked for, and the channels made of it. age_s: since its last
    answer, None before the first."""

    channels: tuple[str, ...]
    wanted_hz: float
    achieved_hz: float
    age_s: float | None


@dataclass(frozen=True, slots=True)
class SourceHealth:
    """How one source is doing. state: a word of the reconnecting reader ("open", "waiting" ...);
    well: whether records come. dropped: records known to be lost since the session started.
    polled: what it asks for, and how often that comes."""

    name: str
    state: str
    well: bool
    records: int = 0
    dropped: int = 0
    message: str = ""
    polled: tuple[PolledValue, ...] = ()


@dataclass(frozen=True, slots=True)
class LastPull:
    """The newest pull, once its analysis is done. pull_id: its key in the store, None as long as it
    is not stored."""

    pull_id: int | None
    number: int
    verdict: Severity
    statements: tuple[Statement, ...]


class NowMessage(Versioned):
    """What is so now: values by channel (null: not available), names of the stale ones, one strip
    point (time, value) a strip, phase, alerts, readiness, air, health, the newest pull."""

    kind: Literal["now"] = "now"
    now_s: float
    station: str
    job: str
    stage: str
    phase: Phase
    blind: bool
    values: dict[str, float | None]
    stale: tuple[str, ...]
    strips: dict[str, tuple[float, float | None]]
    alerts: tuple[Alert, ...]
    readiness: Readiness | None
    air: Air | None
    air_doubts: tuple[Statement, ...]
    health: tuple[SourceHealth, ...]
    last_pull: LastPull | None

    def written_for(self, reader: Reader) -> "NowMessage":
        """With the text of every statement as the reader has it."""
        if reader == HOUSE_READER:
            return self
        pull, readiness = self.last_pull, self.readiness
        return self.model_copy(
            update={
                "alerts": tuple(
                    replace(alert, statement=_written(alert.statement, reader))
                    for alert in self.alerts
                ),
                "air_doubts": _all_written(self.air_doubts, reader),
                "readiness": None if readiness is None else _readiness(readiness, reader),
                "last_pull": None
                if pull is None
                else replace(pull, statements=_all_written(pull.statements, reader)),
            }
        )


def _readiness(readiness: Readiness, reader: Reader) -> Readiness:
    return replace(
        readiness,
        reasons=_all_written(readiness.reasons, reader),
        items=tuple(_item(item, reader) for item in readiness.items),
    )


def _item(item: Item, reader: Reader) -> Item:
    return replace(item, name=_written(item.name, reader), found=_written(item.found, reader))


def _written(statement: Statement, reader: Reader) -> Statement:
    return replace(statement, text=reader.text(statement))


def _all_written(statements: Iterable[Statement], reader: Reader) -> tuple[Statement, ...]:
    return tuple(_written(statement, reader) for statement in statements)
