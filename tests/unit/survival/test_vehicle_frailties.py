"""Frailty of each vehicle given its record, against integration by scipy and against the closed form."""

import math

import numpy as np
import pytest
from scipy import integrate, stats

from wearmodel.survival.coding import Coding
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.vehicle_frailties import Frailties, alike, vehicle_frailties

PLAIN = Coding(("road",), (1.0,), "none", 0.0, (0.0,), None)
SHAPE, SCALE, VARIANCE = 2.2, 100.0, 0.5


def model(variance=VARIANCE):
    return ComponentModel(
        component="a", label="a", clock="km", basis="fitted", values=(math.log(SCALE), math.log(SHAPE)),
        covariance=((0.0, 0.0), (0.0, 0.0)), coding=PLAIN, lives=5, failures=3, vehicles=3, log_likelihood=0.0,
        converged=True, note="", frailty_variance=variance,
    )  # fmt: skip


def lives(entry, low, high, cluster):
    data = build_life_data(entry=entry, stop_low=low, stop_high=high, cluster=cluster)
    return ComponentLives("a", PLAIN, data, np.arange(data.lives))


def test_failures_seen_to_the_distance_have_the_closed_form():
    """Gamma posterior with the failures added to the shape and the hazard run to the rate (Hougaard 2000, ch. 7)."""
    mine = lives(np.array([0.0, 0.0, 20.0]), np.array([80.0, 50.0, 90.0]), np.array([80.0, np.inf, 90.0]),
                 np.array([0, 0, 2]))  # fmt: skip
    found = vehicle_frailties(mine, model(), vehicles=4)

    def spent(age):
        return (age / SCALE) ** SHAPE

    prior = 1.0 / VARIANCE
    assert found.shape == pytest.approx([prior + 1, prior, prior + 1, prior], rel=1e-6)
    rate = [prior + spent(80.0) + spent(50.0), prior, prior + spent(90.0) - spent(20.0), prior]
    assert found.rate == pytest.approx(rate, rel=1e-6)
    assert found.mean[1] == 1.0


def test_an_interval_has_the_moments_of_its_integral():
    mine = lives(np.zeros(2), np.array([40.0, 60.0]), np.array([70.0, np.inf]), np.zeros(2, dtype=int))
    found = vehicle_frailties(mine, model(), vehicles=1)
    low, high, running = ((age / SCALE) ** SHAPE for age in (40.0, 70.0, 60.0))
    prior = stats.gamma(1 / VARIANCE, scale=VARIANCE)

    def moment(power):
        return integrate.quad(
            lambda z: z**power * prior.pdf(z) * (math.exp(-z * low) - math.exp(-z * high)) * math.exp(-z * running),
            0.0, 40.0, epsabs=1e-13,
        )[0]  # fmt: skip

    mean = moment(1) / moment(0)
    assert found.mean[0] == pytest.approx(mean, rel=1e-8)
    assert found.shape[0] / found.rate[0] ** 2 == pytest.approx(moment(2) / moment(0) - mean**2, rel=1e-6)


def test_what_is_read_off_a_law_agrees_with_integration():
    law = Frailties(np.array([3.0, np.inf]), np.array([2.5, np.inf]))
    own = stats.gamma(3.0, scale=1 / 2.5)
    assert law.survival(np.array([0.7, 0.7])) == pytest.approx([own.expect(lambda z: np.exp(-0.7 * z)), math.exp(-0.7)])
    assert law.pace(SHAPE) == pytest.approx([own.expect(lambda z: z ** (1 / SHAPE)), 1.0])
    assert law.survival(law.spent_at(0.3)) == pytest.approx([0.7, 0.7])
    drawn = law.drawn(200_000, np.random.default_rng(3))
    assert drawn[0].mean() == pytest.approx(own.mean(), abs=4 * own.std() / math.sqrt(200_000))
    assert (drawn[1] == 1.0).all()


def test_vehicles_that_do_not_differ_are_certain():
    mine = lives(np.zeros(1), np.array([40.0]), np.array([40.0]), np.zeros(1, dtype=int))
    found = vehicle_frailties(mine, model(variance=0.0), vehicles=2)
    assert (found.rate == alike(2).rate).all()
    assert (found.mean == 1.0).all()
