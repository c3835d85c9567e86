"""How often the free curve is flagged: about 1 in 100 where lives are Weibull, mostly where two kinds are mixed."""

import numpy as np
import pytest
from check_lives import draw_lives, fitted
from unlike_lives import unlike_vehicles

from wearmodel.survival.checks.free_curve import free_curve
from wearmodel.survival.checks.verdicts import judge_free_curve
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.vehicle_frailties import vehicle_frailties

HALF = 1.645


def flags(number, lives, law=None):
    """Share of fleets that are flagged, and share in which the deviance is significant at 1 in 10."""
    results, chances = [], []
    for fleet in range(number):
        data = draw_lives(np.random.default_rng([31, fleet]), lives=lives, law=law)
        curve = free_curve(fitted(data), data)
        results.append(judge_free_curve(curve, at="", half=HALF).result == "look")
        chances.append(1.0 if curve is None else curve.chance)
    return float(np.mean(results)), float(np.mean(np.array(chances) < 0.1))


def mixture(share):
    """A share of bad fits that fail early, the others wear out late."""

    def law(rng, scale):
        early = rng.random(len(scale)) < share
        return scale * np.where(early, 0.25 * rng.weibull(0.8, len(scale)), rng.weibull(3.0, len(scale)))

    return law


@pytest.mark.parametrize("lives", [80, 250, 700])
def test_weibull_lives_are_rarely_flagged(lives):
    flagged, tenth = flags(200, lives)
    # At a rate of 1 in 100 more than 6 of 200 would come once in 250 times; at 1 in 10 more than 31 in 250 times.
    assert flagged <= 6 / 200
    assert tenth <= 31 / 200


def test_weibull_lives_of_vehicles_that_wear_unlike_are_rarely_flagged():
    flagged = 0
    for fleet in range(60):
        mine = unlike_vehicles(np.random.default_rng([32, fleet]), vehicles=60)
        model = fit_components({"joint": mine}, labels={"joint": "Joint"}, clocks={"joint": "km"})["joint"]
        rates = vehicle_frailties(mine, model, vehicles=60).mean
        flagged += judge_free_curve(free_curve(model, mine.dated, rates=rates), at="", half=HALF).result == "look"
    assert flagged <= 3


@pytest.mark.parametrize(("share", "lives", "power"), [(0.1, 700, 0.85), (0.2, 250, 0.8)])
def test_early_failures_among_wear_are_flagged(share, lives, power):
    assert flags(50, lives, mixture(share))[0] >= power
