"""Fits invented fleets whose true laws are known, and tells how far the estimates are from the truth.

Run `python tests/recovery/study.py --fleets 40 --vehicles 150` from the project's folder. Each fleet is simulated,
written to disk and taken through intake, histories and fits like any fleet. Errors are on the log scale (0.05 is
about 5 %), but for the height effect, given as estimate over truth minus 1.
"""

import argparse
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from wearmodel.fleet_model import CONFIDENCE, CodedFleet, build_coded_fleet, fit_fleet
from wearmodel.history.histories import Histories, build_histories
from wearmodel.history.ride_heights import build_segments
from wearmodel.intake.fleet import Fleet, read_fleet
from wearmodel.plan import build_plan
from wearmodel.simulate.fleet import simulate_fleet
from wearmodel.simulate.folder import write_fleet
from wearmodel.survival.component_fits import build_component_lives, fit_components
from wearmodel.survival.model import LifeModel, law, life_band

FIRST_SEED = 1000
VEHICLES = 150
YEARS = 8
ERRORS = ("log_shape", "log_scale", "height_effect", "log_b10")
INTERVALS = ("shape", "height", "b10")
#: Quantile of the normal law behind the two-sided intervals.
_HALF_WIDTH = 1.6448536269514722
assert CONFIDENCE == 0.9


@dataclass(frozen=True)
class Record:
    """One invented fleet: what is true of it, what its record says, what was fitted to that."""

    seed: int
    truth: dict
    fleet: Fleet
    histories: Histories
    coded: CodedFleet
    model: LifeModel


def simulated_record(seed, *, folder, vehicles=VEHICLES):
    """Simulate a fleet, write it, read it back, fit it."""
    simulated = simulate_fleet(np.random.default_rng(seed), vehicles=vehicles, years=YEARS, dirt=False)
    fleet = read_fleet(write_fleet(simulated, Path(folder) / f"fleet_{seed}"))
    histories = build_histories(fleet)
    coded = build_coded_fleet(fleet, histories)
    return Record(seed, dict(simulated.truth), fleet, histories, coded, fit_fleet(fleet, coded))


def component_errors(own, truth):
    """Errors and interval hits of one fitted component, at its fleet's commonest duty and factory height."""
    duty = own.coding.duties[0]
    true_scale = truth["fleet_scale"][duty]["0"]
    true_b10 = true_scale * (-np.log(0.9)) ** (1.0 / truth["shape"])
    sd = np.sqrt(np.diag(own.covariance))
    band = life_band(own, fraction=0.1, duty=duty)
    row = {
        "failures": own.failures,
        "converged": own.converged,
        "log_shape": own.values[-1] - np.log(truth["shape"]),
        "log_scale": np.log(law(own, duty=duty).scale / true_scale),
        "log_b10": np.log(float(band.estimate) / true_b10),
        "shape_hit": abs(own.values[-1] - np.log(truth["shape"])) < _HALF_WIDTH * sd[-1],
        "b10_hit": float(band.low) < true_b10 < float(band.high),
        "height_effect": np.nan,
        "height_hit": np.nan,
    }
    if own.coding.height != "none" and truth["angle_coefficient"]:
        place = own.names.index(own.coding.height)
        estimate = -own.values[place]
        row["height_effect"] = estimate / truth["angle_coefficient"] - 1.0
        row["height_hit"] = float(abs(estimate - truth["angle_coefficient"]) < _HALF_WIDTH * sd[place])
    return row


def build_errors(seed, components, truth):
    """One row a component with a curve of its own."""
    rows = [
        {"seed": seed, "component": code, **component_errors(own, truth["components"][code])}
        for code, own in components.items()
        if own.basis == "fitted"
    ]
    return pd.DataFrame(rows)


def fit_with(record, lives):
    """Fit the lives of a record once more, after somebody changed them, in the same way."""
    segments = build_segments(lives, record.histories.changes)
    coded = {
        code: build_component_lives(
            code, lives=lives, segments=segments, swings=record.coded.swings, lifts=record.coded.levels
        )
        for code in record.coded.coded
    }
    labels = {code: code for code in coded}
    return fit_components(coded, labels=labels, clocks=dict.fromkeys(labels, "km"))


