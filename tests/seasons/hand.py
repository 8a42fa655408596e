"""The hand that writes a season file: draws what is written, in the units and around the spring of one place."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, TypeVar

from hypothesis import strategies as st

T = TypeVar("T")


@dataclass(frozen=True)
class Raw:
    """Text that stands in the file as it is: a date, a table, a list."""

    text: str


@dataclass(frozen=True)
class Hand:
    """Who writes, and where: `spring` is the middle of the planting time, `tight` a season with little room."""

    draw: Callable[[st.SearchStrategy[Any]], Any]
    spring: date
    today: date
    imperial: bool
    tight: bool
    tank: str | None

    def pick(self, *options: T) -> T:
        """One of a few things; the first is the plainest."""
        return self.draw(st.sampled_from(options))

    def easy(self, *plain: T, hard: tuple[T, ...]) -> T:
        """One of a few things; those that make a season hard only in a tight one."""
        return self.pick(*plain, *(hard if self.tight else ()))

    def seldom(self, out_of: int = 4) -> bool:
        """True once in so many times."""
        return self.draw(st.integers(1, out_of)) == out_of

    def number(self, low: int, high: int) -> int:
        """A whole number."""
        return self.draw(st.integers(low, high))

    def day(self, low: int, high: int) -> date:
        """A day so many days from the middle of the planting time."""
        return self.spring + timedelta(days=self.number(low, high))

    def length(self, cm: float) -> str:
        """A length as it is measured here."""
        return f"{round(cm / 2.54, 1):g} in" if self.imperial else f"{cm:g} cm"

    def volume(self, litres: float) -> str:
        """A volume as it is measured here."""
        return f"{round(litres / 3.785, 1):g} gal" if self.imperial else f"{litres:g} L"

    def warmth(self, celsius: float) -> str:
        """A temperature as it is measured here."""
        return f"{round(celsius * 1.8 + 32):g} F" if self.imperial else f"{celsius:g} C"


def file_of(tables: Sequence[tuple[str, Mapping[str, object]]]) -> str:
    """The TOML text of tables in their order; keys that are None are left out."""
    parts = []
    for title, table in tables:
        rows = [f"{key} = {_value(value)}" for key, value in table.items() if value is not None]
        parts.append("\n".join([title, *rows]))
    return "\n\n".join(parts) + "\n"


def _value(value: object) -> str:
    if isinstance(value, Raw):
        return value.text
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, tuple):
        return "[" + ", ".join(_value(part) for part in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f'"{key}" = {_value(part)}' for key, part in value.items()) + " }"
    return str(value)


def span(first: date, last: date) -> str:
    """First and last day as a period."""
    return f"{first}/{last}"
