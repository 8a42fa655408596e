"""Errors on the screen."""

from __future__ import annotations

import pytest

from scheduler.errors import (
    BookError,
    BudswellError,
    Fault,
    NoPlan,
    ProfileError,
    SeasonError,
    SolverDisagreement,
    UsageError,
)
from scheduler.present.faults import show_error
from scheduler.present.terminal import show_refusal
from tests.present.screen import shown
from tests.sample import sample_refusal

FAULT = Fault("season.toml:14 planting[0].species", "shitake", "a species of the catalogue", "shiitake")


@pytest.mark.parametrize(
    ("error", "heading"),
    [
        (SeasonError([FAULT]), "The season file is not right"),
        (ProfileError([FAULT]), "The catalogue of figures is not right"),
        (UsageError(FAULT), "This cannot work as it was called"),
        (BookError(FAULT), "The book cannot be used; it was left untouched"),
    ],
)
def test_a_fault_says_where_what_allowed_and_fix(error: BudswellError, heading: str) -> None:
    """Each fault is one block with its place and three labelled lines."""
    assert shown(show_error, error).splitlines() == [
        heading,
        "  season.toml:14 planting[0].species",
        "    found       shitake",
        "    allowed     a species of the catalogue",
        "    likely fix  shiitake",
    ]


def test_all_faults_are_shown_and_counted() -> None:
    """Every fault of a file is told at once; an empty hint takes no line."""
    text = shown(show_error, SeasonError([FAULT, Fault("season.toml:20 x", "y", "z")]))
    assert text.startswith("The season file is not right (2 faults)\n")
    assert "season.toml:20 x" in text
    assert text.count("likely fix") == 1


def test_disagreement_is_ours_and_names_the_dump() -> None:
    """Where two looks disagree the grower is told that it is our bug and where the problem lies."""
    text = shown(show_error, SolverDisagreement("the plan breaks a rule", ["saved as problem-1.json"]))
    assert "the plan breaks a rule" in text
    assert "saved as problem-1.json" in text
    assert "bug of ours" in text


def test_no_plan_is_shown_as_its_refusal() -> None:
    """The error that carries a refusal prints that refusal."""
    assert shown(show_error, NoPlan(sample_refusal())) == shown(show_refusal, sample_refusal())


def test_any_other_error_is_one_line() -> None:
    """The base of the tree still says what it knows."""
    assert shown(show_error, BudswellError("something else")) == "something else\n"


def test_faults_are_folded_and_plain_when_piped() -> None:
    """Long texts are folded under their label; nothing is cut and no control code is written."""
    fault = Fault("season.toml", "a " * 80, "b " * 80, "")
    text = shown(show_error, SeasonError([fault]), width=60)
    assert max(map(len, text.splitlines())) <= 60
    assert text.count("a") - text.count("allowed") >= 80
    assert "\x1b" not in text
