"""How old a part may be whose fitting date nobody wrote down.

Its position was filled again and again before records began: by wear, and by renewals for other
reasons at a constant rate. On the operational clock a part lasts beyond t with chance
exp(-t^shape - rate t). Seen from a moment when the position had run a distance a, and unbroken for
x since, the part was fitted a distance u before that moment with weight m(a - u) times the chance of
lasting u + x, m being the density of renewals; or it is still the first part.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["AGE_CELLS", "AgePoints", "age_distribution", "renewal_counts"]

Array = NDArray[Any]
#: Cells of the age distribution; the last point is the first part of the position.
AGE_CELLS = 16
#: Beyond this multiple of its scale the past of a position no longer matters (Cox, Renewal Theory,
#: 1962, sec. 5: the process is stationary).
_OLDEST = 8.0
_GRID_CELLS = 320
#: Rates are rounded to this ratio, so that a fleet needs few renewal tables.
_RATE_STEP = 1.15


@dataclass(frozen=True)
class AgePoints:
    """Operational ages a part may have, with weights.

    Parameters
    ----------
    psi, weight : ndarray, shape (n_parts, n_points)
        Ages on the operational clock and their probabilities; a known age has all weight on one.
    """

    psi: Array
    weight: Array

    def mean(self) -> Array:
        """Mean operational age, shape (n_parts,)."""
        return (self.psi * self.weight).sum(axis=1)


def renewal_counts(*, shape: float, rate: float, limit: float, cells: int = _GRID_CELLS) -> Array:
    """Expected number of renewals up to each grid point.

    Parameters
    ----------
    shape : float
        Weibull shape [-]; the scale is 1.
    rate : float
        Renewals for other reasons, 0 or more, per unit of the operational clock.
    limit : float
        End of the grid [-].
    cells : int
        Number of cells.

    Returns
    -------
    ndarray, shape (cells + 1,)
        M(t) at t = 0, limit / cells, ..., limit.

    Notes
    -----
    Midpoint recursion of the renewal equation M = F + F * dM.
    """
    step = limit / cells
    points = step * np.arange(cells + 1)

    def fails(t: Array) -> Array:
        return -np.expm1(-np.power(t, shape) - rate * t)

    whole, middle = fails(points), fails(points[:-1] + step / 2.0)
    counts = np.zeros(cells + 1)
    gains = np.zeros(cells)
    for i in range(1, cells + 1):
        past = float(gains[: i - 1] @ middle[1:i][::-1])
        counts[i] = (whole[i] + past - counts[i - 1] * middle[0]) / (1.0 - middle[0])
        gains[i - 1] = counts[i] - counts[i - 1]
    return counts


def age_distribution(
    *, before: Array, since: Array, shape: float, rate: Array, cells: int = AGE_CELLS
) -> AgePoints:
    """Ages of parts of unknown fitting date.

    Parameters
    ----------
    before : ndarray, shape (n_parts,)
        Operational distance the position can have run before observation began [-].
    since : ndarray, shape (n_parts,)
        Operational distance seen since, unbroken [-].
    shape : float
        Weibull shape [-].
    rate : ndarray, shape (n_parts,)
        Renewals for other reasons per unit of the operational clock.
    cells : int
        Cells of the time of fitting.

    Returns
    -------
    AgePoints
        Middles of equal cells of the time of fitting, and the first part last.
    """
    oldest = np.minimum(before, _OLDEST)
    edges = oldest[:, None] * np.linspace(0.0, 1.0, cells + 1)
    renewals = _counts_at(before[:, None] - edges, shape=shape, rate=rate)
    psi = np.column_stack([(edges[:, 1:] + edges[:, :-1]) / 2.0 + since[:, None], before + since])
    # Weights in logs: a long unseen past makes every survivor unlikely, only ratios matter.
    gained = np.log(np.maximum(renewals[:, :-1] - renewals[:, 1:], 1e-300))
    logs = np.column_stack([gained, np.zeros(len(before))]) - np.power(psi, shape) - rate[:, None] * psi
    scaled = np.exp(logs - logs.max(axis=1, keepdims=True))
    return AgePoints(psi, scaled / scaled.sum(axis=1, keepdims=True))


def _counts_at(distance: Array, *, shape: float, rate: Array) -> Array:
    """Renewals up to operational distances, one table for each rounded rate."""
    rounded = np.where(rate > 1e-6, _RATE_STEP ** np.round(np.log(np.maximum(rate, 1e-6)) / np.log(_RATE_STEP)), 0.0)
    values, index = np.unique(rounded, return_inverse=True)
    out = np.empty_like(distance)
    grid = np.linspace(0.0, _OLDEST, _GRID_CELLS + 1)
    for i, value in enumerate(values):
        counts = renewal_counts(shape=shape, rate=float(value), limit=_OLDEST)
        slope = (counts[-1] - counts[-40]) / (grid[-1] - grid[-40])
        mine = distance[index == i]
        out[index == i] = np.interp(mine, grid, counts) + np.maximum(mine - _OLDEST, 0.0) * slope
    return out
