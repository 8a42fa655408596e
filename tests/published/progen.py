"""Reads a project-scheduling instance with time lags (RCPSP/max, ProGen/max format) into a Problem.

The format: a head line with the number of activities and of renewable resources; a line for each activity
with its number, its modes, how many successors it has, the successors, and a lag in brackets for each, from
start to start (a negative lag bounds the distance from above); a line for each activity with its number,
mode, duration and needs; a last line with the capacities. The first and the last activity are dummies.
"""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path
from typing import NamedTuple

from scheduler.problem.shapes import Lag, Point, Problem, Room, Stay, Term, Work

FOLDER = Path(__file__).parents[3] / "shared" / "instances"
"""Where the sets lie beside the repository; they carry no licence and are no part of it."""


class Instance(NamedTuple):
    """A published instance: its set, its file, and the optimum that is printed for it."""

    folder: str
    name: str
    printed: str


def published(folder: Path = FOLDER) -> list[Instance]:
    """Every instance of the sets in a folder, each set a folder of its own with its `optimum.csv`."""
    return [
        Instance(answers.parent.name, row["problem"], row["optimum"])
        for answers in sorted(folder.glob("*/optimum.csv"))
        for row in csv.DictReader(answers.read_text(encoding="utf-8").splitlines())
    ]


def agrees(printed: str, value: int | None, bound: int, proved: bool) -> bool:
    """Whether an answer is that of the set: of value None there is none, and where a range is printed any in it.

    An answer that is not proved agrees as long as the printed one may lie between its bound and its value.
    """
    if printed == "unsat" or value is None:
        return value is None and (printed == "unsat" or not proved)
    low, _, high = printed.partition("..")
    return int(low) <= value and bound <= int(high or low) and not (proved and value > int(high or low))


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
