"""`pullwatch watch`: the live view in a terminal, told by MQTT like any other listener."""

import contextlib
import json
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Annotated, Final

import aiomqtt
import typer
from rich.console import Group
from rich.live import Live
from rich.table import Table
from rich.text import Text

from analysis.model.events import Alert, AlertState
from analysis.publish.messages.station import (
    AlertMessage,
    LiveMessage,
    StationMessage,
    StatusMessage,
    UnreadMessageError,
    VerdictMessage,
    read_message,
)
from analysis.publish.terminal.tables import verdict_text
from analysis.publish.wording.cautions import live_alerts_caution
from capture.commands.as_json import AsJsonLines, print_line
from capture.commands.run_loop import run_loop
from decode.errors import SourceError

REFRESH_HZ: Final = 10
READOUTS_IN_A_ROW: Final = 4
SILENT_AFTER_S: Final = 2.0  # values that come ten times a second are old by then
Take = Callable[[str, bytes], None]  # the last part of the topic's name, and what came


@dataclass
class _Station:
    """What one station has sent so far."""

    state: str = "not heard yet"
    phase: str = ""
    values: dict[str, float | None] = field(default_factory=dict)
    told_at: float = float("-inf")  # of the monotonic clock, when the values came
    alerts: dict[str, Alert] = field(default_factory=dict)
    verdicts: list[str] = field(default_factory=list)
    unread: str = ""  # why the newest message that could not be read was not

    def take(self, topic: str, payload: bytes) -> None:
        """A message came."""
        try:
            self._take(read_message(topic, payload))
        except UnreadMessageError as error:
            self.unread = str(error)

    def _take(self, message: StationMessage) -> None:
        match message:
            case StatusMessage():
                self.state, self.alerts = message.state, {}  # those of the session before
            case LiveMessage():
                self.phase, self.values = message.phase, message.values
                self.told_at = time.monotonic()
            case AlertMessage(alert=alert):
                others = {key: one for key, one in self.alerts.items() if key != alert.key}
                stands = {} if alert.state is AlertState.CLEARED else {alert.key: alert}
                self.alerts = others | stands  # another one: a thread may be showing the old one
            case VerdictMessage():
                because = " ".join(one.text for one in message.because[:1])
                self.verdicts.append(f"pull {message.number}: {message.verdict}. {because}")

    def shown(self) -> Group:
        """Asked again for every refresh: what is old is no longer shown as if it were so now."""
        live = self.state != "offline" and time.monotonic() - self.told_at < SILENT_AFTER_S
        phase = self.phase if live else "blind: no data comes" if self.phase else "no data yet"
        readouts = Table.grid(padding=(0, 2))
        cells = [
            Text.assemble((f"{name} ", "dim"), ("–" if value is None else f"{value:g}", "bold"))
            for name, value in (self.values if live else {}).items()
        ]
        for start in range(0, len(cells), READOUTS_IN_A_ROW):
            readouts.add_row(*cells[start : start + READOUTS_IN_A_ROW])
        return Group(
            *(_alert_line(alert) for alert in self.alerts.values()),
            Text(f"station {self.state}; {phase}", style="bold"),
            readouts,
            *(Text(line) for line in self.verdicts[-6:]),
            *([Text(f"Not read: {self.unread}", style="bold")] if self.unread else []),
            Text(live_alerts_caution(), style="dim"),
        )


def _alert_line(alert: Alert) -> Text:
    return Text.assemble(verdict_text(alert.severity), "  ", alert.statement.text)


def watch(
    station: Annotated[str, typer.Argument(help="name of the station")],
    broker: Annotated[str, typer.Option(help="HOST or HOST:PORT")] = "127.0.0.1",
    root: Annotated[str, typer.Option(help="first part of the topics")] = "pullwatch",
    as_json: AsJsonLines = False,
) -> None:
    """Watch a station live in the terminal, until Ctrl+C."""
    host, _, port = broker.partition(":")
    if port and not port.isdecimal():
        raise typer.BadParameter(f"{broker} is not HOST or HOST:PORT", param_hint="--broker")
    take = _as_lines() if as_json else _as_screen()
    with contextlib.suppress(KeyboardInterrupt):
        run_loop(_watch(host, int(port or 1883), f"{root}/{station}/#", take))


@contextlib.contextmanager
def _as_lines() -> Iterator[Take]:
    yield _print_as_sent


def _print_as_sent(topic: str, payload: bytes) -> None:
    """Of whatever version: who reads the lines knows which ones to take."""
    try:
        print_line({"topic": topic, "message": json.loads(payload)})
    except ValueError as error:
        typer.echo(f"{topic}: what came is no JSON: {error}", err=True)


@contextlib.contextmanager
def _as_screen() -> Iterator[Take]:
    heard = _Station()
    with Live(get_renderable=heard.shown, refresh_per_second=REFRESH_HZ):
        yield heard.take


async def _watch(
    host: str, port: int, topics: str, taking: contextlib.AbstractContextManager[Take]
) -> None:
    try:
        async with aiomqtt.Client(host, port) as client:
            await client.subscribe(topics)
            with taking as take:
                async for message in client.messages:
                    topic = message.topic.value.rsplit("/", 1)[-1]
                    take(topic, bytes(message.payload))
    except aiomqtt.MqttError as error:
        raise SourceError(
            f"the broker at {host}:{port}: {error}; is it running, and is --broker the address "
            "that `broker:` in the station file has?"
        ) from error
