"""One strain line: finished spawn of its plantings, the grain that feeds it, the culture behind it all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from datetime import timedelta

from scheduler.lines import chips, figures, ladder, spawn, supply, timing, transfers
from scheduler.lines.descent import descend
from scheduler.lines.shapes import BatchSpec, Demand, Growth, Line
from scheduler.lines.spares import NOTHING_SET, Chosen, Level
from scheduler.lines.stages import Stages
from scheduler.lines.stock import InHand, in_hand
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue

LIQUID = "liquid culture"
"""The stage a planting is reckoned from where none of its spawn is made from a culture."""

SEEN_AFTER = 14
"""Days until a loss is seen and there are hours and a load for the redo (common practice)."""


def build(
    season: Season,
    catalogue: Catalogue,
    plantings: Sequence[Planting],
    demands: Mapping[str, Demand],
    level: Level,
    restarts: Mapping[str, int],
    chosen: Chosen = NOTHING_SET,
) -> Line:
    """The line of one strain; `plantings` are all of that strain."""
    head = plantings[0]
    in_order = sorted(plantings, key=lambda p: (p.best[0], p.index))
    together = _shared_grain(in_order, catalogue)
    turns = supply.turns(season, catalogue, together, level)
    from_stage = {p.name: turn.held[0].stage for turn in turns for p in turn.plantings}
    course = supply.course(season, catalogue, in_order, next(iter(from_stage.values()), LIQUID))
    buffer = course.buffer + chosen.margin.get(head.code, 0)
    stages = Stages(
        season,
        catalogue,
        head.code,
        head.species,
        head.strain,
        level,
        {**_restarts(season, catalogue, in_order, course.chain, buffer), **restarts},
        season.certainty ** (1.0 / max(1, len(course.chain))),
        chosen=chosen.of(head.code),
    )
    stock = in_hand(season, catalogue, head.species, head.strain)
    groups = [
        [
            b
            for p in group
            for b in spawn.finished(stages, stock, p, from_stage.get(p.name, LIQUID), demands[p.name])
        ]
        for group in together
    ]
    batches, roots = _fed_by_grain(
        stages, stock, groups, {p.name for p in plantings if p.route[0] == "grain"}
    )
    notes = [chips.note(season, b, demands[b.plantings[0]]) for b in batches if b.stage == "chips"]
    grown: list[BatchSpec] = []
    for turn in turns:
        mine = [group for group in roots if group[0].plantings[0] in {p.name for p in turn.plantings}]
        if mine:
            can_enlarge = _can_enlarge(season, catalogue, turn)
            made, more = ladder.from_culture(stages, turn.held, mine, can_enlarge=can_enlarge)
            grown, notes = grown + made, notes + more
    return Line(
        head.code,
        head.species,
        head.strain,
        tuple(p.name for p in in_order),
        tuple(transfers.counted(grown + batches)),
        tuple(stages.spares),
        buffer,
        tuple(notes),
    )


def _fed_by_grain(
    stages: Stages, stock: Sequence[InHand], groups: Sequence[Sequence[BatchSpec]], on_bought: Set[str]
) -> tuple[list[BatchSpec], list[list[BatchSpec]]]:
    """What needs no culture (there already, or fed from grain in hand or bought), and the rest by its groups.

    `groups` are finished batches that share grain, `on_bought` names the plantings whose grain is bought.
    """
    hungry = [b for group in groups for b in group if b.state == "planned" and b.stage != "grain"]
    grain, fed = spawn.from_grain_in_hand(stages, stock, hungry)
    batches = [b for group in groups for b in group if b.state != "planned"] + grain + fed
    done = {b.id for b in batches}
    roots: list[list[BatchSpec]] = []
    for group in groups:
        rest = [b for b in group if b.id not in done]
        if rest and rest[0].stage != "grain" and rest[0].plantings[0] in on_bought:
            bought = spawn.bought_grain(stages, rest)
            batches += bought + descend(bought, rest)
        elif rest:
            roots.append(rest)
    return batches, roots


def _can_enlarge(season: Season, catalogue: Catalogue, turn: supply.Turn) -> bool:
    """Whether the calendar leaves the days to enlarge a culture, beyond the likely days of test and chain.

    It begins with plates or bottles, which have to come first.
    """
    start, species = turn.held[0], turn.plantings[0].species
    chain = supply.course(season, catalogue, turn.plantings, start.stage).chain
    enlarge = figures.growth(season, catalogue, species, "liquid culture", start.stage)
    grows = sum(timing.likely_days(season, catalogue, species, one) for one in (*chain.values(), enlarge))
    test_days = 0.0 if start.tested else catalogue.lab.culture.test_days.likely
    media = season.today + timedelta(days=season.lead.supplies)
    begin = max(start.there_on, season.no_work_before, media)
    return (max(p.window[1] for p in turn.plantings) - begin).days >= grows + test_days


def _restarts(
    season: Season,
    catalogue: Catalogue,
    plantings: Sequence[Planting],
    chain: Mapping[str, Growth],
    buffer: int,
) -> dict[str, int]:
    """Further tries that the calendar seems to allow, by stage: one where what is left behind it is enough.

    Spawn is made late, so what is left is the buffer and the days of the window behind the best span; a redo
    takes the stage once more, and the days until a loss is seen and there are hours again. A plan that leaves
    less than this is sized once more without them.
    """
    species = plantings[0].species
    left = buffer + min((p.window[1] - p.best[1]).days for p in plantings)
    return {
        stage: int(left >= timing.likely_days(season, catalogue, species, growth) + SEEN_AFTER)
        for stage, growth in chain.items()
    }


def _shared_grain(plantings: Sequence[Planting], catalogue: Catalogue) -> list[list[Planting]]:
    """Plantings (by best span) in groups whose spans begin within the grain's keeping time."""
    keeps = int(figures.keeping(catalogue, plantings[0].species, "grain").fridge_keeps.likely)
    groups: list[list[Planting]] = []
    for planting in plantings:
        together = groups and (
            planting.best[0] - groups[-1][0].best[0] <= timedelta(days=keeps)
            and (planting.route[0] == "grain") == (groups[-1][0].route[0] == "grain")
            and (planting.route[-1] == "grain") == (groups[-1][0].route[-1] == "grain")
        )
        if together:
            groups[-1].append(planting)
        else:
            groups.append([planting])
    return groups
