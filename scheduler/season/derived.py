"""Fills in what a season file leaves out and its weather file knows: dates of the site, planting windows.

It works on the file as data, before anything in it is judged, so that a date that was filled in is read, and
judged, like one that was written. Each is noted with the risk that is taken with it.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any, get_args

from scheduler import measures
from scheduler.measures import Units, counted
from scheduler.season.climate import Climate, Expected, Span
from scheduler.season.days import day, period
from scheduler.season.findings import Findings
from scheduler.season.notation import Document, blocks
from scheduler.season.people import SITE_DATES
from scheduler.season.wrong import Wrong
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.weather import Conditions
from scheduler.workdays import MONTHS, ONE_DAY

SEASONS = {"spring": "spring", "autumn": "autumn", "fall": "autumn"}
"""Words that a planting may have for its window, beside a weather file."""
_AHEAD = timedelta(days=90)
"""A thaw or a last frost that comes this soon after a window belongs to it: the window is too early."""
_PLACEHOLDER = timedelta(days=30)


def fill(document: Document, climate: Climate, catalogue: Catalogue, findings: Findings) -> Document:
    """The file's data with what was left out filled in, each noted; faults where a window is not known."""
    filled = copy.deepcopy(document)
    tables = enumerate(blocks(filled, "planting"))
    plantings = {place: one for place, one in tables if isinstance(one, dict)}
    units = _units(filled, catalogue)
    for place, planting in plantings.items():
        _window(planting, place, climate, catalogue, units, findings)
    site = filled.get("site")
    if isinstance(site, dict):
        _site(site, list(plantings.values()), climate, catalogue, findings)
    for note in climate.notes:
        findings.warn(note)
    return filled


def _units(document: Document, catalogue: Catalogue) -> Units:
    """Those of the season; what is wrong with them is said where they are read."""
    head = document.get("season")
    written = str(head.get("units")).strip().casefold() if isinstance(head, dict) else None
    return next((units for units in get_args(Units) if units == written), catalogue.defaults.units)


def _window(
    planting: dict[str, Any],
    place: int,
    climate: Climate,
    catalogue: Catalogue,
    units: Units,
    findings: Findings,
) -> None:
    given = planting.get("window", "spring")
    season = SEASONS.get(given.strip().casefold()) if isinstance(given, str) else None
    method = catalogue.find_method(str(planting.get("method")))
    species = catalogue.find_species(str(planting.get("species")))
    if season is None or method is None or species is None:
        return
    waits = catalogue.conditions(species, method)
    span = climate.windows[season][waits]
    if isinstance(span, str):
        findings.fault(
            ("planting", place, "window"),
            f"no window, and {climate.file} gives none for {method} in {season} with {species}: {span}",
            'first and last day such as "2027-04-20/2027-05-25"',
        )
        # What else is wrong with the planting is still to be said.
        planting["window"] = f"{climate.since}/{climate.since + _PLACEHOLDER}"
        return
    first, last = climate.window(span)
    planting["window"] = f"{first}/{last}"
    findings.assume_for(
        str(planting.get("name")).strip(),
        "window",
        f"{first}/{last}, {season}, {_awaited(waits, season, units)}: {_risk(span, last, climate)}",
        climate.source,
    )


def _awaited(waits: Conditions, season: str, units: Units) -> str:
    """The weather that a planting waits for: ``from days of 13 C and the last freeze to weeks of 30 C``."""
    day, hottest = (measures.temperature(degrees, units) for degrees in (waits.day, waits.hottest))
    if season == "autumn":
        return f"from leaf turn while days reach {day}"
    after = f" and the last {waits.after}" if waits.after else ""
    return f"from days of {day}{after} to weeks of {hottest}"


def _risk(span: Span, last: date, climate: Climate) -> str:
    """What goes wrong with a window and how often, with the range of the day that weather decides."""
    other = f"; {span.risk}" if span.risk else ""
    return f"{span.decided.risk} ({_range(span.decided, climate, last)}){other}"


def _site(
    site: dict[str, Any],
    plantings: list[dict[str, Any]],
    climate: Climate,
    catalogue: Catalogue,
    findings: Findings,
) -> None:
    for key in SITE_DATES:
        expected = climate.dates.get(key)
        if key in site or expected is None:
            continue
        ends = list(_ends(plantings, key, catalogue)) or list(_ends(plantings, None, catalogue))
        if ends:
            found = _placed(key, expected, min(ends), site, climate)
            site[key] = found
            findings.assume(f"site.{key}", _in_words(found, expected, climate), climate.source)


def _placed(key: str, expected: Expected, end: date, site: dict[str, Any], climate: Climate) -> date:
    """The date of the season whose first window ends on `end`: felling is from a leaf turn to a bud swell."""
    turn, swell = _day(site.get("leaf_turn")), _day(site.get("bud_swell"))
    if key == "leaf_turn":
        return climate.latest(expected.day, min(end, swell - ONE_DAY) if swell else end)
    if key == "bud_swell" and turn:
        return climate.after(expected.day, turn)
    return climate.latest(expected.day, end + _AHEAD)


def _ends(plantings: list[dict[str, Any]], key: str | None, catalogue: Catalogue) -> Iterator[date]:
    """Last days of the windows of plantings whose method needs a key of the site, or of all of them."""
    for planting in plantings:
        method = catalogue.find_method(str(planting.get("method")))
        if key is None or (method is not None and key in catalogue.methods[method].needs):
            try:
                yield period(planting.get("window"))[1]
            except Wrong:
                continue  # said where the window is read


def _day(value: object) -> date | None:
    try:
        return day(value)
    except Wrong:
        return None


def _in_words(found: date, expected: Expected, climate: Climate) -> str:
    return f"{found}: {expected.risk} ({_range(expected, climate, found)})"


def _range(expected: Expected, climate: Climate, found: date) -> str:
    """Its early, middle and late day in the station's year that a date lies in."""
    year = next(y for y in range(found.year, found.year - 3, -1) if climate.on(0, y) <= found)
    early, middle, late = (
        f"{on.day} {MONTHS[on.month - 1]}"
        for on in (climate.on(day, year) for day in (expected.early, expected.middle, expected.late))
    )
    return f"10/50/90 %: {early}, {middle}, {late}; {counted(expected.years, 'year')}"
