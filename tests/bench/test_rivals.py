"""The other planners are honest ones: they keep the rules where they say so, and are as good as they can be."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from scheduler.checker.schedule import check_days, value
from scheduler.problem import yard
from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import tighten
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, Refused, solve
from tests.bench import generate, greedy, jobshop, monolith
from tests.bench.lost import DONE, losses, onward
from tests.bench.quality import quality
from tests.bench.rivals import WAYS, row
from tests.solve.brute import answers, cost
from tests.solve.random_problems import tiny

LIMIT_S = 120.0
"""No search below comes near to it."""


@cache
def season(kind: str, plantings: int, seed: int) -> tuple[Problem, tuple[str, ...]]:
    """A made-up season and the works by which its plantings are planted."""
    with TemporaryDirectory() as place:
        made = generate.compiled(generate.write(Path(place), plantings, kind, seed))
    return made.problem, tuple(yard.plant(planting.name) for planting in made.season.plantings)


@pytest.mark.parametrize("seed", range(60))
def test_one_sum_is_as_good_as_the_best_of_all_answers(seed: int) -> None:
    """On tiny Problems by chance the plain model finds the best answer, tier by tier, or that there is none."""
    problem = tiny(seed)
    everything = [tuple(cost(problem, days, tier) for tier in (3, 4, 5)) for days in answers(problem)]
    solved = monolith.solve(problem, LIMIT_S)
    assert solved.best
    if not everything:
        assert solved.days is None
        return
    assert solved.days is not None
    assert check_days(problem, solved.days) == []
    assert tuple(cost(problem, solved.days, tier) for tier in (3, 4, 5)) == min(everything)


@pytest.mark.parametrize(
    ("kind", "plantings", "seed"), [("realistic", 1, 1), ("crowded", 1, 2), ("crowded", 2, 2)]
)
def test_one_sum_and_the_search_agree(kind: str, plantings: int, seed: int) -> None:
    """Two models that share no code prove the same value in every tier of a season."""
    problem, _ = season(kind, plantings, seed)
    solved, found = monolith.solve(problem, LIMIT_S), solve(problem, budget=Budget())
    assert solved.best and solved.days is not None
    assert isinstance(found, Found) and all(tier.proved for tier in found.tiers)
    assert check_days(problem, solved.days) == []
    assert value(problem, solved.days) == value(problem, found.days)


def test_one_sum_and_the_search_refuse_the_same_season() -> None:
    """What does not fit does not fit in either model."""
    problem, _ = season("crowded", 2, 1)
    solved = monolith.solve(problem, LIMIT_S)
    assert (solved.days, solved.best) == (None, True)
    assert solve(problem, budget=Budget()) == Refused(confirmed=True)


@pytest.mark.parametrize("kind", generate.KINDS)
@pytest.mark.parametrize("plantings", [1, 4, 16])
def test_a_plan_by_hand_breaks_no_rule(kind: str, plantings: int) -> None:
    """What is planted is planted by the rules; where plantings are left out, so is all that was for them alone."""
    problem, goals = season(kind, plantings, 2)
    days = greedy.plan(problem, goals)
    found = quality(problem, days, goals)
    assert found["wrong"] == 0
    if kind != "crowded":
        assert found["made"] == f"{plantings}/{plantings}"
    if found["left out"] == 0:
        assert check_days(problem, days) == []


def test_a_plan_by_hand_is_no_better_than_one_that_is_proved() -> None:
    """Tier by tier it costs at least as much."""
    problem, goals = season("crowded", 2, 2)
    days = greedy.plan(problem, goals)
    found = solve(problem, budget=Budget())
    assert isinstance(found, Found)
    assert check_days(problem, days) == []
    assert tuple(value(problem, days).values()) > tuple(value(problem, found.days).values())


def test_a_hopeless_season_is_left_out_by_hand() -> None:
    """Where narrowing alone finds no day, nothing is planted, and every work is counted as left out."""
    problem = next(tiny(seed) for seed in range(200) if not hasattr(tighten(tiny(seed)), "first"))
    found = quality(problem, greedy.plan(problem, ["plant"]), ["plant"])
    assert (found["made"], found["left out"], found["wrong"]) == ("0/1", 4, 0)


def test_what_the_library_cannot_say_is_counted() -> None:
    """Every work has a day, least and most distances hold, and the rules that it has no words for are broken."""
    problem, goals = season("crowded", 2, 2)
    days = jobshop.plan(problem, LIMIT_S)
    assert days is not None
    found = quality(problem, days, goals)
    assert (found["made"], found["left out"]) == ("2/2", 0)
    broken = {violation.rule for violation in check_days(problem, days)}
    assert not any(
        rule.startswith(("grown", "keeps", "cook_to", "window", "away", "lead")) for rule in broken
    )
    assert found["wrong"]


def test_a_lost_batch_is_begun_anew_after_its_loss() -> None:
    """What is done stands, the batch and all that is to come lie after the day, and only moved works are counted."""
    problem, goals = season("realistic", 2, 1)
    found = solve(problem, budget=Budget())
    assert isinstance(found, Found)
    lost = losses(problem, found.days, 3)
    assert len(lost) == 3
    for loss in lost:
        assert loss.moved(found.days) == 0
        again = WAYS["budswell"].onward(loss, goals)
        if again is not None:
            assert check_days(loss.problem, again) == []
            assert again.first(f"{loss.batch}:inoculate") > loss.today
            assert all(set(again.pieces[name]) == set(pieces) for name, pieces in loss.done.items())
            assert all(
                any(limit.rule == DONE for limit in loss.problem.work(name).limits) for name in loss.done
            )
    assert onward(lost, goals, lambda loss: None) == {"saved": "0/3", "moved": 0}


def test_a_row_has_time_and_worth() -> None:
    """The row of a way holds the figures that the table shows."""
    problem, goals = season("realistic", 1, 1)
    cells = row(problem, goals, WAYS["budswell"])
    assert cells["made"] == "1/1"
    assert cells["left out"] == cells["wrong"] == cells["margin"] == cells["risk"] == 0
    assert cells["best"] is True
    assert isinstance(cells["took_s"], float) and isinstance(cells["moved"], int)
