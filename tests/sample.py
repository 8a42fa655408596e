"""A small plan made by hand, with something in every field; any view can be tried on it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.plan import (
    Assumption,
    Batch,
    Change,
    FigureUsed,
    Leftover,
    Load,
    LoadShare,
    MakeOrBuy,
    Moisture,
    Months,
    Order,
    OtherPattern,
    Outlook,
    Pack,
    Picking,
    Plan,
    PlantingChance,
    PlantingPlan,
    Remedy,
    Rewrite,
    SeasonHead,
    Spares,
    StandingPlan,
    Statement,
    Supply,
    Task,
    Tier,
    Unit,
    WouldPlant,
)

SEASON = SeasonHead(
    id="5b0e7a3c-9d0e-5b3f-8a55-0d5c6f1e2a44",
    name="Alder Bend, spring 2027",
    timezone="America/Toronto",
    today=date(2026, 11, 28),
    made_with="budswell 0.1.0",
    units="metric",
    certainty=0.9,
    assumed=(
        Assumption("people.small_minutes", "20", "the season file does not say how long small work may be"),
    ),
)

RAFT = PlantingPlan(
    name="Cherry raft",
    species="nameko",
    strain="house",
    method="log raft",
    size="12 logs",
    window=(date(2027, 4, 20), date(2027, 5, 25)),
    best=(date(2027, 4, 24), date(2027, 5, 9)),
    plant_on=(date(2027, 4, 24), date(2027, 4, 25)),
    fallback_on=date(2027, 5, 8),
    fell_on=(date(2027, 3, 20),),
    fell_between=(date(2027, 3, 13), date(2027, 4, 10)),
    soak_on=date(2027, 4, 23),
    spawn_needed_g=4200.0,
    spawn_planned_g=4600.0,
    wood_moisture=Moisture(38.0, 42.5, 46.0),
    first_flush=(date(2028, 9, 25), date(2028, 11, 5)),
    years=(3.0, 5.0),
    chance=0.93,
    redo_by=date(2027, 3, 21),
    buy_by=date(2027, 4, 1),
    pattern="logs side by side, chips between",
    notes=("The raft wants shade all day.",),
    run_months=Months(9.4, 13.5, 20.1),
    other_pattern=OtherPattern("15 x 7.6 cm", -180.0, 3.2),
)

BATCHES = (
    Batch(
        id="NAM-L1a",
        line="nameko house",
        species="nameko",
        strain="house",
        stage="liquid culture",
        generation=None,
        container="12 mL syringe",
        needed=1,
        started=1,
        units=(Unit("NAM-L1a/1", None),),
        waits_in="fridge",
        cook_on=None,
        inoculate_on=None,
        check_on=(),
        ready_on=date(2026, 11, 28),
        use_from=date(2026, 11, 28),
        use_on=(date(2027, 1, 30),),
        plantings=("Cherry raft",),
        minutes=0,
        attended_minutes=0,
        volume_l=0.02,
        grows_days=0,
        keeps_days=120,
        fresh_days=60,
        margin_days=63,
        redo_by=date(2027, 1, 9),
        keep_back=0,
        state="in hand",
        unit_mass_g=12.0,
    ),
    Batch(
        id="NAM-G1a",
        line="nameko house",
        species="nameko",
        strain="house",
        stage="grain",
        generation=1,
        container="quart jar",
        needed=2,
        started=3,
        units=(
            Unit("NAM-G1a/1", "NAM-L1a/1"),
            Unit("NAM-G1a/2", "NAM-L1a/1"),
            Unit("NAM-G1a/3", "NAM-L1a/1"),
        ),
        waits_in="fridge",
        cook_on=date(2027, 1, 30),
        inoculate_on=date(2027, 1, 31),
        check_on=(date(2027, 2, 7), date(2027, 2, 14)),
        ready_on=date(2027, 2, 20),
        use_from=date(2027, 2, 16),
        use_on=(date(2027, 2, 27),),
        plantings=("Cherry raft",),
        minutes=85,
        attended_minutes=200,
        volume_l=2.85,
        grows_days=20,
        keeps_days=60,
        fresh_days=30,
        margin_days=7,
        redo_by=date(2027, 2, 6),
        keep_back=1,
        state="planned",
        unit_mass_g=550.5,
        transfers=1,
    ),
)

TASKS = (
    Task(
        id="NAM-G1a.cook",
        kind="cook",
        title="Cook 3 quart jars of rye (NAM-G1a)",
        on=date(2027, 1, 30),
        slip_to=date(2027, 1, 31),
        minutes=45,
        attended_minutes=170,
        small=False,
        place="lab",
        batch="NAM-G1a",
        planting=None,
        after=("NAM-G1a.soak-grain",),
        why="the jars cool overnight and are inoculated on Sunday",
        cautions=("Let the cooker fall to no pressure by itself before you open it.",),
        supplies=(Supply("rye", 0.9, "kg"), Supply("quart jar", 3, "")),
        steps=("Drain the grain until it looks dry outside.", "Fill each jar to three quarters."),
    ),
    Task(
        id="NAM-G1a.soak-grain",
        kind="soak-grain",
        title="Soak rye for 3 quart jars",
        on=date(2027, 1, 29),
        slip_to=None,
        minutes=10,
        attended_minutes=10,
        small=True,
        place="lab",
        batch="NAM-G1a",
        planting=None,
        after=(),
        why="grain is cooked the day after it is soaked",
        cautions=(),
        supplies=(Supply("rye", 0.9, "kg"),),
    ),
    Task(
        id="cherry-raft.plant",
        kind="plant",
        title="Build the cherry raft",
        on=date(2027, 4, 24),
        slip_to=date(2027, 5, 8),
        minutes=240,
        attended_minutes=240,
        small=False,
        place="yard",
        batch=None,
        planting="Cherry raft",
        after=("NAM-G1a.cook",),
        why="the ground has thawed and the spawn is fresh",
        cautions=(),
        supplies=(),
    ),
)


def sample_plan() -> Plan:
    """A planned season: one raft of nameko on cherry, from a syringe in hand to the planting day."""
    return Plan(
        status="planned",
        plan_no=3,
        inputs_sha="0f3b6c1d",
        season=SEASON,
        plantings=(RAFT,),
        batches=BATCHES,
        loads=(Load(date(2027, 1, 30), "pressure cooker 1", "grain", 45, 170, (LoadShare("NAM-G1a", 3),)),),
        tasks=TASKS,
        orders=(
            Order("rye", 2.5, "kg", date(2027, 1, 20), date(2027, 1, 29), ("Cherry raft",)),
            Order(
                "hardwood chips",
                120,
                "L",
                date(2026, 11, 20),
                date(2026, 12, 11),
                ("Cherry raft",),
                late=True,
                supplier="wood and tree service",
                packs=(Pack("50 L tub", 2, 50),),
                left_over=20,
            ),
        ),
        spares=(
            Spares("nameko house", "grain", 2, 3, 0.96, "losses", "one jar in ten is lost", ("Cherry raft",)),
        ),
        make_or_buy=(
            MakeOrBuy(
                "nameko house", ("Cherry raft",), "2.3 kg bag", 2, date(2027, 4, 1), 340, 6, "make", "it fits"
            ),
        ),
        tiers=(Tier("plantings", 0, 0, True), Tier("bench days", 6, 5, False)),
        figures=(
            FigureUsed("nameko.grain.days", 14.0, 18.0, 24.0, "d", "common practice", ""),
            FigureUsed("nameko.grain.loss", None, 0.1, None, "share", "own record", "12 jars"),
        ),
        outlook=Outlook(
            (PlantingChance("Cherry raft", 0.93, 0.004),), 0.93, date(2027, 1, 30), date(2027, 2, 13)
        ),
        changes=(Change("NAM-G1a.cook", date(2027, 1, 23), date(2027, 1, 30), "you are away", "moved"),),
        notes=("Nameko fruits in its second autumn.",),
        leftover=(
            Leftover(
                "nameko house",
                "nameko",
                "house",
                "sawdust",
                ("Cherry raft",),
                ("NAM-G1a",),
                0.88,
                400.0,
                310.0,
                1,
                date(2027, 4, 25),
                date(2027, 6, 20),
                date(2027, 5, 25),
                (
                    WouldPlant(
                        "log raft",
                        "log",
                        "13 cm x 1 m",
                        250.0,
                        1,
                        date(2027, 5, 25),
                        "window",
                        date(2027, 4, 11),
                        True,
                    ),
                    WouldPlant(
                        "chip bed",
                        "m2",
                        "",
                        451.0,
                        0.8,
                        date(2027, 5, 20),
                        "keeps",
                        None,
                        False,
                        "seldom done",
                    ),
                ),
            ),
        ),
    )


def sample_refusal() -> Plan:
    """A season for which no plan fits, with its conflict and the change that would mend it."""
    return Plan(
        status="none",
        plan_no=None,
        inputs_sha="77aa01c2",
        season=SEASON,
        conflict=(Statement("hours", "people.hours", "you have 4 hours on a Sunday"),),
        confirmed=False,
        remedies=(
            Remedy(
                kind="window",
                amount="9 days",
                text="Let the planting window end on 3 June.",
                cost="the first flush may come a year later",
                plantings=("Cherry raft",),
                changes=(
                    Rewrite(
                        "[[planting]] Cherry raft: window",
                        '"2027-04-20/2027-05-25"',
                        '"2027-04-20/2027-06-03"',
                    ),
                ),
            ),
        ),
    )


def sample_standing() -> Plan:
    """The same season in its second year: the raft has its years of picking, and a stack stands beside it."""
    plan = sample_plan()
    years = (Picking(1, ((date(2028, 9, 1), date(2028, 11, 30)),), 400.0, 1900.0, 5200.0),)
    ends = (date(2031, 9, 1), date(2033, 9, 1))
    stack = StandingPlan(
        name="Birch stack",
        species="shiitake",
        strain="house",
        method="drilled logs",
        size="30 logs",
        planted_on=date(2026, 5, 2),
        picking=years,
        ends=ends,
    )
    water = replace(
        plan.tasks[-1],
        id="Birch stack:care:water:1",
        kind="water",
        title="Water Birch stack after each week with less than 25 mm of rain",
        on=date(2027, 4, 16),
        slip_to=None,
        small=True,
        place="yard",
        batch=None,
        planting="Birch stack",
        after=(),
        until=date(2027, 10, 15),
        ongoing=True,
    )
    return replace(
        plan,
        plantings=(replace(RAFT, picking=years, ends=ends),),
        standing=(stack,),
        tasks=(*plan.tasks, water),
    )
