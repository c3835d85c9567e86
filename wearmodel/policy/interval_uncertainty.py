"""How sure a replacement interval and its cost are, given what is not known of the curve."""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.policy.age_replacement import FLAT_TOLERANCE, cost_rate, optimal_interval
from wearmodel.survival.coding import design_row, duty_or_mix
from wearmodel.survival.model import LifeModel, parameter_draws
from wearmodel.survival.weibull import mean_pace

__all__ = ["add_interval_uncertainty"]

Array = NDArray[Any]
#: Curves drawn for each component.
_DRAWS = 200
_SEED = 1
_LOW, _HIGH = 0.1, 0.9


def add_interval_uncertainty(frame: pd.DataFrame, *, fleet: LifeModel) -> pd.DataFrame:
    """Columns on how sure the recommended intervals are.

    Parameters
    ----------
    frame : pandas.DataFrame
        Rows of the table `intervals` with `component, duty, lift, interval, planned_cost, failed_cost,
        frailty_variance`.
    fleet : LifeModel
        Life models.

    Returns
    -------
    pandas.DataFrame
        The frame with `cost_rate_low` and `cost_rate_high`, the 10 and 90 % quantiles of the cost rate at the
        recommended interval (of running to failure where there is none) [currency / distance], `cost_rate_mean`, its
        mean, and `chance_dearer`, the chance that working so costs more than 3 % above the best interval of the true
        curve. Blank where no curve or no cost is known.

    Notes
    -----
    Curves are drawn from the normal approximation of the parameters' uncertainty, the same ones for all cells of a
    component; the spread between vehicles is held.
    """
    out = frame.assign(cost_rate_mean=np.nan, cost_rate_low=np.nan, cost_rate_high=np.nan, chance_dearer=np.nan)
    names = ["cost_rate_mean", "cost_rate_low", "cost_rate_high", "chance_dearer"]
    known = out["shape"].notna() & out["planned_cost"].notna()
    for code, rows in out[known].groupby("component"):
        out.loc[rows.index, names] = _of_component(rows, fleet, str(code))
    return out


def _of_component(rows: pd.DataFrame, fleet: LifeModel, code: str) -> Array:
    """Mean, low and high cost and the chance of being dearer, shape (n_rows, 4)."""
    own = fleet.components[code]
    drawn = parameter_draws(own, draws=_DRAWS, rng=np.random.default_rng(_SEED))
    coded = np.array(
        [
            design_row(own.coding, duty=duty_or_mix(own.coding, duty), lift=lift)
            for duty, lift in zip(rows["duty"], rows["lift"], strict=True)
        ]
    )
    terms: dict[str, Any] = {
        "shape": np.exp(drawn[:, -1])[None, :],
        "scale": np.exp(coded @ drawn[:, :-1].T),
        "planned_cost": rows["planned_cost"].to_numpy()[:, None],
        "failed_cost": rows["failed_cost"].to_numpy()[:, None],
    }
    interval = rows["interval"].fillna(np.inf).to_numpy()[:, None]
    cost = cost_rate(interval, **terms)
    least = cost_rate(optimal_interval(**terms), **terms)
    dearer = (cost > least * (1.0 + FLAT_TOLERANCE)).mean(axis=1)
    cost = cost * mean_pace(terms["shape"], rows["frailty_variance"].to_numpy()[:, None])
    low, high = np.quantile(cost, (_LOW, _HIGH), axis=1)
    return np.column_stack([cost.mean(axis=1), low, high, dearer])
