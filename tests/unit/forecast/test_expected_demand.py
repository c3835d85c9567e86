"""Expected demand by month against renewal theory and against drawn futures."""

import numpy as np
import pytest

from wearmodel.forecast.expected_demand import expected_demand
from wearmodel.forecast.other_renewals import constant_rates
from wearmodel.forecast.renewal_paths import simulate_paths
from wearmodel.forecast.starts import Looks
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import age_points
from wearmodel.survival.renewal import expected_replacements
from wearmodel.survival.weibull import fail_within

SHAPE, SCALE = 2.5, 100.0
SEASON = np.array([0.7, 0.8, 1.0, 1.2, 1.3, 1.0])


def running(count, *, each=50.0, alike=True):
    """Six months of running, of one season or each vehicle by its own."""
    if alike:
        return np.linspace(0.5, 1.5, count)[:, None] * each * SEASON
    return np.random.default_rng(1).uniform(0.2, 1.8, (count, 6)) * each


@pytest.mark.parametrize("alike", [True, False])
@pytest.mark.parametrize("each", [2.0, 50.0, 400.0])
def test_sums_are_the_renewal_function_of_aged_parts(alike, each):
    """From a tenth of a life to more than twenty lives ahead."""
    ages, distance = np.linspace(0.0, 150.0, 40), running(40, each=each, alike=alike)
    found = expected_demand(ages / SCALE, np.full(40, 1.0 / SCALE), distance, shape=SHAPE)
    expected = expected_replacements(ages, distance.sum(axis=1), shape=SHAPE, scale=SCALE)
    np.testing.assert_allclose(found.sum(axis=1), expected, rtol=4e-3)
    assert found.sum() == pytest.approx(expected.sum(), rel=1e-3)


def test_each_month_is_the_difference_of_renewal_functions():
    ages, distance = np.linspace(0.0, 150.0, 40), running(40)
    found = np.cumsum(expected_demand(ages / SCALE, np.full(40, 1.0 / SCALE), distance, shape=SHAPE), axis=1)
    for month, driven in enumerate(np.cumsum(distance, axis=1).T):
        expected = expected_replacements(ages, driven, shape=SHAPE, scale=SCALE)
        np.testing.assert_allclose(found[:, month], expected, rtol=4e-3, atol=1e-3)


def test_first_failures_are_exact():
    """Where hardly anything fails twice nothing is left of the grid."""
    ages, distance = np.linspace(10.0, 90.0, 9), running(9, each=0.2)
    found = expected_demand(ages / SCALE, np.full(9, 1.0 / SCALE), distance, shape=SHAPE)
    exact = fail_within(ages[:, None], np.cumsum(distance, axis=1), shape=SHAPE, scale=SCALE)
    np.testing.assert_allclose(np.cumsum(found, axis=1), exact, rtol=2e-4)


def test_vehicles_that_stand_and_months_without_running():
    distance = np.array([[0.0, 0.0, 0.0], [10.0, 0.0, 10.0]])
    found = expected_demand(np.array([0.5, 0.5]), np.full(2, 0.01), distance, shape=SHAPE)
    assert (found[0] == 0.0).all() and found[1, 1] == pytest.approx(0.0, abs=1e-6) and (found[1, [0, 2]] > 0).all()


def test_neither_order_nor_company_matters():
    ages, distance = np.linspace(0.0, 1.5, 30), running(30, alike=False)
    pace = np.geomspace(1e-3, 1e-1, 30)
    whole = expected_demand(ages, pace, distance, shape=SHAPE, other_rate=1e-3)
    turned = expected_demand(ages[::-1], pace[::-1], distance[::-1], shape=SHAPE, other_rate=1e-3)
    np.testing.assert_allclose(turned[::-1], whole, rtol=1e-5, atol=1e-7)


@pytest.mark.parametrize("rate", [0.0, 2e-3])
def test_drawn_futures_have_the_same_mean(make_parts, rate):
    """Two independent answers: renewals followed one by one, with other reasons to renew among them."""
    count, draws = 60, 4000
    ages, distance = np.linspace(0.0, 150.0, count), running(count)
    values = np.tile(np.log([SCALE, SHAPE]), (draws, 1))
    usage = Usage(tuple(f"m{i}" for i in range(6)), np.full(6, 30.0), distance, 0.0, np.ones(count, dtype=bool))
    parts = make_parts(ages)
    events = simulate_paths(
        parts, points=age_points(parts, values[0], other_rate=0.0), values=values, factors=np.ones(draws),
        usage=usage, rates=constant_rates(planned=rate, beside=0.0, mishap=0.0, along=0.0),
        looks=Looks(0.0, np.full(count, np.nan)), interval=None, rng=np.random.default_rng(1),
    )  # fmt: skip
    drawn = np.bincount(events.month, minlength=6) / draws
    expected = expected_demand(ages / SCALE, np.full(count, 1.0 / SCALE), distance, shape=SHAPE, other_rate=rate)
    # Counts of renewals vary less than Poisson counts of their mean: four standard errors of one month.
    error = np.sqrt(expected.sum(axis=0) / draws)
    np.testing.assert_array_less(np.abs(drawn - expected.sum(axis=0)), 4.0 * error)
    assert drawn.sum() == pytest.approx(expected.sum(), rel=3e-3)
