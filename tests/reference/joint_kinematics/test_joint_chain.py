"""Several universal joints in a row: sources of every figure in the README beside this file.

Three independent answers: printed figures; joint after joint by the angle relation, step by step through a turn; and
crosses turned in space, which know nothing of that relation.
"""

from itertools import pairwise
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from numpy.typing import NDArray

from wearmodel.driveline.joint_chain import residual_angle, small_angle_residual
from wearmodel.driveline.kinematics import peak_acceleration, speed_ripple

HERE = Path(__file__).parent
TWO_JOINTS = pd.read_csv(HERE / "two_joints.csv")
SECOND_ANGLES = pd.read_csv(HERE / "second_joint_angles.csv")
HALF_LAST_PLACE = 5e-6
#: Peak acceleration that the published table of second angles keeps to, inferred from it [rad/s^2].
PUBLISHED_ACCELERATION = 400.0
Array = NDArray[np.float64]


def pairs(column: str) -> Array:
    return TWO_JOINTS[column].to_numpy(dtype=float)


def test_two_joints_exactly() -> None:
    # Source: composition of two joints' angle relations, computed independently for the reference.
    found = residual_angle(np.column_stack([pairs("first"), pairs("second")]), twists=pairs("twist")[:, None])
    assert found == pytest.approx(pairs("exact"), abs=HALF_LAST_PLACE)


def test_rule_for_two_joints() -> None:
    # Source: small-angle rule of the trade, written out for two joints.
    first, second, twist = pairs("first"), pairs("second"), np.radians(pairs("twist"))
    rule = (first**4 + second**4 - 2.0 * (first * second) ** 2 * np.cos(2.0 * twist)) ** 0.25
    found = small_angle_residual(np.column_stack([first, second]), twists=pairs("twist")[:, None])
    assert found == pytest.approx(rule, abs=1e-9)
    assert found == pytest.approx(pairs("exact"), rel=5e-3)


@pytest.mark.parametrize(("joints", "residual"), [((4.0, 5.0, 3.0), 0.0), ((1.0, 4.0, 4.0), 1.0)])
def test_rule_for_three_joints(joints: tuple[float, ...], residual: float) -> None:
    # Source: the same rule, signs alternating as the yokes do.
    assert small_angle_residual(joints) == pytest.approx(residual, abs=1e-9)


def test_published_table_of_allowed_second_angles() -> None:
    # Source: Engineers Edge drive-shaft angle guide, after SAE AE-7 section 3.1.1, two-joint chart, printed to 0.1.
    speed = SECOND_ANGLES["speed"] * 2.0 * np.pi / 60.0
    left_over = np.degrees(np.sqrt(PUBLISHED_ACCELERATION) / speed)
    allowed = np.sqrt(left_over**2 + SECOND_ANGLES["first"] ** 2)
    assert SECOND_ANGLES["second"].to_numpy() == pytest.approx(allowed.to_numpy(), abs=0.1)
    at_limit = residual_angle(np.column_stack([SECOND_ANGLES["first"], allowed]))
    assert at_limit == pytest.approx(left_over.to_numpy(), rel=5e-3)
    # The square of the residual, so twice 0.5 %; and b^2 w^2 falls short by 0.3 % at 7.3 degrees (cardan_joint.csv).
    peak = peak_acceleration(at_limit, speed=SECOND_ANGLES["speed"])
    assert peak == pytest.approx(np.full(len(allowed), PUBLISHED_ACCELERATION), rel=1.3e-2)


CHAINS = [
    ([12.0], []),
    ([9.0, 4.0], [0.0]),
    ([9.0, 4.0], [25.0]),
    ([6.0, -6.0], [90.0]),
    ([3.0, 8.0, 5.0], [0.0, 0.0]),
    ([3.0, 8.0, 5.0], [15.0, -40.0]),
    ([25.0, 30.0, 15.0, 20.0], [10.0, 70.0, -5.0]),
]


