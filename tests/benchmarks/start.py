"""What a command costs before it does anything: `python tests/benchmarks/start.py`, a minute.

Each command runs in a process of its own, as the installed script does. Processor time is that of
the process and of those it waited for, memory is its peak; the least of some runs, since other
load only adds. The peer is `python -c pass`, measured between the commands.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

REPOSITORY: Final = Path(__file__).parent.parent.parent
FILL: Final = (
    "import sys; from pathlib import Path; sys.path.insert(0, 'tests'); "
    "import demo_job; demo_job.fill(Path(sys.argv[1])).close()"
)
RUNS: Final = 5
MIB: Final = 1 / 1024 if sys.platform != "darwin" else 1 / 1024**2  # ru_maxrss is in kB, or bytes
SCRIPT: Final = "import sys; sys.argv[0] = 'pullwatch'; from capture.cli import main; main()"
COMPLETION: Final = {
    "_PULLWATCH_COMPLETE": "complete_bash",
    "COMP_WORDS": "pullwatch re",
    "COMP_CWORD": "1",
}
TABLE_ROWS: Final = 200


@dataclass(frozen=True)
class Start:
    """A command line, and the most it may cost on a quiet machine."""

    arguments: Sequence[str]
    limit_s: float | None = None
    limit_mib: float | None = None
    environment: Mapping[str, str] = field(default_factory=dict)


@dataclass
class Cost:
    """The least of what its runs took."""

    processor_s: float = float("inf")
    memory_mib: float = float("inf")

    def add_run(self, command: Sequence[str], environment: Mapping[str, str]) -> None:
        """Run once more; the program's own complaints are shown and end the benchmark."""
        process = subprocess.Popen(
            command,
            cwd=REPOSITORY,
            env={**os.environ, **environment},
            stdout=subprocess.DEVNULL,
        )
        _, status, usage = os.wait4(process.pid, 0)
        process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode:
            raise SystemExit(f"{' '.join(command)} ended with {process.returncode}")
        self.processor_s = min(self.processor_s, usage.ru_utime + usage.ru_stime)
        self.memory_mib = min(self.memory_mib, usage.ru_maxrss * MIB)


def starts(folder: Path) -> dict[str, Start]:
    """The command lines measured, over a stored job, a map and a table made in the folder."""
    store = folder / "store"
    filling = [sys.executable, "-c", FILL, str(store)]  # here it would count as their memory
    subprocess.run(filling, cwd=REPOSITORY, check=True)
    (folder / "map.yaml").write_text(
        "pullwatch_map: 1\nchannels:\n  engine_speed: "
        "{quantity: engine_speed, source: table, unit: rpm, column: rpm}\n",
        "utf-8",
    )
    rows = [f"{n / 100:g},{2000 + n}" for n in range(TABLE_ROWS)]
    (folder / "table.csv").write_text("\n".join(["time,rpm", *rows]), "utf-8")
    table, channel_map = str(folder / "table.csv"), str(folder / "map.yaml")
    starter = str(REPOSITORY / "decode" / "maps" / "starter.yaml")
    return {
        "--help": Start(["--help"], 0.3, 60),
        "completion": Start([], 0.3, 60, COMPLETION),
        "--version": Start(["--version"], 0.3, 60),
        "pulls --help": Start(["pulls", "--help"]),
        "pulls": Start(["pulls", str(store)], 1.0),
        "jobs": Start(["jobs", str(store)]),
        "limits": Start(["limits"]),
        "map check": Start(["map", "check", starter], 1.0),
        # "report": Start(["report", str(store), "-o", os.devnull]),
        "analyse": Start(["analyse", table, "--map", channel_map]),
    }


def line(
    name: str, cost: Cost, peer: Cost, limit_s: float | None = None, limit_mib: float | None = None
) -> str:
    """A row of the table."""
    most_s = f"{limit_s:g} s" if limit_s else ""
    most_mib = f"{limit_mib:g} MiB" if limit_mib else ""
    return (
        f"{name:14} {cost.processor_s:8.3f} s {cost.processor_s / peer.processor_s:6.1f} "
        f"{most_s:>8} {cost.memory_mib:5.0f} MiB {most_mib:>8}"
    )


def main() -> None:
    """Print the table."""
    peer = Cost()
    with tempfile.TemporaryDirectory() as made:
        lines = starts(Path(made))
        costs = {name: Cost() for name in lines}
        for _ in range(RUNS):
            peer.add_run([sys.executable, "-c", "pass"], {})
            for name, start in lines.items():
                command = [sys.executable, "-c", SCRIPT, *start.arguments]
                costs[name].add_run(command, start.environment)
    print(f"load average {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores, least of {RUNS} runs")
    print(f"{'':14} {'processor':>10} {'ratio':>6} {'at most':>8} {'memory':>9} {'at most':>8}")
    print(line("python -c pass", peer, peer))
    for name, cost in costs.items():
        print(line(name, cost, peer, lines[name].limit_s, lines[name].limit_mib))


if __name__ == "__main__":
    main()
