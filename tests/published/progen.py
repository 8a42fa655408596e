"""Reads a project-scheduling instance with time lags (RCPSP/max, ProGen/max format) into a Problem.

The format: a head line with the number of activities and of renewable resources; a line for each activity
with its number, its modes, how many successors it has, the successors, and a lag in brackets for each, from
start to start (a negative lag bounds the distance from above); a line for each activity with its number,
mode, duration and needs; a last line with the capacities. The first and the last activity are dummies.
"""

from __future__ import annotations

from datetime import date

from scheduler.problem.shapes import Lag, Point, Problem, Room, Stay, Term, Work


def read(text: str) -> Problem:
    """The instance as a Problem whose only aim is an early last activity."""
    lines = [line.replace("[", "").replace("]", "").split() for line in text.splitlines() if line.strip()]
    rows = [[int(part) for part in line] for line in lines]
    count, resources = rows[0][0] + 2, rows[0][1]
    network, needs, capacities = rows[1 : 1 + count], rows[1 + count : 1 + 2 * count], rows[1 + 2 * count]
    lags = [
        Lag("lag", Point(str(row[0])), Point(str(after)), least)
        for row in network
        for after, least in zip(row[3 : 3 + row[2]], row[3 + row[2] :], strict=True)
    ]
    days = {str(row[0]): row[2] for row in needs}
    horizon = sum(
        max([days[name], *(lag.least or 0 for lag in lags if lag.before.work == name)]) for name in days
    )
    works = [
        Work(name, (), {"end": {day: day + length for day in range(horizon + 1)}})
        for name, length in days.items()
    ]
    rooms = [
        Room(
            f"resource {number}",
            f"resource {number}",
            capacities[number],
            tuple(
                Stay(Point(str(row[0])), Point(str(row[0]), "end"), row[3 + number])
                for row in needs
                if row[3 + number] and row[2]
            ),
        )
        for number in range(resources)
    ]
    last = Point(str(count - 1))
    return Problem(
        date(2000, 1, 1),
        horizon,
        tuple(works),
        tuple(lags),
        rooms=tuple(rooms),
        terms=(Term("last", 4, 1, plus=last),),
    )
