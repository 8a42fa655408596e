"""The questions a season is begun with: what each takes, what it refuses and why, and what Enter means."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.season.answers import Sofar
from scheduler.season.questions import QUESTIONS
from scheduler.season.usual_days import day_of_year, days_needed, is_south
from scheduler.season.wrong import Wrong
from tests.grower import catalogue

TODAY = date(2026, 11, 25)
BY_KEY = {question.key: question for question in QUESTIONS}
CLIMATES = tuple(catalogue().starting.climates)
WHERE = st.one_of(
    st.floats(-75, 75).map(lambda degrees: f"{degrees:.1f}"),
    st.sampled_from([*CLIMATES, *(f"{name}, south" for name in CLIMATES)]),
)
DAYS = st.dates(date(2024, 1, 1), date(2060, 12, 31))


def answered(today: date = TODAY, **given: str) -> dict[str, str]:
    """All answers, the defaults where nothing is given."""
    said: dict[str, str] = {}
    for question in QUESTIONS:
        sofar = Sofar(catalogue(), today, said)
        said[question.key] = question.read(given.get(question.key) or question.default(sofar), sofar)
    return said


def refused(key: str, text: str, **before: str) -> Wrong:
    """What is said of an answer that cannot be, after all others."""
    with pytest.raises(Wrong) as wrong:
        BY_KEY[key].read(text, Sofar(catalogue(), TODAY, answered(**before)))
    return wrong.value


@pytest.mark.parametrize(
    ("key", "text", "read"),
    [
        ("units", "Imperial", "imperial"),
        ("species", "Lentinula edodes", "shiitake"),
        ("species", "king stropharia", "wine cap"),
        ("method", "totems", "totem"),
        ("wood", "Quercus", "oak"),
        ("amount", "12", "12 logs, 12 cm x 1 m"),
        ("amount", "12 logs", "12 logs, 12 cm x 1 m"),
        ("amount", "1 log of 5 in x 40 in", "1 log, 5 in x 40 in"),
        ("amount", "20, 4 in × 3 ft", "20 logs, 4 in × 3 ft"),
        ("where", "44.6", "44.6"),
        ("where", "41.3 S", "-41.3"),
        ("where", "0", "0"),
        ("where", "Cold  winters", "cold winters"),
        ("where", "mild by the sea south", "mild by the sea, south"),
        ("where", "mild by the sea, South", "mild by the sea, south"),
        ("leaf_turn", " 2026-10-01 ", "2026-10-01"),
        ("window", "2027-05-01", "2027-05-01/2027-05-01"),
        ("hours", "wed 1.5, sat 6", "wed 1.5, sat 6"),
        ("hours", "Sunday 4h; monday: 2 hours", "mon 2, sun 4"),
        ("jars", "007", "7"),
        ("jars", "0", "0"),
        ("shelf", "40 gal at 68 F", "40 gal at 68 F"),
        ("name", "  Alder Bend ", "Alder Bend"),
    ],
)
def test_answers_are_read_as_a_person_writes_them(key: str, text: str, read: str) -> None:
    """Names in any spelling, days as words, amounts with or without their size."""
    assert BY_KEY[key].read(text, Sofar(catalogue(), TODAY, answered())) == read


@pytest.mark.parametrize(
    ("key", "text", "before", "said"),
    [
        ("units", "miles", {}, "metric or imperial"),
        ("species", "shitake", {}, 'did you mean "shiitake"?'),
        ("species", "", {}, "a species"),
        ("method", "hydroponics", {}, "a method of the catalogue"),
        ("method", "totem", {"species": "wine cap"}, "chip bed"),
        ("wood", "black locust", {}, "what suits it"),
        ("wood", "plywood", {}, "a wood of the catalogue"),
        ("amount", "many", {}, "10 logs, 12 cm x 1 m"),
        ("amount", "-3", {}, "10 logs, 12 cm x 1 m"),
        ("amount", "0 logs", {}, "a whole number from 1"),
        ("amount", "99999 logs", {}, "a whole number from 1"),
        ("amount", "10 logs, 12 cm", {}, "how thick and how long"),
        ("amount", "10 logs, 12 x 1", {}, "13 cm"),
        ("amount", "10 logs, 2 m x 1 m", {}, "4 to 80 cm"),
        ("amount", "10", {"method": "chip bed", "species": "wine cap"}, "m2"),
        ("amount", "2 stumps, 30 cm x 1 m", {"method": "stump", "species": "oyster"}, "35 cm"),
        ("where", "atlantis", {}, "cold winters"),
        ("where", "91", {}, "-90 to 90"),
        ("where", "cold winters, west", {}, "southern half"),
        ("where", "cool winter", {}, 'did you mean "cool winters"?'),
        ("leaf_turn", "October", {}, "2027-04-24"),
        ("leaf_turn", "2026-02-30", {}, "a day of the calendar"),
        ("leaf_turn", "2046-10-01", {}, "three years"),
        ("bud_swell", "2026-04-10", {}, "leaf_turn is the autumn before"),
        ("window", "2027-06-01/2027-05-01", {}, "did you mean"),
        ("window", "2020-04-01/2020-05-01", {}, "ends today, 2026-11-25, or later"),
        ("window", "2040-04-01/2040-05-01", {}, "three years"),
        ("window", "2028-10-01/2028-11-01", {}, "the season of the dates above"),
        ("window", "spring", {}, "first and last day"),
        ("hours", "caturday 4", {}, "mon, tue"),
        ("hours", "sat", {}, "wed 1.5, sat 6"),
        ("hours", "sat 4, sat 5", {}, "days with their hours"),
        ("hours", "sat 0", {}, "at least one day"),
        ("hours", "sat 25", {}, "hours from 0 to 16"),
        ("hours", ",", {}, "at least one day"),
        ("jars", "some", {}, "a whole number"),
        ("jars", "-1", {}, "a whole number"),
        ("jars", "10001", {}, "a whole number"),
        ("shelf", "150 L", {}, "how much room and how warm"),
        ("shelf", "150 L at 80 C", {}, "-5 to 35 C"),
        ("fridge", "big at 4 C", {}, "L"),
        ("name", " ", {}, "text"),
        ("name", "two\nlines", {}, "one line"),
        ("name", "x" * 101, {}, "100"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_with_what_is_allowed(
    key: str, text: str, before: dict[str, str], said: str
) -> None:
    """Each wrong answer is told what was found and what may be written instead."""
    wrong = refused(key, text, **before)
    assert wrong.found
    assert said in f"{wrong.allowed} {wrong.hint}"


@settings(max_examples=300, deadline=None)
@given(today=DAYS, where=WHERE, imperial=st.booleans(), species=st.sampled_from(sorted(catalogue().species)))
def test_enter_alone_is_a_season_ahead(today: date, where: str, imperial: bool, species: str) -> None:
    """On any day, anywhere, the defaults are accepted, in order, and leave time for the slowest spawn."""
    said = answered(today, where=where, species=species, units="imperial" if imperial else "metric")
    turn, swell = (date.fromisoformat(said[key]) for key in ("leaf_turn", "bud_swell"))
    first, last = (date.fromisoformat(day) for day in said["window"].split("/"))
    assert turn < swell < last
    assert first < last
    assert last - today >= timedelta(days=days_needed(said, catalogue()))
    assert last - today < timedelta(days=366 + 366)
    assert abs(date.fromisoformat(said["ground_thaws"]) - swell) < timedelta(days=100)
    if abs(float(where)) > 30 if where.lstrip("-")[0].isdigit() else True:
        assert (swell.month in range(1, 7)) != is_south(where)


@given(south=st.booleans(), degrees=st.floats(0, 90), more=st.floats(0, 30))
def test_spring_is_later_nearer_to_the_pole(south: bool, degrees: float, more: float) -> None:
    """Buds never swell sooner, and leaves never turn later, further from the equator in the same half."""
    sign = -1 if south else 1

    def day(key: str, at: float) -> int:
        shift = 182 if south else 0
        return (day_of_year(key, f"{sign * at:.3f}", catalogue()) - shift - 1) % 365

    for key in ("ground_thaws", "bud_swell", "last_frost"):
        assert day(key, degrees) <= day(key, degrees + more)
    assert day("leaf_turn", degrees) >= day("leaf_turn", degrees + more)


def test_each_question_is_asked_once_and_has_words() -> None:
    """No key twice, no question without words, and all defaults can be read again to the same answer."""
    assert len(BY_KEY) == len(QUESTIONS)
    said = answered()
    for question in QUESTIONS:
        assert question.words
        assert question.read(said[question.key], Sofar(catalogue(), TODAY, said)) == said[question.key]
