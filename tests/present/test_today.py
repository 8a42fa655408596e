"""The page of one day."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date, timedelta

import pytest
from rich.cells import cell_len

from scheduler.plan import Order, Plan
from scheduler.present.cautions import in_a_word
from scheduler.present.pages import Today, page_of
from scheduler.present.today import show_today
from scheduler.progress import NOTHING, Progress
from tests.present.market import market_plan
from tests.present.screen import section, shown
from tests.present.under_way import DAY, HOSTILE, backyard, due, progress


def page() -> Today:
    """The page of the season under way."""
    return page_of(backyard(), progress(), DAY, due(), "examples/backyard")


def of_market(day: date) -> Today:
    """A day of the big season on which nothing has been recorded."""
    plan = market_plan()
    return page_of(plan, NOTHING, day, sorted((t for t in plan.tasks if t.on <= day), key=lambda t: t.on))


def test_the_whole_page() -> None:
    """The one thing to do stands first, then what is due by number, the week, orders, looks, and how to say it."""
    lines = shown(show_today, page()).splitlines()
    assert lines[:8] == [
        "Do today (overdue since Mon 1 Feb): Look at SHI-G1a for growth and mould",
        "Mind: mouldy units stay closed",
        "Fern Hollow, spring 2027, Thu 11 Feb 2027",
        "",
        "To do now",
        "  no.  work                                               can wait until  hands",
        "    1  Look at SHI-G1a for growth and mould               cannot wait     8 min",
        "       OVERDUE since Mon 1 Feb",
    ]
    assert [line for line in lines if line and not line.startswith(" ")][3:] == [
        "To do now",
        "The week ahead",
        "To order",
        "Waits for a look",
        "Cautions",
        "How to record it",
    ]


def test_tasks_keep_the_numbers_they_are_recorded_by() -> None:
    """The second task that is due is the second on the page."""
    text = section(shown(show_today, page(), width=200), "To do now")
    rows = re.findall(r"^ +(\d+)  (.+?)  ", text, re.MULTILINE)
    assert rows == [(str(number), task.title) for number, task in enumerate(due(), start=1)]


def test_cautions_stand_short_with_the_task_and_once_in_full() -> None:
    """A task names what to mind; the caution itself follows once."""
    text = shown(show_today, page())
    assert "Mind: mouldy units stay closed" in text
    assert text.count("Set them apart") == 1
    assert in_a_word("Chainsaw: helmet. Gloves.") == "chainsaw"
    assert in_a_word("Lift with two people. Slowly.") == "lift with two people"
    assert in_a_word("However long it takes, and whoever may be looking on at that: wait. Then go.").endswith(
        "wait"
    )


def test_the_week_ends_after_seven_days() -> None:
    """Work of the seventh day is shown, that of the eighth is not, and what is done is not either."""
    week = page().week
    assert {task.on for task in week} <= {DAY + timedelta(days=n) for n in range(1, 8)}
    last = backyard().tasks[-1]
    assert last in page_of(backyard(), NOTHING, last.on - timedelta(days=7), ()).week
    assert last not in page_of(backyard(), NOTHING, last.on - timedelta(days=8), ()).week
    assert not page_of(backyard(), Progress(done={last.id: DAY}), last.on - timedelta(days=1), ()).week


def test_looks_say_since_when_and_when_again() -> None:
    """A unit in doubt and a batch that was to be ready are told with their days."""
    text = section(shown(show_today, page(), width=100), "Waits for a look")
    assert "SHI-G1a/2  in doubt since Mon 1 Feb: kept apart, not used" in text
    assert "WIN-G1a    was to be ready on Wed 10 Feb; nobody has found it ready yet  today" in text
    early = page_of(backyard(), progress(), date(2027, 2, 2), ())
    assert "Thu 4 Feb" in section(shown(show_today, early), "Waits for a look")


def orders(plan: Plan, bought: dict[str, date], day: date) -> list[date]:
    """Last days of the orders on the page of a day."""
    return [order.order_by for order in page_of(plan, Progress(bought=bought), day, ()).orders]


def test_orders_are_shown_until_they_are_placed() -> None:
    """Due and overdue orders are there, an overdue one marked; what was bought, or is needed or wanted no more, is not."""
    plan = backyard()
    one = Order("rye", 2, "kg", date(2027, 2, 9), date(2027, 2, 16), ("Oak stack",))
    two = replace(one, order_by=date(2027, 2, 17), needed_on=date(2027, 2, 24))
    far = replace(one, order_by=date(2027, 2, 20), needed_on=date(2027, 2, 27))
    gone = replace(one, order_by=date(2027, 1, 9), needed_on=date(2027, 1, 16))
    over = replace(one, item="oats", packs=(), quantity=2.0, left_over=2.0)
    plan = replace(plan, orders=(two, one, far, gone, over))
    assert orders(plan, {}, DAY) == [one.order_by, two.order_by]
    assert orders(plan, {"rye": date(2027, 2, 10)}, DAY) == [two.order_by]
    assert orders(plan, {"barley": date(2027, 2, 10)}, DAY) == [one.order_by, two.order_by]
    text = section(shown(show_today, page_of(plan, NOTHING, DAY, ())), "To order")
    assert text.count("LATE\n") == 1
    known = replace(plan, orders=(two,), season=replace(plan.season, today=DAY))
    assert orders(known, {"rye": DAY}, DAY) == [two.order_by]
    assert orders(known, {"rye": DAY + timedelta(days=1)}, DAY + timedelta(days=1)) == []


def test_without_work_the_next_thing_is_named() -> None:
    """On a day without work the first line names an order, a look or the next work, and at last that all is done."""
    plan = replace(backyard(), orders=())
    quiet = page_of(plan, NOTHING, date(2026, 12, 1), ())
    assert shown(show_today, quiet).startswith(
        "Nothing is due today. The next work is on Sat 9 Jan 2027: Test"
    )
    assert "Nothing is due." in shown(show_today, quiet)
    assert shown(show_today, replace(quiet, later=None)).startswith("Nothing is left to do.\n")
    ordered = replace(quiet, orders=(replace(backyard().orders[0], item="rye", order_by=quiet.day),))
    assert shown(show_today, ordered).startswith("Order today: rye\n")
    look = page_of(plan, progress(), DAY, ())
    assert shown(show_today, look).startswith("Look today at SHI-G1a/2\n")


def test_the_hints_can_be_typed_as_they_stand() -> None:
    """Each hint is a whole command for this season, with what stands on the page."""
    hints = section(shown(show_today, page(), width=100), "How to record it")
    assert "budswell record examples/backyard done 2" in hints
    assert "budswell record examples/backyard ready WIN-G1a" in hints
    assert "budswell record examples/backyard clean SHI-G1a" in hints
    assert "budswell record examples/backyard lost SHI-G1a 1" in hints


@pytest.mark.parametrize("width", [40, 80, 100])
def test_every_day_of_a_season_fits_its_page(width: int) -> None:
    """No line is cut, too long or padded on any day of two seasons."""
    pages = [of_market(date(2026, 12, 1) + timedelta(days=11 * n)) for n in range(12)] + [page()]
    for one in pages:
        for line in shown(show_today, one, width=width).splitlines():
            assert cell_len(line) <= width, line
            assert line == line.rstrip()
            assert "…" not in line


def test_hostile_names_are_shown_harmlessly() -> None:
    """Codes are dropped, markup stays as it was typed, and a word without an end is folded."""
    task = replace(due()[0], title=HOSTILE, cautions=(HOSTILE,))
    text = shown(show_today, replace(page(), season=HOSTILE, due=(task,), path=HOSTILE))
    assert not set("\x1b\x07\r\u202e") & set(text)
    assert "[red]boom[/red] :skull:" in text
    assert text.count("x") >= 40_000
    assert max(map(cell_len, text.splitlines())) <= 80
