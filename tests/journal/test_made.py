"""What of a book is a real observation: each way in which a batch is looked at, lost, or left unsaid."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from scheduler.journal.made import KnownPlan, Made, batches_made
from scheduler.journal.observed import observed
from scheduler.lines.observed import Observed
from scheduler.service import recording, replanning, seasons
from scheduler.service.under_way import kept_plans, seen_by, under_way
from scheduler.trade import catalogue as trade
from tests.february import AT, begun

Say = Callable[..., None]


class Story:
    """The backyard from the fourth of February on: SHI-G1a and WIN-G1a grow since 24 January, five jars each."""

    def __init__(self, folder: Path) -> None:
        self.path = begun(folder)

    def say(self, words: str, day: str, *, force: bool = False) -> Story:
        """Records something on a day."""
        on = date.fromisoformat(day)
        recording.record(self.path, words.split(), clock=on, today=on, on=None, force=force, at=AT)
        return self

    def replan(self, day: str) -> Story:
        """Plans onward on a day."""
        on = date.fromisoformat(day)
        replanning.replan(self.path, replanning.Asked(seasons.Clock(on, "UTC"), on), kept_at=AT)
        return self

    def made(self) -> dict[str, Made]:
        """The batches that were made."""
        state = under_way(self.path, date(2027, 6, 1), None)
        known = [KnownPlan(one.plan, frozenset(seen_by(one))) for one in kept_plans(state)]
        return {one.batch.id: one for one in batches_made(known, state.recorded)}

    def tells(self) -> Observed:
        """All that its batches tell."""
        catalogue = trade.load()
        day = date(2027, 6, 1)
        season, _ = seasons.read(self.path, seasons.Clock(day, "UTC"), day, keep_over=True)
        return observed(tuple(self.made().values()), season, catalogue)


@pytest.fixture
def story(tmp_path: Path) -> Story:
    """A story that begins on 4 February."""
    return Story(tmp_path)


def test_grain_that_grows_was_looked_at_and_has_not_come_through(story: Story) -> None:
    """Test plates are left out; the last look was the second check, by which most losses show."""
    made = story.made()
    assert set(made) == {"SHI-G1a", "WIN-G1a"}
    assert made["SHI-G1a"].through_on is None
    assert made["SHI-G1a"].looks == (date(2027, 1, 28), date(2027, 1, 30), date(2027, 2, 1))
    told = story.tells()
    assert {fate.seen for fate in told.fates} == {trade.load().lab.shown_early.likely}
    assert len(told.fates) == 10
    assert len({fate.load for fate in told.fates}) == 2
    assert all(run.by == math.inf and 6 < run.after < 9 for run in told.runs)


def test_a_loss_counts_and_one_that_was_taken_back_does_not(story: Story) -> None:
    """Also once the plan has been made anew, and no longer knows the units that are gone."""
    story.say("lost SHI-G1a 3", "2027-02-04").replan("2027-02-04")
    made = story.made()["SHI-G1a"]
    assert (len(made.units), len(made.lost)) == (5, 3)
    assert len(made.loads) == 5
    assert made.looks[-1] == date(2027, 2, 4)
    story.say("undo", "2027-02-04")
    assert story.made()["SHI-G1a"].lost == {}


def test_found_ready_on_a_day_of_its_own_is_known_to_the_day(story: Story) -> None:
    """Sixteen days after it was begun, and not yet the day before."""
    story.say("ready WIN-G1a", "2027-02-09")
    made = story.made()["WIN-G1a"]
    assert (made.through_on, made.by_plan) == (date(2027, 2, 9), False)
    run = next(run for run in story.tells().runs if run.species == "wine cap")
    assert run.to_the_day
    assert 0 < run.by - run.after < 1.2
    assert {fate.seen for fate in story.tells().fates if fate.species == "wine cap"} == {1.0}


@pytest.mark.parametrize(
    ("words", "day"),
    [
        ("ready SHI-G1a", "2027-02-10"),
        ("clean SHI-G1a", "2027-02-10"),
        ("done SHI-G1a:check:release", "2027-02-10"),
        ("fridge SHI-G1a", "2027-02-12"),
        ("used SHI-G1a 1", "2027-02-13"),
    ],
)
def test_what_comes_by_plan_or_by_the_way_leaves_the_span_open(words: str, day: str, story: Story) -> None:
    """It had run through by then, and not yet at the last look: nobody knows on which day between."""
    story.say(words, day, force=True)
    made = story.made()["SHI-G1a"]
    assert (made.through_on, made.by_plan) == (date.fromisoformat(day), True)
    run = next(run for run in story.tells().runs if run.species == "shiitake")
    assert not run.to_the_day
    assert run.after < 9 < run.by < math.inf


def test_clean_before_it_is_due_is_a_look_and_no_release(story: Story) -> None:
    """And once somebody says on which day it was ready, clean before that was a look, too."""
    story.say("clean SHI-G1a", "2027-02-08")
    assert story.made()["SHI-G1a"].through_on is None
    story.say("clean SHI-G1a", "2027-02-11").say("ready SHI-G1a", "2027-02-13")
    made = story.made()["SHI-G1a"]
    assert (made.through_on, made.looks[-1]) == (date(2027, 2, 13), date(2027, 2, 11))


def test_a_batch_that_is_all_lost_ran_no_further_than_its_last_look(story: Story) -> None:
    """Its units are lost; of its days nothing is known after the look before."""
    story.say("lost SHI-G1a", "2027-02-09")
    told = story.tells()
    assert sum(fate.lost for fate in told.fates) == 5
    run = next(run for run in told.runs if run.species == "shiitake")
    assert run.by == math.inf
    assert run.after < 9


def test_a_batch_of_which_nothing_is_said_since_it_was_begun_is_unknown(story: Story) -> None:
    """Bags that were cooked and inoculated, and that nobody has spoken of: no fate, no run."""
    story.say("done all", "2027-02-14", force=True)
    told = story.tells()
    bags = [fate for fate in told.fates if fate.stage == "pellet"]
    assert [(fate.lost, fate.seen) for fate in bags] == [(False, 0.0)] * 3
    assert [run.stage for run in told.unknown_runs] == ["pellet"]
    assert "pellet" not in {run.stage for run in told.runs}


def test_fewer_units_than_planned_are_those_that_count(story: Story) -> None:
    """As many as were inoculated, whatever the plan says."""
    story.say("done cook:WIN-Sa", "2027-02-06", force=True)
    story.say("inoculated WIN-Sa 2", "2027-02-14", force=True).say("clean WIN-Sa", "2027-02-18")
    made = story.made()["WIN-Sa"]
    assert list(made.units) == ["WIN-Sa/1", "WIN-Sa/2"]
    assert made.parent_stage == "grain"
    assert story.made()["WIN-G1a"].through_on == date(2027, 2, 14)  # bags were made from it


def test_what_was_planted_had_come_through(story: Story) -> None:
    """A grower who records the planting has said enough of its spawn."""
    story.say("done all", "2027-02-21", force=True).say("planted Oak stack", "2027-05-15", force=True)
    assert story.made()["SHI-Sa"].through_on == date(2027, 5, 15)


def test_a_book_without_plans_tells_nothing() -> None:
    """Nothing was planned, nothing is known."""
    assert batches_made((), ()) == ()
