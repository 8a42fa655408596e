"""What is handed out: the wheel works on its own, far from the checkout, and the sdist can be tested."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import sysconfig
import tarfile
import venv
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
DATA = ("profiles", "shared", "examples")


def run(*command: str | Path, cwd: Path, **variables: str) -> subprocess.CompletedProcess[str]:
    """One process without the paths of this one; its output is in the message where it fails."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "PIP_"))}
    ended = subprocess.run(
        list(map(str, command)),
        cwd=cwd,
        env={**kept, **variables},
        capture_output=True,
        text=True,
        check=False,
    )
    assert ended.returncode == 0, ended.stdout + ended.stderr
    return ended


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the sdist and the wheel, built without a look at the network."""
    folder = tmp_path_factory.mktemp("dist")
    run(
        sys.executable,
        "-m",
        "build",
        "--no-isolation",
        "--sdist",
        "--wheel",
        "--outdir",
        folder,
        ROOT,
        cwd=folder,
    )
    return folder


@pytest.fixture(scope="module")
def wheel(built: Path) -> Path:
    """The one wheel that was built."""
    [wheel] = built.glob("*.whl")
    return wheel


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The scripts of an environment that has the wheel, and borrows nothing but its dependencies from here."""
    folder = tmp_path_factory.mktemp("away") / "environment"
    venv.create(folder, with_pip=False, symlinks=os.name == "posix")
    scripts = folder / ("Scripts" if os.name == "nt" else "bin")
    python = scripts / "python"
    run(
        sys.executable, "-m", "pip", "--python", python, "install", "--no-deps", "--no-index", "--quiet",
        "--disable-pip-version-check", wheel, cwd=folder,
    )  # fmt: skip
    [packages] = folder.rglob("site-packages")
    borrowed = {sysconfig.get_path(kind) for kind in ("purelib", "platlib")}
    # A path is looked into after the environment's own packages, and hooks of borrowed ones are not run.
    (packages / "borrowed.pth").write_text("\n".join(sorted(borrowed)))
    return scripts


def listed(wheel: Path) -> set[str]:
    """The names of the files in a wheel."""
    with zipfile.ZipFile(wheel) as archive:
        return set(archive.namelist())


@pytest.mark.parametrize("name", DATA)
def test_the_data_travel_inside_the_package(name: str, wheel: Path) -> None:
    """Every file of the catalogue, the sources and the examples is in the wheel, and nothing beside them."""
    here = {
        path.relative_to(ROOT / name).as_posix()
        for path in (ROOT / name).rglob("*")
        if path.is_file() and path.suffix != ".book"
    }
    prefix = f"scheduler/data/{name}/"
    assert here
    assert {file.removeprefix(prefix) for file in listed(wheel) if file.startswith(prefix)} == here


def test_the_wheel_holds_the_package_and_its_data_only(wheel: Path) -> None:
    """Every module and template is in the wheel; no test, no compiled file, no book and nothing outside of the package."""
    files = listed(wheel)
    kinds = (".py", ".html", ".css", ".svg")
    modules = {
        path.relative_to(ROOT).as_posix() for path in (ROOT / "scheduler").rglob("*") if path.suffix in kinds
    }
    assert modules <= files
    assert "scheduler/present/html/templates/today.html" in modules
    assert {file.partition("/")[0] for file in files} == {
        "scheduler",
        f"{wheel.name.split('-py')[0]}.dist-info",
    }
    assert not [file for file in files if file.endswith((".pyc", ".book", ".ics"))]
    assert [file for file in files if file.endswith("licenses/LICENSE")]


def test_the_wheel_plans_an_example_far_from_the_checkout(installed: Path, tmp_path: Path) -> None:
    """The command of the wheel plans a copied example, with the wheel's own modules and catalogue."""
    where = run(installed / "python", "-c", "import scheduler; print(scheduler.__file__)", cwd=tmp_path)
    package = Path(where.stdout.strip()).parent
    assert package.is_relative_to(installed.parent)
    shutil.copytree(package / "data" / "examples" / "backyard", tmp_path / "backyard")
    planned = run(installed / "budswell", "plan", "backyard", cwd=tmp_path, COLUMNS="100")
    assert "Oak stack" in planned.stdout
    assert planned.stderr == ""
    assert (tmp_path / "backyard" / "season.book").is_file()


def test_the_wheel_finds_its_catalogue(installed: Path, tmp_path: Path) -> None:
    """The catalogue that is listed lies inside the installed package."""
    code = "from scheduler.trade.places import data_folder as f; print(f('profiles'), f('shared'), f('examples'))"
    found = run(installed / "python", "-c", code, cwd=tmp_path).stdout.split()
    assert [Path(folder).parent.name for folder in found] == ["data"] * 3
    assert all(Path(folder).is_relative_to(installed.parent) for folder in found)
    assert "Lentinula edodes" in run(installed / "budswell", "profiles", cwd=tmp_path).stdout


def test_the_sdist_can_be_read_and_tested(built: Path) -> None:
    """The source archive has the licence, the README, the data and the tests."""
    [sdist] = built.glob("*.tar.gz")
    with tarfile.open(sdist) as archive:
        files = {name.partition("/")[2] for name in archive.getnames()}
    needed = {"README.md", "LICENSE", "pyproject.toml", "tests/conftest.py", "tests/test_wheel.py"}
    needed |= {
        "scheduler/cli/run.py",
        "profiles/wood.toml",
        "shared/sources.toml",
        "examples/backyard/season.toml",
    }
    assert needed <= files
    assert not [file for file in files if file.endswith((".pyc", ".book"))]
