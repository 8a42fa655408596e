"""What to write into a season file for another season: the fewest keys, in the file's own words and units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from scheduler.errors import SeasonError
from scheduler.season.people import SITE_DATES
from scheduler.season.rewrite import Rewritten, rewrite
from scheduler.season.season import Cooker, Help, Pattern, Season
from scheduler.service.edit import with_planting, without_plantings
from scheduler.trade.catalogue import Catalogue

HEAD = """
season = { name = "Test", timezone = "UTC", today = 2026-11-28 }
site = { leaf_turn = 2026-10-05, bud_swell = 2027-04-12, ground_thaws = 2027-04-05 }
"""
OAK = """
[[planting]]
name = "Oak"
species = "shiitake"
method = "drilled logs"
logs = { count = 20, diameter = "5 in", length = "40 in" }
window = "2027-04-10/2027-05-30"
"""
BED = """
[[planting]]
name = "Bed: north"
species = "wine cap"
method = "chip bed"
area = "50 ft2"
depth = "10 cm"
window = "2027-05-01/2027-06-20"
"""

Read = Callable[..., Season]
Wrote = dict[str, tuple[str | None, str | None]]


def wrote(season: Season, wanted: Season, catalogue: Catalogue) -> tuple[Wrote, Season]:
    """The changes by their key, and the season that the rewritten file says."""
    found: Rewritten = rewrite(season, wanted, catalogue)
    return {change.key: (change.was, change.now) for change in found.changes}, found.season


def with_people(season: Season, **minutes: dict[str, int]) -> Season:
    """The season with other minutes."""
    return replace(season, people=replace(season.people, **minutes))  # type: ignore[arg-type]


def test_the_same_season_asks_for_no_change(read: Read, catalogue: Catalogue) -> None:
    """Whatever the file leaves out, nothing is written where nothing is wanted."""
    for file in sorted((Path(__file__).parent / "good").glob("*.toml")):
        season = read(file)
        found = rewrite(season, season, catalogue)
        assert (found.changes, found.season) == ((), season)


def test_more_hours_bring_the_hours_at_home_with_them(read: Read, catalogue: Catalogue) -> None:
    """A file that names no hours at home takes them from the hours; days are written as the file spells them."""
    season = read(HEAD + "people = { hours = { Tue = 1.5, sat = 4 } }" + OAK)
    minutes = {"tue": 150, "sat": 240}
    wanted = with_people(season, minutes=minutes, home_minutes={**season.people.home_minutes, "tue": 150})
    changes, now = wrote(season, wanted, catalogue)
    assert changes == {"[people].hours.Tue": ("1.5", "2.5")}
    assert now.people.minutes == minutes
    assert now.people.home_minutes["tue"] == 270


def test_more_hours_than_at_home_write_both(read: Read, catalogue: Catalogue) -> None:
    """Hours at home that the file names are lengthened before the hours for work outgrow them."""
    season = read(HEAD + "people = { hours = { sat = 4 }, home = { sat = 5 } }" + OAK)
    wanted = with_people(season, minutes={"sat": 480}, home_minutes={"sat": 480})
    changes, now = wrote(season, wanted, catalogue)
    assert changes == {"[people].home.sat": ("5", "8"), "[people].hours.sat": ("4", "8")}
    assert now.people == wanted.people


def test_hours_at_home_that_the_file_leaves_out_are_written_for_every_day(
    read: Read, catalogue: Catalogue
) -> None:
    """A file that names some days means no others, so none may be lost."""
    season = read(HEAD + "people = { hours = { wed = 2 } }" + OAK)
    home = {**season.people.home_minutes, "wed": 600}
    changes, now = wrote(season, with_people(season, home_minutes=home), catalogue)
    assert changes == {"[people].home": (None, "{ wed = 10, sat = 10, sun = 10 }")}
    assert now.people.home_minutes == home


@pytest.mark.parametrize(
    ("tank", "litres", "written"),
    [
        ('tank = "50 gal"', 378.5411784, '"100 gal"'),
        ("", 200.0, '"200 L"'),
        ('tank="2 m3"', 2500.0, '"2.5 m3"'),
    ],
)
def test_a_quantity_keeps_the_unit_of_the_file(
    read: Read, catalogue: Catalogue, tank: str, litres: float, written: str
) -> None:
    """What was in gallons stays in gallons; where nothing is written the season's units are taken."""
    season = read(f"{HEAD}tools = {{ {tank} }}{OAK}")
    wanted = replace(season, tools=replace(season.tools, tank_l=litres))
    changes, now = wrote(season, wanted, catalogue)
    assert changes["[tools].tank"][1] == written
    assert now.tools.tank_l == pytest.approx(litres, abs=0.01)


