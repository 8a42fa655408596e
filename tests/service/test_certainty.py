"""Spares and margins for a chance: it is really met, at little cost, and where it is not that is said."""

from __future__ import annotations

import itertools
from datetime import date
from functools import cache

import pytest

from scheduler import document
from scheduler.lines.spares import Chosen
from scheduler.outlook.findings import look_ahead
from scheduler.plan import Plan, Sought
from scheduler.season.season import Season
from scheduler.service import attempt, certainty, choice, planning, seasons
from scheduler.service.outlook import course_of
from tests.command import EXAMPLES
from tests.grower import CULTURE, OAK, TOTEMS, catalogue, edited, season

BAGS, GRAIN = ("SHI", "sawdust spawn, Oak stack"), ("SHI", "grain G1, Oak stack")


def oak(**parts: object) -> Season:
    """One planting."""
    return season(OAK, stock=(CULTURE,), **parts)  # type: ignore[arg-type]


def found(plan: Plan) -> Sought:
    """What a plan says of the chance that was asked for."""
    assert plan.sought is not None
    return plan.sought


@cache
def asked_for(wished: float) -> attempt.Made:
    """The oak stack planned for a chance."""
    return planning.make_season(oak(), catalogue(), certainty=wished)


@pytest.mark.parametrize("wished", [0.9, 0.95, 0.99])
def test_the_chance_is_that_of_the_outlook_of_the_plan(wished: float) -> None:
    """It meets the wish, with its standard error, and `outlook` finds the very same."""
    made = asked_for(wished)
    told = found(made.plan)
    course = course_of(oak().asking_for(wished), catalogue(), made.plan, made.basis)
    seen = look_ahead(course, made.plan, seasons=told.seasons, seed=told.seed)
    assert (told.reached, told.stderr) == (seen.chance, seen.stderr)
    assert told.reached >= wished == told.wished == seen.wished == made.basis.certainty
    assert (told.fails, told.barred, told.ended) == ((), (), False)


@pytest.mark.parametrize("wished", [0.9, 0.95])
def test_no_plan_of_all_those_with_few_spares_takes_much_less_work(wished: float) -> None:
    """Every number of spare bags and jars, each really planned and played: none that meets it is 2 % cheaper."""
    best = choice.best(oak().asking_for(wished), catalogue())
    assert isinstance(best, choice.Best)
    work = []
    for bags, jars in itertools.product(range(4), range(4)):
        made = attempt.make(
            best.season, catalogue(), levels=("wished",), chosen=Chosen({BAGS: bags, GRAIN: jars})
        )
        if isinstance(made, attempt.Made):
            course = course_of(best.season, catalogue(), made.plan, made.basis)
            if look_ahead(course, made.plan, seasons=20_000, seed=1).chance >= wished:
                work.append(certainty.lab_work(made.plan))
    assert work
    assert found(asked_for(wished).plan).minutes <= 1.02 * min(work)


def test_what_is_chosen_is_what_is_planned() -> None:
    """The spares of the plan are those of the usual one and what the steps say; each step says what it buys."""
    usual = planning.make_season(oak().asking_for(0.99), catalogue())
    made = asked_for(0.99)

    def spares(plan: Plan) -> dict[str, int]:
        return {row.stage: row.started - row.needed for row in plan.spares}

    told = found(made.plan)
    for step in told.steps:
        assert bool(step.units) != bool(step.days)
        assert step.stderr >= 0
        if step.units:
            difference = spares(made.plan)[step.stage] - spares(usual.plan)[step.stage]
            assert step.units == difference
            assert step.plantings == ("Oak stack",)
            assert (step.buys >= 0) is (step.units > 0)
    changed = {step.stage for step in told.steps if step.units}
    assert changed == {name for name, n in spares(made.plan).items() if n != spares(usual.plan)[name]}
    assert told.reached > told.usual
    margin = sum(step.days for step in told.steps)
    assert made.basis.sizing.lines[0].buffer_days == usual.basis.sizing.lines[0].buffer_days + margin


def test_it_is_cheaper_than_the_usual_plan_where_that_does_too_much() -> None:
    """By losses alone the usual plan takes more spares than the chance asks for once redo is played."""
    told = found(asked_for(0.9).plan)
    assert told.usual > 0.9
    assert told.minutes < told.usual_minutes


def test_what_cannot_be_reached_says_how_near_and_why() -> None:
    """Where every second bag is lost: the best that was found, what fails, and what could not be added."""
    plan = planning.make_season(half_lost(), catalogue(), certainty=0.999).plan
    told = found(plan)
    assert plan.status == "planned"
    assert told.usual <= told.reached < 0.999
    assert told.fails
    assert sum(fail.share for fail in told.fails) <= 1 - told.reached + 1e-4
    assert sum(fail.share for fail in told.fails) >= 0.9 * (1 - told.reached)
    assert [fail.share for fail in told.fails] == sorted((fail.share for fail in told.fails), reverse=True)
    whys = {certainty.DOES_NOT_FIT, certainty.BRINGS_NOTHING, certainty.ALLOWS_NO_MORE}
    assert {one.why for one in told.barred} <= whys
    assert told.plans <= 1 + certainty.PLANS_UP + certainty.PLANS_DOWN


