"""Short form of the study of forecasts: three ageing fleets, where rules that know the past alone see nothing coming.

The seeds are fixed; the whole study, with the figures that hold over 12 fleets or more, is `forecast_study.py`.
"""

import numpy as np
import pytest
from forecast_study import (
    AIMS,
    COMPONENT_MONTH,
    COMPONENT_YEAR,
    FIRST_SEED,
    PART_MONTH,
    PART_YEAR,
    REGIMES,
    fleet_sums,
    foresee,
    scores,
)


@pytest.fixture(scope="module")
def found():
    return [foresee(seed, "ageing", vehicles=160, years=8) for seed in range(FIRST_SEED, FIRST_SEED + 3)]


@pytest.fixture(scope="module")
def table(found):
    return scores(found)


def test_every_aim_has_a_regime_and_a_grain(table):
    assert {regime for regime, _ in AIMS} == set(REGIMES)
    assert {grain for _, grain in AIMS} == {PART_MONTH, COMPONENT_MONTH, PART_YEAR, COMPONENT_YEAR} <= set(table.index)


def test_the_wave_is_foreseen(table):
    """Losses at the aims of the whole study within two standard errors over fleets."""
    for grain in (PART_MONTH, COMPONENT_MONTH, PART_YEAR, COMPONENT_YEAR):
        row = table.loc[grain]
        assert row["loss_ratio"] < AIMS["ageing", grain][0] + 2.0 * row["error"], grain
    assert table.loc[COMPONENT_YEAR, "loss_ratio"] < 0.8


def test_sums_are_right_on_average(found):
    """Three sums whose counts vary by a twentieth and whose running does by a thirtieth: three standard errors."""
    sums = fleet_sums(found)
    assert (sums["actual"] > 100).all()
    error = np.sqrt((1.0 / sums["actual"].mean() + 0.035**2) / len(sums))
    assert np.log(sums["mean"].sum() / sums["actual"].sum()) == pytest.approx(0.0, abs=3.0 * error)
