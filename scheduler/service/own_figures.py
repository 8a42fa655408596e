"""Writes what was learned into a grower's own figures file, and leaves all else in it as it stands.

The record is one block between two marks. A later one takes its place as a whole, so that nothing is ever
counted twice: it is always learned from the trade's figures and the books that are named.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from scheduler.errors import Fault, UsageError
from scheduler.learned import DaysLearned, Learned, Loss, LossLearned
from scheduler.lines.learned_losses import LOAD
from scheduler.present.files import require_place, write_atomically
from scheduler.season.notation import key, toml
from scheduler.trade.own import OwnDays, OwnFrom, OwnLoss, OwnRecord

BEGIN = "# What budswell learn keeps: from here to its end mark all is written anew each time."
END = "# The end of what budswell learn keeps."

_LEAST = 1e-6
"""Shares below this are written as this."""


def keep(path: Path, learned: Learned, keep_files: Iterable[Path]) -> None:
    """Puts the record into the file at `path`, whole or not at all; none of `keep_files` may be it.

    Raises UsageError where the file cannot be read or written, its marks are not right, or what stands beside
    them does not go with the record; nothing is changed then.
    """
    require_place(path, keep=keep_files, suffix=".own.toml")
    write_atomically(path, composed(_read(path), record_of(learned), str(path)).encode())


def record_of(learned: Learned) -> OwnRecord:
    """What is kept: the figures of which there are own data, rounded as one writes them."""
    units = {one.stage: _loss(one) for one in learned.losses if one.made and one.stage != LOAD}
    loads = next((_loss(one) for one in learned.losses if one.made and one.stage == LOAD), None)
    days: dict[str, dict[Any, OwnDays]] = {}
    for one in learned.days:
        if batches(one):
            spread = _round(one.narrower)
            own = OwnDays(factor=_round(one.factor), spread=spread, batches=batches(one))
            days.setdefault(one.species, {})[one.stage] = own
    return OwnRecord(
        learned=OwnFrom(
            seasons=[one.name for one in learned.seasons],
            entries=sum(one.entries for one in learned.seasons),
            prior=learned.prior,
        ),
        losses={learned.workspace: units} if units else {},
        loads=loads,
        days=days,
    )


def batches(days: DaysLearned) -> int:
    """Batches that tell something of their days."""
    return days.known + days.between + days.growing


def composed(text: str, record: OwnRecord, where: str) -> str:
    """The text with the record in the place of the one before it, else at its end; UsageError as `keep`."""
    line_end = "\r\n" if "\r\n" in text else "\n"
    block = line_end.join([BEGIN, *_lines(record), END]) + line_end
    before, after = _around(text, where)
    if before and not before.endswith("\n"):
        before += line_end
    whole = before + block + after
    try:
        found = OwnRecord.model_validate(tomllib.loads(whole))
    except (tomllib.TOMLDecodeError, ValidationError) as error:
        reason = error.errors()[0]["msg"] if isinstance(error, ValidationError) else str(error)
        raise UsageError(
            Fault(
                where,
                f"what stands beside the marks does not go with what was learned: {reason}",
                "comments, and tables that were not learned",
                "take out or put right what was written by hand",
            )
        ) from None
    assert found.learned == record.learned  # what is written is what is read again
    return whole


def _read(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError) as error:
        found = f"it cannot be read: {error.strerror if isinstance(error, OSError) else 'no UTF-8'}"
        raise UsageError(Fault(str(path), found, "a readable file in UTF-8")) from None


def _around(text: str, where: str) -> tuple[str, str]:
    """What stands before and after the record that was kept before; all of it before, where there is none."""
    lines = re.findall(r"[^\n]*\n|[^\n]+", text)
    marks = [(place, line.strip()) for place, line in enumerate(lines) if line.strip() in (BEGIN, END)]
    if not marks:
        return text, ""
    if [mark for _, mark in marks] != [BEGIN, END]:
        hint = "take out what lies between them, and the marks"
        raise UsageError(Fault(where, "the marks around what was learned are not whole", "both, once", hint))
    (begin, _), (end, _) = marks
    return "".join(lines[:begin]), "".join(lines[end + 1 :])


def _lines(record: OwnRecord) -> Iterator[str]:
    if record.learned:
        yield from _table(("learned",), record.learned.model_dump())
    for workspace, stages in record.losses.items():
        for stage, loss in stages.items():
            yield from _table(("losses", workspace, stage), loss.model_dump())
    if record.loads:
        yield from _table(("loads",), record.loads.model_dump())
    for species, of_species in record.days.items():
        for stage, days in of_species.items():
            yield from _table(("days", species, stage), days.model_dump())


def _table(name: tuple[str, ...], values: dict[str, Any]) -> Iterator[str]:
    yield f"[{key(*name)}]"
    yield from (f"{key(one)} = {toml(value)}" for one, value in values.items())


def _loss(one: LossLearned) -> OwnLoss:
    loss: Loss = one.posterior
    low, rate, high = (max(_LEAST, _round(share)) for share in (loss.low, loss.rate, loss.high))
    return OwnLoss(low=low, rate=rate, high=high, worth=_round(loss.worth), made=one.made, lost=one.lost)


def _round(number: float) -> float:
    """Four figures that count."""
    return float(f"{number:.4g}")
