"""Outdoor works: windows, felling and drying, chips, helpers, and the day to fall back on."""

from dataclasses import replace

import pytest

from scheduler.problem import yard
from scheduler.problem.calendar import calendar
from scheduler.problem.dormancy import dormant_days
from scheduler.problem.shapes import Point
from scheduler.season.season import Site
from tests.grower import BED, CULTURE, OAK, SITE, TOTEMS, catalogue, edited, season
from tests.problem.compiled import Compiled, compile_of, compiled

PLANT, FELL, CHIPS = yard.plant("Oak stack"), yard.fell("Oak stack"), yard.prepare_chips("Bed")
SOUTH = """
latitude     = -41.3
leaf_turn    = 2027-04-25
bud_swell    = 2027-09-10
ground_thaws = 2027-08-01
"""


def oak(*, site: str = SITE, people: str = "hours = { sat = 6, sun = 4 }", **keys: str) -> Compiled:
    """The oak stack with keys of its text changed."""
    return compiled(edited(OAK, **keys), site=site, people=people, stock=(CULTURE,))


def bed(*, site: str = SITE, tools: str = "", buying: str = "", **keys: str) -> Compiled:
    """The bed with keys of its text changed."""
    return compiled(edited(BED, **keys), site=site, tools=tools, buying=buying)


# --- planting --------------------------------------------------------------------------------------------


def test_planting_days_lie_in_the_window() -> None:
    """Both ends belong to it, and the rule says where the grower wrote it."""
    found = oak()
    window = found.limit(PLANT, "window:Oak stack")
    assert sorted(window) == list(range(found.day("2027-04-10"), found.day("2027-05-30") + 1))
    rule = found.problem.rules["window:Oak stack"]
    assert (rule.kind, rule.key, rule.owner) == ("window", "planting[0].window", "grower")
    assert (rule.facts["from"], rule.facts["to"]) == ("2027-04-10", "2027-05-30")


def test_planting_takes_hours_of_somebody() -> None:
    """Days with hours of one's own, and those on which helpers come."""
    found = compiled(
        OAK, stock=(CULTURE,), people="hours = { sat = 6 }", help_=("on = 2027-04-22\npeople = 2\nhours = 5",)
    )
    days = found.allowed(PLANT)
    assert found.day("2027-04-22") in days
    assert {found.date(day).weekday() for day in days} == {3, 5}
    assert found.day("2027-04-22") not in found.allowed(FELL), "felling is not helped with"
    assert found.day_limit("all hands").capacity[found.day("2027-04-22")] == 600
    assert found.day_limit("own hands").capacity[found.day("2027-04-22")] == 0


def test_nobody_plants_while_away() -> None:
    """Not even with helpers."""
    found = compiled(
        OAK,
        stock=(CULTURE,),
        people='hours = { sat = 6 }\naway = ["2027-04-22/2027-04-24"]',
        help_=("on = 2027-04-22\npeople = 2\nhours = 5",),
    )
    assert not {found.day("2027-04-22"), found.day("2027-04-24")} & found.allowed(PLANT)


def test_the_ground_has_to_thaw_for_a_bed_and_not_for_logs() -> None:
    """Only methods that dig wait for the thaw."""
    late = SITE.replace("2027-04-05", "2027-05-20")
    assert min(bed(site=late).allowed(yard.plant("Bed"))) >= bed().day("2027-05-20")
    assert "ground_thaws" not in oak(site=late).rules_of(PLANT)


def test_a_planting_may_be_spread_over_two_weeks() -> None:
    """An hour a day at least, and no more than 14 days from first to last: an opened bag is used within them."""
    work = oak().problem.work(PLANT)
    each = oak().day_limit("daylight").per_piece[PLANT]
    assert (work.pieces, work.span) == (60, 14)
    assert (work.least - 1) * each < 60 <= work.least * each


def test_drills_limit_planting() -> None:
    """Five minutes of drilling a log: in ten hours of the longest worker, one drill does 72 of 5 min, two do more."""
    one, two = (
        compiled(OAK, stock=(CULTURE,), tools=f"drills = {drills}", people="hours = { sat = 6 }")
        for drills in (1, 2)
    )
    saturday = one.day("2027-04-24")
    assert one.day_limit("drills").per_piece == {PLANT: 5}
    assert one.day_limit("drills").capacity[saturday] == 360
    assert two.day_limit("drills").capacity[saturday] == 720
    assert one.problem.rules[one.day_limit("drills").rule].key == "[tools].drills"


