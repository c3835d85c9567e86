"""Odometer faults of known kind and place in invented fleets: found, true figures left alone, stated errors right.

What is detectable is defined in `odometer_study`; the figures to reach were set before it was measured.
"""

import numpy as np
import pytest
from odometer_study import SINGLE, detectable, fault_outcomes, fault_table, invented_fleet, studied, totals

SEEDS = (101, 102, 103)
VEHICLES = 120


@pytest.fixture(scope="module")
def studies():
    return [studied(seed, vehicles=VEHICLES) for seed in SEEDS]


@pytest.fixture(scope="module")
def summary(studies):
    return totals(studies)


def test_faults_are_found(studies, summary):
    assert fault_outcomes(studies).mean() >= 0.98
    assert summary["found of figures"] >= 0.98
    assert summary["found of single"] >= 0.98


def test_every_kind_of_fault_is_there_and_found(studies):
    table = fault_table(studies).set_index("kind")
    assert (table["detectable"] > 0).all()
    assert (table.loc[list(SINGLE), "found"] >= 0.95).all()


def test_repaired_figures_are_right(studies):
    """Of single figures that were read otherwise than written few are more than two days' running off."""
    table = fault_table(studies).set_index("kind").loc[list(SINGLE)]
    misread = (table["misread"] * table["detectable"]).sum() / table["detectable"].sum()
    assert misread < 0.03


def test_true_figures_are_left_alone(summary):
    assert summary["true altered"] < 0.005


@pytest.mark.parametrize("name", ["coverage", "coverage, no break", "coverage ahead", "coverage of dates"])
def test_stated_errors_are_right(summary, name):
    assert 0.80 <= summary[name] <= 0.97


def test_most_faults_are_detectable_and_some_are_not():
    fleet = invented_fleet(7, vehicles=60)
    told, _ = detectable(fleet)
    kinds = fleet.figures["kind"]
    assert not told[kinds == ""].any()
    shares = np.array([told[kinds == kind].mean() for kind in ("digit", "zero more")])
    assert shares[0] < 0.8 < shares[1]
