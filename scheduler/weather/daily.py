"""One station's days: read from a file, judged, and laid out without holes from the first day to the last."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

from scheduler.errors import Fault, SeasonError
from scheduler.season.wrong import Wrong
from scheduler.weather.layouts import ALLOWED, Reading, Row, Station, readings

LARGEST = 60_000_000
"""Bytes; 150 years of one station by row are about ten million."""
MOST_TOLD = 20
"""Faults of single lines that are told."""
_BOUNDS = {"tmin": (-90.0, 60.0), "tmax": (-90.0, 60.0), "rain": (0.0, 2000.0)}
"""Beyond what was ever measured in the shade, and as rain of one day."""
_UNITS = {"tmin": " C", "tmax": " C", "rain": " mm"}
_HOTTEST_MEAN, _A_YEAR = 38.0, 300
"""Mean of the highest temperatures over so many days that no place on earth has."""
_SLIPS = 0.02
"""Share of values outside of all weather up to which they are slips, and not another unit."""
_NAMES = {"tmin": "night", "tmax": "day", "rain": "rain"}


@dataclass(frozen=True)
class Daily:
    """Every day from `first` on: lowest and highest temperature in C and rain in mm, None where missing."""

    first: date
    tmin: tuple[float | None, ...]
    tmax: tuple[float | None, ...]
    rain: tuple[float | None, ...]
    latitude: float | None = None
    """Of the station, where the file has it."""

    @property
    def last(self) -> date:
        """The last day."""
        return self.first + timedelta(days=len(self.tmin) - 1)


def read(path: Path) -> Daily:
    """The days of a weather file. Raises SeasonError with every fault: where, found, allowed, hint."""
    where = str(path)
    text = _text(path, where)
    station, gathered = Station(), _Gathered(where)
    try:
        for item in readings(_rows(text), station):
            if isinstance(item, Reading):
                gathered.take(item)
            else:
                gathered.fault(*item)
    except Wrong as wrong:
        gathered.fault(1, wrong)
    except csv.Error as error:
        gathered.fault(1, Wrong(f"no table of values ({error})", ALLOWED))
    return gathered.daily(station.latitude)


def _rows(text: str) -> Iterator[Row]:
    reader = csv.reader(io.StringIO(text, newline=""))
    for cells in reader:
        yield reader.line_num, cells


def _text(path: Path, where: str) -> str:
    allowed = "a file of daily weather"
    try:
        with path.open("rb") as stream:
            content = stream.read(LARGEST + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _fault(where, f"a file that cannot be read ({reason})", allowed) from None
    if len(content) > LARGEST:
        raise _fault(where, "more than 60 MB", "the days of one station", "take out the lines of the station")
    if content.startswith((b"\x1f\x8b", b"PK")):
        raise _fault(where, "a packed file", "plain CSV", "unpack it")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _fault(f"{where}:{line}", "a letter that is not UTF-8", "CSV in UTF-8") from None


def _fault(where: str, found: str, allowed: str, hint: str = "") -> SeasonError:
    return SeasonError([Fault(where, found, allowed, hint)])


@dataclass
class _Gathered:
    """Readings as they come, one for each day and kind, and what was wrong on the way."""

    where: str
    taken: dict[str, dict[date, Reading]] = field(default_factory=lambda: {key: {} for key in _BOUNDS})
    outside: list[Reading] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    untold: int = 0

    def take(self, reading: Reading) -> None:
        """Keeps a reading; a second one of the same day must not say another thing."""
        low, high = _BOUNDS[reading.what]
        if not low <= reading.value <= high:
            self.outside.append(reading)
            return
        before = self.taken[reading.what].setdefault(reading.day, reading)
        if before.value != reading.value:
            unit = _UNITS[reading.what]
            found = (
                f"{reading.day} a second time, {_NAMES[reading.what]} {reading.value:g}{unit} "
                f"after {before.value:g}{unit} in line {before.line}"
            )
            self.fault(reading.line, Wrong(found, "each day once", "delete one of the two"))

    def fault(self, line: int, wrong: Wrong) -> None:
        """Notes what is wrong with a line."""
        if len(self.faults) < MOST_TOLD:
            self.faults.append(Fault(f"{self.where}:{line}", wrong.found, wrong.allowed, wrong.hint))
        else:
            self.untold += 1

    def daily(self, latitude: float | None) -> Daily:
        """All days in order. Raises SeasonError with what was wrong."""
        self._judge_units()
        self._judge_days()
        if self.untold:
            self.faults.append(Fault(self.where, f"{self.untold} more faults", "a file of daily weather"))
        if self.faults:
            raise SeasonError(self.faults)
        days = self.taken["tmin"].keys() | self.taken["tmax"].keys()
        if not days:
            raise _fault(self.where, "no day with a temperature", ALLOWED)
        first, count = min(days), (max(days) - min(days)).days + 1
        laid = {what: [None] * count for what in _BOUNDS}  # type: dict[str, list[float | None]]
        for what, readings_of in self.taken.items():
            for day, reading in readings_of.items():
                place = (day - first).days
                if 0 <= place < count:
                    laid[what][place] = reading.value
        return Daily(first, tuple(laid["tmin"]), tuple(laid["tmax"]), tuple(laid["rain"]), latitude)

    def _judge_units(self) -> None:
        """Values outside of all weather: a slip where there are few, another unit where there are many."""
        warmest = [reading.value for reading in self.taken["tmax"].values()]
        hot = [reading for reading in self.outside if reading.what != "rain" and reading.value > 0]
        mean = sum(warmest) / len(warmest) if warmest else 0.0
        many = len(hot) > max(1, _SLIPS * (len(warmest) + len(hot)))
        if many or (mean > _HOTTEST_MEAN and len(warmest) >= _A_YEAR):
            high = max((reading.value for reading in hot), default=max(warmest, default=0.0))
            likely = "tenths of a degree" if high > 140 else "degrees Fahrenheit"
            found = f"temperatures up to {high:g}: {likely}, it seems"
            self.faults.append(Fault(self.where, found, "degrees Celsius", "divide or convert them first"))
            self.outside = [reading for reading in self.outside if reading.what == "rain"]
        for reading in self.outside:
            low, high = _BOUNDS[reading.what]
            unit = _UNITS[reading.what]
            found = f"{_NAMES[reading.what]} {reading.value:g}{unit} on {reading.day}"
            wrong = Wrong(found, f"{low:g} to {high:g}{unit}", "leave it empty where it is not known")
            self.fault(reading.line, wrong)

    def _judge_days(self) -> None:
        nights = self.taken["tmin"]
        for day, by_day in self.taken["tmax"].items():
            night = nights.get(day)
            if night and night.value > by_day.value and not self._in_other_unit():
                found = f"a night of {night.value:g} C above the day of {by_day.value:g} C on {day}"
                self.fault(by_day.line, Wrong(found, "a night no warmer than the day", "swapped?"))

    def _in_other_unit(self) -> bool:
        return any(fault.where == self.where for fault in self.faults)
