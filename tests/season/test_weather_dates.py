"""What a season leaves out is filled in from its weather file, said with its risk, and judged like the rest."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.errors import SeasonError
from scheduler.season.load import load_season
from scheduler.season.rewrite import rewrite
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import MONTHS
from tests.weather.made_up import daily, write

HEAD = """
[season]
name = "Made-up hill"

[site]
latitude = 45
weather = "station.csv"
"""
LOGS = """
[[planting]]
name = "{name}"
species = "shiitake"
method = "drilled logs"
wood = "white oak"
logs = {{ count = 12, diameter = "13 cm", length = "1 m" }}
{more}
"""
BED = """
[[planting]]
name = "Bed"
species = "wine cap"
method = "chip bed"
area = "4 m2"
"""


def logs(name: str = "Oak", more: str = "") -> str:
    """A planting of logs."""
    return LOGS.format(name=name, more=more)


@pytest.fixture(autouse=True)
def station(tmp_path: Path) -> Path:
    """Twelve made-up years beside the season file, some warmer than others."""
    weather = daily(
        range(2005, 2017), mean=10, swing=11, shift={year: (year % 5) - 2.0 for year in range(2005, 2017)}
    )
    return write(weather, tmp_path / "station.csv")


def why(season: Season, key: str) -> tuple[str, str]:
    """What was assumed for a key, and the reason."""
    [taken] = [taken for taken in season.assumed if taken.key == key]
    return taken.value, taken.why


def test_all_that_was_left_out_is_filled_in(read) -> None:
    """Felling, thaw and frost belong to the winter before the windows, and the windows to the next spring."""
    season = read(HEAD + logs() + BED)
    site = season.site
    oak, bed = season.plantings
    assert site.leaf_turn and site.bud_swell and site.ground_thaws and site.last_frost
    assert (site.leaf_turn.year, site.bud_swell.year) == (2026, 2027)
    assert site.leaf_turn < site.bud_swell
    assert oak.window[0].year == bed.window[0].year == 2027
    assert bed.window[0] > site.last_frost, "wine cap waits for days of 13 C as well"
    assert oak.window[0] < bed.window[0]
    assert oak.best == oak.window
    assert season.warnings == ()


def test_a_bed_of_what_grows_in_the_cool_opens_with_the_last_frost(read) -> None:
    """Days of 4.4 C come long before, so that the frost of the method decides; wine cap's bed is later."""
    cool = read(HEAD + BED.replace("wine cap", "oyster"))
    assert cool.plantings[0].window[0] == cool.site.last_frost
    assert read(HEAD + BED).plantings[0].window[0] > cool.plantings[0].window[0]


def test_each_is_said_with_the_risk_that_was_taken(read) -> None:
    """The assumption names the date, what may go wrong and how often, the range, and the years behind it."""
    season = read(HEAD + logs() + BED)
    value, reason = why(season, "site.last_frost")
    assert value.startswith(f"{season.site.last_frost}: a freeze comes later in 1 year of 10 (10/50/90 %: ")
    assert value.endswith("; 12 years)")
    assert reason == "derived from station.csv, 2005 to 2016"
    windows = {taken.value: taken.why for taken in season.assumed if taken.key == "planting.window"}
    assert len(windows) == 2
    for planting in season.plantings:
        [(said, reason)] = [
            (value, why)
            for value, why in windows.items()
            if value.startswith("{}/{}".format(*planting.window))
        ]
        assert "spring" in said and "1 year of 10" in said
        assert f'"{planting.name}"' in reason and "station.csv" in reason


