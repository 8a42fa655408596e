"""Weights of marked logs: what they add up to, which task they do, and what no log can weigh."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from scheduler.errors import UsageError
from scheduler.journal.context import Context
from scheduler.journal.fold import fold
from scheduler.journal.means import consequences
from scheduler.journal.possible import judge
from scheduler.lines import logs
from scheduler.lines.logs import Weights
from scheduler.plan import Plan, Task
from scheduler.progress import NOTHING
from scheduler.service import seasons
from tests.command import EXAMPLES
from tests.journal.under_way import CLOCK, after, begun, plan_of, read

FELLED = date(2027, 1, 23)
ON = date(2027, 5, 15)
LATER = date(2027, 7, 1)


def weights(name: str) -> Weights | None:
    """Between which weights the logs of the backyard's plantings can lie."""
    season, catalogue = seasons.read(EXAMPLES / "backyard", CLOCK, None)
    found = next(one for one in season.plantings if one.name == name)
    return logs.weights(found, catalogue) if logs.has_logs(found, catalogue) else None


@pytest.fixture
def felled() -> Context:
    """The backyard once its twenty logs were felled."""
    context = replace(begun(today=date(2029, 1, 1)), log_weights=weights)
    return after(context, ("felled oak", FELLED))


def unusual(text: str, on: date, context: Context) -> tuple[str, ...]:
    """What is unusual about a line."""
    (entry,) = read(text, on, context)
    return judge(entry, context).unusual


def test_weights_are_kept_by_log_and_day(felled: Context) -> None:
    """In the order of their days; a second one of a day corrects the first, an undo leads back."""
    context = after(
        felled,
        ("weighed oak log 2 31 lb", LATER),
        ("weighed oak log 2 35 lb", FELLED),
        ("weighed oak 14 kg", ON),
        ("weighed oak log 2 29 lb", LATER),
    )
    found = context.progress.planting("Oak stack").weights_g
    assert list(found) == ["", "log 2"]
    assert {on: round(grams) for on, grams in found["log 2"].items()} == {FELLED: 15876, LATER: 13154}
    assert list(found["log 2"]) == [FELLED, LATER]
    undone = after(context, ("undo", LATER))
    assert round(undone.progress.planting("Oak stack").weights_g["log 2"][LATER]) == 14061
    assert fold((), felled.plan) == NOTHING


def test_days_of_water_are_kept(felled: Context) -> None:
    """Watered or soaked, each day once and in order."""
    context = after(felled, ("watered oak", LATER), ("soaked oak", ON), ("watered oak", LATER))
    happened = context.progress.planting("Oak stack")
    assert (happened.wetted, happened.soaked_on) == ((ON, LATER), ON)


def weighing(on: date, task: str = "Oak stack:weigh") -> Task:
    """A task of weighing."""
    plan = plan_of("backyard")
    like = next(one for one in plan.tasks if one.planting == "Oak stack")
    return replace(like, id=task, kind="weigh", title="Weigh two logs: Oak stack", on=on, after=())


def with_tasks(*tasks: Task) -> Plan:
    """The backyard's plan with more tasks."""
    plan = plan_of("backyard")
    return replace(plan, tasks=(*plan.tasks, *tasks))


def test_a_weight_does_the_planned_weighing(felled: Context) -> None:
    """One of its day, of a few days before it, or later; the starting weight of months before is not it."""
    early, late = weighing(ON), weighing(LATER, "Oak stack:weigh:2")
    plan = with_tasks(early, late)
    for text, days, done in (
        ("weighed oak 15 kg", -60, []),
        ("weighed oak 15 kg", -4, []),
        ("weighed oak 15 kg", -3, [early.id]),
        ("weighed oak log 3 15 kg", 5, [early.id]),
        ("watered oak", 0, []),
    ):
        context = after(replace(felled, plan=plan), (text, ON + timedelta(days=days)))
        assert [task for task in context.progress.done if "weigh" in task and ":care:" not in task] == done, (
            text,
            days,
        )
    both = after(replace(felled, plan=plan), ("weighed oak 15 kg", ON), ("weighed oak 14 kg", LATER))
    assert {both.progress.done[early.id], both.progress.done[late.id]} == {ON, LATER}


