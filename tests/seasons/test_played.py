"""Whole seasons played through day by day, with mishaps that hypothesis chooses and a replan after each."""

from __future__ import annotations

import tempfile
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from scheduler.book.store import Book, book_path
from scheduler.document import to_json
from scheduler.plan import Plan
from tests.command import PLANNED
from tests.seasons.onward import Watcher
from tests.seasons.played import HAPPENS, Grower, Mishap, begin, growing, replay

SEASONS = {"backyard": 10, "cold-room": 12, "maritime": 6, "market": 4, "second-spring": 6, "south": 8}
"""Seasons of each example."""
REPLANS = {"backyard": 15, "cold-room": 18, "maritime": 6, "market": 5, "second-spring": 6, "south": 12}
"""So many replans of each example are looked at, at least."""

MISHAPS = st.lists(
    st.builds(Mishap, st.sampled_from(sorted(HAPPENS)), st.integers(0, 95), st.integers(0, 999)),
    min_size=2,
    max_size=5,
)


@pytest.mark.parametrize("name", PLANNED)
def test_whatever_goes_wrong_the_rest_of_the_season_stands(name: str) -> None:
    """The checker approves each replan; facts, the next seven days, and ids stay; changes add up."""
    tally: Counter[str] = Counter()

    @settings(
        max_examples=SEASONS[name],
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=[HealthCheck.too_slow],
    )
    @given(MISHAPS)
    def season(mishaps: list[Mishap]) -> None:
        with tempfile.TemporaryDirectory() as folder:
            grower, watcher = Grower(begin(name, Path(folder))), Watcher()
            for found in grower.play(mishaps):
                tally["replans"] += 1
                assert watcher.wrong(found, grower) == [], grower.story

    season()
    assert tally["replans"] >= REPLANS[name]


@pytest.mark.parametrize("name", PLANNED)
def test_nothing_changes_in_a_season_that_goes_as_planned(name: str, tmp_path: Path) -> None:
    """Replanned again and again, every task that is left stays, also those of a work that is begun."""
    grower = Grower(begin(name, tmp_path))
    steady = [Mishap("nothing", percent, 0) for percent in (1, 3, 6, 10, 18, 30, 40, 50, 60, 75)]
    for found in grower.play(steady):
        assert [change for change in found.plan.changes if change.kind != "kept"] == []
        assert not found.unfrozen
    assert grower.story.count(f"{grower.today} replan") == 1


@pytest.mark.parametrize("name", PLANNED)
def test_the_same_season_is_planned_to_the_same_letter(name: str, tmp_path: Path) -> None:
    """The same commands given once more to a fresh copy keep the same plans, byte for byte."""
    mishaps = [Mishap("some lost", 30, 1), Mishap("late", 45, 4), Mishap("all lost", 60, 2)]
    grower = Grower(begin(name, tmp_path / "first"))
    plans = [to_json(found.plan) for found in grower.play(mishaps)]
    again = [to_json(found.plan) for found in replay(name, tmp_path / "second", grower.commands)]
    assert plans
    assert again == plans


@pytest.mark.parametrize("name", PLANNED)
@pytest.mark.parametrize("percent", [25, 40, 55])
def test_a_loss_that_is_taken_back_leads_back_to_the_plan_before(
    name: str, percent: int, tmp_path: Path
) -> None:
    """Recorded, replanned, undone and replanned: the same tasks and batches on the same days."""
    grower = Grower(begin(name, tmp_path))
    # So far into the season, or as soon after as something grows.
    days = grower.play([Mishap("nothing", percent + more, 0) for more in range(0, 40, 10)])
    before = next(found.plan for found in days if growing(grower.state))
    batch = growing(grower.state)[-1]
    assert grower.say(f"lost {batch.id} all")
    lost = grower.plan_onward().plan
    assert grower.say("undo")
    after = grower.plan_onward().plan
    assert _days(lost) != _days(before)
    assert _days(after) == _days(before)


def test_no_entry_of_the_book_is_ever_lost(tmp_path: Path) -> None:
    """Every plan and every entry of a season with mishaps is in its book, in the order of their numbers."""
    grower = Grower(begin("backyard", tmp_path))
    plans = [found.plan for found in grower.play([Mishap("in doubt", 40, 0), Mishap("undo", 50, 1)])]
    with Book.open(book_path(grower.path / "season.toml"), create=False) as book:
        numbers = [one.entry_no for one in book.entries()]
        kept = [book.plan(plan.plan_no or 0) for plan in plans]
    assert numbers == list(range(1, len(numbers) + 1))
    assert [one and one.plan for one in kept] == plans


def _days(plan: Plan) -> tuple[dict[str, object], dict[str, object]]:
    tasks: dict[str, object] = {task.id: task.on for task in plan.tasks}
    batches: dict[str, object] = {
        batch.id: (batch.inoculate_on, batch.ready_on, batch.use_on, batch.units) for batch in plan.batches
    }
    return tasks, batches
