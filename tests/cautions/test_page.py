"""Every list of work on the local page says what to mind, right at the work and in full below it."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

import scheduler.present.html
from scheduler.plan import Change, Plan, Task
from scheduler.present.cautions import in_words
from scheduler.present.html.batch import batch_page
from scheduler.present.html.frame import Frame
from scheduler.present.html.onward import meaning, onward_page
from scheduler.present.html.today import today_page
from scheduler.present.pages import page_of
from scheduler.progress import NOTHING
from tests.cautions.plans import made
from tests.cautions.test_views import SEASONS, WEEK, _first_risky, _harmless

FOLDER = Path(scheduler.present.html.__file__).parent
CARD = '<li class="work'
NO_WORK = {
    "frame.html": "the title of a page", "asked.html": "the title of a page", "remedies.html": "what was not done, with what to mind",
    "said.html": "the title of a page", "fault.html": "the title of a page",
}  # fmt: skip
"""Templates in which something else has a title, or where a test below looks."""


def _frame(day: date) -> Frame:
    return Frame("Season", 1, day, "token")


def _words(text: str) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", text)).split())


def _missing(document: str, tasks: Sequence[Task]) -> Iterator[str]:
    """Risky work without a card that says what to mind there, in short and in full."""
    cards = [_words("<" + card.partition("</section>")[0]) for card in document.split(CARD)[1:]]
    for task in tasks:
        mine = [card for card in cards if " ".join(task.title.split()) in card]
        if not mine:
            yield f"{task.title} is not shown"
        wanted = [*([f"Mind: {in_words(task.cautions)}"] if task.cautions else []), *task.cautions]
        if task.cautions and not any(all(" ".join(one.split()) in card for one in wanted) for card in mine):
            yield task.title


def _views(plan: Plan) -> Iterator[tuple[str, list[Task], str]]:
    """Pages with the work on them: the day of each kind of risky work, the week before it, its batch."""
    for task in _first_risky(plan):
        due = [one for one in plan.tasks if one.on <= task.on]
        yield "due", due, today_page(_frame(task.on), page_of(plan, NOTHING, task.on, due), 0)
        early = task.on - WEEK
        week = [one for one in plan.tasks if early < one.on <= task.on]
        yield "week", week, today_page(_frame(early), page_of(plan, NOTHING, early, ()), 0)
        if task.batch:
            batch = next(one for one in plan.batches if one.id == task.batch)
            mine = [one for one in plan.tasks if one.batch == task.batch]
            told = batch_page(_frame(plan.season.today), batch, plan, (), NOTHING, "http://localhost/")
            yield "batch", mine, told


@pytest.mark.parametrize("name", SEASONS)
def test_every_card_of_work_says_what_to_mind(name: str) -> None:
    """Without its cautions a card would be missed."""
    plan, _ = made(name)
    kinds = set()
    for kind, tasks, document in _views(plan):
        assert list(_missing(document, tasks)) == []
        kinds.add(kind)
    assert kinds == {"due", "week", "batch"}
    for _, tasks, document in _views(_harmless(plan)):
        assert "Mind:" not in document
        risky = [task for task in plan.tasks if task.cautions and task.id in {one.id for one in tasks}]
        assert len(list(_missing(document, risky))) == len(risky)


@pytest.mark.parametrize("name", SEASONS)
def test_the_first_words_of_a_day_say_what_to_mind(name: str) -> None:
    """Where the one thing to do can hurt; on the day itself, and when it is what comes next."""
    plan, _ = made(name)
    for task in _first_risky(plan):
        alone = replace(plan, tasks=(task,), orders=())
        for day, due in ((task.on, [task]), (task.on - 3 * WEEK, [])):
            head = today_page(_frame(day), page_of(alone, NOTHING, day, due), 0)
            head = _words(head.partition("<h1>")[2].partition("<details>" if due else "<section")[0])
            assert f"Mind: {in_words(task.cautions)}" in head, task.id


def test_the_page_of_a_day_tells_cautions_in_full() -> None:
    """Once each below what is due, with the work it belongs to."""
    plan, _ = made("chips")
    for task in _first_risky(plan):
        document = today_page(_frame(task.on), page_of(plan, NOTHING, task.on, [task]), 0)
        below = _words(document.partition('id="cautions"')[2])
        for caution in task.cautions:
            assert below.count(" ".join(caution.split())) == 1
        assert " ".join(task.title.split()) in below


def test_a_replan_says_what_to_mind_at_moved_and_new_work() -> None:
    """By kind of work, below the changes; and at work that nobody recorded."""
    plan, _ = made("steam and own media")
    risky = _first_risky(plan)
    changed = tuple(
        Change(task.id, task.on, task.on + WEEK, "so it is", "moved" if number % 2 else "new")
        for number, task in enumerate(risky)
    )
    told = meaning(replace(plan, changes=changed), plan, (), None, False)
    document = _words(onward_page(_frame(plan.season.today), "onward", told, late=risky[:3]))
    for task in risky:
        assert any(
            in_words([caution]) in minded for caution in task.cautions for _, minded in told.minds.rows
        )
        assert in_words(task.cautions[:1]) in document
    for task in risky[:3]:
        assert f"{' '.join(task.title.split())} Mind: {in_words(task.cautions)}" in document


def test_only_one_template_writes_the_title_of_work() -> None:
    """Whoever writes one in a new place has to say there what to mind, and to be named here."""
    found = {
        path.name
        for path in (FOLDER / "templates").glob("*.html")
        if ".title" in path.read_text("utf-8") or "{{ title" in path.read_text("utf-8")
    }
    assert found == {"work.html", *NO_WORK}
    assert all(
        "mind(one)" in part
        for part in (FOLDER / "templates" / "work.html").read_text("utf-8").split("{% macro ")
        if "one.title | whole" in part
    )
