"""The use case of `plan-many`: every season below a folder, as it stands or with what is tried, in one table.

Nothing in a season folder is changed, but for the plan in its book where that is asked for. A season that
cannot be read or planned is a row like any other.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Protocol

from scheduler.errors import BookError, BudswellError, Fault, SeasonError, UsageError
from scheduler.many import Result, Row, Table
from scheduler.present.faults import in_a_line
from scheduler.season.place import FILE, season_file
from scheduler.season.season import Season
from scheduler.season.what_if import AS_IT_STANDS, Choice, WhatIf, combined, count
from scheduler.season.wrong import shown
from scheduler.service import kept, seasons
from scheduler.service.inputs import inputs_sha
from scheduler.service.one_of_many import Answer, Job, installed, plan_one, without_a_plan
from scheduler.service.spreading import Crew, Lost, spread
from scheduler.trade import catalogue as trade


class Before(Protocol):
    """What came of seasons in earlier runs, by the fingerprint of what they were planned from."""

    def find(self, inputs: str) -> Result | None:
        """What came of it; None where it was not planned yet."""

    def keep(self, inputs: str, result: Result) -> None:
        """Keeps it at once, so that it is there however this run ends."""


@dataclass(frozen=True)
class Asked:
    """Which seasons are planned, and how."""

    place: Path
    """A folder with season folders in it, or one season."""
    clock: Callable[[Path], seasons.Clock]
    today: date | None = None
    choices: tuple[Choice, ...] = ()
    kept_at: str | None = None
    """The moment at which plans are kept in the books of their seasons; None where they are not."""
    before: Callable[[], AbstractContextManager[Before | None]] = nullcontext
    """Opens what is known from earlier runs, once there is something to plan."""
    told: Callable[[int, int], None] = lambda done, total: None


@dataclass(frozen=True)
class Case:
    """One row to come."""

    place: int
    """In the table, from 0."""
    file: Path
    folder: str
    what_if: WhatIf


def plan_many(asked: Asked, crew: Crew) -> Table:
    """Every season below a folder, with everything that is tried, planned by a crew.

    Raises UsageError where there is no season, nothing can be made of what is to be tried, or the crew is
    gone; what was planned until then is known to the next run.
    """
    run = _Run(asked)
    with asked.before() as before:
        for (case, job), answer in spread(plan_one, run.jobs(before), crew):
            run.settle(case, job, answer, before)
    return Table(tuple(row for _, row in sorted(run.rows.items())), run.known)


def season_files(place: Path) -> list[Path]:
    """The season file that is meant, or all in folders below, in the order of their names.

    UsageError where there is none.
    """
    own = season_file(place)
    if own.is_file():
        return [own]
    found = sorted(
        (file for file in place.rglob(FILE) if not _is_hidden(file.relative_to(place))),
        key=lambda file: file.relative_to(place).parts,
    )
    if not found:
        said = f"no {FILE} in it, or in a folder below" if place.is_dir() else "no such folder"
        hint = "budswell new FOLDER writes a season"
        raise UsageError(Fault(str(place), said, "a folder with season folders in it, or one season", hint))
    return found


def _is_hidden(path: Path) -> bool:
    return any(part.startswith(".") for part in path.parts)


class _Run:
    """One call: what is still to do, and the rows so far by their place."""

    def __init__(self, asked: Asked) -> None:
        self._asked = asked
        self._catalogue = trade.load()
        self._files = season_files(asked.place)
        self._total = len(self._files) * count(asked.choices)
        self._require_values()
        self.rows: dict[int, Row] = {}
        self.known = 0

    def jobs(self, before: Before | None) -> Iterator[tuple[tuple[Case, Job], Job]]:
        """What has to be planned; what needs no planning becomes a row on the way."""
        self._asked.told(0, self._total)
        for case in self._cases():
            try:
                job = Job(self._ready(case), installed(), whole=self._asked.kept_at is not None)
                known = self._known(job, before)
            except Exception as error:  # one season that nobody can read stops no other
                self._note(case, None, without_a_plan(error))
                continue
            if known is None:
                yield (case, job), job
            else:
                self.known += 1
                self._note(case, job, known)

    def settle(self, case: Case, job: Job, answer: Answer | Lost, before: Before | None) -> None:
        """Notes, and keeps, what came of a job."""
        if isinstance(answer, Lost):
            self._note(case, job, Result("failed", answer.why, wished=job.season.certainty))
            return
        result = answer.result
        if before and result.verdict in ("planned", "impossible"):
            before.keep(job.inputs(), result)
        if self._asked.kept_at is not None and answer.made:
            try:
                kept.keep(job.season, answer.made, self._asked.kept_at)
            except BookError as error:
                result = replace(result, reason=in_a_line(error))
        self._note(case, job, result)

    def _note(self, case: Case, job: Job | None, result: Result) -> None:
        above = f"{case.file.parent}/"
        reason = result.reason.replace(above, "") if above != "./" else result.reason
        self.rows[case.place] = Row(
            folder=case.folder,
            season=job.season.name if job else "",
            tried=case.what_if.named(),
            inputs=job.inputs() if job else "",
            result=replace(result, reason=reason),
        )
        self._asked.told(len(self.rows), self._total)

    def _cases(self) -> Iterator[Case]:
        top = self._asked.place if self._asked.place.is_dir() else self._asked.place.parent
        every = itertools.product(self._files, combined(self._asked.choices))
        for place, (file, what_if) in enumerate(every):
            yield Case(place, file, file.parent.relative_to(top).as_posix(), what_if)

    def _known(self, job: Job, before: Before | None) -> Result | None:
        """What is known of a job; nothing where its plan is still to be kept in its book."""
        found = before.find(job.inputs()) if before else None
        if found and found.verdict == "planned" and self._asked.kept_at is not None:
            latest = kept.newest(job.season)
            return found if latest and latest.plan.inputs_sha == inputs_sha(job.season) else None
        return found

    def _ready(self, case: Case) -> Season:
        """A season that may be planned from its beginning. Raises as `_read`, or why it may not."""
        season = self._read(case.file, case.what_if)
        recorded = kept.entries(season.path)
        if recorded:
            found = f"what happened is recorded (entries: {recorded})"
            allowed = "a season of which nothing was recorded yet"
            raise UsageError(Fault(str(case.file), found, allowed, f"budswell replan {case.file.parent}"))
        return season

    def _read(self, file: Path, what_if: WhatIf) -> Season:
        clock, today = self._asked.clock(file), self._asked.today
        season, _ = seasons.read(file, clock, today, what_if.changes, catalogue=self._catalogue)
        return seasons.with_kept_id(season)

    def _require_values(self) -> None:
        """UsageError for a value that no season can have, before any is planned.

        Seasons that cannot be read as they stand have no say in it.
        """
        for choice in self._asked.choices:
            for value in choice.values:
                trouble = None
                for file in self._files:
                    if self._trouble(file, AS_IT_STANDS):
                        continue
                    trouble = self._trouble(file, WhatIf(((choice.place, value),)))
                    if trouble is None:
                        break
                if trouble:
                    raise UsageError(replace(trouble, where=f"{choice.said}: {shown(value)}"))

    def _trouble(self, file: Path, what_if: WhatIf) -> Fault | None:
        """The first fault of a season file with what is tried."""
        try:
            self._read(file, what_if)
        except SeasonError as error:
            return error.faults[0]
        except UsageError as error:
            return error.fault
        except BudswellError:
            return None
        return None
