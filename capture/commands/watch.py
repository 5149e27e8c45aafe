"""`pullwatch watch`: the live view in a terminal, told by MQTT like any other listener."""

import contextlib
import json
from dataclasses import dataclass, field
from typing import Annotated, Any, Final

import aiomqtt
import typer
from rich.console import Console, Group
from rich.live import Live
from rich.table import Table
from rich.text import Text

from analysis.events import AlertState
from analysis.findings import Severity
from analysis.publish.cautions import LIVE_ALERTS_CAUTION
from analysis.publish.tables import verdict_text
from capture.commands.run import run_loop
from decode.errors import SourceError

REFRESH_HZ: Final = 10
READOUTS_IN_A_ROW: Final = 4


@dataclass
class _Station:
    """What one station has said so far."""

    state: str = "not heard yet"
    phase: str = ""
    values: dict[str, float | None] = field(default_factory=dict)
    alerts: dict[str, dict[str, Any]] = field(default_factory=dict)
    verdicts: list[str] = field(default_factory=list)

    def take(self, topic: str, said: dict[str, Any]) -> None:
        match topic:
            case "status":
                self.state = said["state"]
            case "live":
                self.phase, self.values = said["phase"], said["values"]
            case "alert":
                alert = said["alert"]
                self.alerts.pop(alert["key"], None)
                if alert["state"] != AlertState.CLEARED:
                    self.alerts[alert["key"]] = alert
            case "verdict":
                because = " ".join(said["because"][:1])
                self.verdicts.append(f"pull {said['number']}: {said['verdict']}. {because}")

    def shown(self) -> Group:
        readouts = Table.grid(padding=(0, 2))
        cells = [
            Text.assemble((f"{name} ", "dim"), ("–" if value is None else f"{value:g}", "bold"))
            for name, value in self.values.items()
        ]
        for start in range(0, len(cells), READOUTS_IN_A_ROW):
            readouts.add_row(*cells[start : start + READOUTS_IN_A_ROW])
        return Group(
            *(_alert_line(alert) for alert in self.alerts.values()),
            Text(f"station {self.state}; {self.phase or 'no data yet'}", style="bold"),
            readouts,
            *(Text(line) for line in self.verdicts[-6:]),
            Text(LIVE_ALERTS_CAUTION, style="dim"),
        )


def _alert_line(alert: dict[str, Any]) -> Text:
    return Text.assemble(verdict_text(Severity(alert["severity"])), "  ", alert["statement"])


def watch(
    station: Annotated[str, typer.Argument(help="name of the station")],
    broker: Annotated[str, typer.Option(help="HOST or HOST:PORT")] = "127.0.0.1",
    root: Annotated[str, typer.Option(help="first part of the topics")] = "pullwatch",
) -> None:
    """Watch a station live in the terminal, until Ctrl+C."""
    with contextlib.suppress(KeyboardInterrupt):
        run_loop(_watch(station, broker, root))


async def _watch(station: str, broker: str, root: str) -> None:
    host, _, port = broker.partition(":")
    heard = _Station()
    try:
        async with aiomqtt.Client(host, int(port or 1883)) as client:
            await client.subscribe(f"{root}/{station}/#")
            with Live(console=Console(), refresh_per_second=REFRESH_HZ) as live:
                async for message in client.messages:
                    topic = message.topic.value.rsplit("/", 1)[-1]
                    heard.take(topic, json.loads(bytes(message.payload)))
                    live.update(heard.shown())
    except aiomqtt.MqttError as error:
        raise SourceError(f"the broker at {broker}: {error}") from error
