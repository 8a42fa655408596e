"""How moist the logs are: by planting what is known, whether to water, and how long they can do without."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from rich.console import Console
from rich.text import Text

from scheduler import measures
from scheduler.measures import Units
from scheduler.present.dates import Dates
from scheduler.present.layout import Column, Lines, fold, paragraph, section, table, write
from scheduler.present.moisture_page import LogMoisture, MoisturePage, Share, WeighedLog
from scheduler.workdays import full

A_YEAR = timedelta(days=365)

COLUMNS = (
    Column("planting", soft=True),
    Column("water in the wood", soft=True),
    Column("known since", soft=True),
    Column("too dry"),
    Column("weigh on"),
)
LOG_COLUMNS = (
    Column("log", soft=True),
    Column("weight"),
    Column("weighed"),
    Column("starting weight", soft=True),
    Column("water today", soft=True),
)
_SINCE = {
    "weighed": "weighed",
    "watered": "watered or soaked",
    "rain": "a week of enough rain",
    "felled": "felled; days and season",
    "planted": "planted; days and season",
}


def show_moisture(page: MoisturePage, console: Console) -> None:
    """Print the page: what to do first, then each planting, its marked logs, and what the words mean."""
    width, words = console.width, Dates(page.today)
    lines: Lines = [Text(line, style="bold") for line in fold(first_thing(page), width)]
    lines += fold(f"{page.season}, {full(page.today)}", width)
    rows = [_row(one, page, words) for one in page.plantings]
    lines += section("Logs", table(COLUMNS, rows, width), width)
    watering = [(one.planting, _water(one, page, words)) for one in page.plantings if one.moisture]
    lines += section("Water", table((Column(soft=True), Column(soft=True)), watering, width), width)
    for one in page.plantings:
        lines += section(f"Marked logs of {one.planting}", _logs(one, page, words, width), width)
    lines += section("Good to know", _notes(page, width), width)
    write(lines, console)


def first_thing(page: MoisturePage) -> str:
    """The one thing to do about the logs of a season."""
    dry = [one.planting for one in page.plantings if one.water_now]
    dead = [one.planting for one in page.plantings if one.reason == "dead"]
    if dry:
        return f"Water now: {'; '.join(dry)}"
    if dead:
        return f"Too dry to take up water again: {'; '.join(dead)}"
    if not page.plantings:
        return "No planting has logs, and this page is for logs."
    if all(one.moisture is None for one in page.plantings):
        return "Nothing is felled yet, so there is nothing to water."
    return "No logs need water now."


def _row(one: LogMoisture, page: MoisturePage, words: Dates) -> tuple[str, ...]:
    if one.moisture is None:
        planned = f"; planned: {words.day(one.fell_on)}" if one.fell_on else ""
        return one.planting, f"not felled yet{planned}", "", "", ""
    return (
        one.planting,
        f"{_share(one.moisture)}\n{one.condition}",
        f"{words.maybe(one.since, '')}\n{_SINCE[one.by]}",
        _in_days(one),
        "today" if one.weigh_on == page.today else words.maybe(one.weigh_on, ""),
    )


def _water(one: LogMoisture, page: MoisturePage, words: Dates) -> str:
    verdict = "now" if one.water_now else "no use" if one.reason == "dead" else "no need"
    return f"{verdict}: {_why(one, page, words)}"


def _share(moisture: Share) -> str:
    return f"{moisture.likely:.0f} % ({moisture.low:.0f} to {moisture.high:.0f})"


def _in_days(one: LogMoisture) -> str:
    return "now" if one.floor_until == 0 else _days(one.floor_until)


def _days(count: int | None) -> str:
    return "not in 2 years" if count is None else f"in {measures.counted(count, 'day')}"


def _why(one: LogMoisture, page: MoisturePage, words: Dates) -> str:
    rules = page.rules
    on = words.maybe(one.reason_on, "")
    match one.reason:
        case "dead":
            return "too dry to take it up again"
        case "watered":
            return f"it got some on {on}"
        case "weight":
            return f"{one.lost_pct:.0f} % below starting weight, more than {rules.loss_to_water:.0f} %"
        case "dry":
            return f"below {rules.floor:.0f} %"
        case "dry week":
            rain = measures.rain(page.rain_mm or 0.0, page.units)
            return f"below {rules.best:.0f} %, and only {rain} of rain in seven days"
    if one.best_until == 0:
        return f"above {rules.floor:.0f} %"
    return f"above {rules.best:.0f} %; below it {_days(one.best_until)}"


def _logs(one: LogMoisture, page: MoisturePage, words: Dates, width: int) -> Lines:
    rows = [
        (
            log.log or "one of no number",
            measures.mass(log.weight_g, page.units),
            words.day(log.weighed_on),
            _starting(log, page, words),
            _share(log.moisture),
        )
        for log in one.logs
    ]
    return table(LOG_COLUMNS, rows, width)


def _starting(log: WeighedLog, page: MoisturePage, words: Dates) -> str:
    weight = measures.mass(log.starting_weight_g, page.units)
    return f"{weight}, {words.day(log.started_on)}" if log.started_on else f"{weight}, expected from its size"


def _notes(page: MoisturePage, width: int) -> Lines:
    return [line for note in _said(page) for line in paragraph(note, width, mark="- ")]


def _said(page: MoisturePage) -> Iterator[str]:
    rules, there = page.rules, [one for one in page.plantings if one.moisture is not None]
    weighed = [log for one in there for log in one.logs]
    reckoned = [one for one in there if not one.logs]
    if there:
        yield (
            f"Below {rules.lethal:.0f} %: dead risk; below {rules.danger:.0f} %: danger; below "
            f"{rules.floor:.0f} %: too dry, below target; from {rules.best:.0f} %: best."
        )
    if any(one.condition == "dead risk" for one in there):
        yield (
            f"Mycelium does not survive below {rules.lethal:.0f} %, and logs that have dried out do not take "
            "up water again. What is only reckoned is no proof: weigh a log before you give them up."
        )
    if reckoned:
        yield (
            "Without a weight, wood is taken to dry like a stack in the open; deep shade, a raft in the "
            "ground or the bag of a totem keep it moist for longer. A weight tells: budswell record "
            f"{page.path} weighed {reckoned[0].planting} log 1 {_example(page.units)}"
        )
    if any(one.by in ("watered", "rain") for one in there):
        yield f"Logs that got water are taken to be at {rules.best:.0f} % on that day, if they were drier."
    if any(log.started_on is None for log in weighed):
        yield "A starting weight expected from a size is a rough guess: weigh logs when you plant them."
    if any(log.started_on and page.today - log.started_on > A_YEAR for log in weighed):
        yield "After a year the fungus has eaten much of the wood: a log is moister than its weight says."
    if there:
        yield _rain(page)
    if page.without_logs:
        listed = ", ".join(f"{name} ({method})" for name, method in page.without_logs)
        yield f"This page is for logs only, not for {listed}."
    if page.of_earlier_years:
        yield (
            f"Logs of earlier years are not followed: {', '.join(page.of_earlier_years)}. The fungus has "
            "eaten of their wood, so neither days nor a weight tell how moist they are: keep to their care."
        )


def _rain(page: MoisturePage) -> str:
    enough = measures.rain(page.rules.enough_rain_mm, page.units)
    if page.rain_mm is not None:
        fell = measures.rain(page.rain_mm, page.units)
        return f"Rain of the last seven days: {fell}; {enough} keeps logs moist."
    why = "no weather file tells"
    if page.weather:
        until = f"ends on {full(page.weather_until)}" if page.weather_until else "has no rain"
        why = f"not known, {page.weather} {until}"
    return f"Rain of the last seven days: {why}. In a week with {enough} or more nothing has to be watered."


def _example(units: Units) -> str:
    return "14.2 kg" if units == "metric" else "31 lb"
