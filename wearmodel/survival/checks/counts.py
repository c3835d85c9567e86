"""How many failures a model expects of lives, and how many may come by chance."""

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import betainc, gammaincc

from wearmodel.survival.checks.hazards import expected_failures, life_hazards
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.model import ComponentModel

__all__ = ["ExpectedCount", "count_limits", "expected_count"]

Array = NDArray[Any]
_STEP = 1e-5


@dataclass(frozen=True)
class ExpectedCount:
    """Mean number of failures, and its standard error from the uncertainty of the model."""

    mean: float
    error: float


def expected_count(model: ComponentModel, data: LifeData) -> ExpectedCount:
    """Failures that a model expects over what was seen of lives.

    Parameters
    ----------
    model : ComponentModel
        Life model.
    data : LifeData
        Lives coded as the model is.

    Returns
    -------
    ExpectedCount
        Weighted; the error by the delta method from the covariance of the model's values.
    """

    def mean(values: Array) -> float:
        moved = replace(model, values=tuple(values.tolist()))
        return float(data.weight @ expected_failures(life_hazards(moved, data), data))

    at, steps = np.array(model.values), _STEP * np.eye(len(model.values))
    slope = np.array([(mean(at + step) - mean(at - step)) / (2.0 * _STEP) for step in steps])
    variance = float(slope @ np.array(model.covariance) @ slope)
    return ExpectedCount(mean(at), math.sqrt(max(variance, 0.0)))


def count_limits(count: ExpectedCount, *, confidence: float) -> tuple[int, int]:
    """Fewest and most failures that may come by chance.

    Parameters
    ----------
    count : ExpectedCount
        What is expected.
    confidence : float
        Two-sided: at most (1 - confidence) / 2 of the chance lies below the lower limit, and as much above the upper.

    Returns
    -------
    tuple of int
        Lower and upper limit.

    Notes
    -----
    A Poisson count whose mean is uncertain, as a gamma variable: negative binomial (Johnson, Kemp & Kotz, Univariate
    Discrete Distributions, 3rd ed. 2005, sec. 5.3).

    Examples
    --------
    >>> count_limits(ExpectedCount(10.0, 0.0), confidence=0.9)
    (5, 15)
    """
    if count.mean <= 0:
        return 0, 0
    variance = count.mean + count.error**2
    highest = math.ceil(count.mean + 12.0 * math.sqrt(variance) + 30.0)
    number = np.arange(highest + 1, dtype=float)
    # Far below the Poisson spread an uncertain mean changes nothing, and the shape of its law would overflow.
    if count.error**2 < 1e-6 * count.mean:
        below = gammaincc(number + 1.0, count.mean)
    else:
        size = count.mean**2 / count.error**2
        below = betainc(size, number + 1.0, size / (size + count.mean))
    tail = (1.0 - confidence) / 2.0
    low, high = np.searchsorted(below, [tail, 1.0 - tail], side="left")
    return int(low), int(min(high, highest))
