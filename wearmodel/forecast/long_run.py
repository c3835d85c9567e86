"""What each policy costs a year once its backlog is gone, and what it costs until then."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.budget import Prices, Spending, money_by_draw
from wearmodel.forecast.planned_ages import PlannedAges
from wearmodel.forecast.renewal_paths import OtherRates
from wearmodel.forecast.usage import Usage
from wearmodel.frame_rows import frame_rows
from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.model import LifeModel

__all__ = ["build_transition", "cycle_cost_rate", "long_run_costs"]

Array = NDArray[Any]
_POINTS = 400
#: No cycle is followed beyond a cumulative hazard of this.
_LONGEST = 40.0


def cycle_cost_rate(
    limit: Array, *, shape: float, scale: Array, rates: OtherRates, planned: float, found: float, road: float
) -> Array:
    """Long-run cost per distance of a part renewed at a limit, on failure, or for another reason.

    Parameters
    ----------
    limit : ndarray, shape (n,)
        Planned age, `inf` for none [distance].
    shape : float
        Weibull shape [-].
    scale : ndarray, shape (n,)
        Weibull scale [distance].
    rates : OtherRates
        Renewals that are not wear [1 / distance].
    planned, found, road : float
        Cost of a planned renewal, of one for wear on average (found at a look or failed), and of a failure on the road
        [currency].

    Returns
    -------
    ndarray, shape (n,)
        [currency / distance]

    Notes
    -----
    Renewal-reward theorem: cost of a cycle over its length. With r the rate of all renewals that are not wear the
    length is E = integral of S(t) exp(-r t) up to the limit T; the share S(T) exp(-r T) of cycles ends planned, r_k E
    for the reason k, the rest by wear. Damage and comebacks cost a failure on the road, what comes with a kit nothing.

    References
    ----------
    Barlow & Proschan, Mathematical Theory of Reliability, 1965, ch. 4, for r = 0.
    """
    end = np.minimum(limit, scale * _LONGEST ** (1.0 / shape))
    # Finer steps at young ages, where the planned share of short cycles is decided.
    grid = end[:, None] * np.linspace(0.0, 1.0, _POINTS + 1) ** 2
    lasting = np.exp(-np.power(grid / scale[:, None], shape) - rates.total * grid)
    length = (np.diff(grid, axis=1) * (lasting[:, 1:] + lasting[:, :-1]) / 2.0).sum(axis=1)
    at_limit = np.where(np.isfinite(limit), lasting[:, -1], 0.0)
    worn = np.maximum(1.0 - at_limit - rates.total * length, 0.0)
    cost = at_limit * planned + worn * found
    cost = cost + length * ((rates.planned + rates.beside) * planned + rates.mishap * road)
    return cost / length


def long_run_costs(
    fitted: Mapping[str, FittedParts],
    *,
    model: LifeModel,
    usage: Usage,
    rates: Mapping[str, OtherRates],
    costs: pd.DataFrame,
    plans: Mapping[str, Mapping[str, PlannedAges]],
) -> dict[str, float]:
    """Yearly cost in the long run, by policy.

    Parameters
    ----------
    fitted : mapping of str to FittedParts
        By component code.
    model : LifeModel
        Life models and costs.
    usage : Usage
        Expected running.
    rates : mapping of str to OtherRates
        Renewals that are not wear.
    costs : pandas.DataFrame
        Cost assumptions by component, for the cost of a failure on the road.
    plans : mapping of str to mapping of str to PlannedAges
        By policy, then component code.

    Returns
    -------
    dict of str to float
        For the policies of `plans`, `run_to_failure` and `present_practice` [currency / year]: cost per distance times
        the yearly distance, summed over the parts now fitted, each at the pace its vehicle's record tells, with the
        vehicles now in service and at today's prices. Renewals that the fleet plans today go on under the present
        practice alone. Components without costs or a curve are left out of all.

    Notes
    -----
    The first year of a planned policy costs more: parts already past their interval are renewed. This is what is left
    when that is over.
    """
    policies = {"run_to_failure": {}, "present_practice": {}, **{name: ages for name, ages in plans.items() if ages}}
    totals = dict.fromkeys(policies, 0.0)
    road = dict(zip(costs["component"], costs["road_cost"], strict=True))
    for code, parts in fitted.items():
        own, cost = model.components[code], model.costs.get(code)
        if own.basis == "bound only" or cost is None:
            continue
        values = np.array(own.values)
        shape = float(np.exp(values[-1]))
        scale = 1.0 / (parts.pace(values) * parts.frailties.pace(shape))
        run = usage.on_clock(own).yearly[parts.frame["vehicle"].to_numpy(dtype=np.intp)]
        unplanned = OtherRates(0.0, rates[code].beside, rates[code].mishap, rates[code].along)
        for policy, plan in policies.items():
            limit = plan[code].limit if code in plan else np.full(len(scale), np.inf)
            per = cycle_cost_rate(
                limit, shape=shape, scale=scale, rates=rates[code] if policy == "present_practice" else unplanned,
                planned=cost.planned, found=cost.failed, road=float(road[code]),
            )  # fmt: skip
            totals[policy] += float(run @ per)
    return totals


def build_transition(
    spending: Mapping[str, Spending],
    *,
    prices: Prices,
    days: Array,
    plans: Mapping[str, Mapping[str, PlannedAges]],
    lasting: Mapping[str, float],
    spread_months: float,
) -> pd.DataFrame:
    """Table `budget_transition`: the first year of each policy beside a year in the long run.

    Parameters
    ----------
    spending : mapping of str to Spending
        By policy.
    prices : Prices
        What events cost.
    days : ndarray, shape (n_months,)
        Days of each month ahead [d].
    plans : mapping of str to mapping of str to PlannedAges
        By policy, then component code.
    lasting : mapping of str to float
        From `long_run_costs`.
    spread_months : float
        Months over which the backlog is renewed.

    Returns
    -------
    pandas.DataFrame
        Columns `policy, months, backlog, backlog_cost, spread_months, first_year, first_year_p10, first_year_p90,
        long_run_year, above_long_run, years_to_recover`: `months` counted in the first year (12, or the horizon where
        that is shorter; then it is not set against a year), parts past their interval today and what renewing them
        costs, cost of the first year, and a year in the long run [currency]. `years_to_recover` is how long it takes
        until the yearly saving against running to failure has paid for what the first year costs above it; blank where
        it never does or the backlog outlasts the first year, 0 where the first year saves already.
    """
    unit = {str(row.component): float(row.planned_cost) for row in frame_rows(prices.costs)}
    months = min(12, len(days))
    rows = []
    first = money_by_draw(spending, prices=prices, days=days, months=months)
    base = float(first["run_to_failure"].mean()) if "run_to_failure" in first else np.nan
    for policy, drawn in first.items():
        ages = plans.get(policy, {})
        late = {code: int(plan.late.sum()) for code, plan in ages.items()}
        cost = sum(count * unit[code] for code, count in late.items() if np.isfinite(unit.get(code, np.nan)))
        year = float(drawn.mean())
        long_run = lasting.get(policy, np.nan) if months == 12 else np.nan
        extra, saved = year - base, lasting.get("run_to_failure", np.nan) - lasting.get(policy, np.nan)
        recover = 0.0 if extra <= 0 else extra / saved + 1.0 if saved > 0 else np.nan
        low, high = np.quantile(drawn, (0.1, 0.9))
        rows.append(
            (policy, months, sum(late.values()), cost, spread_months if ages else np.nan, year, low, high, long_run,
             year - long_run, recover if ages and months == 12 and spread_months <= months else np.nan)
        )  # fmt: skip
    columns = [
        "policy", "months", "backlog", "backlog_cost", "spread_months", "first_year", "first_year_p10",
        "first_year_p90", "long_run_year", "above_long_run", "years_to_recover",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=columns)