def test_soaked_logs_were_weighed_before(felled: Context) -> None:
    """A soak does the weighing that it follows, and not one of the summer after it."""
    weigh, later = weighing(ON), weighing(LATER, "Oak stack:weigh:2")
    soak = replace(weighing(ON, "Oak stack:soak-logs"), kind="soak-logs", after=(weigh.id,))
    context = after(replace(felled, plan=with_tasks(weigh, soak, later)), ("soaked oak", ON))
    assert weigh.id in context.progress.done and soak.id in context.progress.done
    assert later.id not in context.progress.done


@pytest.mark.parametrize(
    ("text", "on", "found", "allowed"),
    [
        ("weighed currant 5 kg", ON, "Currant bed is 45 sq ft", "a planting with logs, of which one is marked and weighed"),
        ("weighed oak 15 kg", date(2027, 1, 22), "Oak stack was felled on Sat 23 Jan 2027, after that", "Sat 23 Jan 2027 or a day after it"),
        ("weighed oak log 21 15 kg", ON, "log 21 of Oak stack", "log 1 to log 20: so many there are"),
        ("weighed oak log 2 18 lb", ON, "18 lb, lighter than the dry wood in it", "18 lb 3 oz to 69 lb: it weighed 35 lb on Sat 23 Jan 2027"),
        ("weighed oak log 2 75 lb", ON, "75 lb, heavier than it can be when waterlogged", "18 lb 3 oz to 69 lb: it weighed 35 lb on Sat 23 Jan 2027"),
    ],
)  # fmt: skip
def test_what_no_log_can_weigh_is_refused(
    felled: Context, text: str, on: date, found: str, allowed: str
) -> None:
    """A bed has no logs, there are only so many of them, and wood is neither lighter than dry nor heavier than full."""
    context = after(felled, ("weighed oak log 2 35 lb", FELLED))
    with pytest.raises(UsageError) as refused:
        unusual(text, on, context)
    assert (refused.value.fault.found, refused.value.fault.allowed) == (found, allowed)


def test_rot_makes_logs_lighter_than_their_wood_was(felled: Context) -> None:
    """More than a year later that is only unusual."""
    context = after(felled, ("weighed oak log 2 35 lb", FELLED))
    with pytest.raises(UsageError):
        unusual("weighed oak log 2 16 lb", FELLED + timedelta(days=365), context)
    assert unusual("weighed oak log 2 16 lb", FELLED + timedelta(days=366), context) == (
        "16 lb is less than the dry wood in a log of 35 lb.",
    )


def test_weights_that_are_more_often_slips(felled: Context) -> None:
    """No size of log, more water than fresh wood has room for, or nothing felled yet."""
    context = after(felled, ("weighed oak log 2 35 lb", FELLED))
    assert unusual("weighed oak log 1 34 lb", ON, context) == ()
    assert unusual("weighed oak log 2 33 lb", ON, context) == ()
    assert unusual("weighed oak log 2 46 lb", ON, context) == (
        "46 lb is more than a log of 35 lb weighs full of water.",
    )
    (slip,) = unusual("weighed oak log 1 3.4 lb", ON, context)
    assert slip.startswith("3 lb 6 oz is no weight for a log of Oak stack: thin and dry it weighs 9 lb")
    standing = replace(begun(today=ON), log_weights=weights)
    assert unusual("weighed oak log 1 34 lb", ON, standing) == (
        "The book does not say that wood for Oak stack was felled.",
    )


def test_where_nothing_is_known_of_the_logs_nothing_is_refused() -> None:
    """The season file may be broken while somebody stands at the scales."""
    context = after(begun(today=LATER), ("felled oak", FELLED), ("weighed oak log 2 35 lb", FELLED))
    assert unusual("weighed oak log 99 2 lb", ON, context) == ()
    assert unusual("weighed oak log 2 2 lb", ON, context) == ()


def test_what_a_weight_means(felled: Context) -> None:
    """The first is what later ones are compared with; those say how much was lost or gained."""
    (first,) = read("weighed oak log 2 35 lb", FELLED, felled)
    assert consequences(first, felled) == (
        "Oak stack, log 2: this is its first weight, with which later ones are compared.",
    )
    context = felled.after(first)
    for text, said in (("31.5 lb", "10 % below"), ("36 lb", "3 % above")):
        (entry,) = read(f"weighed oak log 2 {text}", ON, context)
        sentence, hint = consequences(entry, context)
        assert sentence == f"Oak stack, log 2: {said} its first weight of 35 lb on Sat 23 Jan 2027."
        assert "budswell moisture" in hint
