"""Minutes of the yard work: spare logs, trips of a cart, and rounding that neither adds nor loses."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.lines.demand import demand
from scheduler.lines.shapes import Demand
from scheduler.lines.yard_minutes import FELLING_KINDS, counted_among, spares, steps, trips
from tests.grower import BED, OAK, TOTEMS, catalogue, edited, season

DRILLED = catalogue().methods["drilled logs"]
RULES = catalogue().wood_rules


def taken(planting: str, people: str = "hours = { sat = 6 }", **keys: str) -> Demand:
    """The demand of one planting with keys of its text changed."""
    read = season(edited(planting, **keys), people=people)
    return demand(read.plantings[0], read, catalogue())


def logs(count: int, diameter: str = "13 cm", length: str = "1 m") -> str:
    """So many logs, as a season file writes it."""
    return f'{{ count = {count}, diameter = "{diameter}", length = "{length}" }}'


@pytest.mark.parametrize(
    ("pieces", "more"), [(1, 0), (9, 0), (10, 1), (20, 1), (29, 1), (30, 2), (60, 3), (100, 5)]
)
def test_one_log_in_twenty_is_felled_beyond_the_need(pieces: int, more: int) -> None:
    """The share of the profile to the nearest log, and at least one from ten logs on."""
    assert spares(DRILLED, pieces, 10) == more
    assert taken(OAK, logs=logs(pieces)).spare_pieces == more


def test_methods_without_the_figure_or_with_none_have_no_spares() -> None:
    """Stumps and beds have no such figure; a grower who sets it to nothing fells what is needed."""
    none = DRILLED.model_copy(
        update={
            "figures": {
                **DRILLED.figures,
                "spare_share": DRILLED.figures["spare_share"].model_copy(update={"low": 0.0, "likely": 0.0}),
            }
        }
    )
    assert spares(none, 100, 10) == 0
    assert spares(catalogue().methods["chip bed"], 100, 10) == 0
    assert taken(BED).spare_pieces == 0


def test_wood_that_is_down_or_delivered_has_no_spares_and_no_trips() -> None:
    """They are felled or never; a delivery is ordered by the piece."""
    for found in (
        taken(OAK, felled="2026-11-01"),
        taken(OAK, people='hours = { sat = 6 }\nfelling = "bought"'),
    ):
        assert (found.spare_pieces, found.trips) == (0, 0)
        assert found.felled_kg == found.wood_kg > 0
    to_come = taken(OAK, felled="2027-01-16")
    assert (to_come.spare_pieces, to_come.trips > 0) == (3, True)


@given(st.integers(0, 40), st.integers(1, 400), st.data())
def test_spares_are_shared_out_among_the_felling_days(more: int, pieces: int, data: st.DataObject) -> None:
    """However a felling is split, the parts have all spares together, and none has more than its turn."""
    cut = data.draw(st.integers(0, pieces))
    first, rest = counted_among(more, pieces, 0, cut), counted_among(more, pieces, cut, pieces - cut)
    assert first + rest == more
    assert first >= 0 <= rest
    assert first >= math.floor(more * cut / pieces)


def test_a_cart_takes_whole_logs() -> None:
    """60 kg take three logs of 16 kg: 20 of them are 7 trips; a totem of 35 kg goes alone, one of 70 kg too."""
    assert trips([(20, 16.0)], 60.0) == 7
    assert trips([(6, 35.0)], 60.0) == trips([(6, 70.0)], 60.0) == 6
    assert trips([(3, 16.0), (2, 35.0)], 60.0) == 1 + 2
    assert trips([], 60.0) == trips([(0, 16.0)], 60.0) == 0


@given(st.lists(st.tuples(st.integers(1, 50), st.floats(1, 200)), min_size=1, max_size=3), st.floats(20, 100))
def test_trips_are_enough_and_no_more_than_one_a_piece(groups: list[tuple[int, float]], cart: float) -> None:
    """They hold all that a cart can hold at all, and never outnumber the pieces."""
    found = trips(groups, cart)
    light = sum(count * mass for count, mass in groups if mass <= cart)
    assert found >= math.floor(light / cart)
    assert found <= sum(count for count, _ in groups)
    assert found >= trips(groups, cart + 10)


def test_heavy_logs_are_hauled_by_the_trip() -> None:
    """A log of 25 cm and 1.2 m is 73 kg of oak, one a trip of 8 minutes; one of 10 cm takes the 3 minutes a log."""
    heavy, light = taken(OAK, logs=logs(20, "25 cm", "1.2 m")), taken(OAK, logs=logs(20, "10 cm", "1 m"))
    assert heavy.heaviest_piece_kg > RULES.cart_load.likely
    assert heavy.trips == 21
    haul, usual = heavy.step("haul"), light.step("haul")
    assert haul is not None and usual is not None
    assert sum(part.likely for part in haul.parts) == pytest.approx(21 * 8 / 20)
    assert haul.minutes_per_piece == 9
    assert sum(part.likely for part in usual.parts) == pytest.approx(3 * 21 / 20)
    assert usual.minutes_per_piece == 4


def test_weights_hold_the_spares() -> None:
    """What is moved is the wood of all logs and of the spare ones."""
    found = taken(OAK, logs=logs(20))
    assert found.felled_kg == pytest.approx(21 * found.heaviest_piece_kg)


@given(st.integers(1, 200), st.integers(0, 20), st.sampled_from(sorted(catalogue().methods)), st.data())
def test_no_minute_is_lost_and_none_is_added_twice(
    pieces: int, more: int, name: str, data: st.DataObject
) -> None:
    """Whole minutes cover what whoever fells leaves to the grower, with less than one minute a piece to spare."""
    method = catalogue().methods[name]
    trip_minutes = data.draw(st.floats(0, 30 * pieces))
    found = steps(method, pieces, more=more, trip_minutes=trip_minutes)
    assert [step.kind for step in found] == [step.kind for step in method.steps]
    exact = {step.kind: sum(part.likely for part in step.parts) + step.set_up[1] / pieces for step in found}
    whole = {step.kind: step.minutes_per_piece for step in found}
    for left in (FELLING_KINDS, ("buck", "haul"), ("haul",), ("plant",), ("prepare-chips",)):
        kinds = [kind for kind in left if kind in whole]
        minutes = sum(whole[kind] for kind in kinds)
        assert -1e-6 <= minutes - sum(exact[kind] for kind in kinds) < 1
    assert all(part.low <= part.likely <= part.high for step in found for part in step.parts)


def test_a_method_that_is_not_split_is_one_station() -> None:
    """A grower's own method may leave the parts out; its work is then that of its kind."""
    plain = DRILLED.model_copy(
        update={"steps": [step.model_copy(update={"parts": []}) for step in DRILLED.steps]}
    )
    (plant,) = (step for step in steps(plain, 10) if step.kind == "plant")
    assert [(part.station, part.likely, part.holds) for part in plant.parts] == [("plant", 12, "drill")]


def test_totems_are_carted_whole() -> None:
    """Six totems of poplar, 42 cm2 thick and 80 cm long, are a trip each: no cart takes two."""
    found = taken(TOTEMS)
    assert found.heaviest_piece_kg > RULES.cart_load.likely / 2
    assert found.trips == found.pieces == 6
