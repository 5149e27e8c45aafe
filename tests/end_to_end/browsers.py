"""Chromium for the tests: quiet, and complaining where the page does or asks for anything else."""

import asyncio
import shutil
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from typing import Any, Final

from patience import PATIENCE_S
from playwright.async_api import Browser, Page, async_playwright, expect

NAMES: Final = ("chromium", "chromium-browser", "google-chrome")
CHROMIUM: Final = next((found for name in NAMES if (found := shutil.which(name))), None)
QUIET: Final = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--no-first-run",
]  # fmt: skip
WIDTHS: Final = {"desk": (1440, 900), "phone": (390, 844)}

expect.set_options(timeout=PATIENCE_S * 1000)


@asynccontextmanager
async def chromium() -> AsyncIterator[Browser]:
    async with async_playwright() as driver:
        started = await driver.chromium.launch(executable_path=CHROMIUM, args=QUIET)
        yield started
        await started.close()


@asynccontextmanager
async def strict_page(browser: Browser, screen: str, url: str) -> AsyncIterator[Page]:
    """A page that must not complain, nor ask for anything but what `url` serves."""
    width, height = WIDTHS[screen]
    touch = screen == "phone"
    context = await browser.new_context(
        viewport={"width": width, "height": height}, has_touch=touch, is_mobile=touch
    )
    context.set_default_timeout(PATIENCE_S * 1000)
    opened = await context.new_page()
    wrong: list[str] = []
    opened.on("console", lambda m: wrong.append(m.text) if m.type in ("error", "warning") else None)
    opened.on("pageerror", lambda error: wrong.append(str(error)))
    opened.on("requestfailed", lambda asked: _note_failure(asked, wrong))
    opened.on("request", lambda asked: _only_own(asked.url, url, wrong))
    yield opened
    await context.close()
    assert not wrong, wrong


def _note_failure(asked: Any, wrong: list[str]) -> None:
    # A download, and a question that is still open when the page goes, end as aborted.
    if "ERR_ABORTED" not in (asked.failure or ""):
        wrong.append(f"failed: {asked.url}: {asked.failure}")


def _only_own(url: str, own: str, wrong: list[str]) -> None:
    if not url.startswith((own, own.replace("http", "ws"), "data:", "blob:")):
        wrong.append(f"asked outside: {url}")


async def until_true(page: Page, expression: str) -> None:
    """Playwright's own wait_for_function evaluates text in the page, which its policy forbids."""
    async with asyncio.timeout(PATIENCE_S):
        while not await page.evaluate(expression):  # noqa: ASYNC110 - the page tells nobody
            await asyncio.sleep(0.05)


async def fits(page: Page) -> None:
    """Nothing needs to be scrolled sideways. A phone's own innerWidth grows with what is too wide:
    the screen's is the measure."""
    assert page.viewport_size is not None
    width: int = await page.evaluate("document.documentElement.scrollWidth")
    assert width <= page.viewport_size["width"], f"{width} px wide"
