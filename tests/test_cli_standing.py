"""What stands from earlier years, as it is called: `[[standing]]`, `continues`, care recorded and planned anew."""

from __future__ import annotations

import json
import shutil
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest

from scheduler.document import from_json
from scheduler.plan import Plan
from tests.command import example, inside, is_one_block, listing

SPRING = ("--today", "2027-04-20")
BED = """
[[planting]]
name   = "Bean bed"
species = "wine cap"
method = "chip bed"
area   = "3 m2"
spawn  = "buy"
window = "2027-05-29/2027-06-20"
"""
PICKED = "Beck side, oak"


@cache
def _planned() -> dict[str, bytes]:
    with TemporaryDirectory() as folder:
        season = example("second-spring", Path(folder))
        assert inside("plan", season, cwd=season).code == 0
        return listing(season)


@pytest.fixture
def season(tmp_path: Path) -> Path:
    """The example with its first plan kept."""
    folder = tmp_path / "second-spring"
    folder.mkdir()
    for name, data in _planned().items():
        (folder / name).write_bytes(data)
    return folder


def _plan(season: Path, *words: str) -> Plan:
    ended = inside(*words, "--json", cwd=season)
    assert ended.code == 0, ended.err
    return from_json(ended.out)


def _care(plan: Plan, kind: str, name: str = PICKED) -> list[Any]:
    return [task for task in plan.tasks if task.is_care and task.kind == kind and task.planting == name]


def test_care_of_what_stands_has_its_hours(season: Path) -> None:
    """Soaks and pickings of spring lie on days with hours, and no day holds more than it has."""
    plan = _plan(season, "show", str(season))
    reserved = [task for task in plan.tasks if task.is_care and task.until is None]
    assert {"soak-logs", "pick", "top-up"} <= {task.kind for task in reserved}
    minutes = {5: 360, 6: 240}
    for day in {task.on for task in reserved}:
        taken = sum(task.minutes for task in plan.work() if task.on == day and not task.small)
        assert taken <= minutes[day.weekday()]


def test_what_is_done_of_it_is_not_asked_for_again(season: Path) -> None:
    """A soak that is recorded is done; the next one stays; a turn of what has no turn left is told, not refused."""
    soak = _care(_plan(season, "show", str(season)), "soak-logs")[0]
    day = str(soak.on)
    assert inside("record", season, "done", "all", "--today", day, cwd=season).code == 0
    assert inside("record", season, "soaked", PICKED, "--today", day, "--force", cwd=season).code == 0
    after = _plan(season, "replan", str(season), "--today", "2027-04-18")
    left = {task.id for task in _care(after, "soak-logs")}
    assert soak.id not in left and len(left) >= 2


def test_picking_is_recorded_by_weight(season: Path) -> None:
    """`picked` takes the name of what stands, and ends the picking that was reserved for those days."""
    pick = _care(_plan(season, "show", str(season)), "pick")[0]
    words = ("picked", PICKED, "3.4", "kg", "--today", str(pick.on))
    ended = inside("record", season, *words, cwd=season)
    assert ended.code == 0, ended.err
    today = inside("today", season, "--today", str(pick.on), cwd=season)
    assert f"{pick.title}" not in today.out.split("Cautions")[0].split("The week ahead")[0].replace("\n", " ")


def test_care_is_due_for_its_whole_span_and_not_overdue(season: Path) -> None:
    """Water goes on from April to October: due all the time, never overdue, gone when it is over."""
    for day, due in (("2027-04-17", True), ("2027-09-30", True), ("2027-10-16", False)):
        page = inside("today", season, "--today", day, cwd=season)
        assert ("wrung cloth" in " ".join(page.out.split())) is due
        rows = [line for line in page.out.splitlines() if "wrung" in line]
        assert not any("OVERDUE" in line for line in rows)


def test_once_all_is_planted_the_plan_is_its_care(season: Path) -> None:
    """After the last planting `replan` keeps what stands: care dated from the day it was really planted."""
    assert inside("record", season, "done", "all", "--today", "2027-05-20", cwd=season).code == 0
    told = inside("record", season, "planted", "Poplar totems", "--on", "2027-05-23", "--today", "2027-06-10",
                  "--force", cwd=season)  # fmt: skip
    assert told.code == 0, told.err
    assert inside("record", season, "done", "all", "--today", "2027-06-10", cwd=season).code == 0
    plan = _plan(season, "replan", str(season), "--today", "2027-06-10")
    assert all(task.is_care for task in plan.tasks)
    look = {task.id: task.on for task in _care(plan, "look-after", "Poplar totems")}
    assert look["Poplar totems:care:second-look:1"] == date(2027, 5, 23) + timedelta(days=35)
    assert {one.name for one in plan.standing} == {PICKED, "Rhubarb bed"}
    again = _plan(season, "replan", str(season), "--today", "2027-06-10")
    assert again.plan_no == plan.plan_no


