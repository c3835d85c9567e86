"""When parts are renewed by plan, and the backlog a new plan begins with."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.forecast.fleet_changes import NewParts
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import LifeModel

__all__ = ["PlannedAges", "planned_ages"]

Array = NDArray[Any]


@dataclass(frozen=True)
class PlannedAges:
    """When parts of a component are renewed by plan.

    Parameters
    ----------
    limit : ndarray, shape (n_parts,)
        Planned replacement age at today's pace, `inf` for none [distance].
    wait : ndarray, shape (n_parts,)
        What the part now fitted still runs, at the least, before it is renewed by plan: a backlog that is spread
        [distance].
    late : ndarray of bool, shape (n_parts,)
        Whether the part now fitted is expected to be past its planned age already.
    """

    limit: Array
    wait: Array
    late: Array

    def of_new(self, made: NewParts, parts: FittedParts, *, shape: float) -> "PlannedAges":
        """The same for parts of vehicles that join, which wear like the fleet.

        Parameters
        ----------
        made : NewParts
            Parts of vehicles that join.
        parts : FittedParts
            Parts now fitted, whose ages these are.
        shape : float
            Weibull shape [-].

        Returns
        -------
        PlannedAges
            Without a backlog.
        """
        pace = parts.frailties.pace(shape)[made.like] / made.parts.frailties.pace(shape)
        return PlannedAges(
            self.limit[made.like] * pace, np.zeros(len(made.like)), np.zeros(len(made.like), dtype=bool)
        )


def _run_by(running: Array, turn: Array) -> Array:
    """What parts have run when their turn comes, shape (n_parts,): beyond the months ahead at the mean of those."""
    months = running.shape[1]
    run = np.concatenate([np.zeros((len(running), 1)), np.cumsum(running, axis=1)], axis=1)
    inside = [np.interp(at, np.arange(months + 1), row) for at, row in zip(turn, run, strict=True)]
    return np.asarray(inside + running.mean(axis=1) * np.maximum(turn - months, 0.0))


def planned_ages(
    limits: Mapping[str, Array],
    *,
    fitted: Mapping[str, FittedParts],
    points: Mapping[str, AgePoints],
    model: LifeModel,
    usage: Usage,
    spread_months: float,
) -> dict[str, PlannedAges]:
    """Planned ages with the backlog they begin with spread over some months.

    Parameters
    ----------
    limits : mapping of str to ndarray, shape (n_parts,)
        Planned replacement age at today's pace by component code, `inf` for none [distance].
    fitted : mapping of str to FittedParts
        Parts now fitted.
    points : mapping of str to AgePoints
        Their ages at the estimate.
    model : LifeModel
        Life models.
    usage : Usage
        Expected running.
    spread_months : float
        Months over which parts past their planned age are renewed; 0: at once.

    Returns
    -------
    dict of str to PlannedAges
        Of the backlog those farthest past their age go first, evenly spread; one that fails meanwhile is renewed then.
    """
    out = {}
    for code, limit in limits.items():
        parts, own = fitted[code], model.components[code]
        values = np.array(own.values)
        past = points[code].mean() / parts.pace(values) - limit
        late = np.isfinite(limit) & (past >= 0.0)
        wait = np.zeros(len(limit))
        queue = np.flatnonzero(late)[np.argsort(-past[late], kind="stable")]
        if spread_months > 0.0 and len(queue):
            ahead = usage.on_clock(own)
            running = ahead.distance[parts.frame["vehicle"].to_numpy(dtype=np.intp)[queue]]
            wait[queue] = _run_by(running, (np.arange(len(queue)) + 0.5) / len(queue) * spread_months)
        out[code] = PlannedAges(limit, wait, late)
    return out