def test_a_helper_s_day_is_a_drill_s_day() -> None:
    """A drill is used as long as the one who stays longest."""
    found = compiled(OAK, stock=(CULTURE,), help_=("on = 2027-04-24\npeople = 2\nhours = 8",))
    assert found.day_limit("drills").capacity[found.day("2027-04-24")] == 480


def test_beds_and_totems_need_no_drill() -> None:
    """Where nothing is drilled there is no limit."""
    assert all(limit.name != "drills" for limit in compiled(BED, TOTEMS).problem.day_limits)


def test_the_day_to_fall_back_on_is_the_next_with_hours() -> None:
    """Inside the window and not away; the last day there is falls back on itself."""
    found = oak(people='hours = { sat = 6, sun = 4 }\naway = ["2027-05-01/2027-05-02"]')
    table = found.problem.work(PLANT).last_tables["fallback"]
    assert table[found.day("2027-04-24")] == found.day("2027-04-25")
    assert table[found.day("2027-04-25")] == found.day("2027-05-08"), "the weekend between is away"
    assert table[found.day("2027-05-30")] == found.day("2027-05-30")


# --- felling ---------------------------------------------------------------------------------------------


def test_felling_lies_between_leaf_turn_and_bud_swell() -> None:
    """Days before today do not count; the day on which buds swell is too late."""
    found = oak()
    assert max(found.limit(FELL, "bud_swell")) == found.day("2027-04-11")
    assert min(found.limit(FELL, "leaf_turn")) == 0
    late_autumn = oak(site=SITE.replace("2026-10-05", "2026-12-12"))
    assert min(late_autumn.allowed(FELL)) == late_autumn.day("2026-12-12")
    assert found.problem.rules["bud_swell"].key == "[site].bud_swell"


def test_in_the_south_felling_lies_in_its_own_winter() -> None:
    """April to September, for planting in the southern spring."""
    found = oak(site=SOUTH, window='"2027-08-15/2027-10-31"', best='"2027-08-28/2027-10-03"')
    days = found.allowed(FELL)
    assert found.day("2027-04-25") <= min(days)
    assert max(days) < found.day("2027-09-10")
    assert {found.date(day).month for day in days} == {4, 5, 6, 7, 8, 9}


def test_between_bud_swell_and_the_next_leaf_turn_nothing_is_felled() -> None:
    """Where the leaves of the coming autumn are meant, felling stops in spring and starts again."""
    found = oak()
    site = Site(latitude=44.0, bud_swell=found.date(100), leaf_turn=found.date(150))
    turned, unswollen = dormant_days(calendar(found.season), site)
    assert turned & unswollen == {d for d in range(found.problem.horizon + 1) if d < 100 or d >= 150}


def test_hired_and_bought_wood_take_fewer_hours() -> None:
    """Felling oneself is 13.65 minutes a log with its share of spares; hired, bucking and hauling are left; delivered wood takes none, on any day."""
    own, hired, bought = (
        oak(people=f'hours = {{ sat = 6 }}\nfelling = "{who}"') for who in ("own", "hired", "bought")
    )
    assert [found.day_limit("all hands").per_piece.get(FELL, 0) for found in (own, hired, bought)] == [
        14,
        8,
        0,
    ]
    assert {own.date(day).weekday() for day in own.allowed(FELL)} == {5}
    assert {bought.date(day).weekday() for day in bought.allowed(FELL)} == set(range(7))
    assert bought.problem.work(FELL).least == 60, "what is delivered comes at once"


def test_wood_rests_before_it_is_planted() -> None:
    """Nameko's logs rest two weeks at least; oyster's may be planted the day after."""
    for species, wood, rest in (("nameko", "birch", 14), ("oyster", "beech", 1), ("shiitake", "oak", 1)):
        found = oak(species=f'"{species}"', wood=f'"{wood}"')
        assert found.apart(Point(FELL, "last"), Point(PLANT))[0] == rest
        rule = next(lag.rule for lag in found.lags(Point(FELL, "last"), Point(PLANT)))
        assert found.problem.rules[rule].owner == "nature"


