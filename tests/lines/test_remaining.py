"""What is left of a season: whole plantings fall away, parts of them shrink, and what turned up is stock."""

from datetime import date, timedelta

import pytest

from scheduler.lines.demand import demand
from scheduler.lines.remaining import begun, remaining
from scheduler.progress import Entry, PlantingProgress, Progress
from scheduler.season.season import Season
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited, season
from tests.lines.under_way import day, oak

APRIL = day("2027-04-25")
TWO_SIZES = """
name    = "Oak stack"
species = "shiitake"
method  = "drilled logs"
wood    = "oak"
logs    = [{ count = 20, diameter = "10 cm", length = "1 m" }, { count = 30, diameter = "15 cm", length = "1 m" }]
window  = "2027-04-10/2027-05-30"
"""


def left(of: Season, found: tuple[Entry, ...] = (), **plantings: PlantingProgress) -> Season:
    """What is left of a season; plantings by their names with `_` for a space."""
    named = {name.replace("_", " "): one for name, one in plantings.items()}
    return remaining(of, catalogue(), Progress(plantings=named, found=found))


def planted(**on: int) -> PlantingProgress:
    """So many pieces planted, by day of April."""
    return PlantingProgress(planted={date(2027, 4, int(name[1:])): count for name, count in on.items()})


def test_nothing_done_leaves_the_season_as_it_is() -> None:
    """Without entries nothing is taken off and nothing is added."""
    of = oak(TOTEMS)
    assert remaining(of, catalogue(), Progress()) == of


def test_twenty_two_of_sixty_leave_thirty_eight() -> None:
    """Half a planting planted: 38 logs are left, and the spawn, wax and hours of 38."""
    of = oak()
    (rest,) = left(of, Oak_stack=planted(d25=22)).plantings
    assert [group.count for group in rest.groups] == [38]
    all_60, of_38 = (demand(one, of, catalogue()) for one in (of.plantings[0], rest))
    assert of_38.pieces == 38
    assert of_38.spawn_g == pytest.approx(all_60.spawn_g * 38 / 60)


def test_parts_of_several_days_add_up() -> None:
    """22 logs one day and 30 the next leave 8."""
    (rest,) = left(oak(), Oak_stack=planted(d25=22, d26=30)).plantings
    assert [group.count for group in rest.groups] == [8]


@pytest.mark.parametrize("count", [60, 61, 75])
def test_a_planting_that_is_planted_is_over(count: int) -> None:
    """All of it, or more than was planned: nothing of it is left, and its neighbour is untouched."""
    of = oak(TOTEMS)
    assert left(of, Oak_stack=planted(d25=count)).plantings == of.plantings[1:]


@pytest.mark.parametrize(("count", "sizes"), [(5, [15, 30]), (20, [30]), (25, [25])])
def test_the_first_sizes_are_planted_first(count: int, sizes: list[int]) -> None:
    """Of 20 thin and 30 thick logs the thin ones go first."""
    (rest,) = left(season(TWO_SIZES), Oak_stack=planted(d25=count)).plantings
    assert [group.count for group in rest.groups] == sizes


def test_part_of_a_bed_is_its_area() -> None:
    """A bed is planted in square metres: what is left of it takes spawn for what is left."""
    of = season(BED)
    pieces = demand(of.plantings[0], of, catalogue()).pieces
    (rest,) = left(of, Bed=planted(d25=1)).plantings
    assert rest.area_m2 == pytest.approx(6.3 * (pieces - 1) / pieces)


def test_half_the_wood_felled_is_still_to_be_felled() -> None:
    """While trees stand the planting is not called felled; once all are down it is, since the first day."""
    half = PlantingProgress(felled={date(2027, 1, 10): 30})
    both = PlantingProgress(felled={date(2027, 1, 10): 30, date(2027, 1, 17): 30})
    assert left(oak(), Oak_stack=half).plantings[0].felled is None
    assert left(oak(), Oak_stack=both).plantings[0].felled == date(2027, 1, 10)


def test_wood_that_was_there_keeps_its_day() -> None:
    """A day of felling that the season file names is not overwritten."""
    of = season(edited(OAK, felled="2026-11-20"))
    more = PlantingProgress(felled={date(2027, 1, 10): 60})
    assert left(of, Oak_stack=more).plantings[0].felled == date(2026, 11, 20)


