"""Weather files: three layouts read alike, gaps kept as gaps, and every fault with its line."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.errors import Fault, SeasonError
from scheduler.weather.daily import LARGEST, MOST_TOLD, Daily, read

OWN = "date,tmin_c,tmax_c,rain_mm\n"
STATION = "STATION,DATE,LATITUDE,LONGITUDE,PRCP,PRCP_ATTRIBUTES,TMAX,TMAX_ATTRIBUTES,TMIN,TMIN_ATTRIBUTES\n"

Write = Callable[[str | bytes], Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    """A weather file of a content."""

    def write(content: str | bytes) -> Path:
        path = tmp_path / "station.csv"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write


def faults(path: Path) -> list[Fault]:
    """What is wrong with a file."""
    with pytest.raises(SeasonError) as caught:
        read(path)
    assert all(fault.where.startswith(str(path)) for fault in caught.value.faults)
    return caught.value.faults


THREE = {
    "columns": OWN + "2020-02-28,-1.5,4,0\n2020-03-01,0.2,8.1,12.7\n",
    "columns in another order, rain left out on a day": "rain_mm,wind,tmax_c,date,tmin_c\n12.7,3,8.1,2020-03-01,0.2\n0,,4,2020/02/28,-1.5\n",
    "by station": STATION
    + 'USW00024233,2020-02-28,47.4,-122.3,0,",,W",40,",,W",-15,",,W"\nUSW00024233,2020-03-01,47.4,-122.3,127,",,W",81,",,W",2,",,W"\n',
    "by row": "USW00024233,20200228,TMIN,-15,,,W,\nUSW00024233,20200228,TMAX,40,,,W,\nUSW00024233,20200228,PRCP,0,,,W,2400\n"
    "USW00024233,20200301,TMAX,81,,,W,\nUSW00024233,20200301,SNOW,3,,,W,\nUSW00024233,20200301,TMIN,2,,,W,\nUSW00024233,20200301,PRCP,127,T,,W,\n",
    "by row with a header": "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n"
    "X,20200228,TMIN,-15,,,W,\nX,20200228,TMAX,40,,,W,\nX,20200228,PRCP,0,,,W,\nX,20200301,TMIN,2,,,W,\nX,20200301,TMAX,81,,,W,\nX,20200301,PRCP,127,,,W,\n",
}


@pytest.mark.parametrize("layout", THREE)
def test_the_layouts_say_the_same(layout: str, write: Write) -> None:
    """Tenths or degrees, by column or by row: the same two days, with the missing leap day between them."""
    found = read(write(THREE[layout]))
    assert (found.first, found.last) == (date(2020, 2, 28), date(2020, 3, 1))
    assert found.tmin == (-1.5, None, 0.2)
    assert found.tmax == (4.0, None, 8.1)
    assert found.rain == (0.0, None, 12.7)


def test_a_station_has_its_latitude(write: Write) -> None:
    """GHCN-Daily by station says where it stands; the other layouts do not."""
    assert read(write(THREE["by station"])).latitude == 47.4
    assert read(write(THREE["columns"])).latitude is None


def test_what_failed_its_check_is_left_out(write: Write) -> None:
    """A letter in the quality flag, -9999 and an empty cell are all no value."""
    by_row = "X1234567890,20200228,TMIN,-15,,,W,\nX1234567890,20200228,TMAX,900,,X,W,\n".replace(
        "X1234567890", "USW00024233"
    )
    assert read(write(by_row)).tmax == (None,)
    by_station = STATION + 'A,2020-02-28,,,-9999,,400,",I,W",-15,",,W"\n'
    assert (read(write(by_station)).tmax, read(write(by_station)).rain) == ((None,), (None,))
    assert read(write(OWN + "2020-02-28,-1.5,,\n")).tmax == (None,)


def test_the_same_day_twice_may_say_the_same(write: Write) -> None:
    """Equal lines are one; lines that differ are a fault that names both."""
    day = "2020-02-28,-1.5,4,0\n"
    assert read(write(OWN + day + day)).tmin == (-1.5,)
    (fault,) = faults(write(OWN + day + "2020-02-28,-2.5,4,0\n"))
    assert fault.where.endswith("station.csv:3")
    assert "-2.5 C after -1.5 C in line 2" in fault.found


WRONG = {
    "no header": ("2020-01-01,1,2,0\n", 1, "a first line that begins", "a header date,tmin_c", "write date,tmin_c"),
    "empty": ("", 1, "no line at all", "a header", ""),
    "no day": (OWN, 0, "no day with a temperature", "a header", ""),
    "no column": ("date,tmin_c,rain_mm\n2020-01-01,1,0\n", 1, "no column tmax_c", "the columns tmin_c", ""),
    "no such day": (OWN + "2021-02-29,1,2,0\n", 2, 'the day "2021-02-29"', "a day such as", "there is no such day"),
    "a year before thermometers": (OWN + "1250-02-01,1,2,0\n", 2, 'the day "1250-02-01"', "1650 to 2200", ""),
    "day in words": (OWN + "1 Feb 2021,1,2,0\n", 2, 'the day "1 Feb 2021"', "a day such as", ""),
    "comma": (OWN + '2021-02-01,"1,5",2,0\n', 2, 'night "1,5"', "a number", "decimal point"),
    "short line": (OWN + "2021-02-01,1\n", 2, "2 of 4 columns", "a value, or nothing", ""),
    "night above day": (OWN + "2021-02-01,9,2,0\n", 2, "a night of 9 C above the day of 2 C", "no warmer", "swapped"),
    "too cold": (OWN + "2021-02-01,-95,2,0\n", 2, "night -95 C on 2021-02-01", "-90 to 60 C", "leave it empty"),
    "rain below nothing": (OWN + "2021-02-01,1,2,-3\n", 2, "rain -3 mm", "0 to 2000 mm", "leave it empty"),
    "not a number at all": (OWN + "2021-02-01,1,inf,0\n", 2, "day inf C", "-90 to 60 C", "leave it empty"),
    "Fahrenheit": (OWN + "".join(f"2021-07-{d:02},55,{75 + d},0\n" for d in range(1, 31)), 0, "degrees Fahrenheit", "degrees Celsius", "convert"),
    "mild Fahrenheit": (OWN + "".join(f"{date(2021, 1, 1) + timedelta(days=d)},35,{41 + d % 15},0\n" for d in range(365)), 0, "degrees Fahrenheit", "degrees Celsius", "convert"),
    "tenths": (OWN + "".join(f"2021-07-{d:02},105,{200 + d},0\n" for d in range(1, 31)), 0, "tenths of a degree", "degrees Celsius", "divide"),
    "whole degrees in GHCN": ("USW00024233,20200228,TMIN,-1.5,,,W,\n", 1, "with a decimal point", "tenths", "for whole degrees"),
    "two stations": ("USW00024233,20200228,TMIN,-15,,,W,\nUSW00094728,20200228,TMIN,-15,,,W,\n", 2, "a second station", "one station", "split"),
    "packed": (b"\x1f\x8b\x08\x00", 0, "a packed file", "plain CSV", "unpack"),
    "not UTF-8": (OWN.encode() + b"2020-01-01,1,2,0\xe9\n", 2, "not UTF-8", "CSV in UTF-8", ""),
    "row cut short": ("USW00024233,20200228,TMIN,-15,,,W,\nUSW00024233,2020\n", 2, "2 columns", "station, day", ""),
}  # fmt: skip


@pytest.mark.parametrize("name", WRONG)
def test_a_fault_says_where_and_what(name: str, write: Write) -> None:
    """File and line, what was found, what is allowed, and the likely mend."""
    content, line, found, allowed, hint = WRONG[name]
    path = write(content)
    (fault,) = faults(path)
    assert fault.where == (f"{path}:{line}" if line else str(path))
    assert found in fault.found
    assert allowed in fault.allowed
    assert hint in fault.hint


def test_all_faults_come_at_once_but_not_thousands(write: Write) -> None:
    """Each line is told, up to a number; then how many more there are."""
    lines = [f"2021-02-30,{n},2,0\n" for n in range(MOST_TOLD + 5)]
    found = faults(write(OWN + "".join(lines)))
    assert len(found) == MOST_TOLD + 1
    assert found[-1].found == "5 more faults"


def test_a_file_too_large_is_not_read(write: Write) -> None:
    """A whole year of all stations of the world is not the file of one."""
    path = write(b"")
    with path.open("wb") as stream:
        stream.truncate(LARGEST + 1)
    assert faults(path)[0].found == "more than 60 MB"


def test_three_hundred_years_are_read(write: Write) -> None:
    """A record longer than any, by row, is the same record, day for day."""
    first = date(1725, 1, 1)
    days = [first + timedelta(days=n) for n in range(300 * 365)]
    rows = [
        f"USW00024233,{day:%Y%m%d},{what},{n % 97 + extra},,,W,"
        for n, day in enumerate(days)
        for what, extra in (("TMIN", 0), ("TMAX", 80))
    ]
    found = read(write("\n".join(rows)))
    assert len(found.tmin) == len(days)
    assert found.tmin[1000] == 1000 % 97 / 10
    assert None not in found.tmax


VALUES = st.one_of(st.none(), st.integers(-400, 150))


@given(
    st.dictionaries(
        st.dates(date(1990, 1, 1), date(1993, 12, 31)),
        st.tuples(VALUES, st.integers(0, 200)),
        min_size=1,
        max_size=40,
    )
)
def test_what_is_written_is_read(days: dict[date, tuple[int | None, int]]) -> None:
    """Whatever the days and the layout, each value comes back on its day, and all else is missing."""
    own, rows = [OWN], []
    for day, (night, span) in days.items():
        low = "" if night is None else f"{night / 10:g}"
        own.append(f"{day},{low},{((night or 0) + span) / 10:g},\n")
        rows.append(f"USW00024233,{day:%Y%m%d},TMIN,{-9999 if night is None else night},,,W,\n")
        rows.append(f"USW00024233,{day:%Y%m%d},TMAX,{(night or 0) + span},,,W,\n")
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "station.csv"
        both: list[Daily] = []
        for text in ("".join(own), "".join(rows)):
            path.write_text(text)
            both.append(read(path))
    assert both[0] == both[1]
    found = both[0]
    for day, (night, span) in days.items():
        place = (day - found.first).days
        assert found.tmin[place] == (None if night is None else night / 10)
        assert found.tmax[place] == ((night or 0) + span) / 10
    assert sum(value is not None for value in found.tmax) == len(days)


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(content: bytes) -> None:
    """Whatever the file holds, it is a record or a fault with a place; nothing else comes out."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "station.csv"
        path.write_bytes(content)
        try:
            assert read(path).tmin
        except SeasonError as error:
            assert all(fault.where and fault.found and fault.allowed for fault in error.faults)
