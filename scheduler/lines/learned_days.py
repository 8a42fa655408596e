"""Days: from when batches ran through to the posterior of how fast a stage of a species grows here."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from statistics import fmean

from scheduler.learned import BAND, Days, DaysLearned, how_much
from scheduler.lines.figures import trade_days
from scheduler.lines.observed import RunSeen
from scheduler.science.learned_days import Ran, factor_posterior, log_normal, scaled
from scheduler.trade.catalogue import Catalogue


def learn_days(
    catalogue: Catalogue, runs: Sequence[RunSeen], unknown: Sequence[RunSeen]
) -> tuple[DaysLearned, ...]:
    """What the runs of batches say of each stage of each species of which there are any.

    `catalogue` is the trade's, without what was learned before; `unknown` are runs of which nothing is known.
    """
    by_stage: dict[tuple[str, str], list[RunSeen]] = defaultdict(list)
    for run in runs:
        by_stage[run.species, run.stage].append(run)
    silent = Counter((run.species, run.stage) for run in unknown)
    return tuple(
        _of_stage(catalogue, species, stage, by_stage[species, stage], silent[species, stage])
        for species, stage in sorted({*by_stage, *silent})
    )


def _of_stage(
    catalogue: Catalogue, species: str, stage: str, runs: Sequence[RunSeen], unknown: int
) -> DaysLearned:
    shared = catalogue.lab.together.likely
    # What grain is made from changes its days, and not what the grower's factor is: the mean spread is taken.
    days = catalogue.species[species].days
    kinds = list(days.grain.values()) if stage == "grain" else [trade_days(catalogue, species, stage, "")]
    whole = fmean(log_normal(one.lowest, one.likely, one.highest)[1] for one in kinds)
    before = factor_posterior(shared * whole, [], BAND)
    after = factor_posterior(shared * whole, [_ran(catalogue, run) for run in runs], BAND)
    narrower = min(1.0, math.sqrt((after.variance + (1 - shared) * whole) / whole))
    own = max(0.0, 1 - after.variance / before.variance)
    parent = runs[0].parent_stage if stage == "grain" and runs else ""
    figure = trade_days(catalogue, species, stage, parent or "liquid culture")
    prior = (figure.lowest, figure.likely, figure.highest)
    return DaysLearned(
        species=species,
        stage=stage,
        made_from=parent,
        prior=Days(*prior),
        known=sum(run.to_the_day for run in runs),
        between=sum(not run.to_the_day and run.by < math.inf for run in runs),
        growing=sum(run.by == math.inf for run in runs),
        unknown=unknown,
        factor_low=math.exp(after.low),
        factor=math.exp(after.mean),
        factor_high=math.exp(after.high),
        narrower=narrower,
        posterior=Days(*scaled(prior, math.exp(after.mean), narrower)),
        own_share=own,
        how=how_much(len(runs), own),
    )


def _ran(catalogue: Catalogue, run: RunSeen) -> Ran:
    figure = trade_days(catalogue, run.species, run.stage, run.parent_stage)
    median, variance = log_normal(figure.lowest, figure.likely, figure.highest)
    own = (1 - catalogue.lab.together.likely) * variance
    return Ran(run.after, run.by, median, math.sqrt(own))
