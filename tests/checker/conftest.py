"""A tiny season made by hand, with its sizes, problem, days and finished plan: everything in it may stand.

One raft of twelve logs, bought liquid culture, one batch of grain, one batch of pellet spawn; work on
Saturdays and Sundays. Day numbers count from Tuesday 1 December 2026.
"""

from datetime import date, timedelta
from pathlib import Path

import pytest

from scheduler.checker.case import Case
from scheduler.lines.shapes import BatchSpec, Demand, Growth, Line, Sizing, YardStep
from scheduler.plan import (
    Batch,
    Fed,
    Load,
    LoadShare,
    Moisture,
    Order,
    Plan,
    PlantingDay,
    PlantingPlan,
    PlantingWork,
    SeasonHead,
    Station,
    Supply,
    Task,
    Unit,
)
from scheduler.problem import shapes
from scheduler.problem.shapes import Apart, DayLimit, Days, Lag, Limit, Point, Problem, Stay, Work
from scheduler.season.season import (
    Cooker,
    Help,
    Lab,
    Lead,
    LogGroup,
    People,
    Planting,
    Room,
    Season,
    Site,
    Tools,
)

TODAY = date(2026, 12, 1)
RAFT = "Cherry raft"
COOKER = "pressure cooker 1"
HORIZON = 175

THERE = date(2026, 12, 15)
GRAIN_COOK, GRAIN_IN, GRAIN_READY = date(2027, 1, 16), date(2027, 1, 17), date(2027, 2, 6)
BAGS_COOK, BAGS_IN, BAGS_READY = date(2027, 2, 6), date(2027, 2, 7), date(2027, 3, 24)
FELL, CHIPS, PLANT, FALLBACK = date(2027, 2, 27), date(2027, 4, 17), date(2027, 4, 24), date(2027, 5, 1)


def number(day: date) -> int:
    """Day number of a date of the tiny season."""
    return (day - TODAY).days


def _season() -> Season:
    return Season(
        path=Path("season.toml"),
        text="",
        name="Tiny",
        id="tiny",
        timezone="UTC",
        units="metric",
        certainty=0.9,
        today=TODAY,
        no_work_before=TODAY,
        site=Site(leaf_turn=date(2026, 10, 5), bud_swell=date(2027, 4, 12)),
        people=People(
            minutes={"sat": 360, "sun": 240},
            home_minutes={"sat": 600, "sun": 600},
            small_minutes=20,
            away=((date(2027, 2, 13), date(2027, 2, 21)), (date(2027, 5, 8), date(2027, 5, 8))),
        ),
        help=(Help(PLANT, 2, 300),),
        tools=Tools(drills=1, tank_l=200.0),
        lab=Lab(
            workspace="still-air box",
            grain_in="quart jar",
            spawn_in="2.3 kg bag",
            media="bought",
            cookers=(Cooker("pressure cooker", 1, 15.0, 15.0, {"quart jar": 7, "2.3 kg bag": 4}),),
            shelf=Room(22.0, holds={"quart jar": 6, "2.3 kg bag": 4}),
            fridge=Room(3.0, volume_l=20.0),
        ),
        stock=(),
        plantings=(
            Planting(
                name=RAFT,
                species="nameko",
                strain="house",
                code="NAM",
                method="log raft",
                wood="black cherry",
                groups=(LogGroup(12, 13.0, 100.0),),
                area_m2=None,
                depth_cm=None,
                pattern=None,
                chips="soaked",
                window=(date(2027, 4, 20), date(2027, 5, 25)),
                best=(date(2027, 4, 24), date(2027, 5, 9)),
                priority=1,
                at_least=None,
                spawn="make",
                route=("liquid culture", "grain", "pellet"),
                felled=None,
                index=0,
            ),
        ),
        lead=Lead(culture=14, spawn=21, grain=7, chips=20, supplies=3),
        figures={},
        assumed=(),
    )


def _units(batch: str, *parents: str | None) -> tuple[Unit, ...]:
    return tuple(Unit(f"{batch}/{index + 1}", parent) for index, parent in enumerate(parents))


