"""What the page does with a season: the ways of the command line, with the same entries and plans at their end."""

from __future__ import annotations

import html
import re
from concurrent.futures import Future
from datetime import date
from io import BytesIO
from pathlib import Path

import httpx
import pytest
import resvg_py
import zxingcpp
from PIL import Image

from scheduler.service import recording, replanning
from scheduler.service.apart import MOST_KEPT, MOST_WAITING, Apart
from scheduler.service.long_work import ENDED
from tests.command import listing
from tests.february import AT, TOO_LATE, begun, entries, lost, newest, planned
from tests.page.desk import CLOCK, TODAY, Browser, opened, text_of

LATE = date.fromisoformat(TOO_LATE)
CODE = re.compile(r'<div class="code">(<svg.*?</svg>)', re.DOTALL)
ID = re.compile(r'<input type="hidden" name="(\w+)" value="([^"]*)">')


def _keep(browser: Browser, path: str) -> tuple[str, dict[str, str]]:
    """The form below a page that changes the plan: where it goes, and its fields."""
    document = browser.get(path).text
    found = re.search(r'<form method="post" action="(/(?:replan|take/\d+))".*?</form>', document, re.DOTALL)
    assert found, text_of(document)
    return found[1], dict(ID.findall(found[0]))


def _sent(browser: Browser, path: str) -> str:
    """Sends that form, and waits for what comes of it: its text."""
    action, fields = _keep(browser, path)
    got = browser.post(action, data=fields, headers=browser.own)
    assert got.status_code == 200, text_of(got.text)
    return browser.wait(got.url.path)


def test_entries_are_those_of_the_command(browser: Browser, season: Path, tmp_path: Path) -> None:
    """The same words, on another copy of the season, leave the same entries."""
    (tmp_path / "other").mkdir()
    other = begun(tmp_path / "other")
    taps = [
        ({"what": "lost", "about": "SHI-G1a", "unit": "2,3", "note": "green"}, "lost SHI-G1a /2,3 green"),
        ({"what": "watch", "about": "WIN-G1a", "count": "1"}, "watch WIN-G1a 1"),
        ({"what": "clean", "about": "SHI-G1a"}, "clean SHI-G1a"),
        ({"what": "bought", "about": "fresh hardwood chips"}, "bought fresh hardwood chips"),
        (
            {"what": "words", "about": "put-off Oak stack until 2027-05-20", "on": "2027-02-03"},
            "put-off Oak stack until 2027-05-20",
        ),
        ({"what": "done", "about": "WIN-Sa:soak"}, ""),
    ]
    for fields, words in taps:
        if not words:
            task = next(
                t for t in newest(season).plan.tasks if t.batch == "WIN-Sa" and t.kind == "wet-pellets"
            )
            fields, words = {**fields, "about": task.id}, f"done {task.id}"
        code, told = browser.submit("/record", **fields)
        assert code == 200, told
        on = date.fromisoformat(fields["on"]) if "on" in fields else None
        recording.record(other, words.split(), clock=TODAY, today=TODAY, on=on, force=False, at=AT)
    assert [one.entry for one in entries(season)] == [one.entry for one in entries(other)]


def test_a_replan_kept_from_the_page_is_that_of_the_command(
    browser: Browser, season: Path, tmp_path: Path
) -> None:
    """The same plan, byte for byte, under the same number."""
    (tmp_path / "other").mkdir()
    other = begun(tmp_path / "other")
    browser.submit("/record", what="lost", about="SHI-G1a", unit="2,3,4")
    recording.record(
        other, ["lost", "SHI-G1a", "/2,3,4"], clock=TODAY, today=TODAY, on=None, force=False, at=AT
    )
    told = browser.wait("/remedies")
    assert "No remedy is needed" in told
    told = _sent(browser, "/remedies")
    assert "Planned onward" in told and "Kept as plan 2" in told
    asked = replanning.Asked(CLOCK, TODAY, undone=True)
    assert newest(season).plan == replanning.replan(other, asked, kept_at=AT).plan
    assert newest(season).basis == newest(other).basis


