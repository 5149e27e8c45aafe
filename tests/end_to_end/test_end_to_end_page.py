"""A browser looks at the page, at desk width and at phone width, and works it by keyboard."""

import shutil
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.async_api import Browser, Page, async_playwright, expect
from served_page import Served, served

from analysis.findings import Severity
from analysis.publish.live import LastPull, SourceHealth

NAMES = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM = next((found for name in NAMES if (found := shutil.which(name))), None)
QUIET = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run",
]  # fmt: skip
WIDTHS = {"desk": (1440, 900), "phone": (390, 844)}

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="needs the Chromium browser installed")


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Served]:
    with served(tmp_path) as page:
        yield page


@pytest.fixture
async def browser() -> AsyncIterator[Browser]:
    async with async_playwright() as driver:
        started = await driver.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield started
        await started.close()


@pytest.fixture(params=WIDTHS)
async def page(
    request: pytest.FixtureRequest, browser: Browser, bay: Served
) -> AsyncIterator[Page]:
    """A page that must not complain, nor ask for anything elsewhere."""
    width, height = WIDTHS[request.param]
    context = await browser.new_context(viewport={"width": width, "height": height})
    opened = await context.new_page()
    wrong: list[str] = []
    opened.on("console", lambda m: wrong.append(m.text) if m.type in ("error", "warning") else None)
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.on("requestfailed", lambda asked: wrong.append(f"failed: {asked.url}"))
    opened.on("request", lambda asked: _only_own(asked.url, bay.url, wrong))
    yield opened
    await context.close()
    assert not wrong


def _only_own(url: str, own: str, wrong: list[str]) -> None:
    if not url.startswith((own, own.replace("http", "ws"), "data:", "blob:")):
        wrong.append(f"asked outside: {url}")


async def fits(page: Page) -> None:
    """Nothing needs to be scrolled sideways."""
    wide: Any = await page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0, f"{wide} px too wide"


async def test_live(page: Page, bay: Served) -> None:
    """An alert during the pull, seen by a key; sound by a switch; blind when a source goes."""
    await page.goto(f"{bay.url}/")
    await expect(page.locator("#sound")).to_contain_text("Sound is off")
    await page.locator("#sound").click()
    await expect(page.locator("#sound")).to_contain_text("Sound is on")
    await expect(page.locator("#phase-word")).to_have_text("Pull runs", timeout=8000)
    await expect(page.locator("#readout-knock_retard .cylinder")).to_have_count(4)
    alert = page.locator(".alert.stop")
    await expect(alert).to_contain_text("Stop: Cylinder 3", timeout=12_000)
    await expect(page.locator("#phase-word")).to_have_text("Pull runs")
    await expect(page.locator(".cylinder.alarm")).to_contain_text("cyl 3")
    await fits(page)
    await page.keyboard.press("a")
    await expect(alert).to_have_count(0)
    assert bay.session.acknowledged == ["knock_retard:3"]
    gone = SourceHealth("lambda", "waiting", False, message="port gone")
    bay.session.live.health = (*bay.session.live.health[:2], gone)
    await expect(page.locator("#phase-word")).to_have_text("Blind")
    await expect(page.locator("#sources li.bad")).to_contain_text("port gone")


async def test_review(page: Page, bay: Served) -> None:
    """From the job by keys to the overlay, the cursor, and the finding's place on the curve."""
    await page.goto(f"{bay.url}/jobs/1")
    await fits(page)
    for key in ("j", "j", "j", "Space", "k", "k", "k", "Space", "o"):
        await page.keyboard.press(key)
    await page.wait_for_selector("body[data-drawn=engine_speed]")
    await expect(page.locator("#charts .bk-Figure")).to_have_count(6)
    await fits(page)
    before = await page.locator("#cursor-at").text_content()
    await page.keyboard.press("ArrowRight")
    assert await page.locator("#cursor-at").text_content() != before
    await page.keyboard.press("n")
    await expect(page.locator(".finding.shown")).to_contain_text("Cylinder 3")
    await page.keyboard.press("x")
    await page.wait_for_selector("body[data-drawn=time]")
    await expect(page.locator("#cursor-at")).to_contain_text(" s")


async def test_job(page: Page, bay: Served) -> None:
    """Exclude a pull with a reason, switch a unit, make a job, open the report."""
    await page.goto(f"{bay.url}/jobs/1")
    newest = LastPull(7, 7, Severity.STOP, "knock")
    bay.session.live.last_pull = newest
    await expect(page.locator("#news")).to_contain_text("Pull 7 is in")
    await page.locator("button[data-pull='2']").click()
    await page.locator("#exclude [name=reason]").fill("tyre slipped")
    await page.locator("#exclude button").click()
    await expect(page.locator("tr.excluded")).to_contain_text("tyre slipped")
    assert bay.store.pull(2).excluded == "tyre slipped"
    await page.keyboard.press("u")
    await page.locator("input[value=hp]").click()
    await expect(page.locator("tbody tr").first).to_contain_text(" hp")
    await page.locator("form[data-api$=signatures] [name=name]").fill("A. N.")
    await page.get_by_role("button", name="Sign the job as it is now").click()
    await expect(page.get_by_text("Nothing has changed since.")).to_be_visible()
    await page.goto(f"{bay.url}/jobs")
    await page.locator("[name=name]").fill("Next car")
    await page.get_by_role("button", name="Make the job").click()
    await expect(page.locator("h1")).to_have_text("Next car")
    await expect(page.locator(".stage")).to_contain_text("baseline")
    await fits(page)
    await page.goto(f"{bay.url}/api/v1/jobs/1/report")
    await expect(page.locator(".answer strong")).to_have_text("Look closer")
    await fits(page)