def _sizing() -> Sizing:
    culture = BatchSpec(
        id="NAM-La",
        line="NAM",
        species="nameko",
        strain="house",
        stage="liquid culture",
        generation=None,
        container="syringe",
        needed=1,
        started=1,
        keep_back=0,
        units=_units("NAM-La", None),
        unit_mass_g=12.0,
        usable=1.0,
        unit_volume_l=0.1,
        feed_g=0.0,
        parents=(),
        plantings=(RAFT,),
        treatment=None,
        load_class=None,
        rest_days=0,
        growth=None,
        fresh_days=60,
        keeps_days=180,
        waits_in="fridge",
        state="bought",
        there_on=THERE,
        aged_days=30,
        minutes=0,
    )
    grain = BatchSpec(
        id="NAM-G1a",
        line="NAM",
        species="nameko",
        strain="house",
        stage="grain",
        generation=1,
        container="quart jar",
        needed=2,
        started=4,
        keep_back=1,
        units=_units("NAM-G1a", *["NAM-La/1"] * 4),
        unit_mass_g=600.0,
        usable=0.9,
        unit_volume_l=1.2,
        feed_g=2.0,
        parents=("NAM-La",),
        plantings=(RAFT,),
        treatment="pressure",
        load_class="grain",
        rest_days=1,
        growth=Growth(12, 16, 20, 2, 4),
        fresh_days=30,
        keeps_days=60,
        waits_in="fridge",
        state="planned",
        there_on=None,
        aged_days=0,
        minutes=60,
    )
    bags = BatchSpec(
        id="NAM-Sa",
        line="NAM",
        species="nameko",
        strain="house",
        stage="pellet",
        generation=None,
        container="2.3 kg bag",
        needed=2,
        started=3,
        keep_back=0,
        units=_units("NAM-Sa", "NAM-G1a/1", "NAM-G1a/2", "NAM-G1a/3"),
        unit_mass_g=2300.0,
        usable=0.85,
        unit_volume_l=5.0,
        feed_g=200.0,
        parents=("NAM-G1a",),
        plantings=(RAFT,),
        treatment="pressure",
        load_class="bags",
        rest_days=1,
        growth=Growth(30, 38, 50, 3, 7),
        fresh_days=45,
        keeps_days=90,
        waits_in="fridge",
        state="planned",
        there_on=None,
        aged_days=0,
        minutes=60,
    )
    demand = Demand(
        planting=RAFT,
        pieces=12,
        size="12 logs",
        pattern="",
        spawn_g=3600.0,
        steps=(YardStep("fell", 15, 0), YardStep("prepare-chips", 5, 0), YardStep("plant", 50, 20)),
        supplies=(),
        chips_l=150.0,
        wood_kg=180.0,
        heaviest_piece_kg=15.0,
    )
    line = Line("NAM", "nameko", "house", (RAFT,), (culture, grain, bags), (), 14)
    return Sizing((demand,), (line,), "wished")


def _limits(owner: str) -> tuple[Limit, ...]:
    days = frozenset(day for day in range(HORIZON + 1) if (TODAY + timedelta(days=day)).weekday() in (5, 6))
    return (Limit(f"weekend {owner}", days),)


def _problem() -> Problem:
    days = range(HORIZON + 1)
    grain = {day: day + 20 for day in days if day + 20 <= HORIZON}
    bags = {day: day + 45 for day in days if day + 45 <= HORIZON}
    moist = {day: min(HORIZON, day + 100) for day in days}
    later = {day: min(HORIZON, day + 7) for day in days}
    capacity = dict.fromkeys(days, 360)
    shelf_fridge = (
        shapes.Room(
            "shelf",
            "shelf",
            12,
            (
                Stay(Point("NAM-G1a:inoculate"), Point("NAM-G1a:inoculate", "ready"), 8),
                Stay(Point("NAM-Sa:inoculate"), Point("NAM-Sa:inoculate", "ready"), 9),
            ),
        ),
    )
    return Problem(
        origin=TODAY,
        horizon=HORIZON,
        works=(
            Work("NAM-La:there", ()),
            Work("NAM-G1a:cook", _limits("cook")),
            Work("NAM-G1a:inoculate", _limits("bench"), {"ready": grain}),
            Work("NAM-Sa:cook", _limits("cook")),
            Work("NAM-Sa:inoculate", _limits("bench"), {"ready": bags}),
            Work(f"{RAFT}:fell", _limits("yard"), {"moist": moist, "dry": moist}),
            Work(f"{RAFT}:prepare-chips", _limits("yard")),
            Work(
                f"{RAFT}:plant", _limits("yard"), pieces=12, least=2, span=13, last_tables={"fallback": later}
            ),
            Work("NAM:kept", ()),
        ),
        lags=(
            Lag("sealed", Point("NAM-G1a:cook"), Point("NAM-G1a:inoculate"), 1, 8),
            Lag("grain keeps", Point("NAM-G1a:inoculate", "ready"), Point("NAM-Sa:inoculate"), 0, 60),
            Lag("bags keep", Point("NAM-Sa:inoculate", "ready"), Point(f"{RAFT}:plant", "last"), 0, 90),
        ),
        day_limits=(DayLimit("hands", "hands", capacity, {"NAM-G1a:inoculate": 60, f"{RAFT}:fell": 180}),),
        cookers=(
            shapes.Cooker(
                COOKER,
                "loads",
                1,
                28,
                {"NAM-G1a:cook": 16, "NAM-Sa:cook": 21},
                {"NAM-G1a:cook": "grain", "NAM-Sa:cook": "bags"},
            ),
        ),
        rooms=shelf_fridge,
        aparts=(Apart("bench first", frozenset({"NAM-Sa:inoculate"}), frozenset({f"{RAFT}:fell"})),),
    )


