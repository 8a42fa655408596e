"""The calendar file is read alike by programs that share no code, and says the same every time."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.plan import Order, Plan, Supply
from scheduler.present import calendar_items
from scheduler.present.calendar_check import faults
from tests.present.exports import calendar
from tests.present.readers import READERS, TO_DO_READERS, Read, by_icalendar
from tests.sample import SEASON, sample_plan, sample_refusal

ROOT = Path(__file__).parents[2]
SAMPLE = calendar(sample_plan())

TINY = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Budswell//Season calendar//EN
CALSCALE:GREGORIAN
DESCRIPTION:Work and order days of Alder Bend\\, spring 2027
NAME:Alder Bend\\, spring 2027
X-WR-CALNAME:Alder Bend\\, spring 2027
COLOR:olivedrab
REFRESH-INTERVAL;VALUE=DURATION:PT6H
X-BUDSWELL-SEASON:8e7e13a0-19ab-5035-95b0-9524183f9d10
X-PUBLISHED-TTL:PT6H
BEGIN:VEVENT
SUMMARY:Soak rye for 3 quart jars
DTSTART;VALUE=DATE:20270129
DTEND;VALUE=DATE:20270130
UID:8ee20986-dec7-5eb4-b66a-f16c8a66f5a8
DTSTAMP:20261128T000000Z
SEQUENCE:0
CREATED:20261128T000000Z
LAST-MODIFIED:20261128T000000Z
CATEGORIES:Lab,Small
DESCRIPTION:Soak rye for 3 quart jars. Hands: 10 min.\\nWhy: grain is cooke
 d the day after it is soaked\\nCannot wait.\\nSupplies: 900 g rye\\nBatch: NA
 M-G1a
STATUS:CONFIRMED
TRANSP:TRANSPARENT
X-MICROSOFT-CDO-BUSYSTATUS:FREE
END:VEVENT
END:VCALENDAR
"""


def summaries(plan: Plan) -> dict[str, date]:
    """Summary and day of every event."""
    return {summary: first for first, _, summary, _ in by_icalendar(calendar(plan)).values()}


def only(plan: Plan, number: int, **changes: Any) -> Plan:
    """The plan with nothing but one of its tasks, changed."""
    return replace(plan, tasks=(replace(plan.tasks[number], **changes),), orders=())


def test_the_sample_is_sound() -> None:
    """The project's own check finds nothing wrong with what the project writes."""
    assert faults(SAMPLE) == []


def test_golden_bytes_of_a_tiny_plan() -> None:
    """One small task, byte for byte, so that no change of the format goes unseen."""
    assert calendar(only(sample_plan(), 1)) == TINY.replace("\n", "\r\n").encode()


@pytest.mark.parametrize("reader", READERS.values(), ids=READERS)
def test_each_parser_reads_what_the_plan_says(reader: Callable[[bytes], Read]) -> None:
    """Days, titles and the whole text of every task and order arrive in each program."""
    plan = sample_plan()
    read = {summary: (first, end, text) for first, end, summary, text in reader(SAMPLE).values()}
    assert {summary: first for summary, (first, _, _) in read.items()} == {
        **{task.title: task.on for task in plan.tasks},
        "Order by today: 2.5 kg rye": plan.orders[0].order_by,
        "Order today, late: 120 L hardwood chips": plan.season.today,
    }
    assert all(end == first + timedelta(days=1) for first, end, _ in read.values())
    assert read["Cook 3 quart jars of rye (NAM-G1a)"][2].split("\n") == [
        "Cook 3 quart jars of rye (NAM-G1a). Hands: 45 min; at home: 2 h 50.",
        "Why: the jars cool overnight and are inoculated on Sunday",
        "After: Soak rye for 3 quart jars",
        "Can wait until Sun 31 Jan 2027.",
        "Supplies: 900 g rye, 3 quart jar",
        "Caution: Let the cooker fall to no pressure by itself before you open it.",
        "1. Drain the grain until it looks dry outside.",
        "2. Fill each jar to three quarters.",
        "Batch: NAM-G1a",
    ]
    assert read["Build the cherry raft"][2].endswith(
        "Can wait until Sat 8 May 2027.\nAt hand: spade\nPlanting: Cherry raft"
    )
    assert read["Order today, late: 120 L hardwood chips"][2].split("\n") == [
        "Order 120 L hardwood chips, needed on Fri 11 Dec 2026.",
        "From: wood and tree service. Buy: 2 x 50 L tub.",
        "The last day to order was Fri 20 Nov 2026: buy over the counter or ask for a faster delivery.",
        "For: Cherry raft",
    ]


