"""Which ways out of a conflict are listed: written into the file, planned, cheapest first, not too many alike."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import pytest

from scheduler.plan import Remedy, Rewrite
from scheduler.season.season import Season
from scheduler.service import remedies
from scheduler.service.attempt import Refusal, attempt
from scheduler.service.dormant_edits import PUT_OFF
from scheduler.service.edit import Edit, Family, volume_steps, without_plantings
from scheduler.service.edits import families
from scheduler.service.planting_edits import GIVE_UP
from tests.grower import BED, OAK, TOTEMS, catalogue, edited, season

NO_HOURS = season(BED, people="hours = {}")


def with_hours(hours: int) -> Season:
    """The season without hours, given so many on Saturdays."""
    people = replace(NO_HOURS.people, minutes={"sat": 60 * hours}, home_minutes={"sat": 600, "sun": 600})
    return replace(NO_HOURS, people=people)


def family(kind: str, cost: int, *hours: int) -> Family:
    """Changes that give so many hours."""
    return Family(
        kind, cost, "hours", (), tuple(Edit(f"{n} h", f"Find {n} h.", with_hours(n)) for n in hours)
    )


@cache
def refusal() -> Refusal:
    """What is said of the season without hours."""
    outcome = attempt(NO_HOURS, catalogue(), levels=("bare",))
    assert isinstance(outcome, Refusal)
    return outcome


@pytest.fixture
def listed(monkeypatch: pytest.MonkeyPatch) -> Callable[..., list[Remedy]]:
    """The remedies that are listed where these families are all there are."""

    def listed(*found: Family) -> list[Remedy]:
        monkeypatch.setattr(remedies, "families", lambda *_: list(found))
        return list(remedies.ways_out(NO_HOURS, catalogue(), refusal()).remedies)

    return listed


def test_cheapest_first_and_the_smallest_of_each(listed: Callable[..., list[Remedy]]) -> None:
    """Families are ranked by what they cost, and of each the smallest change that helps is taken."""
    found = listed(family("dear", 5, 0, 6, 7), family("cheap", 2, 0, 8), family("useless", 1, 0))
    assert [(remedy.kind, remedy.amount) for remedy in found] == [("cheap", "8 h"), ("dear", "6 h")]


def test_two_of_a_kind_are_enough(listed: Callable[..., list[Remedy]]) -> None:
    """Of more changes alike two are listed, and of those that give up a planting one."""
    alike = [family("alike", 3, 8), family("alike", 3, 9), family("alike", 3, 10)]
    found = listed(*alike, family(GIVE_UP, 9, 8), family(GIVE_UP, 10, 8))
    assert [remedy.amount for remedy in found] == ["8 h", "9 h", "8 h"]


def test_what_no_season_file_can_say_is_no_remedy(listed: Callable[..., list[Remedy]]) -> None:
    """More hours than a file may name would make a plan, but nobody could write them."""
    assert [remedy.amount for remedy in listed(family("too many", 1, 20), family("fine", 2, 8))] == ["8 h"]


def test_once_the_budget_is_spent_only_giving_up_is_looked_at(
    listed: Callable[..., list[Remedy]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A crowded season is not searched without end, and still never left without a way out."""
    monkeypatch.setattr(remedies, "UNITS", -1.0)
    assert [remedy.kind for remedy in listed(family("cheap", 1, 8), family(GIVE_UP, 9, 8))] == [GIVE_UP]


def test_another_season_is_waited_for_only_where_this_one_cannot_be_mended(
    listed: Callable[..., list[Remedy]],
) -> None:
    """Putting a planting off is listed where nothing easier was found, twice at most, beside giving it up."""
    waits = [family(PUT_OFF, 7, 8), family(PUT_OFF, 8, 9), family(PUT_OFF, 8, 10)]
    assert [remedy.kind for remedy in listed(family("cheap", 1, 8), *waits)] == ["cheap"]
    found = listed(family("useless", 1, 0), *waits, family(GIVE_UP, 9, 8))
    assert [remedy.kind for remedy in found] == [PUT_OFF, PUT_OFF, GIVE_UP]


