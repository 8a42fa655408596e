"""The whole Problem of a season: complete, consistent, and with a name and an owner for every rule."""

import json
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import pytest
from hypothesis import given, settings

from scheduler.lines.shapes import BatchSpec, Sizing
from scheduler.lines.sizing import size
from scheduler.problem import bench
from scheduler.problem.compile import compile_season
from scheduler.problem.relax import rules_of
from scheduler.problem.shapes import Point, Problem
from scheduler.season.season import Season
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited
from tests.lines.drawn import seasons
from tests.problem.compiled import Compiled, compile_of, compiled

POT = '[[lab.cooker]]\nkind = "pressure cooker"\n'


def names(problem: Problem) -> Iterator[str]:
    """Works that limits, cookers, aparts and equal batches speak of."""
    for limit in problem.day_limits:
        yield from limit.per_piece
    for cooker in problem.cookers:
        yield from (*cooker.shares, *cooker.classes)
    for apart in problem.aparts:
        yield from (*apart.left, *apart.right)
    for group in problem.equals:
        for works in group:
            yield from works


@settings(max_examples=40)
@given(seasons())
def test_everything_that_is_spoken_of_is_there(of: Season) -> None:
    """Every work is there once, every point and table exists, every rule has its entry."""
    found = compile_of(of)
    works = Counter(work.name for work in found.problem.works)
    assert set(works.values()) == {1}
    assert set(names(found.problem)) <= set(works)
    for point in found.points():
        work = found.problem.work(point.work)
        assert point.at in ("first", "last", *work.tables, *work.last_tables)
    assert set(rules_of(found.problem)) <= set(found.problem.rules)
    for work in found.problem.works:
        assert work.table_rule in found.problem.rules or not work.tables
        assert work.pieces >= 1
        assert work.least >= 1
    for room in found.problem.rooms:
        assert all(stay.amount > 0 for stay in room.stays)
    for limit in found.problem.day_limits:
        assert set(limit.capacity) == set(range(found.problem.horizon + 1))
        assert all(amount > 0 for amount in limit.per_piece.values())


@settings(max_examples=40)
@given(seasons())
def test_every_work_with_minutes_is_limited_by_hands(of: Season) -> None:
    """Nothing that takes time is forgotten: inoculations, loads, tubs, and yard work that is one's own."""
    found = compile_of(of)
    everybody = found.day_limit("all hands")
    cooked = {name for cooker in found.problem.cookers for name in cooker.shares}
    for work in found.problem.works:
        kind = work.name.rpartition(":")[2]
        if kind in ("inoculate", "plant", "prepare-chips"):
            assert everybody.per_piece[work.name] > 0
        if kind == "cook":
            assert (work.name in cooked) != (work.name in everybody.per_piece)
        if kind in ("there", "kept", "emptied"):
            assert work.name not in everybody.per_piece
    for cooker in found.problem.cookers:
        for time_class in set(cooker.classes.values()):
            assert everybody.loads[cooker.name, time_class] > 0
            assert found.day_limit(f"home for {cooker.name}").loads[cooker.name, time_class] > 0


@settings(max_examples=25)
@given(seasons())
def test_the_same_season_gives_the_same_problem(of: Season) -> None:
    """Compiled twice it is equal in every part, in the same order."""
    sizing = size(of, catalogue(), "wished", {})
    one, other = (compile_season(of, catalogue(), sizing) for _ in range(2))
    assert one == other
    assert [work.name for work in one.works] == [work.name for work in other.works]
    assert list(one.rules) == list(other.rules)


def test_rules_say_whose_word_they_are() -> None:
    """What the grower wrote can be changed by the grower and has its path; nature's rules cannot."""
    found = compiled(OAK, TOTEMS, BED, tools='tank = "900 L"', stock=(edited(CULTURE, tested="false"),))
    grower = {rule.kind for rule in found.problem.rules.values() if rule.owner == "grower"}
    nature = {rule.kind for rule in found.problem.rules.values() if rule.owner == "nature"}
    assert {rule.owner for rule in found.problem.rules.values()} == {"grower", "nature"}
    assert not grower & nature
    assert {
        "hours",
        "away",
        "window",
        "home",
        "drills",
        "shelf",
        "fridge",
        "tank",
        "cooker",
        "culture_lead",
    } <= grower
    assert {
        "growth",
        "keeps",
        "culture_test",
        "cook_to_inoculate",
        "wood_rest",
        "wood_drying",
    } <= nature
    assert all(rule.key for rule in found.problem.rules.values() if rule.owner == "grower")
    assert all(name == rule.name for name, rule in found.problem.rules.items())
    assert all(isinstance(fact, str) for rule in found.problem.rules.values() for fact in rule.facts.values())
    json.dumps({name: dict(rule.facts) for name, rule in found.problem.rules.items()})


def test_a_problem_knows_nothing_of_a_level_it_was_not_made_for() -> None:
    """The bare level has fewer units, the same works of the yard and the same aims for them."""
    wished = compiled(OAK)
    bare = compile_season(wished.season, catalogue(), size(wished.season, catalogue(), "bare", {}))
    taken = [sum(limit.per_piece.values()) for limit in (wished.problem.day_limits[0], bare.day_limits[0])]
    assert taken[1] < taken[0]
    yard = [[w for w in p.works if w.name.startswith("Oak stack:")] for p in (wished.problem, bare)]
    assert yard[0] == yard[1]


# --- equal batches -------------------------------------------------------------------------------------------


def many(**tables: object) -> Compiled:
    """A large stack in a small cooker: several batches of bags that are alike."""
    large = edited(OAK, logs='{ count = 200, diameter = "13 cm", length = "1 m" }')
    return compiled(large, **{"stock": (CULTURE,), **tables})


