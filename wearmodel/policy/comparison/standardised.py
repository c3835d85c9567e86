"""Lives and costs averaged over a mix of parts and vehicles, each as it is and as it might be (NumPy alone)."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.policy.age_replacement import cost_rate, recommended_interval
from wearmodel.survival.covariance import drawn_errors
from wearmodel.survival.model import ComponentModel, ReplacementCost
from wearmodel.survival.weibull import cumulative_hazard, integrated_survival, life_at, mean_pace

__all__ = [
    "DRAWS", "DrawnLaw", "Mix", "build_mix", "draw_law", "drawn_bounds", "drawn_cost_rates", "mixed_cost",
    "mixed_mean", "mixed_median",
]  # fmt: skip

Array = NDArray[Any]
#: Parameter draws behind every interval of a comparison.
DRAWS = 500
_MOST_STEPS = 60
_CONVERGED = 1e-9
_LARGEST_LOG_VARIANCE = 3.0
_MOST_ROWS = 120


@dataclass(frozen=True)
class Mix:
    """What a comparison is averaged over, once at factory height and once as it is, row by row alike.

    Parameters
    ----------
    rows, others : ndarray, shape (n_rows, n_coefficients)
        Covariates of the log scale of either side.
    shares : ndarray, shape (n_rows,)
        Share of the distance run, summing to 1.
    """

    rows: Array
    others: Array
    shares: Array


@dataclass(frozen=True)
class DrawnLaw:
    """Parameters of a life law, the estimate first.

    Parameters
    ----------
    values : ndarray, shape (1 + n_draws, n_parameters)
        Coefficients of the log scale, then the log shape.
    variance : ndarray, shape (1 + n_draws,)
        Of the frailty over vehicles.
    """

    values: Array
    variance: Array

    def scales(self, rows: Array) -> Array:
        """Weibull scales of some covariate rows, shape (1 + n_draws, n_rows)."""
        return np.asarray(np.exp(self.values[:, :-1] @ rows.T))

    @property
    def shape(self) -> Array:
        """Weibull shapes, shape (1 + n_draws, 1)."""
        return np.asarray(np.exp(self.values[:, -1:]))

    @property
    def spread(self) -> Array:
        """Variance of the frailty, shape (1 + n_draws, 1)."""
        return self.variance[:, None]


def build_mix(rows: Array, others: Array, weight: Array) -> Mix:
    """Equal rows put together.

    Parameters
    ----------
    rows, others : ndarray, shape (n, n_coefficients)
        Covariates of either side.
    weight : ndarray, shape (n,)
        Distance run, of which some is above 0.

    Returns
    -------
    Mix
        Of the 120 commonest rows at most, which then stand for the others.
    """
    kept = weight > 0
    both = np.round(np.hstack([rows, others])[kept], 9)
    distinct, which = np.unique(both, axis=0, return_inverse=True)
    shares = np.bincount(which.ravel(), weights=weight[kept])
    largest = np.sort(np.argsort(-shares, kind="stable")[:_MOST_ROWS])
    size = rows.shape[1]
    return Mix(distinct[largest, :size], distinct[largest, size:], shares[largest] / shares[largest].sum())


def draw_law(model: ComponentModel, *, draws: int, rng: np.random.Generator) -> DrawnLaw:
    """Parameters drawn from the normal approximation of their uncertainty, which counts vehicles, not lives.

    Parameters
    ----------
    model : ComponentModel
        Fitted model.
    draws : int
        Number of draws.
    rng : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    DrawnLaw
        The estimate, then the draws; the frailty's variance is drawn with them where its own uncertainty is known.
    """
    size = len(model.values)
    whole = np.zeros((size + 1, size + 1))
    whole[:size, :size] = model.covariance
    if model.frailty_covariance:
        whole[size, :] = whole[:, size] = model.frailty_covariance
    steps = np.vstack([np.zeros(size + 1), drawn_errors(whole, draws=draws, rng=rng)])
    factor = np.exp(np.clip(steps[:, size], -_LARGEST_LOG_VARIANCE, _LARGEST_LOG_VARIANCE))
    return DrawnLaw(np.array(model.values) + steps[:, :size], model.frailty_variance * factor)


def mixed_median(drawn: DrawnLaw, rows: Array, shares: Array) -> Array:
    """Distance by which half of a mix has failed.

    Parameters
    ----------
    drawn : DrawnLaw
        Parameters.
    rows : ndarray, shape (n_rows, n_coefficients)
        Covariates.
    shares : ndarray, shape (n_rows,)
        Summing to 1.

    Returns
    -------
    ndarray, shape (1 + n_draws,)
        [distance]

    Notes
    -----
    Newton steps for log(-log S) in the logarithm of the distance, which is nearly a straight line, kept between the
    shortest and the longest median of the rows.
    """
    scales, shape, variance = drawn.scales(rows), drawn.shape, drawn.spread
    medians = np.log(life_at(0.5, shape=shape, scale=scales, variance=variance))
    low, high = medians.min(axis=1), medians.max(axis=1)
    point = medians @ shares
    target = np.log(np.log(2.0))
    for _ in range(_MOST_STEPS):
        hazard = cumulative_hazard(np.exp(point)[:, None], shape=shape, scale=scales, variance=variance)
        each = np.exp(-hazard)
        good = each @ shares
        # d H / d log t is shape times the hazard of frailty 1 spent, thinned by the frailty.
        slope = (each * shape * _thinned(hazard, variance)) @ shares
        low, high = np.where(good > 0.5, point, low), np.where(good > 0.5, high, point)
        lost = -np.log(good)
        step = point - (np.log(lost) - target) * good * lost / slope
        following = np.where((step >= low) & (step <= high), step, 0.5 * (low + high))
        moved = np.abs(following - point).max()
        point = following
        if moved < _CONVERGED:
            break
    return np.asarray(np.exp(point))


def _thinned(hazard: Array, variance: Array) -> Array:
    """Hazard of frailty 1 thinned, u / (1 + v u), from log(1 + v u) / v and v."""
    safe = np.where(variance > 0, variance, 1.0)
    return np.where(variance > 0, -np.expm1(-hazard * variance) / safe, hazard)


def mixed_mean(drawn: DrawnLaw, rows: Array, shares: Array, *, limit: float) -> Array:
    """Mean distance a part of a mix runs up to a limit: the area below the survival curve.

    Parameters
    ----------
    drawn, rows, shares
        As in `mixed_median`.
    limit : float
        [distance]

    Returns
    -------
    ndarray, shape (1 + n_draws,)
        [distance]
    """
    area = integrated_survival(limit, shape=drawn.shape, scale=drawn.scales(rows), variance=drawn.spread)
    return np.asarray(area @ shares)


def mixed_cost(
    drawn: DrawnLaw, rows: Array, shares: Array, *, cost: ReplacementCost, service_interval: float
) -> Array:
    """Long-run cost per distance over a mix, every row at the interval recommended for it.

    Parameters
    ----------
    drawn, rows, shares
        As in `mixed_median`.
    cost : ReplacementCost
        Of a replacement.
    service_interval : float
        NaN when there is none [distance].

    Returns
    -------
    ndarray, shape (1 + n_draws,)
        [currency / distance]

    Notes
    -----
    Intervals are chosen on the estimate and kept: the draws say what working by them may cost in truth.
    """
    rates = drawn_cost_rates(drawn, drawn.scales(rows), cost=cost, service_interval=service_interval)
    return np.asarray((mean_pace(drawn.shape, drawn.spread) * rates) @ shares)


def drawn_cost_rates(drawn: DrawnLaw, scales: Array, *, cost: ReplacementCost, service_interval: float) -> Array:
    """Long-run cost per distance of some parts on vehicles whose frailty is in their scales.

    Parameters
    ----------
    drawn : DrawnLaw
        Parameters.
    scales : ndarray, shape (1 + n_draws, n_parts)
        Weibull scales, the estimate first [distance].
    cost, service_interval
        As in `mixed_cost`.

    Returns
    -------
    ndarray, shape (1 + n_draws, n_parts)
        Each part at the interval recommended for it on the estimate [currency / distance].
    """
    money = {"planned_cost": cost.planned, "failed_cost": cost.failed}
    interval = recommended_interval(
        shape=drawn.shape[0], scale=scales[0], service_interval=service_interval, **money
    )
    return cost_rate(interval, shape=drawn.shape, scale=scales, **money)


def drawn_bounds(values: Array, confidence: float) -> tuple[float, float]:
    """Bounds of a figure from its draws.

    Parameters
    ----------
    values : ndarray, shape (1 + n_draws,)
        The estimate, then the draws.
    confidence : float
        Two-sided.

    Returns
    -------
    tuple of float
        Lower and upper quantile of the draws.
    """
    tail = (1.0 - confidence) / 2.0
    low, high = np.quantile(values[1:], (tail, 1.0 - tail))
    return float(low), float(high)
