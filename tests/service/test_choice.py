"""`spawn = "either"`: made where it fits, else the fewest plantings bought, and whoever gains much by it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import pytest

from scheduler.errors import NoPlan, SeasonError
from scheduler.plan import Plan
from scheduler.season.season import Season
from scheduler.service import attempt, choice
from scheduler.service.planning import plan_season
from tests.grower import BED, CULTURE, OAK, TOTEMS, catalogue, edited, season

OAKS, TOTEM, BEDS = (edited(text, spawn='"either"') for text in (OAK, TOTEMS, BED))
EASY = "certainty = 0.5"
"""A wish that made spawn reaches: nothing is bought for its chance."""
HOURS = "hours = { wed = 2, sat = 6, sun = 4 }"


def shelf(litres: int) -> str:
    """A shelf of some litres."""
    return f'[lab.shelf]\ntemperature = "20 C"\nvolume = "{litres} L"'


def planned(of: Season) -> Plan:
    """The plan of a season that fits."""
    return plan_season(of, catalogue())


def bought(plan: Plan) -> set[str]:
    """Names of the plantings whose spawn is bought."""
    return {name for offer in plan.make_or_buy if offer.chosen == "buy" for name in offer.plantings}


def reasons(plan: Plan) -> list[str]:
    """The reasons beside the lines."""
    return [offer.why for offer in plan.make_or_buy if offer.why]


def fit_with(*enough: set[str]) -> tuple[list[set[str]], Callable[[Sequence[str]], bool]]:
    """A season that fits once one of some sets is bought, and what was asked of it."""
    asked: list[set[str]] = []

    def fit(names: Iterable[str]) -> bool:
        asked.append(set(names))
        return any(some <= asked[-1] for some in enough)

    return asked, fit


# --- what has to be bought -------------------------------------------------------------------------------


def test_everything_is_made_where_that_fits() -> None:
    """Nothing is bought, nothing is explained, and it is the plan of the same season made."""
    plan = planned(season(OAKS, TOTEM, head=EASY, stock=(CULTURE,)))
    assert bought(plan) == set()
    assert reasons(plan) == []
    assert not any("is bought" in note for note in plan.notes)
    made = planned(season(OAK, TOTEMS, head=EASY, stock=(CULTURE,)))
    assert plan.tasks == made.tasks


def test_of_two_only_the_one_is_bought_that_makes_room() -> None:
    """On a shelf too small for the bags of both the oak stack is still made, and it is said why."""
    plan = planned(season(OAKS, TOTEM, head=EASY, lab=shelf(20), stock=(CULTURE,)))
    assert bought(plan) == {"Totems"}
    assert reasons(plan) == ["the season does not fit where all spawn is made"]
    assert plan.notes[0] == (
        "The spawn for Totems is bought: the season does not fit where all spawn is made."
    )


@pytest.mark.parametrize(("litres", "expected"), [(20, {"Totems"}), (16, {"Oak stack", "Totems"})])
def test_of_three_as_few_as_possible_are_bought(litres: int, expected: set[str]) -> None:
    """One where that is enough, two on a smaller shelf; with one less of them the season does not fit."""
    plan = planned(season(OAKS, TOTEM, BEDS, head=EASY, lab=shelf(litres), stock=(CULTURE,)))
    names = bought(plan)
    assert names == expected
    for fewer in [names - {name} for name in names]:
        texts = [
            edited(text, spawn='"buy"' if name in fewer else '"make"')
            for name, text in (("Oak stack", OAK), ("Totems", TOTEMS), ("Bed", BED))
        ]
        of = season(*texts, head=EASY, lab=shelf(litres), stock=(CULTURE,))
        assert isinstance(attempt.attempt(of, catalogue(), levels=("bare",)), attempt.Refusal), fewer


def test_what_is_to_be_made_is_made() -> None:
    """A planting that the season says to make is never bought for another one's sake."""
    assert bought(planned(season(OAK, TOTEM, head=EASY, lab=shelf(20), stock=(CULTURE,)))) == {"Totems"}
    with pytest.raises(NoPlan):
        planned(season(OAKS, TOTEMS, head=EASY, lab=shelf(20), stock=(CULTURE,)))


def test_what_the_lab_cannot_make_is_bought() -> None:
    """Bags that fit no cooker are bought; those of oyster do without one, in a tub, and are made."""
    lab = '[[lab.cooker]]\nkind = "pressure cooker"\nholds = { "quart jar" = 7 }'
    with pytest.raises(SeasonError):
        planned(season(OAK, lab=lab))
    plan = planned(season(OAKS, TOTEM, head=EASY, lab=lab))
    assert bought(plan) == {"Oak stack"}
    assert reasons(plan) == ["the lab as described cannot make all spawn"]


def test_where_buying_does_not_help_the_refusal_is_that_of_the_season_made() -> None:
    """No hours at all: the conflict names them."""
    with pytest.raises(NoPlan) as caught:
        planned(season(OAKS, TOTEM, people="hours = {}"))
    assert isinstance(caught.value.refusal, Plan)
    clash = [statement.rule for statement in caught.value.refusal.conflict]
    assert [rule for rule in clash if not rule.startswith("about:")] == ["hours"]


