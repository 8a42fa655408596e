"""The command line: what each call answers, where it says so, with which exit code, and what it leaves."""

from __future__ import annotations

import json
import re
import sys
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import jsonschema
import pytest

from scheduler.book.store import Book
from scheduler.cli import main
from tests.command import EXAMPLES, PLANNED, Ended, budswell, example, is_one_block, listing
from tests.folders import locked_folder

COMMANDS = ("plan", "check", "calendar", "record", "replan", "today", "show", "profiles", "schema", "book")

WRONG_CALLS = [
    (["sow"], ["No such command 'sow'", "budswell --help"]),
    (["pln"], ["Did you mean 'plan', 'replan'?"]),
    (["--sow"], ["No such option: --sow"]),
    (["plan"], ["Missing argument", "budswell plan --help"]),
    (["check"], ["Missing argument", "budswell check --help"]),
    (["check", "backyard", "--json"], ["No such option: --json"]),
    (["check", "backyard", "market"], ["unexpected extra argument", "market"]),
    (["plan", "backyard", "--today"], ["--today", "requires an argument"]),
    (["calendar", "backyard"], ["Missing option", "--output"]),
    (["plan", "backyard", "--today", "tomorrow"], ['"tomorrow"', "YYYY-MM-DD"]),
    (["check", "backyard", "--today", "2027-02-30"], ['"2027-02-30"', "YYYY-MM-DD"]),
    (["calendar", "backyard", "-o", "x.ics", "--today", ""], ['""', "YYYY-MM-DD"]),
    (["profiles", "shitake"], ['"shitake"', "budswell profiles 'shiitake'"]),
    (["schema", "season"], ['"season"', "budswell schema plan"]),
    (["calendar", "backyard", "-o", "gone/x.ics"], ["gone/x.ics", "the folder is not there"]),
    (["calendar", "backyard", "-o", "backyard"], ["this is a folder"]),
    (["calendar", "backyard", "-o", "backyard/season.toml/x.ics"], ["the folder is not there"]),
    (["calendar", "backyard", "-o", "backyard/season.toml"], ["this is the season itself"]),
    (["calendar", "backyard/season.toml", "-o", "backyard/../backyard/season.book"], ["season itself"]),
]
"""Calls that cannot work, and what the message has to say."""

SPOILT = {
    "faulty.toml": (
        b'[season]\nname = "x"\nunits = "miles"\n[peple]\n[lab]\nworkspace = "shed"\n',
        "faulty.toml:3",
    ),
    "torn.toml": (b"[season\n", "torn.toml:1"),
    "empty.toml": (b"", "empty file"),
    "picture.toml": (b"\x89PNG\r\n\x00\xff\xfe", "UTF-8"),
    "huge.toml": (b"#" * 1_000_001, "more than 1 MB"),
}
"""Season files that cannot be used, and what the message has to say."""


@pytest.fixture
def backyard(tmp_path: Path) -> Path:
    """A copy of the smallest example."""
    return example("backyard", tmp_path)


def kept(season: Path) -> list[int]:
    """The number of the newest plan in the book of a season folder; none where there is no book."""
    path = season / "season.book"
    if not path.exists():
        return []
    with Book.open(path, create=False) as book:
        newest = book.latest()
    return [newest.plan_no] if newest else []


# -- help ------------------------------------------------------------------------------------------------


