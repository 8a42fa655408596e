"""Wherever work is shown, its cautions are shown: on the screen, in the calendar and in the document."""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from xml.etree.ElementTree import fromstring

import pytest

import scheduler.present
from scheduler.document import to_data
from scheduler.plan import Change, Plan, Task
from scheduler.present.cautions import in_words
from scheduler.present.helpers_calendar import items
from scheduler.present.overview import show_overview
from scheduler.present.pages import page_of
from scheduler.present.replanned import show_changes, show_replanned
from scheduler.present.running_order import show_running_order
from scheduler.present.season_svg import season_svg
from scheduler.present.sheets.days import Where, day_sheet, days_of
from scheduler.present.sheets.document import Sheets, html
from scheduler.present.sheets.geometry import Paper
from scheduler.present.story import show_story
from scheduler.present.terminal import show_plan
from scheduler.present.today import show_today
from scheduler.present.todo import next_tasks
from scheduler.progress import NOTHING
from scheduler.workdays import full
from tests.cautions.plans import made
from tests.command import inside
from tests.february import begun
from tests.papers import html_of, squeezed
from tests.present.exports import calendar
from tests.present.readers import by_ical, by_vobject
from tests.present.screen import section, shown

SEASONS = ("what stands", "jars lost", "steam and own media", "dry heavy logs and a tank", "chips", "tub")
WIDE = 400
"""So wide a page that no line is folded."""
WEEK = timedelta(days=7)
SVG = "{http://www.w3.org/2000/svg}"
PARTS = {
    "plan", "plan care", "replan", "today", "today first", "the week ahead", "show", "show overdue", "story",
}  # fmt: skip
"""What lists risky work in each of these seasons."""
CAUTIONS_FROM = {
    "aftercare._rows", "answer.first_things", "cautions._named", "cautions.minded_once", "today._work",
    "today.first_thing", "running_order._page", "days.entry", "days.order",
    "onward.onward_page",
}  # fmt: skip
"""Functions that print the title of work to be done, and what to mind there."""
OF_THE_CALENDAR = {
    "calendar_items._tasks", "calendar_items._about_task", "helpers_calendar._days", "helpers_calendar._about",
}  # fmt: skip
ONLY_NAMED = {
    "changes.change_rows": "what to mind at moved and new work stands below them, by kind",
    "story.show_story": "work that was done, in entries",
    "replanned.summed_up": "work that was done, in an entry",
    "batch.batch_page": "work that was done, in entries",
    "book.book_page": "work that was done, in entries",
}
NO_TASK = {"profiles.show_entry", "days._rows"}
"""Functions that print no title of work: one shows the catalogue, one counts the rows that a sheet takes."""


@dataclass(frozen=True)
class View:
    """A part of a page: what it is printed from, and the risky work on it."""

    show: Callable[[Plan], str]
    tasks: Sequence[Task]


def _minds(text: str, tasks: Sequence[Task]) -> dict[str, list[str]]:
    """What stands after ``Mind:`` next below each title, up to a heading; titles of safe work take part."""
    found: dict[str, list[str]] = defaultdict(list)
    by_length = sorted({task.title for task in tasks}, key=len, reverse=True)
    run: list[str] = []
    for line in text.splitlines():
        title = next((title for title in by_length if title in line), None)
        if title is not None:
            run.append(title)
        elif line.strip().startswith("Mind: "):
            for one in run:
                found[one].append(line.strip().removeprefix("Mind: "))
            run = []
        elif not line.strip():
            run = []
    return found


def _missing(view: View, plan: Plan) -> Iterator[str]:
    """Risky work of a view without what to mind there."""
    text = view.show(plan)
    minds = _minds(text, plan.tasks)
    for task in view.tasks:
        if task.cautions and in_words(task.cautions) not in minds[task.title]:
            yield f"{task.title}: {in_words(task.cautions)}"


