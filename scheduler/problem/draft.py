"""Collects the parts of a Problem while the rooms of `problem` write them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from scheduler.problem.calendar import Calendar
from scheduler.problem.shapes import Lag, Limit, Point, Rule, Term, Work
from scheduler.season.season import Season
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import weekday

NATURE = "nature"
DONE = "done"
"""The rule of what has happened."""


@dataclass
class Draft:
    """A Problem under construction: works, lags, terms, and the rules they are labelled with."""

    season: Season
    catalogue: Catalogue
    calendar: Calendar
    works: list[Work] = field(default_factory=list)
    lags: list[Lag] = field(default_factory=list)
    terms: list[Term] = field(default_factory=list)
    rules: dict[str, Rule] = field(default_factory=dict)
    supplied: frozenset[str] = frozenset()
    """Works whose goods are ordered or there: no lead time holds them back."""
    eves: Mapping[str, date] = field(default_factory=dict)
    """Day on which what a batch is made of was soaked or wetted, by batch id."""
    lab_minutes: dict[str, int] = field(default_factory=dict)
    """Hands-on minutes of lab works."""
    yard_minutes: dict[str, int] = field(default_factory=dict)
    """Hands-on minutes a piece of yard works."""
    drill_minutes: dict[str, int] = field(default_factory=dict)
    inoculations: set[str] = field(default_factory=set)
    outdoors: set[str] = field(default_factory=set)
    care: set[str] = field(default_factory=set)
    """Works that are care of what stands already."""

    def rule(
        self,
        name: str,
        kind: str,
        key: str = "",
        *,
        owner: str = "grower",
        facts: Mapping[str, str] | None = None,
    ) -> str:
        """Register a rule (once) and return its name."""
        if name not in self.rules:
            self.rules[name] = Rule(name, kind, key, owner, dict(facts or {}))
        return name

    def nature(self, kind: str, key: str = "", name: str = "", **facts: str) -> str:
        """Register a rule that nobody can change."""
        return self.rule(name or kind, kind, key, owner=NATURE, facts=facts)

    def add(self, work: Work) -> None:
        """Add a work."""
        self.works.append(work)

    def lag(
        self, rule: str, before: Point, after: Point, least: int | None = 0, most: int | None = None
    ) -> None:
        """`after` lies `least` to `most` days after `before`."""
        self.lags.append(Lag(rule, before, after, least, most))

    def limits(self, *named: tuple[str, Iterable[int]]) -> tuple[Limit, ...]:
        """Day limits, one for each rule."""
        return tuple(Limit(rule, frozenset(days)) for rule, days in named)

    def done(self, day: int) -> tuple[str, frozenset[int]]:
        """The one day of something that is done already; no grower and no nature can change it."""
        return self.nature(DONE), frozenset({day})

    # --- day limits that most works share ------------------------------------------------------------

    def hours(self) -> tuple[str, frozenset[int]]:
        """Days with hands-on hours of one's own."""
        people = self.season.people
        text = ", ".join(f"{day} {minutes / 60:g} h" for day, minutes in people.minutes.items() if minutes)
        name = self.rule("hours", "hours", "[people].hours", facts={"hours": text})
        free = {w for w, minutes in people.minutes.items() if minutes}
        return name, self.calendar.days(lambda d: weekday(self.calendar.date(d)) in free)

    def present(self) -> tuple[str, frozenset[int]]:
        """Days not away."""
        periods = ", ".join(f"{first} to {last}" for first, last in self.season.people.away)
        name = self.rule("away", "away", "[people].away", facts={"periods": periods})
        return name, self.calendar.days(lambda d: d not in self.calendar.away)

    def begun(self) -> tuple[str, frozenset[int]]:
        """Days on or after the first day of work."""
        day = max(self.season.no_work_before, self.season.today)
        name = self.rule(
            "no_work_before", "no_work_before", "[season].no_work_before", facts={"date": str(day)}
        )
        return name, self.calendar.between(day, None)
