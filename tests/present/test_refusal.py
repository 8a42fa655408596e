"""A refused season on the screen: the clash, the remedies, and what to do next."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import scheduler.problem
from scheduler.plan import Rewrite, Statement
from scheduler.present.refusal import NATURE
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
        "later; touches: Cherry raft in season.toml: [[planting]] Cherry raft: window = "
        '"2027-04-20/2027-06-03" (now "2027-04-20/2027-05-25")'
    )
    assert "people.hours" in section(text, "What to do next")


def test_refusal_says_whether_it_is_confirmed() -> None:
    """A refusal that no second look confirmed is called likely, not certain."""
    refusal = sample_refusal()
    assert "likely but not confirmed" in shown(show_refusal, refusal)
    confirmed = shown(show_refusal, replace(refusal, confirmed=True))
    assert "came to the same result" in confirmed
    assert "not confirmed" not in confirmed


def test_own_statements_come_first_and_nature_in_one_line() -> None:
    """Whatever the number of nature's rules, each kind is said once; only the file's own keys are to be changed."""
    refusal = sample_refusal()
    nature = tuple(
        Statement(rule, key, f"{rule} holds.")
        for rule, key in (
            ("grown:grain", ""),
            ("keeps:grain", "profiles/species/nameko"),
            ("grown:sawdust", ""),
            ("keep_back", ""),
            ("tides", ""),
        )
    )
    text = shown(show_refusal, replace(refusal, conflict=(*nature, *refusal.conflict)), width=100)
    assert section(text, "These cannot all hold").splitlines()[:4] == [
        "  - you have 4 hours on a Sunday [people.hours]",
        "  - By nature: spawn is used only when it has run through (grain, sawdust); spawn keeps only so long",
        "    (grain); what is kept back stays until the fallback day; tides holds.",
        "  A second look did not finish in its time, so this is likely but not confirmed.",
    ]
    assert " ".join(text.split()).endswith("The statements stand under people.hours.")


def test_many_windows_are_told_together() -> None:
    """Two windows are told with their days, three of them by the names of the plantings."""
    refusal = sample_refusal()
    windows = tuple(
        Statement(f"window:{name}", f"planting[{index}].window", f"{name} has its days.")
        for index, name in enumerate(("Oak, north", "Birch", "Maple"))
    )
    few = shown(show_refusal, replace(refusal, conflict=windows[:2]))
    many = shown(show_refusal, replace(refusal, conflict=windows))
    assert "  - Birch has its days. [planting[1].window]\n" in few
    assert "  - 3 plantings keep to their windows: Oak, north; Birch; Maple\n" in many
    assert "has its days" not in many
    about = tuple(replace(one, rule=f"about:{one.rule}") for one in windows)
    told = shown(show_refusal, replace(refusal, conflict=about))
    assert "  - 3 plantings keep to their windows: Oak, north; Birch; Maple\n" in told


def test_what_is_told_beside_the_clash_stands_with_it() -> None:
    """Size and today are statements of the season file: they come before nature, each with its key."""
    refusal = sample_refusal()
    nature = Statement("grown:grain", "", "Grain is grown.")
    about = Statement("about:today", "[season].today", "Today is Sat 28 Nov 2026.")
    text = shown(show_refusal, replace(refusal, conflict=(nature, about)))
    clash = section(text, "These cannot all hold")
    assert clash.index("Today is Sat 28 Nov 2026. [season].today") < clash.index("By nature")
    assert "The statements stand under [season].today." in " ".join(text.split())


def test_notes_of_a_refusal_are_shown() -> None:
    """What was tried in vain, and what the season file warns of, is read before what to do next."""
    tried = "Tried, each by itself and none of them enough: plant later."
    text = shown(show_refusal, replace(sample_refusal(), remedies=(), notes=(tried,)))
    assert section(text, "Notes").strip() == f"- {tried}"
    assert text.index("Notes") < text.index("What to do next")
    assert "Notes" not in shown(show_refusal, sample_refusal())


def test_every_rule_of_nature_has_few_words() -> None:
    """A rule that the planner writes for nature is never told as a whole sentence inside the line."""
    rooms = Path(scheduler.problem.__file__).parent.glob("*.py")
    kinds = {kind for room in rooms for kind in re.findall(r'nature\(\s*"(\w+)"', room.read_text("utf-8"))}
    in_file = {"stock_age"}
    named_otherwise = {"wood_rest": "rest", "wood_drying": "drying"}
    assert {named_otherwise.get(kind, kind) for kind in kinds - in_file} == set(NATURE)


def test_what_to_write_is_said_for_blocks_and_for_what_goes() -> None:
    """New blocks alike are counted, what is taken out is named, and no line is wider than the page."""
    load = Rewrite("[[lab.cooker]]", None, '{ kind = "pressure cooker", loads_per_day = 1 }')
    gone = Rewrite("[[planting]] Oak stack", '{ name = "Oak stack" }', None)
    refusal = sample_refusal()
    changed = replace(refusal.remedies[0], changes=(load, load, gone))
    text = shown(show_refusal, replace(refusal, remedies=(changed,)), width=80)
    assert max(map(len, text.splitlines())) <= 80
    assert (
        'in season.toml: 2 times a new [[lab.cooker]] with kind = "pressure cooker", loads_per_day = 1; take out [[planting]] Oak stack'
        in " ".join(text.split())
    )


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
