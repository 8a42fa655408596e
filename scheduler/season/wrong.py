"""Says of one value what was found, what is allowed and what may have been meant."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, time
from difflib import get_close_matches

_LONGEST = 60
_LARGEST = 10**15


class Wrong(ValueError):
    """A value that cannot stand; the place in the file is added by whoever knows it."""

    def __init__(self, found: str, allowed: str, hint: str = "") -> None:
        super().__init__(found)
        self.found = found
        self.allowed = allowed
        self.hint = hint


def shown(value: object) -> str:
    """Quotes a value of the file in a message, on one line and never longer than a line."""
    match value:
        case bool():
            return str(value).lower()
        case int() if abs(value) > _LARGEST:
            return "a very large number"
        case str():
            text = value if value.isprintable() else value.encode("unicode_escape").decode("ascii")
            return f'"{text[:_LONGEST]}..."' if len(text) > _LONGEST else f'"{text}"'
        case date() | time():
            return value.isoformat()
        case dict():
            return "a table"
        case list():
            return "a list"
        case _:
            return str(value)


def listed(words: Collection[str], last: str = "or") -> str:
    """Joins words as a person would: ``a, b or c``."""
    *most, end = words or ["nothing"]
    return f"{', '.join(most)} {last} {end}" if most else end


def nearest(word: str, words: Iterable[str], likeness: float = 0.6) -> str | None:
    """The known word that looks most like `word`, or None where none is alike enough (0 to 1)."""
    by_folded = {known.casefold(): known for known in words}
    folded = word.strip().casefold()[:_LONGEST]
    for known in by_folded:
        if len(folded) >= 3 and (known.startswith(folded) or folded.startswith(known)):
            return by_folded[known]
    close = get_close_matches(folded, by_folded, n=1, cutoff=likeness)
    return by_folded[close[0]] if close else None


def meant(word: str, words: Iterable[str]) -> str:
    """The hint for a mistyped word, or an empty text."""
    near = nearest(word, words)
    return f'did you mean "{near}"?' if near else ""
