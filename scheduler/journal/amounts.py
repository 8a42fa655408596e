"""Reads amounts as growers type them: ``22``, ``1.2 kg``, ``2 lb 10 oz``, ``10 mL``, ``liquid culture``."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.journal.kinds import COUNTED, STAGES
from scheduler.season.units import EXAMPLES, Measure, amount, quantity
from scheduler.season.wrong import Wrong, listed, shown

_LONGEST = 3
"""Words of one quantity at the most: ``2 fl oz``."""
MOST = 10_000
"""More units, or pieces, than any season has."""


def count(tokens: Sequence[str]) -> tuple[int | None, list[str]]:
    """A whole number at the beginning of the words, None where there is none, and the words after it."""
    if not tokens or not tokens[0].isascii() or not tokens[0].isdecimal():
        return None, list(tokens)
    found = int(tokens[0][:9])
    if not 1 <= found <= MOST:
        raise Wrong(shown(tokens[0]), f"a whole number from 1 to {MOST}")
    return found, list(tokens[1:])


def measured(tokens: Sequence[str], measure: Measure, unit: str) -> tuple[float | None, list[str]]:
    """A quantity at the beginning of the words, the sum of ``2 lb 10 oz``; None where there is none."""
    total: float | None = None
    rest = list(tokens)
    while rest and rest[0][:1].isdigit():
        for size in range(min(_LONGEST, len(rest)), 0, -1):
            try:
                total = (total or 0.0) + quantity(" ".join(rest[:size]), measure, unit)
            except Wrong:
                continue
            rest = rest[size:]
            break
        else:
            return total, rest
    return total, rest


def grams(tokens: Sequence[str]) -> tuple[float, list[str]]:
    """A mass at the beginning of the words, in grams. Raises `Wrong` where there is none."""
    found, rest = measured(tokens, "mass", "gram")
    if not found:
        raise Wrong(shown(" ".join(tokens)) if tokens else "no mass", EXAMPLES["mass"])
    return found, rest


def log(tokens: Sequence[str]) -> tuple[tuple[str, ...], list[str]]:
    """The marked log that the words begin with, ``log 2``, none where they do not, and the words after it."""
    if not tokens or tokens[0].casefold() != "log":
        return (), list(tokens)
    number, rest = count(tokens[1:])
    if number is None:
        raise Wrong(shown(" ".join(tokens[:2])), "the number of a marked log, such as log 2")
    return (f"log {number}",), rest


def stage(tokens: Sequence[str]) -> tuple[str | None, str, list[str]]:
    """The strain, where one is named before it, the stage, and the words after it."""
    for place in range(len(tokens)):
        for name, words in STAGES.items():
            for word in words:
                size = len(word.split())
                if " ".join(tokens[place : place + size]).casefold() == word:
                    strain = " ".join(tokens[:place]) or None
                    return strain, name, list(tokens[place + size :])
    found = f"no stage in {shown(' '.join(tokens))}" if tokens else "no stage is named"
    raise Wrong(found, f"what was found: {listed(list(STAGES))}")


def in_hand(stage: str, tokens: Sequence[str]) -> tuple[float | None, int | None, list[str]]:
    """Millilitres or grams, or how many units, of a stage; and the words after it."""
    for size in range(min(_LONGEST, len(tokens)), 0, -1):
        try:
            value, unit = amount(" ".join(tokens[:size]))
        except Wrong:
            continue
        if stage in COUNTED or (unit == "mL") != (stage == "liquid culture") or value <= 0:
            raise Wrong(f"{value:g} {unit} of {stage}", _allowed(stage))
        return value, None, list(tokens[size:])
    units, rest = count(tokens)
    if units is None:
        raise Wrong(shown(" ".join(tokens)) if tokens else "no amount", _allowed(stage))
    return None, units, rest


def _allowed(stage: str) -> str:
    if stage in COUNTED:
        return f"how many, for {stage}"
    unit = 'mL, such as "12 mL"' if stage == "liquid culture" else 'kg or lb, such as "1.7 kg"'
    return f"for {stage} either an amount in {unit}, or how many"
