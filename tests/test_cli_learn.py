"""`learn` as a grower calls it: what the books say, what is kept of it, and that plans go by it from then on."""

from __future__ import annotations

import json
import re
import shutil
import tomllib
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import jsonschema
import pytest

from scheduler.season.place import FIGURES
from tests.command import ROOT, Ended, example, inside, is_one_block, listing
from tests.february import TODAY, begun, newest

DONE = ("--today", "2027-05-23")
"""The day after the last planting of the backyard."""
STORY = (
    ("record", "backyard", "lost", "SHI-G1a", "3", *TODAY),
    ("replan", "backyard", *TODAY),
    ("record", "backyard", "ready", "WIN-G1a", "--today", "2027-02-09"),
    ("record", "backyard", "done", "all", *DONE),
)
"""What the grower does after the fourth of February: everything else went as planned."""


def season(folder: Path, name: str = "backyard") -> Path:
    """The backyard with its whole season in its book, as a folder of that name."""
    place = folder / name
    place.mkdir()
    for file, data in _whole().items():
        (place / file).write_bytes(data)
    return place


@cache
def _whole() -> dict[str, bytes]:
    with TemporaryDirectory() as folder:
        path = begun(Path(folder))
        for words in STORY:
            ended = inside(*words, cwd=Path(folder))
            assert ended.code == 0, ended.err
        return listing(path)


def another(folder: Path, name: str, **changed: str) -> Path:
    """A season of another name, with text of its file changed, and a book of its own kept a second later."""
    path = example("backyard", folder / "made" / name)
    place = shutil.copytree(path, folder / name)
    text = (place / "season.toml").read_text(encoding="utf-8").replace("Fern Hollow", name)
    for was, now in changed.items():
        text = text.replace({"box": '"still-air box"', "latitude": "latitude"}.get(was, was), now)
    (place / "season.toml").write_text(text, encoding="utf-8")
    assert inside("plan", place, cwd=folder).code == 0
    return place


def learned(*seasons: Path, cwd: Path) -> dict[str, Any]:
    """The document of what was learned."""
    ended = inside("learn", *seasons, "--json", *DONE, cwd=cwd)
    assert (ended.code, ended.err) == (0, "")
    found: dict[str, Any] = json.loads(ended.out)
    return found


def row(found: dict[str, Any], stage: str) -> dict[str, Any]:
    """What was learned of the losses of a stage."""
    return next(one for one in found["losses"] if one["stage"] == stage)


def refused(*arguments: str | Path, cwd: Path) -> Ended:
    """A call that ends in one block of an error and changes nothing on the disk."""
    before = listing(cwd)
    ended = inside("learn", *arguments, cwd=cwd)
    is_one_block(ended)
    assert ended.code == 2
    assert listing(cwd) == before
    return ended


def test_a_season_is_learned_from_and_nothing_is_written(tmp_path: Path) -> None:
    """Counts are those of the book: three of ten jars, no bag; one batch was ready on a day of its own."""
    path = season(tmp_path)
    before = listing(tmp_path)
    found = learned(path, cwd=tmp_path)
    grain = row(found, "grain")
    assert (grain["made"], grain["lost"], grain["growing"], grain["unknown"]) == (10, 3, 0, 0)
    assert grain["posterior"]["worth"] == pytest.approx(30, abs=2)
    assert (row(found, "sawdust")["lost"], row(found, "pellet")["lost"]) == (0, 0)
    assert (row(found, "load")["made"], row(found, "load")["lost"]) == (4, 0)
    days = {(one["species"], one["stage"]): one for one in found["days"]}
    assert (days["wine cap", "grain"]["known"], days["shiitake", "grain"]["between"]) == (1, 1)
    assert days["wine cap", "grain"]["factor"] > 1
    page = inside("learn", path, *DONE, cwd=tmp_path).out
    assert "10 made, 3 lost" in page
    assert "too little to say" in page
    assert (
        page.endswith(f"budswell learn {path} --keep lets plans go by what both say together.\n")
        or "--keep" in page
    )
    assert listing(tmp_path) == before


