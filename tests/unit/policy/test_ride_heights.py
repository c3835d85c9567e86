"""Tables on ride height: angles, flags and life ratios against hand-worked figures and other ways to them."""

import math

import numpy as np
import pandas as pd
import pytest
from ride_height_example import GEOMETRY, LIFTS, MODEL, SEEN, VEHICLES, height_fleet, height_model

from wearmodel.driveline.angle_limits import ANGLE_LIMITS, AngleLimits
from wearmodel.driveline.angles import Geometry, JointSwing, ShaftLine
from wearmodel.driveline.layouts import LAYOUTS
from wearmodel.driveline.shafts import LineTubes, ShaftLimits
from wearmodel.policy.joint_angles import find_places
from wearmodel.policy.ride_height_limits import build_ride_height_limits, lift_to_angle
from wearmodel.policy.ride_heights import (
    BEYOND,
    NOT_SETTLED,
    RIDE_HEIGHT_COLUMNS,
    build_ride_heights,
    life_ratio_there,
    lift_steps,
)
from wearmodel.policy.shaft_checks import SHAFT_CHECK_COLUMNS, build_shaft_checks
from wearmodel.survival.model import life_ratio_band


def heights_of(geometry=GEOMETRY, vehicles=VEHICLES, *, lifts=LIFTS, limits=ANGLE_LIMITS, model=MODEL, seen=SEEN):
    places = find_places(vehicles, geometry=geometry, layouts=LAYOUTS)
    return build_ride_heights(
        places, lifts=lifts, geometry=geometry, limits=limits, shaft_limits=ShaftLimits(), model=model, seen=seen
    )


def limits_of(geometry=GEOMETRY, vehicles=VEHICLES, *, lifts=LIFTS, limits=ANGLE_LIMITS, model=MODEL, seen=SEEN):
    heights = heights_of(geometry, vehicles, lifts=lifts, limits=limits, model=model, seen=seen)
    places = find_places(vehicles, geometry=geometry, layouts=LAYOUTS)
    return build_ride_height_limits(places, ride_heights=heights, limits=limits, seen=seen).set_index("vehicle_class")


def one_class(line: ShaftLine, driveline: str = "rear_one_piece") -> tuple[dict[str, Geometry], pd.DataFrame]:
    return {"truck": Geometry({"rear": line})}, pd.DataFrame({"vehicle_class": ["truck"], "driveline": [driveline]})


@pytest.fixture(scope="module")
def heights() -> pd.DataFrame:
    return heights_of()


def at(heights: pd.DataFrame, vehicle_class: str, position: str, lift: float) -> pd.Series:
    rows = heights[heights["vehicle_class"] == vehicle_class]
    return rows[(rows["position"] == position) & (rows["lift"] == lift)].iloc[0]


@pytest.mark.parametrize(
    ("lifts", "first", "last"),
    [
        ([], 0.0, 100.0),
        ([0.0, 40.0], 0.0, 100.0),
        ([100.0], 0.0, 150.0),
        ([101.0], 0.0, 175.0),
        ([-30.0], -50.0, 100.0),
    ],
)
def test_lifts_shown_reach_beyond_those_in_use(lifts: list[float], first: float, last: float) -> None:
    steps = lift_steps(np.array(lifts))
    assert (steps[0], steps[-1]) == (first, last)
    assert 0.0 in steps
    assert set(np.diff(steps)) == {25.0}


def test_angle_and_ripple_by_hand(heights: pd.DataFrame) -> None:
    row = at(heights, "crew truck", "rear.joint_rear", 75.0)
    angle = math.asin(math.sin(math.radians(3.0)) + 75.0 / 800.0)
    assert row["angle"] == pytest.approx(math.degrees(angle))
    assert row["ripple"] == pytest.approx(1.0 / math.cos(angle) - math.cos(angle))