@pytest.mark.parametrize(
    ("units", "oak", "bed"),
    [
        (
            "metric",
            "from days of 4 C to weeks of 29 C",
            "from days of 13 C and the last freeze to weeks of 30 C",
        ),
        (
            "Imperial",
            "from days of 40 F to weeks of 84 F",
            "from days of 55 F and the last freeze to weeks of 86 F",
        ),
    ],
)
def test_a_window_says_what_it_waits_for(read, units: str, oak: str, bed: str) -> None:
    """The weather of species and method, in the grower's own units, with the range of the first day."""
    season = read(HEAD.replace("[site]", f'units = "{units}"\n[site]') + logs() + BED)
    said = {
        name: next(t.value for t in season.assumed if t.key == "planting.window" and f'"{name}"' in t.why)
        for name in ("Oak", "Bed")
    }
    assert f", spring, {oak}: it is not yet as warm in 1 year of 10 (10/50/90 %: " in said["Oak"]
    assert f", spring, {bed}: it is not yet as warm, or a freeze comes later, in 1 year of 10" in said["Bed"]
    assert said["Oak"].endswith("; 12 years)")
    first = season.plantings[0].window[0]
    late = said["Oak"].split("%: ")[1].split(";")[0].split(", ")[2]
    # The late day is rounded to the nearest, the one that is taken upwards.
    assert late in {f"{day.day} {MONTHS[day.month - 1]}" for day in (first, first - timedelta(days=1))}


def test_what_is_written_counts(read) -> None:
    """A date or a window of the file is kept as it is, and nothing is assumed about it."""
    season = read(
        HEAD
        + "last_frost = 2027-06-01\nleaf_turn = 2026-09-30\n"
        + logs(more='window = "2027-04-10/2027-05-31"')
    )
    assert (season.site.last_frost, season.site.leaf_turn) == (date(2027, 6, 1), date(2026, 9, 30))
    assert season.plantings[0].window == (date(2027, 4, 10), date(2027, 5, 31))
    keys = {taken.key for taken in season.assumed}
    assert not keys & {"site.last_frost", "site.leaf_turn", "planting.window"}
    assert {"site.bud_swell", "site.ground_thaws"} <= keys


def test_without_a_weather_file_nothing_is_filled_in(faults, read) -> None:
    """The dates of the season file count as they always did, and what is missing is a fault."""
    bare = HEAD.replace('weather = "station.csv"\n', "")
    assert [fault.found for fault in faults(bare + logs())] == ["no leaf_turn", "no bud_swell", "no window"]
    season = read(
        bare
        + "leaf_turn = 2026-10-05\nbud_swell = 2027-04-12\n"
        + logs(more='window = "2027-04-10/2027-05-31"')
    )
    assert season.climate is None
    assert season.site.last_frost is None


@pytest.mark.parametrize("word", ["autumn", "Fall"])
def test_a_window_may_be_named_autumn(read, word: str, station: Path) -> None:
    """The window begins with the leaf turn of its own autumn, which is also when felling begins."""
    write(daily(range(2005, 2017), mean=11, swing=9), station)
    season = read(HEAD + logs(more=f'window = "{word}"'), today=date(2027, 6, 1))
    (oak,) = season.plantings
    assert oak.window[0] == season.site.leaf_turn
    assert oak.window[0].year == 2027
    assert season.site.bud_swell and season.site.bud_swell.year == 2028
    assert "autumn" in why(season, "planting.window")[0]


def test_a_window_that_cannot_be_known_is_a_fault_with_its_reason(faults) -> None:
    """Beds are not laid in autumn by the rules that are known here; all else that is wrong is still told."""
    found = faults(HEAD + BED + 'window = "autumn"\ndepth = "9 m"\n')
    assert len(found) == 2
    assert "no window, and station.csv gives none for chip bed in autumn" in found[1].found or (
        "no window, and station.csv gives none for chip bed in autumn" in found[0].found
    )


def test_without_a_latitude_leaf_turn_has_to_be_written(faults, read) -> None:
    """The fault says why the weather file gives no such day; with the day, all is well."""
    bare = HEAD.replace("latitude = 45\n", "")
    (fault,) = faults(bare + logs())
    assert fault.found.startswith("no leaf_turn, and none from station.csv: without a latitude")
    assert read(bare + "leaf_turn = 2026-10-05\n" + logs()).site.bud_swell is not None


