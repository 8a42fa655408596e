"""The chance of what is left: what is sure, what may still be lost, and that losses never make it rise."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom

from scheduler.lines import figures
from scheduler.lines.prospects import prospects
from scheduler.lines.shapes import Line
from scheduler.plan import Spares
from tests.grower import CULTURE, OAK, TOTEMS, catalogue, edited, season
from tests.lines.under_way import Story, bags, day, grain, oak, story

SEVEN, SIX = range(1, 8), range(1, 7)
OAK_STACK = oak()


def spares(line: Line) -> dict[str, Spares]:
    """Rows of a line's spares by what they are of, plantings left out."""
    return {row.stage.split(",")[0]: row for row in line.spares}


def test_before_anything_happened_it_is_the_chance_of_the_plan() -> None:
    """Same stages, same units, same chance as when it was sized, so that before and after can be compared."""
    for of in (oak(), season(TOTEMS), season(OAK, stock=(edited(CULTURE, tested="false"),))):
        told = story(of, "2026-12-02")
        planned, now = spares(told.planned.lines[0]), spares(told.line())
        assert now.keys() == planned.keys()
        for name, row in now.items():
            assert (row.needed, row.started) == (planned[name].needed, planned[name].started)
            assert row.chance == pytest.approx(planned[name].chance)


def test_what_was_found_ready_is_sure() -> None:
    """Grain that is fully run cannot be lost any more; bags that are ready end all doubt."""
    grown = story(oak(), "2027-02-11", grain())
    assert spares(grown.line())["grain G1"].chance == 1.0
    assert grown.line().chance == spares(grown.line())["sawdust spawn"].chance < 1.0
    ready = story(oak(), "2027-04-02", grain(), bags("SHI-Sa", "SHI-Sb", ready="2027-04-01"))
    assert ready.line().chance == 1.0


def test_ready_units_count_before_what_still_grows() -> None:
    """Three ready bags where three are needed: whatever becomes of the other three. Two leave one to be hoped for."""
    all_ready = story(oak(), "2027-04-02", grain(), bags("SHI-Sa", ready="2027-04-01"), bags("SHI-Sb"))
    assert all_ready.line().chance == 1.0
    two = story(oak(), "2027-04-02", grain(), bags("SHI-Sa", ready="2027-04-01", lost=[1]), bags("SHI-Sb"))
    none = story(oak(), "2027-04-02", grain(), bags("SHI-Sa", lost=[1]), bags("SHI-Sb"))
    assert none.line().chance < two.line().chance < 1.0


def test_grain_that_has_done_its_work_no_longer_counts() -> None:
    """Once all bags are made nobody asks how sure the grain is."""
    told = story(oak(), "2027-02-20", grain(ready=None), bags("SHI-Sa", "SHI-Sb"))
    assert set(spares(told.line())) == {"sawdust spawn"}


def test_what_is_in_hand_is_sure() -> None:
    """Bags in hand are no stage of their own."""
    held = 'species = "shiitake"\nstage = "sawdust"\nunits = 5\nreceived = 2027-01-20'
    told = story(season(OAK, stock=(CULTURE, held)), "2027-03-01")
    assert told.line().spares == ()
    assert told.line().chance == 1.0


def test_what_is_bought_is_sure_and_named_as_bought() -> None:
    """As in the plan itself."""
    (row,) = story(season(edited(OAK, spawn='"buy"')), "2026-12-10").line().spares
    assert (row.stage, row.chance) == ("bought spawn, Oak stack", 1.0)


def test_a_rescue_raises_it_again() -> None:
    """All bags lost would be the end; made again with spares they are as sure as before."""
    lost = story(oak(), "2027-03-01", grain(), bags("SHI-Sa", "SHI-Sb", lost=[1, 2, 3]))
    assert lost.line().chance > 0.9


def rows(told: Story, **sizes: int) -> dict[str, Spares]:
    """The rows where lots of bags have other numbers of units than they were sized with."""
    batches = [
        replace(one, started=sizes.get(one.id[-2:], one.started)) for one in told.lives().batches.values()
    ]
    found = prospects(told.stages(), batches, lambda batch: batch.stage == "sawdust")
    return {row.stage.split(",")[0]: row for row in found}