@pytest.mark.parametrize(
    ("felled", "in_place", "to_fell"),
    [
        ({}, 0, None),
        ({10: 22}, 0, 38),
        ({10: 22, 17: 38}, 0, 0),
        ({10: 22, 17: 60}, 0, 0),
        ({}, 22, 38),
        ({10: 40}, 22, 20),
    ],
)
def test_what_is_down_need_not_be_felled(felled: dict[int, int], in_place: int, to_fell: int | None) -> None:
    """What was felled is down, and so is what was planted, whether anybody recorded that it was felled or not."""
    of = oak()
    happened = PlantingProgress(
        felled={date(2027, 1, on): count for on, count in felled.items()},
        planted={APRIL: in_place} if in_place else {},
    )
    whole = demand(of.plantings[0], of, catalogue())
    found = begun(of.plantings[0], whole, Progress(plantings={"Oak stack": happened}))
    if to_fell is None:
        assert found is None
        return
    assert found is not None
    assert found.to_fell == to_fell
    days = sorted(date(2027, 1, on) for on in felled)
    assert (found.first_felled, found.last_felled) == ((days[0], days[-1]) if days else (None, None))


@pytest.mark.parametrize(
    ("done", "chips_on", "left"),
    [
        (("Bed:prepare-chips",), "2027-05-08", 0),
        (("Bed:prepare-chips:1",), "2027-05-08", 2),
        (("Bed:prepare-chips:2",), "2027-05-08", 4),
        (("Bed:prepare-chips:1", "Bed:prepare-chips:2"), "2027-05-08", 0),
    ],
)
def test_chips_that_were_prepared_are(done: tuple[str, ...], chips_on: str, left: int) -> None:
    """On one day or in two parts, of 4 and 2 pieces: what is not done of them is left, the first day counts.

    Another planting whose name begins alike has chips of its own.
    """
    of = season(BED, edited(BED, name='"Bed two"'))
    progress = Progress(done={task: day(chips_on) + timedelta(days=place) for place, task in enumerate(done)})
    first, second = (begun(one, demand(one, of, catalogue()), progress, (4, 2)) for one in of.plantings)
    assert first is not None
    assert (first.chips_on, first.chips_left) == (day(chips_on), left)
    assert second is None


def found_in_fridge(**more: object) -> Entry:
    """Shiitake that turned up."""
    values = {"stage": "liquid culture", "amount": 12.0, **more}
    return Entry("found", date(2027, 2, 3), "shiitake", **values)  # type: ignore[arg-type]


def test_what_turns_up_is_stock_since_that_day() -> None:
    """12 mL found on 3 February: stock of the strain that is planted, untested, nobody knows its transfers."""
    of = oak()
    found = left(of, (found_in_fridge(),)).stock
    assert found[:-1] == of.stock
    new = found[-1]
    assert (new.species, new.strain, new.code) == ("shiitake", of.plantings[0].strain, "SHI")
    assert (new.stage, new.amount, new.since) == ("liquid culture", 12.0, date(2027, 2, 3))
    assert not new.tested
    assert new.transfers is None


def test_a_strain_that_is_named_is_that_strain() -> None:
    """Two strains of one species are planted: what was found of the second is stock of the second."""
    of = season(OAK, edited(OAK, name='"Other stack"', strain='"Cold"'), stock=(CULTURE,))
    by_strain = {one.strain: one.code for one in of.plantings}
    stock = left(of, (found_in_fridge(strain="cold"), found_in_fridge())).stock[1:]
    assert [(one.strain, one.code) for one in stock] == [
        ("Cold", by_strain["Cold"]),
        ("house", by_strain["house"]),
    ]


def test_a_species_that_nobody_plants_has_a_code_all_the_same() -> None:
    """It feeds nothing, but does no harm."""
    found = Entry("found", date(2027, 2, 3), "nameko", stage="grain", count=2)
    new = left(oak(), (found,)).stock[-1]
    assert (new.code, new.units, new.stage) == ("NAM", 2, "grain")
