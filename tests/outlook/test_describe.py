"""What a plan becomes when it is described: its units, days, loads and ways to make things again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.outlook.course import NEVER, Again, Course
from scheduler.outlook.findings import look_ahead
from scheduler.service import planning, seasons
from scheduler.service.outlook import course_of
from tests.command import EXAMPLES, PLANNED
from tests.outlook.made_up import example

CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")


def on(course: Course, day: str) -> int:
    """The day number of a date."""
    return (date.fromisoformat(day) - course.origin).days


def test_the_backyard_is_what_its_plan_says() -> None:
    """Units, looks, parents and planned days; the last days and waits of a redo are those of the plan."""
    course = example("backyard")
    grain, bags = (next(b for b in course.batches if b.id == name) for name in ("SHI-G1a", "SHI-Sa"))
    assert (grain.planned, grain.units, grain.looks) == (on(course, "2027-01-24"), 5, (4, 8))
    assert grain.starts
    assert not bags.starts
    assert grain.after == ("SHI:SHI-Aa",)
    assert len(set(grain.loads)) == len(set(bags.loads)) == 1
    assert set(grain.loads) != set(bags.loads)
    stages = {stage.key: stage for stage in course.stages}
    assert (stages["SHI:SHI-Sa"].parent, stages["SHI:SHI-Sa"].by_jar) == ("SHI:SHI-G1a", True)
    assert (stages["SHI:SHI-G1a"].need, stages["SHI:SHI-Sa"].need) == (2, 1)
    # Ordered on the day a loss is noticed; grain comes in a week and is soaked a day before the cook.
    assert stages["SHI:SHI-G1a"].again == Again(by=on(course, "2027-03-12"), wait=8, units=5)
    assert stages["SHI:SHI-Sa"].again is not None
    assert stages["SHI:SHI-Sa"].again.units == 2  # as many as the jar that was kept back feeds
    oak = next(planting for planting in course.plantings if planting.name == "Oak stack")
    assert course.origin + timedelta(days=oak.planned) == date(2027, 5, 15)
    assert oak.need_g == pytest.approx(1119.7)


def test_a_planting_waits_for_the_days_of_its_window() -> None:
    """Only weekends have hours, the window closes on the last of May, and nothing comes before the planned day."""
    course = example("backyard")
    oak = next(planting for planting in course.plantings if planting.name == "Oak stack")
    days = sorted({course.origin + timedelta(days=day) for day in oak.open if day < NEVER})
    assert [day.isoformat() for day in days] == [
        "2027-05-15",
        "2027-05-16",
        "2027-05-22",
        "2027-05-23",
        "2027-05-29",
    ]


@pytest.mark.parametrize("name", PLANNED)
def test_every_day_that_is_open_is_one_with_hours(name: str) -> None:
    """Nothing is inoculated on days away or without hours, and what is planned is open."""
    season, _ = seasons.read(EXAMPLES / name, CLOCK, None)
    course = example(name)
    away = {day for first, last in season.people.away for day in (first, last)}
    for batch in course.batches:
        if batch.openings is None:
            continue
        assert batch.openings.begin[batch.planned] == batch.planned
        for table in (batch.openings.begin, batch.openings.anew):
            assert all(opened >= day for day, opened in enumerate(table))
            assert sorted(table) == list(table)
            for number in {number for number in table if number < NEVER}:
                day = course.origin + timedelta(days=number)
                assert season.people.minutes.get(day.strftime("%a").lower())
                assert day not in away


@pytest.mark.parametrize("name", PLANNED)
def test_what_is_needed_feeds_all_that_is_made_from_it(name: str) -> None:
    """The jars a stage needs are enough for every bag that is planned, as it was sized."""
    course = example(name)
    for stage in course.stages:
        children = sum(
            batch.units
            for other in course.stages
            if other.parent == stage.key
            for batch in course.of(other.key)
        )
        for batch in course.of(stage.key):
            if children:
                assert stage.need * batch.feeds >= children - 1e-6


def test_the_outlook_is_the_same_for_the_same_season_and_seed() -> None:
    """Described and played anew, nothing of it changes; another seed changes it."""
    read = seasons.read(EXAMPLES / "cold-room", CLOCK, None)
    made = planning.make_season(*read)
    courses = [course_of(*read, made.plan, made.basis) for _ in range(2)]
    assert courses[0] == courses[1] == example("cold-room")
    found = [look_ahead(course, made.plan, seasons=500, seed=1) for course in courses]
    assert found[0] == found[1]
    assert replace(look_ahead(courses[0], made.plan, seasons=500, seed=2), seed=1) != found[0]


def test_the_reasons_add_up_to_what_fails() -> None:
    """Every season in which a planting comes to nothing has one reason; a season needs all of its plantings."""
    read = seasons.read(EXAMPLES / "backyard", CLOCK, None)
    made = planning.make_season(*read)
    found = look_ahead(course_of(*read, made.plan, made.basis), made.plan, seasons=5000, seed=1)
    for planting in found.plantings:
        assert sum(hang.share for hang in planting.hangs_on) == pytest.approx(1 - planting.chance, abs=1e-6)
        assert found.chance <= planting.chance
        assert planting.left_over is not None
        assert 0 <= planting.left_over.low_g <= planting.left_over.middle_g <= planting.left_over.high_g
        starts = [last.start for last in planting.last_starts]
        assert [last.chance for last in planting.last_starts] == [0.95, 0.9, 0.8, 0.5]
        assert starts == sorted(starts)
    assert found.starts[0].start == made.plan.outlook.recommended_start  # type: ignore[union-attr]
    assert found.starts[-1].chance == 0
    assert [point.chance for point in found.starts] == sorted((p.chance for p in found.starts), reverse=True)
