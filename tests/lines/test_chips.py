"""Colonised chips of a bed in hand: how far they go, what they may start, and what is left of them."""

from dataclasses import replace
from datetime import date

import pytest

from scheduler.lines.shapes import BatchSpec
from scheduler.lines.sizing import size
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service.attempt import attempt
from tests.grower import BED, TODAY, catalogue, edited, line, season, stage

WHOLE_G = 18_900
"""The bed is 6.3 m2 x 10 cm = 630 L; a tenth of that is 63 L, at 300 g a litre."""

SECOND = edited(BED, name='"Second"', area='"3 m2"', best='"2027-05-20/2027-06-06"')
"""300 L: 30 L, 9 kg of colonised chips."""


def chips(amount: str, received: str = "2026-10-01", more: str = "") -> str:
    """Colonised chips in hand."""
    return f'species = "wine cap"\nstage = "chips"\n{amount}\nreceived = {received}\n{more}'


def heaps(of: Season) -> list[BatchSpec]:
    """What is taken of the chips in hand."""
    return stage(line(of), "chips")


def planned(of: Season) -> Plan:
    """The plan of a season, approved by the checker."""
    found = attempt(of, catalogue())
    assert isinstance(found, Plan)
    return found


def test_a_tenth_of_the_bed_starts_it() -> None:
    """One part of colonised chips to ten of fresh ones, the safe end of 1:10 to 1:50; nothing else is made."""
    (heap,) = line(season(BED, stock=(chips('amount = "30 kg"'),))).batches
    assert (heap.id, heap.stage, heap.state, heap.started, heap.needed) == (
        "WIN-Ca",
        "chips",
        "in hand",
        1,
        1,
    )
    assert heap.unit_mass_g == WHOLE_G
    spawn_g = 0.41 * 6.3 * 1000 * 1.1
    assert heap.unit_mass_g * heap.usable == pytest.approx(spawn_g)


