"""The February story on the page, in a real browser: by touch, by keyboard, by day and by night, without scripts."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, Route, expect

from scheduler.service import recording
from tests.february import AT, TOO_LATE, begun, entries, lost, newest
from tests.page import desk
from tests.page.chromium import DESKTOP, PHONE, chromium, picture, scrolls_sideways, too_small, violations

PATIENCE_MS = desk.PATIENCE_S * 1000
WINDOWS = {"phone": PHONE, "desktop": DESKTOP}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Chromium."""
    with chromium() as found:
        yield found


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[desk.Browser]:
    """A season that nothing happens to."""
    with desk.opened(begun(tmp_path_factory.mktemp("standing"))) as found:
        for path in ("/outlook", "/remedies"):
            found.wait(path)
        yield found


@pytest.fixture
def served(season: Path) -> Iterator[desk.Browser]:
    """Its page."""
    with desk.opened(season) as found:
        yield found


def _page(
    browser: Browser, served: desk.Browser, window: str, *, scripts: bool, scheme: str = "light"
) -> Page:
    context = browser.new_context(
        base_url=f"http://{served.host}",
        viewport=WINDOWS[window],  # type: ignore[arg-type]
        java_script_enabled=scripts,
        color_scheme=scheme,  # type: ignore[arg-type]
        has_touch=window == "phone",
    )
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    return page


def _settled(page: Page) -> None:
    """Waits until a page no longer says that something is worked out; it looks again by itself."""
    expect(page.locator(".wait")).to_have_count(0, timeout=PATIENCE_MS)


@pytest.mark.parametrize("scripts", [True, False], ids=["scripts", "no scripts"])
@pytest.mark.parametrize("window", WINDOWS)
def test_the_story_of_february(
    window: str, scripts: bool, browser: Browser, served: desk.Browser, season: Path
) -> None:
    """Checks are recorded, jars go green, what that means is shown and confirmed, it is planned onward, taken back."""
    page = _page(browser, served, window, scripts=scripts)
    seen = lambda name: picture(page, f"story-{window}-{'with' if scripts else 'without'}-{name}")  # noqa: E731
    page.goto("/")
    expect(page.get_by_role("heading", level=1)).to_contain_text("Nothing is due today")
    seen("1-today")
    before = newest(season).plan_no

    # A check that is due in a few days is done already.
    card = page.locator("li.work", has=page.get_by_role("heading", name="Look at WIN-G1a for release"))
    card.locator("summary").click()
    card.get_by_role("button", name="Looks clean").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Recorded")
    expect(page.locator("main")).to_contain_text("WIN-G1a looked at and found clean")
    assert entries(season)[-1].entry.kind == "clean"
    page.get_by_role("link", name="Back to today").click()

    # Three jars of the other line are green.
    page.get_by_role("link", name="Season", exact=True).click()
    page.locator(".batches").get_by_role("link", name=re.compile("SHI-G1a")).click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("SHI-G1a: growing")
    for number in (2, 3, 4):
        page.get_by_label(f"SHI-G1a/{number}", exact=True).check()
    page.get_by_label("What was seen").fill("green, from the lid down")
    seen("2-batch")
    count = len(entries(season))
    page.get_by_role("button", name="See what that means").click()
    expect(page.locator("main")).to_contain_text("Nothing is recorded yet")
    _settled(page)
    expect(page.locator("main")).to_contain_text("SHI-G1a/2-4 (3 units) lost; green, from the lid down")
    expect(page.locator("main")).to_contain_text("2 live, 2 needed")
    expect(page.locator("main")).to_contain_text(
        "SHI-G1a: 3 of 5 units lost; 33 more entries. The season is still on: spares cover it."
    )
    expect(page.locator("main")).to_contain_text("Heat through, unopened: 3 lost quart jars of SHI-G1a")
    expect(page.locator("main")).to_contain_text("pressure; long load; hot glass and steam")
    seen("3-asked")
    assert len(entries(season)) == count
    page.get_by_role("button", name=re.compile("^Record it: ")).click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Recorded")
    expect(page.locator("main")).to_contain_text("heat-kill the units unopened")
    seen("4-recorded")
    assert entries(season)[-1].entry.units == ("SHI-G1a/2", "SHI-G1a/3", "SHI-G1a/4")
    assert len(entries(season)) == count + 1

    # It is planned onward, and the day shows it.
    page.get_by_role("link", name="See what a replan would change").click()
    _settled(page)
    expect(page.locator("main")).to_contain_text("the season fits as it stands")
    seen("5-would-change")
    assert newest(season).plan_no == before
    page.get_by_role("button", name="Plan onward, and keep this plan").click()
    _settled(page)
    expect(page.get_by_role("heading", level=1)).to_have_text("Planned onward")
    expect(page.locator("main")).to_contain_text(f"Kept as plan {before + 1}")
    seen("6-planned")
    page.get_by_role("link", name="Back to today").click()
    expect(page.locator("main")).to_contain_text("Heat through, unopened: 3 lost quart jars of SHI-G1a")
    expect(page.locator("header")).to_contain_text(f"plan {before + 1}")
    seen("7-today")

    # It was a mistake of the light: the entry is taken back.
    page.get_by_role("link", name="Book", exact=True).click()
    seen("8-book")
    page.get_by_role("button", name=f"Take back entry {count + 1}", exact=True).click()
    expect(page.locator("main")).to_contain_text(f"Entry {count + 1} no longer counts")
    page.get_by_role("link", name="Book", exact=True).click()
    expect(page.locator(f"#entry-{count + 1}")).to_contain_text("TAKEN BACK")
    assert entries(season)[-1].entry.corrects == count + 1
    page.goto("/remedies")
    _settled(page)
    page.get_by_role("button", name="Plan onward, and keep this plan").click()
    _settled(page)
    page.goto("/batch/SHI-G1a")
    expect(page.locator("main")).to_contain_text("5 of 5 units living")
    page.context.close()
    assert served.said == []


