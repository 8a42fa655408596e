"""The use case of `moisture`: how moist the logs of a season are, by its book, its file and its weather."""

from __future__ import annotations

import shlex
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import partial
from pathlib import Path

from scheduler.book.store import Book, book_path
from scheduler.errors import Fault, UsageError
from scheduler.journal.find import named
from scheduler.journal.fold import fold
from scheduler.lines import logs, moisture
from scheduler.lines.logs import Band, Weights
from scheduler.plan import Plan
from scheduler.present.moisture_page import LogMoisture, MoisturePage, Share, Thresholds, WeighedLog
from scheduler.progress import NOTHING, Progress
from scheduler.science import wood
from scheduler.season.place import season_file, weather_file
from scheduler.season.season import Planting, Season
from scheduler.season.wrong import Wrong
from scheduler.service import seasons
from scheduler.service.under_way import adopted
from scheduler.trade.catalogue import Catalogue
from scheduler.weather import daily
from scheduler.workdays import ONE_DAY


@dataclass(frozen=True)
class _Rain:
    """Rain by day as far as the season's weather file tells, and that file."""

    by_day: Mapping[date, float]
    file: str = ""
    until: date | None = None

    def last_week(self, today: date) -> float | None:
        """Millimetres of the seven days up to today, or up to yesterday where today is not measured yet."""
        here = moisture.rain_of_week(self.by_day, today)
        return moisture.rain_of_week(self.by_day, today - ONE_DAY) if here is None else here


def moisture_page(path: Path, name: str | None, clock: seasons.Clock, today: date | None) -> MoisturePage:
    """The page of a season, or of the planting that is named.

    Raises SeasonError with every fault of the season file or its weather file, UsageError for a planting that
    is none of it, BookError as the book does.
    """
    plan, progress = _kept(season_file(path))
    season, catalogue = seasons.read(path, clock, today, adopted=partial(adopted, progress), keep_over=True)
    rain = _rain(season, progress)
    with_logs = [one for one in season.plantings if logs.has_logs(one, catalogue)]
    page = MoisturePage(
        season=season.name,
        today=season.today,
        units=season.units,
        rules=_thresholds(catalogue),
        plantings=tuple(_planting(one, season, catalogue, plan, progress, rain) for one in with_logs),
        without_logs=tuple((one.name, one.method) for one in season.plantings if one not in with_logs),
        of_earlier_years=tuple(one.name for one in season.standing if logs.has_logs(one, catalogue)),
        rain_mm=rain.last_week(season.today),
        weather=rain.file,
        weather_until=rain.until,
        path=shlex.quote(str(path)),
    )
    return page if name is None else _only(page, name)


def weights_of(path: Path, name: str, today: date) -> Weights | None:
    """Between which weights the logs of a planting of the season at `path` can lie; None where it has none.

    Raises SeasonError where the season file is not right.
    """
    season, catalogue = seasons.read(path, seasons.Clock(today, "UTC"), today, keep_over=True)
    found = next((one for one in season.plantings if one.name == name), None)
    return logs.weights(found, catalogue) if found and logs.has_logs(found, catalogue) else None


def _kept(file: Path) -> tuple[Plan | None, Progress]:
    """The newest kept plan, and what was recorded; nothing where nothing was."""
    if not book_path(file).exists():
        return None, NOTHING
    with Book.open(book_path(file), create=False) as book:
        kept, recorded = book.latest(), book.entries()
    return (kept.plan, fold(recorded, kept.plan)) if kept else (None, NOTHING)


def _rain(season: Season, progress: Progress) -> _Rain:
    """The rain since the first log was felled: what fell before is nothing to them."""
    file = weather_file(season.path)
    if file is None:
        return _Rain({})
    days = daily.read(file)
    week = timedelta(days=7)
    begun = [day for one in progress.plantings.values() for day in (*one.felled, *one.planted)]
    begun += [one.felled for one in season.plantings if one.felled]
    first = min([*begun, season.today]) - week
    by_day = {
        day: rain
        for offset, rain in enumerate(days.rain)
        if rain is not None and first <= (day := days.first + timedelta(days=offset)) <= season.today
    }
    measured = [offset for offset, rain in enumerate(days.rain) if rain is not None]
    return _Rain(by_day, file.name, days.first + timedelta(days=max(measured)) if measured else None)


