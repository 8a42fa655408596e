"""Made-up growers: true figures drawn from the trade's own spread, and seasons of batches drawn from those.

What happens in a lab is written anew here, by the laws that planning goes by (a unit by itself, a whole load,
an infection hidden in a parent; PERT days of which a part is the grower's), and shares no code with learning.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from scheduler.lines.observed import Fate, RunSeen
from scheduler.trade.catalogue import Catalogue

WORKSPACE = "still-air box"


@dataclass(frozen=True)
class Lab:
    """What is true of one grower's lab."""

    unit_loss: float
    load_loss: float


def lab(catalogue: Catalogue, dice: random.Random) -> Lab:
    """A lab whose chances are drawn from the trade's priors, the same at every stage it works at."""
    loss = next(one for one in catalogue.lab.losses[WORKSPACE] if one.stage == "grain")  # type: ignore[index]
    rate, worth = loss.rate.likely, loss.weight.likely
    load, loads = catalogue.lab.load_loss.likely, catalogue.lab.load_weight.likely
    return Lab(
        dice.betavariate(rate * worth, (1 - rate) * worth),
        dice.betavariate(load * loads, (1 - load) * loads),
    )


def fates(
    catalogue: Catalogue, truth: Lab, dice: random.Random, *, loads: int, stopped: float, species: str
) -> Iterator[Fate]:
    """Units of loads of grain, of which a share `stopped` was last looked at while it still grew."""
    early, hidden = catalogue.lab.shown_early.likely, catalogue.lab.hidden_infection.likely
    times = catalogue.species[species].losses.likely
    parents = count()
    for load in range(loads):
        lost_load = dice.random() < truth.load_loss
        seen = early if dice.random() < stopped else 1.0
        for _ in range(dice.randint(1, 2)):
            parent = next(parents)
            infected = dice.random() < hidden
            for _ in range(dice.randint(1, 3)):
                alone = dice.random() < min(0.95, truth.unit_loss * times)
                shows = lost_load or infected or dice.random() < seen
                lost = (lost_load or infected or alone) and shows
                yield Fate(species, "grain", f"b{load}", 0.0, f"l{load}", f"p{parent}", lost, seen)


def runs(
    catalogue: Catalogue, factor: float, dice: random.Random, *, batches: int, species: str, stage: str
) -> Iterator[RunSeen]:
    """Batches of a grower whose days are so many times the trade's median, looked at on days of their own."""
    figure = getattr(catalogue.species[species].days, stage)
    median, variance = _log_normal(figure.lowest, figure.likely, figure.highest)
    own = (1 - catalogue.lab.together.likely) * variance
    for _ in range(batches):
        days = median * factor * math.exp(dice.gauss(0, math.sqrt(own)))
        if dice.random() < 0.4:  # looked for day by day
            yield RunSeen(species, stage, "", math.ceil(days) - 1, math.ceil(days), True)
            continue
        looks = [0.0]
        while looks[-1] < days and len(looks) < 6:
            looks.append(looks[-1] + dice.randint(3, 14))
        if looks[-1] < days:  # nobody has looked since
            yield RunSeen(species, stage, "", looks[-1], math.inf)
        else:
            yield RunSeen(species, stage, "", looks[-2], looks[-1])


def true_factor(catalogue: Catalogue, dice: random.Random, species: str, stage: str) -> float:
    """A grower's factor, drawn from the part of the trade's spread that batches of one lab share."""
    figure = getattr(catalogue.species[species].days, stage)
    _, variance = _log_normal(figure.lowest, figure.likely, figure.highest)
    return math.exp(dice.gauss(0, math.sqrt(catalogue.lab.together.likely * variance)))


def _log_normal(low: float, likely: float, high: float) -> tuple[float, float]:
    mean = (low + 4 * likely + high) / 6
    of_log = math.log(1 + (mean - low) * (high - mean) / 7 / mean**2)
    return mean * math.exp(-of_log / 2), of_log
