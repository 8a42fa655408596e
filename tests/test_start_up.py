"""Start-up is part of the product: what a light command loads, and that the solver is loaded where it solves."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from scheduler.book.store import Book
from scheduler.service import bookkeeping
from tests.february import TODAY, begun, planned

EXAMPLES = Path(__file__).parents[1] / "examples"
HEAVY = ("ortools", "pandas", "numpy", "scipy", "icalendar", "starlette", "dask", "distributed", "pyarrow")
LIGHT = [
    (["--help"], ("pydantic", "rich.console", "pint")),
    (["--version"], ("pydantic", "rich.console", "pint")),
    (["plan", "--help"], ("pint", "rich.console")),
    (["schema", "plan"], ("pint", "rich.console", "sqlite3")),
    (["profiles"], ("pint", "sqlite3")),
    (["profiles", "shiitake"], ("pint", "sqlite3")),
    (["check", "backyard"], ("pint",)),
    (["check", "nowhere.toml"], ("pint",)),
    (["plan", "nowhere.toml"], ("pint",)),
    (["plan-many", "--help"], ("pint", "rich.console", "sqlite3")),
    (["plan-many", "nowhere"], ()),
]
"""Calls, and what each does without beside the heavy things that none of them needs."""

UNDER_WAY = [
    ["record", "words"],
    ["record", "backyard", "lost", "SHI-G1a", "3", *TODAY],
    ["record", "backyard", "lost", "NAM-G1a", *TODAY],
    ["today", "backyard", *TODAY],
    ["show", "backyard", *TODAY],
    ["show", "backyard", "--batch", "SHI-G1a", *TODAY],
    ["show", "backyard", "--changes", *TODAY],
    ["show", "backyard", "--json"],
    ["show", "backyard", "--svg", "season.svg", *TODAY],
    ["sheets", "backyard", "-o", "sheets.html", "--labels", "--bench", "--yard", "--poster", *TODAY],
    ["record", "backyard", "weighed", "oak", "31", "lb", *TODAY],
    ["moisture", "backyard", *TODAY],
    ["moisture", "backyard", "--json"],
    ["learn", "backyard", *TODAY],
    ["learn", "backyard", "--keep", "--json", *TODAY],
    ["book", "show", "backyard"],
    ["book", "export", "backyard"],
    ["book", "import", "empty", "all.jsonl"],
]
"""Calls for a season under way: all that a grower types with one hand."""

RUNNER = """
import json, sys
from scheduler.cli import main
sys.argv = ["budswell", *sys.argv[1:]]
try:
    main()
finally:
    print("LOADED", json.dumps(sorted(sys.modules)), file=sys.stderr)
