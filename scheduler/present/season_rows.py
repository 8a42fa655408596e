"""The rows of the season's picture: each line from its culture to its plantings, and the days of work."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from scheduler.plan import Batch, Period, Plan, PlantingPlan, Task
from scheduler.present.cautions import in_words, minded_once
from scheduler.present.dates import Dates
from scheduler.present.states import recorded_of, spent, state_of, units_of
from scheduler.present.strokes import PLANTINGS, SPANS, SPAWN, Stroke, of_batch, of_planting
from scheduler.present.words import short_stage, stage
from scheduler.progress import Progress

REDO, BUY = "LO"
LIMITS = {REDO: "last day to make it again", BUY: "last day to order it instead"}
"""Last days, beside the letters of the days themselves."""
LETTERS = SPAWN | PLANTINGS | LIMITS


@dataclass(frozen=True)
class Row:
    """A batch or a planting."""

    name: str
    detail: str
    """What it is and how it stands, in a few words."""
    told: str
    """All of the row in words, for whoever cannot see it."""
    strokes: tuple[Stroke, ...]
    limits: tuple[Stroke, ...]
    fell_between: Period | None = None
    parents: tuple[str, ...] = ()
    """Names of the batches that it is made, or planted, from."""


@dataclass(frozen=True)
class Group:
    """What belongs together: a line of spawn with what is planted from it."""

    heading: str
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class WorkDay:
    """A day on which something is done in the lab, or outdoors."""

    on: date
    told: str
    """Its work in words, with what to mind."""
    is_small: bool
    """Whether there is nothing but small work."""


def groups(plan: Plan, progress: Progress, today: date) -> list[Group]:
    """Every line in the order of the plan, its batches first; then plantings that no batch feeds."""
    write = _Writer(plan, progress, today)
    lines: dict[str, list[Batch]] = defaultdict(list)
    for batch in plan.batches:
        lines[batch.line].append(batch)
    left = {planting.name: planting for planting in plan.plantings}
    found = []
    for line, batches in lines.items():
        fed = dict.fromkeys(name for batch in batches for name in batch.plantings)
        mine = [left.pop(name) for name in fed if name in left]
        heading = f"{line}: {batches[0].species} ({batches[0].strain})"
        rows = [*map(write.batch, batches), *map(write.planting, mine)]
        found.append(Group(heading, tuple(rows)))
    if left:
        found.append(Group("Other plantings", tuple(map(write.planting, left.values()))))
    return found


def work_days(plan: Plan, place: str) -> list[WorkDay]:
    """The days of the lab (``lab``) or of the yard; errands belong to the yard. Care has spans, not days."""
    by_day: dict[date, list[Task]] = defaultdict(list)
    for task in plan.work():
        if (task.place == "lab") == (place == "lab") and not task.is_care:
            by_day[task.on].append(task)
    return [
        WorkDay(on, "\n".join(minded_once(tasks)), all(task.small for task in tasks))
        for on, tasks in sorted(by_day.items())
    ]


class _Writer:
    """Writes the rows of one plan."""

    def __init__(self, plan: Plan, progress: Progress, today: date) -> None:
        self.plan, self.progress, self.today = plan, progress, today
        self.words = Dates(today)
        self.spent = spent(plan, progress)

    def batch(self, batch: Batch) -> Row:
        parents = tuple(dict.fromkeys(unit.parent.rpartition("/")[0] for unit in batch.units if unit.parent))
        what = f"{batch.started} x {batch.container}"
        state = self._state(batch)
        return Row(
            name=batch.id,
            detail=", ".join(filter(None, (state, what, short_stage(batch.stage)))),
            told=_sentences(
                f"{batch.id}, {batch.species} ({batch.strain})",
                f"{what}, {stage(batch.stage)}" + (f", {state}" if state else ""),
                f"from {', '.join(parents)}" if parents else "",
                self._days(of_batch(batch)),
                f"waits in the {batch.waits_in}" if batch.use_on else "",
                _limit(self.words, "redo by", batch.redo_by),
                _mind(task for task in self.plan.tasks if task.batch == batch.id),
            ),
            strokes=tuple(of_batch(batch)),
            limits=tuple(_limits((batch.redo_by, REDO))),
            parents=parents,
        )

    def planting(self, planting: PlantingPlan) -> Row:
        feeds = tuple(
            batch.id
            for batch in self.plan.batches
            if planting.name in batch.plantings and set(batch.use_on) & set(planting.plant_on)
        )
        planted = sum(self.progress.planting(planting.name).planted.values())
        state = f", planted: {planted}" if planted else ""
        fell = planting.fell_between
        return Row(
            name=planting.name,
            detail=f"{planting.size}, {planting.method}{state}",
            told=_sentences(
                f"{planting.name}, {planting.species} ({planting.strain})",
                f"{planting.size}, {planting.method}{state}",
                f"from {', '.join(feeds)}" if feeds else "",
                f"fell between {self.words.span(fell)}" if fell else "",
                self._days(of_planting(planting)),
                f"window {self.words.span(planting.window)}, best {self.words.span(planting.best)}",
                _limit(self.words, "redo by", planting.redo_by),
                _limit(self.words, "buy by", planting.buy_by),
                _mind(task for task in self.plan.work() if task.planting == planting.name),
            ),
            strokes=tuple(of_planting(planting)),
            limits=tuple(_limits((planting.redo_by, REDO), (planting.buy_by, BUY))),
            fell_between=fell,
            parents=feeds,
        )

    def _state(self, batch: Batch) -> str:
        """How it stands, and how many units are lost; nothing of what is only planned."""
        happened = recorded_of(batch, self.plan, self.progress)
        state: str = state_of(batch, happened, self.today, self.spent)
        if state == "planned":
            state = "" if batch.state == "planned" else "ordered" if happened.ordered_on else "to buy"
        some = happened.lost and state != "lost"
        lost = f"{len(happened.lost)} of {len(units_of(batch, happened))} lost" if some else ""
        return ", ".join(filter(None, (state, lost)))

    def _days(self, strokes: Iterable[Stroke]) -> str:
        found: dict[str, list[date]] = defaultdict(list)
        for first, _, letter in strokes:
            if letter not in SPANS:
                found[letter].append(first)
        return ", ".join(f"{LETTERS[letter]} {self.words.days(days)}" for letter, days in found.items())


def _limits(*days: tuple[date | None, str]) -> Iterator[Stroke]:
    return ((day, day, letter) for day, letter in days if day is not None)


def _limit(words: Dates, what: str, day: date | None) -> str:
    return "" if day is None else f"{what} {words.day(day)}"


def _mind(tasks: Iterable[Task]) -> str:
    """What to mind at all work of a row."""
    minded = in_words(caution for task in tasks for caution in task.cautions)
    return f"Mind: {minded}" if minded else ""


def _sentences(*parts: str) -> str:
    return ". ".join(filter(None, parts)) + "."
