"""Weibull and lognormal fits of published data sets. Sources: README.md beside this file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.survival.families import LOGNORMAL, WEIBULL
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data

HERE = Path(__file__).parent


def read(name):
    return pd.read_csv(HERE / f"{name}.csv")


def right_censored(times, failed, weight=None):
    times = np.asarray(times, dtype=float)
    return build_life_data(
        entry=np.zeros(len(times)),
        stop_low=times,
        stop_high=np.where(np.asarray(failed) == 1, times, np.inf),
        weight=weight,
    )


def interval(values, covariance, index, z=1.959963984540054):
    """95 % normal interval on the log scale."""
    half = z * np.sqrt(covariance[index, index])
    return np.exp(values[index] - half), np.exp(values[index] + half)


def b10_interval(fit):
    spread = np.log(-np.log(0.9)) / np.exp(fit.values[-1])
    gradient = np.array([1.0, -spread])
    half = 1.959963984540054 * np.sqrt(gradient @ fit.covariance @ gradient)
    log_life = fit.values[0] + spread
    return np.exp(log_life - half), np.exp(log_life), np.exp(log_life + half)


class TestBallBearings:
    """Lieblein & Zelen (1956); all failed."""

    data = right_censored(read("ball_bearings_23")["million_revs"], np.ones(23))

    def test_weibull(self):
        fit = fit_lives(self.data)
        assert fit.converged
        np.testing.assert_allclose(np.exp(fit.values), [81.878334, 2.1020589], rtol=1e-5)
        assert fit.log_likelihood == pytest.approx(-113.691291, abs=1e-4)
        np.testing.assert_allclose(interval(fit.values, fit.covariance, 0), [66.643739, 100.59552], rtol=1e-4)
        np.testing.assert_allclose(interval(fit.values, fit.covariance, 1), [1.54720, 2.85590], rtol=1e-4)
        np.testing.assert_allclose(b10_interval(fit), [18.060103, 28.069414, 43.626108], rtol=1e-4)

    def test_lognormal(self):
        fit = fit_lives(self.data, family=LOGNORMAL)
        np.testing.assert_allclose([fit.values[0], np.exp(-fit.values[1])], [4.1504545, 0.5216493], rtol=1e-5)
        assert fit.log_likelihood == pytest.approx(-113.128567, abs=1e-4)


class TestBearingCages:
    """Abernethy et al. (1983): 6 failures among 1703, by counts as weights."""

    table = read("bearing_cage_1703")
    data = right_censored(table["hours"], table["failed"], weight=table["count"])

    def test_weibull(self):
        fit = fit_lives(self.data)
        np.testing.assert_allclose(np.exp(fit.values), [11792.178, 2.0353186], rtol=1e-4)
        assert fit.log_likelihood == pytest.approx(-76.436896, abs=1e-4)
        np.testing.assert_allclose(b10_interval(fit), [1488.541, 3903.1267, 10234.448], rtol=1e-3)
        assert 1 - np.exp(-((8000 / np.exp(fit.values[0])) ** np.exp(fit.values[1]))) == pytest.approx(
            0.3649071, rel=1e-4
        )

    def test_lognormal(self):
        fit = fit_lives(self.data, family=LOGNORMAL)
        np.testing.assert_allclose([fit.values[0], np.exp(-fit.values[1])], [10.754053, 1.554268], rtol=1e-4)
        assert fit.log_likelihood == pytest.approx(-76.58797, abs=1e-4)

    @pytest.mark.parametrize(
        ("shape", "scale"), [(1.5, 28982.157), (2.0, 12320.337), (3.0, 5408.9505)]
    )
    def test_shape_given(self, shape, scale):
        fit = fit_lives(self.data, given_log_shape=np.log(shape))
        assert np.exp(fit.values[0]) == pytest.approx(scale, rel=1e-6)
        assert np.exp(fit.values[1]) == pytest.approx(shape, rel=1e-12)


class TestShockAbsorbers:
    """O'Connor (1985): two failure modes, the other mode censors."""

    table = read("shock_absorber_38")

    @pytest.mark.parametrize(
        ("modes", "scale", "shape", "log_likelihood"),
        [
            ((1, 2), 27718.718, 3.1604703, -123.995361),
            ((1,), 31205.798, 3.3839462, -81.497976),
            ((2,), 40865.861, 2.822211, -49.636145),
        ],
    )
    def test_weibull(self, modes, scale, shape, log_likelihood):
        fit = fit_lives(right_censored(self.table["km"], self.table["mode"].isin(modes)))
        np.testing.assert_allclose(np.exp(fit.values), [scale, shape], rtol=1e-5)
        assert fit.log_likelihood == pytest.approx(log_likelihood, abs=1e-4)

    def test_b10_and_lognormal(self):
        data = right_censored(self.table["km"], self.table["failed"])
        np.testing.assert_allclose(b10_interval(fit_lives(data)), [10221.842, 13600.035, 18094.679], rtol=1e-4)
        fit = fit_lives(data, family=LOGNORMAL)
        np.testing.assert_allclose([fit.values[0], np.exp(-fit.values[1])], [10.1447707, 0.530068], rtol=1e-5)
        assert fit.log_likelihood == pytest.approx(-124.60855, abs=1e-4)


