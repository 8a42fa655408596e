"""Which day it is: that of the clock where the season is, unless the file or the call says another."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from freezegun import freeze_time

from tests.command import Ended, example, inside, is_one_block, listing
from tests.february import TODAY, begun, entries, newest, planned

TODAY_KEY = re.compile(r"^today .*\n", re.MULTILINE)

MIDNIGHTS = [
    # The European Union turns its clocks on the last Sundays of March and October, at 01:00 UTC
    # (Directive 2000/84/EC).
    ("Europe/Berlin", "2027-03-27 22:59:59", "Sat 27 Mar 2027"),
    ("Europe/Berlin", "2027-03-27 23:00:00", "Sun 28 Mar 2027"),
    ("Europe/Berlin", "2027-03-28 21:59:59", "Sun 28 Mar 2027"),
    ("Europe/Berlin", "2027-03-28 22:00:00", "Mon 29 Mar 2027"),
    ("Europe/Berlin", "2027-10-30 22:00:00", "Sun 31 Oct 2027"),
    ("Europe/Berlin", "2027-10-31 22:59:59", "Sun 31 Oct 2027"),
    ("Europe/Berlin", "2027-10-31 23:00:00", "Mon 1 Nov 2027"),
    # The United States do so on the second Sunday of March and the first of November, at 02:00
    # (Energy Policy Act of 2005, section 110).
    ("America/New_York", "2027-03-14 04:59:59", "Sat 13 Mar 2027"),
    ("America/New_York", "2027-03-14 05:00:00", "Sun 14 Mar 2027"),
    ("America/New_York", "2027-03-15 03:59:59", "Sun 14 Mar 2027"),
    ("America/New_York", "2027-03-15 04:00:00", "Mon 15 Mar 2027"),
    ("America/New_York", "2027-11-07 04:00:00", "Sun 7 Nov 2027"),
    ("America/New_York", "2027-11-08 04:59:59", "Sun 7 Nov 2027"),
    ("America/New_York", "2027-11-08 05:00:00", "Mon 8 Nov 2027"),
    # New Year, on both sides of the ocean.
    ("America/New_York", "2027-01-01 04:59:59", "Thu 31 Dec 2026"),
    ("America/New_York", "2027-01-01 05:00:00", "Fri 1 Jan 2027"),
    ("Europe/Berlin", "2026-12-31 23:00:00", "Fri 1 Jan 2027"),
    # A leap day.
    ("America/New_York", "2028-02-29 05:00:00", "Tue 29 Feb 2028"),
    ("America/New_York", "2028-03-01 04:59:59", "Tue 29 Feb 2028"),
]
"""Time zone of the season, a moment in UTC around the midnight of a special day, and the day it then is."""


@pytest.fixture(scope="module", autouse=True)
def loaded(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Loads what reads plans and seasons while days are still days: shapes made of frozen ones are refused."""
    folder = tmp_path_factory.mktemp("loaded")
    begun(folder)
    for arguments in (["check", "backyard"], ["record", "backyard", "clean", "SHI-G1a", *TODAY]):
        assert inside(*arguments, cwd=folder).code == 0
    newest(folder / "backyard")


def by_the_clock(season: Path, timezone: str | None = "America/New_York") -> Path:
    """The season without a day of its own, in a time zone."""
    file = season / "season.toml"
    text, taken_out = TODAY_KEY.subn("", file.read_text(encoding="utf-8"))
    assert taken_out == 1
    line = f'timezone = "{timezone}"' if timezone else ""
    file.write_text(text.replace('timezone = "America/New_York"', line), encoding="utf-8")
    return season


def call(moment: str, *arguments: str | Path, cwd: Path, ahead: int = 0) -> Ended:
    """Calls the command at a moment in UTC, on a machine whose clock is so many hours ahead of that."""
    with freeze_time(moment, tz_offset=ahead):
        return inside(*arguments, cwd=cwd)


