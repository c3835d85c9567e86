"""Sources of every figure: the README beside this file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.survival.renewal import renewal_function
from wearmodel.survival.weibull import mean_life

TABLE = pd.read_csv(Path(__file__).parent / "weibull_renewal.csv")


def test_ages_in_units_of_the_scale() -> None:
    # Source: integral equation with extrapolation, and the series of Smith & Leadbetter (1963).
    rows = TABLE[TABLE["age_unit"] == "scale"]
    found = renewal_function(rows["age"], shape=rows["shape"], scale=1.0)
    assert found == pytest.approx(rows["renewals"], abs=2e-7)


def test_ages_in_mean_lives() -> None:
    # Source: as above, printed to five places.
    rows = TABLE[TABLE["age_unit"] == "mean"]
    age = rows["age"].to_numpy() * mean_life(shape=rows["shape"], scale=40_000.0)
    found = renewal_function(age, shape=rows["shape"], scale=40_000.0)
    assert found == pytest.approx(rows["renewals"], abs=5e-6)


def test_exponential_lives() -> None:
    # Source: by hand, M = t over the mean life.
    distance = np.array([0.0, 0.3, 2.0, 15.0, 200.0])
    assert renewal_function(distance, shape=1.0, scale=2.0) == pytest.approx(distance / 2.0, abs=1e-12)
