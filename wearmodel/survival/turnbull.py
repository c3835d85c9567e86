"""The non-parametric curve of lives known only to intervals, with late entry."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["IntervalCurve", "turnbull_curve"]

Array = NDArray[Any]
_MOST_ROUNDS = 20_000
# What the cell that gains most may still draw beyond its share: of a few lives, and of as many as a fleet has.
_SETTLED, _SETTLED_OF_MANY, _MANY_LIVES = 1e-7, 1e-6, 1_000
_TRIVIAL = 1e-7
_LEAST_CHANCE = 1e-300
_LEFT_OVER = 0.1


@dataclass(frozen=True)
class IntervalCurve:
    """Masses of failure between ages; where within (low, high] they lie nobody can say.

    Parameters
    ----------
    low, high : ndarray, shape (n_masses,)
        Ages, open and closed; equal for a failure seen to the distance, `high` infinite for what has not failed.
    mass : ndarray, shape (n_masses,)
        Shares, summing to 1.
    log_likelihood : float
        At the maximum.
    settled : bool
        Whether no mass can be moved to gain any more.
    """

    low: Array
    high: Array
    mass: Array
    log_likelihood: float
    settled: bool

    @property
    def survival(self) -> Array:
        """Survival at each `high`."""
        return np.maximum(1.0 - np.cumsum(self.mass), 0.0)


def turnbull_curve(
    *, entry: ArrayLike, stop_low: ArrayLike, stop_high: ArrayLike, weight: ArrayLike | None = None
) -> IntervalCurve:
    """Non-parametric maximum likelihood of interval-censored lives with late entry.

    Parameters
    ----------
    entry, stop_low, stop_high : array_like, shape (n_lives,)
        Found good at `stop_low`, failed by `stop_high`: the interval is (low, high]; infinite `stop_high` for lives
        that have not failed, equal bounds for failures seen to the distance; under observation beyond `entry`.
    weight : array_like, shape (n_lives,), optional
        Default 1.

    Returns
    -------
    IntervalCurve
        Masses above 0.

    References
    ----------
    Turnbull (1976), Journal of the Royal Statistical Society B 38; sped up by squared extrapolation (Varadhan & Roland,
    Scandinavian Journal of Statistics 35, 2008).
    """
    begin, low, high = (np.asarray(a, dtype=float) for a in (entry, stop_low, stop_high))
    own = np.ones(len(low)) if weight is None else np.asarray(weight, dtype=float)
    used = own > 0
    begin, low, high, own = begin[used], low[used], high[used], own[used]
    cells = _cells(begin, low, high)
    steps = _Rounds(cells, own)
    mass = np.full(len(cells.low), 1.0 / len(cells.low))
    settled, allowed = False, _SETTLED_OF_MANY if own.sum() > _MANY_LIVES else _SETTLED
    for _ in range(_MOST_ROUNDS):
        mass = steps.extrapolated(mass)
        if steps.steepest(mass) < 1.0 + allowed:
            settled = True
            break
    kept = mass > _TRIVIAL
    return IntervalCurve(cells.low[kept], cells.high[kept], mass[kept], steps.log_likelihood(mass), settled)


@dataclass(frozen=True)
class _Cells:
    """Innermost intervals that can carry mass, and which of them each life covers: first to before last."""

    low: Array
    high: Array
    first: Array
    last: Array
    after_entry: Array


def _cells(begin: Array, low: Array, high: Array) -> _Cells:
    """Mass lies only between a left end and the right end that follows it next.

    At one age the left end of a failure seen there comes first, then right ends, then open left ends and entries.
    """
    n = len(low)
    ages = np.concatenate([low, begin, high])
    ranks = np.concatenate([np.where(high == low, -1.0, 1.0), np.ones(n), np.zeros(n)])
    ends, code = np.unique(np.column_stack([ages, ranks]), axis=0, return_inverse=True)
    code = code.reshape(-1)
    is_right = ends[:, 1] == 0.0
    starts = np.flatnonzero(~is_right[:-1] & is_right[1:])
    return _Cells(
        low=ends[starts, 0],
        high=ends[starts + 1, 0],
        first=np.searchsorted(starts, code[:n], side="left"),
        last=np.searchsorted(starts + 1, code[2 * n :], side="right"),
        after_entry=np.searchsorted(starts, code[n : 2 * n], side="left"),
    )


class _Rounds:
    """Rounds of self-consistency: each life spreads its weight over the cells it covers."""

    def __init__(self, cells: _Cells, weight: Array) -> None:
        self._cells, self._weight = cells, weight
        self._size = len(cells.low)

    def _chances(self, mass: Array) -> tuple[Array, Array]:
        """Chance of what was seen of each life, and of being seen at all."""
        sums = np.concatenate([[0.0], np.cumsum(mass)])
        cells = self._cells
        return sums[cells.last] - sums[cells.first], sums[-1] - sums[cells.after_entry]

    def _spread(self, values: Array, first: Array, last: Array) -> Array:
        """Sum over lives of a value on all the cells from `first` to before `last`."""
        steps = np.bincount(first, values, minlength=self._size + 1)
        steps -= np.bincount(last, values, minlength=self._size + 1)
        return np.asarray(np.cumsum(steps)[:-1])

    def _pulls(self, mass: Array) -> tuple[Array, Array]:
        """What draws mass to each cell, and what late entries expect there."""
        seen, entered = self._chances(mass)
        cells, end = self._cells, np.full(len(self._weight), self._size)
        gained = self._spread(self._weight / np.maximum(seen, _LEAST_CHANCE), cells.first, cells.last)
        expected = self._spread(self._weight / np.maximum(entered, _LEAST_CHANCE), cells.after_entry, end)
        return gained, expected

    def log_likelihood(self, mass: Array) -> float:
        """Weighted log chance of what was seen, given that it was."""
        seen, entered = self._chances(mass)
        with np.errstate(divide="ignore"):
            return float(self._weight @ (np.log(seen) - np.log(entered)))

    def steepest(self, mass: Array) -> float:
        """At the maximum no cell draws more than it should: 1, as far as it can be told."""
        gained, expected = self._pulls(mass)
        return float((gained / expected).max())

    def once(self, mass: Array) -> Array:
        """One round; lives that would have failed before their entry count as expected beside those seen."""
        gained, expected = self._pulls(mass)
        total = float((self._weight / np.maximum(self._chances(mass)[1], _LEAST_CHANCE)).sum())
        return mass * (gained + total - expected) / total

    def extrapolated(self, mass: Array) -> Array:
        """Two rounds, a squared step along their change, and one more; plain rounds where the step loses."""
        first = self.once(mass)
        second = self.once(first)
        change = first - mass
        bend = (second - first) - change
        size = float(np.sqrt((bend**2).sum()))
        if size < 1e-300:
            return second
        length = -max(float(np.sqrt((change**2).sum())) / size, 1.0)
        # A mass that falls to nothing would stay there for ever: rounds only multiply.
        far = np.maximum(mass - 2.0 * length * change + length**2 * bend, _LEFT_OVER * second)
        if self.log_likelihood(far / far.sum()) >= self.log_likelihood(second):
            return self.once(far / far.sum())
        return second
