"""Calendar files of a plan as a first export writes them, without a book."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

from scheduler.ledger import Kind, Ledger, When, revised
from scheduler.plan import Plan
from scheduler.present import calendar as present
from scheduler.present.alarms import alarm as read_alarm


def when(day: date) -> When:
    """The first moment of a day."""
    return When(datetime.combine(day, time(), UTC), day)


def first_ledger(plan: Plan, kind: Kind = "VEVENT", alarm: str | None = None) -> Ledger:
    """The ledger after a first export on the plan's own day."""
    found = present.pieces(plan, kind, read_alarm(alarm) if alarm else None)
    return revised({}, [piece.shown for piece in found], kind, when(plan.season.today))


def calendar(plan: Plan, kind: Kind = "VEVENT", alarm: str | None = None) -> bytes:
    """The file of a first export on the plan's own day."""
    found = present.pieces(plan, kind, read_alarm(alarm) if alarm else None)
    return present.calendar(plan, found, first_ledger(plan, kind, alarm))
