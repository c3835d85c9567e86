"""Delays read from what was found in time, against a delay-time process simulated event by event."""

import math

import numpy as np
import pandas as pd
import pytest
from scipy import optimize

from wearmodel.policy.inspection import missed_share
from wearmodel.policy.inspection_plan import estimate_delay, plan_inspections
from workbook.example_model import EXAMPLE_MODEL


def simulated(rng, *, defects, every, delay, find_chance):
    """Found and failed: each defect begins anywhere between two looks and is looked for until it has failed."""
    found = 0
    for _ in range(defects):
        left, fails = rng.uniform(0.0, every), rng.exponential(delay)
        while left < fails:
            if rng.random() < find_chance:
                found += 1
                break
            left += every
    return found, defects - found


@pytest.mark.parametrize("delay", [4_000.0, 15_000.0, 60_000.0])
def test_the_delay_of_a_simulated_process_is_found(delay):
    rng = np.random.default_rng(5)
    found, failed = simulated(rng, defects=6_000, every=15_000.0, delay=delay, find_chance=0.9)
    told = estimate_delay(found=found, failed=failed, every=15_000.0, find_chance=0.9)
    assert told.source == "record" and told.lower < told.mean < told.upper
    share = failed / (found + failed)
    error = math.sqrt(share * (1.0 - share) / 6_000)
    limits = [_root(share + sign * 4.0 * error, 15_000.0) for sign in (1.0, -1.0)]
    assert limits[0] < delay < limits[1]
    assert told.mean == pytest.approx(_root(share, 15_000.0), rel=1e-6)


def _root(share, every):
    """By another solver."""

    def gap(log_delay):
        return float(missed_share(every, mean_delay=math.exp(log_delay), find_chance=0.9)) - share

    return math.exp(optimize.brentq(gap, math.log(every) - 12.0, math.log(every) + 12.0))


def test_limits_hold_the_truth_about_nine_times_in_ten():
    rng, held = np.random.default_rng(8), 0
    for _ in range(300):
        found, failed = simulated(rng, defects=60, every=15_000.0, delay=20_000.0, find_chance=0.9)
        told = estimate_delay(found=found, failed=failed, every=15_000.0, find_chance=0.9)
        held += told.lower <= 20_000.0 <= told.upper
    # Clopper-Pearson limits are cautious: 90 % or a little more; standard error 1.7 %.
    assert 0.86 <= held / 300 <= 0.98


def test_a_record_that_does_not_tell_gives_a_default_marked_as_such():
    for found, failed in ((3, 2), (40, 0), (0, 40)):
        told = estimate_delay(found=found, failed=failed, every=10_000.0)
        assert (told.mean, told.source) == (10_000.0, "default") and math.isnan(told.lower)


def plan(found, failed, **changes):
    lives = pd.DataFrame(
        {"component": "u_joint", "position": "rear.joint_front", "ended": ["worn"] * found + ["failed"] * failed,
         "chance": 1.0, "look_gap": 12_000.0}
    )  # fmt: skip
    costs = pd.DataFrame(
        {"component": ["u_joint"], "part_price": [40.0], "planned_cost": [150.0], "road_cost": [700.0],
         "planned_downtime_hours": [2.0], "failed_downtime_hours": [10.0]}
    ).assign(**changes)  # fmt: skip
    looks = pd.DataFrame({"position": ["rear.joint_front"]})
    return plan_inspections(
        EXAMPLE_MODEL, lives=lives, inspections=looks, costs=costs, yearly={"u_joint": 60_000.0}, labour_rate=70.0,
        downtime_cost=30.0,
    )  # fmt: skip


def test_the_best_rhythm_is_that_of_a_general_optimiser():
    row = plan(60, 20).iloc[0]

    def cost(every):
        missed = float(missed_share(every, mean_delay=row["mean_delay"], find_chance=0.9))
        return 0.1 * 100.0 / every + rate * (missed * 700.0 + (1.0 - missed) * 150.0)

    scale = 100_000.0
    rate = 1.0 / (scale * math.gamma(1.0 + 1.0 / 2.5))
    limits = (math.log(100.0), math.log(1e6))
    best = optimize.minimize_scalar(lambda x: cost(math.exp(x)), bounds=limits, method="bounded")
    assert row["best_every"] == pytest.approx(math.exp(best.x), rel=0.03)
    assert row["cost_best"] == pytest.approx(1000.0 * best.fun, rel=1e-3)
    assert row["cost_now"] == pytest.approx(1000.0 * cost(12_000.0), rel=1e-9)
    for name, factor in (("lost_half", 0.5), ("lost_now", 1.0), ("lost_double", 2.0)):
        missed = float(missed_share(12_000.0 * factor, mean_delay=row["mean_delay"], find_chance=0.9))
        assert row[name] == pytest.approx(100.0 * 60_000.0 * rate * missed, rel=1e-9)
    assert row["lost_half"] < row["lost_now"] < row["lost_double"]


def test_what_cannot_be_told_is_said():
    assert plan(0, 30).empty
    assert "no best rhythm" in plan(60, 20, planned_cost=np.nan).iloc[0]["sentence"]
    cheap = plan(60, 20, road_cost=150.5).iloc[0]
    assert math.isinf(cheap["best_every"]) and "does not pay" in cheap["sentence"]
    assert "the record does not tell it" in plan(60, 0).iloc[0]["sentence"]