def day_of(page: Ended) -> str:
    """The day that a page says it is of."""
    assert (page.code, page.err) == (0, "")
    heading = next(line for line in page.out.splitlines() if line.startswith("Fern Hollow"))
    return heading.rpartition(", ")[2]


@pytest.mark.parametrize(("timezone", "moment", "day"), MIDNIGHTS)
def test_the_day_begins_at_midnight_where_the_season_is(
    timezone: str, moment: str, day: str, tmp_path: Path
) -> None:
    """Also where a day has 23 hours or 25, at New Year and on 29 February."""
    by_the_clock(planned(tmp_path), timezone)
    assert day_of(call(moment, "today", "backyard", cwd=tmp_path)) == day


def test_a_machine_far_away_does_not_change_the_day(tmp_path: Path) -> None:
    """While it is the next day at the machine, it still is the evening before at the season."""
    season = by_the_clock(begun(tmp_path))
    evening = "2027-02-05 01:30:00"
    assert day_of(call(evening, "today", "backyard", cwd=tmp_path)) == "Thu 4 Feb 2027"
    words = ("record", "backyard", "lost", "SHI-G1a", "1")
    assert call(evening, *words, cwd=tmp_path).code == 0
    assert entries(season)[-1].entry.on == date(2027, 2, 4)
    refused = call(evening, *words, "--on", "2027-02-05", cwd=tmp_path)
    assert refused.code == 2
    assert "Fri 5 Feb 2027 is still to come" in refused.err


def test_without_a_zone_of_its_own_the_machine_says_the_day(tmp_path: Path) -> None:
    """The zone is then that of the machine, too."""
    by_the_clock(planned(tmp_path), None)
    evening = "2027-02-05 01:30:00"
    assert day_of(call(evening, "today", "backyard", cwd=tmp_path, ahead=9)) == "Fri 5 Feb 2027"
    assert day_of(call(evening, "today", "backyard", cwd=tmp_path, ahead=-5)) == "Thu 4 Feb 2027"


