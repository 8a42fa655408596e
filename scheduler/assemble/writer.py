"""Writes one task with its cautions, minutes and steps from the catalogue."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from scheduler.assemble.frame import Frame
from scheduler.assemble.words import facts
from scheduler.lines.shapes import BatchSpec
from scheduler.plan import Supply, Task, Tool
from scheduler.trade.catalogue import Catalogue

Place = Literal["lab", "yard", "other"]


@dataclass
class Writer:
    """Collects tasks; the id of a task comes from its batch or planting and its kind, never from a day."""

    frame: Frame
    tasks: list[Task] = field(default_factory=list)

    def write(
        self,
        kind: str,
        title: str,
        on: date,
        *,
        owner: str,
        part: str | int | None = None,
        task_id: str | None = None,
        slip_to: date | None = None,
        minutes: int | None = None,
        units: int = 0,
        attended: int = 0,
        place: Place = "lab",
        batch: str | None = None,
        planting: str | None = None,
        after: Iterable[str] = (),
        why: str = "",
        facts: Iterable[str] = (),
        supplies: Iterable[Supply] = (),
        steps: Iterable[str] = (),
        small: bool | None = None,
        spread: tuple[int, int] | None = None,
        tools: Iterable[Tool] = (),
        cautions: Iterable[str] | None = None,
    ) -> str:
        """Write a task and return its id.

        `facts` are the conditions that cautions may ask for (``class:bags``, ``species:nameko``, ``lift``);
        `cautions` are keys of them that stand in the place of those of its kind. Where no minutes are given
        they are the catalogue's for that kind of bench work and `units`.
        """
        works = {work.kind: work for work in self.frame.catalogue.lab.bench}
        work = works.get(kind)
        if minutes is None:
            assert work is not None, f"no minutes known for {kind}"
            minutes = math.ceil(work.fixed.likely + work.unit.likely * units)
        name = task_id or f"{owner}:{kind}" + (f":{part}" if part else "")
        self.tasks.append(
            Task(
                id=name,
                kind=kind,
                title=title,
                on=on,
                slip_to=slip_to if slip_to and slip_to > on else None,
                minutes=minutes,
                attended_minutes=max(attended, minutes),
                small=bool(work and work.small) if small is None else small,
                place=place,
                batch=batch,
                planting=planting,
                after=tuple(dict.fromkeys(after)),
                why=why,
                cautions=self._named(cautions)
                if cautions is not None
                else cautions_for(self.frame.catalogue, kind, facts),
                supplies=tuple(supplies),
                steps=tuple(steps) or tuple(work.steps if work else ()),
                spread=spread,
                tools=tuple(tools),
            )
        )
        return name

    def bench(
        self, batch: BatchSpec, kind: str, title: str, on: date, *, is_open: bool = False, **more: Any
    ) -> str:
        """Write a task of one batch, `is_open` where a unit is opened for it; `more` as for `write`."""
        met = [*facts(batch), *(["open"] if is_open else [])]
        return self.write(kind, title, on, owner=batch.id, batch=batch.id, facts=met, **more)

    def _named(self, keys: Iterable[str]) -> tuple[str, ...]:
        return tuple(self.frame.catalogue.cautions[key].told for key in keys)


def cautions_for(catalogue: Catalogue, kind: str, facts: Iterable[str]) -> tuple[str, ...]:
    """Cautions of a kind of task: those without a condition, and those of which one condition is met."""
    met = set(facts)
    return tuple(
        caution.told
        for caution in catalogue.cautions.values()
        if kind in caution.kinds and (not caution.when or met & set(caution.when))
    )
