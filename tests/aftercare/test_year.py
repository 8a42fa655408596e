"""The eight parts of the year: they tile it, and the south has them half a year later."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.aftercare.year import ONE_DAY, part_of, parts, spans
from scheduler.trade.species import PartOfYear

DAYS = st.dates(date(1990, 1, 1), date(2090, 1, 1))
LATITUDES = st.sampled_from([51.0, 0.0, None, -38.0])


@pytest.mark.parametrize(
    ("day", "latitude", "part"),
    [
        (date(2027, 3, 1), 50.0, "early spring"),
        (date(2027, 4, 15), 50.0, "early spring"),
        (date(2027, 4, 16), 50.0, "late spring"),
        (date(2028, 2, 29), 50.0, "late winter"),
        (date(2027, 1, 1), None, "early winter"),
        (date(2027, 3, 1), -38.0, "early autumn"),
        (date(2027, 9, 1), -38.0, "early spring"),
        (date(2027, 12, 31), -38.0, "early summer"),
        (date(2027, 2, 28), -38.0, "late summer"),
    ],
)
def test_days_lie_in_their_part(day: date, latitude: float | None, part: str) -> None:
    """Spring begins with March in the north and with September in the south (meteorological seasons)."""
    assert part_of(day, latitude) == part


@given(DAYS, LATITUDES)
def test_parts_tile_three_years(first: date, latitude: float | None) -> None:
    """No day lies in none or in two, each part comes eight parts after itself and lasts six to seven weeks."""
    found = list(parts(first, first + timedelta(days=3 * 365), latitude))
    for (_, one), (_, other) in pairwise(found):
        assert one[1] + ONE_DAY == other[0]
    assert found[0][1][0] <= first <= found[0][1][1]
    assert {part for part, _ in found} == set(get_args(PartOfYear))
    assert all(one == other for (one, _), (other, _) in zip(found, found[8:], strict=False))
    assert all(43 <= (end - begin).days + 1 <= 47 for _, (begin, end) in found)


@given(DAYS, st.integers(0, 1500), st.sets(st.sampled_from(get_args(PartOfYear))), LATITUDES)
def test_spans_hold_the_wanted_days_and_no_others(
    first: date, length: int, wanted: set[PartOfYear], latitude: float | None
) -> None:
    """A day lies in a span just when its part is wanted; spans do not touch."""
    last = first + timedelta(days=length)
    found = spans(wanted, first, last, latitude)
    for (_, end), (begin, _) in pairwise(found):
        assert end + ONE_DAY < begin
    for offset in range(0, length + 1, 5):
        day = first + timedelta(days=offset)
        assert any(begin <= day <= end for begin, end in found) == (part_of(day, latitude) in wanted)
