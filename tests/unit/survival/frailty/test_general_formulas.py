"""The pass over mixed lives against the general formulas, written out vehicle by vehicle on a fine grid of frailties.

For each value of the frailty the lives' log-likelihood, gradient and Hessian are added up life by life; the integral
over the logarithm of the frailty is a sum of equal steps, which converges geometrically for such laws (Trefethen &
Weideman, SIAM Review 56, 2014, sec. 5). Gradient and Hessian are the mean score, and the mean Hessian plus the
variance of the score (Louis, Journal of the Royal Statistical Society B 44, 1982).
"""

import numpy as np
import pytest
from scipy.special import digamma, gammaln, polygamma

from wearmodel.survival.families import LOG_LOGISTIC, LOGNORMAL, WEIBULL
from wearmodel.survival.frailty.likelihood import FrailtyLikelihood
from wearmodel.survival.life_data import build_stretched_life_data

AT = np.array([0.1, 0.2, -0.15, 0.7, -0.6])
LOG_FRAILTY = np.arange(-40.0, 6.0, 0.02)


def mixed_lives(seed, *, vehicles=24, a_vehicle=5, several=True, shuffled=False, crowded=0, gap=0.1):
    """Lives of all kinds, of one to three segments, some of weight 0; the first vehicle has `crowded` more.

    Fractional weights of failures in wide gaps are left out: there the nodes do not reach nine digits.
    """
    rng = np.random.default_rng(seed)
    cluster = np.append(np.repeat(np.arange(vehicles), a_vehicle), np.zeros(crowded, dtype=int)) * 3 + 1
    count = len(cluster)
    cluster = rng.permutation(cluster) if shuffled else np.sort(cluster)
    many = np.where(rng.random(count) < 0.5, rng.integers(1, 4, count), 1) if several else np.ones(count, dtype=int)
    life = np.repeat(np.arange(count), many)
    number = np.arange(len(life)) - (np.cumsum(many) - many)[life]
    entry = np.where(rng.random(count) < 0.3, rng.uniform(0.0, 0.4, count), 0.0)
    low = entry + rng.exponential(0.6, count) + 0.01
    kind = rng.integers(0, 3, count)
    high = np.select([kind == 0, kind == 1], [low, np.inf], low + rng.uniform(0.01, gap, count))
    weight = rng.choice([1.0, 1.0, 1.0, 2.0, 0.4, 0.0], count)
    weight = np.where((kind == 2) & (gap > 0.1), np.round(weight), weight)
    design = np.column_stack([np.ones(len(life)), rng.random(len(life)) < 0.5, rng.normal(size=len(life))])
    until = np.where(number + 1 == many[life], np.inf, 0.35 * number + 0.35)
    return build_stretched_life_data(
        life=life, segment_from=0.35 * number, segment_to=until,
        design=design, entry=entry, stop_low=low, stop_high=high, weight=weight, cluster=cluster,
    )  # fmt: skip


def at_bound(data, life, distance, family):
    """Cumulative hazard, log density's part in z, log psi, each with gradient and Hessian in the parameters."""
    segments = data.segments_of(np.array([life]))
    x, shape = data.design[segments], np.exp(AT[3])
    run = np.exp(-(x @ AT[:3])) * distance[segments]
    share = run / run.sum()
    log_psi, u = np.log(run.sum()), -(share @ x)
    bend = (x.T * share) @ x - np.outer(u, u)
    z = shape * log_psi
    slope = np.append(shape * u, z)
    curve = np.block([[shape * bend, shape * u[:, None]], [shape * u, np.array([[z]])]])

    def chain(value, first, second):
        return value, first * slope, second * np.outer(slope, slope) + first * curve

    own = log_psi, np.append(u, 0.0), np.pad(bend, (0, 1))
    log_hazard = [float(np.asarray(part)) for part in family.log_hazard(np.array(z))]
    return chain(*(float(part) for part in family.hazard(np.array(z)))), chain(*log_hazard), own


def of_life(data, life, family, frailty, *, selected):
    """Log-likelihood of a life, gradient and Hessian at each value of the frailty."""
    hazard, density, log_psi = at_bound(data, life, data.before_low, family)
    parts = [-frailty * hazard[0], -np.outer(frailty, hazard[1]), -frailty[:, None, None] * hazard[2]]
    if data.entered[life] and not selected:
        entry = at_bound(data, life, data.before_entry, family)[0]
        parts = [part + np.multiply.outer(frailty, more) for part, more in zip(parts, entry, strict=True)]
    if data.exact[life]:
        parts = [part + own - less for part, own, less in zip(parts, density, log_psi, strict=True)]
        x = data.design[data.last[life]]
        parts[0] += AT[3] - x @ AT[:3] + np.log(frailty)
        parts[1] += np.append(-x, 1.0)
    if data.interval[life]:
        high = at_bound(data, life, data.before_high, family)[0]
        gap, slope, curve = (one - other for one, other in zip(high, hazard, strict=True))
        odds = 1.0 / np.expm1(np.minimum(frailty * gap, 600.0))
        first, second = frailty * odds, -(frailty**2) * odds * (1.0 + odds)
        parts[0] += np.log(-np.expm1(-frailty * gap))
        parts[1] += np.outer(first, slope)
        parts[2] += np.multiply.outer(second, np.outer(slope, slope)) + np.multiply.outer(first, curve)
    return [data.weight[life] * part for part in parts]


