"""`serve --feed` as calendar programs see it: validators, secrets, and files that stay good."""

from __future__ import annotations

import importlib.util
import socket
import stat
import struct
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from email.utils import parsedate_to_datetime
from io import StringIO
from pathlib import Path
from urllib.parse import quote

import pytest
from rich.console import Console
from starlette.requests import Request

from scheduler.present.calendar_check import faults
from scheduler.present.served import show_served
from scheduler.web import feed as web_feed
from tests.command import ROOT, example, inside, is_one_block, listing
from tests.february import TODAY, begun, planned
from tests.sample import sample_plan
from tests.served import Served, served

NAMES = ("events", "to-dos", "lab", "yard", "other", "orders")


@pytest.fixture(scope="module")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A server of a season that nothing happens to."""
    with served(planned(tmp_path_factory.mktemp("standing"))) as found:
        yield found


# -- what is answered ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", NAMES)
def test_each_file_is_a_sound_calendar(name: str, standing: Served) -> None:
    """Under its type, with a strong tag, a date, and nothing for proxies to keep."""
    got = standing.ask(f"{name}.ics")
    assert got.code == 200
    assert faults(got.data) == []
    assert got.headers["content-type"] == "text/calendar; charset=utf-8"
    assert got.headers["cache-control"] == "private, no-cache"
    assert got.headers["etag"].startswith('"')
    assert got.headers["content-length"] == str(len(got.data))
    assert "content-disposition" not in got.headers
    assert "uvicorn" not in str(got.headers)
    again = standing.ask(f"{name}.ics")
    assert again._replace(headers={**again.headers, "date": got.headers["date"]}) == got


def test_the_feed_is_the_file_that_calendar_writes(standing: Served) -> None:
    """To the last byte, so that a calendar can go from one to the other."""
    folder = standing.season.parent
    assert inside("calendar", "backyard", "-o", "x.ics", "--todos", "t.ics", cwd=folder).code == 0
    assert standing.ask("events.ics").data == (folder / "x.ics").read_bytes()
    assert standing.ask("to-dos.ics").data == (folder / "t.ics").read_bytes()


def test_head_tells_the_same_without_the_file(standing: Served) -> None:
    """RFC 9110 section 9.3.2."""
    got, head = standing.ask(), standing.ask(method="HEAD")
    assert head.code == 200
    assert head.data == b""
    keys = got.headers.keys() - {"date"}
    assert {key: head.headers[key] for key in keys} == {key: got.headers[key] for key in keys}


def test_what_is_known_is_not_sent_again(standing: Served) -> None:
    """By its tag, weak or among others, or by its date; a tag that is another one goes before the date."""
    got = standing.ask()
    tag, date = got.headers["etag"], got.headers["last-modified"]
    for headers in (
        {"If_None_Match": tag},
        {"If_None_Match": f'"other", W/{tag}'},
        {"If_None_Match": "*"},
        {"If_Modified_Since": date},
        {"If_Modified_Since": "Fri, 01 Jan 2100 00:00:00 GMT"},
        {"If_None_Match": tag, "If_Modified_Since": "Thu, 01 Jan 1970 00:00:00 GMT"},
    ):
        for method in ("GET", "HEAD"):
            again = standing.ask(method=method, **headers)
            assert (again.code, again.data) == (304, b""), headers
            assert again.headers["etag"] == tag
    for headers in (
        {"If_None_Match": '"other"'},
        {"If_None_Match": '"other"', "If_Modified_Since": date},
        {"If_Modified_Since": "Thu, 01 Jan 1970 00:00:00 GMT"},
        {"If_Modified_Since": "yesterday"},
        {"If_Modified_Since": ""},
    ):
        assert standing.ask(**headers).data == got.data, headers


def test_the_date_is_that_of_the_last_change(standing: Served) -> None:
    """Never the moment of the call: that would make news of every call."""
    newest = max(
        line.partition(b":")[2]
        for line in standing.ask().data.splitlines()
        if line.startswith(b"LAST-MODIFIED")
    )
    told = parsedate_to_datetime(standing.ask().headers["last-modified"])
    assert f"{told:%Y%m%dT%H%M%SZ}".encode() == newest


@pytest.mark.parametrize(("days", "is_told"), [(-1, True), (1, False)])
def test_a_date_that_lies_ahead_is_not_told(days: int, is_told: bool) -> None:
    """RFC 9110 section 8.8.2.1; the tag is."""
    request = Request({"type": "http", "headers": []})
    file = web_feed.Served(b"x", datetime.now(UTC) + timedelta(days=days))
    headers = web_feed.sent(request, file, web_feed.TYPE).headers
    assert ("last-modified" in headers) == is_told
    assert headers["etag"] == file.etag


# -- secrets -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "path",
    ["/", "/feed", "/feed/x/events.ics", "/feed/%00/events.ics", "/feed/%ff%c3%a9/events.ics", "/events.ics"],
)
def test_who_has_not_the_secret_learns_nothing(path: str, standing: Served) -> None:
    """Not even whether it is right but for its end, or which files there are."""
    assert standing.ask(path=path).code == 404
    almost, other = f"/feed/{standing.key[:-1]}/events.ics", f"/feed/{'x' * 43}/no.ics"
    answers = [standing.ask(path=one) for one in (almost, other, f"/feed/{standing.key}/no.ics")]
    assert {(answer.code, answer.data) for answer in answers} == {(404, answers[0].data)}
    assert standing.ask(path=f"/feed/{standing.key}/events.ics/").code == 404


def test_nothing_but_reading_is_answered(standing: Served) -> None:
    """A feed is not written to."""
    for method in ("POST", "PUT", "DELETE", "PROPFIND"):
        assert standing.ask(method=method).code == 405


def test_the_secret_is_for_its_owner_and_is_logged_nowhere(tmp_path: Path) -> None:
    """Its file has the rights of its owner alone; no stream of the server has it, whatever was asked."""
    with served(planned(tmp_path)) as one:
        file = one.season / "season.feed"
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        assert len(one.key) >= 43
        for path in ("", f"/feed/{one.key}/no.ics", f"/feed/{one.key}/%zz"):
            one.ask(path=path)
        with socket.create_connection(("127.0.0.1", one.port)) as caller:
            caller.sendall(f"GET /feed/{one.key}/events.ics HTTP/9\r\n\r\n".encode())
            caller.recv(4096)
        key = one.key
        code, out, err = one.stopped()
    assert code == 0
    assert out.splitlines()[-1] == "Stopped; calendars keep what they have."
    assert key not in out + err + one.said
    assert "Traceback" not in err


def test_a_new_secret_makes_old_addresses_void(tmp_path: Path) -> None:
    """For a server that runs, too; without the option the addresses stay, and loose rights are mended."""
    season = planned(tmp_path)
    with served(season) as one:
        old = one.key
        (season / "season.feed").chmod(0o644)
        with served(season) as same:
            assert same.key == old
            assert stat.S_IMODE((season / "season.feed").stat().st_mode) == 0o600
        with served(season, "--new-token") as two:
            assert two.key != old
            for server in (one, two):
                assert server.ask(path=f"/feed/{old}/events.ics").code == 404
                assert server.ask().code == 200


@pytest.mark.parametrize("text", ["a", "", "short\n", "x" * 31, "é" * 43, "not a key " * 9])
def test_what_is_no_secret_opens_nothing(text: str, tmp_path: Path) -> None:
    """Put into its file while the server runs: the last one stays, and a whole one takes its place."""
    with served(planned(tmp_path)) as one:
        old, file = one.key, one.season / "season.feed"
        file.write_text(text, "utf-8")
        guess = quote(text.strip(), safe="")
        assert one.ask(path=f"/feed/{guess}/events.ics").code == 404
        assert one.ask(path=f"/feed/{old}/events.ics").code == 200
        file.write_text("k" * 43, "utf-8")
        assert one.ask(path=f"/feed/{old}/events.ics").code == 404
        assert one.ask(path=f"/feed/{'k' * 43}/events.ics").code == 200


@pytest.mark.parametrize(
    ("is_open", "words"), [(False, "Only programs on this machine"), (True, "plain http")]
)
def test_on_a_terminal_each_address_stands_on_one_line(is_open: bool, words: str) -> None:
    """However narrow it is: an address that is folded cannot be copied. Who can read it is said."""
    page = StringIO()
    call = "budswell serve --feed backyard"
    show_served(
        sample_plan(), ["events.ics"], "http://127.0.0.1:1", "s" * 43, Path("x"), is_open, call,
        Console(file=page, width=60),
    )  # fmt: skip
    lines = page.getvalue().splitlines()
    assert f"  http://127.0.0.1:1/feed/{'s' * 43}/events.ics" in lines
    assert "TOKEN" not in page.getvalue()
    assert words in " ".join(page.getvalue().split())
    assert f"{call} --new-token" in " ".join(page.getvalue().split())


def test_the_addresses_are_those_of_the_readme(tmp_path: Path) -> None:
    """Each file in its line; nothing but the port is another one."""
    with served(planned(tmp_path)) as one:
        said = one.said.replace(f":{one.port}/", ":8427/")
    assert f"```text\n{said}" in (ROOT / "README.md").read_text(encoding="utf-8")


# -- a season under way --------------------------------------------------------------------------------------


def test_what_happens_is_in_the_feed_at_the_next_call(tmp_path: Path) -> None:
    """Another tag, a later date; and what is taken out makes a later date as well."""
    season = begun(tmp_path)
    with served(season, *TODAY) as one:
        first, to_dos = one.ask(), one.ask("to-dos.ics")
        assert inside("record", "backyard", "lost", "SHI-G1a", "3", *TODAY, cwd=tmp_path).code == 0
        assert one.ask().data == first.data
        assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
        second = one.ask(If_None_Match=first.headers["etag"])
        assert second.code == 200
        assert one.ask(If_Modified_Since=first.headers.get("last-modified", "")).code == 200
        assert inside("record", "backyard", "lost", "WIN-G1a", *TODAY, cwd=tmp_path).code == 0
        assert inside("replan", "backyard", *TODAY, cwd=tmp_path).code == 0
        third = one.ask()
        assert len({first.data, second.data, third.data}) == 3
        assert inside("calendar", "backyard", "-o", "x.ics", *TODAY, cwd=tmp_path).code == 0
        assert third.data == (tmp_path / "x.ics").read_bytes() == one.ask().data
        assert one.ask("to-dos.ics").data != to_dos.data


def test_a_change_in_the_same_second_has_a_later_date(tmp_path: Path) -> None:
    """Programs that go by the date alone see it: two changes of one day that is told, and a new name."""
    season = planned(tmp_path)
    file = season / "season.toml"
    with served(season, "--today", "2026-11-28") as one:
        dates = [one.ask().headers["last-modified"]]
        for number in range(3):
            text = file.read_text("utf-8").replace("[people]", f'[people]\nat = {{ sat = "0{number}:00" }}')
            file.write_text(text if number < 2 else "x", "utf-8")
            file.write_text(text, "utf-8")
            again = one.ask(If_Modified_Since=dates[-1])
            assert again.code == 200
            dates.append(again.headers["last-modified"])
            file.write_text(text.replace(f'\nat = {{ sat = "0{number}:00" }}', ""), "utf-8")
    assert sorted(set(dates), key=parsedate_to_datetime) == dates


@pytest.mark.parametrize("spoil", ["season", "book", "folder"])
def test_the_last_good_file_is_served_while_the_season_cannot_be_read(spoil: str, tmp_path: Path) -> None:
    """Under its old tag, with a word to whoever runs the server, once; and it is well again by itself."""
    season = planned(tmp_path)
    with served(season) as one:
        good, address = one.ask(), f"/feed/{one.key}/events.ics"
        kept = listing(season)
        if spoil == "folder":
            season.rename(tmp_path / "gone")
        else:
            name = "season.toml" if spoil == "season" else "season.book"
            (season / name).write_bytes(b"[season" * 100)
        for _ in range(2):
            again = one.ask(path=address)
            assert (again.code, again.data) == (200, good.data)
            assert again.headers["etag"] == good.headers["etag"]
        if spoil == "folder":
            (tmp_path / "gone").rename(season)
        for name, data in kept.items():
            (season / name).write_bytes(data)
        assert one.ask(path=address).data == good.data
        code, _, err = one.stopped()
    assert code == 0
    assert err.count("The calendars stay as they were: ") == 1
    assert {"season": "season.toml", "book": "season.book", "folder": "backyard"}[spoil] in err


def test_somebody_who_hangs_up_stops_nothing(tmp_path: Path) -> None:
    """Many calls on one line that is then cut, while the server is still writing: that ends no more than it."""
    with served(planned(tmp_path)) as one:
        call = f"GET /feed/{one.key}/events.ics HTTP/1.1\r\nHost: x\r\n\r\n".encode()
        for _ in range(5):
            with socket.socket() as caller:
                caller.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
                caller.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
                caller.connect(("127.0.0.1", one.port))
                caller.sendall(call * 50)
                caller.recv(1)
                caller.shutdown(socket.SHUT_WR)
            assert one.ask().code == 200
        assert one.process.poll() is None


# -- wrong calls ---------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--feed", "gone"], "gone"),
        (["--feed", "backyard", "--port", "70000"], "'--port': Input should be less than or equal to 65535"),
        (["--feed", "backyard", "--host", "192.0.2.1"], "nobody can listen there"),
        (["--feed", "backyard", "--host", "no such host"], "is no address"),
        (["--feed", "backyard", "--alarm", "evning"], 'did you mean "evening before"?'),
        (["--feed", "backyard", "--today", "soon"], "YYYY-MM-DD"),
        (["--feed", "backyard", "--port", "TAKEN"], "nobody can listen there: address already in use"),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_a_call_that_cannot_work_changes_nothing(arguments: list[str], words: str, tmp_path: Path) -> None:
    """Exit code 2 and one block; no secret is made, nor is one changed."""
    planned(tmp_path)
    before = listing(tmp_path)
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = str(taken.getsockname()[1])
        named = [port if one == "TAKEN" else one for one in arguments]
        ended = inside("serve", *named, "--new-token", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert words in " ".join(ended.err.split())
    assert listing(tmp_path) == before


def test_a_season_without_a_plan_is_not_served(tmp_path: Path) -> None:
    """Nothing is planned to serve it: the block says how it is planned."""
    example("backyard", tmp_path)
    before = listing(tmp_path)
    ended = inside("serve", "--feed", "backyard", "--port", "0", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "budswell plan backyard" in ended.err
    assert listing(tmp_path) == before


def test_a_spoilt_secret_is_told(tmp_path: Path) -> None:
    """It is not taken for one, and the way out is named."""
    season = planned(tmp_path)
    (season / "season.feed").write_text("abc\n")
    ended = inside("serve", "--feed", "backyard", "--port", "0", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "--new-token makes a new one" in ended.err


def test_serving_needs_its_libraries(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where they are not installed, one block says what to install."""
    planned(tmp_path)
    before = listing(tmp_path)
    find = importlib.util.find_spec
    monkeypatch.setattr(
        "importlib.util.find_spec", lambda name, *a: None if name == "uvicorn" else find(name, *a)
    )
    ended = inside("serve", "--feed", "backyard", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "budswell[serve]" in ended.err
    assert listing(tmp_path) == before