def test_what_a_line_leaves_by_stepping_through_a_turn(heights: pd.DataFrame) -> None:
    # Independent answer: angle relation of each joint in turn, speeds by differences.
    rows = [at(heights, "crew truck", f"rear.joint_{end}", 100.0) for end in ("front", "centre", "rear")]
    turn = np.linspace(0.0, np.pi, 20_001)
    angle = turn.copy()
    for row in rows:
        angle = np.arctan2(np.sin(angle), np.cos(angle) * math.cos(math.radians(row["angle"]))) + np.pi / 2.0
    speed = np.gradient(np.unwrap(angle), turn)
    assert rows[0]["residual_ripple"] == pytest.approx(np.ptp(speed[1:-1]), rel=1e-5)
    assert rows[0]["residual_ripple"] == rows[2]["residual_ripple"]
    over = rows[0]["residual_ripple"] > 0.0027
    assert (rows[0]["line_remark"] == "above 0.27%") == over
    assert rows[0]["residual_angle"] < rows[2]["angle"]


def test_twisted_yokes_leave_more() -> None:
    line = ShaftLine((1000.0,), (3.0, 3.0))
    straight = heights_of(*one_class(line))
    twisted = heights_of(*one_class(ShaftLine(line.shaft_lengths, line.joint_angles, (90.0,))))
    assert straight["residual_ripple"].max() == pytest.approx(0.0, abs=1e-12)
    assert (twisted["residual_ripple"] > twisted["ripple"]).all()


def test_life_ratio_is_the_coefficient_times_the_change(heights: pd.DataFrame) -> None:
    row = at(heights, "crew truck", "rear.joint_rear", 75.0)
    change = math.log(row["angle"] / 3.0)
    assert row["life_ratio"] == pytest.approx(math.exp(-0.7 * change))
    half = 1.6448536 * 0.1 * change
    assert (row["lower"], row["upper"]) == pytest.approx(
        (math.exp(-0.7 * change - half), math.exp(-0.7 * change + half))
    )
    assert row["bearing_ratio"] == pytest.approx(3.0 / row["angle"])


def test_one_place_agrees_with_the_comparison_over_a_mix_of_one() -> None:
    # Independent answer: the band of the comparison, whose mix holds this one place.
    model = height_model("u_joint", "log_angle", -0.6, 0.2)
    lifts = np.array([0.0, 50.0, 125.0])
    found = life_ratio_there(model, swing=JointSwing(2.0, 1000.0), lift=lifts, confidence=0.8)
    for place, lift in enumerate(lifts):
        band = life_ratio_band(model, lift=float(lift), confidence=0.8)
        assert [x[place] for x in (found.estimate, found.low, found.high)] == pytest.approx(
            [float(band.estimate), float(band.low), float(band.high)]
        )


@pytest.mark.parametrize(("height", "ratio"), [("lift", math.exp(-0.3 * 0.75)), ("angle", None)])
def test_lift_stands_for_the_angle_where_the_curve_knows_no_angle(height: str, ratio: float | None) -> None:
    model = height_model("u_joint", height, -0.3, 0.1)
    found = life_ratio_there(model, swing=JointSwing(2.0, 1000.0), lift=np.array([75.0]), confidence=0.9)
    angle = math.degrees(math.asin(math.sin(math.radians(2.0)) + 0.075))
    assert found.estimate[0] == pytest.approx(ratio or math.exp(-0.3 * (angle - 2.0)))


@pytest.mark.parametrize(
    "model",
    [
        None,
        height_model("u_joint", "none", 0.0, 0.0),
        height_model("u_joint", "angle", -1.0, 0.1, basis="bound only"),
    ],
)
def test_no_curve_no_ratio(model) -> None:
    found = life_ratio_there(model, swing=JointSwing(2.0, 1000.0), lift=np.array([50.0]), confidence=0.9)
    assert np.isnan([found.estimate[0], found.low[0], found.high[0]]).all()


def test_factory_height_is_one_whatever_the_sign_of_the_angle() -> None:
    geometry, vehicles = one_class(ShaftLine((1000.0,), (-3.0, 2.0)))
    rows = heights_of(geometry, vehicles)
    factory = rows[rows["lift"] == 0.0]
    assert factory["life_ratio"].tolist() == pytest.approx([1.0, 1.0])
    assert factory["bearing_ratio"].tolist() == pytest.approx([1.0, 1.0])
    # Raised, a joint that bends the other way is straightened first and lives longer.
    assert at(rows, "truck", "rear.joint_front", 25.0)["life_ratio"] > 1.0


