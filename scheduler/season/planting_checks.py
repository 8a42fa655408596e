"""Judges the parts of plantings against each other, against the site and against the lab."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

from scheduler import measures
from scheduler.measures import Units
from scheduler.season.findings import Findings
from scheduler.season.shapes import PlantingTable, SiteTable, StandingTable
from scheduler.season.tables import EXAMPLES
from scheduler.season.where import Loc
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Method, Piece

DRILLED = "drilled logs"
"""The one method that has a hole pattern."""
SAWN = "wedge-cut logs"
"""The one method that has cuts."""

_FARTHEST = timedelta(days=3 * 366)
_OLDEST_WOOD = timedelta(days=2 * 366)
SIZE_KEY: dict[Piece, str] = {"log": "logs", "totem": "logs", "stump": "stumps", "m2": "area"}
"""Key of a planting's size by what its method counts."""
_SIZE_EXAMPLE = {
    "logs": f"logs = {EXAMPLES['logs']}",
    "stumps": f"stumps = {EXAMPLES['stumps']}",
    "area": 'area = "6 m2"',
}
_EXAMPLE_DAYS = {
    "leaf_turn": "2026-10-05",
    "bud_swell": "2027-04-12",
    "ground_thaws": "2027-04-05",
    "last_frost": "2027-05-18",
}
_DORMANCY = ("leaf_turn", "bud_swell")
"""Site dates that say when felling may be; wood that is down does not ask for them."""


def over(
    table: PlantingTable, loc: Loc, label: str, today: date, under_way: bool, findings: Findings
) -> None:
    """A window that is over: left out once the season is under way, a fault before."""
    if table.window is None or table.window[1] >= today:
        return
    last = table.window[1]
    if under_way:
        findings.warn(f"{label}: its window ended on {last}, so it is left out of the plan")
    else:
        findings.fault(
            (*loc, "window"),
            f"a window that ended on {last}",
            f"a window that ends today, {today}, or later",
        )


def days(table: PlantingTable, loc: Loc, today: date, findings: Findings) -> None:
    """Window and best span against each other and against today."""
    if table.window is None:
        return
    first, last = table.window
    if last - today > _FARTHEST:
        findings.fault(
            (*loc, "window"), f"a window that ends on {last}", f"at most three years after today, {today}"
        )
    if table.best and not first <= table.best[0] <= table.best[1] <= last:
        findings.fault(
            (*loc, "best"), f"{table.best[0]}/{table.best[1]}", f"a span inside the window {first}/{last}"
        )


def felled(table: PlantingTable, method: Method | None, loc: Loc, today: date, findings: Findings) -> None:
    """The day on which the wood came down, or on which it is to be felled, against today and the window.

    A stump may stand in living wood, and its tree is not felled by the plan: only a past day is of use there.
    """
    day = table.felled
    if day is None or table.window is None:
        return
    first, last = table.window
    if day > last:
        findings.fault(
            (*loc, "felled"),
            f"{day}, after the window, {last}",
            "the day on which the wood came down, or on which it is to be felled before it is planted",
            "leave it out and the day of felling is planned",
        )
    elif method and method.wood == "stumps" and day > today:
        findings.fault(
            (*loc, "felled"),
            f"{day}, after today, {today}",
            f"for {method.name} the day on which the tree came down; only where it is down already",
            "leave it out",
        )
    if first - day > _OLDEST_WOOD:
        findings.fault((*loc, "felled"), f"{day}", "less than two years before the window begins")


def size(
    table: PlantingTable | StandingTable, method: Method, loc: Loc, units: Units, findings: Findings
) -> None:
    """Exactly the size that the method takes, and `at_least` of a planting within it."""
    key = SIZE_KEY[method.piece]
    hint = f"for example {_SIZE_EXAMPLE[key]}"
    others = [other for other in _SIZE_EXAMPLE if other != key and getattr(table, other) is not None]
    for other in others:
        findings.fault((*loc, other), f"{other} for {method.name}", f"{method.name} takes {key}", hint)
    if not getattr(table, key):
        if not others and findings.clean(*loc, key):
            findings.fault((*loc, key), f"no {key}", f"the size: {method.name} takes {key}", hint)
        return
    for index, group in enumerate((table.logs or ()) if key == "logs" else ()):
        if group.length is None and findings.clean(*loc, "logs", index, "length"):
            where = (*loc, "logs", index, "length")
            findings.fault(where, "no length", "length must be written", 'for example length = "1 m"')
    if isinstance(table, PlantingTable):
        _at_least(table, key, loc, units, findings)


def _at_least(table: PlantingTable, key: str, loc: Loc, units: Units, findings: Findings) -> None:
    least = table.at_least
    if least is None:
        return
    if key == "area":
        whole = table.area or 0.0
        found, most = measures.area(least, units), measures.area(whole, units)
    else:
        whole = sum(group.count for group in table.logs or table.stumps or ())
        found, most = f"{least:g} {key}", f"{whole} {key}"
    if key != "area" and least != int(least):
        findings.fault((*loc, "at_least"), found, f"a whole number of {key}")
    elif least > whole:
        findings.fault((*loc, "at_least"), found, f"at most the {most} of the planting")


def extras(table: PlantingTable, method: Method, loc: Loc, label: str, findings: Findings) -> None:
    """Keys that only some methods have: elsewhere a fault, or a warning where they change nothing."""
    chips = method.wood == "chips"
    idle = {
        "pattern": (method.name == DRILLED, "no holes are drilled"),
        "cut": (method.name == SAWN, "no cuts are sawn"),
        "chips": (chips, "no chips are prepared"),
    }
    for key, (fits, why) in idle.items():
        if getattr(table, key) is not None and not fits:
            findings.warn(f"{label}: {why} for {method.name}, so `{key}` has no part there")
    belongs = {
        "depth": (chips, "methods that plant into chips"),
        "felled": (not chips, "methods that take logs or stumps"),
    }
    for key, (fits, where) in belongs.items():
        if getattr(table, key) is not None and not fits:
            findings.fault((*loc, key), f"{key} for {method.name}", f"only for {where}", "leave it out")


def names(tables: list[PlantingTable], findings: Findings) -> None:
    """No two plantings of one name."""
    seen: dict[str, int] = {}
    for index, table in enumerate(tables):
        if table.name:
            first = seen.setdefault(table.name.casefold(), index)
            if first != index:
                findings.fault(
                    ("planting", index, "name"),
                    f'"{table.name}", the name of planting[{first}] too',
                    "a name of its own for each planting",
                )


def site_dates(
    tables: list[PlantingTable],
    site: SiteTable,
    today: date,
    catalogue: Catalogue,
    why_not: Mapping[str, str],
    findings: Findings,
) -> None:
    """Site dates without which a method cannot be planned; `why_not` is what kept the weather from one."""
    missing: dict[str, list[str]] = {}
    for table in tables:
        needs: list[str] = list(catalogue.methods[table.method].needs) if table.method else []
        for key in needs:
            down = table.felled is not None and table.felled <= today and key in _DORMANCY
            if getattr(site, key) is None and not down and findings.clean("site", key):
                missing.setdefault(key, []).append(f'"{table.name or ""}" ({table.method})')
    for key, who in missing.items():
        findings.fault(
            ("site", key),
            f"no {key}" + (f", and none from {site.weather}: {why_not[key]}" if key in why_not else ""),
            f"a day: {' and '.join(who)} cannot be planned without it",
            f"for example {key} = {_EXAMPLE_DAYS[key]} under [site]",
        )
