"""Moves works of a plan as late as they fit, groups that wait for each other together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scheduler.problem.usage import Usage


def right_justify(usage: Usage, groups: Sequence[Sequence[str]]) -> dict[str, int]:
    """Days of all works when each group in turn is moved as late as it fits, until none can move further.

    A group holds works that wait for each other (a batch's inoculation and its cook), last first: they move
    together. Everything else stays where it is, and so do works that are spread over days. Every step keeps
    a plan that may stand. The plan is left as it was.
    """
    before = {name: usage.lies(name) for group in groups for name in group}
    movable = [group for group in groups if all(len(before[name]) == 1 for name in group)]
    while sum(_move_late(usage, group) for group in movable):
        pass
    found = {name: min(usage.lies(name)) for name in before}
    for name in before:
        usage.take(name)
    for name, on in before.items():
        usage.put_back(name, on)
    return found


def _move_late(usage: Usage, group: Sequence[str]) -> bool:
    """Moves works of a group as late as they fit; whether any of them could be moved."""
    now = {name: min(usage.lies(name)) for name in group}
    reach = {name: usage.last_by_lags(name, group) for name in group}
    if not any(now[name] < day <= reach[name] for name in group for day in usage.late_first(name)):
        return False
    for name in group:
        usage.take(name)
    if not _place_late(usage, group, now):
        for name, day in now.items():
            usage.put(name, day)
    return any(min(usage.lies(name)) != now[name] for name in group)


def _place_late(usage: Usage, group: Sequence[str], now: Mapping[str, int]) -> bool:
    """Places works that were taken out as late as they fit together, none earlier than `now`."""
    if not group:
        return True
    name, *others = group
    last = usage.last_by_lags(name)
    for day in usage.late_first(name):
        if now[name] <= day <= last and usage.fits(name, day):
            usage.put(name, day)
            if _place_late(usage, others, now):
                return True
            usage.take(name)
    return False
