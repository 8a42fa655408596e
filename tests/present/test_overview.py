"""The season under way on one page."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pytest
from rich.cells import cell_len

from scheduler.plan import Plan
from scheduler.present.overview import show_overview
from scheduler.progress import NOTHING, PlantingProgress, Progress
from tests.present.market import market_plan
from tests.present.screen import section, shown
from tests.present.under_way import DAY, HOSTILE, backyard, progress


def test_the_whole_page() -> None:
    """What to do first, what is overdue, plantings, batches and the next work, in that order."""
    lines = shown(show_overview, backyard(), progress(), DAY).splitlines()
    assert lines[0] == "Do today (overdue since Mon 1 Feb): Look at SHI-G1a for growth and mould"
    assert lines[1] == "Mind: mouldy units stay closed"
    assert lines[2] == "Fern Hollow, spring 2027 of Sat 28 Nov 2026, as of Thu 11 Feb 2027"
    assert [line for line in lines if line and not line.startswith(" ")][3:] == [
        "Overdue",
        "Plantings",
        "Batches",
        "Next work",
    ]


def test_every_batch_shows_its_state() -> None:
    """Stage, state, living units, ready day and next task stand in one row; what is over is told last."""
    table = section(shown(show_overview, backyard(), progress(), DAY, width=100), "Batches").splitlines()
    assert [line.split()[:5] for line in table if "-" in line.split()[0]] == [
        ["SHI-La", "liquid", "ready", "1", "of"],
        ["SHI-Aa", "plate", "used", "0", "of"],
        ["SHI-G1a", "grain", "G1", "watch", "4"],
        ["SHI-Sa", "sawdust", "planned", "3", "of"],
        ["WIN-La", "liquid", "ready", "1", "of"],
        ["WIN-Aa", "plate", "used", "0", "of"],
        ["WIN-G1a", "grain", "G1", "growing", "5"],
        ["WIN-Sa", "sawdust", "heat-treated", "3", "of"],
    ]
    assert (
        "    SHI-Sa   sawdust   planned       3 of 3  Thu 8 Apr              wet pellets Sat 13 Feb" in table
    )
    assert table[-1] == "  no longer in the plan: SHI-G1z (1 unit lost, last on Sun 3 Jan 2027)"


def states(plan: Plan, happened: Progress, **pieces: int) -> str:
    """The plantings of a page in one line."""
    named = {name.replace("_", " "): count for name, count in pieces.items()}
    show = partial(show_overview, pieces=named)
    return " ".join(section(shown(show, plan, happened, DAY, width=120), "Plantings").split())


def test_plantings_say_how_much_is_done() -> None:
    """Pieces of all pieces, a bed in percent; the size as it was wished counts where it is given."""
    plan = backyard()
    text = states(plan, progress())
    assert "12 of 20 logs felled, last on Sat 23 Jan" in text
    assert "put off until Thu 20 May" in text
    assert "40 % planted" in text
    assert "2 lb 12 oz picked" in text
    assert states(plan, NOTHING).count("not begun") == 2
    assert "12 of 60 logs felled" in states(plan, progress(), Oak_stack=60)
    more = Progress(plantings={"Currant bed": PlantingProgress(planted={DAY: 5}, soaked_on=DAY)})
    assert "all of it planted" in states(plan, more)
    assert "soaked on Thu 11 Feb" in states(plan, more)


@pytest.mark.parametrize("width", [60, 80, 100])
def test_it_fits_the_page(width: int) -> None:
    """No line of two seasons is too long, cut or padded."""
    for plan, happened in ((backyard(), progress()), (market_plan(), NOTHING)):
        for line in shown(show_overview, plan, happened, DAY, width=width).splitlines():
            assert cell_len(line) <= width, line
            assert line == line.rstrip()
            assert "…" not in line


def test_a_season_that_is_over_says_so() -> None:
    """Where nothing is left to do, no empty sections are printed."""
    plan = replace(backyard(), orders=(), tasks=())
    text = shown(show_overview, plan, NOTHING, DAY)
    assert text.startswith("Nothing is left to do.\n")
    assert "Next work" not in text
    assert "Overdue" not in text


def test_hostile_names_are_shown_harmlessly() -> None:
    """Names of the season, its plantings and batches cannot steer the terminal."""
    plan = backyard()
    season, planting = (
        replace(plan.season, name=HOSTILE),
        replace(plan.plantings[0], name=HOSTILE, size=HOSTILE),
    )
    plan = replace(plan, season=season, plantings=(planting,))
    text = shown(show_overview, plan, Progress(plantings={HOSTILE: PlantingProgress(felled={DAY: 3})}), DAY)
    assert not set("\x1b\x07\r\u202e") & set(text)
    assert text.count("[red]boom[/red]") >= 2
    assert max(map(cell_len, text.splitlines())) <= 80
