"""What is wished of a plan: best spans, margins as bands, freshness, soaks, few days with work."""

from datetime import date

import pytest

from scheduler.checker.schedule import value
from scheduler.problem import aims, bench, yard
from scheduler.problem.shapes import Days, Point, Problem
from tests.grower import BED, CULTURE, OAK, TOTEMS, edited
from tests.problem.compiled import Compiled, compiled

PLANT, FELL = yard.plant("Oak stack"), yard.fell("Oak stack")


def oak(**tables: object) -> Compiled:
    """The oak stack from tested culture."""
    return compiled(**{"stock": (CULTURE,), **tables})


def worth(found: Compiled, name: str, days: dict[str, int]) -> int:
    """What one aim costs when works lie on these days."""
    alone = Problem(date(2027, 1, 1), found.problem.horizon, found.problem.works, terms=(found.term(name),))
    return sum(value(alone, Days({work: {day: 1} for work, day in days.items()})).values())


# --- best spans ----------------------------------------------------------------------------------------------


def test_outside_the_best_span_each_day_costs_seven() -> None:
    """Before its first day by the first planting day, after its last by the last; nothing in between."""
    found = oak()
    first, last = found.day("2027-04-24"), found.day("2027-05-16")
    assert worth(found, "before the best span: Oak stack", {PLANT: first - 3}) == 21
    assert worth(found, "before the best span: Oak stack", {PLANT: first}) == 0
    assert worth(found, "after the best span: Oak stack", {PLANT: last}) == 0
    assert worth(found, "after the best span: Oak stack", {PLANT: last + 2}) == 14


def test_a_spread_planting_counts_by_both_its_ends() -> None:
    """The first day is judged by the beginning of the best span, the last by its end."""
    found = oak()
    assert found.term("before the best span: Oak stack").minus == Point(PLANT)
    assert found.term("after the best span: Oak stack").plus == Point(PLANT, "last")


# --- margin --------------------------------------------------------------------------------------------------


def test_margin_stands_at_finished_spawn_only() -> None:
    """Grain and culture need only their release check."""
    found = compiled(OAK, TOTEMS)
    parents = {parent for b in found.batches for parent in b.parents}
    finished = {b.id for b in found.batches if b.id not in parents and not b.is_test}
    margins = {term.name.partition(": ")[2] for term in found.problem.terms if "margin" in term.name}
    assert margins == finished


def test_margin_is_a_band() -> None:
    """Three times its stake a day below the chain's buffer, nothing above; beyond half of it a rank higher as well."""
    found = oak()
    bags, line = found.batch("sawdust"), found.sizing.lines[0]
    buffer = line.buffer_days
    assert buffer == aims.margin_days(line, bags)
    start = found.day("2027-02-13")
    ready = found.problem.work(bench.inoculate(bags)).tables["ready"][start]

    def costs(kept: int) -> tuple[int, int]:
        days = {bench.inoculate(bags): start, PLANT: ready + kept}
        return worth(found, f"half margin: {bags.id}", days), worth(found, f"margin: {bags.id}", days)

    half = buffer - buffer // 2
    assert costs(buffer) == (0, 0)
    assert costs(buffer + 30) == (0, 0), "holding costs nothing"
    assert costs(buffer - 1) == (0, 27)
    assert costs(half)[0] == 0
    assert costs(half - 2) == (18, 27 * (buffer - half + 2))
    assert (found.term(f"half margin: {bags.id}").tier, found.term(f"margin: {bags.id}").tier) == (3, 4)


def test_margin_is_never_longer_than_spawn_stays_fresh() -> None:
    """What is beyond *fresh for* waits at the stage before."""
    found = oak(
        head="certainty = 0.97",
        figures="[figures.shiitake.sawdust]\ndays = { low = 20, likely = 30, high = 300 }",
    )
    line, bags = found.sizing.lines[0], found.batch("sawdust")
    assert line.buffer_days > bags.fresh_days
    assert aims.margin_days(line, bags) == bags.fresh_days == 60