def test_a_larger_tank_leaves_the_chips_as_they_were(read: Read, catalogue: Catalogue) -> None:
    """Chips are soaked by default where the tank holds them: to go on wetting them is written out."""
    season = read(f'{HEAD}tools = {{ tank = "100 L" }}{BED}')
    changes, now = wrote(season, replace(season, tools=replace(season.tools, tank_l=900.0)), catalogue)
    assert changes == {
        "[tools].tank": ('"100 L"', '"900 L"'),
        '[[planting]] "Bed: north": chips': (None, '"wetted in place"'),
    }
    assert now.plantings == season.plantings


def test_cookers_like_the_usual_one_are_all_named(read: Read, catalogue: Catalogue) -> None:
    """A file without a cooker has the usual one; it has to be named once there is another."""
    season = read(HEAD + OAK)
    wanted = replace(season, lab=replace(season.lab, cookers=season.lab.cookers * 2))
    found = rewrite(season, wanted, catalogue)
    one = '{ kind = "pressure cooker", loads_per_day = 1 }'
    assert [(change.key, change.was, change.now) for change in found.changes] == [
        ("[[lab.cooker]]", None, one)
    ] * 2
    assert found.season.lab == wanted.lab


def test_another_cooker_is_written_as_the_file_writes_the_first(read: Read, catalogue: Catalogue) -> None:
    """The block is copied with its own spelling, and more loads are a key of the block they are for."""
    own = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "2.3 kg bag" = 20, "quart jars" = 40 }\n'
    season = read(HEAD + own + OAK)
    first = season.lab.cookers[0]
    more: Cooker = replace(first, loads_per_day=2)
    changes, now = wrote(season, replace(season, lab=replace(season.lab, cookers=(more, first))), catalogue)
    assert changes == {
        "[[lab.cooker]] 1: loads_per_day": (None, "2"),
        "[[lab.cooker]]": (
            None,
            '{ kind = "pressure cooker", holds = { "2.3 kg bag" = 20, "quart jars" = 40 } }',
        ),
    }
    assert now.lab.cookers == (more, first)


def test_a_cooker_that_holds_less_keeps_the_names_of_the_file(read: Read, catalogue: Catalogue) -> None:
    """What is taken out is one key; a container that stays is called what the file calls it."""
    own = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jars" = 7, "5 lb bag" = 3 }\n'
    season = read(HEAD + own + BED)
    less = replace(season.lab.cookers[0], holds={"quart jar": 7})
    changes, now = wrote(season, replace(season, lab=replace(season.lab, cookers=(less,))), catalogue)
    assert changes == {'[[lab.cooker]] 1: holds."5 lb bag"': ("3", None)}
    assert now.lab.cookers == (less,)


def test_the_usual_cooker_is_written_where_it_holds_less(read: Read, catalogue: Catalogue) -> None:
    """A file without cookers gets one, and beside it one of another kind."""
    season = read(HEAD + BED)
    less = replace(season.lab.cookers[0], holds={"quart jar": 7})
    drum = Cooker("steam drum", 1, None, None, {"2.3 kg bag": 20})
    changes, now = wrote(season, replace(season, lab=replace(season.lab, cookers=(less,))), catalogue)
    assert list(changes.values()) == [
        (None, '{ kind = "pressure cooker", loads_per_day = 1, holds = { "quart jar" = 7 } }')
    ]
    assert now.lab.cookers == (less,)
    both = (season.lab.cookers[0], drum)
    found = rewrite(season, replace(season, lab=replace(season.lab, cookers=both)), catalogue)
    assert [change.now for change in found.changes] == [
        '{ kind = "pressure cooker", loads_per_day = 1 }',
        '{ kind = "steam drum", loads_per_day = 1, holds = { "2.3 kg bag" = 20 } }',
    ]
    assert found.season.lab.cookers == both


