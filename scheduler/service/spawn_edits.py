"""Changes of what is planted and where it comes from: bought, a new culture, or an earlier stage."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from scheduler.lines.culture import CULTURES
from scheduler.season.permissions import plantable
from scheduler.season.season import Planting, Season
from scheduler.service.edit import Edit, Family, with_planting
from scheduler.trade.catalogue import Catalogue
from scheduler.workdays import full


def new_culture(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """A culture in hand left out, so that what else there is serves, or a new one that is ordered."""
    for place, stock in enumerate(season.stock):
        grown = tuple(p.name for p in subjects if p.code == stock.code and p.spawn != "buy")
        if grown and stock.stage in CULTURES:
            what = f"{stock.stage} of {full(stock.since)}"
            edit = Edit(
                what,
                f"Order a new culture of {stock.species} for {' and '.join(grown)}; leave out the {what}.",
                replace(season, stock=season.stock[:place] + season.stock[place + 1 :]),
            )
            yield Family("order a new culture", 2, "the price of a culture", grown, (edit,))


def buy_grain(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Grain spawn bought instead of made."""
    makes = [p for p in subjects if "grain" not in (p.route[0], p.route[-1]) and p.spawn != "buy"]
    for group in _each_and_all(makes):
        changed = season
        for planting in group:
            changed = with_planting(changed, planting, route=("grain", planting.route[-1]))
        edit = Edit("grain spawn", f"Buy the grain spawn for {_named(group)}.", changed)
        yield Family("buy grain", 4, "the price of grain spawn", _names(group), (edit,))


def buy_spawn(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Finished spawn bought instead of made."""
    for group in _each_and_all([p for p in subjects if p.spawn != "buy"]):
        changed = season
        for planting in group:
            changed = with_planting(changed, planting, spawn="buy")
        edit = Edit("finished spawn", f"Buy the finished spawn for {_named(group)}.", changed)
        yield Family("buy spawn", 5, "the price of finished spawn", _names(group), (edit,))


def plant_grain(season: Season, catalogue: Catalogue, subjects: list[Planting]) -> Iterator[Family]:
    """Grain spawn planted as it is, without the stage after it, where method and species allow that."""
    for group in _each_and_all([p for p in subjects if _may_be_grain(p, catalogue)]):
        changed = season
        for planting in group:
            route = planting.route[: planting.route.index("grain") + 1]
            changed = with_planting(changed, planting, route=route)
        whys = dict.fromkeys(catalogue.species[planting.species].grain_planting.why for planting in group)
        why = f" ({'; '.join(filter(None, whys))})" if any(whys) else ""
        edit = Edit("grain spawn", f"Plant {_named(group)} straight from grain spawn{why}.", changed)
        yield Family("plant grain", 4, "spawn that animals may find", _names(group), (edit,))


def _may_be_grain(planting: Planting, catalogue: Catalogue) -> bool:
    """Whether a planting's spawn is made from grain that could be planted as it is."""
    stages = plantable(catalogue.species[planting.species], catalogue.methods[planting.method])
    return planting.spawn != "buy" and "grain" in planting.route[:-1] and "grain" in stages


def _each_and_all(plantings: Sequence[Planting]) -> list[Sequence[Planting]]:
    """Every planting by itself, then all of them together."""
    return [*([planting] for planting in plantings), *([plantings] if len(plantings) > 1 else [])]


def _names(plantings: Sequence[Planting]) -> tuple[str, ...]:
    return tuple(planting.name for planting in plantings)


def _named(plantings: Sequence[Planting]) -> str:
    return " and ".join(_names(plantings))
