"""A market grower's season made by rule: 16 plantings, some 60 batches and 250 tasks, long names, late orders."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from scheduler.plan import (
    Assumption,
    Batch,
    FigureUsed,
    Load,
    LoadShare,
    MakeOrBuy,
    Moisture,
    Order,
    Outlook,
    Plan,
    PlantingPlan,
    SeasonHead,
    Spares,
    Task,
    Tier,
    Unit,
)

TODAY = date(2026, 11, 14)
PLANTINGS = 16
FIRST_COOK = date(2026, 12, 5)
SPECIES = ("shiitake", "oyster", "lion's mane", "nameko")
SENTENCE = (
    "Wear goggles and gloves, keep the face away from the lid, and follow the maker's manual to the letter."
)


def _planting(number: int) -> PlantingPlan:
    name = f"Planting {number}" if number % 5 else f"Shiitake on oak logs along the northern fence {number}"
    day = date(2027, 4, 3) + timedelta(days=7 * (number % 6))
    chip_bed = number % 4 == 3
    return PlantingPlan(
        name=name,
        species=SPECIES[number % 4],
        strain="house",
        method="chip bed" if chip_bed else "drilled logs",
        size="6 m2" if chip_bed else "60 logs",
        window=(date(2027, 3, 20), date(2027, 6, 1)),
        best=(date(2027, 4, 3), date(2027, 5, 9)),
        plant_on=(day, day + timedelta(days=1)),
        fallback_on=None if number == 2 else day + timedelta(days=14),
        fell_on=() if chip_bed else (date(2027, 1, 30),),
        fell_between=None if chip_bed else (date(2026, 12, 12), date(2027, 3, 20)),
        soak_on=None,
        spawn_needed_g=21000.0,
        spawn_planned_g=23000.0,
        wood_moisture=None if chip_bed else Moisture(33.0, 38.0, 42.0),
        first_flush=(date(2028, 6, 1), date(2028, 10, 1)),
        years=(3.0, 6.0),
        chance=0.8 + 0.01 * number,
        redo_by=None if number == 1 else date(2027, 1, 16),
        buy_by=None if number == 4 else day - timedelta(days=21),
        pattern="" if chip_bed else "6 rows x 8 holes",
    )


def _batch(line: str, stage: str, letter: str, number: int, size: int, parents: list[str]) -> Batch:
    code = {"liquid culture": "L1", "grain": "G1", "pellet": "S"}[stage]
    name = f"{line}-{code}{letter}"
    inoculated = FIRST_COOK + timedelta(
        days={"liquid culture": 1, "grain": 22, "pellet": 50}[stage] + 7 * (number % 4)
    )
    ready = inoculated + timedelta(days=18)
    return Batch(
        id=name,
        line=line,
        species=SPECIES[number % 4],
        strain="house",
        stage=stage,
        generation=1 if stage == "grain" else None,
        container={"liquid culture": "half-litre jar", "grain": "quart jar", "pellet": "2.3 kg bag"}[stage],
        needed=size - 1,
        started=size,
        units=tuple(
            Unit(f"{name}/{n + 1}", parents[n * len(parents) // size] if parents else None)
            for n in range(size)
        ),
        waits_in="fridge",
        cook_on=inoculated - timedelta(days=1),
        inoculate_on=inoculated,
        check_on=(inoculated + timedelta(days=5),),
        ready_on=ready,
        use_from=ready - timedelta(days=4),
        use_on=(ready + timedelta(days=10),),
        plantings=(f"Planting {number}",),
        minutes=120,
        attended_minutes=300,
        volume_l=size * 0.95,
        grows_days=18,
        keeps_days=90,
        fresh_days=30,
        margin_days=10,
        redo_by=date(2027, 2, 6),
        keep_back=1 if stage == "grain" else 0,
        state="planned",
        unit_mass_g=550.0,
    )


def _batches() -> list[Batch]:
    batches = []
    for number in range(6):
        line = ("SHI", "OYS", "LIO", "NAM", "SHB", "OYB")[number]
        culture = _batch(line, "liquid culture", "a", number, 2, [])
        grain = [
            _batch(line, "grain", letter, number, 7, [unit.id for unit in culture.units]) for letter in "abc"
        ]
        jars = [unit.id for batch in grain for unit in batch.units[:-1]]
        bags = [
            _batch(line, "pellet", letter, number, 4, jars[3 * n : 3 * n + 3])
            for n, letter in enumerate("abcdef")
        ]
        batches += [culture, *grain, *bags]
    return batches


def _tasks(batches: list[Batch], plantings: list[PlantingPlan]) -> list[Task]:
    tasks = []
    for batch in batches:
        for kind, day in (
            ("cook", batch.cook_on),
            ("inoculate", batch.inoculate_on),
            ("check", batch.check_on[0]),
            ("shake", batch.use_from),
        ):
            assert day is not None
            tasks.append(
                Task(
                    id=f"{batch.id}.{kind}",
                    kind=kind,
                    title=f"{kind.capitalize()} {batch.started} x {batch.container} ({batch.id})",
                    on=day,
                    slip_to=day + timedelta(days=7) if kind == "cook" else None,
                    minutes=90,
                    attended_minutes=300 if kind == "cook" else 90,
                    small=kind in ("check", "shake"),
                    place="lab",
                    batch=batch.id,
                    planting=None,
                    after=(),
                    why="",
                    cautions=(SENTENCE,) if kind == "cook" else (),
                    supplies=(),
                )
            )
    for planting in plantings:
        tasks.append(
            replace(
                tasks[0],
                id=f"{planting.name}.plant",
                kind="plant",
                title=f"Inoculate {planting.size} ({planting.name})",
                on=planting.plant_on[0],
                place="yard",
                cautions=("Lift with two people.",),
            )
        )
    return tasks


def market_plan() -> Plan:
    """The season, planned on a November day; the last aim of the search is left unproved."""
    plantings = [_planting(number) for number in range(PLANTINGS)]
    batches = _batches()
    return Plan(
        status="planned",
        plan_no=1,
        inputs_sha="abc",
        season=SeasonHead(
            "id",
            "Long Field 2027",
            "Europe/Vienna",
            TODAY,
            "budswell 0.1.0",
            "metric",
            0.9,
            (Assumption("lab.fridge", "4 C, 60 L", "no fridge is given"),),
        ),
        plantings=tuple(plantings),
        batches=tuple(batches),
        loads=tuple(
            Load(
                batch.cook_on,
                "pressure cooker 1",
                "bags" if batch.stage == "pellet" else "grain",
                60,
                300,
                (LoadShare(batch.id, batch.started),),
                150,
                15.0,
            )
            for batch in batches
            if batch.cook_on is not None
        ),
        tasks=tuple(_tasks(batches, plantings)),
        orders=tuple(
            Order(
                f"thing number {number}",
                2.5 * number,
                "kg",
                TODAY + timedelta(days=3 * number - 7),
                TODAY + timedelta(days=3 * number + 14),
                ("Planting 1", "Planting 2"),
                late=number < 2,
            )
            for number in range(40)
        ),
        spares=tuple(
            Spares(
                batch.line,
                batch.stage,
                batch.needed,
                batch.started,
                0.95,
                "losses and days",
                "one in ten is lost, and a whole load now and then",
            )
            for batch in batches[::3]
        ),
        make_or_buy=(
            MakeOrBuy(
                "SHI",
                ("Planting 0", "Planting 4"),
                "2.3 kg bag of shiitake sawdust spawn",
                12,
                date(2027, 3, 13),
                1500,
                9,
                "make",
            ),
        ),
        tiers=(Tier("missing margin", 0, 0, True), Tier("days with work", 900, 840, False)),
        figures=tuple(
            FigureUsed(
                f"shiitake.figure {number}",
                1.0,
                2.0,
                3.0,
                "d",
                ("published", "memory", "common practice", "own record")[number % 4],
                "",
            )
            for number in range(60)
        ),
        outlook=Outlook((), 0.84, date(2026, 11, 28), date(2026, 12, 19)),
        notes=("The cooker is full on four days.",),
    )