def test_a_part_of_a_planting_is_a_block_of_its_own(read: Read, catalogue: Catalogue) -> None:
    """It is like the one it comes from, with the last logs, another window, and no felling day."""
    sizes = '[{ count = 6, diameter = "4 in", length = "1 m" }, { count = 4, diameter = "14 cm", length = "1 m" }]'
    oak = OAK.replace('{ count = 20, diameter = "5 in", length = "40 in" }', sizes)
    season = read(HEAD + oak + 'best = "2027-04-24/2027-05-16"\nfelled = 2026-11-01\nat_least = 2' + BED)
    whole, window = season.plantings[0], (date(2027, 10, 5), date(2027, 11, 15))
    thin, thick = whole.groups
    part = replace(
        whole,
        name="Oak, autumn",
        groups=(replace(thick, count=3),),
        window=window,
        best=window,
        felled=None,
        index=2,
    )
    wanted = with_planting(season, whole, groups=(thin, replace(thick, count=1)))
    site = replace(season.site, leaf_turn=date(2027, 10, 5))
    wanted = replace(wanted, plantings=(*wanted.plantings, part), site=site)
    changes, now = wrote(season, wanted, catalogue)
    assert changes["[[planting]]"][1] == (
        '{ name = "Oak, autumn", species = "shiitake", method = "drilled logs", '
        'logs = [{ count = 3, diameter = "14 cm", length = "1 m" }], '
        'window = "2027-10-05/2027-11-15", at_least = 2 }'
    )
    assert set(changes) == {"[[planting]]", "[site].leaf_turn", "[[planting]] Oak: logs"}
    assert (now.plantings, now.site) == (wanted.plantings, wanted.site)


def test_a_planting_that_is_over_does_not_shift_the_others(read: Read, catalogue: Catalogue) -> None:
    """Under way a block whose window is over stands for no planting; what comes after it is still found."""
    over = OAK.replace("2027-04-10/2027-05-30", "2026-10-10/2026-10-30").replace('"Oak"', '"Old oak"')
    season = read(HEAD + over + BED, under_way=True)
    assert [planting.name for planting in season.plantings] == ["Bed: north"]
    changes, _ = wrote(season, with_planting(season, season.plantings[0], spawn="buy"), catalogue)
    assert changes == {'[[planting]] "Bed: north": spawn': (None, '"buy"')}


def test_places_in_a_room_are_written_by_the_catalogues_names(read: Read, catalogue: Catalogue) -> None:
    """Each container of a shelf is a key of its own."""
    season = read(HEAD + '[lab.shelf]\nholds = { "quart jar" = 12, "2.3 kg bag" = 6 }' + OAK)
    shelf = replace(season.lab.shelf, holds={"quart jar": 18, "2.3 kg bag": 6})
    changes, now = wrote(season, replace(season, lab=replace(season.lab, shelf=shelf)), catalogue)
    assert changes == {'[lab.shelf].holds."quart jar"': ("12", "18")}
    assert now.lab.shelf == shelf


def test_a_planting_is_changed_in_its_own_units(read: Read, catalogue: Catalogue) -> None:
    """Fewer logs keep their sizes, a pattern keeps its unit, an area is rounded to what one would write."""
    oak = OAK + 'pattern = "6 x 2 in"'
    season = read(HEAD + oak + BED)
    logs = (replace(season.plantings[0].groups[0], count=15),)
    wanted = with_planting(season, season.plantings[0], groups=logs, pattern=Pattern(17.78, 5.08))
    wanted = with_planting(wanted, season.plantings[1], area_m2=2.79)
    changes, now = wrote(season, wanted, catalogue)
    assert changes == {
        "[[planting]] Oak: pattern": ('"6 x 2 in"', '"7 x 2 in"'),
        '[[planting]] "Bed: north": area': ('"50 ft2"', '"30.03 ft2"'),
        "[[planting]] Oak: logs.count": ("20", "15"),
    }
    assert now.plantings[0] == wanted.plantings[0]
    assert now.plantings[1].area_m2 == pytest.approx(2.79, abs=0.005)


def test_logs_of_several_sizes_lose_the_last_ones(read: Read, catalogue: Catalogue) -> None:
    """A list of logs is written as a whole, without the groups of which nothing is left."""
    sizes = (
        '{ count = 6, diameter = "10 cm", length = "1 m" }',
        '{ count = 4, diameter = "14 cm", length = "1 m" }',
    )
    oak = OAK.replace('{ count = 20, diameter = "5 in", length = "40 in" }', f"[{', '.join(sizes)}]")
    season = read(HEAD + oak)
    first = replace(season.plantings[0].groups[0], count=5)
    changes, now = wrote(season, with_planting(season, season.plantings[0], groups=(first,)), catalogue)
    assert changes == {"[[planting]] Oak: logs": (f"[{', '.join(sizes)}]", f"[{sizes[0].replace('6', '5')}]")}
    assert now.plantings[0].groups == (first,)


