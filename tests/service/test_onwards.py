"""Ways to go on: nothing is called impossible before every way was refused, and each of them twice."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from scheduler.service import onwards, recording, replanning, seasons
from tests.february import AT, TOO_LATE, begun, lost

FEBRUARY = date(2027, 2, 4)


def asked(today: date) -> replanning.Asked:
    """A replan on a day."""
    return replanning.Asked(seasons.Clock(today, "UTC"), today, undone=True)


@pytest.fixture
def refused(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """Problems for which a replan found nothing."""
    found: list[Any] = []
    real = onwards.replan

    def noting(problem: Any, *words: Any, **more: Any) -> Any:
        kept = real(problem, *words, **more)
        if kept is None:
            found.append(problem)
        return kept

    monkeypatch.setattr(onwards, "replan", noting)
    return found


def looks(monkeypatch: pytest.MonkeyPatch, says: Callable[[int], bool]) -> list[Any]:
    """Problems that are looked at again; what comes of the look is told by its number."""
    seen: list[Any] = []

    def again(problem: Any, **_: Any) -> bool:
        seen.append(problem)
        return says(len(seen))

    monkeypatch.setattr(onwards, "impossible", again)
    return seen


def test_every_way_is_looked_at_twice(
    tmp_path: Path, refused: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A season is surely impossible where each of its ways is."""
    seen = looks(monkeypatch, lambda number: True)
    with pytest.raises(replanning.Impossible) as caught:
        replanning.replan(lost(tmp_path), asked(date.fromisoformat(TOO_LATE)), kept_at=AT)
    assert caught.value.plan.confirmed
    assert len(refused) > 1
    assert seen == refused


def test_one_way_that_may_fit_leaves_it_open(
    tmp_path: Path, refused: list[Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the second look at one of the ways did not come to an end, that is said."""
    looks(monkeypatch, lambda number: number == 1)
    with pytest.raises(replanning.Impossible) as caught:
        replanning.replan(lost(tmp_path), asked(date.fromisoformat(TOO_LATE)), kept_at=AT)
    assert len(refused) > 1
    assert not caught.value.plan.confirmed


def test_a_way_that_was_passed_over_is_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody is told that it cannot be, so it needs no second look."""
    season = begun(tmp_path)
    words = ["lost", "SHI-G1a"]
    recording.record(season, words, clock=FEBRUARY, today=FEBRUARY, on=None, force=False, at=AT)
    seen = looks(monkeypatch, lambda number: True)
    real, asked_for = onwards.replan, list[Any]()

    def first_in_vain(problem: Any, *words: Any, **more: Any) -> Any:
        asked_for.append(problem)
        return None if len(asked_for) == 1 else real(problem, *words, **more)

    monkeypatch.setattr(onwards, "replan", first_in_vain)
    assert replanning.replan(season, asked(FEBRUARY), kept_at=AT).plan.status == "planned"
    assert len(asked_for) == 2
    assert seen == []
