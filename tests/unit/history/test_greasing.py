"""Levels of greasing by hand: over the vehicle's whole record, whatever became of a life."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.history.greasing import GREASED, SELDOM_GREASED, greasing_levels

DAY0 = pd.Timestamp("1970-01-01")
WINDOWS = pd.DataFrame(
    {
        "unit": ["A", "B", "C"], "first_day": 0.0, "last_day": 1000.0, "first_odometer": [0.0, 50_000.0, 0.0],
        "last_odometer": [120_000.0, 170_000.0, 20_000.0],
    }
)  # fmt: skip
LIVES = pd.DataFrame(
    [
        (0, "rear.joint_rear", "u_joint"),
        (0, "rear.joint_rear", "u_joint"),
        (0, "rear.joint_front", "u_joint"),
        (1, "rear.joint_rear", "u_joint"),
        (2, "rear.joint_rear", "u_joint"),
        (0, "rear.support_bearing", "support_bearing"),
        (0, "left.outboard_joint", "cv_joint_outboard"),
    ],
    columns=["vehicle", "position", "component"],
)
NONE = np.full(len(LIVES), "", dtype=object)


def greasings(*rows):
    frame = pd.DataFrame(rows, columns=["unit", "day", "position"])
    return frame.assign(date=DAY0 + pd.to_timedelta(frame.pop("day"), unit="D"))


def levels(told, builds=NONE, every=30_000.0):
    return greasing_levels(LIVES, greasings=told, windows=WINDOWS, builds=builds, every=every).tolist()


FOUR = [("A", day, "rear.joint_rear") for day in (100, 300, 500, 700)]


def test_once_in_the_limit_is_greased_and_less_is_seldom():
    assert levels(greasings(*FOUR)) == [GREASED, GREASED, SELDOM_GREASED, SELDOM_GREASED, "", "", ""]
    assert levels(greasings(*FOUR[:3]))[0] == SELDOM_GREASED
    # C ran less than the limit; of it nothing is known, even with a greasing.
    assert levels(greasings(*FOUR, ("C", 10, "rear.joint_rear")))[4] == ""


def test_what_lies_outside_the_record_does_not_count():
    late = [("A", 2000, "rear.joint_rear"), ("X", 10, "rear.joint_rear")]
    assert levels(greasings(*FOUR[:3], *late))[0] == SELDOM_GREASED


def test_components_that_nobody_greases_and_those_that_cannot_be():
    told = greasings(*FOUR, ("A", 10, "left.outboard_joint"), ("A", 20, "rear.support_bearing"))
    assert levels(told)[5:] == [SELDOM_GREASED, ""]


@pytest.mark.parametrize("build", ["sealed", "Sealed for life", "non-greasable", "non greaseable", "maintenance free"])
def test_sealed_builds_are_not_known(build):
    builds = NONE.copy()
    builds[1], builds[2] = build, "greasable"
    assert levels(greasings(*FOUR), builds)[:3] == [GREASED, "", SELDOM_GREASED]


def test_without_lines_or_without_a_service_interval_nothing_is_known():
    assert set(levels(greasings())) == {""}
    assert set(levels(greasings(*FOUR), every=float("nan"))) == {""}
