"""Demand of 100,000 fitted parts over 24 months: `python tests/benchmarks/demand_speed.py`.

Expected demand beside the floor of 25 logarithms and 50 exponentials a part and beside Monte Carlo, then all futures of
the demo fleet over and over (each copy on vehicles of its own) with 1,000 draws.
"""

import argparse
import os
import resource
import time
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np

from wearmodel.fleet_clocks import settle_on_clocks
from wearmodel.fleet_model import fit_fleet
from wearmodel.forecast.demand import build_demand, forecast_parts
from wearmodel.forecast.expected_demand import expected_demand
from wearmodel.forecast.futures import simulate_futures
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import read_fleet
from wearmodel.look_ahead import look_ahead, part_choice

DEMO = Path(__file__).parents[2] / "data" / "demo"
MONTHS, SHAPE = 24, 2.4


def drawn_parts(parts, rng):
    """Ages, paces and monthly running of parts that wear out once in two to thirty years."""
    age, pace = rng.uniform(0.0, 1.2, parts), 1.0 / rng.uniform(60e3, 300e3, parts)
    season = 1.0 + 0.25 * np.cos(np.arange(MONTHS) / 12.0 * 2.0 * np.pi)
    return age, pace, rng.uniform(10e3, 60e3, parts)[:, None] / 12.0 * season


def floor_seconds(parts, repeats=5):
    """Processor time of 25 (log, exp, exp) a part, the best of some."""
    values, best = np.random.default_rng(2).uniform(0.1, 2.0, parts), np.inf
    out = np.empty_like(values)
    for _ in range(repeats):
        begin = time.process_time()
        for _ in range(25):
            # Into memory that is there: nothing but the functions themselves.
            np.log(values, out=out)
            np.exp(out, out=out)
            np.exp(out, out=out)
        best = min(best, time.process_time() - begin)
    return best


def expected_seconds(parts, repeats=5):
    """Processor time of the expected demand, the best of some."""
    drawn, best = drawn_parts(parts, np.random.default_rng(1)), np.inf
    for _ in range(repeats):
        begin = time.process_time()
        expected_demand(*drawn, shape=SHAPE)
        best = min(best, time.process_time() - begin)
    return best


def monte_carlo(parts, draws, rng):
    """Mean renewals a month by following every part through every draw, and its standard error."""
    age, pace, distance = drawn_parts(parts, np.random.default_rng(1))
    edges, total = np.cumsum(distance, axis=1), np.zeros((draws, MONTHS))
    for draw in range(draws):
        rows, run, psi = np.arange(parts), np.zeros(parts), age
        while len(rows):
            life = (psi**SHAPE + rng.exponential(size=len(rows))) ** (1.0 / SHAPE) - psi
            run = run + life / pace[rows]
            inside = run <= edges[rows, -1]
            rows, run = rows[inside], run[inside]
            month = (edges[rows] < run[:, None]).sum(axis=1)
            total[draw] += np.bincount(month, minlength=MONTHS)
            psi = np.zeros(len(rows))
    return total.mean(axis=0), total.std(axis=0) / np.sqrt(draws), total.sum(axis=1).std() / np.sqrt(draws)


def futures_seconds(parts, draws):
    """Seconds of all futures and of their demand by part number, depot and month; peak memory of this process."""
    from visits_speed import many  # beside this file, on the path when it is run

    fleet = read_fleet(DEMO)
    clocked = settle_on_clocks(fleet, build_histories(fleet))
    coded, histories = clocked.settled.coded, clocked.settled.histories
    model = fit_fleet(fleet, coded, lost=clocked.settled.lost)
    ahead = look_ahead(fleet, histories, coded, model, months=MONTHS)
    rng, vehicles = np.random.default_rng(1), len(histories.windows)
    copies = -(-parts // sum(len(own.frame) for own in ahead.fitted.values()))
    grown = {
        code: many(own, ahead.points[code], copies=copies, vehicles=vehicles, rng=rng)
        for code, own in ahead.fitted.items()
    }
    usage = replace(
        ahead.usage, distance=np.tile(ahead.usage.distance, (copies, 1)),
        in_service=np.tile(ahead.usage.in_service, copies),
    )  # fmt: skip
    changes = replace(
        ahead.changes, age=np.tile(ahead.changes.age, copies), planned=np.tile(ahead.changes.planned, copies),
        named=np.tile(ahead.changes.named, copies),
    )  # fmt: skip
    choice = part_choice(fleet, coded, ahead)
    begin, worked = time.perf_counter(), time.process_time()
    futures = simulate_futures(
        {code: pair[0] for code, pair in grown.items()}, points={code: pair[1] for code, pair in grown.items()},
        model=model, usage=usage, changes=changes, rates=ahead.rates, by_age=ahead.by_age,
        companions=ahead.companions, plans={}, worn_shares=coded.worn_shares, policies=["present_practice"],
        draws=draws, seed=1,
    )["present_practice"]  # fmt: skip
    middle = time.perf_counter()
    demand = build_demand(futures, choice=choice, seed=1)
    table = forecast_parts(demand, months=usage.months[:MONTHS])
    return {
        "parts": sum(len(pair[0].frame) for pair in grown.values()), "events": len(demand.key),
        "mean demand of the horizon": float(table["mean"].sum()), "futures [s]": middle - begin,
        "demand [s]": time.perf_counter() - middle, "processor [s]": time.process_time() - worked,
        "peak memory [GiB]": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20,
    }  # fmt: skip


def main():
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--parts", type=int, default=100_000)
    parser.add_argument("--draws", type=int, default=1_000)
    parser.add_argument("--only", choices=["expected", "futures"])
    options = parser.parse_args()
    if options.only != "futures":
        floor, took = floor_seconds(options.parts), expected_seconds(options.parts)
        print(f"expected demand: {took * 1e3:.1f} ms, {took / floor:.1f} times the floor of {floor * 1e3:.1f} ms")
        mean, error, whole = monte_carlo(options.parts, 200, np.random.default_rng(3))
        found = expected_demand(*drawn_parts(options.parts, np.random.default_rng(1)), shape=SHAPE).sum(axis=0)
        apart = found.sum() / mean.sum() - 1.0
        print(f"sum of all months against Monte Carlo: {apart:+.4%} +- {whole / mean.sum():.4%}")
        away = found / mean - 1.0
        print(f"single months: at most {np.abs(away).max():.3%}, standard error {(error / mean).mean():.3%}")
    if options.only != "expected":
        for name, value in futures_seconds(options.parts, options.draws).items():
            print(f"{name}: {value:,.2f}" if isinstance(value, float) else f"{name}: {value:,}")


if __name__ == "__main__":
    main()