def _days() -> Days:
    return Days(
        pieces={
            "NAM-La:there": {number(THERE): 1},
            "NAM-G1a:cook": {number(GRAIN_COOK): 1},
            "NAM-G1a:inoculate": {number(GRAIN_IN): 1},
            "NAM-Sa:cook": {number(BAGS_COOK): 1},
            "NAM-Sa:inoculate": {number(BAGS_IN): 1},
            f"{RAFT}:fell": {number(FELL): 1},
            f"{RAFT}:prepare-chips": {number(CHIPS): 1},
            f"{RAFT}:plant": {number(PLANT): 12},
            "NAM:kept": {number(FALLBACK): 1},
        },
        cooker={"NAM-G1a:cook": COOKER, "NAM-Sa:cook": COOKER},
        loads={(number(GRAIN_COOK), COOKER, "grain"): 1, (number(BAGS_COOK), COOKER, "bags"): 1},
    )


def _batches(sizing: Sizing) -> tuple[Batch, ...]:
    dates = {
        "NAM-La": (None, None, (), THERE, (GRAIN_IN,)),
        "NAM-G1a": (GRAIN_COOK, GRAIN_IN, (date(2027, 1, 21),), GRAIN_READY, (BAGS_IN,)),
        "NAM-Sa": (BAGS_COOK, BAGS_IN, (date(2027, 2, 11),), BAGS_READY, (PLANT,)),
    }
    made = []
    for spec in sizing.lines[0].batches:
        cook, start, checks, ready, uses = dates[spec.id]
        made.append(
            Batch(
                id=spec.id,
                line=spec.line,
                species=spec.species,
                strain=spec.strain,
                stage=spec.stage,
                generation=spec.generation,
                container=spec.container,
                needed=spec.needed,
                started=spec.started,
                units=spec.units,
                waits_in=spec.waits_in,
                cook_on=cook,
                inoculate_on=start,
                check_on=checks,
                ready_on=ready,
                use_from=ready,
                use_on=uses,
                plantings=spec.plantings,
                minutes=spec.minutes,
                attended_minutes=0,
                volume_l=spec.started * spec.unit_volume_l,
                grows_days=(ready - start).days if start else 0,
                keeps_days=spec.keeps_days,
                fresh_days=spec.fresh_days,
                margin_days=(uses[0] - ready).days,
                redo_by=None,
                keep_back=spec.keep_back,
                state=spec.state,
                unit_mass_g=spec.unit_mass_g,
            )
        )
    return tuple(made)


def _task(
    task_id: str,
    kind: str,
    on: date,
    minutes: int,
    *,
    batch: str | None = None,
    planting: str | None = None,
    attended: int = 0,
    small: bool = False,
    place: str = "lab",
    after: tuple[str, ...] = (),
    supplies: tuple[Supply, ...] = (),
) -> Task:
    return Task(
        id=task_id,
        kind=kind,
        title=kind,
        on=on,
        slip_to=None,
        minutes=minutes,
        attended_minutes=attended or minutes,
        small=small,
        place=place,  # type: ignore[arg-type]
        batch=batch,
        planting=planting,
        after=after,
        why="",
        cautions=("Take care.",),
        supplies=supplies,
    )


