import numpy as np
import pytest

from wearmodel.driveline.kinematics import (
    angle_error,
    angle_remark,
    compound_angle,
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


@pytest.mark.parametrize("call", [speed_ripple, angle_error, lambda b: speed_ratio(b, rotation=0.0)])
def test_right_angles_are_refused(call: object) -> None:
    with pytest.raises(ValueError, match="below 90"):
        call([10.0, 90.0])  # type: ignore[operator]
    with pytest.raises(ValueError, match="below 90"):
        compound_angle(10.0, 95.0)


# Common practice, no source: 2 to 4 degrees, about 10, never dead straight; CV joints 40 and 20.
@pytest.mark.parametrize(
    ("angle", "component", "words"),
    [
        (0.2, "u_joint", "nearly straight"),
        (1.0, "u_joint", "below the usual"),
        (3.0, "u_joint", "within the usual"),
        (-3.0, "u_joint", "within the usual"),
        (6.0, "u_joint", "above the usual"),
        (12.0, "u_joint", "high side"),
        (39.0, "cv_joint_outboard", "within"),
        (41.0, "cv_boot_outboard", "beyond"),
        (21.0, "cv_joint_inboard", "beyond"),
        (19.0, "cv_boot_inboard", "within"),
    ],
)
def test_remarks_follow_common_practice(angle: float, component: str, words: str) -> None:
    assert words in angle_remark(angle, component=component)


def test_no_remark_without_a_rule_or_an_angle() -> None:
    assert angle_remark(3.0, component="support_bearing") == ""
    assert angle_remark(float("nan"), component="u_joint") == ""