def _harmless(plan: Plan) -> Plan:
    """The plan as it is shown by a view that leaves its cautions out."""
    return replace(plan, tasks=tuple(replace(task, cautions=()) for task in plan.tasks))


# --- parts of pages ------------------------------------------------------------------------------------


def _first_risky(plan: Plan) -> list[Task]:
    """One task of each kind and set of cautions."""
    found: dict[tuple[str, tuple[str, ...]], Task] = {}
    for task in plan.tasks:
        if task.cautions:
            found.setdefault((task.kind, task.cautions), task)
    return list(found.values())


def _under(heading: str, text: str) -> str:
    return section(text, heading) if heading in text.splitlines() else ""


def _today(day: date, heading: str, plan: Plan) -> str:
    due = [task for task in plan.tasks if task.on <= day]
    text = shown(show_today, page_of(plan, NOTHING, day, due), width=WIDE)
    return _under(heading, text) if heading else text.partition("\n\n")[0]


def _today_of(task: Task, plan: Plan) -> str:
    """The first lines of the task's day, where it is all there is to do."""
    return _today(task.on, "", replace(plan, tasks=tuple(one for one in plan.tasks if one.id == task.id)))


def _overview(day: date, heading: str, plan: Plan) -> str:
    text = shown(show_overview, plan, NOTHING, day, width=WIDE)
    return _under(heading, text) if heading else text.partition("\n\n")[0]


def _page(heading: str, plan: Plan) -> str:
    text = shown(show_plan, plan, width=WIDE)
    return _under(heading, text) if heading else text.partition("\n\n")[0]


def _story(batch: str, plan: Plan) -> str:
    told = next(one for one in plan.batches if one.id == batch)
    return _under("Work left", shown(show_story, told, plan, (), NOTHING, width=WIDE))


def _late(tasks: Sequence[Task], plan: Plan) -> str:
    ids = {task.id for task in tasks}
    show = partial(show_replanned, unrecorded=[task for task in plan.tasks if task.id in ids])
    return _under("Not recorded as done by its day", shown(show, plan, plan, "", "It goes on.", width=WIDE))


def _next(plan: Plan) -> str:
    return _under("What to do next", shown(show_replanned, plan, plan, "", "It goes on.", width=WIDE))


def _views(plan: Plan) -> Iterator[tuple[str, View]]:
    """Every part of a page that lists work, with the work on it; days are those of risky work."""
    first = min((task for task in plan.tasks if task.on >= plan.season.today), key=lambda task: task.on)
    yield "plan, first lines", View(partial(_page, ""), [first])
    yield "plan, two weeks", View(partial(_page, "The next two weeks of work"), next_tasks(plan))
    yield "plan care, first year", View(partial(_page, "Care after planting"), _listed(plan))
    yield "replan, next", View(_next, [first])
    yield "replan, not recorded", View(partial(_late, plan.tasks[:9]), plan.tasks[:9])
    for task in _first_risky(plan):
        day = task.on
        due = [one for one in plan.tasks if one.on <= day]
        yield f"today, {task.id}", View(partial(_today, day, "To do now"), due)
        yield f"today first, {task.id}", View(partial(_today_of, task), [task])
        week = [one for one in plan.tasks if day - WEEK < one.on <= day]
        yield f"the week ahead, {task.id}", View(partial(_today, day - WEEK, "The week ahead"), week)
        left = [one for one in plan.tasks if one.on <= day and not one.is_overdue(day) and one.on == day]
        yield f"show, {task.id}", View(partial(_overview, day, "Next work"), left)
        past = [one for one in plan.tasks if one.is_overdue(day) and one.until is None]
        yield f"show overdue, {task.id}", View(partial(_overview, day, "Overdue"), past)
        if task.batch:
            mine = [one for one in plan.tasks if one.batch == task.batch]
            yield f"story, {task.id}", View(partial(_story, task.batch), mine)


def _listed(plan: Plan) -> list[Task]:
    """The care that the page lists one by one: that of the first year."""
    text = _page("Care after planting", plan)
    return [task for task in plan.tasks if task.is_care and task.title in text]


