"""Small invented sets of lives of known and unknown age, for tests of their likelihoods."""

import numpy as np

from wearmodel.survival.life_data import build_life_data, build_stretched_life_data
from wearmodel.survival.unknown_ages.lives import build_unknown_ages

#: A parameter vector: intercept, effect, log shape.
AT = np.array([0.1, 0.2, 0.6])


def ends(rng, entry):
    """Exact failures, intervals and censored lives."""
    low = entry + rng.uniform(0.05, 1.2, len(entry))
    kind = rng.integers(0, 3, len(entry))
    return low, np.select([kind == 0, kind == 1], [low, low + rng.uniform(0.05, 0.6, len(entry))], np.inf)


def stretched(rng, count, entry):
    """Two segments a life with a covariate that changes."""
    cut = rng.uniform(0.2, 3.0, count)
    design = np.repeat(np.column_stack([np.ones(count), 0.5 * rng.normal(size=count)]), 2, axis=0)
    design[1::2, 1] += 0.7
    low, high = ends(rng, entry)
    return {
        "life": np.repeat(np.arange(count), 2),
        "segment_from": np.column_stack([np.zeros(count), cut]).ravel(),
        "segment_to": np.column_stack([cut, np.full(count, np.inf)]).ravel(),
        "design": design,
        "stop_low": low,
        "stop_high": high,
        "weight": rng.uniform(0.5, 1.5, count),
        "cluster": rng.integers(0, 15, count),
    }


def fleet(seed, *, known=40, unknown=60, other_rate=0.0):
    """Lives of known and of unknown age."""
    rng = np.random.default_rng(seed)
    begin = rng.uniform(0.3, 2.5, unknown)
    first = build_unknown_ages(observed_from=begin, other_rate=other_rate, **stretched(rng, unknown, begin))
    entry = rng.uniform(0.1, 0.8, known) * (rng.random(known) < 0.4)
    return build_stretched_life_data(entry=entry, **stretched(rng, known, entry)), first


def differences(objective, at, step=1e-5):
    """Gradient and Hessian by central differences."""
    gradient, hessian = np.zeros(len(at)), np.zeros((len(at), len(at)))
    for i in range(len(at)):
        move = np.zeros(len(at))
        move[i] = step
        up, down = objective(at + move), objective(at - move)
        gradient[i] = (up.value - down.value) / (2 * step)
        hessian[i] = (up.gradient - down.gradient) / (2 * step)
    return gradient, hessian


def no_lives(columns=1):
    return build_life_data(entry=[], stop_low=[], stop_high=[], design=np.zeros((0, columns)))


def simple(seed, count=60):
    """Lives of unknown age without covariates, as arguments."""
    rng = np.random.default_rng(seed)
    begin = rng.uniform(0.3, 2.5, count)
    low, high = ends(rng, begin)
    return {"observed_from": begin, "stop_low": low, "stop_high": high, "cluster": rng.integers(0, 20, count)}
