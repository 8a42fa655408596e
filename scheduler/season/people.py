"""Resolves the site, the people and their hours, helpers and tools."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time, timedelta
from math import floor

from scheduler.season.findings import Findings
from scheduler.season.season import Help, People, Site, Tools
from scheduler.season.shapes import HelpTable, PeopleTable, SiteTable, ToolsTable
from scheduler.trade.shapes import Defaults
from scheduler.workdays import WEEKDAYS

_WEEKEND = ("sat", "sun")
_TROPIC = 23.4
"""Degrees of latitude within which leaves do not turn by the month."""
_AUTUMN = timedelta(days=120)
"""From leaf turn to the end of an autumn's planting, at most."""
SITE_DATES = ("leaf_turn", "bud_swell", "ground_thaws", "last_frost")


def site(table: SiteTable, last: date | None, findings: Findings) -> Site:
    """The site, whose dates have no default; `last` is the end of the last planting window."""
    turn, swell = table.leaf_turn, table.bud_swell
    if turn and swell and not (turn < swell or _is_next_autumn(turn, last)):
        findings.fault(
            ("site", "bud_swell"),
            f"{table.bud_swell}, not after leaf_turn {table.leaf_turn}",
            "the end of the felling season that begins with leaf_turn",
            "leaf_turn is the autumn before, bud_swell the spring after",
        )
    _warn_of_wrong_hemisphere(table, findings)
    return Site(
        latitude=table.latitude,
        elevation_m=findings.default("site.elevation", table.elevation, 0.0, "sea level"),
        leaf_turn=table.leaf_turn,
        bud_swell=table.bud_swell,
        ground_thaws=table.ground_thaws,
        last_frost=table.last_frost,
    )


def _is_next_autumn(turn: date, last: date | None) -> bool:
    """Whether the season ends in the autumn that begins with this leaf turn: wood is felled once more."""
    return last is not None and turn <= last <= turn + _AUTUMN


def _warn_of_wrong_hemisphere(table: SiteTable, findings: Findings) -> None:
    if table.latitude is None or table.leaf_turn is None or abs(table.latitude) < _TROPIC:
        return
    if (table.leaf_turn.month > 6) != (table.latitude > 0):
        findings.warn(
            f"site: leaf_turn {table.leaf_turn} is no autumn at latitude {table.latitude:g}; "
            "south of the equator latitudes are negative"
        )


def dates_near(
    table: SiteTable, helping: list[HelpTable], today: date, first: date, last: date, findings: Findings
) -> None:
    """Notes site dates and help that cannot belong to windows from `first` to `last`: another year's."""
    year = timedelta(days=366)
    for key in SITE_DATES if findings.clean("site") else ():
        day: date | None = getattr(table, key)
        if day and max(first - day, day - last) > year:
            findings.fault(
                ("site", key),
                f"{day}, more than a year from every planting window",
                f"a day of this season, whose windows span {first} to {last}",
            )
    for index, one in enumerate(helping):
        if today - one.on > year or one.on > last:
            findings.fault(
                ("help", index, "on"),
                f"{one.on}",
                f"a day of this season, which ends with its last window on {last}",
            )
        elif one.on < today:
            findings.warn(f"help[{index}]: {one.on} is over, so nobody is reckoned with on it")


def people(table: PeopleTable, defaults: Defaults, findings: Findings) -> People:
    """The people, with home hours filled in from the hands-on hours."""
    hours = findings.default("people.hours", table.hours, defaults.hours, _in_words(defaults.hours))
    home = _home(table, hours, defaults, findings)
    return People(
        minutes=_minutes(hours),
        home_minutes=_minutes(home),
        small_minutes=findings.default(
            "people.small_minutes",
            table.small_minutes,
            defaults.small_minutes,
            f"{defaults.small_minutes} minutes on any day not away",
        ),
        away=tuple(table.away),
        prefer=tuple(dict.fromkeys(table.prefer)),
        felling=findings.default("people.felling", table.felling, defaults.felling),
        at=_begins(table, hours, findings),
    )


def _begins(table: PeopleTable, hours: Mapping[str, float], findings: Findings) -> Mapping[str, time]:
    """When work begins, by weekday: early enough for the hours of that day."""
    for day, at in (table.at or {}).items():
        left = 24 - at.hour - at.minute / 60
        if hours.get(day, 0.0) > left:
            findings.fault(
                ("people", "at", day),
                f"{at:%H:%M} with {hours[day]:g} hours of work on {day}, which end after midnight",
                "a beginning from which the hours of that day end before midnight",
                f'"{floor(24 - hours[day]):02}:00" is the last full hour',
            )
    return dict(sorted((table.at or {}).items(), key=lambda one: WEEKDAYS.index(one[0])))


def _home(
    table: PeopleTable, hours: Mapping[str, float], defaults: Defaults, findings: Findings
) -> Mapping[str, float]:
    # Where the grower names home hours, a day left out is one with nobody in beyond the work itself.
    weekend = {} if table.home else dict.fromkeys(_WEEKEND, defaults.home_weekend)
    usual = {**{day: most + defaults.home_extra for day, most in hours.items() if most > 0}, **weekend}
    taken = {
        day: min(24.0, max(length, hours.get(day, 0.0)))
        for day, length in usual.items()
        if day not in (table.home or {})
    }
    if taken:
        why = (
            "on the other days: the season file does not say"
            if table.home
            else "the season file does not say"
        )
        findings.assume("people.home", _in_words(taken), why)
    for day, length in (table.home or {}).items():
        if length < hours.get(day, 0.0):
            findings.fault(
                ("people", "home", day),
                f"{length:g} hours at home on {day}, fewer than the {hours[day]:g} hands-on hours",
                "at least the hands-on hours of that day",
            )
    return {**taken, **(table.home or {})}


def _minutes(hours: Mapping[str, float]) -> dict[str, int]:
    return {day: round(hours[day] * 60) for day in WEEKDAYS if hours.get(day)}


def _in_words(hours: Mapping[str, float]) -> str:
    return ", ".join(f"{day} {hours[day]:g} h" for day in WEEKDAYS if hours.get(day))


def helpers(tables: list[HelpTable]) -> tuple[Help, ...]:
    """More hands, by day."""
    return tuple(Help(table.on, table.people, round(table.hours * 60)) for table in tables)


def tools(table: ToolsTable, defaults: Defaults, findings: Findings) -> Tools:
    """Drills and tank."""
    if table.tank is None:
        findings.assume("tools.tank", "none")
    return Tools(findings.default("tools.drills", table.drills, defaults.drills), table.tank)
