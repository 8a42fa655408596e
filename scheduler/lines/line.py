"""One strain line: finished spawn of its plantings, the grain that feeds it, the culture behind it all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import timedelta

from scheduler.lines import culture, figures, timing
from scheduler.lines.descent import descend
from scheduler.lines.shapes import BatchSpec, Demand, Growth, Line
from scheduler.lines.spares import Level
from scheduler.lines.stages import Stages
from scheduler.lines.vessels import vessel
from scheduler.season.season import Planting, Season
from scheduler.trade.catalogue import Catalogue

SEEN_AFTER = 14
"""Days until a loss is seen and there are hours and a load for the redo (common practice)."""

MEASURE_JAR = "quart jar"
"""The container that `culture.liquid_per_jar` and `jars_per_plate` are figures for."""


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
    first_stage = _first_stage(in_order)
    start = culture.source(season, catalogue, head.species, head.strain, first_stage)
    chain = _chain(season, catalogue, in_order, start.stage)
    cooked_stages = max(1, len(chain) - (0 if start.tested else 1))
    stages = Stages(
        season,
        catalogue,
        head.code,
        head.species,
        head.strain,
        level,
        {**_restarts(season, catalogue, in_order, start, chain), **restarts},
        season.certainty ** (1.0 / cooked_stages),
    )
    groups = [
        (group, [b for p in group for b in stages.finished(p, start.stage, demands[p.name].spawn_g)])
        for group in _shared_grain(in_order, catalogue)
    ]
    batches: list[BatchSpec] = []
    roots: list[BatchSpec] = []
    for group, finished in groups:
        fed = [b for b in finished if b.state == "planned" and b.stage != "grain"]
        batches += [b for b in finished if b.state != "planned"]
        if fed and group[0].route[0] == "grain":
            grain = stages.bought_grain(fed)
            batches += grain + descend(grain, fed)
        else:
            roots += fed or [b for b in finished if b.state == "planned"]
    notes: list[str] = []
    if roots:
        made, notes = _from_culture(stages, start, roots, [g for g, _ in groups], chain)
        batches = made + batches
    buffer = timing.buffer(season, catalogue, head.species, chain) if chain else 0
    chance = 1.0
    for spare in stages.spares:
        chance *= spare.chance
    names = tuple(p.name for p in in_order)
    return Line(
        head.code,
        head.species,
        head.strain,
        names,
        tuple(batches),
        tuple(stages.spares),
        buffer,
        chance,
        tuple(notes),
    )


def _first_stage(plantings: Sequence[Planting]) -> str:
    return next((p.route[0] for p in plantings if p.route[0] != "grain"), "liquid culture")


def _chain(season: Season, catalogue: Catalogue, plantings: Sequence[Planting], start: str) -> list[Growth]:
    """Growth of the stages that are made between the culture and the planting (grain, finished spawn)."""
    made = [p for p in plantings if p.spawn != "buy"]
    if not made:
        return []
    route = max((p.route for p in made), key=len)
    parent = start
    chain = []
    for stage in route:
        if stage in culture.CULTURES or (stage == "grain" and route[0] == "grain"):
            continue
        chain.append(figures.growth(season, catalogue, made[0].species, stage, parent))
        parent = stage
    return chain


def _restarts(
    season: Season,
    catalogue: Catalogue,
    plantings: Sequence[Planting],
    start: culture.Source,
    chain: Sequence[Growth],
) -> dict[str, int]:
    """Further tries that the calendar seems to allow, by stage: one where the slack holds the redo.

    A redo of a stage takes all stages up to it once more, and the days until a loss is seen and there are
    hours again. A plan that leaves less than this is sized once more without them.
    """
    species = plantings[0].species
    days = [timing.likely_days(season, catalogue, species, growth) for growth in chain]
    test_days = 0.0 if start.tested else catalogue.lab.culture.test_days.likely
    slack = (max(p.window[1] for p in plantings) - start.there_on).days - sum(days) - test_days
    made = max((p.route for p in plantings), key=len)
    stages = [stage for stage in made if stage not in culture.CULTURES]
    return {
        stage: int(slack >= sum(days[: index + 1]) + SEEN_AFTER)
        for index, stage in enumerate(stages[: len(days)])
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


def _from_culture(
    stages: Stages,
    start: culture.Source,
    roots: Sequence[BatchSpec],
    groups: Sequence[Sequence[Planting]],
    chain: Sequence[Growth],
) -> tuple[list[BatchSpec], list[str]]:
    """Culture, test, refreshed plates, enlargement and grain that end in `roots`, parents first."""
    # Grain that is itself planted is made as first generation straight from the culture.
    tops = [b for b in roots if b.stage == "grain"]
    fed = [
        [b for b in roots if b.stage != "grain" and b.plantings[0] in {p.name for p in group}]
        for group in groups
    ]
    fed = [children for children in fed if children]
    way = _way(stages, start, fed, sum(b.started for b in tops), groups, chain)
    levels: list[list[BatchSpec]] = [[] for _ in range(way.generations)]
    finished: list[BatchSpec] = []
    for index, children in enumerate(fed):
        below = list(children)
        for generation in range(way.generations, 0, -1):
            first = generation == 1
            made = stages.grain(
                below, generation, start.stage if first else "grain", 1 if first and index == 0 else 0
            )
            if not first:
                expansion = stages.catalogue.lab.culture.children_per_grain.likely
                made = [replace(b, feed_g=b.unit_mass_g / expansion) for b in made]
            fed_now = descend(made, below)
            if generation == way.generations:
                finished += fed_now
            else:
                levels[generation] += fed_now
            below = made
        levels[0] += below
    ladder, feeder, notes = _culture_batches(stages, way)
    firsts = [replace(b, feed_g=way.feed) for b in [*levels[0], *tops]]
    levels[0] = descend([feeder], firsts)
    if way.generations == 3:
        notes.append(f"{stages.code}: three grain generations; mould is easily missed in the third.")
    return [*ladder, *(b for level in levels for b in level), *finished], notes


def _way(
    stages: Stages,
    start: culture.Source,
    fed: Sequence[Sequence[BatchSpec]],
    tops: int,
    groups: Sequence[Sequence[Planting]],
    chain: Sequence[Growth],
) -> culture.Way:
    """The way from the culture to the first jars, by what the jars and the calendar ask."""
    season, catalogue, species = stages.season, stages.catalogue, stages.species
    enlarge = figures.growth(season, catalogue, species, "liquid culture", start.stage)
    spent = sum(timing.likely_days(season, catalogue, species, g) for g in chain)
    last = max(p.window[1] for group in groups for p in group)
    test_days = 0.0 if start.tested else catalogue.lab.culture.test_days.likely
    jars = sum(
        stages.jars_started(stages.jars_for(children)[0] + (index == 0)) for index, children in enumerate(fed)
    )
    return culture.way(
        season,
        catalogue,
        start,
        jars=jars + tops,
        jar_g=stages.grain_jar().mass_g("grain"),
        slack_days=(last - start.there_on).days - spent - test_days,
        enlarge_days=timing.likely_days(season, catalogue, species, enlarge),
        media_jar_g=vessel(season, catalogue, MEASURE_JAR).mass_g("grain"),
    )


def _culture_batches(stages: Stages, way: culture.Way) -> tuple[list[BatchSpec], BatchSpec, list[str]]:
    """The culture and what is done with it, parents first, and the batch that feeds the first jars."""
    season, catalogue, lab = stages.season, stages.catalogue, stages.catalogue.lab.culture
    start = way.source
    names = tuple(p.name for p in season.plantings if p.code == stages.code)
    held = _culture_in_hand(stages, start, names)
    ladder = [held]
    notes: list[str] = []
    feeder = held
    if way.test:
        days = lab.test_days
        count = round(lab.test_plates.likely)
        test = stages.bench_batch(
            "plate",
            count,
            "plate",
            names,
            growth=Growth(days.lowest, days.likely, days.highest, days.likely, 0.0),
            feed_g=lab.test_volume.likely / count,
            bench="test-culture",
        )
        ladder += descend([held], [replace(test, is_test=True)])
    if way.refresh_plates:
        fresh = stages.bench_batch(
            "plate",
            way.refresh_plates,
            "plate",
            names,
            growth=figures.growth(season, catalogue, stages.species, "plate", start.stage),
            feed_g=1.0 / lab.plates_per_plate.likely,
            bench="refresh-culture",
        )
        back = min(round(lab.keep_back_plates.likely), way.refresh_plates - 1)
        fresh = replace(fresh, keep_back=back, needed=way.refresh_plates - back)
        feeder = descend([held], [fresh])[0]
        ladder.append(feeder)
    if way.enlarge_bottles:
        bottle = vessel(season, catalogue, "culture bottle").mass_g("liquid culture")
        big = stages.bench_batch(
            "liquid culture",
            way.enlarge_bottles,
            "culture bottle",
            names,
            growth=figures.growth(season, catalogue, stages.species, "liquid culture", start.stage),
            feed_g=min(bottle / lab.enlarge.likely, start.amount - culture.kept_ml(catalogue, start)),
            bench="inoculate",
        )
        feeder = descend([held], [big])[0]
        ladder.append(feeder)
        notes.append(f"{stages.code}: the culture in hand is too small for the jars and is enlarged first.")
    return ladder, feeder, notes


def _culture_in_hand(stages: Stages, start: culture.Source, names: tuple[str, ...]) -> BatchSpec:
    season, catalogue = stages.season, stages.catalogue
    liquid = start.stage == "liquid culture"
    container = "syringe" if liquid else start.stage
    units = 1 if liquid else max(1, round(start.amount))
    held = stages.blank(start.stage, units, vessel(season, catalogue, container), names)
    if liquid:
        held = replace(held, unit_mass_g=start.amount)
    lead = (start.there_on - season.today).days
    return stages.there(held, "bought" if start.bought else "in hand", lead=lead, aged=start.aged_days)