def test_the_readme_shows_what_is_printed(tmp_path: Path) -> None:
    """Its commands, one after the other, print its table."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    words = [
        ["plan", "examples/backyard"],
        *re.findall(
            r"^budswell (record examples/backyard (?:done all|lost SHI-G1a 3 green) --today 2027-02-03)$",
            readme,
            re.M,
        ),
        ["replan", "examples/backyard", "--today", "2027-02-03"],
        *re.findall(r"^budswell (record examples/backyard ready WIN-G1a .+)$", readme, re.M),
        ["record", "examples/backyard", "done", "all", *DONE],
    ]
    assert len(words) == 6
    (tmp_path / "examples").mkdir()
    example("backyard", tmp_path / "examples")
    for call in words:
        assert inside(*(call.split() if isinstance(call, str) else call), cwd=tmp_path).code == 0
    page = inside("learn", "examples/backyard", *DONE, cwd=tmp_path).out
    (shown,) = re.findall(r"```text\n(Learned from .+?)\.\.\.\n```", readme, re.S)
    assert page.startswith(shown)


def test_the_document_is_that_of_its_schema(tmp_path: Path) -> None:
    """`schema learned` describes what `learn --json` prints."""
    schema = json.loads(inside("schema", "learned", cwd=tmp_path).out)
    found = learned(season(tmp_path), cwd=tmp_path)
    jsonschema.validate(found, schema)
    assert found["schema"] == "budswell.learned/1"


def test_what_is_kept_is_planned_with(tmp_path: Path) -> None:
    """A season beside the kept figures gets other spares, and says which figures are the grower's own."""
    kept = season(tmp_path)
    fresh = example("backyard", tmp_path / "fresh")
    before = json.loads(inside("plan", fresh, "--json", "--no-keep", cwd=tmp_path).out)
    assert inside("learn", kept, "--keep", *DONE, cwd=tmp_path).code == 0
    shutil.copy(kept / FIGURES, fresh)
    after = json.loads(inside("plan", fresh, "--json", "--no-keep", cwd=tmp_path).out)
    figures = {one["name"]: one for one in after["figures"]}
    rate = figures["lab.losses.still-air box.grain.rate"]
    assert rate["basis"] == "own record"
    assert rate["likely"] == pytest.approx(
        row(learned(kept, cwd=tmp_path), "grain")["posterior"]["rate"], rel=1e-3
    )
    assert figures["species.wine cap.days.grain.liquid culture"]["basis"] == "own record"
    assert not any(one["basis"] == "own record" for one in before["figures"])
    assert after["spares"] != before["spares"]
    assert after["inputs_sha"] != before["inputs_sha"]
    assert any("No losses of your own" in note for note in before["notes"])
    assert not any("No losses of your own" in note for note in after["notes"])
    page = inside("plan", fresh, "--no-keep", cwd=tmp_path).out
    assert "own record (" in page


def test_a_plan_that_was_kept_before_no_longer_holds(tmp_path: Path) -> None:
    """`plan` makes a new one once there are figures of the grower's own."""
    fresh = example("backyard", tmp_path)
    assert inside("plan", fresh, cwd=tmp_path).code == 0
    kept = season(tmp_path, "done")
    assert inside("learn", kept, "--keep", *DONE, cwd=tmp_path).code == 0
    shutil.copy(kept / FIGURES, fresh)
    assert inside("plan", fresh, cwd=tmp_path).code == 0
    assert newest(fresh).plan_no == 2


def test_a_season_that_continues_goes_by_the_same_figures(tmp_path: Path) -> None:
    """Next year's season, without a file of its own, reads that of the season it continues."""
    last = begun(tmp_path)  # nothing of it is planted yet that would have to be looked after
    assert inside("learn", last, "--keep", *TODAY, cwd=tmp_path).code == 0
    following = example("backyard", tmp_path / "next")
    file = following / "season.toml"
    text = file.read_text(encoding="utf-8").replace("2027", "2028").replace("2026", "2027")
    file.write_text(text.replace("[season]", '[season]\ncontinues = "../../backyard"'), encoding="utf-8")
    plan = json.loads(inside("plan", following, "--json", "--no-keep", cwd=tmp_path).out)
    bases = {one["name"]: one["basis"] for one in plan["figures"]}
    assert bases["lab.losses.still-air box.grain.rate"] == "own record"
    (last / FIGURES).unlink()
    plan = json.loads(inside("plan", following, "--json", "--no-keep", cwd=tmp_path).out)
    assert "own record" not in {one["basis"] for one in plan["figures"]}


def test_a_copy_of_a_season_goes_by_the_same_figures(tmp_path: Path) -> None:
    """`new --from` takes them along and says so; a record that cannot be used is no season to copy."""
    last = begun(tmp_path)
    assert inside("learn", last, "--keep", *TODAY, cwd=tmp_path).code == 0
    copied = ("new", "next", "--from", last, "--today", "2027-08-01")
    ended = inside(*copied, cwd=tmp_path)
    assert (ended.code, ended.err) == (0, "")
    assert f"Copied with it: {FIGURES}." in ended.out
    assert listing(tmp_path / "next").keys() == {"season.toml", FIGURES}
    assert (tmp_path / "next" / FIGURES).read_bytes() == (last / FIGURES).read_bytes()
    plan = json.loads(
        inside("plan", "next", "--json", "--no-keep", "--today", "2027-08-01", cwd=tmp_path).out
    )
    assert "own record" in {one["basis"] for one in plan["figures"]}
    shutil.rmtree(tmp_path / "next")
    (last / FIGURES).write_text("days = 3\n", encoding="utf-8")
    ended = inside(*copied, cwd=tmp_path)
    assert (ended.code, ended.out) == (2, "")
    assert f"{last / FIGURES}" in ended.err.replace("\n", "")
    assert not (tmp_path / "next").exists()


