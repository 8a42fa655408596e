"""Every task of every plan carries exactly the warnings that published guidance asks for of such work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from scheduler.assemble.writer import cautions_for
from scheduler.present.cautions import in_a_word
from scheduler.trade.shapes import Caution
from tests.cautions.plans import MADE, made, of_species, pairs
from tests.cautions.table import TABLE, wrong
from tests.cautions.works import Work, works
from tests.grower import catalogue

CAUTIONS = catalogue().cautions
TOGETHER = (
    "dowels",
    "dry heavy logs and a tank",
    "heavy logs to fell",
    "chips",
    "stumps, wedges and a raft",
    "steam and own media",
    "tub",
    "what stands",
    "jars lost",
    "a bag lost",
)
"""Seasons in which, together, each caution is carried by each kind of work it is for."""
LONGEST_NAME = 35
NAMES_ITS_EVIDENCE = "spores"
"""The one caution for all species that names one: the species in which lung disease is documented."""


@pytest.mark.parametrize("name", MADE)
def test_work_carries_its_warnings(name: str) -> None:
    """Examples, preparations of chips, vessels, tank, weights, whoever fells, replans, care of all years."""
    plan, season = made(name)
    found = list(works(plan, season))
    assert any(work.task.is_care for work in found)
    assert [fault for work in found for fault in wrong(work)] == []


@pytest.mark.parametrize(("species", "method"), pairs(), ids=" ".join)
def test_work_carries_its_warnings_whatever_is_planted(species: str, method: str, tmp_path: Path) -> None:
    """One season for each species and each method that may be planted, with its care to the end."""
    plan, season = of_species(species, method, tmp_path)
    found = list(works(plan, season))
    assert {"cook", "inoculate", "plant", "pick"} <= {work.kind for work in found}
    assert [fault for work in found for fault in wrong(work)] == []


def test_the_seasons_hold_what_they_are_for() -> None:
    """No season has lost what it was made to show."""
    found = _together()
    assert any(work.vessel == "steam drum" for work in found)
    assert any(work.lost and work.vessel for work in found)
    assert {work.chips for work in found} >= {"wetted in place", "soaked", "fermented"}
    assert {work.method for work in found if work.kind == "plant"} == {*catalogue().methods}
    heavy = {work.kind for work in found if work.is_heavy}
    assert heavy >= {"haul", "plant", "weigh", "soak-logs", "turn", "look-after"}
    light = {work.kind for work in found if work.is_outdoors and not work.is_heavy}
    assert light >= {"haul", "plant", "turn", "look-after"}


@cache
def _together() -> tuple[Work, ...]:
    return tuple(work for name in TOGETHER for work in works(*made(name)))


# --- the catalogue -------------------------------------------------------------------------------------


def test_each_caution_is_one_row_and_each_row_one_caution() -> None:
    """Nothing is warned of that the table does not know, and no row asks for what is not there."""
    for key, caution in CAUTIONS.items():
        assert len([row for row in TABLE if row.is_in(caution.text)]) == 1, key
    for row in TABLE:
        assert len([key for key, caution in CAUTIONS.items() if row.is_in(caution.text)]) == 1, row.name


def test_each_caution_names_whose_guidance_it_is() -> None:
    """What a task carries ends with it; what cites a source does not call itself common practice alone."""
    for key, caution in CAUTIONS.items():
        assert caution.told == f"{caution.text} ({caution.body})"
        assert bool(caution.sources) != caution.body.startswith("common practice"), key
    for work in _together():
        assert all(caution.endswith(")") for caution in work.task.cautions)


def test_each_caution_has_a_short_name_of_its_own() -> None:
    """What stands before the colon is short, and no two cautions share it."""
    names = [in_a_word(caution.text) for caution in CAUTIONS.values()]
    assert len(set(names)) == len(names)
    assert all(caution.text.partition(":")[0].lower() == name.lower()
               for caution, name in zip(CAUTIONS.values(), names, strict=True))  # fmt: skip
    assert max(map(len, names)) <= LONGEST_NAME


def test_what_is_said_of_one_species_is_said_of_no_other() -> None:
    """A caution for all species names none of them; that of a few is shown for those alone."""
    for key, caution in CAUTIONS.items():
        if not any(condition.startswith("species:") for condition in caution.when):
            named = {name for name in catalogue().species if name in caution.text.lower()}
            assert named == ({"nameko"} if key == NAMES_ITS_EVIDENCE else set()), key


def test_what_a_species_lists_it_also_carries() -> None:
    """The cautions in a species' own file are those of planting and picking it, all of them."""
    for name, species in catalogue().species.items():
        facts = {f"species:{name}"}
        carried = {*cautions_for(catalogue(), "plant", facts), *cautions_for(catalogue(), "pick", facts)}
        assert {CAUTIONS[key].told for key in species.cautions} == carried, name


# --- what would be noticed -----------------------------------------------------------------------------


def _without(work: Work, text: str) -> Work:
    cautions = tuple(caution for caution in work.task.cautions if caution != text)
    return replace(work, task=replace(work.task, cautions=cautions))


def _noticed(changed: Iterable[Work]) -> bool:
    return any(any(wrong(work)) for work in changed)


ENTRIES = [(key, kind) for key, caution in CAUTIONS.items() for kind in caution.kinds]


@pytest.mark.parametrize(("key", "kind"), ENTRIES, ids=str)
def test_an_entry_of_kinds_that_is_dropped_is_noticed(key: str, kind: str) -> None:
    """A kind taken out of a caution takes its text off the tasks of that kind, and of no others."""
    text = CAUTIONS[key].told
    carrying = [work for work in _together() if work.kind == kind and text in work.task.cautions]
    assert carrying, "no season of these tests has such work"
    assert all(any(wrong(_without(work, text))) for work in carrying)


@pytest.mark.parametrize("key", CAUTIONS)
def test_a_caution_that_is_dropped_or_always_carried_is_noticed(key: str) -> None:
    """Without the caution, and where its condition is taken away so that all work of its kinds carries it."""
    caution = CAUTIONS[key]
    assert _noticed(_without(work, caution.told) for work in _together())
    if caution.when:
        assert _noticed(_with(work, caution) for work in _together())


def _with(work: Work, caution: Caution) -> Work:
    if work.kind not in caution.kinds or caution.told in work.task.cautions:
        return work
    return replace(work, task=replace(work.task, cautions=(*work.task.cautions, caution.told)))


@pytest.mark.parametrize(
    ("key", "condition"),
    [(key, condition) for key, caution in CAUTIONS.items() for condition in caution.when],
    ids="-".join,
)
def test_a_condition_that_is_dropped_is_felt(key: str, condition: str) -> None:
    """Each condition by itself brings its caution; what tasks carry comes from nothing but these tables."""
    caution = CAUTIONS[key]
    assert all(caution.told in cautions_for(catalogue(), kind, {condition}) for kind in caution.kinds)
    less = caution.model_copy(update={"when": [one for one in caution.when if one != condition] or ["never"]})
    changed = replace(catalogue(), cautions={**CAUTIONS, key: less})
    assert not any(caution.told in cautions_for(changed, kind, {condition}) for kind in caution.kinds)
