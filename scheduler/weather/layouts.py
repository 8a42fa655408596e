"""The kinds of weather file that are read, each turned into the same readings: line, day, what, value.

    date,tmin_c,tmax_c,rain_mm                          degrees C and millimetres, a line a day
    STATION,DATE,...,PRCP,...,TMAX,...,TMIN             GHCN-Daily by station: tenths of both
    ID,YYYYMMDD,ELEMENT,VALUE,MFLAG,QFLAG,SFLAG,TIME    GHCN-Daily by row (by year, or superghcnd): tenths

GHCN-Daily is the open standard of daily station records (Menne et al. 2012, J. Atmos. Oceanic Technol. 29).
A value that failed its quality check (a letter in the second flag) is left out, as is -9999.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.season.wrong import Wrong, shown

COLUMNS = "date,tmin_c,tmax_c,rain_mm"
ALLOWED = f"a header {COLUMNS}, or a GHCN-Daily file, by station or by row"

_OWN = {"tmin_c": "tmin", "tmax_c": "tmax", "rain_mm": "rain"}
_GHCN = {"TMIN": "tmin", "TMAX": "tmax", "PRCP": "rain"}
_NEEDED = ("tmin", "tmax")
_ROW_STATION = re.compile(r"[A-Z]{2}[A-Z0-9_-]{9}")
_YEARS = (1650, 2200)
"""No thermometer is older than the first."""
_MISSING = ("", "-9999", "-9999.0", "NA", "NaN", "nan")
_NAMES = {"tmin": "night", "tmax": "day", "rain": "rain"}


@dataclass(frozen=True)
class Reading:
    """One value of one day; `what` is tmin, tmax or rain, in degrees C or mm."""

    line: int
    day: date
    what: str
    value: float


@dataclass
class Station:
    """What a file says of its station besides the days."""

    name: str | None = None
    latitude: float | None = None

    def meet(self, name: str) -> None:
        """Notes the station of a line. Raises `Wrong` where it is another one than before."""
        if self.name is None:
            self.name = name
        elif name != self.name:
            raise Wrong(
                f"a second station, {shown(name)}, after {shown(self.name)}", "one station", "split the file"
            )


Row = tuple[int, Sequence[str]]
Item = Reading | tuple[int, Wrong]


def readings(rows: Iterable[Row], station: Station) -> Iterator[Item]:
    """Every reading of a file, and with its line what cannot be read. Raises `Wrong` for another kind."""
    lines = iter(rows)
    first = next(lines, None)
    if first is None:
        raise Wrong("no line at all", ALLOWED)
    names = [name.strip() for name in first[1]]
    if "ELEMENT" in names:
        yield from _by_row(lines, station)
    elif len(names) >= 4 and _ROW_STATION.fullmatch(names[0]) and re.fullmatch(r"\d{8}", names[1]):
        yield from _by_row(_again(first, lines), station)
    elif "DATE" in names and "STATION" in names:
        yield from _by_column(lines, names, station, "DATE", _GHCN, tenths=True)
    elif "date" in [name.lower() for name in names]:
        yield from _by_column(lines, [n.lower() for n in names], station, "date", _OWN, tenths=False)
    else:
        raise Wrong(
            f"a first line that begins {shown(','.join(names))}", ALLOWED, f"write {COLUMNS} above it"
        )


def _again(first: Row, rest: Iterator[Row]) -> Iterator[Row]:
    yield first
    yield from rest


def _by_column(
    lines: Iterator[Row],
    names: list[str],
    station: Station,
    day_name: str,
    columns: dict[str, str],
    *,
    tenths: bool,
) -> Iterator[Item]:
    at = {what: names.index(name) for name, what in columns.items() if name in names}
    lacking = [name for name, what in columns.items() if what in _NEEDED and what not in at]
    if lacking:
        raise Wrong(f"no column {' and no column '.join(lacking)}", f"the columns {', '.join(columns)}")
    flags = {what: names.index(f"{name}_ATTRIBUTES") for name, what in columns.items()
             if f"{name}_ATTRIBUTES" in names}  # fmt: skip
    day_at = names.index(day_name)
    for line, cells in lines:
        if not any(cell.strip() for cell in cells):
            continue
        try:
            if len(cells) <= max(day_at, *at.values()):
                raise Wrong(f"{len(cells)} of {len(names)} columns", "a value, or nothing, in every column")
            if tenths:
                station.meet(cells[names.index("STATION")].strip())
                _locate(cells, names, station)
            day = _day(cells[day_at])
            found = [
                Reading(line, day, what, value)
                for what, place in at.items()
                if not _failed(cells, flags.get(what))
                and (value := _value(cells[place], what, tenths=tenths)) is not None
            ]
        except Wrong as wrong:
            yield line, wrong
        else:
            yield from found


def _locate(cells: Sequence[str], names: list[str], station: Station) -> None:
    if station.latitude is None and "LATITUDE" in names:
        text = cells[names.index("LATITUDE")].strip()
        if re.fullmatch(r"-?\d+(\.\d+)?", text) and abs(float(text)) <= 90:
            station.latitude = float(text)


def _failed(cells: Sequence[str], place: int | None) -> bool:
    """Whether the second of the flags, the quality check, holds a letter."""
    parts = cells[place].split(",") if place is not None and place < len(cells) else []
    return len(parts) > 1 and bool(parts[1].strip())


def _by_row(lines: Iterator[Row], station: Station) -> Iterator[Item]:
    for line, cells in lines:
        if not any(cell.strip() for cell in cells):
            continue
        try:
            if len(cells) < 4:
                raise Wrong(f"{len(cells)} columns", "station, day, element and value")
            station.meet(cells[0].strip())
            what = _GHCN.get(cells[2].strip())
            if what is None or (len(cells) > 5 and cells[5].strip()):
                continue
            value = _value(cells[3], what, tenths=True)
            found = None if value is None else Reading(line, _day(cells[1]), what, value)
        except Wrong as wrong:
            yield line, wrong
        else:
            if found:
                yield found


def _day(cell: str) -> date:
    text = cell.strip()
    try:
        day = date.fromisoformat(text.replace("/", "-"))
    except ValueError:
        hint = "there is no such day" if re.fullmatch(r"\d{4}-?\d{2}-?\d{2}", text) else ""
        raise Wrong(f"the day {shown(text)}", "a day such as 2027-04-24", hint) from None
    if not _YEARS[0] <= day.year <= _YEARS[1]:
        raise Wrong(f"the day {shown(text)}", f"a day of the years {_YEARS[0]} to {_YEARS[1]}")
    return day


def _value(cell: str, what: str, *, tenths: bool) -> float | None:
    text = cell.strip()
    if text in _MISSING:
        return None
    if tenths and re.fullmatch(r"-?\d*\.\d*[1-9]\d*", text):
        raise Wrong(
            f"{_NAMES[what]} {shown(text)}, with a decimal point",
            "tenths of a degree or millimetre in whole numbers, as GHCN-Daily has them",
            f"for whole degrees write a file with the header {COLUMNS}",
        )
    try:
        value = float(text)
    except ValueError:
        hint = "write a decimal point" if "," in text else ""
        raise Wrong(
            f"{_NAMES[what]} {shown(text)}", "a number, or nothing where it is missing", hint
        ) from None
    return value / 10 if tenths else value