def test_a_planting_given_up_takes_help_that_comes_too_late_with_it(read: Read, catalogue: Catalogue) -> None:
    """Helpers after the last window that is left would be a fault of the file."""
    late = (
        "[[help]]\non = 2027-04-17\npeople = 1\nhours = 2\n[[help]]\non = 2027-06-12\npeople = 2\nhours = 4\n"
    )
    season = read(HEAD + late + OAK + BED)
    changes, now = wrote(season, without_plantings(season, season.plantings[1:]), catalogue)
    assert list(changes) == ["[[help]] 2", '[[planting]] "Bed: north"']
    assert all(after is None for _, after in changes.values())
    assert (now.plantings, now.help) == (season.plantings[:1], season.help[:1])


def test_a_culture_is_taken_out_by_its_position(read: Read, catalogue: Catalogue) -> None:
    """One of two that are alike goes, once, and what is before it stays where it is."""
    syringe = (
        '[[stock]]\nspecies = "shiitake"\nstage = "liquid culture"\namount = "12 mL"\nreceived = 2026-11-01\n'
    )
    plates = '[[stock]]\nspecies = "shiitake"\nstage = "plate"\nunits = 2\nreceived = 2026-11-01\n'
    season = read(HEAD + plates + syringe + syringe + OAK)
    changes, found = wrote(season, replace(season, stock=season.stock[:2]), catalogue)
    assert list(changes) == ["[[stock]] 3"]
    assert changes["[[stock]] 3"][1] is None
    assert [stock.stage for stock in found.stock] == ["plate", "liquid culture"]
    changes, found = wrote(season, replace(season, stock=season.stock[1:]), catalogue)
    assert list(changes) == ["[[stock]] 1"]
    assert [stock.stage for stock in found.stock] == ["liquid culture"] * 2


def test_helpers_and_fresh_wood(read: Read, catalogue: Catalogue) -> None:
    """A new block has its keys in one line; a key that is not wanted any more is taken out."""
    season = read(HEAD + OAK + "felled = 2026-11-01")
    wanted = with_planting(
        replace(season, help=(Help(date(2027, 4, 24), 2, 90),)), season.plantings[0], felled=None
    )
    changes, now = wrote(season, wanted, catalogue)
    assert changes == {
        "[[help]]": (None, "{ on = 2027-04-24, people = 2, hours = 1.5 }"),
        "[[planting]] Oak: felled": ("2026-11-01", None),
    }
    assert (now.help, now.plantings) == (wanted.help, wanted.plantings)


def test_what_no_file_may_say_is_not_written(read: Read, catalogue: Catalogue) -> None:
    """A remedy beyond what a season file takes raises the fault that its reader would find."""
    season = read(HEAD + OAK)
    with pytest.raises(SeasonError):
        rewrite(season, with_people(season, minutes={"sat": 17 * 60}), catalogue)


def test_drills_are_written(read: Read, catalogue: Catalogue) -> None:
    """A number of drills, whether the file has one or not."""
    for tools, was in (("tools = { drills = 0 }", "0"), ("", None)):
        season = read(HEAD + tools + OAK)
        wanted = replace(season, tools=replace(season.tools, drills=3))
        changes, now = wrote(season, wanted, catalogue)
        assert changes == {"[tools].drills": (was, "3")}
        assert now.tools == wanted.tools


def test_a_planting_moves_with_the_dates_of_its_site(read: Read, catalogue: Catalogue) -> None:
    """Neither the window nor the site's dates alone make a right file, so they are written at once."""
    season = read(HEAD + OAK)
    [planting] = season.plantings
    years = {
        name: day and day.replace(year=day.year + 1)
        for name, day in ((name, getattr(season.site, name)) for name in SITE_DATES)
    }
    window = (date(2028, 5, 20), date(2028, 5, 30))
    wanted = with_planting(season, planting, window=window, best=window)
    wanted = replace(wanted, site=replace(season.site, **years))
    changes, now = wrote(season, wanted, catalogue)
    assert changes["[[planting]] Oak: window"][1] == '"2028-05-20/2028-05-30"'
    assert {key for key in changes if key.startswith("[site]")} == {
        f"[site].{name}" for name, day in years.items() if day
    }
    assert (now.plantings, now.site) == (wanted.plantings, wanted.site)
