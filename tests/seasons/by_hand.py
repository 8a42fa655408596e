"""Remedies carried out by hand: a season changed by nothing but what a refusal says, in words or for the file."""

from __future__ import annotations

import re
import tempfile
import tomllib
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

from scheduler.plan import Remedy
from scheduler.season.load import load_season
from scheduler.season.notation import apply, key, toml
from scheduler.season.season import Cooker, Help, LogGroup, Pattern, Planting, Room, Season
from tests.grower import catalogue


def applied(season: Season, remedy: Remedy) -> Season:
    """The season as a grower would rewrite it after reading a remedy. KeyError for an unknown kind."""
    return _HANDS[remedy.kind](season, remedy)


def written(season: Season, remedy: Remedy) -> Season:
    """The season as it is read from its own file, once a remedy's changes stand in it."""
    document = apply(tomllib.loads(season.text), remedy.changes)
    return read("\n".join(f"{key(name)} = {toml(value)}" for name, value in document.items()), season)


def read(text: str, season: Season) -> Season:
    """The season of another text, as it would be read on the same day."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "season.toml"
        path.write_text(text, "utf-8")
        return load_season(path, catalogue(), clock=season.today, system_timezone=season.timezone)


def said(season: Season) -> Season:
    """What a season says, whatever file it stands in and whatever it leaves to defaults."""
    return replace(season, path=Path(), text="", assumed=(), warnings=())


def _number(remedy: Remedy) -> float:
    return float(remedy.amount.split()[0])


def _said(remedy: Remedy, pattern: str) -> str:
    """What a remedy says in its sentence."""
    found = re.search(pattern, remedy.text)
    assert found is not None, remedy.text
    return found[1]


def _changed(season: Season, remedy: Remedy, change: Callable[[Planting], Planting]) -> Season:
    named = (change(p) if p.name in remedy.plantings else p for p in season.plantings)
    return replace(season, plantings=tuple(named))


def _later(season: Season, remedy: Remedy) -> Season:
    def later(planting: Planting) -> Planting:
        end = planting.window[1] + timedelta(days=_number(remedy))
        return replace(planting, window=(planting.window[0], end), best=(planting.best[0], end))

    return _changed(season, remedy, later)


def _at_home(season: Season, minutes: Callable[[int], int]) -> Season:
    people = season.people
    home = {day: minutes(now) if day in people.minutes else now for day, now in people.home_minutes.items()}
    return replace(season, people=replace(people, home_minutes=home))


def _longer_at_home(season: Season, remedy: Remedy) -> Season:
    return _at_home(season, lambda now: now + 60 * round(_number(remedy)))


def _hours(season: Season, remedy: Remedy) -> Season:
    """On the days that the remedy names; a day with more hours is a day at home for as long."""
    days, people = _said(remedy, r"\(([a-z, ]+)\)").split(", "), season.people
    minutes = {day: people.minutes.get(day, 0) + 60 * round(_number(remedy)) for day in days}
    home = {day: max(people.home_minutes.get(day, 0), length) for day, length in minutes.items()}
    return replace(
        season, people=replace(people, minutes=minutes, home_minutes={**people.home_minutes, **home})
    )


def _loads(season: Season, remedy: Remedy) -> Season:
    """More loads, or more cookers like the first, and somebody at home on cook days for as long as is said."""
    first, *others = season.lab.cookers
    count = round(_number(remedy))
    if remedy.kind == "another load":
        return _cooking(season, remedy, (replace(first, loads_per_day=first.loads_per_day + count), *others))
    return _cooking(season, remedy, (first, *others, *[first] * count))


def _cooking(season: Season, remedy: Remedy, cookers: tuple[Cooker, ...]) -> Season:
    hours = int(_said(remedy, r"at home for (\d+) h"))
    return _at_home(
        replace(season, lab=replace(season.lab, cookers=cookers)), lambda now: max(now, 60 * hours)
    )


def _treatment(season: Season, remedy: Remedy) -> Season:
    """A drum beside the cookers; or a tub, for which no cooker takes the bags and all of them are pellets."""
    lab = season.lab
    if "drum" in remedy.amount:
        holds = {lab.spawn_in: int(_said(remedy, rf"holds (\d+) x {lab.spawn_in}"))}
        return _cooking(season, remedy, (*lab.cookers, Cooker("steam drum", 1, None, None, holds)))
    cookers = (
        replace(one, holds={name: n for name, n in one.holds.items() if name != lab.spawn_in})
        for one in lab.cookers
    )
    changed = _changed(season, remedy, lambda p: replace(p, route=(*p.route[:-1], "pellet")))
    # Once cookers are named, dowels too go into the usual bags, unless a cooker is said to hold theirs.
    return replace(changed, lab=replace(lab, cookers=tuple(cookers), dowels_in=lab.spawn_in))


def _longer_day(season: Season, remedy: Remedy) -> Season:
    """So much more on the named day, and at home for as long."""
    found = re.fullmatch(r"(?:(\d+) h ?)?(\d+)?(?: min)? on (\w+)s", remedy.amount)
    assert found is not None, remedy.amount
    more, day, people = 60 * int(found[1] or 0) + int(found[2] or 0), found[3][:3].lower(), season.people
    minutes = people.minutes[day] + more
    home = max(people.home_minutes.get(day, 0), minutes)
    return replace(
        season,
        people=replace(
            people,
            minutes={**people.minutes, day: minutes},
            home_minutes={**people.home_minutes, day: home},
        ),
    )


def _halves(season: Season, remedy: Remedy) -> Season:
    """What is left of the first planting, and the rest as another one after the leaves have turned again."""
    name = remedy.plantings[0]
    [planting] = [p for p in season.plantings if p.name == name]
    now, later = (int(_said(remedy, pattern)) for pattern in (r"Do (\d+) of", r"window and (\d+) "))
    window = tuple(_days(_said(remedy, r"(between .+? \d{4} and .+? \d{4})")))
    [group] = planting.groups
    then = replace(
        planting,
        name=remedy.plantings[1],
        groups=(replace(group, count=later),),
        window=window,
        best=window,
        felled=None,
        index=len(season.plantings),
    )
    changed = (
        replace(p, groups=(replace(group, count=now),)) if p is planting else p for p in season.plantings
    )
    return replace(season, plantings=(*changed, then), site=replace(season.site, leaf_turn=window[0]))


def _room(season: Season, remedy: Remedy) -> Season:
    name = remedy.kind.removeprefix("more ")
    room: Room = getattr(season.lab, name)
    assert remedy.amount.endswith(" L"), remedy.amount
    assert room.volume_l is not None
    larger = replace(room, volume_l=room.volume_l + _number(remedy))
    return replace(season, lab=replace(season.lab, **{name: larger}))


def _tank(season: Season, remedy: Remedy) -> Season:
    litres = (season.tools.tank_l or 0) + _number(remedy)
    return replace(season, tools=replace(season.tools, tank_l=litres))


def _helpers(season: Season, remedy: Remedy) -> Season:
    people, hours = (int(number) for number in re.findall(r"\d+", remedy.amount))
    return replace(season, help=(*season.help, Help(_day(remedy), people, 60 * hours)))


def _day(remedy: Remedy) -> date:
    return datetime.strptime(_said(remedy, r" on \w+ (\d+ \w+ \d{4})\."), "%d %b %Y").date()  # noqa: DTZ007


def _wider(season: Season, remedy: Remedy) -> Season:
    along, around = (float(part) for part in remedy.amount.removesuffix(" cm").split(" x "))
    return _changed(season, remedy, lambda p: replace(p, pattern=Pattern(along, around)))


def _fewer(season: Season, remedy: Remedy) -> Season:
    def less(planting: Planting) -> Planting:
        if planting.area_m2 is not None:
            return replace(planting, area_m2=planting.area_m2 - _number(remedy))
        left = sum(group.count for group in planting.groups) - round(_number(remedy))
        groups: list[LogGroup] = []
        for group in planting.groups:
            groups.append(replace(group, count=min(group.count, left)))
            left -= groups[-1].count
        return replace(planting, groups=tuple(group for group in groups if group.count))

    return _changed(season, remedy, less)


def _new_culture(season: Season, remedy: Remedy) -> Season:
    what, on = remedy.amount.split(" of ")
    day = datetime.strptime(on[4:], "%d %b %Y").date()  # noqa: DTZ007
    (old,) = [one for one in season.stock if (one.stage, one.since) == (what, day)]
    return replace(season, stock=tuple(one for one in season.stock if one is not old))


def _days(text: str) -> list[date]:
    """All days of a text, as they are printed."""
    return [datetime.strptime(day, "%d %b %Y").date() for day in re.findall(r"\d+ \w{3} \d{4}", text)]  # noqa: DTZ007


def _felled(season: Season, remedy: Remedy) -> Season:
    """The last of the days between which the logs may have come down; planted from when they are there."""

    def felled(planting: Planting) -> Planting:
        [last] = _days(_said(remedy, r"felled between .+? and ([^.;]+)"))
        there = (
            _days(_said(remedy, r"they come by ([^,]+)"))[0] if "they come by" in remedy.text else date.min
        )
        first, best = max(planting.window[0], there), planting.best
        return replace(
            planting,
            felled=last,
            window=(first, planting.window[1]),
            best=(max(best[0], first), max(best[1], first)),
        )

    return _changed(season, remedy, felled)


def _put_off(season: Season, remedy: Remedy) -> Season:
    """Each planting in its new window, all of it the best; the site's dates of another dormant season."""

    def moved(planting: Planting) -> Planting:
        first, last = _days(_said(remedy, rf"{planting.name} between (.+? \d{{4}} and .+? \d{{4}})"))
        return replace(planting, window=(first, last), best=_best(planting, first), felled=None)

    def _best(planting: Planting, first: date) -> tuple[date, date]:
        if remedy.amount == "to the autumn":
            return first, first + timedelta(days=41)
        return planting.best[0].replace(year=first.year), planting.best[1].replace(year=first.year)

    turn, swell = _days(_said(remedy, r"(leaf turn about .+ and bud swell about .+? \d{4})"))
    site = replace(season.site, leaf_turn=turn, bud_swell=swell)
    if remedy.amount == "by a year" and len(remedy.plantings) == len(season.plantings):
        thaw, frost = season.site.ground_thaws, season.site.last_frost
        site = replace(
            site,
            ground_thaws=thaw and thaw.replace(year=thaw.year + 1),
            last_frost=frost and frost.replace(year=frost.year + 1),
        )
    return replace(_changed(season, remedy, moved), site=site)


