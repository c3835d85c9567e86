"""Cumulative hazards of lives at one bound of their age, with derivatives, as an observer of many lives needs them."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family
from wearmodel.survival.life_data import LifeData

__all__ = ["Bound", "bound_hazard", "weighted_curvature"]

Array = NDArray[Any]
_LARGEST_Z = 300.0


@dataclass(frozen=True)
class Bound:
    """Cumulative hazard H of some lives at an age, as a function of z = shape * log(operational age).

    Parameters
    ----------
    z, hazard, first, second : ndarray, shape (n_lives,)
        z, H(z) and its derivatives in z; 0 for lives not asked for.
    slope : ndarray, shape (n_lives, n_parameters)
        Gradient of z in the coefficients and the log shape.
    share : ndarray, shape (n_segments,)
        Share of each segment in the operational age.
    """

    z: Array
    hazard: Array
    first: Array
    second: Array
    slope: Array
    share: Array


def bound_hazard(data: LifeData, parameters: Array, family: Family, *, distance: Array, active: Array) -> Bound:
    """H at the given distances into the segments.

    Parameters
    ----------
    data : LifeData
        Lives.
    parameters : ndarray, shape (n_coefficients + 1,)
        Coefficients of the log scale, then the log shape.
    family : Family
        Life family.
    distance : ndarray, shape (n_segments,)
        Distance run in each segment up to the bound [distance].
    active : ndarray of bool, shape (n_lives,)
        Lives that have this bound.

    Returns
    -------
    Bound
        Zero throughout for other lives.
    """
    shape = float(np.exp(parameters[-1]))
    run = np.exp(-(data.design @ parameters[:-1])) * distance
    one_each = len(data.life) == data.lives
    psi = run if one_each else np.add.reduceat(run, data.start)
    on = active & (psi > 0)
    safe = np.where(on, psi, 1.0)
    z = np.minimum(shape * np.log(safe), _LARGEST_Z)
    first, second = family.slopes(z)[:2]
    if one_each:
        share = on.astype(float)
        direction = np.where(on[:, None], -data.design, 0.0)
    else:
        share = np.where(on[data.life], run / safe[data.life], 0.0)
        direction = -np.add.reduceat(share[:, None] * data.design, data.start)
    return Bound(
        z=z,
        hazard=np.where(on, family.cumulative(z), 0.0),
        first=np.where(on, first, 0.0),
        second=np.where(on, second, 0.0),
        slope=np.column_stack([shape * direction, np.where(on, z, 0.0)]),
        share=share,
    )


def weighted_curvature(data: LifeData, bound: Bound, factor: Array, shape: float) -> Array:
    """Sum over lives of factor times the second derivative of z.

    Parameters
    ----------
    data : LifeData
        Lives.
    bound : Bound
        From `bound_hazard`.
    factor : ndarray, shape (n_lives,)
        Any weights.
    shape : float
        The shape.

    Returns
    -------
    ndarray, shape (n_parameters, n_parameters)
        Coefficients, then the log shape.
    """
    size = bound.slope.shape[1]
    direction = bound.slope[:, :-1]
    out = np.zeros((size, size))
    if len(data.life) != data.lives:
        x = data.design
        out[:-1, :-1] = shape * (x.T @ ((factor[data.life] * bound.share)[:, None] * x))
        out[:-1, :-1] -= direction.T @ (factor[:, None] * direction) / shape
    cross = factor @ direction
    out[:-1, -1] = cross
    out[-1, :-1] = cross
    out[-1, -1] = float(factor @ bound.slope[:, -1])
    return out
