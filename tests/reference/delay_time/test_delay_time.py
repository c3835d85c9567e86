"""Sources of every figure: the README beside this file."""

import numpy as np
import pytest

from wearmodel.policy.inspection import inspect_every, inspection_cost_rate, missed_share

TERMS = {
    "defect_rate": 0.1,
    "mean_delay": 10.0,
    "inspection_cost": 20.0,
    "found_cost": 100.0,
    "failed_cost": 500.0,
}


def test_missed_share_of_perfect_inspections() -> None:
    # Source: Christer & Waller (1984); closed form and quadrature, outside this package.
    found = missed_share([5.0, 10.0, 20.0], mean_delay=10.0)
    assert found == pytest.approx([0.21306132, 0.36787944, 0.56766764], abs=5e-9)


def test_missed_share_of_imperfect_inspections() -> None:
    # Source: derived outside this package; simulation of four million cases 0.45393 at T = 10.
    found = missed_share([5.0, 10.0, 20.0], mean_delay=10.0, find_chance=0.8)
    assert found == pytest.approx([0.28353780, 0.45414153, 0.64451210], abs=5e-9)


def test_cost_optimum() -> None:
    # Source: root of the optimality equation, outside this package.
    best = inspect_every(**TERMS)
    assert best == pytest.approx(3.553615, abs=5e-7)
    assert inspection_cost_rate(best, **TERMS) == pytest.approx(21.963200, abs=5e-7)


def test_cost_beside_the_optimum() -> None:
    # Source: as above.
    rates = inspection_cost_rate([3.0, 5.0, 10.0], **TERMS)
    assert rates == pytest.approx([22.109096, 22.522453, 26.715178], abs=5e-7)


def test_inspection_dearer_than_all_it_can_save() -> None:
    # Source: as above: with inspection cost / (rate x saving x delay) of 1 or more, never inspect.
    assert np.isinf(inspect_every(**(TERMS | {"inspection_cost": 400.0})))
    assert np.isfinite(inspect_every(**(TERMS | {"inspection_cost": 399.0})))
