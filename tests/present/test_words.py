"""Rules in the grower's words."""

from __future__ import annotations

from itertools import pairwise

import pytest

from scheduler.present import words

KINDS = [
    "window",
    "hours",
    "away",
    "no_work_before",
    "shelf",
    "fridge",
    "cooker",
    "home",
    "help",
    "drills",
    "bud_swell",
    "leaf_turn",
    "ground_thaws",
    "growth",
    "wood_rest",
    "wood_drying",
    "keeps",
    "cook_to_inoculate",
    "bench_before_yard",
    "tank",
    "stock_age",
    "culture_lead",
    "grain_lead",
    "supplies_lead",
    "chips_preparation",
    "horizon",
    "today",
    "size",
    "in_hand",
]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_has_a_sentence(kind: str) -> None:
    """Each kind of rule can be said, and every sentence of it says all the facts it is given."""
    for sentence in words.SENTENCES[kind]:
        facts = {name: f"<{name}>" for name in words.needs(sentence)}
        said = words.statement(kind, facts)
        assert said.endswith(".")
        assert all(fact in said for fact in facts.values())


def test_the_most_telling_sentence_is_taken() -> None:
    """More facts give another sentence; a fact that is empty counts as missing."""
    assert words.statement("drills", {"drills": "2"}) == "Holes are drilled with 2 drills."
    assert words.statement("drills", {"drills": ""}) == "Holes are drilled with the drills that you have."
    for sentences in words.SENTENCES.values():
        for telling, plain in pairwise(sentences):
            assert not words.needs(telling) <= words.needs(plain)


def test_a_lead_says_what_stands_for_things_at_hand() -> None:
    """Whoever has grain at home, or buys it round the corner, reads how to say so."""
    assert words.statement("grain_lead", {"days": "1"}) == (
        "Dry grain takes 1 day to come once it is ordered; "
        "a lead of 0 d stands for what is at hand or sold round the corner."
    )
    assert "a lead of 0 d stands for" in words.statement("supplies_lead", {"days": "14"})


def test_kinds_and_facts_are_documented() -> None:
    """The module's table names every kind with exactly the facts that its sentences take."""
    assert words.__doc__ is not None
    rows = {line.split()[0]: line for line in words.__doc__.splitlines() if line.strip()}
    for kind, sentences in words.SENTENCES.items():
        needed, optional = rows[kind][19:41], rows[kind][41:]
        assert set(needed.replace(",", " ").split()) == words.needs(sentences[-1]), kind
        every = {name for sentence in sentences for name in words.needs(sentence)}
        told = set(optional.replace(",", " ").replace(" or ", " ").split())
        assert told == every - words.needs(sentences[-1]), kind


def test_unknown_kinds_and_missing_facts_are_errors() -> None:
    """A kind nobody knows, or a sentence without its fact, is a KeyError."""
    with pytest.raises(KeyError, match="moon_phase"):
        words.statement("moon_phase", {})
    with pytest.raises(KeyError, match="capacity"):
        words.statement("shelf", {})


def test_days_in_facts_are_put_in_words() -> None:
    """ISO days and periods are printed as everywhere else."""
    window = {"planting": "Cherry raft", "from": "2027-04-20", "to": "2027-05-25"}
    assert words.statement("window", window) == (
        "Planting days for Cherry raft lie between Tue 20 Apr 2027 and Tue 25 May 2027."
    )
    assert words.statement("away", {"periods": "2027-02-13/2027-02-21"}) == (
        "You are away Sat 13 Feb 2027 to Sun 21 Feb 2027."
    )


def test_one_day_and_stages_read_right() -> None:
    """One day is no plural, and a stage in a fact is called as the trade calls it."""
    assert (
        words.statement("wood_rest", {"species": "shiitake", "days": "1"})
        == "Wood for shiitake rests at least 1 day after felling."
    )
    assert (
        words.statement("wood_rest", {"species": "nameko", "days": "21"})
        == "Wood for nameko rests at least 21 days after felling."
    )
    assert "sawdust spawn (from pellets) keeps" in words.statement("keeps", {"stage": "pellet", "days": "60"})


def test_spawn_on_pellets_is_called_what_it_is() -> None:
    """The wording of a stage is the trade's; a label that is no stage stays as it is."""
    assert words.stage("pellet") == "sawdust spawn (from pellets)"
    assert words.stage("pellet spawn, Cherry raft") == "sawdust spawn (from pellets), Cherry raft"
    assert words.stage("grain G1, Cherry raft") == "grain G1, Cherry raft"
    assert words.short_stage("pellet") == "sawdust"


def test_the_size_of_a_planting_is_told_by_its_work_or_its_spawn() -> None:
    """Hours and the days they have to be done in, or the spawn, or the size alone; one day is no plural."""
    size = {"planting": "Ridge stack", "size": "120 logs"}
    assert words.statement("size", {**size, "hours": "41 h", "days": "14"}) == (
        "Ridge stack is 120 logs, 41 h of work that has to be done within 14 days."
    )
    assert words.statement("size", {**size, "hours": "41 h", "days": "1"}).endswith("within 1 day.")
    assert words.statement("size", {**size, "spawn": "9 kg"}) == (
        "Ridge stack is 120 logs, which takes 9 kg of spawn."
    )
    assert words.statement("size", size) == "Ridge stack is 120 logs."


def test_what_cannot_be_given_up_and_what_was_tried_are_told() -> None:
    """The two notes of a refusal."""
    assert words.only_planting("Stack") == "Stack is the only planting, so there is none to give up."
    assert words.tried(("plant later", "buy spawn")) == (
        "Tried, each by itself and none of them enough: plant later, buy spawn."
    )
