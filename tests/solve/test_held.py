"""Works that are held: a search among the others finds what trying everything finds."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from scheduler.problem.shapes import Days
from scheduler.problem.tighten import Windows, tighten
from scheduler.solve.again import again
from scheduler.solve.look import Answer, Effort
from scheduler.solve.model import Model, Wanted
from scheduler.solve.params import Budget, Manner
from tests.solve.brute import answers, cost
from tests.solve.golden import golden
from tests.solve.random_problems import tiny

TIERS = (3, 4, 5)


def agrees(days: Days, held: Days) -> bool:
    """Whether an answer has every held work on its days, and in its cooker."""
    return _holds(days.pieces, held.pieces) and _holds(days.cooker, held.cooker)


def _holds(there: Mapping[str, object], held: Mapping[str, object]) -> bool:
    return all(there.get(name) == what for name, what in held.items())


@pytest.mark.parametrize("seed", range(60))
def test_the_best_around_held_works_is_found(seed: int) -> None:
    """For each work in turn that is free while all others stay: no answer is lost, and none is made up."""
    problem = tiny(seed)
    everything = list(answers(problem))
    if not everything:
        return
    start = Answer(everything[seed % len(everything)], {})
    for work in problem.works:
        held = start.without({work.name})
        for tier in TIERS:
            wanted = Wanted(held=held, least=tier)
            found = again(problem, wanted, Manner(1.0), Effort(Budget()), lambda _: None)
            assert found.answer is not None
            assert agrees(found.answer.days, held)
            best = min(cost(problem, days, tier) for days in everything if agrees(days, held))
            assert cost(problem, found.answer.days, tier) == best
            assert found.bound == best


def test_what_is_held_takes_no_part_in_the_search() -> None:
    """Its days are left as they are, and the model has variables for the others alone."""
    problem = golden()
    held = Answer(next(iter(answers(problem))), {}).without({"start"})
    assert {"cook", "plant"} < held.pieces.keys()
    left = tighten(problem, held=held.pieces)
    assert isinstance(left, Windows)
    for name, on in held.pieces.items():
        assert (list(left.first[name]), list(left.last[name])) == ([min(on)], [max(on)])
    named = Model(problem, left, Wanted(held=held)).variables.named
    assert any(name.startswith("start@") for name in named)
    assert not any(name.startswith(tuple(held.pieces)) for name in named)


def test_an_answer_around_held_works_starts_a_search_among_all() -> None:
    """What the search around them did not know is taken from the answer before."""
    earlier, later = Answer(Days({"a": {1: 1}}), {"a": 1, "b": 2}), Answer(Days({"a": {3: 1}}), {"a": 3})
    assert later.over(earlier) == Answer(Days({"a": {3: 1}}), {"a": 3, "b": 2})