def test_the_bare_command_says_what_it_can_do(tmp_path: Path) -> None:
    """Without arguments every command is listed, as with --help."""
    ended = budswell(cwd=tmp_path)
    assert ended == budswell("--help", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert all(f"\n  {command} " in ended.out for command in COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_explains_itself(command: str, tmp_path: Path) -> None:
    """The help of a command shows how it is called, and nothing else happens."""
    ended = budswell(command, "--help", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith(f"Usage: budswell {command} ")
    assert listing(tmp_path) == {}


def test_the_version_is_one_line(tmp_path: Path) -> None:
    """Name and version, as they stand in a plan too."""
    assert budswell("--version", cwd=tmp_path) == (0, "budswell 0.1.0\n", "")


# -- input that cannot work ------------------------------------------------------------------------------


@pytest.mark.parametrize(("arguments", "said"), WRONG_CALLS, ids=[" ".join(a) for a, _ in WRONG_CALLS])
def test_a_wrong_call_is_answered_with_one_block(
    arguments: list[str], said: list[str], tmp_path: Path
) -> None:
    """Exit code 2, one block on stderr that says what is wrong and what is allowed, nothing written."""
    example("backyard", tmp_path)
    before = listing(tmp_path)
    ended = budswell(*arguments, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert ended.err.startswith("This cannot work as it was called\n")
    assert all(words in ended.err for words in [*said, "found ", "allowed "])
    assert listing(tmp_path) == before


@pytest.mark.parametrize("name", SPOILT)
@pytest.mark.parametrize("command", [["check"], ["plan"], ["calendar", "-o", "x.ics"]], ids=lambda c: c[0])
def test_a_spoilt_season_file_is_refused(command: list[str], name: str, tmp_path: Path) -> None:
    """Exit code 2 from every command that reads it, with file and line where there is one; nothing written."""
    data, said = SPOILT[name]
    (tmp_path / name).write_bytes(data)
    ended = budswell(*command, name, cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert said in ended.err
    assert listing(tmp_path) == {name: data}


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    """The faults of a file come together, each with its place."""
    (tmp_path / "season.toml").write_bytes(SPOILT["faulty.toml"][0])
    ended = budswell("check", "season.toml", cwd=tmp_path)
    heading = ended.err.splitlines()[0]
    assert "faults)" in heading
    places = [line for line in ended.err.splitlines() if line.startswith("  season.toml")]
    assert len(places) >= 4
    assert {"season.units", "peple", "lab.workspace"} <= {place.split()[-1] for place in places}


@pytest.mark.parametrize("there", ["nothing", "folder"])
def test_a_season_that_is_not_there_is_told(there: str, tmp_path: Path) -> None:
    """Neither a missing path nor a folder without a season file is taken for a season."""
    if there == "folder":
        (tmp_path / "north").mkdir()
    before = listing(tmp_path)
    ended = budswell("plan", "north", cwd=tmp_path)
    assert ended.code == 2
    is_one_block(ended)
    assert ("a folder without a season.toml" if there == "folder" else "no such file") in ended.err
    assert listing(tmp_path) == before


# -- listings --------------------------------------------------------------------------------------------


def test_check_says_what_was_assumed(backyard: Path, tmp_path: Path) -> None:
    """A sound file is called so, with the defaults that were taken; no book is made."""
    before = listing(tmp_path)
    ended = budswell("check", "backyard", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith(
        "Fern Hollow, spring 2027: the season file can be planned, without a warning."
    )
    assert "lab.shelf.temperature  68 F" in ended.out
    assert listing(tmp_path) == before
    assert budswell("check", "backyard/season.toml", cwd=tmp_path) == ended


def test_today_may_be_given(backyard: Path, tmp_path: Path) -> None:
    """The day that is asked for goes before the file's own."""
    ended = budswell("check", "backyard", "--today", "2026-12-01", cwd=tmp_path)
    assert ended.code == 0
    assert "2026-12-01" in ended.out
    late = budswell("check", "backyard", "--today", "2027-07-01", cwd=tmp_path)
    assert late.code == 2
    assert "a window that ended on 2027-05-31" in late.err


@pytest.mark.parametrize(
    ("name", "title", "figure"),
    [
        ("shiitake", "Shiitake", "days.sawdust"),
        ("Lentinula edodes", "Shiitake", "days.sawdust"),
        ("drilled logs", "Drilled logs", "figures."),
        ("white oak", "Oak", "green_density"),
        ("quart jar", "Quart jar", "volume"),
        ("lab", "Lab", "culture."),
    ],
)
def test_every_entry_of_the_catalogue_can_be_looked_into(
    name: str, title: str, figure: str, tmp_path: Path
) -> None:
    """Species, methods, woods, containers and the lab show their figures, also under another name."""
    ended = budswell("profiles", name, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith(title)
    assert figure in ended.out
    assert any(basis in ended.out for basis in ("published", "common practice", "memory"))


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("shiitake", "Kentucky: 14 d (2 to 14), D. B. Hill 2010"),
        ("nameko", "the handbook, of a fruiting block: 14 d, P. Stamets 1993"),
        ("velvet foot", "a factory at 13 to 17 C: 22 d (20 to 23), Factory cultivation"),
        ("reishi", "another reishi, that of hemlock"),
        ("chip bed", "blewit: it wants leaves, straw and compost"),
        ("hemlock", "wine cap: poor on conifer chips alone"),
    ],
)
def test_an_entry_says_what_suits_and_where_sources_disagree(name: str, said: str, tmp_path: Path) -> None:
    """Conflicts are printed with both figures, and judgements with their reason."""
    ended = budswell("profiles", name, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert said in " ".join(ended.out.split())


def test_patterns_and_cuts_stand_side_by_side(tmp_path: Path) -> None:
    """Spawn, days and months of each on one log; closer ones take more spawn and are run through sooner."""
    for name, head, most in (("drilled logs", "pattern", 72), ("wedge-cut logs", "cut", 10)):
        ended = budswell("profiles", name, cwd=tmp_path, COLUMNS="100")
        assert (ended.code, ended.err) == (0, "")
        text = ended.out.split(
            "On a log of 12.5 cm x 1 m, shiitake, planted as the growing season begins (uncertain)\n"
        )[1]
        heads, *rows = text.split("\n\n")[0].splitlines()
        assert heads.split()[0] == head
        cells = [re.split("  +", row.strip()) for row in rows]
        assert int(cells[0][1]) == most
        assert all(re.fullmatch(r"\d+ months \(\d+ to \d+\)", row[-1]) for row in cells)
        days = [int(row[3].split()[0]) for row in cells[:3]]
        grams = [int(row[2].split()[0]) for row in cells[:3]]
        assert days == sorted(days) and grams == sorted(grams, reverse=True)
        assert "run.across" in ended.out
    assert "run.across" not in budswell("profiles", "chip bed", cwd=tmp_path).out


def test_figures_that_no_publication_gives_are_printed_with_their_count(tmp_path: Path) -> None:
    """As many rows as are counted, none of them published; an entry has its own list."""
    ended = budswell("profiles", "--unsourced", cwd=tmp_path, COLUMNS="200")
    assert (ended.code, ended.err) == (0, "")
    count = int(ended.out.split()[0])
    rows = [line for line in ended.out.splitlines() if re.search(r"  (memory|common practice)(  |$)", line)]
    assert len(rows) == count > 500
    assert not re.search(r"  published", ended.out)
    alone = budswell("profiles", "maitake", "--unsourced", cwd=tmp_path, COLUMNS="200")
    assert 0 < int(alone.out.split()[0]) < count
    assert "Maitake" in alone.out and "Nameko" not in alone.out


def test_the_catalogue_is_listed(tmp_path: Path) -> None:
    """Kind by kind, each entry with what it is."""
    ended = budswell("profiles", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert all(head in ended.out.splitlines() for head in ("Species", "Methods", "Woods", "Containers"))
    assert "Lentinula edodes" in ended.out


# -- plans -----------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> jsonschema.Draft202012Validator:
    """The schema that the command prints, itself checked against the schema of schemas."""
    ended = budswell("schema", "plan", cwd=tmp_path_factory.mktemp("schema"))
    assert (ended.code, ended.err) == (0, "")
    printed = json.loads(ended.out)
    jsonschema.Draft202012Validator.check_schema(printed)
    return jsonschema.Draft202012Validator(printed, format_checker=jsonschema.FormatChecker())


@pytest.mark.parametrize("name", PLANNED)
def test_json_is_what_the_schema_says(
    name: str, schema: jsonschema.Draft202012Validator, tmp_path: Path
) -> None:
    """`plan --json` prints one document that the printed schema admits, and the book holds that plan."""
    season = example(name, tmp_path)
    ended = budswell("plan", name, "--json", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    plan = json.loads(ended.out)
    schema.validate(plan)
    assert (plan["status"], plan["plan_no"]) == ("planned", 1)
    assert kept(season) == [1]
    with pytest.raises(jsonschema.ValidationError):
        schema.validate({**plan, "status": "maybe"})


def test_the_same_plan_is_kept_once(backyard: Path, tmp_path: Path) -> None:
    """Planning again prints the same and keeps nothing new; another day is another plan."""
    first = budswell("plan", "backyard", cwd=tmp_path)
    assert (first.code, first.err) == (0, "")
    book = (backyard / "season.book").read_bytes()
    assert budswell("plan", "backyard", cwd=tmp_path) == first
    assert kept(backyard) == [1]
    assert (backyard / "season.book").read_bytes() == book
    assert budswell("plan", "backyard", "--today", "2026-11-29", cwd=tmp_path).code == 0
    assert kept(backyard) == [2]


def test_a_plan_need_not_be_kept(backyard: Path, tmp_path: Path) -> None:
    """With --no-keep the folder is left as it was."""
    before = listing(tmp_path)
    ended = budswell("plan", "backyard", "--no-keep", "--json", cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert json.loads(ended.out)["plan_no"] is None
    assert listing(tmp_path) == before


def test_an_impossible_season_is_an_answer(schema: jsonschema.Draft202012Validator, tmp_path: Path) -> None:
    """Exit code 1, and on stdout what cannot all hold and what would cure it; nothing is kept."""
    example("too-late", tmp_path)
    before = listing(tmp_path)
    text = budswell("plan", "too-late", cwd=tmp_path)
    assert (text.code, text.err) == (1, "")
    assert text.out.startswith("No plan fits Late start, 2027")
    assert "These cannot all hold" in text.out
    assert "What would make it possible, cheapest first" in text.out
    document = budswell("plan", "too-late", "--json", cwd=tmp_path)
    assert (document.code, document.err) == (1, "")
    refusal = json.loads(document.out)
    schema.validate(refusal)
    assert refusal["status"] == "none"
    assert refusal["conflict"]
    assert len(refusal["remedies"]) >= 2
    assert listing(tmp_path) == before


def test_an_impossible_season_has_no_calendar(tmp_path: Path) -> None:
    """The calendar of a season that does not fit is its refusal; no file is written."""
    example("too-late", tmp_path)
    before = listing(tmp_path)
    ended = budswell("calendar", "too-late", "-o", "x.ics", cwd=tmp_path)
    assert (ended.code, ended.err) == (1, "")
    assert ended.out.startswith("No plan fits Late start, 2027")
    assert listing(tmp_path) == before


def test_two_processes_say_the_same_bytes(tmp_path: Path) -> None:
    """However Python scatters its hashes, plan and calendar are the same to the last byte."""
    answers = []
    for scatter in ("1", "77"):
        folder = tmp_path / scatter
        folder.mkdir()
        example("backyard", folder)
        plan = budswell("plan", "backyard", "--json", cwd=folder, PYTHONHASHSEED=scatter)
        assert plan.code == 0
        assert budswell("calendar", "backyard", "-o", "x.ics", cwd=folder, PYTHONHASHSEED=scatter).code == 0
        answers.append((plan.out, (folder / "x.ics").read_bytes()))
    assert answers[0] == answers[1]


# -- the calendar ----------------------------------------------------------------------------------------


def test_the_calendar_is_of_the_kept_plan(backyard: Path, tmp_path: Path) -> None:
    """The first calendar makes a plan, the next one uses it, and an edited season is planned again."""
    first = budswell("calendar", "backyard", "-o", "x.ics", cwd=tmp_path)
    assert (first.code, first.err) == (0, "")
    assert first.out.startswith("x.ics: ")
    assert first.out.endswith("of plan 1.\n")
    calendar = (tmp_path / "x.ics").read_bytes()
    assert budswell("calendar", "backyard", "-o", "x.ics", cwd=tmp_path) == first
    assert (tmp_path / "x.ics").read_bytes() == calendar
    assert kept(backyard) == [1]

    file = backyard / "season.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("Currant bed", "Elder bed"), encoding="utf-8")
    again = budswell("calendar", "backyard", "-o", "x.ics", cwd=tmp_path)
    assert again.out.endswith("of plan 2.\n")
    assert kept(backyard) == [2]
    assert b"Elder bed" in (tmp_path / "x.ics").read_bytes()
    assert sorted(listing(tmp_path)) == ["backyard", "backyard/season.book", "backyard/season.toml", "x.ics"]


# -- the book --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "arguments", [["plan", "backyard"], ["calendar", "backyard", "-o", "x.ics"]], ids=lambda a: a[0]
)
def test_a_book_that_is_none_is_left_alone(arguments: list[str], backyard: Path, tmp_path: Path) -> None:
    """Exit code 3, and the file that lies where the book should be is as it was."""
    (backyard / "season.book").write_text("notes of my own\n" * 100)
    before = listing(tmp_path)
    ended = budswell(*arguments, cwd=tmp_path)
    assert ended.code == 3
    is_one_block(ended)
    assert "season.book" in ended.err
    assert listing(tmp_path) == before
    assert budswell("check", "backyard", cwd=tmp_path).code == 0


def called(*arguments: str | Path) -> int:
    """The exit code of a call in this process, for what another process could not be given the right to."""
    with pytest.MonkeyPatch.context() as patch, pytest.raises(SystemExit) as ended:
        patch.setattr("signal.signal", lambda *_: None)
        patch.setattr(sys, "argv", ["budswell", *map(str, arguments)])
        main()
    assert isinstance(ended.value.code, int)
    return ended.value.code


def test_a_plan_cannot_be_kept_where_nothing_may_be_written(
    backyard: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """That is told with exit code 3 and nothing is left; the plan can be shown, but not written there either."""
    assert called("plan", backyard, "--no-keep") == 0
    plan = capsys.readouterr().out
    with locked_folder(**{"season.toml": (backyard / "season.toml").read_bytes()}) as folder:
        before = listing(folder)
        assert called("plan", folder) == 3
        told = Ended(3, *capsys.readouterr())
        is_one_block(told)
        assert "season.book" in told.err
        assert called("plan", folder, "--no-keep") == 0
        assert capsys.readouterr().out == plan
        assert called("calendar", folder, "-o", folder / "x.ics") == 2
        assert "nothing may be written here" in capsys.readouterr().err
        assert listing(folder) == before


def test_a_kept_plan_is_exported_from_where_nothing_may_be_written(
    backyard: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A season folder on a read-only disk, with its book, is enough for a calendar elsewhere."""
    assert called("plan", backyard) == 0
    with TemporaryDirectory() as place:
        calendar = Path(place, "x.ics")
        assert called("calendar", backyard, "-o", calendar) == 0
        expected = calendar.read_bytes()
        calendar.unlink()
        Path(place).chmod(0o777)
        capsys.readouterr()
        with locked_folder(**{path.name: path.read_bytes() for path in backyard.iterdir()}) as folder:
            before = listing(folder)
            assert called("calendar", folder, "-o", calendar) == 0
            assert capsys.readouterr().out.endswith("of plan 1.\n")
            assert listing(folder) == before
        assert calendar.read_bytes() == expected


def test_the_calendar_of_a_stopped_plan_says_so(backyard: Path, tmp_path: Path) -> None:
    """What an interrupted search had found is exported, and told on stderr and in the calendar itself."""
    assert budswell("plan", "backyard", cwd=tmp_path).code == 0
    path = backyard / "season.book"
    with Book.open(path, create=False) as book:
        newest = book.latest()
    assert newest is not None
    with Book.open(path, create=True) as book:
        book.keep(replace(newest.plan, status="stopped"), newest.season_text, "later", "")
    ended = budswell("calendar", "backyard", "-o", "x.ics", cwd=tmp_path)
    assert ended.code == 0
    assert ended.out.endswith("of plan 2.\n")
    assert ended.err.startswith("The search was interrupted")
    assert b"interrupted" in (tmp_path / "x.ics").read_bytes()


def test_once_a_plan_is_kept_a_window_may_pass(backyard: Path, tmp_path: Path) -> None:
    """In June the bed can still be planned when the logs' window is over; before a plan it is a fault."""
    late = ("check", "backyard", "--today", "2027-06-05")
    assert "a window that ended on 2027-05-31" in budswell(*late, cwd=tmp_path).err
    assert budswell("plan", "backyard", cwd=tmp_path).code == 0
    ended = budswell(*late, cwd=tmp_path)
    assert ended.code == 0
    assert '"Oak stack": its window ended on 2027-05-31, so it is left out' in " ".join(ended.out.split())


def test_a_book_beside_an_example_stays_out_of_the_repository() -> None:
    """Planning an example in a checkout leaves a book there that is never committed or packed."""
    ignored = (EXAMPLES.parent / ".gitignore").read_text(encoding="utf-8").splitlines()
    assert "*.book" in ignored


def test_documents_are_the_same_object(backyard: Path, tmp_path: Path) -> None:
    """The screen and the document show one plan."""
    document: dict[str, Any] = json.loads(budswell("plan", "backyard", "--json", cwd=tmp_path).out)
    screen = budswell("plan", "backyard", cwd=tmp_path).out
    assert document["tasks"]
    assert all(planting["name"] in screen for planting in document["plantings"])
    assert all(batch["id"] in screen for batch in document["batches"])
