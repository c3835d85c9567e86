"""Distance at any date and date at any distance, each with its uncertainty."""

from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

__all__ = ["OdometerCurves", "build_curves", "days_since_epoch"]

Array = NDArray[Any]

_DAY = np.timedelta64(1, "D")
_YEAR = 365.25
# Spreads the vehicles on one number line so that one interpolation serves all.
_STRIDE = 1e6
# A vehicle's own irregularity counts as its number of figures, the fleet's as this many.
_FLEET_WEIGHT = 8.0
# Variance of a vehicle's running over its squared daily running [d] where no fleet tells: as if it ran and stood
# by turns of about a week. Common practice, no source.
_DEFAULT_IRREGULARITY = 7.0
_QUARTER = 91.0


def _unknown() -> Array:
    return np.zeros(0)


@dataclass(frozen=True)
class _Place:
    """Where points in time lie between the accepted figures."""

    before: Array
    after: Array
    share: Array
    ahead: Array
    behind: Array


@dataclass(frozen=True)
class OdometerCurves:
    """Distance at any date for every vehicle: straight lines between accepted figures.

    Parameters
    ----------
    units : tuple of str
        Vehicle names, in the order of their index.
    vehicle : ndarray of int, shape (n_points,)
        Vehicle index of each accepted point, ascending.
    day : ndarray, shape (n_points,)
        Days since 1970-01-01 [d], ascending within a vehicle.
    odometer : ndarray, shape (n_points,)
        Running total [distance], never falling within a vehicle: clocks that started again are added up.
    daily : ndarray, shape (n_units,)
        Present running, from the last year of accepted points [distance / d].
    noise : ndarray, shape (n_points,)
        Variance of each point by rounding and by the hour of the day [distance^2].
    carried : ndarray, shape (n_points,)
        Variance of what changes of the clock left unknown, common to all points after one [distance^2].
    wander : ndarray, shape (n_units,)
        Variance of running a day, between figures [distance^2 / d].
    wander_ahead : ndarray, shape (n_units,)
        The same a quarter of a year and more beyond the last figure, where seasons and changes of work count in
        full [distance^2 / d].
    basis : ndarray, shape (n_units,)
        Days that `daily` was measured over [d].

    Notes
    -----
    The last five are empty where only distances are asked for; standard deviations are then NaN.
    """

    units: tuple[str, ...]
    vehicle: Array
    day: Array
    odometer: Array
    daily: Array
    noise: Array = field(default_factory=_unknown)
    carried: Array = field(default_factory=_unknown)
    wander: Array = field(default_factory=_unknown)
    wander_ahead: Array = field(default_factory=_unknown)
    basis: Array = field(default_factory=_unknown)

    @cached_property
    def _ends(self) -> tuple[Array, Array]:
        """First and last point of each vehicle; looked up for every question."""
        every = np.arange(len(self.units))
        first = np.searchsorted(self.vehicle, every)
        return first, np.searchsorted(self.vehicle, every, side="right") - 1

    def distance_at(self, vehicle: ArrayLike, day: ArrayLike) -> Array:
        """Running total of vehicles at days.

        Parameters
        ----------
        vehicle : array_like of int
            Vehicle index.
        day : array_like
            Days since 1970-01-01 [d]; broadcast with `vehicle`.

        Returns
        -------
        ndarray
            Distance [distance]; after the last figure it goes on at the present daily running,
            before the first it stays.
        """
        index, when = np.broadcast_arrays(np.asarray(vehicle, dtype=np.intp), np.asarray(day, dtype=float))
        first, last = self._ends
        inside = np.clip(when, self.day[first][index], self.day[last][index])
        base = np.interp(index * _STRIDE + inside, self.vehicle * _STRIDE + self.day, self.odometer)
        return base + np.maximum(when - self.day[last][index], 0.0) * self.daily[index]

    def distance_sd_at(self, vehicle: ArrayLike, day: ArrayLike) -> Array:
        """Standard deviation of `distance_at`.

        Parameters
        ----------
        vehicle : array_like of int
            Vehicle index.
        day : array_like
            Days since 1970-01-01 [d]; broadcast with `vehicle`.

        Returns
        -------
        ndarray
            Standard deviation [distance]; NaN where curves carry no variances or the day is NaN.

        Notes
        -----
        Between figures at days a and b, at a + u (b - a), the variance is that of a Brownian bridge,

            w u (1 - u) (b - a) + (1 - u)^2 n_a + u^2 n_b + c,

        with w the vehicle's `wander`, n the `noise` of the two figures and c what is `carried` from changes of
        the clock. Since distance never falls, the first term is at most g^2 u (1 - u), g being the distance
        between the two figures (Bhatia and Davis's bound for a quantity between 0 and g with mean u g). Beyond
        the last figure, after h days, it is w' h (1 + h / T), T being the `basis` of the daily running and w'
        going from `wander` to `wander_ahead` in the first quarter of a year. Before the first, where the curve
        stays though the vehicle ran, it is w h + (daily h)^2, at most the square of the first figure.

        References
        ----------
        Horne, Garton, Krone and Lewis 2007, "Analyzing animal movements using Brownian bridges", Ecology 88,
        2354-2363 (variance between fixes, estimated by leaving fixes out). Bhatia and Davis 2000, "A better
        bound on the variance", American Mathematical Monthly 107, 353-357.
        """
        index, when = np.broadcast_arrays(np.asarray(vehicle, dtype=np.intp), np.asarray(day, dtype=float))
        if not len(self.noise):
            return np.full(index.shape, np.nan)
        spread, known = self._variances(index, self._place_of_days(index, when))
        return np.where(np.isnan(when), np.nan, np.sqrt(spread + known))

    def day_at(self, vehicle: ArrayLike, distance: ArrayLike) -> Array:
        """Day on which vehicles first reached a running total.

        Parameters
        ----------
        vehicle : array_like of int
            Vehicle index.
        distance : array_like
            Running total [distance]; broadcast with `vehicle`.

        Returns
        -------
        ndarray
            Days since 1970-01-01 [d]; beyond the last figure at the present daily running (infinite for a
            vehicle that stands), NaN below the first figure.
        """
        index, far = np.broadcast_arrays(np.asarray(vehicle, dtype=np.intp), np.asarray(distance, dtype=float))
        first, last = (ends[index] for ends in self._ends)
        # A vehicle's figures lie on its own stretch of one number line.
        low, width = float(self.odometer.min(initial=0.0)), float(np.ptp(self.odometer)) + 1.0
        key = self.vehicle * (2.0 * width) + (self.odometer - low)
        sought = index * (2.0 * width) + np.clip(far - low, 0.0, width)
        after = np.clip(np.searchsorted(key, np.where(np.isnan(sought), 0.0, sought)), first, last)
        before = np.maximum(after - 1, first)
        gain = self.odometer[after] - self.odometer[before]
        part = np.divide(far - self.odometer[before], gain, out=np.ones_like(far), where=gain > 0)
        inside = self.day[before] + np.clip(part, 0.0, 1.0) * (self.day[after] - self.day[before])
        rest = far - self.odometer[last]
        with np.errstate(divide="ignore", invalid="ignore"):
            beyond = self.day[last] + rest / self.daily[index]
        out = np.where(rest > 0, beyond, inside)
        return np.where((far < self.odometer[first]) | np.isnan(far), np.nan, out)

    def day_sd_at(self, vehicle: ArrayLike, distance: ArrayLike) -> Array:
        """Standard deviation of `day_at`.

        Parameters
        ----------
        vehicle : array_like of int
            Vehicle index.
        distance : array_like
            Running total [distance]; broadcast with `vehicle`.

        Returns
        -------
        ndarray
            Standard deviation [d]; NaN where `day_at` is.

        Notes
        -----
        The standard deviation of distance on that day over the running there (the first term of its Taylor
        series); what the figures on both sides leave open in time is never more than the days between them.
        """
        index, far = np.broadcast_arrays(np.asarray(vehicle, dtype=np.intp), np.asarray(distance, dtype=float))
        when = self.day_at(index, far)
        if not len(self.noise):
            return np.full(index.shape, np.nan)
        usable = np.isfinite(when)
        place = self._place_of_days(index, np.where(usable, when, self.day[0]))
        spread, known = self._variances(index, place)
        days = self.day[place.after] - self.day[place.before]
        gain = self.odometer[place.after] - self.odometer[place.before]
        pace = np.divide(gain, days, out=np.zeros_like(gain), where=days > 0)
        pace = np.where((place.ahead > 0) | (days <= 0), self.daily[index], pace)
        # A figure is uncertain by part of a day's running, however slow the vehicle then was.
        slowest = np.maximum(pace, 1e-9)
        noise = np.minimum(np.sqrt(known) / slowest, np.where(place.ahead > 0, np.inf, np.maximum(days, 1.0)))
        sd = np.sqrt(spread / slowest**2 + noise**2)
        return np.where(usable, sd, np.where(np.isinf(when), np.inf, np.nan))

    def _place_of_days(self, index: Array, when: Array) -> _Place:
        """Figures on both sides of each day, and how far between or beyond them it lies."""
        first, last = (ends[index] for ends in self._ends)
        inside = np.clip(np.where(np.isnan(when), self.day[first], when), self.day[first], self.day[last])
        key = self.vehicle * _STRIDE + self.day
        after = np.clip(np.searchsorted(key, index * _STRIDE + inside), first, last)
        before = np.maximum(after - 1, first)
        days = self.day[after] - self.day[before]
        share = np.divide(inside - self.day[before], days, out=np.ones_like(inside), where=days > 0)
        ahead = np.fmax(when - self.day[last], 0.0)
        return _Place(before, after, share, ahead, np.fmax(self.day[first] - when, 0.0))

    def _variances(self, index: Array, at: _Place) -> tuple[Array, Array]:
        """Variance by running between and beyond figures, and by the figures themselves."""
        mix = at.share * (1.0 - at.share)
        days = self.day[at.after] - self.day[at.before]
        gain = self.odometer[at.after] - self.odometer[at.before]
        between = np.minimum(self.wander[index] * days, gain**2) * mix
        near, far = self.wander[index], self.wander_ahead[index]
        beyond = (near + (far - near) * np.minimum(at.ahead / _QUARTER, 1.0)) * at.ahead
        beyond *= 1.0 + at.ahead / np.maximum(self.basis[index], 1.0)
        earlier = self.wander[index] * at.behind + (self.daily[index] * at.behind) ** 2
        earlier = np.minimum(earlier, self.odometer[at.before] ** 2)
        carried = self.carried[at.before] + at.share * (self.carried[at.after] - self.carried[at.before])
        ends = (1.0 - at.share) ** 2 * self.noise[at.before] + at.share**2 * self.noise[at.after]
        return between + beyond + np.where(at.behind > 0, earlier, 0.0), ends + carried


