"""Group policies: against a simulation written event by event, renewal theory, and cases worked by hand."""

import heapq

import numpy as np
import pandas as pd
import pytest

from wearmodel.driveline.layouts import LAYOUTS
from wearmodel.intake.fleet_toml.settings_together import OwnGroup, SharedWork
from wearmodel.policy.age_replacement import cost_rate, optimal_interval
from wearmodel.policy.group_simulation import GroupPolicy, PositionGroup, simulate_group
from wearmodel.policy.groups import GroupTerms, control_ages, groups_of_layout, position_group
from wearmodel.survival.weibull import mean_pace

NONE = np.full(2, np.nan)
SINGLY = GroupPolicy(np.full((2, 2), np.inf), NONE)
TOGETHER = GroupPolicy(np.zeros((2, 2)), NONE)


def group_of(*, spared=0.0, limit=None, variance=0.0, frailty=(0, 0)):
    """A joint and another part; `spared` is what both in one visit spare."""
    shape, planned, failed = np.array([2.5, 3.2]), np.array([200.0, 300.0]), np.array([700.0, 650.0])
    if limit is None:
        limit = optimal_interval(shape=shape, scale=1.0, planned_cost=planned, failed_cost=failed)
    return PositionGroup(
        shape=shape, pace=np.array([1 / 100_000.0, 1 / 140_000.0]), frailty=np.array(frailty),
        variance=np.full(max(frailty) + 1, variance), limit=np.broadcast_to(limit, 2).astype(float), planned=planned,
        failed=failed, road=np.array([1.0, 0.4]), spared=np.array([0.0, 0.0, 0.0, spared]),
    )  # fmt: skip


def by_events(group, policy, *, vehicles, distance, rng):
    """Cost and road failures per distance of each vehicle: a queue of events, one vehicle and part after another."""
    costs, road = np.zeros(vehicles), np.zeros(vehicles)
    count = len(group.shape)
    warm_up = 4.0 * np.mean(1.0 / group.pace)
    for vehicle in range(vehicles):
        z = [1.0 if v == 0 else rng.gamma(1.0 / v, v) for v in group.variance]
        speed = [group.pace[i] * z[group.frailty[i]] ** (1.0 / group.shape[i]) for i in range(count)]
        born, issue, queue = [0.0] * count, [0] * count, []

        def fit(i, now, *, born=born, issue=issue, queue=queue, speed=speed):
            life = rng.weibull(group.shape[i])
            born[i], issue[i] = now, issue[i] + 1
            heapq.heappush(queue, (now + min(life, group.limit[i]) / speed[i], i, issue[i], life < group.limit[i]))

        for i in range(count):
            fit(i, 0.0)
        while True:
            now, i, number, failed = heapq.heappop(queue)
            if now > warm_up + distance:
                break
            if number != issue[i]:
                continue
            names = {i} | {
                j for j in range(count) if j != i and (now - born[j]) * speed[j] >= policy.from_age[i, j]
            }
            bill = sum(group.planned[j] for j in names) - group.spared[sum(2**j for j in names)]
            if np.isfinite(policy.assembly[i]):
                names, bill = set(range(count)), group.planned[i] + policy.assembly[i]
            if now > warm_up:
                costs[vehicle] += bill + (group.failed[i] - group.planned[i] if failed else 0.0)
                road[vehicle] += group.road[i] if failed else 0.0
            for j in names:
                fit(j, now)
    return costs / distance, road / distance


def standard_error(*values):
    return np.sqrt(sum(np.var(v, ddof=1) / len(v) for v in values))


@pytest.mark.parametrize(
    ("group", "policy"),
    [
        (group_of(spared=120.0), TOGETHER),
        (group_of(spared=120.0, variance=0.3), GroupPolicy(np.array([[np.inf, 0.4], [0.35, np.inf]]), NONE)),
        (group_of(spared=120.0, limit=np.inf, variance=0.3, frailty=(0, 1)), TOGETHER),
        (group_of(), GroupPolicy(np.full((2, 2), np.inf), np.array([90.0, np.nan]))),
    ],
)
def test_against_a_simulation_written_event_by_event(group, policy):
    run = simulate_group(group, policy, vehicles=3000, lives=12.0, seed=3)
    costs, road = by_events(group, policy, vehicles=1500, distance=1_400_000.0, rng=np.random.default_rng(8))
    own_costs, own_road = run.cost / run.distance, run.road_failures / run.distance
    assert own_costs.mean() == pytest.approx(costs.mean(), abs=3.5 * standard_error(own_costs, costs))
    assert own_road.mean() == pytest.approx(road.mean(), abs=3.5 * standard_error(own_road, road))
    assert standard_error(own_costs, costs) < 0.01 * costs.mean()


