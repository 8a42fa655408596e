"""The picture of the season: rows, letters, scale and legend."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from rich.cells import cell_len

from scheduler.present.timeline import scale_for, timeline
from tests.sample import sample_plan


def row(plan: object, label: str, width: int = 80) -> str:
    """The letters of one row."""
    lines = [str(line) for line in timeline(plan, width)]  # type: ignore[arg-type]
    return next(line for line in lines if line.strip().startswith(label)).split(label)[1].strip()


def test_rows_read_without_colour() -> None:
    """Cook, inoculate, grow, ready, wait and use are letters in this order; so are fell, soak, plant, fallback."""
    assert row(sample_plan(), "NAM-G1a grain") == "CI=======R--U"
    assert row(sample_plan(), "Cherry raft") == "F-------------SPP....B."


def test_a_planting_day_is_never_hidden_and_wood_waits_from_its_first_felling() -> None:
    """A fallback day in the same column gives way; between two felling days the wood is already waiting."""
    plan = sample_plan()
    (raft,) = plan.plantings
    close = replace(
        raft,
        plant_on=(date(2027, 4, 24),),
        fallback_on=date(2027, 4, 25),
        window=(date(2027, 4, 24), date(2027, 5, 25)),
    )
    close = replace(close, fell_on=(date(2027, 3, 20), date(2027, 3, 27)), soak_on=None)
    assert row(replace(plan, plantings=(close,), batches=()), "Cherry raft", 30) == "F-F-------P"


def test_legend_names_every_letter() -> None:
    """Each letter of the rows is told in the legend."""
    lines = [str(line) for line in timeline(sample_plan(), 80)]
    legend = " ".join(" ".join(lines[-5:]).split())
    for letter, word in {
        "C": "cook",
        "I": "inoculate",
        "=": "grows",
        "R": "ready",
        "-": "waits",
        "U": "use",
        "F": "fell",
        "S": "soak",
        "P": "plant",
        "B": "fallback day",
        ".": "window open",
    }.items():
        assert f"{letter} {word}" in legend


def test_months_and_years_stand_over_their_columns() -> None:
    """A month's name begins in the column of its first day."""
    years, months, *rows = [str(line) for line in timeline(sample_plan(), 80)]
    assert years.strip() == "2027"
    assert months.split() == ["Feb", "Mar", "Apr", "May"]
    grain = next(line for line in rows if "NAM-G1a" in line)
    assert grain.index("I") + 1 == months.index("Feb")  # inoculated on 31 January


def test_wide_letters_do_not_push_the_picture_off_the_page() -> None:
    """A name in letters two cells wide is given the room it takes, and no row is longer than the page."""
    plan = sample_plan()
    wide = replace(plan, plantings=(replace(plan.plantings[0], name="木耳と椎茸の丸太"),))
    lines = [str(line) for line in timeline(wide, 80)]
    assert max(map(cell_len, lines)) <= 80
    assert any("木耳と椎茸の丸太" in line for line in lines)


def test_today_is_marked_within_the_season() -> None:
    """A season under way shows where today is; one that lies ahead does not."""
    plan = sample_plan()
    assert not any("today" in str(line) for line in timeline(plan, 80))
    under_way = replace(plan, season=replace(plan.season, today=date(2027, 2, 13)))
    assert row(under_way, "today, Sat 13 Feb") == "|"


@pytest.mark.parametrize(
    ("days", "room", "columns", "words"),
    [
        (28, 40, 28, "a day"),
        (140, 60, 60, "Three columns are a week"),
        (140, 40, 40, "Two columns are a week"),
        (140, 20, 20, "One column is a week"),
        (141, 20, 11, "2 weeks"),
        (1400, 50, 50, "4 weeks"),
    ],
)
def test_scale_is_the_finest_that_fits(days: int, room: int, columns: int, words: str) -> None:
    """Weeks get seven, three, two or one column each; longer seasons put several weeks into one."""
    monday = date(2026, 11, 30)
    scale = scale_for(monday, monday + timedelta(days=days - 1), room)
    assert scale.columns == columns
    assert words in scale.in_words


def test_every_day_has_a_column_and_days_never_run_back() -> None:
    """On any scale columns rise with the days and stay within the picture."""
    monday = date(2026, 11, 30)
    for room in (500, 100, 70, 40, 10, 1):
        scale = scale_for(monday, monday + timedelta(days=230), room)
        columns = [
            scale.column(scale.first + timedelta(days=n)) for n in range((scale.last - scale.first).days + 1)
        ]
        assert columns == sorted(columns)
        assert set(columns) == set(range(scale.columns))


def test_old_stock_and_far_windows_do_not_stretch_the_picture() -> None:
    """Stock that has been ready for years and a window of years leave the scale alone."""
    plan = sample_plan()
    stock, grain = plan.batches
    (raft,) = plan.plantings
    stretched = replace(
        plan,
        batches=(replace(stock, ready_on=date(2020, 1, 1)), grain),
        plantings=(replace(raft, window=(date(2020, 1, 1), date(2040, 1, 1))),),
    )
    assert len(timeline(stretched, 80)) == len(timeline(plan, 80))
    assert row(stretched, "NAM-G1a grain") == row(plan, "NAM-G1a grain")


def test_nothing_dated_gives_no_picture() -> None:
    """Without batches and plantings there is nothing to draw."""
    assert timeline(replace(sample_plan(), batches=(), plantings=()), 80) == []
