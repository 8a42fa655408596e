"""What a new plan changes of the one before it: every open task once, each with its reason."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from scheduler.plan import Change, Plan, Task, Unit
from scheduler.progress import NOTHING, BatchProgress, Progress
from scheduler.service.differences import changes
from tests.present.under_way import backyard

TODAY = date(2027, 1, 1)
WEEK = timedelta(days=7)


def plan() -> Plan:
    """The backyard's plan."""
    return backyard()


def task(name: str) -> Task:
    """One of its tasks."""
    return next(one for one in plan().tasks if one.id == name)


def with_tasks(*tasks: Task, without: Iterable[str] = (), of: Plan | None = None) -> Plan:
    """The plan with tasks in another place or added, and without others."""
    new = {one.id: one for one in (of or plan()).tasks if one.id not in set(without)}
    new |= {one.id: one for one in tasks}
    return replace(of or plan(), tasks=tuple(new.values()))


def without_batch(name: str) -> Plan:
    """The plan without a batch and its tasks."""
    return replace(
        plan(),
        batches=tuple(one for one in plan().batches if one.id != name),
        tasks=tuple(one for one in plan().tasks if one.batch != name),
    )


def told(
    after: Plan, progress: Progress = NOTHING, today: date = TODAY, before: Plan | None = None
) -> list[Change]:
    """The changes, those that are none left out."""
    found = changes(before or plan(), after, progress, today)
    return [one for one in found if one.kind != "kept"]


def test_the_same_plan_changes_nothing() -> None:
    """Every task but care, which follows its planting, is kept, on its day, without a reason."""
    found = list(changes(plan(), plan(), NOTHING, TODAY))
    assert [(one.task, one.was, one.now) for one in found] == [(t.id, t.on, t.on) for t in plan().work()]
    assert {(one.kind, one.why) for one in found} == {("kept", "")}


def test_what_is_done_is_no_change() -> None:
    """It was open before and is not any more: neither kept nor dropped."""
    done = {one.id: one.on for one in plan().tasks[:5]}
    after = with_tasks(without=done)
    found = list(changes(plan(), after, Progress(done=done), TODAY))
    assert {one.kind for one in found} == {"kept"}
    assert not done.keys() & {one.task for one in found}


def test_what_has_to_be_done_again_is_new() -> None:
    """A load whose jars waited too long is in the new plan though it was done once."""
    one = task("SHI-G1a:inoculate")
    (found,) = told(with_tasks(replace(one, on=one.on + WEEK)), Progress(done={one.id: one.on}))
    assert (found.kind, found.was, found.now) == ("new", None, one.on + WEEK)


def test_dropped_with_its_batch() -> None:
    """A batch that is lost says so; one that is gone for another reason is not needed."""
    gone = without_batch("SHI-Sa")
    lost = Progress(batches={"SHI-Sa": BatchProgress(lost={"SHI-Sa/1": TODAY})})
    for progress, why in ((lost, "SHI-Sa is lost"), (NOTHING, "SHI-Sa is not needed")):
        found = told(gone, progress)
        assert {one.task for one in found} == {one.id for one in plan().tasks if one.batch == "SHI-Sa"}
        assert {(one.kind, one.now, one.why) for one in found} == {("dropped", None, why)}


def test_dropped_for_another_reason() -> None:
    """A small task whose day has passed is not caught up on; one that is to come is not needed."""
    one = task("SHI-G1a:shake")
    for today, why in ((one.on + WEEK, "its day has passed"), (one.on, "it is not needed any more")):
        assert [(c.task, c.why) for c in told(with_tasks(without=[one.id]), today=today)] == [(one.id, why)]


def later(name: str, by: timedelta = WEEK) -> Plan:
    """The plan with one task on a later day."""
    return with_tasks(replace(task(name), on=task(name).on + by))


def test_moved_because_it_was_not_done() -> None:
    """What lies in the past was not recorded."""
    one = task("SHI-Sa:inoculate")
    (found,) = told(later(one.id), today=one.on + timedelta(days=1))
    assert (found.kind, found.was, found.now) == ("moved", one.on, one.on + WEEK)
    assert found.why == "it was not recorded as done by its day"


def test_moved_with_the_day_of_its_batch() -> None:
    """Looks and shakes follow the day on which their batch was really inoculated."""
    batch = next(one for one in plan().batches if one.id == "SHI-G1a")
    assert batch.inoculate_on is not None
    on = batch.inoculate_on + timedelta(days=2)
    progress = Progress(batches={"SHI-G1a": BatchProgress(inoculated_on=on)})
    (found,) = told(later("SHI-G1a:shake"), progress)
    assert found.why.startswith("SHI-G1a was inoculated on Tue 26 Jan 2027")
    as_planned = Progress(batches={"SHI-G1a": BatchProgress(inoculated_on=batch.inoculate_on)})
    assert (
        told(later("SHI-G1a:shake"), as_planned)[0].why == "it waits for what it is made from, or makes room"
    )


