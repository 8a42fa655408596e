"""The chance that was asked for on the page: reached or not, what differs, and what is in the way."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.plan import Plan, Sought
from scheduler.present.terminal import show_plan
from tests.present.screen import section, shown
from tests.sample import sample_plan

TITLE = "The chance that was asked for"


def page(**changes: object) -> str:
    """The section of the sample plan, changed."""
    plan = sample_plan()
    assert plan.sought is not None
    return " ".join(_section(replace(plan, sought=replace(plan.sought, **changes))).split())


def _section(plan: Plan) -> str:
    return section(shown(show_plan, plan, width=120), TITLE)


def test_wish_chance_and_work_stand_beside_those_of_the_usual_plan() -> None:
    """With standard errors, how many seasons were played, and the seed."""
    text = page()
    assert "asked for 99.5 %" in text
    assert (
        "reached 97.1 % +- 0.1 (the usual plan: 94.0 % +- 0.2), of 20000 seasons played with seed 1" in text
    )
    assert "lab work 25 h 10, an hour for each day with work included (the usual plan: 24 h 04)" in text


def test_each_step_says_what_it_is_and_what_it_buys() -> None:
    """Units more, units fewer, days of margin; work only where there is some."""
    text = page()
    assert "NAM 2 more: grain G1, Birch raft +2.11 0.09 +24 min" in text
    assert "NAM 1 fewer: sawdust spawn, Birch raft -0.08 0.02 -11 min" in text
    assert "NAM 7 days more margin before Birch raft +1.05 0.07 Points" in text


def test_what_is_in_the_way_is_said_where_the_wish_is_not_reached() -> None:
    """What fails, what could not be added, and whether there was more to try."""
    text = page()
    assert "99.5 % is not reached: of the plans that were made this one comes nearest to it." in text
    assert "Fails in 1.9 %: Birch raft, too few good of sawdust spawn, Birch raft." in text
    assert "Fails in under 0.1 %: Birch raft, too late for the window, after a redo." in text
    assert (
        "Not added: NAM, one more unit of sawdust spawn, Birch raft: the season does not fit with it." in text
    )
    assert text.endswith("The search ended with things left to try.")
    assert page(ended=False).endswith("no two or three at once of those that bring most.")


def test_nothing_is_in_the_way_of_what_is_reached() -> None:
    """And where nothing differs that is said instead of an empty table."""
    text = page(fails=(), barred=(), ended=False, wished=0.95, steps=())
    assert "not reached" not in text
    assert text.endswith("Nothing differs from the usual plan.")


@pytest.mark.parametrize(
    ("fails", "asked"), [((), "(asked for: 99.5 %)"), (None, "(asked for: 99.5 %, not reached)")]
)
def test_the_head_of_the_page_gives_the_played_chance(fails: tuple[()] | None, asked: str) -> None:
    """Beside the chance where nothing lost is made again; a plan without a wish has the latter alone."""
    plan = sample_plan()
    assert plan.sought is not None
    assert plan.outlook is not None
    told: Sought = plan.sought if fails is None else replace(plan.sought, fails=fails)
    text = " ".join(shown(show_plan, replace(plan, sought=told), width=200).split())
    assert f"chance 97.1 % +- 0.1 for all plantings, played out {asked};" in text
    assert "if nothing lost is made again" in text
    plain = shown(show_plan, replace(plan, sought=None), width=200)
    assert "played out" not in plain
    assert TITLE not in plain
