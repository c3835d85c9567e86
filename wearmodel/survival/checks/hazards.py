"""What a life model says of each life: the one place of the checks that knows the law."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.life_data import LifeData
from wearmodel.survival.model import ComponentModel

__all__ = ["LifeHazards", "expected_failures", "had_it_gone_on", "life_hazards"]

Array = NDArray[Any]
# Below this, 1 - g / (e^g - 1) is g / 2 to the last digit.
_SMALL_GAP = 1e-9


@dataclass(frozen=True)
class LifeHazards:
    """Cumulative hazard of each life under a model, counted from fitting.

    Parameters
    ----------
    entry, low, high : ndarray, shape (n_lives,)
        At entry, stop_low and stop_high; `high` equals `low` unless the failure is known to an interval.
    """

    entry: Array
    low: Array
    high: Array


def life_hazards(model: ComponentModel, data: LifeData, *, rates: Array | None = None) -> LifeHazards:
    """Cumulative hazard of each life at its entry and at its end.

    Parameters
    ----------
    model : ComponentModel
        Life model.
    data : LifeData
        Lives coded as the model is.
    rates : ndarray, shape (n_vehicles,), optional
        Expected frailty of each vehicle, by its index; 1 when missing.

    Returns
    -------
    LifeHazards
        One value a life.
    """
    values = np.array(model.values)
    at = [np.power(age, np.exp(values[-1])) for age in data.operational_ages(values[:-1])]
    if rates is not None:
        at = [hazard * rates[data.cluster] for hazard in at]
    return LifeHazards(entry=at[0], low=at[1], high=at[2])


def expected_failures(hazards: LifeHazards, data: LifeData) -> Array:
    """Failures that the model expects of each life over what was seen of it.

    Parameters
    ----------
    hazards : LifeHazards
        Of the lives.
    data : LifeData
        The lives.

    Returns
    -------
    ndarray, shape (n_lives,)
        Cumulative hazard run under observation; where the failure is known to an interval, its mean over the
        places in the interval where it can have been.

    Notes
    -----
    Failures seen less failures expected has mean 0 for each life, however it was looked at: with the hazard H run at
    the last good look and g more by the bad one, the mean is H + 1 - g / (e^g - 1) (Farrington, Residuals for
    proportional hazards models with interval-censored survival data, Biometrics 56, 2000, sec. 3). Counting the
    hazard to the interval's end instead would expect too much, by g / 2 a failure.
    """
    run = hazards.low - hazards.entry
    gap = np.where(data.interval, hazards.high - hazards.low, 0.0)
    small = gap < _SMALL_GAP
    inside = 1.0 - np.where(small, 1.0, gap) / np.expm1(np.where(small, 1.0, np.minimum(gap, 700.0)))
    return np.asarray(run + np.where(small, gap / 2.0, inside))


def had_it_gone_on(data: LifeData, further: Array) -> LifeData:
    """The same lives, each running on at its last covariates without failing.

    Parameters
    ----------
    data : LifeData
        Lives.
    further : ndarray, shape (n_lives,)
        Distance that each runs beyond its end, not negative [distance].

    Returns
    -------
    LifeData
        All censored.
    """
    run = data.before_high.copy()
    run[data.last] += further
    none = np.zeros(data.lives, dtype=bool)
    return replace(data, before_low=run, before_high=run, exact=none, interval=none)
