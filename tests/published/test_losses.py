"""Survival and starting numbers against published values and scipy's laws."""

import pytest
from scipy import stats

from scheduler.science.losses import (
    beta_binomial_pmf,
    beta_from,
    chance_at_least,
    fewest_started,
    survivors,
)
from tests.published.cited import cited

KNOWN = 1e7
"""A weight of experience at which the share of good units is as good as known."""

# Ten good units at 95 %: (clean, of, prior worth, started). Jeffreys' prior is Beta(1/2, 1/2), the uniform one
# Beta(1, 1); values recomputed from the beta-binomial law of the cprior documentation.
HISTORIES = [(17, 20, 0.5, 16), (4, 5, 1.0, 26)]


@pytest.mark.parametrize(
    ("clean", "of", "prior", "started"),
    [cited("beta-binomial", "ten good after {} of {}".format(*row[:2]), *row) for row in HISTORIES],
)
def test_little_history_means_a_large_margin(clean: int, of: int, prior: float, started: int) -> None:
    """For ten good units at 95 %, 17 of 20 clean asks for 16 to start and 4 of 5 clean for 26."""
    assert fewest_started(10, prior + clean, prior + of - clean, 0.95, 100) == started


# Need, known share of good units, wish, to start. The first is a worked example (P = 0.5355; 36 give 0.4819), the
# others were recomputed from the binomial law; 14 and 16 are the plug-in answers for the histories above.
BINOMIAL = [
    (15, 0.4, 0.5, 37),
    (10, 0.9, 0.95, 13),
    (5, 0.8, 0.95, 9),
    (20, 0.85, 0.95, 27),
    (10, 0.85, 0.95, 14),
    (10, 0.8, 0.95, 16),
]


@pytest.mark.parametrize(
    ("need", "share", "wish", "started"),
    [cited("beta-binomial", "{} good at {} for {}".format(*row[:3]), *row) for row in BINOMIAL],
)
def test_starting_numbers_at_a_known_share(need: int, share: float, wish: float, started: int) -> None:
    """With the share of good units known, the numbers are those of the binomial law."""
    good_a, good_b = beta_from(share, KNOWN)
    assert fewest_started(need, good_a, good_b, wish, 100) == started


def test_chances_of_the_worked_example() -> None:
    """15 good of 37 at a share of 0.4 have the chance 0.5355, of 36 only 0.4819."""
    good_a, good_b = beta_from(0.4, KNOWN)
    chances = [chance_at_least(beta_binomial_pmf(n, good_a, good_b), 15) for n in (37, 36)]
    # Printed to four places; the finite weight shifts the seventh.
    assert chances == pytest.approx([0.5355, 0.4819], abs=0.00006)


def test_mean_and_variance() -> None:
    """Ten units at Beta(5, 2) have the mean 7.142857 and the variance 4.336735 (cprior documentation)."""
    pmf = beta_binomial_pmf(10, 5, 2)
    mean = sum(x * p for x, p in enumerate(pmf))
    variance = sum((x - mean) ** 2 * p for x, p in enumerate(pmf))
    assert (mean, variance) == (pytest.approx(7.142857, abs=1e-6), pytest.approx(4.336735, abs=1e-6))


@pytest.mark.parametrize(
    ("n", "a", "b"), [(1, 1, 1), (10, 5, 2), (7, 0.5, 0.5), (60, 17.5, 3.5), (400, 90, 10), (30, 0.2, 40)]
)
def test_beta_binomial_against_scipy(n: int, a: float, b: float) -> None:
    """Every probability is that of scipy's beta-binomial law."""
    law = stats.betabinom(n, a, b)
    # Both subtract logarithms of gamma functions of up to about 2000, good to 1e-12 of that.
    assert beta_binomial_pmf(n, a, b) == pytest.approx(
        [float(law.pmf(x)) for x in range(n + 1)], rel=1e-8, abs=1e-15
    )


def test_no_spares_beat_the_loss_of_whole_loads() -> None:
    """At 5 % loss of a load, one load a stage, three stages stay below 0.95 cubed or 0.857 (arithmetic)."""
    chances = [chance_at_least(survivors([[units]], 17, 3, 0.05, 0.0), 4) for units in (4, 8, 20, 60)]
    assert chances == sorted(chances)
    assert 0.85 < chances[-1] ** 3 <= 0.95**3 + 1e-12