def _next_year(season: Path, name: str = "next") -> Path:
    text = (season / "season.toml").read_text(encoding="utf-8")
    text = text.replace("2027", "2028").replace("2026-10", "2027-10").replace("2025-04-12", "2025-04-13")
    text = text.replace("[site]", f'continues = "../{season.name}"\n\n[site]', 1)
    folder = season.parent / name
    folder.mkdir()
    (folder / "season.toml").write_text(text, encoding="utf-8")
    return folder


def test_the_next_season_goes_on_with_what_was_planted(season: Path) -> None:
    """`continues` reads last season's book: what was planted stands, and so does what stood; names stay apart."""
    assert inside("record", season, "done", "all", "--today", "2027-05-30", cwd=season).code == 0
    later = _next_year(season)
    plan = _plan(later, "plan", str(later), "--no-keep")
    names = {one.name: one.planted_on for one in plan.standing}
    assert any(name.startswith("Poplar totems, planted 2027-05") for name in names)
    assert any(name.startswith(f"{PICKED}, planted 2025-04-12") for name in names)


def test_without_a_book_there_is_nothing_to_continue(season: Path) -> None:
    """No such folder, a season that was never planned, and itself: one block each, nothing written."""
    later = _next_year(season)
    (season / "season.book").unlink()
    before = listing(season.parent)
    ended = inside("check", later, cwd=later)
    assert ended.code == 2 and "of which no plan was kept" in " ".join(ended.err.split())
    is_one_block(ended)
    shutil.rmtree(season)
    ended = inside("check", later, cwd=later)
    assert ended.code == 2 and "season.continues" in ended.err
    text = (later / "season.toml").read_text(encoding="utf-8").replace("../second-spring", "../next")
    (later / "season.toml").write_text(text, encoding="utf-8")
    ended = inside("check", later, cwd=later)
    assert ended.code == 2 and "which is this season or continues it" in " ".join(ended.err.split())
    assert set(listing(season.parent)) <= set(before)


def test_the_document_has_what_stands_and_its_years(season: Path) -> None:
    """Scripts read spans, years and masses in the JSON, dates in ISO form."""
    told = json.loads(inside("show", season, "--json", cwd=season).out)
    stack = next(one for one in told["standing"] if one["name"] == PICKED)
    assert stack["planted_on"] == "2025-04-12" and stack["picking"][1]["year"] == 2
    totems = told["plantings"][0]
    assert totems["picking"] and date.fromisoformat(totems["ends"][0])
    spans = [task for task in told["tasks"] if task["until"]]
    assert spans and all(task["until"] >= task["on"] for task in spans)


def test_logs_of_earlier_years_are_not_followed(season: Path) -> None:
    """Their weight is kept in the book, and the page of moisture says that it tells nothing of them."""
    for weight in ("14 kg", "12 kg"):
        told = inside("record", season, "weighed", PICKED, "log", "1", weight, *SPRING, "--force", cwd=season)
        assert told.code == 0 and "budswell moisture" not in told.out, told.err
    page = json.loads(inside("moisture", season, "--json", *SPRING, cwd=season).out)
    assert page["of_earlier_years"] == [PICKED]
    assert PICKED not in {one["planting"] for one in page["plantings"]}
    text = " ".join(inside("moisture", season, *SPRING, cwd=season).out.split())
    assert f"Logs of earlier years are not followed: {PICKED}." in text


def _chips(plan: Plan) -> list[Any]:
    return [order for order in plan.orders if order.item == "fresh hardwood chips"]


def test_chips_for_topping_up_are_ordered(season: Path) -> None:
    """They are there on the day that is reserved for it, also where a bed of this season takes chips later."""
    plan = _plan(season, "show", str(season))
    (top_up,) = [task for task in _care(plan, "top-up", "Rhubarb bed") if task.until is None]
    (order,) = _chips(plan)
    assert (order.for_, order.needed_on, order.late) == (("Rhubarb bed",), top_up.on, False)
    assert [(order.quantity, order.unit)] == [(one.quantity, one.unit) for one in top_up.supplies]
    with (season / "season.toml").open("a", encoding="utf-8") as file:
        file.write(BED)
    both = _plan(season, "plan", str(season), "--no-keep")
    assert [order.for_ for order in sorted(_chips(both), key=lambda order: order.needed_on)] == [
        ("Rhubarb bed",),
        ("Bean bed",),
    ]


def test_chips_that_come_too_late_refuse_no_season(season: Path) -> None:
    """Where nobody can bring them within the span, the order says that it is late, and the plan stands."""
    text = (season / "season.toml").read_text(encoding="utf-8")
    (season / "season.book").unlink()
    (season / "season.toml").write_text(text + '\n[buying]\nlead = { chips = "180 d" }\n', encoding="utf-8")
    plan = _plan(season, "plan", str(season), "--no-keep", "--today", "2026-12-15")
    (order,) = _chips(plan)
    assert order.late and order.order_by < plan.season.today
