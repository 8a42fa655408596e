"""Which spawn is bought where the season leaves it open (`spawn = "either"`).

Everything is made where that fits. Else as few plantings as possible are bought: single ones first, then
pairs, always first those whose buying saves most minutes at the bench, and where many have to be bought the
shortest row of them in that order, less whatever can be spared again. After that a planting whose made spawn
falls far short of the wished chance is bought, where that costs no other planting anything.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import chain, combinations, islice

from scheduler import measures
from scheduler.errors import SeasonError
from scheduler.lines.sizing import size
from scheduler.plan import Plan, PlantingPlan
from scheduler.present.chances import whole
from scheduler.season.season import Season
from scheduler.service.attempt import Made, Refusal, can_be_planned, make
from scheduler.solve.look import Effort, Watch
from scheduler.solve.params import Budget
from scheduler.trade.catalogue import Catalogue

FAR_SHORT = 0.05
"""So far below the wished chance made spawn may fall before bought spawn is looked at."""
TRIES = 14
"""Sets of plantings that are tried; single ones and pairs take no more than `SMALL` of them."""
SMALL = 7
GAINS = 6
"""Times that buying one more for its chance alone is weighed; each takes a whole plan."""


@dataclass(frozen=True)
class Best:
    """A plan, the season with nothing left open that it was made for, and why each planting is bought."""

    made: Made
    season: Season
    bought: Mapping[str, str]


def best(season: Season, catalogue: Catalogue, watch: Watch | None = None) -> Best | Refusal:
    """The plan with the fewest plantings bought of those that may be, and why each of them is.

    The refusal is that of the season with all spawn made. Raises SeasonError where the lab cannot make what
    has to be made.
    """
    made: Made | Refusal | None = None
    try:
        made = make(_bought(season, ()), catalogue, watch=watch)
    except SeasonError:
        if not _open(season):
            raise
    if isinstance(made, Made):
        return _gaining(season, catalogue, made, {}, watch)
    if made is not None and not _open(season):
        return made
    names = fewest(
        by_relief(season, catalogue),
        lambda names: can_be_planned(_bought(season, names), catalogue, Effort(Budget())),
    )
    found = make(_bought(season, names), catalogue, watch=watch)
    if isinstance(found, Refusal):
        return made or found
    why = (
        "the season does not fit where all spawn is made"
        if made
        else "the lab as described cannot make all spawn"
    )
    return _gaining(season, catalogue, found, dict.fromkeys(names, why), watch)


def _open(season: Season) -> list[str]:
    """Names of the plantings whose spawn may be made or bought."""
    return [planting.name for planting in season.plantings if planting.spawn == "either"]


def _bought(season: Season, names: Iterable[str]) -> Season:
    """The season with nothing left open: the named plantings are bought, the others made."""
    bought = set(names)
    return replace(
        season,
        plantings=tuple(
            replace(p, spawn="buy" if p.name in bought else "make") if p.spawn == "either" else p
            for p in season.plantings
        ),
    )


def by_relief(season: Season, catalogue: Catalogue) -> list[str]:
    """Names of the open plantings, first the one whose buying leaves the fewest minutes at the bench."""

    def left(name: str) -> float:
        try:
            sizing = size(_bought(season, (name,)), catalogue, "bare", {})
        except SeasonError:
            return math.inf
        return sum(batch.minutes for line in sizing.lines for batch in line.batches if batch.growth)

    return sorted(_open(season), key=left)


def fewest(order: Sequence[str], fit: Callable[[Sequence[str]], bool]) -> Sequence[str]:
    """The first small set that fits, else the shortest row from the beginning less what can be spared.

    All of them where nothing less fits. `fit` is asked about a dozen times at most (`TRIES`).
    """
    if len(order) == 1 or not fit(order):
        return order
    small = chain(combinations(order, 1), combinations(order, 2))
    tried = [names for names in islice(small, SMALL) if len(names) < len(order)]
    found = next((names for names in tried if fit(names)), None)
    if found is not None:
        return found
    left = TRIES - 1 - len(tried)
    low, high = min(3, len(order)), len(order)
    while low < high and left:
        middle, left = (low + high) // 2, left - 1
        low, high = (low, middle) if fit(order[:middle]) else (middle + 1, high)
    row = list(order[:high])
    for name in row[::-1][1:][:left]:
        fewer = [other for other in row if other != name]
        row = fewer if fit(fewer) else row
    return row


def _gaining(
    season: Season, catalogue: Catalogue, made: Made, bought: dict[str, str], watch: Watch | None
) -> Best:
    """The plan with those bought as well that gain much of their chance by it, at no cost to the others.

    Where the grower stops the search, the plan that was found before stands.
    """
    plan = made.plan
    queue = _short_of_chance(season, plan, bought) if plan.status == "planned" else []
    for _ in range(GAINS):
        if not queue:
            break
        name = queue.pop(0)
        try:
            other = make(_bought(season, (*bought, name)), catalogue, watch=watch)
        except KeyboardInterrupt:
            break
        if isinstance(other, Refusal):
            continue
        if other.plan.status == "stopped":
            break
        if _is_no_worse(plan, other.plan):
            bought = {**bought, name: _short(_planting(plan, name).chance, season.certainty)}
            made, plan = other, other.plan
            queue = _short_of_chance(season, plan, bought)  # what did not gain before may gain now
    return Best(replace(made, plan=told(plan, bought)), _bought(season, bought), bought)


def _short_of_chance(season: Season, plan: Plan, bought: dict[str, str]) -> list[str]:
    """Names of open plantings far short of the wished chance that bought spawn can reach, lowest first."""
    there = season.today + timedelta(days=season.lead.spawn + 1)
    low = [
        planting.name
        for planting in season.plantings
        if planting.spawn == "either"
        and planting.name not in bought
        and planting.window[1] >= there
        and _planting(plan, planting.name).chance < season.certainty - FAR_SHORT
    ]
    return sorted(low, key=lambda name: _planting(plan, name).chance)


def _short(made: float, wish: float) -> str:
    return f"made, it would reach a chance of {measures.chance(made)}, and {whole(wish)} is wished"


def _planting(plan: Plan, name: str) -> PlantingPlan:
    return next(planting for planting in plan.plantings if planting.name == name)


def _is_no_worse(before: Plan, after: Plan) -> bool:
    """Whether no planting has less of a chance, or lies further outside its best span."""
    return all(
        new.chance >= old.chance and _outside_best(new) <= _outside_best(old)
        for old, new in zip(before.plantings, after.plantings, strict=True)
    )


def _outside_best(planting: PlantingPlan) -> int:
    early = (planting.best[0] - min(planting.plant_on)).days
    late = (max(planting.plant_on) - planting.best[1]).days
    return max(0, early, late)


def told(plan: Plan, bought: Mapping[str, str]) -> Plan:
    """The plan with the reason of each planting that is bought beside its line, and among the notes."""
    if not bought:
        return plan
    offers = tuple(
        replace(offer, why="; ".join(dict.fromkeys(bought[n] for n in offer.plantings if n in bought)))
        for offer in plan.make_or_buy
    )
    notes = [f"The spawn for {name} is bought: {why}." for name, why in bought.items()]
    return replace(plan, make_or_buy=offers, notes=(*notes, *plan.notes))
