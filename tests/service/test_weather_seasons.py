"""Seasons with a weather file, as the use cases read them."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.book.store import Book
from scheduler.errors import SeasonError
from scheduler.progress import Entry
from scheduler.service import seasons
from scheduler.service.inputs import inputs_sha
from tests.command import budswell, example
from tests.sample import sample_plan
from tests.weather.made_up import daily, write

CLOCK = seasons.Clock(date(2026, 11, 28), "UTC")
TEXT = """
[season]
name = "Made-up hill"

[site]
latitude = 45
weather = "station.csv"

[[planting]]
name = "Bed"
species = "wine cap"
method = "chip bed"
area = "4 m2"
"""


@pytest.fixture
def hill(tmp_path: Path) -> Path:
    """A season with made-up weather beside it."""
    (tmp_path / "season.toml").write_text(TEXT)
    write(daily(range(2005, 2017)), tmp_path / "station.csv")
    return tmp_path


def test_a_kept_plan_belongs_to_its_weather(hill: Path) -> None:
    """The same season file beside another station is another season to plan, beside the same one it is not."""
    before = inputs_sha(seasons.read(hill, CLOCK, None)[0])
    assert inputs_sha(seasons.read(hill, CLOCK, None)[0]) == before
    write(daily(range(2005, 2017), mean=7.0), hill / "station.csv")
    assert inputs_sha(seasons.read(hill, CLOCK, None)[0]) != before


def test_the_spring_of_a_season_under_way_stays_its_own(hill: Path) -> None:
    """With the first day that was recorded in the book, a later look does not move on to the next spring."""
    season, _ = seasons.read(hill, CLOCK, None)
    [(_, last)] = [planting.window for planting in season.plantings]
    with Book.open(hill / "season.book", create=True) as book:
        book.keep(sample_plan(), TEXT, "2026-11-28T09:00:00+00:00", "{}")
    over = last + timedelta(days=30)
    anew, _ = seasons.read(hill, CLOCK, over)
    assert [planting.window[1].year for planting in anew.plantings] == [last.year + 1]
    with Book.open(hill / "season.book", create=True) as book:
        book.record(Entry("cooked", date(2026, 12, 5), "WIN-G1a"), "2026-12-05T09:00:00+00:00")
    with pytest.raises(SeasonError) as caught:
        seasons.read(hill, CLOCK, over)
    assert [fault.found for fault in caught.value.faults] == ["every window is over"]
    inside, _ = seasons.read(hill, CLOCK, last)
    assert [planting.window[1] for planting in inside.plantings] == [last]


def test_check_names_what_the_weather_filled_in(tmp_path: Path) -> None:
    """Under "Assumed" stand the dates of the site and the windows, with source, risk and range."""
    ended = budswell("check", example("maritime", tmp_path), cwd=tmp_path)
    assert ended.code == 0
    said = " ".join(ended.out.split())
    assert "derived from seattle.csv, 2012 to 2015:" in said
    for key in ("leaf_turn", "bud_swell", "ground_thaws", "last_frost"):
        assert f"site.{key} 202" in said
    assert "a freeze comes later in 1 year of 10 (10/50/90 %: " in said
    assert said.count("planting.window 2027-") == 2
    assert "gives 3 years, too few" in said


def test_check_says_what_is_wrong_with_the_weather_file(tmp_path: Path) -> None:
    """The line of the weather file is named, with what was found and what is allowed."""
    season = example("maritime", tmp_path)
    lines = (season / "seattle.csv").read_text().splitlines()
    lines[4] = lines[4].replace("2012-01-04", "2012-01-44")
    (season / "seattle.csv").write_text("\n".join(lines))
    ended = budswell("check", season, cwd=tmp_path)
    assert ended.code == 2
    assert "seattle.csv:5" in ended.err.replace("\n", "")
    assert "2012-01-44" in ended.err


def test_a_plan_lists_the_figures_of_its_weather(tmp_path: Path) -> None:
    """What the windows rest on is among the figures of the plan: of the rules, the species and the method."""
    season = example("maritime", tmp_path)
    assert budswell("plan", season, cwd=tmp_path).code == 0
    plan = json.loads(budswell("show", season, "--json", cwd=tmp_path).out)
    named = {figure["name"] for figure in plan["figures"]}
    assert {
        "weather.rules.warm.days",
        "species.shiitake.planting.day",
        "species.wine cap.planting.hottest",
    } <= named
    windows = [taken["value"] for taken in plan["season"]["assumed"] if taken["key"] == "planting.window"]
    assert len(windows) == 2 and all("in 1 year of 10 (10/50/90 %: " in one for one in windows)
