"""Splines against functions they must reproduce."""

import numpy as np
import pytest

from wearmodel.survival.unknown_ages.uniform_spline import fit_uniform_splines, values_of


def test_cubics_in_two_variables_are_reproduced_with_all_derivatives():
    def cubic(a, x):
        return 1.0 + a**3 - 2.0 * a * x**2 + 0.5 * x**3 + a * a * x

    steps = (0.25, 0.5)
    grid = steps[0] * np.arange(9)[:, None], steps[1] * np.arange(7)
    (spline,) = fit_uniform_splines(cubic(*grid)[None], steps, flat_end=(False, False))
    rng = np.random.default_rng(1)
    a, x = points = np.stack([rng.uniform(0, 2, 50), rng.uniform(0, 3, 50)])
    found = spline.at(points)
    np.testing.assert_allclose(found.value, cubic(a, x), atol=1e-12)
    np.testing.assert_allclose(
        found.first, [3 * a * a - 2 * x * x + 2 * a * x, -4 * a * x + 1.5 * x * x + a * a], atol=1e-11
    )
    mixed = -4 * x + 2 * a
    np.testing.assert_allclose(found.second, [[6 * a + 2 * x, mixed], [mixed, -4 * a + 3 * x]], atol=1e-10)


def test_three_axes_and_their_derivatives():
    steps = (0.1, 0.05, 0.05)
    axes = [step * np.arange(n) for step, n in zip(steps, (8, 61, 41), strict=True)]

    def wave(v, a, x):
        return np.cos(v + 0.3 * a * x)

    values = wave(axes[0][:, None, None], axes[1][:, None], axes[2])
    (spline,) = fit_uniform_splines(values[None], steps, flat_end=(False,) * 3)
    rng = np.random.default_rng(2)
    v, a, x = points = np.stack([rng.uniform(0, 0.7, 200), rng.uniform(0, 3, 200), rng.uniform(0, 2, 200)])
    found, inner = spline.at(points), np.stack([np.ones(200), 0.3 * x, 0.3 * a])
    phase = v + 0.3 * a * x
    np.testing.assert_allclose(found.value, np.cos(phase), atol=1e-6)
    np.testing.assert_allclose(found.first, -np.sin(phase) * inner, atol=3e-5)
    expected = -np.cos(phase) * inner[:, None] * inner
    expected[1, 2] -= 0.3 * np.sin(phase)
    expected[2, 1] -= 0.3 * np.sin(phase)
    np.testing.assert_allclose(found.second, expected, atol=3e-3)


def test_a_flat_end_is_flat():
    grid = 0.1 * np.arange(40)[:, None] + np.zeros(6)
    (spline,) = fit_uniform_splines(np.exp(-grid)[None], (0.1, 1.0), flat_end=(True, False))
    found = spline.at(np.array([[3.9], [2.0]]))
    assert found.first[0, 0] == pytest.approx(0.0, abs=1e-12)
    assert found.value[0] == pytest.approx(np.exp(-3.9), rel=1e-12)


def test_splines_together_say_what_each_says_alone():
    grid = 0.1 * np.arange(12)[:, None] + 0.2 * np.arange(9)
    splines = fit_uniform_splines(np.stack([np.sin(grid), np.exp(-grid)]), (0.1, 0.2), flat_end=(False, True))
    points = np.random.default_rng(3).uniform(0, 1.5, (2, 20_000))
    for spline, together in zip(splines, values_of(splines, points), strict=True):
        alone = spline.at(points)
        for name in ("value", "first", "second"):
            np.testing.assert_array_equal(getattr(together, name), getattr(alone, name))
