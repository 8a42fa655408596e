"""Made-up seasons of any size for tests and measurements: chains of cooking, growing and planting."""

from __future__ import annotations

import math
from datetime import date
from random import Random

from scheduler.problem.shapes import (
    Apart,
    Cooker,
    DayCost,
    DayLimit,
    Lag,
    Limit,
    Point,
    Problem,
    Push,
    Room,
    Rule,
    Stay,
    Term,
    Work,
)

HORIZON = 200


def ready_table(first: int, last: int, days: int, swing: int) -> dict[int, int]:
    """Days to grow that shrink as the room warms up; a later start never ends earlier."""
    table: dict[int, int] = {}
    ready = 0
    for start in range(first, last + 1):
        ready = max(ready, start + days + round(swing * math.cos(math.pi * start / HORIZON)))
        table[start] = ready
    return table


def season(
    plantings: int,
    *,
    seed: int = 1,
    cookers: int = 1,
    room: float = 1.0,
    late: int = 0,
    batches: int = 1,
    free: float = 0.7,
) -> Problem:
    """A season with `plantings` plantings, each with one grain and `batches` spawn batches.

    `room` scales shelf and fridge, `late` moves the season's first day into the future, `free` is the share
    of days that are not away.
    """
    random = Random(seed)
    away = frozenset(d for d in range(HORIZON + 1) if random.random() > free)
    free_days = frozenset(range(late, HORIZON + 1)) - away
    at_home = Limit("away", free_days)
    works: list[Work] = []
    lags: list[Lag] = []
    terms: list[Term] = []
    shelf: list[Stay] = []
    fridge: list[Stay] = []
    minutes: dict[str, int] = {}
    shares: dict[str, int] = {}
    classes: dict[str, str] = {}
    bench: set[str] = set()
    yard: set[str] = set()
    pushes: list[tuple[Push, ...]] = []
    equals: list[tuple[tuple[str, ...], ...]] = []

    def batch(name: str, time_class: str, share: int, days: int, swing: int, grow_minutes: int) -> None:
        cook, start = f"cook {name}", f"start {name}"
        works.append(Work(cook, (at_home,)))
        works.append(Work(start, (at_home,), {"ready": ready_table(0, HORIZON - days - swing, days, swing)}))
        lags.append(Lag("rest", Point(cook), Point(start), 1, 8))
        minutes[cook], minutes[start] = 10, grow_minutes
        shares[cook], classes[cook] = share, time_class
        bench.add(start)
        shelf.append(Stay(Point(start), Point(start, "ready"), share))

    for number in range(plantings):
        stake = 1 + random.randrange(3)
        opens = 120 + random.randrange(30)
        window = Limit(f"window {number}", frozenset(range(opens, opens + 28)))
        grain, plant = f"g{number}", f"plant {number}"
        batch(grain, "grain", random.choice((2, 3, 4)), 16, 4, 20)
        fell = f"fell {number}"
        works.append(Work(fell, (at_home, Limit("dormant", frozenset(range(80))))))
        minutes[fell] = 120
        spread = random.choice((1, 1, 20))
        works.append(
            Work(plant, (at_home, window), pieces=spread, least=5, span=14)
            if spread > 1
            else Work(plant, (at_home, window))
        )
        minutes[plant] = 9 if spread > 1 else 100
        yard |= {fell, plant}
        lags.append(Lag("drying", Point(fell), Point(plant), 28, 180))
        group = [Push(Point(fell), False)]
        spawn = [f"s{number}{chr(97 + b)}" for b in range(batches)]
        size = random.choice((3, 4, 6))
        for name in spawn:
            batch(name, "bags", size, 26, 7, 30)
            start = f"start {name}"
            lags.append(Lag("grain ready", Point(f"start {grain}", "ready"), Point(start), 0, 60))
            lags.append(Lag("spawn ready", Point(start, "ready"), Point(plant), 0, None))
            lags.append(Lag("spawn keeps", Point(start, "ready"), Point(plant, "last"), None, 90))
            fridge.append(Stay(Point(start, "ready"), Point(plant, "last"), size))
            ready, first, last = Point(start, "ready"), Point(plant), Point(plant, "last")
            terms.append(Term(f"margin {name}", 3, stake, 7, ready, first))
            terms.append(Term(f"buffer {name}", 4, 3 * stake, 14, ready, first))
            terms.append(Term(f"stale {name}", 4, 1, -45, last, ready))
            group += [Push(Point(start), True), Push(Point(f"cook {name}"), True)]
        terms.append(Term(f"early {number}", 4, 7, opens + 5, None, Point(plant)))
        terms.append(Term(f"late {number}", 4, 7, -(opens + 20), Point(plant, "last"), None))
        fridge.append(Stay(Point(f"start {grain}", "ready"), Point(f"start {spawn[-1]}"), 2))
        group += [Push(Point(f"start {grain}"), True), Push(Point(f"cook {grain}"), True)]
        pushes.append(tuple(group))
        if batches > 1:
            equals.append(tuple((f"cook {name}", f"start {name}") for name in spawn))

    weekend = {d for d in range(HORIZON + 1) if d % 7 in (5, 6)}
    hands = {d: 480 if d in weekend else 180 for d in free_days}
    pots = tuple(Cooker(f"pot {n}", f"pot {n}", 2, 12, dict(shares), dict(classes)) for n in range(cookers))
    loads = {(pot.name, kind): 60 for pot in pots for kind in ("grain", "bags")}
    home = {d: 960 if d in weekend else 400 for d in free_days}
    at_home_loads = {(p.name, k): (330 if k == "bags" else 200) for p in pots for k in ("grain", "bags")}
    rules = {"rest", "grain ready", "spawn ready", "spawn keeps", "drying", "dormant"}
    named = {name: Rule(name, "nature", owner="nature") for name in rules}
    return Problem(
        origin=date(2026, 1, 1),
        horizon=HORIZON,
        works=tuple(works),
        lags=tuple(lags),
        day_limits=(
            DayLimit("hands", "hands", hands, dict(minutes), loads),
            DayLimit("home", "home", home, {}, at_home_loads),
        ),
        cookers=pots,
        rooms=(
            Room("shelf", "shelf", max(6, round(room * 3.2 * plantings * batches)), tuple(shelf)),
            Room("fridge", "fridge", max(8, round(room * 4.5 * plantings * batches)), tuple(fridge)),
        ),
        aparts=(Apart("bench first", frozenset(bench), frozenset(yard)),),
        terms=tuple(terms),
        day_cost=DayCost(60, frozenset(free_days - weekend), minutes, loads),
        pushes=tuple(pushes),
        equals=tuple(equals),
        rules=named,
    )
