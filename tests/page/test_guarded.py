"""What the page does not let in: foreign names and origins, replays, tricks with paths, and floods."""

from __future__ import annotations

import http.client
import re
import threading
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from html.parser import HTMLParser
from pathlib import Path

import httpx
import pytest

from scheduler.web.door import TRIES, WHILE_S, Door, Later
from scheduler.web.once import LASTS_S, Once, Stale
from scheduler.workdays import full
from tests.command import listing
from tests.february import DAY, begun, entries
from tests.page.desk import TODAY, Browser, opened, text_of

LOST = {"what": "lost", "about": "SHI-G1a", "count": "1", "note": "green"}
NASTY = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)> & {{ 7*7 }} {% raw %}"


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """The page of a season that nothing happens to, for calls that are to change nothing."""
    season = begun(tmp_path_factory.mktemp("standing"))
    with opened(season) as found:
        before = listing(season)
        yield found
        assert listing(season) == before


# -- where a call comes from --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "host",
    [
        "evil.example",
        "evil.example:8427",
        "127.0.0.1.evil.example",
        "",
        "[",
        "192.168.1.5",
        "a@localhost.evil.example",
        "127.0.0.1:abc",
        "127.0.0.1:",
        "127.0.0.1:99999999",
        "127.0.0.1:65536",
        "127.0.0.1:\u0661",
        "127.0.0.1/x",
        "127.0.0.1?x",
        "127.0.0.1#x",
        "127.0.0.1..",
        "user@127.0.0.1:8501",
        "[::1]x:80",
        "[127.0.0.1]:80",
        "::1",
        "[::1%lo]:80",
        f"127.0.0.1:{'1%' * 4000}",
    ],
)
def test_a_foreign_name_is_not_answered(host: str, standing: Browser) -> None:
    """It may lead here by DNS, from a page that a standing trusts with that name."""
    for path in ("/", "/calendar"):
        got = standing.get(path, headers={"Host": host.encode()})
        assert got.status_code == 421
        assert "Fern Hollow" not in got.text


@pytest.mark.parametrize(
    "host",
    ["127.0.0.1:8427", "localhost:8427", "localhost", "LOCALHOST:9000", "[::1]:8427", "localhost.:8427"],
)
def test_the_names_of_this_machine_are_answered(host: str, standing: Browser) -> None:
    """Under any port: a tunnel has one of its own."""
    assert standing.get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "null"},
        {"Origin": "http://127.0.0.1:9999"},
        {"Origin": "http://127.0.0.1:8427.evil.example"},
        {"Origin": "http://["},
        {"Referer": "http://evil.example/127.0.0.1:8427"},
        {"Sec-Fetch-Site": "cross-site", "Origin": "OWN"},
        {"Sec-Fetch-Site": "same-site", "Origin": "OWN"},
        {},
    ],
    ids=str,
)  # fmt: skip
def test_a_write_from_another_place_is_refused(headers: dict[str, str], standing: Browser) -> None:
    """Also with the right cookie and the right token."""
    headers = {name: value.replace("OWN", standing.own["Origin"]) for name, value in headers.items()}
    got = standing.post("/record", data={"form": standing.form(), **LOST}, headers=headers)
    assert got.status_code == 403
    assert "Nothing was recorded" in got.text


def test_a_referrer_stands_in_for_an_origin(browser: Browser, season: Path) -> None:
    """Some browsers leave the origin out."""
    got = browser.post(
        "/record", data={"form": browser.form(), **LOST}, headers={"Referer": f"{browser.own['Origin']}/"}
    )
    assert got.status_code == 200
    assert entries(season)[-1].entry.kind == "lost"


def test_the_cookie_is_kept_from_scripts_and_other_sites(standing: Browser) -> None:
    """RFC 6265bis: HttpOnly, SameSite=Strict."""
    standing.cookies.clear()
    cookie = standing.get("/").headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "samesite=strict" in cookie.lower()


@pytest.mark.parametrize("path", ["/", "/season", "/book", "/nope", "/style.css", "/enter"])
def test_every_answer_says_what_a_standing_may_do(path: str, standing: Browser) -> None:
    """Nothing from elsewhere, no frame, no guess at a type."""
    headers = standing.get(path).headers
    assert "default-src 'self'" in headers["content-security-policy"]
    assert "frame-ancestors 'none'" in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"
    assert "private" in headers["cache-control"]


