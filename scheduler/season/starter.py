"""The text of a first season file, with a note on every part, from answers to the questions."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date
from textwrap import wrap

from scheduler.season.answers import BAG, JAR
from scheduler.season.answers_planted import amount_keys
from scheduler.season.notation import toml
from scheduler.season.usual_days import is_south
from scheduler.trade.catalogue import Catalogue

ASSUMED = "# assumed"
"""Stands behind every value that nobody gave."""
_WIDTH = 106
"""Letters of a line of notes."""

_TEXT = """\
# What `budswell plan` reads: change what is not so at your place, and plan again.
# A value marked "assumed" was taken because nobody said otherwise; take the mark away when you have looked.
# Lines that begin with # are notes. What is left out has a default: `budswell check --explain` lists them.

[season]
name  = {name}
id    = {id}   # tells this season from others; leave it
units = {units}

{place}
# Felling may begin when the leaves turn and has stopped when the buds swell.
[site]
{latitude}
leaf_turn    = {leaf_turn}
bud_swell    = {bud_swell}
ground_thaws = {ground_thaws}
last_frost   = {last_frost}

# Hours in which your hands are free; small work (a look at the jars) fits into any day.
[people]
hours = {hours}
# away = ["2027-02-13/2027-02-21"]

{lab}
# Where it grows, and where finished spawn waits.
[lab.shelf]
volume      = {shelf_volume}
temperature = {shelf_temperature}

[lab.fridge]
volume      = {fridge_volume}
temperature = {fridge_temperature}

# What is in hand already. Without a culture one is ordered.
# [[stock]]
# species  = {species_note}
# stage    = "liquid culture"
# amount   = "10 mL"
# received = {today}

# One such block for each planting.
[[planting]]
name    = {planting}
species = {species}
method  = {method}
wood    = {wood}
{size}
window  = {window}
{spawn}"""

_COOKER = """\
# What one load of the cooker takes.
[lab]
spawn_in = {spawn_in}

[[lab.cooker]]
kind  = "pressure cooker"
holds = {holds}
"""
_NO_COOKER = """\
# No cooker: the finished spawn is bought (see the planting).
"""


def written(
    said: Mapping[str, str], unsaid: Collection[str], catalogue: Catalogue, season_id: str, today: date
) -> str:
    """The season file of answers as `questions` reads them; those nobody gave are `unsaid` and marked so."""

    def value(key: str, text: str) -> str:
        return f"{text}   {ASSUMED}" if key in unsaid else text

    key, size = amount_keys(said, catalogue)
    values = {
        "name": toml(said["name"]),
        "id": toml(season_id),
        "units": value("units", toml(said["units"])),
        "place": _place(said["where"], catalogue),
        "latitude": _latitude(said["where"], catalogue),
        "hours": value("hours", _hours(said["hours"])),
        "lab": _lab(said, unsaid),
        "species_note": toml(said["species"]),
        "today": today.isoformat(),
        "planting": toml(f"First {said['method']}"),
        "size": f"{key:<7} = {value('amount', toml(size))}",
        "window": value("window", toml(said["window"])),
        "spawn": 'spawn   = "buy"\n' if _buys(said) else "",
    }
    for room in ("shelf", "fridge"):
        volume, _, temperature = said[room].partition(" at ")
        values[f"{room}_volume"] = value(room, toml(volume))
        values[f"{room}_temperature"] = value(room, toml(temperature))
    values |= {key: value(key, toml(said[key])) for key in ("species", "method", "wood")}
    dates = ("leaf_turn", "bud_swell", "ground_thaws", "last_frost")
    values |= {key: value(key, said[key]) for key in dates}
    return _TEXT.format(**values)


def _buys(said: Mapping[str, str]) -> bool:
    return said["jars"] == "0"


def _place(said_where: str, catalogue: Catalogue) -> str:
    """Where the days come from, in a sentence of the file."""
    name = said_where.removesuffix(", south")
    climate = catalogue.starting.climates.get(name)
    where = f"at latitude {said_where}"
    if climate is not None:
        half = ", in the southern half of the world" if is_south(said_where) else ""
        where = f'with "{name}"{half} ({climate.about})'
    sentence = f"Days that are assumed are common {where}, two weeks sooner or later."
    return "\n".join(f"# {line}" for line in wrap(sentence, _WIDTH))


def _latitude(where: str, catalogue: Catalogue) -> str:
    climate = catalogue.starting.climates.get(where.removesuffix(", south"))
    if climate is None:
        return f"latitude     = {where}"
    sign = "-" if where.endswith(", south") else ""
    return f"# latitude   = {sign}{climate.latitude.likely:g}   # yours; south of the equator it is negative"


def _hours(text: str) -> str:
    days = (part.split() for part in text.split(", "))
    return f"{{ {', '.join(f'{name} = {hours}' for name, hours in days)} }}"


def _lab(said: Mapping[str, str], unsaid: Collection[str]) -> str:
    if _buys(said):
        return _NO_COOKER
    holds = {JAR: int(said["jars"])} | ({BAG: int(said["bags"])} if said["bags"] != "0" else {})
    mark = f"   {ASSUMED}" if {"jars", "bags"} <= set(unsaid) else ""
    inside = ", ".join(f"{toml(name)} = {count}" for name, count in holds.items())
    return _COOKER.format(spawn_in=toml(BAG if BAG in holds else JAR), holds=f"{{ {inside} }}{mark}")
