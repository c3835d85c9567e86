"""Sources of every figure: the README beside this file."""

import math
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.policy.age_replacement import cost_rate, expected_cost_rate, optimal_interval

TABLE = pd.read_csv(Path(__file__).parent / "weibull_optimum.csv")
TERMS = {"shape": TABLE["shape"], "planned_cost": 1.0, "failed_cost": TABLE["failed_cost"]}


def test_best_interval_and_its_cost() -> None:
    # Source: optimality equation of Barlow & Hunter (1960), solved by another program.
    best = optimal_interval(scale=1.0, **TERMS)
    assert best == pytest.approx(TABLE["interval"], abs=2e-6)
    assert cost_rate(best, scale=1.0, **TERMS) == pytest.approx(TABLE["cost_rate"], abs=2e-6)


def test_running_to_failure_and_saving() -> None:
    # Source: as above.
    forever = cost_rate(np.inf, scale=1.0, **TERMS)
    least = cost_rate(optimal_interval(scale=1.0, **TERMS), scale=1.0, **TERMS)
    assert forever == pytest.approx(TABLE["run_to_failure"], abs=2e-6)
    assert 1.0 - least / forever == pytest.approx(TABLE["saving"], abs=1e-4)


def test_interval_scales_with_life_and_cost_with_price() -> None:
    # Source: the same table; scaling by hand.
    terms = {"shape": TABLE["shape"], "planned_cost": 40.0, "failed_cost": 40.0 * TABLE["failed_cost"]}
    best = optimal_interval(scale=60_000.0, **terms)
    assert best / 60_000.0 == pytest.approx(TABLE["interval"], abs=2e-6)
    assert cost_rate(best, scale=60_000.0, **terms) * 60_000.0 / 40.0 == pytest.approx(
        TABLE["cost_rate"], abs=2e-6
    )


def test_worked_number() -> None:
    # Source: root of the equation by another program (scale 60,000, shape 2.8, costs 40 and 200).
    terms = {"shape": 2.8, "scale": 60_000.0, "planned_cost": 40.0, "failed_cost": 200.0}
    best = optimal_interval(**terms)
    assert best == pytest.approx(29839.889, abs=1e-3)
    assert cost_rate(best, **terms) == pytest.approx(0.0021236820, abs=5e-11)


def test_textbook_uniform_life() -> None:
    # Source: Jardine & Tsang, 2nd ed., ch. 2, problem 2 and solution: 0.0143, 0.01, 0.0093, 0.01 at
    # 10, 20, 30 and 40 thousand km, costs 100 and 200.
    age = np.array([10_000.0, 20_000.0, 30_000.0, 40_000.0])
    survival = 1.0 - age / 40_000.0
    integrated = age - age**2 / 80_000.0
    rates = expected_cost_rate(survival, integrated, planned_cost=100.0, failed_cost=200.0)
    assert rates.round(4) == pytest.approx([0.0143, 0.01, 0.0093, 0.01], abs=1e-12)
    assert rates == pytest.approx([1.0 / 70.0, 0.01, 0.028 / 3.0, 0.01], rel=1e-12)


def test_textbook_uniform_life_optimum() -> None:
    # Source: the same problem, minimum of its cost by hand: 40000 (sqrt 3 - 1) km, 0.00933012702 a km.
    best = 40_000.0 * (math.sqrt(3.0) - 1.0)
    age = best + np.array([-50.0, 0.0, 50.0])
    rates = expected_cost_rate(
        1.0 - age / 40_000.0, age - age**2 / 80_000.0, planned_cost=100.0, failed_cost=200.0
    )
    assert rates[1] == pytest.approx(0.00933012702, abs=5e-12)
    assert rates[1] < min(rates[0], rates[2])
