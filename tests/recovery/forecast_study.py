"""Forecasts of the last year of invented fleets, from what was known a year before, against what then came.

Run `python tests/recovery/forecast_study.py --fleets 14` from the project's folder. Each fleet is simulated, written to
disk and taken through intake, histories, fits and forecast as `wearmodel backtest` takes any fleet. Two regimes:
*steady*, vehicles bought over the years, and *ageing*, most of them bought within one year, so that parts wear out in a
wave.
Losses are means over the cells of all fleets, as a ratio to that of the best of five rules that know the past alone.
"""

import argparse
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from wearmodel.backtest import Origin, build_backtest
from wearmodel.backtest_tables import build_backtest_tables
from wearmodel.intake.fleet import read_fleet
from wearmodel.simulate.fleet import simulate_fleet
from wearmodel.simulate.folder import write_fleet

FIRST_SEED = 5000
#: About 300 of them are in service on the day of the forecast.
VEHICLES = 450
#: Years of record, the one that is forecast among them.
YEARS = 9
MONTHS = 12
#: Share of the vehicles bought within one year, four to three years before the day of the forecast.
REGIMES = {"steady": 0.0, "ageing": 0.75}
#: Half the swing of all use through the year, as of fleets that work outdoors (common practice, no source).
SWING = 0.25
PART_MONTH, COMPONENT_MONTH = "part, depot and month", "component and month"
PART_YEAR, COMPONENT_YEAR = "part and depot, all months", "component, all months"
FLEET_YEAR = "fleet, all months"
#: Largest loss as a ratio to the best rule's, and bounds of the coverage, over 12 fleets or more. Own simulations of
#: fleets like these: knowing the laws exactly would give .92, .85, .73, .53 steady and .89, .81, .57, .41 ageing.
AIMS = {
    (regime, grain): (loss, low, high)
    for grain, low, high, losses in (
        (PART_MONTH, 0.78, 0.82, (0.95, 0.95)),
        (COMPONENT_MONTH, 0.75, 0.85, (0.90, 0.90)),
        (PART_YEAR, 0.77, 0.83, (0.80, 0.67)),
        (COMPONENT_YEAR, 0.65, 0.95, (0.65, 0.65)),
    )
    for regime, loss in zip(REGIMES, losses, strict=True)
}
#: Largest bias of the fleet's sum over the year.
BIAS = 0.03


@dataclass(frozen=True)
class Foreseen:
    """One fleet's year: its seed, and the forecast beside what came."""

    seed: int
    origin: Origin


def foresee(seed: int, regime: str, *, vehicles: int = VEHICLES, years: int = YEARS) -> Foreseen:
    """Simulate a fleet and forecast its last year."""
    simulated = simulate_fleet(
        np.random.default_rng(seed), vehicles=vehicles, years=years, dirt=False, bought_together=REGIMES[regime],
        swing=SWING,
    )  # fmt: skip
    with tempfile.TemporaryDirectory() as folder:
        fleet = read_fleet(write_fleet(simulated, Path(folder) / "fleet"))
    return Foreseen(seed, build_backtest(fleet, months=MONTHS, seed=seed, origins=1).origins[0])


def scores(found: "list[Foreseen]") -> pd.DataFrame:
    """One row a grain: the forecast's loss ratio with its standard error over fleets, coverage, bias and the rival."""
    table = build_backtest_tables([one.origin for one in found])["backtest_scores"]
    without = [
        _ratios(build_backtest_tables([one.origin for one in found if one is not left])["backtest_scores"])
        for left in found
        if len(found) > 1
    ]
    own = table[table["method"] == "forecast"].set_index("grain")
    rivals = table[table["method"] != "forecast"].sort_values("loss").groupby("grain")["method"].first()
    frame = own[["cells", "loss", "loss_ratio", "coverage", "busy_cells", "busy_coverage", "bias"]].assign(rival=rivals)
    if without:
        # Jackknife over fleets: what happens in one fleet hangs together.
        spread = np.sqrt((len(without) - 1) * np.var(np.array([w.to_numpy() for w in without]), axis=0))
        frame.insert(3, "error", pd.Series(spread, index=without[0].index))
    return frame


def _ratios(table: pd.DataFrame) -> pd.Series:
    """Loss ratio of the forecast by grain."""
    return table[table["method"] == "forecast"].set_index("grain")["loss_ratio"]


def fleet_sums(found: "list[Foreseen]") -> pd.DataFrame:
    """Parts of the year, foreseen and come, one row a fleet."""
    return pd.DataFrame(
        {
            "seed": [one.seed for one in found],
            "mean": [float(one.origin.draws.sum(axis=(0, 1)).mean()) for one in found],
            "actual": [int(one.origin.actual.sum()) for one in found],
        }
    )


def main() -> None:
    """Print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fleets", type=int, default=14, help="in each regime")
    parser.add_argument("--vehicles", type=int, default=VEHICLES)
    parser.add_argument("--seed", type=int, default=FIRST_SEED, help="seed of the first fleet; the others follow it")
    parser.add_argument("--regimes", nargs="+", choices=list(REGIMES), default=list(REGIMES))
    options = parser.parse_args()
    pd.set_option("display.width", 200, "display.max_columns", 30)
    for regime in options.regimes:
        seeds = range(options.seed, options.seed + options.fleets)
        found = [foresee(seed, regime, vehicles=options.vehicles) for seed in seeds]
        table = scores(found)
        table["aim"] = [AIMS[regime, grain][0] if (regime, grain) in AIMS else np.nan for grain in table.index]
        print(f"\n{regime}, {len(found)} fleets\n{table.round(3).to_string()}")
        sums = fleet_sums(found)
        away = np.log(sums["mean"] / sums["actual"])
        print(
            f"sum of the year {sums['mean'].sum() / sums['actual'].sum() - 1.0:+.1%} "
            f"(single fleets {away.mean():+.1%}, standard error {away.std() / np.sqrt(max(len(away), 1)):.1%})",
            flush=True,
        )


if __name__ == "__main__":
    main()
