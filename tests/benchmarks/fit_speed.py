"""Weibull regression with late entry and intervals: ours, lifelines' and surpyval's on the same rows.

Run `python tests/benchmarks/fit_speed.py` from the project's folder, `--sizes 100000 1000000` for other numbers of
lives, `--only ours` to leave the others out. Each fit runs in a process of its own, which reads the rows from
one file; its seconds are the wall clock of the fit from arrays or frame to estimates, its memory the peak of the
whole process. surpyval is not needed: a column whose library is missing says so (`pip install -e '.[bench]'`).
"""

import argparse
import importlib.util
import json
import resource
import subprocess
import sys
import tempfile
import time
import warnings
from pathlib import Path

import numpy as np

ROOT = Path(__file__).parents[2]
COVARIATES = 8
TRUE_SHAPE = 2.2
EFFECTS = np.array([0.4, -0.5, -0.25, 0.15, 0.3, -0.2, 0.1, -0.15, 0.05])


def drawn_rows(lives, seed=1):
    """Lives of about six a vehicle: duty levels and measures as covariates, 30 % late entry.

    Two thirds fail, a fifth of them known only to the interval between two looks. Ages in units of 100,000 km.
    """
    rng = np.random.default_rng(seed)
    drawn = int(lives * 1.25) + 100
    design = np.ones((drawn, COVARIATES + 1))
    duty = rng.integers(0, 4, drawn)
    for level in (1, 2, 3):
        design[:, level] = duty == level
    design[:, 4] = rng.random(drawn) < 0.3
    design[:, 5:] = rng.normal(size=(drawn, 4))
    life = np.exp(design @ EFFECTS) * rng.weibull(TRUE_SHAPE, drawn)
    entry = np.where(rng.random(drawn) < 0.3, rng.uniform(0.0, 0.6, drawn), 0.0)
    kept = np.flatnonzero(life > entry)[:lives]
    life, entry, design = life[kept], entry[kept], np.asfortranarray(design[kept])
    end = entry + rng.exponential(4.0, len(kept)) + 0.02
    failed, looked = life <= end, rng.random(len(kept)) < 0.2
    step = 0.15
    low = np.where(failed, np.where(looked, np.maximum(np.floor(life / step) * step, entry), life), end)
    high = np.where(failed, np.where(looked, np.ceil(life / step) * step, life), np.inf)
    vehicle = np.arange(len(kept)) // 6
    return {"entry": entry, "low": low, "high": high, "design": design, "vehicle": vehicle}


def fit_ours(rows):
    """Our fit from the raw arrays, with and without errors by vehicle."""
    from wearmodel.survival.fit import fit_lives
    from wearmodel.survival.life_data import build_life_data

    design = rows["design"]
    given = {"entry": rows["entry"], "stop_low": rows["low"], "stop_high": rows["high"], "cluster": rows["vehicle"]}
    seconds, beside = [], []
    for clustered in (False, True) * 5:
        start = time.perf_counter()
        fit = fit_lives(build_life_data(design=design, **given), clustered=clustered)
        (beside if clustered else seconds).append(time.perf_counter() - start)
    peak = peak_memory()
    other = fit_lives(build_life_data(design=design, **{k: v if k == "cluster" else v * 1e5 for k, v in given.items()}))
    values = np.append(other.values[0] - np.log(1e5), other.values[1:])
    unit = float(np.max(np.abs(values / fit.values - 1.0)))
    plain = float(np.median(seconds))
    return {
        "seconds": plain, "values": fit.values.tolist(), "log_likelihood": fit.log_likelihood, "memory": peak,
        "passes": fit.passes, "clustered": float(np.median(beside)) / plain - 1.0, "unit": unit,
        "converged": fit.converged and fit.agreed,
    }  # fmt: skip


def fit_lifelines(rows):
    """lifelines' interval regression; its scale and shape are logarithms like ours."""
    import pandas as pd
    from lifelines import WeibullAFTFitter

    frame = pd.DataFrame(rows["design"][:, 1:], columns=[f"x{i}" for i in range(COVARIATES)])
    frame["low"], frame["high"], frame["entry"] = np.maximum(rows["low"], 1e-9), rows["high"], rows["entry"]
    start = time.perf_counter()
    fitter = WeibullAFTFitter()
    fitter.fit_interval_censoring(frame, lower_bound_col="low", upper_bound_col="high", entry_col="entry")
    seconds, table = time.perf_counter() - start, fitter.params_
    effects = [float(table["lambda_", f"x{i}"]) for i in range(COVARIATES)]
    values = [float(table["lambda_", "Intercept"]), *effects, float(table["rho_", "Intercept"])]
    return {
        "seconds": seconds, "values": values, "log_likelihood": float(fitter.log_likelihood_), "memory": peak_memory(),
    }  # fmt: skip


