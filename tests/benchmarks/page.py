"""What the page costs: `python tests/benchmarks/page.py`, about two minutes.

The live page beside the real daemon (a process of its own) and the simulated car at true speed;
then the review of twelve pulls of a stored job. Processor time of processes is read from /proc.
Never under real-time scheduling: Chromium's helpers then spin, and nothing else runs any more.
"""

import asyncio
import os
import re
import socket
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

HERE: Final = Path(__file__).parent
sys.path[:0] = [str(HERE.parent), str(HERE.parent / "end_to_end")]

import demo_job  # noqa: E402
from browsers import chromium, strict_page  # noqa: E402
from playwright.async_api import Page, WebSocket  # noqa: E402
from real_bay import write_station  # noqa: E402
from served_page import served  # noqa: E402

from analysis.archive.store import Store  # noqa: E402
from capture.commands.simulated_car import SimulatedCar  # noqa: E402
from capture.recording.reader import read_recording  # noqa: E402

WATCHED_S: Final = 10.0  # of the first pull and its hold
PULLS: Final = 3
PATIENCE_S: Final = 120.0
TICK_S: Final = os.sysconf("SC_CLK_TCK") ** -1
DRAWN: Final = "body[data-drawn]"
# When each pull was first shown with its verdict, by its words, told from inside the page.
WATCH_NEWEST: Final = """() => {
  window.seen = {};
  const box = document.getElementById('last-pull');
  const note = () => { window.seen[box.querySelector('.pull-name')?.textContent] ??= Date.now(); };
  new MutationObserver(note).observe(box, { childList: true });
}"""


@dataclass
class Traffic:
    """What came over the live socket."""

    at: list[float] = field(default_factory=list)
    size: list[int] = field(default_factory=list)

    def follow(self, opened: WebSocket) -> None:
        opened.on("framereceived", self.take)

    def take(self, frame: str | bytes) -> None:
        self.at.append(time.monotonic())
        self.size.append(len(frame))


async def main() -> None:
    print(f"load average {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores")
    await measure_live()
    await measure_review()


async def measure_live() -> None:
    folder, port = Path(tempfile.mkdtemp()), free_port()
    url = f"http://127.0.0.1:{port}"
    async with SimulatedCar(1.0, wait=True) as car:
        station = write_station(folder, 1.0, await car.opened_ports(), page_port=port)
        command = [sys.executable, "-m", "capture", "run", str(station)]
        daemon = await asyncio.create_subprocess_exec(*command, stdout=subprocess.DEVNULL)
        try:
            await until_open(port)
            async with chromium() as browser, strict_page(browser, "desk", url) as page:
                traffic = Traffic()
                page.on("websocket", traffic.follow)
                await report_ready(page, url)
                await page.evaluate(WATCH_NEWEST)
                car.send_command("start")
                await report_load(page, traffic, daemon.pid)
                await report_visible(page, folder / "store")
        finally:
            daemon.terminate()
            await daemon.wait()


async def report_ready(page: Page, url: str) -> None:
    for which in ("first", "again"):
        started = time.monotonic()
        await page.goto(url)
        await page.wait_for_selector(".readout")
        ready_ms = (time.monotonic() - started) * 1000
        sizes = await page.evaluate(
            "performance.getEntriesByType('resource').reduce((sum, r) => sum + r.encodedBodySize, "
            "performance.getEntriesByType('navigation')[0].encodedBodySize)"
        )
        print(
            f"live page ready {which}: {ready_ms:.0f} ms, {sizes / 1000:.0f} kB beside the socket"
        )


