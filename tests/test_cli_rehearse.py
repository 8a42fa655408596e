"""Every loss rehearsed: as record and replan would have it, on any number of processors, leaving no trace."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import jsonschema
import pytest

from scheduler.document import from_json, to_json
from scheduler.plan import Plan
from scheduler.rehearsal import OUTCOMES, LeftOut, LostBatch, Rehearsed, Replanted, Saved
from scheduler.service import processes, rehearsing, replanning
from scheduler.service.helping import falls_short
from scheduler.service.seasons import Clock
from scheduler.service.under_way import under_way
from tests.command import ROOT, budswell, example, inside, is_one_block, listing
from tests.february import DAY, TODAY, begun, planned

CLOCK = Clock(date(2026, 11, 28), "UTC")
BATCHES = ["SHI-Aa", "SHI-G1a", "SHI-Sa", "WIN-Aa", "WIN-G1a", "WIN-Sa"]
"""All that is made in the backyard."""


@cache
def late() -> dict[str, Any]:
    """The rehearsal of losses that are seen late, with pairs, as a document."""
    with TemporaryDirectory() as folder:
        planned(Path(folder))
        ended = budswell("rehearse", "backyard", "--late", "--pairs", "--json", cwd=Path(folder))
    assert ended.code == 0, ended.err
    found: dict[str, Any] = json.loads(ended.out)
    return found


def by_hand(folder: Path, name: str, day: str) -> tuple[int, Plan]:
    """The exit code and the plan of `replan` after the loss was recorded, everything before it done."""
    today = ("--today", day)
    assert inside("record", "backyard", "done", "all", *today, cwd=folder).code == 0
    assert inside("record", "backyard", "lost", name, "all", "--force", *today, cwd=folder).code == 0
    ended = inside("replan", "backyard", "--json", *today, cwd=folder)
    return ended.code, from_json(ended.out)


@pytest.mark.parametrize("name", BATCHES)
def test_it_agrees_with_record_and_replan(name: str, tmp_path: Path) -> None:
    """Of every batch: the plan is the same to the last byte, and so is what is said of it."""
    rehearsed = next(one for one in late()["single"] if one["batches"][0]["id"] == name)
    season = planned(tmp_path)
    on = date.fromisoformat(rehearsed["on"])
    state = under_way(season, on, on)
    before, said = state.plan, [["done", "all"], ["lost", name, "all"]]
    try:
        imagined = replanning.imagine(state, said, replanning.Asked(CLOCK, on)).plan
    except replanning.Impossible as impossible:
        imagined = impossible.plan
    code, plan = by_hand(tmp_path, name, rehearsed["on"])
    assert to_json(replace(imagined, plan_no=None)) == to_json(replace(plan, plan_no=None))
    if code == 1:
        assert (rehearsed["outcome"], rehearsed["chance_now"]) == ("remedy", None)
        assert rehearsed["remedy"]["text"] == plan.remedies[0].text
        return
    assert code == 0
    assert rehearsed["outcome"] in ("redo", "spares")
    assert [p["now_on"] for p in rehearsed["plantings"]] == [
        [day.isoformat() for day in p.plant_on] for p in plan.plantings
    ]
    assert plan.outlook is not None
    assert rehearsed["chance_now"] == plan.outlook.all
    assert set(rehearsed["new"]) == {b.id for b in plan.batches} - {b.id for b in before.batches}
    assert bool(rehearsed["new"]) is (rehearsed["outcome"] == "redo")
    assert rehearsed["way"] == (
        "culture" if "-G1" in name else "one more generation" if "-S" in name else None
    )
    assert rehearsed["moved"] == sum(change.kind == "moved" for change in plan.changes)


def test_every_batch_is_lost_once() -> None:
    """All that is made here, on the day on which it should be ready; the worst stands first."""
    single = late()["single"]
    assert sorted(one["batches"][0]["id"] for one in single) == BATCHES
    assert [one["outcome"] for one in single] == ["remedy", *["redo"] * 5]
    assert single[0]["batches"][0]["id"] == "SHI-Sa"
    assert single[0]["remedy"]["kind"] == "plant later"
    assert single[0]["better"][0] == {"what": "earlier", "days": 20, "units": 0, "minutes": 0}
    assert late()["left_out"] == []


def test_what_would_have_helped_stands_where_days_are_lost() -> None:
    """Not only where no plan fits: the week that is lost, earlier; a second batch takes the work of the first."""
    single = {one["batches"][0]["id"]: one for one in late()["single"]}
    bed = single["WIN-Sa"]
    planted = next(one for one in bed["plantings"] if one["name"] == "Currant bed")
    lost = date.fromisoformat(planted["now_on"][0]) - date.fromisoformat(planted["was_on"][0])
    assert lost.days > 0
    earlier, second = bed["better"]
    assert earlier == {"what": "earlier", "days": lost.days, "units": 0, "minutes": 0}
    assert (second["what"], second["units"]) == ("in two batches", 1)
    assert second["minutes"] > 0
    on_time = [one for one in single.values() if one["outcome"] == "redo" and one is not bed]
    assert on_time
    assert all(one["better"] == [] for one in on_time)


@pytest.mark.parametrize(
    ("was", "now", "wished", "helps"),
    [(0.95, 0.8, 0.9, True), (0.95, 0.92, 0.9, False), (0.86, 0.86, 0.9, False), (0.86, 0.7, 0.9, True)],
)
def test_a_chance_that_falls_below_the_wish_asks_what_would_have_helped(
    was: float, now: float, wished: float, helps: bool
) -> None:
    """By the loss; a chance that was below it before, and has not fallen, is not the fault of the loss."""
    one = replace(_rehearsed("A", chance=now), chance_was=was)
    assert falls_short(one, wished) is helps


def test_what_is_seen_by_its_redo_by_is_saved(tmp_path: Path) -> None:
    """The promise of a redo-by, kept for every batch of the plan that has one; later, days may be lost."""
    planned(tmp_path)
    ended = budswell("rehearse", "backyard", "--json", cwd=tmp_path)
    early = json.loads(ended.out)["single"]
    seen = [one for one in early + late()["single"] if one["batches"][0]["redo_by"]]
    in_time = [one for one in seen if one["on"] <= one["batches"][0]["redo_by"]]
    assert len(in_time) >= 6
    assert {one["outcome"] for one in in_time} <= {"redo", "spares"}
    assert any(one["outcome"] == "remedy" for one in seen if one not in in_time)


def test_pairs_are_worse_than_either() -> None:
    """Two losses at once: a pair is never saved by less than its worse half, seen on the same day or before."""
    found = late()
    alone = {one["batches"][0]["id"]: one for one in found["single"]}
    assert found["pairs_there"] == len(found["pairs"]) == 2
    for pair in found["pairs"]:
        halves = [alone[batch["id"]] for batch in pair["batches"]]
        assert pair["on"] == max(half["on"] for half in halves)
        same_day = [half for half in halves if half["on"] == pair["on"]]
        assert OUTCOMES.index(pair["outcome"]) <= min(OUTCOMES.index(half["outcome"]) for half in same_day)


def test_pairs_are_bounded_and_counted(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No more than so many are rehearsed; how many there are is told beside it."""
    planned(tmp_path)
    monkeypatch.setattr(rehearsing, "MOST_PAIRS", 1)
    played: list[int] = []

    def saved(work: object, losses: tuple[rehearsing.Loss, ...], jobs: int, told: object) -> list[Rehearsed]:
        played.append(len(losses))
        return [_rehearsed(*loss.batches, on=loss.on) for loss in losses]

    monkeypatch.setattr(processes, "each", saved)
    ended = inside("rehearse", "backyard", "--late", "--pairs", cwd=tmp_path)
    assert played == [6, 1]
    assert "1 of the 2 pairs" in ended.out


