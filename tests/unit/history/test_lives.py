"""Lives worked out by hand: a vehicle that runs 100 km a day."""

import numpy as np
import pytest

NEW = ("T1", "two_joints", "2020-01-01", 0, None, None)
FRONT, REAR = "rear.joint_front", "rear.joint_rear"


def at(lives, position):
    return lives[lives["position"] == position].reset_index(drop=True)


def days(date):
    return (np.datetime64(date) - np.datetime64("2020-01-01")).astype(int)


def test_new_vehicle_without_repairs(build):
    lives, _ = build([NEW])
    assert list(lives["ended"]) == ["in_service", "in_service"]
    assert (lives["entry"] == 0).all()
    np.testing.assert_allclose(lives["stop_low"], 36_500.0)
    assert np.isinf(lives["stop_high"]).all()
    assert (lives["weight"] == 1).all()


def test_a_failure_starts_the_next_life(build):
    lives, _ = build([NEW], [("T1", "2020-04-10", "u_joint", FRONT, "failed", "P1", 1)])
    front = at(lives, FRONT)
    age = 100.0 * days("2020-04-10")
    assert list(front["ended"]) == ["failed", "in_service"]
    np.testing.assert_allclose(front.loc[0, ["stop_low", "stop_high"]].astype(float), age)
    np.testing.assert_allclose(front.loc[1, "stop_low"], 36_500.0 - age)
    assert list(front["part_number"]) == ["", "P1"]
    assert list(at(lives, REAR)["ended"]) == ["in_service"]


@pytest.mark.parametrize("reason", ["planned", "collateral", "damage", "comeback"])
def test_other_reasons_censor(build, reason):
    lives, _ = build([NEW], [("T1", "2020-04-10", "u_joint", FRONT, reason, "P1", 1)])
    first = at(lives, FRONT).loc[0]
    assert first["ended"] == reason
    assert np.isinf(first["stop_high"])
    assert first["stop_low"] == pytest.approx(100.0 * days("2020-04-10"))


def test_older_vehicle_is_not_treated_as_new(build):
    old = ("T1", "two_joints", "2018-01-01", 0, "2020-01-01", None)
    lives, _ = build([old], [("T1", "2020-04-10", "u_joint", FRONT, "failed", "P1", 1)])
    first, second = at(lives, FRONT).loc[0], at(lives, FRONT).loc[1]
    assert not first["age_known"]
    assert first["weight"] == 0.0
    assert first["entry"] == pytest.approx(73_000.0)
    assert second["age_known"]
    assert second["entry"] == 0.0
    assert second["weight"] == 1.0


def test_used_vehicle_has_unknown_ages(build):
    lives, _ = build([("T1", "two_joints", "2020-01-01", 60_000, None, None)])
    assert (lives["weight"] == 0).all()
    np.testing.assert_allclose(lives["entry"], 60_000.0)


def test_fitting_known_from_before_the_record_enters_late(build):
    old = ("T1", "two_joints", "2018-01-01", 0, "2020-01-01", None)
    lives, _ = build(
        [old],
        [
            ("T1", "2019-03-01", "u_joint", FRONT, "failed", "P0", 1),
            ("T1", "2019-10-01", "u_joint", FRONT, "failed", "P1", 1),
            ("T1", "2020-04-10", "u_joint", FRONT, "failed", "P2", 1),
        ],
    )
    front = at(lives, FRONT)
    assert list(front["ended"]) == ["failed", "in_service"]
    entry = 100.0 * -days("2019-10-01")
    assert front.loc[0, "entry"] == pytest.approx(entry)
    assert front.loc[0, "stop_low"] == pytest.approx(entry + 100.0 * days("2020-04-10"))
    assert front.loc[0, "weight"] == 1.0


def test_a_renewal_on_the_first_day_of_the_record_is_the_start(build):
    old = ("T1", "two_joints", "2018-01-01", 0, "2020-01-01", None)
    lives, _ = build([old], [("T1", "2020-01-01", "u_joint", FRONT, "planned", "P1", 1)])
    front = at(lives, FRONT)
    assert len(front) == 1
    assert front.loc[0, "age_known"]


