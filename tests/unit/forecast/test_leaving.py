"""Vehicles that leave and join: rates against exposure counted by hand, draws against the law."""

import numpy as np
import pandas as pd
import pytest

from wearmodel.forecast.fleet_changes import build_fleet_changes
from wearmodel.forecast.leaving import constant_leaving, fit_leaving
from wearmodel.forecast.long_run import cycle_cost_rate
from wearmodel.forecast.renewal_paths import OtherRates
from wearmodel.forecast.usage import Usage
from wearmodel.policy.age_replacement import cost_rate

YEAR = 365.25


def windows(begun, ended, left):
    """Vehicles in service from day 0, watched between two ages [years]."""
    return pd.DataFrame(
        {
            "in_service_date": pd.Timestamp("1970-01-01"), "in_service_odometer": 0.0,
            "first_day": np.asarray(begun) * YEAR, "last_day": np.asarray(ended) * YEAR, "retired": left,
        }
    )  # fmt: skip


def test_a_rate_of_old_age_is_found_in_spite_of_late_entry():
    """Gompertz lives watched from a random age on; the truth is the law they were drawn from."""
    rng = np.random.default_rng(3)
    life = np.log1p(-np.log(rng.random(4000)) * 0.35 / 0.004) / 0.35
    begun = rng.uniform(0.0, 8.0, 4000)
    end = begun + 6.0
    there = life > begun
    seen = windows(begun[there], np.minimum(life, end)[there], (life < end)[there])
    law = fit_leaving(seen, daily=np.full(int(there.sum()), 50.0))
    middle = np.arange(4, 12) + 0.5
    np.testing.assert_allclose(law.rate[4:12], 0.004 * np.exp(0.35 * middle), rtol=0.2)


def test_with_few_leavers_nobody_leaves():
    law = fit_leaving(windows(np.zeros(50), np.full(50, 5.0), np.arange(50) < 4), daily=np.full(50, 50.0))
    assert law.source == "too few"
    assert np.isinf(law.drawn_days(np.zeros(3), draws=5, rng=np.random.default_rng(1))).all()


def test_a_yearly_share_leaves_in_a_year():
    law = constant_leaving(0.2)
    days = law.drawn_days(np.linspace(0.0, 20.0, 500), draws=400, rng=np.random.default_rng(1))
    assert (days < YEAR).mean() == pytest.approx(0.2, abs=0.005)
    assert law.share_within(np.array([3.0]), 1.0) == pytest.approx(0.2)


def test_a_plan_lets_the_oldest_leave_and_the_usual_join():
    fleet = pd.DataFrame(
        {"unit": ["A", "B", "C"], "vehicle_class": "van", "depot": "north", "driveline": "all_wheel", "duty": "town"}
    )
    usage = Usage(("2026-07", "2026-08"), np.array([31.0, 31.0]), np.full((3, 2), 100.0), 0.0, np.ones(3, dtype=bool))
    plan = pd.DataFrame(
        {
            "unit": ["C", ""], "vehicle_class": ["", "van"], "depot": ["", "north"],
            "month": pd.to_datetime(["2026-07-01", "2026-08-01"]), "joins": [0.0, 2.0], "leaves": [1.0, 1.0],
            "file": "fleet_plan.csv", "row": [2, 3],
        }
    )  # fmt: skip
    changes = build_fleet_changes(
        plan, windows=fleet, usage=usage, law=constant_leaving(0.5), age=np.array([3.0, 9.0, 1.0]), lift=np.zeros(3)
    )
    assert changes.planned.tolist() == [np.inf, 31.0, 0.0] and changes.named.tolist() == [False, False, True]
    np.testing.assert_array_equal(changes.new.usage.distance, [[0.0, 100.0], [0.0, 100.0]])
    assert changes.new.usage.hours.size == 0
    one, two = (changes.drawn_days(draws=50, seed=4)[0] for _ in range(2))
    np.testing.assert_array_equal(one, two)
    assert (one[0] >= 62.0).all()


def test_vehicles_that_join_run_the_engine_hours_of_their_like():
    """The mean of the two in town, from the month on in which they join."""
    fleet = pd.DataFrame(
        {"unit": ["A", "B", "C"], "vehicle_class": ["van", "van", "bus"], "depot": "north", "driveline": "all_wheel",
         "duty": "town"}
    )  # fmt: skip
    usage = Usage(
        ("2026-07", "2026-08"), np.array([31.0, 31.0]), np.full((3, 2), 100.0), 0.0, np.ones(3, dtype=bool),
        np.array([[2.0, 3.0], [6.0, 5.0], [90.0, 90.0]]),
    )  # fmt: skip
    plan = pd.DataFrame(
        {"unit": [""], "vehicle_class": ["van"], "depot": ["north"], "month": pd.to_datetime(["2026-08-01"]),
         "joins": [2.0], "leaves": [0.0], "file": "fleet_plan.csv", "row": [2]}
    )  # fmt: skip
    changes = build_fleet_changes(
        plan, windows=fleet, usage=usage, law=constant_leaving(0.0), age=np.ones(3), lift=np.zeros(3)
    )
    np.testing.assert_array_equal(changes.new.usage.hours, [[0.0, 4.0], [0.0, 4.0]])


def test_a_named_leaver_does_not_go_among_the_counted_before_its_month():
    """A and B are the oldest, but A stays until August by name: of the two that leave in July one is C."""
    fleet = pd.DataFrame(
        {"unit": list("ABCD"), "vehicle_class": "van", "depot": "north", "driveline": "all_wheel", "duty": "town"}
    )
    usage = Usage(("2026-07", "2026-08"), np.array([31.0, 31.0]), np.full((4, 2), 100.0), 0.0, np.ones(4, dtype=bool))
    plan = pd.DataFrame(
        {
            "unit": ["", "A", "N"], "vehicle_class": ["van", "", ""], "depot": "", "joins": 0.0,
            "month": pd.to_datetime(["2026-07-01", "2026-08-01", "2026-08-01"]), "leaves": [2.0, 1.0, 1.0],
            "file": "fleet_plan.csv", "row": [2, 3, 4],
        }
    )  # fmt: skip
    changes = build_fleet_changes(
        plan, windows=fleet, usage=usage, law=constant_leaving(0.5), age=np.array([9.0, 8.0, 7.0, 1.0]),
        lift=np.zeros(4),
    )  # fmt: skip
    assert changes.planned.tolist() == [31.0, 0.0, 0.0, np.inf]
    # One that joined in a month that is over, and is not entered in the vehicles table, is said and not passed over.
    (note,) = changes.notes
    assert note.startswith("fleet_plan.csv row 4: N is to leave in 2026-08, but is neither in the vehicles table")
    assert changes.named.tolist() == [True, False, False, False] and changes.law_from == 62.0


def test_long_run_cost_without_other_renewals_is_that_of_age_replacement():
    """The closed form of the policy module is the second answer."""
    none, limits = OtherRates(0.0, 0.0, 0.0, 0.0), np.array([60.0, np.inf])
    terms = {"shape": 2.5, "scale": np.array([100.0, 100.0])}
    mine = cycle_cost_rate(limits, **terms, rates=none, planned=100.0, found=500.0, road=500.0)
    theirs = cost_rate(limits, **terms, planned_cost=100.0, failed_cost=500.0)
    np.testing.assert_allclose(mine, theirs, rtol=1e-3)
