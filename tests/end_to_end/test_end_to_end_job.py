"""A whole job with the real bay: made, driven, watched, reviewed, signed and taken home.

At the desk everything is done by the keyboard, on the phone by touch.
"""

import asyncio
from pathlib import Path

import pytest
from browsers import CHROMIUM, chromium, fits, strict_page, until_true
from playwright.async_api import Locator, Page, expect
from real_bay import RealBay, real_bay

SPEED = 5.0  # a browser with two pages runs beside it, on whatever machine
MOST_TABS = 150  # keys that a person would not press, but far more than any page has stops

pytestmark = [
    pytest.mark.skipif(CHROMIUM is None, reason="needs the Chromium browser installed"),
    pytest.mark.slow,
    pytest.mark.alone,
]

# What stands for a moment is kept by the page itself: on a busy machine a look would come late.
KEEP_WHAT_IS_SHOWN = """
window.shown = [];
new MutationObserver(() => {
  const text = (all) => [...document.querySelectorAll(all)].map((one) => one.textContent).join();
  shown.push({
    phase: document.body?.dataset.phase, word: text("#phase-word"), alerts: text(".alert"),
  });
}).observe(document, { subtree: true, childList: true, attributes: true, characterData: true });
"""
# Both at once, or the alert came after the pull.
ALERT = "shown.findIndex((s) => s.phase === 'sweep' && s.alerts.includes('cylinder 3'))"
DONE = "(s) => s.phase === 'done' && s.word.trim() === 'Pull done'"


async def test_a_job_from_the_first_word_to_the_report(tmp_path: Path) -> None:
    async with (
        real_bay(tmp_path, SPEED) as bay,
        chromium() as browser,
        strict_page(browser, "desk", bay.url) as desk,
        strict_page(browser, "phone", bay.url) as phone,
    ):
        for page in (desk, phone):
            await page.add_init_script(KEEP_WHAT_IS_SHOWN)
        await make_the_job(desk, bay)
        await phone.goto(f"{bay.url}/")
        await expect(phone.locator("#job")).to_contain_text("Hatchback")
        bay.drive_on()
        await bay.stage_done()
        await open_the_second_stage(desk)
        await desk.goto(f"{bay.url}/")
        bay.drive_on()
        await see_the_alert(desk, phone)
        await bay.stage_done()
        await at_the_desk(desk, bay)
        await on_the_phone(phone, bay)


async def tab_to(page: Page, wanted: Locator) -> None:
    """Walk to it by Tab, as somebody without a mouse must."""
    target = await wanted.element_handle()
    for _ in range(MOST_TABS):
        await page.keyboard.press("Tab")
        if await page.evaluate("(one) => document.activeElement === one", target):
            return
    raise AssertionError(f"{wanted} cannot be reached by Tab")


async def type_into(page: Page, field: Locator, words: str) -> None:
    await tab_to(page, field)
    await page.keyboard.type(words)


async def make_the_job(page: Page, bay: RealBay) -> None:
    await page.goto(f"{bay.url}/")
    await page.keyboard.press("2")
    await expect(page.locator("h1")).to_have_text("Jobs")
    await type_into(page, page.locator("[name=name]"), "Hatchback, mild calibration")
    await type_into(page, page.locator("[name=fuel]"), "100 octane")
    await page.keyboard.press("Enter")
    await expect(page.locator("h1")).to_have_text("Hatchback, mild calibration")
    await expect(page.locator(".stage .mark")).to_have_text("pulls fall in here")


async def open_the_second_stage(page: Page) -> None:
    await expect(page.locator("#news")).to_contain_text("is in")
    await tab_to(page, page.locator("#news a"))
    await page.keyboard.press("Enter")
    await expect(page.locator(".stage tbody tr")).to_have_count(3)
    await type_into(page, page.locator("form[data-api$=stages] [name=name]"), "calibration A")
    await type_into(page, page.locator("[name=changed]"), "more boost in the middle")
    await tab_to(page, page.get_by_role("button", name="Open the stage"))
    await page.keyboard.press("Enter")
    await expect(page.locator(".stage")).to_have_count(2)


