import numpy as np
import pytest

from wearmodel.driveline.bearing_life import ANGLE_FLOOR, bearing_life_ratio, equivalent_angle, load_life_ratio
from wearmodel.survival import coding


def test_the_floor_is_the_one_of_the_life_curves() -> None:
    assert ANGLE_FLOOR == coding.ANGLE_FLOOR


def test_ratio_and_its_inverse() -> None:
    there = bearing_life_ratio(7.0, reference_angle=2.0, speed_ratio=1.5, torque_ratio=0.8)
    back = bearing_life_ratio(2.0, reference_angle=7.0, speed_ratio=1 / 1.5, torque_ratio=1 / 0.8)
    assert there * back == pytest.approx(1.0)


def test_shares_need_no_sum_of_one() -> None:
    assert equivalent_angle([3.0, 8.0], shares=[7.0, 3.0]) == pytest.approx(4.5)
    assert equivalent_angle([[3.0, 8.0], [2.0, 2.0]], shares=[1.0, 1.0]) == pytest.approx([5.5, 2.0])


def test_time_below_the_floor_counts_as_at_the_floor() -> None:
    assert equivalent_angle([0.0, 5.0], shares=[0.5, 0.5], floor=1.0) == pytest.approx(3.0)


@pytest.mark.parametrize("angle", [90.0, -120.0, np.nan])
def test_right_angles_are_refused(angle: float) -> None:
    with pytest.raises(ValueError, match="below 90"):
        bearing_life_ratio(angle, reference_angle=3.0)
    with pytest.raises(ValueError, match="below 90"):
        bearing_life_ratio(3.0, reference_angle=angle)
    with pytest.raises(ValueError, match="below 90"):
        equivalent_angle([angle], shares=[1.0])


@pytest.mark.parametrize("name", ["floor", "speed_ratio", "torque_ratio"])
@pytest.mark.parametrize("value", [0.0, -1.0, np.inf])
def test_ratios_not_above_zero_are_refused(name: str, value: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        bearing_life_ratio(3.0, reference_angle=3.0, **{name: value})


@pytest.mark.parametrize(("shares", "message"), [([1.0], "one share"), ([-1.0, 2.0], "0 or more"), ([0, 0], "not all")])
def test_impossible_shares_are_refused(shares: list[float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        equivalent_angle([3.0, 8.0], shares=shares)


def test_a_load_of_nothing_is_refused() -> None:
    with pytest.raises(ValueError, match="load ratio must be above 0"):
        load_life_ratio(0.0)
