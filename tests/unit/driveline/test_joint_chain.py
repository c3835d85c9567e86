import numpy as np
import pytest

from wearmodel.driveline.joint_chain import residual_angle, small_angle_residual

CALLS = [residual_angle, small_angle_residual]


@pytest.mark.parametrize("call", CALLS)
def test_one_joint_is_its_own_residual(call) -> None:
    angles = np.array([[0.0], [1e-3], [7.0], [-7.0], [60.0]])
    assert call(angles) == pytest.approx([0.0, 1e-3, 7.0, 7.0, 60.0], rel=1e-9)


@pytest.mark.parametrize("call", CALLS)
def test_equal_joints_in_line_cancel_and_a_half_turn_changes_nothing(call) -> None:
    assert call([6.0, 6.0]) == pytest.approx(0.0, abs=1e-6)
    assert call([6.0, 4.0], twists=[180.0]) == pytest.approx(float(call([6.0, 4.0])))


def test_the_order_of_two_joints_does_not_matter() -> None:
    assert residual_angle([9.0, 4.0], twists=[20.0]) == pytest.approx(residual_angle([4.0, 9.0], twists=[20.0]))


def test_a_joint_at_zero_hands_the_turn_on() -> None:
    assert residual_angle([7.0, 0.0], twists=[33.0]) == pytest.approx(7.0)


@pytest.mark.parametrize("call", CALLS)
def test_chains_of_many_rows(call) -> None:
    angles = np.array([[[5.0, 3.0, 2.0], [8.0, 6.0, 1.0]]])
    assert call(angles, twists=[10.0, 0.0]).shape == (1, 2)
    assert call(angles, twists=[10.0, 0.0])[0, 1] == pytest.approx(call(angles[0, 1], twists=[10.0, 0.0]))


@pytest.mark.parametrize("call", CALLS)
@pytest.mark.parametrize(
    ("angles", "twists", "message"),
    [
        ([5.0, 90.0], None, "below 90"),
        ([5.0, float("nan")], None, "below 90"),
        ([], None, "at least one"),
        (5.0, None, "at least one"),
        ([5.0, 5.0], [1.0, 2.0], "one twist"),
        ([5.0, 5.0], 3.0, "one twist"),
        ([5.0, 5.0], [float("inf")], "number of degrees"),
    ],
)
def test_impossible_chains_are_refused(call, angles, twists, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call(angles, twists=twists)
