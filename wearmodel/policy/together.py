"""Which other positions of a vehicle are worth renewing in a visit that one part makes necessary."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.policy.age_replacement import FLAT_TOLERANCE
from wearmodel.policy.fitted import FittedParts
from wearmodel.policy.keeping import KeepingValues, keeping_values
from wearmodel.policy.shared_work import Sharing
from wearmodel.survival import weibull
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import LifeModel

__all__ = ["Candidates", "build_candidates", "joined_parts"]

Array = NDArray[Any]
#: Rates of visits and limits are rounded to these ratios, so that a fleet needs few tables of values.
_RATE_STEP = 1.1
_LIMIT_STEP = 1.01
_RAREST = 1e-4
_MOST_ROUNDS = 12


@dataclass(frozen=True)
class Candidates:
    """Parts that may be renewed in a visit, with what keeping them costs.

    Parameters
    ----------
    keeping : ndarray, shape (n_parts,)
        Expected cost of keeping each part as it will be at the visit, against a new one; NaN where no curve or no cost
        is known [currency].
    planned : ndarray, shape (n_parts,)
        Cost of renewing it in a visit of its own [currency].
    shape, age, limit, rate, failed : ndarray, shape (n_parts,)
        Weibull shape [-], mean age at the visit and planned age on the operational clock [-], long-run cost rate per
        unit of that clock, and cost of a failure [currency].
    """

    keeping: Array
    planned: Array
    shape: Array
    age: Array
    limit: Array
    rate: Array
    failed: Array

    def drawn_savings(self, rows: Array, cost: Array, *, draws: int, rng: np.random.Generator) -> Array:
        """What renewing some parts in the visit saves, over the chance of their lives.

        Parameters
        ----------
        rows : ndarray of int, shape (n,)
            Parts.
        cost : ndarray, shape (n,)
            Cost of renewing each in the visit [currency].
        draws : int
            Number of draws.
        rng : numpy.random.Generator
            Source of randomness.

        Returns
        -------
        ndarray, shape (n, draws)
            [currency]; the mean is the expected saving, later visits apart from which they are drawn moved into it.
        """
        k, age, limit = self.shape[rows, None], self.age[rows, None], self.limit[rows, None]
        failed, planned, rate = self.failed[rows, None], self.planned[rows, None], self.rate[rows, None]
        # Equal chances in random order: few draws are enough for a mean near the true one.
        chance = (rng.permuted(np.tile(np.arange(draws), (len(rows), 1)), axis=1) + 0.5) / draws
        life = np.power(np.power(age, k) - np.log(chance), 1.0 / k)
        reached = life >= limit
        run = np.maximum(np.minimum(life, limit) - age, 0.0)
        kept = np.where(reached, planned, failed) - rate * run
        return kept + (self.keeping[rows] - kept.mean(axis=1) - cost)[:, None]


@dataclass(frozen=True)
class _Clock:
    """Each part on its operational clock: Weibull shape, limit, mean run of a part, clock a day, and costs."""

    shape: Array
    limit: Array
    per_day: Array
    planned: Array
    failed: Array

    def renewals_a_day(self) -> Array:
        """Renewals of each position a day in the long run; 0 where no curve or no cost is known."""
        mean_run = weibull.integrated_survival(self.limit, shape=self.shape, scale=1.0)
        return np.nan_to_num(self.per_day / mean_run)


def build_candidates(
    assessed: pd.DataFrame,
    *,
    fitted: Mapping[str, FittedParts],
    points: Mapping[str, AgePoints],
    model: LifeModel,
    sharing: Sharing,
    spared_rates: "tuple[float, float]",
    days: Array,
) -> Candidates:
    """What keeping each part at the visit costs.

    Parameters
    ----------
    assessed : pandas.DataFrame
        From `wearmodel.policy.due.assess_parts`, or some of its rows.
    fitted, points : mapping
        By component code, the parts and ages it was made from.
    model : LifeModel
        Life models and costs.
    sharing : Sharing
        Which rows of `assessed` share work.
    spared_rates : tuple of float
        Labour rate and cost of standing [currency/h].
    days : ndarray, shape (n_parts,)
        Days until the vehicle's visit [d].

    Returns
    -------
    Candidates
        Row by row for `assessed`.

    Notes
    -----
    Visits that other parts of the vehicle cause come at the rate at which those are renewed in the long run, those on
    the same shaft at the cost that sharing it leaves (see `wearmodel.policy.keeping`). A frailty that is not known for
    certain is taken at two values with its mean and variance on the clock; ages that are not known at each of their
    points; wear that shows only at a look may have ended the part unseen already: then keeping it costs a failure.
    """
    clock = _clocks(assessed, fitted, model)
    cases, table = _value_tables(clock, sharing, spared_rates)
    keeping, age = np.full(len(assessed), np.nan), np.full(len(assessed), np.nan)
    rate = np.full(len(assessed), np.nan)
    for code, rows in _rows_by_component(assessed).items():
        at = rows[cases[rows] >= 0]
        if not len(at):
            continue
        own = fitted[code]
        parts = assessed["row"].to_numpy()[at].astype(np.intp)
        pace = own.pace(np.array(model.components[code].values))[parts]
        ahead = assessed["per_day"].to_numpy()[at] * days[at] * pace
        keeping[at], age[at] = _kept(
            table, cases[at], points[code], own, parts, ahead=ahead, unseen=own.tail[parts] * pace,
            shape=float(clock.shape[at[0]]), failed=clock.failed[at],
        )  # fmt: skip
        rate[at] = table.rate[cases[at]]
    return Candidates(keeping, clock.planned, clock.shape, age, clock.limit, rate, clock.failed)


def _rows_by_component(assessed: pd.DataFrame) -> dict[str, Array]:
    """Rows of each component."""
    codes, names = pd.factorize(assessed["component"])
    return {str(name): np.flatnonzero(codes == index) for index, name in enumerate(names)}


def _clocks(assessed: pd.DataFrame, fitted: Mapping[str, FittedParts], model: LifeModel) -> _Clock:
    """Shape, limit, pace and costs of each part; NaN where no curve or no cost is known."""
    columns = {name: np.full(len(assessed), np.nan) for name in ("shape", "limit", "per_day", "planned", "failed")}
    for code, rows in _rows_by_component(assessed).items():
        own, cost = model.components.get(code), model.costs.get(code)
        if cost is not None:
            columns["planned"][rows], columns["failed"][rows] = cost.planned, cost.failed
        if own is None or cost is None or own.basis == "bound only" or code not in fitted:
            continue
        mine = assessed.iloc[rows]
        values = np.array(own.values)
        pace = fitted[code].pace(values)[mine["row"].to_numpy()] * mine["vehicle_pace"].to_numpy()
        columns["shape"][rows] = np.exp(values[-1])
        columns["limit"][rows] = mine["interval"].fillna(np.inf).to_numpy() * pace
        columns["per_day"][rows] = mine["per_day"].to_numpy() * pace
    return _Clock(**columns)


def _value_tables(
    clock: _Clock, sharing: Sharing, spared_rates: "tuple[float, float]"
) -> "tuple[Array, KeepingValues]":
    """Table of values and the row of it that each part goes by, -1 for none."""
    known = np.isfinite(clock.shape)
    renewals = clock.renewals_a_day()
    line = _summed(sharing.keys[0], renewals)
    vehicle = _summed(sharing.vehicle, renewals)
    labour, standing = spared_rates
    everything = np.ones(len(known), dtype=bool)
    near = sharing.joining(everything).money(labour_rate=labour, downtime_cost=standing)
    far_hours = np.minimum(sharing.terms.visit_hours, sharing.hours)
    far_standing = np.minimum(far_hours + sharing.terms.visit_downtime_hours, sharing.downtime)
    far = far_hours * labour + far_standing * standing
    with np.errstate(divide="ignore", invalid="ignore"):
        rates = np.column_stack([line - renewals, vehicle - line]) / clock.per_day[:, None]
    rates = np.where(clock.per_day[:, None] > 0, np.maximum(rates, 0.0), 0.0)
    rates = np.where(rates > _RAREST, _rounded(rates, _RATE_STEP), 0.0)
    frame = np.column_stack(
        [
            clock.shape, _rounded(clock.limit, _LIMIT_STEP), clock.planned, clock.failed, rates,
            clock.planned - near, clock.planned - far,
        ]
    )[known]  # fmt: skip
    cases = np.full(len(known), -1, dtype=np.intp)
    unique, inverse = np.unique(frame.round(9), axis=0, return_inverse=True)
    cases[known] = inverse.reshape(-1)
    table = keeping_values(
        shape=unique[:, 0], limit=unique[:, 1], planned_cost=unique[:, 2], failed_cost=unique[:, 3],
        visit_rates=unique[:, 4:6], visit_costs=unique[:, 6:8],
    )  # fmt: skip
    return cases, table


def _rounded(values: Array, ratio: float) -> Array:
    """Nearest power of a ratio."""
    with np.errstate(divide="ignore"):
        return np.where(np.isfinite(values) & (values > 0), ratio ** np.round(np.log(values) / np.log(ratio)), values)


def _summed(keys: Array, values: Array) -> Array:
    """Sum of the values with the same key; a key of -1 stands alone."""
    sums = np.bincount(np.maximum(keys, 0), weights=np.where(keys >= 0, values, 0.0))
    return np.where(keys >= 0, sums[np.maximum(keys, 0)], values)


def _kept(
    table: KeepingValues, cases: Array, points: AgePoints, own: FittedParts, parts: Array, *, ahead: Array,
    unseen: Array, shape: float, failed: Array,
) -> "tuple[Array, Array]":  # fmt: skip
    """Expected cost of keeping one component's parts, and their mean age at the visit on the clock of their vehicle."""
    wear = own.frailties.only(parts)
    mean = wear.pace(shape)
    spread = np.sqrt(np.maximum(wear.pace(shape / 2.0) - mean**2, 0.0))
    psi, weight = points.psi[parts], points.weight[parts]
    row, cell = np.nonzero(weight > 0)
    now, share = psi[row, cell], weight[row, cell]
    then = now + ahead[row]
    # A part that may not fail before the visit unseen is there only as far as it lasts.
    share = share * np.exp(-(np.power(then, shape) - np.power(now, shape)) * wear.mean[row])
    total = np.bincount(row, weights=share, minlength=len(parts))
    value = sum(table.at(cases[row], then * (mean + side * spread)[row]) for side in (-1.0, 1.0)) / 2.0
    good = np.maximum(now - unseen[row], 0.0)
    gone = -np.expm1(-(np.power(now, shape) - np.power(good, shape)) * wear.mean[row])
    value = value + gone * (failed[row] - value)
    safe = np.maximum(total, 1e-300)
    kept = np.bincount(row, weights=share * value, minlength=len(parts)) / safe
    age = np.bincount(row, weights=share * then, minlength=len(parts)) / safe * mean
    return kept, age


