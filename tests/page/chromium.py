"""Debian's Chromium without a screen, as tests drive it: phone and desktop, by light and by dark, with and without
scripts of ours (there are none), and what axe-core finds on a page."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

ROOT = Path(__file__).parents[2]
PICTURES = Path(os.environ.get("BUDSWELL_PICTURES", ROOT / "build" / "pages"))
"""Where pictures of pages are put; whoever runs the tests may keep them."""
NAMES = ("chromium", "chromium-browser", "google-chrome")
PHONE, DESKTOP = {"width": 360, "height": 740}, {"width": 1200, "height": 900}
TOUCH = 44
"""Pixels of what is tapped (WCAG 2.2, 2.5.5)."""
RULES = ("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice")


@contextmanager
def chromium() -> Iterator[Browser]:
    """The browser; a test without one is skipped, which fails a run in which nothing may be."""
    path = next(filter(None, map(shutil.which, NAMES)), None)
    if path is None:
        pytest.skip("THIS TEST DID NOT RUN: there is no chromium; apt-get install chromium")
    with sync_playwright() as playwright:
        found = playwright.chromium.launch(executable_path=path, args=["--no-sandbox"])
        try:
            yield found
        finally:
            found.close()


def picture(page: Page, name: str) -> None:
    """Keeps what is seen."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    page.screenshot(path=PICTURES / f"{name}.png", full_page=True)


def violations(page: Page) -> list[str]:
    """What axe-core says against a page: the rule, and where."""
    options: dict[str, Any] = {"runOnly": {"type": "tag", "values": list(RULES)}}
    found = Axe().run(page, options=options)
    return [
        f"{one['id']}: {one['help']}: {[node['html'][:120] for node in one['nodes'][:3]]}"
        for one in found.response["violations"]
    ]


def scrolls_sideways(page: Page) -> bool:
    """Whether the page is wider than the window."""
    return bool(page.evaluate("document.documentElement.scrollWidth > window.innerWidth"))


def too_small(page: Page) -> list[str]:
    """Buttons, fields and links that are no part of a sentence, and are smaller than a gloved finger."""
    script = """least => [...document.querySelectorAll(
        'button, input:not([type=hidden]), textarea, summary, nav a, a.tap, .batches a')]
      .map(one => one.matches('[type=checkbox], [type=radio]') ? one.closest('label') : one)
      .filter(one => one.checkVisibility({contentVisibilityAuto: true}))
      .map(one => [one.textContent.trim() || one.id, one.getBoundingClientRect()])
      .filter(([_, box]) => box.width && (box.height < least || box.width < least))
      .map(([name, box]) => `${name}: ${box.width} x ${box.height}`)"""
    return list(page.evaluate(script, TOUCH))
