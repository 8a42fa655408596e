"""Seasons of any size for measurements: the same number, kind and seed always give the same season file.

What a season has to offer grows with its plantings, so that a larger one is more work and not another kind of
work. Each kind says how much there is of everything beside that need (`KINDS`):

- comfortable: a farm that is set up for more than this; most days are free.
- realistic: enough of everything, and nothing to spare.
- crowded: one small vessel, little shelf and fridge, and few free days: weekends, and not all of them.

Of ten comfortable seasons of 16 plantings all fit with every spare that is wished, and so did all realistic ones that
were tried (seeds 1 to 4 of up to 32 plantings). Of crowded ones about two of three do (13 of 18: seeds 1 to 3 of 2 to 64
plantings), few of them with every aim met; the others are refused as they stand and would be planned with fewer spares or
not at all.

Plants, places and people are made up.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from random import Random

from scheduler.lines.shapes import Sizing
from scheduler.lines.sizing import size
from scheduler.problem.compile import compile_season
from scheduler.problem.shapes import Problem
from scheduler.season.season import Season
from scheduler.service import seasons
from scheduler.trade.catalogue import Catalogue
from tests.seasons.hand import Raw, file_of, span

SIZES = (1, 2, 4, 8, 16, 32, 64)
"""Plantings of the seasons that growth is measured on."""
TODAY = date(2026, 11, 14)
SPRING = date(2027, 4, 20)
"""The middle of the planting time of logs; beds come a month later."""


@dataclass(frozen=True)
class Kind:
    """How much of everything there is for each planting."""

    vessels: int
    """Vessels at most; each takes two loads a day."""
    bags: float
    """Bags that one load of each vessel holds in all, for each planting."""
    shelf_l: float
    fridge_l: float
    hours: float
    """Hands on a Saturday beside the first four hours, for each planting; two thirds of all on a Sunday."""
    evenings: bool
    """Whether there are evenings with a quarter of a Saturday's hands."""
    helpers: float
    """Helpers on the planting days, for each planting."""
    away: float
    """Share of the weeks before planting in which nobody is there."""
    weeks: int
    """Length of a planting window."""


KINDS: Mapping[str, Kind] = {
    "comfortable": Kind(3, 1.2, 180, 90, 1.5, True, 0.5, 0.05, 9),
    "realistic": Kind(2, 0.4, 50, 25, 0.5, True, 0.3, 0.15, 6),
    "crowded": Kind(1, 0.25, 35, 18, 0.4, False, 0.3, 0.25, 5),
}


@dataclass(frozen=True)
class Usual:
    """A usual planting: what it is made of, and how much of it."""

    species: str
    method: str
    woods: tuple[str, ...]
    pieces: tuple[int, ...]
    size: str = ""
    """Diameter and length of a piece."""


LOG, TOTEM, RAFT = (
    'diameter = "13 cm", length = "1 m"',
    'diameter = "25 cm", length = "80 cm"',
    'diameter = "11 cm", length = "60 cm"',
)
USUAL = (
    Usual("shiitake", "drilled logs", ("red oak", "sugar maple", "hornbeam"), (12, 20, 30), LOG),
    Usual("oyster", "totem", ("poplar", "aspen"), (4, 6, 10), TOTEM),
    Usual("wine cap", "chip bed", ("mixed hardwood",), (3, 6, 8)),
    Usual("lion's mane", "totem", ("beech", "sugar maple"), (4, 6, 8), TOTEM),
    Usual("nameko", "log raft", ("birch", "black cherry"), (10, 16, 24), RAFT),
    Usual("shiitake", "wedge-cut logs", ("red oak", "beech"), (8, 12), LOG),
)
SATURDAYS = tuple(date(2027, 3, 27) + timedelta(weeks=2 * turn) for turn in range(7))
STRAINS = ("early", "late", "cold-weather", "wide-range", "dark", "pale", "tall", "low")
"""Names of our own; a larger season has more of them, so that a strain is shared by two or three plantings."""


def write(folder: Path, plantings: int, kind: str, seed: int) -> Path:
    """Writes the season into a folder of its own below `folder`, and names that folder."""
    place = folder / f"{kind}-{plantings}-{seed}"
    place.mkdir(parents=True)
    (place / "season.toml").write_text(text(plantings, kind, seed), encoding="utf-8")
    return place


@dataclass(frozen=True)
class Compiled:
    """A season on its way to the solver, with as many spares as its certainty wishes."""

    season: Season
    catalogue: Catalogue
    sizing: Sizing
    problem: Problem


def compiled(place: Path) -> Compiled:
    """The season in a folder, read, sized and compiled as `budswell plan` does it."""
    season, catalogue = seasons.read(place, seasons.Clock(TODAY, "UTC"), None)
    sizing = size(season, catalogue, "wished", {})
    return Compiled(season, catalogue, sizing, compile_season(season, catalogue, sizing))


