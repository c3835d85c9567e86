"""Components with few failures or none: a given shape, a bound, and never a curve of their own."""

import math

import numpy as np
import pytest

from wearmodel.survival.coding import Coding
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.life_data import build_life_data

PLAIN = Coding(("road",), (1.0,), "none", 0.0, (0.0,), None)


def models_of(**lives):
    coded = {
        code: ComponentLives(
            code,
            PLAIN,
            build_life_data(entry=np.zeros(len(stop)), stop_low=stop, stop_high=high),
            np.arange(len(stop)),
        )
        for code, (stop, high) in lives.items()
    }
    words = dict.fromkeys(coded, "x")
    return fit_components(coded, labels=words, clocks=words)


def test_no_failure_gives_the_published_form_of_the_bound():
    """20 units run to 50,000 without a failure, shape 2, 90 %: 147359.167.

    Zero-failure bound, (sum t^shape / -ln(1 - confidence))^(1 / shape): Nelson, Applied Life Data Analysis (1982); the
    figure was computed with two independent programs from inputs chosen for the check.
    """
    model = models_of(a=(np.full(20, 50_000.0), np.full(20, np.inf)))["a"]
    assert model.basis == "bound only"
    assert math.exp(model.values[0]) == pytest.approx(147359.167, rel=1e-8)
    assert not np.array(model.covariance).any()
    assert "No failure among 20 lives" in model.note


def test_few_failures_borrow_the_shape():
    """Three failures at 30, 45, 60 and seven running at 60, shape 2.5: scale 91.7040342 (same source)."""
    rng = np.random.default_rng(1)
    many = 100.0 * rng.weibull(2.5, 4000)
    stop = np.array([30.0, 45.0, 60.0] + [60.0] * 7)
    high = np.array([30.0, 45.0, 60.0] + [np.inf] * 7)
    models = models_of(rich=(many, many), thin=(stop, high))
    shape = math.exp(models["rich"].values[-1])
    thin = models["thin"]
    assert thin.basis == "shape given"
    assert thin.values[-1] == models["rich"].values[-1]
    expected = ((stop**shape).sum() / 3) ** (1 / shape)
    assert math.exp(thin.values[0]) == pytest.approx(expected, rel=1e-8)
    assert math.exp(thin.values[0]) == pytest.approx(91.7040342, rel=0.02)
    assert thin.covariance[0][0] == pytest.approx(1 / (3 * shape**2), rel=1e-6)
    assert "Only 3 failures among 10 lives; a curve of its own needs 5." in thin.note


def test_entry_shortens_what_was_seen():
    data = build_life_data(entry=[30.0], stop_low=[50.0], stop_high=[np.inf])
    lives = ComponentLives("a", PLAIN, data, np.arange(data.lives))
    model = fit_components({"a": lives}, labels={"a": "x"}, clocks={"a": "x"})["a"]
    assert math.exp(model.values[0]) == pytest.approx(math.sqrt((50.0**2 - 30.0**2) / -math.log(0.1)), rel=1e-12)


def test_without_usable_lives_there_is_no_model():
    nothing = ComponentLives("a", PLAIN, None, np.empty(0))
    assert fit_components({"a": nothing}, labels={"a": "x"}, clocks={"a": "x"}) == {}
