import numpy as np
import pytest

from wearmodel.driveline.kinematics import (
    angle_error,
    compound_angle,
    peak_acceleration,
    speed_ratio,
    speed_ripple,
)

ANGLES = np.linspace(0.0, 60.0, 25)


def test_mean_speed_over_a_turn_is_the_driving_speed() -> None:
    turn = np.arange(0.0, 360.0, 0.25)
    assert speed_ratio(35.0, rotation=turn).mean() == pytest.approx(1.0, abs=1e-12)


def test_ripple_is_the_spread_of_the_speed_ratio() -> None:
    spread = speed_ratio(ANGLES, rotation=0.0) - speed_ratio(ANGLES, rotation=90.0)
    assert speed_ripple(ANGLES) == pytest.approx(spread, abs=1e-13)


def test_angle_error_is_the_greatest_lag_of_the_driven_shaft() -> None:
    turn = np.radians(np.linspace(0.0, 90.0, 200_001))
    for joint in (3.0, 15.0, 40.0):
        driven = np.arctan2(np.tan(turn), np.cos(np.radians(joint)))
        assert angle_error(joint) == pytest.approx(np.degrees(np.abs(driven - turn)).max(), abs=1e-7)


def test_a_straight_joint_turns_evenly() -> None:
    assert speed_ratio(0.0, rotation=[0.0, 45.0, 90.0]) == pytest.approx([1.0, 1.0, 1.0])
    assert float(speed_ripple(0.0)) == 0.0
    assert float(angle_error(0.0)) == 0.0


def test_small_angles_keep_their_digits() -> None:
    tiny = 1e-4
    assert speed_ripple(tiny) == pytest.approx(np.radians(tiny) ** 2, rel=1e-9)


def test_compound_angle_of_one_view_is_that_view() -> None:
    assert compound_angle(ANGLES, 0.0) == pytest.approx(ANGLES)
    assert compound_angle(0.0, -7.0) == pytest.approx(7.0)


@pytest.mark.parametrize(
    "call",
    [speed_ripple, angle_error, lambda b: speed_ratio(b, rotation=0.0), lambda b: peak_acceleration(b, speed=1.0)],
)
def test_right_angles_are_refused(call: object) -> None:
    with pytest.raises(ValueError, match="below 90"):
        call([10.0, 90.0])  # type: ignore[operator]
    with pytest.raises(ValueError, match="below 90"):
        compound_angle(10.0, 95.0)


@pytest.mark.parametrize("speed", [-1.0, float("nan"), float("inf")])
def test_impossible_speeds_are_refused(speed: float) -> None:
    with pytest.raises(ValueError, match="0 rpm or more"):
        peak_acceleration(5.0, speed=speed)


def test_acceleration_goes_with_the_square_of_the_speed_and_of_a_small_angle() -> None:
    assert peak_acceleration(4.0, speed=3000.0) == pytest.approx(4.0 * peak_acceleration(4.0, speed=1500.0))
    speed = 2.0 * np.pi * 1500.0 / 60.0
    assert peak_acceleration(1e-3, speed=1500.0) == pytest.approx((np.radians(1e-3) * speed) ** 2, rel=1e-9)
    assert float(peak_acceleration(0.0, speed=1500.0)) == 0.0
