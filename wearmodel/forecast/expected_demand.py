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
_AT_ONCE = 8192
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
    array([[0.1044, 0.1115]])
    """
    months, count = distance.shape[1], len(age)
    # Months first: what is read together lies together.
    edges = np.array(distance.T, dtype=float, order="C")
    for month in range(1, months):
        edges[month] += edges[month - 1]
    wanted = edges[-1] * pace / (_LONGEST_STEP * months)
    # The number of steps is doubled until it is enough, so that few sizes of grids occur.
    steps = months * 2 ** np.ceil(np.log2(np.clip(wanted, 1.0, _MOST_STEPS / months))).astype(int)
    steps[~(edges[-1] > 0.0)] = 0
    rooms = {int(size): _Room(int(size), months, min(count, _AT_ONCE)) for size in np.unique(steps[steps > 0])}
    for first in range(0, count, _AT_ONCE):
        some = slice(first, first + _AT_ONCE)
        sizes = np.unique(steps[some])
        for size in sizes[sizes > 0]:
            at = some if len(sizes) == 1 else first + np.flatnonzero(steps[some] == size)
            room = rooms[int(size)]
            # What has been read is written over; vehicles that stand have 0 there already.
            edges[:, at] = room.renewals(age[at], pace[at], edges[:, at], shape=shape, rate=other_rate)
    return edges.T


class _Room:
    """Memory for some parts at once, used over and over: to ask for it anew each time takes as long as the sums."""

    def __init__(self, steps: int, months: int, parts: int) -> None:
        self.steps = steps
        self.total, self.spare = np.empty((2, months, parts))
        # Repeats are a part of demand: seven digits of them are enough, and take half the time.
        self.first, self.fresh, self.renewed = np.empty((3, steps, parts), dtype=np.float32)
        self.repeats = np.zeros((steps + 1, parts), dtype=np.float32)

    def renewals(self, age: Array, pace: Array, edges: Array, *, shape: float, rate: float) -> Array:
        """Renewals in each month, shape (n_months, n_parts)."""
        parts = len(age)
        step = edges[-1] / self.steps
        total, spare = self.total[:, :parts], self.spare[:, :parts]
        np.multiply(edges, pace, out=total)
        _by(total, edges, age, shape=shape, rate=rate)
        self._follow(*(values.astype(np.float32) for values in (step, age, pace)), shape=shape, rate=rate)
        total += self._between(edges, step, spare)
        np.subtract(total[1:], total[:-1], out=spare[1:])
        spare[0] = total[0]
        return spare

    def _follow(self, step: Array, age: Array, pace: Array, *, shape: float, rate: float) -> None:
        """Renewals beyond the first by each step, from 0 on."""
        parts, steps = len(age), self.steps
        first, fresh, renewed = self.first[:, :parts], self.fresh[:, :parts], self.renewed[:, :parts]
        counts = np.arange(1, steps + 1, dtype=np.float32)[:, None]
        np.multiply(counts, step * pace, out=first)
        _by(first, counts * step if rate else first, age, shape=shape, rate=rate)
        # A new part half a step into its life, one and a half, ...: powers of the counts and of the step apart.
        half = counts - np.float32(0.5)
        np.multiply(np.power(half, np.float32(shape)), -np.exp(shape * np.log(step * pace)), out=fresh)
        if rate:
            fresh -= half * (rate * step)
        np.exp(fresh, out=fresh)
        np.subtract(1.0, fresh, out=fresh)
        kept, latest = 1.0 - fresh[0], np.zeros(parts, dtype=np.float32)
        for at in range(steps):
            # Of what was renewed in earlier steps; that of the same step is on both sides of the equation.
            total = np.einsum("ij,ij->j", renewed[:at], fresh[at:0:-1])
            total += first[at]
            total -= latest * fresh[0]
            total /= kept
            np.subtract(total, latest, out=renewed[at])
            np.subtract(total, first[at], out=self.repeats[at + 1, :parts])
            latest = total

    def _between(self, edges: Array, step: Array, spare: Array) -> Array:
        """Repeats at the ends of months, straight on between the steps: what they bring is small and smooth."""
        repeats, steps = self.repeats[:, : len(step)], self.steps
        where = edges[:, 0] / step[0]
        np.multiply(where[:, None], step, out=spare)
        spare -= edges
        low = np.minimum(where.astype(np.intp), steps - 1)
        if max(spare.max(), -spare.min()) < 1e-9 * step.max():
            # All parts run by one season: the same steps for all.
            share = where - low
            np.multiply(repeats[low], (1.0 - share)[:, None], out=spare)
            for month, at in enumerate(low):
                spare[month] += share[month] * repeats[at + 1]
            return spare
        place = edges / step
        at, part = np.minimum(place.astype(np.intp), steps - 1), np.arange(len(step))
        begin, end = repeats[at, part], repeats[at + 1, part]
        return np.asarray(begin + (place - at) * (end - begin))


def _by(lasted: Array, distance: Array, age: Array, *, shape: float, rate: float) -> None:
    """Chance of a first renewal by each distance, in place of what is run by then on the part's own clock."""
    with np.errstate(divide="ignore"):
        spent = np.exp(shape * np.log(age))
        lasted += age
        np.log(lasted, out=lasted)
    lasted *= shape
    np.exp(lasted, out=lasted)
    np.subtract(spent, lasted, out=lasted)
    if rate:
        lasted -= rate * distance
    np.exp(lasted, out=lasted)
    np.subtract(1.0, lasted, out=lasted)
