"""One batch in many seasons at once: when it is ready, which units stay good, when losses are noticed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from scheduler.outlook.course import NEVER, Grown, Run
from scheduler.outlook.dice import Dice, Flags, Floats, Ints, pert
from scheduler.science.rounding import NOISE, whole_up


@dataclass(frozen=True)
class Outcome:
    """What became of a batch; columns are seasons, rows of `good` and `noticed` are units."""

    ready: Ints
    good: Flags
    noticed: Ints
    """Day on which the loss of a unit is noticed; NEVER where it stays good."""


def grow(
    batch: Grown,
    start: Ints,
    fed: Ints,
    infected: Flags | None,
    dice: Dice,
    *,
    name: str,
    loads: Sequence[str],
    share_good: Floats,
    together: float,
    early: float,
) -> Outcome:
    """A batch inoculated on the days `start`, with the first `fed` of its units.

    `infected` says which units come from an infected parent, `name` names the dice, and `share_good` is the
    probability with which a unit of this stage stays good by itself. `together` and `early` are those of the
    course.
    """
    units = batch.units
    ready = _ready(batch, start, dice, name, together)
    rank = np.arange(units)[:, None]
    good = rank < fed
    if batch.odds is None:
        return Outcome(ready, good, np.where(good, NEVER, batch.planned))
    good &= dice.uniform(f"units:{name}", units) < share_good
    if infected is not None:
        good &= ~infected
    shows = dice.uniform(f"shown:{name}", units)
    for load in dict.fromkeys(loads):
        lost, shows_then = dice.uniform(f"load:{load}", 2)
        whole = lost >= batch.odds.load_loss
        inside = [row for row, other in enumerate(loads) if other == load]
        good[inside] &= whole
        # What went wrong with a whole load shows in all of it at once.
        shows[inside] = np.where(whole, shows[inside], shows_then)
    shown = start + _shown_after(shows, ready - start, max(batch.looks, default=0), early)
    noticed = np.broadcast_to(ready, good.shape).copy()
    for look in sorted(batch.looks, reverse=True):
        on = start + look
        seen = (shown <= on) & (on < ready)
        noticed = np.where(seen, on, noticed)
    # What could not be begun for want of parents is known to be missing from the day it was due.
    noticed = np.where(rank < fed, noticed, batch.planned)
    return Outcome(ready, good, np.where(good, NEVER, noticed))


def _shown_after(chance: Floats, run: Ints, look: int, early: float) -> Floats:
    """Days after which a loss shows: by the last look as often as `early` says, else until it is ready."""
    if not look:
        return chance * run
    late = look + (chance - early) / max(1 - early, 1e-12) * np.maximum(run - look, 0)
    return np.where(chance < early, chance / max(early, 1e-12) * look, late)


def _ready(batch: Grown, start: Ints, dice: Dice, name: str, together: float) -> Ints:
    if batch.run is None:
        return start
    shared = math.sqrt(together) * dice.normal(f"line:{batch.line}")
    own = math.sqrt(1 - together) * dice.normal(f"days:{name}")
    days = pert(shared + own, batch.run.low, batch.run.likely, batch.run.high)
    ready = ready_days(batch.run, start, days)
    return np.where(ready < NEVER, np.maximum(ready, batch.not_ready_before), NEVER)


def ready_days(run: Run, start: Ints, days: Floats) -> Ints:
    """Day on which a batch is ready that takes `days` at the reference temperature, consolidation included.

    `science.growth.ready_table` for many starts and days at once; NEVER where the season ends first.
    """
    development = np.asarray(run.development)
    last = len(development) - 1
    begin = start + whole_up(run.lag)
    inside = np.clip(begin, 0, last)
    # A broken last lag day leaves the rest of that day for growth.
    growing = whole_up(run.lag) - run.lag
    gathered = development[inside] - growing * (development[inside] - development[np.maximum(inside - 1, 0)])
    need = np.maximum(days - run.lag, 0.0) * run.rate
    ready = np.maximum(np.searchsorted(development, gathered + need - NOISE), inside)
    return np.where((begin <= last) & (ready <= last), ready + run.rest, NEVER)
