"""A course changed on paper is the course that was changed: the same seasons, one line played at a time."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from scheduler.outlook import changed
from scheduler.outlook.course import Course
from scheduler.outlook.on_paper import Move, OnPaper
from scheduler.outlook.simulate import simulate
from tests.outlook.made_up import bags, course, example, planting, spawn
from tests.outlook.test_changed import SEASONS
from tests.outlook.test_reference import rough

GRAIN, BAGS = "grain G1, Oak stack", "sawdust spawn, Oak stack"


def rough_backyard() -> Course:
    """The backyard in a rough lab: every change shows."""
    return rough(example("backyard"))


@pytest.mark.parametrize(
    ("whole", "move", "after"),
    [
        (rough_backyard, Move("SHI", GRAIN, 1), lambda one: changed.with_units(one, "SHI:SHI-G1a", 1)),
        (rough_backyard, Move("SHI", BAGS, -1), lambda one: changed.with_units(one, "SHI:SHI-Sa", -1)),
        (lambda: example("market"), Move("LIO", "", 7), lambda one: changed.with_margin(one, "LIO", 7)),
    ],
    ids=["a unit more", "a unit fewer", "a week of margin"],
)
def test_gains_are_those_of_the_whole_course_played_again(
    whole: Callable[[], Course], move: Move, after: Callable[[Course], Course]
) -> None:
    """Chance, gain and the standard error of the differences; each of these moves makes one."""
    paper, before = OnPaper(whole(), SEASONS, 1), simulate(whole(), SEASONS, 1).all_made()
    assert paper.chance()[0] == pytest.approx(before.mean(), abs=1e-5)
    more = simulate(after(whole()), SEASONS, 1).all_made().astype(float) - before
    gain, stderr = paper.gain(move)
    assert gain == pytest.approx(more.mean(), abs=1e-5)
    assert stderr == pytest.approx(more.std() / np.sqrt(SEASONS), abs=1e-5)
    assert gain != 0


def test_moves_add_up() -> None:
    """The chance after a move is the chance before it and its gain; there and back is where it began."""
    paper = OnPaper(rough_backyard(), SEASONS, 1)
    first = paper.chance()
    for move in (Move("SHI", GRAIN, 1), Move("WIN", "", 7), Move("SHI", GRAIN, 1), Move("SHI", BAGS, -1)):
        before, gain = paper.chance()[0], paper.gain(move)[0]
        paper.take(move)
        assert paper.chance()[0] == pytest.approx(before + gain, abs=2e-5)
    for move in (Move("SHI", BAGS, 1), Move("SHI", GRAIN, -2), Move("WIN", "", -7)):
        paper.take(move)
    assert paper.chance() == first


def test_moves_of_any_lines_gain_together_what_they_gain_one_after_the_other() -> None:
    """The same thing twice among them; asking changes nothing."""
    paper = OnPaper(rough_backyard(), SEASONS, 1)
    moves, before = (Move("SHI", GRAIN, 1), Move("SHI", GRAIN, 1), Move("WIN", "", 7)), paper.chance()
    gain = paper.gain(*moves)[0]
    assert paper.chance() == before
    for move in moves:
        paper.take(move)
    assert paper.chance()[0] == pytest.approx(before[0] + gain, abs=2e-5)


def test_a_copy_is_changed_by_itself() -> None:
    """What is done to one is not done to the other."""
    paper = OnPaper(rough_backyard(), SEASONS, 1)
    before, other = paper.chance(), paper.copy()
    other.take(Move("SHI", BAGS, -1))
    assert other.chance()[0] < before[0]
    assert paper.chance() == before


def test_only_what_is_still_to_be_made_can_change() -> None:
    """Neither tests nor cultures in hand nor what grows already."""
    paper = OnPaper(example("backyard"), 100, 1)
    assert list(paper.lines()) == ["SHI", "WIN"]
    assert {stage.split(",")[0] for _, stage in paper.stages()} == {
        "grain G1",
        "sawdust spawn",
        "pellet spawn",
    }
    growing = course((bags(begun=True),), (spawn(),), (planting(),))
    assert list(OnPaper(growing, 100, 1).stages()) == []
