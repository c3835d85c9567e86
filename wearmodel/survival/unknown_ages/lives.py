"""Lives whose fitting date is unknown when records begin, as arrays for the likelihood."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival.life_data import build_stretched_life_data, rows_of_runs

__all__ = ["UnknownAges", "build_unknown_ages", "no_unknown_ages"]

Array = NDArray[Any]


@dataclass(frozen=True)
class UnknownAges:
    """First lives under observation of positions that were in service before records began.

    Parameters
    ----------
    life : ndarray of int, shape (n_segments,)
        Index of the life each segment belongs to, ascending.
    start : ndarray of int, shape (n_lives,)
        First segment of each life.
    design : ndarray, shape (n_segments, n_coefficients)
        Covariates of the log scale.
    before : ndarray, shape (n_segments,)
        Distance the position ran in the segment from its first service until records began [distance].
    to_low, to_high : ndarray, shape (n_segments,)
        Distance run in the segment from the start of records until the life was last seen good, and until it was seen
        failed [distance]; equal unless the failure is known to an interval.
    last : ndarray of int, shape (n_lives,)
        Segment in which the life ends.
    exact, interval : ndarray of bool, shape (n_lives,)
        Failure seen to the distance; failure known to an interval. Neither: censored, a renewal for another reason
        included.
    renewals : ndarray, shape (n_lives,)
        Expected renewals for reasons other than wear before records began.
    weight : ndarray, shape (n_lives,)
        Weight of each life.
    cluster : ndarray of int, shape (n_lives,)
        Vehicle index, the same as in the ordinary lives.
    """

    life: Array
    start: Array
    design: Array
    before: Array
    to_low: Array
    to_high: Array
    last: Array
    exact: Array
    interval: Array
    renewals: Array
    weight: Array
    cluster: Array

    @property
    def lives(self) -> int:
        """Number of lives."""
        return len(self.weight)

    @property
    def failures(self) -> float:
        """Weighted number of failures."""
        return float(self.weight[self.exact | self.interval].sum())

    def in_units_of(self, unit: float) -> "UnknownAges":
        """The same with distances divided by a unit [distance]."""
        return replace(self, before=self.before / unit, to_low=self.to_low / unit, to_high=self.to_high / unit)

    def subset(self, lives: Array) -> "UnknownAges":
        """Some of the lives.

        Parameters
        ----------
        lives : ndarray of int, shape (n_chosen,)
            Which lives, each once.

        Returns
        -------
        UnknownAges
            In the order asked for.
        """
        many = np.append(self.start, len(self.life))[lives + 1] - self.start[lives]
        start = np.cumsum(many) - many
        at = rows_of_runs(self.start[lives], many)
        return UnknownAges(
            life=np.repeat(np.arange(len(lives)), many),
            start=start,
            design=self.design[at],
            before=self.before[at],
            to_low=self.to_low[at],
            to_high=self.to_high[at],
            last=self.last[lives] - self.start[lives] + start,
            exact=self.exact[lives],
            interval=self.interval[lives],
            renewals=self.renewals[lives],
            weight=self.weight[lives],
            cluster=self.cluster[lives],
        )


def build_unknown_ages(
    *,
    observed_from: ArrayLike,
    stop_low: ArrayLike,
    stop_high: ArrayLike,
    life: ArrayLike | None = None,
    segment_from: ArrayLike | None = None,
    segment_to: ArrayLike | None = None,
    design: ArrayLike | None = None,
    other_rate: ArrayLike = 0.0,
    weight: ArrayLike | None = None,
    cluster: ArrayLike | None = None,
) -> UnknownAges:
    """Arrays of lives of unknown fitting date; distances count from the first service of the position.

    Parameters
    ----------
    observed_from : array_like, shape (n_lives,)
        Distance of the position when records began, 0 or more [distance].
    stop_low, stop_high : array_like, shape (n_lives,)
        Distance of the position when the life was last seen good and when it was seen failed [distance]; equal for a
        failure seen to the distance, `stop_high` infinite for a censored life.
    life : array_like of int, shape (n_segments,), optional
        Life of each segment, ascending; default one segment a life.
    segment_from, segment_to : array_like, shape (n_segments,), optional
        Distances of the position between which covariates hold [distance]; contiguous, the first from 0, the last to
        at least the end of the life.
    design : array_like, shape (n_segments, n_coefficients), optional
        Covariates of the log scale; default an intercept alone.
    other_rate : array_like, shape (n_lives,) or a number
        Renewals for reasons other than wear before records began, 0 or more [1 / distance].
    weight, cluster
        As in `build_life_data`, one a life.

    Returns
    -------
    UnknownAges
        Ready for `fit_with_unknown_ages`.

    Raises
    ------
    ValueError
        If a life breaks 0 <= observed_from <= stop_low <= stop_high, nothing of it was seen, or a rate is negative.
    """
    count = len(np.asarray(stop_low))
    if life is None:
        life, segment_from, segment_to = np.arange(count), np.zeros(count), np.full(count, np.inf)
    elif segment_from is None or segment_to is None:
        raise ValueError("segments of lives need segment_from and segment_to")
    data = build_stretched_life_data(
        life=life,
        segment_from=segment_from,
        segment_to=segment_to,
        design=np.ones((count, 1)) if design is None else design,
        entry=observed_from,
        stop_low=stop_low,
        stop_high=stop_high,
        weight=weight,
        cluster=cluster,
    )
    rate = np.broadcast_to(np.asarray(other_rate, dtype=float), (count,))
    if not ((rate >= 0) & np.isfinite(rate)).all():
        raise ValueError("rates of other renewals must be 0 or more and finite")
    return UnknownAges(
        life=data.life,
        start=data.start,
        design=data.design,
        before=data.before_entry,
        to_low=data.before_low - data.before_entry,
        to_high=data.before_high - data.before_entry,
        last=data.last,
        exact=data.exact,
        interval=data.interval,
        renewals=rate * np.asarray(observed_from, dtype=float),
        weight=data.weight,
        cluster=data.cluster,
    )


def no_unknown_ages(coefficients: int) -> UnknownAges:
    """No life of unknown fitting date at all.

    Parameters
    ----------
    coefficients : int
        Design columns.

    Returns
    -------
    UnknownAges
        Empty.
    """
    none = np.zeros(0)
    return build_unknown_ages(
        observed_from=none,
        stop_low=none,
        stop_high=none,
        life=none.astype(np.intp),
        segment_from=none,
        segment_to=none,
        design=np.zeros((0, coefficients)),
    )
