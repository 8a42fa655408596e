"""The whole story of one batch."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest
from rich.cells import cell_len

from scheduler.plan import Unit
from scheduler.present.story import entries_about, show_story
from scheduler.progress import NOTHING, BatchProgress, Entry, Progress
from tests.present.market import market_plan
from tests.present.screen import section, shown
from tests.present.under_way import DAY, DOUBTED, HOSTILE, backyard, batch, progress, recorded, told

story = partial(show_story, day=DAY)


def test_the_whole_story() -> None:
    """State, kind, units, days, descent, work and entries of a batch with a lost and a doubtful jar."""
    text = shown(story, batch("SHI-G1a"), backyard(), told(), progress())
    assert text.startswith(
        "SHI-G1a: watch since Mon 1 Feb\n  is         grain spawn G1, quart jar; shiitake (house)\n"
    )
    assert "  units      4 of 5 units living\n" in text
    assert "  in doubt   SHI-G1a/2; look again on Thu 4 Feb\n" in text
    assert "  kept back  SHI-G1a/5\n" in text
    assert section(text, "Days").splitlines()[:3] == [
        "                planned     really",
        "  heat-treated  Sat 23 Jan  Sat 23 Jan",
        "  inoculated    Sun 24 Jan  Sun 24 Jan",
    ]
    assert "  used          Sun 21 Feb" in section(text, "Days")
    assert section(text, "Units").splitlines() == [
        "  unit       made from  now                       made from it",
        "  SHI-G1a/1  SHI-La/1                             SHI-Sa/1",
        "  SHI-G1a/2  SHI-La/1   in doubt since Mon 1 Feb  SHI-Sa/2",
        "  SHI-G1a/3  SHI-La/1                             SHI-Sa/3",
        "  SHI-G1a/4  SHI-La/1   lost Mon 1 Feb",
        "  SHI-G1a/5  SHI-La/1   kept back",
    ]
    assert section(text, "Family").splitlines() == [
        "  SHI-La/1 -> SHI-G1a/1-5",
        "  SHI-G1a/1-3 -> SHI-Sa/1-3",
    ]
    assert "Keep back SHI-G1a/5" in section(text, "Work left")
    entries = section(text, "Entries")
    assert "TAKEN BACK by 3" in entries
    assert "done: Sterilise SHI-G1a (5 quart jars)" in entries
    assert "WIN-G1a" not in entries


def test_descent_is_told_over_all_generations() -> None:
    """From the bags up to the culture, and from the culture down to the bags, one generation a line."""
    plan = market_plan()
    bag = next(one for one in plan.batches if one.id == "SHI-Sa")
    up = section(shown(story, bag, plan, (), NOTHING), "Family").splitlines()
    assert up == [
        "  SHI-L1a/1 -> SHI-G1a/1-3",
        "  SHI-G1a/1-3 -> SHI-Sa/1-4",
        "  SHI-Sa/1-4 -> Planting 0",
    ]
    culture = plan.batches[0]
    down = section(shown(story, culture, plan, (), NOTHING), "Family")
    assert down.startswith("  SHI-L1a/1-2 -> SHI-G1a/1-7, SHI-G1b/1-7, SHI-G1c/1-7\n")
    assert "SHI-Sf/1-4" in down


def test_a_batch_of_an_older_plan_can_be_told() -> None:
    """A batch that is wholly lost stands in no plan any more; its story is told all the same."""
    plan = backyard()
    gone = batch("SHI-Sa")
    later = replace(plan, batches=tuple(one for one in plan.batches if one.id != gone.id))
    lost = Progress({gone.id: BatchProgress(lost={unit.id: DOUBTED for unit in gone.units})})
    text = shown(story, gone, later, (), lost)
    assert text.startswith("SHI-Sa: lost since Mon 1 Feb\n")
    assert "0 of 3 units living" in text
    assert "SHI-Sa/1-3 -> Oak stack" in text
    assert "Nothing is recorded of it yet." in text
    assert "Work left" not in shown(story, replace(gone, id="SHI-Sz"), later, (), lost)


def test_a_parent_that_only_the_grower_knows_is_told() -> None:
    """A batch that no plan made from anything shows the parent that was recorded."""
    own = replace(batch("SHI-G1a"), id="SHI-G1x", units=(Unit("SHI-G1x/1", None),), keep_back=0)
    happened = Progress({"SHI-G1x": BatchProgress(inoculated_on=DOUBTED, started=2, parent="SHI-Lb")})
    text = section(shown(story, own, backyard(), (), happened), "Units")
    assert "SHI-G1x/1-2  SHI-Lb" in text


def test_entries_about_a_batch_are_found() -> None:
    """Its own, those of its tasks and loads, of what was made from it, and what takes one of them back."""
    on = DOUBTED
    book = recorded(
        Entry("ready", on, "SHI-G1a"),
        Entry("done", on, "cook:SHI-G1b+SHI-G1a"),
        Entry("done", on, "cook:SHI-G1b+SHI-G1a/lost"),
        Entry("done", on, "SHI-G1a:check:first"),
        Entry("inoculated", on, "SHI-Sx", parent="SHI-G1a"),
        Entry("undo", on, "", corrects=4),
        Entry("ready", on, "SHI-G1aa"),
        Entry("undo", on, "", corrects=7),
    )
    assert [one.entry_no for one in entries_about("SHI-G1a", book)] == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize("width", [60, 80, 100])
def test_every_batch_fits_its_page(width: int) -> None:
    """No line of any batch of two seasons is too long, cut or padded."""
    for plan, happened in ((backyard(), progress()), (market_plan(), NOTHING)):
        for one in plan.batches:
            for line in shown(story, one, plan, told(), happened, width=width).splitlines():
                assert cell_len(line) <= width, line
                assert line == line.rstrip()
                assert "…" not in line


def test_hostile_words_are_shown_harmlessly() -> None:
    """What was seen, names of plantings and of strains cannot steer the terminal."""
    one = replace(batch("SHI-G1a"), strain=HOSTILE, plantings=(HOSTILE,))
    entry = Entry("lost", DOUBTED, "SHI-G1a", units=("SHI-G1a/1",), seen=HOSTILE)
    text = shown(story, one, backyard(), recorded(entry), NOTHING)
    assert not set("\x1b\x07\r\u202e") & set(text)
    assert text.count("[red]boom[/red]") == 3
    assert max(map(cell_len, text.splitlines())) <= 80
