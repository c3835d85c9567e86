import pytest

from wearmodel.driveline.angle_limits import ANGLE_LIMITS, AngleLimits, angle_flag, angle_remark, limits_for


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


@pytest.mark.parametrize(
    ("angle", "flag"),
    [(0.0, "straight"), (0.5, "low"), (2.0, "best"), (4.0, "best"), (4.1, "raised"), (10.0, "raised"), (10.01, "high")],
)
def test_flags_of_a_universal_joint(angle: float, flag: str) -> None:
    assert angle_flag(angle, component="u_joint") == flag
    assert angle_flag(-angle, component="u_joint") == flag


def test_a_boot_goes_by_its_joint() -> None:
    assert limits_for("cv_boot_inboard") == ANGLE_LIMITS["cv_joint_inboard"]
    assert angle_flag(20.0, component="cv_boot_inboard") == "within"
    assert angle_flag(20.1, component="cv_boot_inboard") == "high"
    assert angle_flag(20.1, component="cv_boot_outboard") == "within"


def test_limits_of_the_fleet_go_before_common_practice() -> None:
    own = {**ANGLE_LIMITS, "u_joint": AngleLimits(7.5, best_low=1.0, best_high=3.0), "pto_joint": AngleLimits(15.0)}
    assert angle_flag(8.0, component="u_joint", limits=own) == "high"
    assert angle_remark(8.0, component="u_joint", limits=own) == "on the high side: above about 7.5 degrees"
    assert angle_flag(0.0, component="u_joint", limits=own) == "low"
    assert angle_remark(12.0, component="pto_joint", limits=own) == "not above about 15 degrees"
    assert angle_flag(12.0, component="pto_joint") == ""
