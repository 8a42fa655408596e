"""Good season files, whole."""

from __future__ import annotations

import hashlib
import json
import subprocess
import sys
import uuid
from datetime import date, time
from pathlib import Path

import pytest

from scheduler.errors import SeasonError
from scheduler.plan import Assumption, DayStart
from scheduler.season.season import Cooker, Help, Lead, LogGroup, OwnContainer, Pattern, Room, Site, Tools

GOOD = Path(__file__).parent / "good"


def test_a_file_with_every_key_is_read_into_one_unit_and_canonical_names(read):
    """Every key of the season file arrives in the Season, converted and named as the catalogue names it."""
    season = read(GOOD / "full.toml")
    assert (season.name, season.id, season.timezone) == (
        "Alder Bend, spring 2027",
        "alder-bend-2027",
        "America/Toronto",
    )
    assert (season.units, season.certainty) == ("metric", 0.85)
    assert (season.today, season.no_work_before) == (date(2026, 11, 28), date(2026, 12, 1))
    assert season.site == Site(
        44.6, 310, date(2026, 10, 5), date(2027, 4, 12), date(2027, 4, 5), date(2027, 5, 18)
    )
    assert season.people.minutes == {"wed": 90, "sat": 360, "sun": 240}
    assert season.people.home_minutes == {"wed": 210, "sat": 600, "sun": 600}
    assert (season.people.small_minutes, season.people.felling, season.people.prefer) == (
        25,
        "hired",
        ("sat",),
    )
    assert season.people.at == {"wed": time(18, 30), "sat": time(9)}
    assert season.people.starts() == (DayStart("wed", "18:30"), DayStart("sat", "09:00"))
    assert season.people.away == (
        (date(2027, 2, 13), date(2027, 2, 21)),
        (date(2027, 3, 6), date(2027, 3, 6)),
    )
    assert season.help == (Help(date(2027, 4, 24), 3, 360),)
    assert season.tools == Tools(2, 700)
    assert (season.lab.workspace, season.lab.grain_in, season.lab.spawn_in, season.lab.media) == (
        "flow hood",
        "quart jar",
        "2.3 kg bag",
        "own",
    )
    assert season.lab.cookers[1] == Cooker("steam drum", 1, None, None, {"2.3 kg bag": 30})
    assert season.lab.cookers[0].rated_psi == pytest.approx(1.1 * 14.503774)
    assert season.lab.cookers[0].holds["3 L jar"] == 2
    assert season.lab.shelf == Room({12: 17, 1: 16}, {"quart jar": 24, "2.3 kg bag": 10}, None)
    assert season.lab.fridge == Room(3, None, 90)
    assert season.lab.containers == {"3 L jar": OwnContainer(3.4, 1700)}
    culture, grain = season.stock
    assert (culture.species, culture.strain, culture.code, culture.stage) == (
        "nameko",
        "N7",
        "NAQ",
        "liquid culture",
    )
    assert (culture.amount, culture.units, culture.since, culture.started) == (
        12,
        None,
        date(2026, 11, 20),
        False,
    )
    assert (culture.tested, culture.transfers, culture.container) == (True, 2, None)
    assert (grain.species, grain.units, grain.container, grain.started) == ("wine cap", 2, "3 L jar", True)
    assert season.lead == Lead(10, 21, 7, 21, 5)
    days = season.figures["nameko"]["grain.days"]
    assert (days.low, days.likely, days.high, days.unit, days.basis) == (12, 15, 20, "d", "own record")
    loss = season.figures["nameko"]["grain.loss"]
    assert (loss.low, loss.likely, loss.high, loss.basis) == (0.02, 0.05, 0.12, "own record")
    assert season.text == (GOOD / "full.toml").read_text(encoding="utf-8")


def test_plantings_of_every_kind_of_size(read):
    """Logs of one and of two sizes, a bed, stumps, and logs with saw cuts."""
    raft, logs, bed, stumps, sawn = read(GOOD / "full.toml").plantings
    assert (raft.species, raft.strain, raft.code, raft.method, raft.wood) == (
        "nameko",
        "N7",
        "NAQ",
        "log raft",
        "black cherry",
    )
    assert raft.groups == (LogGroup(12, 13, 100),)
    assert raft.window == (date(2027, 4, 20), date(2027, 5, 25))
    assert raft.best == (date(2027, 4, 24), date(2027, 5, 9))
    assert (raft.priority, raft.at_least, raft.spawn, raft.felled) == (2, 8, "either", date(2026, 11, 10))
    assert raft.route == ("liquid culture", "grain", "pellet")
    assert logs.groups == (LogGroup(20, 12, 110), LogGroup(10, 16, 110))
    assert (logs.wood, logs.pattern, logs.best) == ("oak", Pattern(15, 7.5), logs.window)
    assert (bed.species, bed.area_m2, bed.depth_cm, bed.chips, bed.at_least) == (
        "wine cap",
        6,
        10,
        "fermented",
        3,
    )
    assert (bed.groups, bed.wood, bed.pattern) == ((), None, None)
    assert stumps.groups == (LogGroup(2, 35, None),)
    assert [one.index for one in (raft, logs, bed, stumps, sawn)] == [0, 1, 2, 3, 4]
    assert (sawn.method, sawn.cut, sawn.pattern) == ("wedge-cut logs", "kerf", None)
    assert [one.cut for one in (raft, logs, bed, stumps)] == [None] * 4
    assert (stumps.strain, stumps.code) == ("house", "NAM")


