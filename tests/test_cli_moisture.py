"""`moisture` and `record weighed` as they are called, in pounds and in kilograms, with and without weights."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.command import Ended, budswell, example, inside, is_one_block, listing
from tests.february import begun, entries, planned

PLANTED = "2027-05-15"
SUMMER = "2027-07-10"


def page(cwd: Path, *arguments: str) -> str:
    """What `moisture` prints."""
    ended = inside("moisture", *arguments, cwd=cwd)
    assert (ended.code, ended.err) == (0, "")
    return ended.out


def data(cwd: Path, *arguments: str) -> dict[str, Any]:
    """What it prints as JSON, of the first planting."""
    found: dict[str, Any] = json.loads(page(cwd, *arguments, "--json"))["plantings"][0]
    return found


def record(cwd: Path, words: str, day: str, *more: str) -> Ended:
    """A line of what happened on a day."""
    return inside("record", "backyard", *words.split(), "--today", day, *more, cwd=cwd)


def recorded(cwd: Path, words: str, day: str, *more: str) -> str:
    """What is printed when it was taken down."""
    ended = record(cwd, words, day, *more)
    assert (ended.code, ended.err) == (0, "")
    return ended.out


@pytest.fixture
def planted(tmp_path: Path) -> Path:
    """The folder of the backyard whose wood is felled, and planted in May."""
    begun(tmp_path)
    recorded(tmp_path, "planted oak", PLANTED, "--force")
    return tmp_path


def test_a_season_in_pounds(planted: Path) -> None:
    """Logs are weighed when planted; in July one has lost 12 % and the stack is watered, as processes of their own."""

    def said(*arguments: str) -> str:
        ended = budswell(*arguments, cwd=planted)
        assert (ended.code, ended.err) == (0, "")
        return ended.out

    first = said("record", "backyard", "weighed", "oak", "log", "1", "35", "lb", "--today", PLANTED)
    assert "Oak stack, log 1: 35 lb weighed" in first
    assert "this is its first weight" in first
    said("record", "backyard", "weighed", "oak", "log", "2", "30", "lb", "8", "oz", "--today", PLANTED)
    light = said(
        "record", "backyard", "weighed", "oak", "log", "1", "30", "lb", "12", "oz", "--today", SUMMER
    )
    assert "12 % below its first weight of 35 lb on Sat 15 May 2027" in " ".join(light.split())
    text = said("moisture", "backyard", "--today", SUMMER)
    assert text.startswith("Water now: Oak stack\n")
    assert "now: 12 % below starting weight, more than 10 %" in " ".join(text.split())
    assert "35 lb, Sat 15 May" in text
    said("record", "backyard", "watered", "oak", "--today", SUMMER)
    text = said("moisture", "backyard", "--today", SUMMER)
    assert text.startswith("No logs need water now.\n")
    assert "no need: it got some on Sat 10 Jul" in " ".join(text.split())


def test_a_season_in_kilograms(planted: Path) -> None:
    """The same in metric units, as data."""
    file = planted / "backyard/season.toml"
    file.write_text(file.read_text().replace('units    = "imperial"', 'units    = "metric"'))
    recorded(planted, "weighed oak log 1 15.9 kg", PLANTED)
    recorded(planted, "weighed oak log 1 15.1 kg", SUMMER)
    text = page(planted, "backyard", "--today", SUMMER)
    assert text.startswith("No logs need water now.\n")
    assert "15.1 kg" in text and "15.9 kg, Sat 15 May" in text and "25 mm" in text
    found = data(planted, "backyard", "--today", SUMMER)
    assert (found["by"], found["since"], found["water_now"], found["state"]) == (
        "weighed",
        SUMMER,
        False,
        "planted",
    )
    assert found["logs"] == [
        {
            "log": "log 1",
            "weight_g": 15100.0,
            "weighed_on": SUMMER,
            "starting_weight_g": 15900.0,
            "started_on": PLANTED,
            "moisture": found["moisture"],
        }
    ]
    # Felled on 23 January it is at 38 % when planted, and has lost 5 % of its weight since.
    assert 33 < found["moisture"]["likely"] < 36
    assert found["moisture"]["low"] < found["moisture"]["likely"] < found["moisture"]["high"]
    assert found["weigh_on"] == "2027-07-17"


def test_without_weights_days_and_season_say_it(planted: Path) -> None:
    """Each later page is drier, and the days that are left grow fewer, down to what logs left alone come to."""
    days = ("2027-05-20", "2027-06-10", "2027-07-01", "2027-07-20")
    found = [data(planted, "backyard", "--today", day) for day in days]
    likely = [one["moisture"]["likely"] for one in found]
    left = [one["floor_until"] for one in found]
    assert likely == sorted(likely, reverse=True) and len(set(likely)) == 4
    assert left == sorted(left, reverse=True)
    assert {(one["by"], one["since"]) for one in found} == {("felled", "2027-01-23")}
    text = page(planted, "backyard", "--today", "2027-10-20")
    assert text.startswith("Water now: Oak stack")
    assert "dead risk" in text and "do not take up water again" in " ".join(text.split())
    assert "budswell record backyard weighed Oak stack log 1 31 lb" in " ".join(text.split())


def test_a_log_that_has_dried_out_is_not_watered(planted: Path) -> None:
    """A new weight below 23 % says that it is too late; it is no use to water it."""
    recorded(planted, "weighed oak log 1 35 lb", PLANTED)
    recorded(planted, "weighed oak log 1 26 lb", SUMMER)
    text = page(planted, "backyard", "--today", SUMMER)
    assert text.startswith("Too dry to take up water again: Oak stack")
    assert "no use: too dry to take it up again" in " ".join(text.split())
    found = data(planted, "backyard", "--today", SUMMER)
    assert (found["condition"], found["water_now"], found["reason"]) == ("dead risk", False, "dead")


def test_a_first_weight_in_autumn_is_no_starting_weight(planted: Path) -> None:
    """It is compared with what a log of that size and wood is expected to have weighed, and that is said."""
    recorded(planted, "weighed oak log 1 29 lb", "2027-09-10")
    text = " ".join(page(planted, "backyard", "--today", "2027-09-10").split())
    assert "35 lb, expected from its size" in text and "rough guess" in text
    assert data(planted, "backyard", "--today", "2027-09-10")["logs"][0]["started_on"] is None


def test_an_undo_takes_a_weight_back(planted: Path) -> None:
    """The page is then what it was before."""
    before = page(planted, "backyard", "--today", SUMMER)
    recorded(planted, "weighed oak log 1 35 lb", SUMMER)
    assert page(planted, "backyard", "--today", SUMMER) != before
    recorded(planted, "undo", SUMMER)
    assert page(planted, "backyard", "--today", SUMMER) == before


def test_weights_go_out_and_come_back(planted: Path) -> None:
    """An exported book read in again holds the same weights."""
    recorded(planted, "weighed oak log 1 35 lb", PLANTED)
    recorded(planted, "weighed oak 31 lb 4 oz", SUMMER)
    before = entries(planted / "backyard"), page(planted, "backyard", "--today", SUMMER)
    assert inside("book", "export", "backyard", "all.jsonl", cwd=planted).code == 0
    assert '"units": ["log 1"]' in (planted / "all.jsonl").read_text()
    (planted / "backyard/season.book").unlink()
    assert inside("book", "import", "backyard", "all.jsonl", cwd=planted).code == 0
    assert (entries(planted / "backyard"), page(planted, "backyard", "--today", SUMMER)) == before


def test_after_a_replan_what_was_planted_is_still_there(planted: Path) -> None:
    """Also once its window is over and the plan knows it no more, and in the next year."""
    recorded(planted, "done all", "2027-05-17", "--force")
    recorded(planted, "weighed oak log 1 35 lb", "2027-05-17")
    assert inside("replan", "backyard", "--undone", "--today", "2027-05-17", cwd=planted).code == 0
    for day in ("2027-06-20", SUMMER, "2028-07-10"):
        found = data(planted, "backyard", "--today", day)
        assert (found["planting"], found["state"], len(found["logs"])) == ("Oak stack", "planted", 1)
    assert "After a year the fungus has eaten much" in page(planted, "backyard", "--today", "2028-07-10")


def test_before_anything_is_felled(tmp_path: Path) -> None:
    """It says so, with the planned day; also without a kept plan, and nothing is written."""
    example("backyard", tmp_path)
    before = listing(tmp_path)
    text = page(tmp_path, "backyard")
    assert text.startswith("Nothing is felled yet, so there is nothing to water.\n")
    assert "not felled yet" in text and "not for Currant bed (chip bed)" in text
    assert listing(tmp_path) == before
    (tmp_path / "kept").mkdir()
    planned(tmp_path / "kept")
    assert "not felled yet; planned: Sat 23 Jan" in page(tmp_path / "kept", "backyard")


def test_without_a_plan_the_day_of_the_season_file_counts(tmp_path: Path) -> None:
    """Wood that is down already dries, whether a plan is kept or not; also long after its window."""
    season = example("backyard", tmp_path)
    file = season / "season.toml"
    file.write_text(
        file.read_text().replace('wood    = "white oak"', 'wood    = "white oak"\nfelled  = 2026-11-20')
    )
    found = data(tmp_path, "backyard")
    assert (found["state"], found["by"], found["since"]) == ("felled", "felled", "2026-11-20")
    assert data(tmp_path, "backyard", "--today", "2028-03-01")["condition"] == "dead risk"


def test_beds_and_stumps_have_no_log_moisture(tmp_path: Path) -> None:
    """The page says for what it is; one planting may be asked for in a few letters."""
    begun(tmp_path)
    text = page(tmp_path, "backyard", "cur")
    assert text.startswith("No planting has logs, and this page is for logs.\n")
    assert "This page is for logs only, not for Currant bed (chip bed)." in text
    assert "Currant" not in page(tmp_path, "backyard", "oak")


@pytest.mark.parametrize(
    ("arguments", "found"),
    [
        (["backyard", "birch"], 'nothing is called "birch"'),
        (["backyard", "oak stack logs"], 'nothing is called "oak stack logs"'),
        (["nowhere"], "nowhere"),
        (["backyard", "--today", "tomorrow"], '"tomorrow"'),
    ],
)
def test_what_cannot_be_shown_is_one_block(arguments: list[str], found: str, tmp_path: Path) -> None:
    """A planting or a season that is not there, or a day that is none."""
    begun(tmp_path)
    before = listing(tmp_path)
    ended = inside("moisture", *arguments, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert found in ended.err
    assert listing(tmp_path) == before


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("weighed oak 35", '"35"'),
        ("weighed oak 3 gal", '"3 gal"'),
        ("weighed oak log 0 3 kg", '"0"'),
        ("weighed oak log 21 15 kg", "log 21 of Oak stack"),
        ("weighed oak log 1 2 kg", "4 lb 7 oz is no weight for a log of Oak stack"),
        ("weighed birch 3 kg", 'no planting is called "birch 3 kg"'),
        ("weighed currant 3 kg", "Currant bed is 45 sq ft"),
    ],
)
def test_weights_that_cannot_be_are_refused(words: str, found: str, planted: Path) -> None:
    """One block each, and nothing is recorded; what is only unlikely is recorded with --force."""
    before = listing(planted)
    ended = record(planted, words, SUMMER)
    assert ended.code == 2
    is_one_block(ended)
    assert found in " ".join(ended.err.split())
    assert listing(planted) == before
    if "no weight" in found:
        recorded(planted, words, SUMMER, "--force")
        assert entries(planted / "backyard")[-1].entry.forced


def test_a_weight_is_recorded_beside_a_broken_season_file(planted: Path) -> None:
    """Nobody carries a log to the scales twice; only how likely it is cannot be said then."""
    file = planted / "backyard/season.toml"
    file.write_text(file.read_text().replace('"shiitake"', '"shitake"'))
    recorded(planted, "weighed oak log 1 35 lb", SUMMER)
    ended = inside("moisture", "backyard", cwd=planted)
    assert ended.code == 2
    is_one_block(ended)


def rain(folder: Path, *days: tuple[str, float]) -> None:
    """Gives the backyard a weather file with the rain of some days."""
    rows = "".join(f"{day},10,20,{mm}\n" for day, mm in days)
    (folder / "backyard/station.csv").write_text(f"date,tmin_c,tmax_c,rain_mm\n{rows}")
    file = folder / "backyard/season.toml"
    file.write_text(file.read_text().replace("[site]", '[site]\nweather = "station.csv"'))


WEEK = [f"2027-07-{day:02d}" for day in range(4, 11)]


def test_the_rain_of_a_wet_week_waters(planted: Path) -> None:
    """An inch in seven days: the logs are taken for watered."""
    before = data(planted, "backyard", "--today", SUMMER)
    assert (before["by"], before["moisture"]["likely"] < 34) == ("felled", True)
    rain(planted, *((day, 4.0) for day in WEEK))
    found = data(planted, "backyard", "--today", SUMMER)
    assert (found["by"], found["since"], found["moisture"]["likely"]) == ("rain", SUMMER, 35)
    assert (found["water_now"], found["reason"]) == (False, "watered")
    text = page(planted, "backyard", "--today", SUMMER)
    assert "Rain of the last seven days: 1.1 in; 1 in keeps logs moist." in " ".join(text.split())


def test_a_dry_week_asks_for_water(planted: Path) -> None:
    """Below 35 % with less than an inch of rain; at the end of June they are still good without one."""
    day = "2027-06-24"
    assert data(planted, "backyard", "--today", day)["reason"] == "moist"
    rain(planted, *((f"2027-06-{day:02d}", 1.0) for day in range(17, 24)))  # up to yesterday
    found = data(planted, "backyard", "--today", day)
    assert (found["water_now"], found["reason"], found["condition"]) == (True, "dry week", "good")
    text = " ".join(page(planted, "backyard", "--today", day).split())
    assert "now: below 35 %, and only 0.3 in of rain in seven days" in text


def test_a_weather_file_that_ends_before_tells_nothing(planted: Path) -> None:
    """It is said until when it goes."""
    rain(planted, *((day, 0.0) for day in WEEK))
    text = " ".join(page(planted, "backyard", "--today", "2027-07-12").split())
    assert "not known, station.csv ends on Sat 10 Jul 2027" in text


def test_every_width_holds_the_page(planted: Path) -> None:
    """No line runs over, whether there are weights or not."""
    recorded(planted, "weighed oak log 1 35 lb", PLANTED)
    for width in (60, 80, 100, 200):
        ended = inside("moisture", "backyard", "--today", SUMMER, cwd=planted, COLUMNS=str(width))
        assert max(map(len, ended.out.splitlines())) <= width
        assert all(line == line.rstrip() for line in ended.out.splitlines())
