"""Ways in which a season could be changed to fit: what each touches, in which amounts.

A remedy never changes a season file; it is a `dataclasses.replace` of the season that was read. Amounts run
from the smallest change to the largest, and a larger one never fits worse than a smaller one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from scheduler.season.season import Planting, Season
from scheduler.service import (
    autumn_edits,
    cooker_edits,
    dormant_edits,
    hours_edits,
    lab_edits,
    planting_edits,
    spawn_edits,
)
from scheduler.service.edit import Family
from scheduler.trade.catalogue import Catalogue

NONE_PLANTED: Mapping[str, int] = MappingProxyType({})


def families(
    season: Season,
    catalogue: Catalogue,
    kinds: frozenset[str],
    named: frozenset[str],
    planted: Mapping[str, int] = NONE_PLANTED,
) -> list[Family]:
    """All changes that touch a conflict: rule `kinds` that clash, and the plantings `named` in it.

    Of one kind the change of the least important planting comes first. Nothing is changed into less than the
    pieces that are `planted` by now.
    """
    touched = [p for p in season.plantings if p.name in named] or list(season.plantings)
    subjects = sorted(touched, key=lambda planting: -planting.priority)
    found: list[Family] = []
    for touches, make in _MAKERS:
        if touches & kinds or not touches:
            found += make(season, catalogue, subjects)
    found = [
        replace(family, edits=tuple(edit for edit in family.edits if _is_open(edit.season, planted)))
        for family in found
    ]
    return [family for family in found if family.edits]


def _is_open(season: Season, planted: Mapping[str, int]) -> bool:
    """Whether no planting is smaller than what stands of it already."""
    return all(
        planted[planting.name]
        <= (sum(group.count for group in planting.groups) or math.ceil(planting.area_m2 or 0))
        for planting in season.plantings
        if planting.name in planted
    )


Maker = Callable[[Season, Catalogue, list[Planting]], Iterator[Family]]

_TIME = frozenset(
    {"window", "growth", "culture_lead", "spawn_lead", "no_work_before", "culture_test", "ground_thaws"}
)
_FELLING = frozenset({"bud_swell", "leaf_turn", "wood_felled", "wood_rest", "wood_drying"})
_HANDS = frozenset({"hours", "drills", "away"})
_COOKING = frozenset({"cooker", "home"})

_MAKERS: tuple[tuple[frozenset[str], Maker], ...] = (
    (frozenset({"home"}), hours_edits.at_home),
    (_COOKING, cooker_edits.tub),
    (frozenset({"cooker"}), cooker_edits.another_load),
    (frozenset({"cooker"}), cooker_edits.another_cooker),
    (frozenset({"cooker"}), cooker_edits.steam_drum),
    (frozenset({"shelf"}), lab_edits.shelf),
    (frozenset({"fridge"}), lab_edits.fridge),
    (frozenset({"tank", "chips_preparation"}), planting_edits.tank),
    (frozenset({"wood_felled"}), planting_edits.fresh_wood),
    (frozenset({"keeps", "stock_age"}), spawn_edits.new_culture),
    (_FELLING, dormant_edits.felled_wood),
    (frozenset({"drills"}), lab_edits.drills),
    (_TIME | {"wood_felled"}, planting_edits.later),
    (_HANDS, hours_edits.helpers),
    (frozenset({"hours"}), hours_edits.longer_day),
    (frozenset({"hours"}), hours_edits.more_hours),
    (frozenset({"tank"}), lab_edits.larger_tank),
    (_HANDS | _COOKING | {"shelf", "fridge"}, planting_edits.wider),
    (_TIME | _HANDS | _COOKING | {"shelf", "fridge", "keeps", "stock_age"}, spawn_edits.plant_grain),
    (_TIME | _HANDS | _COOKING | {"keeps", "stock_age"}, spawn_edits.buy_grain),
    (_TIME | _HANDS | _COOKING | {"shelf", "keeps", "stock_age"}, spawn_edits.buy_spawn),
    (_HANDS | _COOKING | {"shelf", "fridge"}, autumn_edits.halves),
    (_HANDS | _COOKING | {"shelf", "fridge", "tank"}, planting_edits.fewer),
    (_TIME | _FELLING | {"away", "grown"}, dormant_edits.put_off),
    (frozenset(), planting_edits.give_up),
)
"""Which rules a kind of change touches; no rules: it is always worth a look."""
