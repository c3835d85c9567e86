"""Frailty fit against the plain fit on the same lives, and the curve without a model against lifelines'.

Run `python tests/benchmarks/frailty_and_curves.py` from the project's folder, `--lives 100000` for another number.
Each pair is timed in turn, several times, and the medians are compared.
"""

import argparse
import sys
import time
import warnings
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
COVARIATES, TRUE_SHAPE, TRUE_VARIANCE = 8, 2.2, 0.3
EFFECTS = np.array([0.4, -0.5, -0.25, 0.15, 0.3, -0.2, 0.1, -0.15, 0.05])


def drawn_lives(lives, seed=1):
    """Lives of six a vehicle with gamma frailty, 30 % late entry, a fifth of the failures between two looks."""
    rng = np.random.default_rng(seed)
    vehicle = np.arange(lives) // 6
    frailty = rng.gamma(1.0 / TRUE_VARIANCE, TRUE_VARIANCE, vehicle[-1] + 1)[vehicle]
    design = np.ones((lives, COVARIATES + 1), order="F")
    duty = rng.integers(0, 4, lives)
    for level in (1, 2, 3):
        design[:, level] = duty == level
    design[:, 4] = rng.random(lives) < 0.3
    design[:, 5:] = rng.normal(size=(lives, 4))
    pace = np.exp(-(design @ EFFECTS))
    entry = np.where(rng.random(lives) < 0.3, rng.uniform(0.0, 0.3, lives), 0.0)
    # Parts met at work: each has its vehicle's frailty and survived to its entry, as positions of a fleet are.
    life = ((entry * pace) ** TRUE_SHAPE + rng.exponential(size=lives) / frailty) ** (1.0 / TRUE_SHAPE) / pace
    end = entry + rng.exponential(4.0, lives) + 0.02
    failed, looked, step = life <= end, rng.random(lives) < 0.2, 0.15
    low = np.where(failed, np.where(looked, np.maximum(np.floor(life / step) * step, entry), life), end)
    high = np.where(failed, np.where(looked, np.ceil(life / step) * step, life), np.inf)
    return {"entry": entry, "stop_low": low, "stop_high": high, "design": design, "cluster": vehicle}


def medians(first, second, rounds):
    """Median seconds of two functions, called in turn."""
    seconds = ([], [])
    for _ in range(rounds):
        for function, taken in zip((first, second), seconds, strict=True):
            start = time.perf_counter()
            function()
            taken.append(time.perf_counter() - start)
    return float(np.median(seconds[0])), float(np.median(seconds[1]))


def compare_frailty(lives, rounds=5):
    """Line of the printed table for the frailty fit."""
    from wearmodel.survival.fit import fit_lives
    from wearmodel.survival.frailty.fit import fit_frailty
    from wearmodel.survival.life_data import build_life_data

    data = build_life_data(**drawn_lives(lives))
    plain, frailty = medians(lambda: fit_lives(data, clustered=False), lambda: fit_frailty(data), rounds)
    found = fit_frailty(data)
    return (
        f"frailty fit, {lives:,} lives, {lives // 6:,} vehicles: {frailty:.3f} s, plain fit {plain:.3f} s, "
        f"{frailty / plain:.1f} times; variance {found.variance:.3f} (truth {TRUE_VARIANCE}), shape "
        f"{np.exp(found.values[-2]):.3f} (truth {TRUE_SHAPE}), converged: {found.converged}"
    )


def compare_curves(lives, rounds=5):
    """Line of the printed table for the curve without a model, late entry and ties among the lives."""
    from lifelines import BreslowFlemingHarringtonFitter

    from wearmodel.survival.risk_sets import hazard_steps

    rng = np.random.default_rng(2)
    entry = np.where(rng.random(lives) < 0.3, rng.integers(0, 40_000, lives), 0).astype(float)
    age = entry + np.ceil(60_000 * rng.weibull(TRUE_SHAPE, lives) / 100.0) * 100.0
    failed = rng.random(lives) < 0.66
    order = rng.permutation(lives)

    def ours(at=slice(None)):
        return hazard_steps(entry=entry[at], stop=age[at], failed=failed[at])

    def theirs():
        return BreslowFlemingHarringtonFitter().fit(age, failed, entry=entry)

    mine, other = medians(ours, theirs, rounds)
    found, shuffled = ours(), ours(order)
    curve = theirs().survival_function_.iloc[:, 0]
    apart = float(np.max(np.abs(found.survival - curve.reindex(found.age).to_numpy())))
    return (
        f"curve without a model, {lives:,} lives with late entry: {mine:.3f} s, lifelines {other:.3f} s, "
        f"{other / mine:.1f} times; farthest apart {apart:.1e}, another order moves it by "
        f"{float(np.max(np.abs(found.survival - shuffled.survival))):.1e}"
    )


def main():
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--lives", type=int, default=100_000)
    lives = parser.parse_args().lives
    sys.path.insert(0, str(ROOT))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        print(compare_frailty(lives), flush=True)
        print(compare_curves(lives), flush=True)


if __name__ == "__main__":
    main()
