"""`python -m simulators.demo`: the simulated car as a process of its own.

Prints one JSON document a line: first {"engine", "dyno", "lambda"} to open; then {"progress",
"stage"} while it drives; {"stage_done"} after a stage's pulls, whereupon the engine idles until
"next" comes on standard input, after the last stage until "end"; then {"truth"}. With --wait it
idles before the first stage too, until "start". It goes on idling until standard input is closed:
a port that went would leave its name to whatever terminal is opened next, and the reader would
open that.
"""

import argparse
import json
import queue
import sys
import threading
import time
from collections.abc import Mapping
from typing import Final

from simulators.demo.job import STAGE_SECONDS, STAGES
from simulators.demo.playback import TICK_S, Player
from simulators.demo.wire import DemoCar
from simulators.ports import Port, PtyPort, TcpPort
from simulators.slcan_adapter import SlcanAdapter

PROGRESS_INTERVAL_S: Final = 0.2
COMMANDS: Final = dict.fromkeys(STAGES[:-1], "next") | {STAGES[-1]: "end"}


def say(document: Mapping[str, object]) -> None:
    """One line to whoever started this process."""
    print(json.dumps(document), flush=True)


class Commands:
    """Lines from standard input, without waiting for them (select knows no pipes on Windows)."""

    def __init__(self) -> None:
        self._lines: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._thread = threading.Thread(target=self._read, name="commands", daemon=True)
        self._thread.start()

    @property
    def closed(self) -> bool:
        """Whether whoever gave them is gone."""
        return not self._thread.is_alive()

    def given(self, command: str) -> bool:
        """Whether the command, or "end", or the end of the input, has come."""
        while not self._lines.empty():
            if self._lines.get() in (command, "end"):
                return True
        return self.closed

    def _read(self) -> None:
        for line in sys.stdin:
            self._lines.put(line.strip())


class Progress:
    """Tells how far the whole demo is, a few times a second."""

    def __init__(self) -> None:
        self._next = 0.0
        self._total_s = sum(STAGE_SECONDS.values())
        self._stage, self._began_s, self._done_s = STAGES[0], 0.0, 0.0

    def begin(self, stage: str, at_s: float) -> None:
        """A stage begins at this device time."""
        self._stage, self._began_s = stage, at_s

    def update(self, now_s: float) -> None:
        """The device's time has gone on."""
        if time.monotonic() < self._next:
            return
        self._next = time.monotonic() + PROGRESS_INTERVAL_S
        inside = min(now_s - self._began_s, STAGE_SECONDS[self._stage])
        share = (self._done_s + inside) / self._total_s
        say({"progress": round(share, 4), "stage": self._stage})

    def end(self) -> None:
        """The stage is over."""
        self._done_s += STAGE_SECONDS[self._stage]


def run(speed: float, seed: int, port: type[PtyPort] | type[TcpPort], wait: bool) -> None:
    """The whole demo."""
    engine, dyno, lambda_ = port(), port(), port()
    ports: tuple[Port, ...] = (engine, dyno, lambda_)
    say({"engine": engine.url, "dyno": dyno.url, "lambda": lambda_.url})
    player = Player(SlcanAdapter(engine), dyno, lambda_, speed)
    commands, progress, car = Commands(), Progress(), DemoCar(seed)
    while not player.ready and not commands.closed:
        time.sleep(TICK_S)
    while wait and not commands.given("start"):
        player.play(car.idle(), lambda now_s: None)
    for stage in STAGES:
        progress.begin(stage, car.time_s)
        player.play(car.stage(stage), progress.update)
        progress.end()
        say({"stage_done": stage})
        while not commands.given(COMMANDS[stage]):
            player.play(car.idle(), lambda now_s: None)
    say({"truth": car.truth().to_json()})
    while not commands.closed:
        player.play(car.idle(), lambda now_s: None)
        car.drop_before()
    for each in ports:
        each.close()


def main() -> None:
    """Parse the command line and run."""
    parser = argparse.ArgumentParser(prog="python -m simulators.demo", description=__doc__)
    parser.add_argument("--speed", type=float, default=8.0, help="times faster than real time")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tcp", action="store_true", help="loopback TCP instead of ptys")
    parser.add_argument("--wait", action="store_true", help='idle until "start" comes')
    arguments = parser.parse_args()
    tcp = arguments.tcp or sys.platform == "win32"
    run(arguments.speed, arguments.seed, TcpPort if tcp else PtyPort, arguments.wait)


if __name__ == "__main__":
    main()
