"""The README's two commands: one that plans a first season, one that proves the installation."""

from __future__ import annotations

import re
import shlex
import subprocess
from collections import Counter
from pathlib import Path

from scheduler.trade.catalogue import load
from tests import calendar_story, page_pictures

README = Path(__file__).parents[1] / "README.md"


COUNTS = "Of the {} figures of the catalogue {} are published, {} are common practice and {} are memory;"
"""What the README says of the catalogue."""


def blocks() -> list[str]:
    """What stands in the README's blocks of shell."""
    return re.findall(r"^```sh\n(.*?)^```$", README.read_text(encoding="utf-8"), re.DOTALL | re.MULTILINE)


def test_the_first_command_plans_an_example() -> None:
    """The first block makes an environment, installs the program into it, and plans the backyard."""
    first = blocks()[0]
    places = [first.find(step) for step in ("venv", "pip install", "budswell plan examples/backyard")]
    assert -1 not in places
    assert places == sorted(places)


def test_the_second_command_runs_the_tests() -> None:
    """The second block installs what the tests need, and runs them."""
    second = blocks()[1]
    places = [second.find(step) for step in ("venv", "pip install", "[test]", "pytest")]
    assert -1 not in places
    assert places == sorted(places)


def test_each_command_can_be_pasted_as_it_stands() -> None:
    """A block is shell without a prompt or a stand-in for a name, and stops at the first step that fails."""
    first, second, *_ = blocks()
    for block in (first, second):
        assert subprocess.run(["sh", "-n"], input=block, text=True, check=False).returncode == 0
        words = shlex.split(block, comments=True)
        assert not {"$", ">", "...", "sudo"} & set(words)
        assert not re.search(r"<\w", block)
        steps = [line for line in block.strip().splitlines() if not line.startswith("#")]
        assert all(step.rstrip().endswith(("&&", "\\")) for step in steps[:-1])
        assert not steps[-1].rstrip().endswith(("&&", "\\"))


def test_the_figures_of_the_catalogue_are_counted_as_they_are() -> None:
    """How many rest on what is told to whoever reads on, and stays true with every figure that is added."""
    found = Counter(figure.basis for _, figure in load().figures())
    bases = [found.pop(basis) for basis in ("published", "common practice", "memory")]
    assert not found
    sentence = COUNTS.format(sum(bases), *bases)
    assert sentence in " ".join(README.read_text(encoding="utf-8").split()), (
        f"the README should say: {sentence}"
    )


def test_the_pictures_of_the_page_are_there() -> None:
    """Each that is shown is drawn by the command for it, and described for whoever cannot see it."""
    shown = dict(re.findall(r"!\[([^]]*)\]\((tests/page/[^)]+)\)", README.read_text(encoding="utf-8")))
    drawn = set(
        re.findall(r'folder / "(\w+\.png)"', Path(page_pictures.__file__).read_text(encoding="utf-8"))
    )
    assert {Path(path).name for path in shown.values()} == drawn
    for said, path in shown.items():
        assert len(said) > 30
        assert (README.parent / path).read_bytes().startswith(b"\x89PNG")


def test_the_table_of_a_calendar_file_is_what_a_replan_does() -> None:
    """README's figures of entries that stay, change, come and go are those of this version."""
    told = calendar_story.told()
    assert f"```text\n{told}```\n" in README.read_text(encoding="utf-8")
    rows = {line[:17].strip(): line[17:].split() for line in told.splitlines()[1:]}
    assert int(rows["as before"][0]) >= 10
    assert rows["as before"][-2:] == rows["written once more"][-2:] == ["the", "same"]
    assert all(int(row[0]) > 0 for row in rows.values())