def test_a_copy_overwrites_no_figures(tmp_path: Path) -> None:
    """Where figures lie already, nothing is written."""
    last = begun(tmp_path)
    assert inside("learn", last, "--keep", *TODAY, cwd=tmp_path).code == 0
    there = tmp_path / "next" / FIGURES
    there.parent.mkdir()
    there.write_text("# mine\n", encoding="utf-8")
    ended = inside("new", "next", "--from", last, "--today", "2027-08-01", cwd=tmp_path)
    assert (ended.code, ended.out) == (2, "")
    assert listing(there.parent) == {FIGURES: b"# mine\n"}


def test_keeping_twice_gives_the_same_bytes_and_counts_nothing_twice(tmp_path: Path) -> None:
    """The prior is the trade's each time, whatever was kept before; comments around the record stay."""
    path = season(tmp_path)
    own = path / FIGURES
    own.write_text("# My figures, since 2019.\n# \u00e9t\u00e9", encoding="utf-8")
    assert inside("learn", path, "--keep", *DONE, cwd=tmp_path).code == 0
    first = own.read_bytes()
    with own.open("ab") as file:
        file.write(b"# and a word after it\n")
    ended = inside("learn", path, "--keep", *DONE, cwd=tmp_path)
    assert own.read_bytes() == first + b"# and a word after it\n"
    assert first.startswith("# My figures, since 2019.\n# \u00e9t\u00e9\n# What budswell".encode())
    assert "Kept in" in ended.out
    data = tomllib.loads(own.read_text(encoding="utf-8"))
    assert data["learned"]["seasons"] == ["Fern Hollow, spring 2027"]
    assert data["learned"]["prior"].startswith("the figures of budswell")
    assert set(data["days"]) == {"shiitake", "wine cap"}
    assert set(listing(path)) == {"season.toml", "season.book", FIGURES}


def test_seasons_are_counted_together(tmp_path: Path) -> None:
    """The data of two books are added up; what one of them no longer counts is said."""
    first = season(tmp_path)
    second = another(tmp_path, "Second Hollow")
    assert inside("record", second, "done", "all", *DONE, cwd=tmp_path).code == 0
    alone = [learned(one, cwd=tmp_path) for one in (first, second)]
    both = learned(first, second, cwd=tmp_path)
    for stage in ("grain", "sawdust", "pellet", "load"):
        for count in ("made", "lost"):
            assert row(both, stage)[count] == sum(row(one, stage)[count] for one in alone)
    assert [one["name"] for one in both["seasons"]] == [
        "Fern Hollow, spring 2027",
        "Second Hollow, spring 2027",
    ]
    assert row(both, "sawdust")["posterior"]["worth"] == pytest.approx(
        20 + sum(row(one, "sawdust")["made"] for one in alone)
    )
    days = {(one["species"], one["stage"]): one for one in both["days"]}
    assert days["shiitake", "grain"]["between"] == 2
    assert inside("learn", first, second, "--keep", *DONE, cwd=tmp_path).code == 0
    assert not (second / FIGURES).exists()
    fewer = inside("learn", first, *DONE, cwd=tmp_path).out
    assert "also came from Second Hollow, spring 2027" in " ".join(fewer.split())


def test_the_season_files_own_figures_go_first(tmp_path: Path) -> None:
    """And the page says so."""
    path = season(tmp_path)
    with (path / "season.toml").open("a", encoding="utf-8") as file:
        file.write("\n[figures.shiitake.grain]\ndays = { low = 12, likely = 15, high = 20 }\n")
    page = " ".join(inside("learn", path, *DONE, cwd=tmp_path).out.split())
    assert "go before all that is learned: shiitake grain days" in page


def test_a_season_named_twice_is_refused(tmp_path: Path) -> None:
    """Its folder and its file are the same season, and so is a copy of its folder."""
    path = season(tmp_path)
    ended = refused(path, path / "season.toml", *DONE, cwd=tmp_path)
    assert "named twice" in ended.err
    copy = shutil.copytree(path, tmp_path / "copy")
    assert "is a copy of the other" in refused(path, copy, "--keep", *DONE, cwd=tmp_path).err


