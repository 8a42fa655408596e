"""What is left of a season: its plantings less what was planted; and what turned up beside its stock."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from scheduler.lines.demand import demand
from scheduler.lines.shapes import Begun, Demand
from scheduler.progress import Entry, Progress
from scheduler.season.season import LogGroup, Planting, Season, Stock
from scheduler.season.strains import HOUSE
from scheduler.trade.catalogue import Catalogue


def remaining(season: Season, catalogue: Catalogue, progress: Progress) -> Season:
    """The season as it still has to be done. What is planted stands; what is not by the end of its window is
    left out, with a warning."""
    plantings, standing, warnings = list[Planting](), list(season.standing), list(season.warnings)
    for planting in season.plantings:
        pieces = demand(planting, season, catalogue).pieces
        planted = progress.planting(planting.name).planted
        left = pieces - sum(planted.values())
        is_over = planting.window[1] < season.today
        if left > 0 and not is_over:
            plantings.append(_left(planting, progress, left, pieces))
        elif planted:
            standing.append(planting.standing(max(planted), sum(planted.values())))
        if left > 0 and is_over:
            warnings.append(
                f'"{planting.name}": its window ended on {planting.window[1]}, so it is left out of the plan'
            )
    found = tuple(_stock(season, catalogue, entry) for entry in progress.found)
    return replace(
        season,
        plantings=tuple(plantings),
        standing=tuple(replace(one, cared=frozenset(progress.done)) for one in standing),
        stock=(*season.stock, *found),
        warnings=tuple(warnings),
    )


def begun(
    planting: Planting, whole: Demand, progress: Progress, chip_days: Sequence[int] = ()
) -> Begun | None:
    """What is done of a planting whose `whole` demand is given; None where nothing is.

    `chip_days` are the pieces whose chips were to be prepared on each of the planned days, in their order.
    """
    happened = progress.planting(planting.name)
    work = f"{planting.name}:prepare-chips"
    chips = {task: day for task, day in progress.done.items() if task == work or task.startswith(f"{work}:")}
    if not (happened.felled or happened.planted or chips):
        return None
    # Wood that was planted was felled, whether that was recorded or not.
    down = max(sum(happened.felled.values()), sum(happened.planted.values()))
    return Begun(
        to_fell=max(0, whole.pieces - down),
        first_felled=min(happened.felled, default=None),
        last_felled=max(happened.felled, default=None),
        chips_on=min(chips.values(), default=None),
        chips_left=sum(
            pieces
            for part, pieces in enumerate(chip_days, start=1)
            if work not in chips and f"{work}:{part}" not in chips
        ),
    )


def _left(planting: Planting, progress: Progress, left: int, pieces: int) -> Planting:
    happened = progress.planting(planting.name)
    felled = planting.felled
    if felled is None and sum(happened.felled.values()) >= pieces:
        felled = min(happened.felled)
    return replace(
        planting,
        groups=_last_of(planting.groups, left),
        area_m2=planting.area_m2 and planting.area_m2 * left / pieces,
        felled=felled,
    )


def _last_of(groups: Sequence[LogGroup], left: int) -> tuple[LogGroup, ...]:
    """The last `left` pieces of the groups: the first ones are planted first."""
    found: list[LogGroup] = []
    for group in reversed(groups):
        count = min(group.count, left)
        if count:
            found.insert(0, replace(group, count=count))
        left -= count
    return tuple(found)


def _stock(season: Season, catalogue: Catalogue, entry: Entry) -> Stock:
    """What was found, as stock in hand of the strain that the season plants of that species."""
    known: list[Planting | Stock] = [*season.plantings, *season.stock]
    kin = [one for one in known if one.species == entry.subject]
    wished = (entry.strain or "").casefold()
    like = next((one for one in kin if one.strain.casefold() == wished), None) or next(iter(kin), None)
    return Stock(
        species=entry.subject,
        strain=like.strain if like else entry.strain or HOUSE,
        code=like.code if like else catalogue.species[entry.subject].code,
        stage=entry.stage or "",
        amount=entry.amount,
        units=entry.count,
        since=entry.on,
        started=False,
        tested=False,
        transfers=None,
    )
