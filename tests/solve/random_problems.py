"""Tiny Problems by chance, with a bit of everything, small enough to try all answers."""

from __future__ import annotations

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

HORIZON = 6


def tiny(seed: int) -> Problem:
    """Four works over seven days: two are cooked, one may be spread, one grows."""
    random = Random(seed)
    names = ["cook", "brew", "grow", "plant"]
    works = [_work(random, name) for name in names]
    lags = [
        Lag("order", Point("cook"), Point("grow"), random.choice((0, 1)), random.choice((None, 2, 4))),
        Lag(
            "ready",
            Point("grow", "ready"),
            Point("plant"),
            random.choice((None, 0, 1)),
            random.choice((None, 3)),
        ),
        Lag(
            "near",
            Point("brew"),
            Point("plant", "last"),
            random.choice((-2, 0, None)),
            random.choice((None, 3)),
        ),
    ]
    chosen = [lag for lag in lags if random.random() < 0.7]
    pots = [
        Cooker(f"pot {n}", f"pot {n}", 1, 4, {"cook": random.choice((2, 3, 5)), "brew": 2}, _classes(random))
        for n in range(random.choice((1, 1, 2)))
    ]
    minutes = {name: random.choice((1, 2, 3)) for name in names if random.random() < 0.8}
    loads = {(pot.name, kind): 2 for pot in pots for kind in ("bags", "grain")}
    capacity = {d: random.choice((3, 5, 9)) for d in range(HORIZON + 1) if random.random() < 0.9}
    stays = (
        Stay(Point("grow"), Point("grow", "ready"), random.choice((1, 2))),
        Stay(Point("cook"), Point("grow"), random.choice((1, 2))),
    )
    terms = [
        Term(
            "margin", 3, random.choice((1, 3)), random.choice((0, 2)), Point("grow", "ready"), Point("plant")
        ),
        Term("late", 4, 2, -random.choice((1, 3)), Point("plant", "last")),
        Term("early", 4, 3, random.choice((1, 4)), None, Point("cook")),
        Term("soak", 4, 4, random.choice((0, 1)), Point("plant"), Point("brew"), flat=True),
    ]
    pushes = (
        (Push(Point("grow"), True), Push(Point("cook"), random.random() < 0.5)),
        (Push(Point("plant", "last"), False), Push(Point("brew"), True)),
    )
    return Problem(
        date(2026, 1, 1),
        HORIZON,
        tuple(works),
        tuple(chosen),
        day_limits=(DayLimit("hands", "hands", capacity, minutes, loads),),
        cookers=tuple(pots) if random.random() < 0.8 else (),
        rooms=(Room("shelf", "shelf", random.choice((1, 2, 3)), stays),) if random.random() < 0.7 else (),
        aparts=(Apart("apart", frozenset({"grow"}), frozenset({"plant", "brew"})),)
        if random.random() < 0.5
        else (),
        terms=tuple(term for term in terms if random.random() < 0.7),
        day_cost=DayCost(random.choice((1, 6)), frozenset({1, 2, 5}), minutes, loads)
        if random.random() < 0.7
        else None,
        pushes=pushes,
        rules={"order": Rule("order", "lag", owner="nature"), "hands": Rule("hands", "hours")},
    )


def _work(random: Random, name: str) -> Work:
    limits = tuple(
        Limit(rule, frozenset(d for d in range(HORIZON + 1) if random.random() < 0.75))
        for rule in ("away", f"window {name}")
        if random.random() < 0.7
    )
    if name == "grow":
        days = random.choice((1, 2))
        table = {d: d + days + (d in (1, 2)) for d in range(HORIZON)}
        return Work(name, limits, {"ready": table}, {"use": {d: d for d in range(1, HORIZON)}})
    if name == "plant" and random.random() < 0.6:
        return Work(
            name,
            limits,
            pieces=random.choice((3, 4)),
            least=random.choice((1, 2, 5)),
            span=random.choice((0, 2, 3)),
        )
    return Work(name, limits)


def _classes(random: Random) -> dict[str, str]:
    return {"cook": "bags", "brew": random.choice(("bags", "grain"))}
