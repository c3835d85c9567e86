"""Standardised lives and costs against sums and integrals worked out one by one."""

import math

import numpy as np
import pytest
from confounded_fleets import CODE, DESIGNS, LIFT, coded_lives, drawn_fleet, fitted, pieces_of
from scipy import integrate, optimize, stats

from wearmodel.policy.age_replacement import cost_rate, recommended_interval
from wearmodel.policy.comparison.compare import compare_ride_heights
from wearmodel.policy.comparison.standardised import DrawnLaw, build_mix, draw_law, mixed_cost, mixed_mean, mixed_median
from wearmodel.survival.model import ReplacementCost

ROWS = np.array([[1.0, 0.0], [1.0, 1.0], [1.0, 0.3]])
SHARES = np.array([0.5, 0.3, 0.2])


@pytest.fixture(scope="module", params=[0.0, 0.4])
def drawn(request):
    values = np.array([[math.log(90.0), -0.7, math.log(2.3)], [math.log(100.0), -0.5, math.log(1.8)]])
    return DrawnLaw(values, np.full(2, request.param))


def survivals(drawn, number):
    """Survival of the mix by the plain formula."""
    scale = np.exp(ROWS @ drawn.values[number, :2])
    shape, variance = math.exp(drawn.values[number, 2]), drawn.variance[number]

    def good(age):
        hazard = (age / scale) ** shape
        each = (1 + variance * hazard) ** (-1 / variance) if variance else np.exp(-hazard)
        return float(SHARES @ each)

    return good


def test_median_and_mean_are_those_of_the_mixed_curve(drawn):
    medians = mixed_median(drawn, ROWS, SHARES)
    means = mixed_mean(drawn, ROWS, SHARES, limit=70.0)
    for number in range(2):
        good = survivals(drawn, number)
        assert medians[number] == pytest.approx(optimize.brentq(lambda t, s=good: s(t) - 0.5, 1.0, 500.0), rel=1e-8)
        assert means[number] == pytest.approx(integrate.quad(good, 0.0, 70.0)[0], rel=1e-8)


def test_costs_keep_the_intervals_of_the_estimate(drawn):
    cost = ReplacementCost(100.0, 600.0)
    found = mixed_cost(drawn, ROWS, SHARES, cost=cost, service_interval=math.nan)
    money = {"planned_cost": 100.0, "failed_cost": 600.0}
    for number in range(2):
        total = 0.0
        for row, share in zip(ROWS, SHARES, strict=True):
            first = {"shape": math.exp(drawn.values[0, 2]), "scale": math.exp(row @ drawn.values[0, :2])}
            own = {"shape": math.exp(drawn.values[number, 2]), "scale": math.exp(row @ drawn.values[number, :2])}
            interval = recommended_interval(**first, **money)
            total += share * float(cost_rate(interval, **own, **money))
        # On a vehicle with frailty z parts wear z^(1 / shape) times as fast, gamma over vehicles.
        if drawn.variance[number]:
            own_shape, theta = math.exp(drawn.values[number, 2]), drawn.variance[number]
            total *= stats.gamma(1 / theta, scale=theta).expect(lambda z, k=own_shape: z ** (1 / k))
        assert found[number] == pytest.approx(total, rel=1e-7)


def test_equal_rows_count_once():
    rows = np.array([[1.0, 0.0], [1.0, 1.0], [1.0, 0.0], [1.0, 5.0]])
    mix = build_mix(rows, rows + 1.0, np.array([1.0, 2.0, 3.0, 0.0]))
    assert mix.rows.tolist() == [[1.0, 0.0], [1.0, 1.0]]
    assert mix.others.tolist() == [[2.0, 1.0], [2.0, 2.0]]
    assert mix.shares.tolist() == pytest.approx([4 / 6, 2 / 6])


def test_draws_have_the_covariance_of_the_model():
    fleet = drawn_fleet(np.random.default_rng(3), 200, DESIGNS["unlike"])
    model = fitted(coded_lives(fleet)).components[CODE]
    law = draw_law(model, draws=20_000, rng=np.random.default_rng(1))
    assert law.values[0] == pytest.approx(model.values)
    # Each entry in units of both standard errors: 20,000 draws leave an error of 0.01.
    errors = np.sqrt(np.diag(np.array(model.covariance)))
    spread = np.outer(errors, errors)
    assert np.cov(law.values[1:].T) / spread == pytest.approx(np.array(model.covariance) / spread, abs=0.04)
    assert model.frailty_variance > 0
    assert np.std(np.log(law.variance[1:])) == pytest.approx(math.sqrt(model.frailty_covariance[-1]), rel=0.03)


def test_each_part_is_taken_once_raised_and_once_not():
    """G-computation by brute force: every raised piece, with its own duty and class, in a loop."""
    fleet = drawn_fleet(np.random.default_rng(7), 250, DESIGNS["plain"])
    mine, pieces = coded_lives(fleet), pieces_of(fleet)
    life = fitted(mine)
    model = life.components[CODE]
    row = compare_ride_heights(
        life, coded={CODE: mine}, pieces=pieces, levels=(0.0, LIFT), traits=fleet.traits
    ).iloc[0]
    value = dict(zip(model.names, model.values, strict=True))
    shape = math.exp(value["log_shape"])
    raised = pieces[(pieces["lift"] > 0) & (pieces["distance"] > 0)]
    weight = (raised["distance"] / raised["distance"].sum()).to_numpy()
    own = fleet.traits.iloc[raised["life"]]
    scales = np.zeros(len(own))
    groups = {group.kind: group for group in model.coding.groups}
    for number, (duty, vehicle_class, place) in enumerate(
        zip(own["duty"], own["vehicle_class"], own["place"], strict=True)
    ):
        log_scale = value["intercept"] + value.get(f"duty:{duty}", 0.0)
        if "class" in groups:
            log_scale += value.get(f"class:{vehicle_class}", 0.0)
        if "place" in groups:
            log_scale += value.get(f"place:{place}", 0.0)
        scales[number] = math.exp(log_scale)
    effect = value["lift"] * LIFT / 100.0
    for side, change in (("factory", 0.0), ("raised", effect)):

        def good(age, change=change):
            return float(weight @ np.exp(-((age / (scales * math.exp(change))) ** shape)))

        assert model.frailty_variance == 0.0
        median = optimize.brentq(lambda t, s=good: s(t) - 0.5, 0.01, 9.0)
        assert row[f"median_{side}"] == pytest.approx(median, rel=1e-6)
        mean = integrate.quad(good, 0.0, row["mean_limit"], limit=200)[0]
        assert row[f"mean_{side}"] == pytest.approx(mean, rel=1e-6)
        assert row[f"mean_{side}_lower"] < row[f"mean_{side}"] < row[f"mean_{side}_upper"]
    assert row["life_ratio"] == pytest.approx(math.exp(effect))
    assert row["extra_cost_per_1000_lower"] < row["extra_cost_per_1000"] < row["extra_cost_per_1000_upper"]
    assert row["why"].startswith(f"Crude {row['crude_ratio']:.2f}: even at factory height")
    assert "because of their duty (site" in row["why"] or "because of their duty (highway" in row["why"]
