"""Uncertainty of curves against simulated running, order against independent routines, dates against distances."""

import numpy as np
import pytest
from sklearn.isotonic import IsotonicRegression

from wearmodel.history.odometer import _even, _Points
from wearmodel.history.odometer_curves import OdometerCurves, build_curves


def curves_through(days, odometer, *, grain=0.0, vehicle=None, units=("A",)):
    days = np.asarray(days, dtype=float)
    vehicle = np.zeros(len(days), dtype=int) if vehicle is None else vehicle
    return build_curves(
        units,
        vehicle=vehicle,
        day=days,
        odometer=np.asarray(odometer, dtype=float),
        grain=np.full(len(days), grain),
        carried=np.zeros(len(days)),
    )


def brownian_running(rng, days, *, rate=100.0, wander=2.0e4):
    """Cumulative running whose days are independent, with mean 100 and variance 20,000."""
    return np.concatenate([[0.0], np.cumsum(rng.gamma(rate**2 / wander, wander / rate, days))])


@pytest.fixture(scope="module")
def fleet():
    """60 vehicles read every 20 days for four years."""
    rng = np.random.default_rng(8)
    paths = [brownian_running(rng, 1460) for _ in range(60)]
    at = np.arange(0, 1461, 20)
    curves = curves_through(
        np.tile(at, 60),
        np.concatenate([path[at] for path in paths]),
        vehicle=np.repeat(np.arange(60), len(at)),
        units=tuple(f"V{k}" for k in range(60)),
    )
    return curves, np.array(paths)


def test_the_variance_of_running_is_found(fleet):
    """Figures stand for the end of their day here: they have no noise of their own but are credited some."""
    curves, _ = fleet
    assert np.mean(curves.wander) == pytest.approx(2.0e4, rel=0.12)


@pytest.mark.parametrize("offset", [3, 10, 17])
def test_between_figures_it_is_a_brownian_bridge(fleet, offset):
    """Errors at all gaps of all vehicles against the stated standard deviation."""
    curves, paths = fleet
    day = np.arange(offset, 1460, 20)
    error = curves.distance_at(np.arange(60)[:, None], day[None, :]) - paths[:, day]
    stated = curves.distance_sd_at(np.arange(60)[:, None], day[None, :])
    assert np.sqrt(np.mean(error**2)) == pytest.approx(np.sqrt(np.mean(stated**2)), rel=0.1)


def test_the_bridge_by_monte_carlo_of_one_gap():
    """10,000 walks pinned at both ends, without the library: variance w u (1 - u) L."""
    rng = np.random.default_rng(2)
    steps = rng.normal(100.0, 30.0, (10_000, 40))
    walks = np.cumsum(steps, axis=1)
    pinned = walks - walks[:, -1:] * np.arange(1, 41) / 40.0 + 4_000.0 * np.arange(1, 41) / 40.0
    curves = OdometerCurves(
        units=("A",), vehicle=np.zeros(2, dtype=int), day=np.array([0.0, 40.0]), odometer=np.array([0.0, 4_000.0]),
        daily=np.array([100.0]), noise=np.zeros(2), carried=np.zeros(2), wander=np.array([900.0]),
        wander_ahead=np.array([900.0]), basis=np.array([40.0]),
    )  # fmt: skip
    for day in (5, 20, 33):
        assert curves.distance_sd_at(0, day) == pytest.approx(pinned[:, day - 1].std(), rel=0.03)


def test_ahead_the_pace_is_uncertain_too():
    """Walks whose pace was measured over T days, h days on: variance w h (1 + h / T)."""
    rng = np.random.default_rng(5)
    walks = np.cumsum(rng.normal(100.0, 50.0, (10_000, 300)), axis=1)
    error = walks[:, 299] - walks[:, 199] * 1.5
    curves = OdometerCurves(
        units=("A",), vehicle=np.zeros(2, dtype=int), day=np.array([0.0, 200.0]), odometer=np.array([0.0, 20_000.0]),
        daily=np.array([100.0]), noise=np.zeros(2), carried=np.zeros(2), wander=np.array([2_500.0]),
        wander_ahead=np.array([2_500.0]), basis=np.array([200.0]),
    )  # fmt: skip
    assert curves.distance_sd_at(0, 300.0) == pytest.approx(error.std(), rel=0.03)


def test_a_standing_vehicle_is_certain():
    """No more can vary than was run: between equal figures nothing."""
    curves = curves_through([0, 100, 200, 300, 400], [0.0, 9_000.0, 9_000.0, 21_000.0, 30_000.0])
    assert curves.distance_sd_at(0, 150.0) < 40.0
    assert curves.distance_sd_at(0, 250.0) > 300.0


