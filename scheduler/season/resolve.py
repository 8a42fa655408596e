"""Joins the resolved parts of a season file into a Season."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

from scheduler.plan import id_of
from scheduler.season import cooking, lab, people, planting_checks, standing, stock, strains
from scheduler.season.climate import Climate
from scheduler.season.findings import Findings
from scheduler.season.names import Names
from scheduler.season.planting import Setting, planting
from scheduler.season.season import People, Planting, Season, Stock, Tools
from scheduler.season.shapes import SeasonFile, SeasonTable
from scheduler.season.standing import LastSeason
from scheduler.season.wrong import meant

_ID = re.compile(r"[A-Za-z0-9._-]+")


@dataclass(frozen=True)
class Asked:
    """What the caller says: the clock's day, the system's time zone, `today` where it is asked for.

    `climate` is what the weather file of the season says, where it has one. `keep_over`: plantings whose
    window is over are kept, and neither left out nor a fault.
    """

    clock: date
    system_timezone: str
    today: date | None
    under_way: bool
    climate: Climate | None = None
    keep_over: bool = False
    last_season: LastSeason = lambda path: ()


def resolve(
    file: Path, text: str, tables: SeasonFile, names: Names, findings: Findings, asked: Asked
) -> Season:
    """The season with every default filled in. Raises SeasonError with every fault noted so far or here."""
    catalogue, defaults, head = names.catalogue, names.catalogue.defaults, tables.season
    today = _today(head, asked, findings)
    timezone = _timezone(head, asked.system_timezone, findings)
    units = findings.default("season.units", head.units, defaults.units)
    certainty = findings.default("season.certainty", head.certainty, defaults.certainty)
    no_work_before = findings.default("season.no_work_before", head.no_work_before, today, f"today, {today}")
    if head.id and not _ID.fullmatch(head.id):
        findings.fault(("season", "id"), f'"{head.id}"', "letters, digits, dots and dashes", "leave it out")
    last = max((table.window[1] for table in tables.planting if table.window), default=None)
    site = people.site(tables.site, last, findings)
    grower = people.people(tables.people, defaults, findings)
    tools = people.tools(tables.tools, defaults, findings)
    dowels = any("dowels" in (table.route or ()) for table in tables.planting)
    room = lab.lab(tables.lab, catalogue, units, findings, dowels=dowels)

    codes = strains.codes(tables.stock, tables.planting, catalogue, findings)
    spellings = strains.spellings(tables.stock, tables.planting)
    in_hand = stock.stock(tables.stock, codes, spellings, today, catalogue, findings)
    lab.stock_containers(tables.stock, room, catalogue, findings)
    setting = Setting(
        names, findings, today, asked.under_way, tools.tank_l, units, codes, spellings, asked.keep_over
    )
    planned = [planting(table, index, setting) for index, table in enumerate(tables.planting)]
    plantings = tuple(one for one in planned if one)
    planting_checks.names(tables.planting, findings)
    there = standing.standing(tables.standing, tables.planting, today, units, names, findings)
    known = [*(table.name or "" for table in tables.planting), *(one.name for one in there)]
    there += standing.of_last_season(head.continues, asked.last_season, known, findings)
    why_not = asked.climate.unknown if asked.climate else {}
    planting_checks.site_dates(tables.planting, tables.site, today, catalogue, why_not, findings)
    if tables.planting and not plantings and findings.clean("planting"):
        findings.fault(
            ("planting",),
            "every window is over",
            f"at least one [[planting]] whose window ends today, {today}, or later",
            "budswell record SEASON planted NAME, or put-off NAME until DATE" if asked.under_way else "",
        )
    if findings.clean("lab") and findings.clean("planting") and findings.clean("stock"):
        cooking.judge(plantings, in_hand, room, grower, catalogue, findings)
    _warn_of_missing_hands(grower, tools, plantings, findings)
    _warn_of_idle_stock(in_hand, plantings, findings)
    if not asked.keep_over:
        _judge_dates_by_windows(tables, head, today, findings)

    lead = stock.lead(tables.buying.lead, defaults, findings)
    figures = stock.own_figures(tables.figures, findings)
    help_days = people.helpers(tables.help)
    findings.stop_if_faulty()
    name = head.name or ""
    return Season(
        path=file,
        text=text,
        name=name,
        id=head.id or id_of(name),
        timezone=timezone,
        units=units,
        certainty=certainty,
        today=today,
        no_work_before=no_work_before,
        site=site,
        people=grower,
        help=help_days,
        tools=tools,
        lab=room,
        stock=in_hand,
        plantings=plantings,
        standing=there,
        lead=lead,
        figures=figures,
        assumed=findings.assumed(len(plantings)),
        warnings=tuple(findings.warnings),
        climate=asked.climate,
    )


def _today(head: SeasonTable, asked: Asked, findings: Findings) -> date:
    if asked.today:
        findings.assume("season.today", f"{asked.today}", "asked for, instead of the day of the clock")
        return asked.today
    if head.today:
        findings.assume(
            "season.today", f"{head.today}", "the season file says so, instead of the day of the clock"
        )
        return head.today
    return asked.clock


def _timezone(head: SeasonTable, system_timezone: str, findings: Findings) -> str:
    name = findings.default(
        "season.timezone", head.timezone, system_timezone, f"{system_timezone}, the system's"
    )
    judge_timezone(name, findings, "" if head.timezone else ", which the system gives")
    return name


def judge_timezone(name: str, findings: Findings, whose: str = "") -> None:
    """Notes a time zone that there is not; `whose` word it is stands after it."""
    try:
        ZoneInfo(name)
    except (KeyError, ValueError, OSError):
        known = available_timezones()
        findings.fault(
            ("season", "timezone"),
            f'"{name}"{whose}',
            'the name of a time zone such as "America/Toronto"',
            meant(name, sorted(known))
            if known
            else "no time zones are installed here: the package tzdata has them",
        )


def _judge_dates_by_windows(tables: SeasonFile, head: SeasonTable, today: date, findings: Findings) -> None:
    """Dates that cannot belong to the planting windows: a year mistyped, or left over from last year."""
    windows = [table.window for table in tables.planting if table.window]
    if not windows or not findings.clean("planting"):
        return
    first, last = min(first for first, _ in windows), max(last for _, last in windows)
    people.dates_near(tables.site, tables.help, today, first, last, findings)
    if head.no_work_before and head.no_work_before > last:
        findings.fault(
            ("season", "no_work_before"),
            f"{head.no_work_before}",
            f"a day before the last planting window ends on {last}",
        )


def _warn_of_missing_hands(
    grower: People, tools: Tools, plantings: tuple[Planting, ...], findings: Findings
) -> None:
    """What no plan can do without, though one may well write a nought for it on the way."""
    if not any(grower.minutes.values()):
        findings.warn("people.hours: no day has any hours, so only small tasks can be done")
    drilled = [f'"{one.name}"' for one in plantings if one.method == planting_checks.DRILLED]
    if drilled and not tools.drills:
        findings.warn(f"tools.drills: no drill, and holes are drilled for {', '.join(drilled)}")


def _warn_of_idle_stock(
    in_hand: tuple[Stock, ...], plantings: tuple[Planting, ...], findings: Findings
) -> None:
    planted = {(one.species, one.strain) for one in plantings}
    for index, one in enumerate(in_hand):
        if (one.species, one.strain) not in planted:
            findings.warn(f'stock[{index}]: no planting takes {one.species} "{one.strain}"')
