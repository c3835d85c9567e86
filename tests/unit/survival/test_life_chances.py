"""Log-likelihood of single lives: against closed forms and numerical integration."""

import numpy as np
import pandas as pd
import pytest
from scipy import integrate, stats

from wearmodel.survival.coding import Coding
from wearmodel.survival.life_chances import life_log_likelihoods
from wearmodel.survival.model import ComponentModel

SHAPE, SCALE = 2.2, 80_000.0


def model():
    values = (float(np.log(SCALE)), float(np.log(SHAPE)))
    size = len(values)
    return ComponentModel(
        component="u_joint", label="Universal joint", clock="km", basis="fitted", values=values,
        covariance=tuple(tuple(row) for row in np.eye(size).tolist()),
        coding=Coding(("road",), (1.0,), "none", 0.0, (0.0,), None),
        lives=10, failures=10, vehicles=10, log_likelihood=0.0, converged=True, note="",
    )  # fmt: skip


def likelihoods(rows, *, segments=None, **kwargs):
    lives = pd.DataFrame(rows, columns=["entry", "stop_low", "stop_high", "age_known"]).assign(duty="road")
    if segments is None:
        segments = pd.DataFrame({"life": range(len(rows)), "age_from": 0.0, "age_to": np.inf, "lift": 0.0})
    traits = pd.DataFrame({"angle": np.nan, "length": np.nan, "described": False, "duty": "road"}, index=segments.index)
    return life_log_likelihoods(
        model(), lives=lives, segments=segments, traits=traits, other_rate=kwargs.get("other_rate", 0.0),
        frailty=kwargs.get("frailty"),
    )  # fmt: skip


def test_known_ages_agree_with_scipy():
    law = stats.weibull_min(SHAPE, scale=SCALE)
    found = likelihoods(
        [
            (0.0, 60_000.0, 60_000.0, True),
            (0.0, 60_000.0, np.inf, True),
            (0.0, 50_000.0, 70_000.0, True),
            (20_000.0, 60_000.0, 60_000.0, True),
        ]
    )
    expected = [
        law.logpdf(60_000),
        law.logsf(60_000),
        np.log(law.cdf(70_000) - law.cdf(50_000)),
        law.logpdf(60_000) - law.logsf(20_000),
    ]
    np.testing.assert_allclose(found, expected, rtol=1e-10)


def test_a_frailty_multiplies_the_failure_rate():
    rows = [(20_000.0, 60_000.0, 60_000.0, True), (0.0, 50_000.0, 70_000.0, True), (9e5, 9.3e5, 9.3e5, False)]
    wear = np.array([1.7, 0.4, 2.5])
    found = likelihoods(rows, frailty=wear)
    law = stats.weibull_min(SHAPE, scale=SCALE * wear ** (-1.0 / SHAPE))
    fast, slow, old = (stats.weibull_min(SHAPE, scale=scale) for scale in law.kwds["scale"])
    assert found[0] == pytest.approx(fast.logpdf(60_000) - fast.logsf(20_000))
    assert found[1] == pytest.approx(np.log(slow.cdf(70_000) - slow.cdf(50_000)))
    assert np.exp(found[2]) == pytest.approx(old.sf(30_000.0) / old.mean(), rel=0.03)


def test_unknown_age_far_into_service_is_the_equilibrium_of_renewal_theory():
    # Cox, Renewal Theory (1962), sec. 5.2: the remaining life of a part met late has density S(x) / mean.
    law = stats.weibull_min(SHAPE, scale=SCALE)
    x = 30_000.0
    failed, running = likelihoods([(9e5, 9e5 + x, 9e5 + x, False), (9e5, 9e5 + x, np.inf, False)])
    assert np.exp(failed) == pytest.approx(law.sf(x) / law.mean(), rel=0.03)
    beyond = integrate.quad(law.sf, x, np.inf, limit=200)[0] / law.mean()
    assert np.exp(running) == pytest.approx(beyond, rel=0.01)


def test_density_of_an_unknown_age_integrates_to_one():
    grid = np.linspace(1.0, 400_000.0, 1_500)
    rows = [(150_000.0, 150_000.0 + x, 150_000.0 + x, False) for x in grid]
    assert integrate.trapezoid(np.exp(likelihoods(rows)), grid) == pytest.approx(1.0, abs=0.005)


def test_a_part_of_unknown_age_in_a_young_vehicle_is_mostly_the_first():
    known, unknown = likelihoods([(1_000.0, 50_000.0, np.inf, True), (1_000.0, 50_000.0, np.inf, False)])
    assert unknown == pytest.approx(known, abs=0.01)
