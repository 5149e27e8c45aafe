"""A browser looks at the page, at desk width and at phone width, and works it by keyboard."""

from collections.abc import AsyncIterator, Iterator
from pathlib import Path

import pytest
import pytest_asyncio
from browsers import CHROMIUM, WIDTHS, fits, strict_page
from playwright.async_api import Browser, Page, expect
from served_page import Served, served

from analysis.model.findings import Severity
from analysis.phrases.say import as_written
from analysis.publish.messages.live_page import LastPull, PolledValue, SourceHealth
from analysis.readiness.readiness import CHECKLIST

pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Chromium browser installed"),
    pytest.mark.slow,
    pytest.mark.asyncio(loop_scope="session"),
]


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Served]:
    with served(tmp_path) as page:
        yield page


@pytest_asyncio.fixture(params=WIDTHS, loop_scope="session")
async def page(
    request: pytest.FixtureRequest, browser: Browser, bay: Served
) -> AsyncIterator[Page]:
    async with strict_page(browser, request.param, bay.url) as opened:
        yield opened


async def test_live(page: Page, bay: Served) -> None:
    """An alert during the pull, seen by a key; sound by a switch; blind when a source goes."""
    await page.goto(f"{bay.url}/")
    await expect(page.locator("#sound")).to_contain_text("Sound is off")
    await page.locator("#sound").click()
    await expect(page.locator("#sound")).to_contain_text("Sound is on")
    await expect(page.locator("#phase-word")).to_have_text("Pull runs")
    await expect(page.locator("#readout-knock_retard .cylinder")).to_have_count(4)
    alert = page.locator(".alert.stop")
    await expect(alert).to_contain_text("Stop: Cylinder 3")
    await expect(page.locator("#phase-word")).to_have_text("Pull runs")
    await expect(page.locator(".cylinder.alarm")).to_contain_text("cyl 3")
    await fits(page)
    await page.keyboard.press("a")
    await expect(alert).to_have_count(0)
    assert bay.session.acknowledged == ["knock_retard:3"]
    gone = SourceHealth("lambda", "waiting", False, message="port gone")
    await expect(page.locator("#polled")).to_be_hidden()
    polled = (PolledValue(("rail", "rail_target"), 20.0, 12.48, 0.081),)
    ecu = SourceHealth("ecu", "delivering", True, polled=polled)
    bay.session.live.health = (ecu, bay.session.live.health[1], gone)
    await expect(page.locator("#phase-word")).to_have_text("Blind")
    await expect(page.locator("#sources li.bad")).to_contain_text("port gone")
    await page.locator("#polled-words").click()
    row = page.locator("#polled-lines li")
    await expect(row).to_contain_text("rail, rail_target")
    await expect(row).to_contain_text("12.5 of 20 Hz, 0.08 s old")
    await fits(page)


async def test_a_pull_is_shown_at_once_and_opens_when_it_is_stored(page: Page, bay: Served) -> None:
    bay.session.newest = LastPull(None, 9, Severity.STOP, (as_written("Cylinder 2 knocked."),))
    await page.goto(f"{bay.url}/")
    newest = page.locator("#last-pull")
    await expect(newest).to_contain_text("Pull 9 stop")
    await expect(newest).to_contain_text("Cylinder 2 knocked.")
    await expect(newest.locator("a")).to_have_count(0)
    bay.session.newest = LastPull(3, 9, Severity.STOP, (as_written("Cylinder 2 knocked."),))
    await expect(newest.locator("a")).to_have_attribute("href", "/review?pulls=3", timeout=20_000)


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
    await expect(page.locator("#cursor-at")).not_to_have_text(before or "")
    await page.keyboard.press("n")
    await expect(page.locator(".finding.shown")).to_contain_text("Cylinder 3")
    await page.keyboard.press("x")
    await page.wait_for_selector("body[data-drawn=time]")
    await expect(page.locator("#cursor-at")).to_contain_text(" s")


async def test_the_list_before_a_pull_is_one_and_ticked_on_either_page(
    page: Page, bay: Served
) -> None:
    count, points = page.locator("#checklist-words"), page.locator("#checklist input")
    await page.goto(f"{bay.url}/jobs/1")
    await expect(count).to_have_text(f"Your list: 0 of {len(CHECKLIST)}")
    await points.nth(0).check()
    await expect(count).to_have_text(f"Your list: 1 of {len(CHECKLIST)}")
    await fits(page)
    await page.goto(f"{bay.url}/")
    await expect(count).to_have_text(f"Your list: 1 of {len(CHECKLIST)}")
    await count.click()
    await expect(points.nth(0)).to_be_checked()
    await points.nth(1).check()
    await page.goto(f"{bay.url}/jobs/1")
    await expect(count).to_have_text(f"Your list: 2 of {len(CHECKLIST)}")
    await points.nth(0).uncheck()
    await expect(count).to_have_text(f"Your list: 1 of {len(CHECKLIST)}")


async def test_job(page: Page, bay: Served) -> None:
    """Exclude a pull with a reason, switch a unit, make a job, open the report."""
    await page.goto(f"{bay.url}/jobs/1")
    bay.session.newest = bay.session.live.last_pull = LastPull(
        7, 7, Severity.STOP, (as_written("knock"),)
    )
    await expect(page.locator("#news")).to_contain_text("Pull 7 is in")
    await page.locator("button[data-pull='2']").click()
    await page.locator("#exclude [name=reason]").fill("tyre slipped")
    await page.locator("#exclude button").click()
    await expect(page.locator("tr.excluded")).to_contain_text("tyre slipped")
    assert bay.store.pull(2).excluded == "tyre slipped"
    await page.wait_for_load_state()  # keys work once the page's scripts have run
    await page.keyboard.press("u")
    await page.locator("input[value=hp]").click()
    await expect(page.locator("tbody tr").first).to_contain_text(" hp")
    await page.wait_for_load_state()
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
