"""Many seasons in one go: a row for each, however it ends, and nothing is planned twice after a sudden end."""

from __future__ import annotations

import csv
import re
import shutil
import signal
from itertools import product
from pathlib import Path

import psutil
import pyarrow
import pytest
from pyarrow import csv as arrow_csv
from pyarrow import parquet

from scheduler.document import from_json
from tests.club import LONG, planned_by_now, planning, write_club
from tests.command import (
    EXAMPLES,
    ROOT,
    Ended,
    budswell,
    example,
    inside,
    is_one_block,
    listing,
)
from tests.february import begun

BROKEN = '[season]\nname = "Broken"\n[[planting]]\nname = "Oak"\nspecies = "shitake"\n'


def rows(file: Path) -> list[dict[str, str]]:
    """The rows of a table, without what differs from run to run."""
    with file.open(encoding="utf-8", newline="") as stream:
        found = list(csv.DictReader(stream))
    for row in found:
        row.pop("seconds")
    return found


def club(folder: Path) -> Path:
    """Five seasons: two that can be planned, one for which no plan fits, a faulty one, and one under way."""
    place = folder / "club"
    write_club(place, 2)
    example("too-late", place)
    (place / "faulty").mkdir()
    (place / "faulty" / "season.toml").write_text(BROKEN, encoding="utf-8")
    begun(place)
    (place / ".old").mkdir()
    (place / ".old" / "season.toml").write_text(BROKEN, encoding="utf-8")
    return place


def many(*arguments: str, cwd: Path) -> Ended:
    """The command inside this process, with one other one that plans."""
    return inside("plan-many", *arguments, "--jobs", "1", cwd=cwd)


def test_every_season_is_a_row_however_it_ends(tmp_path: Path) -> None:
    """Planned, impossible, refused: each with what there is to say; the folders stay as they were."""
    place = club(tmp_path)
    was = listing(place)
    ended = budswell("plan-many", "club", "-o", "club.csv", cwd=tmp_path)
    assert ended.code == 1
    assert ended.err == ""
    assert ended.out.startswith("5 seasons: 2 planned, 1 impossible, 2 refused\n")
    assert listing(place) == was
    found = {row["folder"]: row for row in rows(tmp_path / "club.csv")}
    assert list(found) == ["backyard", "faulty", "grower-001", "grower-002", "too-late"]
    assert [row["verdict"] for row in found.values()] == [
        "refused", "refused", "planned", "planned", "impossible",
    ]  # fmt: skip
    assert "budswell replan club/backyard" in found["backyard"]["reason"]
    assert 'season.toml:5 planting[0].species: "shitake"' in found["faulty"]["reason"]
    assert 'did you mean "shiitake"?' in found["faulty"]["reason"]
    assert "lie between Sat 10 Apr 2027 and Sun 2 May 2027" in found["too-late"]["reason"]
    assert found["too-late"]["way_out"].startswith("Plant Ridge stack up to 35 days later")
    for row in found.values():
        assert bool(row["reason"]) is (row["verdict"] != "planned")
        assert bool(row["plantings"]) is (row["verdict"] == "planned")
    assert all(
        words in ended.out for words in ("faulty: refused", "too-late: impossible", "club.csv: 5 rows")
    )


def test_a_row_says_what_the_plan_says(tmp_path: Path) -> None:
    """The same season planned by itself: days, chance, loads, hours, aims."""
    season = write_club(tmp_path / "club", 1)[0]
    assert many("club", "-o", "club.csv", cwd=tmp_path).code == 0
    plan = from_json(inside("plan", season, "--json", cwd=tmp_path).out)
    (row,) = rows(tmp_path / "club.csv")
    assert plan.outlook is not None
    lab = [task.minutes for task in plan.tasks if task.place == "lab"]
    assert row["season"] == plan.season.name
    assert float(row["wished"]) == plan.season.certainty
    assert float(row["chance"]) == pytest.approx(plan.outlook.all, abs=0.00005)
    assert row["first_task"] == min(task.on for task in plan.tasks).isoformat()
    assert row["last_safe_start"] == str(plan.outlook.last_safe_start)
    assert row["plantings"] == "; ".join(
        f"{p.name} {' '.join(day.isoformat() for day in p.plant_on)}" for p in plan.plantings
    )
    assert int(row["loads"]) == len(plan.loads)
    assert float(row["bench_hours"]) == pytest.approx(sum(lab) / 60, abs=0.005)
    assert row["proved"] == "true"
    assert row["aims"] == "; ".join(f"{tier.name} {tier.value}" for tier in plan.tiers)