"""


def loaded(folder: Path, *arguments: str) -> set[str]:
    """Every module that a whole process has loaded by the end of a call."""
    command = [sys.executable, "-c", RUNNER, *arguments]
    ended = subprocess.run(command, cwd=folder, capture_output=True, text=True, check=False)
    listing = ended.stderr.rpartition("LOADED ")[2]
    modules: set[str] = set(json.loads(listing))
    assert "scheduler.cli" in modules
    return modules


@pytest.mark.parametrize(("arguments", "spared"), LIGHT, ids=[" ".join(a) for a, _ in LIGHT])
def test_a_light_command_loads_nothing_heavy(
    arguments: list[str], spared: tuple[str, ...], tmp_path: Path
) -> None:
    """No solver, no arrays, no calendar library and no web page, where a command has no use for them."""
    shutil.copytree(EXAMPLES / "backyard", tmp_path / "backyard")
    modules = loaded(tmp_path, *arguments)
    # A name stands in sys.modules as None while it is hidden; nothing may stay of that.
    assert modules.isdisjoint((*HEAVY, *spared))


@pytest.mark.parametrize("arguments", UNDER_WAY, ids=[" ".join(arguments[:3]) for arguments in UNDER_WAY])
def test_a_season_under_way_needs_no_solver(arguments: list[str], tmp_path: Path) -> None:
    """What happened is recorded, and looked at, without the solver, arrays, or the problem they solve."""
    season = begun(tmp_path)
    shutil.copytree(EXAMPLES / "backyard", tmp_path / "empty")
    bookkeeping.export(season, tmp_path / "all.jsonl")
    modules = loaded(tmp_path, *arguments)
    assert modules.isdisjoint((*HEAVY, "scheduler.solve", "scheduler.problem"))


def test_only_a_replan_loads_the_solver(tmp_path: Path) -> None:
    """And it does so only once it has found that there is something to plan."""
    begun(tmp_path)
    assert "ortools" in loaded(tmp_path, "replan", "backyard", *TODAY)
    assert "ortools" not in loaded(tmp_path, "replan", "nowhere", *TODAY)


def test_the_solver_is_loaded_without_data_frames(tmp_path: Path) -> None:
    """They take longer to load than a small season takes to plan; whoever asks for them gets the real ones."""
    shutil.copytree(EXAMPLES / "backyard", tmp_path / "backyard")
    modules = loaded(tmp_path, "plan", "backyard", "--no-keep")
    assert "ortools" in modules
    assert not any(name.partition(".")[0] == "pandas" for name in modules)
    code = "import scheduler.solve.engine, pandas; print(pandas.Series([20, 22]).sum())"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "42\n"


def test_a_kept_plan_is_exported_without_the_solver(tmp_path: Path) -> None:
    """The first plan loads the solver; a calendar of the plan that it kept has no need of it."""
    shutil.copytree(EXAMPLES / "backyard", tmp_path / "backyard")
    assert "ortools" in loaded(tmp_path, "plan", "backyard")
    modules = loaded(tmp_path, "calendar", "backyard", "-o", "season.ics")
    assert (tmp_path / "season.ics").exists()
    assert "ortools" not in modules


def test_an_outlook_of_a_kept_plan_needs_no_solver(tmp_path: Path) -> None:
    """It is played with arrays, but no search is loaded for it, nor any pictures that nobody asked for."""
    begun(tmp_path)
    modules = loaded(tmp_path, "outlook", "backyard", "--seasons", "100", *TODAY)
    assert "numpy" in modules
    assert modules.isdisjoint({"ortools", "pandas", "scipy", "matplotlib"})


@pytest.mark.parametrize(
    ("options", "paths"),
    [(["--feed"], ["/feed/KEY/events.ics"]), ([], ["/", "/season", "/book", "/feed/KEY/events.ics"])],
    ids=["calendars", "page"],
)
def test_a_season_is_served_without_the_solver(options: list[str], paths: list[str], tmp_path: Path) -> None:
    """A server may run for a season: it holds no solver and no arrays, also after it has answered."""
    season = planned(tmp_path)
    code = f"""
import os, signal, socket, threading, time, urllib.request
def ask():
    while not os.path.exists("backyard/season.feed"):
        time.sleep(0.01)
    key = open("backyard/season.feed").read().strip()
    for attempt in range(3000):
        try:
            for path in {paths}:
                where = f"http://127.0.0.1:{{PORT}}{{path.replace('KEY', key)}}"
                assert urllib.request.urlopen(where).read()
            break
        except OSError:
            time.sleep(0.01)
    os.kill(os.getpid(), signal.SIGINT)
PORT = socket.create_server(("127.0.0.1", 0)).getsockname()[1]
threading.Thread(target=ask).start()
import sys
sys.argv = ["budswell", "serve", *{options}, "backyard", "--port", str(PORT)]
{RUNNER.replace('sys.argv = ["budswell", *sys.argv[1:]]', "")}"""
    ended = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=False
    )
    modules = set(json.loads(ended.stderr.rpartition("LOADED ")[2]))
    assert "Stopped" in ended.stdout
    assert {"uvicorn", "icalendar"} <= modules
    assert modules.isdisjoint({"ortools", "numpy", "pandas", "scipy", "scheduler.solve", "scheduler.problem"})
    with Book.open(season / "season.book", create=False) as book:
        assert book.ledger()


def test_many_seasons_are_planned_without_a_cluster(tmp_path: Path) -> None:
    """Here it takes nothing of the extras, and the process that hands seasons out holds no solver."""
    shutil.copytree(EXAMPLES / "backyard", tmp_path / "backyard")
    modules = loaded(tmp_path, "plan-many", "backyard", "-o", "table.csv", "--jobs", "1")
    assert (tmp_path / "table.csv").exists()
    assert modules & {"ortools", "pandas", "scipy", "distributed", "dask", "pyarrow"} == set()


def test_the_package_itself_loads_nothing(tmp_path: Path) -> None:
    """Asking for the version of the package costs none of its dependencies."""
    code = "import sys, scheduler; print(scheduler.__version__); print(*sys.modules)"
    ended = subprocess.run(
        [sys.executable, "-c", code], cwd=tmp_path, capture_output=True, text=True, check=True
    )
    version, listing = ended.stdout.splitlines()
    assert version
    assert set(listing.split()).isdisjoint((*HEAVY, "typer", "pydantic", "rich", "pint"))