@pytest.mark.parametrize("name", SEASONS)
def test_every_list_of_work_says_what_to_mind(name: str) -> None:
    """In short with the work or at the end of a run of alike work, and a list that left it out would be seen."""
    plan, _ = made(name)
    seen = set()
    for what, view in _views(plan):
        assert list(_missing(view, plan)) == [], what
        risky = any(task.cautions for task in view.tasks)
        kept = replace(view, show=lambda shown_plan, show=view.show: show(_harmless(shown_plan)))
        assert bool(list(_missing(kept, plan))) == risky, what
        if risky:
            seen.add(what.partition(",")[0])
    assert seen >= PARTS


@pytest.mark.parametrize("name", SEASONS)
def test_the_next_work_says_what_to_mind_when_nothing_is_due(name: str) -> None:
    """The first line of a quiet day names later work, and what to mind at it."""
    plan, _ = made(name)
    for task in _first_risky(plan):
        alone = replace(plan, tasks=(task,), orders=())
        quiet = task.on - 3 * WEEK
        assert f"Mind: {in_words(task.cautions)}" in _today(quiet, "", alone).splitlines(), task.id
        assert "Mind" not in _today(quiet, "", _harmless(alone))


# --- in full -------------------------------------------------------------------------------------------


def _blocks(text: str) -> dict[str, str]:
    """Each caution of a section with what stands after ``at:``."""
    blocks = {}
    for part in f"\n{text}".split("\n  - ")[1:]:
        caution, _, tasks = part.partition("\n    at: ")
        blocks[" ".join(caution.split())] = " ".join(tasks.split())
    return blocks


def _not_told(text: str, tasks: Sequence[Task]) -> Iterator[str]:
    """Cautions that a section lacks, and tasks that it does not name at one; many are named by kind."""
    blocks = _blocks(text)
    for caution in dict.fromkeys(caution for task in tasks for caution in task.cautions):
        mine = [task for task in tasks if caution in task.cautions]
        where = blocks.get(caution)
        if where is None:
            yield caution
        elif len(mine) <= 3:
            yield from (task.title for task in mine if " ".join(task.title.split()) not in where)
        else:
            kinds = [task.kind for task in mine]
            yield from (
                kind
                for kind in dict.fromkeys(kinds)
                if f"{kind.replace('-', ' ')} ({kinds.count(kind)})" not in where
            )


@pytest.mark.parametrize("width", [80, WIDE])
@pytest.mark.parametrize("name", SEASONS)
def test_the_plan_tells_every_caution_in_full_with_its_work(name: str, width: int) -> None:
    """Once each, with all the work it belongs to; without them the section is gone."""
    plan, _ = made(name)
    text = section(shown(show_plan, plan, width=width), "Cautions")
    assert list(_not_told(text, plan.tasks)) == []
    assert set(_blocks(text)) == {caution for task in plan.tasks for caution in task.cautions}
    assert "\nCautions\n" not in shown(show_plan, _harmless(plan), width=width)


@pytest.mark.parametrize("name", SEASONS)
def test_the_page_of_a_day_tells_its_cautions_in_full(name: str) -> None:
    """Below what is due, for all that is due."""
    plan, _ = made(name)
    for task in _first_risky(plan):
        due = [one for one in plan.tasks if one.on <= task.on]
        assert list(_not_told(_today(task.on, "Cautions", plan), due)) == [], task.id
        assert _today(task.on, "Cautions", _harmless(plan)) == ""


