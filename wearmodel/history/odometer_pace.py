"""Figures in order of time, and how vehicles usually run."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.history.odometer_figures import ClockUnit

__all__ = ["Pace", "Track", "estimate_pace", "log_t", "log_trip"]

Array = NDArray[Any]

# Running over a step is drawn from Student's t with this many degrees of freedom: long rests happen, and hurry.
_FREEDOM = 4.0
_LOG_T = -0.981
# Long trips: up to this many days, and more in this share of a long time, at this share of the farthest in a day; and
# how often a step holds some. Own choice.
_TRIP_DAYS = 10.0
_TRIPS_OF_TIME = 0.1
_TRIP_SHARE = 0.65
_LOG_TRIP = -4.6
# Over years a vehicle's pace is off its usual by about this share; own choice.
_DRIFT = 0.4
_YEAR = 365.25


@dataclass(frozen=True)
class Track:
    """Figures by vehicle and day, ready for the chain.

    Parameters
    ----------
    vehicle, day, value, grain : ndarray, shape (n_figures,)
        As in `Figures`, values after repair so far.
    anchor, repeats : ndarray of bool, shape (n_figures,)
        As in `Figures`.
    tables : ndarray of int, shape (n_figures,)
        As in `Figures`.
    trust : ndarray of int, shape (n_figures,)
        A person said of it: `SHOWN` (the clock showed this), `TOTAL` (this is the running total); else 0.
    """

    vehicle: Array
    day: Array
    value: Array
    grain: Array
    anchor: Array
    repeats: Array
    tables: Array
    trust: Array

    def part(self, mask: Array) -> "Track":
        """The figures of a mask."""
        return Track(**{name: getattr(self, name)[mask] for name in self.__dataclass_fields__})


@dataclass(frozen=True)
class Pace:
    """Usual running of each vehicle.

    Parameters
    ----------
    rate : ndarray, shape (n_units,)
        Distance a day [distance / d].
    wander : ndarray, shape (n_units,)
        Its variance a day [distance^2 / d].
    """

    rate: Array
    wander: Array

    def variance(self, vehicle: Array, days: Array) -> Array:
        """Variance of running over some days: irregular days, and over years a pace that drifts.

        Parameters
        ----------
        vehicle : ndarray of int
            Vehicle indexes.
        days : ndarray
            Spans of time [d].

        Returns
        -------
        ndarray
            Variance [distance^2].
        """
        drift = (_DRIFT * self.rate[vehicle] * days) ** 2 * days / (days + _YEAR)
        return self.wander[vehicle] * (days + 1.0) + drift


def log_t(z: Array) -> Array:
    """Log density of Student's t with 4 degrees of freedom.

    Parameters
    ----------
    z : ndarray
        Deviates.

    Returns
    -------
    ndarray
        Its log density.
    """
    return _LOG_T - 0.5 * (_FREEDOM + 1.0) * np.log1p(z * z / _FREEDOM)


def log_trip(beyond: Array, *, days: Array, unit: ClockUnit) -> Array:
    """Log density of running beyond the usual that long trips would explain.

    Parameters
    ----------
    beyond : ndarray
        Distance beyond what is usual in these days [distance].
    days : ndarray
        Days [d].
    unit : ClockUnit
        Tells how far a vehicle goes in a day.

    Returns
    -------
    ndarray
        Minus infinity where it is none or too far, and for units without a bound.
    """
    if not np.isfinite(unit.most_a_day):
        return np.full(np.shape(beyond), -np.inf)
    days = np.maximum(days, 0.0)
    reach = np.minimum(days + 1.0, _TRIP_DAYS + _TRIPS_OF_TIME * days) * _TRIP_SHARE * unit.most_a_day
    return np.where((beyond > 0) & (beyond <= reach), _LOG_TRIP - np.log(reach), -np.inf)


def _trimmed_mean(group: Array, value: Array, weight: Array, *, count: int, low: float, high: float) -> Array:
    """Weighted mean of each group between two quantiles of its weight; NaN for groups without weight."""
    # One key sorts by group, then value; groups are far apart against values.
    order = np.argsort(group + value / (1.001 * float(value.max(initial=0.0)) + 1e-300))
    group, value, weight = group[order], value[order], weight[order]
    total = np.bincount(group, weights=weight, minlength=count)
    running = np.cumsum(weight)
    before = np.concatenate([[0.0], np.cumsum(total)[:-1]])
    upto = running - before[group]
    begin, end = (upto - weight) / total[group], upto / total[group]
    part = np.clip(np.minimum(end, high) - np.maximum(begin, low), 0.0, None)
    sums = np.bincount(group, weights=part * value, minlength=count)
    parts = np.bincount(group, weights=part, minlength=count)
    return np.divide(sums, parts, out=np.full(count, np.nan), where=parts > 0)


def estimate_pace(track: Track, *, count: int, unit: ClockUnit) -> Pace:
    """Usual running of each vehicle from steps between neighbouring figures that can be true.

    Parameters
    ----------
    track : Track
        Figures.
    count : int
        Number of vehicles.
    unit : ClockUnit
        Bounds a day's running.

    Returns
    -------
    Pace
        Rates are means by time between the 5 % and 95 % quantile, variances means below the 95 % quantile;
        vehicles with little to tell are drawn towards the fleet.
    """
    days, gain = np.diff(track.day), np.diff(track.value)
    usable = (np.diff(track.vehicle) == 0) & (days > 0) & (gain >= 0) & (gain <= unit.most_a_day * (days + 1.0))
    # The step from the in-service figure can span years: it counts only where there is little else.
    later = usable & ~track.anchor[:-1]
    usable = later | (usable & (np.bincount(track.vehicle[1:][later], minlength=count) < 3)[track.vehicle[1:]])
    group, days, gain = track.vehicle[1:][usable], days[usable], gain[usable]
    rate = _trimmed_mean(group, gain / days, days, count=count, low=0.05, high=0.95)
    steps = np.bincount(group, minlength=count)
    told = np.isfinite(rate) & (steps >= 3)
    fleet = float(np.median(rate[told])) if told.any() else min(unit.most_a_day, 1e3) / 10.0
    rate = np.where(told, rate, fleet)
    rate = np.maximum(rate, 1e-3 * fleet + 1e-9)
    off = (gain - rate[group] * days) ** 2 / (days + 1.0)
    own = _trimmed_mean(group, off, np.ones_like(off), count=count, low=0.0, high=0.95)
    ratio = own[told] / rate[told] ** 2
    lent = (float(np.median(ratio)) if told.any() else 7.0) * rate**2
    wander = (steps * np.where(steps > 0, own, 0.0) + 5.0 * lent) / (steps + 5.0)
    # Never so regular that a day's running more or less would be a surprise.
    return Pace(rate, np.maximum(wander, rate**2))