def test_what_a_loss_would_mean_is_that_of_a_what_if(browser: Browser, season: Path) -> None:
    """Shown before it is confirmed, from a replan that was really computed; nothing is recorded by asking."""
    before = listing(season)
    got = browser.post(
        "/ask/WIN-G1a",
        data={"form": browser.form("/batch/WIN-G1a"), "what": "lost", "count": "5", "note": "<b>"},
        headers=browser.own,
    )
    told = browser.wait(got.url.path)
    asked = replanning.Asked(CLOCK, TODAY, undone=True)
    found = replanning.what_if(season, ["lost", "WIN-G1a"], asked)
    assert listing(season) == before
    assert "made again from the culture" in told and found.way == "culture"
    titles = {task.id: task.title for plan in (found.before, found.plan) for task in plan.tasks}
    for change in found.plan.changes:
        assert (titles[change.task] in told) == (change.kind != "kept") or change.kind == "kept"
    assert "WIN-G1a/1-5 (5 units) lost; <b>" in told
    # What was asked about is what the button records.
    fields = dict(ID.findall(browser.get(got.url.path).text.partition('action="/record"')[2]))
    assert (fields["unit"], fields["what"], fields["about"]) == ("1,2,3,4,5", "lost", "WIN-G1a")
    count = len(entries(season))
    sent = {name: html.unescape(value) for name, value in fields.items()}
    assert browser.post("/record", data=sent, headers=browser.own).status_code == 200
    (new,) = entries(season)[count:]
    units = tuple(f"WIN-G1a/{number}" for number in range(1, 6))
    assert (new.entry.kind, new.entry.units, new.entry.seen) == ("lost", units, "<b>")


def test_remedies_are_shown_with_their_plans_and_one_is_adopted(tmp_path: Path) -> None:
    """Where nothing fits: why, what would help, the plan of each, and the one that is chosen is kept."""
    season = lost(tmp_path)
    count = len(entries(season))
    with opened(season, today=LATE) as browser:
        told = browser.wait("/remedies")
        assert "These cannot all hold" in told and "What would make it possible" in told
        assert "Oak stack" in told.partition("What would make it possible")[2]
        before = listing(season)
        plan = browser.wait("/remedies/1")
        assert "Nothing is adopted yet" in plan and "Oak stack" in plan and "plant on" in plan
        assert "there is no remedy 77" in browser.wait("/remedies/77")
        assert listing(season) == before
        told = _sent(browser, "/remedies/1")
        assert "Planned onward" in told and "Kept as plan 2" in told
        new = entries(season)[count:]
        assert [one.entry.kind for one in new] == ["remedy"]
        assert newest(season).plan_no == 2
        assert new[0].entry.seen in browser.wait("/book?all=1")
        # A remedy that was adopted is taken back like any other entry.
        assert browser.submit("/record", what="undo", about=str(count + 1))[0] == 200


def test_a_form_of_a_season_that_has_changed_is_not_done(tmp_path: Path) -> None:
    """Remedy 1 of an hour ago may be another one now."""
    season = lost(tmp_path)
    with opened(season, today=LATE) as browser:
        browser.wait("/remedies/1")
        action, fields = _keep(browser, "/remedies/1")
        browser.submit("/record", what="words", about="found shiitake sawdust 9 kg")
        before = listing(season)
        got = browser.post(action, data=fields, headers=browser.own)
        assert got.status_code == 409
        assert "has changed meanwhile" in text_of(got.text)
        got = browser.post("/replan", data={"form": browser.form()}, headers=browser.own)
        assert got.status_code == 409
        assert listing(season) == before


def test_a_remedy_that_has_waited_is_the_one_that_was_shown(tmp_path: Path) -> None:
    """What is recorded while it waits for other work may make it another one: then nothing is adopted."""
    season = lost(tmp_path)
    with opened(season, today=LATE) as browser:
        browser.wait("/remedies/1")
        action, fields = _keep(browser, "/remedies/1")
        for _ in range(3):
            browser.desk.apart.begin(browser.desk.asked("outlook"))
        got = browser.post(action, data=fields, headers=browser.own)
        assert got.status_code == 200
        code, _ = browser.submit("/record", what="words", about="found shiitake sawdust 9 kg")
        assert code == 200
        before = entries(season)
        told = browser.wait(got.url.path)
        assert "recorded or planned since this was shown, and nothing was done" in told
        assert entries(season) == before and newest(season).plan_no == 1


def test_a_replan_sent_twice_is_made_once(browser: Browser, season: Path) -> None:
    """The second is told so, and sees what came of the first."""
    browser.submit("/record", what="lost", about="SHI-G1a", unit="2")
    browser.wait("/remedies")
    action, fields = _keep(browser, "/remedies")
    first = browser.post(action, data=fields, headers=browser.own)
    again = browser.post(action, data=fields, headers=browser.own)
    assert first.url.path == again.url.path
    assert "it was done once" in browser.wait(f"{again.url.path}?again=1")
    assert newest(season).plan_no == 2


def test_work_that_nobody_recorded_is_asked_for(tmp_path: Path) -> None:
    """Before a replan is kept; all of it can be said to be done in one go."""
    season = planned(tmp_path)
    with opened(season) as browser:
        told = browser.wait("/remedies")
        assert "Not recorded as done by its day" in told and "Sterilise WIN-G1a" in told
        assert "Mind: pressure" in told
        assert browser.submit("/record", what="done", about="all")[0] == 200
        assert "Not recorded as done by its day" not in browser.wait("/remedies")


