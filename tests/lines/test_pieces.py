"""What one piece of each method takes, and how large it is."""

from __future__ import annotations

import pytest

from scheduler.lines.demand import demand
from scheduler.lines.pieces import OnePiece, usual_group, ways
from scheduler.season.season import Season
from tests.grower import BED, OAK, TOTEMS, catalogue, edited, season


def of(a: Season, place: int = 0) -> dict[str, OnePiece]:
    """The ways of planting what is made for one planting, by method, in their order."""
    return {way.method.name: way for way in ways(a, catalogue(), a.plantings[place])}


def test_the_seasons_own_method_comes_first_and_what_is_warned_about_last() -> None:
    """Shiitake goes into drilled and wedge-cut logs; the rest is done against advice, a bed not at all."""
    found = of(season())
    assert list(found)[:2] == ["drilled logs", "wedge-cut logs"]
    assert [way.permission.verdict for way in found.values()] == ["fine"] * 2 + ["warned"] * 3
    assert [way.own for way in found.values()] == [True] + [False] * 4
    assert "chip bed" not in found


def test_a_piece_of_the_own_method_takes_its_share_of_the_planting() -> None:
    """One log of sixty takes a sixtieth."""
    a = season()
    whole = demand(a.plantings[0], a, catalogue()).spawn_g
    assert of(a)["drilled logs"].takes_g == pytest.approx(whole / 60)
    assert of(a)["drilled logs"].size == "13 cm x 1 m"


def test_other_pieces_are_as_large_as_the_season_has_them_else_as_usual() -> None:
    """Totems of another strain lend their size to shiitake; wedge-cut logs have that of a first season."""
    found = of(season(OAK, TOTEMS))
    assert found["totem"].size == "26 cm x 80 cm"
    assert not found["totem"].own
    assert (found["wedge-cut logs"].size, found["stump"].size) == ("12 cm x 1 m", "35 cm")


def test_a_bed_is_a_square_metre_at_its_rate() -> None:
    """0.41 kg a m2, and a tenth for what is spilt."""
    bed = of(season(BED))["chip bed"]
    assert (bed.piece, bed.size) == ("m2", "")
    assert bed.takes_g == pytest.approx(410 * 1.1)


def test_dowels_go_into_drilled_logs_only() -> None:
    """No other method takes them."""
    dowels = edited(OAK, route='["liquid culture", "grain", "dowels"]')
    assert list(of(season(dowels))) == ["drilled logs"]


def test_usual_pieces_are_measured_in_the_growers_units() -> None:
    """Five inches by forty in imperial; beds have no size."""
    imperial = season(head="").__class__(**{**vars(season()), "units": "imperial"})
    group = usual_group(imperial, catalogue(), catalogue().methods["drilled logs"])
    assert group is not None
    assert (group.diameter_cm, group.length_cm) == (12.7, 101.6)
    assert of(imperial)["wedge-cut logs"].size == "5 in x 40 in"
    assert usual_group(imperial, catalogue(), catalogue().methods["chip bed"]) is None
