"""The entries of a book in words."""

from __future__ import annotations

from datetime import date
from typing import get_args

import pytest
from rich.cells import cell_len

from scheduler.plan import Rewrite
from scheduler.present.entries import SAID, said, show_entries
from scheduler.progress import Entry, Kind, taken_back
from tests.present.screen import shown
from tests.present.under_way import HOSTILE, backyard, recorded, told

ON = date(2027, 2, 6)
WORDS: list[tuple[Entry, str]] = [
    (Entry("cooked", ON, "NAM-G1a"), "NAM-G1a heat-treated"),
    (Entry("inoculated", ON, "NAM-G1a", count=11), "NAM-G1a: 11 units inoculated"),
    (Entry("inoculated", ON, "NAM-G1x", count=1, parent="NAM-La"), "NAM-G1x: 1 unit inoculated from NAM-La"),
    (Entry("ready", ON, "NAM-G1a"), "NAM-G1a found fully run"),
    (Entry("clean", ON, "NAM-G1a"), "NAM-G1a looked at and found clean"),
    (Entry("watch", ON, "NAM-G1a", units=("NAM-G1a/3",)), "NAM-G1a/3 in doubt"),
    (
        Entry("lost", ON, "NAM-G1a", units=("NAM-G1a/3", "NAM-G1a/4"), seen="green"),
        "NAM-G1a/3-4 (2 units) lost; green",
    ),
    (Entry("used", ON, "NAM-G1a", units=("NAM-G1a/1",)), "NAM-G1a/1 used up"),
    (Entry("fridge", ON, "NAM-G1a"), "NAM-G1a moved to the fridge"),
    (Entry("felled", ON, "Oak stack", units=("Oak stack:fell",), count=30), "Oak stack: 30 felled"),
    (Entry("soaked", ON, "Oak stack"), "Oak stack: logs soaked"),
    (Entry("planted", ON, "Oak stack"), "Oak stack: all planted"),
    (Entry("turned", ON, "Oak stack"), "Oak stack: turned"),
    (Entry("watered", ON, "Oak stack"), "Oak stack: watered"),
    (Entry("weighed", ON, "Oak stack", amount=14200.0), "Oak stack: 14.2 kg weighed"),
    (Entry("weighed", ON, "Oak stack", units=("log 2",), amount=900.0), "Oak stack, log 2: 900 g weighed"),
    (Entry("picked", ON, "Oak stack", amount=1200.0), "Oak stack: 1.2 kg picked"),
    (Entry("bought", ON, "rye"), "rye ordered"),
    (Entry("received", ON, "rye"), "rye received"),
    (
        Entry("found", ON, "nameko", stage="liquid culture", amount=10.0, count=2),
        "nameko liquid culture found in hand: 2 units, 10 mL",
    ),
    (Entry("found", ON, "nameko", stage="grain", strain="N2"), "nameko N2 grain spawn found in hand: some"),
    (Entry("put-off", ON, "Oak stack", until=date(2027, 5, 20)), "Oak stack put off until Thu 20 May 2027"),
    (Entry("done", ON, "NAM-G1a:shake"), "done: NAM-G1a:shake"),
    (Entry("undo", ON, "", corrects=12), "entry 12 taken back"),
    (
        Entry(
            "remedy",
            ON,
            "window",
            seen="Plant later.",
            changes=(Rewrite("a.b", None, "3"), Rewrite("c", "1", None)),
        ),
        "remedy adopted: Plant later. (a.b = 3; without c)",
    ),
]


def test_every_kind_has_its_words() -> None:
    """No kind of entry is without a sentence, and every one of them is read here."""
    assert set(SAID) == set(get_args(Kind)) == {entry.kind for entry, _ in WORDS}


@pytest.mark.parametrize(("entry", "words"), WORDS, ids=lambda value: getattr(value, "kind", ""))
def test_an_entry_is_said_in_plain_words(entry: Entry, words: str) -> None:
    """Subject, units, count, amount and what was seen stand in one sentence."""
    assert said(entry) == words


def test_masses_and_tasks_are_said_in_the_grower_s_terms() -> None:
    """A mass is told in the season's units, a task by its title where that is known."""
    assert said(Entry("picked", ON, "Oak stack", amount=1200.0), units="imperial").endswith(
        "2 lb 10 oz picked"
    )
    titles = {task.id: task.title for task in backyard().tasks}
    assert said(Entry("done", ON, "cook:SHI-G1a"), titles) == "done: Sterilise SHI-G1a (5 quart jars)"


def test_the_table_marks_what_was_taken_back_and_forced() -> None:
    """The whole table, in the order of the numbers."""
    assert shown(show_entries, tuple(reversed(told()))).splitlines() == [
        "  no.  day              what",
        "    1  Sun 24 Jan 2027  SHI-G1a: 5 units inoculated",
        "    2  Mon 1 Feb 2027   SHI-G1a/4-5 (2 units) lost; green at     TAKEN BACK by 3",
        "                        the shoulder",
        "    3  Mon 1 Feb 2027   entry 2 taken back",
        "    4  Mon 1 Feb 2027   SHI-G1a/4 lost                           forced",
        "    5  Sat 23 Jan 2027  done: cook:SHI-G1a",
        "    6  Thu 11 Feb 2027  WIN-G1a found fully run",
    ]
    assert shown(show_entries, ()) == "  Nothing is recorded yet.\n"


def test_what_takes_back_can_be_taken_back() -> None:
    """An entry stands again once the one that took it back is taken back itself."""
    undo = Entry("undo", ON, "", corrects=1)
    assert taken_back(recorded(Entry("ready", ON, "A"), undo)) == {1: 2}
    assert taken_back(recorded(Entry("ready", ON, "A"), undo, Entry("undo", ON, "", corrects=2))) == {2: 3}


@pytest.mark.parametrize("kind", get_args(Kind))
def test_hostile_entries_of_every_kind_are_shown_harmlessly(kind: Kind) -> None:
    """Codes are dropped, markup stays as it was typed, and nothing runs over the page or is lost."""
    units = (HOSTILE, f"{HOSTILE}/7")
    entry = Entry(kind, ON, HOSTILE, units=units, parent=HOSTILE, seen=HOSTILE, stage=HOSTILE, strain=HOSTILE)
    text = shown(show_entries, recorded(entry))
    assert not set("\x1b\x07\r\u202e") & set(text)
    assert "[red]boom[/red]" in text
    assert text.count("x") >= 10_000
    assert max(map(cell_len, text.splitlines())) <= 80
