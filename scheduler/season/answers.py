"""Answers of whoever begins a season, read by the rules of the season file: the grower's hours and lab.

Each reader gives an answer as it is written down, or raises `Wrong`; each `usual_` one is what Enter means.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from pydantic import ValidationError

from scheduler import measures
from scheduler.measures import Units
from scheduler.season.names import Names
from scheduler.season.shapes import PeopleTable, RoomTable, SeasonTable, Table
from scheduler.season.units import quantity
from scheduler.season.wrong import Wrong, listed, shown
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import WEEKDAYS

JAR, BAG = "quart jar", "2.3 kg bag"
MOST_IN_A_LOAD = 10_000


@dataclass(frozen=True)
class Sofar:
    """What is known when a question is asked: the trade, the day, and the answers before it, as written."""

    catalogue: Catalogue
    today: date
    said: Mapping[str, str]

    @property
    def units(self) -> Units:
        """The units that were chosen."""
        return "imperial" if self.said["units"] == "imperial" else "metric"


def read(shape: type[Table], key: str, value: object, sofar: Sofar) -> Any:
    """One value by the rules of the season file. Raises `Wrong`."""
    try:
        table = shape.model_validate({key: value}, context=Names(sofar.catalogue))
    except ValidationError as error:
        wrong = error.errors()[0].get("ctx", {}).get("error")
        raise wrong if isinstance(wrong, Wrong) else Wrong(shown(value), f"what {key} takes") from None
    return getattr(table, key)


def read_name(text: str, sofar: Sofar) -> str:
    """The name of the season, on one line."""
    return str(read(SeasonTable, "name", text, sofar))


def read_units(text: str, sofar: Sofar) -> str:
    """Metric or imperial."""
    return str(read(SeasonTable, "units", text, sofar))


_HOURS = re.compile(r"([a-z]+)\s*[:=]?\s*(\d+(?:\.\d+)?)\s*(?:h|hours?)?", re.IGNORECASE)


def usual_hours(sofar: Sofar) -> str:
    """The usual days with their hours."""
    return ", ".join(f"{name} {hours:g}" for name, hours in sofar.catalogue.defaults.hours.items())


def read_hours(text: str, sofar: Sofar) -> str:
    """Free days with their hours, ``wed 1.5, sat 6``, in the order of the week."""
    allowed = f'days with their hours such as "wed 1.5, sat 6"; days are {listed(WEEKDAYS, "and")}'
    hours: dict[str, float] = {}
    for part in filter(None, (part.strip() for part in re.split(r"[,;]", text))):
        parts = _HOURS.fullmatch(part)
        if parts is None:
            raise Wrong(shown(text), allowed)
        name = parts[1].casefold()
        name = name if name in WEEKDAYS else next((d for d in WEEKDAYS if f"{name} ".startswith(d)), name)
        if name in hours:
            raise Wrong(f'"{name}" twice', allowed)
        hours[name] = float(parts[2])
    found: dict[str, float] = read(PeopleTable, "hours", hours, sofar)
    if not any(found.values()):
        raise Wrong(shown(text), "at least one day with hours", 'for example "sat 4, sun 4"')
    return ", ".join(f"{name} {found[name]:g}" for name in WEEKDAYS if found.get(name))


def usual_load(container: str) -> Callable[[Sofar], str]:
    """How many of a container the usual cooker takes."""

    def usual(sofar: Sofar) -> str:
        holds = sofar.catalogue.defaults.cooker["holds"]
        return str(holds[container]) if isinstance(holds, dict) else "0"

    return usual


def read_load(text: str, sofar: Sofar) -> str:
    """How many of one container a load takes; 0 where it takes none."""
    if not re.fullmatch(r"\d{1,5}", text.strip()) or int(text) > MOST_IN_A_LOAD:
        raise Wrong(shown(text), f"a whole number from 0 to {MOST_IN_A_LOAD}; 0 for none")
    return str(int(text))


def usual_room(key: str) -> Callable[[Sofar], str]:
    """The usual shelf or fridge, in the units that were chosen."""

    def usual(sofar: Sofar) -> str:
        room: dict[str, str] = getattr(sofar.catalogue.defaults, key)
        if sofar.units == "metric":
            return f"{room['volume']} at {room['temperature']}"
        litres = quantity(room["volume"], "volume", "l")
        degrees = quantity(room["temperature"], "temperature", "degc")
        return f"{measures.volume(litres, 'imperial')} at {measures.temperature(degrees, 'imperial')}"

    return usual


def read_room(text: str, sofar: Sofar) -> str:
    """Room and warmth, ``150 L at 20 C``."""
    volume, at, temperature = (part.strip() for part in text.partition(" at "))
    if not at:
        raise Wrong(shown(text), 'how much room and how warm, such as "150 L at 20 C" or "40 gal at 68 F"')
    read(RoomTable, "volume", volume, sofar)
    read(RoomTable, "temperature", temperature, sofar)
    return f"{volume} at {temperature}"
