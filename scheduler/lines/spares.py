"""How many units of a stage are started, against losses: a wish, priced in loads and bench days.

Law of the survivors: each unit is lost with a probability that is itself uncertain (Beta), a whole load is
lost with a small probability, and a parent unit may carry a hidden infection that takes all its children
(`science.losses.survivors`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Literal

from scheduler.science import losses
from scheduler.science.restarts import tries

WORTH_A_BENCH_DAY = 0.05
"""A further load, and so a further bench day, is added for no less than five points of chance."""

WITH_REDO = "with the redo that the calendar allows"
"""Why of a choice that leans on further tries: a plan that leaves no time for them is sized again."""
_SHED = "spares shed so that the season fits"
_LIMITED = "what it is made from allows no more"

Level = Literal["wished", "halfway", "bare"]


@dataclass(frozen=True)
class Odds:
    """What can go wrong at one stage: Beta law of good units, chance that a load or a parent is lost."""

    good_a: float
    good_b: float
    load_loss: float
    hidden: float


@dataclass(frozen=True)
class Choice:
    """Units started, the chance that enough survive, and why not more."""

    started: int
    chance: float
    why: str


@dataclass(frozen=True)
class Chosen:
    """Spares and margins that are set, whatever the wish alone would take."""

    spares: Mapping[tuple[str, str], int] = field(default_factory=dict)
    """Units beyond the need, by line and stage as among the spares: ``SHI``, ``grain G1, Oak stack``."""
    margin: Mapping[str, int] = field(default_factory=dict)
    """Days on top of those that the wish asks for between ready and planting, by line."""

    def of(self, line: str) -> dict[str, int]:
        """The spares of one line, by stage."""
        return {stage: units for (code, stage), units in self.spares.items() if code == line}


NOTHING_SET = Chosen()


@lru_cache(maxsize=4096)
def chance(need: int, started: int, load_holds: int, children: int, odds: Odds) -> float:
    """Chance that at least `need` of `started` units survive losses.

    Units are spread evenly over the fewest loads and, in order, over parents of `children` units each
    (0: over parents of their own).
    """
    # First what whole loads and parents leave (as if every unit were sure), then single losses among those.
    spared = _spared(started, load_holds, children, odds.load_loss, odds.hidden)
    left = range(need, started + 1)
    return min(1.0, math.fsum(spared[units] * _singly(need, units, odds) for units in left))


@lru_cache(maxsize=4096)
def _spared(
    started: int, load_holds: int, children: int, load_loss: float, hidden: float
) -> tuple[float, ...]:
    """Chance of each number of units that neither a lost load nor a sick parent takes."""
    parents = split_evenly(started, children or 1)
    loads: list[list[int]] = []
    for size in split_evenly(started, load_holds):
        row = [0] * len(parents)
        for index, rest in enumerate(parents):
            row[index] = min(rest, size - sum(row))
            parents[index] -= row[index]
        loads.append(row)
    return tuple(losses.survivors(loads, 1.0, 0.0, load_loss, hidden))


@lru_cache(maxsize=4096)
def _singly(need: int, started: int, odds: Odds) -> float:
    """Chance that at least `need` survive where no load and no parent is lost as a whole."""
    return losses.chance_at_least(losses.beta_binomial_pmf(started, odds.good_a, odds.good_b), need)


def split_evenly(total: int, most: int) -> list[int]:
    """Fewest parts of at most `most`, as equal as they can be, larger ones first."""
    parts = -(-total // most)
    return [total // parts + (1 if index < total % parts else 0) for index in range(parts)]


def choose(
    need: int,
    *,
    load_holds: int,
    children: int,
    odds: Odds,
    restarts: int,
    wish: float,
    level: Level,
    most: int | None = None,
) -> Choice:
    """Units to start for a stage that needs `need` good ones; never more than `most`, if that is enough.

    Loads that are cooked anyway are filled towards the wish (up to twice the need and one). Further loads are
    weighed against the chance they bring, and against the redo that the calendar still allows (`_loads`).
    """
    if level == "bare":
        reached = chance(need, need, load_holds, children, odds)
        return Choice(need, reached, "wish reached" if reached >= wish else _SHED)
    ceiling = 2 * need + 1 if most is None else max(need, min(2 * need + 1, most))
    weighed = list(_weighed(need, load_holds, ceiling, children, odds, restarts, wish))
    loads = _loads(weighed, restarts)
    started, reached = weighed[loads]
    if reached >= wish:
        why = "wish reached"
    elif losses.with_restarts(reached, restarts) >= wish or loads < _loads(weighed, 0):
        why = WITH_REDO
    elif (-(-need // load_holds) + loads) * load_holds >= ceiling:
        why = _LIMITED if ceiling == most else "twice the need and one is the most"
    else:
        why = "another load would bring less than five points"
    if level == "halfway" and started > need:
        started = need + (started - need) // 2
        reached, why = chance(need, started, load_holds, children, odds), _SHED
    return Choice(started, reached, why)


def as_set(need: int, spare: int, *, load_holds: int, children: int, odds: Odds, most: int | None) -> Choice:
    """The choice where so many spares are set; fewer, where no more than `most` can be started."""
    started = need + spare if most is None else max(need, min(need + spare, most))
    reached = chance(need, started, load_holds, children, odds)
    return Choice(started, reached, _LIMITED if started < need + spare else "for the chance asked for")


def _weighed(
    need: int, load_holds: int, ceiling: int, children: int, odds: Odds, restarts: int, wish: float
) -> Iterator[tuple[int, float]]:
    """The units and chance of one further load after the other, until the wish is reached, redo included.

    Loads that cannot be worth their bench days are weighed by single losses alone, which is quick.
    """
    least = -(-need // load_holds)
    best = 0.0
    for further in range(-(-ceiling // load_holds) - least + 1):
        high = min((least + further) * load_holds, ceiling)
        hoped = _singly(need, high, odds)
        if further and hoped - further * WORTH_A_BENCH_DAY < best:
            yield high, 0.0
            continue
        started, reached = _best(need, high, load_holds, children, odds, wish)
        yield started, reached
        best = max(best, reached - further * WORTH_A_BENCH_DAY)
        if losses.with_restarts(reached, restarts) >= wish:
            return


def _loads(weighed: Sequence[tuple[int, float]], restarts: int) -> int:
    """How many of the further loads are worth it, where a stage that fails can be made again so many times.

    A redo takes a bench day, and one for each further load; a stage that comes to nothing counts as twenty,
    which is what `WORTH_A_BENCH_DAY` says. The fewer tries are left, the more is made in each.
    """
    lots = range(len(weighed))
    failed = 1 / WORTH_A_BENCH_DAY
    nothing = -1

    def law(lot: int) -> tuple[float, ...]:
        reached = 0.0 if lot == nothing else weighed[lot][1]
        return 1 - reached, reached

    if restarts:
        redo = tries(
            1,
            restarts - 1,
            lots=(nothing, *lots),
            cost=lambda lot: 1.0 + lot,
            short=lambda _: failed,
            law=law,
        )
        failed = redo[0].cost
    return tries(1, 0, lots=lots, cost=float, short=lambda _: failed, law=law)[0].lots[-1]


def _best(need: int, high: int, load_holds: int, children: int, odds: Odds, wish: float) -> tuple[int, float]:
    """Fewest units, up to `high`, that reach the wish, else the fewest of the best chance; and the chance."""
    target = min(wish, chance(need, high, load_holds, children, odds))
    # No count can do better than against single losses alone: smaller ones need not be weighed in full.
    low = losses.fewest_started(need, odds.good_a, odds.good_b, target - 1e-9, high) or high
    at, reached = high, 0.0
    for started in range(low, high + 1):
        got = chance(need, started, load_holds, children, odds)
        if got > reached + 1e-12:
            at, reached = started, got
        if got >= wish:
            break
    return at, reached
