import pytest

from wearmodel.driveline.layouts import COMPONENTS, LAYOUTS, UnknownLayoutError, positions_of

HALF_SHAFT_ENDS = {"outboard_joint", "outboard_boot", "inboard_joint", "inboard_boot"}


def test_every_layout_position_holds_a_known_component() -> None:
    assert len(LAYOUTS) == 9
    for layout in LAYOUTS.values():
        assert set(layout.values()) <= set(COMPONENTS)


@pytest.mark.parametrize(
    ("layout", "count"),
    [
        ("rear_one_piece", 2),
        ("rear_two_piece", 4),
        ("rear_three_piece", 6),
        ("front_half_shafts", 8),
        ("four_wheel_solid", 6),
        ("four_wheel_independent", 14),
        ("all_wheel", 12),
        ("slip_spline", 1),
        ("steering_shaft", 2),
    ],
)
def test_number_of_positions(layout: str, count: int) -> None:
    assert len(positions_of(layout)) == count


def test_half_shaft_positions_name_end_and_component() -> None:
    positions = positions_of("front_half_shafts")
    assert set(positions) == {f"{side}.{end}" for side in ("left", "right") for end in HALF_SHAFT_ENDS}
    assert positions["right.inboard_boot"] == "cv_boot_inboard"
    assert positions["left.outboard_joint"] == "cv_joint_outboard"


def test_joints_stand_in_order_from_the_driving_end() -> None:
    joints = [p for p in positions_of("rear_two_piece") if ".joint" in p]
    assert joints == ["rear.joint_front", "rear.joint_centre", "rear.joint_rear"]


def test_joined_layouts_add_up() -> None:
    joined = positions_of("rear_two_piece + steering_shaft")
    assert joined == {**LAYOUTS["rear_two_piece"], **LAYOUTS["steering_shaft"]}


def test_unknown_layout_names_the_nearest() -> None:
    with pytest.raises(UnknownLayoutError, match=r"'rear_two_peice' is not a known layout") as caught:
        positions_of("rear_two_peice+steering_shaft")
    assert caught.value.nearest == "rear_two_piece"
    assert "(nearest: 'rear_two_piece')" in str(caught.value)


@pytest.mark.parametrize("driveline", ["", "rear_one_piece+", "+"])
def test_empty_layout_name_is_unknown(driveline: str) -> None:
    with pytest.raises(UnknownLayoutError):
        positions_of(driveline)


def test_a_position_twice_is_refused() -> None:
    with pytest.raises(ValueError, match=r"'rear\.joint_front' twice"):
        positions_of("rear_one_piece+rear_two_piece")


def test_own_layouts_take_part() -> None:
    own = {**LAYOUTS, "pto_shaft": {"pto.joint_front": "pto_joint"}}
    assert positions_of("rear_one_piece+pto_shaft", own)["pto.joint_front"] == "pto_joint"


def test_shipped_tables_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        LAYOUTS["rear_one_piece"]["rear.joint_front"] = "x"  # type: ignore[index]
