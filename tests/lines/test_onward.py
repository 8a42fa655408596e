"""Sizing onward: spares first, ids that stay, nothing counted twice, and an undo that leads back."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.lines.shapes import Basis, BatchSpec, Line
from scheduler.lines.sizing import size
from scheduler.progress import BatchProgress, Entry, PlantingProgress
from scheduler.season.season import Season
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited, season
from tests.lines.under_way import (
    Story,
    bags,
    batch,
    by_id,
    day,
    grain,
    oak,
    parents,
    story,
    units,
    wrong,
)

UNTESTED = season(OAK, stock=(edited(CULTURE, tested="false"),))
MANY = season(edited(OAK, logs='{ count = 200, diameter = "13 cm", length = "1 m" }'), stock=(CULTURE,))
GRAIN_HELD = 'species = "shiitake"\nstage = "grain"\nunits = 9\nreceived = 2027-01-25'
BAGS_HELD = 'species = "shiitake"\nstage = "sawdust"\nunits = 5\nreceived = 2027-01-20'
ALL = range(1, 8)


def planting(**happened: Mapping[date, int]) -> Mapping[str, PlantingProgress]:
    """What happened to the oak stack."""
    return {"Oak stack": PlantingProgress(**happened)}  # type: ignore[arg-type]


def found(stage: str, on: str = "2027-02-10", **more: object) -> tuple[Entry, ...]:
    """Shiitake that turned up."""
    return (Entry("found", day(on), "shiitake", stage=stage, **more),)  # type: ignore[arg-type]


def to_make(line: Line) -> list[str]:
    """Ids of what is still to be made."""
    return [one.id for one in line.batches if one.is_to_make]


# --- nothing, spares -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "of", [oak(), oak(TOTEMS, BED), UNTESTED, MANY], ids=["one", "three", "tested", "many"]
)
def test_with_nothing_recorded_it_is_the_same_sizing(of: Season) -> None:
    """A day later nothing has to be made that was not, nothing falls away, nothing changes its number or parent."""
    told = story(of, "2026-11-29")
    sized = told.sized()
    assert (sized.way, sized.unfed, sized.sizing.lost) == (None, False, ())
    for before, now in zip(told.planned.lines, sized.sizing.lines, strict=True):
        assert [replace(one, there_on=None) for one in now.batches] == [
            replace(one, there_on=None) for one in before.batches
        ]
        assert now.gone == ()


def test_spares_go_first() -> None:
    """Three of six bags lost, three are needed: nothing is made again, the spares are what is needed now."""
    sized = story(oak(), "2027-03-01", grain(), bags("SHI-Sa", "SHI-Sb", lost=[1])).sized()
    (line,) = sized.sizing.lines
    assert sized.way is None
    assert to_make(line) == []
    assert sum(one.needed for one in line.batches if one.stage == "sawdust") == 3
    sized = story(oak(), "2027-03-01", grain(), bags("SHI-Sa", lost=[1, 2, 3]), bags("SHI-Sb")).sized()
    assert by_id(sized.sizing.lines[0])["SHI-Sb"].needed == 3
    assert sized.way is None


def test_only_what_is_missing_is_made_again() -> None:
    """Four of six lost: one bag is missing, so one is needed of the new lot, and the two that grow stay."""
    line = story(
        oak(), "2027-03-01", grain(), bags("SHI-Sa", lost=[1, 2, 3]), bags("SHI-Sb", lost=[1])
    ).line()
    assert by_id(line)["SHI-Sb"].needed == 2
    assert sum(by_id(line)[name].needed for name in to_make(line)) == 1


def test_spares_of_what_is_made_again_go_by_the_level() -> None:
    """With spares as wished, or without any where the season does not fit."""
    told = story(oak(), "2027-03-01", grain(), bags("SHI-Sa", "SHI-Sb", lost=[1, 2, 3]))

    def again(line: Line) -> int:
        return sum(one.started for one in line.batches if one.is_to_make and one.stage == "sawdust")

    assert again(told.line(level="bare")) == 3
    assert again(told.line()) > 3


def test_bags_that_are_not_kept_fresh_are_made_again() -> None:
    """Bags of early January keep 120 days: planted from 10 June on they are of no use, and new ones are made."""
    late = edited(OAK, window='"2027-06-10/2027-07-20"', best='"2027-06-12/2027-07-01"')
    facts = {**batch("SHI-Sa", inoculated="2026-12-20", ready="2027-01-20"), **grain(ready="2027-03-01")}
    line = story(season(late, stock=(CULTURE,)), "2027-04-01", facts).line()
    assert "SHI-Sa" not in by_id(line)
    assert "SHI-Sa" in line.gone
    assert wrong(line) == []


# --- ids -----------------------------------------------------------------------------------------------------


def test_ids_are_never_given_out_twice() -> None:
    """Lot after lot of grain is lost, and every new one has a name that none had before it."""
    told = story(oak(), "2027-02-11", grain(lost=ALL), batch("SHI-La", lost=[1]))
    seen: list[str] = ["SHI-G1a", "SHI-La"]
    for on, lost_on in (
        ("2027-03-05", "2027-03-04"),
        ("2027-03-25", "2027-03-24"),
        ("2027-04-15", "2027-04-14"),
    ):
        line = told.line()
        new = [one.id for one in line.batches if one.stage == "grain"]
        assert not set(new) & set(seen)
        assert set(seen) <= set(line.gone)
        seen += new
        dead = {name: batch(name, inoculated="2027-02-26", lost=ALL, lost_on=lost_on)[name] for name in new}
        told = told.then(on, dead)
    assert len(seen) == len(set(seen))


def test_a_name_is_taken_even_where_its_batch_was_dropped() -> None:
    """Bags that were not needed after all leave a name behind that no other gets."""
    told = story(oak(), "2027-03-01", grain(), bags("SHI-Sa", "SHI-Sb", lost=[1, 2, 3]))
    assert to_make(told.line())[-2:] == ["SHI-Sc", "SHI-Sd"]
    # Bags turn up that are enough, and are lost later.
    enough = told.then("2027-03-04", found=found("sawdust", "2027-03-03", count=3))
    held = [one.id for one in enough.line().batches if one.state == "in hand" and one.stage == "sawdust"]
    later = enough.then("2027-03-10", {name: batch(name, lost=[1, 2, 3])[name] for name in held})
    names = {one.id for line in (told.line(), enough.line(), later.line()) for one in line.batches}
    assert set(held) <= set(later.line().gone) | names
    assert not set(to_make(later.line())) & (set(held) | {"SHI-Sa", "SHI-Sb"})


def test_replanning_again_changes_nothing() -> None:
    """What was sized onward stands when nothing more happens, however many days go by."""
    told = story(oak(), "2027-02-11", grain(lost=range(1, 7)))
    first = told.line()
    for on in ("2027-02-11", "2027-02-12", "2027-02-20"):
        again = told.then(on).sized()
        assert again.way is None
        assert by_id(again.sizing.lines[0]) == by_id(first)


@given(
    st.lists(
        st.tuples(st.sampled_from(["SHI-G1a", "SHI-G1b", "SHI-Sa", "SHI-Sc", "SHI-Se"]), st.integers(1, 7)),
        max_size=20,
    )
)
def test_whatever_is_lost_the_line_is_sound(gone: list[tuple[str, int]]) -> None:
    """Every parent is there, nothing gives more than it has, what lives keeps its name and what it is made from."""
    facts = {name: BatchProgress(inoculated_on=day("2027-01-24")) for name in ("SHI-G1a", "SHI-G1b")}
    facts["SHI-Sa"] = facts["SHI-Sc"] = BatchProgress(inoculated_on=day("2027-02-14"))
    for name, number in gone:
        before = facts.get(name)
        if before is not None:
            facts[name] = replace(before, lost={**before.lost, f"{name}/{number}": day("2027-02-20")})
    told = story(MANY, "2027-02-25", facts)
    planned = {unit.id: unit.parent for one in told.planned.batches() for unit in one.units}
    lost = {unit for one in facts.values() for unit in one.lost}
    sized = told.sized()
    assert not sized.unfed
    (line,) = sized.sizing.lines
    assert wrong(line) == []
    there = {unit.id: unit.parent for one in line.batches for unit in one.units}
    assert not lost & set(there)
    for unit, parent in planned.items():
        begun = unit.partition("/")[0] in facts
        if begun and unit not in lost:
            assert there[unit] == parent
    finished = [one for one in line.batches if one.stage == "sawdust"]
    grams = sum(one.needed * one.unit_mass_g * one.usable for one in finished)
    assert grams >= told.demands["Oak stack"].spawn_g


# --- part of a planting --------------------------------------------------------------------------------------


def test_half_a_planting_planted_needs_half() -> None:
    """22 of 60 logs are done: two bags are needed for the other 38, and the steps are those of 38."""
    told = story(
        oak(),
        "2027-04-26",
        grain(),
        bags("SHI-Sa", "SHI-Sb", ready="2027-04-01"),
        plantings=planting(planted={day("2027-04-25"): 22}),
    )
    sizing = told.sized().sizing
    (demand,) = sizing.demands
    assert demand.pieces == 38
    assert demand.begun is not None
    assert demand.begun.to_fell == 38
    assert sum(one.needed for one in sizing.lines[0].batches if one.stage == "sawdust") == 2


def test_half_the_wood_felled_leaves_half_to_fell() -> None:
    """30 of 60 are down; spawn is made for all of them."""
    told = story(oak(), "2027-01-12", plantings=planting(felled={day("2027-01-10"): 30}))
    sizing = told.sized().sizing
    (demand,) = sizing.demands
    assert demand.begun is not None
    assert (demand.pieces, demand.begun.to_fell) == (60, 30)
    assert demand.spawn_g == pytest.approx(told.planned.demands[0].spawn_g)


def test_a_planting_that_is_over_has_no_line() -> None:
    """All 60 logs are planted: nothing of their strain is left to do; the totems go on."""
    told = story(oak(TOTEMS), "2027-04-26", plantings=planting(planted={day("2027-04-25"): 60}))
    sizing = told.sized().sizing
    assert [line.code for line in sizing.lines] == ["OYS"]
    assert [one.planting for one in sizing.demands] == ["Totems"]


def test_losses_of_a_line_that_is_over_are_still_killed() -> None:
    """Mouldy bags do not vanish with their planting."""
    facts = bags("SHI-Sa", lost=[2])
    told = story(oak(TOTEMS), "2027-04-26", facts, plantings=planting(planted={day("2027-04-25"): 60}))
    assert [one.units for one in told.sized().sizing.lost] == [("SHI-Sa/2",)]


def test_a_planting_bought_instead() -> None:
    """Once its spawn is bought its bags are not made: as many are ordered as are needed, and what grows is used."""
    told = story(oak(), "2027-02-20", grain(), bags("SHI-Sa"))
    buys = season(edited(OAK, spawn='"buy"'), stock=(CULTURE,))
    line = replace(told, of=buys, basis=Basis(told.planned, {})).line()
    assert to_make(line) == []
    assert by_id(line)["SHI-Sa"].needed == 3
    nothing_grows = story(oak(), "2027-02-11", grain(lost=ALL))
    line = replace(nothing_grows, of=buys, basis=Basis(nothing_grows.planned, {})).line()
    bought = [one for one in line.batches if one.state == "bought"]
    assert to_make(line) == []
    assert [(one.stage, one.started, one.there_on) for one in bought] == [("sawdust", 3, day("2027-03-04"))]
    assert bought[0].id not in {"SHI-Sa", "SHI-Sb"}


# --- bought --------------------------------------------------------------------------------------------------


def test_bought_bags_that_are_lost_are_bought_again() -> None:
    """One of three came mouldy: two are there, one more is ordered under another name."""
    of = season(edited(OAK, spawn='"buy"'))
    line = story(of, "2027-03-20", batch("SHI-Sa", received_on=day("2027-03-05"), lost=[1])).line()
    assert [(one.id, one.started, one.there_on) for one in line.batches] == [
        ("SHI-Sa", 2, day("2027-03-05")),
        ("SHI-Sb", 1, day("2027-04-10")),
    ]


# --- what is in hand -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("held", [GRAIN_HELD, BAGS_HELD])
@pytest.mark.parametrize("on", ["2026-11-29", "2027-01-25", "2027-02-20", "2027-03-15"])
def test_stock_is_not_counted_twice_on_a_later_day(held: str, on: str) -> None:
    """What was in hand when it was planned is in its batch; the day that has come makes no second one of it."""
    told = story(season(OAK, stock=(CULTURE, held)), on)
    before = [one.started for one in told.planned.batches() if one.state == "in hand"]
    for line in (told.line(), told.then(on).line()):
        assert [one.started for one in line.batches if one.state == "in hand"] == before


def test_what_no_batch_takes_is_there_for_a_loss() -> None:
    """Three of five bags in hand were given out; one of them is lost, and one of the other two takes its place."""
    told = story(season(OAK, stock=(CULTURE, BAGS_HELD)), "2027-03-20", batch("SHI-Sa", lost=[1]))
    line = told.line()
    assert [(one.id, one.state, one.started) for one in line.batches if one.stage == "sawdust"] == [
        ("SHI-Sa", "in hand", 2),
        ("SHI-Sb", "in hand", 1),
    ]
    assert units(by_id(line)["SHI-Sb"]) == ["SHI-Sb/1"]


def test_what_turned_up_is_taken_once() -> None:
    """Four jars turn up where all are lost: they feed the bags, today and at every replan after."""
    told = story(oak(), "2027-02-11", grain(lost=ALL), found=found("grain", count=4))
    first = told.sized()
    (line,) = first.sizing.lines
    assert first.way is None, "nothing is made again: what is there is used"
    assert by_id(line)["SHI-G1b"].started == 4
    assert set(parents(by_id(line)["SHI-Sa"])) <= set(units(by_id(line)["SHI-G1b"]))
    again = told.then("2027-02-20").line()
    assert [one.id for one in again.batches] == [one.id for one in line.batches]


def test_what_turned_up_and_is_not_needed_is_left_alone() -> None:
    """Two bags in the fridge where all is well change nothing."""
    told = story(oak(), "2027-03-20", grain(), bags("SHI-Sa", "SHI-Sb"), found=found("sawdust", count=2))
    assert [one.id for one in told.line().batches] == [one.id for one in told.planned.batches()]


def test_a_new_strain_is_sized_from_the_beginning() -> None:
    """A planting that came into the season file since: its line is as in a new plan."""
    told = story(oak(), "2026-12-05")
    more = replace(told, of=oak(TOTEMS), basis=Basis(told.planned, {}))
    sized = more.sized().sizing
    assert [line.code for line in sized.lines] == ["SHI", "OYS"]
    alone = size(more.left, catalogue(), "wished", {})
    assert sized.lines[1] == alone.lines[1]


# --- tests of a culture --------------------------------------------------------------------------------------


def plates_of(line: Line) -> list[BatchSpec]:
    """Plates by which a culture is tested."""
    return [one for one in line.batches if one.is_test]


def test_a_test_lost_before_it_was_read_is_made_again() -> None:
    """Both plates are lost: two new ones of the same culture, before anything is made of it."""
    told = story(
        UNTESTED, "2026-12-20", batch("SHI-Aa", inoculated="2026-12-06", lost=[1, 2], lost_on="2026-12-15")
    )
    line = told.line()
    (again,) = plates_of(line)
    assert again.id == "SHI-Ab"
    assert units(again) == ["SHI-Ab/1", "SHI-Ab/2"]
    assert parents(again) == ["SHI-La/1", "SHI-La/1"]
    assert again.is_to_make
    order = [one.id for one in line.batches]
    assert order.index("SHI-Ab") < order.index("SHI-G1a")
    assert wrong(line) == []


def test_one_plate_left_is_a_test() -> None:
    """One of two plates tells as much: nothing is made again."""
    told = story(
        UNTESTED, "2026-12-20", batch("SHI-Aa", inoculated="2026-12-06", lost=[1], lost_on="2026-12-15")
    )
    assert [units(one) for one in plates_of(told.line())] == [["SHI-Aa/2"]]


def test_plates_lost_after_they_were_read_are_not_missed() -> None:
    """They said what they had to say."""
    facts = batch("SHI-Aa", inoculated="2026-12-06", ready="2026-12-17", lost=[1, 2], lost_on="2026-12-19")
    line = story(UNTESTED, "2026-12-20", facts).line()
    assert plates_of(line) == []
    assert "SHI-G1a" in to_make(line)


def test_a_test_is_not_made_again_where_the_culture_is_used() -> None:
    """The grain grows already: a test would tell nothing that the jars do not."""
    facts = batch("SHI-Aa", inoculated="2026-12-06", lost=[1, 2], lost_on="2026-12-15")
    assert plates_of(story(UNTESTED, "2027-02-01", facts, grain(ready=None)).line()) == []


def test_a_test_of_the_next_replan_is_made_once() -> None:
    """Replanning again does not pour a third pair of plates."""
    told = story(
        UNTESTED, "2026-12-20", batch("SHI-Aa", inoculated="2026-12-06", lost=[1, 2], lost_on="2026-12-15")
    )
    assert [one.id for one in plates_of(told.then("2026-12-22").line())] == ["SHI-Ab"]


# --- lost ----------------------------------------------------------------------------------------------------


def test_losses_are_remembered_until_they_are_killed() -> None:
    """Over replans, also where the batch is gone; more losses of a batch join its row."""
    told = story(oak(), "2027-02-11", grain(lost=[1, 2]))
    later = told.then("2027-02-13", grain(lost=ALL))
    (row,) = later.sized().sizing.lost
    assert sorted(row.units) == [f"SHI-G1a/{n}" for n in ALL]
    killed = replace(later.then("2027-02-20"), done={"SHI-G1a:kill-lost": day("2027-02-19")})
    assert later.then("2027-02-20").sized().sizing.lost == (row,)
    assert killed.sized().sizing.lost == ()


def test_what_no_cooker_takes_has_no_load() -> None:
    """Bags that were bought into a season whose only cooker takes jars: killed some other way, but listed."""
    lab = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 9 }'
    of = season(edited(OAK, spawn='"buy"'), lab=lab)
    told = story(of, "2027-03-20", batch("SHI-Sa", received_on=day("2027-03-05"), lost=[1]))
    assert [one.load_class for one in told.sized().sizing.lost] == [None]
    wide = season(edited(OAK, spawn='"buy"'))
    assert [one.load_class for one in replace(told, of=wide).sized().sizing.lost] == ["bags"]


# --- undo ----------------------------------------------------------------------------------------------------


def test_an_undo_leads_back() -> None:
    """From the basis before the mistake and without it, everything is as it was: names, parents, needs."""
    before = story(oak(), "2027-02-11", grain())
    planned = Basis(before.sized().sizing, {}, seen=(1,))
    mistaken: Story = replace(before, basis=planned, facts=grain(lost=ALL))
    assert to_make(mistaken.line()) == ["SHI-G1b", "SHI-Sa", "SHI-Sb"]
    back = replace(before, basis=planned)
    assert back.line() == before.line()
    assert back.line().gone == ()
    assert back.sized().sizing.lost == ()
