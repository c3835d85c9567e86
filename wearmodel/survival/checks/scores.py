"""How well a model tells parts apart: Harrell's c with late entry, and the Brier score."""

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival.checks.hazards import life_hazards
from wearmodel.survival.life_data import LifeData, build_life_data
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.risk_sets import hazard_steps, weight_at_risk

__all__ = ["brier_errors", "brier_score", "concordance", "model_concordance"]

Array = NDArray[Any]


def concordance(
    *,
    stop: ArrayLike,
    failed: ArrayLike,
    risk: ArrayLike,
    entry: ArrayLike | None = None,
    weight: ArrayLike | None = None,
) -> float:
    """Harrell's c: of the pairs in which one failed while the other ran on, the share foretold.

    Parameters
    ----------
    stop : array_like, shape (n_rows,)
        Ages at which lives, or pieces of lives with covariates of their own, ended [distance].
    failed : array_like of bool, shape (n_rows,)
        Whether the row ended in a failure.
    risk : array_like, shape (n_rows,)
        The higher, the sooner the failure foretold.
    entry : array_like, shape (n_rows,), optional
        Ages from which each row was under observation; default 0.
    weight : array_like, shape (n_rows,), optional
        Default 1; a pair weighs the product.

    Returns
    -------
    float
        0.5 for no better than chance, 1 for all; equal risks count half. NaN without a pair.

    Notes
    -----
    A failure at age t is compared with every row with entry < t <= stop that does not fail at t itself. Takes time in
    proportion to distinct risks times failures: risks of fleets come in few levels.

    References
    ----------
    Harrell, Lee & Mark, Statistics in Medicine 15, 1996.

    Examples
    --------
    >>> round(concordance(stop=[10, 20, 30], failed=[True, True, False], risk=[3.0, 1.0, 2.0]), 4)
    0.6667
    """
    end, fell, score = np.asarray(stop, dtype=float), np.asarray(failed, dtype=bool), np.asarray(risk, dtype=float)
    begin = np.zeros(len(end)) if entry is None else np.asarray(entry, dtype=float)
    own = np.ones(len(end)) if weight is None else np.asarray(weight, dtype=float)
    used = (own > 0) & (end > begin)
    begin, end, fell, score, own = begin[used], end[used], fell[used], score[used], own[used]
    levels, which = np.unique(score, return_inverse=True)
    ages, at = np.unique(end[fell], return_inverse=True)
    mine = which[fell]
    pairs, foretold = np.zeros(len(at)), np.zeros(len(at))
    for level in range(len(levels)):
        rows = which == level
        others = weight_at_risk(ages, begin[rows], end[rows], own[rows])
        others = others - np.bincount(at[mine == level], own[fell][mine == level], minlength=len(ages))
        pairs += others[at]
        foretold += others[at] * np.where(mine > level, 1.0, np.where(mine == level, 0.5, 0.0))
    total = float(pairs @ own[fell])
    return float(foretold @ own[fell]) / total if total > 0 else math.nan


def model_concordance(model: ComponentModel, data: LifeData) -> float:
    """Harrell's c of a life model on lives.

    Parameters
    ----------
    model : ComponentModel
        Life model.
    data : LifeData
        Lives coded as the model is; a failure known to an interval counts at its middle.

    Returns
    -------
    float
        See `concordance`; a life is compared by the covariates it has at the age of the failure.
    """
    before = np.where(data.interval[data.life], (data.before_low + data.before_high) / 2.0, data.before_low)
    total = np.cumsum(before)
    begin = total - before
    begin = begin - begin[data.start][data.life]
    last = np.zeros(len(before), dtype=bool)
    last[data.last] = True
    # Any one age orders the risks: that of a life run wholly at the segment's covariates.
    ends = np.add.reduceat(data.before_high, data.start)
    alike = build_life_data(
        entry=np.zeros(len(before)),
        stop_low=np.full(len(before), float(np.median(ends))),
        stop_high=np.full(len(before), np.inf),
        design=data.design,
    )
    return concordance(
        entry=begin + data.before_entry,
        stop=begin + before,
        failed=last & (data.exact | data.interval)[data.life],
        # Equal covariates must stay equal in the last digit to count as a tie.
        risk=np.round(np.log(np.maximum(life_hazards(model, alike).low, 1e-300)), 9),
        weight=data.weight[data.life],
    )


def brier_errors(
    *, time: ArrayLike, failed: ArrayLike, chance: ArrayLike, horizon: float, weight: ArrayLike | None = None
) -> Array:
    """Squared error of each life's chance to have failed by a horizon, censored ones made up for by the others.

    Parameters
    ----------
    time : array_like, shape (n_lives,)
        When each life ended, in any unit counted for all from the moment of prediction.
    failed : array_like of bool, shape (n_lives,)
        Whether it ended in a failure; lives that reach the horizon have not failed by it.
    chance : array_like, shape (n_lives,)
        Predicted chance to fail by the horizon.
    horizon : float
        In the unit of `time`.
    weight : array_like, shape (n_lives,), optional
        Default 1.

    Returns
    -------
    ndarray, shape (n_lives,)
        Their weighted mean is the Brier score; 0 for a life that was censored before the horizon.

    Notes
    -----
    Each error is divided by the chance of not having been censored until then (Kaplan-Meier of the censoring), as
    Graf, Schmoor, Sauerbrei & Schumacher do (Statistics in Medicine 18, 1999).
    """
    end, fell = np.asarray(time, dtype=float), np.asarray(failed, dtype=bool)
    forecast = np.asarray(chance, dtype=float)
    own = np.ones(len(end)) if weight is None else np.asarray(weight, dtype=float)
    by_then = fell & (end <= horizon)
    reached = ~by_then & (end >= horizon)
    left = ~fell & (end < horizon) & (end > 0)
    steps = hazard_steps(entry=np.zeros(len(end)), stop=end, failed=left, weight=own)
    kept = np.concatenate([[1.0], steps.product_limit])
    uncensored = kept[np.searchsorted(steps.age, np.minimum(end, horizon), side="left")]
    error = np.where(by_then, (1.0 - forecast) ** 2, np.where(reached, forecast**2, 0.0))
    return np.asarray(np.where(by_then | reached, error / np.maximum(uncensored, 1e-12), 0.0))


def brier_score(
    *, time: ArrayLike, failed: ArrayLike, chance: ArrayLike, horizon: float, weight: ArrayLike | None = None
) -> float:
    """Mean squared error of chances to have failed by a horizon.

    Parameters
    ----------
    time, failed, chance, horizon, weight
        As in `brier_errors`.

    Returns
    -------
    float
        0 for certainty that was right; NaN without a life.

    Examples
    --------
    >>> chance = [0.1, 0.8, 0.6, 0.3, 0.9]
    >>> round(brier_score(time=[9, 1, 1, 9, 1], failed=[False, True, True, False, True], chance=chance, horizon=5), 3)
    0.062
    """
    errors = brier_errors(time=time, failed=failed, chance=chance, horizon=horizon, weight=weight)
    own = np.ones(len(errors)) if weight is None else np.asarray(weight, dtype=float)
    return float(errors @ own / own.sum()) if own.sum() > 0 else math.nan