def test_a_minimal_file_takes_every_default_and_says_so(read):
    """Name, species, method, size and window are enough; each default is noted with what it is."""
    season = read(GOOD / "minimal.toml")
    assert [(one.key, one.value) for one in season.assumed] == [
        ("season.timezone", "Europe/Zurich, the system's"),
        ("season.units", "metric"),
        ("season.certainty", "0.9"),
        ("season.no_work_before", "today, 2026-11-28"),
        ("site.elevation", "sea level"),
        ("people.hours", "sat 4 h, sun 4 h"),
        ("people.home", "sat 10 h, sun 10 h"),
        ("people.small_minutes", "20 minutes on any day not away"),
        ("people.felling", "own"),
        ("tools.tank", "none"),
        ("tools.drills", "1"),
        ("lab.grain_in", "quart jar"),
        ("lab.spawn_in", "2.3 kg bag"),
        ("lab.workspace", "still-air box"),
        ("lab.media", "bought"),
        (
            "lab.cooker",
            "one pressure cooker, 7 x quart jar or 3 x 2.3 kg bag in a load, 1 load a day, 15 psi",
        ),
        ("lab.shelf.temperature", "20 C"),
        ("lab.shelf.volume", "150 L"),
        ("lab.fridge.temperature", "4 C"),
        ("lab.fridge.volume", "60 L"),
        ("buying.lead", "culture 14 d, spawn 21 d, grain 7 d, chips 21 d, supplies 14 d"),
        ("planting.wood", "not named"),
        ("planting.best", "the whole window"),
        ("planting.strain", "house"),
        ("planting.priority", "1"),
        ("planting.spawn", "make"),
        ("planting.route", "liquid culture > grain > pellet"),
    ]
    assert season.people.home_minutes == {"sat": 600, "sun": 600}
    assert season.lab.cookers == (Cooker("pressure cooker", 1, 15, 15, {"quart jar": 7, "2.3 kg bag": 3}),)
    assert season.lab.shelf == Room(20, None, 150)
    assert season.warnings == ()


def test_equal_defaults_of_several_plantings_are_one_note(read):
    """A default taken for some plantings names them; one taken for all does not list them."""
    notes = {(one.key, one.value): one.why for one in read(GOOD / "imperial.toml").assumed}
    assert notes["planting.strain", "house"] == "not given for any planting"
    assert notes["planting.chips", "wetted in place"] == (
        'not given for "Path bed"; the tank does not hold 125 gal of chips'
    )


def test_imperial_quantities_are_accepted(read):
    """Inches, feet, gallons, pounds and Fahrenheit arrive in cm, m, L, g and C."""
    season = read(GOOD / "imperial.toml")
    logs, bed = season.plantings
    assert season.site.elevation_m == pytest.approx(365.76)
    assert season.tools.tank_l == pytest.approx(208.197648)
    assert season.lab.shelf.temperature == pytest.approx(20)
    assert season.lab.fridge.temperature == pytest.approx(10 / 3)
    assert season.lab.spawn_in == "4.8 kg bag"
    assert season.stock[0].amount == pytest.approx(2267.96185)
    assert logs.groups[0] == LogGroup(40, pytest.approx(12.7), pytest.approx(121.92))
    assert logs.pattern == Pattern(pytest.approx(15.24), pytest.approx(5.08))
    assert bed.area_m2 == pytest.approx(4.645152)
    assert season.units == "imperial"


def test_a_season_south_of_the_equator(read):
    """Leaf turn in April, bud swell in September: no fault and no warning."""
    season = read(GOOD / "southern.toml")
    assert (season.site.leaf_turn, season.site.bud_swell) == (date(2027, 4, 25), date(2027, 9, 5))
    assert season.warnings == ()


@pytest.mark.parametrize(("latitude", "warnings"), [("44.6", 1), ("-44.6", 0), ("3", 0)])
def test_an_autumn_in_april_asks_for_the_sign_of_the_latitude(read, latitude, warnings):
    """Leaves that turn in April north of the tropics are more likely a missing minus."""
    text = (GOOD / "southern.toml").read_text(encoding="utf-8").replace("-38.4", latitude)
    assert len(read(text).warnings) == warnings