def group_of(found: Compiled, batch: BatchSpec) -> set[str]:
    """Batches that are ordered together with a batch."""
    for group in found.problem.equals:
        if any(bench.inoculate(batch) in works for works in group):
            return {works[-1].split(":")[0] for works in group}
    return {batch.id}


def test_batches_that_are_alike_are_put_in_order() -> None:
    """Equal batches of bags from the same jars are one group, cook before inoculation."""
    found = many(lab=POT + 'holds = { "quart jar" = 20, "2.3 kg bag" = 3 }')
    assert found.problem.equals
    for group in found.problem.equals:
        assert len(group) > 1
        assert all([name.rpartition(":")[2] for name in works] == ["cook", "inoculate"] for works in group)


def test_grain_is_never_put_in_order() -> None:
    """A batch with children is not like another: ordered by force, a season that fits may look impossible."""
    found = many(lab=POT + 'holds = { "quart jar" = 3, "2.3 kg bag" = 3 }')
    assert len([b for b in found.batches if b.stage == "grain"]) > 1
    ordered = {works[-1] for group in found.problem.equals for works in group}
    assert not ordered & {bench.inoculate(b) for b in found.batches if b.stage == "grain"}


@settings(max_examples=40)
@given(seasons())
def test_equal_batches_are_equal_in_all_that_counts(of: Season) -> None:
    """Same planting, size, parents and table, and as many units of a parent used up: swapping two changes nothing."""
    found = compile_of(of)
    batch_of = {b.id: b for b in found.batches}
    for group in found.problem.equals:
        batches = [batch_of[works[-1].split(":")[0]] for works in group]
        alike = {
            (b.stage, b.started, b.keep_back, b.plantings, b.parents, b.container, b.treatment, b.minutes)
            for b in batches
        }
        assert len(alike) == 1
        tables = [found.problem.work(bench.inoculate(b)).tables["ready"] for b in batches]
        assert all(table == tables[0] for table in tables)
        ready = [tables[0][start] for start in sorted(tables[0])]
        assert ready == sorted(ready)
        stays = [_held_for(found, b) for b in batches]
        assert all(held == stays[0] for held in stays)


def _held_for(found: Compiled, batch: BatchSpec) -> Counter[tuple[str, str, Point, int]]:
    """What stands in rooms until a batch is inoculated, or because of it, its own name taken out."""
    return Counter(
        (
            room.name,
            stay.start.work.replace(batch.id, ""),
            replace(stay.end, work=stay.end.work.replace(batch.id, "")),
            stay.amount,
        )
        for room in found.problem.rooms
        for stay in room.stays
        if batch.id + ":" in stay.start.work + stay.end.work
    )


def test_batches_that_use_up_unlike_numbers_of_jars_are_not_alike() -> None:
    """Nine bags in threes from seven jars: the middle three leave three jars behind them, the others one each."""
    found = many(lab=POT + 'holds = { "quart jar" = 20, "2.3 kg bag" = 3 }')
    sizing = found.sizing
    line = sizing.lines[0]
    grain = next(b for b in line.batches if b.stage == "grain")
    bags = [b for b in line.batches if b.stage == "sawdust"][:3]
    jars = [unit.id for unit in grain.units[:7]]
    turned = [
        replace(
            b,
            units=tuple(replace(u, parent=jars[(3 * at + n) % 7]) for n, u in enumerate(b.units)),
            parents=(grain.id,),
        )
        for at, b in enumerate(bags)
    ]
    cut = replace(line, batches=tuple(b for b in line.batches if b.stage != "sawdust") + tuple(turned))
    other = replace(found, problem=compile_season(found.season, catalogue(), replace(sizing, lines=(cut,))))
    assert all(b.started == 3 for b in turned)
    assert group_of(other, turned[1]) == {turned[1].id}
    assert group_of(other, turned[0]) == {turned[0].id, turned[2].id}


def test_a_batch_with_a_jar_to_keep_is_not_like_the_others() -> None:
    """Grain that is planted: the first batch holds the jar that is kept back, the others are alike."""
    found = compiled(
        edited(TOTEMS, route='["liquid culture", "grain"]'), lab=POT + 'holds = { "quart jar" = 7 }'
    )
    first, *others = (b for b in found.batches if b.stage == "grain")
    full = [b for b in others if b.started == first.started]
    assert (first.keep_back, len(full) > 1) == (1, True)
    assert group_of(found, first) == {first.id}
    assert group_of(found, full[0]) == {b.id for b in full}


def test_a_sizing_without_a_line_still_has_its_yard() -> None:
    """What is bought whole leaves no bench work, and the planting stays."""
    found = compiled(edited(OAK, spawn='"buy"'))
    kinds = {work.name.rpartition(":")[2] for work in found.problem.works}
    assert kinds == {"there", "plant", "fell", "kept"}
    assert isinstance(found.sizing, Sizing)


@pytest.mark.parametrize("plantings", [(OAK,), (OAK, TOTEMS), (OAK, TOTEMS, BED)])
def test_each_planting_and_line_has_its_works(plantings: tuple[str, ...]) -> None:
    """One planting work a planting, one keep-back mark a line, one inoculation a batch that is made."""
    found = compiled(*plantings)
    kinds = Counter(work.name.rpartition(":")[2] for work in found.problem.works)
    assert kinds["plant"] == len(plantings)
    assert kinds["kept"] == len(found.sizing.lines)
    assert kinds["inoculate"] == sum(1 for b in found.batches if b.state == "planned")
    assert kinds["there"] == sum(1 for b in found.batches if b.state != "planned")
