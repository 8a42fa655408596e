"""Losses: from what became of units to the posterior of their chance, stage by stage, and of whole loads.

A load of which nothing lives may have been lost as one, or each unit by itself; the same goes for the
children of one parent, which a hidden infection takes together. The book cannot tell, so each such group
counts for both, by how likely either is (`science.learned_losses.as_one`): as so much of a lost load, and as
so many units that were lost by themselves. What went as one says nothing of the single unit.
"""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence

from scheduler.learned import BAND, Loss, LossLearned, how_much
from scheduler.lines.observed import Fate
from scheduler.science.learned_losses import Law, Tried, all_lost, as_one, loss_posterior, rate_between
from scheduler.science.losses import beta_from
from scheduler.trade.catalogue import Catalogue

LOAD = "load"
"""Stands for a stage where whole loads are meant."""

Group = Sequence[Fate]


def learn_losses(catalogue: Catalogue, workspace: str, fates: Sequence[Fate]) -> tuple[LossLearned, ...]:
    """What the fates of units say of each stage of which there are any, and of loads.

    `catalogue` is the trade's, without what was learned before.
    """
    lab = catalogue.lab
    priors: dict[str, Law] = {
        loss.stage: beta_from(1 - loss.rate.likely, loss.weight.likely)
        for loss in lab.losses[workspace]  # type: ignore[index]
    }
    groups = _Groups(catalogue, priors, fates)
    stages = [stage for stage in priors if any(fate.stage == stage for fate in fates)]
    found = [_of_stage(stage, priors[stage], groups) for stage in stages]
    if groups.loads:
        found.append(_of_loads(beta_from(1 - lab.load_loss.likely, lab.load_weight.likely), groups))
    return tuple(found)


class _Groups:
    """Units by load and by parent, and how far those that are all lost were lost as one."""

    def __init__(self, catalogue: Catalogue, priors: Mapping[str, Law], fates: Sequence[Fate]) -> None:
        self._catalogue = catalogue
        self.fates = fates
        self.loads = _grouped((fate for fate in fates if fate.load), lambda fate: fate.load)
        families = _grouped((fate for fate in fates if fate.parent), _family)
        lost_loads = {name for name, load in self.loads.items() if _all_lost(load)}
        self._lost_families = {name: one for name, one in families.items() if _all_lost(one)}
        self._laws = {
            stage: loss_posterior(
                law,
                self.tried(
                    (one, float(one.lost))
                    for one in fates
                    if one.stage == stage
                    and one.load not in lost_loads
                    and _family(one) not in self._lost_families
                ),
            )
            for stage, law in priors.items()
        }
        hidden = catalogue.lab.hidden_infection.likely
        self._family_as_one = {
            name: as_one(hidden, all_lost(self._laws[one[0].stage], len(one)))
            for name, one in self._lost_families.items()
        }
        self.load_as_one = {
            name: as_one(catalogue.lab.load_loss.likely, self._otherwise(self.loads[name], hidden))
            for name in lost_loads
        }

    def tried(self, units: Iterable[tuple[Fate, float]]) -> list[Tried]:
        """Counts of units alike; each comes with the part of it that was lost by itself."""
        counts: dict[tuple[float, float, float], list[float]] = defaultdict(lambda: [0.0, 0.0])
        for fate, lost in units:
            times = self._catalogue.species[fate.species].losses.likely
            good, bad = (0.0, lost) if fate.lost else (1.0, 0.0)
            if fate.lost or fate.seen > 0:
                count = counts[times, fate.extra, 1.0 if fate.lost else round(fate.seen, 2)]
                count[0] += good
                count[1] += bad
        return [Tried(good, bad, *key) for key, (good, bad) in sorted(counts.items())]

    def alone(self, fate: Fate) -> float:
        """How far a lost unit counts as lost by itself, and neither with its load nor with its parent."""
        with_load = self.load_as_one.get(fate.load or "", 0.0)
        return (1 - with_load) * (1 - self._family_as_one.get(_family(fate), 0.0))

    def loads_known(self) -> dict[str, Group]:
        """Loads that are all lost, or of which a unit still lived at an age by which a lost load shows."""
        early = self._catalogue.lab.shown_early.likely
        return {
            name: load
            for name, load in self.loads.items()
            if name in self.load_as_one or any(not one.lost and one.seen >= early for one in load)
        }

    def _otherwise(self, load: Group, hidden: float) -> float:
        """Chance that all of a load is lost, but not as one: unit by unit, or with its parents."""
        chance = 1.0
        for (stage, family), units in Counter((one.stage, _family(one)) for one in load).items():
            singly = all_lost(self._laws[stage], units)
            chance *= hidden + (1 - hidden) * singly if family in self._lost_families else singly
        return chance


def _of_stage(stage: str, prior: Law, groups: _Groups) -> LossLearned:
    fates = [fate for fate in groups.fates if fate.stage == stage]
    lost = [(fate, groups.alone(fate)) for fate in fates if fate.lost]
    living = [fate for fate in fates if not fate.lost]
    known = [fate for fate in living if fate.seen > 0]
    posterior = loss_posterior(prior, groups.tried([*lost, *((fate, 0.0) for fate in known)]))
    return _learned(
        stage,
        prior,
        posterior,
        made=len(lost) + len(known),
        lost=len(lost),
        growing=sum(fate.seen < 1 for fate in known),
        with_others=math.fsum(1 - alone for _, alone in lost),
        unknown=len(living) - len(known),
    )


def _of_loads(prior: Law, groups: _Groups) -> LossLearned:
    known = groups.loads_known()
    as_one_ = math.fsum(groups.load_as_one.values())
    posterior = loss_posterior(prior, [Tried(len(known) - as_one_, as_one_)])
    lost = len(groups.load_as_one)
    return _learned(
        LOAD, prior, posterior, made=len(known), lost=lost, unknown=len(groups.loads) - len(known)
    )


def _learned(
    stage: str,
    prior: Law,
    posterior: Law,
    *,
    made: int,
    lost: int,
    unknown: int,
    growing: int = 0,
    with_others: float = 0.0,
) -> LossLearned:
    before, after = _loss(prior), _loss(posterior)
    own = max(0.0, 1 - before.worth / after.worth)
    return LossLearned(
        stage, before, made, lost, growing, round(with_others, 1), unknown, after, own, how_much(made, own)
    )


def _loss(law: Law) -> Loss:
    """A Beta law as a page and a file have it; the mean of a very uneven one may lie outside its band."""
    good_a, good_b = law
    rate = good_b / (good_a + good_b)
    low, high = rate_between(law, BAND)
    return Loss(min(low, rate), rate, max(high, rate), good_a + good_b)


def _all_lost(units: Group) -> bool:
    return all(fate.lost for fate in units)


def _family(fate: Fate) -> str:
    """Children of one parent unit at one stage; of no known parent, nobody's."""
    return f"{fate.stage} of {fate.parent}" if fate.parent else ""


def _grouped(fates: Iterable[Fate], key: Callable[[Fate], str | None]) -> dict[str, Group]:
    groups: dict[str, list[Fate]] = defaultdict(list)
    for fate in fates:
        groups[key(fate) or ""].append(fate)
    return dict(groups)