def taken_as_new(lives):
    """Lives as somebody reads them who takes every part met when the record begins for a new one."""
    unknown = ~lives["age_known"].to_numpy(dtype=bool)
    shift = np.where(unknown, lives["entry"], 0.0)
    changed = lives.assign(
        start_odometer=lives["start_odometer"] + shift,
        entry=lives["entry"] - shift,
        stop_low=lives["stop_low"] - shift,
        stop_high=lives["stop_high"] - shift,
    )
    seen = (changed["stop_low"] > changed["entry"]) | (
        np.isfinite(changed["stop_high"]) & (changed["stop_high"] > changed["stop_low"])
    )
    return changed.assign(weight=np.where(unknown, seen.astype(float), lives["weight"]))


def failed_when_found(lives):
    """Lives as somebody reads them who takes the day wear was found for the day it came, and a part still in for good."""
    found = np.isfinite(lives["stop_high"])
    age = lives["end_odometer"] - lives["start_odometer"]
    running = lives["ended"].isin(["in_service", "retired"]) & ~found
    stop = np.where(found, lives["stop_high"], np.where(running, np.maximum(age, lives["entry"]), lives["stop_low"]))
    seen = stop > lives["entry"]
    return lives.assign(stop_low=stop, weight=np.where(seen, lives["weight"], 0.0))


def next_year(record):
    """Expected and true unplanned renewals of the year after the record, by component."""
    plan = build_plan(record.fleet, months=12, seed=1, model=record.model)
    events = plan.tables["events"]
    events = events[events["policy"] == "present_practice"].groupby("component")[["failures", "condition_finds"]].sum()
    renewals = record.truth["future"]["renewals"]
    codes = sorted(record.truth["components"])
    return pd.DataFrame(
        {
            "seed": record.seed,
            "component": codes,
            "expected": events.sum(axis=1).reindex(codes, fill_value=0.0).to_numpy(),
            "actual": [
                sum(renewals.get(code, {}).get(reason, 0) for reason in ("failed", "worn", "damage", "comeback"))
                for code in codes
            ],
        }
    )


def summary(errors):
    """Table of bias, spread and coverage by component."""
    rows = []
    for code, mine in errors.groupby("component"):
        row = {"component": code, "fleets": len(mine), "failures": mine["failures"].mean()}
        for name in ERRORS:
            row |= {f"{name}": mine[name].mean(), f"sd_{name}": mine[name].std()}
        row |= {f"{name}_90": mine[f"{name}_hit"].astype(float).mean() for name in INTERVALS}
        rows.append(row)
    return pd.DataFrame(rows)


def main():
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fleets", type=int, default=40)
    parser.add_argument("--vehicles", type=int, default=VEHICLES)
    parser.add_argument("--seed", type=int, default=FIRST_SEED, help="seed of the first fleet; the others follow it")
    options = parser.parse_args()
    variants = {"as the program fits them": [], "parts met at the start taken as new": [], "worn when found": []}
    years = []
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(options.seed, options.seed + options.fleets):
            record = simulated_record(seed, folder=folder, vehicles=options.vehicles)
            lives = record.histories.lives
            fits = (
                record.model.components,
                fit_with(record, taken_as_new(lives)),
                fit_with(record, failed_when_found(lives)),
            )
            for rows, components in zip(variants.values(), fits, strict=True):
                rows.append(build_errors(seed, components, record.truth))
            years.append(next_year(record))
    pd.set_option("display.width", 200, "display.max_columns", 30)
    for name, rows in variants.items():
        print(f"\n{name}\n{summary(pd.concat(rows)).round(3).to_string(index=False)}")
    year = pd.concat(years).groupby("component")[["expected", "actual"]].sum()
    year.loc["all"] = year.sum()
    print(f"\nunplanned renewals of the next 12 months\n{year.assign(ratio=year['expected'] / year['actual']).round(3)}")


if __name__ == "__main__":
    main()