def half_lost() -> Season:
    """The oak stack where every second bag is lost."""
    return oak(figures="[figures.shiitake.sawdust]\nloss = { rate = 0.5 }")


def test_what_is_said_not_to_be_reached_cannot_be() -> None:
    """No more bags than six spare ones fit, whatever else is chosen; and all that fits with these falls short."""
    best = choice.best(half_lost().asking_for(0.999), catalogue())
    assert isinstance(best, choice.Best)

    def made(bags: int, jars: int, margin: int) -> attempt.Made | attempt.Refusal:
        chosen = Chosen({BAGS: bags, GRAIN: jars}, {"SHI": margin} if margin else {})
        return attempt.make(best.season, catalogue(), levels=("wished",), chosen=chosen)

    for jars, margin in itertools.product((2, 4, 8), (0, 14, 28)):
        assert isinstance(made(7, jars, margin), attempt.Refusal)
    for jars, margin in ((2, 0), (2, 28), (4, 28), (6, 28), (8, 28)):
        found = made(6, jars, margin)
        assert isinstance(found, attempt.Made)
        course = course_of(best.season, catalogue(), found.plan, found.basis)
        assert look_ahead(course, found.plan, seasons=2000, seed=1).chance < 0.9


def test_a_wish_that_no_single_thing_comes_nearer_to_is_met() -> None:
    """Near 99.9 % one unit more gains less than its error: two or three at once are tried, and meet the wish."""
    clock = seasons.Clock(date(2026, 11, 28), "UTC")
    told = found(
        planning.make_season(*seasons.read(EXAMPLES / "backyard", clock, None), certainty=0.999).plan
    )
    assert told.reached >= 0.999
    assert told.plans > 4
    assert told.fails == ()


def test_the_same_season_gives_the_same_plan() -> None:
    """To the byte, searched twice."""
    again = planning.make_season(oak(), catalogue(), certainty=0.95)
    assert document.to_json(again.plan) == document.to_json(asked_for(0.95).plan)


def test_a_culture_that_gives_no_more_bars_the_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan that has fewer units than were chosen is none, and the way is not tried again."""
    best = choice.best(oak().asking_for(0.99), catalogue())
    assert isinstance(best, choice.Best)
    search = certainty._Search(best, catalogue(), None)
    search._left = 1
    real = certainty.make
    monkeypatch.setattr(certainty, "make", lambda *args, **keys: real(*args, **{**keys, "chosen": Chosen()}))
    spares = {**search.usual.stand.chosen.spares, BAGS: 30}
    assert search._tried(Chosen(spares)) is None
    assert search.ways.barred == {((*BAGS, True),): certainty.ALLOWS_NO_MORE}


def shelf(litres: int) -> str:
    """A shelf of some litres."""
    return f'[lab.shelf]\ntemperature = "20 C"\nvolume = "{litres} L"'


@pytest.mark.parametrize(("litres", "level"), [(20, "wished"), (16, "halfway")])
def test_what_does_not_fit_is_left_out(litres: int, level: str) -> None:
    """On a small shelf no further bag has room, and that is named; also where spares had to be shed before."""
    made = planning.make_season(oak(lab=shelf(litres)), catalogue(), certainty=0.99)
    told = found(made.plan)
    assert made.basis.sizing.level == level
    assert told.usual < told.reached < 0.99
    assert (*BAGS, certainty.DOES_NOT_FIT) in {(one.line, one.stage, one.why) for one in told.barred}
    assert told.fails[0].stage == BAGS[1]


def test_plantings_that_are_bought_stay_bought() -> None:
    """What the season leaves open is settled before, and the reason stays beside it."""
    oaks, totems = (edited(text, spawn='"either"') for text in (OAK, TOTEMS))
    of = season(oaks, totems, lab=shelf(20), stock=(CULTURE,))
    plan = planning.make_season(of, catalogue(), certainty=0.6).plan
    bought = {name for offer in plan.make_or_buy if offer.chosen == "buy" for name in offer.plantings}
    assert "Totems" in bought
    assert any(note.startswith("The spawn for Totems is bought") for note in plan.notes)
    assert found(plan).reached >= 0.6


@pytest.mark.parametrize("after", [0, 1])
def test_a_search_that_is_stopped_keeps_the_best_so_far(after: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """An interrupt while a further plan is made: the plan is marked as such, and nothing is lost."""
    real, made = certainty.make, []

    def make(*args: object, **keys: object) -> object:
        if len(made) == after:
            raise KeyboardInterrupt
        made.append(1)
        return real(*args, **keys)  # type: ignore[arg-type]

    monkeypatch.setattr(certainty, "make", make)
    plan = planning.make_season(oak(), catalogue(), certainty=0.99).plan
    told = found(plan)
    assert plan.status == "stopped"
    assert told.plans >= 1
    assert told.reached >= told.usual


def test_who_watches_is_told_how_far_it_is() -> None:
    """Seconds go on from plan to plan, and the text names the plan and the chance so far."""
    told: list[tuple[str, float]] = []
    planning.make_season(
        oak(), catalogue(), lambda tier, seconds, best: told.append((tier, seconds)), certainty=0.99
    )
    mine = [one for one in told if one[0].startswith("choosing spares and margins, plan ")]
    assert mine
    assert all(one[0].endswith(" so far") for one in mine)
    seconds = [one[1] for one in mine]
    assert seconds == sorted(seconds)
