"""Lives as arrays for the likelihood, with stretched clocks where covariates change."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["LifeData", "build_life_data", "build_stretched_life_data", "rows_of_runs"]

Array = NDArray[Any]


@dataclass(frozen=True)
class LifeData:
    """Lives cut into segments of constant covariates.

    Parameters
    ----------
    life : ndarray of int, shape (n_segments,)
        Index of the life each segment belongs to, ascending.
    start : ndarray of int, shape (n_lives,)
        First segment of each life.
    design : ndarray, shape (n_segments, n_coefficients)
        Covariates of the log scale.
    before_entry, before_low, before_high : ndarray, shape (n_segments,)
        Distance run in the segment before the life's entry, stop_low and stop_high [distance]; for
        a censored life `before_high` is not used.
    last : ndarray of int, shape (n_lives,)
        Segment in which the life ends.
    exact, interval : ndarray of bool, shape (n_lives,)
        Failure seen to the distance; failure known to an interval. Neither: censored.
    entered : ndarray of bool, shape (n_lives,)
        Whether entry is above 0.
    weight : ndarray, shape (n_lives,)
        Weight of each life.
    cluster : ndarray of int, shape (n_lives,)
        Vehicle index.
    """

    life: Array
    start: Array
    design: Array
    before_entry: Array
    before_low: Array
    before_high: Array
    last: Array
    exact: Array
    interval: Array
    entered: Array
    weight: Array
    cluster: Array

    @property
    def lives(self) -> int:
        """Number of lives."""
        return len(self.weight)

    @property
    def failures(self) -> float:
        """Weighted number of failures."""
        return float(self.weight @ (self.exact | self.interval))

    def segments_of(self, lives: Array) -> Array:
        """Segments of some lives, life by life.

        Parameters
        ----------
        lives : ndarray of int, shape (n_chosen,)
            Which lives.

        Returns
        -------
        ndarray of int
            Rows of the design.
        """
        if len(self.life) == self.lives:
            return lives
        return rows_of_runs(self.start[lives], self._segment_counts(lives))

    def _segment_counts(self, lives: Array) -> Array:
        if len(self.life) == self.lives:
            return np.ones(len(lives), dtype=np.intp)
        return np.append(self.start, len(self.life))[lives + 1] - self.start[lives]

    def subset(self, lives: Array) -> "LifeData":
        """Some of the lives.

        Parameters
        ----------
        lives : ndarray of int, shape (n_chosen,)
            Which lives, each once.

        Returns
        -------
        LifeData
            In the order asked for; neighbours of one segment each are not copied.
        """
        neighbours = len(self.life) == self.lives and len(lives) > 0 and bool(np.all(np.diff(lives) == 1))
        at = slice(int(lives[0]), int(lives[-1]) + 1) if neighbours else lives
        segments = at if neighbours else self.segments_of(lives)
        many = self._segment_counts(lives)
        start = np.cumsum(many) - many
        return LifeData(
            life=np.repeat(np.arange(len(lives)), many),
            start=start,
            design=self.design[segments],
            before_entry=self.before_entry[segments],
            before_low=self.before_low[segments],
            before_high=self.before_high[segments],
            last=self.last[lives] - self.start[lives] + start,
            exact=self.exact[at],
            interval=self.interval[at],
            entered=self.entered[at],
            weight=self.weight[at],
            cluster=self.cluster[at],
        )

    def operational_ages(self, coefficients: Array) -> tuple[Array, Array, Array]:
        """Ages on the operational clock, where the scale is 1.

        Parameters
        ----------
        coefficients : ndarray, shape (n_coefficients,)
            Of the log scale [log distance].

        Returns
        -------
        tuple of ndarray, each of shape (n_lives,)
            At entry, stop_low and stop_high; for a censored life the last is the second again.
        """
        pace = np.exp(-(self.design @ coefficients))
        entry, low, high = (
            np.add.reduceat(pace * run, self.start) if self.lives else np.empty(0)
            for run in (self.before_entry, self.before_low, self.before_high)
        )
        return entry, low, np.where(self.interval, high, low)

    def in_units_of(self, unit: float) -> "LifeData":
        """The same with distances divided by a unit [distance]."""
        return replace(
            self,
            before_entry=self.before_entry / unit,
            before_low=self.before_low / unit,
            before_high=self.before_high / unit,
        )


def rows_of_runs(start: Array, many: Array) -> Array:
    """Rows of some runs of neighbouring rows, run by run.

    Parameters
    ----------
    start, many : ndarray of int, shape (n_runs,)
        First row of each run, and how many it has.

    Returns
    -------
    ndarray of int, shape (sum of many,)
        In the order of the runs.
    """
    before = np.cumsum(many) - many
    return np.asarray(np.arange(many.sum()) + np.repeat(start - before, many))


def _check_ages(entry: Array, stop_low: Array, stop_high: Array) -> None:
    """The invariant of a life: 0 <= entry <= stop_low <= stop_high, and something was seen."""
    with np.errstate(invalid="ignore"):
        good = (entry >= 0) & (entry <= stop_low) & (stop_low <= stop_high) & np.isfinite(stop_low)
        good &= (stop_low > entry) | ((stop_high > stop_low) & np.isfinite(stop_high))
    if not good.all():
        rows = np.flatnonzero(~good)
        shown = "; ".join(f"row {i}: {entry[i]:g}, {stop_low[i]:g}, {stop_high[i]:g}" for i in rows[:3])
        raise ValueError(
            f"{len(rows)} lives break 0 <= entry <= stop_low <= stop_high with some distance seen ({shown})"
        )


def build_life_data(
    *,
    entry: ArrayLike,
    stop_low: ArrayLike,
    stop_high: ArrayLike,
    design: ArrayLike | None = None,
    weight: ArrayLike | None = None,
    cluster: ArrayLike | None = None,
) -> LifeData:
    """Life data for covariates that stay constant through each life.

    Parameters
    ----------
    entry, stop_low, stop_high : array_like, shape (n_lives,)
        Ages [distance]; `stop_high` infinite for a censored life, equal to `stop_low` for a failure
        seen to the distance.
    design : array_like, shape (n_lives, n_coefficients), optional
        Default: an intercept alone.
    weight : array_like, shape (n_lives,), optional
        Default 1.
    cluster : array_like of int, shape (n_lives,), optional
        Vehicle index; default: each life its own.

    Returns
    -------
    LifeData
        One segment a life.

    Raises
    ------
    ValueError
        If a life breaks 0 <= entry <= stop_low <= stop_high, or nothing of it was seen.
    """
    age_entry, low, high = (np.asarray(a, dtype=float) for a in (entry, stop_low, stop_high))
    _check_ages(age_entry, low, high)
    n = len(low)
    each = np.arange(n)
    exact = high == low
    interval = np.isfinite(high) & ~exact
    return LifeData(
        life=each,
        start=each,
        design=np.ones((n, 1)) if design is None else np.asarray(design, dtype=float),
        before_entry=age_entry,
        before_low=low,
        before_high=np.where(interval, high, low),
        last=each,
        exact=exact,
        interval=interval,
        entered=age_entry > 0,
        weight=np.ones(n) if weight is None else np.asarray(weight, dtype=float),
        cluster=each if cluster is None else np.asarray(cluster, dtype=np.intp),
    )


def build_stretched_life_data(
    *,
    life: ArrayLike,
    segment_from: ArrayLike,
    segment_to: ArrayLike,
    design: ArrayLike,
    entry: ArrayLike,
    stop_low: ArrayLike,
    stop_high: ArrayLike,
    weight: ArrayLike | None = None,
    cluster: ArrayLike | None = None,
) -> LifeData:
    """Life data for covariates that change within a life (accelerated life: a stretched clock).

    Parameters
    ----------
    life : array_like of int, shape (n_segments,)
        Life index, ascending; each life has at least one segment.
    segment_from, segment_to : array_like, shape (n_segments,)
        Ages between which the covariates hold [distance]; contiguous, the first from 0, the last
        to at least the end of the life.
    design : array_like, shape (n_segments, n_coefficients)
        Covariates of the log scale.
    entry, stop_low, stop_high, weight, cluster
        As in `build_life_data`, one row a life.

    Returns
    -------
    LifeData
        Ready for `fit_lives`.

    Raises
    ------
    ValueError
        If a life breaks the invariant of ages.
    """
    index = np.asarray(life, dtype=np.intp)
    age_entry, low, high = (np.asarray(a, dtype=float) for a in (entry, stop_low, stop_high))
    _check_ages(age_entry, low, high)
    n = len(low)
    begin, end = np.asarray(segment_from, dtype=float), np.asarray(segment_to, dtype=float)
    exact = high == low
    interval = np.isfinite(high) & ~exact
    top = np.where(interval, high, low)
    start = np.searchsorted(index, np.arange(n))
    # The life ends in the last of its segments that begins before its end.
    reached = (begin < top[index]) | (begin == 0.0)
    last = np.maximum.reduceat(np.where(reached, np.arange(len(index)), -1), start) if n else start

    def inside(age: Array) -> Array:
        return np.clip(age[index], begin, end) - begin

    return LifeData(
        life=index,
        start=start,
        design=np.asarray(design, dtype=float),
        before_entry=inside(age_entry),
        before_low=inside(low),
        before_high=inside(top),
        last=last,
        exact=exact,
        interval=interval,
        entered=age_entry > 0,
        weight=np.ones(n) if weight is None else np.asarray(weight, dtype=float),
        cluster=np.arange(n) if cluster is None else np.asarray(cluster, dtype=np.intp),
    )
