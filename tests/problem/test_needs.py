"""Nothing is cooked, inoculated or planted before what it takes could be there, ordered today."""

from __future__ import annotations

import pytest

from scheduler.problem import bench, yard
from scheduler.problem.shapes import Rule
from tests.grower import BED, CULTURE, OAK, edited
from tests.problem.compiled import Compiled, compiled

BOUGHT_LOGS = 'hours = { sat = 6 }\nfelling = "bought"'
GRAIN, SUPPLIES = "lead:dry-grain", "lead:supplies"


def grown(*plantings: str, people: str = "hours = { sat = 6 }", lead: str = "", lab: str = "") -> Compiled:
    """Plantings (the oak stack, if none is named) from an untested culture in hand."""
    return compiled(
        *plantings,
        people=people,
        stock=(edited(CULTURE, tested="false"),),
        buying=f"lead = {{ {lead} }}" if lead else "",
        lab=lab,
    )


@pytest.mark.parametrize(
    ("lead", "grain", "bags"), [("", 8, 15), ('grain = "20 d"', 21, 15), ('supplies = "3 d"', 8, 4)]
)
def test_what_is_cooked_is_there_the_evening_before(lead: str, grain: int, bags: int) -> None:
    """Dry grain comes in a week and pellets in two, or as the grower says; the cook is a day later."""
    found = grown(lead=lead)
    assert min(found.limit(bench.cook(found.batch("grain")), GRAIN)) == grain
    assert min(found.limit(bench.cook(found.batch("sawdust")), SUPPLIES)) == bags


def test_bought_media_are_there_when_they_are_inoculated() -> None:
    """Plates come ready to use, the ones of a culture test too; nothing else is asked of the day of a cook."""
    found = grown(lead='supplies = "9 d"')
    test = found.batch("plate", test=True)
    assert not bench.is_to_cook(test)
    assert min(found.limit(bench.inoculate(test), SUPPLIES)) == 9
    assert SUPPLIES not in found.rules_of(bench.inoculate(found.batch("sawdust")))


def test_media_of_ones_own_are_poured_from_what_was_there_the_day_before() -> None:
    """Where plates are cooked at home their cook waits for the dry medium."""
    holds = 'holds = { "quart jar" = 7, "2.3 kg bag" = 3, "plate" = 60, "culture bottle" = 8 }'
    found = grown(lab=f'media = "own"\n[[lab.cooker]]\nkind = "pressure cooker"\n{holds}')
    test = found.batch("plate", test=True)
    assert min(found.limit(bench.cook(test), SUPPLIES)) == 15
    assert SUPPLIES not in found.rules_of(bench.inoculate(test))


def test_wax_and_the_like_are_there_on_the_planting_day() -> None:
    """The first planting day is no earlier than the supplies of the planting."""
    found = grown(OAK, BED, lead='supplies = "160 d"')
    for name in ("Oak stack", "Bed"):
        assert found.sizing.demand(name).supplies
        assert min(found.limit(yard.plant(name), SUPPLIES)) == 160


@pytest.mark.parametrize(
    ("people", "keys", "waits"),
    [
        (BOUGHT_LOGS, {}, True),
        (BOUGHT_LOGS, {"felled": "2026-11-10"}, False),
        (BOUGHT_LOGS.replace("bought", "hired"), {}, False),
        ("hours = { sat = 6 }", {}, False),
    ],
)
def test_only_bought_logs_have_to_be_delivered(people: str, keys: dict[str, str], waits: bool) -> None:
    """Trees of one's own, felled by oneself or by others, and wood that is down already wait for nobody."""
    found = grown(edited(OAK, **keys), people=people)
    fell = yard.fell("Oak stack")
    assert (SUPPLIES in found.rules_of(fell)) == waits
    assert not waits or min(found.limit(fell, SUPPLIES)) == 14


def test_what_is_at_hand_sets_no_rule() -> None:
    """A lead of 0 d is no rule at all: nothing that a conflict could name."""
    found = grown(OAK, BED, lead='grain = "0 d", supplies = "0 d", chips = "0 d"')
    assert not {GRAIN, SUPPLIES, "lead:chips"} & found.problem.rules.keys()
    assert min(found.allowed(bench.inoculate(found.batch("plate", test=True)))) == 0


def test_the_rules_say_where_the_lead_is_written() -> None:
    """Each is the grower's word, with its key and its days."""
    rules = grown(OAK, BED, lead='grain = "5 d"').problem.rules
    assert rules[GRAIN] == Rule(GRAIN, "grain_lead", "[buying].lead.grain", "grower", {"days": "5"})
    assert rules[SUPPLIES] == Rule(
        SUPPLIES, "supplies_lead", "[buying].lead.supplies", "grower", {"days": "14"}
    )
    assert rules["lead:chips"].key == "[buying].lead.chips"


def test_bought_grain_and_dry_grain_are_two_rules() -> None:
    """Both have the lead of grain, and a conflict tells one from the other."""
    bought = edited(OAK, name='"Bought grain"', strain='"late"', route='["grain", "sawdust"]')
    rules = grown(OAK, bought).problem.rules
    assert rules["lead:grain"].kind == "spawn_lead"
    assert rules[GRAIN].kind == "grain_lead"
    assert rules["lead:grain"].key == rules[GRAIN].key
