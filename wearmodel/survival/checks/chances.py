"""Chances adjusted for how many things were looked at."""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["adjusted_chances"]

Array = NDArray[Any]


def adjusted_chances(chances: ArrayLike) -> Array:
    """Each chance as it stands among all that were looked at.

    Parameters
    ----------
    chances : array_like, shape (n,)
        Chance of what was seen or worse, were nothing the matter; NaN where it cannot be told.

    Returns
    -------
    ndarray, shape (n,)
        Not below the chance itself. Calling those below a level keeps the expected share of false ones among the called
        to that level; where nothing at all is the matter, the chance that any is called.

    References
    ----------
    Benjamini & Hochberg, Controlling the false discovery rate, J. R. Statist. Soc. B 57 (1995).

    Examples
    --------
    >>> adjusted_chances([0.01, 0.5, 0.04]).round(3).tolist()
    [0.03, 0.5, 0.06]
    """
    values = np.asarray(chances, dtype=float)
    out = np.full(values.shape, np.nan)
    known = np.flatnonzero(~np.isnan(values))
    order = known[np.argsort(values[known], kind="stable")]
    stepped = values[order] * len(order) / np.arange(1, len(order) + 1)
    out[order] = np.minimum(np.minimum.accumulate(stepped[::-1])[::-1], 1.0)
    return out
