"""Spares and margins that are set: they are planned as they were chosen, and nothing else is."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.lines.shapes import Line, Sizing
from scheduler.lines.sizing import size
from scheduler.lines.spares import Chosen, Odds, as_set, chance
from scheduler.season.season import Season
from tests.grower import BED, CULTURE, OAK, catalogue, edited, season, stage

BAGS, GRAIN, BOTTLES = "sawdust spawn, Oak stack", "grain G1, Oak stack", "culture bottles, Oak stack"
SMALL_CULTURE = edited(CULTURE, amount='"10 mL"')
"""Too small for the jars: it is enlarged first."""


def sized(of: Season, chosen: Chosen) -> Sizing:
    """A season sized with what is chosen."""
    return size(of, catalogue(), "wished", {}, chosen)


def spares(line: Line) -> dict[str, int]:
    """Units beyond the need, by stage."""
    return {row.stage: row.started - row.needed for row in line.spares}


@pytest.mark.parametrize(("bags", "jars"), [(0, 0), (1, 0), (0, 4), (5, 2)])
def test_as_many_are_started_as_were_set(bags: int, jars: int) -> None:
    """Fewer than the wish would take, or more; the batches hold them, and the chance is that of so many."""
    line = sized(season(stock=(CULTURE,)), Chosen({("SHI", BAGS): bags, ("SHI", GRAIN): jars})).lines[0]
    assert spares(line) == {BAGS: bags, GRAIN: jars}
    for name, of in (("sawdust", BAGS), ("grain", GRAIN)):
        row = next(one for one in line.spares if one.stage == of)
        assert sum(batch.started for batch in stage(line, name)) == row.started
        assert row.why == "for the chance asked for"


def test_what_is_made_from_more_needs_more() -> None:
    """Bags that are set still ask for the grain that feeds them; spares of the grain stay as they were set."""
    few, many = (
        sized(season(stock=(CULTURE,)), Chosen({("SHI", BAGS): bags, ("SHI", GRAIN): 1})).lines[0]
        for bags in (0, 8)
    )
    assert sum(b.needed for b in stage(many, "grain")) > sum(b.needed for b in stage(few, "grain"))
    assert spares(many)[GRAIN] == spares(few)[GRAIN] == 1


def test_nothing_else_changes() -> None:
    """Another line is sized as before, and so is a stage of which nothing was set."""
    of = season(OAK, BED, stock=(CULTURE,))
    usual, other = sized(of, Chosen()), sized(of, Chosen({("SHI", BAGS): 0}, {"SHI": 7}))
    assert usual == size(of, catalogue(), "wished", {})
    assert usual.lines[1] == other.lines[1]
    assert usual.lines[0] != other.lines[0]


def test_a_margin_is_added_to_that_of_the_wish() -> None:
    """To one line only."""
    of = season(OAK, BED, stock=(CULTURE,))
    usual, other = sized(of, Chosen()), sized(of, Chosen(margin={"SHI": 7}))
    assert [line.buffer_days for line in other.lines] == [
        usual.lines[0].buffer_days + 7,
        usual.lines[1].buffer_days,
    ]
    assert other.lines[0] == replace(usual.lines[0], buffer_days=usual.lines[0].buffer_days + 7)


def test_a_culture_gives_no_more_than_it_has() -> None:
    """Twenty bottles are set, and what is in hand starts a few: the row says so."""
    of = season(stock=(SMALL_CULTURE,))
    usual = sized(of, Chosen()).lines[0]
    assert BOTTLES in spares(usual)
    line = sized(of, Chosen({("SHI", BOTTLES): 20})).lines[0]
    row = next(one for one in line.spares if one.stage == BOTTLES)
    assert row.started < 20
    assert row.why == "what it is made from allows no more"


def test_the_culture_is_reckoned_for_the_jars_that_are_set() -> None:
    """More jars ask for more of the culture: with enough of them it is enlarged first."""
    culture = edited(CULTURE, amount='"15 mL"')
    few, many = (sized(season(stock=(culture,)), Chosen({("SHI", GRAIN): jars})).lines[0] for jars in (0, 20))
    assert not any(row.stage == BOTTLES for row in few.spares)
    assert any(row.stage == BOTTLES for row in many.spares)


def test_a_choice_that_is_set_has_the_chance_of_its_units() -> None:
    """Also where it is limited; never less than the need."""
    odds = Odds(18, 2, 0.02, 0.03)
    for spare, most, started in ((3, None, 8), (3, 6, 6), (3, 2, 5), (0, None, 5)):
        found = as_set(5, spare, load_holds=3, children=2, odds=odds, most=most)
        assert found.started == started
        assert found.chance == chance(5, started, 3, 2, odds)