def _to(page: Page, name: str) -> None:
    """Goes on by Tab until something of that name has the focus, which has to be seen."""
    for _ in range(150):
        page.keyboard.press("Tab")
        script = "(document.activeElement.labels?.[0] ?? document.activeElement).textContent.trim().replace(/\\s+/g, ' ')"
        if str(page.evaluate(script)).startswith(name):
            style, width, colour = page.evaluate(
                """() => { const seen = getComputedStyle(document.activeElement);
                return [seen.outlineStyle, parseFloat(seen.outlineWidth), seen.outlineColor]; }"""
            )
            assert style not in ("none", "hidden") and width >= 2, name
            assert colour != "rgba(0, 0, 0, 0)", name
            return
    raise AssertionError(f"{name} is not reached by the keyboard")


def test_the_keyboard_is_enough(browser: Browser, served: desk.Browser, season: Path) -> None:
    """From the first key to a recorded loss, with the focus always in sight."""
    page = _page(browser, served, "desktop", scripts=True)
    page.goto("/")
    _to(page, "Skip to the page")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.goto("/season")
    _to(page, "WIN-G1a")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_contain_text("WIN-G1a")
    _to(page, "Lost: mould, or dead")
    _to(page, "WIN-G1a/5")
    page.keyboard.press("Space")
    _to(page, "What was seen")
    page.keyboard.type("yellow drops")
    page.keyboard.press("Enter")
    expect(page.locator("main")).to_contain_text("Nothing is recorded yet")
    _settled(page)
    _to(page, "Record it: ")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Recorded")
    assert entries(season)[-1].entry.units == ("WIN-G1a/5",)
    page.context.close()


def _press(page: Page, name: str) -> None:
    """Goes on to something of that name and presses it."""
    _to(page, name)
    page.keyboard.press("Enter")


