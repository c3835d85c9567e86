"""Tables of intervals, comparison and fits for a model whose vehicles wear unlike."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, optimize, stats

from wearmodel.plan_tables import build_curves, build_fits
from wearmodel.policy.comparison.compare import compare_ride_heights
from wearmodel.policy.intervals import plan_intervals
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.model import LifeModel, law
from workbook.example_model import EXAMPLE_MODEL

VARIANCE = 0.4
FRAILTY = stats.gamma(1.0 / VARIANCE, scale=VARIANCE)
CELLS = pd.DataFrame(
    {"component": ["u_joint", "u_joint", "slip_spline"], "duty": ["site", "highway", "highway"],
     "lift": [75.0, 0.0, 0.0], "failures": [5, 7, 0]}
)  # fmt: skip


def model_with(variance, covariance=()):
    own = replace(EXAMPLE_MODEL.components["u_joint"], frailty_variance=variance, frailty_covariance=tuple(covariance))
    return replace(EXAMPLE_MODEL, components={**EXAMPLE_MODEL.components, "u_joint": own})


def over_vehicles(function):
    """Mean of a function of the frailty over vehicles."""
    cuts = FRAILTY.ppf([1e-12, 1e-4, 0.1, 0.5, 0.9, 1 - 1e-4, 1 - 1e-12])
    return sum(
        integrate.quad(lambda z: function(z) * FRAILTY.pdf(z), low, high, epsabs=0.0, epsrel=1e-9)[0]
        for low, high in pairwise(cuts)
    )


def burr(point):
    """Life over vehicles (Tadikamalla, International Statistical Review 48, 1980)."""
    return stats.burr12(point.shape, 1.0 / VARIANCE, scale=point.scale * VARIANCE ** (-1.0 / point.shape))


def test_intervals_are_of_a_usual_vehicle_and_lives_and_costs_of_all():
    plain = plan_intervals(EXAMPLE_MODEL, cells=CELLS, worn_shares={})
    table = plan_intervals(model_with(VARIANCE), cells=CELLS, worn_shares={})
    assert {"frailty_variance", "interval_years"} <= set(table.columns)
    assert table["interval_years"].isna().all()
    assert table["frailty_variance"].tolist()[:2] == [VARIANCE] * 2
    assert math.isnan(table["frailty_variance"][2])
    assert plain["frailty_variance"].tolist()[:2] == [0.0] * 2
    for name in ("interval", "interval_low", "interval_high", "shape", "scale", "advice"):
        pd.testing.assert_series_equal(table[name], plain[name])
    for _, row in table[:2].iterrows():
        point = law(EXAMPLE_MODEL.components["u_joint"], duty=row["duty"], lift=row["lift"])
        life = burr(point)
        assert row["b10"] == pytest.approx(life.ppf(0.1), rel=1e-9)
        assert row["median"] == pytest.approx(life.ppf(0.5), rel=1e-9)
        assert row["mean"] == pytest.approx(life.mean(), rel=1e-9)

        def rate(z, row=row, point=point):
            """Of one vehicle, by numerical integration of its survival to its own interval."""
            alone = stats.weibull_min(point.shape, scale=point.scale * z ** (-1.0 / point.shape))
            end = row["interval"] * z ** (-1.0 / point.shape)
            length = integrate.quad(alone.sf, 0.0, end, epsabs=0.0, epsrel=1e-10)[0]
            return (150.0 * alone.sf(end) + 600.0 * alone.cdf(end)) / length

        assert row["cost_rate_interval"] == pytest.approx(over_vehicles(rate), rel=1e-7)
        failing = over_vehicles(
            lambda z, point=point: (
                600.0 / stats.weibull_min.mean(point.shape, scale=point.scale * z ** (-1.0 / point.shape))
            )
        )
        assert row["cost_rate_run_to_failure"] == pytest.approx(failing, rel=1e-7)


def test_a_mean_life_without_end_is_left_blank():
    table = plan_intervals(model_with(2.6), cells=CELLS, worn_shares={})
    assert table["mean"][:2].isna().all()
    assert np.isfinite(table["median"][:2]).all()


def compared(variance):
    fleet = model_with(variance)
    fleet = replace(fleet, components={"u_joint": fleet.components["u_joint"]})
    pieces = pd.DataFrame(
        {"life": [0, 1, 2], "component": "u_joint", "duty": ["site", "highway", "site"], "lift": [75.0, 75.0, 0.0],
         "distance": [30_000.0, 10_000.0, 50_000.0], "failed_here": 0.0, "weight": 1.0, "usable": True,
         "age": [30_000.0, 10_000.0, 50_000.0]}
    )  # fmt: skip
    lives = {"u_joint": ComponentLives("u_joint", fleet.components["u_joint"].coding, None, np.arange(3))}
    blank = dict.fromkeys(["vehicle_class", "place", "make", "build", "greasing"], "")
    traits = pd.DataFrame({"duty": pieces["duty"], **blank, "angle": np.nan, "length": np.nan})
    table = compare_ride_heights(fleet, coded=lives, pieces=pieces, levels=(0.0, 75.0), traits=traits)
    return fleet, table.iloc[0]


def test_compared_medians_and_costs_are_those_of_all_vehicles():
    fleet, row = compared(VARIANCE)
    _, plain = compared(0.0)
    assert row["life_ratio"] == plain["life_ratio"]
    # Three quarters of the raised distance is site work.
    for lift, name in ((0.0, "median_factory"), (75.0, "median_raised")):
        site, highway = (burr(law(fleet.components["u_joint"], duty=duty, lift=lift)) for duty in ("site", "highway"))
        expected = optimize.brentq(
            lambda t, site=site, highway=highway: 0.75 * site.sf(t) + 0.25 * highway.sf(t) - 0.5, 1.0, 1e6, xtol=1e-6
        )
        assert row[name] == pytest.approx(expected, rel=1e-9)
    pace = over_vehicles(lambda z: z ** (1.0 / 2.5))
    assert row["extra_cost_per_1000"] == pytest.approx(pace * plain["extra_cost_per_1000"], rel=1e-8)


def test_fits_show_the_variance_with_bounds_of_its_logarithm():
    covariance = (0.0, 0.0, 0.0, 0.0, 0.09)
    table = build_fits(model_with(VARIANCE, covariance)).set_index(["component", "parameter"])
    row = table.loc[("u_joint", "frailty_variance")]
    half = stats.norm.ppf(0.95) * 0.3
    assert row[["estimate", "lower", "upper"]].tolist() == pytest.approx(
        [0.4, 0.4 * math.exp(-half), 0.4 * math.exp(half)]
    )
    assert ("slip_spline", "frailty_variance") not in table.index
    given = build_fits(model_with(VARIANCE)).set_index(["component", "parameter"]).loc[("u_joint", "frailty_variance")]
    assert given["estimate"] == 0.4
    assert math.isnan(given["lower"])
    assert math.isnan(given["upper"])
    assert "frailty_variance" not in set(build_fits(EXAMPLE_MODEL)["parameter"])


def test_curves_are_of_all_vehicles_and_reach_to_where_most_have_failed():
    fleet: LifeModel = model_with(VARIANCE)
    curves = build_curves(fleet, (0.0, 75.0))
    mine = curves[(curves["duty"] == "highway") & (curves["lift"] == 0.0)]
    life = burr(law(fleet.components["u_joint"], duty="highway"))
    assert mine["survival"].to_numpy() == pytest.approx(life.sf(mine["distance"].to_numpy()), rel=1e-9)
    assert mine["distance"].max() == pytest.approx(life.ppf(0.95), rel=1e-9)
