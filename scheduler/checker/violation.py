"""What the checker has to say against a plan."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Violation:
    """One rule that does not hold, and where.

    `rule` is a name of ``problem.rules``, of ``schedule.STRUCTURAL`` or of ``stands.RULES``.
    """

    rule: str
    what: str
