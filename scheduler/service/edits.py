"""Ways in which a season could be changed to fit: what each touches, in which amounts.

A remedy never changes a season file; it is a `dataclasses.replace` of the season that was read. Amounts run
from the smallest change to the largest, and a larger one never fits worse than a smaller one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from scheduler.season.season import Planting, Season
from scheduler.service import dormant_edits, lab_edits, planting_edits
from scheduler.service.edit import Family
from scheduler.trade.catalogue import Catalogue


def families(
    season: Season, catalogue: Catalogue, kinds: frozenset[str], named: frozenset[str]
) -> list[Family]:
    """All changes that touch a conflict: rule `kinds` that clash, and the plantings `named` in it.

    Of one kind the change of the least important planting comes first.
    """
    touched = [p for p in season.plantings if p.name in named] or list(season.plantings)
    subjects = sorted(touched, key=lambda planting: -planting.priority)
    found: list[Family] = []
    for touches, make in _MAKERS:
        if touches & kinds or not touches:
            found += make(season, catalogue, subjects)
    return [family for family in found if family.edits]


Maker = Callable[[Season, Catalogue, list[Planting]], Iterator[Family]]

_TIME = frozenset(
    {"window", "growth", "culture_lead", "spawn_lead", "no_work_before", "culture_test", "ground_thaws"}
)
_FELLING = frozenset({"bud_swell", "leaf_turn", "wood_felled", "wood_rest", "wood_drying"})
_HANDS = frozenset({"hours", "drills", "away"})
_COOKING = frozenset({"cooker", "home"})

_MAKERS: tuple[tuple[frozenset[str], Maker], ...] = (
    (frozenset({"home"}), lab_edits.at_home),
    (frozenset({"cooker"}), lab_edits.loads),
    (frozenset({"shelf"}), lab_edits.shelf),
    (frozenset({"fridge"}), lab_edits.fridge),
    (frozenset({"tank", "chips_preparation"}), planting_edits.tank),
    (frozenset({"wood_felled"}), planting_edits.fresh_wood),
    (frozenset({"keeps", "stock_age"}), planting_edits.new_culture),
    (_FELLING, dormant_edits.felled_wood),
    (frozenset({"drills"}), lab_edits.drills),
    (_TIME | {"wood_felled"}, planting_edits.later),
    (_HANDS, planting_edits.helpers),
    (frozenset({"hours"}), planting_edits.more_hours),
    (frozenset({"tank"}), planting_edits.larger_tank),
    (_HANDS | _COOKING | {"shelf", "fridge"}, planting_edits.wider),
    (_TIME | _HANDS | _COOKING | {"keeps", "stock_age"}, planting_edits.buy_grain),
    (_TIME | _HANDS | _COOKING | {"shelf", "keeps", "stock_age"}, planting_edits.buy_spawn),
    (_HANDS | _COOKING | {"shelf", "fridge", "tank"}, planting_edits.fewer),
    (_TIME | _FELLING | {"away", "grown"}, dormant_edits.put_off),
    (frozenset(), planting_edits.give_up),
)
"""Which rules a kind of change touches; no rules: it is always worth a look."""
