"""Every figure of the catalogue that is called published, against what its source prints.

Typed from the sources in their own units and apart from the profiles. None stands where a source prints nothing of
that end: there the catalogue says in a note what else its band rests on.
"""

from __future__ import annotations

from fnmatch import fnmatchcase

import pytest

from scheduler.trade.catalogue import load
from tests.published.cited import cited

FIGURES = dict(load().figures())
INCH_MM = 25.4
KG_M3_PER_LB_FT3 = 16.018463


def celsius(fahrenheit: float) -> float:
    """Degrees C."""
    return (fahrenheit - 32) * 5 / 9


# Source, figure (a star stands for every species), then low, likely and high as printed, and half of the last place.
ROWS: list[tuple[str, str, float | None, float | None, float | None, float]] = [
    # Temperatures of mycelium, C
    ("stamets-chilton-1983", "species.blewit.temperature.min", None, celsius(40), None, 0.05),
    ("stamets-chilton-1983", "species.blewit.temperature.optimum", celsius(70), None, celsius(75), 0.5),
    ("stamets-chilton-1983", "species.blewit.temperature.max", None, celsius(86), None, 0.05),
    ("stamets-chilton-1983", "species.blewit.temperature.reference", None, celsius(72.5), None, 0.6),
    ("kaneko-2003", "species.chestnut.temperature.optimum", None, 26, None, 0),
    ("kaneko-2003", "species.chestnut.temperature.max", 35, None, 40, 0),
    ("kaneko-2003", "species.chestnut.temperature.reference", None, 22.5, None, 0.5),
    ("kaneko-2003", "species.chestnut.conflicts.temperature.max.says.some strains", None, 35, None, 0),
    ("kaneko-2003", "species.chestnut.conflicts.temperature.max.says.every strain", None, 40, None, 0),
    ("morimoto-1979", "species.chestnut.conflicts.temperature.optimum.says.a second paper, fastest", None, 25, None, 0),
    ("morimoto-1979", "species.chestnut.conflicts.temperature.optimum.says.a second paper, steadiest", 15, None, 20, 0),
    ("grigansky-1999", "species.lion's mane.temperature.min", None, 3, None, 0),
    ("grigansky-1999", "species.lion's mane.temperature.optimum", None, 26, None, 0),
    ("grigansky-1999", "species.lion's mane.temperature.max", None, 37, None, 0),
    ("stamets-1993", "species.lion's mane.temperature.reference", None, celsius(72.5), None, 0.6),
    ("stamets-1993", "species.enoki.temperature.reference", None, celsius(72.5), None, 0.6),
    ("stamets-1993", "species.oyster.temperature.reference", None, 24, None, 0),
    ("stamets-1993", "species.pioppino.temperature.reference", None, celsius(75), None, 0.5),
    ("pleurotus-temperature-2015", "species.oyster.temperature.optimum", None, 28, None, 0),
    ("zervakis-2001", "species.oyster.conflicts.temperature.optimum.says.ten species compared", None, 30, None, 0),
    ("ubc-expedition", "species.oyster.conflicts.temperature.optimum.says.three temperatures compared", None, 25, None, 0),
    ("cjmid-2019", "species.oyster.conflicts.temperature.optimum.says.two strains compared", None, 22, None, 0),
    ("zervakis-2001", "species.pioppino.temperature.optimum", 25, None, 30, 0),
    ("zervakis-2001", "species.pioppino.conflicts.temperature.optimum.says.one medium", None, 30, None, 0),
    ("zervakis-2001", "species.pioppino.conflicts.temperature.optimum.says.another medium", None, 25, None, 0),
    ("nguyen-ganoderma", "species.reishi.temperature.optimum", 25, None, 30, 0),
    ("mata-2015", "species.shiitake.temperature.optimum", None, 25, 30, 0),
    ("zervakis-2001", "species.shiitake.conflicts.temperature.optimum.says.some strains of one trial", None, 20, None, 0),
    ("zervakis-2001", "species.shiitake.conflicts.temperature.optimum.says.others of the same trial", None, 30, None, 0),
    ("bonenfant-1997", "species.wine cap.temperature.optimum", None, 25, None, 0),
    ("acta-edulis-2024", "lab.core_warmer", None, 4, None, 0),
    # Days of the lab
    ("stamets-1993", "species.*.days.lag", 1, None, 2, 0),
    ("stamets-1993", "species.brick cap.days.sawdust", 20, None, 28, 0),
    ("stamets-1993", "species.brick cap.conflicts.consolidation.sawdust.says.the handbook, of a fruiting block", 14, None, 28, 0),
    ("kaneko-2003", "species.chestnut.conflicts.days.sawdust.says.bottles before fruiting", None, 10 * 7, None, 0),
    ("stamets-1993", "species.enoki.days.sawdust", 14, None, 18, 0),
    ("acta-edulis-2024", "species.enoki.conflicts.days.sawdust.says.a factory at 13 to 17 C", 20, 22, 23, 0),
    ("stamets-1993", "species.lion's mane.conflicts.days.sawdust.says.the handbook, of a fruiting block", 10, None, 14, 0),
    ("stamets-1993", "species.nameko.conflicts.days.sawdust.says.the handbook, of a fruiting block", None, 2 * 7, None, 0),
    ("stamets-1993", "species.oyster.days.sawdust", 12, None, 21, 0),
    ("shnyreva-2017", "species.oyster.conflicts.days.sawdust.says.a laboratory, several species", 17, None, 24, 0),
    ("jongman-2013", "species.oyster.days.grain.plate", 7, None, 17, 0),
    ("jongman-2013", "species.oyster.conflicts.days.grain.plate.says.barley", None, 14, None, 0),
    ("kortei-2015", "species.oyster.conflicts.days.grain.plate.says.sorghum, a second trial", None, 7, None, 0),
    ("vikaspedia-oyster", "species.oyster.conflicts.days.grain.plate.says.bottles, India", 15, 15, 18, 0),
    ("stamets-1993", "species.pioppino.days.sawdust", 20, None, 28, 0),
    ("chungnam-ganoderma", "species.reishi.days.sawdust", 26, None, 32, 0),
    ("chungnam-ganoderma", "species.reishi.conflicts.days.sawdust.says.isolates of Taiwan and North America", 26, None, 30, 0),
    ("stamets-1993", "species.shiitake.conflicts.days.sawdust.says.the handbook", 35, None, 70, 0),
    ("royse-1985", "species.shiitake.conflicts.days.sawdust.says.a trial of two lengths", 58, None, 116, 0),
    ("stamets-1993", "lab.container.2.3 kg bag.rest_days", 1, None, 2, 0),
    ("stamets-1993", "lab.container.4.8 kg bag.rest_days", 1, None, 2, 0),
    ("stamets-1993", "lab.treatment.pressure grain 4.8 kg bag.hold", None, 4 * 60, None, 0),
    ("stamets-1993", "lab.treatment.steam bags 2.3 kg bag.hold", 12 * 60, 14 * 60, 16 * 60, 0),
    ("stamets-1993", "lab.keeping.plate.shelf_fresh", None, 2 * 7, None, 0),
    ("stamets-1993", "lab.keeping.grain.fridge_keeps", None, None, 60, 0),
    ("stamets-1993", "lab.keeping.sawdust.fridge_fresh", None, 60, None, 0),
    ("stamets-1993", "lab.keeping.pellet.fridge_fresh", None, 60, None, 0),
    # Amounts of the lab
    ("stamets-1993", "lab.container.2.3 kg bag.sawdust", None, 5 * 453.59237, None, 50),
    ("stamets-1993", "lab.container.4.8 kg bag.volume", None, 12.53, None, 0.05),
    ("stamets-1993", "lab.container.4.8 kg bag.grain", None, 3300 + 1400 + 12, 4826, 50),
    ("stamets-1993", "lab.culture.children_per_grain", 5, 10, 20, 0),
    ("stamets-1993", "lab.inoculation_rate.sawdust", None, 10, None, 0),
    ("stamets-1993", "lab.grain_water", 600 / 800, 200 / 200, 150 / 100, 0),
    ("stamets-1993", "lab.grain_dry", None, 200 / 401, None, 0.005),
    ("stamets-1993", "lab.max_generation", 2, 3, 4, 0),
    ("stamets-1993", "lab.warn_generation", None, 3, None, 0),
    ("imsbc-pellets", "lab.pellet_moisture", 4, None, 8, 0),
    ("stamets-chilton-1983", "lab.substrate_moisture", None, None, 65, 0),
    # Rest, first flush, years, harvest
    ("ext-totem", "species.lion's mane.rest", None, None, 90, 0),
    ("ext-totem", "species.oyster.rest", None, None, 90, 0),
    ("shiitake-bmp-2013", "species.shiitake.rest", 1, None, 3 * 7, 0),
    ("uk-for-77", "species.shiitake.conflicts.rest.says.Kentucky", 2, None, 14, 0),
    ("nc-stokes-2014", "species.shiitake.conflicts.rest.says.a county in North Carolina", None, 2 * 7, None, 0),
    ("oyster-stumps-2004", "wood_rules.oldest", 5 * 30, None, 365, 0),
    ("chen-2002", "species.reishi.first_flush", 2 * 12, None, 3 * 12, 0),
    ("uk-for-85", "species.shiitake.first_flush", 6, None, 18, 0),
    ("uk-for-83", "species.shiitake.conflicts.first_flush.says.Kentucky", 6, None, 12, 0),
    ("osu-f-0041", "species.shiitake.conflicts.first_flush.says.Ohio, the run of the log alone", 6, None, 24, 0),
    ("cornell-cris-2011", "species.shiitake.conflicts.first_flush.says.New York", 12, None, None, 0),
    ("umd-res-11", "species.shiitake.years", 3, None, 5, 0),
    ("umd-res-11", "species.shiitake.harvest.by_year.1", None, 1 / 6, None, 0.0005),
    ("umd-res-11", "species.shiitake.harvest.by_year.2", None, 2 / 6, None, 0.0005),
    ("umd-res-11", "species.shiitake.harvest.by_year.3", None, 2 / 6, None, 0.0005),
    ("umd-res-11", "species.shiitake.harvest.by_year.4", None, 1 / 6, None, 0.0005),
    ("sabota-1996", "species.shiitake.conflicts.harvest.per.log.says.a trial of woods and strains", 0, None, 8.8, 0),
    ("oyster-wood-2013", "species.oyster.conflicts.harvest.per.log.says.one trial of logs", 21.69, None, 29.05, 0.051),
    # Holes, planting weather
    ("sabota-1996", "methods.drilled logs.figures.hole_diameter_mm", None, 12, None, 0),
    ("sabota-1996", "methods.drilled logs.figures.hole_depth_mm", None, 25, None, 0),
    ("sabota-1996", "methods.drilled logs.figures.spacing_along_cm", None, 15, None, 0),
    ("sabota-1996", "methods.drilled logs.figures.spacing_around_cm", None, 5, None, 0),
    ("uk-for-77", "methods.drilled logs.figures.dowel_diameter_mm", 5 / 16 * INCH_MM, None, None, 0.1),
    ("uk-for-77", "methods.drilled logs.figures.dowel_depth_mm", INCH_MM, None, 1.5 * INCH_MM, 0.5),
    ("sabota-1996", "run.pattern.15 x 5 cm.along", None, 15, None, 0),
    ("sabota-1996", "run.pattern.15 x 5 cm.around", None, 5, None, 0),
    ("uk-for-77", "run.pattern.15 x 7.6 cm.along", None, 0.6 * INCH_MM, None, 0.005),
    ("uk-for-77", "run.pattern.15 x 7.6 cm.around", None, 0.3 * INCH_MM, None, 0.005),
    ("ext-totem", "lab.opened_most", None, 30, None, 0),
    ("stamets-1993", "care.soaking.flush", 7, None, 14, 0),
    ("ext-totem", "methods.totem.planting.day", None, celsius(50), None, 0.05),
    # Green wood, lb/ft3, and moisture, % of the wet mass
    ("nrs-38", "woods.oak.green_density", 73 * KG_M3_PER_LB_FT3, 77 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.boxelder.green_density", None, 55 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.beech.green_density", None, 59 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.hornbeam.green_density", None, 59 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.poplar.green_density", None, 54 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.aspen.green_density", None, 53 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.willow.green_density", None, 61 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.black cherry.green_density", None, 52 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.hickory.green_density", None, 74 * KG_M3_PER_LB_FT3, None, 0.6),
    ("nrs-38", "woods.sycamore.green_density", None, 58 * KG_M3_PER_LB_FT3, None, 0.6),
    ("cha-2010", "woods.Japanese cedar.fresh_moisture", None, 62.43, None, 0.05),
    ("cha-2010", "woods.hinoki cypress.fresh_moisture", None, 51.11, None, 0.05),
    # Drying and moisture
    ("jakubowski-2022", "wood_rules.loss_winter", None, 7 / (125 / 7), None, 0.05),
    ("usfs-ne-133", "wood_rules.loss_spring", 5.3 / 12, None, 14.5 / 12, 0.01),
    ("visser-2014", "wood_rules.loss_summer", 1.2, None, 1.7, 0),
    ("uk-for-82", "wood_rules.moisture_ideal", None, 35, None, 0),
    ("uk-for-82", "wood_rules.moisture_lethal", None, 23, None, 0),
    ("uk-for-82", "wood_rules.moisture_left_alone", 20, None, 25, 0),
    ("uk-for-82", "wood_rules.enough_rain", None, INCH_MM, None, 0),
    ("osu-f-0041", "wood_rules.moisture_danger", None, 25, None, 0),
    ("uk-for-83", "wood_rules.loss_to_water", None, 10, None, 0),
    ("uk-for-83", "species.shiitake.conflicts.wood_rules.loss_to_water.says.the example beside the rule", None, 100 * 6 / 35, None, 0.5),
    ("uk-for-83", "wood_rules.weigh_in_heat", None, 7, None, 0),
    ("uk-for-83", "wood_rules.weigh_else", 14, None, 28, 0),
    ("osu-f-0041", "wood_rules.moisture_floor", 25, 30, None, 0),
    # Weather
    ("nws-frost-freeze", "weather.rules.freeze", None, celsius(32), None, 0.05),
    ("nws-frost-freeze", "weather.rules.hard_freeze", None, celsius(28), None, 0.05),
    ("npn-aspen", "weather.rules.bud_break.forcing", 203, 236, 307, 0),
    ("npn-aspen", "weather.rules.bud_break.base", None, 0, None, 0),
    ("man-2017", "weather.rules.bud_break.chill_hours", None, 1100, None, 0),
    ("raulier-2000", "weather.rules.bud_break.chill_below", 3, 10, 10, 0),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "source", "low", "likely", "high", "half"),
    [cited(source, name, name, source, *printed) for source, name, *printed in ROWS],
)
def test_a_published_figure_is_what_its_source_prints(
    name: str, source: str, low: float | None, likely: float | None, high: float | None, half: float
) -> None:
    """Each end that is printed is the catalogue's, in its unit and to the printed place, with that source."""
    found = [figure for key, figure in FIGURES.items() if fnmatchcase(key, name)]
    assert found
    for figure in found:
        assert (figure.basis, figure.source) == ("published", source)
        for printed, ours in ((low, figure.lowest), (likely, figure.likely), (high, figure.highest)):
            assert printed is None or ours == pytest.approx(printed, abs=half + 1e-9)


def test_no_published_figure_is_left_out() -> None:
    """What the catalogue calls published is compared with print above."""
    patterns = [name for _, name, *_ in ROWS]
    assert [
        key
        for key, figure in FIGURES.items()
        if figure.basis == "published" and not any(fnmatchcase(key, pattern) for pattern in patterns)
    ] == []
