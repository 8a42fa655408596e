"""The grower's own figures file: TOML under any names, all else in it untouched, the same bytes for the same."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.errors import UsageError
from scheduler.learned import BAND, Days, DaysLearned, Learned, LearnedFrom, Loss, LossLearned
from scheduler.lines.own_record import with_own
from scheduler.service.own_figures import BEGIN, END, composed, keep, record_of
from scheduler.trade.catalogue import load
from scheduler.trade.own import OwnDays, OwnFrom, OwnLoss, OwnRecord, read_own
from tests.command import listing

NAMES = st.text(st.characters(exclude_categories=["Cs"]), max_size=30) | st.sampled_from(
    [
        "lion's mane",
        'a "b" c',
        "[days]",
        "#",
        "x.y",
        "a\nb",
        "\u2028",
        "caf\u00e9",
        "",
        "\x7f",
        "'''",
        '"""',
        END,
    ]
)


def _rounded(number: float) -> float:
    return float(f"{number:.4g}")


SHARES = st.floats(1e-6, 0.999).map(_rounded)
LOSSES = st.builds(
    lambda ends, worth: OwnLoss(low=ends[0], rate=ends[1], high=ends[2], worth=worth, made=3, lost=1),
    st.lists(SHARES, min_size=3, max_size=3).map(sorted),
    st.floats(0.5, 1e5).map(_rounded),
)
RECORDS = st.builds(
    OwnRecord,
    learned=st.builds(OwnFrom, seasons=st.lists(NAMES, max_size=3), entries=st.integers(0, 9), prior=NAMES),
    losses=st.dictionaries(
        st.sampled_from(["still-air box", "flow hood"]),
        st.dictionaries(st.sampled_from(["grain", "liquid culture"]), LOSSES),
    ),
    loads=st.none() | LOSSES,
    days=st.dictionaries(
        NAMES,
        st.dictionaries(
            st.sampled_from(["grain", "liquid culture"]),
            st.builds(
                OwnDays, factor=st.floats(0.1, 10).map(_rounded), spread=st.floats(0.01, 2).map(_rounded)
            ),
            min_size=1,
        ),
        max_size=3,
    ),
)
BESIDE = st.sampled_from(
    ["", "# mine", "# mine\n", "# mine\r\n# too\r\n", '[losses."clean room"]\n# none yet\n']
)


@given(record=RECORDS, before=BESIDE, after=st.sampled_from(["", "# after\n", "[days]\n"]))
def test_whatever_the_names_it_is_toml_that_says_the_same(record: OwnRecord, before: str, after: str) -> None:
    """What is written is read back, what stood there stands there, and once more changes nothing."""
    text = composed(before, record, "figures.toml") + (
        after if "days" not in after or not record.days else ""
    )
    found = OwnRecord.model_validate(tomllib.loads(text))
    by_hand = {name for name in found.losses if name not in record.losses}
    assert by_hand <= {"clean room"}
    losses = {name: stages for name, stages in found.losses.items() if stages}
    assert losses == {name: stages for name, stages in record.losses.items() if stages}
    assert (found.learned, found.loads, found.days) == (record.learned, record.loads, record.days)
    assert text.startswith(before)
    again = composed(text, record, "figures.toml")
    assert again == text


def learned(name: str = "Hill", seasons: int = 1, made: int = 12) -> Learned:
    """Something that was learned."""
    prior, posterior = Loss(0.02, 0.1, 0.23, 20), Loss(0.0312345, 0.1234567, 0.2, 32)
    days = Days(8, 12, 16)
    return Learned(
        seasons=tuple(LearnedFrom(f"{name} {n}", 1, 10) for n in range(seasons)),
        workspace="still-air box",
        prior="the figures of nobody",
        losses=(
            LossLearned("grain", prior, made, 2, 0, 0.0, 0, posterior, 0.4, "some"),
            LossLearned("plate", prior, 0, 0, 0, 0.0, 4, prior, 0.0, "nothing"),
        ),
        days=(
            DaysLearned(
                "lion's mane",
                "grain",
                "grain",
                days,
                2,
                1,
                0,
                0,
                0.9,
                1.123456,
                1.3,
                0.87654,
                days,
                0.5,
                "much",
            ),
            DaysLearned("oyster", "plate", "", days, 0, 0, 0, 1, 0.9, 1, 1.3, 1, days, 0, "nothing"),
        ),
    )