def test_nothing_is_changed_by_looking(browser: Browser, season: Path) -> None:
    """Every page, and every form asked for as if it were a page."""
    before = listing(season)
    for path in (
        "/",
        "/season",
        "/batch/SHI-G1a",
        "/shopping",
        "/calendar",
        "/book",
        "/record?what=undo&about=1",
        "/replan",
        "/take/1",
        "/ask/SHI-G1a?what=lost&count=1",
        "/leave",
    ):
        browser.get(path)
    for path in ("/outlook", "/remedies"):
        browser.wait(path)
    assert listing(season) == before
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"):
        assert browser.request(method, "/record", headers=browser.own).status_code == 405


# -- forms are sent once ------------------------------------------------------------------------------------


def test_a_replay_is_told_that_it_was_recorded(browser: Browser, season: Path) -> None:
    """Once in the book, however often it is sent; the answer is that of the first time."""
    token = browser.form("/batch/SHI-G1a")
    assert browser.submit("/record", token, **LOST)[0] == 200
    before = listing(season)
    for _ in range(3):
        code, told = browser.submit("/record", token, **LOST)
        assert code == 200
        assert "Already recorded" in told and "SHI-G1a/4 lost; green" in told
    assert listing(season) == before


def test_another_form_of_the_same_page_is_another_thing(browser: Browser, season: Path) -> None:
    """One goes back, and records something else."""
    token = browser.form()
    count = len(entries(season))
    for about in ("SHI-G1a", "WIN-G1a"):
        code, told = browser.submit("/record", token, what="clean", about=about)
        assert (code, told.startswith("Recorded")) == (200, True)
    assert len(entries(season)) == count + 2


@pytest.mark.parametrize(
    "token", ["", "x", "1.2.3", "é", "0." + "0" * 24 + "." + "0" * 40, "-1..", "9" * 9000]
)
def test_a_token_that_is_none_records_nothing(token: str, standing: Browser) -> None:
    """It says so, and where to go on."""
    standing.get("/")
    got = standing.post("/record", data={"form": token, **LOST}, headers=standing.own)
    assert got.status_code == 409
    assert "Nothing was recorded" in text_of(got.text)


def test_a_form_of_another_browser_or_run_is_refused(browser: Browser, season: Path) -> None:
    """What was made before the server was started again may have been recorded before."""
    token = browser.form()
    with opened(season) as other:
        other.get("/")
        assert other.post("/record", data={"form": token, **LOST}, headers=other.own).status_code == 409
    browser.cookies.clear()
    assert browser.post("/record", data={"form": token, **LOST}, headers=browser.own).status_code == 409


def test_a_form_grows_old() -> None:
    """And what was sent is forgotten only after that."""
    now = [100.0]
    once: Once[int] = Once(lambda: now[0])
    token = once.token("me")
    done: list[int] = []

    def act() -> int:
        done.append(1)
        return len(done)

    assert once.do("/", {"form": token}, "me", act, bool) == (1, False)
    now[0] += LASTS_S - 1
    assert once.do("/", {"form": token}, "me", act, bool) == (1, True)
    now[0] += 3
    with pytest.raises(Stale):
        once.do("/", {"form": token}, "me", act, bool)
    assert done == [1]


def test_what_was_refused_may_be_sent_again(browser: Browser, season: Path) -> None:
    """A wrong word is mended and sent with the same form."""
    token = browser.form("/book")
    code, told = browser.submit("/record", token, what="words", about="lost NOPE 3")
    assert code == 422
    assert "no batch is called" in told
    assert browser.submit("/record", token, what="words", about="lost SHI-G1a 1")[0] == 200
    assert browser.submit("/record", token, what="words", about="lost NOPE 3")[0] == 422


# -- floods -------------------------------------------------------------------------------------------------


def _all_at_once(browser: Browser, forms: list[dict[str, str]]) -> list[httpx.Response]:
    """200 posts from 25 threads, all let go at the same moment."""
    gate = threading.Barrier(25)

    def send(some: list[dict[str, str]]) -> list[httpx.Response]:
        gate.wait()
        return [
            browser.post(
                "/record",
                data=form,
                headers=browser.own,
            )
            for form in some
        ]

    with ThreadPoolExecutor(25) as pool:
        return [got for some in pool.map(send, [forms[n::25] for n in range(25)]) for got in some]


def test_the_same_form_two_hundred_times_at_once_is_one_entry(browser: Browser, season: Path) -> None:
    """Whoever taps impatiently loses one jar, not two hundred."""
    form = {"form": browser.form("/batch/SHI-G1a"), **LOST}
    count = len(entries(season))
    got = _all_at_once(browser, [form] * 200)
    assert {one.status_code for one in got} == {200}
    told = [text_of(one.text) for one in got]
    assert sum(one.startswith("Recorded") for one in told) == 1
    assert sum(one.startswith("Already recorded") for one in told) == 199
    assert len(entries(season)) == count + 1