def test_a_folder_means_its_season_file(read, tmp_path):
    """A folder is read by its season.toml, whose path the season keeps."""
    (tmp_path / "season.toml").write_bytes((GOOD / "minimal.toml").read_bytes())
    assert read(tmp_path).path == tmp_path / "season.toml"


def test_a_byte_order_mark_and_other_line_ends_do_no_harm(read, tmp_path):
    """Files as some editors write them are read like any other."""
    text = (GOOD / "minimal.toml").read_text(encoding="utf-8")
    path = tmp_path / "editor.toml"
    path.write_bytes(b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode())
    assert read(path).plantings[0].name == "Stumps"


def test_today_is_asked_for_then_written_then_the_clock(read):
    """The argument goes before the file, the file before the clock, and either is noted."""
    text = (GOOD / "southern.toml").read_text(encoding="utf-8")
    asked = read(text, today=date(2027, 4, 1))
    written = read(text)
    clock = read(text.replace("today = 2027-03-01\n", ""))
    assert (asked.today, written.today, clock.today) == (
        date(2027, 4, 1),
        date(2027, 3, 1),
        date(2026, 11, 28),
    )
    assert asked.assumed[0] == Assumption(
        "season.today", "2027-04-01", "asked for, instead of the day of the clock"
    )
    assert written.assumed[0] == Assumption(
        "season.today", "2027-03-01", "the season file says so, instead of the day of the clock"
    )
    assert "season.today" not in [one.key for one in clock.assumed]


def test_the_id_follows_from_the_name(read):
    """Without an id of its own a season has the name-based one of RFC 9562, section 5.5: SHA-1 in the URL space."""
    digest = hashlib.sha1(uuid.NAMESPACE_URL.bytes + b"Two stumps").digest()
    assert read(GOOD / "minimal.toml").id == str(uuid.UUID(bytes=digest[:16], version=5))


def test_a_window_that_is_over_is_a_warning_once_the_season_is_under_way(read):
    """Once planned, a season is read in July too: what is over is left out, and what is to come is planned."""
    text = (GOOD / "minimal.toml").read_text(encoding="utf-8")
    stumps = text[text.index("[[planting]]") :]
    text += stumps.replace("Stumps", "Late stumps").replace("2027-06-15", "2027-09-15")
    late = date(2027, 7, 1)
    with pytest.raises(SeasonError):
        read(text, today=late)
    season = read(text, today=late, under_way=True)
    assert season.warnings == (
        'planting[0] "Stumps": its window ended on 2027-06-15, so it is left out of the plan',
    )
    assert [(one.name, one.index) for one in season.plantings] == [("Late stumps", 1)]


def test_a_season_that_is_over_is_a_fault_also_when_it_is_under_way(read):
    """Where no window is left there is nothing to plan, and the file says where that is so."""
    with pytest.raises(SeasonError) as caught:
        read(GOOD / "minimal.toml", today=date(2027, 7, 1), under_way=True)
    (fault,) = caught.value.faults
    assert fault.where.endswith("planting")
    assert fault.found == "every window is over"


@pytest.mark.parametrize(
    ("make", "found"),
    [
        (lambda folder: folder / "none.toml", "no such file"),
        (lambda folder: folder, "a folder without a season.toml"),
        (lambda folder: folder / "large.toml", "more than 1 MB"),
        (lambda folder: folder / "deep.toml", "lists or tables nested too deeply"),
        (lambda folder: folder / "digits.toml", "a number of thousands of digits"),
        (lambda folder: Path("a\0b"), "a file that cannot be read (embedded null byte)"),
        (lambda folder: folder / "large.toml" / "x", "a file that cannot be read (Not a directory)"),
    ],
)
def test_what_cannot_be_read_at_all(read, tmp_path, make, found):
    """A missing, unreadable, oversized or overdeep file is one fault with the file's name."""
    (tmp_path / "large.toml").write_text("#" * 1_000_001, encoding="utf-8")
    (tmp_path / "deep.toml").write_text("x = " + "[" * 20_000, encoding="utf-8")
    (tmp_path / "digits.toml").write_text("x = " + "1" * 5000, encoding="utf-8")
    path = make(tmp_path)
    with pytest.raises(SeasonError) as caught:
        read(path)
    (fault,) = caught.value.faults
    assert (fault.where.split(" ")[0].startswith(str(path)), fault.found) == (True, found)
    assert fault.allowed


def test_loading_imports_neither_units_nor_solver_nor_arrays():
    """Importing the loader leaves pint, numpy and ortools alone, so that small commands start quickly."""
    code = "import scheduler.season.load, sys, json; print(json.dumps(sorted(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert {"pint", "numpy", "ortools", "pandas"} & set(json.loads(done.stdout)) == set()