def test_worn_is_an_interval_since_the_last_good_look(build):
    lives, _ = build(
        [("B1", "one_boot", "2020-01-01", 0, None, None)],
        [("B1", "2020-08-01", "boot", "left.boot", "worn", "", 1)],
        [("B1", "2020-03-01", "left.boot", "ok"), ("B1", "2020-05-01", "left.boot", "ok")],
    )
    boot = at(lives, "left.boot").loc[0]
    assert boot["ended"] == "worn"
    assert boot["stop_low"] == pytest.approx(100.0 * days("2020-05-01"))
    assert boot["stop_high"] == pytest.approx(100.0 * days("2020-08-01"))


def test_worn_found_before_it_was_renewed_ends_at_the_look(build):
    lives, _ = build(
        [("B1", "one_boot", "2020-01-01", 0, None, None)],
        [("B1", "2020-08-01", "boot", "left.boot", "worn", "", 1)],
        [("B1", "2020-03-01", "left.boot", "ok"), ("B1", "2020-06-01", "left.boot", "worn")],
    )
    boot = at(lives, "left.boot")
    assert boot.loc[0, "stop_low"] == pytest.approx(100.0 * days("2020-03-01"))
    assert boot.loc[0, "stop_high"] == pytest.approx(100.0 * days("2020-06-01"))
    # The next part is new when it is fitted, not when the old one was condemned.
    assert boot.loc[1, "stop_low"] <= 100.0 * (days("2020-12-31") - days("2020-08-01")) + 1e-9


def test_worn_without_any_look_reaches_back_to_fitting(build):
    lives, _ = build(
        [("B1", "one_boot", "2020-01-01", 0, None, None)],
        [("B1", "2020-08-01", "boot", "left.boot", "worn", "", 1)],
    )
    assert at(lives, "left.boot").loc[0, "stop_low"] == 0.0


def test_found_worn_and_not_renewed_is_condemned(build):
    lives, _ = build(
        [("B1", "one_boot", "2020-01-01", 0, None, None)],
        inspections=[("B1", "2020-03-01", "left.boot", "ok"), ("B1", "2020-06-01", "left.boot", "failed")],
    )
    boot = at(lives, "left.boot").loc[0]
    assert boot["condemned"]
    assert boot["current"]
    assert boot["ended"] == "worn"


def test_a_good_look_overrules_an_earlier_bad_one(build):
    lives, _ = build(
        [("B1", "one_boot", "2020-01-01", 0, None, None)],
        inspections=[("B1", "2020-03-01", "left.boot", "worn"), ("B1", "2020-06-01", "left.boot", "ok")],
    )
    boot = at(lives, "left.boot").loc[0]
    assert not boot["condemned"]
    assert boot["ended"] == "in_service"


def test_silent_wear_counts_as_seen_good_only_at_the_last_look(build):
    """All wear of this component was found by looking: running parts are known good at their last look."""
    lives, _ = build(
        [("B1", "one_boot", "2020-01-01", 0, None, None), ("B2", "one_boot", "2020-01-01", 0, None, None)],
        [("B1", "2020-08-01", "boot", "left.boot", "worn", "", 1)],
        [("B1", "2020-05-01", "left.boot", "ok"), ("B2", "2020-09-01", "left.boot", "ok")],
    )
    second = lives[(lives["unit"] == "B2") & (lives["position"] == "left.boot")].iloc[0]
    assert second["stop_low"] == pytest.approx(100.0 * days("2020-09-01"))
    joint = lives[(lives["unit"] == "B2") & (lives["position"] == "left.joint")].iloc[0]
    assert joint["stop_low"] == pytest.approx(36_500.0)