def test_moved_because_of_a_new_parent() -> None:
    """Bags that are made from grain that is new in the plan name it."""
    moved = later("SHI-Sa:inoculate")
    bags = next(one for one in plan().batches if one.id == "SHI-Sa")
    units = tuple(Unit(one.id, f"SHI-G1{'bc'[place % 2]}/1") for place, one in enumerate(bags.units))
    grain = next(one for one in plan().batches if one.id == "SHI-G1a")
    new = replace(
        moved,
        batches=(
            *(replace(one, units=units) if one.id == "SHI-Sa" else one for one in moved.batches),
            replace(grain, id="SHI-G1b"),
            replace(grain, id="SHI-G1c"),
        ),
    )
    found = {one.task: one.why for one in told(new)}
    names = "SHI-G1b, SHI-G1c" if len(units) > 1 else "SHI-G1b"
    assert found["SHI-Sa:inoculate"] == f"it is made from {names} now"


def test_moved_in_the_yard() -> None:
    """Felling and planting wait for their spawn, or make room for something else."""
    one = next(t for t in plan().tasks if t.kind == "plant")
    assert [c.why for c in told(later(one.id))] == ["it waits for its spawn, or makes room"]


def test_earlier_is_moved_too() -> None:
    """A move is a move in either direction."""
    one = next(t for t in plan().tasks if t.kind == "plant")
    (found,) = told(later(one.id, -WEEK))
    assert (found.kind, found.was, found.now) == ("moved", one.on, one.on - WEEK)


def test_new_has_its_reason() -> None:
    """Killing what is lost, a redo, a batch of the grower's own, or whatever else has become necessary."""
    look = task("SHI-G1a:shake")
    cases = {
        replace(
            look, id="SHI-G1a:kill-lost", kind="kill-lost"
        ): "lost units are heated through before they are emptied",
        replace(
            look, id="cook:SHI-G1a/lost+SHI-G1b", kind="cook"
        ): "lost units are heated through before they are emptied",
        replace(look, id="SHI-G1b:shake", batch="SHI-G1b"): "made in the place of what was lost",
        replace(look, id="SHI-G1x:shake", batch="SHI-G1x"): "SHI-G1x was made, and is looked after",
        replace(look, id="SHI-G1a:shake:2"): "it has become necessary",
        replace(look, id="Oak stack:extra", batch=None, planting="Oak stack"): "it has become necessary",
    }
    progress = Progress(batches={"SHI-G1x": BatchProgress(inoculated_on=TODAY)})
    found = {one.task: one for one in told(with_tasks(*cases), progress)}
    assert {one.id: why for one, why in cases.items()} == {name: one.why for name, one in found.items()}
    assert {(one.kind, one.was) for one in found.values()} == {("new", None)}


moves = st.dictionaries(st.integers(0, 200), st.integers(-10, 10), max_size=12)


@given(moves, st.sets(st.integers(0, 200), max_size=8), st.sets(st.integers(0, 200), max_size=8))
def test_every_open_task_is_told_once(moved: dict[int, int], dropped: set[int], done: set[int]) -> None:
    """Whatever is moved, dropped or done: sums add up, kinds are what they say, and each change has a reason."""
    tasks = plan().work()
    ids = [one.id for one in tasks]
    is_done = {ids[n % len(ids)]: TODAY for n in done}
    away = {ids[n % len(ids)] for n in dropped} | is_done.keys()
    elsewhere = [
        replace(tasks[n % len(ids)], on=tasks[n % len(ids)].on + timedelta(days=by))
        for n, by in moved.items()
    ]
    new = replace(tasks[0], id="new", batch=None)
    after = with_tasks(*(one for one in elsewhere if one.id not in away), new, without=away)
    found = list(changes(plan(), after, Progress(done=is_done), TODAY))
    assert max(Counter(one.task for one in found).values()) == 1
    assert {one.task for one in found} == ({*ids} - is_done.keys()) | {"new"}
    there = {one.id: one.on for one in after.work()}
    before = {one.id: one.on for one in tasks}
    for one in found:
        assert one.now == there.get(one.task)
        assert one.was == before.get(one.task)
        kind = (
            "new"
            if one.was is None
            else "dropped"
            if one.now is None
            else "kept"
            if one.was == one.now
            else "moved"
        )
        assert one.kind == kind
        assert bool(one.why) == (kind != "kept")
