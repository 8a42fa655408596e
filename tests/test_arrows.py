"""The rules of the house: which way its rooms may look, how long a module is, and what no file may say."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "scheduler"
MODULES = sorted(PACKAGE.rglob("*.py"))
LONGEST = 300
"""Lines; a longer module says in its docstring why it stays in one piece."""

TEXTS = sorted(
    path
    for place in ("scheduler", "profiles", "shared", "examples", "tests", ".ci")
    for path in (ROOT / place).rglob("*")
    if path.is_file()
    and path.suffix in {".py", ".toml", ".md", ".txt", ""}
    and "__pycache__" not in path.parts
) + [path for path in sorted(ROOT.glob("*")) if path.suffix in {".md", ".toml"}]

# Each is split, so that this file does not hold what it forbids.
FORBIDDEN = [
    "TO" + "DO",
    "FIX" + "ME",
    "XX" + "X",
    "/wo" + "rk/",
    "/tm" + "p/",
    "/ro" + "ot/",
    "/ho" + "me/",
    "py" + "pi.org",
    "python" + "hosted",
]


def named(path: Path) -> str:
    """The path of a file inside the project."""
    return path.relative_to(ROOT).as_posix()


def test_the_rooms_look_one_way() -> None:
    """Every contract of the architecture holds, as import-linter reads the imports."""
    command = [
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports_command as run; run()",
        "--no-cache",
    ]
    ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stdout + ended.stderr
    kept, broken = re.findall(r"(\d+) kept, (\d+) broken", ended.stdout)[-1]
    assert int(kept) >= 4
    assert int(broken) == 0


def imported(tree: ast.AST) -> Iterator[str]:
    """The top names of everything that a module imports, wherever in it."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (alias.name.partition(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module.partition(".")[0]


def test_the_solver_is_known_in_one_room_only() -> None:
    """Nothing outside of solve names the solver, and something inside does."""
    knowing = {
        path.relative_to(PACKAGE).parts[0]
        for path in MODULES
        if "ortools" in imported(ast.parse(path.read_text(encoding="utf-8")))
    }
    assert knowing == {"solve"}


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_a_module_is_short_and_says_what_it_is_for(path: Path) -> None:
    """Every module opens with a sentence, and one that is long says there why it is."""
    text = path.read_text(encoding="utf-8")
    docstring = ast.get_docstring(ast.parse(text))
    assert docstring
    assert docstring.partition("\n")[0].endswith((".", ":")) or docstring.partition("\n\n")[0].endswith(".")
    if text.count("\n") > LONGEST:
        assert re.search(r"one (piece|module|file|table|place)", docstring), "long, and does not say why"


def public(body: list[ast.stmt]) -> Iterator[ast.FunctionDef | ast.ClassDef]:
    """The public functions and classes among some statements, and the methods of those classes."""
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from public(node.body)


@pytest.mark.parametrize("path", MODULES, ids=named)
def test_every_public_name_is_explained(path: Path) -> None:
    """Every public function, class and method has a docstring."""
    body = ast.parse(path.read_text(encoding="utf-8")).body
    assert [node.name for node in public(body) if not ast.get_docstring(node)] == []


def test_no_file_holds_what_does_not_belong_into_it() -> None:
    """No note to self, no path of somebody's machine, no address of a package registry."""
    assert len(TEXTS) > 100
    found = [
        f"{named(path)}: {word}"
        for path in TEXTS
        for word in FORBIDDEN
        if re.search(rf"(?<![\w$~.]){re.escape(word)}", path.read_text(encoding="utf-8", errors="replace"))
    ]
    assert found == []


def test_every_test_says_what_it_shows() -> None:
    """Every test function of this project has a docstring."""
    silent = [
        f"{named(path)}: {node.name}"
        for path in sorted((ROOT / "tests").rglob("test_*.py"))
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_") and not ast.get_docstring(node)
    ]
    assert silent == []
