"""A grower who plays a season through day by day, in the real words and with the real book, and has mishaps.

The work of each day is recorded as planned, but for what goes wrong; after what goes wrong the season is
replanned. Every command is remembered, so that the same season can be played once more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import NamedTuple

from scheduler.book.store import Book, book_path
from scheduler.errors import NoPlan, SeasonError, UsageError
from scheduler.journal.due import due
from scheduler.journal.units import living
from scheduler.plan import Batch, Task
from scheduler.progress import Recorded
from scheduler.season.place import season_file
from scheduler.service import kept, planning, recording, replanning, seasons
from scheduler.service.attempt import Made
from scheduler.service.replanning import Replan
from scheduler.service.under_way import UnderWay, under_way
from tests.command import EXAMPLES, example

CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")
AT = "2026-11-25T12:00:00+00:00"
"""The moment of every command; nothing depends on it."""
DAY = timedelta(days=1)


class Mishap(NamedTuple):
    """Something that goes wrong: what, how far into the season in percent, and a number that says the rest."""

    what: str
    percent: int
    choice: int


class Command(NamedTuple):
    """One command as it was given; without words it is a replan."""

    today: date
    words: str
    on: date | None


@cache
def made(name: str) -> Made:
    """An example planned once, with what its plan was written from."""
    return planning.make_season(*seasons.read(EXAMPLES / name, CLOCK, None))


def begin(name: str, folder: Path) -> Path:
    """A copy of an example whose plan is kept in its book."""
    path = example(name, folder)
    season, _ = seasons.read(path, CLOCK, None)
    kept.keep(season, made(name), AT)
    return path


def replay(name: str, folder: Path, commands: list[Command]) -> Iterator[Replan]:
    """The replans of the same commands, given once more to a fresh copy of an example."""
    grower = Grower(begin(name, folder))
    for command in commands:
        grower.today = command.today
        if not command.words:
            yield grower.plan_onward()
        else:
            grower.say(command.words, on=command.on)


@dataclass
class Grower:
    """Plays one season; `today` is the day that has come."""

    path: Path
    today: date = date.min
    commands: list[Command] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    """What could not be recorded, or replanned, with the reason."""
    twist: str = ""
    """How the next work that fits it goes wrong: ``inoculate``, ``plant`` or ``fell`` with fewer pieces."""

    @property
    def state(self) -> UnderWay:
        """The season as its book has it."""
        return under_way(self.path, self.today, self.today)

    @property
    def entries(self) -> tuple[Recorded, ...]:
        """All that is recorded."""
        with Book.open(book_path(season_file(self.path)), create=False) as book:
            return book.entries()

    @property
    def story(self) -> list[str]:
        """What was said beside that tasks are done, with its day; and every replan."""
        said = [one for one in self.commands if not one.words.startswith("done")]
        return [f"{one.today} {one.words or 'replan'}" for one in said]

    def say(self, words: str, on: date | None = None) -> bool:
        """Records something, unusual or not; False where it is refused as impossible."""
        try:
            recording.record(
                self.path, words.split(), clock=self.today, today=self.today, on=on, force=True, at=AT
            )
        except UsageError as error:
            self.refused.append(f"{words}: {error.fault.found}")
            return False
        self.commands.append(Command(self.today, words, on))
        return True

    def plan_onward(self) -> Replan:
        """Replans; what nobody recorded is still to be done. Raises as `replanning.replan`."""
        asked = replanning.Asked(CLOCK, self.today, undone=True)
        found = replanning.replan(self.path, asked, kept_at=AT)
        self.commands.append(Command(self.today, "", None))
        return found

    def play(self, mishaps: list[Mishap]) -> Iterator[Replan]:
        """Every replan of a season with these mishaps, until all is planted or nothing fits any more."""
        plan = self.state.plan
        self.today = plan.season.today
        days = (max(planting.window[1] for planting in plan.plantings) - self.today).days
        for mishap in sorted(mishaps, key=lambda mishap: mishap.percent):
            while self.today < plan.season.today + mishap.percent * days / 100 * DAY:
                self.work()
                self.today += DAY
            HAPPENS[mishap.what](self, mishap.choice)
            try:
                yield self.plan_onward()
            except UsageError:
                return  # all is planted
            except (NoPlan, SeasonError) as error:  # nothing fits any more, or every window is over
                self.refused.append(f"replan: {error}")
                return

    def work(self) -> None:
        """Does what is planned for today; where the book refuses some of it, the rest by itself."""
        state = self.state
        listed = list(enumerate(due(state.plan, state.progress, self.today), start=1))
        tasks = {number: task for number, task in listed if task.on == self.today}
        if self.twist:
            for number, task in tasks.items():
                if task.kind == self.twist and self.say(self.fewer(task, state)):
                    del tasks[number]
                    self.twist = ""
                    return self.work()
        if tasks and not self.say(f"done {','.join(map(str, tasks))}"):
            for task in tasks.values():
                self.say(f"done {task.id}")
        return None

    def fewer(self, task: Task, state: UnderWay) -> str:
        """The words for a task of which less is done than was planned."""
        if task.kind == "inoculate":
            batch = next(batch for batch in state.plan.batches if batch.id == task.batch)
            return f"inoculated {batch.id} {max(1, batch.started - 1)}"
        word = {"plant": "planted", "fell": "felled"}[task.kind]
        return f"{word} {task.planting} {1 + len(task.title) % 3}"


def growing(state: UnderWay) -> list[Batch]:
    """Batches that were begun and of which something lives."""
    progress = state.progress
    return [
        batch
        for batch in state.plan.batches
        if progress.batch(batch.id).inoculated_on is not None and living(state.plan, progress, batch.id)
    ]


def _of_growing(words: Callable[[Batch, int], str]) -> Callable[[Grower, int], None]:
    """Something that is seen of one of the growing batches."""

    def happens(grower: Grower, choice: int) -> None:
        batches = growing(grower.state)
        if batches:
            grower.say(words(batches[choice % len(batches)], choice // len(batches)))

    return happens


def _idle(grower: Grower, choice: int) -> None:
    """Nothing is done for some days, and it stays undone."""
    grower.today += (1 + choice % 9) * DAY


def _late(grower: Grower, choice: int) -> None:
    """The work of some days is done at the end of them."""
    _idle(grower, choice)
    grower.say("done all", on=grower.today)


def _ahead(grower: Grower, choice: int) -> None:
    """One of the next tasks is done today already."""
    state = grower.state
    tasks = [task for task in state.plan.tasks if task.id not in state.progress.done]
    if tasks:
        grower.say(f"done {tasks[choice % min(6, len(tasks))].id}")


def _twist(kind: str) -> Callable[[Grower, int], None]:
    """The next work of a kind is done in part."""

    def happens(grower: Grower, choice: int) -> None:
        grower.twist = kind
        for _ in range(40):
            grower.work()
            if not grower.twist:
                return
            grower.today += DAY

    return happens


def _put_off(grower: Grower, choice: int) -> None:
    """A planting has to wait."""
    plantings = grower.state.plan.plantings
    planting = plantings[choice % len(plantings)]
    until = max(grower.today, planting.window[0]) + (1 + choice % 25) * DAY
    grower.say(f"put-off {planting.name} until {until}")


def _undo(grower: Grower, choice: int) -> None:
    """One of the last entries was wrong."""
    last = len(grower.entries)
    if last:
        grower.say(f"undo {max(1, last - choice % 4)}")


IN_THE_FRIDGE = ("liquid culture 12 mL", "plate 2", "grain 1 kg", "sawdust 2 kg", "liquid culture 1")


def _found(grower: Grower, choice: int) -> None:
    """Something turns up in the fridge."""
    plantings = grower.state.plan.plantings
    species = plantings[choice % len(plantings)].species
    grower.say(f"found {species} {IN_THE_FRIDGE[choice % len(IN_THE_FRIDGE)]}")


def _own(grower: Grower, choice: int) -> None:
    """A batch of the grower's own is made from something that grows."""
    batches = growing(grower.state)
    if batches:
        parent = batches[choice % len(batches)].id
        code = parent.partition("-")[0]
        grower.say(f"inoculated {code}-{('G1', 'S', 'G2')[choice % 3]}{'xyz'[choice % 3]} 2 from {parent}")


def _all(what: str) -> Callable[[Grower, int], None]:
    """Everything that has to be ordered, or that was, is."""

    def happens(grower: Grower, choice: int) -> None:
        grower.say(f"{what} all")

    return happens


def _nothing(grower: Grower, choice: int) -> None:
    """All went as planned."""


HAPPENS: Mapping[str, Callable[[Grower, int], None]] = {
    "nothing": _nothing,
    "idle": _idle,
    "late": _late,
    "ahead": _ahead,
    "fewer units": _twist("inoculate"),
    "half a planting": _twist("plant"),
    "half the wood": _twist("fell"),
    "some lost": _of_growing(lambda batch, choice: f"lost {batch.id} {1 + choice % 2}"),
    "all lost": _of_growing(lambda batch, choice: f"lost {batch.id} all"),
    "in doubt": _of_growing(lambda batch, choice: f"watch {batch.id} 1"),
    "ready": _of_growing(lambda batch, choice: f"ready {batch.id}"),
    "used": _of_growing(lambda batch, choice: f"used {batch.id} 1"),
    "put off": _put_off,
    "undo": _undo,
    "found": _found,
    "a batch of one's own": _own,
    "bought": _all("bought"),
    "received": _all("received"),
}
"""Every mishap by its name."""