def text(plantings: int, kind: str, seed: int) -> str:
    """The season file of so many plantings. Raises KeyError for an unknown kind."""
    offered, chance = KINDS[kind], Random(f"{kind} {plantings} {seed}")
    planted = [_planting(number, plantings, offered, chance) for number in range(plantings)]
    return file_of(
        [
            (
                "[season]",
                {
                    "name": f"{kind.capitalize()} season {seed} of {plantings}",
                    "timezone": "Europe/Berlin",
                    "units": "metric",
                    "today": Raw(str(TODAY)),
                },
            ),
            (
                "[site]",
                {
                    "latitude": 51.2,
                    "elevation": "180 m",
                    "leaf_turn": Raw("2026-10-12"),
                    "bud_swell": Raw("2027-04-05"),
                    "ground_thaws": Raw("2027-03-20"),
                    "last_frost": Raw("2027-05-12"),
                },
            ),
            ("[people]", _people(plantings, offered, chance)),
            *_helps(round(offered.helpers * plantings), planted),
            ("[tools]", {"drills": min(20, 1 + plantings // 3), "tank": f"{300 + 150 * plantings} L"}),
            *_lab(plantings, offered),
            *_stock(planted),
            *(("[[planting]]", planting) for planting in planted),
        ]
    )


def _planting(number: int, plantings: int, offered: Kind, chance: Random) -> dict[str, object]:
    usual = USUAL[number % len(USUAL)]
    strains = STRAINS[: math.ceil(plantings / 8)]
    chips = usual.method == "chip bed"
    middle = SPRING + timedelta(days=(33 if chips else 0) + chance.randrange(-14, 15))
    half = timedelta(weeks=offered.weeks) / 2
    first, last = middle - half, middle + half
    pieces = chance.choice(usual.pieces)
    return {
        "name": f"Planting {number + 1}",
        "species": usual.species,
        "strain": chance.choice(strains),
        "method": usual.method,
        "wood": chance.choice(usual.woods),
        "area": f"{pieces} m2" if chips else None,
        "logs": None if chips else Raw(f"{{ count = {pieces}, {usual.size} }}"),
        "chips": "wetted in place" if chips else None,
        "window": span(first, last),
        "best": span(first + half / 2, last - half / 2),
        "priority": chance.choice((1, 1, 2, 3)),
    }


def _people(plantings: int, offered: Kind, chance: Random) -> dict[str, object]:
    saturday = min(16.0, 4 + offered.hours * plantings)
    hours = {"sat": saturday, "sun": round(saturday * 2 / 3, 1)}
    evenings = ("tue", "thu") if plantings < 16 else ("mon", "tue", "wed", "thu", "fri")
    if plantings > 2 and offered.evenings:
        hours |= dict.fromkeys(evenings, round(saturday / 4, 1))
    weeks = [TODAY + timedelta(weeks=week) for week in range(1, 20)]
    away = sorted(chance.sample(weeks, round(offered.away * len(weeks))))
    return {
        "hours": hours,
        "home": {day: min(24.0, round(free + 6, 1)) for day, free in hours.items()},
        "away": tuple(span(first, first + timedelta(days=6)) for first in away) or None,
        "prefer": ("sat", "sun"),
    }


def _helps(people: int, planted: list[dict[str, object]]) -> list[tuple[str, Mapping[str, object]]]:
    """Friends on every second Saturday of the planting time."""
    if people == 0:
        return []
    windows = [str(planting["window"]).split("/") for planting in planted]
    first, last = min(window[0] for window in windows), max(window[1] for window in windows)
    days = [day for day in SATURDAYS if first <= str(day) <= last]
    return [("[[help]]", {"on": Raw(str(day)), "people": min(20, people), "hours": 7}) for day in days]


def _lab(plantings: int, offered: Kind) -> list[tuple[str, Mapping[str, object]]]:
    vessels = min(offered.vessels, 1 + plantings // 4)
    units = max(4, math.ceil(offered.bags * plantings / vessels))
    return [
        ("[lab]", {"workspace": "flow hood", "grain_in": "half-gallon jar", "spawn_in": "2.3 kg bag"}),
        *(
            (
                "[[lab.cooker]]",
                {
                    "kind": "pressure cooker",
                    "loads_per_day": 2,
                    "gauge": "15 psi",
                    "rated": "15 psi",
                    "holds": {"half-gallon jar": units, "2.3 kg bag": units},
                },
            )
            for _ in range(vessels)
        ),
        ("[lab.shelf]", {"temperature": "22 C", "volume": f"{60 + offered.shelf_l * plantings:g} L"}),
        ("[lab.fridge]", {"temperature": "3 C", "volume": f"{40 + offered.fridge_l * plantings:g} L"}),
    ]


def _stock(planted: list[dict[str, object]]) -> list[tuple[str, Mapping[str, object]]]:
    """A tested culture of every strain."""
    strains = sorted({(str(planting["species"]), str(planting["strain"])) for planting in planted})
    return [
        (
            "[[stock]]",
            {
                "species": species,
                "strain": strain,
                "stage": "liquid culture",
                "amount": "120 mL",
                "received": Raw(str(TODAY - timedelta(days=4))),
                "tested": True,
            },
        )
        for species, strain in strains
    ]