@pytest.mark.parametrize("zone", ["Mars/Base", "../etc/passwd", "/etc/passwd", "x" * 5000, "", "."])
def test_a_zone_that_is_none_is_a_fault_of_the_file(zone: str, tmp_path: Path) -> None:
    """`check` says so; the pages of the day, which do not ask for more, take the machine's day."""
    by_the_clock(planned(tmp_path), zone or "?")
    noon = "2027-02-05 12:00:00"
    ended = call(noon, "check", "backyard", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "season.timezone" in ended.err
    assert day_of(call(noon, "today", "backyard", cwd=tmp_path)) == "Fri 5 Feb 2027"


def test_the_file_goes_before_the_clock_and_the_call_before_the_file(tmp_path: Path) -> None:
    """`today` of the season file, then `--today`; neither is asked for where the other speaks louder."""
    planned(tmp_path)
    moment = "2027-02-04 12:00:00"
    assert day_of(call(moment, "today", "backyard", cwd=tmp_path)) == "Sat 28 Nov 2026"
    asked = call(moment, "today", "backyard", "--today", "2027-03-01", cwd=tmp_path)
    assert day_of(asked) == "Mon 1 Mar 2027"
    by_the_clock(tmp_path / "backyard")
    assert day_of(call(moment, "today", "backyard", cwd=tmp_path)) == "Thu 4 Feb 2027"
    asked = call(moment, "today", "backyard", "--today", "2027-03-01", cwd=tmp_path)
    assert day_of(asked) == "Mon 1 Mar 2027"


def test_an_entry_tells_its_day_and_its_moment(tmp_path: Path) -> None:
    """The day is that of the season, the moment that of the machine with its distance from UTC."""
    season = by_the_clock(begun(tmp_path))
    assert call("2027-02-05 01:30:00", "record", "backyard", "clean", "SHI-G1a", cwd=tmp_path).code == 0
    last = entries(season)[-1]
    assert last.entry.on == date(2027, 2, 4)
    assert re.fullmatch(r"2027-02-0\dT\d\d:30:00[+-]\d\d:\d\d", last.at)


@pytest.mark.parametrize("moment", ["2027-03-28 12:00:00", "2027-03-14 12:00:00"])
def test_days_of_23_hours_count_as_days(moment: str, tmp_path: Path) -> None:
    """A loss found on the day the clocks turn is planned from that day on, and what grows over it keeps its days."""
    season = by_the_clock(planned(tmp_path), "Europe/Berlin" if "28" in moment else "America/New_York")
    before = {batch.id: batch for batch in newest(season).plan.batches}
    for words in (["record", "backyard", "done", "all"], ["record", "backyard", "lost", "WIN-Sa", "1"]):
        assert call(moment, *words, cwd=tmp_path).code == 0
    assert call(moment, "replan", "backyard", cwd=tmp_path).code == 0
    plan = newest(season).plan
    today = date.fromisoformat(moment[:10])
    assert plan.season.today == today
    assert min(task.on for task in plan.tasks) >= today
    growing = next(batch for batch in plan.batches if batch.id == "SHI-Sa")
    assert growing.inoculate_on is not None
    assert growing.inoculate_on < date(2027, 3, 14) < date(2027, 3, 28) < growing.ready_on
    assert (growing.inoculate_on, growing.ready_on) == (
        before["SHI-Sa"].inoculate_on,
        before["SHI-Sa"].ready_on,
    )


def test_a_season_with_a_leap_day(tmp_path: Path) -> None:
    """One year later the season has a 29 February, on which work is done, recorded and planned on from."""
    season = by_the_clock(example("backyard", tmp_path))
    file = season / "season.toml"
    text = file.read_text(encoding="utf-8").replace("2027", "2028").replace("2026", "2027")
    file.write_text(text, encoding="utf-8")
    assert call("2027-11-28 12:00:00", "plan", "backyard", cwd=tmp_path).code == 0
    leap = "2028-02-29 12:00:00"
    assert call(leap, "record", "backyard", "done", "all", cwd=tmp_path).code == 0
    grown = newest(season).plan.batches[-1].id
    recorded = call(leap, "record", "backyard", "lost", grown, "1", "--on", "2028-02-29", cwd=tmp_path)
    assert recorded.code == 0
    assert "Tue 29 Feb 2028" in recorded.out
    before = listing(season)
    for no_day in ("2027-02-29", "2028-02-30"):
        assert call(leap, "record", "backyard", "clean", grown, "--on", no_day, cwd=tmp_path).code == 2
    assert listing(season) == before
    assert call(leap, "replan", "backyard", cwd=tmp_path).code == 0
    plan = newest(season).plan
    assert plan.season.today == date(2028, 2, 29)
    assert min(task.on for task in plan.tasks) >= date(2028, 2, 29)


def test_a_season_over_new_year(tmp_path: Path) -> None:
    """What is recorded on either side of it stands in its year, and a replan of 1 January looks ahead only."""
    season = by_the_clock(planned(tmp_path))
    old, new = "2027-01-01 04:59:59", "2027-01-01 05:00:00"
    assert call(old, "record", "backyard", "bought", "plate", cwd=tmp_path).code == 0
    assert call(new, "record", "backyard", "received", "plate", cwd=tmp_path).code == 0
    assert [one.entry.on for one in entries(season)] == [date(2026, 12, 31), date(2027, 1, 1)]
    assert call(new, "replan", "backyard", cwd=tmp_path).code == 0
    plan = newest(season).plan
    assert plan.season.today == date(2027, 1, 1)
    assert min(task.on for task in plan.tasks) == date(2027, 1, 9)
    assert "Sat 9 Jan" in call(new, "today", "backyard", cwd=tmp_path).out
    assert day_of(call(old, "today", "backyard", cwd=tmp_path)) == "Thu 31 Dec 2026"
