"""Things that stand, for the tests of this folder: all of our own making."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.season.season import LogGroup, Standing
from scheduler.trade.catalogue import load

CATALOGUE = load()

OAK = Standing(
    name="Brook stack",
    species="shiitake",
    strain="wide-range",
    method="drilled logs",
    wood="oak",
    groups=(LogGroup(40, 12.5, 100.0),),
    area_m2=None,
    planted=date(2027, 4, 17),
)
BED = Standing(
    name="Plum bed",
    species="wine cap",
    strain="house",
    method="chip bed",
    wood=None,
    groups=(),
    area_m2=6.5,
    planted=date(2027, 5, 22),
)
STUMP = replace(
    OAK, name="Beech stump", species="oyster", strain="house", method="stump", groups=(LogGroup(2, 30.0),)
)


def every_kind() -> list[Standing]:
    """One of each species on each method that is not refused."""
    found = []
    for species in CATALOGUE.species.values():
        for method in CATALOGUE.methods.values():
            permission = species.methods.get(method.name)
            if permission is None or permission.verdict == "refused":
                continue
            kind = replace(OAK, species=species.name, strain="house", method=method.name)
            if method.piece == "m2":
                kind = replace(kind, groups=(), area_m2=4.0)
            elif method.piece == "stump":
                kind = replace(kind, groups=(LogGroup(2, 30.0),))
            found.append(kind)
    return found
