"""A short form of the study in four designs (`four_designs.py`), and checks of what it draws."""

import math

import numpy as np
import pandas as pd
import pytest
from design_lives import (
    BLANKED,
    DAILY,
    DUTIES,
    DUTY_EFFECTS,
    LIFE_RATIO,
    LOOK,
    RAISED_SHARES,
    SCALE,
    SHAPE,
    SILENT,
    Vehicle,
    drawn_lives,
    drawn_vehicles,
    inspected_fleet,
)
from four_designs import DESIGNS, LARGEST_BIAS, PLAIN, PRODUCT, study, summary, within_aim

FLEETS, VEHICLES = 16, 150
#: Of 16 intervals that hold the truth nine times in ten, fewer than 11 do with a chance of 0.003.
FEWEST_HELD = 11 / 16


@pytest.fixture(scope="module", params=list(DESIGNS))
def found(request):
    """Summary of a design, by reading and quantity."""
    return request.param, summary(study(request.param, fleets=FLEETS, vehicles=VEHICLES, seed=5)).set_index(
        ["reading", "quantity"]
    )


def test_the_truth_is_recovered(found):
    _, table = found
    fit = table.loc[PRODUCT]
    assert (fit["converged"] == 1.0).all()
    for quantity, row in fit.iterrows():
        # Two Monte Carlo standard errors beyond the aim of the long form; they are 0.6 to 1.6 % of 16 fleets.
        assert abs(row["bias"]) < LARGEST_BIAS[quantity] + 2.0 * row["bias_error"], quantity
        assert row["bias_error"] < 0.025, quantity
        assert row["cover"] >= FEWEST_HELD, quantity


def test_the_plain_reading_misses_what_its_design_hides(found):
    design, table = found
    plain = table.loc[PLAIN]
    if design == "late":
        assert plain.loc["shape", "bias"] < -0.25
        assert plain.loc["B10", "bias"] < -0.4
        assert plain.loc["B10", "cover"] == 0.0
    elif design == "looks":
        assert plain.loc["shape", "bias"] < -0.05
        assert plain.loc["median", "bias"] > 0.2
    elif design == "raised":
        assert plain.loc["shape", "bias"] < -0.08
        assert plain.loc["life ratio", "bias"] < -0.1
    else:
        assert plain["bias"].abs().max() < 0.03


@pytest.mark.parametrize("name", ["clean", "raised"])
def test_true_lives_are_those_of_the_parts_drawn(name):
    # First parts of each position on vehicles of the reference duty that are not raised, the record never ending.
    design = DESIGNS[name]
    rng = np.random.default_rng(1)
    vehicles = [
        Vehicle(0, 1e-6, frailty=one.frailty) for one in drawn_vehicles(rng, 40_000, variance=design.variance)
    ]
    stretched = [SCALE * one.frailty ** (-1.0 / SHAPE) * rng.weibull(SHAPE) for one in vehicles]
    lives = np.array([one.worn_out(0.0, life) for one, life in zip(vehicles, stretched, strict=True)])
    for quantity, share in (("B10", 0.1), ("median", 0.5)):
        # Share failed by the true life: standard error 0.0015 and 0.0025.
        assert (lives <= design.truth()[quantity]).mean() == pytest.approx(share, abs=0.008)


def test_a_raised_vehicle_runs_the_clock_of_wear_faster():
    vehicle = Vehicle(duty=2, service=2e5, raised_at=60_000.0)
    end = vehicle.worn_out(20_000.0, 90_000.0)
    # The wear of each kilometre, summed: the clock runs by exp(-effect), and 1 / ratio times that when raised.
    middles = np.arange(20_000.0, end, 1.0) + 0.5
    pace = math.exp(-DUTY_EFFECTS[2]) * np.where(middles > 60_000.0, 1.0 / LIFE_RATIO, 1.0)
    assert pace.sum() == pytest.approx(90_000.0, rel=1e-4)
    assert vehicle.worn_out(70_000.0, 10_000.0) == pytest.approx(70_000.0 + 10_000.0 * math.exp(-0.45) * LIFE_RATIO)


def test_raised_vehicles_do_harder_work():
    vehicles = drawn_vehicles(np.random.default_rng(2), 4_000, raised=True)
    raised = pd.Series([math.isfinite(one.raised_at) for one in vehicles])
    shares = raised.groupby([one.duty for one in vehicles]).mean()
    assert len(shares) == len(DUTIES)
    assert shares.to_numpy() == pytest.approx(RAISED_SHARES, abs=0.06)


def test_lines_of_an_inspected_fleet_say_no_more_than_a_shop_would_know():
    made = inspected_fleet(np.random.default_rng(3), 100)
    lines = made.lines
    assert (lines["position"] == "").mean() == pytest.approx(BLANKED, abs=0.04)
    assert (lines["reason"] == "worn").mean() == pytest.approx(SILENT, abs=0.05)
    looks = made.fleet.tables["inspections"]
    # Hidden wear is renewed on the day of a look, at which all joints are then good.
    dates = set(zip(looks["unit"], looks["date"], strict=True))
    repairs = made.fleet.tables["repairs"]
    worn = repairs[repairs["reason"] == "worn"]
    assert all(pair in dates for pair in zip(worn["unit"], worn["date"], strict=True))
    assert (looks.groupby(["unit", "date"]).size() == 3).all()
    days = looks[looks["position"] == "rear.joint_rear"].groupby("unit")["date"].diff().dropna().dt.days
    assert (days * DAILY).between(LOOK - 2 * DAILY, LOOK + 2 * DAILY).all()


def test_failures_on_the_road_keep_their_distance_and_hidden_ones_wait_for_a_look():
    offsets = np.full(50, 4_000.0)
    lives = drawn_lives(np.random.default_rng(4), drawn_vehicles(np.random.default_rng(4), 50), offsets=offsets)
    hidden = np.array([one.end for one in lives if one.hidden])
    shown = np.array([one.end for one in lives if one.failed and not one.hidden])
    assert np.allclose((hidden - 4_000.0) % LOOK, 0.0)
    assert not np.allclose((shown - 4_000.0) % LOOK, 0.0)
    assert np.allclose(shown % DAILY, 0.0)


@pytest.mark.parametrize(
    ("bias", "cover", "within"), [(0.01, 0.9, True), (-0.021, 0.9, False), (0.01, 0.86, False), (0.01, 0.94, False)]
)
def test_a_miss_of_the_aim_is_told(bias, cover, within):
    assert within_aim(pd.Series({"quantity": "shape", "bias": bias, "cover": cover})) == within