def joined_parts(
    candidates: Candidates, sharing: Sharing, taken: Array, *, spared_rates: "tuple[float, float]"
) -> Array:
    """Parts worth renewing beside those that are renewed anyway.

    Parameters
    ----------
    candidates : Candidates
        All parts.
    sharing : Sharing
        Row by row for them.
    taken : ndarray of bool, shape (n_parts,)
        Parts that make the visit necessary or are due by then.
    spared_rates : tuple of float
        Labour rate and cost of standing [currency/h].

    Returns
    -------
    ndarray of int, shape (n_parts,)
        0 for those, the round in which a part joined them, -1 for parts that stay. A part joins where keeping it costs
        more than renewing it in the visit, by at least `FLAT_TOLERANCE` of its planned cost: less is no difference.
        Parts are added until none is left, each judged beside those already in; two that would pay only together are
        not found.
    """
    labour, standing = spared_rates
    visited = np.isin(sharing.vehicle, sharing.vehicle[taken])
    joined = np.where(taken, 0, -1)
    for number in range(1, _MOST_ROUNDS):
        spared = sharing.joining(taken).money(labour_rate=labour, downtime_cost=standing)
        saving = candidates.keeping - (candidates.planned - spared)
        more = visited & ~taken & (saving > FLAT_TOLERANCE * candidates.planned)
        if not more.any():
            break
        taken, joined = taken | more, np.where(more, number, joined)
    return joined