class TestGeneratorFans:
    """Nelson (1982)."""

    table = read("generator_fans_70")
    data = right_censored(table["hours"], table["status"])

    def test_weibull_and_lognormal(self):
        assert self.table["hours"].sum() == 344440
        fit = fit_lives(self.data)
        np.testing.assert_allclose(np.exp(fit.values), [26296.845, 1.0584459], rtol=1e-5)
        assert fit.log_likelihood == pytest.approx(-135.15272, abs=1e-4)
        np.testing.assert_allclose(interval(fit.values, fit.covariance, 1), [0.64408, 1.73939], rtol=1e-4)
        fit = fit_lives(self.data, family=LOGNORMAL)
        np.testing.assert_allclose([fit.values[0], np.exp(-fit.values[1])], [10.1432391, 1.6795926], rtol=1e-5)

    def test_exponential_is_shape_one(self):
        fit = fit_lives(self.data, given_log_shape=0.0)
        assert np.exp(fit.values[0]) == pytest.approx(28703.3333, rel=1e-8)
        assert fit.log_likelihood == pytest.approx(-135.17722, abs=1e-4)


class TestNist:
    """NIST/SEMATECH e-Handbook 8.4.1.3: printed figures seen."""

    table = read("nist_8413_20")
    data = right_censored(table["hours"], table["failed"])

    def test_weibull(self):
        fit = fit_lives(self.data)
        assert np.exp(fit.values[0]) == pytest.approx(606.5280, rel=1e-6)
        np.testing.assert_allclose(np.exp(fit.values), [606.527558, 1.72079726], rtol=1e-7)
        assert fit.log_likelihood == pytest.approx(-75.13461816, abs=1e-6)
        assert round(-2 * fit.log_likelihood + 4, 2) == 154.27

    def test_lognormal_aic(self):
        fit = fit_lives(self.data, family=LOGNORMAL)
        assert round(-2 * fit.log_likelihood + 4, 2) == 154.39


class TestTurbineWheels:
    """Nelson (1982): every wheel seen once, cracked or not: intervals from 0 and right censoring only."""

    table = read("turbine_wheels_432")

    def data(self):
        age = np.repeat(self.table["hundred_hours"].to_numpy(dtype=float), 2)
        cracked = np.tile([True, False], len(self.table))
        count = np.column_stack(
            [self.table["cracked"], self.table["inspected"] - self.table["cracked"]]
        ).ravel()
        keep = count > 0
        return build_life_data(
            entry=np.zeros(keep.sum()),
            stop_low=np.where(cracked, 0.0, age)[keep],
            stop_high=np.where(cracked, age, np.inf)[keep],
            weight=count[keep],
        )

    @pytest.mark.parametrize(
        ("family", "expected", "log_likelihood"),
        [(WEIBULL, (46.7772302, 2.1757799), -189.287193), (LOGNORMAL, (np.exp(3.699908), 1 / 0.719886), -190.73155)],
    )
    def test_current_status(self, family, expected, log_likelihood):
        fit = fit_lives(self.data(), family=family)
        np.testing.assert_allclose(np.exp(fit.values), expected, rtol=1e-5)
        assert fit.log_likelihood == pytest.approx(log_likelihood, abs=1e-4)
