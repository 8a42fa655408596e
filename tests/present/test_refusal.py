"""A refused season on the screen: the clash, the remedies, and what to do next."""

from __future__ import annotations

from dataclasses import replace

from scheduler.present.terminal import show_plan, show_refusal
from tests.present.screen import section, shown
from tests.sample import sample_refusal


def test_a_plan_of_status_none_is_shown_as_a_refusal() -> None:
    """Whoever asks for the plan gets the refusal, never a plan with holes in it."""
    assert shown(show_plan, sample_refusal()) == shown(show_refusal, sample_refusal())


def test_refusal_names_clash_remedy_and_next_step() -> None:
    """The grower reads what clashes, what each remedy costs, and what to do with it."""
    text = shown(show_refusal, sample_refusal())
    assert text.startswith("No plan fits Alder Bend, spring 2027 as of Sat 28 Nov 2026.\n")
    assert "you have 4 hours on a Sunday [people.hours]" in section(text, "These cannot all hold")
    remedies = " ".join(section(text, "What would make it possible, cheapest first").split())
    assert remedies == (
        "1. Let the planting window end on 3 June. how much: 9 days; cost: the first flush may come a year "
        "later; touches: Cherry raft; 1 task changed"
    )
    assert "people.hours" in section(text, "What to do next")


def test_refusal_says_whether_it_is_confirmed() -> None:
    """A refusal that no second look confirmed is called likely, not certain."""
    refusal = sample_refusal()
    assert "likely but not confirmed" in shown(show_refusal, refusal)
    confirmed = shown(show_refusal, replace(refusal, confirmed=True))
    assert "came to the same result" in confirmed
    assert "not confirmed" not in confirmed


def test_remedies_keep_their_rank() -> None:
    """Remedies are numbered in the order in which they are handed over."""
    refusal = sample_refusal()
    second = replace(
        refusal.remedies[0], text="Borrow a cooker.", amount="", cost="", plantings=(), changes=()
    )
    text = shown(show_refusal, replace(refusal, remedies=(*refusal.remedies, second)))
    assert text.index("1. Let the planting window") < text.index("2. Borrow a cooker.")


def test_a_refusal_without_remedy_or_conflict_still_helps() -> None:
    """Where nothing was found that mends it, the grower is told to loosen more than one statement."""
    text = shown(show_refusal, replace(sample_refusal(), remedies=(), conflict=()))
    assert "No single change was found" in text
    assert "cheapest first" not in text
