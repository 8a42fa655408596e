"""A planting of which a part waits for the autumn: how much, what it is called, which wood it takes."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.season.season import Season
from scheduler.service.autumn_edits import HALVES, halves
from scheduler.service.edit import Edit
from scheduler.service.edits import families
from tests.grower import BED, OAK, catalogue, edited, season


def offered(of: Season) -> list[Edit]:
    """All amounts that may wait."""
    return [e for family in halves(of, catalogue(), list(of.plantings)) for e in family.edits]


def counts(edits: list[Edit]) -> list[tuple[int, int]]:
    """Logs now and in the autumn."""
    return [
        (sum(g.count for g in now.groups), sum(g.count for g in then.groups))
        for now, then in (edit.season.plantings for edit in edits)
    ]


def test_never_below_at_least_in_either_half() -> None:
    """From the fewest that may wait to the fewest that may be done now; without `at_least` that is one."""
    assert counts(offered(season(edited(OAK, at_least="25")))) == [(60 - n, n) for n in range(25, 36)]
    assert counts(offered(season(OAK))) == [(60 - n, n) for n in range(1, 60)]
    assert offered(season(edited(OAK, at_least="31"))) == []


def test_the_part_that_waits_takes_the_last_logs() -> None:
    """Sizes stay with their logs."""
    sizes = '[{ count = 2, diameter = "10 cm", length = "1 m" }, { count = 2, diameter = "14 cm", length = "1 m" }]'
    [one, _, three] = offered(season(edited(OAK, logs=sizes)))
    widths = [
        [(g.count, g.diameter_cm) for g in p.groups] for p in (*one.season.plantings, *three.season.plantings)
    ]
    assert widths == [[(2, 10), (1, 14)], [(1, 14)], [(1, 10)], [(1, 10), (2, 14)]]


def test_wood_is_felled_in_both_seasons() -> None:
    """While buds have not swollen wood is felled for now, and after the next leaf turn for then."""
    edit = offered(season(edited(OAK, felled="2026-11-01")))[0]
    now, then = edit.season.plantings
    assert (now.felled, then.felled) == (date(2026, 11, 1), None)
    assert (edit.season.site.leaf_turn, edit.season.site.bud_swell) == (date(2027, 10, 5), date(2027, 4, 12))
    assert then.window == then.best == (date(2027, 10, 5), date(2027, 11, 15))
    late = replace(season(OAK), today=date(2027, 4, 20))
    assert offered(late)[0].season.site.bud_swell == date(2028, 4, 12)


def test_a_bed_and_a_planting_of_the_autumn_are_not_halved() -> None:
    """Beds are laid in spring, and what lies in autumn or after it has no autumn to wait for."""
    assert offered(season(BED)) == []
    assert (
        offered(season(edited(OAK, window='"2027-09-20/2027-11-01"', best='"2027-10-01/2027-11-01"'))) == []
    )


def test_nothing_becomes_smaller_than_what_is_planted() -> None:
    """Of 60 logs, 45 of which are planted, at most 15 can wait or be left out."""
    of = season(edited(OAK, at_least="1"))
    found = families(of, catalogue(), frozenset({"hours"}), frozenset(), {"Oak stack": 45})
    waits = [e for f in found if f.kind == HALVES for e in f.edits]
    assert counts(waits)[-1] == (45, 15)
    [less] = [family for family in found if family.kind == "fewer logs or less area"]
    assert less.edits[-1].season.plantings[0].groups[0].count == 45
