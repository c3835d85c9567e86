"""Newton's method on surfaces whose top is known."""

import numpy as np
import pytest
from scipy.optimize import minimize

from wearmodel.survival.newton import Derivatives, climb


def bowl(top, information):
    def objective(values):
        away = values - top
        return Derivatives(float(-0.5 * away @ information @ away), -information @ away, -information)

    return objective


INFORMATION = np.array([[2.0, 0.3], [0.3, 1.0]])


def test_a_bowl_takes_one_step():
    top = np.array([0.7, -1.2])
    found = climb(bowl(top, INFORMATION), np.zeros(2))
    np.testing.assert_allclose(found.values, top, atol=1e-12)
    assert found.passes <= 3


def test_a_prior_draws_to_zero():
    precision = np.diag([0.0, 3.0])
    found = climb(bowl(np.array([1.0, 1.0]), INFORMATION), np.zeros(2), precision=precision)
    expected = np.linalg.solve(INFORMATION + precision, INFORMATION @ np.ones(2))
    np.testing.assert_allclose(found.values, expected, atol=1e-12)


def test_what_is_held_stays():
    found = climb(bowl(np.array([1.0, 1.0]), INFORMATION), np.array([0.0, 0.5]), free=np.array([True, False]))
    assert found.values[1] == 0.5
    assert found.values[0] == pytest.approx(1.0 + 0.3 * 0.5 / 2.0)


def test_a_surface_that_curves_upwards_is_climbed_all_the_same():
    """The logarithm of a Cauchy density curves upwards far out: Newton's own step would run away."""

    def objective(values):
        x = values[0]
        return Derivatives(
            float(-np.log1p(x**2)),
            np.array([-2 * x / (1 + x**2)]),
            np.array([[(2 * x**2 - 2) / (1 + x**2) ** 2]]),
        )

    assert climb(objective, np.array([6.0])).values[0] == pytest.approx(0.0, abs=1e-6)


def test_a_long_step_that_is_lost_costs_no_derivatives():
    """log x - x far from its top, where the first step is too long; the way is the same, told by values alone."""
    seen = {"whole": [], "value": []}

    def at(values):
        return float(np.log(values[0]) - values[0]) if values[0] > 0 else -np.inf

    def objective(values):
        seen["whole"].append(values[0])
        x = values[0] if values[0] > 0 else np.nan
        return Derivatives(at(values), np.array([1.0 / x - 1.0]), np.array([[-1.0 / x**2]]))

    def value(values):
        seen["value"].append(values[0])
        return at(values)

    plain, plainly = climb(objective, np.array([1.9])), seen["whole"].copy()
    seen["whole"].clear()
    found = climb(objective, np.array([1.9]), value=value)
    np.testing.assert_array_equal(found.values, plain.values)
    assert found.passes == plain.passes == len(plainly)
    assert len(seen["whole"]) < len(plainly)
    assert sorted({*seen["whole"], *seen["value"]}) == sorted(set(plainly))


def test_a_prior_counts_in_a_value_alone():
    """A step the likelihood gains by and the prior loses by is lost."""
    precision = np.array([[4.0]])

    def objective(values):
        x = values[0]
        return Derivatives(float(-np.log1p(x**2)), np.array([-2 * x / (1 + x**2)]), np.array([[-1e-3]]))

    ways = [
        climb(objective, np.array([-0.3]), precision=precision, value=value)
        for value in (None, lambda values: objective(values).value)
    ]
    np.testing.assert_array_equal(ways[0].values, ways[1].values)
    assert ways[0].passes == ways[1].passes


def test_impossible_points_are_stepped_back_from():
    """log x - x is no number below 0."""

    def objective(values):
        x = values[0]
        with np.errstate(invalid="ignore", divide="ignore"):
            return Derivatives(float(np.log(x) - x), np.array([1 / x - 1]), np.array([[-1 / x**2]]))

    found = climb(objective, np.array([1.9]))
    other = minimize(lambda v: v[0] - np.log(v[0]), [1.9], bounds=[(1e-6, None)])
    assert found.values[0] == pytest.approx(1.0, abs=1e-8) == pytest.approx(float(other.x[0]), abs=1e-4)


def test_the_last_step_may_be_left_to_the_caller_once_it_is_foreseen_to_reach_the_top():
    """log x - x from 0.8: Newton's distance from the top at 1 is squared by each step, 0.2, 0.04, 0.0016, ..."""
    evaluated = []

    def objective(values):
        x = values[0]
        evaluated.append(x)
        return Derivatives(float(np.log(x) - x), np.array([1 / x - 1]), np.array([[-1 / x**2]]))

    whole = climb(objective, np.array([0.8]))
    before = climb(objective, np.array([0.8]), leave_last_step=True)
    assert before.passes < whole.passes
    after = before.values + np.linalg.solve(-before.at_top.hessian, before.at_top.gradient)
    assert after[0] == pytest.approx(1.0, abs=1e-9)
    left = 2.0 * (-1.0 - (np.log(after[0]) - after[0]))
    assert left <= before.gain_left < 1e-10
    assert before.values[0] in evaluated