async def see_the_alert(desk: Page, phone: Page) -> None:
    """It stands on both while the pull still runs; once seen on one it goes on both."""
    await asyncio.gather(*(until_true(page, f"{ALERT} >= 0") for page in (desk, phone)))
    await fits(phone)
    await phone.locator(".alert button").first.tap()
    done = f"shown.slice({ALERT}).some({DONE})"
    await asyncio.gather(*(until_true(page, done) for page in (desk, phone)))
    while await desk.locator(".alert").count():  # the next pull knocks as well
        await desk.keyboard.press("a")
        await desk.wait_for_timeout(200)
    await expect(phone.locator(".alert")).to_have_count(0)


async def at_the_desk(page: Page, bay: RealBay) -> None:
    """By keys: overlay, the finding's place, exclusion, signature, report."""
    job = bay.bay.store.jobs()[-1]
    await page.goto(f"{bay.url}/jobs/{job.id}")
    await expect(page.locator(".comparison")).to_contain_text("run-to-run")
    for key in ("j", "Space", "j", "j", "j", "j", "j", "Space", "o"):
        await page.keyboard.press(key)
    await page.wait_for_selector("body[data-drawn=engine_speed]")
    await page.keyboard.press("n")
    await expect(page.locator(".finding.shown")).to_be_visible()
    await page.keyboard.press("x")
    await page.wait_for_selector("body[data-drawn=time]")
    await page.goto(f"{bay.url}/jobs/{job.id}")
    first = bay.bay.store.pulls(job_id=job.id)[0]
    await tab_to(page, page.locator(f"button[data-pull='{first.id}']"))
    await page.keyboard.press("Enter")
    await type_into(page, page.locator("#exclude [name=reason]"), "tyres were cold")
    await page.keyboard.press("Enter")
    await expect(page.locator("tr.excluded")).to_contain_text("tyres were cold")
    await type_into(page, page.locator("form[data-api$=signatures] [name=name]"), "A. N. Other")
    await page.keyboard.press("Enter")
    await expect(page.get_by_text("Nothing has changed since.")).to_be_visible()
    await tab_to(page, page.get_by_role("link", name="Save the report"))
    async with page.expect_download() as started:
        await page.keyboard.press("Enter")
    judge_the_report(await (await started.value).path(), "A. N. Other")


async def on_the_phone(page: Page, bay: RealBay) -> None:
    """By touch, after the desk has excluded a pull and signed."""
    job = bay.bay.store.jobs()[-1]
    last = bay.bay.store.pulls(job_id=job.id)[-1]
    await page.goto(f"{bay.url}/jobs/{job.id}")
    await fits(page)
    await page.locator(f"button[data-pull='{last.id}']").tap()
    await page.locator("#exclude [name=reason]").fill("fan was off")
    await page.locator("#exclude button").tap()
    await expect(page.locator("tr.excluded")).to_have_count(2)
    await expect(page.get_by_text("The job has changed since this was signed.")).to_be_visible()
    await page.locator(f"input[value='{last.id}']").tap()
    await page.locator("#overlay-button").tap()
    await page.wait_for_selector("body[data-drawn=engine_speed]")
    await fits(page)
    await page.goto(f"{bay.url}/jobs/{job.id}")
    await page.locator("form[data-api$=signatures] [name=name]").fill("Someone Else")
    await page.get_by_role("button", name="Sign the job as it is now").tap()
    await expect(page.get_by_text("Nothing has changed since.")).to_be_visible()
    async with page.expect_download() as started:
        await page.get_by_role("link", name="Save the report").tap()
    judge_the_report(await (await started.value).path(), "Someone Else")


def judge_the_report(file: Path, signed_by: str) -> None:
    """What was taken home says what happened."""
    said = file.read_text("utf-8")
    for words in ("Rolling Road Example", "calibration A", "tyres were cold", signed_by):
        assert words in said, words