def test_two_hundred_different_forms_at_once_are_all_recorded(browser: Browser, season: Path) -> None:
    """Nothing is lost, nothing twice, each with its own note; and the book is sound."""
    count = len(entries(season))
    forms = [
        {"form": browser.form(), "what": "clean", "about": "SHI-G1a", "note": f"look {n}"} for n in range(200)
    ]
    got = _all_at_once(browser, forms)
    assert {one.status_code for one in got} == {200}
    new = entries(season)[count:]
    assert sorted(one.entry.seen for one in new) == sorted(f"look {n}" for n in range(200))
    assert [one.entry_no for one in new] == list(range(count + 1, count + 201))
    assert browser.said == []


# -- what is sent -------------------------------------------------------------------------------------------


class _Tags(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def _is_harmless(document: str) -> bool:
    tags = _Tags()
    tags.feed(document)
    return not any(
        tag in ("script", "img", "iframe", "style")
        or any(name.startswith("on") or name == "style" for name in attributes)
        for tag, attributes in tags.found
    )


def test_what_a_grower_wrote_is_shown_as_it_is(browser: Browser, season: Path) -> None:
    """HTML in a note is text in the book, the batch and the answer, and templates in it are none."""
    code, told = browser.submit("/record", what="lost", about="SHI-G1a", count="1", note=NASTY)
    assert code == 200
    wanted = " ".join(NASTY.split())
    assert wanted in told
    for path in ("/book", "/batch/SHI-G1a", "/", "/season"):
        document = browser.get(path).text
        assert _is_harmless(document)
        if path in ("/book", "/batch/SHI-G1a"):
            assert wanted in text_of(document)
    assert not _is_harmless(f"<p>{NASTY}</p>")


def test_html_in_names_of_the_season_is_text(tmp_path: Path) -> None:
    """Names of the season and of plantings come from a file that somebody may have sent."""
    from scheduler.service import planning, seasons
    from tests.command import example
    from tests.page.desk import CLOCK

    folder = example("backyard", tmp_path)
    file = folder / "season.toml"
    evil = "<b onclick=x>Oak</b>"
    text = (
        file.read_text()
        .replace('"Oak stack"', f"'{evil}'")
        .replace('"Fern Hollow, spring 2027"', "'<i>Fern</i> & Co'")
    )
    file.write_text(text)
    planning.plan_and_keep(*seasons.read(folder, CLOCK, None), kept_at="")
    with opened(folder) as browser:
        for path in ("/", "/season", "/shopping", "/calendar", "/book", "/batch/SHI-Sa"):
            got = browser.get(path)
            assert got.status_code == 200, path
            assert _is_harmless(got.text), path
            assert "<i>Fern" not in got.text and "&lt;i&gt;Fern&lt;/i&gt; &amp; Co" in got.text
        assert evil in text_of(browser.get("/season").text)


@pytest.mark.parametrize("letter", ["a", "ß", "漢", "😀"])
def test_a_note_of_ten_thousand_letters_is_kept_whole(letter: str, browser: Browser, season: Path) -> None:
    """In any script, and it is shown."""
    note = letter * 10_000
    code, told = browser.submit("/record", what="clean", about="SHI-G1a", note=note)
    assert code == 200
    assert note in told
    assert entries(season)[-1].entry.seen == note
    assert note in text_of(browser.get("/book").text)


def test_what_is_too_large_is_refused(standing: Browser) -> None:
    """By its bytes, by its letters, by its fields; nothing is recorded."""
    assert standing.submit("/record", what="clean", about="SHI-G1a", note="a" * 300_000)[0] == 413
    assert standing.submit("/record", what="clean", about="SHI-G1a", note="a" * 20_001)[0] == 422
    assert standing.submit("/record", **{f"f{n}": "1" for n in range(700)})[0] == 413


@pytest.mark.parametrize(
    "note",
    [
        "3 more are yellow",
        "all of them",
        "WIN-G1a smells too",
        "/2 undo",
        "--force",
        "\x00\x1b[31m",
        "a\nb",
        "\ud800",
    ],
)
def test_a_note_is_never_taken_for_words(note: str, browser: Browser, season: Path) -> None:
    """It is about one jar, whatever it says."""
    before = entries(season)
    sent = note.encode("utf-8", "surrogatepass").decode("utf-8", "replace")
    assert browser.submit("/record", what="lost", about="SHI-G1a", unit="2", note=sent)[0] == 200
    new = entries(season)[len(before) :]
    assert [(one.entry.kind, one.entry.units) for one in new] == [("lost", ("SHI-G1a/2",))]
    assert new[0].entry.seen == " ".join(sent.split())


@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"what": "lost"},
        {"what": "lost", "about": "  "},
        {"what": "remedy", "about": "x"},
        {"what": "nonsense", "about": "SHI-G1a"},
        {"what": "lost", "about": "SHI-G1z"},
        {"what": "lost", "about": "SHI-G1a", "count": "9"},
        {"what": "lost", "about": "SHI-G1a", "unit": "99"},
        {"what": "lost", "about": "SHI-G1a", "unit": "../../x"},
        {"what": "undo", "about": "100000"},
        {"what": "undo", "about": "x"},
        {"what": "done", "about": "no such task"},
        {"what": "bought", "about": "the moon"},
        {"what": "words", "about": ""},
        {"what": "words", "about": "planted Nowhere 3"},
        {"what": "clean", "about": "SHI-G1a", "on": "2027-13-40"},
        {"what": "clean", "about": "SHI-G1a", "on": "2100-01-01"},
    ],
    ids=str,
)  # fmt: skip
def test_what_cannot_be_is_refused_with_words(fields: dict[str, str], standing: Browser) -> None:
    """What was found, what is allowed; nothing is recorded."""
    code, told = standing.submit("/record", **fields)
    assert code == 422, told
    assert "This was not recorded" in told and "found" in told


