"""How long what was heat-treated may wait for its inoculation, to the day."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from scheduler.checker.case import Case
from scheduler.checker.cooking import cook_first

BAGS = "NAM-Sa"


@pytest.mark.parametrize(("treatment", "most"), [("pressure", 8), ("steam", 8), ("tub", 2)])
def test_a_load_waits_sealed_and_a_tub_does_not(tiny: Case, treatment: str, most: int) -> None:
    """From the next day on: sealed bags for eight days, an opened tub for two."""
    cooked = tiny.batches[BAGS].cook_on
    assert cooked is not None
    line = tiny.sizing.lines[0]
    specs = tuple(replace(s, treatment=treatment) if s.id == BAGS else s for s in line.batches)
    sizing = replace(tiny.sizing, lines=(replace(line, batches=specs),))
    stands = []
    for days in range(12):
        batches = tuple(
            replace(b, inoculate_on=cooked + timedelta(days=days)) if b.id == BAGS else b
            for b in tiny.plan.batches
        )
        case = replace(tiny, sizing=sizing, plan=replace(tiny.plan, batches=batches))
        stands += [days] if not list(cook_first(case)) else []
    assert stands == list(range(1, most + 1))
