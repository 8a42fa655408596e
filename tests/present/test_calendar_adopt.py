"""An exported file says all that the ledger has to know, whatever letters are in it."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduler.errors import UsageError
from scheduler.ledger import Kind, Row, revised
from scheduler.plan import DayStart, Plan
from scheduler.present import calendar as present
from scheduler.present.calendar_adopt import read_back
from scheduler.present.calendar_items import items
from tests.present.exports import calendar, first_ledger, when
from tests.sample import SEASON, sample_plan

PLAN = sample_plan()
TIMED = replace(PLAN, season=replace(SEASON, at=(DayStart("sat", "09:00"),)))
KINDS: tuple[Kind, ...] = ("VEVENT", "VTODO")


def names(plan: Plan) -> dict[str, str]:
    """Which task or order has which UID."""
    return {present.uid(plan.season.id, one.name, kind): one.name for one in items(plan) for kind in KINDS}


def taken_up(folder: Path, data: bytes, plan: Plan = PLAN) -> dict[str, Row]:
    """The ledger that a file leads to."""
    path = folder / "x.ics"
    path.write_bytes(data)
    known = names(plan)
    return {row.shown.uid: row for row in read_back(path, plan.season.id, lambda uid: known.get(uid, ""))}


@pytest.mark.parametrize("alarm", [None, "morning"])
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("plan", [PLAN, TIMED], ids=["days", "hours"])
def test_the_ledger_comes_back_from_a_file(tmp_path: Path, plan: Plan, kind: Kind, alarm: str | None) -> None:
    """Every row as it was, for events and to-dos, days and hours, with alarms and without."""
    found = taken_up(tmp_path, calendar(plan, kind, alarm), plan)
    assert found == first_ledger(plan, kind, alarm)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=300), st.text(min_size=1, max_size=300))
def test_any_letters_come_back(tmp_path: Path, title: str, why: str) -> None:
    """Titles, notes and names of a season of whatever letters; an empty title is the one thing left out."""
    tasks = tuple(replace(task, title=f"T {title}", why=why) for task in PLAN.tasks)
    plan = replace(PLAN, tasks=tasks, season=replace(SEASON, name=title))
    assert taken_up(tmp_path, calendar(plan), plan) == first_ledger(plan)


def test_a_file_that_went_through_other_hands(tmp_path: Path) -> None:
    """Without the carriage returns, as some programs keep text, it says the same."""
    assert taken_up(tmp_path, calendar(PLAN).replace(b"\r\n", b"\n")) == first_ledger(PLAN)


def test_tombstones_come_back_as_gone(tmp_path: Path) -> None:
    """With the number of their removal and the title they had, so that a work that returns counts on."""
    later = when(SEASON.today + timedelta(days=30))
    ledger = revised(first_ledger(PLAN), [], "VEVENT", later)
    said = [one for row in ledger.values() if (one := present.farewell(row, done=False))]
    assert len(said) == 4  # the order that was late lies behind
    found = taken_up(tmp_path, present.calendar(PLAN, said, ledger))
    for uid, row in found.items():
        assert row.removed_on == later.day
        assert (row.sequence, row.shown.summary) == (1, ledger[uid].shown.summary)


def test_a_file_without_a_mark_needs_an_entry_that_is_known(tmp_path: Path) -> None:
    """Files of the first version bore none; one of which no entry is known is another season's."""
    data = b"".join(line for line in calendar(PLAN).splitlines(keepends=True) if b"X-BUDSWELL" not in line)
    assert taken_up(tmp_path, data).keys() == first_ledger(PLAN).keys()
    with pytest.raises(UsageError) as caught:
        read_back(tmp_path / "x.ics", SEASON.id, lambda uid: "")
    assert "another season" in caught.value.fault.found


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (b"SEQUENCE:0", b"SEQUENCE:-1"),
        (b"SEQUENCE:0", b"SEQUENCE:many"),
        (b"CREATED:20261128T000000Z", b"CREATED:yesterday"),
        (b"UID:224cfce9", b"UID:x"),
        (b"DTSTART;VALUE=DATE:20270424", b"DTSTART;VALUE=DATE:20270439"),
        (b"DTEND;VALUE=DATE:20270425\r\n", b""),
    ],
)
def test_an_entry_that_cannot_be_read_is_named_with_its_line(tmp_path: Path, old: bytes, new: bytes) -> None:
    """Half a ledger is none: the whole file is refused."""
    data = calendar(PLAN)
    assert old in data
    with pytest.raises(UsageError) as caught:
        taken_up(tmp_path, data.replace(old, new, 1))
    assert caught.value.fault.where.startswith(f"{tmp_path / 'x.ics'}:")
    assert caught.value.fault.found.startswith("this entry cannot be read: ")
