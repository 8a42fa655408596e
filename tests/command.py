"""The command as a person calls it: a process of its own, with what it printed and what it left behind."""

from __future__ import annotations

import gc
import os
import shutil
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path
from typing import NamedTuple

import pytest

from scheduler.cli import main

ROOT = Path(__file__).parents[1]
EXAMPLES = ROOT / "examples"
PLANNED = ("backyard", "cold-room", "maritime", "market", "second-spring", "south")
"""The examples for which a plan fits; for too-late none does."""
COMMAND = [sys.executable, "-m", "scheduler.cli"]
UNSET = ("COLUMNS", "FORCE_COLOR", "NO_COLOR", "TTY_COMPATIBLE", "TTY_INTERACTIVE", "PYTHONIOENCODING", "TZ")
"""What would change the look of the output, where the tests run."""


class Ended(NamedTuple):
    """How a call ended."""

    code: int
    out: str
    err: str


def environment(**variables: str) -> dict[str, str]:
    """The variables of a process, none of them left that changes what is printed, but for those given."""
    kept = {name: value for name, value in os.environ.items() if name not in UNSET}
    return {**kept, "PYTHONPATH": str(ROOT), **variables}


def budswell(*arguments: str | Path, cwd: Path, **variables: str) -> Ended:
    """Calls the command in a folder; nothing it ever prints is a traceback."""
    ended = subprocess.run(
        [*COMMAND, *map(str, arguments)],
        cwd=cwd,
        env=environment(**variables),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert "Traceback" not in ended.stderr + ended.stdout, ended.stderr
    return Ended(ended.returncode, ended.stdout, ended.stderr)


def inside(*arguments: str | Path, cwd: Path, **variables: str) -> Ended:
    """Calls the command in this process: the same words and exit code, in a tenth of the time.

    For tables of many calls, and for calls whose clock or rights a test has set.
    """
    streams = [TextIOWrapper(BytesIO(), encoding="utf-8") for _ in range(2)]
    with pytest.MonkeyPatch.context() as patch:
        patch.chdir(cwd)
        for name in UNSET:
            patch.delenv(name, raising=False)
        for name, value in variables.items():
            patch.setenv(name, value)
        patch.setattr("signal.signal", lambda *_: None)
        patch.setattr(sys, "argv", ["budswell", *map(str, arguments)])
        patch.setattr(sys, "stdin", StringIO())
        with redirect_stdout(streams[0]), redirect_stderr(streams[1]), pytest.raises(SystemExit) as ended:
            main()
    gc.enable()  # the command is made for a short life
    for stream in streams:
        stream.flush()
    out, err = (stream.buffer.getvalue().decode() for stream in streams)
    assert isinstance(ended.value.code, int)
    return Ended(ended.value.code, out, err)


def is_one_block(ended: Ended) -> None:
    """An error is one heading with indented lines below it, on stderr alone."""
    heading, *lines = ended.err.splitlines()
    assert ended.out == ""
    assert heading
    assert not heading.startswith(" ")
    assert lines
    assert all(line.startswith("  ") for line in lines)


def example(name: str, folder: Path) -> Path:
    """A copy of an example, without a book, in a folder."""
    ignored = shutil.ignore_patterns("*.book", "*.ics")
    return Path(shutil.copytree(EXAMPLES / name, folder / name, ignore=ignored))


def listing(folder: Path) -> dict[str, bytes]:
    """Every file below a folder with its content, every folder with none."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else b""
        for path in sorted(folder.rglob("*"))
    }
