"""The curve of free form: against lifelines' spline and differences, its error against leaving out, its sentences."""

import math
import warnings
from dataclasses import replace

import numpy as np
import pytest
from check_lives import draw_lives, fitted, true_model
from lifelines import SplineFitter
from scipy.stats import chi2

from wearmodel.survival.checks.free_curve import FreeCurve, _FreeHazard, free_curve
from wearmodel.survival.checks.verdicts import judge_free_curve
from wearmodel.survival.coding import Coding
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.model import ComponentModel

PLAIN = Coding(("all",), (1.0,), "none", 0.0, (0.0,), None)


def plain_model(log_scale=0.0, log_shape=0.5, variance=0.0):
    none = ((0.0, 0.0), (0.0, 0.0))
    return ComponentModel(
        "joint", "Joint", "km", "fitted", (log_scale, log_shape), none, PLAIN, 0, 0, 0, 0.0, True, "",
        frailty_variance=variance,
    )  # fmt: skip


def mixed_ages(rng, count):
    """One part in five is a bad fit that fails early."""
    return np.where(rng.random(count) < 0.2, 0.3 * rng.weibull(0.8, count), rng.weibull(3.0, count))


def seen_lives(seed, count=300, *, weights=False):
    """Failures seen to the distance, late entry, and censoring."""
    rng = np.random.default_rng(seed)
    life, end = mixed_ages(rng, count), rng.uniform(0.3, 1.6, count)
    entry = np.where(rng.random(count) < 0.4, rng.uniform(0, 0.4, count), 0.0)
    kept = (life > entry) & (end > entry)
    life, end, entry = life[kept], end[kept], entry[kept]
    return build_life_data(
        entry=entry, stop_low=np.minimum(life, end), stop_high=np.where(life <= end, life, np.inf),
        cluster=np.arange(len(life)) % 50, weight=rng.uniform(0.3, 1.0, len(life)) if weights else None,
    )  # fmt: skip


def survival_by_hand(curve: FreeCurve, values, age):
    """The spline as lifelines writes it."""
    x, first, last = math.log(age), curve.knots[0], curve.knots[-1]
    row = [1.0, x]
    for knot in curve.knots[1:-1]:
        share = (last - knot) / (last - first)
        row.append(
            max(x - knot, 0.0) ** 3 - share * max(x - first, 0.0) ** 3 - (1.0 - share) * max(x - last, 0.0) ** 3
        )
    return math.exp(-math.exp(float(np.dot(row[: len(values)], values))))


@pytest.mark.parametrize("weights", [False, True])
def test_the_spline_is_that_of_lifelines(weights):
    data = seen_lives(1, weights=weights)
    curve = free_curve(plain_model(), data)
    assert curve is not None and curve.degrees == len(curve.knots) - 2 >= 2

    def theirs(knots, start):
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return SplineFitter(np.exp(knots)).fit(
                data.before_low, data.exact, entry=data.before_entry, weights=data.weight, initial_point=start
            )  # fmt: skip

    # Their optimiser gives up early from far away: begun at our top it must find nothing better.
    fits = [theirs(curve.knots, curve.values), theirs(curve.knots[[0, -1]], np.array([0.0, 1.5]))]
    assert fits[0].params_.to_numpy() == pytest.approx(curve.values, abs=1e-3)
    far = theirs(curve.knots, np.append([0.0, 1.5], np.zeros(curve.degrees)))
    assert far.log_likelihood_ <= fits[0].log_likelihood_ + 1e-6
    assert curve.deviance == pytest.approx(2.0 * (fits[0].log_likelihood_ - fits[1].log_likelihood_), abs=1e-3)
    ours = [curve.free, curve.weibull]
    for fit, values, survival in zip(fits, (curve.values, curve.line), ours, strict=True):
        assert survival == pytest.approx(float(fit.survival_function_at_times(curve.age).iloc[0]), abs=2e-3)
        assert survival == pytest.approx(survival_by_hand(curve, values, curve.age), abs=1e-12)
    assert curve.chance == pytest.approx(chi2(curve.degrees).sf(curve.deviance))


def test_the_straight_line_is_the_weibull_fit():
    data = draw_lives(np.random.default_rng(3), lives=500)
    fit = fit_lives(data)
    model = replace(true_model(), values=(4.0, float(fit.values[1]), 0.9))
    curve = free_curve(model, data)
    assert curve is not None
    shape = math.exp(fit.values[-1])
    assert curve.line[1] == pytest.approx(shape, rel=1e-4)
    assert curve.line[0] == pytest.approx(shape * (4.0 - fit.values[0]), abs=1e-3)


