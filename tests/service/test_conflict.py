"""What is told beside a clash that says little: sizes where amounts clash, else windows, stock and today."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from scheduler.lines.sizing import size
from scheduler.plan import Statement
from scheduler.problem.compile import compile_season
from scheduler.problem.shapes import Rule
from scheduler.season.season import Season
from scheduler.service import conflict
from scheduler.service.conflict import ABOUT, concerned
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited, season


def told(monkeypatch: pytest.MonkeyPatch, of: Season, *rules: str) -> tuple[Statement, ...]:
    """All that is said of a season where these of its rules clash."""
    monkeypatch.setattr(conflict, "explain", lambda *_: rules)
    problem = compile_season(of, catalogue(), size(of, catalogue(), "bare", {}))
    return conflict.conflict(of, catalogue(), problem).statements


def keys(statements: tuple[Statement, ...]) -> Mapping[str, str]:
    """Where what is told beside the clash stands in the season file."""
    return {s.rule.removeprefix(ABOUT): s.key for s in statements if s.rule.startswith(ABOUT)}


def test_two_statements_of_the_file_are_enough(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nothing is added to a clash that the grower can read."""
    assert keys(told(monkeypatch, season(), "hours", "window:Oak stack")) == {}


def test_where_nothing_clashes_nothing_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """A clash that was not found has no context either."""
    assert told(monkeypatch, season()) == ()


@pytest.mark.parametrize("rule", ["grown:grain", "bud_swell", "rest:shiitake"])
def test_days_are_told_with_window_and_today(rule: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nature alone, or one date, says nothing of the days that are left: window and today do."""
    assert keys(told(monkeypatch, season(), rule)) == {
        "window:Oak stack": "planting[0].window",
        "today": "[season].today",
    }


def test_a_later_begin_stands_for_today(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no work begins before a later day, that day is told under its own key."""
    found = told(monkeypatch, season(head="no_work_before = 2027-01-10"), "grown:grain")
    assert keys(found)["no_work_before"] == "[season].no_work_before"
    assert found[-1].statement == "No work begins before Sun 10 Jan 2027."


def test_what_is_in_the_clash_is_not_told_twice(monkeypatch: pytest.MonkeyPatch) -> None:
    """A window that clashes itself is no context."""
    found = told(monkeypatch, season(), "window:Oak stack", "grown:grain")
    assert [one.rule for one in found] == ["window:Oak stack", "grown:grain", "about:today"]


def test_work_is_told_in_hours(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stack that hands or drills cannot do says how much work it is, and within which time."""
    found = told(monkeypatch, season(), "hours")
    assert keys(found) == {"size:Oak stack": "planting[0].logs"}
    assert found[-1].statement == "Oak stack is 60 logs, 13 h of work that has to be done within 14 days."


def test_room_is_told_in_spawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """A bed for which shelf or cooker are too small says how much spawn it takes."""
    found = told(monkeypatch, season(BED), "shelf")
    assert keys(found) == {"size:Bed": "planting[0].area"}
    assert found[-1].statement.startswith("Bed is 6.3 m2, which takes ")
    assert found[-1].statement.endswith(" kg of spawn.")


def test_what_keeps_too_short_a_time_is_told_with_its_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """An old culture in hand is named; what is in another stage, or of another strain, is not."""
    oyster = CULTURE.replace("shiitake", "oyster")
    of = season(OAK, TOTEMS, stock=(oyster, CULTURE.replace("2026-11-20", "2026-06-05")))
    monkeypatch.setattr(conflict, "concerned", lambda season, *_: season.plantings[:1])
    found = told(monkeypatch, of, "keeps:liquid culture")
    assert keys(found)["stock[1].received"] == "stock[1].received"
    assert "stock[0].received" not in keys(found)
    assert "The liquid culture of shiitake that you have is of Fri 5 Jun 2026." in {
        s.statement for s in found
    }


def rules(*names: str, **facts: str) -> tuple[Rule, ...]:
    """Rules of these names."""
    return tuple(Rule(name, name.partition(":")[0], facts=facts) for name in names)


def test_the_plantings_that_rules_name_are_concerned() -> None:
    """A rule that speaks of one planting concerns no other."""
    found = concerned(season(OAK, TOTEMS), catalogue(), rules("window:Totems", planting="Totems"))
    assert [planting.name for planting in found] == ["Totems"]


@pytest.mark.parametrize("priority", ["1", "5"])
def test_only_plantings_for_which_the_rules_cannot_hold_are_concerned(priority: str) -> None:
    """Two hours a week are too few for sixty logs, and enough for one: whichever matters more."""
    one = edited(TOTEMS, logs='{ count = 1, diameter = "20 cm", length = "50 cm" }', priority=priority)
    both = season(edited(OAK, priority="3"), one, people="hours = { sat = 2 }")
    assert [planting.name for planting in concerned(both, catalogue(), rules("hours"))] == ["Oak stack"]


def test_where_all_may_hold_every_planting_is_concerned() -> None:
    """A clash that its rules alone do not show leaves out no planting."""
    found = concerned(season(OAK, TOTEMS), catalogue(), rules("hours"))
    assert [planting.name for planting in found] == ["Oak stack", "Totems"]
