"""What a method says of its work: stations, tools, supplies, and what its file may not say."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import ValidationError

from scheduler.trade.catalogue import load
from scheduler.trade.shapes import Method, Step

CATALOGUE = load()
METHODS = CATALOGUE.methods
MINUTES = {"unit": "min", "basis": "memory"}


@pytest.mark.parametrize("name", METHODS)
def test_every_step_is_split_into_stations(name: str) -> None:
    """The stations' fewest, likely and most minutes are those of the step, and each says what is done there."""
    for step in METHODS[name].steps:
        assert step.parts, step.kind
        assert len({part.station for part in step.parts}) == len(step.parts)
        for of in ("lowest", "likely", "highest"):
            parts = sum(getattr(part.minutes, of) for part in step.parts)
            assert parts == pytest.approx(getattr(step.minutes, of)), (step.kind, of)
        assert all(len(part.what) > 10 for part in step.parts)
        assert bool(step.set_up) == (step.fixed_minutes is not None)


@pytest.mark.parametrize("name", METHODS)
def test_every_method_says_what_has_to_be_at_hand(name: str) -> None:
    """There are tools for planting, something to mark it with, and a saw for whoever stands where one is held."""
    method = METHODS[name]
    for step in method.steps:
        tools = [tool.item for tool in method.tools if step.kind in tool.kinds]
        assert tools, step.kind
        if any(part.holds == "saw" for part in step.parts):
            assert any("saw" in item for item in tools) and any("cut-resistant" in item for item in tools)
    assert any("label" in supply.item for supply in method.supplies)
    assert ("spare_share" in method.figures) == (method.wood == "logs")


def test_drill_bits_fit_what_is_planted() -> None:
    """Dowels go into holes of 8.5 mm (Kentucky FOR-77), sawdust spawn into holes of 12 mm (Sabota 1996)."""
    method = METHODS["drilled logs"]
    bits = {tool.spawn[0]: tool.size for tool in method.tools if tool.item.startswith("drill bit")}
    assert {spawn: method.figures[size].likely for spawn, size in bits.items()} == {
        "sawdust": 12,
        "dowels": 8.5,
    }


def test_wax_is_on_the_heat_before_it_is_needed() -> None:
    """Only drilled logs are waxed; cold wax takes half an hour to melt (memory)."""
    ahead = {
        (name, part.station): part.ahead.minutes.likely
        for name, method in METHODS.items()
        for step in method.steps
        for part in step.parts
        if part.ahead
    }
    assert ahead == {("drilled logs", "wax"): 30}


def step(*minutes: float, drill: float | None = None, holds: str | None = None) -> dict[str, Any]:
    """A step of 12 minutes with parts of so many."""
    return {
        "kind": "plant",
        "minutes": {"likely": 12, **MINUTES},
        "drill": None if drill is None else {"likely": drill, **MINUTES},
        "parts": [
            {"station": f"{n}", "what": "work", "minutes": {"likely": m, **MINUTES}, "holds": holds}
            for n, m in enumerate(minutes)
        ],
    }


def test_parts_have_to_be_the_whole_step() -> None:
    """Eleven of twelve minutes are a fault; so is a drill that the parts know nothing of."""
    assert len(Step.model_validate(step(5, 7)).parts) == 2
    assert Step.model_validate(step()).parts == []
    for wrong, text in (
        (step(5, 6), "the parts of plant take 11 minutes, the step 12"),
        (step(5, 7, drill=5), "the parts with a drill take 0 minutes, `drill` says 5"),
        (step(12, holds="drill"), "the parts with a drill take 12 minutes, `drill` says 0"),
    ):
        with pytest.raises(ValidationError, match=text):
            Step.model_validate(wrong)


@pytest.mark.parametrize(
    ("tool", "text"),
    [
        ({"item": "bit", "use": "holes", "size": "width"}, "its size from width, which is no figure here"),
        ({"item": "saw", "use": "felling", "kinds": ["fell"]}, "saw is for fell; the steps: plant"),
    ],
)
def test_a_tool_is_for_a_step_and_has_a_known_size(tool: dict[str, Any], text: str) -> None:
    """A slip in a grower's own file is told, whether of a figure or of a kind of work."""
    own = {
        "name": "own",
        "verb": "do {size}",
        "piece": "log",
        "wood": "logs",
        "spawn_stages": ["sawdust"],
        "figures": {},
        "steps": [step(12)],
    }
    assert Method.model_validate({**own, "tools": [{"item": "spade", "use": "digging"}]}).tools
    with pytest.raises(ValidationError, match=text):
        Method.model_validate({**own, "tools": [tool]})


def test_checks_ahead_are_sound() -> None:
    """Each name is one check, each caution is known, a title says for what it is, and its kind of work exists."""
    checks = CATALOGUE.preseason.check
    assert len({check.name for check in checks}) == len(checks)
    for check in checks:
        assert set(check.cautions) <= set(CATALOGUE.cautions), check.name
        assert "{what}" in check.title and check.steps and check.why
        assert 0 < check.ahead.lowest <= check.ahead.likely <= check.ahead.highest
        assert (check.before == "load") == (check.each == "cooker")
    risky = {"cooker", "drum", "saw", "felling-permission"}
    assert {check.name for check in checks if check.cautions} == risky
