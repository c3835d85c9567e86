"""Parts needed by part number, depot and month: the table `forecast`."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.futures import Futures
from wearmodel.forecast.part_choice import PartChoice
from wearmodel.forecast.renewal_paths import KINDS

__all__ = ["Demand", "build_demand", "forecast_parts", "forecast_totals", "integer_quantiles", "monthly_draws"]

Array = NDArray[Any]
_ALONG = KINDS.index("along")
_KEYS = ["component", "number", "depot"]


@dataclass(frozen=True)
class Demand:
    """Drawn demand, one entry a part taken.

    Parameters
    ----------
    keys : pandas.DataFrame
        Distinct `part_number, component, depot` (index 0..n-1).
    key, draw, month : ndarray of int, shape (n_events,)
        Row of `keys`, draw, month ahead.
    day : ndarray, shape (n_events,)
        Days from the end of the record [d].
    draws : int
        Number of draws.
    """

    keys: pd.DataFrame
    key: Array
    draw: Array
    month: Array
    day: Array
    draws: int


def build_demand(futures: Futures, *, choice: PartChoice, seed: int) -> Demand:
    """Parts taken in each draw.

    Parameters
    ----------
    futures : Futures
        Events under the present practice.
    choice : PartChoice
        Shares of part numbers.
    seed : int
        Seed of the choice of part number.

    Returns
    -------
    Demand
        Events that take a part; what a kit renews along with something else takes none of its own.
    """
    rng = np.random.default_rng([seed, 4])
    pieces = [_taken(code, futures, choice, rng) for code in futures.events]
    keys = pd.concat([piece.keys for piece in pieces], ignore_index=True) if pieces else pd.DataFrame(columns=_KEYS)
    keys = keys.sort_values(_KEYS, ignore_index=True)
    place = pd.MultiIndex.from_frame(keys)
    names = keys.assign(part_number=[choice.numbers[int(i)] for i in keys["number"]])

    def column(name: str, kind: type[np.generic]) -> Array:
        return np.concatenate([np.zeros(0, dtype=kind), *(getattr(piece, name) for piece in pieces)])

    for piece in pieces:
        piece.key = place.get_indexer(pd.MultiIndex.from_frame(piece.keys)).astype(np.int32)[piece.key]
    return Demand(
        keys=names[["part_number", "component", "depot"]],
        key=column("key", np.int32),
        draw=column("draw", np.int32),
        month=column("month", np.int32),
        day=column("day", np.float64),
        draws=futures.draws,
    )


@dataclass
class _Taken:
    """Events of one component that take a part; `key` is a row of `keys`."""

    keys: pd.DataFrame
    key: Array
    draw: Array
    month: Array
    day: Array


def _taken(code: str, futures: Futures, choice: PartChoice, rng: np.random.Generator) -> _Taken:
    """Which part each event takes, and at which depot."""
    events, frame = futures.events[code], futures.places[code]
    takes = np.flatnonzero(events.kind != _ALONG)
    at = events.part[takes]
    classes, class_names = pd.factorize(frame["vehicle_class"])
    number = choice.draw(code, classes[at], [str(name) for name in class_names], rng)
    depots, depot_names = pd.factorize(frame["depot"])
    pair = number * max(len(depot_names), 1) + depots[at]
    there = np.flatnonzero(np.bincount(pair, minlength=1))
    which = np.zeros(int(there.max(initial=0)) + 1, dtype=np.int32)
    which[there] = np.arange(len(there))
    keys = pd.DataFrame(
        {
            "component": code, "number": there // max(len(depot_names), 1),
            "depot": depot_names.to_numpy(dtype=object)[there % max(len(depot_names), 1)],
        },
        columns=_KEYS,
    )  # fmt: skip
    return _Taken(keys, which[pair], events.draw[takes], events.month[takes], events.day[takes])


def integer_quantiles(counts: Array, fractions: tuple[float, ...]) -> Array:
    """Quantiles of drawn counts along the last axis.

    Parameters
    ----------
    counts : ndarray, shape (..., n_draws)
        Drawn counts.
    fractions : tuple of float
        Wanted chances.

    Returns
    -------
    ndarray, shape (n_fractions, ...)
        Smallest count that is not exceeded with at least the wanted chance.
    """
    return np.quantile(counts, fractions, axis=-1, method="inverted_cdf")


def monthly_draws(demand: Demand, months: int) -> Array:
    """Parts taken in each draw.

    Parameters
    ----------
    demand : Demand
        Drawn demand.
    months : int
        Months from the first.

    Returns
    -------
    ndarray of int, shape (n_keys, months, n_draws)
        Counts.
    """
    size = (len(demand.keys), months, demand.draws)
    inside = demand.month < months
    flat = demand.key[inside].astype(np.int64)
    for column, count in ((demand.month, months), (demand.draw, demand.draws)):
        flat *= count
        flat += column[inside]
    return np.bincount(flat, minlength=int(np.prod(size))).reshape(size)


def _described(counts: Array) -> pd.DataFrame:
    """Mean and quantiles of drawn counts, one row each, draws on the last axis."""
    rows = counts.reshape(-1, counts.shape[-1])
    low, middle, high = integer_quantiles(rows, (0.1, 0.5, 0.9))
    return pd.DataFrame({"mean": rows.mean(axis=-1), "p10": low, "p50": middle, "p90": high})


def forecast_parts(demand: Demand, *, months: tuple[str, ...]) -> pd.DataFrame:
    """Table `forecast`.

    Parameters
    ----------
    demand : Demand
        Drawn demand.
    months : tuple of str
        Months to show, from the first.

    Returns
    -------
    pandas.DataFrame
        Columns `part_number, component, depot, month, mean, p10, p50, p90`.
    """
    out = demand.keys.loc[demand.keys.index.repeat(len(months))].reset_index(drop=True)
    out["month"] = list(months) * len(demand.keys)
    return out.join(_described(monthly_draws(demand, len(months))))


def forecast_totals(demand: Demand, *, months: tuple[str, ...]) -> pd.DataFrame:
    """Table `forecast_total`: sums of the forecast with quantiles of their own.

    Parameters
    ----------
    demand : Demand
        Drawn demand.
    months : tuple of str
        Months to show, from the first.

    Returns
    -------
    pandas.DataFrame
        Columns as in `forecast`, the word `all` in each column summed over: each month over everything,
        the horizon over everything, and the horizon of each part number and depot. Quantiles are of the
        drawn sums; quantiles of single months do not add up.
    """
    columns = ["part_number", "component", "depot", "month", "mean", "p10", "p50", "p90"]
    if demand.keys.empty:
        return pd.DataFrame(columns=columns)
    counts = monthly_draws(demand, len(months))
    everything = {"part_number": "all", "component": "all", "depot": "all"}
    monthly = _described(counts.sum(axis=0)).assign(**everything, month=months)
    whole = _described(counts.sum(axis=(0, 1))[None]).assign(**everything, month="all")
    keyed = demand.keys.reset_index(drop=True).join(_described(counts.sum(axis=1))).assign(month="all")
    return pd.concat([monthly, whole, keyed], ignore_index=True)[columns]
