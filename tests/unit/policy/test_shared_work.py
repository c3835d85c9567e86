"""What positions of a visit spare one another, against cases worked by hand."""

import itertools

import numpy as np
import pytest

from wearmodel.intake.fleet_toml.settings_together import OwnGroup, SharedWork
from wearmodel.policy.shared_work import build_sharing

TERMS = SharedWork(visit_hours=0.2, visit_downtime_hours=1.0, shaft=0.4, half_shaft=0.5, corner=0.8)


def sharing(positions, hours, downtime=None, *, vehicle=None, terms=TERMS):
    hours = np.array(hours, dtype=float)
    return build_sharing(
        np.zeros(len(hours), dtype=int) if vehicle is None else np.array(vehicle),
        positions,
        hours=hours,
        downtime=hours + 1.0 if downtime is None else np.array(downtime, dtype=float),
        terms=terms,
    )


def joined(found, taken):
    return found.joining(np.array(taken, dtype=bool))


def test_joint_and_boot_of_one_end_share_most():
    positions = ["left.outboard_joint", "left.outboard_boot", "left.inboard_joint", "right.outboard_boot"]
    found = sharing(positions, [2.0, 1.5, 2.2, 1.5])
    spared = joined(found, [1, 0, 0, 0])
    np.testing.assert_allclose(spared.hours[1:], [0.8 * 1.5 + 0.2, 0.5 * 2.0 + 0.2, 0.2])
    # 2.5 h of standing: the 1.4 h not worked, and 1 h of bringing in and fetching.
    assert spared.downtime[1] == pytest.approx(2.4)


def test_shaft_line_and_another_shaft():
    found = sharing(["rear.joint_front", "rear.support_bearing", "front.joint_front"], [1.4, 1.9, 1.4])
    np.testing.assert_allclose(joined(found, [1, 0, 0]).hours[[0, 2]], [0.4 * 1.4 + 0.2, 0.2])
    np.testing.assert_allclose(joined(found, [1, 0, 0]).money(labour_rate=10.0, downtime_cost=1.0)[2], 2.0 + 1.2)


def test_another_vehicle_shares_nothing():
    found = sharing(["rear.joint_front", "rear.joint_rear"], [1.4, 1.4], vehicle=[0, 1])
    assert joined(found, [1, 0]).hours[1] == 0.0
    assert joined(found, [1, 0]).downtime[1] == 0.0


def test_never_more_than_the_job_itself():
    terms = SharedWork(visit_hours=5.0, visit_downtime_hours=50.0, shaft=1.0, half_shaft=1.0, corner=1.0)
    found = sharing(["rear.joint_front", "rear.joint_rear"], [1.4, 1.0], terms=terms)
    assert joined(found, [1, 0]).hours[1] == 1.0
    assert joined(found, [1, 0]).downtime[1] == 2.0


def test_own_group_counts_where_it_shares_more():
    group = OwnGroup(("rear.joint_front", "front.joint_front"), 0.9)
    terms = SharedWork(0.0, 0.0, 0.4, 0.5, 0.8, {"tunnel": group})
    found = sharing(["rear.joint_front", "front.joint_front", "front.joint_rear"], [1.0, 1.0, 1.0], terms=terms)
    np.testing.assert_allclose(joined(found, [1, 0, 0]).hours, [0.9, 0.9, 0.0])


def test_hours_of_a_visit_do_not_depend_on_the_order():
    positions = ["rear.joint_front", "rear.joint_centre", "rear.support_bearing", "rear.joint_rear"]
    found = sharing(positions, [1.4, 1.1, 1.9, 1.6])
    taken = np.ones(4, dtype=bool)
    totals = [found.together(taken, np.array(order)).hours.sum() for order in itertools.permutations(range(4))]
    # All but the longest job spare 0.4 of their own hours.
    np.testing.assert_allclose(totals, 0.4 * (1.4 + 1.1 + 1.6) + 3 * 0.2)


def test_several_vehicles_at_once():
    positions = ["left.outboard_joint", "left.outboard_boot"] * 3
    found = sharing(positions, [2.0, 1.5] * 3, vehicle=[0, 0, 1, 1, 2, 2])
    taken = np.array([1, 1, 1, 0, 0, 0], dtype=bool)
    np.testing.assert_allclose(found.together(taken, np.zeros(6)).hours, [0, 1.4, 0, 0, 0, 0])
    np.testing.assert_allclose(found.joining(taken).hours[3:], [1.4, 0.0, 0.0])


def test_nothing_is_spared_with_nothing_shared():
    none = SharedWork(0.0, 0.0, 0.0, 0.0, 0.0)
    found = sharing(["rear.joint_front", "rear.joint_rear"], [1.4, 1.0], terms=none)
    spared = found.together(np.ones(2, dtype=bool), np.zeros(2))
    assert not spared.hours.any() and not spared.downtime.any()