def test_bought_spawn_has_no_margin() -> None:
    """It does not grow, so it cannot be late."""
    found = compiled(edited(OAK, spawn='"buy"'))
    assert not [term.name for term in found.problem.terms if "margin" in term.name]


def test_stakes_go_by_size_and_priority() -> None:
    """The largest of first priority is nine, a tenth of it one, and a lower priority divides."""
    small = edited(OAK, name='"Small"', logs='{ count = 6, diameter = "13 cm", length = "1 m" }')
    later = edited(OAK, name='"Later"', priority="3")
    found = compiled(OAK, small, later)
    assert aims.stakes(found.sizing, found.season.plantings) == {"Oak stack": 9, "Small": 1, "Later": 3}


def test_the_stake_is_the_weight_of_the_margin() -> None:
    """Missing margin of the large planting counts nine times that of the small one."""
    small = edited(OAK, name='"Small"', logs='{ count = 6, diameter = "13 cm", length = "1 m" }')
    found = compiled(OAK, small)
    by_planting = {b.plantings[0]: b.id for b in found.batches if b.stage == "sawdust"}
    weights = {name: found.term(f"margin: {batch}").weight for name, batch in by_planting.items()}
    assert weights == {"Oak stack": 27, "Small": 3}


# --- freshness -----------------------------------------------------------------------------------------------


def test_stale_days_cost_one_each_beyond_fresh() -> None:
    """Bags are fresh for 60 days, grain for 30: a day more costs one, for each batch that is made of it."""
    found = oak()
    grain, bags = found.batch("grain"), found.batch("sawdust")
    made_of = [b for b in found.batches if grain.id in b.parents]
    term = found.term(f"stale: {bags.id}")
    assert (term.weight, term.offset, term.plus, term.minus) == (
        1,
        -60,
        Point(PLANT, "last"),
        bench.ready(bags),
    )
    for child in made_of:
        term = found.term(f"stale: {grain.id} for {child.id}")
        assert (term.weight, term.offset) == (1, -30)
        assert (term.plus, term.minus) == (Point(bench.inoculate(child)), bench.ready(grain))


def test_a_culture_is_stale_when_grain_is_made_of_it_late() -> None:
    """Liquid culture is fresh for 90 days: in hand since 20 November it has 82 left on 28 November."""
    found = oak()
    (culture,) = [b for b in found.batches if b.stage == "liquid culture"]
    jars = found.batch("grain")
    term = found.term(f"stale: {culture.id} for {jars.id}")
    assert (term.tier, term.weight, term.offset) == (4, 1, -82)
    assert (term.plus, term.minus) == (Point(bench.inoculate(jars)), bench.ready(culture))
    there = found.day("2026-11-28")
    for waits, costs in ((82, 0), (83, 1), (100, 18)):
        days = {bench.inoculate(jars): there + waits, bench.there(culture): there}
        assert worth(found, term.name, days) == costs


def test_a_plate_test_asks_for_no_freshness() -> None:
    """What is read on plates may be as old as it keeps; only what is grown from a culture wants it fresh."""
    found = compiled()
    (test,) = [b for b in found.batches if b.is_test]
    assert not [t.name for t in found.problem.terms if t.name.endswith(f"for {test.id}")]
    assert [t.name for t in found.problem.terms if t.name.startswith(f"stale: {test.parents[0]} for")]


def test_the_age_of_stock_is_taken_from_its_freshness() -> None:
    """Bags that came 20 days ago are fresh for 40 days more."""
    stock = 'species = "shiitake"\nstage = "sawdust"\nunits = 9\nreceived = 2026-11-08'
    soon = edited(OAK, window='"2026-12-10/2027-01-30"', best='"2026-12-20/2027-01-20"')
    found = compiled(soon, stock=(stock,))
    (bags,) = found.batches
    assert found.term(f"stale: {bags.id}").offset == -(60 - 20)


