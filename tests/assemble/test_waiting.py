"""How long tasks can wait, on seasons small enough to be followed by hand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.assemble.frame import Frame
from scheduler.assemble.plan import assemble
from scheduler.lines.sizing import size
from scheduler.plan import Batch, Plan, Task
from scheduler.problem.calendar import calendar
from scheduler.problem.compile import compile_season
from scheduler.problem.shapes import Days, Point, Problem, Room, Stay
from scheduler.problem.usage import Usage
from scheduler.season.season import Season
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, solve
from tests.grower import BED, CULTURE, OAK, catalogue, edited, season

EIGHT_LOGS = edited(OAK, logs='{ count = 8, diameter = "13 cm", length = "1 m" }')
LATE_CULTURE = edited(CULTURE, received="2027-01-31")
"""It comes so late that it is fresh whenever grain is made from it."""
FELLING = ("fell", "buck", "haul")
ONE_DAY = timedelta(days=1)


class Written:
    """A season planned and written out, its problem changed on the way if need be.

    The batches in `early` are made two weeks earlier than found, so that each has time to wait.
    """

    def __init__(
        self, of: Season, *early: str, change: Callable[[Problem], Problem] = lambda problem: problem
    ) -> None:
        sizing = size(of, catalogue(), "wished", {})
        problem = compile_season(of, catalogue(), sizing)
        outcome = solve(problem, budget=Budget(0.2))
        assert isinstance(outcome, Found)
        self.plan: Plan
        self.plan, _ = assemble(
            of,
            catalogue(),
            sizing,
            change(problem),
            two_weeks_earlier(problem, outcome.days, early),
            status="planned",
            tiers=(),
            inputs_sha="",
            made_with="",
        )

    def batch(self, stage: str, *, used: bool = True) -> Batch:
        """The first batch of a stage; a plate test is a plate that nothing is made from."""
        return next(b for b in self.plan.batches if b.stage == stage and bool(b.use_on) == used)

    def task(self, kind: str, owner: str, part: str = "") -> Task:
        """The task of a kind, of one batch or planting."""
        name = f"{owner}:{kind}" + (f":{part}" if part else "")
        return next(task for task in self.plan.tasks if task.id == name)


def two_weeks_earlier(problem: Problem, days: Days, batches: tuple[str, ...]) -> Days:
    """The same days with some batches cooked and inoculated two weeks earlier."""
    pieces = {
        name: {day - 14 * (name.partition(":")[0] in batches): count for day, count in on.items()}
        for name, on in days.pieces.items()
    }
    moved = Days(pieces, days.cooker)
    return replace(moved, loads=Usage(problem, moved).all_loads())


def shelf_filled(amount: Callable[[Room], int]) -> Callable[[Problem], Problem]:
    """Puts something else on the shelf while the grain waits for its use."""

    def change(problem: Problem) -> Problem:
        grain, spawn = "SHI-G1a:inoculate", "SHI-Sa:inoculate"
        rooms = tuple(
            replace(room, stays=(*room.stays, Stay(Point(grain, "ready"), Point(spawn), amount(room))))
            if room.name == "shelf"
            else room
            for room in problem.rooms
        )
        return replace(problem, rooms=rooms)

    return change


def grain_on(room: Room) -> int:
    """What the grain takes of a shelf."""
    return next(stay.amount for stay in room.stays if stay.start == Point("SHI-G1a:inoculate"))


def test_a_task_waits_for_the_last_day_on_which_somebody_is_there() -> None:
    """Days away are passed over; none is left where all of them are, or where the day has come."""
    of = season(EIGHT_LOGS, people='away = ["2027-01-08/2027-01-10"]')
    frame = Frame(
        of, catalogue(), size(of, catalogue(), "bare", {}), Problem(of.today, 0, ()), calendar(of), Days({})
    )
    monday, friday = date(2027, 1, 4), date(2027, 1, 8)
    assert frame.waits(monday, friday) == frame.waits(monday, date(2027, 1, 10)) == date(2027, 1, 7)
    assert frame.waits(monday, date(2027, 1, 11)) == date(2027, 1, 11)
    assert frame.waits(date(2027, 1, 7), friday) is None
    assert frame.waits(monday, monday) is None


def test_what_is_done_of_a_felling_on_one_day_waits_together() -> None:
    """Felling, bucking and hauling are one work, and each of its days can be put off by itself."""
    plan = Written(season(stock=(CULTURE,), people="hours = { wed = 2, sat = 3, sun = 3 }")).plan
    days = plan.plantings[0].fell_on
    assert len(days) > 1
    found = {
        day: {task.slip_to for task in plan.tasks if task.on == day and task.kind in FELLING} for day in days
    }
    assert all(len(waits) == 1 for waits in found.values())
    later = {day: wait for day, waits in found.items() for wait in waits if wait}
    assert later
    # Three weeks from the first to the last felling day; whichever part moves, the second day at latest is the first.
    assert all(day < wait <= days[1] + timedelta(days=21) for day, wait in later.items())


def test_each_days_part_of_a_bed_can_wait() -> None:
    """Chips that are spread on several days, and the planting, are put off a day's part at a time."""
    bed = edited(BED, area='"20 m2"', chips='"wetted in place"', spawn='"buy"')
    plan = Written(season(bed, people="hours = { fri = 3, sat = 3, sun = 3, mon = 3 }")).plan
    planted = [task for task in plan.tasks if task.kind == "plant"]
    chips = [task for task in plan.tasks if task.kind == "prepare-chips"]
    assert len(chips) > 1
    assert len(planted) > 1
    # Wet for a day at least before the first is planted, and from first to last planted within two weeks.
    assert all(task.slip_to is None or task.slip_to < planted[0].on for task in chips)
    assert any(task.slip_to for task in chips)
    assert any(task.slip_to for task in planted[1:])
    assert all((task.slip_to or task.on) <= planted[0].on + timedelta(days=14) for task in planted[1:])


