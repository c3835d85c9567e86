from math import inf

import numpy as np
import pytest

from wearmodel.driveline.angles import (
    Geometry,
    JointSwing,
    ShaftLine,
    check_geometry,
    joint_angle,
    joint_swing,
)
from wearmodel.driveline.layouts import LAYOUTS, positions_of

ONE_PIECE = ShaftLine((1300.0,), (2.0, 3.0))
TWO_PIECE = ShaftLine((760.0, 1040.0), (1.5, 2.0, 2.5))
THREE_PIECE = ShaftLine((600.0, 700.0, 900.0), (1.0, 1.5, 2.0, 2.5))
FRONT = ShaftLine((650.0,), (3.0, 3.5))
FULL = Geometry({"rear": TWO_PIECE, "front": FRONT}, half_shaft_length=420.0, half_shaft_angle=4.0)


def swing(position: str, driveline: str, geometry: Geometry = FULL) -> JointSwing | None:
    return joint_swing(position, driveline=driveline, geometry=geometry)


@pytest.mark.parametrize(
    ("position", "expected"),
    [
        ("rear.joint_front", JointSwing(1.5, inf)),
        ("rear.joint_centre", JointSwing(2.0, 1040.0)),
        ("rear.joint_rear", JointSwing(2.5, 1040.0)),
        ("rear.support_bearing", JointSwing(2.0, 1040.0)),
    ],
)
def test_two_piece_line_swings_with_its_last_shaft(position: str, expected: JointSwing) -> None:
    assert swing(position, "rear_two_piece") == expected


@pytest.mark.parametrize(
    ("position", "expected"),
    [
        ("rear.joint_1", JointSwing(1.0, inf)),
        ("rear.joint_2", JointSwing(1.5, inf)),
        ("rear.joint_3", JointSwing(2.0, 900.0)),
        ("rear.joint_4", JointSwing(2.5, 900.0)),
        ("rear.support_bearing_1", JointSwing(1.5, inf)),
        ("rear.support_bearing_2", JointSwing(2.0, 900.0)),
    ],
)
def test_three_piece_line(position: str, expected: JointSwing) -> None:
    assert swing(position, "rear_three_piece", Geometry({"rear": THREE_PIECE})) == expected


def test_one_piece_line_swings_at_both_ends() -> None:
    geometry = Geometry({"rear": ONE_PIECE})
    assert swing("rear.joint_front", "rear_one_piece", geometry) == JointSwing(2.0, 1300.0)
    assert swing("rear.joint_rear", "rear_one_piece", geometry) == JointSwing(3.0, 1300.0)


def test_front_line_swings_with_a_solid_axle_only() -> None:
    assert swing("front.joint_front", "four_wheel_solid") == JointSwing(3.0, 650.0)
    assert swing("front.joint_front", "four_wheel_independent") == JointSwing(3.0, inf)


@pytest.mark.parametrize("end", ["outboard_joint", "outboard_boot", "inboard_joint", "inboard_boot"])
def test_half_shaft_joints_and_boots_share_one_swing(end: str) -> None:
    assert swing(f"left.{end}", "all_wheel") == JointSwing(4.0, 420.0)


def test_slip_spline_takes_the_last_joint_of_its_line() -> None:
    assert swing("rear.slip_spline", "rear_two_piece+slip_spline") == JointSwing(2.5, 1040.0)
    assert swing("rear.slip_spline", "slip_spline") is None


@pytest.mark.parametrize(
    ("position", "driveline"),
    [
        ("axle_left.joint", "four_wheel_solid"),
        ("steering.joint_upper", "rear_two_piece+steering_shaft"),
    ],
)
def test_positions_the_geometry_says_nothing_of(position: str, driveline: str) -> None:
    assert swing(position, driveline) is None


def test_no_half_shaft_geometry_gives_none() -> None:
    assert swing("left.outboard_boot", "front_half_shafts", Geometry({})) is None


def test_a_line_of_another_number_of_joints_is_not_used_and_is_named() -> None:
    assert swing("rear.joint_rear", "rear_one_piece") is None
    (clause,) = check_geometry(FULL, driveline="rear_one_piece")
    assert "'rear' has 3 joint angles" in clause
    assert "2 joints" in clause
    assert check_geometry(FULL, driveline="four_wheel_independent") == ()


def test_a_line_the_driveline_lacks_is_no_fault() -> None:
    assert check_geometry(FULL, driveline="rear_two_piece") == ()


def test_a_line_of_an_own_layout_keeps_its_angles() -> None:
    own = {**LAYOUTS, "pto_shaft": {"pto.joint_front": "pto_joint", "pto.joint_rear": "pto_joint"}}
    geometry = Geometry({"pto": ShaftLine((500.0,), (5.0, 6.0))})
    found = joint_swing("pto.joint_rear", driveline="pto_shaft", geometry=geometry, layouts=own)
    assert found == JointSwing(6.0, inf)


def test_unknown_position_is_refused() -> None:
    with pytest.raises(ValueError, match=r"no position 'rear\.joint_centre'"):
        swing("rear.joint_centre", "rear_one_piece")


def test_every_shipped_position_has_an_answer() -> None:
    for layout in LAYOUTS:
        for position in positions_of(layout):
            found = swing(position, layout)
            assert found is None or found.length > 0.0


def test_factory_height_leaves_the_angle() -> None:
    assert joint_angle([1.5, -2.0, 30.0], length=800.0, lift=0.0) == pytest.approx([1.5, 2.0, 30.0])


def test_infinite_length_ignores_lift() -> None:
    assert joint_angle(2.0, length=np.inf, lift=[0.0, 50.0, 100.0]) == pytest.approx([2.0, 2.0, 2.0])


def test_lift_raises_the_far_end_by_just_the_lift() -> None:
    length, lift = 420.0, np.array([-20.0, 40.0, 75.0, 100.0])
    raised = joint_angle(4.0, length=length, lift=lift)
    drop = length * (np.sin(np.radians(raised)) - np.sin(np.radians(4.0)))
    assert drop == pytest.approx(lift)


def test_lowering_through_level_gives_a_positive_angle() -> None:
    below = np.degrees(np.arcsin(0.03 - np.sin(np.radians(1.0))))
    assert joint_angle(1.0, length=1000.0, lift=-30.0) == pytest.approx(below)


def test_angle_broadcasts() -> None:
    assert joint_angle([[1.0], [2.0]], length=[500.0, 600.0, 700.0], lift=50.0).shape == (2, 3)


@pytest.mark.parametrize(
    ("angle", "length", "lift", "message"),
    [
        (90.0, 400.0, 0.0, "below 90"),
        (-95.0, 400.0, 0.0, "below 90"),
        (4.0, 0.0, 0.0, "above 0 mm"),
        (4.0, 100.0, 150.0, "more than the length"),
        (4.0, 100.0, -150.0, "more than the length"),
    ],
)
def test_impossible_geometry_is_refused(angle: float, length: float, lift: float, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        joint_angle(angle, length=length, lift=lift)
