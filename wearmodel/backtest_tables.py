"""Tables of a backtest: each forecast beside what came, and how it did against simpler rules."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.baselines import BASELINES
from wearmodel.forecast.demand import integer_quantiles
from wearmodel.forecast.scores import QUANTILES, count_coverage, drawn_chances, pinball_loss, poisson_quantiles

if TYPE_CHECKING:
    from wearmodel.backtest import Origin

__all__ = ["BACKTEST_COLUMNS", "FEWEST_BUSY", "FEWEST_COUNTS", "GRAINS", "NAIVE", "build_backtest_tables"]

Array = NDArray[Any]
#: The rule of the column `naive`.
NAIVE = "moving average"
#: What is forecast and scored: word, columns that name a row, whether over the whole horizon.
GRAINS: Mapping[str, tuple[tuple[str, ...], bool]] = {
    "part, depot and month": (("part_number", "component", "depot"), False),
    "component and month": (("component",), False),
    "part and depot, all months": (("part_number", "component", "depot"), True),
    "component, all months": (("component",), True),
    "fleet, all months": ((), True),
}
_FIGURES = ("actual", "mean", "p10", "p50", "p90", "naive", "chance_below", "chance_up_to")
#: Columns of the tables.
BACKTEST_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "backtest": ("component", "month", *_FIGURES, "origin"),
    "backtest_parts": ("part_number", "component", "depot", "month", *_FIGURES, "origin"),
    "backtest_totals": ("component", "origin", "months", *_FIGURES),
    "backtest_scores": (
        *("grain", "method", "cells", "loss", "loss_ratio", "bias", "coverage", "busy_cells", "busy_coverage"),
        "sentence",
    ),
}
#: Cells with at least this many expected show whether a distribution is right; smaller ones hardly do.
_BUSY = 1.5
#: Fewer counts than this say nothing of how a forecast did against simple rules.
FEWEST_COUNTS = 5
#: With fewer counts of parts that are expected at all nothing is said of how often ranges held.
FEWEST_BUSY = 10
_ALL = "all"


@dataclass(frozen=True)
class _Cells:
    """Forecasts of one grain from one origin, flat: one row a named cell and month."""

    frame: pd.DataFrame
    baselines: Mapping[str, Array]


def build_backtest_tables(origins: "Sequence[Origin]") -> dict[str, pd.DataFrame]:
    """Tables of a backtest.

    Parameters
    ----------
    origins : sequence of Origin
        The oldest first.

    Returns
    -------
    dict of str to pandas.DataFrame
        `backtest`: component and month, each month from the latest origin before it; `backtest_parts`: the same by part
        number and depot; `backtest_totals`: component and origin over all months ahead, and `all` components together;
        `backtest_scores`: grain and method over all origins: mean pinball loss of the 10, 50 and 90 % quantiles, its
        ratio to that of the best simple rule, bias of the sum, coverage of the central 80 % by
        `wearmodel.forecast.scores.count_coverage`, and that of cells with 1.5 and more expected alone.
        `naive` is the mean of the twelve months before the origin, `chance_below` and `chance_up_to` are the
        forecast's F(y - 1) and F(y) at the count y that came.
    """
    cells = {grain: [_cells(origin, *GRAINS[grain]) for origin in origins] for grain in GRAINS}
    totals = [*cells["component, all months"], *cells["fleet, all months"]]
    monthly, parts = (cells[name] for name in ("component and month", "part, depot and month"))
    total = pd.concat([one.frame for one in totals], ignore_index=True)
    tables = {
        "backtest": _latest(monthly, ["component", "month"]),
        "backtest_parts": _latest(parts, ["component", "part_number", "depot", "month"]),
        "backtest_totals": total.sort_values(["component", "origin"], kind="stable", ignore_index=True),
        "backtest_scores": pd.concat([_scores(grain, found) for grain, found in cells.items()], ignore_index=True),
    }
    return {name: frame[list(BACKTEST_COLUMNS[name])] for name, frame in tables.items()}


def _cells(origin: "Origin", names: tuple[str, ...], whole: bool) -> _Cells:
    """One grain of one origin."""
    keys = origin.keys
    # A line without a part number counts for its component, not as a part of its own.
    kept = (keys["part_number"] != "").to_numpy() if "part_number" in names else np.ones(len(keys), dtype=bool)
    keys = keys[kept]
    labels = keys[list(names)] if names else pd.DataFrame({"component": [_ALL] * len(keys)}, index=keys.index)
    groups = labels.drop_duplicates().reset_index(drop=True)
    at = pd.MultiIndex.from_frame(groups).get_indexer(pd.MultiIndex.from_frame(labels))
    draws, actual, past = (_summed(a[kept], at, len(groups)) for a in (origin.draws, origin.actual, origin.past))
    months = len(origin.months)
    means = {name: rule(past, months) for name, rule in BASELINES.items()}
    if whole:
        draws, actual = draws.sum(axis=1, keepdims=True), actual.sum(axis=1, keepdims=True)
        means = {name: mean.sum(axis=1, keepdims=True) for name, mean in means.items()}
    steps = actual.shape[1]
    frame = groups.loc[groups.index.repeat(steps)].reset_index(drop=True)
    rows = draws.reshape(-1, draws.shape[-1])
    low, middle, high = integer_quantiles(rows, QUANTILES)
    below, up_to = drawn_chances(actual.ravel(), rows)
    return _Cells(
        frame.assign(
            month=[_ALL if whole else month for _ in range(len(groups)) for month in origin.months[:steps]],
            months=months,
            origin=f"{origin.day:%Y-%m-%d}",
            actual=actual.ravel(),
            mean=rows.mean(axis=1),
            p10=low,
            p50=middle,
            p90=high,
            naive=means[NAIVE].ravel(),
            chance_below=below,
            chance_up_to=up_to,
        ),
        {name: mean.ravel() for name, mean in means.items()},
    )


def _summed(values: Array, at: Array, groups: int) -> Array:
    """Sums of rows by group."""
    out = np.zeros((groups, *values.shape[1:]), dtype=np.int64)
    np.add.at(out, at, values)
    return out


def _latest(found: Sequence[_Cells], order: list[str]) -> pd.DataFrame:
    """Each month from the latest origin before it."""
    every = pd.concat([one.frame for one in found], ignore_index=True)
    return every.drop_duplicates(order, keep="last").sort_values(order, kind="stable", ignore_index=True)


def _scores(grain: str, found: Sequence[_Cells]) -> pd.DataFrame:
    """How the forecast and each simple rule did."""
    frame = pd.concat([one.frame for one in found], ignore_index=True)
    actual = frame["actual"].to_numpy()
    rows = [_score("forecast", actual, frame["mean"].to_numpy(), frame[["p10", "p50", "p90"]].to_numpy().T)]
    for name in BASELINES:
        mean = np.concatenate([one.baselines[name] for one in found])
        rows.append(_score(name, actual, mean, poisson_quantiles(mean)))
    table = pd.DataFrame(rows)
    best = float(table["loss"][1:].min())
    covered = count_coverage(frame["chance_below"].to_numpy(), frame["chance_up_to"].to_numpy())
    busy = (frame["mean"] >= _BUSY).to_numpy()
    none = [np.nan] * len(BASELINES)
    table = table.assign(
        grain=grain,
        cells=len(frame),
        loss_ratio=table["loss"] / best if best > 0 else np.nan,
        coverage=[float(covered.mean()) if len(covered) else np.nan, *none],
        busy_cells=int(busy.sum()),
        busy_coverage=[float(covered[busy].mean()) if busy.any() else np.nan, *none],
    )
    rival = str(table["method"].iloc[1 + int(table["loss"][1:].to_numpy().argmin())])
    return table.assign(sentence=[_sentence(table.iloc[0], rival), *[""] * len(BASELINES)])


def _score(method: str, actual: Array, mean: Array, quantiles: Array) -> dict[str, object]:
    """Loss and bias of one method."""
    came = float(actual.sum())
    return {
        "method": method,
        "loss": float(pinball_loss(actual, quantiles).mean()) if len(actual) else np.nan,
        "bias": float(mean.sum()) / came - 1.0 if came > 0 else np.nan,
    }


def _sentence(row: "pd.Series[Any]", rival: str) -> str:
    """Where the forecast helps and where chance rules."""
    ratio, counts = float(row["loss_ratio"]), int(row["cells"])
    if counts < FEWEST_COUNTS:
        return f"{counts} count{'' if counts == 1 else 's'} alone: too few to tell the forecast from simple rules."
    if not np.isfinite(ratio):
        return "Nothing was taken, or nothing foreseen: there is nothing to compare."
    if ratio <= 0.9:
        verdict = f"The forecast helps: its loss is {1.0 - ratio:.0%} below that of the best simple rule ({rival})"
    elif ratio <= 1.0:
        verdict = f"Chance rules: the forecast is only {1.0 - ratio:.0%} better than the best simple rule ({rival})"
    else:
        verdict = f"The forecast did {ratio - 1.0:.0%} worse than the best simple rule ({rival}) here"
    cells, covered = int(row["busy_cells"]), float(row["busy_coverage"])
    if cells < FEWEST_BUSY:
        return f"{verdict}. Too few rows with enough parts to say how often its ranges held."
    return f"{verdict}. Its 80 % ranges held {covered:.0%} of the {cells} counts with {_BUSY:g} or more expected."