def turned_step_by_step(joints: list[float], twists: list[float]) -> Array:
    """Speed of the last shaft over that of the first, by the angle relation of each joint in turn."""
    turn = np.linspace(0.0, 180.0, 3601)
    angle, speed = np.radians(turn), np.ones_like(turn)
    for joint, twist in zip(joints, [0.0, *twists], strict=True):
        angle = angle + np.radians(twist)
        cosine = np.cos(np.radians(joint))
        speed = speed * cosine / (1.0 - (np.sin(np.radians(joint)) * np.cos(angle)) ** 2)
        # Driven yokes stand a quarter turn from driving ones.
        angle = np.arctan2(np.sin(angle), np.cos(angle) * cosine) + np.pi / 2.0
    return speed


@pytest.mark.parametrize(("joints", "twists"), CHAINS)
def test_residual_angle_has_the_ripple_of_the_chain_step_by_step(joints: list[float], twists: list[float]) -> None:
    speed = turned_step_by_step(joints, twists)
    assert speed_ripple(residual_angle(joints, twists=twists)) == pytest.approx(np.ptp(speed), rel=2e-6)


def turned_in_space(joints: list[float], twists: list[float], planes: list[float]) -> Array:
    """Angle of the last shaft at each angle of the first [rad], from crosses in space.

    The pins of a cross are at right angles to each other, one pair across each shaft: the pin in the next shaft is
    at right angles to the pin in this one and to the next shaft's axis.
    """
    turn = np.radians(np.linspace(0.0, 360.0, 2881))
    axis, side = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
    pin = np.cos(turn)[:, None] * side + np.sin(turn)[:, None] * np.cross(axis, side)
    for place, (joint, plane) in enumerate(zip(joints, planes, strict=True)):
        if place:
            pin = about(pin, axis, twists[place - 1])
        hinge = about(np.cross(axis, side)[None, :], axis, plane)[0]
        onward = about(axis[None, :], hinge, joint)[0]
        # The side direction rides along, so that angles of all shafts are counted from the same mark.
        side = about(side[None, :], hinge, joint)[0]
        pin = np.cross(onward, pin)
        pin = pin / np.linalg.norm(pin, axis=1, keepdims=True)
        axis = onward
    return np.unwrap(np.arctan2(pin @ np.cross(axis, side), pin @ side))


def about(vectors: Array, axis: Array, degrees: float) -> Array:
    """Vectors turned about an axis (Rodrigues)."""
    angle = np.radians(degrees)
    along = (vectors @ axis)[:, None] * axis
    return along + (vectors - along) * np.cos(angle) + np.cross(axis, vectors) * np.sin(angle)


def ripple_in_space(joints: list[float], twists: list[float], planes: list[float]) -> float:
    angle = turned_in_space(joints, twists, planes)
    step = np.radians(360.0 / (len(angle) - 1))
    # Five-point differences around the turn.
    around = np.concatenate([angle[-4:-1] - 2.0 * np.pi, angle, angle[1:4] + 2.0 * np.pi])
    one, two = around[4:-2] - around[2:-4], around[5:-1] - around[1:-5]
    return float(np.ptp((8.0 * one - two) / (12.0 * step)))


@pytest.mark.parametrize(("joints", "twists"), CHAINS)
def test_residual_angle_has_the_ripple_of_crosses_in_space(joints: list[float], twists: list[float]) -> None:
    found = ripple_in_space(joints, twists, [0.0] * len(joints))
    assert speed_ripple(residual_angle(joints, twists=twists)) == pytest.approx(found, rel=2e-5)


@pytest.mark.parametrize(
    ("joints", "twists", "planes"),
    [
        ([9.0, 4.0], [0.0], [0.0, 30.0]),
        ([7.0, 7.0], [35.0], [0.0, 35.0]),
        ([5.0, 8.0, 6.0], [20.0, 0.0], [0.0, 50.0, -10.0]),
    ],
)
def test_joints_in_other_planes_count_by_the_twist_less_the_turn_of_the_plane(
    joints: list[float], twists: list[float], planes: list[float]
) -> None:
    counted = [twist - (after - before) for twist, (before, after) in zip(twists, pairwise(planes), strict=True)]
    found = ripple_in_space(joints, twists, planes)
    # A residual of 0 leaves only the rounding of the differences.
    assert speed_ripple(residual_angle(joints, twists=counted)) == pytest.approx(found, rel=2e-5, abs=1e-9)
