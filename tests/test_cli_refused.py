"""What `record` refuses: one block on stderr, exit code 2, and the book as it was to the last byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.command import budswell, example, inside, is_one_block, listing
from tests.february import TODAY, begun, planned

REFUSED: list[tuple[str, list[str], list[str]]] = [
    ("unknown batch", ["lost", "NAM-G1a", "6"], ['no batch is called "NAM-G1a"', "SHI-G1a"]),
    ("ambiguous batch", ["lost", "SHI"], ['"SHI" may mean 4 batches']),
    ("unknown kind", ["burnt", "SHI-G1a"], ['"burnt" is no kind of entry', "allowed"]),
    ("mistyped kind", ["lsot", "SHI-G1a"], ['did you mean "lost"?']),
    ("no kind", [""], ["nothing was said", "for example: lost NAM-G1a 6"]),
    ("blanks", [" ", "  "], ["nothing was said"]),
    ("no batch", ["lost"], ["no batch is named"]),
    ("tomorrow", ["lost", "SHI-G1a", "--on", "2027-02-05"], ["Fri 5 Feb 2027 is still to come"]),
    (
        "before the season",
        ["lost", "SHI-G1a", "--on", "2026-11-27"],
        ["lies before the season's first plan", "Sat 28 Nov 2026 or a day after it"],
    ),
    ("no day", ["lost", "SHI-G1a", "--on", "yesterday"], ['"yesterday"', "YYYY-MM-DD"]),
    ("a day that is none", ["lost", "SHI-G1a", "--on", "2027-02-29"], ['"2027-02-29"', "YYYY-MM-DD"]),
    ("before it grew", ["lost", "SHI-G1a", "--on", "2027-01-10"], ["was not inoculated by Sun 10 Jan 2027"]),
    ("more than live", ["lost", "SHI-G1a", "6"], ["6 of SHI-G1a", "at most 5: so many live"]),
    ("no such unit", ["lost", "SHI-G1a/9"], ["there is no SHI-G1a/9", "1, 2, 3, 4, 5"]),
    ("none", ["lost", "SHI-G1a", "0"], ['"0"', "a whole number from 1"]),
    ("a huge number", ["lost", "SHI-G1a", "9" * 400], ["a whole number from 1"]),
    ("less than none", ["lost", "SHI-G1a", "-3"], ["No such option: -3"]),
    ("not made yet", ["ready", "WIN-Sa"], ["was not inoculated by", "nothing grows there yet"]),
    ("not cooked yet", ["inoculated", "WIN-Sa"], ["first record cooked WIN-Sa"]),
    ("planted too much", ["planted", "Oak", "stack", "21"], ["21 pieces of Oak stack", "at most 20"]),
    ("planted out of season", ["planted", "Oak", "stack"], ["outside of its window", "add --force"]),
    ("felled already", ["felled", "Oak", "stack", "1"], ["1 piece of Oak stack", "nothing is left"]),
    ("picked nothing", ["picked", "Oak", "stack", "much"], ['"much"', "a mass such as"]),
    ("put off to no day", ["put-off", "Oak", "until", "2027-02-30"], ["until a day written as"]),
    ("put off to the past", ["put-off", "Oak", "until", "2027-02-04"], ["a day after Thu 4 Feb 2027"]),
    ("unknown planting", ["felled", "Elm", "stack"], ['no planting is called "Elm stack"', "Oak stack"]),
    ("unknown species", ["found", "truffle", "plate", "2"], ["no species is called", "shiitake"]),
    ("nothing to buy", ["bought", "gold"], ['nothing to buy is called "gold"', "wax"]),
    ("no such task", ["done", "99"], ["there is no task 99"]),
    ("nothing is due", ["done"], ["no task is due"]),
    ("nothing is due at all", ["done", "all"], ["no task is due"]),
    ("undo of nothing", ["undo", "99"], ["there is no entry 99"]),
    ("undo of no number", ["undo", "last"], ['"last"', "the number of an entry"]),
    ("undo of what others lean on", ["undo", "25"], ["entry 25 cannot go alone", "first undo"]),
    ("control characters", ["lost", "\x1b[31m\x07\x08"], ["no batch is called", "\\x1b[31m\\x07"]),
    ("ten thousand letters", ["lost", "x" * 10_000], ["no batch is called", '..."']),
    ("ten thousand words", ["x"] * 10_000, ['"x" is no kind of entry']),
    ("a letter that is none", ["\udcff"], ["is no kind of entry", "\\udcff"]),
    ("seen in letters that are none", ["lost", "SHI-G1a", "1", "\udcff"], ["letters that are not UTF-8"]),
    ("markup", ["lost", "[red]SHI-G1a[/red]"], ['no batch is called "[red]SHI-G1a["']),
    ("broken markup", ["[/]"], ['"[/]" is no kind of entry']),
    ("SQL", ["lost", "SHI-G1a'; DROP TABLE entries; --"], ['no batch is called "SHI-G1a\';"']),
    ("SQL for a number", ["undo", "1;DELETE"], ["the number of an entry"]),
]
"""What is typed on 4 Feb after everything before it was recorded as done, and what the message has to say."""


def assert_refused(words: list[str], said: list[str], season: Path) -> None:
    """Types the words and looks at the answer and at what is left."""
    before = listing(season.parent)
    ended = inside("record", "backyard", *words, *TODAY, cwd=season.parent)
    assert ended.code == 2, ended
    is_one_block(ended)
    assert ended.err.startswith("This cannot work as it was called\n")
    told = " ".join(ended.err.split())
    assert [text for text in [*said, "found ", "allowed "] if text not in told] == []
    assert "\x1b" not in ended.err
    assert len(ended.err) < 2_000
    assert listing(season.parent) == before


@pytest.mark.parametrize(
    ("words", "said"), [(words, said) for _, words, said in REFUSED], ids=[name for name, _, _ in REFUSED]
)
def test_what_cannot_have_happened(words: list[str], said: list[str], tmp_path: Path) -> None:
    """Exit code 2, one block that says what is wrong and what is allowed, and not a byte is changed."""
    assert_refused(words, said, begun(tmp_path))


def test_a_unit_is_lost_once(tmp_path: Path) -> None:
    """A jar that is lost cannot be lost again, nor can more of the rest than there is."""
    season = begun(tmp_path)
    assert inside("record", "backyard", "lost", "SHI-G1a/2", *TODAY, cwd=tmp_path).code == 0
    assert_refused(["lost", "SHI-G1a/2"], ["SHI-G1a/2 is lost already", "SHI-G1a/1, SHI-G1a/3-5"], season)
    assert_refused(["lost", "SHI-G1a", "5"], ["at most 4: so many live"], season)
    assert inside("record", "backyard", "lost", "SHI-G1a", *TODAY, cwd=tmp_path).code == 0
    assert_refused(["lost", "SHI-G1a"], ["nothing of SHI-G1a lives any more"], season)


def test_an_entry_is_taken_back_once(tmp_path: Path) -> None:
    """Where nothing was recorded there is nothing to undo, and what was undone is not undone again."""
    season = planned(tmp_path)
    assert_refused(["undo"], ["there is nothing to undo"], season)
    assert inside("record", "backyard", "bought", "plate", *TODAY, cwd=tmp_path).code == 0
    assert inside("record", "backyard", "undo", "1", *TODAY, cwd=tmp_path).code == 0
    assert_refused(["undo", "1"], ["entry 1 was taken back already"], season)


def test_one_wrong_entry_of_several_takes_all_back(tmp_path: Path) -> None:
    """A command is recorded as a whole or not at all: the second batch is not there, so the first is not lost."""
    season = begun(tmp_path)
    assert_refused(["lost", "SHI-G1a", "1", "WIN-Sa", "1"], ["WIN-Sa"], season)


@pytest.mark.parametrize("command", ["record", "today", "show", "replan"])
def test_a_season_without_a_plan(command: str, tmp_path: Path) -> None:
    """Nothing can be said about it but that it is to be planned first, and no book is made."""
    example("backyard", tmp_path)
    before = listing(tmp_path)
    words = ["lost", "SHI-G1a"] if command == "record" else []
    ended = inside(command, "backyard", *words, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "no plan of this season is kept yet" in ended.err
    assert "budswell plan backyard" in ended.err
    assert listing(tmp_path) == before


@pytest.mark.parametrize("command", ["record", "today", "show", "replan"])
def test_no_season_at_all(command: str, tmp_path: Path) -> None:
    """A name mistyped is not taken for a season that is still to be planned, and nothing is written."""
    words = ["lost", "SHI-G1a"] if command == "record" else []
    ended = inside(command, "nowhere", *words, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "no season lies here" in ended.err
    assert listing(tmp_path) == {}


def test_a_refusal_is_the_same_from_a_process_of_its_own(tmp_path: Path) -> None:
    """Letters that are none come through a real command line, too."""
    begun(tmp_path)
    before = listing(tmp_path)
    words = ("record", "backyard", "lost", "SHI-G1a", "1", "\udcff[red]\x1b", *TODAY)
    ended = budswell(*words, cwd=tmp_path)
    assert ended == inside(*words, cwd=tmp_path)
    assert ended.code == 2
    assert listing(tmp_path) == before


def test_what_was_seen_is_kept_letter_for_letter(tmp_path: Path) -> None:
    """Markup, quotes and codes in what was seen are text: the page shows no code, the book keeps them all."""
    begun(tmp_path)
    seen = "[red]boom[/] '; DROP TABLE entries; -- \x1b[31m " + "y" * 10_000
    ended = inside("record", "backyard", "lost", "SHI-G1a", "1", seen, *TODAY, cwd=tmp_path)
    assert ended.code == 0
    assert "\x1b" not in ended.out
    assert "[red]boom[/]" in ended.out
    for page in (
        ["today", "backyard"],
        ["show", "backyard", "--batch", "SHI-G1a"],
        ["book", "show", "backyard"],
    ):
        shown = inside(*page, cwd=tmp_path)
        assert shown.code == 0
        assert "\x1b" not in shown.out
    exported = inside("book", "export", "backyard", cwd=tmp_path).out
    assert "y" * 10_000 in exported
    assert "\\u001b[31m" in exported
