"""The golden tiny season that everybody knows by name: one raft, one batch of spawn, a week at a time.

Day 0 is a Thursday. Spawn is cooked one day, started one to three days later, grows eight days (nine when
started on day 3 or later), and is planted between days 12 and 20 on one or two days.
"""

from __future__ import annotations

from datetime import date

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

HORIZON = 22
AWAY = frozenset({4, 15})
DAYS = frozenset(range(HORIZON + 1))


def golden(*, shelf: int = 4, margin: int = 2, window: range = range(12, 21)) -> Problem:
    """The golden season; `shelf` is its room, `margin` the days wished between ready and planting."""
    away = Limit("away", DAYS - AWAY)
    table = {day: day + 8 + (day >= 3) for day in range(14)}
    minutes = {"cook": 30, "start": 40, "plant": 20, "fell": 60}
    return Problem(
        date(2026, 1, 1),
        HORIZON,
        (
            Work("cook", (away,)),
            Work("start", (away,), {"ready": table}),
            Work("fell", (away, Limit("dormant", frozenset(range(9))))),
            Work("plant", (away, Limit("window", frozenset(window))), pieces=6, least=2, span=3),
        ),
        (
            Lag("rest", Point("cook"), Point("start"), 1, 3),
            Lag("ripe", Point("start", "ready"), Point("plant"), 0, None),
            Lag("keeps", Point("start", "ready"), Point("plant", "last"), None, 9),
            Lag("drying", Point("fell"), Point("plant"), 7, None),
        ),
        (DayLimit("hands", "hands", dict.fromkeys(DAYS - AWAY, 90), minutes, {("pot", "bags"): 45}),),
        (Cooker("pot", "pot", 1, 6, {"cook": 5}, {"cook": "bags"}),),
        (Room("shelf", "shelf", shelf, (Stay(Point("start"), Point("plant", "last"), 4),)),),
        (Apart("bench first", frozenset({"start"}), frozenset({"fell", "plant"})),),
        (
            Term("margin", 3, 5, margin, Point("start", "ready"), Point("plant")),
            Term("late", 4, 7, -16, Point("plant", "last")),
        ),
        DayCost(60, frozenset({0, 1, 5, 6, 7, 8}), minutes, {("pot", "bags"): 45}),
        ((Push(Point("start"), True), Push(Point("cook"), True), Push(Point("fell"), False)),),
        rules={
            name: Rule(name, "rule", owner=owner)
            for name, owner in (
                ("away", "grower"),
                ("window", "grower"),
                ("hands", "grower"),
                ("shelf", "grower"),
                ("pot", "grower"),
                ("rest", "nature"),
                ("ripe", "nature"),
                ("keeps", "nature"),
                ("drying", "nature"),
                ("dormant", "nature"),
                ("bench first", "nature"),
            )
        },
    )
