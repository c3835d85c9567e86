"""Lives in 5 duties x 4 vehicle classes whose true effects are known: error and coverage of pooled cells.

`python tests/recovery/pooling_study.py --fleets 150 --failures 9` prints, beside pooling, what estimates of each cell
alone and of all cells together would give.
"""

import argparse
import sys

import numpy as np
import pandas as pd

from wearmodel.survival.families import WEIBULL
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.likelihood import evaluate
from wearmodel.survival.pooling import fit_pooled

SHAPE, DUTIES, CLASSES = 2.2, 5, 4
SPREADS = (0.25, 0.15, 0.10)
CELLS = DUTIES * CLASSES
EFFECTS = np.column_stack(
    [np.ones(CELLS), np.eye(DUTIES)[np.arange(CELLS) // CLASSES], np.eye(CLASSES)[np.arange(CELLS) % CLASSES],
     np.eye(CELLS)]
)  # fmt: skip
KINDS = [np.arange(1, 6), np.arange(6, 10), np.arange(10, 30)]
NORMAL_90 = 1.6448536269514722


def drawn_cells(rng: np.random.Generator, failures: float):
    """True log scales of the cells, and lives of an unbalanced fleet, about half of them failed."""
    truth = EFFECTS @ np.concatenate([[0.0], *(rng.normal(0, s, len(k)) for s, k in zip(SPREADS, KINDS, strict=True))])
    counts = rng.multinomial(round(2 * failures * CELLS), rng.dirichlet(np.full(CELLS, 2.0)))
    cell = np.repeat(np.arange(CELLS), counts)
    life, end = np.exp(truth[cell]) * rng.weibull(SHAPE, len(cell)), rng.uniform(0.2, 1.5, len(cell))
    return truth, cell, np.minimum(life, end), np.where(life <= end, life, np.inf)


def study(fleets: int, failures: float, seed: int = 1) -> pd.DataFrame:
    """One row a cell of each fleet: failures, error of the log scale by method, and whether the interval holds it."""
    rows = []
    for number in range(fleets):
        truth, cell, low, high = drawn_cells(np.random.default_rng([seed, number]), failures)
        data = build_life_data(entry=np.zeros(len(cell)), stop_low=low, stop_high=high, design=EFFECTS[cell])
        fit = fit_pooled(lambda at, data=data: evaluate(data, at, WEIBULL), np.append(np.zeros(30), 0.5), kinds=KINDS)
        mean = EFFECTS @ fit.values[:-1]
        error = np.sqrt(np.einsum("ij,jk,ik->i", EFFECTS, fit.covariance[:-1, :-1], EFFECTS))
        together = fit_lives(build_life_data(entry=np.zeros(len(cell)), stop_low=low, stop_high=high))
        spent = low ** np.exp(together.values[-1])
        count = np.bincount(cell, np.isfinite(high), minlength=CELLS)
        with np.errstate(divide="ignore", invalid="ignore"):
            alone = np.log(np.bincount(cell, spent, minlength=CELLS) / count) / np.exp(together.values[-1])
        rows.append(
            pd.DataFrame(
                {
                    "failures": count, "pooled": mean - truth, "alone": np.where(count > 0, alone - truth, np.nan),
                    "together": together.values[0] - truth, "held": np.abs(mean - truth) < NORMAL_90 * error,
                }
            )
        )  # fmt: skip
    return pd.concat(rows, ignore_index=True)


def summary(cells: pd.DataFrame) -> pd.Series:
    """Root mean square errors of cells with a failure, and coverage of 90 % intervals."""
    seen, few = cells[cells["failures"] > 0], cells[cells["failures"].between(1, 3)]
    methods = ("pooled", "alone", "together")
    errors = {f"error {m}": float(np.sqrt((seen[m] ** 2).mean())) for m in methods}
    errors |= {f"error {m}, 1 to 3 failures": float(np.sqrt((few[m] ** 2).mean())) for m in methods}
    held = {
        "coverage": cells["held"].mean(),
        "coverage, up to 3 failures": cells["held"][cells["failures"] <= 3].mean(),
    }
    return pd.Series(errors | held)


def main() -> int:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fleets", type=int, default=150)
    parser.add_argument("--failures", type=float, default=9.0, help="mean number of a cell")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args()
    print(summary(study(options.fleets, options.failures, options.seed)).round(3).to_string())
    return 0


if __name__ == "__main__":
    sys.exit(main())