def test_uncertainty_at_figures_is_rounding_and_part_of_a_day():
    exact = curves_through(np.arange(0, 400, 10), 100.0 * np.arange(0, 400, 10))
    rough = curves_through(np.arange(0, 400, 10), 100.0 * np.arange(0, 400, 10), grain=1_000.0)
    assert exact.distance_sd_at(0, 200.0) == pytest.approx(100.0 / np.sqrt(12.0), rel=0.05)
    assert rough.distance_sd_at(0, 200.0) == pytest.approx(np.hypot(1_000.0, 100.0) / np.sqrt(12.0), rel=0.05)


def test_uncertainty_grows_before_and_after(fleet):
    curves, _ = fleet
    after = curves.distance_sd_at(0, 1460.0 + np.array([0.0, 10.0, 100.0, 1_000.0]))
    assert (np.diff(after) > 0).all()
    late = curves_through([500, 600, 700, 800], [50_000.0, 61_000.0, 69_000.0, 80_000.0])
    before = late.distance_sd_at(0, np.array([499.0, 400.0, 100.0, -5_000.0]))
    assert (np.diff(before) > 0).all()
    assert before[-1] < 51_000.0


def test_dates_undo_distances(fleet):
    curves, _ = fleet
    vehicle = np.arange(60)[:, None]
    day = np.linspace(1.0, 1_900.0, 97)[None, :]
    back = curves.day_at(vehicle, curves.distance_at(vehicle, day))
    np.testing.assert_allclose(back, np.tile(day, (60, 1)), atol=1e-6)


def test_dates_at_the_edges():
    curves = curves_through([0, 100, 200, 300], [1_000.0, 2_000.0, 2_000.0, 3_000.0])
    assert np.isnan(curves.day_at(0, 999.0))
    assert curves.day_at(0, 1_000.0) == 0.0
    assert curves.day_at(0, 2_000.0) == 100.0
    assert curves.day_at(0, 2_500.0) == 250.0
    assert curves.day_at(0, 4_000.0) == pytest.approx(300.0 + 1_000.0 / curves.daily[0])
    stands = curves_through([0, 400, 800], [1_000.0, 2_000.0, 2_000.0])
    assert np.isinf(stands.day_at(0, 2_001.0))
    assert np.isnan(curves.day_sd_at(0, 999.0))


def test_dates_are_as_uncertain_as_simulated(fleet):
    curves, paths = fleet
    rng = np.random.default_rng(1)
    far = rng.uniform(1_000.0, paths[:, -1].min(), (60, 200))
    true = np.array([np.interp(row, path, np.arange(1461.0)) for row, path in zip(far, paths, strict=True)])
    error = curves.day_at(np.arange(60)[:, None], far) - true
    stated = curves.day_sd_at(np.arange(60)[:, None], far)
    assert 0.85 < np.mean(np.abs(error) <= 1.645 * stated) < 0.95


def test_curves_without_variances_say_so():
    bare = OdometerCurves(("A",), np.zeros(2, dtype=int), np.array([0.0, 9.0]), np.array([0.0, 90.0]), np.array([10.0]))
    assert np.isnan(bare.distance_sd_at(0, 3.0))
    assert np.isnan(bare.day_sd_at(0, 30.0))
    assert bare.day_at(0, 30.0) == 3.0


def test_evening_out_agrees_with_another_library():
    rng = np.random.default_rng(12)
    vehicle = np.repeat([0, 1, 2], [40, 1, 30])
    odometer = np.cumsum(rng.normal(30.0, 60.0, 71)) + 5_000.0
    grain = rng.choice([1.0, 10.0, 100.0], 71)
    points = _Points(vehicle, np.arange(71.0), odometer, grain, np.zeros(71), np.arange(71))
    pace = np.array([30.0, 30.0, 30.0])
    ours = _even(points, pace)
    for index in range(3):
        mine = vehicle == index
        weights = 12.0 / (grain[mine] ** 2 + 30.0**2)
        theirs = IsotonicRegression().fit_transform(np.arange(mine.sum()), odometer[mine], sample_weight=weights)
        np.testing.assert_allclose(ours[mine], theirs)


def test_figures_in_order_stay_as_they_are():
    odometer = np.cumsum(np.random.default_rng(3).integers(0, 500, 50)).astype(float)
    points = _Points(np.zeros(50, dtype=int), np.arange(50.0), odometer, np.ones(50), np.zeros(50), np.arange(50))
    np.testing.assert_array_equal(_even(points, np.array([100.0])), odometer)
    np.testing.assert_allclose(IsotonicRegression().fit_transform(np.arange(50), odometer), odometer)