def test_without_a_file_each_season_is_a_line(tmp_path: Path) -> None:
    """Nothing is kept; the page has them all."""
    club(tmp_path)
    was = listing(tmp_path)
    ended = many("club", cwd=tmp_path)
    assert ended.code == 1
    assert listing(tmp_path) == was
    for name in ("backyard", "faulty", "grower-001", "grower-002", "too-late"):
        assert re.search(rf"^  {name} ", ended.out, re.MULTILINE)
    assert "86 %" in ended.out or "80 %" in ended.out or "90 %" in ended.out


def test_parquet_holds_what_csv_holds(tmp_path: Path) -> None:
    """Read back by pyarrow, with the kinds of values that Parquet names, both are one table."""
    club(tmp_path)
    assert many("club", "-o", "club.parquet", cwd=tmp_path).code == 1
    again = many("club", "-o", "club.csv", cwd=tmp_path)
    assert "; 3 of them known from before" in again.out
    table = parquet.read_table(tmp_path / "club.parquet")
    kinds = {field.name: field.type for field in table.schema}
    assert kinds["first_task"] == pyarrow.date32()
    assert kinds["chance"] == pyarrow.float64()
    assert kinds["loads"] == pyarrow.int64()
    assert kinds["proved"] == pyarrow.bool_()
    read = arrow_csv.read_csv(
        tmp_path / "club.csv",
        convert_options=arrow_csv.ConvertOptions(column_types=kinds, strings_can_be_null=False),
    )
    assert read.equals(table)


def test_the_table_is_the_same_by_any_number_of_processes(tmp_path: Path) -> None:
    """Also in the order of its rows."""
    write_club(tmp_path / "club", 4)
    for name, jobs in (("one.csv", "1"), ("other.csv", "3")):
        assert budswell("plan-many", "club", "-o", name, "--jobs", jobs, cwd=tmp_path).code == 0
    assert rows(tmp_path / "one.csv") == rows(tmp_path / "other.csv")
    assert len({row["plantings"] for row in rows(tmp_path / "one.csv")}) > 1


# --- going on after an end that nobody wanted -------------------------------------------------------------


def stopped(folder: Path, how: signal.Signals, after: int) -> tuple[int, str]:
    """Ends a run once so many seasons are planned: its exit code, and what it said."""
    running = planning(folder, after, "--jobs", "2")
    running.send_signal(how)
    # The output has an end only when no process holds it any more.
    out, err = running.communicate(timeout=LONG)
    assert "Traceback" not in err
    assert out == ""
    return running.returncode, err


@pytest.mark.parametrize("how", [signal.SIGKILL, signal.SIGINT], ids=["killed", "Ctrl-C"])
def test_a_run_that_was_stopped_goes_on(how: signal.Signals, tmp_path: Path) -> None:
    """Nothing is planned twice, and the table is the one of a run that nobody stopped."""
    write_club(tmp_path / "club", 9)
    code, err = stopped(tmp_path, how, after=3)
    assert code == (-signal.SIGKILL if how == signal.SIGKILL else 130)
    if how == signal.SIGINT:
        assert "club.planned: run the same again to go on" in err
    assert not (tmp_path / "club.csv").exists()
    done = planned_by_now(tmp_path / "club.planned")
    assert 3 <= done < 9
    ended = budswell("plan-many", "club", "-o", "club.csv", cwd=tmp_path)
    assert ended.code == 0
    assert f"9 seasons: 9 planned; {done} of them known from before" in ended.out
    assert budswell("plan-many", "club", "-o", "whole.csv", cwd=tmp_path).code == 0
    assert rows(tmp_path / "club.csv") == rows(tmp_path / "whole.csv")


def test_a_season_that_was_changed_is_planned_anew(tmp_path: Path) -> None:
    """And no other; all of them are where that is asked for, or another day is told."""
    season = write_club(tmp_path / "club", 3)[1] / "season.toml"
    call = ("club", "-o", "club.csv")
    assert many(*call, cwd=tmp_path).code == 0
    first = (tmp_path / "club.csv").read_bytes()
    assert "; 3 of them known" in many(*call, cwd=tmp_path).out
    assert (tmp_path / "club.csv").read_bytes() == first
    season.write_text(
        season.read_text(encoding="utf-8").replace("sat = ", "fri = 2, sat = "), encoding="utf-8"
    )
    assert "; 2 of them known" in many(*call, cwd=tmp_path).out
    assert (tmp_path / "club.csv").read_bytes() != first
    assert "known" not in many(*call, "--today", "2026-11-20", cwd=tmp_path).out
    assert "known" not in many(*call, "--anew", cwd=tmp_path).out


