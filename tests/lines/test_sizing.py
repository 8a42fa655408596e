"""What holds of the sizes of any season, whatever is planted, made in and in hand."""

import math
from collections import Counter, defaultdict
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.lines.shapes import BatchSpec, Line, Sizing
from scheduler.lines.sizing import size
from scheduler.lines.spares import Level
from scheduler.lines.vessels import treatments
from scheduler.season.season import Season
from tests.grower import CULTURE, OAK, catalogue, edited, season
from tests.lines.drawn import seasons

CULTURES = ("liquid culture", "plate", "slant")
levels = st.sampled_from(["wished", "halfway", "bare"])


def sized(of: Season, level: Level = "wished") -> Sizing:
    """Sizes with the restarts that the lines see themselves."""
    return size(of, catalogue(), level, {})


def finished(sizing: Sizing, planting: str) -> list[BatchSpec]:
    """Batches that are planted there: of its own line, and nobody's parent."""
    parents = {p for line in sizing.lines for b in line.batches for p in b.parents}
    return [
        b
        for line in sizing.lines
        for b in line.batches
        if planting in b.plantings and b.id not in parents and not b.is_test
    ]


def by_unit(line: Line) -> dict[str, BatchSpec]:
    """Batch of each unit."""
    return {unit.id: batch for batch in line.batches for unit in batch.units}


STANDS_FOR = {"grain": ("chips",), "sawdust": ("pellet", "chips"), "pellet": ("sawdust", "chips")}
"""What is planted from hand in the place of what is made."""


@given(seasons(), levels)
def test_every_planting_gets_its_spawn(of: Season, level: Level) -> None:
    """The needed units of finished spawn, by what can be used of them, are at least the demand, and not one unit more."""
    sizing = sized(of, level)
    for planting in of.plantings:
        demand = sizing.demand(planting.name)
        batches = finished(sizing, planting.name)
        grams = sum(b.needed * b.unit_mass_g * b.usable for b in batches)
        assert grams >= demand.spawn_g - 1e-6
        assert grams - max(b.unit_mass_g * b.usable for b in batches) < demand.spawn_g
        assert all(b.plantings == (planting.name,) for b in batches)
        made, held = (
            {b.stage for b in batches if (b.state == "in hand") == there} for there in (False, True)
        )
        assert made <= {planting.route[-1]}
        assert held <= {planting.route[-1], *STANDS_FOR.get(planting.route[-1], ())}
        assert "chips" not in held or planting.species == "wine cap"


@given(seasons(), levels)
def test_units_are_counted_and_named(of: Season, level: Level) -> None:
    """As many units as are started, need and keep-back among them, and no id twice without regard to case."""
    sizing = sized(of, level)
    batches = [b for line in sizing.lines for b in line.batches]
    units = [unit.id for b in batches for unit in b.units]
    assert len({name.casefold() for name in units}) == len(units)
    assert len({b.id.casefold() for b in batches}) == len(batches)
    for b in batches:
        assert len(b.units) == b.started >= b.needed + b.keep_back
        assert b.minutes > 0 if b.growth else b.minutes == 0


@given(seasons(), levels)
def test_no_batch_is_larger_than_a_load(of: Season, level: Level) -> None:
    """Every batch that is cooked fits some cooker that treats it, in one load; a tub takes what a tub holds."""
    for line in sized(of, level).lines:
        for b in line.batches:
            allowed = treatments(catalogue(), b.species, b.stage) if b.treatment else ()
            if b.load_class:
                holds = [c.holds[b.container] for c in of.lab.cookers if c.treats(b.container, allowed)]
                assert b.started <= max(holds)
            elif b.treatment:
                assert b.treatment == "tub" in allowed
                assert b.started <= 6


@given(seasons(), levels)
def test_parents_come_first_and_give_no_more_than_they_have(of: Season, level: Level) -> None:
    """Every unit that is made has one parent unit, in a batch before its own, that is not kept back."""
    for line in sized(of, level).lines:
        place = {b.id: at for at, b in enumerate(line.batches)}
        batch_of = by_unit(line)
        kept = {u.id for b in line.batches for u in b.units[b.started - b.keep_back :]}
        given_out: dict[str, float] = defaultdict(float)
        for b in line.batches:
            assert (b.growth is None) == (b.state != "planned") == (not b.parents) == (b.there_on is not None)
            for unit in b.units if b.growth else ():
                assert unit.parent is not None
                assert place[batch_of[unit.parent].id] < place[b.id]
                assert batch_of[unit.parent].id in b.parents
                assert unit.parent not in kept
                given_out[unit.parent] += b.feed_g
        for unit, grams in given_out.items():
            assert grams <= batch_of[unit].unit_mass_g * batch_of[unit].usable + 1e-6