@pytest.mark.parametrize("reader", [by_vobject, by_ical])
@pytest.mark.parametrize("name", SEASONS)
def test_events_of_the_calendar_tell_their_cautions_in_full(
    name: str, reader: Callable[[bytes], object]
) -> None:
    """Other programs read every caution in the event of its own task, word for word, and in no other."""
    plan = replace(made(name)[0], plan_no=1)
    for one, wanted in ((plan, True), (_harmless(plan), False)):
        read = reader(calendar(one))
        assert isinstance(read, dict)
        events = [(first, summary, text) for first, _, summary, text in read.values()]
        for task in plan.tasks:
            (text,) = (t for on, said, t in events if (on, said) == (task.on, task.title) and _is_of(task, t))
            told = [
                line.removeprefix("Caution: ") for line in text.splitlines() if line.startswith("Caution: ")
            ]
            assert told == (list(task.cautions) if wanted else []), task.id


def _is_of(task: Task, text: str) -> bool:
    """Whether the event is the task's: two may share their day and title, but not why and for whom."""
    return f"Why: {task.why}" in text if task.why else True


@pytest.mark.parametrize("name", SEASONS)
def test_the_document_has_every_caution(name: str) -> None:
    """Scripts read the whole texts with each task."""
    plan, _ = made(name)
    told = {task["id"]: task["cautions"] for task in to_data(plan)["tasks"]}
    assert told == {task.id: list(task.cautions) for task in plan.tasks}


# --- replans -------------------------------------------------------------------------------------------


def test_a_replan_says_what_to_mind_at_moved_and_new_work() -> None:
    """By kind of work, below the changes; what was dropped or kept is not warned of there."""
    plan, _ = made("steam and own media")
    risky = _first_risky(plan)
    kinds = {
        "cook": "moved",
        "refresh-culture": "new",
        "soak-grain": "new",
        "fell": "dropped",
        "buck": "kept",
    }
    changed = [task for task in risky if task.kind in kinds]
    assert {task.kind for task in changed} == set(kinds)
    plan = replace(
        plan,
        changes=tuple(
            Change(task.id, task.on, task.on + WEEK, "so it is", kinds[task.kind])  # type: ignore[arg-type]
            for task in changed
        ),
    )
    wanted: dict[str, list[str]] = defaultdict(list)
    for task in changed:
        if kinds[task.kind] in ("moved", "new"):
            wanted[task.kind.replace("-", " ")] += task.cautions
    for text in (
        shown(show_changes, plan, plan, width=WIDE),
        shown(show_replanned, plan, plan, "", "It goes on.", width=WIDE),
        shown(show_plan, plan, width=WIDE),
    ):
        rows = section(text, "What has changed").partition("    mind at\n")[2].splitlines()
        found = dict(row.strip().split("  ", 1) for row in rows)
        assert {kind: text.strip() for kind, text in found.items()} == {
            kind: in_words(cautions) for kind, cautions in wanted.items()
        }
    assert "mind at" not in shown(show_changes, _harmless(plan), _harmless(plan), width=WIDE)


@pytest.mark.parametrize("name", ["backyard", "market", "chips", "dry heavy logs and a tank"])
def test_the_running_order_and_the_calendar_for_helpers_tell_cautions_in_full(name: str) -> None:
    """Whoever comes to help reads what to mind at each piece of planting, and so does the host."""
    plan, _ = made(name)
    assert plan.planting_days
    texts = {item.summary: item.text for item in items(plan)}
    for day in plan.planting_days:
        page = " ".join(shown(show_running_order, plan, [day], plan.season.today, width=WIDE).split())
        for work in day.works:
            task = next(task for task in plan.tasks if task.id == work.task)
            assert task.cautions and all(" ".join(caution.split()) in page for caution in task.cautions)
            assert all(f"Caution: {caution}" in texts[f"Planting: {task.title}"] for caution in task.cautions)