TEXTS = {
    "japanese": "なめこの種菌を榾木に植える、乾かないうちに。" * 20,
    "emoji": "👩‍🌾🪵🍄 ørret – naïve ❄️ " * 30,
    "escapes": "a, b; c: d\\ e\\, f\\; g\\n h\\\\n i\\N j\\\\N \"quoted\" 'so' = ^n",
    "newlines": "one\ntwo\n\nthree\n",
    "one long word": "x" * 3000,
    "long": "word " * 600,
    "octets": "é" * 37 + "日" * 25,
    "injection": "BEGIN:VEVENT\nEND:VEVENT\nEND:VCALENDAR",
}
"""What a grower may write, and some programs have stumbled over."""


@pytest.mark.parametrize("text", TEXTS.values(), ids=TEXTS)
def test_any_text_arrives_whole(text: str) -> None:
    """Whatever letters a person uses, all programs read them back unharmed, in titles, notes and names."""
    plan = only(sample_plan(), 1, title=text, why=text)
    data = calendar(replace(plan, season=replace(SEASON, name=text)))
    assert faults(data) == []
    for name, reader in READERS.items():
        [(_, _, summary, description)] = reader(data).values()
        assert summary == " ".join(text.split()), name
        assert f"\nWhy: {text}\n" in description, name
    to_dos = calendar(replace(plan, season=replace(SEASON, name=text)), "VTODO", "morning")
    assert faults(to_dos) == []
    for name, read_to_dos in TO_DO_READERS.items():
        [(_, _, summary, description)] = read_to_dos(to_dos).values()
        assert summary == " ".join(text.split()), name
        assert f"\nWhy: {text}\n" in description, name


@settings(max_examples=60, deadline=None)
@given(text=st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=200))
def test_arbitrary_text_arrives_whole(text: str) -> None:
    """The same for texts that nobody would think of."""
    data = calendar(only(sample_plan(), 1, why=f"<{text}>"))
    assert faults(data) == []
    for name, reader in READERS.items():
        [(_, _, _, description)] = reader(data).values()
        assert f"\nWhy: <{text}>\n" in description, name


def test_control_characters_are_left_out() -> None:
    """Only tab and line break remain of the control characters, however the breaks are written."""
    text = "".join(map(chr, range(32))) + "a\x7fb\x9fc\r\nd\re\x85f\u2028g\u2029h\ud800i"
    data = calendar(only(sample_plan(), 1, title=f"Soak{text}", why=text))
    assert faults(data) == []
    for reader in READERS.values():
        [(_, _, summary, description)] = reader(data).values()
        assert summary == "Soak abc d e f g hi"
        assert "\nWhy: \t\n\nabc\nd\ne\nf\ng\nhi\n" in description


