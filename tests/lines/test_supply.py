"""Which culture feeds which plantings: one in hand while it serves, others ordered near their time."""

from datetime import timedelta

import pytest

from scheduler.lines import supply
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service.attempt import attempt
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited, line, season, stage

FAR = edited(OAK, name='"Far"', window='"2027-08-01/2027-09-30"', best='"2027-08-10/2027-09-20"')


def held(**keys: str) -> str:
    """60 mL of tested liquid culture with keys changed."""
    return edited(CULTURE, **keys)


def starts(of: Season) -> list[tuple[tuple[str, ...], bool]]:
    """The plantings of each turn, and whether their culture is bought."""
    groups = [[p] for p in sorted(of.plantings, key=lambda p: p.best[0])]
    found = supply.turns(of, catalogue(), groups, "wished")
    return [(tuple(p.name for p in turn.plantings), turn.held[0].bought) for turn in found]


def is_bought(*stock: str, **tables: str) -> bool:
    """Whether the oak stack is grown from a culture that is ordered."""
    ((_, bought),) = starts(season(stock=stock, **tables))  # type: ignore[arg-type]
    return bought


# --- too old ---------------------------------------------------------------------------------------------


def test_a_tested_culture_has_to_keep_until_the_first_jars() -> None:
    """Dry grain comes on 5 December, is cooked on the 6th, inoculated on Wednesday the 9th: 180 days from 12 June."""
    assert not is_bought(held(received="2026-06-12"))
    assert is_bought(held(received="2026-06-11"))


def test_an_untested_culture_has_to_keep_until_its_test_is_read() -> None:
    """Plates come on 12 December and are read on the 22nd, jars are made on the 23rd: 180 days from 26 June."""
    assert not is_bought(held(tested="false", received="2026-06-26"))
    assert is_bought(held(tested="false", received="2026-06-25"))


def test_an_old_plate_has_to_keep_until_it_can_be_refreshed() -> None:
    """Plates keep 120 days, and medium for fresh ones comes on 12 December: 14 August is 120 days before."""
    plates = 'species = "shiitake"\nstage = "plate"\nunits = 3\nreceived = {}'
    assert not is_bought(plates.format("2026-08-14"))
    assert is_bought(plates.format("2026-08-13"))


def test_nothing_is_started_that_nobody_looks_at() -> None:
    """Away from 13 December, the plates of the 12th are looked at by nobody: the old ones cannot be used."""
    plates = 'species = "shiitake"\nstage = "plate"\nunits = 3\nreceived = 2026-08-20'
    hours = "hours = { wed = 2, sat = 6, sun = 4 }"
    assert not is_bought(plates, people=hours)
    assert is_bought(plates, people=f'{hours}\naway = ["2026-12-13/2027-01-08"]')


def test_work_that_begins_late_finds_the_culture_too_old() -> None:
    """60 mL of September keep until 11 March: no jars of April."""
    stock = held(received="2026-09-12")
    assert not is_bought(stock)
    assert is_bought(stock, head="no_work_before = 2027-03-20")


def test_a_culture_that_ends_long_before_the_planting_is_left() -> None:
    """For a bed in September jars are made in spring at the earliest, whatever waits as long as it keeps."""
    bed = edited(BED, window='"2027-08-20/2027-09-30"', best='"2027-09-01/2027-09-20"')
    of = season(bed, stock=(held(species='"wine cap"', received="2026-08-01"),))
    assert starts(of) == [(("Bed",), True)]
    assert starts(season(bed, stock=(held(species='"wine cap"', received="2026-11-20"),))) == [
        (("Bed",), False)
    ]


def test_no_culture_is_left_for_one_that_comes_too_late() -> None:
    """Where an order takes 150 days, what is in hand is used, even if spawn has to wait beyond its freshness."""
    late = edited(OAK, window='"2027-06-10/2027-07-30"', best='"2027-06-24/2027-07-16"')
    stock = held(received="2026-06-20")
    assert starts(season(late, stock=(stock,))) == [(("Oak stack",), True)]
    slow = season(late, stock=(stock,), buying='lead = { culture = "180 d" }')
    assert starts(slow) == [(("Oak stack",), False)]


def test_a_culture_that_is_too_old_is_named_and_another_is_ordered() -> None:
    """The season that was impossible with it is planned as if it were not there, and says so."""
    of = season(stock=(held(tested="false", received="2026-06-20"),))
    plan = attempt(of, catalogue())
    assert isinstance(plan, Plan)
    assert [b.state for b in plan.batches if b.stage == "liquid culture"] == ["bought"]
    assert any(
        note.startswith("shiitake liquid culture of Sat 20 Jun 2026 is not used") for note in plan.notes
    )


# --- turns -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("best", "turns"), [("2027-07-23/2027-08-20", 1), ("2027-07-24/2027-08-20", 2)])
def test_a_bought_culture_serves_as_long_as_it_is_fresh(best: str, turns: int) -> None:
    """Best spans from 24 April and from 23 July are 90 days apart, the full vigour of a liquid culture."""
    later = edited(OAK, name='"Far"', window='"2027-07-10/2027-09-30"', best=f'"{best}"')
    assert len(starts(season(OAK, later))) == turns


def test_what_comes_past_the_freshness_of_a_culture_in_hand_gets_its_own() -> None:
    """60 mL of 20 November are fresh until 18 February: for a stack in August a culture is ordered."""
    assert starts(season(OAK, FAR, stock=(CULTURE,))) == [(("Oak stack",), False), (("Far",), True)]


def test_a_second_culture_in_hand_serves_a_later_turn_while_it_is_fresh() -> None:
    """One that comes in May is fresh for the jars of a stack in August; a second one of November is not."""
    for received, bought in (("2027-05-10", True), ("2026-11-20", False)):
        of = season(OAK, FAR, stock=(CULTURE, held(amount='"30 mL"', received=received)))
        assert starts(of)[1] == (("Far",), not bought)


def test_each_turn_is_grown_from_its_own_culture() -> None:
    """Its jars, its bags and its keep-back hang on no bottle of the other turn."""
    found = line(season(OAK, FAR, stock=(CULTURE,)))
    assert [b.state for b in stage(found, "liquid culture")] == ["in hand", "bought"]
    for culture, name in zip(stage(found, "liquid culture"), ("Oak stack", "Far"), strict=True):
        jars = [b for b in stage(found, "grain") if culture.id in b.parents]
        assert culture.plantings == (name,)
        assert {b.plantings for b in jars} == {(name,)}
        assert sum(b.keep_back for b in jars) == 1


def test_a_later_culture_comes_near_its_time() -> None:
    """It is ordered so late that jars are made from it while it is fresh, 90 days from its coming."""
    autumn = '"2027-09-10/2027-10-10"'
    bed = edited(BED, name='"Autumn"', species='"oyster"', window=autumn, best=autumn)
    of = season(TOTEMS, bed, stock=(held(species='"oyster"', received="2026-10-28"),))
    plan = attempt(of, catalogue())
    assert isinstance(plan, Plan)
    first, second = [b for b in plan.batches if b.stage == "liquid culture"]
    assert (first.plantings, first.state) == (("Totems",), "in hand")
    assert (second.plantings, second.state) == (("Autumn",), "bought")
    assert max(second.use_on) - second.ready_on <= timedelta(days=90)


def test_bought_plantings_ask_for_no_culture() -> None:
    """Neither finished spawn nor grain that is bought begins with one."""
    bought = edited(OAK, spawn='"buy"')
    assert starts(season(bought)) == []
    assert starts(season(edited(OAK, route='["grain", "sawdust"]'))) == []
