"""Parameters without a finite estimate, found and named."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.life_data import LifeData

__all__ = ["Runaways", "runaways"]

Array = NDArray[Any]
# At a top another Newton step moves nothing; a runaway parameter still moves by this much.
_STILL_MOVES = 0.01
_SURELY_STILL = 1e-9
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


def runaways(information: Array, gradient: Array, data: LifeData, *, free: Array, precision: Array) -> Runaways:
    """Name what runs away and what cannot be told apart.

    Parameters
    ----------
    information : ndarray, shape (n_parameters, n_parameters)
        At the end of the climb, with the prior.
    gradient : ndarray, shape (n_parameters,)
        There.
    data : LifeData
        The lives.
    free : ndarray of bool, shape (n_parameters,)
        Parameters that could move.
    precision : ndarray, shape (n_parameters,)
        Of the prior on each; a parameter with one always has an estimate.

    Returns
    -------
    Runaways
        Empty for a sound fit.

    Notes
    -----
    Where a likelihood only rises, it does so like a - b e^(-ct): gradient and curvature fall together, the gain
    of a Newton step falls below any bound, but the step itself stays at 1/c. So a parameter is said to run away
    when the climb has ended and the next Newton step would still move its x'b, or the log shape, by more than
    0.01. Directions in which no life has a covariate are left out of that step and named apart.
    """
    size = np.sqrt(np.maximum(np.diag(information), np.finfo(float).tiny))
    scaled = information / np.outer(size, size)
    basis = np.eye(len(information))[:, free]
    undetermined: tuple[int, ...] = ()
    if np.linalg.eigvalsh(basis.T @ scaled @ basis).min() < _NEARLY_SINGULAR:
        flat = _flat(data, precision[:-1])
        undetermined = tuple(np.flatnonzero(np.abs(flat).max(axis=1, initial=0.0) > _PART_OF).tolist())
        basis = basis[:, ~np.isin(np.flatnonzero(free), undetermined)] if undetermined else basis
    along = basis / size[:, None]
    step = along @ np.linalg.lstsq(basis.T @ scaled @ basis, along.T @ gradient, rcond=None)[0]
    if np.abs(step).max() < _SURELY_STILL:
        return Runaways((), undetermined)
    reach = np.append(np.maximum(data.design.max(axis=0), -data.design.min(axis=0)), 1.0)
    moving = (np.abs(step) * reach > _STILL_MOVES) & free & (precision == 0)
    return Runaways(tuple(np.flatnonzero(moving).tolist()), undetermined)


def _flat(data: LifeData, precision: Array) -> Array:
    """Directions of the coefficients that change no x'b, shape (n_coefficients, n_directions)."""
    squares = data.design.T @ data.design + np.diag(precision)
    size = np.sqrt(np.where(np.diag(squares) > 0, np.diag(squares), 1.0))
    eigenvalues, vectors = np.linalg.eigh(squares / np.outer(size, size))
    return vectors[:, eigenvalues < _SINGULAR] / size[:, None] * size.max()
