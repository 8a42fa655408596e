"""The season file that is written for answers, and the copy of another season."""

from __future__ import annotations

import re
import tomllib
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.season.copying import copied
from scheduler.season.starter import ASSUMED, written
from scheduler.season.wrong import Wrong
from tests.command import EXAMPLES
from tests.grower import catalogue
from tests.season.test_questions import TODAY, answered

KEYS = tuple(answered())
SEASON = """# A season.
[season]
name = "Spring 2027"   # for 2027
today = 2026-11-28
id = "old-one"
[site]
bud_swell = 2027-04-12
[[planting]]
name = "Oak"
window = "2027-04-20/2027-05-25"   # from 2027-04-20 on
best = "2028-02-29/2028-03-01"
"""


def test_a_season_file_says_what_was_answered() -> None:
    """Every answer stands in the file under its key, in TOML."""
    said = answered(
        species="wine cap",
        amount="45 ft2",
        where="-41.3",
        units="imperial",
        jars="9",
        bags="0",
        name='A "quoted" name',
    )
    data = tomllib.loads(written(said, (), catalogue(), "an-id", TODAY))
    assert data["season"] == {"name": 'A "quoted" name', "id": "an-id", "units": "imperial"}
    assert data["site"]["latitude"] == -41.3
    assert data["site"]["bud_swell"].isoformat() == said["bud_swell"]
    assert data["people"] == {"hours": {"sat": 4, "sun": 4}}
    assert data["lab"]["cooker"] == [{"kind": "pressure cooker", "holds": {"quart jar": 9}}]
    assert data["lab"]["spawn_in"] == "quart jar"
    assert data["planting"] == [
        {
            "name": "First chip bed",
            "species": "wine cap",
            "method": "chip bed",
            "wood": said["wood"],
            "area": "45 ft2",
            "window": said["window"],
        }
    ]


def test_whoever_has_no_cooker_buys() -> None:
    """Without jars there is no cooker in the file, and the finished spawn is bought."""
    data = tomllib.loads(written(answered(jars="0"), (), catalogue(), "x", TODAY))
    assert "cooker" not in data["lab"]
    assert data["planting"][0]["spawn"] == "buy"


def test_only_what_nobody_said_is_marked() -> None:
    """A value that was given stands without the mark; each other one has it."""
    text = written(answered(), KEYS, catalogue(), "x", TODAY)
    assert "mark" in text
    for key in ("leaf_turn", "bud_swell", "units", "species", "window", "hours", "holds", "volume", "logs"):
        assert re.search(rf"^{key}\s*=.*{ASSUMED}$", text, re.MULTILINE), key
    assert not re.search(rf"=.*{ASSUMED}$", written(answered(), (), catalogue(), "x", TODAY), re.MULTILINE)
    some = written(answered(), [key for key in KEYS if key != "leaf_turn"], catalogue(), "x", TODAY)
    assert re.search(r"^leaf_turn\s*= [\d-]+$", some, re.MULTILINE)


@given(
    name=st.text(min_size=1, max_size=60).filter(lambda text: text.isprintable() and text.strip()),
    where=st.sampled_from(["44", "-12", "cold winters", "mild by the sea, south"]),
)
def test_any_name_is_valid_toml(name: str, where: str) -> None:
    """Quotes, backslashes and letters of any script stand in the file as they were typed; no line runs on."""
    text = written(answered(name=name, where=where), KEYS, catalogue(), "x", TODAY)
    assert tomllib.loads(text)["season"]["name"] == name.strip()
    assert max(len(line) for line in text.splitlines() if line.startswith("#")) <= 110


def test_a_copy_keeps_the_notes_and_has_a_day_and_an_id_of_its_own() -> None:
    """Today and the old id are gone, the new id is there, everything else is as it was."""
    text, years = copied(SEASON, "new-one", date(2026, 12, 1))
    assert years == 0
    assert text == SEASON.replace("today = 2026-11-28\n", "").replace('id = "old-one"\n', "").replace(
        "# for 2027\n", '# for 2027\nid       = "new-one"\n'
    )


@pytest.mark.parametrize(
    ("today", "years"),
    [
        (date(2026, 11, 28), 0),
        (date(2027, 1, 14), 0),  # a third of the time to the first window is over on 14 January
        (date(2027, 1, 16), 1),
        (date(2028, 1, 15), 2),
        (date(2020, 1, 1), 0),
    ],
)
def test_days_that_lie_behind_are_moved_by_whole_years(today: date, years: int) -> None:
    """Days, and the year in the name, are moved alike, as few years as leave time; 29 February becomes 28."""
    text, moved = copied(SEASON, "x", today)
    assert moved == years
    data = tomllib.loads(text)
    assert data["season"]["name"] == f"Spring {2027 + years}"
    assert data["site"]["bud_swell"] == date(2027 + years, 4, 12)
    planting = data["planting"][0]
    assert planting["window"] == f"{2027 + years}-04-20/{2027 + years}-05-25"
    assert planting["best"].startswith("2028-02-29" if not years else f"{2028 + years}-02-28")


def test_a_season_without_a_day_of_its_own_counts_by_its_windows() -> None:
    """It is moved once its first window is over."""
    text = SEASON.replace("today = 2026-11-28\n", "")
    assert copied(text, "x", date(2027, 5, 25))[1] == 0
    assert copied(text, "x", date(2027, 5, 26))[1] == 1


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*/season.toml")), ids=lambda path: path.parent.name)
def test_every_example_can_be_copied(path) -> None:  # type: ignore[no-untyped-def]
    """Read as TOML, the copy is the example but for today and the id; all of its notes are there."""
    original = path.read_text(encoding="utf-8")
    today = tomllib.loads(original)["season"]["today"]
    text, years = copied(original, "new", today)
    wanted = tomllib.loads(original)
    del wanted["season"]["today"]
    wanted["season"]["id"] = "new"
    assert (tomllib.loads(text), years) == (wanted, 0)
    notes = [line for line in original.splitlines() if line.startswith("#")]
    assert [line for line in text.splitlines() if line.startswith("#")] == notes
    assert "`today`" not in text


@pytest.mark.parametrize(
    "text",
    [
        "",
        "[season",
        "x = 1",
        "[season]\nname = 'x'",
        "planting = 3\n[season]\nname = 'x'",
        "season.name = 'x'\n[[planting]]\nwindow = '2027-04-20'",
        '[season]\nname = """\nx"""\n[[planting]]\nwindow = \'2027-04-20\'',
        "season = { name = 'x', today = 2026-01-01 }\n[[planting]]\nwindow = '2027-04-20'",
        "[season]\nname = 'x'\n[[planting]]\nwindow = 'spring'",
        "[season]\nname = 'x'\ntoday = 2026-01-01\n[[planting]]\nwindow = 4",
    ],
)
def test_what_is_no_season_is_not_copied(text: str) -> None:
    """A file without a season, or one that cannot be taken apart line by line, is refused with a reason."""
    with pytest.raises(Wrong) as wrong:
        copied(text, "x", TODAY)
    assert wrong.value.found and wrong.value.allowed
