"""What is left over on the screen: as planned, and after a planting by what was recorded."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from rich.cells import cell_len

from scheduler.plan import Leftover
from scheduler.present.leftover import left_now
from scheduler.present.overview import show_overview
from scheduler.present.terminal import show_plan
from scheduler.progress import BatchProgress, PlantingProgress, Progress
from tests.command import example, inside
from tests.present.screen import section, shown
from tests.present.under_way import backyard
from tests.sample import sample_plan

PLANTED = date(2027, 5, 15)
ONE_DAY = timedelta(days=1)


def planted(**batch: object) -> Progress:
    """All of the oak stack is planted, from bags of which something may be said."""
    plan = backyard()
    done = {task.id: task.on for task in plan.tasks if task.on <= PLANTED}
    begun = {b.id: BatchProgress(inoculated_on=b.inoculate_on) for b in plan.batches if b.inoculate_on}
    begun["SHI-Sa"] = replace(begun["SHI-Sa"], **batch)  # type: ignore[arg-type]
    return Progress(begun, {"Oak stack": PlantingProgress(planted={PLANTED: 20})}, done)


def oak(progress: Progress, day: date = PLANTED) -> Leftover | None:
    """What is left of shiitake on a day."""
    found = left_now([backyard()], progress, day)
    assert all(one.line == "SHI" for one in found)
    return found[0] if found else None


def test_the_plan_says_both_numbers() -> None:
    """Without losses and with them, the ways that suit and those that do not, and by when."""
    told = section(shown(show_plan, sample_plan(), width=120), "Left over")
    assert told.splitlines() == [
        "  nameko (house), sawdust spawn: 400 g if nothing is lost, 310 g on average: spares are there to be lost",
        "    plants       1 log of 13 cm x 1 m (log raft)",
        "    less suited  0.8 m2 of chip bed",
        "    plant by     Tue 25 May, the window ends (log raft); Thu 20 May, it keeps no longer (chip bed)",
        "    fell by      Sun 11 Apr, before the buds swell, where it takes logs",
        "    closed       1 unit of it, good until Sun 20 Jun",
        "    opened       on Sun 25 Apr, used by Tue 25 May",
    ]


def test_imperial_growers_read_pounds_and_square_feet() -> None:
    """As everywhere."""
    plan = sample_plan()
    told = section(
        shown(show_plan, replace(plan, season=replace(plan.season, units="imperial")), width=120), "Left over"
    )
    assert "14 oz if nothing is lost, 11 oz on average" in told
    assert "8.61 sq ft of chip bed" in told


def test_nothing_left_over_has_no_section() -> None:
    """Plans of earlier versions know nothing of it."""
    assert "Left over" not in shown(show_plan, replace(sample_plan(), leftover=()))


def test_too_little_for_a_piece_is_said() -> None:
    """A handful plants nothing."""
    plan = sample_plan()
    little = replace(plan.leftover[0], grams=60.0, would_plant=())
    told = section(shown(show_plan, replace(plan, leftover=(little,))), "Left over")
    assert "too little for any piece that is planted" in told


def test_nothing_is_left_before_anything_is_planted() -> None:
    """Spares may still be lost; and the day before the planting knows nothing of it."""
    assert left_now([backyard()], Progress(), PLANTED) == ()
    assert oak(planted(), PLANTED - ONE_DAY) is None


def test_after_the_planting_all_that_lives_is_left() -> None:
    """Three bags less what twenty logs take, as it was planned where nothing is lost."""
    found, wished = oak(planted()), backyard().leftover[0]
    assert found is not None
    assert found.grams == found.likely_g == pytest.approx(wished.grams, abs=1)
    assert found.since == PLANTED
    assert [way.amount for way in found.would_plant] == [way.amount for way in wished.would_plant]


def test_lost_bags_are_not_left() -> None:
    """With two of three bags lost, only the rest of the one that was opened is there, for a month."""
    found = oak(planted(lost={"SHI-Sa/1": PLANTED, "SHI-Sa/2": PLANTED}))
    assert found is not None
    assert found.closed == 0
    assert found.grams == pytest.approx(backyard().leftover[0].grams - 2 * 2300 * 0.88, abs=1)
    assert found.opened_until == PLANTED + timedelta(days=30)
    assert all(way.plant_by <= found.opened_until for way in found.would_plant)
    gone = planted(lost={f"SHI-Sa/{number}": PLANTED for number in (1, 2, 3)})
    assert oak(gone) is None


def test_used_bags_are_those_that_were_planted() -> None:
    """One bag recorded as used took more than the logs did: two closed ones are left, not one and a half."""
    found = oak(planted(used=frozenset({"SHI-Sa/1"})))
    assert found is not None
    assert found.closed == 2
    assert found.grams == pytest.approx(2 * 2300 * 0.88, abs=1)
    assert oak(planted(used=frozenset(f"SHI-Sa/{number}" for number in (1, 2, 3)))) is None


def test_what_was_never_begun_is_not_left() -> None:
    """Bags that nobody made are on no shelf."""
    progress = planted()
    never = replace(progress, batches={k: v for k, v in progress.batches.items() if k != "SHI-Sa"})
    assert oak(never) is None


def test_a_later_plan_without_the_planting_forgets_nothing() -> None:
    """After a replan the planting is no part of the plan any more; the plan before tells of its spawn."""
    plan = backyard()
    later = replace(
        plan,
        plantings=plan.plantings[1:],
        batches=tuple(b for b in plan.batches if b.line != "SHI"),
        leftover=plan.leftover[1:],
    )
    (found,) = left_now([later, plan], planted(), PLANTED + ONE_DAY)
    assert (found.line, found.plantings) == ("SHI", ("Oak stack",))
    assert found.grams == pytest.approx(plan.leftover[0].grams, abs=1)


def test_ways_end_and_then_the_row_does() -> None:
    """After the window there is no way left, and after its last good day nothing is told."""
    found = oak(planted(), date(2027, 6, 1))
    assert found is not None
    assert found.would_plant == ()
    assert oak(planted(), date(2027, 9, 1)) is None


def test_felling_is_over_when_the_buds_have_swollen() -> None:
    """Then logs come only from wood that is down."""
    rows = left_now([backyard()], planted(), PLANTED)
    told = section(shown(show_overview, backyard(), planted(), PLANTED), "Plantings")
    assert "planted" in told

    def show(console: object) -> None:
        show_overview(backyard(), planted(), PLANTED, console, over=rows)  # type: ignore[arg-type]

    assert "the buds have swollen: logs only from wood that is down" in shown(show)


@pytest.mark.parametrize("width", [40, 80, 100])
def test_no_line_is_too_long(width: int) -> None:
    """Every line fits its page."""
    told = section(shown(show_plan, backyard(), width=width), "Left over")
    assert told
    assert all(cell_len(line) <= width for line in told.splitlines())


def test_today_and_show_tell_of_it_by_the_entries(tmp_path: Path) -> None:
    """From the planting day on, through the real command line; not before, and not after all is used."""
    example("backyard", tmp_path)
    day = ("--today", "2027-05-15")
    assert inside("plan", "backyard", cwd=tmp_path).code == 0
    assert inside("record", "backyard", "done", "all", "--today", "2027-05-14", cwd=tmp_path).code == 0
    assert "Left over" not in inside("today", "backyard", "--today", "2027-05-14", cwd=tmp_path).out
    assert inside("record", "backyard", "done", "all", *day, cwd=tmp_path).code == 0
    for command in ("today", "show"):
        told = section(inside(command, "backyard", *day, cwd=tmp_path).out, "Left over")
        assert "10 lb 15 oz of SHI-Sa since Sat 15 May, by the entries" in told
        assert "wine cap" not in told
    assert inside("replan", "backyard", *day, cwd=tmp_path).code == 0
    told = section(inside("today", "backyard", *day, cwd=tmp_path).out, "Left over")
    assert "10 lb 15 oz of SHI-Sa" in told