async def report_load(page: Page, traffic: Traffic, daemon: int) -> None:
    await page.wait_for_selector("body[data-phase=hold]", timeout=PATIENCE_S * 1000)
    before, began = {pid: processor_s(pid) for pid in tree(os.getpid())}, time.monotonic()
    await asyncio.sleep(WATCHED_S)
    span_s = time.monotonic() - began
    used = {pid: processor_s(pid) - before[pid] for pid in tree(os.getpid()) if pid in before}
    server = used.pop(daemon) / span_s
    browser = sum(s for pid, s in used.items() if "chrom" in command_of(pid)) / span_s
    new = [size for at, size in zip(traffic.at, traffic.size, strict=True) if at >= began]
    print(
        f"in a pull: {len(new) / span_s:.1f} updates/s of {sum(new) / max(1, len(new)):.0f} bytes; "
        f"daemon {server:.0%} of a core, browser {browser:.0%}"
    )


async def report_visible(page: Page, folder: Path) -> None:
    """From the end of each pull, as the session has it, to the newest pull on the page."""
    async with asyncio.timeout(PATIENCE_S):
        while len(seen := await page.evaluate("window.seen")) < PULLS:  # noqa: ASYNC110
            await asyncio.sleep(0.5)
    (recording,) = (folder / "recordings").iterdir()
    began_ms = read_recording(recording).session.started_unix_ns / 1e6
    with Store(folder) as store:
        ends_ms = [began_ms + pull.bounds.end_s * 1000 for pull in store.pulls()]
    late = [seen[f"Pull {number}"] - end for number, end in enumerate(ends_ms, start=1)]
    print(f"pull visible after its end: {', '.join(f'{ms:.0f}' for ms in late)} ms")


async def measure_review() -> None:
    with served(Path(tempfile.mkdtemp())) as bay:
        for number in range(7, 13):
            bay.store.save_pull(2, "session-2", demo_job.report(number, 1), demo_job.SETUP)
        channels = len(bay.store.load_report(1).pull.channels)
        bay.session.alerting = False
        async with chromium() as browser, strict_page(browser, "desk", bay.url) as page:
            query = "&".join(f"pulls={number}" for number in range(1, 13))
            for which in ("first", "again"):
                started = time.monotonic()
                await page.goto(f"{bay.url}/review?{query}")
                await page.wait_for_selector(DRAWN)
                print(f"review of 12 pulls of {channels} channels, {which}: {since(started)}")
            started = time.monotonic()
            await page.evaluate(
                "() => { for (const box of document.querySelectorAll('#quantities input')) "
                "box.checked = true; delete document.body.dataset.drawn; "
                "document.querySelector('#quantities input').dispatchEvent(new Event('change')); }"
            )
            await page.wait_for_selector(DRAWN)
            charts = await page.locator("#charts .bk-Figure").count()
            print(f"the same with all its {charts} charts: {since(started)}")


def since(started: float) -> str:
    return f"{time.monotonic() - started:.2f} s"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


async def until_open(port: int) -> None:
    async with asyncio.timeout(PATIENCE_S):
        while True:
            try:
                _, writer = await asyncio.open_connection("127.0.0.1", port)
            except OSError:
                await asyncio.sleep(0.1)
            else:
                writer.close()
                return


def tree(root: int) -> list[int]:
    """The process and all below it."""
    parents = {}
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                parents[int(entry.name)] = int(stat_of(int(entry.name))[1])
            except OSError:
                continue
    found = [root]
    for pid in found:
        found += [child for child, parent in parents.items() if parent == pid]
    return found


def processor_s(pid: int) -> float:
    try:
        stat = stat_of(pid)
    except OSError:
        return 0.0
    return (int(stat[11]) + int(stat[12])) * TICK_S


def stat_of(pid: int) -> list[str]:
    """The fields of /proc/PID/stat after the name: state, parent, ..."""
    return Path(f"/proc/{pid}/stat").read_text("utf-8").rpartition(")")[2].split()


def command_of(pid: int) -> str:
    try:
        return re.sub(r"\0", " ", Path(f"/proc/{pid}/cmdline").read_text("utf-8")).split(" ")[0]
    except OSError:
        return ""


if __name__ == "__main__":
    asyncio.run(main())
