"""Takes the pictures of the README from the real thing: `python tests/end_to_end/screenshots.py`.

The simulated car drives its two stages beside the real bay; the live pictures are taken in the
middle of a pull, with the alert standing.
"""

import asyncio
import sys
import tempfile
from io import BytesIO
from pathlib import Path
from typing import Final

from PIL import Image
from playwright.async_api import Page

ROOT: Final = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests"), str(Path(__file__).parent)]

from browsers import chromium, strict_page  # noqa: E402
from real_bay import RealBay, real_bay  # noqa: E402

from analysis.publish.page.bay_control import enter_stage  # noqa: E402
from decode.operator_records import AlertAcknowledged  # noqa: E402

FOLDER: Final = ROOT / ".pictures"
SPEED: Final = 3.0  # slow enough that a picture falls into a pull, fast enough to wait for
COLOURS: Final = 96  # the page has few; more would only make the files larger
WIDEST_PX: Final = 1200  # of a picture in the README
# The margins that paper gives, and nothing of the sheets after the first.
FIRST_SHEET: Final = "body { padding: 13mm 14mm } .sheet:not(:first-child) { display: none }"
ALERT_IN_THE_PULL: Final = "body[data-phase=sweep] .alert:has-text('Cylinder 3')"


async def main() -> None:
    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        async with (
            real_bay(Path(folder), SPEED) as bay,
            chromium() as browser,
            strict_page(browser, "desk", bay.url) as desk,
            strict_page(browser, "phone", bay.url) as phone,
        ):
            await drive(bay, desk, phone)
            await review(bay, desk)
            await report(bay, desk)


async def drive(bay: RealBay, desk: Page, phone: Page) -> None:
    """Both stages; the live pictures are taken at the first alert of the second."""
    bay.drive_on()
    await bay.stage_done()
    job = bay.bay.store.jobs()[-1]
    words = ("calibration A", "more boost in the middle, a little more ignition")
    stage = bay.bay.store.open_stage(job.id, *words)
    await asyncio.to_thread(enter_stage, bay.bay, stage)
    for page in (desk, phone):
        await page.goto(f"{bay.url}/")
    bay.drive_on()
    waits = [page.wait_for_selector(ALERT_IN_THE_PULL, timeout=90_000) for page in (desk, phone)]
    await asyncio.gather(*waits)
    live, small = await asyncio.gather(desk.screenshot(), phone.screenshot())
    keep("live", live)
    keep("phone", small, WIDEST_PX // 3)
    for alert in bay.bay.live.alerts:
        bay.bay.record(AlertAcknowledged(key=alert.key))
    await bay.stage_done()


async def review(bay: RealBay, page: Page) -> None:
    """Both stages over each other, each with the spread of its pulls."""
    query = "&".join(f"pulls={pull.id}" for pull in bay.bay.store.pulls())
    await page.goto(f"{bay.url}/review?{query}")
    await page.wait_for_selector("body[data-drawn]")
    await page.keyboard.press("b")
    await page.wait_for_timeout(2000)
    keep("review", await page.screenshot())


async def report(bay: RealBay, page: Page) -> None:
    """The first page of the report as it is printed on A4."""
    job = bay.bay.store.jobs()[-1]
    await page.set_viewport_size({"width": 794, "height": 1123})  # A4 at 96 px an inch
    await page.emulate_media(media="print")
    await page.goto(f"{bay.url}/api/v1/jobs/{job.id}/report")
    await page.add_style_tag(content=FIRST_SHEET)
    keep("report", await page.screenshot())


def keep(name: str, png: bytes, widest_px: int = WIDEST_PX) -> None:
    """As a small PNG of few colours."""
    picture = Image.open(BytesIO(png)).convert("RGB")
    if picture.width > widest_px:
        height = round(picture.height * widest_px / picture.width)
        picture = picture.resize((widest_px, height), Image.Resampling.LANCZOS)
    path = FOLDER / f"{name}.png"
    picture.quantize(COLOURS, dither=Image.Dither.NONE).save(path, optimize=True)
    print(f"{path}: {path.stat().st_size / 1000:.0f} kB")


if __name__ == "__main__":
    asyncio.run(main())