@pytest.mark.parametrize(
    "path",
    [
        "/batch/../../etc/passwd", "/batch/%2e%2e%2f%2e%2e%2fetc/passwd", "/batch/SHI-G1a%00", "/batch/", "/batch/SHI", "/batch/SHI-G1a/x",
        "//evil.example/", "/season.book", "/season.toml", "/backyard/season.feed", "/templates/frame.html", "/style.css/../frame.py",
        "/said/x", "/asked/x", "/remedies/x", "/remedies/99999999999", "/remedies/1/2", "/season/x", "/%ff%fe", "/" + "a" * 5000,
        "/feed/x/events.ics", "/feed/../season.book",
    ],
)  # fmt: skip
def test_tricks_with_paths_lead_nowhere(path: str, standing: Browser) -> None:
    """There is no such page, and nothing of the disk is in the answer."""
    caller = http.client.HTTPConnection(standing.host, timeout=60)  # sends a path as it is
    caller.request("GET", path)
    got = caller.getresponse()
    assert got.status == 404
    text = got.read().decode()
    caller.close()
    for secret in ("root:", "SQLite", "[season]", standing.desk.feed.key()):
        assert secret not in text
    assert standing.submit(path, what="clean", about="SHI-G1a")[0] in (404, 405)


def test_the_calendars_are_behind_their_secret_on_the_same_server(standing: Browser) -> None:
    """As `--feed` serves them."""
    got = standing.get(f"/feed/{standing.desk.feed.key()}/events.ics")
    assert got.status_code == 200
    assert got.text.startswith("BEGIN:VCALENDAR")
    assert standing.get(f"/feed/{'x' * 43}/events.ics").status_code == 404


def test_a_book_that_cannot_be_read_is_said_and_left_alone(browser: Browser, season: Path) -> None:
    """Not an error of the server, and no page of an hour ago."""
    token = browser.form()
    book = season / "season.book"
    whole = book.read_bytes()
    book.write_bytes(b"not a book at all" * 100)
    assert browser.get("/").status_code == 503
    assert browser.submit("/record", token, **LOST)[0] == 422
    assert book.read_bytes() == b"not a book at all" * 100
    book.write_bytes(whole)
    assert browser.get("/").status_code == 200


def test_a_book_that_is_gone_is_said_of_a_page_as_of_a_page(browser: Browser, season: Path) -> None:
    """Who only looks has recorded nothing, and there is no season to say that it has changed."""
    whole = (season / "season.book").read_bytes()
    (season / "season.book").unlink()
    got = browser.get("/")
    assert got.status_code == 503
    told = text_of(got.text)
    assert told.startswith("This cannot be shown") and "no plan of this season is kept" in told
    assert "recorded" not in told
    assert not (season / "season.book").exists()
    (season / "season.book").write_bytes(whole)
    assert browser.get("/").status_code == 200


def test_where_no_passphrase_is_asked_for_there_is_no_door(standing: Browser) -> None:
    """It is no page, whether it is looked at or sent."""
    for path in ("/enter", "/leave"):
        assert standing.get(path).status_code == 404
        got = standing.post(path, data={"passphrase": "three dry logs"}, headers=standing.own)
        assert got.status_code == 404
        assert "There is no such page" in text_of(got.text)


