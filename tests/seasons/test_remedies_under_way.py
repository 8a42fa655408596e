"""Remedies of a season under way: each is planned onward, and once it is taken the season goes on by it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.plan import Plan, Remedy
from scheduler.service import kept, planning, replanning, seasons
from scheduler.service.autumn_edits import HALVES
from tests.grower import OAK, TOTEMS, edited, season
from tests.seasons.played import AT, CLOCK, Grower
from tests.seasons.test_refused import SIX_TOTEMS, culture, room, within

WEEKENDS = "hours = { sat = 4, sun = 4 }"
OYSTER = (culture("oyster", "2026-11-20"),)


def short_at_home(folder: Path) -> Grower:
    """Spawn for totems in the middle of January, when nobody is home for a load of bags any more."""
    begun = season(TOTEMS, people=WEEKENDS, stock=OYSTER)
    return _changed(
        _begun(begun.text, folder), date(2027, 1, 20), WEEKENDS, f"{WEEKENDS}\nhome = {{ sat = 4, sun = 4 }}"
    )


def short_of_hours(folder: Path) -> Grower:
    """A stack of oak on 1 March, when half of the hours are gone."""
    begun = season(edited(OAK, at_least="20"), people="hours = { sat = 6 }")
    return _changed(_begun(begun.text, folder), date(2027, 3, 1), "sat = 6", "sat = 3")


def short_of_loads(folder: Path) -> Grower:
    """Totems at the beginning of December, when the winter turns out to be spent elsewhere."""
    begun = season(
        within(SIX_TOTEMS, "2027-04-03/2027-05-10"),
        people="hours = { sat = 16 }\nhome = { sat = 24 }",
        lab=room("shelf", 500) + room("fridge", 500),
        stock=OYSTER,
        buying='lead = { grain = "0 d", supplies = "0 d" }',
    )
    away = 'home = { sat = 24 }\naway = ["2027-01-03/2027-04-02"]'
    return _changed(_begun(begun.text, folder), date(2026, 12, 1), "home = { sat = 24 }", away)


def _begun(text: str, folder: Path) -> Path:
    """A season whose plan is kept in its book."""
    path = folder / "season.toml"
    path.write_text(text, "utf-8")
    read = seasons.read(path, CLOCK, None)
    kept.keep(read[0], planning.make_season(*read), AT)
    return path


def _changed(path: Path, on: date, was: str, now: str) -> Grower:
    """A grower who has worked until a day on which the season file says something else."""
    grower = Grower(path)
    grower.today = grower.state.plan.season.today
    while grower.today < on:
        grower.work()
        grower.today += timedelta(days=1)
    path.write_text(path.read_text("utf-8").replace(was, now), "utf-8")
    return grower


def taken(grower: Grower, kind: str) -> tuple[Remedy, Plan]:
    """The first remedy of a kind, once it is taken, and the plan by it."""
    asked = replanning.Asked(CLOCK, grower.today, undone=True)
    with pytest.raises(replanning.Impossible) as caught:
        replanning.replan(grower.path, asked, kept_at=AT)
    kinds = [remedy.kind for remedy in caught.value.plan.remedies]
    remedy, found = replanning.take(grower.path, kinds.index(kind) + 1, asked, kept_at=AT)
    return remedy, found.plan


def goes_on(grower: Grower) -> Plan:
    """The plan a week later, all of which was done; nothing has moved."""
    for _ in range(7):
        grower.work()
        grower.today += timedelta(days=1)
    found = grower.plan_onward()
    assert not [change for change in found.plan.changes if change.kind == "moved"]
    return found.plan


@pytest.mark.parametrize(
    ("begin", "kind"),
    [
        (short_at_home, "another treatment"),
        (short_at_home, "plant grain"),
        (short_of_hours, "a longer day"),
        (short_of_hours, HALVES),
        (short_of_loads, "another load"),
        (short_of_loads, "another cooker"),
    ],
)
def test_a_remedy_that_is_taken_is_gone_by(
    begin: Callable[[Path], Grower], kind: str, tmp_path: Path
) -> None:
    """It is in the book, the checker has passed the plan, and a week later the season still goes by it."""
    grower = begin(tmp_path)
    remedy, plan = taken(grower, kind)
    assert [one.entry.changes for one in grower.entries if one.entry.kind == "remedy"] == [remedy.changes]
    assert {planting.name for planting in plan.plantings} >= set(remedy.plantings)
    assert SEEN[kind](plan)
    assert SEEN[kind](goes_on(grower))


SEEN: dict[str, Callable[[Plan], bool]] = {
    "another treatment": lambda plan: (
        all(load.class_ != "bags" for load in plan.loads)
        and any(task.kind == "pasteurise" for task in plan.tasks)
    ),
    "plant grain": lambda plan: not any(batch.stage in ("pellet", "sawdust") for batch in plan.batches),
    "a longer day": lambda plan: len(plan.plantings) == 1,
    HALVES: lambda plan: (
        [(one.name, one.plant_on[0].month) for one in plan.plantings]
        == [
            ("Oak stack", 4),
            ("Oak stack, autumn", 10),
        ]
    ),
    "another load": lambda plan: {load.cooker for load in plan.loads} == {"pressure cooker 1"},
    "another cooker": lambda plan: "pressure cooker 2" in {load.cooker for load in plan.loads},
}
"""How a plan shows that it goes by a remedy."""
