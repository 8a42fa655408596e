"""Answers on what is planted: species, method, wood and size, each judged with those before it."""

from __future__ import annotations

import re
from collections.abc import Mapping

from scheduler import measures
from scheduler.season.answers import Sofar, read
from scheduler.season.names import Names
from scheduler.season.planting_checks import SIZE_KEY
from scheduler.season.shapes import PlantingTable
from scheduler.season.wrong import Wrong, listed, shown
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Permission, Piece


def _judged(pair: str, name: str, permissions: Mapping[str, Permission], unknown: str) -> str:
    """A name whose permission is not refused. Raises `Wrong` naming what suits."""
    found = permissions.get(name)
    verdict, why = (found.verdict, found.why) if found else (unknown, "nothing is known of it")
    if verdict == "refused":
        fine = [one for one, permission in permissions.items() if permission.verdict == "fine"]
        fair = [one for one, permission in permissions.items() if permission.verdict == "warned"]
        raise Wrong(pair, f"what suits it: {listed(fine or fair)}", why)
    return name


def _first_fine(permissions: Mapping[str, Permission], known: Mapping[str, object]) -> str:
    """The first that suits, else the first that is not refused; `known` are those the catalogue has."""
    order = {"fine": 0, "warned": 1, "refused": 2}
    return min((name for name in permissions if name in known), key=lambda n: order[permissions[n].verdict])


def read_species(text: str, sofar: Sofar) -> str:
    """A species of the catalogue."""
    return str(read(PlantingTable, "species", text, sofar))


def usual_method(sofar: Sofar) -> str:
    """The first method that suits the species."""
    return _first_fine(sofar.catalogue.species[sofar.said["species"]].methods, sofar.catalogue.methods)


def read_method(text: str, sofar: Sofar) -> str:
    """A method that is not refused for the species."""
    method = str(read(PlantingTable, "method", text, sofar))
    species = sofar.catalogue.species[sofar.said["species"]]
    return _judged(f"{species.name} with {method}", method, species.methods, "refused")


def usual_wood(sofar: Sofar) -> str:
    """The first wood that suits the species."""
    return _first_fine(sofar.catalogue.species[sofar.said["species"]].wood, sofar.catalogue.woods)


def read_wood(text: str, sofar: Sofar) -> str:
    """A wood of the catalogue that is not refused for the species."""
    wood = str(read(PlantingTable, "wood", text, sofar))
    if wood not in sofar.catalogue.woods:
        hint = Names(sofar.catalogue).near_wood(wood)
        raise Wrong(shown(text), f"a wood of the catalogue: {listed(sofar.catalogue.woods)}", hint)
    species = sofar.catalogue.species[sofar.said["species"]]
    return _judged(f"{species.name} on {wood}", wood, species.wood, "warned")


def _piece(sofar: Sofar) -> Piece:
    return sofar.catalogue.methods[sofar.said["method"]].piece


def usual_amount(sofar: Sofar) -> str:
    """What a first season plants, with the usual size of a piece."""
    piece = _piece(sofar)
    usual = sofar.catalogue.starting.amount[piece]
    if piece == "m2":
        return measures.area(usual.count.likely, sofar.units).replace("sq ft", "ft2")
    return f"{usual.count.likely:g} {piece}s, {getattr(usual, sofar.units)}"


_COUNTED = re.compile(
    r"(\d+)\s*(?:x\s*)?(?:logs?|totems?|stumps?)?(?:\s*,?\s*(?:of\s+)?(.+))?", re.IGNORECASE
)


def read_amount(text: str, sofar: Sofar) -> str:
    """An area, or a number of pieces with their size, ``10 logs, 12 cm x 1 m``; else the usual size."""
    piece = _piece(sofar)
    if piece == "m2":
        read(PlantingTable, "area", text, sofar)
        return text.strip()
    usual = getattr(sofar.catalogue.starting.amount[piece], sofar.units)
    parts = _COUNTED.fullmatch(text.strip())
    if parts is None:
        raise Wrong(shown(text), f'a number of {piece}s and their size, such as "10 {piece}s, {usual}"')
    count, size = int(parts[1]), (parts[2] or usual).strip()
    read(PlantingTable, SIZE_KEY[piece], [_group(count, size, piece)], sofar)
    return f"{count} {piece}{'' if count == 1 else 's'}, {size}"


def _group(count: int, size: str, piece: Piece) -> dict[str, object]:
    """One entry of ``logs`` or ``stumps`` from ``12 cm x 1 m`` (across, then long) or ``35 cm``."""
    across, _, long = (part.strip() for part in re.sub(r"\s*[x×]\s*", "|", size).partition("|"))
    if piece == "stump":
        if long:
            raise Wrong(shown(size), 'the width of the stumps, such as "35 cm"')
        return {"count": count, "diameter": across}
    if not long:
        raise Wrong(shown(size), 'how thick and how long, such as "12 cm x 1 m" or "5 in x 40 in"')
    return {"count": count, "diameter": across, "length": long}


def amount_keys(said: Mapping[str, str], catalogue: Catalogue) -> tuple[str, object]:
    """The key and value of a planting's size, from an answer that was read."""
    piece = catalogue.methods[said["method"]].piece
    if piece == "m2":
        return "area", said["amount"]
    words, _, size = said["amount"].partition(", ")
    return SIZE_KEY[piece], _group(int(words.split()[0]), size, piece)
