"""Gathers what there is to say about a season file: faults with their lines, warnings, defaults taken."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, TypeVar

from scheduler.errors import Fault, SeasonError
from scheduler.plan import Assumption
from scheduler.season.where import Lines, Loc, path, written
from scheduler.season.wrong import Wrong

T = TypeVar("T")

SILENT = "the season file does not say"


class Findings:
    """What was found in one file. `name` is the file as the grower named it, `data` what TOML made of it."""

    def __init__(self, name: str, text: str = "", data: Any = None) -> None:
        self._name = name
        self._data = data
        self._lines = Lines(text)
        self._faults: list[tuple[int, Fault]] = []
        self._faulty: set[Loc] = set()
        self._assumed: list[Assumption] = []
        self._unsaid: dict[tuple[str, str, str], list[str]] = {}
        self.warnings: list[str] = []

    def fault(self, loc: Loc, found: str, allowed: str, hint: str = "") -> None:
        """Notes that what stands at `loc` is not right."""
        place = written(loc, self._data)
        line = self._lines.of(place)
        where = f"{self._name}:{line} {path(place)}" if line else f"{self._name} {path(place)}"
        self._faulty.update(loc[:length] for length in range(len(loc) + 1))
        self._faults.append((line or 0, Fault(where.rstrip(), found, allowed, hint)))

    def wrong(self, loc: Loc, wrong: Wrong) -> None:
        """Notes a wrong value."""
        self.fault(loc, wrong.found, wrong.allowed, wrong.hint)

    def clean(self, *loc: str | int) -> bool:
        """Whether no fault lies at or below a place."""
        return loc not in self._faulty

    def warn(self, text: str) -> None:
        """Notes what may stand but deserves a second look."""
        if text not in self.warnings:
            self.warnings.append(text)

    def assume(self, key: str, value: str, why: str = SILENT) -> None:
        """Notes a default that was taken."""
        self._assumed.append(Assumption(key, value, why))

    def default(self, key: str, given: T | None, default: T, words: str | None = None) -> T:
        """The given value, else the default, noted in `words`."""
        if given is not None:
            return given
        self.assume(key, words if words is not None else str(default))
        return default

    def assume_for(self, planting: str, key: str, value: str, why: str = "") -> None:
        """Notes a default taken for one planting; equal ones of several plantings become one note."""
        self._unsaid.setdefault((f"planting.{key}", value, why), []).append(planting)

    def default_for(self, planting: str, key: str, given: T | None, default: T, why: str = "") -> T:
        """The given value of a planting's key, else the default, noted."""
        if given is not None:
            return given
        self.assume_for(planting, key, str(default), why)
        return default

    def assumed(self, plantings: int) -> tuple[Assumption, ...]:
        """All defaults taken, those of the season before those of its `plantings`."""
        return (*self._assumed, *(self._joined(plantings, *note) for note in self._unsaid.items()))

    def stop_if_faulty(self) -> None:
        """Raises SeasonError with all faults, in the order of the file, if there are any."""
        if self._faults:
            raise SeasonError([fault for _, fault in sorted(self._faults, key=lambda noted: noted[0])])

    @staticmethod
    def _joined(plantings: int, note: tuple[str, str, str], names: Iterable[str]) -> Assumption:
        key, value, why = note
        named = list(names)
        scope = "any planting" if len(named) == plantings > 1 else ", ".join(f'"{name}"' for name in named)
        return Assumption(key, value, f"not given for {scope}" + (f"; {why}" if why else ""))