# --- the search ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "enough", "expected"),
    [
        (1, {"a"}, {"a"}),
        (2, {"b"}, {"b"}),
        (3, {"a"}, {"a"}),
        (3, {"b", "c"}, {"b", "c"}),
        (3, {"a", "b", "c"}, {"a", "b", "c"}),
        (6, {"e"}, {"e"}),
        (6, {"b", "e"}, {"b", "e"}),
        (12, {"a", "b", "c", "d"}, {"a", "b", "c", "d"}),
    ],
)
def test_the_fewest_that_fit_are_found(count: int, enough: set[str], expected: set[str]) -> None:
    """Single ones, then pairs; where many have to be bought the shortest row, less what can be spared."""
    asked, fit = fit_with(enough)
    assert set(choice.fewest("abcdefghijkl"[:count], fit)) == expected
    assert len(asked) <= choice.TRIES
    assert all(len(before) <= 2 for before in asked[1:4])


@pytest.mark.parametrize("count", [2, 3, 4, 5, 7, 12, 20, 40])
def test_a_dozen_tries_are_enough_for_any_number(count: int) -> None:
    """However many there are and whatever fits, it is about a dozen tries and what is found fits."""
    order = [f"p{number}" for number in range(count)]
    for enough in ([order[-1]], order[-2:], order[::2], order):
        asked, fit = fit_with(set(enough))
        assert set(enough) <= set(choice.fewest(order, fit))
        assert len(asked) <= choice.TRIES


def test_where_nothing_fits_one_try_is_enough() -> None:
    """All of them bought is the last hope, and is looked at first."""
    asked, fit = fit_with()
    assert set(choice.fewest("abc", fit)) == set("abc")
    assert asked == [set("abc")]


def test_the_first_to_be_bought_saves_most_bench_minutes() -> None:
    """Six totems take more bags than sixty logs, and a culture test; one totem takes fewer."""
    assert choice.by_relief(season(OAKS, TOTEM, stock=(CULTURE,)), catalogue()) == ["Totems", "Oak stack"]
    one = edited(TOTEM, logs='{ count = 1, diameter = "20 cm", length = "50 cm" }')
    tested = CULTURE.replace("shiitake", "oyster")
    of = season(one, OAKS, stock=(CULTURE, tested))
    assert choice.by_relief(of, catalogue()) == ["Oak stack", "Totems"]


# --- what gains by it ------------------------------------------------------------------------------------


def test_a_planting_far_short_of_the_wished_chance_is_bought() -> None:
    """The totems are bought, which makes room for the spares of the stack: it is made, as it would not be alone."""
    made = {p.name: p.chance for p in planned(season(OAK, TOTEMS, stock=(CULTURE,))).plantings}
    assert all(chance < 0.9 - choice.FAR_SHORT for chance in made.values())
    plan = planned(season(OAKS, TOTEM, stock=(CULTURE,)))
    assert bought(plan) == {"Totems"}
    now = {p.name: p.chance for p in plan.plantings}
    assert now["Oak stack"] >= 0.9 - choice.FAR_SHORT
    assert now["Totems"] == 1.0
    (why,) = reasons(plan)
    assert why == f"made, it would reach a chance of {made['Totems']:.0%}, and 90 % is wished".replace(
        "%,", " %,"
    )
    assert f"The spawn for Totems is bought: {why}." in plan.notes


def test_a_planting_near_the_wished_chance_is_made() -> None:
    """Less than five points below the wish are no reason to buy."""
    head = "certainty = 0.98"
    (made,) = planned(season(OAK, head=head, stock=(CULTURE,))).plantings
    assert 0.98 - choice.FAR_SHORT < made.chance < 0.98
    assert bought(planned(season(OAKS, head=head, stock=(CULTURE,)))) == set()


def test_bought_spawn_that_comes_too_late_is_made() -> None:
    """Where the lead ends after the window nothing can be gained."""
    early = edited(TOTEM, window='"2027-04-10/2027-05-27"')
    plan = planned(season(OAK, early, stock=(CULTURE,), buying='lead = { spawn = "180 d" }'))
    assert bought(plan) == set()
    assert {p.name: p.chance for p in plan.plantings}["Totems"] < 0.9 - choice.FAR_SHORT


def test_nothing_is_bought_at_the_cost_of_its_best_span() -> None:
    """What would come inside the window, but after the best span, is made all the same."""
    plan = planned(season(OAK, TOTEM, stock=(CULTURE,), buying='lead = { spawn = "172 d" }'))
    assert bought(plan) == set()


def test_the_search_stopped_leaves_the_plan_that_was_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """An interrupt while a gain is looked at ends that, and nothing that was found is lost."""
    seasons: list[Season] = []

    def stopped(of: Season, *args: object, **keys: object) -> attempt.Made | attempt.Refusal:
        seasons.append(of)
        if len(seasons) > 1:
            raise KeyboardInterrupt
        return attempt.make(of, catalogue())

    monkeypatch.setattr(choice, "make", stopped)
    found = choice.best(season(OAKS, TOTEM, stock=(CULTURE,)), catalogue())
    assert isinstance(found, choice.Best)
    plan = found.made.plan
    assert plan.status == "planned"
    assert bought(plan) == set()
    assert len(seasons) == 2
