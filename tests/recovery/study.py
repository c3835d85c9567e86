"""Fits invented fleets whose true laws are known, and tells how far the estimates are from the truth.

Run `python tests/recovery/study.py --fleets 40 --vehicles 150` from the project's folder. Each fleet is simulated,
written to disk and taken through intake, histories and fits like any fleet. Errors are on the log scale (0.05 is
about 5 %), but for the height effect, given as estimate over truth minus 1.
"""

import argparse
import tempfile
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pandas as pd

from wearmodel.fleet_model import CONFIDENCE, CodedFleet, build_coded_fleet, fit_fleet
from wearmodel.forecast.futures import build_other_rates
from wearmodel.forecast_tables import build_forecast_tables
from wearmodel.history.histories import Histories, build_histories
from wearmodel.history.ride_heights import build_segments
from wearmodel.intake.fleet import Fleet, read_fleet
from wearmodel.look_ahead import look_ahead
from wearmodel.simulate.fleet import simulate_fleet
from wearmodel.simulate.folder import write_fleet
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import build_component_lives
from wearmodel.survival.model import LifeModel, law, life_band

FIRST_SEED = 1000
VEHICLES = 150
YEARS = 8
ERRORS = ("log_shape", "log_scale", "height_effect", "log_b10")
INTERVALS = ("shape", "height", "b10")
#: Renewals that a forecast calls failures or finds: wear on the road or at a look, damage, bad fits.
UNPLANNED = ("failed", "worn", "damage", "comeback")
#: Half width of the two-sided intervals in standard deviations.
_HALF_WIDTH = NormalDist().inv_cdf(0.5 + CONFIDENCE / 2.0)


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
        "true_b10": true_b10,
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
    """Fit the lives of a record once more, after somebody changed them, in the plain way."""
    segments = build_segments(lives, record.histories.changes)
    rates = build_other_rates(lives)
    coded = {
        code: build_component_lives(
            code,
            lives=lives,
            segments=segments,
            traits=record.coded.traits,
            lifts=record.coded.levels,
            other_rate=rates[code].total,
        )
        for code in record.coded.coded
    }
    labels = {code: code for code in coded}
    # Mistaken readings know of no unknown ages and of no vehicles that wear unlike.
    return fit_components(coded, labels=labels, clocks=dict.fromkeys(labels, "km"), quick=True, alike=True)


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
    weight = np.where(unknown, seen.astype(float), lives["weight"])
    return changed.assign(weight=weight, usable=weight > 0, age_known=True)


def failed_when_found(lives):
    """Lives as somebody reads them who takes wear to come on the day it was found, and parts still in for good."""
    found = np.isfinite(lives["stop_high"])
    age = lives["end_odometer"] - lives["start_odometer"]
    running = lives["ended"].isin(["in_service", "retired"]) & ~found
    stop = np.where(found, lives["stop_high"], np.where(running, np.maximum(age, lives["entry"]), lives["stop_low"]))
    seen = stop > lives["entry"]
    weight = np.where(seen, lives["weight"], 0.0)
    return lives.assign(stop_low=stop, weight=weight, usable=weight > 0)


def next_year(record):
    """Expected and true unplanned renewals of the year after the record, by component."""
    # The year that the simulator adds has no leavers.
    fleet = replace(record.fleet, settings=replace(record.fleet.settings, leaving_rate=0.0))
    ahead = look_ahead(fleet, record.histories, record.coded, record.model, months=12)
    events = build_forecast_tables(
        fleet, record.histories, record.coded, record.model, ahead, months=12, seed=1
    )["events"]
    events = events[events["policy"] == "present_practice"].groupby("component")[["failures", "condition_finds"]].sum()
    renewals = record.truth["future"]["renewals"]
    codes = sorted(record.truth["components"])
    return pd.DataFrame(
        {
            "seed": record.seed,
            "component": codes,
            "expected": events.sum(axis=1).reindex(codes, fill_value=0.0).to_numpy(),
            "actual": [sum(renewals.get(code, {}).get(reason, 0) for reason in UNPLANNED) for code in codes],
        }
    )


HONEST = "as the program reads it"
AS_NEW = "parts met when the record begins taken as new"
WHEN_FOUND = "wear taken to come when it was found"
#: How the record may be read: as the program does, and two common mistakes.
READINGS = (HONEST, AS_NEW, WHEN_FOUND)


@dataclass(frozen=True)
class Study:
    """What one fleet tells: errors by reading of the record, and the year after it."""

    seed: int
    errors: dict
    next_year: pd.DataFrame


def study_fleet(seed, *, folder, vehicles=VEHICLES):
    """Simulate a fleet, fit it by every reading, forecast its next year."""
    record = simulated_record(seed, folder=folder, vehicles=vehicles)
    lives = record.histories.lives
    components = {
        HONEST: record.model.components,
        AS_NEW: fit_with(record, taken_as_new(lives)),
        WHEN_FOUND: fit_with(record, failed_when_found(lives)),
    }
    errors = {reading: build_errors(seed, components[reading], record.truth) for reading in READINGS}
    return Study(seed, errors, next_year(record))


def build_summary(errors):
    """Bias, spread and coverage by component."""
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
    seeds = range(options.seed, options.seed + options.fleets)
    with tempfile.TemporaryDirectory() as folder:
        studies = [study_fleet(seed, folder=folder, vehicles=options.vehicles) for seed in seeds]
    pd.set_option("display.width", 200, "display.max_columns", 30)
    for reading in READINGS:
        errors = pd.concat([study.errors[reading] for study in studies])
        print(f"\n{reading}\n{build_summary(errors).round(3).to_string(index=False)}")
    year = pd.concat([study.next_year for study in studies]).groupby("component")[["expected", "actual"]].sum()
    year.loc["all"] = year.sum()
    year["ratio"] = year["expected"] / year["actual"]
    print(f"\nunplanned renewals of the next 12 months\n{year.round(3)}")


if __name__ == "__main__":
    main()
