"""Failures expected and seen, by tenths of predicted risk."""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaincc, gammaincinv

__all__ = ["calibrate", "calibration_chance", "poisson_limits"]

Array = NDArray[Any]
_TENTHS = 10
#: Neighbouring tenths are taken together until each group expects this many failures.
_LEAST_EXPECTED = 3.0
#: A comparison needs this many groups.
_FEWEST_GROUPS = 3


def poisson_limits(seen: ArrayLike, *, confidence: float = 0.9) -> tuple[Array, Array]:
    """Exact limits of the mean that a count speaks of.

    Parameters
    ----------
    seen : array_like
        Counts; sums of chances need not be whole.
    confidence : float
        Two-sided.

    Returns
    -------
    tuple of ndarray
        Lower and upper limit.

    References
    ----------
    Garwood, Fiducial limits for the Poisson distribution, Biometrika 28, 1936.

    Examples
    --------
    >>> low, high = poisson_limits([0, 10], confidence=0.95)
    >>> low.round(4).tolist(), high.round(4).tolist()
    ([0.0, 4.7954], [3.6889, 18.3904])
    """
    count = np.asarray(seen, dtype=float)
    tail = (1.0 - confidence) / 2.0
    low = np.where(count > 0, gammaincinv(np.where(count > 0, count, 1.0), tail), 0.0)
    return low, np.asarray(gammaincinv(count + 1.0, 1.0 - tail))


def calibrate(
    *, risk: ArrayLike, expected: ArrayLike, seen: ArrayLike, weight: ArrayLike, confidence: float = 0.9
) -> pd.DataFrame:
    """Failures expected and seen, by tenths of lives ordered by predicted risk.

    Parameters
    ----------
    risk : array_like, shape (n_lives,)
        Predicted from what does not depend on how the life ended: else the tenths would sort by the outcome.
    expected : array_like, shape (n_lives,)
        From `wearmodel.survival.checks.hazards.expected_failures`.
    seen : array_like of bool, shape (n_lives,)
        Whether each failed.
    weight : array_like, shape (n_lives,)
        Weights of the lives.
    confidence : float
        Of the limits, two-sided.

    Returns
    -------
    pandas.DataFrame
        `tenth` (10: the highest risk)`, lives, expected, seen, lower, upper`, weighted; limits are those of the mean
        that the seen count speaks of. Lives of equal risk share a tenth, so that one may be missing.
    """
    own, score = np.asarray(weight, dtype=float), np.asarray(risk, dtype=float)
    levels, which = np.unique(score, return_inverse=True)
    mass = np.bincount(which, own, minlength=len(levels))
    middle = (np.cumsum(mass) - mass / 2.0) / max(float(mass.sum()), 1e-300)
    tenth = np.minimum((middle * _TENTHS).astype(int), _TENTHS - 1)[which] + 1
    frame = pd.DataFrame(
        {
            "tenth": tenth,
            "lives": own,
            "expected": own * np.asarray(expected, dtype=float),
            "seen": own * np.asarray(seen, dtype=float),
        }
    )
    table = frame[own > 0].groupby("tenth", as_index=False).sum()
    table["lower"], table["upper"] = poisson_limits(table["seen"], confidence=confidence)
    return table


def calibration_chance(table: pd.DataFrame) -> float:
    """Chance that expected and seen differ by as much as they do, if the model is right.

    Parameters
    ----------
    table : pandas.DataFrame
        From `calibrate`.

    Returns
    -------
    float
        NaN where fewer than three groups of three expected failures can be made of the tenths.

    Notes
    -----
    Sum of (seen - expected)^2 / expected against chi-square with one degree of freedom less than there are groups,
    since a fit makes the sums equal (Gronnesby & Borgan, Lifetime Data Analysis 2, 1996, in its Poisson form).
    """
    pairs: list[list[float]] = [[0.0, 0.0]]
    for expected, seen in table[["expected", "seen"]].to_numpy(dtype=float).tolist():
        if pairs[-1][0] >= _LEAST_EXPECTED:
            pairs.append([0.0, 0.0])
        pairs[-1][0] += expected
        pairs[-1][1] += seen
    if len(pairs) > 1 and pairs[-1][0] < _LEAST_EXPECTED:
        expected, seen = pairs.pop()
        pairs[-1][0] += expected
        pairs[-1][1] += seen
    if len(pairs) < _FEWEST_GROUPS:
        return float("nan")
    groups = np.array(pairs)
    square = float(((groups[:, 1] - groups[:, 0]) ** 2 / groups[:, 0]).sum())
    return float(gammaincc((len(groups) - 1) / 2.0, square / 2.0))
