"""Generated seasons are always the same, take the real way, and are as roomy as their kind says."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from scheduler.checker.schedule import check_days
from scheduler.service.attempt import written
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, solve
from tests.bench import generate

DIGESTS = {
    ("comfortable", 16, 1): "7eb2a351e7a6",
    ("realistic", 4, 2): "2dbbef157ec1",
    ("crowded", 64, 3): "a33338b6689a",
}
"""First digits of the SHA-256 of the texts: measurements of different days are of the same seasons."""


@pytest.mark.parametrize(("kind", "plantings", "seed"), DIGESTS)
def test_a_season_never_changes(kind: str, plantings: int, seed: int) -> None:
    """The text depends on size, kind and seed alone, and is that of the day on which it was first measured."""
    text = generate.text(plantings, kind, seed)
    assert text == generate.text(plantings, kind, seed) != generate.text(plantings, kind, seed + 1)
    assert hashlib.sha256(text.encode()).hexdigest()[:12] == DIGESTS[kind, plantings, seed]


@pytest.mark.parametrize("kind", generate.KINDS)
@pytest.mark.parametrize("plantings", generate.SIZES)
def test_a_season_of_any_size_is_read_and_sized(kind: str, plantings: int, tmp_path: Path) -> None:
    """It has its plantings, spawn is made for each, and every work of it has its place in the Problem."""
    made = generate.compiled(generate.write(tmp_path, plantings, kind, 1))
    assert len(made.season.plantings) == plantings
    served = {name for batch in made.sizing.batches() for name in batch.plantings}
    assert served == {planting.name for planting in made.season.plantings}
    assert len(made.problem.works) >= 4 * plantings


def test_a_small_season_goes_all_the_way(tmp_path: Path) -> None:
    """What is found for it is written out, and approved by both readers."""
    made = generate.compiled(generate.write(tmp_path, 2, "realistic", 1))
    found = solve(made.problem, budget=Budget())
    assert isinstance(found, Found)
    assert check_days(made.problem, found.days) == []
    plan = written(made.season, made.catalogue, made.sizing, made.problem, found).plan
    assert [planting.name for planting in plan.plantings] == ["Planting 1", "Planting 2"]


def test_kinds_offer_less_and_less() -> None:
    """Each kind has less of everything than the one before, and more days away."""
    for more, less in zip(list(generate.KINDS.values()), list(generate.KINDS.values())[1:], strict=False):
        for what in ("vessels", "bags", "shelf_l", "fridge_l", "hours", "helpers", "weeks"):
            assert getattr(more, what) >= getattr(less, what), what
        assert more.away < less.away
