"""One strain line: finished spawn of its plantings, the grain that feeds it, the culture behind it all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import timedelta

from scheduler.lines import chips, culture, figures, ladder, spawn, timing
from scheduler.lines.descent import descend
from scheduler.lines.shapes import BatchSpec, Demand, Growth, Line
from scheduler.lines.spares import Level
from scheduler.lines.stages import Stages
from scheduler.lines.stock import in_hand
from scheduler.science.rounding import whole_up
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue

SEEN_AFTER = 14
"""Days until a loss is seen and there are hours and a load for the redo (common practice)."""


def build(
    season: Season,
    catalogue: Catalogue,
    plantings: Sequence[Planting],
    demands: Mapping[str, Demand],
    level: Level,
    restarts: Mapping[str, int],
) -> Line:
    """The line of one strain; `plantings` are all of that strain."""
    head = plantings[0]
    in_order = sorted(plantings, key=lambda p: (p.best[0], p.index))
    held = culture.sources(season, catalogue, head.species, head.strain, _first_stage(in_order))
    start = held[0]
    chain = _chain(season, catalogue, in_order, start.stage)
    buffer = timing.buffer(season, catalogue, head.species, list(chain.values())) if chain else 0
    slack = _slack(season, catalogue, in_order, start, chain)
    stages = Stages(
        season,
        catalogue,
        head.code,
        head.species,
        head.strain,
        level,
        {**_restarts(season, catalogue, in_order, chain, buffer), **restarts},
        season.certainty ** (1.0 / max(1, len(chain))),
    )
    stock = in_hand(season, catalogue, head.species, head.strain)
    groups = [
        [b for p in group for b in spawn.finished(stages, stock, p, start.stage, demands[p.name])]
        for group in _shared_grain(in_order, catalogue)
    ]
    hungry = [b for group in groups for b in group if b.state == "planned" and b.stage != "grain"]
    grain, fed = spawn.from_grain_in_hand(stages, stock, hungry)
    batches = [b for group in groups for b in group if b.state != "planned"] + grain + fed
    done = {b.id for b in batches}
    by_name = {p.name: p for p in plantings}
    roots: list[list[BatchSpec]] = []
    for group in groups:
        rest = [b for b in group if b.id not in done]
        if rest and rest[0].stage != "grain" and by_name[rest[0].plantings[0]].route[0] == "grain":
            bought = spawn.bought_grain(stages, rest)
            batches += bought + descend(bought, rest)
        elif rest:
            roots.append(rest)
    notes = [chips.note(season, b, demands[b.plantings[0]]) for b in batches if b.stage == "chips"]
    if roots:
        enlarge = figures.growth(season, catalogue, head.species, "liquid culture", start.stage)
        spare = slack - timing.likely_days(season, catalogue, head.species, enlarge)
        held = _together(stages, in_order, held, chain, buffer)
        made, more = ladder.from_culture(stages, held, roots, can_enlarge=spare >= 0)
        batches, notes = made + batches, notes + more
    chance = 1.0
    for spares in stages.spares:
        chance *= spares.chance
    return Line(
        head.code,
        head.species,
        head.strain,
        tuple(p.name for p in in_order),
        tuple(batches),
        tuple(stages.spares),
        buffer,
        chance,
        tuple(notes),
    )


def _first_stage(plantings: Sequence[Planting]) -> str:
    return next((p.route[0] for p in plantings if p.route[0] != "grain"), "liquid culture")


def _chain(
    season: Season, catalogue: Catalogue, plantings: Sequence[Planting], start: str
) -> dict[str, Growth]:
    """Growth of the stages that are made between the culture and the planting (grain, finished spawn)."""
    made = [p for p in plantings if p.spawn != "buy"]
    if not made:
        return {}
    route = max((p.route for p in made), key=len)
    parent = start
    chain = {}
    for stage in route:
        if stage in culture.CULTURES or (stage == "grain" and route[0] == "grain"):
            continue
        chain[stage] = figures.growth(season, catalogue, made[0].species, stage, parent)
        parent = stage
    return chain


def _together(
    stages: Stages,
    plantings: Sequence[Planting],
    held: Sequence[culture.Source],
    chain: Mapping[str, Growth],
    buffer: int,
) -> tuple[culture.Source, ...]:
    """The cultures that may be used together for plantings in their best spans.

    Where the season does not fit and spares are shed, they have to keep for any day of the windows.
    """
    season, catalogue, species = stages.season, stages.catalogue, stages.species
    grows = whole_up(sum(timing.likely_days(season, catalogue, species, growth) for growth in chain.values()))
    last = max((p.best if stages.level == "wished" else p.window)[1] for p in plantings)
    return culture.together(
        catalogue,
        species,
        held,
        plantings[0].best[0] - timedelta(days=grows + buffer),
        last - timedelta(days=grows),
    )


def _slack(
    season: Season,
    catalogue: Catalogue,
    plantings: Sequence[Planting],
    start: culture.Source,
    chain: Mapping[str, Growth],
) -> float:
    """Days that the calendar leaves beyond the likely days of test and chain, once work may begin.

    It begins with plates or bottles, which have to come first.
    """
    species = plantings[0].species
    grows = sum(timing.likely_days(season, catalogue, species, growth) for growth in chain.values())
    test_days = 0.0 if start.tested else catalogue.lab.culture.test_days.likely
    media = season.today + timedelta(days=season.lead.supplies)
    begin = max(start.there_on, season.no_work_before, media)
    return (max(p.window[1] for p in plantings) - begin).days - grows - test_days


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