def test_the_same_plan_gives_the_same_bytes_in_every_process() -> None:
    """Nothing depends on the order of sets, the clock, the time zone or the language of the machine."""
    code = (
        "import sys; from tests.sample import sample_plan; from tests.present.exports import calendar;"
        "sys.stdout.buffer.write(calendar(sample_plan()))"
    )
    for seed, zone in (("1", "Asia/Tokyo"), ("2", "America/Toronto")):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": "C"}
        run = subprocess.run(
            [sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, check=True
        )
        assert run.stdout == SAMPLE


def test_the_order_of_tasks_in_the_plan_does_not_matter() -> None:
    """Events stand in the order of their ids, so a reshuffled plan is no change."""
    plan = sample_plan()
    assert calendar(replace(plan, tasks=plan.tasks[::-1], orders=plan.orders[::-1])) == SAMPLE


def test_an_event_is_itself_whatever_day_and_title_it_has() -> None:
    """The id comes from season and task alone: a moved, renamed task keeps it, another season has others."""
    plan = sample_plan()
    moved = replace(
        plan,
        tasks=tuple(replace(task, on=task.on + timedelta(days=9), title="New title") for task in plan.tasks),
        orders=tuple(
            replace(order, order_by=date(2026, 12, 1), quantity=7, late=False) for order in plan.orders
        ),
    )
    assert by_icalendar(calendar(moved)).keys() == by_icalendar(SAMPLE).keys()
    elsewhere = replace(plan, season=replace(SEASON, id="another"))
    assert not by_icalendar(calendar(elsewhere)).keys() & by_icalendar(SAMPLE).keys()


def test_two_orders_of_the_same_thing_are_two_events() -> None:
    """Rye ordered twice for the same planting stands in the calendar twice, under two ids."""
    rye = Order("rye", 2.5, "kg", date(2027, 1, 20), date(2027, 1, 29), ("Cherry raft",))
    plan = replace(sample_plan(), tasks=(), orders=(rye, replace(rye, order_by=date(2027, 2, 20))))
    assert faults(calendar(plan)) == []
    assert sorted(first for first, *_ in by_icalendar(calendar(plan)).values()) == [
        date(2027, 1, 20),
        date(2027, 2, 20),
    ]


def test_an_order_that_is_placed_leaves_the_other_alone() -> None:
    """Of two orders of one thing for two works each keeps its id when the other is gone or moves."""
    rye = Order("rye", 2.5, "kg", date(2027, 1, 20), date(2027, 1, 29), ("Cherry raft",), work="a:cook")
    later = replace(rye, order_by=date(2027, 2, 20), work="b:cook")
    both, moved, one = (
        {
            first: uid
            for uid, (first, *_) in by_icalendar(
                calendar(replace(sample_plan(), tasks=(), orders=orders))
            ).items()
        }
        for orders in ((rye, later), (later, replace(rye, order_by=date(2027, 3, 1))), (later,))
    )
    assert both[date(2027, 2, 20)] == moved[date(2027, 2, 20)] == one[date(2027, 2, 20)]
    assert both[date(2027, 1, 20)] == moved[date(2027, 3, 1)]


def test_amounts_follow_the_units_of_the_season() -> None:
    """A grower who thinks in pounds orders pounds."""
    plan = replace(sample_plan(), season=replace(SEASON, units="imperial"))
    assert "Order by today: 5 lb 8 oz rye" in summaries(plan)


def test_work_that_goes_on_for_days(monkeypatch: pytest.MonkeyPatch) -> None:
    """An entry ends the day after its last one; a to-do begins on its first, and is rung for then."""
    spans = [
        replace(item, last=item.first + timedelta(days=4), hours=None)
        for item in calendar_items.items(sample_plan())
    ]
    monkeypatch.setattr("scheduler.present.calendar.items", lambda plan: spans)
    events, to_dos = calendar(sample_plan(), alarm="morning"), calendar(sample_plan(), "VTODO", "morning")
    assert faults(events) == faults(to_dos) == []
    for reader in READERS.values():
        assert {end - first for first, end, *_ in reader(events).values()} == {timedelta(days=5)}
    assert b"DTSTART;VALUE=DATE:20270130\r\nDUE;VALUE=DATE:20270203\r\n" in to_dos
    assert b"TRIGGER:PT8H\r\n" in to_dos


def test_categories_tell_lab_yard_small_and_orders_apart() -> None:
    """A program can colour or hide events by where the work is and what kind it is."""
    read: Any = icalendar.Calendar.from_ical(SAMPLE)
    found = {
        str(event["SUMMARY"]): [str(name) for name in event["CATEGORIES"].cats]
        for event in read.walk("VEVENT")
    }
    assert found == {
        "Cook 3 quart jars of rye (NAM-G1a)": ["Lab"],
        "Soak rye for 3 quart jars": ["Lab", "Small"],
        "Build the cherry raft": ["Yard"],
        "Order by today: 2.5 kg rye": ["Order"],
        "Order today, late: 120 L hardwood chips": ["Order"],
    }


def test_a_file_without_entries_still_is_a_calendar() -> None:
    """A category of which nothing is left has the time zone alone, as a calendar has to hold something."""
    data = calendar(sample_refusal())
    assert faults(data) == []
    assert data.count(b"BEGIN:VTIMEZONE") == 1
    for reader in READERS.values():
        assert reader(data) == {}


def test_what_is_counted_reads_as_a_person_says_it() -> None:
    """Pieces are so many times the thing, portions are portions of it, and measured things follow their amount."""
    supplies = (Supply("label", 16, "pieces"), Supply("dry medium", 2, "portions"), Supply("rye", 900, "g"))
    text = by_icalendar(calendar(only(sample_plan(), 1, supplies=supplies))).popitem()[1][3]
    assert "Supplies: 16 x label, 2 portions of dry medium, 900 g rye" in text
    order = replace(sample_plan().orders[0], item="label", quantity=1, unit="pieces")
    assert "Order by today: 1 x label" in summaries(replace(sample_plan(), tasks=(), orders=(order,)))
