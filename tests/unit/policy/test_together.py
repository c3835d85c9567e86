"""Parts that join a visit: ages, frailty and unseen wear against draws; what joins and what stays."""

from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest

from wearmodel.intake.fleet_toml.settings_together import SharedWork
from wearmodel.policy.fitted import FittedParts
from wearmodel.policy.keeping import keeping_values
from wearmodel.policy.shared_work import build_sharing
from wearmodel.policy.together import build_candidates, joined_parts
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import ReplacementCost
from wearmodel.survival.vehicle_frailties import Frailties, alike
from wearmodel.survival.weibull import mean_life

SCALE, SHAPE = 100_000.0, 2.5
COST = ReplacementCost(planned=200.0, failed=500.0)
RATES = (70.0, 40.0)
TERMS = SharedWork()


def fleet_of(psi, *, frailties=None, weight=None, tail=0.0, vehicle=None, position=None, per_day=50.0, interval=np.nan):
    """Parts of one component at operational ages, with what `build_candidates` is given."""
    psi = np.atleast_2d(np.array(psi, dtype=float).T).T
    count = len(psi)
    frailties = alike(count) if frailties is None else frailties
    zero = np.zeros(count)
    rows = np.arange(count)
    parts = FittedParts(
        pd.DataFrame({"age_known": np.ones(count, dtype=bool)}), rows, rows, np.ones((count, 1)), psi[:, -1] * SCALE,
        zero, zero + tail, zero, frailties,
    )  # fmt: skip
    weight = np.ones_like(psi) / psi.shape[1] if weight is None else np.tile(weight, (count, 1))
    own = SimpleNamespace(values=(np.log(SCALE), np.log(SHAPE)), basis="fitted")
    assessed = pd.DataFrame(
        {
            "component": "u_joint", "row": np.arange(count), "per_day": per_day, "interval": interval,
            "vehicle_pace": frailties.pace(SHAPE),
        }
    )  # fmt: skip
    vehicle = np.arange(count) if vehicle is None else np.array(vehicle)
    position = [f"place_{i}.joint" for i in range(count)] if position is None else position
    hours = np.full(count, 1.4)
    sharing = build_sharing(vehicle, position, hours=hours, downtime=hours + 1.0, terms=TERMS)
    return {
        "assessed": assessed, "fitted": {"u_joint": parts}, "points": {"u_joint": AgePoints(psi, weight)},
        "model": SimpleNamespace(components={"u_joint": own}, costs={"u_joint": COST}),
        "sharing": sharing, "spared_rates": RATES, "days": np.zeros(count),
    }  # fmt: skip


def value_at(age, limit=np.inf):
    """Cost of keeping where no visits come, by direct integration of costs and run over drawn lives."""
    rng = np.random.default_rng(5)
    whole = rng.weibull(SHAPE, 400_000)
    run = np.minimum(whole, limit)
    rate = np.where(whole < limit, COST.failed, COST.planned).mean() / run.mean()
    left = (age**SHAPE + rng.exponential(size=400_000)) ** (1.0 / SHAPE)
    kept = np.where(left < limit, COST.failed, COST.planned) - rate * (np.minimum(left, limit) - age)
    return kept.mean()


@pytest.mark.parametrize("interval", [np.nan, 70_000.0])
def test_known_ages_against_drawn_lives(interval):
    found = build_candidates(**fleet_of([0.2, 0.5, 0.65], interval=interval))
    limit = interval / SCALE if interval == interval else np.inf
    np.testing.assert_allclose(found.keeping, [value_at(age, limit) for age in (0.2, 0.5, 0.65)], atol=2.5)


def test_age_at_the_visit_is_what_counts():
    given = fleet_of([0.3])
    given["days"] = np.array([400.0])
    assert build_candidates(**given).keeping[0] == pytest.approx(value_at(0.3 + 400 * 50 / SCALE), abs=2.5)


def test_unknown_ages_are_averaged_over_those_that_last_to_the_visit():
    ages = np.array([0.2, 0.9])
    given = fleet_of([ages], weight=np.array([0.5, 0.5]))
    plain = build_candidates(**given).keeping[0]
    assert plain == pytest.approx(0.5 * (value_at(0.2) + value_at(0.9)), abs=2.5)
    given["days"] = np.array([600.0])
    later = ages + 0.3
    lasts = np.exp(ages**SHAPE - later**SHAPE)
    expected = (lasts * [value_at(later[0]), value_at(later[1])]).sum() / lasts.sum()
    assert build_candidates(**given).keeping[0] == pytest.approx(expected, abs=2.5)