def test_fewer_than_needed_is_no_chance_at_all() -> None:
    """Three bags are needed: of two it is zero, and nothing rounds it up; of three it is a little."""
    told = story(oak(), "2027-02-20", grain(), bags("SHI-Sa", "SHI-Sb"))
    assert rows(told, Sa=1, Sb=1)["sawdust spawn"].chance == 0.0
    assert 0.0 < rows(told, Sa=2, Sb=1)["sawdust spawn"].chance < rows(told)["sawdust spawn"].chance


def test_single_losses_are_beta_binomial() -> None:
    """One lot of one load and one jar a bag: what scipy's law says, with the load and hidden infections on top."""
    told = story(
        oak(), "2027-02-20", grain(), bags("SHI-Sa", lost=[1, 2]), bags("SHI-Sb", ready="2027-02-20")
    )
    one = replace(told.lives().batches["SHI-Sa"], needed=1)
    (row,) = prospects(told.stages(), [one], lambda batch: batch.stage == "sawdust")
    good_a, good_b = figures.loss_law(told.left, catalogue(), "shiitake", "sawdust", 0.0)
    lab = catalogue().lab
    spared = (1 - lab.load_loss.likely) * (1 - lab.hidden_infection.likely)
    assert row.chance == pytest.approx(spared * float(betabinom.sf(0, 1, good_a, good_b)), abs=0.01)
    assert row.chance < 1.0


def grain_lost(*lost: int) -> Line | None:
    """The line while its grain grows and some jars are lost; None where something is made again."""
    found = story(OAK_STACK, "2027-02-03", grain(ready=None, lost=lost)).sized()
    return None if found.way is not None else found.sizing.lines[0]


def bags_lost(*lost: int) -> Line | None:
    """The line while its bags grow and some are lost, counted through both lots."""
    first, second = [n for n in lost if n <= 3], [n - 3 for n in lost if n > 3]
    told = story(OAK_STACK, "2027-02-25", grain(), bags("SHI-Sa", lost=first), bags("SHI-Sb", lost=second))
    found = told.sized()
    return None if found.way is not None else found.sizing.lines[0]


@given(st.sets(st.sampled_from(SIX)), st.sampled_from(SIX), st.booleans())
def test_a_loss_never_makes_it_rise(lost: set[int], other: int, of_grain: bool) -> None:
    """While nothing is made again, one unit less is never more chance; units that are kept back left aside."""
    sized = grain_lost if of_grain else bags_lost
    before, after = sized(*lost), sized(*lost, other)
    if before is not None and after is not None:
        assert after.chance <= before.chance + 1e-12
        assert 0.0 <= after.chance <= 1.0
        if other in lost:
            assert after.chance == before.chance


@given(st.sets(st.sampled_from(SIX)), st.sets(st.sampled_from(SEVEN)))
def test_it_is_a_chance_whatever_is_lost(first: set[int], second: set[int]) -> None:
    """Between 0 and 1, the product of its rows, and above 0 where everything is fed."""
    told = story(
        OAK_STACK,
        "2027-02-25",
        grain(lost=second),
        bags("SHI-Sa", lost=[n for n in first if n <= 3]),
        bags("SHI-Sb", lost=[n - 3 for n in first if n > 3]),
    )
    (line,) = told.sized().sizing.lines
    assert line.chance == pytest.approx(math.prod(row.chance for row in line.spares))
    assert 0.0 < line.chance <= 1.0
    for row in line.spares:
        assert 0 < row.needed <= row.started
        assert 0.0 < row.chance <= 1.0


def test_ready_makes_it_rise() -> None:
    """Each batch that is found ready is a doubt less."""
    steps = [
        story(OAK_STACK, "2027-02-20", grain(ready=None)),
        story(OAK_STACK, "2027-02-20", grain()),
        story(OAK_STACK, "2027-04-01", grain(), bags("SHI-Sa", ready="2027-03-30"), bags("SHI-Sb")),
        story(OAK_STACK, "2027-04-01", grain(), bags("SHI-Sa", "SHI-Sb", ready=str(day("2027-03-30")))),
    ]
    chances = [told.line().chance for told in steps]
    assert chances == sorted(chances)
    assert chances[0] < chances[1] < chances[2] == chances[3] == 1.0
