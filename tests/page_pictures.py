"""Draws README's pictures of the page: ``python -m tests.page_pictures``.

The backyard in February, with three jars that have gone green, as Chromium shows it on a phone and on a desk.
"""

from __future__ import annotations

import re
import tempfile
from datetime import date
from io import BytesIO
from pathlib import Path

from PIL import Image
from playwright.sync_api import Browser, Page, expect

from tests.february import begun
from tests.page import desk
from tests.page.chromium import chromium

FOLDER = Path(__file__).parent / "pictures"
PHONE, DESKTOP = {"width": 390, "height": 780}, {"width": 1160, "height": 620}
DAY = date(2027, 2, 6)
COLOURS = 48
"""Enough for a page of few colours, and small files."""


def draw(folder: Path) -> None:
    """Writes today.png, loss.png and season.png into a folder."""
    with (
        tempfile.TemporaryDirectory() as place,
        chromium() as browser,
        desk.opened(begun(Path(place)), today=DAY) as served,
    ):
        phone = _page(browser, served, PHONE)
        phone.goto("/")
        _keep(phone, folder / "today.png")
        phone.goto("/batch/SHI-G1a")
        for number in (2, 3, 4):
            phone.get_by_label(f"SHI-G1a/{number}", exact=True).check()
        phone.get_by_label("What was seen").fill("green")
        phone.get_by_role("button", name="See what that means").click()
        expect(phone.get_by_role("button", name=re.compile("^Record it"))).to_be_visible(timeout=60_000)
        phone.locator("#plan").evaluate("one => scrollTo(0, one.offsetTop - 12)")
        _keep(phone, folder / "loss.png")
        wide = _page(browser, served, DESKTOP)
        wide.goto("/season")
        _keep(wide, folder / "season.png")


def _page(browser: Browser, served: desk.Browser, window: dict[str, int]) -> Page:
    context = browser.new_context(base_url=f"http://{served.host}", viewport=window)  # type: ignore[arg-type]
    return context.new_page()


def _keep(page: Page, path: Path) -> None:
    drawn = Image.open(BytesIO(page.screenshot()))
    drawn.convert("RGB").quantize(COLOURS).save(path, optimize=True)


if __name__ == "__main__":
    draw(FOLDER)
