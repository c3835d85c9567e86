"""Distance each vehicle will run in each month, and how uncertain that is for the whole fleet."""

from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.history.histories import Histories
from wearmodel.history.odometer import days_since_epoch
from wearmodel.survival.model import ComponentModel

__all__ = ["Usage", "forecast_usage"]

Array = NDArray[Any]
#: Fleet-wide uncertainty of next year's running when the record is too short to show it; own
#: simulations: leaving such a factor out costs a fifth of the coverage of yearly totals.
_DEFAULT_SPREAD = 0.06
_LEAST_SPREAD = 0.02
_SEASON_MONTHS = 24
_YEAR = 365.25
_NO_SEASON_UNITS = frozenset({"days"})


@dataclass(frozen=True)
class Usage:
    """Expected running.

    Parameters
    ----------
    months : tuple of str
        `2026-07`, ... from the day after the record's end; the first may be part of a month.
    days : ndarray, shape (n_months,)
        Days of each month that lie ahead [d].
    distance : ndarray, shape (n_vehicles, n_months)
        Expected running [distance]; 0 for vehicles out of service.
    spread : float
        Standard deviation of the log of a factor common to the whole fleet.
    in_service : ndarray, shape (n_vehicles,) or (n_vehicles, n_months)
        Whether vehicles are in service, or in which months.
    hours : ndarray, shape (n_vehicles, n_months)
        Expected engine hours [h], as uncertain as the running; empty where hours are not on record.
    """

    months: tuple[str, ...]
    days: Array
    distance: Array
    spread: float
    in_service: Array
    hours: Array = field(default_factory=lambda: np.zeros((0, 0)))

    @cached_property
    def cumulative(self) -> Array:
        """Expected running of each vehicle by the end of each month, shape (n_vehicles, n_months) [distance]."""
        return np.cumsum(self.distance, axis=1)

    @cached_property
    def starts(self) -> Array:
        """Days until each month begins and until the last one ends, shape (n_months + 1,) [d]."""
        return np.concatenate([[0.0], np.cumsum(self.days)])

    @cached_property
    def shares_by_month(self) -> Array | None:
        """Share of its whole running that every vehicle has run by the end of each month; None where they differ."""
        total = self.cumulative[:, -1:] if self.cumulative.size else np.zeros((0, 1))
        most = float(total.max(initial=0.0))
        if not most > 0.0:
            return None
        shares = np.asarray(self.cumulative[int(np.argmax(total))] / most)
        return shares if np.abs(self.cumulative - total * shares).max() <= 1e-9 * most else None

    @property
    def yearly(self) -> Array:
        """Expected running of each vehicle in a year like the months ahead, shape (n_vehicles,) [distance / year]."""
        return np.asarray(self.distance.sum(axis=1) / self.days.sum() * _YEAR)

    def on_clock(self, own: ComponentModel) -> "Usage":
        """What lies ahead of parts by the clock they age on.

        Parameters
        ----------
        own : ComponentModel
            Their life model.

        Returns
        -------
        Usage
            By distance as it is; by engine hours those of each vehicle; by time the same for every vehicle in service,
            whatever it runs, and certain.
        """
        if own.ages_by == "distance":
            return self
        if own.ages_by == "hours":
            return replace(self, distance=self.hours * own.hour_counts)
        serving = self.in_service.reshape(len(self.in_service), -1)
        return replace(self, distance=serving * (self.days * own.day_counts), spread=0.0)


def _month_table(as_of: pd.Timestamp, months: int) -> pd.DataFrame:
    """Months ahead with the days that lie in them."""
    first = as_of + pd.Timedelta(days=1)
    periods = pd.period_range(first.to_period("M"), periods=months, freq="M")
    days = periods.days_in_month.to_numpy(dtype=float)
    days[0] -= first.day - 1
    return pd.DataFrame({"month": periods.strftime("%Y-%m"), "days": days, "calendar": periods.month.to_numpy()})