def test_flags_and_limits_of_the_fleet() -> None:
    own = {**ANGLE_LIMITS, "u_joint": AngleLimits(5.0, best_low=1.0, best_high=3.0)}
    rows = heights_of(limits=own)
    joints = rows[rows["component"] == "u_joint"]
    assert ((joints["flag"] == "high") == (joints["angle"] > 5.0)).all()
    assert set(joints["limit"]) == {5.0}
    assert rows.loc[rows["component"] == "support_bearing", "flag"].eq("").all()


def test_beyond_the_record_is_said_by_lift_and_by_angle(heights: pd.DataFrame) -> None:
    assert at(heights, "crew truck", "rear.joint_rear", 75.0)["record"] == ""
    assert at(heights, "crew truck", "rear.joint_rear", 100.0)["record"] == BEYOND
    assert at(heights, "van", "left.outboard_joint", 50.0)["record"] == ""
    assert at(heights, "van", "left.outboard_joint", 75.0)["record"] == BEYOND
    # 75 mm is within the lifts seen, but no universal joint was seen at such an angle.
    steep = heights_of(*one_class(ShaftLine((700.0,), (5.0, 5.0))))
    assert at(steep, "truck", "rear.joint_rear", 25.0)["record"] == ""
    assert at(steep, "truck", "rear.joint_rear", 75.0)["record"] == BEYOND
    assert BEYOND in at(heights, "van", "left.inboard_joint", 25.0)["record"]


def test_an_interval_over_one_is_not_settled(heights: pd.DataFrame) -> None:
    assert at(heights, "van", "rear.support_bearing", 25.0)["record"] == NOT_SETTLED
    assert at(heights, "van", "rear.support_bearing", 75.0)["record"] == f"{BEYOND}; {NOT_SETTLED}"


def test_a_shaft_ends_where_it_can_reach_no_farther() -> None:
    geometry = {"car": Geometry({}, 110.0, 5.0)}
    rows = heights_of(geometry, pd.DataFrame({"vehicle_class": ["car"], "driveline": ["front_half_shafts"]}))
    assert rows["lift"].max() == 100.0
    assert (rows["angle"] < 90.0).all()


def test_acceleration_needs_a_top_speed(heights: pd.DataFrame) -> None:
    row = at(heights, "crew truck", "rear.joint_rear", 0.0)
    speed = 2.0 * math.pi * 5200.0 / 60.0
    assert row["acceleration"] == pytest.approx((math.radians(row["residual_angle"]) * speed) ** 2, rel=1e-3)
    assert math.isnan(at(heights, "van", "rear.joint_rear", 0.0)["acceleration"])
    assert math.isnan(at(heights, "van", "left.outboard_joint", 0.0)["residual_angle"])


def test_no_geometry_no_rows() -> None:
    rows = heights_of({})
    assert tuple(rows.columns) == RIDE_HEIGHT_COLUMNS
    assert rows.empty
    assert limits_of({}).empty


def test_lift_to_an_angle_reaches_that_angle() -> None:
    lift = lift_to_angle(2.5, length=1040.0, limit=10.0)
    assert math.sin(math.radians(2.5)) + lift / 1040.0 == pytest.approx(math.sin(math.radians(10.0)))
    assert lift_to_angle(12.0, length=1040.0, limit=10.0) == 0.0
    assert lift_to_angle(-12.0, length=1040.0, limit=10.0) == 0.0
    assert math.isinf(lift_to_angle(2.0, length=math.inf, limit=10.0))


