"""The catalogue, its figures, and the answer of a check on the screen."""

from __future__ import annotations

from dataclasses import replace

from scheduler.plan import Assumption
from scheduler.present.checks import show_check
from scheduler.present.profiles import (
    About,
    CatalogueRow,
    FigureRow,
    show_catalogue,
    show_entry,
    show_unsourced,
    spread,
)
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
    text = shown(show_entry, "nameko", [GRAIN, REST], [], width=60)
    assert text.startswith("nameko\n")
    assert "15 d (12 to 20)" in text
    assert "memory" in text
    assert "A long title of a bulletin on spawn, second edition" in " ".join(
        shown(show_entry, "nameko", [GRAIN], [], width=120).split()
    )
    assert max(map(len, text.splitlines())) <= 60
    assert "No figures." in shown(show_entry, "nameko", [], [])


def test_what_else_is_known_follows_the_figures() -> None:
    """Each part has its heading; a part with nothing in it is left out."""
    parts = [
        About("Conflicts", [("rest", "planned: 14 d, memory; Kentucky: 7 d. The shorter is for oak.")]),
        About("Look-alikes", []),
    ]
    text = shown(show_entry, "nameko", [REST], parts, width=50)
    assert "Kentucky: 7 d." in " ".join(section(text, "Conflicts").split())
    assert "Look-alikes" not in text


def test_unsourced_figures_stand_under_their_entry_after_the_counts() -> None:
    """The count comes first, then all figures and judgements by basis, then entry by entry."""
    rows = [replace(REST, entry="nameko"), replace(REST, name="years", entry="wood rules")]
    counts = {"published": 3, "memory": 2}
    text = shown(show_unsourced, rows, counts, {"common practice": 1}, width=60)
    assert text.splitlines()[0] == "2 figures without a published source."
    assert "All figures: 2 memory, 3 published." in text
    assert "look-alikes: 1 common practice." in " ".join(text.split())
    assert "rest" in section(text, "Nameko") and "years" in section(text, "Wood rules")
    assert shown(show_unsourced, rows[:1], counts, {}).startswith("1 figure without")
    assert "none." in shown(show_unsourced, [], {}, {})


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