def test_gradient_and_curvature_against_differences():
    """Late entry, intervals, weights and frailties together."""
    rng = np.random.default_rng(4)
    data = draw_lives(rng, lives=80)
    data = replace(data, weight=rng.uniform(0.2, 1.0, data.lives))
    ages = tuple(run / 100.0 for run in (data.before_entry, data.before_low, data.before_high))
    hazard = _FreeHazard(ages, data, rng.uniform(0.5, 2.0, data.lives), np.log([0.2, 0.5, 0.9, 1.3]))
    at = np.array([-0.1, 1.9, 0.05, -0.08])
    found, step = hazard(at), 1e-5
    assert data.interval.any() and data.exact.any() and np.isfinite(found.value)
    for i, unit in enumerate(step * np.eye(4)):
        up, down = hazard(at + unit), hazard(at - unit)
        assert found.gradient[i] == pytest.approx((up.value - down.value) / (2 * step), rel=1e-5, abs=1e-5)
        assert found.hessian[i] == pytest.approx((up.gradient - down.gradient) / (2 * step), rel=1e-5, abs=1e-5)
    assert hazard(np.array([0.0, -1.0, 0.0, 0.0])).value == -math.inf


def test_the_error_is_about_that_of_leaving_out_vehicles():
    data = seen_lives(5)
    curve = free_curve(plain_model(), data)
    assert curve is not None
    apart = []
    for vehicle in range(50):
        less = free_curve(plain_model(), data.subset(np.flatnonzero(data.cluster != vehicle)))
        assert less is not None
        free, weibull = (survival_by_hand(less, values, curve.age) for values in (less.values, less.line))
        apart.append(free - weibull)
    jackknife = math.sqrt(49.0 * float(np.var(apart)))
    assert curve.error == pytest.approx(jackknife, rel=0.2)


def test_of_vehicles_that_wear_unlike_the_curves_are_over_vehicles():
    data = seen_lives(6)
    one, mixed = (free_curve(plain_model(variance=v), data, rates=np.ones(50)) for v in (0.0, 0.5))
    assert one is not None and mixed is not None
    assert mixed.deviance == one.deviance
    for values, survival in ((mixed.values, mixed.free), (mixed.line, mixed.weibull)):
        spent = -math.log(survival_by_hand(mixed, values, mixed.age))
        assert survival == pytest.approx((1.0 + 0.5 * spent) ** -2.0)


def test_too_few_failures_or_ages():
    data = seen_lives(7, 30)
    assert data.failures < 20 and free_curve(plain_model(), data) is None
    same = build_life_data(entry=np.zeros(40), stop_low=np.ones(40), stop_high=np.ones(40))
    assert free_curve(plain_model(), same) is None
    assert judge_free_curve(None, at="", half=1.645).result == "too few"


def curve_with(free, weibull, chance, error=0.02):
    return FreeCurve(np.zeros(3), np.zeros(3), np.zeros(2), 9.0, 1, chance, 0.5, free, weibull, error)


@pytest.mark.parametrize(
    ("curve", "result", "words"),
    [
        (curve_with(0.80, 0.82, 0.4), "fine", "within 2 of 100 parts of the Weibull curve (within 5 by what it is unc"),
        (curve_with(0.80, 0.90, 0.011), "fine", "which chance allows."),
        (curve_with(0.80, 0.829, 0.0001), "fine", "too little to matter."),
        (curve_with(0.70, 0.80, 0.0099), "look", "departs: at 9,000 km 10 of 100 parts (7 to 13) fewer are still good"),
        (curve_with(0.80, 0.70, 1e-9), "look", "10 of 100 parts (7 to 13) more are still good"),
    ],
)
def test_sentences(curve, result, words):
    verdict = judge_free_curve(curve, at="9,000 km", half=1.645)
    assert verdict.check == "free curve"
    assert verdict.result == result
    assert words in verdict.sentence


def test_a_mixture_is_found_and_weibull_lives_are_not():
    rng = np.random.default_rng(8)

    def law(rng, scale):
        return scale * mixed_ages(rng, len(scale))

    bent = draw_lives(rng, lives=800, law=law)
    curve = free_curve(fitted(bent), bent)
    assert curve is not None and judge_free_curve(curve, at="", half=1.645).result == "look"
    straight = draw_lives(rng, lives=800)
    curve = free_curve(fitted(straight), straight)
    assert curve is not None and judge_free_curve(curve, at="", half=1.645).result == "fine"
