"""What the output looks like where it goes (terminal, pipe, full disk), and what Ctrl-C does to a command."""

from __future__ import annotations

import json
import os
import re
import select
import signal
import subprocess
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from tempfile import TemporaryFile
from typing import Literal

import pytest
from rich.cells import cell_len

from scheduler.book.store import Book
from scheduler.present.progress import WORDS
from tests.command import COMMAND, budswell, environment, example

ESCAPE = "\x1b"
COLOUR = re.compile(r"\x1b\[(?:[\d;]*;)?(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:;[\d;]*)?m")
PATIENCE = 60.0
"""Seconds after which a process that says nothing is taken for stuck."""

needs_terminals = pytest.mark.skipif(
    os.name != "posix", reason="THIS TEST DID NOT RUN: this system has no pseudo-terminals"
)


class Terminal:
    """A process whose stdout or stderr is a terminal, with what it has drawn there so far."""

    def __init__(
        self,
        *arguments: str,
        cwd: Path,
        drawn: Literal["stdout", "stderr"] = "stdout",
        variables: Mapping[str, str] | None = None,
    ) -> None:
        import pty

        self._screen, theirs = pty.openpty()
        # A pipe that nobody reads in time would hold the process up.
        self._piped = TemporaryFile()  # noqa: SIM115 - closed at the end
        self.process = subprocess.Popen(
            [*COMMAND, *arguments],
            cwd=cwd,
            env=environment(**{"TERM": "xterm-256color", **(variables or {})}),
            stdin=subprocess.DEVNULL,
            stdout=theirs if drawn == "stdout" else self._piped,
            stderr=theirs if drawn == "stderr" else self._piped,
        )
        os.close(theirs)
        self.drawn = ""

    def wait_for(self, met: Callable[[str], object]) -> None:
        """Reads the terminal until what is drawn meets a condition or the process has ended."""
        until = time.monotonic() + PATIENCE
        while not met(self.drawn) and time.monotonic() < until:
            if not select.select([self._screen], [], [], 0.1)[0]:
                continue
            try:
                self.drawn += os.read(self._screen, 65536).decode(errors="replace")
            except OSError:  # the other end is closed
                return

    def end(self) -> tuple[int, bytes]:
        """The exit code, and what went beside the terminal."""
        self.wait_for(lambda _: False)
        code = self.process.wait(PATIENCE)
        os.close(self._screen)
        with self._piped:
            self._piped.seek(0)
            return code, self._piped.read()


@needs_terminals
def test_a_terminal_gets_bold_headings_and_a_pipe_gets_text(tmp_path: Path) -> None:
    """Escape codes go to terminals only; without them both show the same words."""
    example("backyard", tmp_path)
    piped = budswell("plan", "backyard", cwd=tmp_path)
    assert piped.code == 0
    assert ESCAPE not in piped.out + piped.err
    terminal = Terminal("plan", "backyard", cwd=tmp_path, variables={"COLUMNS": "100"})
    assert terminal.end() == (0, b"")
    assert f"{ESCAPE}[1m" in terminal.drawn
    words = re.sub(r"\x1b\[[\d;]*m", "", terminal.drawn).replace("\r\n", "\n")
    assert words == piped.out


@needs_terminals
@pytest.mark.parametrize(
    "variables", [{"NO_COLOR": "1"}, {"TERM": "dumb"}], ids=["NO_COLOR", "dumb terminal"]
)
def test_a_terminal_may_be_without_colour(variables: dict[str, str], tmp_path: Path) -> None:
    """Nothing is coloured where the person or the terminal does not want it (no-color.org)."""
    example("too-late", tmp_path)
    terminal = Terminal("check", "too-late", cwd=tmp_path, variables=variables)
    assert terminal.end() == (0, b"")
    assert "the season file can be planned" in terminal.drawn
    assert not COLOUR.search(terminal.drawn)
    if "TERM" in variables:
        assert ESCAPE not in terminal.drawn


@pytest.mark.parametrize(
    ("arguments", "columns"),
    [
        (["plan", "market"], 80),
        (["plan", "backyard"], 40),
        (["plan", "too-late"], 80),
        (["plan", "too-late"], 40),
        (["check", "market"], 80),
        (["check", "market"], 40),
        (["profiles", "lab"], 80),
        (["profiles", "lab"], 40),
        (["profiles", "shiitake"], 40),
        (["profiles", "--unsourced"], 40),
    ],
    ids=str,
)
def test_pages_keep_to_their_width(arguments: list[str], columns: int, tmp_path: Path) -> None:
    """No line is wider than the page, or ends in blanks."""
    if arguments[0] != "profiles":
        example(arguments[1], tmp_path)
    ended = budswell(*arguments, cwd=tmp_path, COLUMNS=str(columns))
    lines = ended.out.splitlines()
    assert len(lines) > 10
    assert [line for line in lines if cell_len(line) > columns] == []
    assert [line for line in lines if line != line.rstrip()] == []


def test_letters_that_a_terminal_does_not_have(tmp_path: Path) -> None:
    """There a page shows them in another way; a document is UTF-8 everywhere."""
    season = example("backyard", tmp_path) / "season.toml"
    season.write_text(season.read_text(encoding="utf-8").replace("Fern Hollow", "Fårhøj ☘"), encoding="utf-8")
    page = budswell("plan", "backyard", cwd=tmp_path, PYTHONIOENCODING="ascii")
    assert page.code == 0
    assert "F\\xe5rh\\xf8j" in page.out
    document = budswell("plan", "backyard", "--json", cwd=tmp_path, PYTHONIOENCODING="ascii")
    assert json.loads(document.out)["season"]["name"] == "Fårhøj ☘, spring 2027"


