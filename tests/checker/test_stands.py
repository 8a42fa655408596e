"""Each rule of a finished plan bites: one change to a plan that may stand, refused by that rule's name."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from scheduler.checker.case import Case
from scheduler.checker.stands import RULES, check_plan
from scheduler.lines.shapes import YardStep
from scheduler.plan import Fed, LoadShare, Moisture, Pack, Unit
from scheduler.progress import BatchProgress, Progress
from scheduler.season.season import Cooker, Lead, LogGroup, Room, Stock, Tools

RAFT, CULTURE, GRAIN, BAGS = "Cherry raft", "NAM-La", "NAM-G1a", "NAM-Sa"

Change = Callable[[Case], Case]


def _with(case: Case, **parts: Any) -> Case:
    return replace(case, plan=replace(case.plan, **parts))


def _each(part: str, key: str, name: str, **changes: Any) -> Change:
    """Changes the parts of a plan (tasks, batches, ...) of one name."""

    def change(case: Case) -> Case:
        found = getattr(case.plan, part)
        assert any(getattr(one, key) == name for one in found), name
        changed = tuple(replace(one, **changes) if getattr(one, key) == name else one for one in found)
        return _with(case, **{part: changed})

    return change


def _task(task_id: str, **changes: Any) -> Change:
    return _each("tasks", "id", task_id, **changes)


def _batch(batch_id: str, **changes: Any) -> Change:
    return _each("batches", "id", batch_id, **changes)


def _planting(**changes: Any) -> Change:
    return _each("plantings", "name", RAFT, **changes)


def _day(**changes: Any) -> Change:
    """Changes the one day of planting."""
    return lambda case: _with(case, planting_days=(replace(case.plan.planting_days[0], **changes),))


def _work_of_day(**changes: Any) -> Change:
    """Changes what is planted on the one day of planting."""
    return lambda case: _day(works=(replace(case.plan.planting_days[0].works[0], **changes),))(case)


def _station(name: str, **changes: Any) -> Change:
    """Changes one station of the day of planting."""

    def change(case: Case) -> Case:
        stations = case.plan.planting_days[0].works[0].stations
        return _work_of_day(
            stations=tuple(replace(one, **changes) if one.name == name else one for one in stations)
        )(case)

    return change


def _order(item: str, **changes: Any) -> Change:
    return _each("orders", "item", item, **changes)


def _load(class_: str, **changes: Any) -> Change:
    return _each("loads", "class_", class_, **changes)


def _without(part: str, key: str, *names: str) -> Change:
    """Takes the parts of a plan of some names away."""

    def change(case: Case) -> Case:
        left = tuple(one for one in getattr(case.plan, part) if getattr(one, key) not in names)
        assert len(left) < len(getattr(case.plan, part))
        return _with(case, **{part: left})

    return change


def _twice(part: str, key: str, name: str, **changes: Any) -> Change:
    """Adds one part of a plan a second time, changed."""

    def change(case: Case) -> Case:
        found = getattr(case.plan, part)
        again = next(replace(one, **changes) for one in found if getattr(one, key) == name)
        return _with(case, **{part: (*found, again)})

    return change


def _season(**changes: Any) -> Change:
    return lambda case: replace(case, season=replace(case.season, **changes))


def _people(**changes: Any) -> Change:
    return lambda case: replace(
        case, season=replace(case.season, people=replace(case.season.people, **changes))
    )


def _lab(**changes: Any) -> Change:
    return lambda case: replace(case, season=replace(case.season, lab=replace(case.season.lab, **changes)))


def _site(**changes: Any) -> Change:
    return lambda case: replace(case, season=replace(case.season, site=replace(case.season.site, **changes)))


def _wish(**changes: Any) -> Change:
    return lambda case: replace(
        case, season=replace(case.season, plantings=(replace(case.season.plantings[0], **changes),))
    )


def _spec(batch_id: str, **changes: Any) -> Change:
    """Changes a batch as sized."""

    def change(case: Case) -> Case:
        line = case.sizing.lines[0]
        batches = tuple(replace(b, **changes) if b.id == batch_id else b for b in line.batches)
        return replace(case, sizing=replace(case.sizing, lines=(replace(line, batches=batches),)))

    return change


def _demand(**changes: Any) -> Change:
    return lambda case: replace(
        case, sizing=replace(case.sizing, demands=(replace(case.sizing.demands[0], **changes),))
    )


def _work(name: str, *days: date) -> Change:
    """Moves a work of one piece, or spreads it evenly, in the days that were found."""

    def change(case: Case) -> Case:
        pieces = case.problem.work(name).pieces // len(days)
        lies = {case.count.number(day): pieces for day in days}
        return replace(case, days=replace(case.days, pieces={**case.days.pieces, name: lies}))

    return change


def _both(*changes: Change) -> Change:
    """Makes several changes, one after the other."""

    def change(case: Case) -> Case:
        for one in changes:
            case = one(case)
        return case

    return change


def _units(batch_id: str, *parents: str | None) -> Change:
    """Gives the units of a batch other parents, as sized and as dated."""
    units = tuple(Unit(f"{batch_id}/{index + 1}", parent) for index, parent in enumerate(parents))
    return _both(_batch(batch_id, units=units), _spec(batch_id, units=units))


def _also(spec_and_batch: str, **changes: Any) -> Change:
    """Changes a batch as sized and as dated."""
    return _both(_batch(spec_and_batch, **changes), _spec(spec_and_batch, **changes))


def _table(name: str, table: str, days_after: int) -> Change:
    """Gives a work another table of the problem: so many days after each first day."""

    def change(case: Case) -> Case:
        days = {day: min(day + days_after, case.problem.horizon) for day in range(case.problem.horizon + 1)}
        works = tuple(
            replace(work, tables={**work.tables, table: days}) if work.name == name else work
            for work in case.problem.works
        )
        return replace(case, problem=replace(case.problem, works=works))

    return change


def _second_culture(case: Case) -> Case:
    """Adds a second culture in hand from which nothing is made."""
    spec, batch = case.specs[CULTURE], case.batches[CULTURE]
    units = (Unit("NAM-Lb/1", None),)
    line = case.sizing.lines[0]
    more = replace(spec, id="NAM-Lb", units=units)
    sizing = replace(case.sizing, lines=(replace(line, batches=(*line.batches, more)),))
    dated = replace(batch, id="NAM-Lb", units=units, use_on=())
    return replace(case, sizing=sizing, plan=replace(case.plan, batches=(*case.plan.batches, dated)))


def _plate_test(ready_on: date) -> Change:
    """Adds a plate test of the culture, read on a day."""

    def change(case: Case) -> Case:
        units = (Unit("NAM-Aa/1", "NAM-La/1"),)
        common: dict[str, Any] = {
            "id": "NAM-Aa",
            "stage": "plate",
            "generation": None,
            "container": "plate",
            "units": units,
            "needed": 1,
            "started": 1,
            "keep_back": 0,
        }
        spec = replace(case.specs[GRAIN], **common, treatment=None, load_class=None, is_test=True)
        began = date(2027, 1, 9)
        batch = replace(
            case.batches[GRAIN],
            **common,
            cook_on=None,
            inoculate_on=began,
            ready_on=ready_on,
            use_on=(),
            grows_days=(ready_on - began).days,
            check_on=(date(2027, 1, 13),),
        )
        line = case.sizing.lines[0]
        sizing = replace(case.sizing, lines=(replace(line, batches=(*line.batches, spec)),))
        plan = replace(case.plan, batches=(*case.plan.batches, batch))
        return replace(case, plan=plan, sizing=sizing)

    return change


def _second_syringe(case: Case) -> Case:
    """Has the last jar made from a second unit of the culture."""
    more = (Unit("NAM-La/1", None), Unit("NAM-La/2", None))
    jars = [unit.parent or "" for unit in case.batches[GRAIN].units[:-1]]
    return _both(_also(CULTURE, units=more, started=2, needed=2), _units(GRAIN, *jars, "NAM-La/2"))(case)


def _tub(case: Case) -> Case:
    """Scalds the bags in a tub instead of cooking them in a load."""
    work = f"{BAGS}:cook"
    scald = next(
        replace(task, kind="pasteurise", batch=BAGS) for task in case.plan.tasks if task.id == "cook-s"
    )
    pots = tuple(
        replace(pot, shares={name: share for name, share in pot.shares.items() if name != work})
        for pot in case.problem.cookers
    )
    cooker = {name: pot for name, pot in case.days.cooker.items() if name != work}
    loads = {key: count for key, count in case.days.loads.items() if key[2] != "bags"}
    case = replace(
        case,
        problem=replace(case.problem, cookers=pots),
        days=replace(case.days, cooker=cooker, loads=loads),
    )
    tasks = tuple(scald if task.id == scald.id else task for task in case.plan.tasks)
    in_tub = _both(_spec(BAGS, treatment="tub", load_class=None), _without("loads", "class_", "bags"))
    return _with(in_tub(case), tasks=tasks)


SUN_17_JAN, SUN_7_FEB, PLANT = date(2027, 1, 17), date(2027, 2, 7), date(2027, 4, 24)
BAGS_LATER = date(2027, 2, 12)


def _happened(batch_id: str, **what: Any) -> Change:
    """Something was recorded of a batch."""
    return lambda case: replace(case, progress=Progress(batches={batch_id: BatchProgress(**what)}))


# fmt: off
MUTATIONS: list[tuple[str, str, Change, *tuple[str, ...]]] = [
    # rule, what is wrong, how it is made wrong, and any further rules that then cannot hold either
    ("same-things", "a batch is left out", _without("batches", "id", CULTURE), "parents", "task-belongs", "same-days"),
    ("same-things", "a demand is missing", lambda c: replace(c, sizing=replace(c.sizing, demands=()))),
    ("same-days", "a batch has another cook day", _batch(GRAIN, cook_on=date(2027, 1, 15)), "cooked-whole"),
    ("same-days", "a task has another day", _task("chips", on=date(2027, 4, 18))),
    ("same-days", "a batch is inoculated twice", _twice("tasks", "id", "in-g", id="in-g2", small=True)),
    ("same-days", "a planting day that was not found", _planting(plant_on=(PLANT, date(2027, 4, 25))), "days-of-use"),
    ("growth-days", "ready a day early", _batch(BAGS, ready_on=date(2027, 3, 23), grows_days=44, margin_days=32)),
    ("growth-days", "days of growth that its dates deny", _batch(GRAIN, grows_days=19)),
    ("growth-days", "used before it is there", _batch(CULTURE, ready_on=date(2026, 12, 14), margin_days=34), "bought-ordered", "same-days"),
    ("growth-days", "less than lag and consolidation", lambda c: _spec(GRAIN, growth=replace(c.specs[GRAIN].growth, lag=17))(c)),
    ("margin", "a margin that its dates deny", _batch(BAGS, margin_days=30)),
    ("buy-by", "ordered too late for the window", _planting(buy_by=date(2027, 5, 5))),
    ("away", "a day away", _people(away=((date(2027, 1, 15), date(2027, 1, 15)),))),
    ("not-before", "today is later", _both(_season(today=SUN_17_JAN), _order("nameko culture", late=True)), "lead-times"),
    ("not-before", "work starts later", _season(no_work_before=date(2027, 1, 16))),
    ("hands", "a bench day too long", _task("in-g", minutes=241)),
    ("hands", "helpers do not work at the bench", _task("plant", place="lab")),
    ("hands", "a planting day too long with its helpers", _task("plant", minutes=961)),
    ("hands", "a weekday left out has none", _people(minutes={"sat": 360})),
    ("attended", "a load longer than the day at home", _people(home_minutes={"sat": 329, "sun": 600})),
    ("attended", "a tub longer than the day at home", _twice("tasks", "id", "cook-s", id="tub", kind="pasteurise", small=True, attended_minutes=601)),
    ("cook-first", "too little rest", _spec(BAGS, rest_days=2)),
    ("cook-first", "not treated at all", _batch(BAGS, cook_on=None), "same-days", "cooked-whole"),
    ("loads-a-day", "no cooker of that name", _lab(cookers=(Cooker("steam drum", 1, None, None, {"quart jar": 7, "2.3 kg bag": 4}),)), "load-holds"),
    ("load-holds", "more than it holds", _lab(cookers=(Cooker("pressure cooker", 1, 15.0, 15.0, {"quart jar": 3, "2.3 kg bag": 4}),))),
    ("load-holds", "does not fit", _lab(cookers=(Cooker("pressure cooker", 1, 15.0, 15.0, {"quart jar": 7}),))),
    ("cooked-whole", "a unit is left out", _load("grain", holds=(LoadShare(GRAIN, 3),))),
    ("cooked-whole", "in a load of another class", _spec(GRAIN, load_class="media")),
    ("same-loads", "a load more", _both(_twice("loads", "class_", "bags", class_="media", holds=(LoadShare(BAGS, 1),)), _lab(cookers=(Cooker("pressure cooker", 2, 15.0, 15.0, {"quart jar": 7, "2.3 kg bag": 4}),))), "attended", "cook-tasks", "cooked-whole"),
    ("cook-tasks", "no task for a load", _without("tasks", "id", "cook-g"), "after"),
    ("cook-tasks", "a task of other minutes", _task("cook-g", minutes=50)),
    ("held-hot", "a load that is not held", _load("grain", hold_minutes=0)),
    ("held-hot", "held for all of its time", _load("grain", hold_minutes=240)),
    ("cook-tasks", "no task for a tub", _spec(GRAIN, load_class=None), "cooked-whole"),
    ("cook-first", "three days in a tub", _both(_tub, _batch(BAGS, cook_on=date(2027, 2, 4))), "cook-tasks", "same-days"),
    ("tub-dry", "pellets wetted before the boiling water", _both(_tub, _twice("tasks", "id", "soak", id="wet", kind="wet-pellets", batch=BAGS, on=date(2027, 2, 5)))),
    ("shelf", "too small for the bags", _lab(shelf=Room(22.0, holds={"quart jar": 6, "2.3 kg bag": 2}))),
    ("shelf", "too small for the litres", _lab(shelf=Room(22.0, volume_l=14.0))),
    ("shelf", "jars are not named and count by volume", _lab(shelf=Room(22.0, holds={"2.3 kg bag": 2}))),
    ("fridge", "too small for bags beside the jar that is kept", _lab(fridge=Room(3.0, volume_l=16.0))),
    ("fridge", "too small for bags beside the culture that is kept", _spec(CULTURE, unit_volume_l=4.0)),
    ("unit-counts", "fewer units than started", _batch(BAGS, started=4), "cooked-whole"),
    ("unit-counts", "nothing left for the keep-back", _batch(GRAIN, needed=4)),
    ("unit-counts", "one id twice", _also(BAGS, units=(Unit("NAM-Sa/1", "NAM-G1a/1"), Unit("NAM-Sa/1", "NAM-G1a/2"), Unit("NAM-Sa/3", "NAM-G1a/3"))), "spawn-for-all"),
    ("parents", "no parent", _units(BAGS, "NAM-G1a/1", "NAM-G1a/2", None)),
    ("parents", "a parent that is not there", _units(BAGS, "NAM-G1a/1", "NAM-G1a/2", "NAM-G1a/9")),
    ("parents", "a parent that is kept back", _units(BAGS, "NAM-G1a/1", "NAM-G1a/2", "NAM-G1a/4")),
    ("parents", "a parent batch that was not sized", _spec(BAGS, parents=("NAM-G1b",))),
    ("parents", "a parent of another line", _batch(CULTURE, line="SHI")),
    ("parents", "a parent of a later stage", _also(GRAIN, stage="dowels", generation=None)),
    ("parents", "a generation left out", _also(BAGS, stage="grain", generation=3), "enough-spawn"),
    ("parent-mass", "a jar gives more than it holds", _spec(BAGS, feed_g=541.0)),
    ("parent-mass", "a syringe gives more than it holds", _spec(GRAIN, feed_g=3.1)),
    ("two-parents", "all from one jar", _both(_units(BAGS, *["NAM-G1a/1"] * 3), _spec(BAGS, feed_g=150.0))),
    ("generation", "a fourth generation", _also(GRAIN, generation=4)),
    ("generation", "a bag with a generation", _also(BAGS, generation=2)),
    ("keep-back", "no culture is kept", _without("tasks", "id", "keep-l")),
    ("keep-back", "no grain is kept", _without("tasks", "id", "keep-g")),
    ("keep-back", "no jar for it", _also(GRAIN, keep_back=0)),
    ("transfers", "transfers that nobody counted", _batch(GRAIN, transfers=3)),
    ("transfers", "spawn that is no further than its grain", _both(_batch(CULTURE, transfers=4), _batch(GRAIN, transfers=5), _batch(BAGS, transfers=6))),
    ("days-of-use", "a day of use left out", _batch(GRAIN, use_on=())),
    ("ready-first", "used before it is ready", _batch(GRAIN, use_on=(date(2027, 2, 5), SUN_7_FEB), margin_days=-1)),
    ("shelf-life", "grain too old", _spec(GRAIN, keeps_days=0)),
    ("shelf-life", "the age that stock comes with", _spec(CULTURE, aged_days=148)),
    ("shelf-life", "keeping days that nobody knows", _batch(BAGS, keeps_days=91)),
    ("first-check", "no check", _batch(BAGS, check_on=())),
    ("first-check", "too early", _both(_batch(BAGS, check_on=(date(2027, 2, 9),)), _task("check-s", on=date(2027, 2, 9)))),
    ("first-check", "too late", _both(_batch(BAGS, check_on=(date(2027, 2, 13),)), _task("check-s", on=date(2027, 2, 13)), _people(away=()))),
    ("first-check", "not a task", _without("tasks", "id", "check-s")),
    ("culture-tested", "untested culture in hand", _both(_also(CULTURE, state="in hand"), _season(stock=(Stock("nameko", "house", "NAM", "liquid culture", 12.0, None, date(2026, 11, 1), False, False, None),)))),
    ("enough-spawn", "dowels where the route says pellets", _also(BAGS, stage="dowels")),
    ("enough-spawn", "chips anywhere but in a bed", _spec(BAGS, stage="chips")),
    ("chip-expansion", "chips for a bed a hundred times as large", _both(_spec(BAGS, stage="chips"), _demand(chips_l=10_000.0)), "enough-spawn", "tank"),
    ("stock-in-hand", "12 mL of 10", _both(_also(CULTURE, state="in hand"), _season(stock=(Stock("nameko", "house", "NAM", "liquid culture", 10.0, None, date(2026, 11, 1), False, True, None),)))),
    ("stock-in-hand", "one culture that is not there at all", _also(CULTURE, state="in hand")),
    ("culture-tested", "two cultures in hand, one of them tested", _both(_also(CULTURE, state="in hand"), _second_culture, _season(stock=tuple(Stock("nameko", "house", "NAM", "liquid culture", 12.0, None, date(2026, 11, 1), False, tested, None) for tested in (True, False)))), "same-days"),
    ("culture-tested", "a second syringe that no plate is from", _both(_plate_test(date(2027, 1, 19)), _second_syringe), "days-of-use", "first-check", "same-days"),
    ("culture-tested", "grain before the test is read", _plate_test(date(2027, 1, 30)), "days-of-use", "first-check", "same-days"),
    ("enough-spawn", "less than the planting takes", _batch(BAGS, needed=1)),
    ("enough-spawn", "a demand that is not printed", _demand(spawn_g=3700.0)),
    ("enough-spawn", "more planned than can be there", _planting(spawn_planned_g=7000.0)),
    ("enough-spawn", "less planned than taken", _planting(spawn_planned_g=3500.0)),
    ("window", "a window that was not wished", _planting(window=(date(2027, 4, 19), date(2027, 5, 25)))),
    ("window", "planted before it opens", _both(_wish(window=(date(2027, 4, 25), date(2027, 5, 25))), _planting(window=(date(2027, 4, 25), date(2027, 5, 25))))),
    ("felling", "on the day of bud swell", _site(bud_swell=date(2027, 2, 27))),
    ("felling", "after bud swell", _site(bud_swell=date(2027, 2, 20))),
    ("felling", "before leaf turn", _site(leaf_turn=date(2027, 3, 1))),
    ("felling", "between bud swell and the leaf turn after it", _site(leaf_turn=date(2027, 10, 5), bud_swell=date(2027, 2, 20))),
    ("felling", "outside the days that are printed", _planting(fell_between=(date(2027, 3, 1), date(2027, 4, 1)))),
    ("felling", "on another day than the one that was named", _wish(felled=date(2027, 2, 28))),
    ("wood", "too dry", _both(_planting(wood_moisture=Moisture(26.0, 29.0, 31.0)), _twice("tasks", "id", "chips", id="soak-logs", kind="soak-logs", small=True), _planting(soak_on=date(2027, 4, 17)))),
    ("wood", "moisture not known", _planting(wood_moisture=None)),
    ("wood", "down for more than a year", _wish(felled=date(2026, 3, 1))),
    ("soak-logs", "dry wood and no soak", _planting(wood_moisture=Moisture(31.0, 33.0, 36.0))),
    ("soak-logs", "dry wood by the problem's table", _table(f"{RAFT}:fell", "moist", 50)),
    ("soak-logs", "a soak day without a task", _planting(soak_on=date(2027, 4, 23))),
    ("soak-logs", "soaked on the planting day", _both(_planting(soak_on=PLANT), _twice("tasks", "id", "plant", id="soak-logs", kind="soak-logs", small=True))),
    ("chips", "too long in the water", _both(_wish(chips="wetted in place"), _task("chips", on=date(2027, 4, 10)), _work(f"{RAFT}:prepare-chips", date(2027, 4, 10)))),
    ("chips", "not long enough to ferment", _both(_wish(chips="fermented"), _task("chips", on=date(2027, 4, 18)), _work(f"{RAFT}:prepare-chips", date(2027, 4, 18)))),
    ("drills", "more drilling than drills", _demand(steps=(YardStep("plant", 50, 31),))),
    ("chips", "not prepared at all", _task("chips", kind="weigh"), "same-days"),
    ("tank", "more chips than it holds", _demand(chips_l=201.0)),
    ("tank", "no tank", _season(tools=Tools(1, None))),
    ("bench-first", "inoculation on a felling day", _twice("tasks", "id", "fell", id="weigh", kind="inoculate", batch="NAM-G1a", planting=None, small=True), "same-days"),
    ("fallback", "before the last planting day", _planting(fallback_on=PLANT)),
    ("fallback", "after the window", _planting(fallback_on=date(2027, 5, 26))),
    ("fallback", "a day away", _planting(fallback_on=date(2027, 5, 8))),
    ("fallback", "wood too dry", _table(f"{RAFT}:fell", "dry", 60)),
    ("fallback", "spawn no longer good", _also(BAGS, keeps_days=31)),
    ("running-order", "a day of planting left out", lambda case: _with(case, planting_days=())),
    ("running-order", "on another day than its task", _day(on=date(2027, 5, 1))),
    ("running-order", "one planting twice", lambda case: _with(case, planting_days=case.plan.planting_days * 2)),
    ("stations", "more people than are there", _both(_station("dig in", people=9), _station("pack", people=9))),
    ("stations", "two teams that are too many together", _both(_station("dig in", people=2), _station("pack", people=2, team=2))),
    ("stations", "a drill that is not there", _station("dig in", limit=2)),
    ("stations", "likely minutes beyond the most", _station("pack", minutes=301)),
    ("stations", "a day shorter than its fewest minutes", _day(minutes=399)),
    ("spawn-for-all", "a log without spawn", _work_of_day(spawn=(Fed("NAM-Sa/1", 1, 6), Fed("NAM-Sa/2", 8, 12)))),
    ("spawn-for-all", "the last logs without spawn", _work_of_day(spawn=(Fed("NAM-Sa/1", 1, 6),))),
    ("spawn-for-all", "no spawn at all", _work_of_day(spawn=())),
    ("spawn-for-all", "a jar in the place of a bag", _work_of_day(spawn=(Fed("NAM-G1a/9", 1, 12),))),
    ("spawn-for-all", "the jar that is kept back", _work_of_day(reserve=("NAM-G1a/4",))),
    ("spawn-for-all", "half a bed", _work_of_day(piece="m2", spawn=(Fed("NAM-Sa/1", None, None, 1.0),))),
    ("task-ids", "one id twice", _task("check-s", id="check-g")),
    ("after", "a task that is not there", _task("in-g", after=("cook-x",))),
    ("after", "a task that comes later", _task("cook-g", after=("in-g",))),
    ("task-belongs", "no such batch", _task("soak", batch="NAM-G1z")),
    ("task-belongs", "no such planting", _task("soak", planting="Oak raft")),
    ("cautions", "felling without one", _task("fell", cautions=())),
    ("cautions", "an empty one", _task("cook-g", cautions=(" ",))),
    ("cautions", "hauling what takes two to lift", _both(_twice("tasks", "id", "fell", id="haul", kind="haul", minutes=60, cautions=()), _demand(heaviest_piece_kg=30.0))),
    ("slip", "to an earlier day", _task("chips", slip_to=date(2027, 4, 16))),
    ("slip", "to a day away", _task("fell", slip_to=date(2027, 5, 8))),
    ("slip", "to the day it lies on", _task("chips", slip_to=date(2027, 4, 17))),
    ("slip-after", "past the work that comes after it", _both(_twice("tasks", "id", "check-s", id="look", batch=None, slip_to=date(2027, 4, 25)), _task("plant", after=("look",)))),
    ("slip-after", "past a small task that can wait no longer", _both(_twice("tasks", "id", "check-s", id="look", batch=None, slip_to=BAGS_LATER), _task("check-s", after=("look",)))),
    ("slip-band", "grain soaked on the day it is cooked", _task("soak", slip_to=date(2027, 1, 16))),
    ("slip-band", "first looked at when mould is in spore", _task("check-g", slip_to=date(2027, 1, 23))),
    ("slip-band", "a jar kept back after the others are used", _task("keep-g", slip_to=date(2027, 2, 8))),
    ("slip-band", "shaken three days before use", _twice("tasks", "id", "check-g", id="shake", kind="shake", slip_to=date(2027, 2, 4))),
    ("slip-band", "soaked on the planting day", _both(_planting(wood_moisture=Moisture(31.0, 33.0, 36.0), soak_on=date(2027, 4, 17)), _twice("tasks", "id", "chips", id="soak-logs", kind="soak-logs", small=True, slip_to=PLANT))),
    ("slip-band", "a check ahead that waits for the day it is for", _both(_twice("tasks", "id", "check-s", id="ahead", kind="prepare", batch=None, slip_to=PLANT), _task("plant", after=("ahead",)))),
    ("slip-band", "a check ahead of nothing that waits", _twice("tasks", "id", "check-s", id="ahead", kind="prepare", batch=None, slip_to=PLANT)),
    ("order-day", "no lead time of the season", _order("wax", order_by=date(2027, 4, 21))),
    ("order-day", "late and not said so", _order("nameko culture", late=True)),
    ("order-packs", "packs that hold too little", _order("wax", packs=(Pack("0.5 kg block", 1, 0.5),))),
    ("order-packs", "a rest that does not cover it", _order("wax", left_over=0.4)),
    ("lead-times", "grain cannot be there for its cook", _season(lead=Lead(culture=14, spawn=21, grain=46, chips=20, supplies=3))),
    ("ordered-in-time", "there after its task", _order("wax", needed_on=date(2027, 4, 25), order_by=date(2027, 4, 22))),
    ("bought-ordered", "no order for the culture", _without("orders", "item", "nameko culture")),
    ("bought-ordered", "an order with another lead time", _order("nameko culture", order_by=date(2026, 12, 8))),
    ("bought-ordered", "there after the day it is needed", _order("nameko culture", needed_on=date(2026, 12, 16), order_by=date(2026, 12, 2))),
    ("recorded-days", "inoculated on another day than was recorded", _happened(GRAIN, inoculated_on=date(2027, 1, 16))),
    ("recorded-days", "ready on another day than it was found to be", _happened(GRAIN, ready_on=date(2027, 2, 4))),
    ("lost-units", "a jar that is lost is still in the plan", _happened(GRAIN, lost={f"{GRAIN}/1": date(2027, 1, 20)})),
    ("done-once", "what is done is a task still", lambda case: replace(case, progress=Progress(done={"fell": date(2027, 2, 27)}))),
    ("pieces-left", "more is planted than there are logs left", _wish(groups=(LogGroup(11, 12.0, 60.0),))),
]
# fmt: on


def _rules(case: Case) -> set[str]:
    found = check_plan(case.plan, case.days, case.season, case.sizing, case.problem, case.progress)
    return {violation.rule for violation in found}


def test_tiny_season_stands(tiny: Case) -> None:
    """The plan that every mutation starts from breaks no rule."""
    assert check_plan(tiny.plan, tiny.days, tiny.season, tiny.sizing, tiny.problem) == []


STANDING: list[tuple[str, Change]] = [
    ("trees are felled by others, at no minutes of one's own", _both(_people(felling="hired"), _task("fell", minutes=0, place="other"))),
    ("logs are delivered: no felling task, and no season for it", _both(_people(felling="bought"), _task("fell", kind="haul", place="other"), _site(bud_swell=date(2027, 2, 20)))),
    ("wood is down already", _both(_wish(felled=date(2026, 11, 20)), _planting(fell_on=(), fell_between=None), _without("tasks", "id", "fell"), _task("plant", after=("chips",)))),
    ("wood is felled on the day that was named", _wish(felled=date(2027, 2, 27))),
    ("bags are scalded in a tub", _tub),
    ("sawdust spawn where the route says pellets", _also(BAGS, stage="sawdust")),
    ("the last bag of one log goes on in the next", _work_of_day(spawn=(Fed("NAM-Sa/1", 1, 6), Fed("NAM-Sa/2", 6, 12)))),
    ("planting goes on with the thirteenth log", _work_of_day(spawn=(Fed("NAM-Sa/1", 13, 18), Fed("NAM-Sa/2", 19, 24)))),
    ("no fallback day is left", _planting(fallback_on=None)),
    ("a site without dates", _site(leaf_turn=None, bud_swell=None)),
    ("felling starts again with the leaf turn after bud swell", _site(leaf_turn=date(2027, 10, 5))),
    ("dry wood that is soaked", _both(_planting(wood_moisture=Moisture(31.0, 33.0, 36.0), soak_on=date(2027, 4, 17)), _twice("tasks", "id", "chips", id="soak-logs", kind="soak-logs", small=True))),
    ("packs and a rest that hold it together", _order("wax", packs=(Pack("0.5 kg block", 1, 0.5),), left_over=0.5)),
    ("small tasks take no hours", _task("soak", minutes=500)),
    ("a look that can wait to the end of its band", _both(_task("check-g", slip_to=date(2027, 1, 22)), _task("in-s", after=("cook-s", "check-g")))),
    ("a check ahead that waits until the eve of its day", _both(_twice("tasks", "id", "check-s", id="ahead", kind="prepare", batch=None, slip_to=date(2027, 4, 23)), _task("plant", after=("ahead",)))),
    ("small tasks that wait together", _both(_twice("tasks", "id", "check-s", id="look", batch=None, slip_to=BAGS_LATER), _task("check-s", after=("look",), slip_to=BAGS_LATER))),
    ("ready before any mould is seen: looked at before use", _both(_spec(BAGS, growth=None), _batch(BAGS, check_on=(BAGS_LATER,), ready_on=date(2027, 2, 10), grows_days=3, margin_days=73), _table(f"{BAGS}:inoculate", "ready", 3), _task("check-s", on=BAGS_LATER))),
]  # fmt: skip


@pytest.mark.parametrize(("what", "change"), STANDING, ids=[what for what, _ in STANDING])
def test_what_is_allowed_stands(tiny: Case, what: str, change: Change) -> None:
    """A plan that only looks unusual is not refused."""
    assert _rules(change(tiny)) == set(), what


@pytest.mark.parametrize("mutation", MUTATIONS, ids=[f"{m[0]}: {m[1]}" for m in MUTATIONS])
def test_mutation_is_refused(tiny: Case, mutation: tuple[Any, ...]) -> None:
    """A plan with one thing wrong is refused by the rule of that thing and no unrelated one."""
    rule, _, change, *also = mutation
    assert _rules(change(tiny)) == {rule, *also}


def test_every_rule_has_a_mutation() -> None:
    """No rule stands in the registry that was never seen to bite."""
    assert {mutation[0] for mutation in MUTATIONS} == set(RULES)


def test_every_rule_says_what_it_asks() -> None:
    """Each rule is one function with one sentence of its own."""
    sentences = [(check.__doc__ or "").strip().split("\n\n")[0] for check in RULES.values()]
    assert all(sentence.endswith(".") for sentence in sentences)
    assert len(set(sentences)) == len(RULES)
