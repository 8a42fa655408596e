"""Warnings about strains that were moved on too often: in the plan's notes, at the batch, and by `check`."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.assemble.frame import Frame
from scheduler.assemble.transfers import too_often
from scheduler.lines.sizing import size
from scheduler.plan import Plan
from scheduler.present.story import show_story
from scheduler.present.terminal import show_plan
from scheduler.problem.calendar import calendar
from scheduler.problem.compile import compile_season
from scheduler.problem.shapes import Days
from scheduler.progress import NOTHING
from scheduler.season.season import Season
from scheduler.service.attempt import attempt
from scheduler.solve.params import Budget
from tests.command import example, inside
from tests.grower import CULTURE, OAK, catalogue, edited, season
from tests.present.screen import section, shown

FEW = edited(OAK, logs='{ count = 8, diameter = "13 cm", length = "1 m" }')
SLANT = """
species  = "shiitake"
stage    = "slant"
units    = 1
received = 2026-11-20
"""


def planned(of: Season) -> Plan:
    """The plan of a season that fits."""
    plan = attempt(of, catalogue(), budget=Budget(0.2))
    assert isinstance(plan, Plan)
    return plan


def after(transfers: int) -> Plan:
    """A plan from a syringe so many transfers from its master."""
    return planned(season(FEW, stock=(edited(CULTURE, transfers=str(transfers)),)))


def about(plan: Plan) -> list[str]:
    """Notes about transfers, those of the season file left out."""
    return [note for note in plan.notes if "transfer" in note and not note.startswith("stock[")]


@pytest.mark.parametrize(
    ("transfers", "says"),
    [(3, ""), (4, "5 transfers from its master: from 5 on"), (8, "9 transfers"), (9, "better begun anew")],
)
def test_five_is_a_warning_and_ten_a_strong_one(transfers: int, says: str) -> None:
    """Common practice: from the fifth transfer on watch the strain, from the tenth begin anew.

    The grain is one further than the syringe that it is made from.
    """
    notes = about(after(transfers))
    assert len(notes) == bool(says)
    for note in notes:
        assert note.startswith("SHI-G1a is ")
        assert says in note
        assert ("order a fresh culture" in note) == (transfers + 1 >= 10)


@pytest.mark.parametrize(
    ("transfers", "told"),
    [(3, ""), (4, "; 5 transfers since the master"), (9, "; 10 transfers since the master, TOO MANY")],
)
def test_the_batch_says_so_in_the_view(transfers: int, told: str) -> None:
    """At the heading of its stage, and its spawn's; fewer than five are not worth a word there."""
    page = section(shown(show_plan, after(transfers), width=200), "Batches")
    (head,) = [line for line in page.splitlines() if "grain spawn G1" in line]
    assert head.endswith(f"keeps for 56{told}")


def test_the_story_of_a_batch_tells_them_where_they_are_known() -> None:
    """As many as they are; of an unknown culture nothing."""
    for stock, known in ((edited(CULTURE, transfers="2"), True), (CULTURE, False)):
        plan = planned(season(FEW, stock=(stock,)))
        (jar,) = [b for b in plan.batches if b.stage == "grain"]
        told = shown(show_story, jar, plan, [], NOTHING)
        assert ("3 since the master" in told) == known


def of_sizes(of: Season) -> list[str]:
    """The warnings of a season that is sized and not solved: they do not depend on any day."""
    sizing = size(of, catalogue(), "wished", {})
    days = Days({}, {})
    return list(
        too_often(Frame(of, catalogue(), sizing, compile_season(of, catalogue(), sizing), calendar(of), days))
    )


def test_unknown_is_said_only_where_the_season_moves_it_on_often() -> None:
    """Syringe to grain is one move, slant to plate to grain two; over two generations of grain it is three."""
    assert of_sizes(season(FEW, stock=(CULTURE,))) == []
    assert of_sizes(season(FEW, stock=(SLANT,))) == []
    many = edited(OAK, logs='{ count = 3000, diameter = "13 cm", length = "1 m" }')
    (note,) = of_sizes(season(many, stock=(SLANT,)))
    assert note.startswith("SHI-G2a is 3 transfers from the culture in hand")
    assert "unknown" in note
    assert "[[stock]]" in note
    assert of_sizes(season(many, stock=(edited(SLANT, transfers="0"),))) == []


def test_check_warns_of_stock_that_begins_there(tmp_path: Path) -> None:
    """Five is said, ten more sharply, four not; nothing is refused."""
    folder = example("backyard", tmp_path)
    text = (folder / "season.toml").read_text(encoding="utf-8")
    for transfers, says in ((4, ""), (5, "growth may slow down"), (10, "is better begun anew")):
        line = f'amount   = "20 mL"\ntransfers = {transfers}'
        (folder / "season.toml").write_text(text.replace('amount   = "20 mL"', line, 1), encoding="utf-8")
        told = inside("check", "backyard", cwd=tmp_path)
        assert told.code == 0
        assert (f"shiitake that is {transfers} transfers" in " ".join(told.out.split())) == bool(says)
        assert says in " ".join(told.out.split())
