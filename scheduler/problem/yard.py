"""The names of the outdoor works, what each needs, and what they share."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from scheduler.lines.shapes import Demand
from scheduler.lines.yard_minutes import FELLING_KINDS
from scheduler.problem import drying
from scheduler.problem.draft import Draft
from scheduler.problem.needs import Need
from scheduler.problem.shapes import Point
from scheduler.season.season import People, Planting

FELLING_SPAN = 21
CHIPS_SPAN = 7
"""Days from first to last day of felling, and of preparing chips, for one planting (common practice)."""
LEAST_MINUTES = 60
"""Work that is spread over days takes at least an hour on each (or what is left of it)."""
SOAKED_WITHIN = 3
"""Days before planting within which too dry logs go into water for a day or two (common practice)."""

CHIP_FIGURES = {"wetted in place": "wet_in_place_days", "soaked": "soak_days", "fermented": "ferment_days"}
"""Figure of the method that says how many days chips are prepared before they are planted: its low from the
last day of preparing, its high from the first."""

OWN_KINDS = {"own": FELLING_KINDS, "hired": ("buck", "haul"), "bought": ()}
"""What is left to the grower of a felling, by whose work it is."""


def plant(planting: str) -> str:
    """Name of the planting work."""
    return f"{planting}:plant"


def fell(planting: str) -> str:
    """Name of the felling work."""
    return f"{planting}:fell"


def prepare_chips(planting: str) -> str:
    """Name of the work that prepares chips."""
    return f"{planting}:prepare-chips"


def planting_need(demand: Demand) -> Need | None:
    """What a planting uses up beside spawn, wood and chips; None where that is nothing."""
    return Need(plant(demand.planting), "supplies") if demand.supplies else None


def chips_need(planting: str) -> Need:
    """The chips of a bed."""
    return Need(prepare_chips(planting), "chips")


def is_down(planting: Planting, today: date) -> bool:
    """Whether the wood is down already; a later day is the one on which it is to be felled."""
    return planting.felled is not None and planting.felled <= today


def logs_need(planting: Planting, people: People, today: date) -> Need | None:
    """Logs that are delivered; None where they are felled for the grower or down already."""
    bought = people.felling == "bought" and not is_down(planting, today)
    return Need(fell(planting.name), "supplies") if bought else None


def minutes_of(demand: Demand, kinds: Sequence[str]) -> int:
    """Minutes a piece of all steps of these kinds."""
    return sum(step.minutes_per_piece for step in demand.steps if step.kind in kinds)


def least(minutes: int) -> int:
    """Fewest pieces on a day of work that takes so many minutes a piece."""
    return math.ceil(LEAST_MINUTES / max(1, minutes))


def add_minutes(draft: Draft, name: str, minutes: int) -> None:
    """A day of felling or planting holds no inoculation after it: the hands are not clean."""
    draft.outdoors.add(name)
    draft.yard_minutes[name] = minutes


def drying_rule(draft: Draft, planting: Planting) -> str:
    """Nature's rule that wood dries."""
    return draft.nature("wood_drying", "profiles/wood.toml", f"drying:{planting.name}")


def moist_if_unsoaked(draft: Draft, planting: Planting, rule: str) -> None:
    """Where nobody is there to soak it, wood is moist by itself until the last planting day."""
    if drying.unsoaked(draft, planting, SOAKED_WITHIN):
        draft.lag(rule, Point(plant(planting.name), "unsoaked"), Point(fell(planting.name), "moist"), 0)