def days_since_epoch(dates: "pd.Series[Any] | pd.DatetimeIndex") -> Array:
    """Whole days since 1970-01-01 as floats; NaN for missing dates.

    Parameters
    ----------
    dates : pandas.Series or pandas.DatetimeIndex
        Dates.

    Returns
    -------
    ndarray
        Days [d].
    """
    stamps = np.asarray(dates, dtype="datetime64[ns]")
    return np.where(np.isnat(stamps), np.nan, (stamps - np.datetime64("1970-01-01", "ns")) / _DAY)


def _daily_running(vehicle: Array, day: Array, odometer: Array, count: int) -> tuple[Array, Array]:
    """Distance a day over the last year of each vehicle's points, and the days it rests on.

    The fleet's median stands where a vehicle has no two points a fortnight apart.
    """
    daily, basis = np.full(count, np.nan), np.zeros(count)
    first = np.searchsorted(vehicle, np.arange(count))
    end = np.searchsorted(vehicle, np.arange(count), side="right")
    for index, (low, high) in enumerate(zip(first, end, strict=True)):
        days = day[low:high]
        if len(days) < 2:
            continue
        begin = max(int(np.searchsorted(days, days[-1] - _YEAR, side="right")) - 1, 0)
        if days[-1] - days[begin] >= 14.0:
            basis[index] = days[-1] - days[begin]
            daily[index] = (odometer[high - 1] - odometer[low + begin]) / basis[index]
    known = daily[np.isfinite(daily)]
    return np.where(np.isfinite(daily), daily, np.median(known) if len(known) else 0.0), basis


