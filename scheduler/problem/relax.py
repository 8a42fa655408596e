"""The same Problem without some of its rules, or with fewer days: the edits that a search is made of."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Set
from dataclasses import replace

from scheduler.problem.shapes import Cooker, Limit, Problem


def rules_of(problem: Problem) -> tuple[str, ...]:
    """Every rule that can be left out, each once: in the order of ``problem.rules``, then as they occur."""
    found: dict[str, None] = {}
    for work in problem.works:
        found.update(dict.fromkeys(limit.rule for limit in work.limits))
    for group in (problem.lags, problem.day_limits, problem.cookers, problem.rooms, problem.aparts):
        found.update(dict.fromkeys(item.rule for item in group))
    order = dict.fromkeys([*problem.rules, *found])
    return tuple(rule for rule in order if rule in found)


def rules_only(problem: Problem) -> Problem:
    """The Problem without its aims: any answer that keeps the rules will do."""
    return replace(problem, terms=(), day_cost=None, pushes=())


def leave_out(problem: Problem, rules: Set[str]) -> Problem:
    """The Problem without everything that carries one of these rules' names.

    Tables stay: a work cannot start on a day of which nobody knows how it ends. Without its rule a cooker
    takes any number of loads a day.
    """
    if not rules:
        return problem
    works = tuple(
        replace(work, limits=tuple(limit for limit in work.limits if limit.rule not in rules))
        for work in problem.works
    )
    return replace(
        problem,
        works=works,
        lags=tuple(lag for lag in problem.lags if lag.rule not in rules),
        day_limits=tuple(limit for limit in problem.day_limits if limit.rule not in rules),
        cookers=tuple(_endless(cooker) if cooker.rule in rules else cooker for cooker in problem.cookers),
        rooms=tuple(room for room in problem.rooms if room.rule not in rules),
        aparts=tuple(apart for apart in problem.aparts if apart.rule not in rules),
    )


def _endless(cooker: Cooker) -> Cooker:
    """A cooker that has a load for whatever it is given."""
    return replace(cooker, loads_per_day=-(-sum(cooker.shares.values()) // cooker.share) + len(cooker.shares))


def keep_to(problem: Problem, days: Mapping[str, Collection[int]]) -> Problem:
    """The Problem with some works held to the given days."""
    return replace(
        problem,
        works=tuple(
            replace(work, limits=(Limit("", frozenset(days[work.name])), *work.limits))
            if work.name in days
            else work
            for work in problem.works
        ),
    )