def test_faults_of_the_weather_file_come_with_its_lines(faults, station: Path) -> None:
    """The file beside the season file is read first, and its faults are told by its own name."""
    station.write_text("date,tmin_c,tmax_c,rain_mm\n2020-01-01,x,2,0\n")
    (fault,) = faults(HEAD + logs())
    assert fault.where == f"{station}:2"
    assert 'night "x"' in fault.found


def test_a_weather_file_is_not_passed_over_in_silence(catalogue: Catalogue, tmp_path: Path) -> None:
    """Where nobody reads weather files, naming one is a fault and not a season without its dates."""
    path = tmp_path / "season.toml"
    path.write_text(HEAD + logs())
    with pytest.raises(SeasonError) as caught:
        load_season(path, catalogue, clock=date(2026, 11, 28), system_timezone="UTC")
    assert caught.value.faults[0].where == f"{path}:7 site.weather"


def test_a_short_record_is_a_warning_of_the_season(read, station: Path) -> None:
    """What the weather file lacks is said with the season's own warnings."""
    write(daily(range(2010, 2015), mean=10, swing=11), station)
    (warning,) = read(HEAD + logs()).warnings
    assert warning.startswith("site.weather: station.csv gives 4 years")


def test_windows_stay_those_of_the_season_that_has_begun(read) -> None:
    """Once work is recorded, the spring of the plan stays the season's own, even when it is over."""
    season = read(HEAD + logs())
    (first, last) = season.plantings[0].window
    began = date(2026, 12, 5)
    later = read(HEAD + logs(), today=last - timedelta(days=1), began=lambda: began)
    assert later.plantings[0].window == (first, last)
    over = read(HEAD + logs() + BED, today=last + timedelta(days=1), began=lambda: began, under_way=True)
    assert [planting.name for planting in over.plantings] == ["Bed"]
    assert over.site.leaf_turn == season.site.leaf_turn
    anew = read(HEAD + logs(), today=last + timedelta(days=1))
    assert anew.plantings[0].window[0].year == 2028


def test_a_bed_before_the_thaw_has_the_thaw_of_its_own_spring(read) -> None:
    """A window that ends just before the ground thaws is not judged by the thaw of a year ago."""
    thaw = read(HEAD + BED).site.ground_thaws
    assert thaw is not None
    early = read(HEAD + BED + f'window = "{thaw - timedelta(days=40)}/{thaw - timedelta(days=5)}"\n')
    assert early.site.ground_thaws == thaw
    late = read(HEAD + BED + f'window = "{thaw + timedelta(days=150)}/{thaw + timedelta(days=190)}"\n')
    assert late.site.ground_thaws == thaw


def test_wrong_values_beside_a_weather_file_are_told_as_usual(faults) -> None:
    """Nonsense in the file is a fault of the file; the filling in does not stumble over it."""
    text = '[season]\nname = "x"\n[site]\nweather = "station.csv"\nlatitude = 1000\nbud_swell = "soon"\n'
    found = faults(text + '[[planting]]\nname = "A"\nspecies = "shiitake"\nmethod = 7\nwindow = 3\n')
    assert {fault.where.split(" ")[-1] for fault in found} >= {
        "site.latitude",
        "site.bud_swell",
        "planting[0].method",
        "planting[0].window",
    }
    for broken in ("planting = 3", 'planting = ["x"]', "site = 3"):
        assert faults(broken + '\n[season]\nname = "x"\n')


def test_a_remedy_writes_what_was_filled_in_only_where_it_changes_it(read, catalogue: Catalogue) -> None:
    """A later window is written into the file; dates that were filled in and stay are still left out."""
    season = read(HEAD + logs() + BED)
    oak, bed = season.plantings
    later = (oak.window[0] + timedelta(days=7), oak.window[1] + timedelta(days=7))
    wanted = replace(season, plantings=(replace(oak, window=later, best=later), bed))
    found = rewrite(season, wanted, catalogue)
    assert [(change.key, change.was, change.now) for change in found.changes] == [
        ("[[planting]] Oak: window", None, f'"{later[0]}/{later[1]}"')
    ]
    assert [planting.window for planting in found.season.plantings] == [later, bed.window]
    assert found.season.site == season.site
