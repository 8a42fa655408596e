"""What a kept plan was written from, as text: it comes back as it was, to the byte."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date
from functools import cache

import pytest

from scheduler.lines.shapes import Basis
from scheduler.progress import BatchProgress, Progress
from scheduler.service import planning, seasons
from scheduler.service.attempt import Made
from scheduler.service.basis_text import from_text, to_text
from scheduler.service.onwards import Onwards, Replanned
from tests.command import EXAMPLES, PLANNED
from tests.grower import catalogue

CLOCK = seasons.Clock(date(2026, 11, 25), "UTC")


@cache
def made(name: str) -> Made:
    """An example planned, with what its plan was written from."""
    return planning.make_season(*seasons.read(EXAMPLES / name, CLOCK, None))


@pytest.mark.parametrize("name", PLANNED)
def test_every_example_comes_back_as_it_was(name: str) -> None:
    """The same value, and the same bytes when it is written once more; kept bytes never change by being read."""
    basis = made(name).basis
    text = to_text(basis)
    again = from_text(text)
    assert again == basis
    assert to_text(again) == text
    assert to_text(from_text(to_text(again))).encode() == text.encode()


@pytest.mark.parametrize("name", PLANNED)
def test_days_and_kinds_of_number_come_back(name: str) -> None:
    """Days are days and pieces are whole numbers: not text that only looks alike."""
    again = from_text(to_text(made(name).basis))
    assert again.days
    for days in again.days.values():
        assert all(type(day) is date and type(pieces) is int for day, pieces in days.items())
    assert all(isinstance(batch.units, tuple) for batch in again.sizing.batches())
    assert isinstance(again.sizing.supplied, frozenset)
    assert isinstance(again.seen, tuple)


def test_a_season_under_way_comes_back_too() -> None:
    """With what is begun, lost, gone, found ready and seen."""
    season, _ = seasons.read(EXAMPLES / "backyard", CLOCK, None)
    first = made("backyard").basis
    jars = first.sizing.batch("SHI-G1a")
    begun = min(first.days["SHI-G1a:inoculate"])
    lost = {unit.id: begun for unit in jars.units}
    progress = Progress(batches={"SHI-G1a": BatchProgress(cooked_on=begun, inoculated_on=begun, lost=lost)})
    found = Onwards(first, progress, (1, 2, 4)).make(replace(season, today=begun), catalogue())
    assert isinstance(found, Replanned)
    basis = found.made.basis
    assert basis.seen == (1, 2, 4)
    assert basis.sizing.lost
    assert any("SHI-G1a" in line.gone for line in basis.sizing.lines)
    text = to_text(basis)
    assert from_text(text) == basis
    assert to_text(from_text(text)) == text


def test_a_basis_of_an_older_plan_without_new_fields_is_read() -> None:
    """What has a default may be missing: days, cookers, entries, and what is lost or gone."""
    whole = json.loads(to_text(made("backyard").basis))
    for key in ("seen", "cooker"):
        del whole[key]
    for line in whole["sizing"]["lines"]:
        del line["gone"]
    del whole["sizing"]["lost"]
    basis = from_text(json.dumps(whole))
    assert basis == replace(made("backyard").basis, cooker={})
    assert basis.seen == ()


@pytest.mark.parametrize("text", ["", "{}", "[]", "null", "not json", '{"sizing": {}, "days": {}}'])
def test_what_is_no_basis_is_a_value_error(text: str) -> None:
    """So that the caller can look for an older one."""
    with pytest.raises(ValueError, match=r"."):
        from_text(text)


def test_a_cut_text_is_a_value_error() -> None:
    """Half of it is none of it."""
    text = to_text(made("backyard").basis)
    with pytest.raises(ValueError, match=r"."):
        from_text(text[: len(text) // 2])


def test_an_empty_basis_is_a_basis() -> None:
    """Nothing to make is something to write down."""
    sizing = replace(made("backyard").basis.sizing, demands=(), lines=())
    assert from_text(to_text(Basis(sizing, {}))) == Basis(sizing, {})
