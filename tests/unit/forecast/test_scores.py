"""Scores of forecast counts against scikit-learn, scipy and exact sums over distributions."""

import numpy as np
import pytest
from scipy import stats
from sklearn.metrics import mean_pinball_loss

from wearmodel.forecast.scores import QUANTILES, count_coverage, drawn_chances, pinball_loss, poisson_quantiles


def test_pinball_loss_is_that_of_scikit_learn():
    rng = np.random.default_rng(1)
    came, quantiles = rng.poisson(3.0, 200), rng.poisson(3.0, (3, 200)).astype(float)
    expected = np.mean([mean_pinball_loss(came, q, alpha=a) for q, a in zip(quantiles, QUANTILES, strict=True)])
    assert pinball_loss(came, quantiles).mean() == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize("law", [stats.poisson(0.3), stats.poisson(4.4), stats.nbinom(3, 0.5), stats.binom(7, 0.2)])
def test_a_right_law_covers_four_fifths_exactly(law):
    """Mean over the counts of the law itself, not over draws."""
    counts = np.arange(400)
    covered = count_coverage(law.cdf(counts - 1), law.cdf(counts))
    assert float(law.pmf(counts) @ covered) == pytest.approx(0.8, abs=1e-12)


def test_wrong_laws_cover_too_little_or_too_much():
    counts, true = np.arange(400), stats.poisson(10.0)
    narrow, wide = stats.binom(20, 0.5), stats.nbinom(5, 1.0 / 3.0)
    for law, limits in ((narrow, (0.4, 0.75)), (wide, (0.87, 1.0))):
        covered = float(true.pmf(counts) @ count_coverage(law.cdf(counts - 1), law.cdf(counts)))
        assert limits[0] < covered < limits[1]


def test_a_count_the_law_cannot_give_is_inside_or_outside():
    assert count_coverage(np.array([0.5, 0.0, 1.0]), np.array([0.5, 0.0, 1.0])).tolist() == [1.0, 0.0, 0.0]


def test_chances_of_drawn_counts():
    below, up_to = drawn_chances(np.array([2]), np.array([[0, 1, 2, 2, 5]]))
    assert (below[0], up_to[0]) == (0.4, 0.8)


def test_poisson_quantiles_are_those_of_scipy():
    mean = np.concatenate([[0.0], np.geomspace(0.01, 300.0, 60)])
    expected = np.array([stats.poisson.ppf(level, np.maximum(mean, 1e-300)) for level in QUANTILES])
    np.testing.assert_array_equal(poisson_quantiles(mean), np.maximum(expected, 0.0))
