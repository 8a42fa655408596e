"""Folding, tables and grids: nothing is lost, nothing runs over the page."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from scheduler.present.layout import Column, fold, grid, paragraph, table


@given(st.text(max_size=60), st.integers(2, 30))
def test_fold_keeps_every_visible_character_and_the_width(text: str, width: int) -> None:
    """Folding loses spaces and control characters at most, and no line is wider than asked for."""
    lines = fold(text, width)
    assert all(cell_len(line) <= width for line in lines)
    visible = "".join(char for char in text if char.isprintable() and not char.isspace())
    assert "".join("".join(lines).split()) == visible


def test_fold_prefers_spaces_and_splits_long_words() -> None:
    """Lines break at spaces; a word that is wider than the page is broken inside."""
    assert fold("one two three", 7) == ["one two", "three"]
    assert fold("abcdefghij", 4) == ["abcd", "efgh", "ij"]
    assert fold("one\ntwo", 20) == ["one", "two"]


def test_paragraph_hangs_under_its_mark() -> None:
    """Later lines stand under the text, not under the mark."""
    assert paragraph("one two three", 12, mark="- ") == ["  - one two", "    three"]


def test_table_folds_wide_columns_first_and_leaves_out_empty_ones() -> None:
    """Only columns that may be folded are; a column without a cell is gone, heading and all."""
    columns = (Column("day"), Column("never"), Column("work", soft=True), Column("n", right=True))
    rows = [("Sat 1 May", "", "wash all the jars", "7"), "a row across", ("Sun", "", "rest", "12")]
    lines = [str(line) for line in table(columns, rows, 26)]
    assert lines == [
        "  day        work        n",
        "  Sat 1 May  wash all    7",
        "             the jars",
        "a row across",
        "  Sun        rest       12",
    ]


def test_table_of_nothing_is_nothing() -> None:
    """No rows, no headings."""
    assert table((Column("day"),), [], 80) == []
    assert grid([], 80) == []


def test_a_table_on_a_tiny_page_is_folded_everywhere() -> None:
    """Where the soft columns are not enough the others are folded too."""
    lines = [
        str(line)
        for line in table((Column("day"), Column("work", soft=True)), [("Saturday", "wash the jars")], 14)
    ]
    assert max(map(len, lines)) <= 14


def test_whole_columns_are_folded_last() -> None:
    """A word is broken before a column that is to stay whole is folded."""
    columns = (Column(soft=True), Column(whole=True))
    assert table(columns, [("abcdefgh", "1 2 3 4")], 13, indent=0) == ["abcd  1 2 3 4", "efgh"]


def test_other_columns_fold_between_words_before_a_word_is_broken() -> None:
    """A long date gives way before a name is broken into letters."""
    columns = (Column(soft=True), Column())
    assert table(columns, [("Longyard", "Sat 1 May")], 16, indent=0) == ["Longyard  Sat 1", "          May"]


def test_grid_fills_lines_from_left_to_right() -> None:
    """As many entries stand side by side as fit."""
    assert grid(["a1", "b2", "c3"], 8) == ["  a1  b2", "  c3"]
    assert grid(["a much too long entry"], 12) == ["  a much too", "  long entry"]