def test_the_number_of_processes_changes_nothing(tmp_path: Path) -> None:
    """The same document, byte for byte; and the season and its book are left as they were."""
    season = planned(tmp_path)
    was = listing(season)
    one, two = (
        budswell("rehearse", "backyard", "--json", "--jobs", jobs, cwd=tmp_path) for jobs in ("1", "2")
    )
    assert one.code == 0, one.err
    assert one == two
    assert listing(season) == was


def test_the_document_is_what_its_schema_says(tmp_path: Path) -> None:
    """Valid against the printed schema."""
    schema = json.loads(inside("schema", "rehearsal", cwd=tmp_path).out)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker()).validate(late())
    assert late()["schema"] == "budswell.rehearsal/1"


def test_a_season_under_way_is_rehearsed_from_where_it_stands(tmp_path: Path) -> None:
    """What grows and what is still to be made; no loss lies before today, and nothing is recorded."""
    season = begun(tmp_path)
    inside("record", "backyard", "ready", "WIN-G1a", "--force", *TODAY, cwd=tmp_path)
    was = listing(season)
    ended = budswell("rehearse", "backyard", *TODAY, cwd=tmp_path)
    assert ended.code == 0, ended.err
    assert listing(season) == was
    rows = re.findall(r"^  ([A-Z]{3}-\w+) +\w{3} (\d+ \w{3})", ended.out, re.M)
    assert dict(rows).keys() == {"SHI-G1a", "SHI-Sa", "WIN-Sa"}
    assert dict(rows)["SHI-G1a"] == "10 Feb"
    assert "Recorded since plan 1 was made" in ended.out


def test_a_season_that_was_not_planned_is_planned_and_kept(tmp_path: Path) -> None:
    """As for the outlook; where no plan fits, the refusal is that of `plan`."""
    example("too-late", tmp_path)
    ended = inside("rehearse", "too-late", cwd=tmp_path)
    assert ended.code == 1
    assert "These cannot all hold" in ended.out
    assert set(listing(tmp_path / "too-late")) == {"season.toml"}


