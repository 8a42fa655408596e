"""A plan under way seen as if nothing of it had been begun, so that it tells how late that could be again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

from scheduler.assemble.frame import Frame
from scheduler.assemble.not_begun import as_if_not_begun
from scheduler.lines.onward import onward
from scheduler.lines.remaining import remaining
from scheduler.plan import Batch, Plan
from scheduler.problem import bench
from scheduler.problem.calendar import calendar
from scheduler.problem.compile import compile_season
from scheduler.problem.draft import DONE
from scheduler.problem.shapes import Days
from scheduler.progress import NOTHING, BatchProgress, Progress
from scheduler.season.season import Season
from scheduler.service.attempt import Made, make
from scheduler.service.onwards import Onwards, Replanned
from scheduler.solve.params import Budget
from scheduler.solve.replan import Kept, replan
from tests.grower import CULTURE, OAK, catalogue, edited, season

DAY = timedelta(days=1)
ROOMY = edited(
    OAK, window='"2027-04-10/2027-08-30"', logs='{ count = 20, diameter = "13 cm", length = "1 m" }'
)
"""A window that leaves months for a redo."""


@cache
def planned() -> tuple[Season, Made]:
    """A season and its plan, before anything happened."""
    of = season(ROOMY, stock=(CULTURE,))
    made = make(of, catalogue(), budget=Budget(0.3))
    assert isinstance(made, Made)
    return of, made


def on(work: str) -> date:
    """The day of a work in that plan."""
    return min(planned()[1].basis.days[work])


def as_planned(until: date) -> Progress:
    """Everything on the bench was done on its day, up to a day."""
    batches: dict[str, BatchProgress] = {}
    for batch in planned()[1].plan.batches:
        if batch.inoculate_on and batch.cook_on and batch.cook_on <= until:
            begun = batch.inoculate_on if batch.inoculate_on <= until else None
            batches[batch.id] = BatchProgress(cooked_on=batch.cook_on, inoculated_on=begun)
    done = {task.id: task.on for task in planned()[1].plan.tasks if task.on <= until}
    return Progress(batches=batches, done=done)


def under_way(today: date, progress: Progress) -> Plan:
    """The plan of what is left on a day."""
    of, made = planned()
    found = Onwards(made.basis, progress, (1,)).make(replace(of, today=today), catalogue())
    assert isinstance(found, Replanned)
    return found.made.plan


def frame(today: date, progress: Progress) -> Frame:
    """The frame from which that plan is written."""
    of, made = planned()
    whole = replace(of, today=today)
    left = remaining(whole, catalogue(), progress)
    sizing = onward(left, whole, catalogue(), made.basis, progress, level="wished").sizing
    problem = compile_season(left, catalogue(), sizing)
    count = calendar(left, sizing.since).count
    promised = {
        name: {count.number(day): n for day, n in days.items()} for name, days in made.basis.days.items()
    }
    found = replan(
        problem, promised, made.basis.cooker, today=count.number(today), done=DONE, budget=Budget(0.3)
    )
    assert isinstance(found, Kept)
    return Frame(left, catalogue(), sizing, problem, calendar(left, sizing.since), found.found.days, progress)


def batch(plan: Plan, stage: str) -> Batch:
    """The first batch of a stage."""
    return next(one for one in plan.batches if one.stage == stage)


def test_a_plan_of_which_nothing_is_begun_is_itself() -> None:
    """There is nothing to look at in another way."""
    of, made = planned()
    sizing = made.basis.sizing
    problem = compile_season(of, catalogue(), sizing)
    count = calendar(of, sizing.since).count
    days = {name: {count.number(day): n for day, n in lies.items()} for name, lies in made.basis.days.items()}
    one = Frame(
        of, catalogue(), sizing, problem, calendar(of, sizing.since), Days(days, made.basis.cooker), NOTHING
    )
    assert as_if_not_begun(one) is one


def test_what_grows_is_work_of_its_own_on_its_days() -> None:
    """Grain that was cooked and inoculated: both are works again, on the days on which they were done."""
    today = on("SHI-G1a:inoculate") + DAY
    before = frame(today, as_planned(today))
    grain = next(b for b in before.batches.values() if b.stage == "grain")
    assert not grain.is_to_make
    again = as_if_not_begun(before)
    assert again.batches[grain.id].is_to_make
    assert again.first(bench.inoculate(grain)) == on("SHI-G1a:inoculate")
    assert again.first(bench.cook(grain)) == on("SHI-G1a:cook")
    assert bench.cook(grain) not in before.days.pieces
    assert bench.cook(grain) in again.days.cooker
    assert again.days.loads


def test_all_else_stays_where_it_is() -> None:
    """Days of every other work are untouched, and so is the frame that was given."""
    today = on("SHI-G1a:inoculate") + DAY
    before = frame(today, as_planned(today))
    kept = dict(before.days.pieces)
    again = as_if_not_begun(before)
    assert before.days.pieces == kept
    for name, days in again.days.pieces.items():
        if name in kept:
            assert days == kept[name]
    assert {b.id for b in again.batches.values()} == {b.id for b in before.batches.values()}


def test_the_redo_by_of_what_grows_is_that_of_the_plan() -> None:
    """All goes as planned: once the grain grows it can still be made again until the day that was promised."""
    promised = batch(planned()[1].plan, "grain").redo_by
    assert promised is not None
    today = on("SHI-G1a:inoculate") + DAY
    assert today < promised
    assert batch(under_way(today, as_planned(today)), "grain").redo_by == promised


def test_the_redo_by_of_what_is_only_cooked_is_told_too() -> None:
    """Cooked and still sealed: as late as before."""
    promised = batch(planned()[1].plan, "grain").redo_by
    today = on("SHI-G1a:cook")
    assert today < on("SHI-G1a:inoculate")
    assert batch(under_way(today, as_planned(today)), "grain").redo_by == promised


def test_no_redo_by_lies_in_the_past() -> None:
    """Whatever day has come: a last day is one that is still to come, or there is none."""
    first = on("SHI-G1a:inoculate")
    seen = set()
    for later in (1, 20, 45, 70):
        today = first + later * DAY
        plan = under_way(today, as_planned(today))
        days = [one.redo_by for one in plan.batches if one.redo_by is not None]
        assert all(day >= today for day in days)
        seen |= {one.stage for one in plan.batches if one.redo_by is not None}
    assert {"grain", "sawdust"} <= seen
