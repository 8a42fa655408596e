"""What lives of the batches that were planned, by what was recorded of them."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.lines.living import keeps_until
from scheduler.lines.shapes import BatchSpec
from scheduler.season.season import Season
from tests.grower import CULTURE, OAK, TODAY, TOTEMS, catalogue, edited, season
from tests.lines.under_way import GRAIN_ON, bags, batch, day, grain, oak, parents, story, units

BOUGHT = edited(OAK, spawn='"buy"')
UNTESTED = edited(CULTURE, tested="false")
THERE = {"SHI-Sa:there": {day("2027-03-01"): 1}}
"""Bought bags that a plan promised for the first of March."""


def jars(on: str = "2027-02-11", **happened: object) -> BatchSpec:
    """The seven jars of the oak stack, as they are on a day."""
    return story(oak(), on, batch("SHI-G1a", **happened)).lives().batches["SHI-G1a"]  # type: ignore[arg-type]


def numbers(of: BatchSpec) -> list[int]:
    """The numbers of the units that are left."""
    return [int(name.rpartition("/")[2]) for name in units(of)]


# --- units ---------------------------------------------------------------------------------------------------


def test_nothing_recorded_is_as_planned() -> None:
    """All batches are there, as they were sized, and still to be made."""
    told = story(oak(), "2026-12-10")
    assert list(told.lives().batches.values()) == list(told.planned.lines[0].batches)
    assert [one.id for one in told.lives().open()] == ["SHI-G1a", "SHI-Sa", "SHI-Sb"]


def test_lost_units_are_gone_and_the_others_keep_their_numbers() -> None:
    """Jars 2 and 5 go green: five are left, under their names, one of them kept back."""
    left = jars(inoculated=GRAIN_ON, lost=[2, 5])
    assert numbers(left) == [1, 3, 4, 6, 7]
    assert (left.started, left.needed, left.keep_back) == (5, 3, 1)


def test_the_kept_back_jar_is_that_jar() -> None:
    """Where it is lost nothing is kept back; where all others are, it is all that there is."""
    assert jars(inoculated=GRAIN_ON, lost=[7]).keep_back == 0
    only = jars(inoculated=GRAIN_ON, lost=range(1, 7))
    assert (only.started, only.needed, only.keep_back) == (1, 0, 1)


def test_a_batch_without_units_does_not_live() -> None:
    """All seven lost: the batch is gone; its bags are still to be made."""
    lives = story(oak(), "2027-02-11", grain(lost=range(1, 8))).lives()
    assert "SHI-G1a" not in lives.batches
    assert [one.id for one in lives.open()] == ["SHI-Sa", "SHI-Sb"]


def test_used_up_is_as_good_as_gone() -> None:
    """A jar that was used for something else feeds nothing, but has not to be killed."""
    told = story(oak(), "2027-02-11", grain(used=[1]))
    assert numbers(told.lives().batches["SHI-G1a"]) == [2, 3, 4, 5, 6, 7]
    assert told.lives().lost == []


@pytest.mark.parametrize("count", [1, 6, 7, 8, 13])
def test_as_many_as_were_started(count: int) -> None:
    """Fewer than planned are the first of them; more get the next numbers and the same culture."""
    left = jars(inoculated=GRAIN_ON, started=count)
    assert sorted(numbers(left)) == list(range(1, count + 1))
    assert left.started == count
    assert set(parents(left)) == {"SHI-La/1"}
    assert left.keep_back == int(count >= 7)
    assert count < 7 or numbers(left)[-1] == 7, "the jar that is kept back is still that jar"
    assert left.needed == min(3, count - left.keep_back)


def test_eleven_jars_not_twelve_and_thirteen_not_twelve() -> None:
    """Two bottles of culture by turns: the thirteenth jar comes from the next in turn, the eleven from the first."""
    told = story(season(TOTEMS), "2027-02-11", batch("OYS-G1a", inoculated=GRAIN_ON))
    planned = told.lives().batches["OYS-G1a"]
    assert parents(planned) == [f"OYS-La/{n}" for n in (1, 2, 3, 4, 1, 2)]
    five, seven = (
        story(season(TOTEMS), "2027-02-11", batch("OYS-G1a", inoculated=GRAIN_ON, started=count))
        .lives()
        .batches["OYS-G1a"]
        for count in (5, 7)
    )
    assert parents(five) == parents(planned)[:5]
    assert parents(seven)[:6] == parents(planned)
    assert parents(seven)[6] is not None


def test_losses_of_more_than_planned_count_as_well() -> None:
    """Nine jars are started, not seven; the ninth goes green, and has to be killed like any other."""
    told = story(oak(), "2027-02-11", grain(started=9, lost=[9]))
    assert sorted(numbers(told.lives().batches["SHI-G1a"])) == list(range(1, 9))
    assert [one.units for one in told.lives().lost] == [("SHI-G1a/9",)]


def test_how_many_counts_only_once_they_were_inoculated() -> None:
    """A number without a day of inoculation changes nothing."""
    assert jars(started=3).started == 7


# --- days ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("later", "sealed"), [(0, True), (8, True), (9, False), (40, False)])
def test_what_was_cooked_keeps_sealed_for_eight_days(later: int, sealed: bool) -> None:
    """Cooked but not inoculated (`lab.sealed_days`): used as it is for eight days, cooked again after them."""
    cooked = day("2027-01-23")
    left = jars(str(cooked + timedelta(days=later)), cooked=str(cooked))
    assert left.cooked_on == (cooked if sealed else None)
    assert left.is_to_make


@pytest.mark.parametrize(("later", "sealed"), [(2, True), (3, False)])
def test_a_tub_does_not_seal(later: int, sealed: bool) -> None:
    """Pellets scalded in a tub are used within two days (`lab.tub_days`)."""
    lab = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 9 }'
    scalded = day("2027-02-20")
    told = story(
        season(TOTEMS, lab=lab), str(scalded + timedelta(days=later)), batch("OYS-Sa", cooked=str(scalded))
    )
    left = told.lives().batches["OYS-Sa"]
    assert left.treatment == "tub"
    assert left.cooked_on == (scalded if sealed else None)


def test_what_was_inoculated_was_cooked_whenever_that_was() -> None:
    """However long ago: it grows, and nothing is cooked again."""
    left = jars("2027-03-30", cooked="2027-01-23", inoculated=GRAIN_ON)
    assert (left.cooked_on, left.begun_on, left.is_to_make) == (day("2027-01-23"), day(GRAIN_ON), False)


def test_found_ready_is_known() -> None:
    """The day on which it was found fully run goes before what was reckoned."""
    assert jars(inoculated=GRAIN_ON, ready="2027-02-09").found_ready_on == day("2027-02-09")
    assert jars(inoculated=GRAIN_ON).found_ready_on is None


def test_keeping_time_runs_from_the_day_it_was_found_ready() -> None:
    """56 days for grain: from the day found, else from the likely one; none for what is still to be made."""
    of = oak()

    def until(**happened: object) -> date | None:
        return keeps_until(jars(**happened), of, catalogue())  # type: ignore[arg-type]

    assert until(inoculated=GRAIN_ON, ready="2027-02-09") == day("2027-02-09") + timedelta(days=56)
    likely = until(inoculated=GRAIN_ON)
    assert likely is not None
    assert 8 <= (likely - day(GRAIN_ON)).days - 56 <= 25
    assert until() is None
    culture = story(of, "2027-02-11").lives().batches["SHI-La"]
    assert keeps_until(culture, of, catalogue()) == TODAY + timedelta(days=180 - culture.aged_days)


# --- bought --------------------------------------------------------------------------------------------------


def bought(on: str, **happened: object) -> BatchSpec:
    """The bags that are bought, as they are on a day; promised for the first of March."""
    facts = batch("SHI-Sa", **happened)  # type: ignore[arg-type]
    return story(season(BOUGHT), on, facts, days=THERE).lives().batches["SHI-Sa"]


def test_what_is_not_ordered_comes_after_its_lead_time() -> None:
    """While it can still be ordered for its day it is as any order of today: 21 days."""
    left = bought("2027-02-01")
    assert (left.ordered_on, left.there_on) == (None, day("2027-02-22"))


def test_what_had_to_be_ordered_by_now_is_taken_to_be() -> None:
    """Nobody records every order: it is there on the day that was promised, or today where that is over."""
    assert bought("2027-02-20").there_on == day("2027-03-01")
    assert bought("2027-03-05").there_on == day("2027-03-05")


def test_what_was_ordered_comes_after_its_lead_time() -> None:
    """Ordered on 15 February: there on 8 March, today where it is late, whatever was promised."""
    on = day("2027-02-15")
    assert bought("2027-02-20", ordered_on=on).there_on == day("2027-03-08")
    assert bought("2027-03-20", ordered_on=on).there_on == day("2027-03-20")
    assert bought("2027-03-20", ordered_on=on).ordered_on == on


def test_what_was_received_is_there_and_was_ordered() -> None:
    """It is there since that day, and its keeping time counts from it."""
    left = bought("2027-03-20", received_on=day("2027-03-05"))
    assert (left.there_on, left.found_ready_on, left.ordered_on) == (day("2027-03-05"),) * 3
    assert keeps_until(left, season(BOUGHT), catalogue()) == day("2027-03-05") + timedelta(days=120)


def test_each_kind_of_goods_has_its_lead_time() -> None:
    """Culture 14 days, grain 7, spawn 21, unless the season says otherwise."""
    kinds = {
        "OYS-La": season(TOTEMS),
        "SHI-G1a": season(edited(OAK, route='["grain", "sawdust"]')),
        "SHI-Sa": season(BOUGHT),
    }
    leads = {"OYS-La": 14, "SHI-G1a": 7, "SHI-Sa": 21}
    for name, of in kinds.items():
        left = story(of, "2027-01-10").lives().batches[name]
        assert left.there_on == day("2027-01-10") + timedelta(days=leads[name]), name


def test_what_was_in_hand_stays_in_hand() -> None:
    """No lead time holds back what is there: its day does not move with today."""
    culture = story(oak(), "2027-03-01").lives().batches["SHI-La"]
    assert (culture.state, culture.there_on) == ("in hand", TODAY)


# --- lost, tests, doubt --------------------------------------------------------------------------------------


def test_lost_units_wait_to_be_killed_until_they_are() -> None:
    """With their container and the class of the load; a load of their own or a place in another ends it."""
    told = story(oak(), "2027-02-11", grain(lost=[2, 5]))
    (lost,) = told.lives().lost
    assert (lost.batch, lost.units, lost.found_on) == (
        "SHI-G1a",
        ("SHI-G1a/2", "SHI-G1a/5"),
        day("2027-02-01"),
    )
    assert (lost.container, lost.stage, lost.load_class) == ("quart jar", "grain", "grain")
    for task in ("SHI-G1a:kill-lost", "cook:SHI-G1a/lost+SHI-Sa"):
        assert replace(told, done={task: day("2027-02-06")}).lives().lost == []
    assert replace(told, done={"cook:SHI-G1a": day("2027-01-23")}).lives().lost == [lost]


def test_what_was_bought_is_killed_like_what_was_made() -> None:
    """A bag that came mouldy goes through the cooker too."""
    told = story(season(BOUGHT), "2027-03-20", batch("SHI-Sa", received_on=day("2027-03-05"), lost=[1]))
    assert [(one.units, one.load_class) for one in told.lives().lost] == [(("SHI-Sa/1",), "bags")]


def test_units_in_doubt_live() -> None:
    """They are on watch, and still counted."""
    lives = story(oak(), "2027-02-11", grain(watch=[1, 2])).lives()
    assert lives.watch == {"SHI-G1a/1", "SHI-G1a/2"}
    assert lives.batches["SHI-G1a"].started == 7


@pytest.mark.parametrize(("ready", "read"), [(None, set()), ("2026-12-17", {"SHI-Aa"})])
def test_a_test_that_was_read_is_known(ready: str | None, read: set[str]) -> None:
    """Also where its plates are thrown away afterwards."""
    told = story(
        season(OAK, stock=(UNTESTED,)),
        "2026-12-20",
        batch("SHI-Aa", inoculated="2026-12-06", ready=ready, lost=[1, 2], lost_on="2026-12-19"),
    )
    assert told.lives().read == read


# --- what was passed on --------------------------------------------------------------------------------------


def test_what_bags_took_is_gone() -> None:
    """Six bags take 230 g each of a jar each; the seven jars took 2.5 mL each of the culture."""
    given = story(oak(), "2027-02-20", grain(), bags("SHI-Sa", "SHI-Sb")).lives().given()
    assert given == {"SHI-La/1": pytest.approx(17.5), **{f"SHI-G1a/{n}": 230.0 for n in range(1, 7)}}


def test_what_a_lost_bag_took_is_gone_as_well() -> None:
    """Its grain does not come back because the bag went green; nor does that of a bag that was used."""
    told = story(oak(), "2027-02-20", grain(lost=[7]), bags("SHI-Sa", lost=[1], used=[2]))
    given = told.lives().given()
    assert given == {"SHI-La/1": pytest.approx(17.5), **{f"SHI-G1a/{n}": 230.0 for n in (1, 2, 3)}}


def test_what_was_never_begun_took_nothing() -> None:
    """Bags that are still to be made leave the jars full; so do those that were left out on the day."""
    assert set(story(oak(), "2027-02-20", grain()).lives().given()) == {"SHI-La/1"}
    fewer = story(oak(), "2027-02-20", grain(), bags("SHI-Sa", started=1)).lives().given()
    assert set(fewer) == {"SHI-La/1", "SHI-G1a/1"}


# --- a batch of one's own ------------------------------------------------------------------------------------


def own(of: Season, **happened: object) -> BatchSpec | None:
    """Bags that no plan knows, made from the grain."""
    facts = batch("SHI-Sx", inoculated="2027-02-12", parent="SHI-G1a", **happened)  # type: ignore[arg-type]
    return story(of, "2027-02-20", grain(), facts).lives().batches.get("SHI-Sx")


def test_a_batch_that_no_plan_knows_lives_like_others_of_its_kind() -> None:
    """Two bags from the grain: a bag each of two jars, growing since that day."""
    found = own(oak(), started=2)
    assert found is not None
    assert (found.stage, found.started, found.keep_back, found.begun_on) == (
        "sawdust",
        2,
        0,
        day("2027-02-12"),
    )
    assert units(found) == ["SHI-Sx/1", "SHI-Sx/2"]
    assert len(set(parents(found))) == 2
    assert found.parents == ("SHI-G1a",)


def test_losses_of_a_batch_of_ones_own_are_killed_too() -> None:
    """As with any other batch its lost units are closed until they were heated, and those in doubt are on watch."""
    facts = batch("SHI-Sx", inoculated="2027-02-12", parent="SHI-G1a", started=2, lost=[1], watch=[2])
    lives = story(oak(), "2027-02-20", grain(), facts).lives()
    assert [one.units for one in lives.lost] == [("SHI-Sx/1",)]
    assert "SHI-Sx/2" in lives.watch
    assert lives.given()["SHI-G1a/1"] == lives.given()["SHI-G1a/2"] == 230.0


def test_a_batch_of_a_strange_parent_is_nobodys() -> None:
    """What is made from a batch that the line does not know is not the line's."""
    facts = batch("SHI-Sx", inoculated="2027-02-12", parent="SHI-G9z", started=2)
    assert "SHI-Sx" not in story(oak(), "2027-02-20", grain(), facts).lives().batches
