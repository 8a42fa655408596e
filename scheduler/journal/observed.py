"""What is learned from: the fate of every unit that was made, and when every batch ran through.

Fates. A unit that was recorded lost is lost, whenever that was seen. One that lives counts in full once its
batch has come through. Before that a loss may still show: it counts by the share of losses that shows by the
day it was last looked at. That share rises evenly to `shown_early` at the second look, and from there to 1 on
the day on which the plan has the batch ready. So a batch that nobody has looked at since it was begun
says nothing, neither does a loss that was taken back, and a book that names losses only, and never what went
well, makes them look more frequent than they are: which is the safe side.

Runs. Nobody sees the day on which a batch runs through; it lies after the last look that did not find it so
and at most on the day on which it had come through. Where that was a day of the plan (a check, the move to
the fridge, a use), all of that span is open. Where it was found ready on a day of the grower's own, it was
looked for: it is known to the day. A batch that has not come through had not run through by its last look;
one that was lost says no more than that up to the look before, for it may have stood still. A batch that
nobody looked at in between and that did come through ran through at some time before. What nobody recorded
is left out and counted as unknown. Looks that nobody recorded cannot be known; they would make a span
shorter, at its early end. Days are carried over to the temperature of the trade's figure by those that the
season file has for the shelf.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from datetime import date, timedelta

from scheduler.errors import SeasonError
from scheduler.journal.made import Made
from scheduler.lines.figures import trade_days
from scheduler.lines.observed import Fate, Observed, RunSeen
from scheduler.lines.timing import cardinal, room_on
from scheduler.lines.vessels import CLASS_OF_STAGE, cooking, treatment
from scheduler.science.growth import development, reference_days
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue


def observed(made: Sequence[Made], season: Season, catalogue: Catalogue) -> Observed:
    """All that the batches made in a season tell; `catalogue` is the trade's.

    What tells loads and parents apart begins with the season's id, so that seasons can be put together.
    """
    runs = [(one, _run(one, season, catalogue)) for one in made if one.batch.stage in CLASS_OF_STAGE]
    return Observed(
        fates=tuple(fate for one, _ in runs for fate in _fates(one, season, catalogue)),
        runs=tuple(run for _, run in runs if not _is_silent(run)),
        unknown_runs=tuple(run for _, run in runs if _is_silent(run)),
    )


def _fates(made: Made, season: Season, catalogue: Catalogue) -> Iterator[Fate]:
    extra = _extra(made, season, catalogue)
    seen = 1.0 if made.through_on is not None else _seen(made, catalogue)
    for place, (unit, parent) in enumerate(made.units.items()):
        yield Fate(
            species=made.batch.species,
            stage=made.batch.stage,
            batch=f"{season.path} {made.batch.id}",
            extra=extra,
            load=f"{season.path} {made.loads[place]}" if made.loads else None,
            parent=f"{season.path} {parent}" if parent else None,
            lost=unit in made.lost,
            seen=seen,
        )


def _extra(made: Made, season: Season, catalogue: Catalogue) -> float:
    """The loss that the heat treatment of a batch adds."""
    batch = made.batch
    if batch.cook_on is None:
        return 0.0
    try:
        how = cooking(season, catalogue, batch.species, batch.stage, batch.container)
    except SeasonError:  # the cooker it was treated in is no longer named
        return 0.0
    if how.treatment is None:
        return 0.0
    class_ = CLASS_OF_STAGE[batch.stage]
    return treatment(catalogue, how.treatment, class_, batch.container).extra_loss.likely


def _seen(made: Made, catalogue: Catalogue) -> float:
    """The share of a batch's losses that shows by the last look at it."""
    if not made.looks:
        return 0.0
    age = (made.looks[-1] - made.begun_on).days
    second = next(check for check in catalogue.lab.check if check.name == "second").day.likely
    early = catalogue.lab.shown_early.likely
    ready = max((made.batch.ready_on - made.begun_on).days, second + 1)
    if age <= second:
        return early * age / second
    return min(1.0, early + (1 - early) * (age - second) / (ready - second))


def _run(made: Made, season: Season, catalogue: Catalogue) -> RunSeen:
    batch = made.batch
    gone = max(made.lost.values()) if len(made.lost) == len(made.units) and made.lost else None
    looks = [day for day in made.looks if gone is None or day < gone]
    through = made.through_on if gone is None or (made.through_on or gone) < gone else None
    after = looks[-1] if looks else made.begun_on
    to_the_day = through is not None and not made.by_plan
    if through is not None and to_the_day:
        after = max(after, through - timedelta(days=1))
    days = _Days(made, season, catalogue, through or after)
    return RunSeen(
        species=batch.species,
        stage=batch.stage,
        parent_stage=made.parent_stage,
        after=days.at_reference(after),
        by=math.inf if through is None else days.at_reference(through),
        to_the_day=to_the_day,
    )


def _is_silent(run: RunSeen) -> bool:
    return run.after == 0 and run.by == math.inf


class _Days:
    """Days of a batch in its room, as days at the temperature of the trade's figure."""

    def __init__(self, made: Made, season: Season, catalogue: Catalogue, last: date) -> None:
        species = catalogue.species[made.batch.species]
        figure = trade_days(catalogue, made.batch.species, made.batch.stage, made.parent_stage)
        self._begun = made.begun_on
        self._reference = species.temperature.reference.likely
        self._lag = min(species.days.lag.likely, figure.lowest)
        self._cardinal = cardinal(catalogue, made.batch.species)
        days = range((last - made.begun_on).days)
        rooms = [room_on(season.lab.shelf, made.begun_on + timedelta(days=day)) for day in days]
        self._gathered = development(rooms, self._cardinal, catalogue.lab.core_warmer.likely)

    def at_reference(self, day: date) -> float:
        end = (day - self._begun).days
        return reference_days(self._gathered, 0, end, self._lag, self._reference, self._cardinal)
