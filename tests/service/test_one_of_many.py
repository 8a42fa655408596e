"""One season of many: it travels without its files, and whatever goes wrong with it is an answer."""

from __future__ import annotations

import pickle
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from scheduler.errors import SolverDisagreement
from scheduler.service import planning, seasons
from scheduler.service.one_of_many import Job, installed, plan_one
from tests.command import example

CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")


def job(name: str, folder: Path) -> Job:
    """An example as it is handed out, its folder gone since."""
    place = example(name, folder)
    season, _ = seasons.read(place, CLOCK, None)
    shutil.rmtree(place)
    sent: Job = pickle.loads(pickle.dumps(Job(season, installed(), whole=True)))
    return sent


@pytest.mark.parametrize("name", ["maritime", "second-spring"])
def test_a_season_needs_no_file_where_it_is_planned(name: str, tmp_path: Path) -> None:
    """Weather and what stands have gone into it; the plan is the one that is made beside the files."""
    season, catalogue = seasons.read(example(name, tmp_path / "kept"), CLOCK, None)
    expected = planning.make_season(season, catalogue)
    answer = pickle.loads(pickle.dumps(plan_one(job(name, tmp_path))))
    assert answer.made == expected
    assert answer.result.verdict == "planned"
    assert answer.result.seconds > 0


def test_another_installation_plans_nothing(tmp_path: Path) -> None:
    """It says what it has, and what is asked for."""
    sent = replace(job("backyard", tmp_path), installed="budswell 9.9.9")
    result = plan_one(sent).result
    assert result.verdict == "failed"
    assert installed() in result.reason
    assert "budswell 9.9.9 is asked for" in result.reason
    assert sent.inputs() != replace(sent, installed=installed()).inputs()


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (LookupError("no such jar"), "a bug of ours: LookupError: no such jar"),
        (SolverDisagreement("two looks", ["one: this"]), "two looks: one: this"),
        (MemoryError(), "a bug of ours: MemoryError: "),
    ],
)
def test_a_bug_of_ours_fails_its_season_alone(
    error: Exception, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is an answer like any other, with the season's wish in it."""

    def broken(*_: object) -> None:
        raise error

    monkeypatch.setattr(planning, "make_season", broken)
    answer = plan_one(job("backyard", tmp_path))
    assert (answer.result.verdict, answer.result.reason) == ("failed", said)
    assert answer.result.wished == 0.9
    assert answer.made is None
