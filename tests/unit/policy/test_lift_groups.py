"""Lift levels a fleet is shown by."""

import numpy as np

from wearmodel.policy.lift_groups import lift_levels, nearest_level


def test_no_raised_vehicle():
    assert lift_levels([]) == (0.0,)
    assert lift_levels([0.0, -10.0]) == (0.0,)
    np.testing.assert_array_equal(nearest_level([0.0, 40.0], (0.0,)), [0.0, 0.0])


def test_few_lifts_stay_as_they_are():
    assert lift_levels([50, 51, 75, 0]) == (0.0, 50.0, 75.0)


def test_many_lifts_are_grouped():
    levels = lift_levels(np.arange(10, 200, 7))
    assert levels[0] == 0.0
    assert len(levels) == 5
    assert list(levels) == sorted(levels)


def test_a_small_lift_is_still_raised():
    assert lift_levels([1.0]) == (0.0, 5.0)
    np.testing.assert_array_equal(nearest_level([-5, 0, 1, 60, 500], (0.0, 50.0, 75.0)), [0, 0, 50, 50, 75])
