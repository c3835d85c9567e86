"""Cumulative hazards of lives at one bound of their age, with derivatives, as an observer of many lives needs them."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family
from wearmodel.survival.life_clocks import Clock, curvature, run_clock
from wearmodel.survival.life_data import LifeData

__all__ = ["Bound", "bound_hazard", "weighted_curvature"]

Array = NDArray[Any]
_LARGEST_Z = 300.0


@dataclass(frozen=True)
class Bound:
    """Cumulative hazard H of some lives at an age, as a function of z = shape * log(operational age).

    Parameters
    ----------
    clock : Clock
        Operational age.
    z : ndarray, shape (n_lives,)
        shape * log(operational age).
    hazard, first, second : ndarray, shape (n_lives,)
        H(z) and its derivatives in z.
    slope : ndarray, shape (n_lives, n_parameters)
        Gradient of z in the coefficients and the log shape.
    """

    clock: Clock
    z: Array
    hazard: Array
    first: Array
    second: Array
    slope: Array


def bound_hazard(data: LifeData, parameters: Array, family: Family, *, distance: Array) -> Bound:
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

    Returns
    -------
    Bound
        Of all lives.
    """
    shape = float(np.exp(parameters[-1]))
    clock = run_clock(data, np.exp(-(data.design @ parameters[:-1])), distance)
    z = np.minimum(shape * clock.log_psi, _LARGEST_Z)
    hazard, first, second = family.hazard(z)
    return Bound(clock, z, hazard, first, second, slope=np.column_stack([shape * clock.slope, z]))


def weighted_curvature(
    data: LifeData, bound: Bound, factor: Array, shape: float, *, density: Array | None = None
) -> Array:
    """Sum over lives of factor times the second derivative of z, less that of density times log psi.

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
    density : ndarray, shape (n_lives,), optional
        Weights of the logarithm of the operational age, which bends in the coefficients only.

    Returns
    -------
    ndarray, shape (n_parameters, n_parameters)
        Coefficients, then the log shape.
    """
    along, own = shape * factor, factor * bound.z
    second = np.stack([np.stack([np.zeros_like(along), along]), np.stack([along, own])])
    first = along if density is None else along - density
    return curvature(data, [bound.clock], np.stack([first, own]), second)