@pytest.mark.parametrize(
    ("was", "now", "why"),
    [
        ("box", '"flow hood"', "a flow hood"),
        ("latitude", "latitude = 12.5 #", "latitude 12.5"),
    ],
)
def test_another_lab_is_refused(was: str, now: str, why: str, tmp_path: Path) -> None:
    """Losses under other air, or of somebody elsewhere, say nothing of this lab."""
    path = season(tmp_path)
    other = another(tmp_path, "Elsewhere", **{was: now})
    assert inside("record", other, "done", "all", *DONE, cwd=tmp_path).code == 0
    assert why in " ".join(refused(path, other, "--keep", *DONE, cwd=tmp_path).err.split())


def test_what_cannot_be_learned_from_is_refused(tmp_path: Path) -> None:
    """No season, no plan, no entry, no batch: one clear block each, and nothing is written."""
    assert "no season lies here" in refused("nowhere", cwd=tmp_path).err
    unplanned = example("backyard", tmp_path / "unplanned")
    assert "no plan of this season" in refused(unplanned, "--keep", cwd=tmp_path).err
    planned = another(tmp_path, "Planned")
    assert "nothing is recorded" in refused(planned, "--keep", cwd=tmp_path).err
    path = season(tmp_path)
    assert "nothing is recorded" in refused(path, planned, "--keep", cwd=tmp_path).err
    assert inside("record", planned, "bought", "wax", "--today", "2027-01-03", cwd=tmp_path).code == 0
    assert "nothing to keep yet" in refused(planned, "--keep", "--today", "2027-01-03", cwd=tmp_path).err
    page = inside("learn", planned, "--today", "2027-01-03", cwd=tmp_path)
    assert page.code == 0
    assert "No batch was begun here yet" in page.out


BROKEN = {
    "no TOML": ("[losses\n", "no valid TOML"),
    "another file": ('[season]\nname = "x"\n', "a key that is not known"),
    "a share beyond one": (
        '[losses."still-air box".grain]\nlow = 0.1\nrate = 1.2\nhigh = 1.3\nworth = 20\n',
        "1.2",
    ),
    "out of order": (
        '[losses."still-air box".grain]\nlow = 0.3\nrate = 0.2\nhigh = 0.5\nworth = 20\n',
        "does not hold",
    ),
    "no such species": ('[days."grey thing".grain]\nfactor = 1.1\nspread = 1\n', "grey thing"),
    "no such stage": ("[days.shiitake.grian]\nfactor = 1.1\nspread = 1\n", "grian"),
    "a factor of nothing": ("[days.shiitake.grain]\nfactor = 0\nspread = 1\n", "factor"),
}


@pytest.mark.parametrize("broken", BROKEN)
@pytest.mark.parametrize("command", [["learn", "--keep"], ["plan"]], ids=["learn", "plan"])
def test_a_broken_figures_file_is_named(broken: str, command: list[str], tmp_path: Path) -> None:
    """By whoever reads it, with the key, what is allowed and a way out; nothing is changed."""
    path = season(tmp_path)
    text, said = BROKEN[broken]
    (path / FIGURES).write_text(text, encoding="utf-8")
    before = listing(tmp_path)
    ended = inside(command[0], path, *command[1:], *DONE, cwd=tmp_path)
    is_one_block(ended)
    assert ended.code == 2
    assert said in ended.err
    assert FIGURES in ended.err
    assert "move the file away" in " ".join(ended.err.split())
    assert listing(tmp_path) == before


def test_hand_written_tables_of_the_same_name_are_not_overwritten(tmp_path: Path) -> None:
    """The record goes beside what is there, or nowhere; half of the marks are no marks."""
    path = season(tmp_path)
    own = '[losses."still-air box".grain]\nlow = 0.1\nrate = 0.2\nhigh = 0.3\nworth = 9\n'
    (path / FIGURES).write_text(own, encoding="utf-8")
    assert "does not go with what was learned" in " ".join(
        refused(path, "--keep", *DONE, cwd=tmp_path).err.split()
    )
    (path / FIGURES).write_text(own.replace("still-air box", "flow hood"), encoding="utf-8")
    assert inside("learn", path, "--keep", *DONE, cwd=tmp_path).code == 0
    text = (path / FIGURES).read_text(encoding="utf-8")
    assert set(tomllib.loads(text)["losses"]) == {"flow hood", "still-air box"}
    (path / FIGURES).write_text(text.replace("# The end of what", "# The and of what"), encoding="utf-8")
    assert "marks" in refused(path, "--keep", *DONE, cwd=tmp_path).err


def test_a_damaged_book_is_left_alone(tmp_path: Path) -> None:
    """It is the error of a book, with its own exit code."""
    path = season(tmp_path)
    (path / "season.book").write_bytes(b"no book")
    ended = inside("learn", path, "--keep", *DONE, cwd=tmp_path)
    is_one_block(ended)
    assert ended.code == 3
    assert not (path / FIGURES).exists()