def _tasks() -> tuple[Task, ...]:
    grain, bags = "NAM-G1a", "NAM-Sa"
    wax = (Supply("wax", 1.0, "kg"),)
    return (
        _task("soak", "soak-grain", date(2027, 1, 15), 15, batch=grain, small=True),
        _task("cook-g", "cook", GRAIN_COOK, 60, attended=240, after=("soak",)),
        _task("in-g", "inoculate", GRAIN_IN, 60, batch=grain, after=("cook-g",)),
        _task("keep-l", "keep-back", GRAIN_IN, 5, batch="NAM-La", small=True),
        _task("check-g", "check", date(2027, 1, 21), 5, batch=grain, small=True, after=("in-g",)),
        _task("keep-g", "keep-back", GRAIN_READY, 5, batch=grain, small=True),
        _task("cook-s", "cook", BAGS_COOK, 60, attended=330),
        _task("in-s", "inoculate", BAGS_IN, 60, batch=bags, after=("cook-s",)),
        _task("check-s", "check", date(2027, 2, 11), 5, batch=bags, small=True, after=("in-s",)),
        _task("fell", "fell", FELL, 180, planting=RAFT, place="yard"),
        _task("chips", "prepare-chips", CHIPS, 60, planting=RAFT, place="yard"),
        _task(
            "plant", "plant", PLANT, 600, planting=RAFT, place="yard", after=("fell", "chips"), supplies=wax
        ),
    )


def _planting_day() -> PlantingDay:
    """Twelve logs by the grower alone: dug in with the one drill that is there, then packed."""
    stations = (
        Station("dig in", "", 400, (300, 500), 1, 1, 0, 400, limit=1, limited_by="drill"),
        Station("pack", "", 200, (100, 300), 1, 1, 400, 600),
    )
    spawn = (Fed("NAM-Sa/1", 1, 6), Fed("NAM-Sa/2", 7, 12))
    work = PlantingWork("plant", RAFT, 12, "log", stations, spawn, ("NAM-Sa/3",))
    return PlantingDay(PLANT, 600, (), 600, (400, 800), (work,))


def _plan(sizing: Sizing) -> Plan:
    return Plan(
        status="planned",
        plan_no=1,
        inputs_sha="",
        season=SeasonHead("tiny", "Tiny", "UTC", TODAY, "test", "metric", 0.9),
        plantings=(
            PlantingPlan(
                name=RAFT,
                species="nameko",
                strain="house",
                method="log raft",
                size="12 logs",
                window=(date(2027, 4, 20), date(2027, 5, 25)),
                best=(date(2027, 4, 24), date(2027, 5, 9)),
                plant_on=(PLANT,),
                fallback_on=FALLBACK,
                fell_on=(FELL,),
                fell_between=(date(2026, 12, 1), date(2027, 4, 10)),
                soak_on=None,
                spawn_needed_g=3600.0,
                spawn_planned_g=3910.0,
                wood_moisture=Moisture(38.0, 41.0, 44.0),
                first_flush=(date(2027, 10, 1), date(2027, 11, 1)),
                years=(3.0, 5.0),
                chance=0.9,
                redo_by=None,
                buy_by=date(2027, 4, 3),
            ),
        ),
        batches=_batches(sizing),
        loads=(
            Load(GRAIN_COOK, COOKER, "grain", 60, 240, (LoadShare("NAM-G1a", 4),), 100, 15.0),
            Load(BAGS_COOK, COOKER, "bags", 60, 330, (LoadShare("NAM-Sa", 3),), 150, 15.0),
        ),
        tasks=_tasks(),
        orders=(
            Order("nameko culture", 1, "syringe", date(2026, 12, 1), THERE, (RAFT,)),
            Order("wax", 1, "kg", date(2027, 4, 20), date(2027, 4, 23), (RAFT,)),
        ),
        planting_days=(_planting_day(),),
    )


@pytest.fixture
def tiny() -> Case:
    """The tiny season; nothing in it breaks a rule."""
    sizing = _sizing()
    return Case(_plan(sizing), _days(), _season(), sizing, _problem())
