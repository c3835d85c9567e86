"""Lift levels a fleet is shown by."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["lift_levels", "nearest_level"]

_MOST_LEVELS = 4
_ROUND = 5.0


def lift_levels(lifts: ArrayLike) -> tuple[float, ...]:
    """Lift levels of a fleet, 0 first.

    Parameters
    ----------
    lifts : array_like
        Lifts met in the record, one entry a vehicle and episode [mm].

    Returns
    -------
    tuple of float
        0, then at most 4 raised levels: the lifts themselves to the nearest 5 mm where they are so
        few, else the medians of four groups of equal size.
    """
    values = np.asarray(lifts, dtype=float)
    raised = np.sort(np.maximum(np.round(values[values > 0] / _ROUND) * _ROUND, _ROUND))
    if len(raised) == 0:
        return (0.0,)
    distinct = np.unique(raised)
    if len(distinct) > _MOST_LEVELS:
        distinct = np.unique([np.median(group) for group in np.array_split(raised, _MOST_LEVELS)])
    return (0.0, *(float(level) for level in distinct))


def nearest_level(lifts: ArrayLike, levels: tuple[float, ...]) -> NDArray[Any]:
    """Level each lift is shown under: 0 only for factory height or lower, else the nearest raised one.

    Parameters
    ----------
    lifts : array_like
        Lifts [mm].
    levels : tuple of float
        From `lift_levels`.

    Returns
    -------
    ndarray
        [mm]
    """
    values = np.asarray(lifts, dtype=float)
    raised = np.array(levels[1:])
    if len(raised) == 0:
        return np.zeros_like(values)
    nearest = raised[np.argmin(np.abs(values[..., None] - raised), axis=-1)]
    return np.where(values > 0, nearest, 0.0)
