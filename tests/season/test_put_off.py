"""A planting that was put off: what its season file says from then on."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.season.days import period
from scheduler.season.notation import apply
from scheduler.season.put_off import put_off
from scheduler.season.season import Season

Read = Callable[..., Season]
FIRST, LAST = date(2027, 4, 10), date(2027, 5, 30)
BEST = "2027-04-24/2027-05-16"
TEXT = """
season = { name = "Test", timezone = "UTC", today = 2026-11-28 }
site = { leaf_turn = 2026-10-05, bud_swell = 2027-04-12, ground_thaws = 2027-04-05 }
[[planting]]
name = "Oak: north"
species = "shiitake"
method = "drilled logs"
logs = { count = 20, diameter = "5 in", length = "40 in" }
window = "2027-04-10/2027-05-30"
best = "2027-04-24/2027-05-16"
"""


def planting(**keys: object) -> dict[str, object]:
    """A season file with one planting of a window."""
    return {"planting": [{"name": "Oak", "window": f"{FIRST}/{LAST}", **keys}]}


def after(document: dict[str, object], until: str | date, name: str = "Oak") -> tuple[object, object]:
    """Window and best span of the planting once it was put off."""
    changes = list(put_off(document, name, date.fromisoformat(str(until))))
    (one,) = apply(document, changes)["planting"]
    return one["window"], one.get("best")


@pytest.mark.parametrize(
    ("until", "window", "best"),
    [
        ("2027-04-10", "2027-04-10/2027-05-30", BEST),
        ("2027-03-01", "2027-04-10/2027-05-30", BEST),
        ("2027-04-11", "2027-04-11/2027-05-30", BEST),
        ("2027-04-24", "2027-04-24/2027-05-30", BEST),
        ("2027-05-02", "2027-05-02/2027-05-30", "2027-05-02/2027-05-16"),
        ("2027-05-16", "2027-05-16/2027-05-30", "2027-05-16/2027-05-16"),
        ("2027-05-17", "2027-05-17/2027-05-30", None),
        ("2027-05-30", "2027-05-30/2027-05-30", None),
        ("2027-05-31", "2027-05-31/2027-07-20", "2027-06-14/2027-07-06"),
        ("2027-09-01", "2027-09-01/2027-10-21", "2027-09-15/2027-10-07"),
    ],
)
def test_a_window_begins_when_the_planting_may(until: str, window: str, best: str | None) -> None:
    """Earlier than its window changes nothing; what would be over is moved whole, with its best span."""
    assert after(planting(best=BEST), until) == (window, best)
    assert after(planting(), until) == (window, None)


def test_nothing_to_change_is_no_change() -> None:
    """A day before the window writes nothing at all."""
    assert list(put_off(planting(best=BEST), "Oak", FIRST)) == []


def test_a_window_of_one_day_stays_one_day() -> None:
    """TOML's own dates are read like text."""
    assert after(planting(window=FIRST), "2027-04-20") == ("2027-04-20/2027-04-20", None)


def test_what_was_and_what_is_are_told_as_the_file_writes_them() -> None:
    """Place, old value and new one, of window and best span."""
    document = {"planting": [{"name": "Oak: north", "window": f"{FIRST}/{LAST}", "best": BEST}]}
    found = [(one.key, one.was, one.now) for one in put_off(document, "Oak: north", date(2027, 5, 20))]
    assert found == [
        ('[[planting]] "Oak: north": window', '"2027-04-10/2027-05-30"', '"2027-05-20/2027-05-30"'),
        ('[[planting]] "Oak: north": best', f'"{BEST}"', None),
    ]


@pytest.mark.parametrize(
    "document",
    [
        {},
        {"planting": []},
        planting(name="Other"),
        planting(window="soon"),
        planting(window=7),
        planting(window="2027-05-30/2027-04-10"),
        {"planting": [{"name": "Oak"}]},
    ],
)
def test_what_cannot_be_read_is_left_alone(document: dict[str, object]) -> None:
    """A planting that is not there, or whose window is none: its fault is said when the file is read."""
    assert list(put_off(document, "Oak", date(2027, 5, 1))) == []


def test_a_best_span_that_cannot_be_read_is_left_alone() -> None:
    """The window is changed all the same."""
    assert after(planting(best="in spring"), "2027-05-02") == ("2027-05-02/2027-05-30", "in spring")


@given(st.integers(-30, 400), st.integers(0, 50), st.integers(0, 50))
def test_there_is_always_a_window_from_that_day_on(later: int, one: int, other: int) -> None:
    """It begins no earlier than the day, nor than before; the best span lies inside; twice is as good as once."""
    first, last = (FIRST + timedelta(days=step) for step in sorted((one, other)))
    document, until = planting(best=f"{first}/{last}"), FIRST + timedelta(days=later)
    window, best = after(document, until)
    begin, end = period(window)
    assert begin == max(FIRST, until)
    assert end >= LAST
    if best is not None:
        assert begin <= period(best)[0] <= period(best)[1] <= end
    again = apply(document, put_off(document, "Oak", until))
    assert list(put_off(again, "Oak", until)) == []


@pytest.mark.parametrize("until", ["2027-04-20", "2027-05-20", "2027-08-01"])
def test_the_season_still_reads(read: Read, until: str) -> None:
    """Whatever is written is a season file without faults."""
    document = tomllib.loads(TEXT)
    changes = list(put_off(document, "Oak: north", date.fromisoformat(until)))
    text = TEXT
    for change in changes:
        key = change.key.rpartition(": ")[2]
        text = text.replace(f"{key} = {change.was}", "" if change.now is None else f"{key} = {change.now}")
    (planting,) = read(text).plantings
    assert planting.window[0] == date.fromisoformat(until)
    assert planting.window[0] <= planting.best[0] <= planting.best[1] <= planting.window[1]