def test_dry_logs_are_weighed_and_soaked_the_evening_before_at_the_latest() -> None:
    """Both can wait until then, but not where nobody is there that evening."""
    dry = edited(
        EIGHT_LOGS, window='"2027-05-15/2027-05-15"', best='"2027-05-15/2027-05-15"', felled="2026-10-01"
    )
    for away, last in (("", date(2027, 5, 14)), ('\naway = ["2027-05-14/2027-05-14"]', None)):
        found = Written(season(dry, stock=(CULTURE,), people="hours = { wed = 2, sat = 6, sun = 4 }" + away))
        for kind in ("weigh", "soak-logs"):
            task = found.task(kind, "Oak stack")
            assert (task.on, task.slip_to) == (date(2027, 5, 13), last)


def test_what_is_done_the_evening_before_cannot_wait() -> None:
    """Grain is soaked and spawn taken out of the fridge the evening before, and no later."""
    tasks = Written(season(EIGHT_LOGS, stock=(CULTURE,))).plan.tasks
    before = [task for task in tasks if task.kind in ("soak-grain", "wet-pellets", "take-out")]
    assert len(before) == 3
    assert [task.slip_to for task in before] == [None, None, None]


def test_looks_and_shakes_wait_within_their_bands() -> None:
    """Five and ten days after inoculation at the latest; shaken four days before use, while it still runs."""
    found = Written(season(EIGHT_LOGS, stock=(CULTURE,)))
    grain = found.batch("grain")
    assert grain.inoculate_on is not None
    assert found.task("check", grain.id, "first").slip_to == grain.inoculate_on + timedelta(days=5)
    assert found.task("check", grain.id, "second").slip_to == grain.inoculate_on + timedelta(days=10)
    last = min(grain.use_on[0] - timedelta(days=4), grain.ready_on - ONE_DAY)
    assert found.task("shake", grain.id).slip_to == last


@pytest.mark.parametrize(("left", "waits"), [(0, True), (1, False)])
def test_grain_waits_on_the_shelf_while_that_has_room(left: int, waits: bool) -> None:
    """With one part too little it goes to the fridge at once, and so is looked at at once; else it stays fresh."""
    of = season(EIGHT_LOGS, stock=(CULTURE,))
    filled = shelf_filled(lambda room: room.capacity - grain_on(room) + left)
    found = Written(of, "SHI-G1a", change=filled)
    grain = found.batch("grain")
    move, look = found.task("move-to-fridge", grain.id), found.task("check", grain.id, "release")
    fresh = round(catalogue().lab.keeping["grain"].shelf_fresh.likely)
    last = min(grain.ready_on + timedelta(days=fresh), grain.use_on[0])
    assert move.slip_to == look.slip_to == (last if waits else None)
    assert found.task("keep-back", grain.id).slip_to == grain.use_on[0] - ONE_DAY


def test_finished_spawn_lies_in_the_fridge_before_it_is_taken_out() -> None:
    """However much room the shelf has, and however long the spawn would stay fresh on it."""
    found = Written(season(EIGHT_LOGS, stock=(CULTURE,)), "SHI-G1a", "SHI-Sa")
    spawn = found.batch("sawdust")
    fresh = round(catalogue().lab.keeping["sawdust"].shelf_fresh.likely)
    last = found.task("move-to-fridge", spawn.id).slip_to
    assert last == min(spawn.ready_on + timedelta(days=fresh), spawn.use_on[0] - 2 * ONE_DAY)


def test_a_culture_is_kept_back_when_it_is_opened() -> None:
    """It waits as long as what is first made from it, but not past the next time it is opened."""
    tested = Written(season(EIGHT_LOGS, stock=(LATE_CULTURE,)), "SHI-G1a")
    culture, grain = tested.batch("liquid culture"), tested.batch("grain")
    kept = tested.task("keep-back", culture.id)
    assert kept.slip_to == tested.task("inoculate", grain.id).slip_to is not None
    untested = Written(season(EIGHT_LOGS, stock=(edited(LATE_CULTURE, tested="false"),)), "SHI-Aa")
    culture, plates = untested.batch("liquid culture"), untested.batch("plate", used=False)
    first = untested.task("test-culture", plates.id).slip_to
    assert first is not None
    assert untested.task("keep-back", culture.id).slip_to == min(first, culture.use_on[1])


def test_a_test_is_read_before_anything_is_made_from_its_culture() -> None:
    """The plates can wait to be read until the evening before the grain is inoculated."""
    found = Written(season(EIGHT_LOGS, stock=(edited(LATE_CULTURE, tested="false"),)), "SHI-Aa")
    plates, culture = found.batch("plate", used=False), found.batch("liquid culture")
    read = found.task("check", plates.id, "release")
    assert read.on < culture.use_on[1] - ONE_DAY
    assert read.slip_to == culture.use_on[1] - ONE_DAY
