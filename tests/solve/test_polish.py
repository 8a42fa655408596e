"""Polish and bettering by parts: never at the cost of a tier, and within the days with work."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.checker.schedule import check_days
from scheduler.problem.shapes import Problem
from scheduler.problem.tighten import Windows, tighten
from scheduler.solve import nearby
from scheduler.solve import polish as polishing
from scheduler.solve.again import again
from scheduler.solve.aims import DAYS, workers, worth
from scheduler.solve.later import later_days
from scheduler.solve.look import Answer, Effort, Look, look
from scheduler.solve.model import Model, Wanted
from scheduler.solve.nearby import better
from scheduler.solve.packing import packed
from scheduler.solve.params import Budget, Manner
from scheduler.solve.polish import polish
from tests.solve.brute import answers, cost, day
from tests.solve.random_problems import tiny
from tests.solve.seasons import season


def first_answer(problem: Problem, wanted: Wanted) -> Answer:
    """Any answer of a Problem that has one."""
    left = tighten(problem, met=wanted.met)
    assert isinstance(left, Windows)
    found = look(Model(problem, left, wanted), Manner(1.0), Effort(Budget())).answer
    assert found is not None
    return found


@pytest.mark.parametrize("seed", range(80))
def test_polish_stays_on_the_days_with_work(seed: int) -> None:
    """Of all answers at no greater cost, on the days that were moved later or, where there are none, on the same
    days, the first in the order of the pushes is taken."""
    problem = tiny(seed)
    everything = list(answers(problem))
    if not everything or problem.day_cost is None:
        assert not everything or problem.day_cost is None
        return
    start = first_answer(problem, Wanted())
    caps = {tier: cost(problem, start.days, tier) for tier in (3, 4, 5)}
    used = {d for name in workers(problem) for d in start.days.pieces[name]}
    pushes = [push for group in problem.pushes for push in group]
    by_days = [
        [
            tuple((-1 if push.late else 1) * day(problem, a.pieces, push.point) for push in pushes)
            for a in everything
            if all(cost(problem, a, tier) <= most for tier, most in caps.items())
            and {d for name in workers(problem) for d in a.pieces[name]} <= days
        ]
        for days in (later_days(problem, start.days), used)
    ]
    polished = polish(problem, start, Wanted(caps=caps), Effort(Budget()))
    assert polished.left == 0
    got = tuple((-1 if p.late else 1) * day(problem, polished.answer.days.pieces, p.point) for p in pushes)
    assert got == min(by_days[0] or by_days[1])


def test_polish_goes_line_by_line_where_all_at_once_takes_too_long(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the look at all lines finds nothing in time, each line is pushed while the others stay."""
    problem = season(3, seed=2)
    wanted = Wanted(frozenset({3, 4}))
    start = first_answer(problem, wanted)
    asked: list[Problem] = []

    def late(part: Problem, *rest: object) -> Look:
        asked.append(part)
        if len(asked) == 1:
            return Look(None, infeasible=False, settled=False, bound=0, stopped=False)
        return again(part, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(polishing, "again", late)
    nothing = Look(None, infeasible=False, settled=False, bound=0, stopped=False)
    monkeypatch.setattr(polishing, "once", lambda *_: nothing)  # nor is anything found on later days
    polished = polish(problem, start, wanted, Effort(Budget()))
    assert len(asked) == 1 + len(problem.pushes)
    assert polished.left == 0
    assert check_days(problem, polished.answer.days) == []
    assert worth(problem, polished.answer.days, 3) == worth(problem, polished.answer.days, 4) == 0
    for group in problem.pushes:
        first = group[0]
        before, after = (day(problem, a.days.pieces, first.point) for a in (start, polished.answer))
        assert after >= before if first.late else after <= before
    assert polished.answer.days != start.days


def test_lines_that_come_to_no_end_are_counted() -> None:
    """In no time nothing is pushed: the answer stays, and every line is told as unpolished."""
    problem = season(3, seed=2)
    wanted = Wanted(frozenset({3, 4}))
    start = first_answer(problem, wanted)
    left = polish(problem, start, wanted, Effort(Budget(1e-12)))
    assert left.answer == start
    assert left.left == len(problem.pushes)


def test_parts_only_ever_better_an_answer() -> None:
    """Every answer on the way costs less than the one before it, keeps all rules and all tiers before."""
    problem = season(6)
    wanted = Wanted(frozenset({3, 4}), least=DAYS)
    start = first_answer(problem, replace(wanted, least=None))
    costs = [worth(problem, start.days, DAYS)]
    for answer in better(problem, start, wanted, DAYS, Effort(Budget())):
        costs.append(worth(problem, answer.days, DAYS))
        assert check_days(problem, answer.days) == []
        assert worth(problem, answer.days, 3) == worth(problem, answer.days, 4) == 0
    assert costs == sorted(set(costs), reverse=True)
    assert costs[-1] < costs[0] / 2


def test_packing_finds_what_parts_do_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no part can be bettered any more, all works at once go on fewer of the same days."""
    problem = season(6)
    wanted = Wanted(frozenset({3, 4}), least=DAYS)
    start = best = first_answer(problem, replace(wanted, least=None))
    monkeypatch.setattr(nearby, "packed", lambda *_: iter(()))
    for answer in better(problem, start, wanted, DAYS, Effort(Budget())):
        best = answer
    on_the_way = list(packed(problem, best, wanted, Effort(Budget())))
    assert on_the_way
    for answer in on_the_way:
        assert days_with_work(problem, answer) < days_with_work(problem, best)
        assert check_days(problem, answer.days) == []
        assert worth(problem, answer.days, 3) == worth(problem, answer.days, 4) == 0
        best = answer
    monkeypatch.undo()
    *_, last = better(problem, start, wanted, DAYS, Effort(Budget()))
    assert worth(problem, last.days, DAYS) <= worth(problem, best.days, DAYS)


def days_with_work(problem: Problem, answer: Answer) -> set[int]:
    """Days on which an answer has something to do."""
    return {day for name in workers(problem) for day in answer.days.pieces[name]}
