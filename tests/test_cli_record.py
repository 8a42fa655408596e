"""`record` as a grower types it: the February story, short forms, and what is accepted only on their word."""

from __future__ import annotations

import os
import subprocess
from datetime import date
from pathlib import Path

import pytest

from scheduler.progress import Entry
from tests.command import COMMAND, budswell, environment, inside, is_one_block, listing
from tests.february import DAY, TODAY, begun, entries, newest, planned

LOST = ("SHI-G1a/2", "SHI-G1a/3", "SHI-G1a/4")
"""The three jars that unnamed losses take: the one that is kept back is the last to go."""

SHORT = [
    ("lost SHI-G1a 3", [("lost", "SHI-G1a", LOST)]),
    ("lost shi-g1a", [("lost", "SHI-G1a", ("SHI-G1a/1", *LOST, "SHI-G1a/5"))]),
    ("green SHI-G 1 2-3 at the shoulder", [("lost", "SHI-G1a", ("SHI-G1a/4",))]),
    ("dead SHI-G1a/2,4", [("lost", "SHI-G1a", ("SHI-G1a/2", "SHI-G1a/4"))]),
    ("clean SHI-G1a", [("clean", "SHI-G1a", ())]),
    ("ok SHI-G1a WIN-G1a", [("clean", "SHI-G1a", ()), ("clean", "WIN-G1a", ())]),
    ("watch WIN-G1a/3", [("watch", "WIN-G1a", ("WIN-G1a/3",))]),
    ("done cook:WIN-Sa", [("cooked", "WIN-Sa", ())]),
    ("moved WIN-G1a", [("fridge", "WIN-G1a", ())]),
    ("postponed oak until 2027-05-20", [("put-off", "Oak stack", ())]),
    ("ordered wax", [("bought", "wax", ())]),
    ("found nameko liquid culture 10 mL", [("found", "nameko", ())]),
    ("undo", [("undo", "", ())]),
]
"""Words as they are typed, and the kind, subject and units of each entry they mean."""


def test_the_february_story(tmp_path: Path) -> None:
    """A season is planned, done up to February, three jars go green, and a mistake leads back to the plan."""

    def said(*arguments: str) -> str:
        ended = budswell(*arguments, cwd=tmp_path)
        assert (ended.code, ended.err) == (0, "")
        return ended.out

    season = planned(tmp_path)
    assert said("plan", "backyard").startswith("Order by")
    assert "SHI-G1a inoculated" in said("record", "backyard", "done", "all", *TODAY)
    assert said("replan", "backyard", *TODAY).endswith(
        "Kept as plan 2. The work of a day: budswell today backyard. Write the calendar file again to move\n"
        "  it there.\n"
    )
    before = newest(season).plan
    lost = said("record", "backyard", "lost", "SHI-G1a", "3", "green", *TODAY)
    assert "SHI-G1a/2-4 (3 units) lost; green" in lost
    assert "heat-kill the units unopened" in lost
    saved = said("replan", "backyard", *TODAY)
    assert saved.startswith("SHI-G1a: 3 of 5 units lost. The season is still on: spares cover it.")
    assert "Heat through, unopened: 3 lost quart jars of SHI-G1a" in saved
    number = entries(season)[-1].entry_no
    assert f"entry {number} taken back" in said("record", "backyard", "undo", *TODAY)
    said("replan", "backyard", *TODAY)
    after = newest(season).plan
    assert {task.id: task.on for task in after.tasks} == {task.id: task.on for task in before.tasks}
    assert after.batches == before.batches


def test_in_its_folder_the_season_is_left_out(tmp_path: Path) -> None:
    """The same entry is made from outside with the season and from inside without it."""
    (tmp_path / "named").mkdir()
    outside, season = begun(tmp_path / "named"), begun(tmp_path)
    named = inside("record", outside, "lost", "SHI-G1a", "3", *TODAY, cwd=tmp_path)
    alone = inside("record", "lost", "SHI-G1a", "3", *TODAY, cwd=season)
    file = inside("record", "season.toml", "lost", "SHI-G1a", "1", *TODAY, cwd=season)
    assert (named.code, alone.code, file.code) == (0, 0, 0)
    assert [one.entry for one in entries(outside)] == [one.entry for one in entries(season)][:-1]
    assert f"budswell record {outside} undo." in " ".join(named.out.split())
    assert "budswell record . undo." in alone.out