def _monthly_running(histories: Histories, as_of: pd.Timestamp) -> pd.DataFrame:
    """Fleet running per vehicle-day in each past month, over vehicles observed all month."""
    windows, curves = histories.windows, histories.curves
    first = pd.Timestamp("1970-01-01") + pd.Timedelta(days=float(windows["first_day"].min()))
    edges = pd.date_range(first.to_period("M").to_timestamp(), as_of + pd.Timedelta(days=1), freq="MS")
    if len(edges) < 2:
        return pd.DataFrame({"year": [], "calendar": [], "run": [], "vehicle_days": []}, dtype=float)
    day = days_since_epoch(edges)
    vehicle = np.arange(len(windows))
    odometer = curves.distance_at(vehicle[:, None], day[None, :])
    full = (windows["first_day"].to_numpy()[:, None] <= day[:-1]) & (
        windows["last_day"].to_numpy()[:, None] >= day[1:] - 1
    )
    run = (np.diff(odometer, axis=1) * full).sum(axis=0)
    return pd.DataFrame(
        {
            "year": edges.year.to_numpy()[:-1],
            "calendar": edges.month.to_numpy()[:-1],
            "run": run,
            "vehicle_days": (full * np.diff(day)).sum(axis=0),
        }
    )


def _season(past: pd.DataFrame) -> Array:
    """Factor of each calendar month, mean 1; all 1 when the record is shorter than two years."""
    usable = past[past["vehicle_days"] > 0]
    if len(usable) < _SEASON_MONTHS:
        return np.ones(12)
    per_day = usable["run"] / usable["vehicle_days"]
    yearly = per_day.groupby(usable["year"]).transform("mean")
    counts = usable.groupby("year")["run"].transform("size")
    whole = counts == 12
    if not whole.any() or (yearly <= 0).any():
        return np.ones(12)
    factor = (per_day / yearly)[whole].groupby(usable["calendar"][whole]).mean()
    values = factor.reindex(range(1, 13)).fillna(1.0).to_numpy()
    return values / values.mean()


def _spread(past: pd.DataFrame) -> float:
    """Standard deviation of the year-on-year change of running per vehicle-day."""
    usable = past[past["vehicle_days"] > 0]
    size = usable.groupby("year")["run"].size()
    years = usable.groupby("year")[["run", "vehicle_days"]].sum()[size == 12]
    if len(years) < 4 or (years["run"] <= 0).any():
        return _DEFAULT_SPREAD
    change = np.diff(np.log((years["run"] / years["vehicle_days"]).to_numpy()))
    return float(max(np.sqrt(np.mean(change**2)), _LEAST_SPREAD))


def forecast_usage(
    histories: Histories, *, as_of: pd.Timestamp, months: int, distance_unit: str
) -> Usage:
    """Running of each vehicle over the months ahead.

    Parameters
    ----------
    histories : Histories
        Odometer curves and windows.
    as_of : pandas.Timestamp
        End of the record.
    months : int
        Number of months ahead.
    distance_unit : str
        No season and no spread where distance is time itself.

    Returns
    -------
    Usage
        Present daily running of each vehicle times the fleet's season.
    """
    table = _month_table(as_of, months)
    past = _monthly_running(histories, as_of)
    timeless = distance_unit in _NO_SEASON_UNITS
    season = np.ones(12) if timeless else _season(past)
    active = ~histories.windows["retired"].to_numpy(dtype=bool)
    daily = np.where(active, histories.curves.daily, 0.0)
    shape = table["days"].to_numpy() * season[table["calendar"].to_numpy() - 1]
    engines = histories.hours.curves
    hourly = np.zeros(0) if engines is None else np.where(active, engines.daily, 0.0)
    return Usage(
        months=tuple(table["month"]),
        days=table["days"].to_numpy(),
        distance=daily[:, None] * shape[None, :],
        spread=0.0 if timeless else _spread(past),
        in_service=active,
        hours=hourly[:, None] * shape[None, :],
    )
