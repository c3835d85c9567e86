"""Measured figures of the main job, printed as a table.

Run `python tests/benchmarks/measure.py` from the project's folder: the whole `plan` command with its
peak memory, `--help`, and the fit of all components of the demo against lifelines' interval Weibull
regression on the same rows in the same run.
"""

import os
import resource
import subprocess
import sys
import tempfile
import time
import warnings
from pathlib import Path

import numpy as np
import pandas as pd

ROOT = Path(__file__).parents[2]


def timed(function, repeats=5):
    """Median seconds of a call."""
    seconds = []
    for _ in range(repeats):
        start = time.perf_counter()
        function()
        seconds.append(time.perf_counter() - start)
    return float(np.median(seconds))


def command_seconds(*arguments):
    """Wall-clock seconds and peak memory [MiB] of a command in a process of its own."""
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "wearmodel", *arguments], cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    _, status, usage = os.wait4(process.pid, 0)
    if status:
        raise SystemExit(f"command failed: {arguments}")
    return time.perf_counter() - start, usage.ru_maxrss / 1024.0


def component_rows(lives, code):
    """Rows of one component for both fits: duty and lift as covariates, pieces of constant lift."""
    rows = lives[(lives["component"] == code) & (lives["weight"] > 0)]
    columns = {duty: (rows["duty"] == duty).astype(float) for duty in sorted(rows["duty"].unique())[1:]}
    columns["lift"] = rows["lift"] / 100.0
    frame = pd.DataFrame(columns)
    return frame.loc[:, frame.nunique() > 1], rows


def compare_fits():
    """Seconds of our fits and of lifelines' on the same rows."""
    from lifelines import WeibullAFTFitter

    from wearmodel.fleet_model import build_coded_fleet
    from wearmodel.history.histories import build_histories
    from wearmodel.intake.fleet import read_fleet
    from wearmodel.survival.fit import fit_lives
    from wearmodel.survival.life_data import build_life_data

    fleet = read_fleet(ROOT / "data" / "demo")
    coded = build_coded_fleet(fleet, build_histories(fleet))
    lives = coded.lives_table
    ours, theirs, rows_fitted = 0.0, 0.0, 0
    for code in coded.coded:
        frame, rows = component_rows(lives, code)
        if np.isfinite(rows["stop_high"]).sum() < 20:
            continue
        rows_fitted += len(rows)
        design = np.column_stack([np.ones(len(frame)), frame.to_numpy()])

        def mine(rows=rows, design=design):
            return fit_lives(
                build_life_data(
                    entry=rows["entry"], stop_low=rows["stop_low"], stop_high=rows["stop_high"], design=design,
                    cluster=pd.factorize(rows["unit"])[0],
                )
            )  # fmt: skip

        table = frame.assign(
            low=(rows["stop_low"] / 1e5).clip(lower=1e-9), high=rows["stop_high"] / 1e5, entry=rows["entry"] / 1e5
        )

        def other(table=table):
            return WeibullAFTFitter().fit_interval_censoring(
                table, lower_bound_col="low", upper_bound_col="high", entry_col="entry"
            )

        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            ours += timed(mine)
            theirs += timed(other, repeats=3)
    return ours, theirs, rows_fitted


def main():
    """Print the table."""
    with tempfile.TemporaryDirectory() as place:
        plan = command_seconds(
            "plan", "data/demo", "--out", str(Path(place) / "p.xlsx"), "--tables", str(Path(place) / "t")
        )
    help_seconds = float(np.median([command_seconds("--help")[0] for _ in range(5)]))
    ours, theirs, rows = compare_fits()
    print(f"plan data/demo, workbook and tables   {plan[0]:8.2f} s   peak {plan[1]:7.0f} MiB")
    print(f"wearmodel --help                      {help_seconds:8.2f} s")
    print(f"fits of the demo, {rows} rows          {ours * 1000:8.1f} ms")
    print(f"lifelines on the same rows            {theirs * 1000:8.1f} ms   ratio {theirs / ours:6.1f}")
    print(f"own peak memory                       {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:8.0f} MiB")


if __name__ == "__main__":
    main()
