"""Open daily weather, read from the packages that carry it; nothing of them is imported."""

from __future__ import annotations

import csv
import gzip
from collections.abc import Iterator
from datetime import date
from importlib.util import find_spec
from pathlib import Path

import pytest

from scheduler.weather.daily import Daily


def file_of(package: str, *parts: str) -> Path:
    """A data file of a package. Without the package the test is skipped, and says so."""
    found = find_spec(package)
    if found is None or not found.submodule_search_locations:
        pytest.skip(f"NO OPEN DATA: the package {package} is not installed; pip install '.[test,open-data]'")
    return Path(found.submodule_search_locations[0]).joinpath(*parts)


def seattle_csv() -> str:
    """Seattle 2012 to 2015 (NOAA, public domain; vega_datasets 0.9.0) as a weather file of our own kind."""
    with file_of("vega_datasets", "_data", "seattle-weather.csv").open(newline="") as stream:
        rows = [(r["date"], r["temp_min"], r["temp_max"], r["precipitation"]) for r in csv.DictReader(stream)]
    lines = [f"{day.replace('/', '-')},{low},{high},{rain}" for day, low, high, rain in rows]
    return "\n".join(["date,tmin_c,tmax_c,rain_mm", *lines]) + "\n"


def crops(station: str) -> Daily:
    """A station of aquacrop 3.1.0, such as `champion`: Champion, Nebraska, 1982 to 2018."""
    lines = file_of("aquacrop", "data", f"{station}_climate.txt").read_text().splitlines()[1:]
    rows = sorted((date(int(y), int(m), int(d)), float(low), float(high), float(rain))
                  for d, m, y, low, high, rain, *_ in map(str.split, filter(str.strip, lines)))  # fmt: skip
    assert (rows[-1][0] - rows[0][0]).days == len(rows) - 1
    _, low, high, rain = zip(*rows, strict=True)
    return Daily(rows[0][0], low, high, rain)


def aspen_days() -> Iterator[tuple[str, str, float, int, float]]:
    """Site, year, latitude, day of the year and hours of daylight of every day at the sites of the aspens."""
    with gzip.open(file_of("pyPhenology", "data", "aspen_temperature.csv.gz"), "rt", newline="") as stream:
        for row in csv.DictReader(stream):
            yield (
                row["site_id"],
                row["year"],
                float(row["latitude"]),
                int(row["doy"]),
                float(row["daylength"]),
            )


def coloured_leaves() -> Iterator[tuple[float, int]]:
    """Latitude and day of the year of coloured leaves of each aspen observed; code 498 is coloured leaves."""
    latitudes = {(site, year): latitude for site, year, latitude, _, _ in aspen_days()}
    with file_of("pyPhenology", "data", "aspen_obs.csv").open(newline="") as stream:
        for row in csv.DictReader(stream):
            if row["phenophase"] == "498":
                yield latitudes[row["site_id"], row["year"]], int(row["doy"])


def aspens() -> Iterator[tuple[float, int, list[float], int]]:
    """Latitude, first day, daily means and day of breaking leaf buds of each aspen observed (USA-NPN, PRISM;
    pyPhenology 0.7.1). Days are counted from 1 January as day 1; code 371 is breaking leaf buds."""
    sites: dict[tuple[str, str], tuple[float, dict[int, float]]] = {}
    with gzip.open(file_of("pyPhenology", "data", "aspen_temperature.csv.gz"), "rt", newline="") as stream:
        for row in csv.DictReader(stream):
            site = sites.setdefault((row["site_id"], row["year"]), (float(row["latitude"]), {}))
            site[1][int(row["doy"])] = float(row["temperature"])
    with file_of("pyPhenology", "data", "aspen_obs.csv").open(newline="") as stream:
        for row in csv.DictReader(stream):
            if row["phenophase"] == "371":
                latitude, by_day = sites[row["site_id"], row["year"]]
                days = range(min(by_day), max(by_day) + 1)
                yield latitude, days[0], [by_day[day] for day in days], int(row["doy"])