def test_ctrl_c_leaves_nothing_behind(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Exit code 130, not a word of what was found so far, and the season as it was."""
    season = planned(tmp_path)
    was = listing(season)

    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(processes, "each", stopped)
    ended = inside("rehearse", "backyard", cwd=tmp_path)
    assert (ended.code, ended.out) == (130, "")
    assert listing(season) == was


@pytest.mark.parametrize("columns", [60, 80, 100])
def test_the_page_fits_its_width_and_is_plain(
    columns: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No line is longer than the terminal is wide, none ends in spaces, and every character is ASCII."""
    planned(tmp_path)
    monkeypatch.setattr(processes, "each", lambda work, losses, jobs, told: [work(one) for one in losses[:3]])
    ended = inside("rehearse", "backyard", "--late", cwd=tmp_path, COLUMNS=str(columns))
    lines = ended.out.splitlines()
    assert max(map(len, lines)) <= columns
    assert all(line == line.rstrip() for line in lines)
    assert ended.out.isascii()


def test_the_page_is_the_one_in_the_readme(tmp_path: Path) -> None:
    """What the README shows of the backyard is what the command prints, line by line."""
    planned(tmp_path)
    ended = budswell("rehearse", "backyard", "--late", cwd=tmp_path)
    assert ended.code == 0, ended.err
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.search(
        r"^budswell rehearse examples/backyard --late\n```\n\n```text\n(.*?)\n```$", text, re.M | re.S
    )
    assert shown is not None
    assert ended.out == f"{shown[1]}\n"


def test_what_cannot_be_rehearsed_is_named(tmp_path: Path) -> None:
    """A batch of which nothing lives on its day is left out with the reason, not called saved."""
    season = begun(tmp_path)
    inside("record", "backyard", "lost", "SHI-G1a", "all", "--force", *TODAY, cwd=tmp_path)
    left = rehearsing.play(rehearsing.Loss(season, CLOCK, ("SHI-G1a",), date.fromisoformat(DAY)))
    assert isinstance(left, LeftOut)
    assert "nothing of SHI-G1a lives" in left.why


WRONG = [
    (["--jobs", "0"], ["--jobs", '"0"', "from 1 to 64"]),
    (["--jobs", "two"], ["--jobs", '"two"', "a whole number"]),
    (["--today", "soon"], ['"soon"', "YYYY-MM-DD"]),
]


@pytest.mark.parametrize(("options", "said"), WRONG, ids=[" ".join(options) for options, _ in WRONG])
def test_a_call_that_cannot_work_is_one_block(options: list[str], said: list[str], tmp_path: Path) -> None:
    """Exit code 2, and nothing is changed."""
    planned(tmp_path)
    was = listing(tmp_path)
    ended = inside("rehearse", "backyard", *options, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert all(words in ended.err for words in said), ended.err
    assert listing(tmp_path) == was


def test_nothing_to_lose_is_said(tmp_path: Path) -> None:
    """Where all is ready there is nothing to rehearse."""
    begun(tmp_path)
    for name in ("SHI-G1a", "WIN-G1a"):
        inside("record", "backyard", "ready", name, "--force", *TODAY, cwd=tmp_path)
    for name in ("SHI-Sa", "WIN-Sa"):
        today = ("--today", "2027-04-10")
        inside("record", "backyard", "ready", name, "--force", *today, cwd=tmp_path)
    ended = inside("rehearse", "backyard", "--today", "2027-04-10", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert "no batch" in ended.err


def _rehearsed(
    *names: str, on: date = date(2027, 3, 1), outcome: Saved = "redo", later: int = 0, chance: float = 0.9
) -> Rehearsed:
    was = date(2027, 5, 1)
    return Rehearsed(
        batches=tuple(LostBatch(name, name[:3], "grain", 1, 3, ("Oak",), None) for name in names),
        on=on,
        outcome=outcome,
        way="culture" if outcome == "redo" else None,
        plantings=(Replanted("Oak", (was,), (date.fromordinal(was.toordinal() + later),), 0.9, chance),),
        chance_was=0.9,
        chance_now=None if outcome in ("lost", "remedy") else chance,
        new=(),
        minutes=0,
        moved=0,
        remedy=None,
        better=(),
    )


def test_the_worst_stands_first() -> None:
    """What no plan fits after, by whether a remedy saves it; then days later, less chance, the plan's order.

    What saves it says nothing: spares that leave 59 % are worse than a redo that leaves 98 %.
    """
    expected = [
        _rehearsed("C", outcome="lost"),
        _rehearsed("B", outcome="remedy"),
        _rehearsed("F", later=7, chance=0.98),
        _rehearsed("E", chance=0.5),
        _rehearsed("G", outcome="spares", chance=0.59),
        _rehearsed("A"),
        _rehearsed("D", outcome="spares"),
        _rehearsed("H", chance=0.98),
    ]
    order = {name: place for place, name in enumerate("ABCDEFGH")}
    assert list(rehearsing.worst_first(expected[::-1], order)) == expected