def test_the_keyboard_tells_the_rest_of_the_story(
    browser: Browser, served: desk.Browser, season: Path
) -> None:
    """A check is recorded, it is planned onward, and the check is taken back."""
    page = _page(browser, served, "desktop", scripts=True)
    heading = page.get_by_role("heading", level=1)
    before, count = newest(season).plan_no, len(entries(season))
    page.goto("/")
    _press(page, "More: Look at WIN-G1a for release")
    _press(page, "Looks clean")
    expect(heading).to_have_text("Recorded")
    assert [(one.entry.kind, one.entry.subject) for one in entries(season)[count:]] == [("clean", "WIN-G1a")]
    _press(page, "See what a replan would change")
    _settled(page)
    _press(page, "Plan onward, and keep this plan")
    expect(heading).to_have_text("Planned onward", timeout=PATIENCE_MS)
    assert newest(season).plan_no == before + 1
    _press(page, "Book")
    expect(heading).to_have_text("Book")
    _press(page, f"Take back entry {count + 1}")
    expect(page.locator("main")).to_contain_text(f"Entry {count + 1} no longer counts")
    assert entries(season)[-1].entry.corrects == count + 1
    page.context.close()


PAGES = (*desk.MAIN, "/season?size=largest", "/season?size=whole", "/batch/SHI-G1a", "/batch/SHI-Sa", "/nope")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("window", WINDOWS)
def test_every_page_is_for_everybody(
    window: str, scheme: str, browser: Browser, standing: desk.Browser
) -> None:
    """No violation by axe-core, nothing wider than the window, nothing too small for a glove; all details open."""
    page = _page(browser, standing, window, scripts=True, scheme=scheme)
    for path in PAGES:
        _assert_for_everybody(page, path, f"page-{window}-{scheme}")
    page.context.close()


def _assert_for_everybody(page: Page, path: str, name: str) -> None:
    page.goto(path)
    _settled(page)
    picture(page, f"{name}-{path.strip('/').replace('/', '-').replace('?', '-') or 'today'}")
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    assert violations(page) == [], path
    assert not scrolls_sideways(page), path
    assert too_small(page) == [], path


@pytest.mark.parametrize("window", WINDOWS)
def test_days_of_trouble_are_for_everybody_too(window: str, browser: Browser, tmp_path: Path) -> None:
    """Work that is due and overdue, a season that nothing fits, and the page before a passphrase."""
    (tmp_path / "late").mkdir()
    late = begun(tmp_path / "late")
    may = date(2027, 5, 10)
    recording.record(late, ["done", "all"], clock=may, today=may, on=None, force=False, at=AT)
    with desk.opened(late, today=date(2027, 5, 15)) as served:
        page = _page(browser, served, window, scripts=True)
        page.goto("/")
        expect(page.locator("h1")).to_have_text("To do now")
        expect(page.locator("main")).to_contain_text("Overdue since")
        _assert_for_everybody(page, "/", f"late-{window}")
        page.context.close()
    (tmp_path / "lost").mkdir()
    with desk.opened(lost(tmp_path / "lost"), today=date.fromisoformat(TOO_LATE)) as served:
        page = _page(browser, served, window, scripts=True)
        for path in ("/", "/season", "/remedies", "/remedies/1"):
            _assert_for_everybody(page, path, f"lost-{window}")
        page.goto("/remedies")
        expect(page.locator("main")).to_contain_text("These cannot all hold")
        page.context.close()
    with desk.opened(late, "three dry logs") as served:
        page = _page(browser, served, window, scripts=True)
        _assert_for_everybody(page, "/enter", f"passphrase-{window}")
        page.get_by_label("Passphrase of this page").fill("three wet logs")
        page.get_by_role("button", name="Come in").click()
        expect(page.get_by_role("alert")).to_contain_text("That is not the passphrase")
        assert violations(page) == []
        page.context.close()