def test_where_one_planting_is_enough_nobody_changes_two(listed: Callable[..., list[Remedy]]) -> None:
    """Of two plantings bought for together nothing is said where buying for one of them will do."""
    one, other = family("buy", 4, 8), family("buy", 4, 0)
    both = replace(family("buy", 4, 9), plantings=("Oak", "Bed"))
    alone = [replace(one, plantings=("Bed",)), replace(other, plantings=("Oak",))]
    assert [remedy.plantings for remedy in listed(*alone, both)] == [("Bed",)]
    assert [remedy.plantings for remedy in listed(alone[1], both)] == [("Oak", "Bed")]


def test_of_a_span_the_best_is_planned_and_the_smallest_is_named(listed: Callable[..., list[Remedy]]) -> None:
    """Where anything from the smallest on will do, the file gets another amount than the sentence begins with."""
    whole = family("span", 1, 0, 6, 8)
    [remedy] = listed(replace(whole, written=whole.edits[-1]))
    assert remedy.amount == "6 h"
    assert remedy.changes == (Rewrite("[people].hours.sat", None, "8"),)


def test_what_was_tried_in_vain_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a remedy each kind that was tried is named once; the only planting is called that."""
    found = [family("dear", 5, 0), family("cheap", 2, 0), family("cheap", 2, 1)]
    monkeypatch.setattr(remedies, "families", lambda *_: found)
    assert remedies.ways_out(NO_HOURS, catalogue(), refusal()).notes == (
        "Tried, each by itself and none of them enough: cheap, dear.",
        "Bed is the only planting, so there is none to give up.",
    )


def test_with_remedies_nothing_is_said_of_what_was_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where a way out is listed only the planting that cannot be given up is told of."""
    monkeypatch.setattr(remedies, "families", lambda *_: [family("cheap", 2, 8)])
    [note] = remedies.ways_out(NO_HOURS, catalogue(), refusal()).notes
    assert note.startswith("Bed is the only planting")


@pytest.mark.parametrize(
    ("there", "amounts"),
    [
        (0, ["one drill", "2 drills", "3 drills", "4 drills"]),
        (1, ["another drill", "2 more drills", "3 more drills", "4 more drills"]),
    ],
)
def test_drills_are_borrowed(there: int, amounts: list[str]) -> None:
    """Where there is no drill the first one is borrowed, else another."""
    of = season(OAK, tools=f"drills = {there}")
    [found] = [f for f in families(of, catalogue(), frozenset({"drills"}), frozenset()) if "drill" in f.kind]
    assert [edit.amount for edit in found.edits] == amounts
    assert [edit.season.tools.drills for edit in found.edits] == [there + more for more in (1, 2, 3, 4)]


def test_the_least_important_planting_is_changed_first() -> None:
    """Of one kind of change the planting with the last priority comes before the others."""
    both = season(edited(OAK, priority="1"), edited(TOTEMS, priority="3"))
    found = families(both, catalogue(), frozenset({"window"}), frozenset())
    later = [one.plantings for one in found if one.kind == "plant later"]
    assert later == [("Totems",), ("Oak stack",)]


def test_what_is_left_counts_from_one_again() -> None:
    """Plantings that are left keep no place that the file would not give them."""
    both = season(OAK, TOTEMS)
    [left] = without_plantings(both, both.plantings[:1]).plantings
    assert (left.name, left.index) == ("Totems", 0)


def test_volumes_are_asked_for_in_whole_gallons_where_those_are_used() -> None:
    """Litres stay as they are; gallons (US, 3.785411784 L by definition) are whole, and at least one."""
    assert volume_steps((1, 5, 100), "metric") == (1, 5, 100)
    gallons = [litres / 3.785411784 for litres in volume_steps((1, 5, 100), "imperial")]
    assert gallons == pytest.approx([1, 1, 26], rel=1e-6)
