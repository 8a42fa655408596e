"""Ways out for wood that can no longer be felled: which days of felling, which windows, which dates of the site."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.season.season import Planting, Season
from scheduler.service.dormant_edits import felled_wood, put_off
from scheduler.service.edit import Family, with_planting
from tests.grower import BED, OAK, TOTEMS, catalogue, edited, season

SPRING = date(2027, 4, 20)
"""A week after the buds have swollen."""


def late(*plantings: str, today: date = SPRING, **parts: str) -> Season:
    """A season as of a day in spring."""
    return replace(season(*plantings, **parts), today=today)  # type: ignore[arg-type]


def wood(of: Season) -> list[Family]:
    """All that is offered of felled wood."""
    return list(felled_wood(of, catalogue(), list(of.plantings)))


def moved(of: Season, *subjects: Planting) -> dict[tuple[str, tuple[str, ...]], Season]:
    """The seasons that a planting put off leads to, by how and which."""
    found = put_off(of, catalogue(), list(subjects or of.plantings))
    return {(family.edits[0].amount, family.plantings): family.edits[0].season for family in found}


def test_wood_was_felled_between_leaf_turn_and_bud_swell() -> None:
    """Every day of the dormant season is offered, the earliest first; the last is what is written."""
    [family] = wood(late())
    days = [edit.season.plantings[0].felled for edit in family.edits]
    assert (days[0], days[-1]) == (date(2026, 10, 5), date(2027, 4, 11))
    assert family.written == family.edits[-1]


def test_wood_rests_before_the_window_ends() -> None:
    """Nameko wood, which rests for weeks, is not offered from so late a day that it could not rest."""
    nameko = edited(OAK, species='"nameko"', wood='"black cherry"', window='"2027-04-10/2027-05-05"')
    of = late(edited(nameko, best='"2027-04-10/2027-05-05"'))
    rest = timedelta(days=max(1, round(catalogue().species["nameko"].rest.lowest)))
    [family] = wood(of)
    assert family.edits[-1].season.plantings[0].felled == min(date(2027, 4, 11), date(2027, 5, 5) - rest)


def test_before_the_leaves_turn_it_is_the_last_winters_wood() -> None:
    """Dates of the coming dormant season stand for those of the last one, which is over."""
    of = late(edited(OAK, window='"2027-04-10/2027-05-30"'), today=date(2026, 9, 1))
    assert wood(of)[0].edits[-1].season.plantings[0].felled == date(2026, 4, 11)


def test_logs_have_to_come_first() -> None:
    """The window begins when bought logs are there; where that is after its end there is nothing to offer."""
    [family] = wood(late(buying='lead = { supplies = "10 d" }'))
    changed = family.edits[0].season.plantings[0]
    assert changed.window == (date(2027, 4, 30), date(2027, 5, 30))
    assert "they come by Fri 30 Apr 2027" in family.edits[0].text
    assert wood(late(buying='lead = { supplies = "60 d" }')) == []


def test_a_bed_has_no_wood_to_fell() -> None:
    """Chips are not felled."""
    assert wood(late(BED)) == []


def test_the_autumn_begins_with_the_next_leaf_turn() -> None:
    """Six weeks from leaf turn; felling goes with it, spring's dates stay, and wood is felled anew."""
    of = late(edited(OAK, felled="2026-10-10"))
    changed = moved(of)["to the autumn", ("Oak stack",)]
    assert changed.plantings[0].window == changed.plantings[0].best == (date(2027, 10, 5), date(2027, 11, 15))
    assert changed.plantings[0].felled is None
    assert (changed.site.leaf_turn, changed.site.bud_swell) == (date(2027, 10, 5), date(2028, 4, 12))
    assert changed.site.ground_thaws == of.site.ground_thaws


def test_an_autumn_before_the_window_is_none() -> None:
    """A planting that lies after the next leaf turn is not put off to it, nor is a bed."""
    assert ("to the autumn", ("Oak stack",)) not in moved(late(today=date(2026, 9, 1)))
    assert set(moved(late(BED))) == {("by a year", ("Bed",))}


def test_by_a_year_the_whole_season_moves() -> None:
    """Window, best span and all dates of the site are those of the next year."""
    of = late()
    changed = moved(of)["by a year", ("Oak stack",)]
    assert changed.plantings[0].window == (date(2028, 4, 10), date(2028, 5, 30))
    assert changed.plantings[0].best == (date(2028, 4, 24), date(2028, 5, 16))
    assert changed.site.ground_thaws == date(2028, 4, 5)


def test_the_spring_of_the_others_stays() -> None:
    """Where one of two is put off the ground thaws for the other as before; both together are looked at too."""
    of = late(OAK, TOTEMS)
    found = moved(of)
    assert found["by a year", ("Oak stack",)].site.ground_thaws == date(2027, 4, 5)
    assert found["by a year", ("Oak stack", "Totems")].site.ground_thaws == date(2028, 4, 5)
    assert found["by a year", ("Oak stack",)].plantings[1] == of.plantings[1]


@pytest.mark.parametrize("last", [date(2028, 2, 28), date(2028, 2, 29)])
def test_a_leap_day_has_a_next_year(last: date) -> None:
    """A window that ends on a leap day ends on 28 February a year later."""
    window = (date(2027, 12, 20), last)
    of = with_planting(season(), season().plantings[0], window=window, best=window)
    assert moved(of)["by a year", ("Oak stack",)].plantings[0].window[1] == date(2029, 2, 28)
