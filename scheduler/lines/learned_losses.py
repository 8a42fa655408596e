"""Losses: from what became of units to the posterior of their chance, stage by stage, and of whole loads.

A load of which nothing lives may have been lost as one, or each unit by itself; the same goes for the
children of one parent, which a hidden infection takes together. The book cannot tell, so both are weighed
(`science.learned_losses`). A hidden infection is as frequent as the trade has it; that is not learned.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence

from scheduler.learned import BAND, Loss, LossLearned, how_much
from scheduler.lines.observed import Fate
from scheduler.science.learned_losses import (
    Kin,
    Law,
    Loads,
    LostLoad,
    Tried,
    all_lost,
    as_one,
    load_posterior,
    loss_posterior,
    rate_between,
)
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
    of_loads = beta_from(1 - lab.load_loss.likely, lab.load_weight.likely)
    groups = _Groups(catalogue, priors, of_loads, fates)
    found = [_of_stage(stage, priors[stage], groups) for stage in groups.stages]
    if groups.loads:
        found.append(_of_loads(of_loads, groups))
    return tuple(found)


class _Groups:
    """Units by load and by parent, and which of these are all lost."""

    def __init__(
        self, catalogue: Catalogue, priors: Mapping[str, Law], of_loads: Law, fates: Sequence[Fate]
    ) -> None:
        self._catalogue = catalogue
        self._of_loads = of_loads
        self.fates = fates
        self.stages = [stage for stage in priors if any(fate.stage == stage for fate in fates)]
        self.loads = _grouped((fate for fate in fates if fate.load), lambda fate: fate.load)
        self.lost_loads = {name: load for name, load in self.loads.items() if _all_lost(load)}
        self.kept_loads = sum(map(self._lived, self.loads.values()))
        families = _grouped((fate for fate in fates if fate.parent), _family)
        self._lost_families = {name for name, family in families.items() if _all_lost(family)}
        self._laws = {stage: loss_posterior(priors[stage], *self.outside(stage)) for stage in self.stages}

    def outside(self, stage: str) -> tuple[list[Tried], list[Kin]]:
        """The units of a stage that are in no lost load: those that count singly, and families all lost."""
        units = [fate for fate in self.fates if fate.stage == stage and fate.load not in self.lost_loads]
        singly = [fate for fate in units if _family(fate) not in self._lost_families]
        return self._tried(singly), self._kin(fate for fate in units if _family(fate) in self._lost_families)

    def loads_of(self, stage: str) -> Loads:
        """All loads, as they bear on a stage: what else is in them is lost by what is known of its stage."""
        lost = []
        for load in self.lost_loads.values():
            kin = self._kin(fate for fate in load if fate.stage == stage)
            others = [fate for fate in load if fate.stage != stage]
            lost.append(LostLoad(tuple(kin), self._otherwise(others)))
        return Loads(self._of_loads, self.kept_loads, tuple(lost))

    def law(self, stage: str) -> Law:
        """What is known of single units of a stage by all that is in no lost load."""
        return self._laws[stage]

    def together(self, fate: Fate) -> float:
        """How likely a lost unit went with its load or its parent, by what is known outside of lost loads."""
        alone = 1.0
        if fate.load in self.lost_loads:
            load = self._catalogue.lab.load_loss.likely
            alone *= 1 - as_one(load, self._otherwise(self.lost_loads[fate.load or ""]))
        if _family(fate) in self._lost_families:
            family = [one for one in self.fates if _family(one) == _family(fate)]
            hidden = self._catalogue.lab.hidden_infection.likely
            alone *= 1 - as_one(hidden, all_lost(self._laws[fate.stage], len(family)))
        return 1 - alone

    def _lived(self, load: Group) -> bool:
        """Whether a unit of a load still lived at an age by which most losses show."""
        early = self._catalogue.lab.shown_early.likely
        return any(not fate.lost and fate.seen >= early for fate in load)

    def _tried(self, units: Iterable[Fate]) -> list[Tried]:
        counts: dict[tuple[float, float, float], list[int]] = defaultdict(lambda: [0, 0])
        for fate in units:
            if fate.lost or fate.seen > 0:
                seen = 1.0 if fate.lost else round(fate.seen, 2)
                counts[self._times(fate), fate.extra, seen][fate.lost] += 1
        return [Tried(good, lost, *key) for key, (good, lost) in sorted(counts.items())]

    def _kin(self, units: Iterable[Fate]) -> list[Kin]:
        """Units that are all lost, by parent; nobody knows of an infection where no parent is known."""
        hidden = self._catalogue.lab.hidden_infection.likely
        return [
            Kin(
                hidden if name in self._lost_families else 0.0,
                Tried(0, len(family), self._times(family[0]), family[0].extra),
            )
            for name, family in _grouped(units, _family).items()
        ]

    def _otherwise(self, units: Group) -> float:
        """Chance that units of a load are all lost, but not with it."""
        chance = 1.0
        for kin, stage in ((self._kin([*family]), family[0].stage) for family in _by_family(units)):
            singly = all_lost(self._laws[stage], kin[0].units.lost)
            chance *= kin[0].hidden + (1 - kin[0].hidden) * singly
        return chance

    def _times(self, fate: Fate) -> float:
        return self._catalogue.species[fate.species].losses.likely


def _of_stage(stage: str, prior: Law, groups: _Groups) -> LossLearned:
    fates = [fate for fate in groups.fates if fate.stage == stage]
    lost = [fate for fate in fates if fate.lost]
    living = [fate for fate in fates if not fate.lost]
    known = [fate for fate in living if fate.seen > 0]
    return _learned(
        stage,
        prior,
        loss_posterior(prior, *groups.outside(stage), groups.loads_of(stage)),
        made=len(lost) + len(known),
        lost=len(lost),
        growing=sum(fate.seen < 1 for fate in known),
        with_others=math.fsum(map(groups.together, lost)),
        unknown=len(living) - len(known),
    )


def _of_loads(prior: Law, groups: _Groups) -> LossLearned:
    lost = list(groups.lost_loads.values())
    # The stage with most of the lost loads is weighed for all its chances, others by what is known of them.
    stages = [load[0].stage for load in lost] or groups.stages
    most = max(groups.stages, key=stages.count)
    made = groups.kept_loads + len(lost)
    return _learned(
        LOAD,
        prior,
        load_posterior(groups.loads_of(most), groups.law(most)),
        made=made,
        lost=len(lost),
        unknown=len(groups.loads) - made,
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


def _by_family(units: Group) -> list[Group]:
    """Units of one stage and parent together."""
    return list(_grouped(units, lambda fate: f"{fate.stage} of {fate.parent}").values())


def _family(fate: Fate) -> str:
    """Children of one parent unit at one stage; of no known parent, nobody's."""
    return f"{fate.stage} of {fate.parent}" if fate.parent else ""


def _grouped(fates: Iterable[Fate], key: Callable[[Fate], str | None]) -> dict[str, Group]:
    groups: dict[str, list[Fate]] = defaultdict(list)
    for fate in fates:
        groups[key(fate) or ""].append(fate)
    return dict(groups)