def test_a_process_that_is_killed_stops_nothing(tmp_path: Path) -> None:
    """What it had in hand is planned once more, and all seasons are rows."""
    write_club(tmp_path / "club", 8)
    running = planning(tmp_path, 2, "--jobs", "2")
    workers = [
        child
        for child in psutil.Process(running.pid).children()
        if any("spawn_main" in word for word in child.cmdline())
    ]
    workers[0].kill()
    out, err = running.communicate(timeout=LONG)
    assert running.returncode == 0, err
    assert out.startswith("8 seasons: 8 planned\n")
    assert err == ""


# --- what is tried ----------------------------------------------------------------------------------------

GRID = """
[season]
certainty = [0.8, 0.95]
[lab.fridge]
volume = ["60 L", "80 L"]
[[planting]]
name = "Oak stack"
logs = [{ count = 12, diameter = "5 in", length = "40 in" }, { count = 24, diameter = "5 in", length = "40 in" }]
"""


def test_a_grid_is_what_its_files_would_say(tmp_path: Path) -> None:
    """Each row is the season with these values written into its file by hand."""
    season = example("backyard", tmp_path) / "season.toml"
    (tmp_path / "grid.toml").write_text(GRID, encoding="utf-8")
    ended = many("backyard", "--grid", "grid.toml", "-o", "grid.csv", cwd=tmp_path)
    assert ended.code == 0, ended.err
    found = rows(tmp_path / "grid.csv")
    tried = ("season.certainty", "lab.fridge.volume", "planting Oak stack: logs")
    text = season.read_text(encoding="utf-8")
    for row, (certainty, volume, count) in zip(
        found, product(("0.8", "0.95"), ("60 L", "80 L"), (12, 24)), strict=True
    ):
        assert [row[place] for place in tried[:2]] == [certainty, volume]
        assert f"count = {count}," in row[tried[2]]
        by_hand = (
            text.replace('units    = "imperial"', f'units = "imperial"\ncertainty = {certainty}')
            .replace('"80 L"', f'"{volume}"')
            .replace("count = 20", f"count = {count}")
        )
        season.write_text(by_hand, encoding="utf-8")
        plan = from_json(inside("plan", "backyard", "--no-keep", "--json", cwd=tmp_path).out)
        assert plan.outlook is not None
        assert float(row["chance"]) == pytest.approx(plan.outlook.all, abs=0.00005)
        assert row["plantings"] == "; ".join(
            f"{p.name} {' '.join(day.isoformat() for day in p.plant_on)}" for p in plan.plantings
        )
        assert int(row["loads"]) == len(plan.loads)
        season.write_text(text, encoding="utf-8")
    assert len({row["chance"] for row in found}) > 1
    assert len({row["inputs"] for row in found}) == 8


def test_options_are_short_for_a_grid(tmp_path: Path) -> None:
    """Start dates, certainties and rooms; what the file says in another way is taken out."""
    season = example("backyard", tmp_path) / "season.toml"
    text = season.read_text(encoding="utf-8").replace('volume      = "80 L"', 'holds = { "quart jar" = 30 }')
    season.write_text(text, encoding="utf-8")
    grid = """
    season.no_work_before = [2027-01-09, 2027-02-06]
    season.certainty = [0.9]
    lab.shelf.volume = ["150 L"]
    lab.fridge.volume = ["60 L"]
    """
    (tmp_path / "grid.toml").write_text(grid, encoding="utf-8")
    options = (
        "--start-dates",
        "2027-01-09, 2027-02-06",
        "--certainty",
        "0.9",
        "--shelf",
        "150 L",
        "--fridge",
        "60 L",
    )
    assert many("backyard", *options, "-o", "options.csv", cwd=tmp_path).code == 0
    ended = many("backyard", "--grid", "grid.toml", "-o", "options.csv", cwd=tmp_path)
    assert "; 2 of them known from before" in ended.out
    found = rows(tmp_path / "options.csv")
    assert [row["season.no_work_before"] for row in found] == ["2027-01-09", "2027-02-06"]
    assert [row["first_task"] for row in found] == ["2027-01-09", "2027-02-06"]


