"""Everything that can go wrong, as one small tree with an exit code on each branch.

BudswellError
├── SeasonError         the season file is not right: every fault at once     exit 2
├── UsageError          the command was called in a way that cannot work      exit 2
├── NoPlan              no plan fits the season; carries the refusal          exit 1
├── BookError           the book cannot be read or written                    exit 3
├── ProfileError        a figure of the catalogue is malformed                exit 2
├── UnsoundFile         a file that we would have written is not right: a bug exit 4
└── SolverDisagreement  two looks at the same problem do not agree: a bug     exit 4
"""

from __future__ import annotations

from dataclasses import dataclass


class BudswellError(Exception):
    """Base of every error a person may see; `exit_code` is the process's exit code."""

    exit_code = 2


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a file: where, what was found, what is allowed, a likely fix."""

    where: str
    """File, key path and, where it can be known, the line: ``season.toml:14 planting[0].species``."""
    found: str
    allowed: str
    hint: str = ""


class SeasonError(BudswellError):
    """A season file with one or more faults; all of them are in `faults`."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__(f"{len(faults)} fault(s)")
        self.faults = faults


class UsageError(BudswellError):
    """A command that cannot work as it was called; one fault."""

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.found)
        self.fault = fault


class ProfileError(BudswellError):
    """A file of the catalogue that does not have the shape it must have."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("; ".join(f"{f.where}: {f.found}" for f in faults))
        self.faults = faults


class NoPlan(BudswellError):
    """No plan fits. `refusal` is the finished `plan.Plan` with its conflict and remedies."""

    exit_code = 1

    def __init__(self, refusal: object) -> None:
        super().__init__("no plan fits this season")
        self.refusal = refusal


class BookError(BudswellError):
    """The book cannot be used as it is; it was left untouched."""

    exit_code = 3

    def __init__(self, fault: Fault) -> None:
        super().__init__(fault.found)
        self.fault = fault


class UnsoundFile(BudswellError):
    """A file that was about to be written and that our own check refuses; nothing was written."""

    exit_code = 4

    def __init__(self, path: str, faults: list[str]) -> None:
        super().__init__(f"{path}: {faults[0]}")
        self.path = path
        self.faults = faults


class SolverDisagreement(BudswellError):
    """Two independent looks at one problem disagree; the problem is dumped for a report."""

    exit_code = 4

    def __init__(self, what: str, details: list[str]) -> None:
        super().__init__(what)
        self.what = what
        self.details = details
