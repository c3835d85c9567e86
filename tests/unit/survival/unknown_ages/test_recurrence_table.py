"""The forward-recurrence tables against closed forms, another algorithm, and simulated pasts."""

import numpy as np
import pytest
from scipy.special import gammaincc

from wearmodel.survival.renewal import renewal_function
from wearmodel.survival.unknown_ages.recurrence_table import build_recurrence_table, choose_grid

SHAPES = [1.2, 2.2, 3.5, 6.0]


def table_of(shape, *, oldest=20.0, longest=5.0, rate=0.0):
    return build_recurrence_table(shape, choose_grid(shape, oldest=oldest, longest=longest, rate=rate))


def points(a, x, renewals=0.0):
    a, x, renewals = np.broadcast_arrays(np.asarray(a, dtype=float), x, renewals)
    return np.log(a), np.log(x), np.array(renewals)


@pytest.mark.parametrize("rate", [0.0, 0.4])
def test_a_memoryless_part_forgets_everything(rate):
    table = table_of(1.0, rate=rate)
    rng = np.random.default_rng(1)
    a, x = rng.uniform(0.01, 12.0, 300), rng.uniform(0.01, 8.0, 300)
    where = points(a, x, rate * a)
    np.testing.assert_allclose(table.log_survivor(*where).value, -x, rtol=1e-12)
    np.testing.assert_allclose(table.log_hazard(*where).value, 0.0, atol=1e-12)


# Cubes follow x^1.2 less well near 0.
@pytest.mark.parametrize(("shape", "tolerance"), [(1.2, 3e-4), (2.2, 5e-6), (3.5, 2e-6), (6.0, 2e-6)])
def test_a_new_position_holds_a_new_part(shape, tolerance):
    table = table_of(shape)
    x = np.linspace(0.05, 1.5, 40)
    where = points(1e-12, x)
    np.testing.assert_allclose(table.log_survivor(*where).value, -(x**shape), atol=tolerance)
    np.testing.assert_allclose(table.log_hazard(*where).value, np.log(shape) + (shape - 1) * np.log(x), atol=1e-6)


@pytest.mark.parametrize(("shape", "tolerance"), [(1.2, 1e-5), (2.2, 1e-6), (3.5, 2e-4)])
def test_an_old_position_is_stationary(shape, tolerance):
    """After long use the remaining life has density S(x) / mean (Cox, Renewal Theory, 1962, sec. 5.2)."""
    table = table_of(shape, oldest=100.0)
    x = np.linspace(0.05, 1.3, 30)
    expected = np.log(gammaincc(1.0 / shape, x**shape))
    for a in (table.grid.step * table.grid.cells[0], 60.0):
        np.testing.assert_allclose(table.log_survivor(*points(a, x)).value, expected, atol=tolerance)


@pytest.mark.parametrize(("shape", "tolerance"), [(1.2, 4e-4), (2.2, 2e-5), (3.5, 2e-5)])
def test_against_the_renewal_function_of_another_algorithm(shape, tolerance):
    """S(a + x) + integral of S(a + x - t) dM(t), and the same of the hazard."""
    table = table_of(shape)
    rng = np.random.default_rng(2)
    for a, x in zip(rng.uniform(0.1, 3.0, 12), rng.uniform(0.02, 1.5, 12), strict=True):
        cuts = a * np.linspace(0.0, 1.0, 8_001) ** 2
        gained = np.diff(renewal_function(cuts, shape=shape, scale=1.0))
        age = np.append(a + x - (cuts[1:] + cuts[:-1]) / 2.0, a + x)
        weight = np.append(gained, 1.0) * np.exp(-(age**shape))
        where = points([a], x)
        assert table.log_survivor(*where).value[0] == pytest.approx(np.log(weight.sum()), abs=tolerance)
        hazard = weight @ (shape * age ** (shape - 1)) / weight.sum()
        assert table.log_hazard(*where).value[0] == pytest.approx(np.log(hazard), abs=tolerance)