def test_felled_in_january_and_planted_in_april_is_fine() -> None:
    """The commonest case: felled 10 January, planted 24 April, the wood still far above what has to be soaked."""
    found = oak()
    tables = found.problem.work(FELL).tables
    felled, planted = found.day("2027-01-10"), found.day("2027-04-24")
    assert planted <= tables["moist"][felled] <= tables["dry"][felled]


@pytest.mark.parametrize(("name", "floor"), [("moist", 35), ("dry", 30)])
def test_drying_tables_against_sums_by_hand(name: str, floor: float) -> None:
    """0.4 % of the fresh mass a week in winter, 0.8 in spring and autumn, 1.5 in summer, until 35 or 30 % is reached."""
    found = oak(window='"2027-04-10/2027-11-30"', best='"2027-04-24/2027-11-16"')
    fresh = catalogue().woods["oak"].fresh_moisture.likely
    table = found.problem.work(FELL).tables[name]
    for felled in range(0, found.problem.horizon - 200, 17):
        lost = 0.0
        day = felled
        while 100 * (fresh / 100 - lost) / (1 - lost) >= floor - 1e-9 and day <= found.problem.horizon:
            month = found.date(day).month
            weekly = 0.4 if month in (11, 12, 1, 2, 3) else 1.5 if month in (6, 7, 8) else 0.8
            lost += weekly / 100 / 7
            day += 1
        assert table[felled] == min(day - 1, found.problem.horizon, felled + 365)


def test_thin_logs_dry_twice_as_fast() -> None:
    """Below 10 cm the wood is good half as long."""
    thick, thin = (
        oak(logs=f'{{ count = 20, diameter = "{cm} cm", length = "1 m" }}', window='"2027-04-10/2027-11-30"')
        for cm in (13, 8)
    )
    felled = thick.day("2027-01-10")
    good = [found.problem.work(FELL).tables["moist"][felled] - felled for found in (thick, thin)]
    assert good[1] < good[0]
    assert good[1] < 0.7 * good[0]


def test_wood_of_more_than_a_year_is_refused() -> None:
    """However slowly it dries: here by a tenth of what it does."""
    rules = catalogue().wood_rules
    slow = {
        name: getattr(rules, name).model_copy(update={"low": 0.0, "likely": 0.05, "high": 0.1})
        for name in ("loss_winter", "loss_spring", "loss_summer")
    }
    known = replace(catalogue(), wood_rules=rules.model_copy(update=slow))
    found = compile_of(season(edited(OAK, window='"2027-04-10/2028-04-10"'), stock=(CULTURE,)), known)
    tables = found.problem.work(FELL).tables
    assert tables["dry"][0] == 365
    assert all(last <= felled + 365 for table in tables.values() for felled, last in table.items())


def test_planting_ends_before_the_wood_is_too_dry() -> None:
    """The last planting day lies on or before the day until which the felled wood is good."""
    found = oak()
    assert found.apart(Point(PLANT, "last"), Point(FELL, "dry")) == (0, None)


def test_wood_that_is_down_already_is_judged_from_its_day() -> None:
    """Felled on 1 November: no felling to plan, its rest is over, its last good day is known."""
    found = oak(felled="2026-11-01")
    assert found.allowed(FELL) == {0}
    tables = found.problem.work(FELL).tables
    planned = oak(site=SITE.replace("2026-10-05", "2026-10-01")).problem.work(FELL).tables
    assert found.apart(Point(FELL), Point(PLANT))[0] == 0
    assert found.day_limit("all hands").per_piece.get(FELL) is None
    # Four weeks of winter were lost before day 0: 1.6 % of the mass, two weeks of cool spring.
    assert planned["moist"][0] - tables["moist"][0] == pytest.approx(4 * 0.4 / 0.8 * 7, abs=3)
    assert found.problem.rules["felled:Oak stack"].key == "planting[0].felled"


def test_a_day_of_felling_to_come_is_the_only_one() -> None:
    """Agreed for 10 January: the work is there with its hours, in dormant time, and on no other day."""
    found = oak(felled="2027-01-10")
    assert found.allowed(FELL) == {found.day("2027-01-10")}
    rule = found.problem.rules["felled:Oak stack"]
    assert (rule.kind, rule.key, rule.owner) == ("wood_felled", "planting[0].felled", "grower")
    assert rule.facts == {"planting": "Oak stack", "on": "2027-01-10"}
    assert found.day_limit("all hands").per_piece[FELL] == oak().day_limit("all hands").per_piece[FELL]
    assert {"leaf_turn", "bud_swell", "hours"} <= set(found.rules_of(FELL))
    assert oak(felled="2027-04-12").allowed(FELL) == set(), "the buds swell on that day"