def _mean_running(curves: OdometerCurves) -> Array:
    """Distance a day over all of each vehicle's points; its present running without two."""
    first, last = curves._ends
    days = curves.day[last] - curves.day[first]
    gain = curves.odometer[last] - curves.odometer[first]
    return np.where(days >= 14.0, np.divide(gain, days, out=np.zeros_like(gain), where=days > 0), curves.daily)


def _blend(squares: Array, weight: Array, *, terms: int, pace: Array) -> Array:
    """Variance a day of each vehicle: its squares over their weights, drawn towards the fleet's.

    The fleet lends its irregularity, variance over squared daily running, with the weight of some terms.
    """
    scale = float((pace**2 * weight).sum())
    irregularity = float(squares.sum()) / scale if scale > 0 else _DEFAULT_IRREGULARITY
    lent = _FLEET_WEIGHT * float(weight.sum()) / terms if terms else 1.0
    return (squares + lent * irregularity * pace**2) / (weight + lent)


def _wander(curves: OdometerCurves, noise: Array, pace: Array) -> Array:
    """Variance of running a day from how far each point lies off the line between its neighbours.

    With neighbours a and b days away a point lies off by a variance w a b / (a + b) plus that of the three
    figures; squares and expected coefficients are summed by vehicle.
    """
    vehicle, day, odometer = curves.vehicle, curves.day, curves.odometer
    mid = np.arange(1, len(day) - 1)
    mid = mid[(vehicle[mid - 1] == vehicle[mid]) & (vehicle[mid + 1] == vehicle[mid])]
    left, right = day[mid] - day[mid - 1], day[mid + 1] - day[mid]
    share = left / (left + right)
    off = odometer[mid] - (1.0 - share) * odometer[mid - 1] - share * odometer[mid + 1]
    figures = noise[mid] + (1.0 - share) ** 2 * noise[mid - 1] + share**2 * noise[mid + 1]
    count = len(curves.units)
    squares = np.bincount(vehicle[mid], weights=off**2 - figures, minlength=count)
    weight = np.bincount(vehicle[mid], weights=left * right / (left + right), minlength=count)
    return _blend(np.maximum(squares, 0.0), weight, terms=len(mid), pace=pace)