def test_kit_renews_what_it_lists(build):
    lives, renewals = build(
        [("B1", "one_boot", "2020-01-01", 0, None, None)],
        [("B1", "2020-08-01", "cv", "left.joint", "failed", "SHAFT", 1)],
        parts=[("SHAFT", "cv;boot")],
    )
    assert at(lives, "left.joint").loc[0, "ended"] == "failed"
    assert at(lives, "left.boot").loc[0, "ended"] == "collateral"
    assert list(renewals.known["own_line"]) == [True, False]


def test_a_line_that_could_be_either_position_is_carried_with_chances(build):
    lives, renewals = build(
        [NEW],
        [
            ("T1", "2020-04-10", "u_joint", "", "failed", "P1", 1),
            ("T1", "2020-08-01", "u_joint", FRONT, "failed", "P1", 1),
        ],
    )
    front, rear = at(lives, FRONT), at(lives, REAR)
    # Front: from new to the open line or to August, from the open line to August, from August on.
    assert list(front["ended"]) == ["failed", "failed", "failed", "in_service"]
    assert list(front["chance"]) == pytest.approx([0.5, 0.5, 0.5, 1.0])
    assert list(rear["ended"]) == ["failed", "in_service", "in_service"]
    assert list(rear["chance"]) == pytest.approx([0.5, 0.5, 0.5])
    assert list(rear["current"]) == [False, True, False]
    assert list(rear["running"]) == [False, True, True]
    assert (lives["weight"] == lives["chance"]).all()
    assert rear.loc[2, "entry"] == 0.0
    assert len(renewals.findings) == 1
    assert renewals.findings[0].used


def test_two_of_three_go_to_every_pair(build):
    lives, renewals = build([NEW], [("T1", "2020-04-10", "u_joint", "", "failed", "P1", 1)] * 2)
    # Two lines of one day over two positions: each position is renewed, whichever line it was.
    ended = lives[lives["ended"] == "failed"].groupby("position")["chance"].sum()
    assert list(ended) == pytest.approx([1.0, 1.0])
    assert renewals.open["line"].nunique() == 2


def test_an_open_line_before_the_record_only_hides_the_fitting_date(build):
    old = ("T1", "two_joints", "2018-01-01", 0, "2020-01-01", None)
    lives, _ = build([old], [("T1", "2019-06-01", "u_joint", "", "failed", "P1", 1)])
    assert len(lives) == 2
    assert not lives["age_known"].any()


def test_more_open_lines_than_can_be_told_apart_end_what_is_known(build):
    lives, _ = build([NEW], [("T1", "2020-04-10", "u_joint", "", "failed", "P1", 1)] * 3)
    assert list(lives["ended"]) == ["in_service", "in_service"] * 2
    assert list(lives["weight"]) == [1.0, 0.0] * 2


def test_quantity_that_covers_all_candidates_renews_all(build):
    lives, renewals = build([NEW], [("T1", "2020-04-10", "u_joint", "", "planned", "P1", 2)])
    assert list(lives["ended"]) == ["planned", "in_service", "planned", "in_service"]
    assert not renewals.findings


def test_position_not_on_the_vehicle_is_set_aside(build):
    lives, renewals = build([NEW], [("T1", "2020-04-10", "u_joint", "front.joint_rear", "failed", "P1", 1)])
    assert len(lives) == 2
    assert renewals.findings[0].problem == "the vehicle's driveline has no such position"
    assert not renewals.findings[0].used


def test_retirement_ends_lives(build):
    lives, _ = build([("T1", "two_joints", "2020-01-01", 0, None, "2020-07-01")])
    assert list(lives["ended"]) == ["retired", "retired"]
    assert not lives["current"].any()
    np.testing.assert_allclose(lives["stop_low"], 100.0 * days("2020-07-01"))


def test_two_lines_of_one_day_make_one_life(build):
    lives, _ = build(
        [NEW],
        [
            ("T1", "2020-04-10", "u_joint", FRONT, "planned", "P1", 1),
            ("T1", "2020-04-10", "u_joint", FRONT, "failed", "P1", 1),
        ],
    )
    assert list(at(lives, FRONT)["ended"]) == ["failed", "in_service"]
