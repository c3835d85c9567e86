"""Probabilities and remaining life of fitted parts."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.policy.fitted import FittedParts, age_points, fail_probability, remaining_distance
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.vehicle_frailties import alike
from wearmodel.survival.weibull import fail_within, remaining

NONE = np.zeros(1)
VALUES = np.array([np.log(100_000.0), np.log(2.5)])


def parts_of(run, design, part):
    count = int(part.max()) + 1
    frame = pd.DataFrame({"age_known": np.ones(count, dtype=bool)})
    return FittedParts(
        frame, part, np.searchsorted(part, np.arange(count)), design, np.asarray(run, dtype=float), np.zeros(len(part)),
        np.zeros(count), np.zeros(count), alike(count),
    )


def test_known_age_equals_the_weibull_look_up():
    """Reference: eta 100,000, beta 2.5, age 60,000 (quadrature and gamma-function form agree)."""
    parts = parts_of([60_000.0], np.ones((1, 1)), np.array([0]))
    points, pace = age_points(parts, VALUES, other_rate=0.0), parts.pace(VALUES)
    chance = fail_probability(points, shape=2.5, ahead=20_000.0 * pace, tail=NONE)
    assert chance[0] == pytest.approx(0.254409384, abs=1e-9)
    left = remaining_distance(points, shape=2.5, pace=pace, tail=NONE, fraction=0.5)
    assert left[0] == pytest.approx(38870.5295, abs=1e-3)
    left = remaining_distance(points, shape=2.5, pace=pace, tail=NONE, fraction=0.1)
    assert left[0] == pytest.approx(8207.14472, abs=1e-3)


def test_a_raised_stretch_counts_by_its_pace():
    """Half of the way at twice the wear: the same as one and a half times the distance."""
    values = np.array([np.log(100_000.0), -np.log(2.0), np.log(2.5)])
    design = np.array([[1.0, 0.0], [1.0, 1.0]])
    parts = parts_of([30_000.0, 30_000.0], design, np.array([0, 0]))
    assert parts.operational_age(values)[0] == pytest.approx(0.9)
    assert parts.pace(values)[0] == pytest.approx(2.0 / 100_000.0)
    points = age_points(parts, values, other_rate=0.0)
    got = fail_probability(points, shape=2.5, ahead=np.array([10_000.0]) * parts.pace(values), tail=NONE)
    assert got[0] == pytest.approx(float(fail_within(45_000.0, 10_000.0, shape=2.5, scale=50_000.0)), rel=1e-12)


def test_draws_have_one_column_each():
    parts = parts_of([10_000.0, 20_000.0], np.ones((2, 1)), np.array([0, 1]))
    draws = np.tile(VALUES, (5, 1)) + np.arange(5)[:, None] * 0.01
    assert parts.operational_age(draws).shape == (2, 5)
    np.testing.assert_allclose(parts.operational_age(draws)[:, 0], parts.operational_age(VALUES))


def test_a_mixture_lies_between_its_ages():
    points = AgePoints(psi=np.array([[0.2, 0.8]]), weight=np.array([[0.5, 0.5]]))
    one = np.array([1.0])
    left = remaining_distance(points, shape=2.5, pace=one, tail=NONE, fraction=0.5)[0]
    young, old = (float(remaining(age, shape=2.5, scale=1.0)) for age in (0.2, 0.8))
    assert old < left < young
    assert fail_probability(points, shape=2.5, ahead=np.array([left]), tail=NONE)[0] == pytest.approx(0.5, abs=1e-9)


def test_wear_that_shows_only_at_a_look_may_be_there_already():
    """Seen good at 0.6, now at 0.8: the chance counts from the look."""
    points = AgePoints(psi=np.array([[0.8]]), weight=np.ones((1, 1)))
    got = fail_probability(points, shape=2.5, ahead=np.array([0.1]), tail=np.array([0.2]))
    assert got[0] == pytest.approx(float(fail_within(0.6, 0.3, shape=2.5, scale=1.0)), rel=1e-12)
    left = remaining_distance(points, shape=2.5, pace=np.ones(1), tail=np.array([0.2]), fraction=0.01)
    assert left[0] == 0.0


def test_distinct_rows_are_those_that_numpy_finds():
    rng = np.random.default_rng(4)
    design = np.column_stack([np.ones(500), rng.integers(3, size=500) - 1.0, rng.choice([0.5, -2.25, 7.0], 500)])
    rows, kind = parts_of(np.ones(500), design, np.arange(500))._kinds
    expected, place = np.unique(design, axis=0, return_inverse=True)
    np.testing.assert_array_equal(rows, expected)
    np.testing.assert_array_equal(kind, place.ravel())
