"""Components that age by time or engine hours: lives whose ages grow by the same distance every day or hour.

A part that ages by time alone fails after so many days, whatever its vehicle runs; one that ages by engine hours after
so many hours. Counted as the distance that the fleet runs in them on average, its ages stand beside those of parts that
wear by distance: one unit, one law, one look-up. On its own vehicle a day or hour counts for as much as on any other.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from wearmodel.history.odometer import OdometerCurves, days_since_epoch

__all__ = ["AgeClock", "build_age_clock", "build_hour_clock", "windows_on"]

Array = NDArray[Any]


@dataclass(frozen=True)
class AgeClock:
    """A clock that counts the same distance for every day, or engine hour, since a vehicle went into service.

    Parameters
    ----------
    units : tuple of str
        Vehicle names, in the order of their index.
    in_service_day : ndarray, shape (n_units,)
        When the vehicle went into service, in days since 1970-01-01 [d].
    in_service_odometer : ndarray, shape (n_units,)
        What the clock shows then: a vehicle bought used has parts as old as its distance at the fleet's running
        [distance].
    day_counts : float
        What a day counts for [distance / d]; 0 where hours count.
    hour_counts : float
        What an engine hour counts for [distance / h]; 0 where days count.
    hours : OdometerCurves or None
        Engine hours of each vehicle [h]; None where days count.
    """

    units: tuple[str, ...]
    in_service_day: Array
    in_service_odometer: Array
    day_counts: float
    hour_counts: float = 0.0
    hours: OdometerCurves | None = None

    @property
    def a_day(self) -> Array:
        """What the clock of each vehicle goes on a day at present, shape (n_units,) [distance / d]."""
        if self.hours is None:
            return np.full(len(self.units), self.day_counts)
        return np.asarray(self.hours.daily * self.hour_counts)

    def distance_at(self, vehicle: ArrayLike, day: ArrayLike) -> Array:
        """What the clock of vehicles shows at days.

        Parameters
        ----------
        vehicle : array_like of int
            Vehicle index.
        day : array_like
            Days since 1970-01-01 [d]; broadcast with `vehicle`.

        Returns
        -------
        ndarray
            [distance]; before the vehicle went into service the clock stands.
        """
        index, when = np.broadcast_arrays(np.asarray(vehicle, dtype=np.intp), np.asarray(day, dtype=float))
        since = self.in_service_day[index]
        if self.hours is None:
            counted = np.maximum(when - since, 0.0) * self.day_counts
        else:
            ran = self.hours.distance_at(index, when) - self.hours.distance_at(index, since)
            counted = np.maximum(ran, 0.0) * self.hour_counts
        return np.asarray(self.in_service_odometer[index] + counted)


def build_age_clock(windows: pd.DataFrame, *, day_counts: float | None = None) -> AgeClock:
    """The clock of a fleet's parts that age by time.

    Parameters
    ----------
    windows : pandas.DataFrame
        From `wearmodel.history.lives.build_windows`.
    day_counts : float, optional
        What a day counts for [distance / d]; when missing, the distance a vehicle of the fleet ran a day on average
        while under observation.

    Returns
    -------
    AgeClock
        Rising from day to day.

    Raises
    ------
    ValueError
        If no vehicle of the fleet ran at all.
    """
    run = float((windows["last_odometer"] - windows["first_odometer"]).sum())
    days = float((windows["last_day"] - windows["first_day"]).sum())
    if day_counts is None:
        if not (run > 0 and days > 0):
            raise ValueError("no vehicle ran: a day cannot be told in distance")
        day_counts = run / days
    return AgeClock(
        units=tuple(windows["unit"].astype(str)),
        in_service_day=days_since_epoch(windows["in_service_date"]),
        in_service_odometer=windows["in_service_odometer"].to_numpy(dtype=float),
        day_counts=day_counts,
    )


def build_hour_clock(windows: pd.DataFrame, hours: OdometerCurves, *, hour_counts: float | None = None) -> AgeClock:
    """The clock of a fleet's parts that age by engine hours.

    Parameters
    ----------
    windows : pandas.DataFrame
        From `wearmodel.history.lives.build_windows`.
    hours : OdometerCurves
        Engine hours of the same vehicles, from `wearmodel.history.engine_hours.build_engine_hours`.
    hour_counts : float, optional
        What an hour counts for [distance / h]; when missing, the distance a vehicle of the fleet ran an hour on
        average while under observation.

    Returns
    -------
    AgeClock
        Rising with the hours of each vehicle.

    Raises
    ------
    ValueError
        If no vehicle of the fleet ran at all.
    """
    if hour_counts is None:
        vehicle = windows["vehicle"].to_numpy()
        first, last = (hours.distance_at(vehicle, windows[f"{name}_day"]) for name in ("first", "last"))
        run, spent = float((windows["last_odometer"] - windows["first_odometer"]).sum()), float((last - first).sum())
        if not (run > 0 and spent > 0):
            raise ValueError("no vehicle ran: an hour cannot be told in distance")
        hour_counts = run / spent
    return AgeClock(
        units=tuple(windows["unit"].astype(str)),
        in_service_day=days_since_epoch(windows["in_service_date"]),
        in_service_odometer=windows["in_service_odometer"].to_numpy(dtype=float),
        day_counts=0.0,
        hour_counts=hour_counts,
        hours=hours,
    )


def windows_on(windows: pd.DataFrame, clock: AgeClock) -> pd.DataFrame:
    """Observation windows whose odometers are what an age clock shows.

    Parameters
    ----------
    windows : pandas.DataFrame
        Of the fleet.
    clock : AgeClock
        The clock.

    Returns
    -------
    pandas.DataFrame
        The same with `first_odometer` and `last_odometer` on the clock.
    """
    vehicle = windows["vehicle"].to_numpy()
    return windows.assign(
        first_odometer=clock.distance_at(vehicle, windows["first_day"]),
        last_odometer=clock.distance_at(vehicle, windows["last_day"]),
    )
