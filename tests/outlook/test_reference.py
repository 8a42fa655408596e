"""The simulation against the plain one: seasons as they are, in a rough lab, begun late, and under way."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from scheduler.lines.spares import Odds
from scheduler.outlook.changed import begun_from, starts
from scheduler.outlook.course import NEVER, Course
from scheduler.outlook.simulate import simulate
from tests.command import PLANNED
from tests.outlook.made_up import bags, course, example, under_way
from tests.outlook.reference import play

PLAIN = 1200
"""Seasons of the plain simulation; the other plays ten times as many."""
UNDER_WAY = [
    ("backyard", "2027-02-08"),
    ("backyard", "2027-02-15"),
    ("maritime", "2027-02-25"),
    ("market", "2027-03-10"),
]
"""Examples that went as planned, and the days on which they were replanned."""


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
    """Of every example from its beginning."""
    assert_agreed(change(example(name)))


@pytest.mark.parametrize("change", [as_planned, rough], ids=lambda change: change.__name__)
@pytest.mark.parametrize(("name", "day"), UNDER_WAY)
def test_both_play_what_has_begun_alike(name: str, day: str, change: Callable[[Course], Course]) -> None:
    """Of seasons that were replanned: batches grow, grain has fed all its bags, and what is left may be redone."""
    course = under_way(name, date.fromisoformat(day))
    assert any(batch.begun for batch in course.batches)
    assert_agreed(change(course))


def test_what_is_not_ready_today_was_not_ready_before() -> None:
    """Bags that should have been ready on day 20 and are not on day 60 keep from day 60 on, in both."""
    late = bags(begun=True, planned=0, keeps=10, not_ready_before=60, starts=False)
    for batch, made in ((late, True), (replace(late, not_ready_before=0), False)):
        one = replace(course((batch,)), today=60)
        assert simulate(one, 100, 1).all_made().all() == made
        assert simulate(one, 100, 1).all_made().any() == made
        assert (None not in play(one, 1, 1)[0].values()) == made


def assert_agreed(course: Course) -> None:
    """The share of seasons in which each planting is made, and made on its planned day, within three errors."""
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