def test_half_a_heap_saves_half_the_spawn() -> None:
    """9.45 kg stand for half of 2841 g: the other half is made in bags of 2.3 kg."""
    large = edited(BED, area='"25.2 m2"')  # 2520 L: 75.6 kg, or 11.4 kg of spawn
    whole = size(season(large), catalogue(), "bare", {}).lines[0]
    part = size(season(large, stock=(chips('amount = "37.8 kg"'),)), catalogue(), "bare", {}).lines[0]
    bags = [sum(b.needed for b in stage(found, "pellet")) for found in (whole, part)]
    usable_g = 2300 * catalogue().lab.usable.likely
    spawn_g = 0.41 * 25.2 * 1000 * 1.1
    assert bags == [-(-spawn_g // usable_g), -(-spawn_g / 2 // usable_g)]
    assert "stand for 50 % of its spawn" in part.notes[0]


def test_the_rest_may_be_bought() -> None:
    """Where spawn is bought, so is what the chips do not cover."""
    bought = edited(BED, spawn='"buy"')
    found = line(season(bought, stock=(chips('amount = "10 kg"'),)))
    assert [(b.stage, b.state) for b in found.batches] == [("chips", "in hand"), ("pellet", "bought")]
    (all_bought,) = line(season(edited(bought, area='"12.6 m2"'))).batches
    (_, rest) = line(season(edited(bought, area='"12.6 m2"'), stock=(chips('amount = "25 kg"'),))).batches
    assert (all_bought.started, rest.started) == (3, 1), "5.7 kg in three bags, a third of that in one"


def test_units_are_measured_by_their_litres() -> None:
    """Three buckets of 20 L are 60 L, 18 kg."""
    lab = '[lab.containers."bucket"]\nvolume = "20 L"\nsawdust = "9 kg"'
    stock = chips("units = 3", more='container = "bucket"')
    (heap,) = heaps(season(BED, lab=lab, stock=(stock,)))
    assert heap.unit_mass_g == 18_000


def test_a_heap_serves_several_beds_and_the_oldest_goes_first() -> None:
    """19 kg of September for the first bed; the second bed takes the 100 g left, and 8.9 kg of October."""
    stock = (chips('amount = "20 kg"'), chips('amount = "19 kg"', "2026-09-01"))
    found = heaps(season(BED, SECOND, stock=stock))
    assert [(b.unit_mass_g, b.plantings, b.aged_days) for b in found] == [
        (WHOLE_G, ("Bed",), 88),
        (100, ("Second",), 88),
        (8_900, ("Second",), 58),
    ]


def test_only_a_bed_of_a_litter_species_starts_from_chips() -> None:
    """Oyster may be laid in chips, but has no hold on them for long; totems have no chips at all."""
    oyster = edited(BED, species='"oyster"')
    stock = chips('amount = "30 kg"').replace("wine cap", "oyster")
    assert not heaps(season(oyster, stock=(stock,)))


def test_a_method_without_the_figure_takes_none() -> None:
    """The catalogue's expansion is what permits it."""
    bed = catalogue().methods["chip bed"]
    figures = {key: figure for key, figure in bed.figures.items() if key != "colonised_expansion"}
    of = season(BED, stock=(chips('amount = "30 kg"'),))
    other = replace(
        catalogue(), methods={**catalogue().methods, "chip bed": bed.model_copy(update={"figures": figures})}
    )
    assert not stage(size(of, other, "wished", {}).lines[0], "chips")


def test_chips_keep_a_year_in_their_bed() -> None:
    """What has lain since the spring before last is spent; they stay out of the fridge."""
    (heap,) = heaps(season(BED, stock=(chips('amount = "30 kg"', "2026-06-01"),)))
    assert (heap.keeps_days, heap.fresh_days, heap.waits_in) == (365, 180, "shelf")
    assert not heaps(season(BED, stock=(chips('amount = "30 kg"', "2026-05-01"),)))


def test_a_bed_just_laid_has_to_run_first() -> None:
    """4.5 months to the first flush are 137 days: a bed of 1 October has run on 15 February."""
    stock = chips('amount = "30 kg"').replace("received", "started")
    (heap,) = heaps(season(BED, stock=(stock,)))
    assert (heap.there_on, heap.aged_days) == (date(2027, 2, 15), 0)


def test_the_plan_shows_them_and_names_what_is_left() -> None:
    """In hand, used on the planting day, nothing to take out of a fridge; 11.1 kg of 30 stay in the bed."""
    plan = planned(season(BED, stock=(chips('amount = "30 kg"'),)))
    (heap,) = plan.batches
    (bed,) = plan.plantings
    assert (heap.state, heap.ready_on, heap.use_on) == ("in hand", TODAY, bed.plant_on)
    assert bed.spawn_planned_g == pytest.approx(bed.spawn_needed_g, abs=1)
    assert {task.kind for task in plan.tasks if task.batch == heap.id} == set()
    assert "wine cap chips of Thu 1 Oct 2026: 11.1 kg of 30 kg are left over." in plan.notes


def test_litres_of_chips_are_weighed_by_their_density() -> None:
    """A gardener measures chips in buckets: 60 L at 300 g a litre are 18 kg."""
    (by_volume,) = season(BED, stock=(chips('amount = "60 L"'),)).stock
    (by_mass,) = season(BED, stock=(chips('amount = "18 kg"'),)).stock
    assert by_volume == by_mass


def test_a_bed_in_part_from_chips_is_planned() -> None:
    """The rest is made for the same day, and nothing of the chips is left over."""
    plan = planned(season(BED, stock=(chips('amount = "10 kg"'),)))
    used = {batch.stage: batch.use_on for batch in plan.batches if batch.stage in ("chips", "pellet")}
    assert used == {"chips": plan.plantings[0].plant_on, "pellet": plan.plantings[0].plant_on}
    assert not any("left over" in note or "not used" in note for note in plan.notes)


def test_chips_that_start_nothing_are_named() -> None:
    """Chips of a species that is planted otherwise are not used, and that is said."""
    stock = (chips('amount = "30 kg"'), chips('amount = "5 kg"', "2025-06-01"))
    notes = planned(season(BED, stock=stock)).notes
    assert any(note.startswith("wine cap chips of Sun 1 Jun 2025 is not used") for note in notes)
