"""Expected renewals of fitted parts month by month, repeat failures among them, without drawing futures.

Only NumPy here. Each part's renewals are followed on a grid of its own distance: what was renewed in one step fails
again in a later one with the chance a new part has.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["expected_demand"]

Array = NDArray[Any]
#: Parts worked off at once: so many that what is held of them stays in the processor's fast memory.
_AT_ONCE = 8_192
#: A new part goes on by no more than this in one step, in units of its scale; parts that wear out in a few months take
#: more steps than there are months.
_LONGEST_STEP, _MOST_STEPS = 0.12, 1_536


def expected_demand(
    age: Array, pace: Array, distance: Array, *, shape: float, other_rate: float = 0.0
) -> Array:
    """Expected renewals of each part and its successors in each month.

    Parameters
    ----------
    age : ndarray, shape (n_parts,)
        Operational ages now, in units of the scale [-].
    pace : ndarray, shape (n_parts,)
        Operational distance per distance driven [1 / distance].
    distance : ndarray, shape (n_parts, n_months)
        Distance driven in each month, 0 or more [distance].
    shape : float
        Weibull shape [-].
    other_rate : float
        Renewals that are not wear, at any age alike [1 / distance].

    Returns
    -------
    ndarray, shape (n_parts, n_months)
        Renewals for wear and for other reasons together.

    Notes
    -----
    With G the law of the distance to a part's first renewal and F that of a new one, expected renewals N by a distance
    obey N(x) = G(x) + integral_0^x F(x - u) dN(u). First renewals are exact at the ends of months; the integral is
    summed over equal steps, F taken at the middle of each, an error that falls with the square of the step.

    Examples
    --------
    >>> expected_demand(np.array([0.5]), np.array([0.1]), np.full((1, 2), 1.0), shape=2.0).round(4)
    array([[0.1046, 0.1233]])
    """
    months, count = distance.shape[1], len(age)
    # Months first: what is read together lies together.
    edges = np.ascontiguousarray(distance.T)
    edges = np.cumsum(edges, axis=0, out=edges if not np.shares_memory(edges, distance) else None)
    wanted = edges[-1] * pace / (_LONGEST_STEP * months)
    # The number of steps is doubled until it is enough, so that few sizes of grids occur.
    steps = months * 2 ** np.ceil(np.log2(np.clip(wanted, 1.0, _MOST_STEPS / months))).astype(int)
    steps[~(edges[-1] > 0.0)] = 0
    out = np.zeros((months, count))
    for first in range(0, count, _AT_ONCE):
        some = slice(first, first + _AT_ONCE)
        sizes = np.unique(steps[some])
        for size in sizes[sizes > 0]:
            at = some if len(sizes) == 1 else first + np.flatnonzero(steps[some] == size)
            out[:, at] = _of_some(age[at], pace[at], edges[:, at], int(size), shape=shape, rate=other_rate)
    return out.T


def _of_some(age: Array, pace: Array, edges: Array, steps: int, *, shape: float, rate: float) -> Array:
    """Renewals in each month, shape (n_months, n_parts), on a grid of so many steps."""
    step = edges[-1] / steps
    total = _by(edges, age, pace, shape=shape, rate=rate)
    # Repeats are a part of demand: seven digits of them are enough, and take half the time.
    short = (np.asarray(values, dtype=np.float32) for values in (step, age, pace))
    total += _between(_repeats(*short, steps, shape=shape, rate=rate), edges, step)
    total[1:] -= total[:-1].copy()
    return total


def _by(distance: Array, age: Array, pace: Array, *, shape: float, rate: float) -> Array:
    """Chance of a first renewal by each distance, shape (n_distances, n_parts)."""
    lasted = pace * distance
    lasted += age
    with np.errstate(divide="ignore"):
        spent = np.exp(shape * np.log(age))
        np.log(lasted, out=lasted)
    lasted *= shape
    np.exp(lasted, out=lasted)
    np.subtract(spent, lasted, out=lasted)
    if rate:
        lasted -= rate * distance
    np.exp(lasted, out=lasted)
    return np.subtract(1.0, lasted, out=lasted)


def _between(repeats: Array, edges: Array, step: Array) -> Array:
    """Repeats at the ends of months, straight on between the steps: what they bring is small and smooth."""
    steps = len(repeats) - 1
    where = edges[:, 0] / step[0]
    if np.abs(edges - where[:, None] * step).max() < 1e-9 * step.max():
        # All parts run by one season: the same steps for all.
        low = np.minimum(where.astype(np.intp), steps - 1)
        share = (where - low).astype(repeats.dtype)[:, None]
        return np.asarray(repeats[low] + share * (repeats[low + 1] - repeats[low]))
    place = edges / step
    low, part = np.minimum(place.astype(np.intp), steps - 1), np.arange(repeats.shape[1])
    begin, end = repeats[low, part], repeats[low + 1, part]
    return np.asarray(begin + (place - low) * (end - begin))


def _repeats(step: Array, age: Array, pace: Array, steps: int, *, shape: float, rate: float) -> Array:
    """Renewals beyond the first by each step, from 0 on, shape (n_steps + 1, n_parts)."""
    kind = step.dtype
    first = _by(np.arange(1, steps + 1, dtype=kind)[:, None] * step, age, pace, shape=shape, rate=rate)
    # A new part half a step into its life, one and a half, ...: powers of the counts and of the step apart.
    counts = np.arange(steps, dtype=kind)[:, None] + kind.type(0.5)
    fresh = np.power(counts, kind.type(shape)) * -np.exp(shape * np.log(step * pace))
    if rate:
        fresh -= counts * (rate * step)
    np.exp(fresh, out=fresh)
    np.subtract(1.0, fresh, out=fresh)
    renewed, repeats = np.empty_like(first), np.zeros((steps + 1, len(age)), dtype=kind)
    kept, latest = 1.0 - fresh[0], np.zeros(len(age), dtype=kind)
    for at in range(steps):
        # Of what was renewed in earlier steps; that of the same step is on both sides of the equation.
        total = np.einsum("ij,ij->j", renewed[:at], fresh[at:0:-1])
        total += first[at]
        total -= latest * fresh[0]
        total /= kept
        np.subtract(total, latest, out=renewed[at])
        np.subtract(total, first[at], out=repeats[at + 1])
        latest = total
    return repeats
