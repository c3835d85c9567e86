"""Time of the due list with visits for 100,000 fitted parts, on one core: `python tests/benchmarks/visits_speed.py`.

The parts are those of the demo fleet over and over, each copy on vehicles of its own; part of them of unknown age.
"""

import argparse
import os
import time
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np
import pandas as pd

from wearmodel.fleet_clocks import settle_on_clocks
from wearmodel.fleet_model import fit_fleet
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import read_fleet
from wearmodel.look_ahead import look_ahead, visit_terms
from wearmodel.plan_tables import build_cells, build_pieces
from wearmodel.policy.due import assess_parts, plan_due
from wearmodel.policy.intervals import plan_intervals
from wearmodel.policy.visits import plan_visits
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.vehicle_frailties import Frailties

DEMO = Path(__file__).parents[2] / "data" / "demo"


def many(parts, points, *, copies, vehicles, rng):
    """A component's parts and ages, each copy on vehicles of its own that run more or less."""
    count, segments = len(parts.frame), len(parts.part)
    which = np.repeat(np.arange(copies), count)
    frame = pd.concat([parts.frame] * copies, ignore_index=True)
    frame["vehicle"] += which * vehicles
    frame["unit"] = frame["unit"] + "-" + pd.Series(which).astype(str)
    tiled = {name: np.tile(getattr(parts, name), copies) for name in ("run", "unseen", "tail", "since_look")}
    grown = rng.uniform(0.5, 1.5, len(which))
    part = np.tile(parts.part, copies) + np.repeat(np.arange(copies), segments) * count
    start = np.tile(parts.start, copies) + which * segments
    wear = Frailties(np.tile(parts.frailties.shape, copies), np.tile(parts.frailties.rate, copies))
    fitted = replace(
        parts, frame=frame, part=part, start=start, design=np.tile(parts.design, (copies, 1)), frailties=wear,
        others=None, **tiled,
    )  # fmt: skip
    return fitted, AgePoints(np.tile(points.psi, (copies, 1)) * grown[:, None], np.tile(points.weight, (copies, 1)))


def measure(wanted):
    """Seconds of the due list and of the visits, with how many parts and visits they hold."""
    fleet = read_fleet(DEMO)
    clocked = settle_on_clocks(fleet, build_histories(fleet))
    coded, histories = clocked.settled.coded, clocked.settled.histories
    model = fit_fleet(fleet, coded, lost=clocked.settled.lost)
    cells = build_cells(build_pieces(histories), histories.lives, coded.levels)
    intervals = plan_intervals(model, cells=cells, worn_shares={})
    ahead = look_ahead(fleet, histories, coded, model, months=12, intervals=intervals)
    rng, vehicles = np.random.default_rng(1), len(histories.windows)
    copies = -(-wanted // sum(len(parts.frame) for parts in ahead.fitted.values()))
    grown = {
        code: many(parts, ahead.points[code], copies=copies, vehicles=vehicles, rng=rng)
        for code, parts in ahead.fitted.items()
    }
    fitted, points = ({code: pair[i] for code, pair in grown.items()} for i in (0, 1))
    daily = np.tile(histories.curves.daily, copies) * rng.uniform(0.6, 1.4, vehicles * copies)
    terms = visit_terms(fleet, coded, ahead)
    begin, worked = time.perf_counter(), time.process_time()
    assessed = assess_parts(
        fitted, points=points, unmodelled=pd.DataFrame(), model=model, intervals=intervals, daily=daily,
        levels=coded.levels, as_of=fleet.as_of, days=365.0,
        a_day={code: np.tile(clock.a_day, copies) for code, clock in coded.clocks.items()},
    )  # fmt: skip
    due = plan_due(assessed)
    middle, listed = time.perf_counter(), time.process_time()
    tables = plan_visits(
        assessed, fitted=fitted, points=points, model=model, terms=terms, as_of=fleet.as_of, seed=1
    )
    return {
        "parts": len(due), "visits": len(tables["visits"]), "due list [s]": middle - begin,
        "visits [s]": time.perf_counter() - middle, "processor, due list [s]": listed - worked,
        "processor, visits [s]": time.process_time() - listed,
    }  # fmt: skip


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--parts", type=int, default=100_000)
    for name, value in measure(parser.parse_args().parts).items():
        print(f"{name}: {value:,.2f}" if isinstance(value, float) else f"{name}: {value:,}")
