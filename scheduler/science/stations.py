"""Who stands where when many pieces go through a row of stations, and how long that takes.

Neighbouring stations may share a team. With one team the stations follow one another, each for all pieces;
with several they work side by side, and the slowest team sets the pace.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations


@dataclass(frozen=True)
class Team:
    """So many people at the stations from `first` to `last`, counted from 0."""

    first: int
    last: int
    people: int


def teams(minutes: Sequence[float], limits: Sequence[int], people: int) -> tuple[Team, ...]:
    """The split of some people among stations that is done soonest.

    `minutes` are those of one person for all pieces at each station, `limits` how many can work there at once
    (0: no limit). The longest time of a team counts first, then the next longest; so nobody stands beside a
    station that is full while another could do with a hand. Every way is tried: stations and people are few.
    """

    def worth(split: tuple[Team, ...]) -> tuple[list[float], int]:
        times = sorted((round(team_minutes(team, minutes, limits), 6) for team in split), reverse=True)
        return times, len(split)

    return min(_splits(len(minutes), people), key=worth)


def team_minutes(team: Team, minutes: Sequence[float], limits: Sequence[int]) -> float:
    """How long a team takes for all pieces at its stations, none of which holds more people than it can."""
    return sum(
        minutes[place] / _at_once(team.people, limits[place]) for place in range(team.first, team.last + 1)
    )


def starts(
    split: Sequence[Team], minutes: Sequence[float], limits: Sequence[int], pieces: int
) -> list[float]:
    """Minutes after which the first piece comes to each station."""
    found, clock = [], 0.0
    for place, work in enumerate(minutes):
        found.append(clock)
        if len(split) == 1:
            clock += work / _at_once(split[0].people, limits[place])
        else:
            clock += work / pieces
    return found


def whole(split: Sequence[Team], minutes: Sequence[float], limits: Sequence[int], pieces: int) -> float:
    """Minutes until the last piece is through: the slowest team's, and one piece's way past the others."""
    times = [team_minutes(team, minutes, limits) for team in split]
    slowest = times.index(max(times))
    others = sum(
        minutes[place] / pieces
        for number, team in enumerate(split)
        if number != slowest
        for place in range(team.first, team.last + 1)
    )
    return times[slowest] + others


def _at_once(people: int, limit: int) -> int:
    return min(people, limit) if limit else people


def _splits(stations: int, people: int) -> Iterator[tuple[Team, ...]]:
    """Every way to cut the row into teams and to give each at least one person."""
    for count in range(1, min(stations, people) + 1):
        for cuts in combinations(range(1, stations), count - 1):
            ends = (*cuts, stations)
            for shares in combinations(range(1, people), count - 1):
                heads = (*shares, people)
                yield tuple(
                    Team(begin, end - 1, head - before)
                    for begin, end, before, head in zip((0, *cuts), ends, (0, *shares), heads, strict=True)
                )
