"""What comes when at a station, and how surely: the dates and planting windows a season file may leave out.

A date is taken at the safe end of its years: felling begins after the leaves have turned in nine years of
ten and stops before the buds swell in one of ten; beds wait until a freeze comes later in one year of ten
only. The risk that is left is said with the date.

A planting window is worked out for each weather that species and methods wait for, each year by itself: the
first day of spring on which days are warm and nights are safe, the last of autumn from which they stay so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path

from scheduler.measures import counted
from scheduler.science import weather as science
from scheduler.season.climate import Climate, Expected, ReadClimate, Span
from scheduler.trade.catalogue import Catalogue
from scheduler.trade.shapes import Figure, Frost
from scheduler.trade.weather import Conditions, Rules
from scheduler.weather.daily import Daily, read
from scheduler.weather.winters import Part, Winters, begins_in

# Days of the station's year, which begins on 1 August (1 February in the south).
_AUTUMN, _SEPTEMBER, _NOVEMBER, _NEW_YEAR, _FEBRUARY, _MARCH, _END = 0, 31, 92, 153, 184, 212, 365
_EARLY, _MIDDLE, _LATE = 0.1, 0.5, 0.9

Days = list[int | None]


def reader(catalogue: Catalogue) -> ReadClimate:
    """What reads the climate from a weather file by the rules of the catalogue, for who loads a season."""
    return lambda path, latitude: climate(path, latitude, catalogue)


def climate(path: Path, latitude: float | None, catalogue: Catalogue) -> Climate:
    """The climate that a weather file shows. Raises SeasonError with what is wrong with the file.

    Day length, which the turning of leaves needs, is that of `latitude`, else of the station.
    """
    daily = read(path)
    return of(daily, path.name, daily.latitude if latitude is None else latitude, catalogue)


def of(daily: Daily, name: str, latitude: float | None, catalogue: Catalogue) -> Climate:
    """The climate of a station's days, with the windows of whatever the catalogue can plant."""
    month = begins_in(daily, latitude)
    rules = catalogue.weather.rules
    winters = Winters(daily, month, round(rules.longest_gap.likely), latitude)
    norms = _Norms(winters, rules)
    dates = {key: found for key in _DATES if (found := norms.date(key)) is not None}
    # In the order of the catalogue: a kept plan is known again by what this prints.
    waited_for = dict.fromkeys(
        catalogue.conditions(species, method) for species in catalogue.species for method in catalogue.methods
    )
    return Climate(
        file=name,
        first_year=daily.first.year,
        last_year=daily.last.year,
        begins_in=month,
        dates=dates,
        windows={
            "spring": {one: norms.spring(one) for one in waited_for},
            "autumn": {one: norms.autumn(one, dates.get("leaf_turn")) for one in waited_for},
        },
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
_LATE_FROST: Mapping[Frost, str] = {
    "freeze": "a freeze comes later",
    "hard freeze": "a hard freeze comes later",
}
_NOT_YET = "it is not yet as warm"


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
        found = self._expected(days, share, never, self._in_words(_DATES[key]))
        if isinstance(found, str):
            self.unknown[key] = found
            return None
        return found

    def _expected(self, days: Days, share: float, never: float, risk: str) -> Expected | str:
        """The day that a share of the years does not pass, or why there is none."""
        if len(days) < self.rules.fewest_years.likely:
            return f"{len(days)} years are known well enough, of at least {self.rules.fewest_years.likely:g}"
        taken = science.quantile(days, share, never)
        if taken is None:
            return "in too many of its years it does not come"
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
        return self._warm_run(_NEW_YEAR, thaw.mean.likely, thaw.days, lambda part: part.mean)

    @cached_property
    def _last_frost(self) -> Days:
        freeze = self.rules.night("freeze")
        return self.winters.each(_NEW_YEAR, _END, lambda part: science.last_at_or_below(part.night, freeze))

    def _warm_run(
        self, first: int, degrees: float, days: Figure, of: Callable[[Part], science.Series]
    ) -> Days:
        length = round(days.likely)
        return self.winters.each(
            first, _END, lambda part: science.first_warm_run(of(part), part.night, length, day=degrees)
        )

    def spring(self, waits: Conditions) -> Span | str:
        """The spring window: from the first day that is warm, and safe by night, until it grows hot."""
        late = f"{_NOT_YET}, or {_LATE_FROST[waits.after]}," if waits.after else _NOT_YET
        begun = self._expected(self._opens(waits), 1 - self._risk, math.inf, self._in_words(late))
        if isinstance(begun, str):
            return begun
        longest, least = (round(figure.likely) for figure in (self.rules.heat.window, self.rules.heat.least))
        heat = self._heat(waits.hottest)
        hot = science.quantile(heat, self._risk)
        end = begun.day + longest if hot is None else min(begun.day + longest, math.floor(hot) - 1)
        last = max(end, begun.day + least)
        early = sum(day is not None and day <= last for day in heat)
        risk = f"a hot week begins before it ends in {counted(early, 'year')} of {len(heat)}" if early else ""
        return Span(begun.day, last, begun, risk)

    def _heat(self, hottest: float) -> Days:
        return self._warm_run(_MARCH, hottest, self.rules.heat.days, lambda part: part.day)

    def _opens(self, waits: Conditions) -> Days:
        """Each year's first day from which days are warm for a while and no frost of that kind comes."""
        length = round(self.rules.warm.days.likely)

        def find(part: Part) -> int | None:
            warm = science.first_warm_run(part.day, part.night, length, day=waits.day)
            if warm is None or waits.after is None:
                return warm
            frost = science.last_at_or_below(part.night, self.rules.night(waits.after))
            return warm if frost is None else max(warm, frost)

        return self.winters.each(_FEBRUARY, _END, find)

    def autumn(self, waits: Conditions, leaf_turn: Expected | None) -> Span | str:
        """The autumn window: from leaf turn while it is warm, and long enough before it stays frozen."""
        if waits.after is not None:
            return f"it waits for the last {waits.after} of spring"
        if leaf_turn is None:
            return self.unknown.get("leaf_turn", "leaf turn is not known")
        before = round(self.rules.cold.planted_before.likely)
        days = self._closes(waits, before)
        ended = self._expected(days, self._risk, -math.inf, "")
        if isinstance(ended, str) or ended.day < leaf_turn.day:
            return (
                f"from leaf turn it does not stay as warm, or fewer than {before} days are left until it "
                "stays frozen"
            )
        last = min(ended.day, leaf_turn.day + round(self.rules.heat.window.likely))
        early = sum(day is None or day < last for day in days)
        risk = f"it does not stay as warm, or stays frozen within {before} days, after its end in "
        years = counted(early, "year") if early else "no year"
        return Span(leaf_turn.day, last, replace(ended, risk=f"{risk}{years} of {len(days)}"))

    def _closes(self, waits: Conditions, before: int) -> Days:
        """Each year's last day from which days stay warm for a while, so long before it stays frozen."""
        length, cold = round(self.rules.warm.days.likely), self.rules.cold

        def find(part: Part) -> int | None:
            warm = science.last_warm_run(part.day, part.night, length, day=waits.day)
            frozen = science.first_cold_run(part.mean, round(cold.days.likely), cold.mean.likely)
            return warm if warm is None or frozen is None else min(warm, frozen - before)

        return self.winters.each(_SEPTEMBER, _MARCH, find)


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