# --- soaks and days ------------------------------------------------------------------------------------------


def test_a_soak_costs_its_flat_price() -> None:
    """Planted after the wood has fallen below 35 %, however long after."""
    found = oak()
    table = found.problem.work(yard.fell("Oak stack")).tables["moist"]
    felled = found.day("2026-11-29")
    name = "soak: Oak stack"
    assert worth(found, name, {FELL: felled, PLANT: table[felled]}) == 0
    for late in (1, 9):
        assert worth(found, name, {FELL: felled, PLANT: table[felled] + late}) == aims.SOAK
    assert aims.OUTSIDE_BEST < aims.SOAK < 2 * aims.OUTSIDE_BEST


def test_beds_are_never_soaked_logs() -> None:
    """Only wood that dries can need a soak."""
    assert not [term.name for term in compiled(BED).problem.terms if term.name.startswith("soak")]


def test_a_day_with_work_costs_an_hour_and_dear_minutes_themselves() -> None:
    """Sixty a day; minutes of works and loads count on the weekdays that are not preferred."""
    found = oak(people='hours = { wed = 2, sat = 6 }\nprefer = ["sat"]')
    cost = found.problem.day_cost
    assert cost is not None
    assert cost.each == 60
    assert found.day("2027-01-06") in cost.dear
    assert found.day("2027-01-09") not in cost.dear
    assert cost.minutes[bench.inoculate(found.batch("grain"))] == found.batch("grain").minutes
    assert cost.minutes[PLANT] == found.day_limit("daylight").per_piece[PLANT]
    assert cost.loads == found.day_limit("own hands").loads


def test_every_aim_belongs_to_a_tier() -> None:
    """Tier 3 holds margins beyond half, tier 4 everything else that is weighed."""
    found = compiled(OAK, TOTEMS, BED)
    assert {term.tier for term in found.problem.terms if term.name.startswith("half margin")} == {3}
    assert {term.tier for term in found.problem.terms if not term.name.startswith("half margin")} == {4}
    assert len({term.name for term in found.problem.terms}) == len(found.problem.terms)


# --- polish --------------------------------------------------------------------------------------------------


def test_polish_goes_line_by_line_from_the_last_stage_back() -> None:
    """Plantings go early first; then spawn before the grain it is made from, each once; then felling, done early and on few days."""
    found = compiled(OAK, TOTEMS)
    first, *rest = found.problem.pushes
    assert {(push.point.work.rpartition(":")[2], push.late) for push in first} == {("plant", False)}
    lab = rest[: len(found.sizing.lines)]
    for line, group in zip(found.sizing.lines, lab, strict=True):
        pushed = [push.point.work for push in group]
        assert len(set(pushed)) == len(pushed)
        batches = [b for b in line.batches if b.state == "planned"]
        places = [pushed.index(bench.inoculate(b)) for b in batches]
        assert places == sorted(places, reverse=True)
        assert all(push.late for push in group if push.point.work.endswith((":inoculate", ":cook", ":there")))
    outdoors = [push for group in rest[len(found.sizing.lines) :] for push in group]
    felling = [(push.point.work.rpartition(":")[2], push.point.at, push.late) for push in outdoors]
    assert felling == [("fell", "last", False), ("fell", "first", True)] * 2


@pytest.mark.parametrize("plantings", [(OAK,), (OAK, TOTEMS, BED)])
def test_every_work_is_pushed_so_that_the_plan_is_one(plantings: tuple[str, ...]) -> None:
    """Whatever has a day of its own is pushed, each of its points once: the polished plan is unique."""
    found = compiled(*plantings)
    pushed = [push.point for group in found.problem.pushes for push in group]
    assert {point.work for point in pushed} == {work.name for work in found.problem.works}
    assert len(set(pushed)) == len(pushed)
