"""The catalogue, its figures, and the answer of a check on the screen."""

from __future__ import annotations

from scheduler.plan import Assumption
from scheduler.present.checks import show_check
from scheduler.present.profiles import CatalogueRow, FigureRow, show_catalogue, show_figures, spread
from tests.present.screen import section, shown

GRAIN = FigureRow(
    "grain.days", 12, 15, 20, "d", "published", "A long title of a bulletin on spawn, second edition"
)
REST = FigureRow("rest", None, 14, None, "d", "memory", "")


def test_catalogue_is_listed_by_kind() -> None:
    """Entries of one kind stand under one heading, in the order given."""
    rows = [
        CatalogueRow("species", "nameko", "Pholiota nameko"),
        CatalogueRow("method", "totem"),
        CatalogueRow("species", "oyster"),
    ]
    text = shown(show_catalogue, rows)
    assert section(text, "Species").split() == ["nameko", "Pholiota", "nameko", "oyster"]
    assert section(text, "Method").split() == ["totem"]
    assert "empty" in shown(show_catalogue, [])


def test_figures_show_spread_basis_and_source() -> None:
    """A figure stands with its band, unit, basis and source; long titles are folded."""
    text = shown(show_figures, "nameko", [GRAIN, REST], width=60)
    assert text.startswith("nameko\n")
    assert "15 d (12 to 20)" in text
    assert "memory" in text
    assert "A long title of a bulletin on spawn, second edition" in " ".join(
        shown(show_figures, "nameko", [GRAIN], width=120).split()
    )
    assert max(map(len, text.splitlines())) <= 60
    assert "No figures." in shown(show_figures, "nameko", [])


def test_spread_of_one_side_takes_the_likely_value_for_the_other() -> None:
    """A band that is given on one side only runs from or to the likely value."""
    assert spread(REST) == "14 d"
    assert spread(FigureRow("x", None, 2, 3.5, "", "memory", "")) == "2 (2 to 3.5)"


def test_check_tells_warnings_and_defaults() -> None:
    """The verdict comes first, then each warning, then what was assumed."""
    assumed = [Assumption("people.hours", "sat 4, sun 4", "no hours are given")]
    text = shown(show_check, "Alder Bend", ["oyster on oak grows slowly"], assumed)
    assert text.startswith("Alder Bend: the season file can be planned, with 1 warning.\n")
    assert "- oyster on oak grows slowly" in section(text, "Warnings")
    assert section(text, "Assumed").splitlines() == [
        "  no hours are given:",
        "    people.hours  sat 4, sun 4",
    ]
    assert (
        shown(show_check, "Alder Bend", [], [])
        == "Alder Bend: the season file can be planned, without a warning.\n"
    )