def test_what_only_some_seasons_can_take_is_a_refused_row(tmp_path: Path) -> None:
    """A planting that only one of them has: the others say so."""
    place = tmp_path / "club"
    write_club(place, 1)
    example("too-late", place)
    grid = '[[planting]]\nname = "Ridge stack"\nwindow = ["2027-04-10/2027-06-20"]\n'
    (tmp_path / "grid.toml").write_text(grid, encoding="utf-8")
    ended = many("club", "--grid", "grid.toml", "-o", "club.csv", cwd=tmp_path)
    assert ended.code == 1
    first, second = rows(tmp_path / "club.csv")
    assert (first["verdict"], second["verdict"]) == ("refused", "planned")
    assert "a planting of the season: Oak stack or Currant bed" in first["reason"]


WRONG = [
    (["--certainty", "0.8,2"], ["--certainty: 2", "from 0.5 to 0.999"]),
    (["--shelf", "12 parsecs"], ['--shelf: "12 parsecs"', '"200 L"']),
    (["--start-dates", "2027-01-09,soon"], ['--start-dates: "soon"', "2027-04-24"]),
    (["--certainty", "0.8,0.80"], ['"0.8" twice']),
    (["--certainty", ""], ["--certainty"]),
    (["--grid", "nowhere.toml"], ["nowhere.toml", "cannot be read"]),
    (["--grid", "club/grower-001/season.toml"], ["season.toml season.name", "Garden"]),
    (["-o", "club.xlsx"], [".csv or .parquet", "-o club.csv"]),
    (["-o", "nowhere/club.csv"], ["the folder is not there"]),
    (["--jobs", "0"], ["--jobs", "from 1 to 64"]),
    (["--today", "soon"], ["YYYY-MM-DD"]),
    (["--keep", "--certainty", "0.8"], ["--keep", "only tried"]),
    (["--cluster", "here"], ['"here"', "tcp://192.0.2.7:8786"]),
    (["--cluster", "tcp://127.0.0.1:8786", "--jobs", "2"], ["--jobs 2", "also --cluster"]),
]


