"""What the bench reckons from times and plans: growth, gaps, proofs, and the middle of a few rounds."""

from __future__ import annotations

import sys
from functools import partial
from pathlib import Path

import pytest

from scheduler.problem.relax import rules_only
from tests.bench import generate, instances, scaling
from tests.bench.processes import Timed, rounds
from tests.bench.table import Run
from tests.bench.watched import gaps, proved_s, watched
from tests.published.progen import agrees, published, read
from tests.published.test_instances import BY_HAND


@pytest.mark.parametrize("power", [0.5, 1.0, 1.5, 2.0])
def test_the_exponent_of_a_power_is_found(power: float) -> None:
    """Times that grow with a power of the size have that exponent, whatever the unit."""
    sizes = generate.SIZES
    assert scaling.exponent(sizes, [0.03 * size**power for size in sizes]) == pytest.approx(power, abs=0.01)


def test_the_exponent_of_measured_points() -> None:
    """The slope of least squares by hand: logarithms to base two of (1, 2, 4) over (0, 1, 2) give slope 3/2."""
    assert scaling.exponent([1, 2, 4], [1, 8, 8]) == pytest.approx(1.5)
    assert scaling.exponent([4], [1.0]) is None


def test_a_watched_search_tells_when(tmp_path: Path) -> None:
    """The first plan is there before the end, tiers that the ideal meets are proved with it, and no gap is left."""
    problem = generate.compiled(generate.write(tmp_path, 1, "realistic", 1)).problem
    seen = watched(problem, 60)
    assert seen.found is not None and seen.first_s is not None
    proofs = proved_s(seen)
    assert proofs["margin"] == proofs["risk"] == seen.first_s < proofs["days"] <= seen.took_s
    assert gaps(problem, seen.found) == {"margin": 0, "risk": 0, "days": 0}


def test_a_watched_search_ends_in_time(tmp_path: Path) -> None:
    """With no time at all nothing is found; what is stopped later has a plan and says what is open."""
    problem = generate.compiled(generate.write(tmp_path, 4, "realistic", 1)).problem
    none = watched(problem, 0)
    assert (none.found, none.verdict) == (None, "not found")
    assert watched(rules_only(problem), 60).first_s is not None


def test_a_refused_season_is_told_apart(tmp_path: Path) -> None:
    """A season that fits no plan is refused, not merely not found."""
    cells = scaling.row(generate.write(tmp_path, 2, "crowded", 1), 60)
    assert cells["open_long"] == cells["open_short"] == "refused"
    assert cells["first_s"] is None


def test_a_season_is_measured_in_a_process_of_its_own(tmp_path: Path) -> None:
    """The row comes back with its memory, which is more than the solver's import takes and less than a giga."""
    cells = scaling.planned(generate.write(tmp_path, 1, "realistic", 1), 60)
    assert cells["open_long"] == "0 0 0"
    assert isinstance(cells["mb"], float) and 50 < cells["mb"] < 1000
    assert isinstance(cells["first_s"], float)


def test_rounds_run_every_process_in_turn(tmp_path: Path) -> None:
    """Each process runs once a round after what goes before it, and the first round does not count."""
    file = tmp_path / "log"

    def write(what: str) -> None:
        with file.open("a", encoding="utf-8") as log:
            log.write(what)

    commands = {
        (name, ""): Timed(
            [sys.executable, "-c", f"with open({str(file)!r}, 'a') as log: log.write({name!r})"],
            partial(write, "."),
        )
        for name in ("a", "b")
    }
    took = rounds(commands, 2)
    assert set(took) == {("a", ""), ("b", "")} and all(seconds > 0 for seconds in took.values())
    assert file.read_text() == ".a.b" * 3


def test_instances_of_any_folder_are_compared(tmp_path: Path) -> None:
    """Three ways answer each instance, and all of them are right."""
    folder = tmp_path / "sets" / "own"
    folder.mkdir(parents=True)
    rows = "".join(f"{name},{printed}\n" for name, (_, printed) in BY_HAND.items())
    (folder / "optimum.csv").write_text(f"problem,optimum\n{rows}")
    for name, (text, _) in BY_HAND.items():
        (folder / name).write_text(text)
    assert [one.name for one in published(tmp_path / "sets")] == list(BY_HAND)
    found = instances.measure(Run(tmp_path, tmp_path / "sets"))
    assert {name: cells["right"] for name, cells in found.items()} == {
        f"{group}, 2: {way}": 2 for group in ("own", "all") for way in instances.WAYS
    }
    assert found["all, 2: bare"]["of_bare"] == 1.0


def test_no_instances_no_rows(tmp_path: Path) -> None:
    """Where no set is at hand the table is empty, and nothing fails."""
    assert instances.measure(Run(tmp_path, tmp_path)) == {}


def test_a_wrong_answer_would_be_seen() -> None:
    """Answers agree with a printed optimum, with a range, or with there being none, and with nothing else."""
    assert agrees("9", 9, 9, True) and not agrees("9", 10, 10, True) and not agrees("9", 8, 8, True)
    assert agrees("9", 11, 7, False) and not agrees("9", 8, 7, False)
    assert agrees("7..9", 9, 9, True) and not agrees("7..9", 10, 10, True)
    assert agrees("unsat", None, 0, True) and not agrees("unsat", 5, 5, True)
    assert not agrees("9", None, 0, True) and agrees("9", None, 0, False)


@pytest.mark.parametrize("name", BY_HAND)
def test_the_bare_model_answers_what_is_reckoned_by_hand(name: str) -> None:
    """The dozen lines that all is compared with are right themselves."""
    text, printed = BY_HAND[name]
    answer = instances.bare(read(text))
    assert answer.proved
    assert agrees(printed, answer.value, answer.bound, answer.proved)