def test_the_day_is_there_while_something_is_worked_out(browser: Browser) -> None:
    """And so is the book; the page that waits says so, and looks again by itself."""
    got = browser.get("/outlook")
    assert "refresh" in got.headers and "looks again by itself" in text_of(got.text)
    began = [browser.desk.apart.begin(browser.desk.asked("outlook")) for _ in range(3)]
    for path in ("/", "/book", "/batch/SHI-G1a"):
        assert browser.get(path).status_code == 200
    last = browser.desk.apart.find(began[-1])
    assert last is not None and not last.outcome.done()
    assert "Of 20000 seasons played" in browser.wait("/outlook")


def test_a_page_that_was_promised_is_there_whatever_is_asked_after_it(browser: Browser) -> None:
    """Nothing that waits is forgotten; what would wait too long is refused in words."""
    asked = {"what": "lost", "count": "1"}
    token = browser.form("/batch/SHI-G1a")

    def ask(note: int) -> httpx.Response:
        data = {"form": token, **asked, "note": str(note)}
        return browser.post("/ask/SHI-G1a", data=data, headers=browser.own)

    got = [ask(number) for number in range(MOST_KEPT + 1)]
    promised = [one.url.path for one in got if one.url.path.startswith("/asked/")]
    refused = [one for one in got if one.status_code == 503]
    assert len(promised) >= MOST_WAITING and len(promised) + len(refused) == len(got)
    assert refused and "Too much is being worked out already" in text_of(refused[0].text)
    assert browser.get("/").status_code == 200
    assert [browser.get(path).status_code for path in promised] == [200] * len(promised)
    assert "What it means for the plan" in browser.wait(promised[0])


def test_only_what_is_done_is_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    """The oldest of it first, and with it the reason for which it was begun."""
    told: list[Future[int]] = []

    def submitted(self: Apart[int, int], asked: int) -> Future[int]:
        told.append(Future())
        return told[-1]

    monkeypatch.setattr(Apart, "_submit", submitted)
    apart: Apart[int, int] = Apart(abs, 0)
    first = apart.begin(0, "first")
    second = apart.begin(1, "second")
    told[1].set_result(1)
    for number in range(MOST_KEPT):
        apart.begin(number)
        told[-1].set_result(number)
    apart.begin(0)
    assert apart.find(first) is not None and apart.begin(0, "first") == first
    assert apart.find(second) is None and apart.begin(1, "second") != second


def test_the_outlook_leads_to_the_replan_of_the_page(browser: Browser) -> None:
    """Where something was recorded that the plan does not know."""
    assert "See what a replan would change" in browser.wait("/outlook")
    assert 'href="/remedies">See what a replan would change' in browser.get("/outlook").text


def test_work_whose_process_is_ended_is_said_and_the_next_goes_on(browser: Browser) -> None:
    """By whoever runs short of memory."""
    browser.wait("/remedies")
    name = browser.desk.apart.begin(browser.desk.asked("onward"))
    pool = browser.desk.apart._pool
    assert pool is not None
    for process in list(pool._processes.values()):
        process.kill()
    piece = browser.desk.apart.find(name)
    assert piece is not None and piece.outcome.result(60) == ENDED
    assert "ended from outside" in browser.wait(f"/asked/{name}")
    assert "Of 20000 seasons played" in browser.wait("/outlook")


def test_the_page_follows_what_is_recorded_elsewhere(browser: Browser, season: Path) -> None:
    """By the command, while the page is served."""
    assert "SHI-G1a/1 lost" not in browser.wait("/book")
    recording.record(season, ["lost", "SHI-G1a", "/1"], clock=TODAY, today=TODAY, on=None, force=False, at=AT)
    assert "SHI-G1a/1 lost" in browser.wait("/book")
    assert "4 of 5 units living" in browser.wait("/batch/SHI-G1a")


def test_codes_lead_to_their_addresses(browser: Browser) -> None:
    """As another program reads them: the page of the batch, and each calendar behind its secret."""
    read = [_decoded(drawn) for drawn in CODE.findall(browser.get("/batch/SHI-G1a").text)]
    assert read == [f"http://{browser.host}/batch/SHI-G1a"]
    document = browser.get("/calendar").text
    read = [_decoded(drawn) for drawn in CODE.findall(document)]
    assert read == re.findall(r'class="address" href="([^"]+)"', document)
    assert all(browser.get(address).text.startswith("BEGIN:VCALENDAR") for address in read)
    assert len(read) == 6


def _decoded(drawn: str) -> str:
    data = bytes(resvg_py.svg_to_bytes(svg_string=drawn, width=400))
    (found,) = zxingcpp.read_barcodes(Image.open(BytesIO(data)).convert("L"))
    return str(found.text)
