"""The wording of rules and stages: a rule kind with its facts becomes a sentence of the grower's own.

Facts are strings. Days in them may be written as ISO dates (``2027-04-20``), periods as
``2027-02-13/2027-02-21``; they are printed in words. A kind has one or more sentences, the most telling one
first; the first whose facts are all there is taken.

=================  ====================  ================================
kind               facts                 facts that may be missing
=================  ====================  ================================
window             planting, from, to
hours                                    hours or days
away                                     periods
no_work_before     date
shelf              capacity
fridge             capacity
cooker             kind, loads, holds
home               hours
help                                     days
drills                                   drills
bud_swell          date
leaf_turn          date
ground_thaws                             date
growth                                   species, batch, days
done
grown                                    stage
culture_test                             days
wood_rest                                species or planting, days
wood_drying                              planting, days
wood_felled        planting, date        on
keeps                                    stage, days
keep_back
cook_to_inoculate                        days
bench_before_yard
tank                                     capacity
stock_age                                batch, date
culture_lead                             days, date
spawn_lead                               what, days, date
chips_lead                               days
grain_lead                               days
supplies_lead                            days
chips_preparation                        planting, how, least, most, days
horizon                                  date
today              date
size               planting, size        hours, days, spawn
in_hand            stage, species, date
care               what, from, to
=================  ====================  ================================
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from datetime import date
from string import Formatter

from scheduler.workdays import full

AT_ONCE = "a lead of 0 d stands for what is at hand or sold round the corner"

SENTENCES: Mapping[str, tuple[str, ...]] = {
    "window": ("Planting days for {planting} lie between {from} and {to}.",),
    "hours": (
        "Your hours for hands-on work are {hours}.",
        "Your hours for hands-on work are {days}.",
        "Hands-on work is done in the hours that you gave.",
    ),
    "away": ("You are away {periods}.", "Nothing is done on a day when you are away."),
    "no_work_before": ("No work begins before {date}.",),
    "shelf": ("The shelf where spawn grows holds {capacity}.",),
    "fridge": ("The fridge where spawn waits holds {capacity}.",),
    "cooker": ("The {kind} holds {holds} a load; loads a day: {loads}.",),
    "home": ("Somebody is on the premises in these hours: {hours}.",),
    "help": ("More hands come only on {days}.", "More hands come only on the days that you named."),
    "drills": ("Holes are drilled with {drills} drills.", "Holes are drilled with the drills that you have."),
    "bud_swell": ("Felling has to stop when the buds swell, {date}.",),
    "leaf_turn": ("Felling begins when the leaves turn, {date}.",),
    "ground_thaws": (
        "Nothing goes into the ground before it has thawed, {date}.",
        "Nothing goes into the ground before it has thawed.",
    ),
    "growth": (
        "{batch} takes {days} days to run and to ripen.",
        "The mycelium of {species} takes its time to run at the warmth of the shelf.",
        "Mycelium takes its time to run at the warmth of the shelf.",
    ),
    "care": ("What stands already is looked after too: {what}, between {from} and {to}.",),
    "done": ("What is done stays as it was recorded.",),
    "grown": (
        "The {stage} is used only when it has run through and is ready.",
        "Spawn is used only when it has run through and is ready.",
    ),
    "culture_test": (
        "An untested culture is read on plates for {days} days before it goes to grain.",
        "An untested culture is read on plates before it goes to grain.",
    ),
    "wood_rest": (
        "Wood for {species} rests at least {days} days after felling.",
        "The wood for {planting} rests at least {days} days after felling.",
        "Wood rests after felling, in full.",
    ),
    "wood_drying": (
        "The wood for {planting} has to be planted within {days} days of felling, before it is too dry.",
        "Felled wood has to be planted before it is too dry.",
    ),
    "wood_felled": (
        "The wood for {planting} is to be felled on {on}.",
        "The wood for {planting} was felled on {date}.",
    ),
    "keeps": (
        "The {stage} keeps for {days} days once it is ready.",
        "Spawn keeps only so long once it is ready.",
    ),
    "keep_back": ("What is kept back for a redo stays until the fallback day.",),
    "cook_to_inoculate": (
        "What was cooked is inoculated when it is cold, within {days} days.",
        "What was cooked is inoculated when it is cold, and before a sealed load gets too old.",
    ),
    "bench_before_yard": ("A day of felling or planting holds no inoculation: bench first, then yard.",),
    "tank": (
        "The soaking tank holds {capacity}.",
        "Soaking is limited by the tank.",
    ),
    "stock_age": (
        "{batch}, which you have in hand, is good until {date}.",
        "{batch}, which you have in hand, keeps only so long.",
        "What you have in hand keeps only so long.",
    ),
    "culture_lead": (
        "A culture takes {days} days to come once it is ordered: it is there on {date}.",
        "A culture takes {days} days to come once it is ordered.",
        "A culture takes its time to come once it is ordered.",
    ),
    "spawn_lead": (
        "Bought {what} takes {days} days to come once it is ordered: it is there on {date}.",
        "Bought spawn takes its time to come once it is ordered.",
    ),
    "chips_lead": (
        "Chips take {days} days to come once they are ordered.",
        "Chips take their time to come once they are ordered.",
    ),
    "grain_lead": (
        f"Dry grain takes {{days}} days to come once it is ordered; {AT_ONCE}.",
        "Dry grain takes its time to come once it is ordered.",
    ),
    "supplies_lead": (
        f"Supplies and bought logs take {{days}} days to come once they are ordered; {AT_ONCE}.",
        "Supplies and bought logs take their time to come once they are ordered.",
    ),
    "chips_preparation": (
        "The chips for {planting} are {how}, {least} to {most} days before they are planted.",
        "Chips are prepared {days} days before they are planted.",
        "Chips are prepared before they are planted.",
    ),
    "horizon": (
        "Everything has to end within the season that is planned, by {date}.",
        "Everything has to end within the season that is planned.",
    ),
    "today": ("Today is {date}, and nothing can be done before it.",),
    "size": (
        "{planting} is {size}, {hours} of work that has to be done within {days} days.",
        "{planting} is {size}, which takes {spawn} of spawn.",
        "{planting} is {size}.",
    ),
    "in_hand": ("The {stage} of {species} that you have is of {date}.",),
}
"""Sentences of each kind, the most telling one first."""

STAGES: Mapping[str, tuple[str, str]] = {
    "plate": ("plate", "plate culture"),
    "slant": ("slant", "slant culture"),
    "liquid culture": ("liquid", "liquid culture"),
    "grain": ("grain", "grain spawn"),
    "sawdust": ("sawdust", "sawdust spawn"),
    "pellet": ("sawdust", "sawdust spawn (from pellets)"),
    "dowels": ("dowels", "dowel spawn"),
    "chips": ("chips", "chip spawn"),
}
"""Short and full wording of each stage."""

_PERIOD = re.compile(r"(\d{4}-\d\d-\d\d)/(\d{4}-\d\d-\d\d)")
_SINGLE = re.compile(r"\b1 (day|drill|litre)s\b")
_DAY = re.compile(r"\b\d{4}-\d\d-\d\d\b")


def statement(rule_kind: str, facts: Mapping[str, str]) -> str:
    """Put a rule into the grower's words; KeyError for an unknown kind or a fact that is always needed."""
    sentences = SENTENCES[rule_kind]
    in_words = {name: _with_days(fact) for name, fact in facts.items() if fact}
    if "stage" in in_words:
        in_words["stage"] = stage(in_words["stage"])
    known = (sentence for sentence in sentences if needs(sentence) <= in_words.keys())
    return _SINGLE.sub(r"1 \1", next(known, sentences[-1]).format_map(in_words))


def only_planting(name: str) -> str:
    """Why giving up a planting is not listed where there is no other."""
    return f"{name} is the only planting, so there is none to give up."


def tried(kinds: Sequence[str]) -> str:
    """Which kinds of change were looked at where none of them is enough."""
    return f"Tried, each by itself and none of them enough: {', '.join(kinds)}."


def needs(sentence: str) -> set[str]:
    """Names of the facts that a sentence takes."""
    return {name for _, name, _, _ in Formatter().parse(sentence) if name}


def stage(name: str) -> str:
    """A stage as the trade calls it, whatever follows a comma; an unknown stage is called what it is."""
    head, comma, rest = name.partition(",")
    known = STAGES.get(head.removesuffix(" spawn"))
    return f"{known[1] if known else head}{comma}{rest}"


def short_stage(name: str) -> str:
    """A stage in one word, for narrow places."""
    return STAGES.get(name, (name, name))[0]


def _with_days(fact: str) -> str:
    fact = _PERIOD.sub(r"\1 to \2", fact)
    return _DAY.sub(lambda found: full(date.fromisoformat(found.group())), fact)
