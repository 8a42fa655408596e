"""`new`, `shopping` and `check --explain` as a person calls them, with and without a terminal."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.command import COMMAND, budswell, environment, example, listing

QUESTIONS = 17


def at_a_terminal(folder: Path, typed: bytes, *arguments: str, stop: bool = False) -> tuple[int, str]:
    """Calls the command at a terminal of its own on which something is typed; its exit code and the screen.

    To `stop` is to interrupt it, as Ctrl-C does, once it asks how the wood is planted.
    """
    if os.name != "posix":
        pytest.skip("THIS TEST DID NOT RUN: there are no pseudo terminals on this system")
    import pty

    ours, theirs = pty.openpty()
    process = subprocess.Popen(
        [*COMMAND, *arguments], cwd=folder, env=environment(), stdin=theirs, stdout=theirs, stderr=theirs
    )
    os.close(theirs)
    os.write(ours, typed)
    screen = b""
    while True:
        try:
            read = os.read(ours, 4096)
        except OSError:  # the other end is closed
            break
        if not read:
            break
        screen += read
        if stop and b"How it is planted" in screen:
            process.send_signal(signal.SIGINT)
            stop = False
    os.close(ours)
    text = screen.decode().replace("\r\n", "\n")
    assert "Traceback" not in text, text
    return process.wait(), text


def test_enter_alone_at_a_terminal_begins_a_season_that_is_planned(tmp_path: Path) -> None:
    """Every question has a default; the file that comes of it is checked and planned without a change."""
    code, screen = at_a_terminal(tmp_path, b"\n" * QUESTIONS, "new", "first")
    assert code == 0, screen
    assert len(re.findall(r"\[[^\]]+\]: ", screen)) == QUESTIONS
    assert "budswell plan first" in screen
    checked = budswell("check", "first", cwd=tmp_path)
    assert (checked.code, checked.err) == (0, "")
    assert "without a warning" in checked.out
    planned = budswell("plan", "first", cwd=tmp_path)
    assert (planned.code, planned.err) == (0, "")
    assert "First drilled logs" in planned.out


def test_a_wrong_answer_is_asked_again_at_the_terminal(tmp_path: Path) -> None:
    """What is allowed is said, and the question comes again."""
    typed = b"\nshitake\noyster\ntotem\n" + b"\n" * QUESTIONS
    code, screen = at_a_terminal(tmp_path, typed, "new", "first")
    assert code == 0, screen
    assert 'did you mean "shiitake"?' in screen
    assert screen.count("What to grow [") == 2
    planting = tomllib.loads((tmp_path / "first" / "season.toml").read_text())["planting"][0]
    assert (planting["species"], planting["method"]) == ("oyster", "totem")


@pytest.mark.parametrize(
    ("typed", "stop"), [(b"\n\n\x04", False), (b"\n\n", True)], ids=["end of input", "Ctrl-C"]
)
def test_leaving_in_the_middle_writes_nothing(typed: bytes, stop: bool, tmp_path: Path) -> None:
    """Whoever stops answering finds no half file and no folder."""
    code, screen = at_a_terminal(tmp_path, typed, "new", "first", stop=stop)
    assert code == 130
    assert "Nothing was written." in screen or "Stopped before it was done." in screen
    assert listing(tmp_path) == {}


def test_without_a_terminal_nothing_is_asked(tmp_path: Path) -> None:
    """Scripts give flags; what they leave out has its default, and is listed as assumed."""
    ended = budswell(
        "new", "first", "--species", "wine cap", "--amount", "6 m2", "--where", "-41.3", "--name", "Creek",
        "--hours", "wed 2, sat 6", "--today", "2026-11-25", cwd=tmp_path,
    )  # fmt: skip
    assert (ended.code, ended.err) == (0, "")
    assert "Creek: written to first/season.toml" in ended.out
    assert "chip bed" in ended.out
    assert "wine cap" not in ended.out
    data = tomllib.loads((tmp_path / "first" / "season.toml").read_text())
    assert data["planting"][0]["area"] == "6 m2"
    assert data["people"]["hours"] == {"wed": 2, "sat": 6}
    assert list(listing(tmp_path)) == ["first", "first/season.toml"]


def test_two_seasons_have_two_ids(tmp_path: Path) -> None:
    """Even of one name each has an id of its own."""
    ids = set()
    for folder in ("a", "b"):
        assert budswell("new", folder, "--yes", "--name", "Same", cwd=tmp_path).code == 0
        ids.add(tomllib.loads((tmp_path / folder / "season.toml").read_text())["season"]["id"])
    assert len(ids) == 2


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], ["Missing argument"]),
        (["first", "--species", "shitake"], ["--species", 'did you mean "shiitake"?']),
        (["first", "--method", "totem", "--species", "wine cap"], ["--method", "chip bed"]),
        (["first", "--window", "2020-04-01/2020-05-01"], ["--window", "a window that ended on"]),
        (["first", "--where", "atlantis"], ["--where", "cold winters"]),
        (["first", "--jars", "many"], ["--jars", "a whole number"]),
        (["first", "--name", ""], ["--name"]),
        (["first", "--from", "nowhere"], ["--from nowhere", "backyard"]),
        (["first", "--from", "backyard", "--name", "x"], ["--from together with --name"]),
        (["first", "--today", "tomorrow"], ["--today", "YYYY-MM-DD"]),
        (["taken"], ["season.toml", "nothing is overwritten"]),
        (["taken/season.toml"], ["season.toml", "nothing is overwritten"]),
        (["taken/season.toml/below"], ["taken/season.toml/below"]),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else str(value),
)
def test_a_call_that_cannot_work_writes_nothing(
    arguments: list[str], said: list[str], tmp_path: Path
) -> None:
    """One block on stderr with what is allowed, exit code 2, and the folder as it was."""
    (tmp_path / "taken").mkdir()
    (tmp_path / "taken" / "season.toml").write_text("mine")
    before = listing(tmp_path)
    ended = budswell("new", *arguments, cwd=tmp_path)
    assert (ended.code, ended.out) == (2, "")
    assert all(word in " ".join(ended.err.split()) for word in said), ended.err
    assert listing(tmp_path) == before


def test_an_example_is_copied_and_planned(tmp_path: Path) -> None:
    """Its notes stay, its day is gone, and it is planned on any day."""
    ended = budswell("new", "mine", "--from", "backyard", "--today", "2029-08-01", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert "moved by 3 years" in ended.out
    text = (tmp_path / "mine" / "season.toml").read_text()
    assert "# Two syringes" in text
    assert "today" not in tomllib.loads(text)["season"]
    assert budswell("plan", "mine", "--today", "2029-08-01", cwd=tmp_path).code == 0


def test_shopping_prints_lists_and_json(tmp_path: Path) -> None:
    """The kept plan's orders, in packs, by kind of shop; as JSON with the exact need beside them."""
    example("backyard", tmp_path)
    ended = budswell("shopping", "backyard", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert "Grain and feed" in ended.out
    assert "1 x 10 lb bag" in ended.out
    as_json = budswell("shopping", "backyard", "--json", cwd=tmp_path)
    assert as_json.code == 0
    data = json.loads(as_json.out)
    grain = next(one for one in data["lists"] if one["supplier"] == "grain and feed")["orders"][0]
    assert grain["item"] == "dry grain"
    assert sum(pack["count"] * pack["holds"] for pack in grain["packs"]) >= grain["quantity"] > 0
    assert grain["order_by"] < grain["needed_on"]
    plan = json.loads(budswell("plan", "backyard", "--no-keep", "--json", cwd=tmp_path).out)
    assert len(plan["orders"]) == sum(len(one["orders"]) for one in data["lists"])
    assert all(order["supplier"] for order in plan["orders"])


@pytest.mark.parametrize(
    "arguments", [["nowhere"], ["backyard", "--today", "soon"], ["backyard", "--csv"], []]
)
def test_shopping_that_cannot_work(arguments: list[str], tmp_path: Path) -> None:
    """A wrong call, or no season, is one block and exit code 2."""
    example("backyard", tmp_path)
    ended = budswell("shopping", *arguments, cwd=tmp_path)
    assert (ended.code, ended.out) == (2, "")
    assert ended.err


def test_a_season_that_does_not_fit_has_no_list(tmp_path: Path) -> None:
    """The refusal is shown as `plan` shows it, with its exit code."""
    example("too-late", tmp_path)
    ended = budswell("shopping", "too-late", cwd=tmp_path)
    assert ended.code == 1
    assert ended.out.startswith("No plan fits")


def test_check_explains_every_default(tmp_path: Path) -> None:
    """Each default stands with its value, its basis and where it comes from."""
    example("backyard", tmp_path)
    ended = budswell("check", "backyard", "--explain", cwd=tmp_path, COLUMNS="200")
    assert (ended.code, ended.err) == (0, "")
    rows = {line.split()[0]: line for line in ended.out.splitlines() if re.match(r"  [a-z]+[.\[]", line)}
    assert "common practice" in rows["people.felling"]
    assert "own" in rows["people.felling"]
    assert "Growing Gourmet" in rows["lab.spawn_in"]
    assert "published" in rows["lab.spawn_in"]
    assert "follows from the season" in rows["tools.tank"]
    assert "not on record" not in ended.out
    short = budswell("check", "backyard", cwd=tmp_path).out
    assert all(key in short for key in rows)


def test_beginning_loads_no_solver(tmp_path: Path) -> None:
    """`new` is a light command."""
    code = (
        "import sys; from scheduler.cli import main; sys.argv = ['budswell', 'new', 'first', '--yes']\n"
        "try: main()\nexcept SystemExit: print('ortools' in sys.modules or 'numpy' in sys.modules)"
    )
    ended = subprocess.run(
        [sys.executable, "-c", code],
        cwd=tmp_path,
        env=environment(),
        capture_output=True,
        text=True,
        check=True,
    )
    assert ended.stdout.endswith("False\n")