@given(seasons(), levels)
def test_a_stage_hangs_on_two_units_where_two_exist(of: Season, level: Level) -> None:
    """Grain that feeds several bags is several jars, unless there is one jar in hand and no more."""
    for line in sized(of, level).lines:
        children: dict[str, set[str]] = defaultdict(set)
        for b in line.batches:
            for unit in b.units:
                if unit.parent and not b.is_test:
                    children[unit.parent.split("/")[0]].add(unit.id)
        for b in line.batches:
            could = b.started - b.keep_back
            used = {
                u.parent for child in line.batches for u in child.units if u.parent in {v.id for v in b.units}
            }
            if b.stage != "liquid culture" and len(children[b.id]) > 1 and could > 1:
                assert len(used) > 1


@given(seasons(), levels)
def test_something_is_always_kept_back(of: Season, level: Level) -> None:
    """A clean first-generation jar, and a plate or a few mL of the culture, wherever these are made or opened."""
    culture = catalogue().lab.culture
    for line in sized(of, level).lines:
        first = [b for b in line.batches if b.stage == "grain" and b.generation == 1 and b.state == "planned"]
        if first:
            assert sum(b.keep_back for b in first) >= 1
        opened = [b for b in line.batches if b.stage in CULTURES and b.state != "planned"]
        for b in opened:
            if b.stage == "liquid culture":
                left = dict.fromkeys((unit.id for unit in b.units), b.unit_mass_g)
                for child in (c for c in line.batches if b.id in c.parents):
                    for unit in child.units:
                        left[str(unit.parent)] -= child.feed_g
                assert min(left.values()) >= culture.keep_back_volume.likely - 1e-6
            else:
                fresh = [c for c in line.batches if b.id in c.parents and c.stage == "plate"]
                assert b.keep_back == (not fresh)
                assert all(c.keep_back == 1 for c in fresh[:1])


@given(seasons(), levels)
def test_generations_follow_one_another(of: Season, level: Level) -> None:
    """Grain comes from a culture in the first generation, then from the generation before, never past the third."""
    for line in sized(of, level).lines:
        batch_of = {b.id: b for b in line.batches}
        for b in line.batches:
            assert (b.stage == "grain") == (b.generation is not None)
            if b.stage == "grain" and b.state == "planned":
                before = {(batch_of[p].stage in CULTURES, batch_of[p].generation) for p in b.parents}
                assert b.generation in (1, 2, 3)
                assert before == ({(True, None)} if b.generation == 1 else {(False, b.generation - 1)})


@given(seasons(), levels)
def test_spares_say_what_is_started(of: Season, level: Level) -> None:
    """Needs and starts that are printed are those of the batches that are made; chances multiply to the line's."""
    sizing = sized(of, level)
    for line in sizing.lines:
        told = sum(s.started for s in line.spares)
        started = sum(b.started for b in line.batches if b.state != "in hand" and not b.is_test)
        ordered = sum(b.started for b in line.batches if b.state == "bought" and b.stage in CULTURES)
        assert told == started - ordered
        assert math.prod(s.chance for s in line.spares) == pytest.approx(line.chance)
        assert 0 < line.chance <= 1
        assert line.buffer_days >= 0
        for spare in line.spares:
            assert spare.started >= spare.needed
            assert level == "wished" or "bought" in spare.stage or spare.started <= 2 * spare.needed + 1
            assert level != "bare" or spare.started == spare.needed


@given(seasons())
def test_sizes_are_the_same_each_time(of: Season) -> None:
    """The same season gives the same sizes."""
    assert sized(of) == sized(of)


@given(seasons())
def test_shedding_never_starts_more(of: Season) -> None:
    """From wished to halfway to bare no line starts more units."""
    counts = [
        [sum(b.started for b in line.batches if not b.is_test) for line in sized(of, level).lines]
        for level in ("wished", "halfway", "bare")
    ]
    for wished, halfway, bare in zip(*counts, strict=True):
        assert wished >= halfway >= bare


logs = st.integers(1, 400)


def oak(count: int, certainty: float = 0.9) -> Season:
    """A stack of so many oak logs, from 200 mL of tested culture."""
    planting = edited(OAK, logs=f'{{ count = {count}, diameter = "13 cm", length = "1 m" }}')
    return replace(season(planting, stock=(edited(CULTURE, amount='"200 mL"'),)), certainty=certainty)


def started(of: Season) -> Counter[str]:
    """Units started, by stage."""
    counts: Counter[str] = Counter()
    for b in sized(of).lines[0].batches:
        counts[b.stage] += b.started
    return counts


@given(logs, logs)
def test_more_logs_never_need_less(one: int, other: int) -> None:
    """More logs never take less spawn, fewer bags or fewer jars."""
    few, many = (sized(oak(count)) for count in sorted((one, other)))
    assert few.demands[0].spawn_g <= many.demands[0].spawn_g
    less, more = (started(oak(count)) for count in sorted((one, other)))
    assert less["sawdust"] <= more["sawdust"]
    assert less["grain"] <= more["grain"]


@given(logs, st.sampled_from([0.5, 0.8, 0.9, 0.97]))
def test_half_the_certainty_never_needs_more(count: int, certainty: float) -> None:
    """Who asks for less certainty never has to start more."""
    less, more = (started(oak(count, sure)) for sure in (certainty / 2, certainty))
    assert all(less[stage] <= more[stage] for stage in ("sawdust", "grain"))
