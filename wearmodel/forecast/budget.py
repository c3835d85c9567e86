"""Money by policy and month: the tables `budget`, `budget_year`, `budget_saving` and `events`."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.futures import Futures
from wearmodel.forecast.renewal_paths import KINDS

__all__ = [
    "Prices",
    "Spending",
    "budget_saving",
    "budget_year",
    "build_budget",
    "build_events",
    "build_spending",
    "money_by_draw",
    "years_ahead",
]

Array = NDArray[Any]
_NAMES = ("failures", "condition_finds", "planned")
_QUANTILES = (0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95)
_YEAR = 365.25
#: Totals that agree to this share differ by the order of summing alone.
_ROUNDING = 1e-9
#: Kinds of events behind each name: damage and comebacks come unannounced like failures; a part renewed
#: because something beside it was is paid like a planned one.
_PAID = (("road", "mishap"), ("found",), ("interval", "planned", "beside"))


@dataclass(frozen=True)
class Prices:
    """What events cost.

    Parameters
    ----------
    costs : pandas.DataFrame
        From `wearmodel.policy.costs.build_costs`.
    labour_rate, downtime_cost : float
        [currency / h]
    growth : float
        Yearly growth of all of them from the end of the record on.
    """

    costs: pd.DataFrame
    labour_rate: float
    downtime_cost: float
    growth: float = 0.0

    def factors(self, days: Array) -> Array:
        """What costs are in the middle of each month, against today's.

        Parameters
        ----------
        days : ndarray, shape (n_months,)
            Days of each month ahead [d].

        Returns
        -------
        ndarray, shape (n_months,)
            (1 + growth)^years.
        """
        return np.power(1.0 + self.growth, years_ahead(days))


def years_ahead(days: Array) -> Array:
    """From the end of the record to the middle of each month.

    Parameters
    ----------
    days : ndarray, shape (n_months,)
        Days of each month ahead [d].

    Returns
    -------
    ndarray, shape (n_months,)
        [years]
    """
    return (np.cumsum(days) - days / 2.0) / _YEAR


@dataclass(frozen=True)
class Spending:
    """Counts of paid events of one policy.

    Parameters
    ----------
    components : tuple of str
        Codes, first axis.
    counts : ndarray, shape (n_components, 3, n_months, n_draws)
        Failures on the road (with comebacks and damage), finds at inspections, planned renewals (with
        those because something beside was renewed).
    """

    components: tuple[str, ...]
    counts: Array


def build_spending(futures: Futures, *, months: int) -> Spending:
    """Paid events by component, kind, month and draw.

    Parameters
    ----------
    futures : Futures
        Drawn events of one policy.
    months : int
        Months to count.

    Returns
    -------
    Spending
        What a kit renews along with something else costs nothing of its own and is not counted.
    """
    counts = np.zeros((len(futures.counts), 3, months, futures.draws))
    for index, happened in enumerate(futures.counts.values()):
        for position, kinds in enumerate(_PAID):
            counts[index, position] = happened[[KINDS.index(kind) for kind in kinds], :months].sum(axis=0)
    return Spending(tuple(futures.counts), counts)


def build_events(
    spending: Mapping[str, Spending], *, months: tuple[str, ...], days: Array
) -> pd.DataFrame:
    """Table `events`: expected counts behind the budget.

    Parameters
    ----------
    spending : mapping of str to Spending
        By policy.
    months : tuple of str
        Months.
    days : ndarray, shape (n_months,)
        Days of each that lie ahead [d].

    Returns
    -------
    pandas.DataFrame
        Columns `policy, component, month, failures, condition_finds, planned`, and `years_ahead` to the middle of the
        month, for the growth of prices [years].
    """
    frames = []
    ahead = dict(zip(months, years_ahead(days), strict=True))
    for policy, spent in spending.items():
        means = spent.counts.mean(axis=-1)
        index = pd.MultiIndex.from_product([[policy], spent.components, months], names=["policy", "component", "month"])
        values = np.moveaxis(means, 1, 2).reshape(-1, 3)
        frame = pd.DataFrame(values, index=index, columns=list(_NAMES)).reset_index()
        frames.append(frame.assign(years_ahead=frame["month"].map(ahead)))
    columns = ["policy", "component", "month", *_NAMES, "years_ahead"]
    return pd.concat(frames, ignore_index=True) if frames else pd.DataFrame(columns=columns)


def _unit_costs(prices: Prices, components: tuple[str, ...]) -> Array:
    """Parts, labour and downtime of each kind of event, shape (n_components, 3 kinds, 3 heads)."""
    table = prices.costs.set_index("component").loc[list(components)]
    labour_rate, downtime_cost = prices.labour_rate, prices.downtime_cost
    price = table["part_price"].to_numpy()
    planned = np.stack(
        [price, table["planned_hours"] * labour_rate, table["planned_downtime_hours"] * downtime_cost], axis=1
    )
    road = np.stack(
        [
            price,
            table["failed_hours"] * labour_rate,
            table["failed_downtime_hours"] * downtime_cost + table["failed_extra"],
        ],
        axis=1,
    )
    return np.stack([road, planned, planned], axis=1)


def _priced(spending: Mapping[str, Spending], costs: pd.DataFrame) -> dict[str, Spending]:
    """The spending whose costs are all known: a missing price never becomes zero in a total."""
    known = set(costs.loc[costs["planned_cost"].notna() & costs["road_cost"].notna(), "component"])
    out = {}
    for policy, spent in spending.items():
        keep = [code in known for code in spent.components]
        if any(keep):
            names = tuple(code for code, good in zip(spent.components, keep, strict=True) if good)
            out[policy] = Spending(names, spent.counts[keep])
    return out


def _heads(spent: Spending, prices: Prices, days: Array) -> Array:
    """Money by head, month and draw, shape (3, n_months, n_draws)."""
    unit = _unit_costs(prices, spent.components)
    return np.einsum("ckmd,ckh,m->hmd", spent.counts, unit, prices.factors(days))


def money_by_draw(
    spending: Mapping[str, Spending], *, prices: Prices, days: Array, months: int | None = None
) -> dict[str, Array]:
    """Cost of each policy in each draw.

    Parameters
    ----------
    spending : mapping of str to Spending
        By policy.
    prices : Prices
        What events cost.
    days : ndarray, shape (n_months,)
        Days of each month ahead [d].
    months : int, optional
        First months to sum over; all when missing.

    Returns
    -------
    dict of str to ndarray, shape (n_draws,)
        By policy [currency]; components whose costs are not known are left out of all.
    """
    priced = _priced(spending, prices.costs)
    return {policy: _heads(spent, prices, days)[:, :months].sum(axis=(0, 1)) for policy, spent in priced.items()}


def _saved(mine: Array, theirs: Array) -> Array:
    """What each draw saves against another policy; draws that cost the same save exactly nothing."""
    saved = theirs - mine
    return np.where(np.abs(saved) <= _ROUNDING * np.maximum(np.abs(mine), np.abs(theirs)), 0.0, saved)


def build_budget(
    spending: Mapping[str, Spending], *, prices: Prices, months: tuple[str, ...], days: Array
) -> pd.DataFrame:
    """Table `budget`.

    Parameters
    ----------
    spending : mapping of str to Spending
        By policy.
    prices : Prices
        What events cost.
    months : tuple of str
        Months.
    days : ndarray, shape (n_months,)
        Days of each that lie ahead [d].

    Returns
    -------
    pandas.DataFrame
        Columns `policy, month, parts, labour, downtime, total, p10, p90` [currency]; `downtime` includes
        recovery and damage beside the part. A component whose price or hours are not known is left out
        of every policy alike.
    """
    frames = []
    for policy, spent in _priced(spending, prices.costs).items():
        money = _heads(spent, prices, days)
        total = money.sum(axis=0)
        low, high = np.quantile(total, [0.1, 0.9], axis=-1)
        heads = money.mean(axis=-1)
        frames.append(
            pd.DataFrame(
                {
                    "policy": policy, "month": months, "parts": heads[0], "labour": heads[1], "downtime": heads[2],
                    "total": total.mean(axis=-1), "p10": low, "p90": high,
                }
            )
        )  # fmt: skip
    columns = ["policy", "month", "parts", "labour", "downtime", "total", "p10", "p90"]
    return pd.concat(frames, ignore_index=True) if frames else pd.DataFrame(columns=columns)


def budget_year(
    spending: Mapping[str, Spending], *, prices: Prices, days: Array, baseline: str = "run_to_failure"
) -> pd.DataFrame:
    """Table `budget_year`: the whole horizon by policy, and the saving against a baseline.

    Parameters
    ----------
    spending : mapping of str to Spending
        By policy.
    prices : Prices
        What events cost.
    days : ndarray, shape (n_months,)
        Days of each month ahead [d].
    baseline : str
        Policy to compare with.

    Returns
    -------
    pandas.DataFrame
        Columns `policy, parts, labour, downtime, total, p10, p90, saving, saving_p10, saving_p90,
        chance_saving` [currency, chance 0 to 1]; draws are paired, so that the saving's spread is that
        of the difference.
    """
    totals, rows = {}, []
    for policy, spent in _priced(spending, prices.costs).items():
        money = _heads(spent, prices, days)
        totals[policy] = money.sum(axis=(0, 1))
        rows.append((policy, *money.sum(axis=1).mean(axis=-1), totals[policy].mean()))
    frame = pd.DataFrame(rows, columns=["policy", "parts", "labour", "downtime", "total"])
    for name, fraction in (("p10", 0.1), ("p90", 0.9)):
        frame[name] = [float(np.quantile(totals[policy], fraction)) for policy in frame["policy"]]
    savings = [_saved(totals[policy], totals[baseline]) for policy in frame["policy"]]
    frame["saving"] = [float(s.mean()) for s in savings]
    for name, fraction in (("saving_p10", 0.1), ("saving_p90", 0.9)):
        frame[name] = [float(np.quantile(s, fraction)) for s in savings]
    frame["chance_saving"] = [float((s > 0).mean()) for s in savings]
    return frame


def budget_saving(spending: Mapping[str, Spending], *, prices: Prices, days: Array) -> pd.DataFrame:
    """Table `budget_saving`: the distribution of what each policy saves over the horizon against each other.

    Parameters
    ----------
    spending : mapping of str to Spending
        By policy.
    prices : Prices
        What events cost.
    days : ndarray, shape (n_months,)
        Days of each month ahead [d].

    Returns
    -------
    pandas.DataFrame
        Columns `policy, against, mean, p05, p10, p25, p50, p75, p90, p95, chance_saving` [currency, chance 0 to 1], a
        row for each pair; a saving below 0 is a loss. Parameters, running and leaving vehicles are the same for both
        policies in each draw, single failures are each policy's own.
    """
    totals = money_by_draw(spending, prices=prices, days=days)
    rows = []
    for policy, mine in totals.items():
        for against, theirs in totals.items():
            if policy != against:
                saved = _saved(mine, theirs)
                rows.append((policy, against, saved.mean(), *np.quantile(saved, _QUANTILES), float((saved > 0).mean())))
    names = [f"p{round(100 * fraction):02d}" for fraction in _QUANTILES]
    return pd.DataFrame(rows, columns=["policy", "against", "mean", *names, "chance_saving"])
