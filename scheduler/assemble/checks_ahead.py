"""What is looked after some weeks ahead, as small tasks: the cooker, the leave to fell, what planting takes.

Which checks there are, for what and how long ahead, stands in ``profiles/preseason.toml``. A check comes
before the first work of its kind in the season, and is none any more once that has begun. Written last: it is
laid on a day that small tasks leave free.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from scheduler import measures
from scheduler.assemble import yard_words
from scheduler.assemble.frame import Frame
from scheduler.assemble.loads import Filling
from scheduler.assemble.writer import Writer
from scheduler.plan import Task
from scheduler.problem.rooms import cooker_name
from scheduler.season.season import Planting
from scheduler.trade.preseason import CheckAhead
from scheduler.workdays import ONE_DAY

KIND = "prepare"
"""Of the tasks; they belong to no batch, while what is prepared for a load does."""
FEW = 3
"""So many plantings are named in a title."""


@dataclass(frozen=True)
class _Due:
    """One check of the season, and the tasks that it comes before."""

    check: CheckAhead
    owner: str
    """Whose task it is: a cooker, a planting, or the season."""
    what: str
    before: tuple[Task, ...]
    planting: Planting | None = None
    named: tuple[str, ...] = ()
    """Plantings that are too many for the title."""


def write(writer: Writer, fillings: Iterable[Filling], promised: Mapping[str, date]) -> None:
    """Write the checks, and let what they come before come after them.

    `promised` are the days of an earlier plan, by the ids of the tasks: they stay where they are still good.
    """
    fillings = list(fillings)
    room: Counter[date] = Counter()
    for task in writer.tasks:
        if task.small:
            room[task.on] += task.minutes
    later: dict[str, list[str]] = defaultdict(list)
    for check in writer.frame.catalogue.preseason.check:
        for due in _due(writer, check, fillings, promised):
            written = _write(writer, due, room, promised)
            for other in due.before if written else ():
                later[other.id].append(written)
    writer.tasks[:] = [
        replace(task, after=(*task.after, *later[task.id])) if task.id in later else task
        for task in writer.tasks
    ]


def _due(
    writer: Writer, check: CheckAhead, fillings: list[Filling], promised: Mapping[str, date]
) -> Iterator[_Due]:
    """What a check is due for; nothing where its work has begun, or there is none."""
    frame = writer.frame
    if check.before == "load":
        yield from _cookers(writer, check, fillings, promised)
        return
    if check.felling and frame.season.people.felling not in check.felling:
        return
    work: dict[str, Task] = {}
    for planting in frame.season.plantings:
        if _begun(frame, planting.name, check.before):
            continue
        tasks = [t for t in writer.tasks if t.kind == check.before and t.planting == planting.name]
        if tasks:
            work[planting.name] = min(tasks, key=lambda task: task.on)
    if check.each == "planting":
        for name, task in work.items():
            yield _Due(check, name, name, (task,), frame.plantings[name])
    elif work and not any(_begun(frame, one, check.before) for one in frame.plantings):
        few = len(work) <= FEW
        what = "; ".join(work) if few else measures.counted(len(work), "planting")
        yield _Due(check, "season", what, tuple(work.values()), named=() if few else tuple(work))


def _begun(frame: Frame, planting: str, kind: str) -> bool:
    """Whether felling or planting has begun; whoever plants has felled."""
    happened = frame.progress.planting(planting)
    return bool(happened.planted or (kind == "fell" and happened.felled))


def _cookers(
    writer: Writer, check: CheckAhead, fillings: list[Filling], promised: Mapping[str, date]
) -> Iterator[_Due]:
    """The first load of each cooker of the kind.

    Nobody records in which cooker something was cooked: once anything was, only those are checked that the
    plan before still had a check for.
    """
    frame = writer.frame
    cooked = any(b.cooked_on or (b.load_class and b.begun_on) for b in frame.batches.values())
    cooked = cooked or any(happened.cooked_on for happened in frame.progress.batches.values())
    tasks = {task.id: task for task in writer.tasks}
    for index, cooker in enumerate(frame.season.lab.cookers):
        name = cooker_name(index, cooker)
        loads = sorted((f for f in fillings if f.load.cooker == name), key=lambda f: f.load.on)
        if cooked and _id(name, check) not in promised:
            continue
        if loads and (not check.cookers or cooker.kind in check.cookers):
            alone = len(frame.season.lab.cookers) == 1
            yield _Due(check, name, cooker.kind if alone else name, (tasks[loads[0].task],))


def _write(writer: Writer, due: _Due, room: Counter[date], promised: Mapping[str, date]) -> str:
    """Write one check, and return its id; nothing where nobody is there in time."""
    frame, check = writer.frame, due.check
    first = min(task.on for task in due.before)
    name = _id(due.owner, check)
    day = _kept(frame, check, first, promised.get(name)) or _day(frame, check, first, room)
    if day is None:
        return ""
    minutes = round(check.minutes.likely)
    room[day] += minutes
    return writer.write(
        KIND,
        check.title.format(what=due.what),
        day,
        owner=due.owner,
        task_id=name,
        slip_to=frame.waits(day, first - ONE_DAY),
        minutes=minutes,
        spread=(round(check.minutes.lowest), round(check.minutes.highest)),
        small=True,
        place=check.place,
        planting=due.planting.name if due.planting else None,
        why=check.why,
        steps=list(_steps(frame, due)),
        cautions=check.cautions,
    )


def _id(owner: str, check: CheckAhead) -> str:
    return f"{owner}:{KIND}:{check.name}"


def _kept(frame: Frame, check: CheckAhead, first: date, day: date | None) -> date | None:
    """The promised day, where it still lies in the band; None where it does not, or none was promised."""
    if day is None or not first - round(check.ahead.highest) * ONE_DAY <= day < first:
        return None
    return frame.near(day, day, day)


def _day(frame: Frame, check: CheckAhead, first: date, room: Counter[date]) -> date | None:
    """The day nearest to the usual one that small tasks leave room on, else the nearest of all.

    Where the whole band lies before today it is the day itself of what it comes before.
    """
    low, likely, high = (round(n) for n in (check.ahead.lowest, check.ahead.likely, check.ahead.highest))
    wished = first - likely * ONE_DAY
    left = frame.season.people.small_minutes - round(check.minutes.likely)
    for last in (first - low * ONE_DAY, first - ONE_DAY):
        days = [first - n * ONE_DAY for n in range(high, 0, -1) if first - n * ONE_DAY <= last]
        free = [day for day in days if room[day] <= left and frame.near(day, day, day)]
        near = min(free, key=lambda day: abs((day - wished).days), default=None)
        near = near or frame.near(first - high * ONE_DAY, last, wished)
        if near:
            return near
    return frame.near(first, first, first)


def _steps(frame: Frame, due: _Due) -> Iterator[str]:
    """The steps of a check; those that stand for tools and supplies written out."""
    if due.named:
        yield f"For {'; '.join(due.named)}."
    for step in due.check.steps:
        if step == "{tools}":
            yield from _at_hand(frame, due)
        elif step == "{supplies}":
            yield from _used_up(frame, due)
        else:
            yield step


def _at_hand(frame: Frame, due: _Due) -> Iterator[str]:
    if due.planting is not None:
        method = frame.catalogue.methods[due.planting.method]
        for tool in yard_words.tools(method, ["plant"], due.planting.route[-1], frame.season.units):
            yield f"{tool.item} ({tool.use})"


def _used_up(frame: Frame, due: _Due) -> Iterator[str]:
    if due.planting is not None:
        for supply in frame.sizing.demand(due.planting.name).supplies:
            yield measures.amount(supply.item, supply.quantity, supply.unit, frame.season.units)
