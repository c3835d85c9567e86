"""Measured figures of the main job as one table with ratios.

Run `python tests/benchmarks/measure.py` from the project's folder. Each stage of the demo is timed by processor time of
this process, which other work on the machine does not stretch; beside a stage stands what it is held against, timed on
the same data in the same run, and how many times as long that takes. Commands run in processes of their own, which
tell their peak memory.
"""

import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
import warnings
from dataclasses import dataclass
from datetime import date
from importlib.metadata import version
from pathlib import Path

import numpy as np
import pandas as pd

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "data" / "demo"
sys.path[:0] = [str(ROOT), str(Path(__file__).parent)]


@dataclass(frozen=True)
class Row:
    """One line of the table: seconds, of what it is held against too, and what that is."""

    what: str
    ours: float
    other: float = float("nan")
    against: str = ""

    def line(self):
        """The line as printed."""
        ratio = "" if np.isnan(self.other) else f"| {self.other:.3g} | {self.other / self.ours:.3g} "
        return f"| {self.what} | {self.ours:.3g} " + (ratio or "| | ") + f"| {self.against} |"


def timed(function, repeats=5):
    """Median seconds of processor time of a call."""
    seconds = []
    for _ in range(repeats):
        start = time.process_time()
        function()
        seconds.append(time.process_time() - start)
    return float(np.median(seconds))


def command_cost(*arguments):
    """Processor seconds and peak memory [MiB] of a command, those of the processes it starts among them."""
    process = subprocess.Popen(
        [sys.executable, "-m", "wearmodel", *arguments], cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )
    _, status, usage = os.wait4(process.pid, 0)
    if status:
        raise SystemExit(f"command failed: {arguments}")
    return usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024.0


def component_rows(lives, code):
    """Rows of one component for both fits: duty and lift as covariates, pieces of constant lift."""
    rows = lives[(lives["component"] == code) & (lives["weight"] > 0)]
    columns = {duty: (rows["duty"] == duty).astype(float) for duty in sorted(rows["duty"].unique())[1:]}
    columns["lift"] = rows["lift"] / 100.0
    frame = pd.DataFrame(columns)
    return frame.loc[:, frame.nunique() > 1], rows


def fit_rows(coded, repeats=5):
    """Fits of the demo against lifelines' interval regression, and against one pass of the exp and log they need."""
    from lifelines import WeibullAFTFitter

    from wearmodel.survival.fit import fit_lives
    from wearmodel.survival.life_data import build_life_data

    lives = coded.lives_table
    ours, theirs, floor, count, passes = 0.0, 0.0, 0.0, 0, 0
    for code in coded.coded:
        frame, rows = component_rows(lives, code)
        if np.isfinite(rows["stop_high"]).sum() < 20:
            continue
        count += len(rows)
        design = np.column_stack([np.ones(len(frame)), frame.to_numpy()])
        ages = {name: rows[name].to_numpy() for name in ("entry", "stop_low", "stop_high")}
        cluster = pd.factorize(rows["unit"])[0]

        def mine(ages=ages, design=design, cluster=cluster):
            return fit_lives(build_life_data(**ages, design=design, cluster=cluster))

        table = frame.assign(
            low=(rows["stop_low"] / 1e5).clip(lower=1e-9), high=rows["stop_high"] / 1e5, entry=rows["entry"] / 1e5
        )

        def other(table=table):
            return WeibullAFTFitter().fit_interval_censoring(
                table, lower_bound_col="low", upper_bound_col="high", entry_col="entry"
            )

        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            passes += mine().passes
            ours += timed(mine, repeats)
            theirs += timed(other, min(repeats, 3))
        floor += one_pass(ages, repeats)
    return [
        Row(f"fits, {count:,} rows", ours, theirs, "lifelines, the same rows"),
        Row(f"the same, {passes} passes", ours, floor, "floor: one pass of the exp and log that a likelihood needs"),
    ]


def one_pass(ages, repeats=5):
    """Seconds of log and exp of each age that is there, once."""
    there = [np.maximum(age[np.isfinite(age) & (age > 0)] / 1e5, 1e-9) for age in ages.values()]
    every = np.concatenate(there)

    def many():
        for _ in range(100):
            np.exp(2.2 * np.log(every))

    return timed(many, max(repeats, 3)) / 100


def history_rows(fleet, repeats=5):
    """Histories against a plain loop over vehicles, positions and repairs, which does less."""
    from plain_histories import plain_lives

    from wearmodel.history.histories import build_histories

    tables = fleet.tables
    loop = timed(
        lambda: plain_lives(
            tables["vehicles"], tables["readings"], tables["repairs"], layouts=fleet.settings.layouts, as_of=fleet.as_of
        ),
        1,
    )
    ours = timed(lambda: build_histories(fleet), repeats)
    return [Row("histories", ours, loop, "plain pandas loop: no odometer faults, looks, open lines or lifts")]