def fit_surpyval(rows):
    """surpyval's accelerated life fit; its scale and shape are plain numbers, its coefficients stretch time."""
    from surpyval import WeibullAFT

    low, high = rows["low"], rows["high"]
    exact, interval = high == low, np.isfinite(high) & (high > low)
    kind = np.select([exact, interval], [0, 2], 1)
    ages = np.column_stack([np.maximum(low, 1e-9), np.where(interval, high, np.maximum(low, 1e-9))])
    start = time.perf_counter()
    model = WeibullAFT.fit(ages, rows["design"][:, 1:], c=kind, tl=rows["entry"])
    seconds = time.perf_counter() - start
    scale, shape, *effects = (float(value) for value in model.params)
    values = [np.log(scale), *(-value for value in effects), np.log(shape)]
    return {"seconds": seconds, "values": values, "log_likelihood": -float(model.neg_ll()), "memory": peak_memory()}


FITS = {"ours": fit_ours, "lifelines": fit_lifelines, "surpyval": fit_surpyval}


def peak_memory():
    """Peak memory of this process [MiB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


def in_a_process(name, path):
    """Result of a fit in a process of its own, or None if its library is not installed."""
    if name != "ours" and importlib.util.find_spec(name) is None:
        return None
    command = [sys.executable, __file__, "--fit", name, "--rows", str(path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        raise SystemExit(f"{name} failed:\n{done.stderr}")
    return json.loads(done.stdout.splitlines()[-1])


def draw_in_a_process(lives, path):
    """Write the rows from a process of its own: a process begins with the peak memory of the one that starts it."""
    subprocess.run([sys.executable, __file__, "--draw", str(lives), "--rows", str(path)], cwd=ROOT, check=True)


def run_one(name, path):
    """Fit in this process and print the result for `in_a_process`."""
    sys.path.insert(0, str(ROOT))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with np.load(path) as stored:
            rows = dict(stored)
        print(json.dumps(FITS[name](rows)))


def table_rows(lives, results):
    """Lines of the printed table for one number of lives."""
    ours = results["ours"]
    yield (
        f"{lives:>9,} ours       {ours['seconds']:9.3f} s            {ours['memory']:7.0f} MiB"
        f"   {ours['passes']} passes, converged and agreed: {ours['converged']}, errors by vehicle"
        f" {ours['clustered']:+.0%} of the time, unit of 100,000 km moves {ours['unit']:.1e}"
    )
    for name in ("lifelines", "surpyval"):
        other = results.get(name)
        if other is None:
            yield f"{'':>9} {name:<10} not installed or not asked for"
            continue
        apart = float(np.max(np.abs(np.array(ours["values"]) / np.array(other["values"]) - 1.0)))
        yield (
            f"{'':>9} {name:<10} {other['seconds']:9.3f} s {other['seconds'] / ours['seconds']:8.1f} x"
            f" {other['memory']:7.0f} MiB   ours uses {ours['memory'] / other['memory']:.0%} of it,"
            f" coefficients apart {apart:.1e}, log-likelihood ours - theirs"
            f" {ours['log_likelihood'] - other['log_likelihood']:+.2e}"
        )


def main():
    """Print the table, or one fit of it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--sizes", type=int, nargs="+", default=[10_000, 100_000])
    parser.add_argument("--only", nargs="+", choices=FITS, default=list(FITS))
    parser.add_argument("--fit", choices=FITS, help=argparse.SUPPRESS)
    parser.add_argument("--rows", type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--draw", type=int, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.draw:
        np.savez(given.rows, **drawn_rows(given.draw))
        return
    if given.fit:
        run_one(given.fit, given.rows)
        return
    for lives in given.sizes:
        with tempfile.TemporaryDirectory() as place:
            path = Path(place) / "rows.npz"
            draw_in_a_process(lives, path)
            names = dict.fromkeys(["ours", *given.only])
            results = {name: in_a_process(name, path) for name in names}
        for line in table_rows(lives, results):
            print(line, flush=True)


if __name__ == "__main__":
    main()
