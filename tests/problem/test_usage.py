"""Where one work could lie with all others fixed, against trying every day and asking the checker."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date
from random import Random

import pytest

from scheduler.checker.schedule import check_days
from scheduler.checker.works import day_of
from scheduler.problem.justify import right_justify
from scheduler.problem.shapes import (
    Apart,
    Cooker,
    DayCost,
    DayLimit,
    Days,
    Lag,
    Limit,
    Point,
    Problem,
    Room,
    Stay,
    Work,
)
from scheduler.problem.ties import Ties
from scheduler.problem.usage import Usage

LAST = 9
"""Last day of the small problems."""

SEEDS = range(150)
CLASSES = ("grain", "bags")


# --- small problems ------------------------------------------------------------------------------------------


def loads_of(
    problem: Problem, pieces: dict[str, dict[int, int]], cooker: dict[str, str]
) -> dict[tuple[int, str, str], int]:
    """As many loads as what is cooked on each day takes."""
    shares: Counter[tuple[int, str, str]] = Counter()
    for vessel in problem.cookers:
        for work, name in cooker.items():
            if name == vessel.name:
                shares[min(pieces[work]), name, vessel.classes[work]] += vessel.shares[work]
    full = {vessel.name: vessel.share for vessel in problem.cookers}
    return {key: -(-amount // full[key[1]]) for key, amount in shares.items()}


def marks_of(problem: Problem) -> list[str]:
    """Works that are only the end of a span: they lie where the works before them put them."""
    return [work.name for work in problem.works if work.name.startswith("mark")]


def settled(problem: Problem, pieces: dict[str, dict[int, int]], cooker: dict[str, str]) -> Days:
    """The answer with these days: marks follow what comes before them, loads what is cooked."""
    pieces = dict(pieces)
    for mark in marks_of(problem):
        ends = [day_of(problem, Days(pieces), lag.before) for lag in problem.lags if lag.after.work == mark]
        pieces[mark] = {max((end for end in ends if end is not None), default=0): 1}
    return Days(pieces, cooker, loads_of(problem, pieces, cooker))


class Made:
    """A small problem made around an answer that may stand, with a little room to move."""

    def __init__(self, seed: int) -> None:
        self.random = random = Random(seed)
        names = [f"w{number}" for number in range(random.randint(3, 6))]
        self.pieces: dict[str, dict[int, int]] = {}
        works = [self._work(name) for name in names]
        self.cooked = {
            name: random.choice(("pot", "oven")) for name in random.sample(names, random.randint(0, 3))
        }
        self.cooked = {name: pot for name, pot in self.cooked.items() if len(self.pieces[name]) == 1}
        bare = Problem(date(2027, 1, 1), LAST, tuple(works))
        self.points = [
            Point(work.name, at)
            for work in works
            for at in ("first", "last", *work.tables, *work.last_tables)
        ]
        lags = [self._lag(bare, n) for n in range(random.randint(0, 5))]
        marks = [Work(f"mark{n}", ()) for n in range(random.randint(0, 2))]
        for mark in marks:
            lags += [
                Lag("keep", point, Point(mark.name), 0)
                for point in random.sample(self.points, random.randint(1, 4))
            ]
        problem = replace(
            bare,
            works=(*works, *marks),
            lags=tuple(lags),
            cookers=(self._pot("pot"), self._pot("oven")) if self.cooked else (),
            aparts=self._aparts(names),
        )
        days = settled(problem, self.pieces, self.cooked)
        self.problem = replace(
            problem,
            cookers=tuple(self._loads(vessel, days) for vessel in problem.cookers),
            day_limits=tuple(self._limit(problem, days, n) for n in range(random.randint(0, 2))),
            rooms=tuple(self._room(problem, days, n) for n in range(random.randint(0, 2))),
        )
        self.days = settled(self.problem, self.pieces, self.cooked)

    def _work(self, name: str) -> Work:
        random = self.random
        pieces = random.choice((1, 1, 1, 4))
        on = random.randint(0, LAST - 2)
        spread = (
            {on: pieces} if pieces == 1 else random.choice(({on: 4}, {on: 2, on + 1: 2}, {on: 2, on + 2: 2}))
        )
        if pieces == 4 and random.random() < 0.3:
            spread = {on: 1, on + 1: 1, on + 2: 2}
        self.pieces[name] = spread
        days = frozenset(d for d in range(LAST + 1) if random.random() < 0.8) | set(self.pieces[name])
        last = max(self.pieces[name])
        ready = {d: d + random.randint(0, 4) for d in range(LAST + 1) if random.random() < 0.9}
        until = {d: d + random.randint(0, 2) for d in range(LAST + 1) if random.random() < 0.9}
        ready[on], until[last] = min(LAST, on + 2), min(LAST, last + 1)
        return Work(
            name,
            (Limit(f"days of {name}", days),),
            {"ready": ready} if random.random() < 0.5 else {},
            {"until": until} if random.random() < 0.3 else {},
            pieces=pieces,
            least=random.randint(1, min(2, *spread.values())) if pieces > 1 else 1,
            span=3 if pieces > 1 else 0,
        )

    def _at(self, problem: Problem, point: Point) -> int:
        return problem.work(point.work).moment(point.at, self.pieces[point.work])

    def _lag(self, problem: Problem, number: int) -> Lag:
        random = self.random
        before, after = random.sample(self.points, 2)
        gap = self._at(problem, after) - self._at(problem, before)
        least = gap - random.randint(0, 3) if random.random() < 0.8 else None
        return Lag(
            f"lag {number}",
            before,
            after,
            least,
            gap + random.randint(0, 3) if random.random() < 0.5 else None,
        )

    def _pot(self, name: str) -> Cooker:
        shares = {work: self.random.choice((2, 3, 6)) for work in self.cooked}
        classes = {work: CLASSES[int(work[1:]) % 2] for work in self.cooked}
        return Cooker(name, name, 1, 6, shares, classes)

    def _loads(self, vessel: Cooker, days: Days) -> Cooker:
        a_day: Counter[int] = Counter()
        for (day, name, _), count in days.loads.items():
            a_day[day] += count if name == vessel.name else 0
        return replace(vessel, loads_per_day=max(1, *a_day.values()) if a_day else 1)

    def _limit(self, problem: Problem, days: Days, number: int) -> DayLimit:
        random = self.random
        each = {name: random.randint(1, 5) for name in self.pieces if random.random() < 0.7}
        loads = {
            (v.name, c): random.randint(1, 4)
            for v in problem.cookers
            for c in CLASSES
            if random.random() < 0.7
        }
        taken: Counter[int] = Counter()
        for name, minutes in each.items():
            for day, pieces in days.pieces[name].items():
                taken[day] += minutes * pieces
        for (day, pot, time_class), count in days.loads.items():
            taken[day] += count * loads.get((pot, time_class), 0)
        capacity = {d: max(taken[d], random.choice((0, 3, 6, 20))) for d in range(LAST + 1)}
        return DayLimit(f"limit {number}", f"limit {number}", capacity, each, loads)

    def _room(self, problem: Problem, days: Days, number: int) -> Room:
        random = self.random
        ends = [*self.points, *(Point(mark) for mark in marks_of(problem) for _ in self.points)]
        stays = []
        held: Counter[int] = Counter()
        for _ in range(random.randint(2, 5)):
            start, end = random.choice(self.points), random.choice(ends)
            first, last = days.at(problem, start), days.at(problem, end)
            if first <= last:
                stays.append(Stay(start, end, random.randint(1, 4)))
                held.update(dict.fromkeys(range(first, last), stays[-1].amount))
        return Room(
            f"room {number}",
            f"room {number}",
            max(held.values(), default=0) + random.choice((0, 0, 1)),
            tuple(stays),
        )

    def _aparts(self, names: list[str]) -> tuple[Apart, ...]:
        left, right = self.random.sample(names, 2)
        if set(self.pieces[left]) & set(self.pieces[right]) or self.random.random() < 0.5:
            return ()
        return (Apart("apart", frozenset({left}), frozenset({right})),)

    def may_stand(self, moved: dict[str, dict[int, int]]) -> bool:
        """Whether an answer with these days breaks no rule."""
        return not check_days(self.problem, settled(self.problem, moved, self.cooked))

    def moved(self, pieces: dict[str, dict[int, int]], name: str, day: int) -> dict[str, dict[int, int]]:
        """The same days with all of one work on another day."""
        return {**pieces, name: {day: self.problem.work(name).pieces}}

    def part_moved(self, name: str, part: int, day: int) -> dict[str, dict[int, int]]:
        """The same days with what is done of one work on one of its days moved to another."""
        rest = dict(self.pieces[name])
        pieces = rest.pop(part)
        return {**self.pieces, name: {**rest, day: rest.get(day, 0) + pieces}}

    def latest(self, pieces: dict[str, dict[int, int]], name: str, first: int) -> int | None:
        """Latest day from `first` on for one work, by trying each."""
        good = [day for day in range(first, LAST + 1) if self.may_stand(self.moved(pieces, name, day))]
        return max(good, default=None)


@pytest.mark.parametrize("seed", SEEDS)
def test_small_problems_may_stand(seed: int) -> None:
    """What the other tests build upon: the answer that a problem was made around breaks no rule of it."""
    made = Made(seed)
    assert check_days(made.problem, made.days) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_fits_says_what_the_checker_says(seed: int) -> None:
    """For every work and every day: it fits exactly where moving it there alone breaks no rule."""
    made = Made(seed)
    usage = Usage(made.problem, made.days)
    for name in made.pieces:
        on = usage.take(name)
        found = {day for day in range(LAST + 1) if usage.fits(name, day)}
        usage.put_back(name, on)
        expected = {day for day in range(LAST + 1) if made.may_stand(made.moved(made.pieces, name, day))}
        assert found == expected, name


@pytest.mark.parametrize("seed", SEEDS)
def test_slip_is_the_latest_day_that_may_stand(seed: int) -> None:
    """Later than now, with all others fixed; works on several days do not slip as a whole."""
    made = Made(seed)
    usage = Usage(made.problem, made.days)
    for name, on in made.pieces.items():
        expected = made.latest(made.pieces, name, min(on) + 1) if len(on) == 1 else None
        assert usage.slip(name) == expected, name


@pytest.mark.parametrize("seed", SEEDS)
def test_a_part_slips_to_the_latest_day_that_may_stand(seed: int) -> None:
    """The other parts and all other works stay, and afterwards everything is as it was."""
    made = Made(seed)
    usage = Usage(made.problem, made.days)
    for name, on in made.pieces.items():
        for part in on:
            later = range(part + 1, LAST + 1)
            good = [day for day in later if made.may_stand(made.part_moved(name, part, day))]
            assert usage.slip_part(name, part) == max(good, default=None), (name, part)
    assert [usage.slip(name) for name in made.pieces] == [
        Usage(made.problem, made.days).slip(name) for name in made.pieces
    ]


@pytest.mark.parametrize("seed", SEEDS)
def test_right_justified_works_lie_as_late_as_they_can_in_turn(seed: int) -> None:
    """One after the other, round by round until none can move later; the plan is left as it was."""
    made = Made(seed)
    names = made.random.sample(sorted(made.pieces), made.random.randint(1, len(made.pieces)))
    usage = Usage(made.problem, made.days)
    pieces = dict(made.pieces)
    moved = True
    while moved:
        moved = False
        for name in names:
            far = made.latest(pieces, name, min(pieces[name]) + 1) if len(pieces[name]) == 1 else None
            if far is not None:
                pieces, moved = made.moved(pieces, name, far), True
    before = usage.all_loads()
    assert right_justify(usage, [[name] for name in names]) == {name: min(pieces[name]) for name in names}
    assert made.may_stand(pieces)
    assert {name: usage.day(name) for name in made.pieces} == {
        name: min(on) for name, on in made.pieces.items()
    }
    assert usage.all_loads() == before == dict(sorted(made.days.loads.items()))


@pytest.mark.parametrize("seed", range(0, 150, 5))
def test_taking_and_putting_back_leaves_no_trace(seed: int) -> None:
    """However works are taken out and put back, everything fits where it did."""
    made = Made(seed)
    touched, untouched = Usage(made.problem, made.days), Usage(made.problem, made.days)
    for name in made.random.choices(sorted(made.pieces), k=8):
        on = touched.take(name)
        touched.latest(name, not_before=0, not_after=LAST)
        touched.put_back(name, on)
    assert [touched.slip(name) for name in made.pieces] == [untouched.slip(name) for name in made.pieces]
    assert [touched.loads(day) for day in range(LAST + 1)] == [
        untouched.loads(day) for day in range(LAST + 1)
    ]


def test_the_small_problems_are_worth_trying() -> None:
    """Among them are moves that fit and moves that do not, for every reason there is."""
    reasons: Counter[str] = Counter()
    for seed in SEEDS:
        made = Made(seed)
        for name in made.pieces:
            for day in range(LAST + 1):
                days = settled(made.problem, made.moved(made.pieces, name, day), made.cooked)
                broken = {
                    violation.rule.rstrip(" 0123456789") for violation in check_days(made.problem, days)
                }
                reasons.update(broken or {"fits"})
    seen = {"fits", "lag", "limit", "room", "apart", "pot", "oven", "growth", "horizon"}
    assert all(reasons[reason] >= 20 for reason in seen), reasons


def test_the_parts_are_worth_trying() -> None:
    """Among the moves of parts are those that join another part, pass one, or are held by each kind of rule."""
    seen: Counter[str] = Counter()
    for seed in SEEDS:
        made = Made(seed)
        for name, on in made.pieces.items():
            for part in on if len(on) > 1 else ():
                for day in range(part + 1, LAST + 1):
                    days = settled(made.problem, made.part_moved(name, part, day), made.cooked)
                    broken = {v.rule.rstrip(" 0123456789") for v in check_days(made.problem, days)}
                    seen.update(broken or {"joins" if day in on else "passes" if day < max(on) else "fits"})
    expected = {"fits", "joins", "passes", "span", "lag", "limit", "room", "growth", "apart"}
    assert all(seen[what] >= 5 for what in expected), seen


# --- by hand -------------------------------------------------------------------------------------------------


def test_latest_looks_within_its_bounds() -> None:
    """Not before and not after the days that are asked for, None where none of them is good."""
    work = Work("a", (Limit("days", frozenset({2, 5, 8})),))
    usage = Usage(Problem(date(2027, 1, 1), 9, (work,)), Days({"a": {2: 1}}))
    usage.take("a")
    assert usage.latest("a", not_before=0, not_after=9) == 8
    assert usage.latest("a", not_before=0, not_after=7) == 5
    assert usage.latest("a", not_before=6, not_after=7) is None
    assert usage.day("a") is None
    usage.put("a", 5)
    assert usage.day("a") == 5


def test_what_is_left_of_a_room() -> None:
    """Its capacity less what stands there that day; the day on which a stay ends is free again."""
    stay = Stay(Point("a"), Point("b"), 3)
    problem = Problem(
        date(2027, 1, 1), 9, (Work("a", ()), Work("b", ())), rooms=(Room("shelf", "shelf", 5, (stay,)),)
    )
    usage = Usage(problem, Days({"a": {2: 1}, "b": {4: 1}}))
    assert [usage.left("shelf", day) for day in range(1, 6)] == [5, 2, 2, 5, 5]
    with pytest.raises(KeyError):
        usage.left("cellar", 1)


def test_a_day_whose_table_ends_beyond_the_last_day_does_not_fit() -> None:
    """What would be ready after the last day there is cannot be judged."""
    work = Work("a", (), {"ready": {1: 4, 2: 12}})
    usage = Usage(Problem(date(2027, 1, 1), 9, (work,)), Days({"a": {1: 1}}))
    usage.take("a")
    assert Ties(usage.problem).allowed("a") == {1}
    assert not usage.fits("a", 2)


def test_a_day_has_work_where_something_takes_time() -> None:
    """Works that cost minutes and loads count; the day on which an order comes does not."""
    works = (Work("a", ()), Work("cooked", ()), Work("there", ()))
    pot = Cooker("pot", "pot", 1, 1, {"cooked": 1}, {"cooked": "bags"})
    problem = Problem(
        date(2027, 1, 1), 9, works, cookers=(pot,), day_cost=DayCost(60, frozenset(), {"a": 10})
    )
    usage = Usage(problem, Days({"a": {1: 1}, "cooked": {2: 1}, "there": {3: 1}}, {"cooked": "pot"}))
    assert [usage.has_work(day) for day in range(5)] == [False, True, True, False, False]
    assert usage.loads(2) == {("pot", "bags"): 1}
    assert usage.all_loads() == {(2, "pot", "bags"): 1}