def intake_rows(repeats=5):
    """Intake against reading the same files into text cells, which checks nothing."""
    from wearmodel.intake.fleet import read_fleet

    files = sorted(DEMO.glob("*.csv"))
    plain = timed(lambda: [pd.read_csv(file, dtype=str, keep_default_na=False) for file in files], repeats)
    read_fleet(DEMO)
    return [Row("intake", timed(lambda: read_fleet(DEMO), repeats), plain, "floor: the cells alone, pandas.read_csv")]


def stage_rows(fleet, coded, histories, repeats=3):
    """Intervals, forecast and workbook."""
    from wearmodel.fleet_model import fit_fleet
    from wearmodel.forecast_tables import build_forecast_tables
    from wearmodel.look_ahead import look_ahead
    from wearmodel.plan import build_plan
    from wearmodel.plan_tables import build_cells, build_pieces
    from wearmodel.policy.intervals import plan_intervals
    from wearmodel.policy.yearly_running import add_yearly_running
    from workbook.planner import write_planner

    model = fit_fleet(fleet, coded)
    cells = add_yearly_running(
        build_cells(build_pieces(histories), histories.lives, coded.levels), lives=histories.lives,
        daily=histories.curves.daily, levels=coded.levels, day_counts=coded.day_counts,
    )  # fmt: skip

    def intervals():
        return plan_intervals(
            model, cells=cells, worn_shares=coded.worn_shares, road_caps=fleet.settings.road_caps
        )

    def ahead_tables():
        return build_forecast_tables(fleet, histories, coded, model, ahead, months=12, seed=1)

    found = intervals()
    ahead = look_ahead(fleet, histories, coded, model, months=12, intervals=found)
    start = time.process_time()
    plan = build_plan(fleet, months=12, seed=1)
    whole = time.process_time() - start
    with tempfile.TemporaryDirectory() as place:
        target = Path(place) / "planner.xlsx"
        return [
            Row("fits as the plan needs them: groups, frailty, unknown ages",
                timed(lambda: fit_fleet(fleet, coded), repeats)),
            Row(f"intervals of {len(found)} cells", timed(intervals, repeats)),
            Row("forecast, stock and budget, 400 draws", timed(ahead_tables, repeats)),
            Row("all tables of the plan", whole),
            Row("workbook", timed(lambda: write_planner(plan, target), repeats)),
        ]  # fmt: skip


def function_rows(calls=200):
    """Workbook functions, a call of one cell each."""
    from wearmodel.survival.store import write_model
    from workbook import functions
    from workbook.example_model import EXAMPLE_MODEL
    from workbook.function_list import FUNCTIONS

    before = os.environ.get("WEAR_MODEL")
    rows = []
    with tempfile.TemporaryDirectory() as place:
        path = Path(place) / "model.json"
        write_model(EXAMPLE_MODEL, path)
        os.environ["WEAR_MODEL"] = str(path)
        for name in ("WEAR_SURVIVAL", "WEAR_REMAINING", "WEAR_INTERVAL", "WEAR_STOCK_LEVEL"):
            call, example = getattr(functions, name), FUNCTIONS[name].example
            call(*example)

            def many(call=call, example=example):
                for _ in range(calls):
                    call(*example)

            rows.append(Row(f"{name}, one cell", timed(many, 3) / calls))
    os.environ.pop("WEAR_MODEL") if before is None else os.environ.update(WEAR_MODEL=before)
    return rows


def machine():
    """Where and with what this was measured."""
    names = ("numpy", "scipy", "pandas", "lifelines", "XlsxWriter")
    libraries = ", ".join(f"{name} {version(name)}" for name in names)
    return (
        f"{date.today():%Y-%m-%d}, {platform.machine()}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}, "
        f"Python {platform.python_version()}, {libraries}"
    )


def main():
    """Print the table."""
    from wearmodel.fleet_model import build_coded_fleet
    from wearmodel.history.histories import build_histories
    from wearmodel.intake.fleet import read_fleet

    print(f"{machine()}; processor time of one core\n")
    print("| stage | ours [s] | other [s] | other / ours | held against |\n| --- | --- | --- | --- | --- |", flush=True)
    fleet = read_fleet(DEMO)
    histories = build_histories(fleet)
    coded = build_coded_fleet(fleet, histories)
    for rows in (
        function_rows, intake_rows, lambda: history_rows(fleet), lambda: fit_rows(coded),
        lambda: stage_rows(fleet, coded, histories),
    ):  # fmt: skip
        for row in rows():
            print(row.line(), flush=True)
    helps = [command_cost("--help")[0] for _ in range(5)]
    print(Row("`wearmodel --help`", float(np.median(helps))).line())
    for workers in ("1", "2"):
        with tempfile.TemporaryDirectory() as place:
            seconds, memory = command_cost(
                "plan", "data/demo", "--out", str(Path(place) / "p.xlsx"), "--tables", str(Path(place) / "t"),
                "--workers", workers,
            )  # fmt: skip
        print(Row(f"`wearmodel plan data/demo --workers {workers}`, peak {memory:.0f} MiB", seconds).line())
    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"\nlifelines' and all other figures above but the commands: peak of this process {own:.0f} MiB")


if __name__ == "__main__":
    main()
