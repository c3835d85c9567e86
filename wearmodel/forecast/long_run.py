"""What each policy costs a year once its backlog is gone."""

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.forecast.usage import Usage
from wearmodel.policy.age_replacement import cost_rate
from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.model import LifeModel

__all__ = ["long_run_costs"]

Array = NDArray[Any]
_YEAR = 365.25


def long_run_costs(
    fitted: Mapping[str, FittedParts], *, model: LifeModel, usage: Usage, intervals: Mapping[str, Array]
) -> dict[str, float]:
    """Yearly cost of wear in the long run, by policy.

    Parameters
    ----------
    fitted : mapping of str to FittedParts
        By component code.
    model : LifeModel
        Life models and costs.
    usage : Usage
        Expected running.
    intervals : mapping of str to ndarray
        Replacement interval of each part at today's pace, `inf` for none [distance].

    Returns
    -------
    dict of str to float
        `run_to_failure` and `planned` [currency / year]: cost per distance of age replacement times
        the yearly distance, summed over the parts now fitted, each at the pace its vehicle's record tells.
        Components without costs or a curve are left out of both.

    Notes
    -----
    The first year of a planned policy costs more: parts already past their interval are renewed at
    once. This is what is left when that is over (renewal-reward theorem).
    """
    totals = {"run_to_failure": 0.0, "planned": 0.0}
    for code, parts in fitted.items():
        own, cost = model.components[code], model.costs.get(code)
        if own.basis == "bound only" or cost is None:
            continue
        values = np.array(own.values)
        shape = float(np.exp(values[-1]))
        terms: dict[str, Any] = {
            "shape": shape,
            "scale": 1.0 / (parts.pace(values) * parts.frailties.pace(shape)),
            "planned_cost": cost.planned,
            "failed_cost": cost.failed,
        }
        ahead = usage.by_time(own.day_counts) if own.day_counts > 0 else usage
        run = (ahead.distance.sum(axis=1) / ahead.days.sum() * _YEAR)[parts.frame["vehicle"]]
        totals["run_to_failure"] += float(run @ cost_rate(np.inf, **terms))
        totals["planned"] += float(run @ cost_rate(intervals[code], **terms))
    return totals
