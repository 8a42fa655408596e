"""Errors on the screen: one block for each, with what is wrong, where, and what most likely mends it."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from scheduler.errors import (
    BookError,
    BudswellError,
    Fault,
    NoPlan,
    ProfileError,
    SeasonError,
    SolverDisagreement,
    UnsoundFile,
    UsageError,
)
from scheduler.measures import counted
from scheduler.plan import Plan
from scheduler.present.answer import STOPPED
from scheduler.present.layout import Column, Lines, fold, heading, section, table, write
from scheduler.present.layout import paragraph as folded
from scheduler.present.refusal import show_refusal

OUR_BUG = (
    "This is a bug of ours, not a mistake in your season. No plan is shown, because two independent looks at "
    "the same problem do not agree. Please report it and send the saved problem that is named above."
)

NOT_WRITTEN = "This is a bug of ours, not a mistake in your season. Nothing was written. Please report it."
MOST_TOLD = 5
"""Faults of a file that are told."""


def show_stopped(console: Console) -> None:
    """Print that what was just written comes from a search that was interrupted."""
    write([*fold(STOPPED, console.width)], console)


def show_error(error: BudswellError, console: Console) -> None:
    """Print one clear block for an error; a `NoPlan` is printed as its refusal."""
    if isinstance(error, NoPlan) and isinstance(error.refusal, Plan):
        show_refusal(error.refusal, console)
        return
    write(_block(error, console.width), console)


def in_a_line(error: BudswellError) -> str:
    """What is wrong, where, and what is allowed, in one line for a table."""
    match error:
        case SeasonError(faults=faults) | ProfileError(faults=faults):
            return "; ".join(map(_one_line, faults))
        case UsageError(fault=fault) | BookError(fault=fault):
            return _one_line(fault)
        case SolverDisagreement(what=what, details=details):
            return ": ".join([what, *details])
    return str(error)


def _one_line(fault: Fault) -> str:
    told = (fault.found, f"allowed: {fault.allowed}" if fault.allowed else "", fault.hint)
    return f"{fault.where}: {'; '.join(filter(None, told))}"


def _block(error: BudswellError, width: int) -> Lines:
    match error:
        case SeasonError(faults=faults):
            return _faults("The season file is not right", faults, width)
        case ProfileError(faults=faults):
            return _faults("The catalogue of figures is not right", faults, width)
        case UsageError(fault=fault):
            return _faults("This cannot work as it was called", [fault], width)
        case BookError(fault=fault):
            return _faults("The book cannot be used; it was left untouched", [fault], width)
        case UnsoundFile(path=path, faults=faults):
            lines = [line for told in (path, *faults[:MOST_TOLD]) for line in folded(told, width)]
            return section("A file would not have been right", [*lines, *folded(NOT_WRITTEN, width)], width)
        case SolverDisagreement(what=what, details=details):
            lines = [line for detail in (what, *details) for line in folded(detail, width)]
            return section("Two looks at the season do not agree", [*lines, *folded(OUR_BUG, width)], width)
    return heading(str(error), width)


def _faults(heading: str, faults: Sequence[Fault], width: int) -> Lines:
    count = f" ({counted(len(faults), 'fault')})" if len(faults) > 1 else ""
    lines: Lines = []
    for fault in faults:
        rows = [("found", fault.found), ("allowed", fault.allowed), ("likely fix", fault.hint)]
        lines += folded(fault.where, width)
        lines += table((Column(), Column(soft=True)), [row for row in rows if row[1]], width, indent=4)
    return section(heading + count, lines, width)
