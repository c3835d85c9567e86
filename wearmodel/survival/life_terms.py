"""What a life adds to the log-likelihood at its end, as a function of z = shape * log(operational age)."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family, Triple

__all__ = ["LARGEST_Z", "EndTerms", "end_terms"]

Array = NDArray[Any]
#: exp overflows beyond this soon; a cumulative hazard of e^300 is far outside any life.
LARGEST_Z = 300.0
_SMALLEST_GAP, _LARGEST_GAP = 1e-140, 600.0


@dataclass(frozen=True)
class EndTerms:
    """Terms of some lives at their ends.

    Parameters
    ----------
    value : float
        Weighted log-likelihood, without the log shape - log psi - x'b of an exact failure.
    first, second : ndarray, shape (n_lives,)
        Derivatives in z at stop_low, without weights.
    high_first, high_second : ndarray, shape (n_intervals,)
        Derivatives in z at stop_high of the lives that failed between two looks, without weights.
    cross : ndarray, shape (n_intervals,)
        Mixed derivative in both.
    """

    value: float
    first: Array
    second: Array
    high_first: Array
    high_second: Array
    cross: Array


def end_terms(
    family: Family, z: Array, low: Triple, high: Triple, *, exact: Array, interval: Array, weight: Array, failed: Array
) -> EndTerms:
    """Terms -H(z), with log h(z) for exact failures and log(1 - exp(-(H(z high) - H(z)))) for intervals.

    Parameters
    ----------
    family : Family
        Life family.
    z : ndarray, shape (n_lives,)
        At stop_low.
    low : tuple of ndarray, shape (n_lives,)
        The family's `hazard` there.
    high : tuple of ndarray, shape (n_intervals,)
        And at stop_high of the lives that failed between two looks.
    exact : ndarray of bool, shape (n_lives,)
        Which lives failed at stop_low.
    interval : ndarray of int, shape (n_intervals,)
        Which failed between stop_low and stop_high.
    weight : ndarray, shape (n_lives,)
        Weights.
    failed : ndarray, shape (n_lives,)
        Weights of the exact failures, 0 elsewhere.

    Returns
    -------
    EndTerms
        Every life has -H(z), whatever became of it later. Exact failures are most of the lives: to count the
        rest with 0 is quicker than to pick them out.
    """
    hazard, slope, curve = low
    log_hazard, log_slope, log_curve = family.log_hazard(z)
    first = exact * log_slope
    first -= slope
    second = exact * log_curve - curve if log_curve.any() else -curve
    value = float(log_hazard @ failed) - float(hazard @ weight)
    # With g the hazard between the looks, 1 / (e^g - 1) carries log(1 - e^-g) and its derivatives.
    high_hazard, high_slope, high_curve = high
    low_slope = slope[interval]
    odds = 1.0 / np.expm1(np.clip(high_hazard - hazard[interval], _SMALLEST_GAP, _LARGEST_GAP))
    bend = odds * (1.0 + odds)
    first[interval] -= odds * low_slope
    second[interval] -= odds * curve[interval] + bend * low_slope**2
    return EndTerms(
        value=value - float(np.log1p(odds) @ weight[interval]),
        first=first,
        second=second,
        high_first=odds * high_slope,
        high_second=odds * high_curve - bend * high_slope**2,
        cross=bend * low_slope * high_slope,
    )