def test_only_what_there_are_data_of_is_kept() -> None:
    """Rounded to four figures; what nobody knows anything of stays the trade's."""
    record = record_of(learned())
    assert BAND == 0.9
    assert set(record.losses["still-air box"]) == {"grain"}
    assert record.losses["still-air box"]["grain"].rate == 0.1235
    assert record.days == {"lion's mane": {"grain": OwnDays(factor=1.123, spread=0.8765, batches=3)}}
    assert record.loads is None


def test_the_catalogue_with_it_has_figures_of_the_growers_own(tmp_path: Path) -> None:
    """All days of grain by the same factor; everything else is the trade's, and the trade's is as it was."""
    keep(tmp_path / "figures.toml", learned(), ())
    catalogue = load()
    found = with_own(catalogue, read_own(tmp_path / "figures.toml", catalogue))
    own = {name for name, figure in found.figures() if figure.basis == "own record"}
    grain = {f"species.lion's mane.days.grain.{parent}" for parent in ("plate", "liquid culture", "grain")}
    losses = {f"lab.losses.still-air box.grain.{part}" for part in ("rate", "weight")}
    assert own == grain | losses
    before, after = (one.species["lion's mane"].days.grain["grain"] for one in (catalogue, found))
    assert after.likely == pytest.approx(before.likely * 1.123, abs=0.01)
    assert after.highest / after.likely < before.highest / before.likely
    assert with_own(catalogue, None) is catalogue
    assert {name: figure for name, figure in found.figures() if name not in own} == {
        name: figure for name, figure in catalogue.figures() if name not in own
    }


def test_a_later_record_takes_the_place_of_the_one_before(tmp_path: Path) -> None:
    """In the same place of the file, and it counts as if there had been none."""
    path = tmp_path / "figures.toml"
    path.write_bytes(b"# one\r\n")
    keep(path, learned("Hill"), ())
    with path.open("ab") as file:
        file.write(b"# two\r\n")
    keep(path, learned("Dale", 2), ())
    text = path.read_bytes().decode()
    assert text.startswith("# one\r\n" + BEGIN)
    assert text.endswith(END + "\r\n# two\r\n")
    assert not re.search(r"(?<!\r)\n", text)
    assert read_own(path, load()).learned == OwnFrom(
        seasons=["Dale 0", "Dale 1"], entries=20, prior="the figures of nobody"
    )


@pytest.mark.parametrize(
    "text",
    [
        f"{BEGIN}\n",
        f"{END}\n",
        f"{END}\n{BEGIN}\n",
        f"{BEGIN}\n{END}\n{BEGIN}\n{END}\n",
        "[days\n",
        "x = 1\n",
        b"\xff",
    ],
)
def test_a_file_that_is_not_right_is_left_as_it_is(text: str | bytes, tmp_path: Path) -> None:
    """Marks that are not whole, no TOML, keys of something else, another encoding."""
    path = tmp_path / "figures.toml"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    before = listing(tmp_path)
    with pytest.raises(UsageError):
        keep(path, learned(), ())
    assert listing(tmp_path) == before


def test_it_never_takes_the_place_of_the_season(tmp_path: Path) -> None:
    """Nor of its book, under whatever name; nor is a folder overwritten."""
    season = tmp_path / "season.toml"
    season.write_text("[season]\n", encoding="utf-8")
    (tmp_path / "figures.toml").symlink_to(season)
    with pytest.raises(UsageError, match="the season itself"):
        keep(tmp_path / "figures.toml", learned(), (season,))
    assert season.read_text(encoding="utf-8") == "[season]\n"
    (tmp_path / "folder").mkdir()
    with pytest.raises(UsageError):
        keep(tmp_path / "folder", learned(), ())
