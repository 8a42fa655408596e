"""The questions with which a season is begun: each with a default for whoever presses Enter, and its reader.

An answer is read by the rules of the season file, so that what is accepted here is accepted there. Questions
come in an order in which each default can be worked out from the answers before it.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.season import answers, usual_days
from scheduler.season import answers_planted as planted
from scheduler.season.answers import BAG, JAR, Sofar, read
from scheduler.season.days import day
from scheduler.season.people import SITE_DATES
from scheduler.season.shapes import PlantingTable, SiteTable
from scheduler.season.wrong import Wrong, listed, meant, shown

_MOST_YEARS = timedelta(days=3 * 366)
_YEAR = timedelta(days=366)


@dataclass(frozen=True)
class Question:
    """One question. `read` gives the answer as it is written down, or raises `Wrong`."""

    key: str
    words: str
    default: Callable[[Sofar], str]
    read: Callable[[str, Sofar], str]


_LATITUDE = re.compile(r"([-+]?\d+(?:\.\d+)?)\s*°?\s*([NS])?", re.IGNORECASE)


def _read_where(text: str, sofar: Sofar) -> str:
    """A latitude (``44.6``, ``41.3 S``) or a climate, ``south`` after it for the southern half."""
    parts = _LATITUDE.fullmatch(text.strip())
    if parts:
        degrees = float(parts[1]) * (-1 if (parts[2] or "").upper() == "S" else 1)
        return f"{read(SiteTable, 'latitude', degrees, sofar):g}"
    climates = sofar.catalogue.starting.climates
    name, _, half = (part.strip() for part in " ".join(text.casefold().split()).partition(","))
    name = name.removesuffix(" south") if not half else name
    half = half or ("south" if text.casefold().split()[-1:] == ["south"] else "")
    if name not in climates or half not in ("", "south", "north"):
        raise Wrong(
            shown(text),
            f"a latitude such as 44.6 (south negative), or one of {listed(climates)}; after it"
            ' ", south" for the southern half',
            meant(name, climates),
        )
    return f"{name}, south" if half == "south" else name


def _usual_day(key: str) -> Callable[[Sofar], str]:
    return lambda sofar: usual_days.usual(key, sofar.said, sofar.catalogue, sofar.today).isoformat()


def _read_day(key: str) -> Callable[[str, Sofar], str]:
    def read_it(text: str, sofar: Sofar) -> str:
        found: date = read(SiteTable, key, text, sofar)
        turn = sofar.said.get("leaf_turn")
        if key == "bud_swell" and turn and found <= date.fromisoformat(turn):
            raise Wrong(
                f"{found}, not after leaf_turn {turn}",
                "the end of the felling season that begins with leaf_turn",
                "leaf_turn is the autumn before, bud_swell the spring after",
            )
        if abs(found - sofar.today) > _MOST_YEARS:
            raise Wrong(f"{found}", f"a day within three years of today, {sofar.today}")
        return found.isoformat()

    return read_it


def _usual_window(sofar: Sofar) -> str:
    first, last = usual_days.window(sofar.said, sofar.catalogue)
    return f"{first}/{last}"


def _read_window(text: str, sofar: Sofar) -> str:
    first, last = read(PlantingTable, "window", text, sofar)
    if last < sofar.today:
        raise Wrong(f"a window that ended on {last}", f"a window that ends today, {sofar.today}, or later")
    if last - sofar.today > _MOST_YEARS:
        raise Wrong(
            f"a window that ends on {last}",
            f"a window that ends at most three years after today, {sofar.today}",
        )
    for key in SITE_DATES:
        on = day(sofar.said[key])
        if max(first - on, on - last) > _YEAR:
            raise Wrong(
                f"{first}/{last}, more than a year from {key} {on}",
                "a window of the season of the dates above",
            )
    return f"{first}/{last}"


def _usual_name(sofar: Sofar) -> str:
    first = day(sofar.said["window"].partition("/")[0])
    return f"{sofar.said['species'].capitalize()}, {usual_days.season_of(first, sofar.said)} {first.year}"


QUESTIONS: tuple[Question, ...] = (
    Question(
        "units", "Units: metric or imperial", lambda sofar: sofar.catalogue.defaults.units, answers.read_units
    ),
    Question("species", "What to grow", lambda sofar: sofar.catalogue.starting.species, planted.read_species),
    Question("method", "How it is planted", planted.usual_method, planted.read_method),
    Question("wood", "On which wood", planted.usual_wood, planted.read_wood),
    Question("amount", "How much", planted.usual_amount, planted.read_amount),
    Question(
        "where",
        "Where: your latitude, or a climate",
        lambda sofar: sofar.catalogue.starting.climate,
        _read_where,
    ),
    Question("leaf_turn", "Leaves turn there on", _usual_day("leaf_turn"), _read_day("leaf_turn")),
    Question("bud_swell", "Buds swell on", _usual_day("bud_swell"), _read_day("bud_swell")),
    Question("ground_thaws", "The ground thaws on", _usual_day("ground_thaws"), _read_day("ground_thaws")),
    Question("last_frost", "The last frost is on", _usual_day("last_frost"), _read_day("last_frost")),
    Question("window", "Planting from/to", _usual_window, _read_window),
    Question("hours", "Free days and hours", answers.usual_hours, answers.read_hours),
    Question(
        "jars",
        "Quart (1 L) jars in a load of your pressure cooker, 0 if you have none",
        answers.usual_load(JAR),
        answers.read_load,
    ),
    Question(
        "bags", "Bags of 2.3 kg (5 lb) in a load, 0 if none fits", answers.usual_load(BAG), answers.read_load
    ),
    Question("shelf", "Shelf where it grows", answers.usual_room("shelf"), answers.read_room),
    Question("fridge", "Room in a fridge or cellar", answers.usual_room("fridge"), answers.read_room),
    Question("name", "Name of the season", _usual_name, answers.read_name),
)
