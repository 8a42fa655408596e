"""By which it is seen that a season is no longer as it was shown."""

from __future__ import annotations

import hashlib

from scheduler.service.feed import state_of
from scheduler.service.under_way import UnderWay


def stamp_of(state: UnderWay) -> str:
    """Another one after every entry, every plan, every change to the season file, and every day."""
    known = (state.kept.plan_no, len(state.recorded), state_of(state.file)[0], state.today)
    return hashlib.sha256(repr(known).encode()).hexdigest()[:16]