@pytest.mark.parametrize("words", [["backyard", "words"], ["words"], ["help"]], ids=" ".join)
def test_the_words_are_listed(words: list[str], tmp_path: Path) -> None:
    """Every word and an example of each, also where no season is, and nothing is written."""
    planned(tmp_path)
    before = listing(tmp_path)
    ended = inside("record", *words, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert "lost, dead, green" in ended.out
    assert "put-off Oak stack until 2027-05-20" in ended.out
    assert listing(tmp_path) == before


@pytest.mark.parametrize(("words", "meant"), SHORT, ids=[words for words, _ in SHORT])
def test_short_forms(words: str, meant: list[tuple[str, str, tuple[str, ...]]], tmp_path: Path) -> None:
    """What is typed with one hand is recorded for today, and printed with its number."""
    season = begun(tmp_path)
    there = len(entries(season))
    ended = inside("record", "backyard", *words.split(), *TODAY, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    new = entries(season)[there:]
    found = [(one.entry.kind, one.entry.subject, tuple(sorted(one.entry.units))) for one in new]
    assert found == meant
    assert {one.entry.on for one in new} == {date.fromisoformat(DAY)}
    assert ended.out.splitlines()[1].startswith(f"{there + 1} ")


def test_a_number_of_the_list_is_done(tmp_path: Path) -> None:
    """`done 1` is the first task that `today` lists; `done` alone is refused where several are open."""
    season = begun(tmp_path)
    later = ("--today", "2027-02-06")
    page = inside("today", "backyard", *later, cwd=tmp_path).out
    assert "1  Wet the pellets for WIN-Sa" in page
    assert "2  Sterilise WIN-Sa" in page
    assert inside("record", "backyard", "done", "2", *later, cwd=tmp_path).code == 0
    assert entries(season)[-1].entry == Entry("cooked", date(2027, 2, 6), "WIN-Sa")


def test_the_day_may_be_said(tmp_path: Path) -> None:
    """With --on an entry is of that day, and printed so."""
    season = begun(tmp_path)
    ended = inside("record", "backyard", "lost", "WIN-G1a/2", "--on", "2027-02-02", *TODAY, cwd=tmp_path)
    assert ended.code == 0
    assert "Tue 2 Feb 2027" in ended.out
    assert entries(season)[-1].entry.on == date(2027, 2, 2)


def test_the_unusual_is_asked_about(tmp_path: Path) -> None:
    """Jars used before they can be ready are refused without --force; with it they are recorded, and marked."""
    season = begun(tmp_path)
    before = listing(season)
    words = ("record", "backyard", "used", "SHI-G1a", "1", *TODAY)
    asked = inside(*words, cwd=tmp_path)
    assert asked.code == 2
    is_one_block(asked)
    assert "not expected to be ready before Sat 6 Feb 2027" in asked.err
    assert "--force" in asked.err
    assert listing(season) == before
    forced = inside(*words, "--force", cwd=tmp_path)
    assert forced.code == 0
    assert "Unusual, and recorded on your word: SHI-G1a is not expected" in " ".join(forced.out.split())
    assert entries(season)[-1].entry.forced
    listed = inside("book", "show", "backyard", cwd=tmp_path).out.splitlines()
    assert [line.endswith("forced") for line in listed].index(True) == len(listed) - 1


@pytest.mark.skipif(os.name != "posix", reason="THIS TEST DID NOT RUN: this system has no pseudo-terminals")
@pytest.mark.parametrize(
    ("typed", "code"), [(b"y\n", 0), (b"n\n", 2), (b"\x04", 130)], ids=["yes", "no", "neither"]
)
def test_at_a_terminal_the_unusual_is_a_question(typed: bytes, code: int, tmp_path: Path) -> None:
    """Only a yes records it; a no is refused as without a terminal, and leaving leaves everything as it was."""
    season = begun(tmp_path)
    before = listing(season)
    screen, theirs = os.openpty()
    os.write(screen, typed)
    process = subprocess.Popen(
        [*COMMAND, "record", "backyard", "used", "SHI-G1a", "1", *TODAY],
        cwd=tmp_path,
        env=environment(),
        stdin=theirs,
        stdout=theirs,
        stderr=subprocess.PIPE,
    )
    _, err = process.communicate(timeout=60)
    shown = os.read(screen, 65536).decode()
    for end in (screen, theirs):
        os.close(end)
    assert process.returncode == code, err
    assert "Unusual: SHI-G1a is not expected to be ready before Sat 6 Feb 2027" in shown
    assert b"Traceback" not in err
    if code:
        assert listing(season) == before
    else:
        assert entries(season)[-1].entry.forced


def test_force_marks_only_what_is_unusual(tmp_path: Path) -> None:
    """An entry with nothing odd about it is recorded with --force as it would be without."""
    season = begun(tmp_path)
    assert inside("record", "backyard", "clean", "WIN-G1a", "--force", *TODAY, cwd=tmp_path).code == 0
    assert not entries(season)[-1].entry.forced