@pytest.mark.parametrize("how", ["a quote is open", "no such zone", "no day", "gone"])
def test_a_season_file_that_cannot_be_read_is_said_and_its_day_is_kept(how: str, season: Path) -> None:
    """On every page; what is recorded is not of the day of this machine, which is another one."""
    file = season / "season.toml"
    whole = re.sub("today .*", f"today = {DAY}", file.read_text(), count=1)
    wrong = {
        "a quote is open": whole.replace("[season]\n", '[season]\nnote = "open\n'),
        "no such zone": re.sub('timezone = ".*"', 'timezone = "America/Torono"', whole),
        "no day": whole.replace(DAY, '"soon"'),
    }
    file.write_text(whole)
    with opened(season, today=date(2027, 3, 20), told=False) as browser:
        assert full(TODAY) in browser.get("/").text
        if how == "gone":
            file.unlink()
        else:
            assert wrong[how] != whole
            file.write_text(wrong[how])
        for path in ("/", "/season", "/batch/SHI-G1a", "/shopping", "/calendar", "/book", "/nope"):
            got = browser.get(path)
            assert full(TODAY) in got.text, path
            assert "The season file cannot be read" in text_of(got.text), path
            assert "season.toml" in text_of(got.text), path
        code, told = browser.submit("/record", what="clean", about="SHI-G1a")
        assert code == 200 and "The season file cannot be read" in told
        assert entries(season)[-1].entry.on == TODAY
        assert "Planned onward" not in browser.wait("/remedies")
        file.write_text(whole)
        assert "cannot be read" not in text_of(browser.get("/").text)


# -- the passphrase -----------------------------------------------------------------------------------------


def test_from_the_network_the_passphrase_is_asked_for(season: Path) -> None:
    """Every page but the calendars at their secret addresses; it tells nothing of the season."""
    with opened(season, "three dry logs", "192.168.1.5:8427") as browser:
        for path in ("/", "/book", "/batch/SHI-G1a", "/nope"):
            got = browser.get(path)
            assert got.status_code == 401
            assert "Fern Hollow" not in got.text and "plain http" in got.text
        origin = browser.own
        assert browser.post("/record", data=LOST, headers=origin).status_code == 409
        assert browser.post("/enter", data={"passphrase": "three dry log"}, headers=origin).status_code == 403
        assert browser.get("/").status_code == 401
        assert (
            browser.post("/enter", data={"passphrase": "three dry logs"}, headers=origin).status_code == 200
        )
        assert "Fern Hollow" in browser.get("/").text
        assert browser.submit("/record", **LOST)[0] == 200
        assert browser.submit("/leave")[0] == 200
        assert browser.get("/").status_code == 401
        assert browser.get(f"/feed/{browser.desk.feed.key()}/events.ics").status_code == 200
        assert browser.get("/", headers={"Host": "evil.example"}).status_code == 421


def test_guesses_are_limited(season: Path) -> None:
    """After some wrong ones not even the right one is tried for a while; also when they come all at once."""
    with opened(season, "three dry logs", "192.168.1.5:8427") as browser:
        origin = browser.own

        def guess(word: str) -> httpx.Response:
            return browser.post("/enter", data={"passphrase": word}, headers=origin)

        with ThreadPoolExecutor(12) as pool:
            codes = sorted(one.status_code for one in pool.map(guess, [f"wrong {n}" for n in range(24)]))
        assert codes == [403] * TRIES + [429] * (24 - TRIES)
        late = guess("three dry logs")
        assert late.status_code == 429
        assert 0 < int(late.headers["retry-after"]) <= WHILE_S + 1
        assert browser.get("/").status_code == 401


def test_a_door_opens_again_after_a_while_and_for_others_at_once() -> None:
    """One who mistypes shuts the door for himself only; many of them shut it for all."""
    now = [0.0]
    door = Door("three dry logs", lambda: now[0])
    for _ in range(TRIES):
        assert door.enter("wrong", "one") is None
    with pytest.raises(Later):
        door.enter("three dry logs", "one")
    key = door.enter("three dry logs", "another")
    assert key and door.holds(key) and not door.holds("") and not door.holds(key[:-1])
    now[0] += WHILE_S + 1
    assert door.enter("three dry logs", "one")
    for number in range(30):
        assert door.enter("wrong", f"guesser {number}") is None
    with pytest.raises(Later):
        door.enter("three dry logs", "yet another")
    door.leave(key)
    assert not door.holds(key)