@needs_terminals
@pytest.mark.parametrize("arguments", [["profiles", "lab"], ["schema", "plan"]], ids=" ".join)
def test_a_reader_may_leave_early(arguments: list[str], tmp_path: Path) -> None:
    """A pager that is closed ends the command without a word."""
    reading, writing = os.pipe()
    os.close(reading)
    ended = subprocess.run(
        [*COMMAND, *arguments],
        cwd=tmp_path,
        env=environment(),
        stdout=writing,
        stderr=subprocess.PIPE,
        check=False,
    )
    os.close(writing)
    assert (ended.returncode, ended.stderr) == (-signal.SIGPIPE, b"")


@pytest.mark.skipif(
    not Path("/dev/full").exists(), reason="THIS TEST DID NOT RUN: no device that is always full"
)
@pytest.mark.parametrize("arguments", [["profiles", "lab"], ["schema", "plan"]], ids=" ".join)
def test_a_full_disk_is_told(arguments: list[str], tmp_path: Path) -> None:
    """Where the answer cannot be written that is said in one block, with exit code 2."""
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run(
            [*COMMAND, *arguments],
            cwd=tmp_path,
            env=environment(),
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
        )
    assert ended.returncode == 2
    assert b"No space left" in ended.stderr
    assert b"Traceback" not in ended.stderr


# -- Ctrl-C ----------------------------------------------------------------------------------------------


WIDE_VALLEY = """
[season]
name = "Wide valley"
timezone = "Europe/Berlin"
today = 2026-11-14
[site]
latitude = 51.2
elevation = "180 m"
leaf_turn = 2026-10-12
bud_swell = 2027-04-05
ground_thaws = 2027-03-20
last_frost = 2027-05-12
[people]
hours = { tue = 3, thu = 3, sat = 8, sun = 8 }
[lab]
workspace = "flow hood"
[lab.shelf]
volume = "1000 L"
[lab.fridge]
volume = "1000 L"
[[lab.cooker]]
kind = "pressure cooker"
loads_per_day = 3
holds = { "quart jar" = 14, "2.3 kg bag" = 8 }
"""
PLOTS = (
    'species = "shiitake"\nmethod = "drilled logs"\nlogs = { count = 20, diameter = "13 cm", length = "1 m" }',
    'species = "oyster"\nmethod = "totem"\nlogs = { count = 8, diameter = "26 cm", length = "80 cm" }',
    'species = "nameko"\nmethod = "log raft"\nlogs = { count = 12, diameter = "11 cm", length = "60 cm" }',
    'species = "wine cap"\nmethod = "chip bed"\narea = "5 m2"\ndepth = "12 cm"\nchips = "wetted in place"',
)


def wide_valley(plots: int) -> str:
    """A season file with so many plantings, each of a strain of its own, that the search takes its time."""
    plantings = (
        f'[[planting]]\nname = "Plot {number}"\nstrain = "number {number}"\n'
        f'window = "2027-04-01/2027-06-05"\n{PLOTS[number % len(PLOTS)]}\n'
        for number in range(plots)
    )
    return WIDE_VALLEY + "".join(plantings)


@needs_terminals
def test_ctrl_c_takes_the_best_plan_so_far(tmp_path: Path) -> None:
    """Once days with work are saved there is a plan: it is shown and kept, and said to be unfinished."""
    (tmp_path / "season.toml").write_text(wide_valley(24), encoding="utf-8")
    terminal = Terminal("plan", ".", cwd=tmp_path, drawn="stderr")
    terminal.wait_for(lambda drawn: WORDS["days"] in drawn or WORDS["polish"] in drawn)
    assert "Ctrl-C takes the best so far" in terminal.drawn
    terminal.process.send_signal(signal.SIGINT)
    code, page = terminal.end()
    assert code == 0, terminal.drawn
    assert "The search was interrupted: this is the best plan it had found" in " ".join(page.decode().split())
    with Book.open(tmp_path / "season.book", create=False) as book:
        kept = book.latest()
    assert kept is not None
    assert kept.plan.status == "stopped"
    assert len(kept.plan.plantings) == 24


@needs_terminals
def test_ctrl_c_before_there_is_a_plan(tmp_path: Path) -> None:
    """Exit code 130 and one line; nothing is left behind."""
    season = tmp_path / "season.toml"
    os.mkfifo(season)
    process = subprocess.Popen(
        [*COMMAND, "plan", "season.toml"],
        cwd=tmp_path, env=environment(), stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    # Without waiting, a pipe opens for writing only once somebody reads it: the command is at its season then.
    writing = None
    while writing is None and process.poll() is None:
        with suppress(OSError):
            writing = os.open(season, os.O_WRONLY | os.O_NONBLOCK)
        time.sleep(0.02)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=PATIENCE)
    assert writing is not None, err
    os.close(writing)
    assert process.returncode == 130
    assert (out, err) == (b"", b"Stopped before it was done.\n")
    assert [path.name for path in tmp_path.iterdir()] == ["season.toml"]