def _planting(
    planting: Planting,
    season: Season,
    catalogue: Catalogue,
    plan: Plan | None,
    progress: Progress,
    rain: _Rain,
) -> LogMoisture:
    happened, rules, today = progress.planting(planting.name), catalogue.wood_rules, season.today
    drying = moisture.drying_of(planting, season.site.latitude, catalogue)
    felled = planting.felled if planting.felled and planting.felled <= today else None
    start = moisture.from_days(happened, felled, drying)
    wetting = moisture.wettings(happened.wetted, rain.by_day, rules.enough_rain.likely)
    weighed = moisture.from_weights(
        happened,
        start,
        wetting,
        today,
        drying,
        logs.fresh_mass(planting, catalogue),
        timedelta(days=rules.first_weight_within.likely),
    )
    newest = moisture.last_round(weighed)
    if newest:
        known = newest[0].known
    elif start is not None:
        known = moisture.reckoned(start, wetting, today, drying)
    else:
        return LogMoisture(planting.name, "not felled", fell_on=_planned(planting, plan))
    likely = known.moisture.likely
    advice = moisture.advice(
        known,
        newest,
        max((day for day, _ in wetting if day <= today), default=None),
        rain.last_week(today),
        today,
        catalogue,
        outdoors=bool(happened.planted),
    )
    return LogMoisture(
        planting=planting.name,
        state="planted" if happened.planted else "felled",
        moisture=_share(known.moisture),
        condition=wood.condition(
            likely,
            rules.moisture_lethal.likely,
            rules.moisture_danger.likely,
            rules.moisture_floor.likely,
            rules.moisture_ideal.likely,
        ),
        by=known.by,
        since=known.since,
        best_until=drying.days_down_to(likely, rules.moisture_ideal.likely, today),
        floor_until=drying.days_down_to(likely, rules.moisture_floor.likely, today),
        water_now=advice.water,
        reason=advice.reason,
        reason_on=advice.on,
        lost_pct=advice.lost_pct,
        weigh_on=moisture.next_weighing(
            max((log.weighed_on for log in weighed), default=None), today, season.site.latitude, catalogue
        ),
        logs=tuple(
            WeighedLog(
                log.name,
                log.weight_g,
                log.weighed_on,
                log.starting_g,
                log.started_on,
                _share(log.known.moisture),
            )
            for log in weighed
        ),
    )


def _planned(planting: Planting, plan: Plan | None) -> date | None:
    """The first planned day of felling: of the plan, else the one that the season file names."""
    dated = next((one for one in plan.plantings if one.name == planting.name), None) if plan else None
    return min(dated.fell_on, default=planting.felled) if dated else planting.felled


def _thresholds(catalogue: Catalogue) -> Thresholds:
    rules = catalogue.wood_rules
    return Thresholds(
        lethal=rules.moisture_lethal.likely,
        danger=rules.moisture_danger.likely,
        floor=rules.moisture_floor.likely,
        best=rules.moisture_ideal.likely,
        loss_to_water=rules.loss_to_water.likely,
        enough_rain_mm=rules.enough_rain.likely,
    )


def _only(page: MoisturePage, text: str) -> MoisturePage:
    """The page of the one planting that is meant."""
    names = [*(one.planting for one in page.plantings), *(name for name, _ in page.without_logs)]
    try:
        name = named(text, names, "plantings")
    except Wrong as wrong:
        raise UsageError(Fault("budswell moisture", wrong.found, wrong.allowed, wrong.hint)) from None
    return replace(
        page,
        plantings=tuple(one for one in page.plantings if one.planting == name),
        without_logs=tuple(one for one in page.without_logs if one[0] == name),
        of_earlier_years=(),
    )


def _share(band: Band) -> Share:
    return Share(band.low, band.likely, band.high)
