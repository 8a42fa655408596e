"""The run through logs against the months and seasons that extension services print.

Nobody has published a speed of growth in logs: the speeds were calibrated to these bands, so that the checks say
whether one pair of speeds fits all of them.
"""

from __future__ import annotations

from datetime import date

import pytest

from scheduler.lines.run import growth, run_months
from scheduler.plan import Months
from scheduler.season.season import Season
from scheduler.trade.shapes import Figure
from tests.grower import OAK, catalogue, edited, season

PATTERNS = {
    "15 x 5 cm": "12.7 x 122 cm, 8 rows of 8 (Sabota 1996, HortTechnology)",
    "6 x 3 in": "5 x 48 in, 5 rows of 8 (Univ. Kentucky FOR-77)",
}
LOG = '{ count = 1, diameter = "12.7 cm", length = "122 cm" }'


def drilled(pattern: str, species: str = "shiitake", logs: str = LOG) -> Season:
    """A season of one log with a pattern."""
    return season(edited(OAK, pattern=f'"{pattern}"', logs=logs, species=f'"{species}"', wood='"beech"'))


def months(pattern: str, planted: date, species: str = "shiitake") -> Months:
    """Months from that day until it is run through."""
    of = drilled(pattern, species)
    found = run_months(of.plantings[0], of, catalogue(), planted)
    assert found is not None
    return found


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("month", [3, 4, 5])
def test_shiitake_is_through_in_six_to_eighteen_months(pattern: str, month: int) -> None:
    """6 to 18 months of incubation (Univ. Kentucky FOR-85); at the outside six months to two years (Ohio State F-0041).

    Of logs planted in spring the likely time lies in the first band, and the slow end in the second.
    """
    found = months(pattern, date(2027, month, 15))
    assert 6 <= found.likely <= 18
    assert found.high <= 25
    assert found.low <= 12 and found.high >= 12, "the typical 12 months lie in the band"


def test_spring_logs_fruit_in_autumn_and_autumn_logs_in_the_next() -> None:
    """Planted in February or March a log is through that autumn, in October or November in that of next year.

    Univ. Kentucky FOR-83: "Spring-inoculated logs will often fruit that fall". Here with rows 5 cm apart; with
    7.6 cm it happens at the fast end.
    """
    for planted in (date(2027, 2, 15), date(2027, 3, 15)):
        assert months("15 x 5 cm", planted).likely <= (date(2027, 11, 30) - planted).days / 30.4
        assert months("6 x 3 in", planted).low <= (date(2027, 11, 30) - planted).days / 30.4
    for planted in (date(2027, 10, 15), date(2027, 11, 15)):
        likely = months("15 x 5 cm", planted).likely
        assert (date(2028, 6, 1) - planted).days / 30.4 < likely <= (date(2028, 11, 30) - planted).days / 30.4


def test_speeds_are_above_what_published_spacings_ask_for() -> None:
    """Half of 15 cm and half of 5 cm (Sabota 1996) in 9 to 12 months are 0.21 to 0.28 and 0.07 to 0.09 mm a day.

    Those are days of a year; of the growing season it takes more in proportion.
    """
    run = catalogue().run
    share = run.growing_days.likely / 365
    for figure, half_mm, printed in ((run.along, 75, (0.21, 0.28)), (run.across, 25, (0.07, 0.09))):
        asked = [half_mm / (months * 30) for months in (12, 9)]
        assert asked == pytest.approx(printed, abs=0.0051)
        assert figure.likely * share >= asked[0]
    assert 3 <= run.along.likely / run.across.likely <= 8, "what printed patterns and practice imply"


def test_the_closer_published_pattern_is_the_faster_one() -> None:
    """1.6 times the holes: 64 against 40."""
    close, wide = (growth(drilled(pattern).plantings[0], catalogue()) for pattern in PATTERNS)
    assert close and wide and close.likely < wide.likely


@pytest.mark.parametrize(
    "name", [name for name, species in catalogue().species.items() if species.run_speed is not None]
)
def test_every_species_is_through_about_when_it_first_fruits(name: str) -> None:
    """The likely run of a published pattern ends no later than the last month of its first flush."""
    flush: Figure = catalogue().species[name].first_flush
    found = months("15 x 5 cm", date(2027, 4, 15), name)
    assert found.likely <= flush.highest
    assert found.high >= flush.lowest
