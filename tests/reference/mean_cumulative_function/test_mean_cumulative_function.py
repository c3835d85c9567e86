"""Mean cumulative number of replacements of two published repair records. Source: README.md beside this file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.survival.nonparametric import mean_cumulative_function

HERE = Path(__file__).parent


def curve(table, unit):
    index = pd.factorize(table[unit])[0]
    event = (table["replaced"] == 1).to_numpy()
    ends = table.groupby(index)["days"].max().to_numpy(dtype=float)
    return mean_cumulative_function(
        unit=index[event], age=table["days"].to_numpy(dtype=float)[event], entry=np.zeros(len(ends)), exit_age=ends
    ).set_index("distance")


@pytest.mark.parametrize(
    ("day", "at_risk", "mcf", "se"),
    [
        (61, 41, 0.0243902439, 0.0240909658),
        (98, 41, 0.1463414634, 0.0551993371),
        (202, 41, 0.2926829268, 0.0789875),
        (348, 41, 0.5853658537, 0.1242496086),
        (410, 40, 0.7335365854, 0.1391420054),
        (479, 40, 0.7835365854, 0.1460688),
        (581, 38, 0.9848523748, 0.1712035978),
        (653, 9, 1.5426875136, 0.3116560748),
    ],
)
def test_valve_seats(day, at_risk, mcf, se):
    row = curve(pd.read_csv(HERE / "valve_seats_41.csv"), "engine").loc[day]
    assert row["at_risk"] == at_risk
    assert row["mcf"] == pytest.approx(mcf, abs=1e-8)
    assert row["se"] == pytest.approx(se, abs=6e-8)


@pytest.mark.parametrize(
    ("batch", "day", "mcf", "se"),
    [(1, 650, 1.6, 0.2458545189), (2, 382, 1.4444444444, 0.2111435972), (2, 39, 0.1666666667, None)],
)
def test_braking_grids(batch, day, mcf, se):
    table = pd.read_csv(HERE / "braking_grids_33.csv")
    row = curve(table[table["batch"] == batch], "unit").loc[day]
    assert row["mcf"] == pytest.approx(mcf, abs=1e-8)
    if se is not None:
        assert row["se"] == pytest.approx(se, abs=1e-8)