@pytest.mark.parametrize(("options", "said"), WRONG, ids=[" ".join(options) for options, _ in WRONG])
def test_a_call_that_cannot_work_is_one_block(options: list[str], said: list[str], tmp_path: Path) -> None:
    """Exit code 2, before anything is planned, and nothing is changed on the disk."""
    write_club(tmp_path / "club", 1)
    was = listing(tmp_path)
    ended = inside("plan-many", "club", *options, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert all(words in ended.err for words in said), ended.err
    assert listing(tmp_path) == was


GRIDS = [
    ("certainty = [0.8]", "a table such as"),
    ("season = 3", "a table such as"),
    ("[season]\ncertainty = []", "no value"),
    ("[season]\ncertanty = [0.8]", 'did you mean "certainty"?'),
    ("[season\n", "line 1"),
    ("", "nothing to try"),
    ("[[planting]]\nwindow = ['2027-04-10/2027-05-31']", "no name"),
    ("[[planting]]\nname = 'Oak stak'\nwindow = ['2027-04-10/2027-05-31']", 'did you mean "Oak stack"?'),
    ("planting = [3]", "a block [[planting]]"),
    ("[[lab.cooker]]\nloads_per_day = [1, 2]", "no such place"),
    ("[season]\nname.first = ['x']", "no such place"),
    ("[lab.shelf]\nvolume = ['100 L']\nholds = [{ 'quart jar' = 7 }]", "tries already"),
    (
        f"[people]\nsmall_minutes = {list(range(200))}\n[tools]\ndrills = {list(range(1, 60))}",
        "11800 combinations (200 x 59)",
    ),
]


@pytest.mark.parametrize(("text", "said"), GRIDS, ids=[text.replace("\n", " ")[:40] for text, _ in GRIDS])
def test_a_grid_that_is_none_is_one_block(text: str, said: str, tmp_path: Path) -> None:
    """It names the place, what is allowed, and changes nothing."""
    write_club(tmp_path / "club", 1)
    (tmp_path / "grid.toml").write_text(text, encoding="utf-8")
    was = listing(tmp_path)
    ended = many("club", "--grid", "grid.toml", "-o", "club.csv", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert said in " ".join(ended.err.split())
    assert listing(tmp_path) == was


@pytest.mark.parametrize(
    ("name", "options", "said"),
    [
        ("pyarrow", ("-o", "club.parquet"), "budswell[parquet]"),
        ("distributed", ("--cluster", "tcp://x:1"), "budswell[cluster]"),
    ],
)
def test_a_library_that_is_missing_is_named(
    name: str, options: tuple[str, ...], said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the extra that brings it; ordinary calls have no need of it."""
    import importlib.util

    found = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda one, *more: None if one == name else found(one, *more)
    )
    write_club(tmp_path / "club", 1)
    ended = inside("plan-many", "club", *options, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert said in ended.err


def test_a_folder_without_seasons_is_named(tmp_path: Path) -> None:
    """Whether it is not there or has none in it."""
    for name, said in (("nowhere", "no such folder"), (".", "no season.toml in it")):
        ended = many(name, cwd=tmp_path)
        assert ended.code == 2
        is_one_block(ended)
        assert said in ended.err


def test_a_table_takes_no_file_of_a_season(tmp_path: Path) -> None:
    """Its weather file is no table of ours, and a file beside it that is not ours stays as it is."""
    example("maritime", tmp_path)
    was = listing(tmp_path)
    ended = many("maritime", "-o", "maritime/seattle.csv", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    (tmp_path / "club.planned").write_bytes(b"something else, and more of it than a header " * 9)
    other = many("maritime", "-o", "club.csv", cwd=tmp_path)
    assert other.code == 2
    is_one_block(other)
    (tmp_path / "club.planned").unlink()
    assert listing(tmp_path) == was


# --- books ------------------------------------------------------------------------------------------------


def test_plans_are_kept_where_that_is_asked_for(tmp_path: Path) -> None:
    """In the books of their seasons, as `plan` keeps them; what is kept already is not planned again."""
    first, second = write_club(tmp_path / "club", 2)
    call = ("club", "-o", "club.csv")
    assert many(*call, cwd=tmp_path).code == 0
    assert not (first / "season.book").exists()
    kept = many(*call, "--keep", cwd=tmp_path)
    assert (kept.code, "known" in kept.out) == (0, False)
    shown = inside("show", first, "--json", cwd=tmp_path)
    assert from_json(shown.out).plan_no == 1
    assert "; 2 of them known" in many(*call, "--keep", cwd=tmp_path).out
    (second / "season.book").unlink()
    assert "; 1 of them known" in many(*call, "--keep", cwd=tmp_path).out
    assert from_json(inside("show", second, "--json", cwd=tmp_path).out).status == "planned"
    by_itself = inside("plan", first, "--json", cwd=tmp_path)
    assert by_itself.out == inside("show", first, "--json", cwd=tmp_path).out


def test_a_damaged_book_refuses_its_season_alone(tmp_path: Path) -> None:
    """With what is wrong with it; the others are planned."""
    first, _ = write_club(tmp_path / "club", 2)
    (first / "season.book").write_bytes(b"not a book, and long enough to be looked at " * 40)
    ended = many("club", "-o", "club.csv", "--keep", cwd=tmp_path)
    assert ended.code == 1
    one, other = rows(tmp_path / "club.csv")
    assert (one["verdict"], other["verdict"]) == ("refused", "planned")
    assert "season.book: the book is damaged" in one["reason"]


def test_the_pages_of_the_readme(tmp_path: Path) -> None:
    """What the README shows is what the commands print, line by line."""
    shutil.copytree(
        EXAMPLES, tmp_path / "examples", ignore=shutil.ignore_patterns("*.book", "*.ics", "*.feed")
    )
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    shown = re.findall(
        r"^budswell (plan-many [^#\n]*?) *(?:#[^\n]*)?\n```\n\n```text\n(.*?)^```$", text, re.M | re.S
    )
    assert len(shown) == 2
    for call, page in shown:
        assert budswell(*call.split(), cwd=tmp_path).out == page


def test_a_plan_that_cannot_be_kept_is_a_row_all_the_same(tmp_path: Path) -> None:
    """What was planned stands in the table, and why it is in no book."""
    season = write_club(tmp_path / "club", 1)[0]
    (season / "season.book-journal").mkdir()
    ended = many("club", "--keep", "-o", "club.csv", cwd=tmp_path)
    (row,) = rows(tmp_path / "club.csv")
    assert (ended.code, row["verdict"]) == (1, "planned")
    assert "season.book" in row["reason"]
    assert "Planned, but not kept" in ended.out