@pytest.mark.parametrize("name", SEASONS)
def test_the_drawn_season_says_what_to_mind_on_each_day_of_work(name: str) -> None:
    """In the words of each day of the lab and the yard, and of each batch and planting."""
    plan, _ = made(name)
    for one, wanted in ((plan, True), (_harmless(plan), False)):
        titles = [title.text or "" for title in fromstring(season_svg(one)).iter(f"{SVG}title")]
        for task in plan.work():
            if task.is_care or not task.cautions:
                continue
            days = [text for text in titles if text.startswith(full(task.on)) and task.title in text]
            assert days and all(
                (in_words(task.cautions) in "".join(_minds(text, plan.tasks)[task.title])) == wanted
                for text in days
            )
            rows = [text for text in titles if text.startswith(f"{task.batch or task.planting}, ")]
            assert all((in_words(task.cautions[:1]) in text) == wanted for text in rows)


@pytest.mark.parametrize("name", SEASONS)
def test_sheets_of_paper_tell_cautions_in_short_with_the_work_and_in_full_below(name: str) -> None:
    """On the sheet of the day, for all of its work; without them there is nothing to mind."""
    plan, _ = made(name)
    for one, wanted in ((plan, True), (_harmless(plan), False)):
        places: tuple[Where, ...] = ("lab", "yard")
        sheets = tuple(day_sheet(one, place, on) for place in places for on in days_of(one, place))
        page, _ = html_of(html(Sheets(one, Paper("A4", 210, 297), sheets)))
        assert ("Whattomind" in page) == wanted
        for task in plan.work():
            if task.is_care or not task.cautions:
                continue
            place: Where = "lab" if task.place == "lab" else "yard"
            (sheet,) = (one for one in sheets if (one.iso, one.place) == (task.on.isoformat(), place))
            minds = [entry.mind for entry in sheet.entries if entry.title == task.title]
            assert (in_words(task.cautions) in minds) == wanted
            assert (set(task.cautions) <= set(sheet.cautions)) == wanted
            assert (squeezed(f"Mind: {in_words(task.cautions)}") in page) == wanted
            assert all((squeezed(caution) in page) == wanted for caution in task.cautions)


# --- no other view -------------------------------------------------------------------------------------


def test_no_other_view_prints_the_title_of_work() -> None:
    """Whoever prints a title in a new place has to say there what to mind, and to be named here."""
    folder = Path(scheduler.present.__file__).parent
    found = set()
    for path in folder.rglob("*.py"):
        for outer in ast.parse(path.read_text(encoding="utf-8")).body:
            inner = outer.body if isinstance(outer, ast.ClassDef) else [outer]
            for function in (one for one in inner if isinstance(one, ast.FunctionDef)):
                if any(
                    isinstance(node, ast.Attribute) and node.attr == "title" for node in ast.walk(function)
                ):
                    found.add(f"{path.stem}.{function.name}")
    assert found == CAUTIONS_FROM | OF_THE_CALENDAR | set(ONLY_NAMED) | NO_TASK


def test_commands_say_what_to_mind(tmp_path: Path) -> None:
    """As it is called: the plan kept, a day, the season, a batch, the document and the calendar file."""
    season = begun(tmp_path)
    day = ("--today", "2027-02-06")
    today = inside("today", season, *day, cwd=tmp_path).out
    assert "Mind: pressure; long load; hot glass and steam; gas burner" in today
    assert "Never above the rated pressure" in today
    assert "Mind: pressure; long load;" in inside("show", season, *day, cwd=tmp_path).out
    story = inside("show", season, "--batch", "WIN-Sa", *day, cwd=tmp_path).out
    assert "Mind: pressure; long load; hot glass and steam; gas burner" in story
    assert "Never above the rated pressure" in inside("show", season, "--json", cwd=tmp_path).out
    what_if = inside("replan", season, "--what-if", "lost WIN-G1a", "--today", "2027-02-04", cwd=tmp_path).out
    assert "cook         pressure; long load; hot glass and steam; gas burner; lost units" in what_if
    assert inside("calendar", season, "-o", "out.ics", cwd=tmp_path).code == 0
    events = by_vobject((tmp_path / "out.ics").read_bytes()).values()
    cooked = [text for _, _, title, text in events if title.startswith("Sterilise")]
    assert cooked and all("Never above the rated pressure" in text for text in cooked)
