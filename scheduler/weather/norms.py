"""What comes when at a station, and how surely: the dates and planting windows a season file may leave out.

A date is taken at the safe end of its years: felling begins after the leaves have turned in nine years of
ten and stops before the buds swell in one of ten; beds wait until a freeze comes later in one year of ten
only. The risk that is left is said with the date.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path

from scheduler.science import weather as science
from scheduler.season.climate import Climate, Expected, ReadClimate, Span
from scheduler.trade.weather import Opens, Rules, Weather
from scheduler.weather.daily import Daily, read
from scheduler.weather.winters import Part, Winters, begins_in

# Days of the station's year, which begins on 1 August (1 February in the south).
_AUTUMN, _SEPTEMBER, _NOVEMBER, _NEW_YEAR, _FEBRUARY, _MARCH, _END = 0, 31, 92, 153, 184, 212, 365
_EARLY, _MIDDLE, _LATE = 0.1, 0.5, 0.9

Days = list[int | None]


def reader(weather: Weather) -> ReadClimate:
    """What reads the climate from a weather file by the rules of the catalogue, for who loads a season."""
    return lambda path, latitude: climate(path, latitude, weather)


def climate(path: Path, latitude: float | None, weather: Weather) -> Climate:
    """The climate that a weather file shows. Raises SeasonError with what is wrong with the file.

    Day length, which the turning of leaves needs, is that of `latitude`, else of the station.
    """
    daily = read(path)
    return of(daily, path.name, daily.latitude if latitude is None else latitude, weather)


def of(daily: Daily, name: str, latitude: float | None, weather: Weather) -> Climate:
    """The climate of a station's days."""
    month = begins_in(daily, latitude)
    rules = weather.rules
    winters = Winters(daily, month, round(rules.longest_gap.likely), latitude)
    norms = _Norms(winters, rules)
    dates = {key: found for key in _DATES if (found := norms.date(key)) is not None}
    spring = {name: span for name, opens in weather.opens.items() if (span := norms.spring(name, opens))}
    autumn = norms.autumn(dates.get("leaf_turn"))
    return Climate(
        file=name,
        first_year=daily.first.year,
        last_year=daily.last.year,
        begins_in=month,
        dates=dates,
        windows={"spring": spring, "autumn": dict.fromkeys(_logs(weather.opens), autumn) if autumn else {}},
        unknown=norms.unknown,
        notes=tuple(_notes(daily, name, dates, rules)),
    )


_DATES: Mapping[str, str] = {
    "leaf_turn": "the leaves turn later",
    "bud_swell": "the buds swell earlier",
    "ground_thaws": "the ground thaws later",
    "last_frost": "a freeze comes later",
}
"""Keys of the site, and what goes wrong with each in the years of the risk."""


def _logs(opens: Mapping[str, Opens]) -> list[str]:
    """Methods that may be planted in autumn: those that do not wait for the last freeze of spring."""
    return [name for name, one in opens.items() if one.night is None]


