"""The simulation against the plain one, on five seasons: as they are, in a rough lab, and begun late."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from scheduler.lines.spares import Odds
from scheduler.outlook.changed import begun_from, starts
from scheduler.outlook.course import NEVER, Course
from scheduler.outlook.simulate import simulate
from tests.command import PLANNED
from tests.outlook.made_up import example
from tests.outlook.reference import play

PLAIN = 1200
"""Seasons of the plain simulation; the other plays ten times as many."""


def as_planned(course: Course) -> Course:
    """The season as it is."""
    return course


def rough(course: Course) -> Course:
    """Losses of every kind so frequent that redo, late children and shortage are the rule."""
    odds = Odds(7.0, 3.0, 0.12, 0.12)
    return replace(course, batches=tuple(replace(b, odds=odds if b.odds else None) for b in course.batches))


def late(course: Course) -> Course:
    """Begun so late that about half of the seasons come to nothing."""
    days = starts(course)
    return next(
        (later for day in days if simulate(later := begun_from(course, day), 400, 1).all_made().mean() < 0.6),
        course,
    )


def rough_and_late(course: Course) -> Course:
    """Both, a little."""
    later = starts(course)
    return begun_from(rough(course), later[len(later) // 8])


@pytest.mark.parametrize(
    "change", [as_planned, rough, late, rough_and_late], ids=lambda change: change.__name__
)
@pytest.mark.parametrize("name", PLANNED)
def test_both_plant_as_often_and_on_the_same_days(name: str, change: Callable[[Course], Course]) -> None:
    """The share of seasons in which each planting is made, and made on its planned day, within three errors."""
    course = change(example(name))
    plain = play(course, PLAIN, 5)
    played = simulate(course, 10 * PLAIN, 9)
    found = {}
    for planting in course.plantings:
        fast, slow = played.planted_on[planting.name], [season[planting.name] for season in plain]
        found[planting.name, "made"] = (
            (fast < NEVER).mean(),
            sum(day is not None for day in slow) / PLAIN,
        )
        found[planting.name, "as planned"] = (
            (fast == planting.planned).mean(),
            sum(day == planting.planned for day in slow) / PLAIN,
        )
    together = sum(None not in season.values() for season in plain) / PLAIN
    found["all", "made"] = (played.all_made().mean(), together)
    far = {}
    for what, (fast, slow) in found.items():
        middle = max(min((10 * fast + slow) / 11, 1 - 1e-3), 1e-3)
        error = math.sqrt(middle * (1 - middle) * (1 / PLAIN + 1 / (10 * PLAIN)))
        if abs(fast - slow) > 3 * error:
            far[what] = (float(fast), slow, (fast - slow) / error)
    assert far == {}