def _drills(season: Season, remedy: Remedy) -> Season:
    """One drill, another drill, or so many more."""
    first = remedy.amount.split()[0]
    more = 1 if first in ("one", "another") else int(first)
    return replace(season, tools=replace(season.tools, drills=season.tools.drills + more))


def _give_up(season: Season, remedy: Remedy) -> Season:
    rest = [p for p in season.plantings if p.name not in remedy.plantings]
    return replace(season, plantings=tuple(replace(p, index=index) for index, p in enumerate(rest)))


_HANDS: dict[str, Callable[[Season, Remedy], Season]] = {
    "plant later": _later,
    "more hours at home": _longer_at_home,
    "more hours": _hours,
    "another load": _loads,
    "another cooker": _loads,
    "another treatment": _treatment,
    "a longer day": _longer_day,
    "half now, half in autumn": _halves,
    "plant grain": lambda s, r: _changed(s, r, lambda p: replace(p, route=("liquid culture", "grain"))),
    "more shelf": _room,
    "more fridge": _room,
    "larger tank": _tank,
    "helpers for a day": _helpers,
    "wider spacing": _wider,
    "fewer logs or less area": _fewer,
    "another preparation": lambda s, r: _changed(s, r, lambda p: replace(p, chips=r.amount)),
    "fresh wood": lambda s, r: _changed(s, r, lambda p: replace(p, felled=None)),
    "order a new culture": _new_culture,
    "buy grain": lambda s, r: _changed(s, r, lambda p: replace(p, route=("grain", p.route[-1]))),
    "buy spawn": lambda s, r: _changed(s, r, lambda p: replace(p, spawn="buy")),
    "felled wood": _felled,
    "another drill": _drills,
    "put off to another season": _put_off,
    "give up a planting": _give_up,
}