@pytest.mark.parametrize("variance", [0.0, 0.3])
@pytest.mark.parametrize("limit", [None, np.inf])
def test_each_on_its_own_is_age_replacement(limit, variance):
    """Second answer: the renewal-reward theorem, and over vehicles the mean of frailty^(1 / shape)."""
    group = group_of(limit=limit, variance=variance)
    run = simulate_group(group, SINGLY, vehicles=4000, lives=30.0, seed=1)
    rates = cost_rate(group.limit, shape=group.shape, scale=1.0, planned_cost=group.planned, failed_cost=group.failed)
    expected = float((rates * group.pace * mean_pace(group.shape, np.full(2, variance))).sum())
    costs = run.cost / run.distance
    assert costs.mean() == pytest.approx(expected, abs=4.0 * standard_error(costs))
    assert standard_error(costs) < 0.005 * expected


def test_where_nothing_is_shared_no_group_wins():
    """Each position is renewed at its best age: anything else costs more, by theory."""
    group = group_of()
    singly = simulate_group(group, SINGLY, vehicles=3000, lives=20.0, seed=2)
    for start in (0.0, 0.2, 0.4):
        policy = GroupPolicy(np.full((2, 2), start), NONE)
        more = simulate_group(group, policy, vehicles=3000, lives=20.0, seed=2).cost - singly.cost
        assert more.mean() > -3.0 * standard_error(more)
    assert not (control_ages(group) < group.limit - 1e-9).any()
    rule = simulate_group(group, GroupPolicy(control_ages(group), NONE), vehicles=3000, lives=20.0, seed=2)
    np.testing.assert_array_equal(rule.cost, singly.cost)


def test_rule_by_age_is_as_good_as_the_best_ages_found_by_trying():
    group = group_of(spared=150.0)
    rule = simulate_group(group, GroupPolicy(control_ages(group), NONE), vehicles=2000, lives=15.0, seed=5)
    policies = [
        GroupPolicy(np.array([[np.inf, b], [a, np.inf]]), NONE)
        for a in (0.0, 0.1, 0.2, 0.3, 0.4)
        for b in (0.0, 0.15, 0.3, 0.45)
    ]
    tried = [simulate_group(group, policy, vehicles=2000, lives=15.0, seed=5) for policy in policies]
    best = min(tried, key=lambda run: run.cost.mean())
    more = rule.cost - best.cost
    assert more.mean() < 0.005 * best.cost.mean() + 2.0 * standard_error(more)


def test_the_same_seed_meets_the_same_lives():
    group = group_of()
    first, again = (simulate_group(group, SINGLY, vehicles=50, lives=5.0, seed=7) for _ in range(2))
    np.testing.assert_array_equal(first.cost, again.cost)
    other = simulate_group(group, SINGLY, vehicles=50, lives=5.0, seed=8)
    assert not np.array_equal(first.cost, other.cost)


def test_groups_of_shipped_layouts():
    shared = SharedWork()
    names = {
        name: groups_of_layout(LAYOUTS[name], shared) for name in ("rear_two_piece", "all_wheel", "four_wheel_solid")
    }
    assert list(names["rear_two_piece"]) == ["joints of the rear shaft", "joints and bearing of the rear shaft"]
    assert names["rear_two_piece"]["joints and bearing of the rear shaft"][-1] == "rear.support_bearing"
    assert {"outboard joint and boot", "inboard joint and boot", "half shaft"} < set(names["all_wheel"])
    assert names["all_wheel"]["outboard joint and boot"] == ("left.outboard_joint", "left.outboard_boot")
    assert list(names["four_wheel_solid"]) == ["joints of the rear shaft", "joints of the front shaft"]
    assert groups_of_layout(LAYOUTS["slip_spline"], shared) == {}
    own = SharedWork(groups={"tunnel": OwnGroup(("rear.joint_front", "rear.joint_rear"), 0.5)})
    assert groups_of_layout(LAYOUTS["rear_one_piece"], own)["tunnel"] == ("rear.joint_front", "rear.joint_rear")


def test_what_a_set_of_positions_spares():
    costs = pd.DataFrame(
        {
            "component": ["cv_joint_outboard", "cv_boot_outboard"], "planned_hours": [2.0, 1.5],
            "planned_downtime_hours": [3.0, 2.5], "planned_cost": [400.0, 200.0], "failed_cost": [900.0, 240.0],
            "worn_share": [0.0, 0.9], "part_price": [150.0, 30.0],
        }
    )  # fmt: skip
    laws = pd.DataFrame(
        {"shape": [2.0, 3.0], "pace": [1e-5, 1e-5], "variance": [0.2, 0.0], "limit": [0.5, np.inf]},
        index=["left.outboard_joint", "left.outboard_boot"],
    )
    terms = GroupTerms(SharedWork(0.1, 0.5, 0.4, 0.5, 0.8), costs, pd.DataFrame(), 70.0, 40.0, LAYOUTS)
    components = {"left.outboard_joint": "cv_joint_outboard", "left.outboard_boot": "cv_boot_outboard"}
    group = position_group(tuple(components), components=components, laws=laws, terms=terms)
    hours = 0.8 * 1.5 + 0.1
    np.testing.assert_allclose(group.spared, [0.0, 0.0, 0.0, hours * 70.0 + (hours + 0.5) * 40.0])
    np.testing.assert_allclose(group.road, [1.0, 0.1])
    np.testing.assert_allclose(group.variance, [0.2, 0.0])
