"""What the page costs and how it looks: `python tests/benchmarks/page.py [FOLDER FOR PICTURES]`."""

import shutil
import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))

import demo_job
from playwright.sync_api import Browser, Page, sync_playwright
from served_page import Served, served

WATCHED_S = 8.0
SCREENS = {"desk": (1440, 900), "phone": (390, 844)}
PICTURES = {
    "jobs": "/jobs",
    "job": "/jobs/1",
    "review": "/review?pulls=3&pulls=6",
    "report": "/api/v1/jobs/1/report",
}


def main(pictures: Path | None) -> None:
    with (
        served(Path(tempfile.mkdtemp())) as bay,
        sync_playwright() as driver,
    ):
        bay.session.speed = 1.0
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        if pictures is not None:
            take_pictures(browser, bay, pictures)
        for number in range(7, 13):
            bay.store.save_pull(2, "session-2", demo_job.report(number, 1))
        measure(browser.new_page(viewport={"width": 1440, "height": 900}), bay)
        browser.close()


def take_pictures(browser: Browser, bay: Served, folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    for screen, (width, height) in SCREENS.items():
        page = browser.new_page(viewport={"width": width, "height": height})
        page.goto(bay.url)
        page.wait_for_selector(".alert", timeout=20_000)
        page.screenshot(path=folder / f"live-{screen}.png")
        for name, path in PICTURES.items():
            page.goto(bay.url + path)
            if name == "review":
                page.wait_for_selector("body[data-drawn]")
                page.wait_for_timeout(500)
            page.screenshot(path=folder / f"{name}-{screen}.png")
        page.close()
    print(f"pictures in {folder}")


def measure(page: Page, bay: Served) -> None:
    frames: list[float] = []
    page.on("websocket", lambda s: s.on("framereceived", lambda _: frames.append(time.monotonic())))
    print(f"live page ready after {seconds(page, bay.url, '.readout') * 1000:.0f} ms")
    before, started = time.process_time(), time.monotonic()
    page.wait_for_timeout(WATCHED_S * 1000)
    span_s = time.monotonic() - started
    rate = sum(at > started for at in frames) / span_s
    share = (time.process_time() - before) / span_s
    print(f"{rate:.1f} updates/s; server, feed and test driver together {share:.1%} of a core")
    twelve = "&".join(f"pulls={number}" for number in range(1, 13))
    drawn = "body[data-drawn]"
    print(f"review of 12 pulls: {seconds(page, f'{bay.url}/review?{twelve}', drawn):.2f} s")
    page.evaluate(
        "() => { for (const box of document.querySelectorAll('#quantities input')) "
        "box.checked = true; delete document.body.dataset.drawn; "
        "document.querySelector('#quantities input').dispatchEvent(new Event('change')); }"
    )
    started = time.monotonic()
    page.wait_for_selector(drawn)
    charts = page.locator("#charts .bk-Figure").count()
    print(f"the same with all {charts} charts: {time.monotonic() - started:.2f} s more")


def seconds(page: Page, url: str, selector: str) -> float:
    started = time.monotonic()
    page.goto(url)
    page.wait_for_selector(selector)
    return time.monotonic() - started


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
