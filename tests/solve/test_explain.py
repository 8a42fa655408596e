"""Explanations: the fewest statements of the grower that cannot hold, given what nature says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduler.problem.shapes import Lag, Limit, Point, Problem, Room, Rule, Stay, Work
from scheduler.problem.tighten import Windows
from scheduler.solve.explain import explain
from scheduler.solve.fits import fits
from scheduler.solve.look import Effort
from scheduler.solve.params import Budget
from tests.solve.golden import golden
from tests.solve.seasons import season


def test_what_fits_is_not_explained() -> None:
    """No rule is named where all may hold."""
    assert explain(golden(), Budget()) == ()


def test_a_shelf_too_small_is_the_only_statement_of_the_grower() -> None:
    """A shelf that holds no batch is named, and of nature's rules only one: any that keeps a batch waiting."""
    shelf, nature = explain(golden(shelf=3), Budget())
    assert shelf == "shelf"
    assert nature in ("ripe", "bench first")


def test_a_window_too_early_is_named_with_what_takes_the_time() -> None:
    """The grower's window stands first, then nature's rules that take part; room and hands have none."""
    named = explain(golden(window=range(8, 9)), Budget())
    assert named[0] == "window"
    assert set(named) <= {"window", "rest", "ripe"}
    assert "ripe" in named


def test_of_two_clashes_the_one_with_fewer_statements_of_the_grower_is_told() -> None:
    """Nature's rules are taken as they are: a clash with nature is told rather than one between two wishes."""
    window = Limit("window", frozenset({3}))
    work = Work("plant", (window, Limit("trip", frozenset({5})), Limit("frost", frozenset(range(6, 9)))))
    rules = {
        name: Rule(name, "rule", owner=owner)
        for name, owner in (("trip", "grower"), ("window", "grower"), ("frost", "nature"))
    }
    named = explain(Problem(date(2026, 1, 1), 9, (work,), rules=rules), Budget())
    assert named == ("window", "frost")


def test_a_rule_that_the_problem_does_not_list_is_the_growers() -> None:
    """Names that have no entry among the rules are explained all the same."""
    works = (Work("one", ()), Work("two", ()))
    lags = (Lag("after", Point("one"), Point("two"), 1), Lag("before", Point("two"), Point("one"), 1))
    assert explain(Problem(date(2026, 1, 1), 9, works, lags), Budget()) == ("after", "before")


def crowded(owner: str) -> Problem:
    """A room in which two of three works have to stand at once, and many works that do not matter."""
    works = tuple(
        Work(
            f"stay {n}",
            (Limit(f"{'window' if n < 3 else 'season'} {n}", frozenset({0, 1, 2} if n < 3 else {3 * n})),),
            {"out": {d: d + 3 for d in range(120)}},
        )
        for n in range(36)
    )
    stays = tuple(Stay(Point(work.name), Point(work.name, "out"), 1) for work in works)
    rules = {f"season {n}": Rule(f"season {n}", "season", owner=owner) for n in range(3, 36)}
    return Problem(date(2026, 1, 1), 130, works, rooms=(Room("shelf", "shelf", 1, stays),), rules=rules)


def test_rules_that_only_count_together_are_found_among_many() -> None:
    """Of three dozen windows only those of the room's own works stay: any two of them fill it."""
    problem = crowded("grower")
    named = explain(problem, Budget())
    assert "shelf" in named
    assert len(named) == 3
    assert set(named) - {"shelf"} <= {"window 0", "window 1", "window 2"}


def test_windows_are_spared_last() -> None:
    """Where a trip and a window hold a work to the same days, the window is named: it is said of that planting."""
    days = frozenset({0, 1, 2})
    works = tuple(
        Work(name, tuple(Limit(rule, days) for rule in rules), {"out": {d: d + 3 for d in range(60)}})
        for name, rules in (("one", ("window", "trip")), ("two", ("thaw",)))
    )
    stays = tuple(Stay(Point(work.name), Point(work.name, "out"), 1) for work in works)
    rules = {name: Rule(name, name) for name in ("window", "trip", "thaw")}
    problem = Problem(date(2026, 1, 1), 70, works, rooms=(Room("shelf", "shelf", 1, stays),), rules=rules)
    assert set(explain(problem, Budget())) == {"window", "thaw", "shelf"}


def test_nature_is_asked_about_even_where_the_grower_has_used_up_the_time(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nature's rules have a budget of their own, so those that were never asked about do not all remain."""

    def dear(problem: Problem, windows: Windows, effort: Effort, *, until: float) -> bool | None:
        told = fits(problem, windows, effort, until=until)
        effort.units += 1.0
        return told

    monkeypatch.setattr("scheduler.solve.explain.fits", dear)
    monkeypatch.setattr("scheduler.solve.explain.EXPLAIN_UNITS", 0.5)
    monkeypatch.setattr("scheduler.solve.explain.NATURE_UNITS", 100.0)
    assert set(explain(crowded("nature"), Budget())) == {"window 0", "window 1", "window 2", "shelf"}


def test_without_time_all_that_clashes_is_named() -> None:
    """A budget of nothing explains nothing, except what bounds alone show."""
    assert explain(season(12, late=72, seed=1), Budget(1e-12)) == ()
    works = (Work("one", ()), Work("two", ()))
    lags = (Lag("after", Point("one"), Point("two"), 1), Lag("before", Point("two"), Point("one"), 1))
    clash = replace(golden(), works=(*golden().works, *works), lags=(*golden().lags, *lags))
    assert explain(clash, Budget(1e-12)) == ("after", "before")
