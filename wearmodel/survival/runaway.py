"""Parameters without a finite estimate, found and named."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.ascent import Ascent
from wearmodel.survival.life_data import LifeData

__all__ = ["Runaways", "runaways"]

Array = NDArray[Any]
# At a top another Newton step moves nothing; a runaway parameter still moves by this much.
_STILL_MOVES = 0.01
_SURELY_STILL = 1e-9
_FURTHER, _ROUNDING = 4.0, 1e-12
# Shares of a scaled matrix's largest eigenvalue, and of a direction.
_NEARLY_SINGULAR, _SINGULAR, _PART_OF = 1e-6, 1e-10, 1e-3


@dataclass(frozen=True)
class Runaways:
    """Parameters without a finite estimate.

    Parameters
    ----------
    separated : tuple of int
        Positions of parameters for whose growth or fall the likelihood rises for ever.
    undetermined : tuple of int
        Positions of coefficients whose columns are a combination of others.
    """

    separated: tuple[int, ...]
    undetermined: tuple[int, ...]


def runaways(way: Ascent, data: LifeData) -> Runaways:
    """Name what runs away and what cannot be told apart.

    Parameters
    ----------
    way : Ascent
        Where a climb ended. A parameter that was held, or has a prior, always has an estimate.
    data : LifeData
        The lives.

    Returns
    -------
    Runaways
        Empty for a sound fit.

    Notes
    -----
    Where a likelihood only rises, it does so like a - b e^(-ct): gradient and curvature fall together, the gain
    of a Newton step falls below any bound, but the step itself stays at 1/c. So a parameter is said to run away
    when the climb has ended and the next Newton step would still move its x'b, or the log shape, by more than
    0.01, and going on that way does not lower the likelihood. Where all failures happened at one age the log
    shape runs away, and it alone is named: no scale is left to judge the others on. Directions in which no life
    has a covariate are left out of that step and named apart.
    """
    information, precision, free = -way.top.at_top.hessian, np.diag(way.precision), way.free
    size = np.sqrt(np.maximum(np.diag(information), np.finfo(float).tiny))
    scaled = information / np.outer(size, size)
    basis = np.eye(len(information))[:, free]
    undetermined: tuple[int, ...] = ()
    if np.linalg.eigvalsh(basis.T @ scaled @ basis).min() < _NEARLY_SINGULAR:
        flat = _flat(data, way.reach[:-1], precision[:-1])
        undetermined = tuple(np.flatnonzero(np.abs(flat).max(axis=1, initial=0.0) > _PART_OF).tolist())
        basis = basis[:, ~np.isin(np.flatnonzero(free), undetermined)]
    along = basis / size[:, None]
    step = along @ np.linalg.lstsq(basis.T @ scaled @ basis, along.T @ way.top.at_top.gradient, rcond=None)[0]
    if np.abs(step).max() < _SURELY_STILL:
        return Runaways((), undetermined)
    largest = np.append(np.maximum(data.design.max(axis=0), -data.design.min(axis=0)), 1.0)
    moving = np.flatnonzero((np.abs(step) * largest / way.reach > _STILL_MOVES) & (precision == 0))
    if not len(moving) or not _still_rises(way, step):
        return Runaways((), undetermined)
    log_shape = len(step) - 1
    return Runaways((log_shape,) if log_shape in moving else tuple(moving.tolist()), undetermined)


def _still_rises(way: Ascent, step: Array) -> bool:
    """Whether a further step, twice the longest that was allowed, does not lower the log-likelihood."""
    here = way.top.found
    beyond = way.top.values + step * (_FURTHER / np.abs(step).max())
    there = here.likelihood(beyond / way.reach).value
    return bool(there >= here.value - _ROUNDING * max(1.0, abs(here.value)))


def _flat(data: LifeData, reach: Array, precision: Array) -> Array:
    """Directions of the coefficients that change no x'b, shape (n_coefficients, n_directions)."""
    squares = data.design.T @ data.design / np.outer(reach, reach) + np.diag(precision)
    size = np.sqrt(np.where(np.diag(squares) > 0, np.diag(squares), 1.0))
    eigenvalues, vectors = np.linalg.eigh(squares / np.outer(size, size))
    return vectors[:, eigenvalues < _SINGULAR]