@pytest.mark.parametrize(
    ("angle", "length", "limit", "message"),
    [(90.0, 1000.0, 10.0, "below 90"), (2.0, 1000.0, 95.0, "below 90"), (2.0, 0.0, 10.0, "above 0 mm")],
)
def test_impossible_reaches_are_refused(angle: float, length: float, limit: float, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        lift_to_angle(angle, length=length, limit=limit)


def test_answer_of_a_class() -> None:
    found = limits_of().loc["crew truck"]
    lift = 800.0 * (math.sin(math.radians(10.0)) - math.sin(math.radians(3.0)))
    assert found["lift_limit"] == pytest.approx(lift)
    assert found["position"] == "rear.joint_rear"
    assert found["sentence"] == (
        "Up to about 95 mm every joint shown stays within its limit; at 100 mm the angle at rear.joint_rear is 10.2 "
        "degrees, above the 10 that is taken as high."
    )
    assert found["highest_lift"] == 75.0
    raised = "The record has vehicles of this class raised by up to 75 mm; at 75 mm most life is lost at rear.joint_"
    assert found["life_sentence"].startswith(raised)


def test_answers_for_what_is_within_or_beyond_at_once() -> None:
    calm = limits_of(*one_class(ShaftLine((3000.0,), (1.0, 2.0)))).loc["truck"]
    assert math.isnan(calm["lift_limit"])
    assert calm["sentence"] == "Up to 150 mm, the highest lift shown, every joint shown stays within its limit."
    assert calm["life_sentence"].startswith("The record has no raised vehicle of this class; at 50 mm most life is")
    steep = limits_of(*one_class(ShaftLine((1000.0,), (11.5, 2.0)))).loc["truck"]
    assert steep["sentence"] == (
        "Already at factory height the angle at rear.joint_front is 11.5 degrees, above the 10 that is taken as high."
    )
    unlimited = limits_of(*one_class(ShaftLine((1000.0,), (1.0, 2.0))), limits={}, model=height_fleet()).loc["truck"]
    assert unlimited["sentence"] == "No joint of this class has an angle limit."
    assert unlimited["life_sentence"].endswith("it does not tell what raising does to the life of their parts.")


def test_the_limit_lies_between_the_steps_that_the_table_shows() -> None:
    heights, limits = heights_of(), limits_of()
    for name, row in limits.iterrows():
        high = heights[(heights["vehicle_class"] == name) & (heights["flag"] == "high")]
        if high.empty:
            assert math.isnan(row["lift_limit"])
        else:
            assert high["lift"].min() - 25.0 <= row["lift_limit"] < high["lift"].min()


def test_shaft_checks_by_hand() -> None:
    line = ShaftLine((1500.0,), (1.0, 1.0), (), LineTubes((88.9,), (2.1,), "steel", 5000.0, 1500.0))
    (row,) = build_shaft_checks({"truck": Geometry({"rear": line})}, limits=ShaftLimits()).to_dict("records")
    assert tuple(row) == SHAFT_CHECK_COLUMNS
    # Source: reference case shaft_checks.
    assert row["critical_speed"] == pytest.approx(6602.99, abs=5e-3)
    assert row["torsional_stress"] == pytest.approx(61.7789528, abs=1e-6)
    assert row["twist"] == pytest.approx(1.50629308, abs=1e-7)
    assert row["speed_share"] == pytest.approx(5000.0 / 6602.99, rel=1e-6)
    assert row["remark"] == "top speed is above 75% of the critical speed"


def test_shaft_checks_say_only_what_is_known() -> None:
    slow = LineTubes((88.9,), (2.1,), "aluminium", 3000.0, 4000.0)
    geometry = {"truck": Geometry({"rear": ShaftLine((1500.0,), (1.0, 1.0), (), slow)})}
    (row,) = build_shaft_checks(geometry, limits=ShaftLimits(torsional_stress=120.0)).to_dict("records")
    assert row["critical_speed"] == pytest.approx(6500.30, abs=5e-3)
    assert row["remark"] == "top speed is within 75% of the critical speed; torsional stress is above 120 MPa"
    bare = {"truck": Geometry({"rear": ShaftLine((1500.0,), (1.0, 1.0), (), LineTubes((88.9,), (2.1,)))})}
    (row,) = build_shaft_checks(bare, limits=ShaftLimits()).to_dict("records")
    assert row["remark"] == ""
    assert math.isnan(row["torsional_stress"])
    assert build_shaft_checks(GEOMETRY | {"crew truck": Geometry({})}, limits=ShaftLimits()).empty