def integrated(value, score, hessian):
    """Log of the mean over the gamma frailty, gradient, Hessian, and mean frailty, from what they are given it."""
    rate, frailty = np.exp(-AT[4]), np.exp(LOG_FRAILTY)
    log = value + rate * np.log(rate) - gammaln(rate) + rate * (LOG_FRAILTY - frailty)
    top = log.max()
    chance = np.exp(log - top)
    total = top + np.log(chance.sum() * (LOG_FRAILTY[1] - LOG_FRAILTY[0]))
    chance /= chance.sum()
    steep = np.log(rate) + 1.0 - digamma(rate) + LOG_FRAILTY - frailty
    score = np.column_stack([score, -rate * steep])
    hessian = np.pad(hessian, ((0, 0), (0, 1), (0, 1)))
    hessian[:, -1, -1] = rate**2 * (1.0 / rate - polygamma(1, rate)) + rate * steep
    mean = chance @ score
    bend = np.tensordot(chance, hessian, 1) + (score.T * chance) @ score - np.outer(mean, mean)
    return total, mean, bend, chance @ frailty


def by_general_formulas(data, family, *, selected):
    """Value, scores, Hessian and expected frailty, vehicle by vehicle."""
    frailty = np.exp(LOG_FRAILTY)
    found = []
    for vehicle in np.unique(data.cluster):
        lives = np.flatnonzero(data.cluster == vehicle)
        parts = [of_life(data, life, family, frailty, selected=selected) for life in lives]
        value, score, hessian, mean = integrated(*(sum(part[i] for part in parts) for i in range(3)))
        if selected:
            late = [data.weight[i] * np.array(at_bound(data, i, data.before_entry, family)[0], dtype=object)
                    for i in lives[data.entered[lives]]]  # fmt: skip
            parts = [[-np.multiply.outer(frailty, part) for part in one] for one in late]
            nothing = [np.zeros(len(frailty)), np.zeros((len(frailty), 4)), np.zeros((len(frailty), 4, 4))]
            less = integrated(*(sum((part[i] for part in parts), nothing[i]) for i in range(3)))
            value, score, hessian = value - less[0], score - less[1], hessian - less[2]
        found.append((value, score, hessian, mean))
    return [np.array(part) for part in zip(*found, strict=True)]


CASES = {
    "mixed": {},
    "one segment": {"several": False},
    "any order": {"shuffled": True},
    "a crowded vehicle": {"crowded": 45},
    "wide gaps": {"gap": 0.5},
    "lives alone": {"a_vehicle": 1, "vehicles": 60},
}


@pytest.mark.parametrize("case", CASES)
@pytest.mark.parametrize("selected", [False, True], ids=["fleet", "selected"])
@pytest.mark.parametrize("family", [WEIBULL, LOGNORMAL, LOG_LOGISTIC], ids=lambda f: f.name)
def test_the_pass_equals_the_general_formulas(family, selected, case):
    data = mixed_lives(1, **CASES[case])
    values, scores, hessian, frailty = by_general_formulas(data, family, selected=selected)
    found = FrailtyLikelihood(data, family=family, selected=selected)(AT)
    for own, expected in (
        (found.value, values.sum()), (found.values, values), (found.gradient, scores.sum(axis=0)),
        (found.scores, scores), (found.hessian, hessian.sum(axis=0)), (found.frailty, frailty),
    ):  # fmt: skip
        np.testing.assert_allclose(own, expected, rtol=0, atol=1e-9 * np.abs(expected).max())


def test_a_longer_record_is_cut_into_blocks_of_whole_vehicles():
    data = mixed_lives(2, vehicles=4000)
    likelihood = FrailtyLikelihood(data)
    found = likelihood(AT)
    assert len(likelihood.blocks) > 1
    vehicles = [block.vehicles for block in likelihood.blocks]
    assert [v.start for v in vehicles] == [0, *(v.stop for v in vehicles[:-1])] and vehicles[-1].stop == 4000
    half = np.unique(data.cluster)[:2000]
    first, rest = (data.subset(np.flatnonzero(chosen)) for chosen in (
        np.isin(data.cluster, half), ~np.isin(data.cluster, half)))  # fmt: skip
    halves = [FrailtyLikelihood(part)(AT) for part in (first, rest)]
    np.testing.assert_allclose(found.values, np.concatenate([part.values for part in halves]), rtol=1e-12)
    np.testing.assert_allclose(found.scores, np.concatenate([part.scores for part in halves]), atol=1e-9)
    np.testing.assert_allclose(found.hessian, sum(part.hessian for part in halves), rtol=1e-10, atol=1e-6)