def _wander_ahead(curves: OdometerCurves, wander: Array, pace: Array) -> Array:
    """Variance of running a day ahead, from how well a year told the quarter after it."""
    first, last = curves._ends
    begin, end = curves.day[first], curves.day[last]
    quarters = int(np.max((end - begin) // _QUARTER, initial=0)) + 1
    if quarters < 6:
        return wander
    squares, weight, terms = np.zeros(len(pace)), np.zeros(len(pace)), 0
    for quarter in range(4, quarters):
        here = np.flatnonzero(begin + (quarter + 1) * _QUARTER <= end)
        at = begin[here] + quarter * _QUARTER
        past, now, then = (curves.distance_at(here, at + shift * _QUARTER) for shift in (-4.0, 0.0, 1.0))
        squares[here] += (then - now - (now - past) / 4.0) ** 2
        weight[here] += _QUARTER * 1.25
        terms += len(here)
    return np.maximum(_blend(squares, weight, terms=terms, pace=pace), wander)


def build_curves(
    units: tuple[str, ...], *, vehicle: Array, day: Array, odometer: Array, grain: Array, carried: Array
) -> OdometerCurves:
    """Curves through accepted figures, with their variances.

    Parameters
    ----------
    units : tuple of str
        Vehicle names; each has at least one point.
    vehicle, day, odometer : ndarray, shape (n_points,)
        As in `OdometerCurves`.
    grain : ndarray, shape (n_points,)
        What each figure is rounded to [distance].
    carried : ndarray, shape (n_points,)
        Variance left by changes of the clock [distance^2].

    Returns
    -------
    OdometerCurves
        Figures rounded to g carry a variance g^2 / 12 and that of a moment somewhere in a day's running.
    """
    daily, basis = _daily_running(vehicle, day, odometer, len(units))
    bare = OdometerCurves(units=units, vehicle=vehicle, day=day, odometer=odometer, daily=daily)
    pace = _mean_running(bare)
    noise = (grain**2 + pace[vehicle] ** 2) / 12.0
    wander = _wander(bare, noise, pace)
    # On the days a vehicle does run it runs more than on average.
    noise = (grain**2 + pace[vehicle] ** 2 + np.minimum(wander, 4.0 * pace**2)[vehicle]) / 12.0
    return OdometerCurves(
        units=units,
        vehicle=vehicle,
        day=day,
        odometer=odometer,
        daily=daily,
        noise=noise,
        carried=carried,
        wander=wander,
        wander_ahead=_wander_ahead(bare, wander, pace),
        basis=np.where(basis > 0, basis, _QUARTER),
    )