@pytest.mark.parametrize("width", [360, 1280])
def test_the_timeline_is_legible_and_opens_at_today(
    width: int, browser: Browser, standing: desk.Browser
) -> None:
    """It scrolls in its frame and the page does not; whatever is scrolled to, the names of rows stay."""
    context = browser.new_context(
        base_url=f"http://{standing.host}", viewport={"width": width, "height": 740}
    )
    page = context.new_page()
    page.goto("/season")
    assert _smallest_letters(page) >= 11.5
    assert not scrolls_sideways(page)
    frame = _box(page, ".timeline")
    assert page.locator(".timeline").evaluate("one => one.scrollWidth > one.clientWidth")
    today = _box(page, ".timeline .season .today line")
    names = _box(page, ".timeline .names")
    assert names["left"] + 80 < today["left"] < frame["right"] - 60
    last = page.locator(".timeline").evaluate("one => { one.scrollLeft = 1e6; return one.scrollLeft; }")
    assert last > 0 and abs(_box(page, ".timeline .names")["left"] - names["left"]) < 2
    page.get_by_role("link", name="To today").click()
    assert abs(_box(page, ".timeline .season .today line")["left"] - today["left"]) < width / 4
    page.get_by_role("link", name="Whole").click()
    assert page.locator(".timeline").evaluate("one => one.scrollWidth <= one.clientWidth")
    assert _box(page, ".timeline svg")["right"] <= _box(page, ".timeline")["right"]
    page.get_by_role("link", name="Largest").click()
    assert _smallest_letters(page) >= 17
    context.close()


def _smallest_letters(page: Page) -> float:
    """Their size on the screen, in pixels."""
    script = """() => Math.min(...[...document.querySelectorAll('.timeline > svg text')]
        .map(one => parseFloat(getComputedStyle(one).fontSize) * one.getScreenCTM().a))"""
    return float(page.evaluate(script))


def _box(page: Page, what: str) -> dict[str, float]:
    """Where something stands in the window."""
    return dict(page.locator(what).first.evaluate("one => one.getBoundingClientRect().toJSON()"))


def test_a_long_note_leaves_days_and_numbers_as_they_are(
    browser: Browser, served: desk.Browser, season: Path
) -> None:
    """One line each, however long what was seen is; nothing is wider than the window."""
    for note in (
        "yellow drops below the lid, a sour smell, and threads like cotton on one side; " * 8,
        "a" * 900,
    ):
        assert served.submit("/record", what="clean", about="SHI-G1a", note=note)[0] == 200
    page = _page(browser, served, "desktop", scripts=True)
    page.goto("/batch/SHI-G1a")
    lines = """one => { const range = document.createRange(); range.selectNodeContents(one);
        return new Set([...range.getClientRects()].map(box => Math.round(box.top))).size; }"""
    cells = page.locator("#entries ~ table").locator("[data-head='no.'] span, [data-head='day'] span").all()
    assert len(cells) > 10
    assert {cell.evaluate(lines) for cell in cells} == {1}
    for width in (360, 660, 1280):
        page.set_viewport_size({"width": width, "height": 740})
        for path in ("/batch/SHI-G1a", "/book", "/season", "/outlook"):
            page.goto(path)
            assert not scrolls_sideways(page), (width, path)
    page.context.close()


def test_what_axe_and_the_measures_look_for_is_found(browser: Browser, standing: desk.Browser) -> None:
    """A page that is not for everybody is told from one that is."""
    page = _page(browser, standing, "phone", scripts=True)
    page.goto("/")
    page.evaluate(
        """() => { const main = document.querySelector('main');
        main.insertAdjacentHTML('beforeend', '<p class=grey>grey</p><button class=x>x</button><img src="/icon.svg"><pre class=wide>wide</pre>');
        main.querySelector('.grey').style.color = '#ccc';
        main.querySelector('.wide').style.width = '500px';
        main.querySelector('.x').style.minHeight = '0'; }"""
    )
    found = " ".join(violations(page))
    assert "color-contrast" in found and "image-alt" in found
    assert scrolls_sideways(page)
    assert any(one.startswith("x:") for one in too_small(page))
    page.context.close()


