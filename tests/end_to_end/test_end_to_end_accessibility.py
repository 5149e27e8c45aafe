"""axe-core finds nothing on any page. It runs where PULLWATCH_AXE names axe-core's axe.min.js
(`npm pack axe-core`): it is no Python package, so the test extra cannot bring it."""

import os
from pathlib import Path

import pytest
from playwright.async_api import Browser
from served_page import served

AXE = os.environ.get("PULLWATCH_AXE")
PAGES = (
    "/jobs",
    "/jobs/1",
    "/cautions",
    "/recordings",
    "/review?pulls=3&pulls=6",
    "/review?pulls=6",
    "/api/v1/jobs/1/report",
    "/",
)

if AXE:

    @pytest.mark.asyncio(loop_scope="session")
    async def test_axe_finds_nothing(tmp_path: Path, browser: Browser) -> None:
        found: list[str] = []
        with served(tmp_path) as bay:
            for width in (1440, 390):
                # The check itself is a script from elsewhere: only here the policy lets it in.
                context = await browser.new_context(
                    viewport={"width": width, "height": 900}, bypass_csp=True
                )
                page = await context.new_page()
                for path in PAGES:
                    await page.goto(bay.url + path)
                    if "review" in path:
                        await page.wait_for_selector("body[data-drawn]")
                    if path == "/":
                        await page.wait_for_selector(".alert")
                    await page.add_script_tag(path=AXE)
                    result = await page.evaluate("axe.run()")
                    found += [
                        f"{width} {path}: {violation['help']}: {violation['nodes'][0]['html']}"
                        for violation in result["violations"]
                    ]
                await context.close()
        assert not found, "\n".join(found)
