"""Published project-scheduling instances with time lags, through the same Problem and the same search.

Source: RCPSP/max sets sm_j10 and ubo20 (Schwindt; Kolisch, Schwindt & Sprecher 1999; PSPLIB), thirty instances
of each, with the optima of the public collection kobe-scheduling. They carry no licence and are not part of
this repository: they are read from a folder `shared/instances` beside it, where there is one.
"""

from __future__ import annotations

import pytest

from scheduler.checker.schedule import check_days
from scheduler.solve.params import Budget
from scheduler.solve.search import Found, Refused, solve
from tests.published.progen import FOLDER, agrees, published, read

OWN = """3 1 0 0
0 1 2 1 2 [0] [0]
1 1 1 3 [2]
2 1 2 3 4 [3] [3]
3 1 1 4 [4]
4 1 0
0 1 0 0
1 1 2 2
2 1 3 2
3 1 4 1
4 1 0 0
3
"""
"""Three activities of our own, two of which need more than half of the only resource: 2 + 3 + 4 days."""


TIGHT = OWN.replace("2 1 2 3 4 [3] [3]", "2 1 2 3 1 [3] [-1]").replace("1 1 1 3 [2]", "1 1 2 3 2 [2] [-1]")
"""The same with two activities that must lie within a day of each other, and cannot."""
BY_HAND = {"three.sch": (OWN, "9"), "tight.sch": (TIGHT, "unsat")}


def makespan(outcome: Found) -> tuple[int, int, bool]:
    """Value and bound of the last activity's day, and whether it is proved."""
    tier = next(tier for tier in outcome.tiers if tier.name == "risk")
    return tier.value, tier.bound, tier.proved


def test_the_published_instances_are_there(capsys: pytest.CaptureFixture[str]) -> None:
    """Sixty instances are tested below, or it is said loudly that none is at hand."""
    found = len(published())
    if found == 0:
        with capsys.disabled():
            print(
                f"\n*** NO PUBLISHED INSTANCES: {FOLDER} is absent; only two instances of our own were tested ***"
            )
    assert found in (0, 60)


@pytest.mark.parametrize(
    ("folder", "name", "printed"),
    [*(("own", name, printed) for name, (_, printed) in BY_HAND.items()), *published()],
)
def test_a_known_optimum_is_proved(folder: str, name: str, printed: str) -> None:
    """An optimum is met and proved, what has no answer is refused for certain, a range is not left."""
    text = BY_HAND[name][0] if folder == "own" else (FOLDER / folder / name).read_text()
    problem = read(text)
    outcome = solve(problem, budget=Budget())
    if printed == "unsat":
        assert outcome == Refused(confirmed=True)
        return
    assert isinstance(outcome, Found)
    assert check_days(problem, outcome.days) == []
    value, bound, proved = makespan(outcome)
    assert agrees(printed, value, bound, proved)
    assert proved or ".." in printed