@dataclass
class _Norms:
    winters: Winters
    rules: Rules
    unknown: dict[str, str] = field(default_factory=dict)

    @property
    def _risk(self) -> float:
        return self.rules.risk.likely

    def _in_words(self, what: str) -> str:
        return f"{what} in 1 year of {round(1 / self._risk)}"

    def date(self, key: str) -> Expected | None:
        """The date of a key of the site, or None with a reason in `unknown`."""
        if key == "leaf_turn" and self.winters.latitude is None:
            self.unknown[key] = "without a latitude there is no day length, by which leaves turn"
            return None
        days: Days = getattr(self, f"_{key}")
        never = -math.inf if key == "last_frost" else math.inf
        share = self._risk if key == "bud_swell" else 1 - self._risk
        return self._expected(key, days, share, never, self._in_words(_DATES[key]))

    def _expected(self, key: str, days: Days, share: float, never: float, risk: str) -> Expected | None:
        if len(days) < self.rules.fewest_years.likely:
            self.unknown[key] = (
                f"{len(days)} years are known well enough, of at least {self.rules.fewest_years.likely:g}"
            )
            return None
        taken = science.quantile(days, share, never)
        if taken is None:
            self.unknown[key] = "in too many of its years it does not come"
            return None
        rounded = math.floor(taken) if share < _MIDDLE else math.ceil(taken)
        early, middle, late = (
            rounded if (day := science.quantile(days, at, never)) is None else round(day)
            for at in (_EARLY, _MIDDLE, _LATE)
        )
        return Expected(rounded, early, middle, late, len(days), risk)

    @cached_property
    def _leaf_turn(self) -> Days:
        turn = self.rules.leaf_turn
        return self.winters.each(
            _AUTUMN,
            _NEW_YEAR,
            lambda part: science.leaf_turn(
                part.mean, part.light, turn.daylight.likely, turn.base.likely, turn.need.likely
            ),
        )

    @cached_property
    def _bud_swell(self) -> Days:
        bud = self.rules.bud_break
        broken = self.winters.each(
            _NOVEMBER,
            _END,
            lambda part: science.bud_break(
                part.mean,
                bud.forcing.likely,
                bud.base.likely,
                _NEW_YEAR - _NOVEMBER,
                round(bud.chill_hours.likely / 24),
                bud.chill_below.likely,
            ),
        )
        before = round(bud.swell_before.likely)
        return [None if day is None else day - before for day in broken]

    @cached_property
    def _ground_thaws(self) -> Days:
        thaw = self.rules.thaw
        days = round(thaw.days.likely)
        return self.winters.each(
            _NEW_YEAR,
            _END,
            lambda part: science.first_warm_run(part.mean, part.night, days, day=thaw.mean.likely),
        )

    @cached_property
    def _last_frost(self) -> Days:
        return self._last_night(self.rules.freeze.likely)

    def _last_night(self, threshold_c: float) -> Days:
        return self.winters.each(
            _NEW_YEAR, _END, lambda part: science.last_at_or_below(part.night, threshold_c)
        )

    @cached_property
    def _heat(self) -> Days:
        heat = self.rules.heat
        days = round(heat.days.likely)
        return self.winters.each(
            _MARCH,
            _END,
            lambda part: science.first_warm_run(part.day, part.night, days, day=heat.day.likely),
        )

    @cached_property
    def _cold(self) -> Days:
        cold = self.rules.cold
        return self.winters.each(
            _SEPTEMBER,
            _MARCH,
            lambda part: science.first_cold_run(part.mean, round(cold.days.likely), cold.mean.likely),
        )

    def spring(self, method: str, opens: Opens) -> Span | None:
        """The spring window of a method: from when its thresholds hold until it grows hot."""
        key = f"spring.{method}"
        if opens.night is not None:
            days, never, what = self._last_night(opens.night.likely), -math.inf, "colder nights come later"
        else:
            days, never, what = self._warm(opens), math.inf, "it is not yet as warm"
        begun = self._expected(key, days, 1 - self._risk, never, what)
        if begun is None:
            return None
        longest, least = (round(figure.likely) for figure in (self.rules.heat.window, self.rules.heat.least))
        hot = science.quantile(self._heat, self._risk)
        end = begun.day + longest if hot is None else min(begun.day + longest, math.floor(hot) - 1)
        last = max(end, begun.day + least)
        early = sum(day is not None and day <= last for day in self._heat)
        heat = f"; a hot week begins before it ends in {early} years of {len(self._heat)}" if early else ""
        return Span(begun.day, last, f"{self._in_words(what)}{heat}")

    def _warm(self, opens: Opens) -> Days:
        if opens.day is None or opens.days is None:
            return []
        length, threshold = round(opens.days.likely), opens.day.likely

        def find(part: Part) -> int | None:
            return science.first_warm_run(part.day, part.night, length, day=threshold)

        return self.winters.each(_FEBRUARY, _END, find)

    def autumn(self, leaf_turn: Expected | None) -> Span | None:
        """The autumn window: from leaf turn, and long enough before it stays frozen."""
        if leaf_turn is None:
            self.unknown["autumn"] = self.unknown.get("leaf_turn", "leaf turn is not known")
            return None
        before, longest = (
            round(figure.likely) for figure in (self.rules.cold.planted_before, self.rules.heat.window)
        )
        frozen = science.quantile(self._cold, self._risk)
        last = leaf_turn.day + longest
        if frozen is not None:
            last = min(last, math.floor(frozen) - before)
        if last < leaf_turn.day:
            self.unknown["autumn"] = f"fewer than {before} days are left from leaf turn until it stays frozen"
            return None
        return Span(
            leaf_turn.day, last, self._in_words(f"it stays frozen fewer than {before} days after its end")
        )


def _notes(daily: Daily, name: str, dates: Mapping[str, Expected], rules: Rules) -> Iterator[str]:
    short = {found.years for found in dates.values() if found.years < rules.short_record.likely}
    if short:
        yield (
            f"site.weather: {name} gives {min(short)} years, too few to tell early from late ones well; "
            f"{rules.short_record.likely:g} or more would do"
        )
    missing = sum(low is None or high is None for low, high in zip(daily.tmin, daily.tmax, strict=True))
    gap = max(science.longest_gap(daily.tmin), science.longest_gap(daily.tmax))
    if gap > rules.longest_gap.likely:
        yield (
            f"site.weather: {name} lacks {missing} of {len(daily.tmin)} days, up to {gap} in a row; "
            "years with a long gap in the part that counts are left out"
        )