@pytest.mark.parametrize(("shape", "rate"), [(2.2, 0.0), (2.2, 0.8), (0.8, 0.0)])
def test_against_a_simulated_past(shape, rate):
    """Positions filled again and again up to 1.7; then wear alone ends what was found."""
    rng, count, a = np.random.default_rng(3), 400_000, 1.7
    start, worn = np.zeros(count), rng.weibull(shape, count)

    def other(size):
        return rng.exponential(1.0 / rate, size) if rate else np.full(size, np.inf)

    end = np.minimum(worn, other(count))
    while (end < a).any():
        done = end < a
        start[done] = end[done]
        fresh = rng.weibull(shape, int(done.sum()))
        worn[done] = start[done] + fresh
        end[done] = start[done] + np.minimum(fresh, other(len(fresh)))
    table = table_of(shape, rate=rate)
    x = np.array([0.1, 0.4, 0.9, 1.4])
    seen = (worn[:, None] > a + x).mean(axis=0)
    found = np.exp(table.log_survivor(*points(a, x, rate * a)).value)
    error = np.sqrt(found * (1 - found) / count)
    assert (np.abs(seen - found) < 3.5 * error).all()


@pytest.mark.parametrize("rate", [0.0, 1.0])
@pytest.mark.parametrize("shape", [1.3, 2.2, 4.0])
def test_derivatives(shape, rate):
    table = table_of(shape, oldest=6.0, longest=2.0, rate=rate)
    rng = np.random.default_rng(4)
    log_a, log_x = np.log(rng.uniform(0.1, 5.0, 200)), np.log(rng.uniform(0.02, 4.0, 200))
    renewals, step = rng.uniform(0.0, 0.8, 200), 1e-5
    for curve in (table.log_survivor, table.log_hazard):
        here = curve(log_a, log_x, renewals)
        for i, move in enumerate(([step, 0.0], [0.0, step])):
            up, down = (curve(log_a + s * move[0], log_x + s * move[1], renewals) for s in (1.0, -1.0))
            np.testing.assert_allclose((up.value - down.value) / (2 * step), here.first[i], rtol=1e-6, atol=1e-7)
            np.testing.assert_allclose((up.first - down.first) / (2 * step), here.second[i], rtol=2e-4, atol=2e-5)


@pytest.mark.parametrize("shape", SHAPES)
def test_the_hazard_is_the_slope_of_the_survivor(shape):
    table = table_of(shape, oldest=6.0)
    rng = np.random.default_rng(5)
    where = points(rng.uniform(0.2, 5.0, 200), rng.uniform(0.1, 1.5, 200))
    slope = -table.log_survivor(*where).first[1]
    np.testing.assert_allclose(slope, np.exp(table.log_hazard(*where).value + where[1]), rtol=3e-4)


def test_beyond_the_table_the_curve_goes_on_without_a_step():
    table = table_of(2.2)
    end = table.grid.step * table.grid.cells[1]
    a = np.full(3, 1.5)
    where = points(a, end * np.array([1 - 1e-7, 1.0, 1 + 1e-7]))
    assert np.ptp(table.log_survivor(*where).value) < 1e-4
    assert np.ptp(table.log_hazard(*where).value) < 1e-6
    # The hazard goes on as that of the youngest parts: it does not jump, its slope may.
    np.testing.assert_allclose(np.diff(table.log_survivor(*where).first[1]), 0.0, atol=1e-3)
    far = table.log_survivor(*points(1.5, [10.0, 100.0, 1e30]))
    assert np.isfinite(far.value).all()
    assert np.isfinite(far.second).all()
    assert (np.diff(far.value) < 0).all()


def test_a_position_cannot_be_older_than_old():
    table = table_of(2.2, oldest=1e6)
    assert table.grid.step * table.grid.cells[0] == pytest.approx(8.0, abs=0.03)
    one, two = table.log_survivor(*points([8.5, 1e6], 0.7)), table.log_hazard(*points([8.5, 1e6], 0.7))
    for curve in (one, two):
        assert curve.value[0] == curve.value[1]
        np.testing.assert_array_equal(curve.first[0], 0.0)


def test_shapes_out_of_range_are_refused():
    with pytest.raises(ValueError, match=r"shape must be from 0\.4 to 12"):
        choose_grid(0.2, oldest=1.0, longest=1.0)