def test_frailty_against_drawn_frailties():
    frailties = Frailties(np.array([4.0]), np.array([3.0]))
    found = build_candidates(**fleet_of([0.5], frailties=frailties)).keeping[0]
    drawn = frailties.drawn(200_000, np.random.default_rng(3))[0] ** (1.0 / SHAPE)
    table = keeping_values(shape=[SHAPE], planned_cost=[200.0], failed_cost=[500.0], limit=[np.inf])
    assert found == pytest.approx(table.at(np.zeros(len(drawn), dtype=int), 0.5 * drawn).mean(), abs=3.0)


def test_wear_that_nobody_has_looked_at_counts_as_a_failure():
    unseen = build_candidates(**fleet_of([0.8], tail=0.5 * SCALE)).keeping[0]
    gone = 1.0 - np.exp(0.3**SHAPE - 0.8**SHAPE)
    assert unseen == pytest.approx((1.0 - gone) * value_at(0.8) + gone * COST.failed, abs=2.5)


def test_visits_to_come_lower_what_keeping_costs():
    """Three joints of a shaft: the two others are renewed at the rate 1 / mean life each, and share the work."""
    shaft = ["rear.joint_1", "rear.joint_2", "rear.joint_3"]
    found = build_candidates(**fleet_of([0.6, 0.1, 0.3], vehicle=[0, 0, 0], position=shaft)).keeping[0]
    spared = 0.4 * 1.4 + TERMS.visit_hours
    cost = COST.planned - spared * RATES[0] - (spared + 1.0) * RATES[1]
    rate = 2.0 / float(mean_life(shape=SHAPE, scale=1.0))
    exact = keeping_values(
        shape=[SHAPE], planned_cost=[200.0], failed_cost=[500.0], limit=[np.inf], visit_rates=rate, visit_costs=cost
    )
    # The rate is rounded to a step of a tenth.
    assert found == pytest.approx(exact.at(np.array([0]), np.array([0.6]))[0], rel=0.02)
    assert found < value_at(0.6)


def joined(psi, taken, **terms):
    given = fleet_of(psi, vehicle=np.zeros(len(psi), dtype=int), **terms)
    found = build_candidates(**given)
    return joined_parts(found, given["sharing"], np.array(taken, dtype=bool), spared_rates=RATES)


def test_an_old_joint_of_the_shaft_joins_and_a_young_one_stays():
    shaft = ["rear.joint_1", "rear.joint_2", "rear.joint_3"]
    np.testing.assert_array_equal(joined([0.9, 0.7, 0.05], [1, 0, 0], position=shaft), [0, 1, -1])


def test_without_a_visit_nothing_joins():
    shaft = ["rear.joint_1", "rear.joint_2", "rear.joint_3"]
    np.testing.assert_array_equal(joined([2.0, 0.7, 0.05], [0, 0, 0], position=shaft), [-1, -1, -1])


def test_a_part_without_costs_or_curve_never_joins():
    given = fleet_of([0.9, 0.9], vehicle=[0, 0], position=["rear.joint_1", "rear.joint_2"])
    given["model"].costs.clear()
    found = build_candidates(**given)
    assert np.isnan(found.keeping).all()
    taken = joined_parts(found, given["sharing"], np.array([True, False]), spared_rates=RATES)
    np.testing.assert_array_equal(taken, [0, -1])


def test_a_vehicle_that_does_not_move_has_no_visits_to_come():
    found = build_candidates(**fleet_of([0.6, 0.6], vehicle=[0, 0], per_day=0.0))
    np.testing.assert_allclose(found.keeping, value_at(0.6), atol=2.5)


def test_drawn_savings_have_the_expected_mean_and_the_right_spread():
    found = build_candidates(**fleet_of([0.5], interval=80_000.0))
    drawn = found.drawn_savings(np.array([0]), np.array([90.0]), draws=4000, rng=np.random.default_rng(1))
    assert drawn.mean() == pytest.approx(found.keeping[0] - 90.0, abs=1e-9)
    fails = 1.0 - np.exp(0.5**SHAPE - 0.8**SHAPE)
    assert (drawn > 200.0).mean() == pytest.approx(fails, abs=0.01)
