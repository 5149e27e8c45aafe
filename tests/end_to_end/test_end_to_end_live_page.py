"""The live page when things go badly: silence, another page in front, a button held for long."""

import re
from collections.abc import AsyncIterator, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
import pytest_asyncio
from browsers import CHROMIUM, fits, strict_page, until_true
from playwright.async_api import Browser, Page, WebSocketRoute, expect
from served_page import Served, knock_alert, served

from analysis.model.findings import Severity
from analysis.phrases.say import as_written

pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Chromium browser installed"),
    pytest.mark.slow,
    pytest.mark.asyncio(loop_scope="session"),
]

LONG_NAME = "Großkühler<b>&" + "ohneleerzeichen" * 12
BEHIND_ANOTHER_PAGE = """
Object.defineProperty(document, "hidden", { get: () => true });
window.requestAnimationFrame = () => 0;
"""
COUNTED_BEEPS = """
window.beeps = 0;
window.AudioContext = class {
  state = "running"; currentTime = 0; destination = {};
  async resume() {}
  async close() {}
  createGain() {
    const gain = { setValueAtTime() {}, exponentialRampToValueAtTime() {} };
    return { gain, connect: (to) => to };
  }
  createOscillator() {
    window.beeps += 1;
    return { frequency: {}, connect: (to) => to, start() {}, stop() {} };
  }
};
"""


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Served]:
    with served(tmp_path) as page:
        page.session.alerting = False
        yield page


@pytest_asyncio.fixture(loop_scope="session")
async def page(browser: Browser, bay: Served) -> AsyncIterator[Page]:
    async with strict_page(browser, "desk", bay.url) as opened:
        yield opened


async def test_a_line_that_falls_silent_without_closing_makes_the_page_blind(
    page: Page, bay: Served
) -> None:
    """A network that goes, or a daemon that hangs, closes no connection."""
    silent = False

    def through(line: WebSocketRoute) -> None:
        server = line.connect_to_server()
        server.on_message(lambda message: None if silent else line.send(message))

    await page.route_web_socket(re.compile("/api/v1/live"), through)
    await page.goto(f"{bay.url}/")
    await expect(page.locator("#phase-word")).not_to_have_text(re.compile("Connecting|Blind"))
    silent = True
    await expect(page.locator("#phase-word")).to_have_text("Blind")
    await expect(page.locator("#connection")).to_contain_text("The readouts are old.")
    await expect(page.locator("#speed-value")).to_have_css("opacity", "0.35")
    silent = False
    await expect(page.locator("#connection")).to_be_hidden()
    await expect(page.locator("#phase-word")).not_to_have_text("Blind")


async def test_behind_another_page_an_alert_still_comes(page: Page, bay: Served) -> None:
    """Nothing is drawn there, but it sounds and stands in the title."""
    await page.add_init_script(BEHIND_ANOTHER_PAGE)
    await page.goto(f"{bay.url}/")
    await expect(page).to_have_title("Live · pullwatch")
    bay.session.live.alert(knock_alert())
    await expect(page).to_have_title(re.compile("Cylinder 3"))
    await expect(page.locator(".alert.stop")).to_be_visible()


async def test_a_button_that_is_pressed_stays_while_the_value_rises(
    page: Page, bay: Served
) -> None:
    bay.session.live.alert(knock_alert())
    await page.goto(f"{bay.url}/")
    await page.locator(".alert button").hover()
    await page.mouse.down()
    bay.session.live.alert(
        replace(knock_alert(), statement=as_written("Cylinder 3: 9.8 deg of timing"))
    )
    await expect(page.locator(".alert")).to_contain_text("9.8 deg")
    await page.mouse.up()
    await expect(page.locator(".alert")).to_have_count(0)
    assert bay.session.acknowledged == ["knock_retard:3"]


async def test_an_alert_that_was_seen_and_stays_sounds_no_more_until_it_gets_graver(
    page: Page, bay: Served
) -> None:
    """A source that does not come back would sound until the end of the day."""
    await page.add_init_script(COUNTED_BEEPS)
    silent = replace(
        knock_alert(), key="source_silent:dyno", severity=Severity.LOOK_CLOSER, latched=False
    )
    await page.goto(f"{bay.url}/")
    await page.locator("#sound").click()
    bay.session.live.alert(silent)
    band = page.locator(".alert")
    await band.get_by_role("button").click()
    await expect(band).to_contain_text("Seen; still so.")
    await expect(band.get_by_role("button")).to_be_hidden()
    await page.evaluate("beeps = 0")
    bay.session.live.alert(replace(silent, severity=Severity.STOP))
    await expect(band.get_by_role("button")).to_be_visible()
    await until_true(page, "beeps > 0")
    await page.keyboard.press("a")
    await expect(band.get_by_role("button")).to_be_hidden()
    await page.evaluate("beeps = 0")
    await page.wait_for_timeout(1500)  # two turns of the pattern
    assert await page.evaluate("beeps") == 0
    assert bay.session.acknowledged == ["source_silent:dyno"] * 2


async def test_a_latched_alert_that_comes_again_at_once_can_be_seen_again(
    page: Page, bay: Served
) -> None:
    """The page may never hear that it was over."""
    again = replace(knock_alert(), key="knock_retard:2")  # the bay's answer clears another one
    await page.goto(f"{bay.url}/")
    bay.session.live.alert(again)
    button = page.locator(".alert button")
    await button.click()
    await page.wait_for_timeout(200)  # several messages
    async with page.expect_response("**/acknowledge"):
        await page.keyboard.press("a")
    await expect(button).to_be_visible()
    assert bay.session.acknowledged == ["knock_retard:2"] * 2


@pytest.mark.parametrize("screen", ["desk", "phone"])
async def test_a_name_without_a_blank_stays_on_the_page(
    screen: str, browser: Browser, bay: Served
) -> None:
    job = bay.store.jobs()[0]
    stage = bay.store.open_stage(job.id, LONG_NAME, LONG_NAME)
    for pull in bay.store.pulls(job_id=job.id)[-2:]:
        bay.store.move_pull(pull.id, stage.id)
    bay.store.open_job(LONG_NAME, car=LONG_NAME)
    bay.session.live.job = bay.session.live.stage = LONG_NAME
    paths = ["/", "/jobs", "/jobs/1", "/jobs/2", "/review?pulls=1&pulls=6", "/api/v1/jobs/1/report"]
    async with strict_page(browser, screen, bay.url) as page:
        for path in paths:
            await page.goto(f"{bay.url}{path}")
            await expect(page.locator("body")).to_contain_text(LONG_NAME)
            await fits(page)
