"""Who stands where: nobody is lost, no station is too full, and no other split is done sooner."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.science.stations import Team, starts, team_minutes, teams, whole

ROWS = st.lists(st.tuples(st.integers(1, 600), st.sampled_from([0, 0, 1, 2])), min_size=1, max_size=4)


def split(row: list[tuple[int, int]], people: int) -> tuple[tuple[Team, ...], list[float], list[int]]:
    """The teams of a row of (minutes, limit), and the row's columns."""
    minutes, limits = [float(m) for m, _ in row], [limit for _, limit in row]
    return teams(minutes, limits, people), minutes, limits


@given(ROWS, st.integers(1, 6))
def test_every_station_has_one_team_and_everybody_a_station(row: list[tuple[int, int]], people: int) -> None:
    """Teams follow one another along the row; their people are all that are there."""
    found, minutes, _ = split(row, people)
    assert [place for team in found for place in range(team.first, team.last + 1)] == list(
        range(len(minutes))
    )
    assert sum(team.people for team in found) == people
    assert all(team.people >= 1 for team in found)


@given(ROWS, st.integers(1, 6))
def test_more_people_are_never_slower(row: list[tuple[int, int]], people: int) -> None:
    """The slowest team of more people takes no longer; and no team is faster than its stations allow."""
    few, minutes, limits = split(row, people)
    many, _, _ = split(row, people + 1)
    slowest = max(team_minutes(team, minutes, limits) for team in few)
    assert max(team_minutes(team, minutes, limits) for team in many) <= slowest + 1e-6
    assert slowest >= max((m / limit for m, limit in row if limit), default=0.0) - 1e-6
    assert slowest * people >= sum(minutes) - 1e-6


@given(ROWS, st.integers(1, 5), st.integers(1, 60))
def test_the_day_lasts_at_least_as_long_as_its_slowest_team(
    row: list[tuple[int, int]], people: int, pieces: int
) -> None:
    """And no longer than if one piece went through alone after that; the first piece comes to each station in turn."""
    found, minutes, limits = split(row, people)
    slowest = max(team_minutes(team, minutes, limits) for team in found)
    lasts = whole(found, minutes, limits, pieces)
    assert slowest - 1e-6 <= lasts <= slowest + sum(minutes) / pieces + 1e-6
    first = starts(found, minutes, limits, pieces)
    assert first == sorted(first) and first[0] == 0
    assert first[-1] <= lasts + 1e-6


def test_one_person_does_one_station_after_the_other() -> None:
    """20 logs of 5, 3.5, 2 and 1.5 minutes: drilled after 100 minutes, filled after 170, waxed after 210, done after 240."""
    minutes, limits = [100.0, 70.0, 40.0, 30.0], [1, 0, 0, 0]
    found = teams(minutes, limits, 1)
    assert found == (Team(0, 3, 1),)
    assert starts(found, minutes, limits, 20) == [0, 100, 170, 210]
    assert whole(found, minutes, limits, 20) == 240


def test_with_one_drill_the_drill_sets_the_pace() -> None:
    """However many come, 100 minutes of drilling with one drill take 100 minutes; two drills halve them."""
    minutes = [100.0, 70.0, 40.0, 30.0]
    for people in (4, 5, 8):
        found = teams(minutes, [1, 0, 0, 0], people)
        assert max(team_minutes(team, minutes, [1, 0, 0, 0]) for team in found) == 100
        assert found[0] == Team(0, 0, 1), "nobody else stands at the drill"
    five = teams(minutes, [2, 0, 0, 0], 5)
    assert five == (Team(0, 0, 2), Team(1, 3, 3))


@pytest.mark.parametrize("people", [1, 2, 3, 4])
def test_no_split_of_three_stations_is_sooner(people: int) -> None:
    """Against every way written out anew: each station with its team's number, each team with its people."""
    for minutes in product((10.0, 40.0, 90.0), repeat=3):
        limits = [1, 0, 0]
        best = max(team_minutes(team, minutes, limits) for team in teams(minutes, limits, people))
        ways = []
        for cuts in product((0, 1), repeat=2):
            of = [0, cuts[0], cuts[0] + cuts[1]]
            count = of[-1] + 1
            for hands in product(range(1, people + 1), repeat=count):
                if sum(hands) == people:
                    times = [0.0] * count
                    for place, team in enumerate(of):
                        at_once = min(hands[team], limits[place]) if limits[place] else hands[team]
                        times[team] += minutes[place] / at_once
                    ways.append(max(times))
        assert best == pytest.approx(min(ways))
