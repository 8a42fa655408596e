"""How moist the logs of a planting are: by their weights, else by the days since they were felled.

Wood dries month by month at the catalogue's rates from the last thing that is known of it. Logs that were
watered or soaked, or lay in seven days of enough rain, count as re-wetted to what the catalogue takes for
that, but never as drier than they were; below the lethal moisture they take up no water any more.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from scheduler.lines import logs
from scheduler.lines.logs import Band
from scheduler.progress import PlantingProgress
from scheduler.science import wood
from scheduler.season.season import Planting
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Figure
from scheduler.workdays import ONE_DAY, days_between

WEEK = timedelta(days=7)
AHEAD = timedelta(days=2 * 366)
"""So far ahead is looked for the day on which logs are too dry."""

How = Literal["weighed", "watered", "rain", "felled", "planted"]
"""What a moisture is reckoned from."""


@dataclass(frozen=True)
class Drying:
    """How the wood of one planting dries."""

    fresh: Band
    weekly: tuple[tuple[float, ...], ...]
    """Shares of fresh mass lost a week, for January to December: slow, likely and fast."""
    factor: float
    wetted: Band
    left_alone: Band
    lethal: float

    def lost(self, first: date, last: date) -> Band:
        """Share of its fresh mass that wood loses from one day to a later one."""
        months = [day.month for day in days_between(first, last)]
        return Band(*(wood.cumulative_loss(months, rates, self.factor)[-1] for rates in self.weekly))

    def dry(self, moisture: Band, first: date, last: date) -> Band:
        """What a moisture of the first day has become by the last; never drier than logs left alone get."""
        lost, fresh, least = self.lost(first, last), self.fresh, self.left_alone
        return Band(
            max(wood.dried(moisture.low, fresh.low, lost.high), min(moisture.low, least.low)),
            max(wood.dried(moisture.likely, fresh.likely, lost.likely), min(moisture.likely, least.likely)),
            max(wood.dried(moisture.high, fresh.high, lost.low), min(moisture.high, least.high)),
        )

    def wet(self, moisture: Band) -> Band:
        """What a moisture has become by water from outside."""
        return Band(
            *(
                now if now < self.lethal else max(now, at_least)
                for now, at_least in (
                    (moisture.low, self.wetted.low),
                    (moisture.likely, self.wetted.likely),
                    (moisture.high, self.wetted.high),
                )
            )
        )

    def days_down_to(self, moisture: float, limit: float, today: date) -> int | None:
        """Days from today until wood of a moisture is below a limit, at the likely rates; None for never."""
        months = [day.month for day in days_between(today, today + AHEAD)]
        cumulative = wood.cumulative_loss(months, self.weekly[1], self.factor)
        return wood.days_down_to(moisture, self.fresh.likely, limit, cumulative)


@dataclass(frozen=True)
class Known:
    """Moisture of logs in percent, what it is reckoned from, and the day of that."""

    moisture: Band
    by: How
    since: date


@dataclass(frozen=True)
class Log:
    """One marked log: its last weight against its starting weight, in grams, and its moisture today."""

    name: str
    weight_g: float
    weighed_on: date
    starting_g: float
    started_on: date | None
    """None where no weight was taken in time: the starting weight is expected from size and wood."""
    known: Known

    @property
    def is_weighed_last(self) -> bool:
        """Whether its weight is the last thing that is known of it."""
        return self.known.by == "weighed"


Wetting = tuple[tuple[date, How], ...]
"""Days on which logs got water from outside, in rising order, and whether it was rain."""


def drying_of(planting: Planting, latitude: float | None, catalogue: Catalogue) -> Drying:
    """How the logs of a planting dry where it lies."""
    rules = catalogue.wood_rules
    return Drying(
        fresh=logs.fresh_moisture(planting, catalogue),
        weekly=logs.weekly_loss(latitude, catalogue),
        factor=logs.drying_factor(planting, catalogue),
        wetted=Band(*_spread(rules.moisture_wetted)),
        left_alone=Band(*_spread(rules.moisture_left_alone)),
        lethal=rules.moisture_lethal.likely,
    )


def reckoned(known: Known, wetting: Wetting, day: date, drying: Drying) -> Known:
    """What is known of logs by a day, from what was known of them before.

    Water changes what they are reckoned from where it brought them up to what re-wetted logs are taken for.
    """
    moisture, on, by, since = known.moisture, known.since, known.by, known.since
    for wet_on, how in wetting:
        if not on <= wet_on <= day:
            continue
        moisture, on = drying.dry(moisture, on, wet_on), wet_on
        wet = drying.wet(moisture)
        if wet.likely > moisture.likely:
            by, since = how, wet_on
        moisture = wet
    return Known(drying.dry(moisture, on, day), by, since)


def from_days(happened: PlantingProgress, felled: date | None, drying: Drying) -> Known | None:
    """Fresh logs on the day they were felled, else planted; None where neither is known.

    `felled` is the day the season file names, where it does. Of several days the first counts.
    """
    down = min(happened.felled, default=felled)
    if down is not None:
        return Known(drying.fresh, "felled", down)
    planted = min(happened.planted, default=None)
    return None if planted is None else Known(drying.fresh, "planted", planted)


def from_weights(
    happened: PlantingProgress,
    start: Known | None,
    wetting: Wetting,
    day: date,
    drying: Drying,
    expected_kg: Band,
    within: timedelta,
) -> tuple[Log, ...]:
    """Every marked log with a weight by a day, and how moist it is on that day.

    The first weight is the starting weight if it was taken by `within` after planting; the moisture of that
    day is reckoned from `start`. Else the log is taken to have weighed `expected_kg` when it was fresh.
    """
    planted = min(happened.planted, default=None)
    found = []
    for name, all_weights in happened.weights_g.items():
        weights = {on: grams for on, grams in all_weights.items() if on <= day}
        if not weights:
            continue
        first, last = min(weights), max(weights)
        if planted is None or first <= planted + within:
            begun = Known(drying.fresh, "weighed", first)
            if start is not None and start.since <= first:
                # Water of the day itself came after the weight: it is weighed to see whether it is wanted.
                begun = reckoned(start, tuple(one for one in wetting if one[0] < first), first, drying)
            starting = Band(weights[first], weights[first], weights[first])
            dry = _dry_wood(starting, begun.moisture)
            started_on: date | None = first
        else:
            starting = Band(*(1000 * kg for kg in (expected_kg.low, expected_kg.likely, expected_kg.high)))
            dry = _dry_wood(starting, drying.fresh)
            started_on = None
        now = Band(*(wood.moisture_at(weights[last], grams) for grams in (dry.high, dry.likely, dry.low)))
        known = reckoned(Known(now, "weighed", last), wetting, day, drying)
        found.append(Log(name, weights[last], last, starting.likely, started_on, known))
    return tuple(found)


def _dry_wood(mass: Band, moisture: Band) -> Band:
    """Mass of dry wood: least in the lightest and wettest log, most in the heaviest and driest."""
    return Band(
        wood.dry_mass(mass.low, moisture.high),
        wood.dry_mass(mass.likely, moisture.likely),
        wood.dry_mass(mass.high, moisture.low),
    )


Reason = Literal["dead", "watered", "weight", "dry", "dry week", "moist"]
"""Why logs are watered or not."""


@dataclass(frozen=True)
class Advice:
    """Whether to water logs now, and why."""

    water: bool
    reason: Reason
    on: date | None = None
    """Day of the last water, or of the weight, where that is the reason."""
    lost_pct: float | None = None
    """Percent of its starting weight that a log has lost, where that is the reason."""


def advice(
    known: Known,
    weighed: Sequence[Log],
    last_wetted: date | None,
    rain_mm: float | None,
    today: date,
    catalogue: Catalogue,
    *,
    outdoors: bool,
) -> Advice:
    """Whether to water logs now: not those that a new weight calls dead, nor those that got water this week.

    A weight that was taken since that water says more than it. `rain_mm` is the rain of these days, None
    where it is not known. Logs that wait to be planted (`outdoors` is false) lie under cover: a dry week is
    nothing to them.
    """
    rules = catalogue.wood_rules
    sure = known.by == "weighed" and today - known.since < WEEK
    if sure and known.moisture.likely < rules.moisture_lethal.likely:
        return Advice(False, "dead")
    last_weighed = max((log.weighed_on for log in weighed), default=date.min)
    if last_wetted is not None and last_wetted >= last_weighed and today - last_wetted < WEEK:
        return Advice(False, "watered", last_wetted)
    limit = rules.loss_to_water.likely
    by_weight = [log for log in weighed if log.is_weighed_last]
    light = [log for log in by_weight if wood.lost_too_much(log.weight_g, log.starting_g, limit)]
    if light:
        worst = min(light, key=lambda log: log.weight_g / log.starting_g)
        return Advice(True, "weight", worst.weighed_on, 100 * (1 - worst.weight_g / worst.starting_g))
    if known.moisture.likely < rules.moisture_floor.likely:
        return Advice(True, "dry")
    dry_week = rain_mm is not None and wood.is_dry_week(rain_mm, rules.enough_rain.likely)
    if outdoors and dry_week and known.moisture.likely < rules.moisture_ideal.likely:
        return Advice(True, "dry week")
    return Advice(False, "moist")


def last_round(weighed: Sequence[Log]) -> tuple[Log, ...]:
    """The logs that were weighed last, within a week, the driest first: older weights say less."""
    last = max((log.weighed_on for log in weighed), default=date.min)
    found = [log for log in weighed if last - log.weighed_on < WEEK]
    return tuple(sorted(found, key=lambda log: log.known.moisture.likely))


def next_weighing(last: date | None, today: date, latitude: float | None, catalogue: Catalogue) -> date:
    """The day on which logs are weighed next: weekly in the months that dry like summer, else more seldom.

    Today where they were never weighed, or that day has passed.
    """
    rules = catalogue.wood_rules
    if last is None:
        return today
    days = {
        "summer": rules.weigh_in_heat.likely,
        "spring": rules.weigh_else.likely,
        "winter": rules.weigh_else.highest,
    }[wood.drying_seasons(latitude or 0.0)[today.month - 1]]
    return max(today, last + timedelta(days=round(days)))


def wettings(wetted: Iterable[date], rain: Mapping[date, float], enough_mm: float) -> Wetting:
    """Days of water from recorded care, and from rain: each day that ends seven days with enough of it."""
    rainy = {day for day in rain if (fell := rain_of_week(rain, day)) is not None and fell >= enough_mm}
    found: dict[date, How] = {**dict.fromkeys(rainy, "rain"), **dict.fromkeys(wetted, "watered")}
    return Wetting(tuple(sorted(found.items())))


def rain_of_week(rain: Mapping[date, float], day: date) -> float | None:
    """Millimetres in the seven days up to a day; None where one of them is not known."""
    days = [day - ONE_DAY * back for back in range(7)]
    return sum(rain[one] for one in days) if all(one in rain for one in days) else None


def _spread(figure: Figure) -> tuple[float, float, float]:
    return figure.lowest, figure.likely, figure.highest
