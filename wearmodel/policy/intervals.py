"""Replacement interval of each component, duty and ride height."""

import math

import numpy as np
import pandas as pd

from wearmodel.frame_rows import frame_rows
from wearmodel.policy.age_replacement import cost_rate, flat_band, recommended_interval
from wearmodel.survival.model import ComponentModel, LifeModel, law, life_band
from wearmodel.survival.weibull import mean_life

__all__ = ["ADVICE", "plan_intervals"]

#: Advice words of the table `intervals`.
ADVICE = {
    "replace": "replace at the interval",
    "run": "run to failure",
    "condition": "on condition: found at inspections",
    "no_cost": "no costs given",
    "too_few": "too few failures to say",
}
_MOSTLY_FOUND = 0.5


def _advice(model: ComponentModel, *, interval: float, worn_share: float, has_cost: bool) -> str:
    if model.basis == "bound only":
        return ADVICE["too_few"]
    if not has_cost:
        return ADVICE["no_cost"]
    if math.isfinite(interval):
        return ADVICE["replace"]
    return ADVICE["condition"] if worn_share > _MOSTLY_FOUND else ADVICE["run"]


def _cell_row(
    model: ComponentModel, fleet: LifeModel, *, duty: str, lift: float, failures: int, worn_share: float
) -> dict[str, object]:
    """One row of the table."""
    point = law(model, duty=duty, lift=lift)
    cost = fleet.costs.get(model.component)
    bound = model.basis == "bound only"
    row: dict[str, object] = {
        "component": model.component,
        "duty": duty,
        "lift": lift,
        "failures": failures,
        **dict.fromkeys(
            [
                "b10", "b10_lower", "b10_upper", "median", "mean", "interval", "interval_low", "interval_high",
                "cost_rate_interval", "cost_rate_run_to_failure", "shape", "scale", "planned_cost", "failed_cost",
            ],
            np.nan,
        ),
        "note": model.note,
    }  # fmt: skip
    interval = math.inf
    if not bound:
        b10 = life_band(model, fraction=0.1, duty=duty, lift=lift, confidence=fleet.confidence)
        median = life_band(model, fraction=0.5, duty=duty, lift=lift)
        row |= {
            "b10": float(b10.estimate),
            "b10_lower": float(b10.low),
            "b10_upper": float(b10.high),
            "median": float(median.estimate),
            "mean": float(mean_life(shape=point.shape, scale=point.scale)),
            "shape": point.shape,
            "scale": point.scale,
        }
    if cost is not None and not bound:
        terms = {
            "shape": point.shape, "scale": point.scale, "planned_cost": cost.planned, "failed_cost": cost.failed,
        }  # fmt: skip
        interval = float(recommended_interval(**terms, service_interval=fleet.service_interval))
        band = flat_band(**terms)
        finite = math.isfinite(interval)
        row |= {
            "interval": interval if finite else np.nan,
            "interval_low": float(band.low) if finite else np.nan,
            "interval_high": float(band.high) if finite and math.isfinite(float(band.high)) else np.nan,
            "cost_rate_interval": float(cost_rate(interval, **terms)),
            "cost_rate_run_to_failure": float(cost_rate(math.inf, **terms)),
            "planned_cost": cost.planned,
            "failed_cost": cost.failed,
        }
    row["advice"] = _advice(model, interval=interval, worn_share=worn_share, has_cost=cost is not None)
    return row


def plan_intervals(
    fleet: LifeModel, *, cells: pd.DataFrame, worn_shares: dict[str, float]
) -> pd.DataFrame:
    """Table `intervals`.

    Parameters
    ----------
    fleet : LifeModel
        Life models, costs and service interval.
    cells : pandas.DataFrame
        Columns `component, duty, lift, failures`: the cells to show.
    worn_shares : dict of str to float
        Share of wear ends found at inspections, by component.

    Returns
    -------
    pandas.DataFrame
        Columns of the table `intervals`, and `b10_upper, shape, scale, planned_cost, failed_cost, note`.
        `interval` is blank where running to failure costs no more than 3 % above the least; costs per
        distance are [currency / distance].
    """
    rows = [
        _cell_row(
            fleet.components[cell.component],
            fleet,
            duty=cell.duty,
            lift=float(cell.lift),
            failures=int(cell.failures),
            worn_share=worn_shares.get(cell.component, 0.0),
        )
        for cell in frame_rows(cells)
        if cell.component in fleet.components
    ]
    names = [
        "component", "duty", "lift", "failures", "b10", "b10_lower", "median", "mean", "interval", "interval_low",
        "interval_high", "cost_rate_interval", "cost_rate_run_to_failure", "advice", "b10_upper", "shape", "scale",
        "planned_cost", "failed_cost", "note",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=names)
