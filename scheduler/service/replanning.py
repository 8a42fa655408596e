"""The use case of `replan`: what has happened is kept, what was promised moves as little as it can."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler import measures
from scheduler.book.store import Book, book_path
from scheduler.errors import Fault, NoPlan, UsageError
from scheduler.journal.fold import fold, standing
from scheduler.plan import Plan, PlantingPlan, Remedy, Task
from scheduler.progress import Entry, Progress, Recorded
from scheduler.season.season import Season
from scheduler.service import basis_text, seasons
from scheduler.service.differences import changes
from scheduler.service.under_way import UnderWay, adopted, basis_for, news, under_way
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import full

if TYPE_CHECKING:
    from scheduler.solve.look import Watch


class Impossible(NoPlan):
    """What is left of a season does not fit; carries the plan before it, and what was recorded since."""

    def __init__(self, refusal: Plan, before: Plan, news: tuple[Entry, ...]) -> None:
        super().__init__(refusal)
        self.plan = refusal
        self.before = before
        self.news = news


MOST_NAMED = 4
"""So many tasks are named in a message."""


@dataclass(frozen=True)
class Replan:
    """A plan made onward, the one before it, and what it came of."""

    plan: Plan
    before: Plan
    news: tuple[Entry, ...]
    """What was recorded, or asked about, since the plan before."""
    way: str | None
    """The name of the way in which lost things are made again (`lines.rescue.WAYS`)."""
    unfrozen: bool
    """Whether promised tasks of the next days had to move."""
    unrecorded: tuple[Task, ...]
    """Tasks before today that nobody has recorded as done."""


@dataclass(frozen=True)
class Asked:
    """How a replan was asked for."""

    clock: seasons.Clock
    today: date | None = None
    watch: Watch | None = None
    undone: bool = False
    """Whether work of the days before today that nobody recorded is to be done yet."""


def replan(path: Path, asked: Asked, *, kept_at: str) -> Replan:
    """Plans a season onward and keeps the plan.

    Where all is planted it holds the care of what stands. Raises UsageError where no plan is kept yet, NoPlan
    with conflict and remedies where what is left does not fit, SeasonError and BookError as they come.
    """
    state = under_way(path, asked.clock.today, asked.today)
    found, basis = _onward(state, asked, state.recorded)
    if not found.news and all(change.kind == "kept" for change in found.plan.changes):
        return replace(found, plan=replace(found.plan, plan_no=state.kept.plan_no))  # nothing to keep
    with Book.open(book_path(state.file), create=True) as book:
        number = book.keep(found.plan, _text(state.file), kept_at, basis)
    return replace(found, plan=replace(found.plan, plan_no=number))


def what_if(path: Path, words: Sequence[str], asked: Asked) -> Replan:
    """What a replan would say if these words were recorded; nothing is. Raises as `replan`."""
    return imagine(under_way(path, asked.clock.today, asked.today), [words], asked)


def imagine(state: UnderWay, said: Sequence[Sequence[str]], asked: Asked) -> Replan:
    """What a replan would say after these entries, one after the other; nothing is recorded.

    What is unusual is taken at its word. Raises as `record` and `replan` do.
    """
    recorded = state.recorded
    for words in said:
        from scheduler.service import recording  # only what is asked about has to be read

        entries = recording.read(replace(state, recorded=recorded), words, on=None, force=True).entries
        recorded += tuple(Recorded(n, "", entry) for n, entry in enumerate(entries, start=len(recorded) + 1))
    return _onward(state, asked, recorded)[0]


def take(path: Path, number: int, asked: Asked, *, kept_at: str) -> tuple[Remedy, Replan]:
    """Adopts a remedy of the replan that does not fit, as an entry of the book, and plans with it.

    Raises UsageError where the season fits as it is, or there is no such remedy; else as `replan`.
    """
    state = under_way(path, asked.clock.today, asked.today)
    remedy = _remedy(path, state, number, asked)
    with Book.open(book_path(state.file), create=True) as book:
        book.record(_adopted(remedy, state), kept_at)
    return remedy, replan(path, asked, kept_at=kept_at)


def with_remedy(path: Path, number: int, asked: Asked) -> tuple[Remedy, Replan]:
    """The plan that `take` would make; nothing is adopted. Raises as `take`."""
    state = under_way(path, asked.clock.today, asked.today)
    remedy = _remedy(path, state, number, asked)
    entry = Recorded(len(state.recorded) + 1, "", _adopted(remedy, state))
    return remedy, _onward(state, asked, (*state.recorded, entry))[0]


def _remedy(path: Path, state: UnderWay, number: int, asked: Asked) -> Remedy:
    """The remedy of a number of the replan that does not fit."""
    try:
        _onward(state, asked, state.recorded)
    except Impossible as refused:
        remedies = refused.plan.remedies
    else:
        raise UsageError(
            Fault(
                "--take", "the season fits as it stands", "a replan with remedies", f"budswell replan {path}"
            )
        )
    if not 1 <= number <= len(remedies):
        allowed = f"1 to {len(remedies)}" if remedies else "nothing: no remedy was found"
        raise UsageError(Fault("--take", f"there is no remedy {number}", allowed, f"budswell replan {path}"))
    return remedies[number - 1]


def _adopted(remedy: Remedy, state: UnderWay) -> Entry:
    return Entry("remedy", state.today, remedy.kind, seen=remedy.text, changes=remedy.changes)


def _onward(state: UnderWay, asked: Asked, recorded: tuple[Recorded, ...]) -> tuple[Replan, str]:
    """The replan by these entries, and the text of its basis."""
    from scheduler.assemble.aftercare import only_care
    from scheduler.lines.remaining import remaining
    from scheduler.service.attempt import Refusal
    from scheduler.service.onwards import Onwards

    seen = tuple(sorted(standing(recorded)))
    basis = basis_for(state.file, seen)
    progress = fold(recorded, state.plan)
    late = unrecorded(state, progress)
    if not asked.undone:
        _require_recorded(state, to_tell(late))
    season, catalogue = seasons.read(
        state.file,
        asked.clock,
        state.today,
        adopted=partial(adopted, progress),
        keep_over=True,
        began=lambda: min((one.entry.on for one in recorded), default=None),
    )
    season = seasons.with_kept_id(season)
    if basis.certainty is not None:
        season = season.asking_for(basis.certainty)
    left = remaining(season, catalogue, progress)
    told = tuple(one.entry for one in news(state.kept, recorded))
    if not left.plantings:
        _require_something(left)
        plan = _completed(only_care(state.plan, left, progress), state, left, catalogue, progress)
        return Replan(plan, state.plan, told, None, False, tuple(late)), basis_text.to_text(
            replace(basis, seen=seen)
        )
    onwards = Onwards(basis, progress, seen)
    found = onwards.make(season, catalogue, watch=asked.watch)
    if isinstance(found, Refusal):
        from scheduler.service.remedies import refused  # most replans ask for none

        raise Impossible(refused(season, catalogue, found, onwards), state.plan, told)
    plan = _completed(found.made.plan, state, left, catalogue, progress)
    made = Replan(plan, state.plan, told, _way(found.way), found.unfrozen, tuple(late))
    return made, basis_text.to_text(replace(found.made.basis, certainty=basis.certainty))


def unrecorded(state: UnderWay, progress: Progress) -> list[Task]:
    """Work of the days before today that nobody has recorded as done."""
    return [t for t in state.plan.work() if t.on < state.today and t.id not in progress.done]


def to_tell(late: Sequence[Task]) -> list[Task]:
    """Those of them of which a replan has to know; care that nobody recorded is done later, while of use."""
    return [task for task in late if not task.small and not task.is_care]


def _completed(plan: Plan, state: UnderWay, left: Season, catalogue: Catalogue, progress: Progress) -> Plan:
    """The plan of what is left with what is planted already, its care, and what became of each task."""
    from scheduler.assemble.aftercare import looked_after

    plan = replace(plan, plantings=(*_planted(state, progress, plan), *plan.plantings))
    plan = looked_after(plan, left, catalogue)
    return replace(plan, changes=tuple(changes(state.plan, plan, progress, state.today)))


def _require_recorded(state: UnderWay, late: Sequence[Task]) -> None:
    """Nobody fells a tree twice: whether work that is overdue was done is for the grower to say."""
    if not late:
        return
    named = "; ".join(f"{task.title} ({full(task.on)})" for task in late[:MOST_NAMED])
    more = f"; and {len(late) - MOST_NAMED} more" if len(late) > MOST_NAMED else ""
    raise UsageError(
        Fault(
            str(state.file),
            f"{measures.counted(len(late), 'task')} of the days before today not recorded: {named}{more}",
            "a book that says what was done",
            "budswell record SEASON done all, if all was done as planned (done 1,3 for some of it); "
            "budswell replan SEASON --undone, if it is still to be done",
        )
    )


def _require_something(left: Season) -> None:
    if not left.standing:
        raise UsageError(
            Fault(
                str(left.path),
                "every window is over, and nothing stands",
                f"a planting whose window ends today, {left.today}, or later, or one that is planted",
                "budswell record SEASON planted NAME, or put-off NAME until DATE",
            )
        )


def _planted(state: UnderWay, progress: Progress, plan: Plan) -> Iterator[PlantingPlan]:
    """Plantings of the plan before that are planted by now, with the days on which they were."""
    left = {planting.name for planting in plan.plantings}
    for planting in state.plan.plantings:
        planted = progress.planting(planting.name).planted
        if planting.name not in left and planted:
            yield replace(planting, plant_on=tuple(planted), fallback_on=None)


def _way(number: int | None) -> str | None:
    from scheduler.lines.rescue import WAYS

    return None if number is None else list(WAYS)[number]


def _text(file: Path) -> str:
    return file.read_text(encoding="utf-8-sig")