def _without_refresh(route: Route) -> None:
    """A page that waits, held so that it can be looked at."""
    got = route.fetch()
    route.fulfill(response=got, headers={k: v for k, v in got.headers.items() if k != "refresh"})


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_pages_that_answer_are_for_everybody_too(scheme: str, browser: Browser, served: desk.Browser) -> None:
    """What waits, what is asked, what was recorded, refused or unusual, and the book after that."""
    page = _page(browser, served, "phone", scripts=True, scheme=scheme)

    def is_well(name: str) -> None:
        picture(page, f"answer-{scheme}-{name}")
        assert violations(page) == [], name
        assert not scrolls_sideways(page), name
        assert too_small(page) == [], name

    page.goto("/batch/SHI-G1a")
    page.get_by_label("Or how many").fill("1")
    page.route("**/asked/*", _without_refresh)
    page.get_by_role("button", name="See what that means").click()
    expect(page.locator(".wait")).to_have_count(1)
    is_well("waits")
    page.unroute("**/asked/*")
    page.get_by_role("link", name="look now").click()
    _settled(page)
    is_well("asked")
    page.get_by_role("button", name=re.compile("^Record it: ")).click()
    is_well("recorded")
    page.goto("/book")
    page.get_by_label("What happened").fill("lost NOPE 3")
    page.get_by_role("button", name="Record it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("This was not recorded")
    is_well("refused")
    page.goto("/book")
    page.get_by_label("What happened").fill("planted Oak stack 2")
    page.get_by_role("button", name="Record it").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Was it like that?")
    is_well("unusual")
    page.get_by_role("button", name="Yes, record it like that").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Recorded")
    is_well("recorded-unusual")
    page.goto("/book")
    is_well("book")
    page.context.close()


def test_pages_are_drawn_without_anything_from_elsewhere(browser: Browser, standing: desk.Browser) -> None:
    """Every request is for this server, and a browser finds nothing that its policy forbids."""
    page = _page(browser, standing, "desktop", scripts=True)
    asked: list[str] = []
    said: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("console", lambda message: said.append(message.text))
    for path in PAGES[:-1]:
        page.goto(path)
        page.wait_for_load_state("networkidle")
    assert asked and all(url.startswith(f"http://{standing.host}/") for url in asked)
    assert said == []
    page.context.close()


@pytest.mark.parametrize("size", ["whole", "larger", "largest"])
def test_a_printed_season_has_the_whole_timeline(size: str, browser: Browser, standing: desk.Browser) -> None:
    """Nothing of it is cut off at the edge of the paper, or hidden in a frame that nobody can scroll."""
    page = _page(browser, standing, "desktop", scripts=True)
    page.goto(f"/season?size={size}")
    page.emulate_media(media="print")
    page.set_viewport_size({"width": 718, "height": 1000})  # A4 less its margins
    drawn = _box(page, ".timeline > svg")
    assert drawn["left"] >= 0 and drawn["right"] <= 718
    assert drawn["width"] > 600
    assert not scrolls_sideways(page)
    assert page.locator(".timeline .names").count() == (size != "whole")
    assert not page.locator(".timeline .names").is_visible()
    page.context.close()


def test_a_printed_page_leaves_the_taps_out(browser: Browser, standing: desk.Browser) -> None:
    """On paper stand the work and what to mind, in black."""
    page = _page(browser, standing, "desktop", scripts=True)
    page.goto("/")
    page.emulate_media(media="print")
    assert page.locator("nav").is_hidden()
    assert page.locator("button").first.is_hidden()
    assert page.locator("li.work .mind").first.is_visible()
    page.context.close()
