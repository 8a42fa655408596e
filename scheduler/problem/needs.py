"""What is bought for a work: by when it has to be there, and the rule that it comes no sooner than its lead.

The list of orders and the days of the works both read this, so that an order of a new plan is never late.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from scheduler.problem.draft import Draft
from scheduler.season.season import Lead

RULES = {"grain": "lead:dry-grain", "supplies": "lead:supplies", "chips": "lead:chips"}
"""Name of the rule of each lead time; ``lead:grain`` is that of bought grain spawn."""


@dataclass(frozen=True)
class Need:
    """Something bought for a work: whose lead time it has, and how many days before the work it is used."""

    work: str
    lead: Literal["grain", "supplies", "chips"]
    days_before: int = 0

    def days(self, lead: Lead) -> int:
        """Days from ordering it to having it."""
        days: int = getattr(lead, self.lead)
        return days


def limits(draft: Draft, *needs: Need | None) -> tuple[tuple[str, frozenset[int]], ...]:
    """Days on which what a work needs can be there, ordered today.

    What comes at once, and what is ordered already, sets no rule.
    """
    calendar = draft.calendar
    today = calendar.count.number(draft.season.today)
    found = []
    for need in filter(None, needs):
        lead = need.days(draft.season.lead)
        if lead and need.work not in draft.supplied:
            rule = draft.rule(
                RULES[need.lead],
                f"{need.lead}_lead",
                f"[buying].lead.{need.lead}",
                facts={"days": str(lead)},
            )
            found.append((rule, calendar.between(calendar.date(today + lead + need.days_before), None)))
    return tuple(found)