def test_delivered_logs_that_are_to_be_felled_are_ordered() -> None:
    """Wood of today needs no order; wood of a day to come has its lead time like any that is bought."""
    people = 'hours = { sat = 6, sun = 4 }\nfelling = "bought"'
    assert "lead:supplies" in oak(people=people, felled="2027-01-10").rules_of(FELL)
    assert "lead:supplies" not in oak(people=people, felled="2026-11-28").rules_of(FELL)


def test_wood_felled_a_few_days_ago_still_rests() -> None:
    """Of two weeks of rest five days are over; wood of today is planted tomorrow at the earliest."""
    found = oak(species='"nameko"', wood='"birch"', felled="2026-11-23")
    assert found.apart(Point(FELL), Point(PLANT))[0] == 14 - 5
    assert oak(felled="2026-11-28").apart(Point(FELL), Point(PLANT))[0] == 1


def test_wood_that_lies_too_long_leaves_no_day() -> None:
    """Felled the summer before last, it is more than a year old when the window opens."""
    found = oak(felled="2025-12-01")
    last = found.problem.work(FELL).tables["dry"][0]
    assert last < min(found.allowed(PLANT))


def test_stumps_need_no_felling() -> None:
    """A living stump is there; nothing dries."""
    text = "\n".join(row for row in TOTEMS.splitlines() if not row.startswith("logs"))
    found = compiled(edited(text, method='"stump"', stumps='{ count = 3, diameter = "30 cm" }'))
    assert all(not work.name.endswith(":fell") for work in found.problem.works)


# --- chips -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("how", "least", "most"), [("wetted in place", 1, 7), ("soaked", 5, 14), ("fermented", 7, 21)]
)
def test_chips_are_prepared_as_long_before_as_their_treatment_takes(how: str, least: int, most: int) -> None:
    """Wetted in place one to seven days, soaked about a week, fermented one to three weeks."""
    found = bed(chips=f'"{how}"', tools='tank = "800 L"')
    plant = Point(yard.plant("Bed"))
    assert found.apart(Point(CHIPS, "last"), plant) == (least, None)
    assert found.apart(Point(CHIPS), plant) == (None, most)
    assert found.problem.rules["chips:Bed"].facts["how"] == how


def test_chips_are_ordered_before_they_are_prepared() -> None:
    """Three weeks from today at the earliest, or the grower's own lead."""
    assert min(bed().limit(CHIPS, "lead:chips")) == 21
    assert min(bed(buying='lead = { chips = "5 d" }').limit(CHIPS, "lead:chips")) == 5


def test_logs_have_no_chips_and_beds_no_felling() -> None:
    """Each method has its own works."""
    names = {work.name for work in compiled(OAK, BED).problem.works}
    assert CHIPS in names
    assert FELL in names
    assert yard.prepare_chips("Oak stack") not in names
    assert yard.fell("Bed") not in names


# --- together --------------------------------------------------------------------------------------------


def test_bench_before_yard() -> None:
    """No day holds both an inoculation and a felling or planting; chips may be prepared after the bench."""
    found = compiled(OAK, BED)
    (apart,) = found.problem.aparts
    inoculations = {work.name for work in found.problem.works if work.name.endswith(":inoculate")}
    outdoors = {work.name for work in found.problem.works if work.name.endswith((":plant", ":fell"))}
    assert {apart.left, apart.right} == {frozenset(inoculations), frozenset(outdoors)}


def test_yard_minutes_are_those_of_the_demand() -> None:
    """Every yard work takes its minutes of all hands and of the daylight, and none of the lab's."""
    found = compiled(OAK, BED)
    for name, kinds in ((PLANT, ("plant",)), (FELL, ("fell", "buck", "haul")), (CHIPS, ("prepare-chips",))):
        demand = found.sizing.demand(name.rpartition(":")[0])
        minutes = sum(step.minutes_per_piece for step in demand.steps if step.kind in kinds)
        assert found.day_limit("all hands").per_piece[name] == minutes
        assert found.day_limit("daylight").per_piece[name] == minutes
        assert name not in found.day_limit("own hands").per_piece
        assert found.problem.work(name).pieces == demand.pieces
