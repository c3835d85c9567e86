"""Needle-bearing life against angle, speed and torque: sources in the README beside this file."""

import numpy as np
import pytest

from wearmodel.driveline.bearing_life import (
    ROLLER_EXPONENT,
    bearing_life_ratio,
    equivalent_angle,
    load_life_ratio,
)


def test_rating_life_of_balls_and_rollers() -> None:
    # Source: ISO 281, L10 = (C/P)^p million revolutions at C/P = 5: from a load equal to the capacity to a fifth of it.
    assert load_life_ratio(0.2, exponent=3.0) == pytest.approx(125.0)
    assert load_life_ratio(0.2) == pytest.approx(213.746993, abs=5e-7)


@pytest.mark.parametrize(
    ("load", "exponent", "ratio"),
    [(2.0, 3.0, 0.125), (2.0, ROLLER_EXPONENT, 0.0992125657), (1.1, ROLLER_EXPONENT, 0.727820666)],
)
def test_life_under_another_load(load: float, exponent: float, ratio: float) -> None:
    # Source: ISO 281, ratios of the rating life.
    assert load_life_ratio(load, exponent=exponent) == pytest.approx(ratio, abs=5e-10)


def test_double_the_angle_half_the_life() -> None:
    # Source: driveshaft trade page; double speed likewise, double torque by ISO 281.
    assert bearing_life_ratio(6.0, reference_angle=3.0) == pytest.approx(0.5)
    assert bearing_life_ratio(3.0, reference_angle=3.0, speed_ratio=2.0) == pytest.approx(0.5)
    assert bearing_life_ratio(3.0, reference_angle=3.0, torque_ratio=2.0) == pytest.approx(0.0992125657, abs=5e-10)


def test_ratio_of_lives_in_hours() -> None:
    # Source: L10h = 1.5e6 / (n b) (C/P)^(10/3), derived from ISO 281 for a rocking cross: 430886.938 h at 1500 rpm,
    # 5 degrees and C/P = 10. At 2000 rpm, 7 degrees and C/P = 8 by the same formula:
    hours = 1.5e6 / (2000.0 * 7.0) * 8.0 ** (10.0 / 3.0)
    found = bearing_life_ratio(7.0, reference_angle=5.0, speed_ratio=2000.0 / 1500.0, torque_ratio=10.0 / 8.0)
    assert found == pytest.approx(hours / 430886.938, rel=1e-8)


def test_mean_angle_by_time_share() -> None:
    # Source: linear damage, 0.7 of the time at 3 and 0.3 at 8 degrees.
    mean = equivalent_angle([3.0, 8.0], shares=[0.7, 0.3])
    assert mean == pytest.approx(4.5)
    assert bearing_life_ratio(mean, reference_angle=3.0) == pytest.approx(0.6666667, abs=5e-8)


def test_mean_angle_wears_as_much_as_turn_by_turn() -> None:
    # Independent answer: shares of life used up, added turn by turn over angles drawn by their shares.
    rng = np.random.default_rng(7)
    angles, shares = np.array([0.3, 2.0, 6.0, 11.0]), np.array([0.1, 0.5, 0.3, 0.1])
    turns = rng.choice(angles, size=400_000, p=shares)
    used = np.mean(1.0 / bearing_life_ratio(turns, reference_angle=4.0))
    mean = equivalent_angle(angles, shares=shares)
    assert 1.0 / bearing_life_ratio(mean, reference_angle=4.0) == pytest.approx(used, rel=5e-3)


def test_life_grows_no_further_below_the_floor() -> None:
    below = bearing_life_ratio([0.0, 0.5, 1.0], reference_angle=2.0)
    assert below == pytest.approx([2.0, 2.0, 2.0])
    assert bearing_life_ratio(2.0, reference_angle=0.0, floor=0.5) == pytest.approx(0.25)
    assert bearing_life_ratio(-4.0, reference_angle=2.0) == pytest.approx(0.5)
