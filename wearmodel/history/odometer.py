"""Odometer curve of each vehicle: faults found and named, distance at any date."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from wearmodel.findings import Finding
from wearmodel.frame_rows import frame_rows

__all__ = ["OdometerCurves", "OdometerResult", "build_odometer_curves"]

Array = NDArray[Any]

#: Farthest a road vehicle goes in a day, by distance unit; common practice, no source.
_MOST_A_DAY = {"km": 1500.0, "mi": 930.0, "hours": 24.0, "days": 1.0}
_DAY = np.timedelta64(1, "D")
_YEAR = 365.25
# A run of readings is judged by its length first; its evenness only decides between equals.
_PACE_WEIGHT = 1e-4
# Spreads the vehicles on one number line so that one interpolation serves all.
_STRIDE = 1e6


@dataclass(frozen=True)
class OdometerCurves:
    """Distance at any date for every vehicle: straight lines between accepted readings.

    Parameters
    ----------
    units : tuple of str
        Vehicle names, in the order of their index.
    vehicle : ndarray of int, shape (n_points,)
        Vehicle index of each accepted point, ascending.
    day : ndarray, shape (n_points,)
        Days since 1970-01-01 [d], ascending within a vehicle.
    odometer : ndarray, shape (n_points,)
        Distance [distance], never falling within a vehicle.
    daily : ndarray, shape (n_units,)
        Present running, from the last year of accepted points [distance / d].
    """

    units: tuple[str, ...]
    vehicle: Array
    day: Array
    odometer: Array
    daily: Array

    def _bounds(self, name: str) -> tuple[Array, Array]:
        values = getattr(self, name)
        first = np.searchsorted(self.vehicle, np.arange(len(self.units)))
        last = np.searchsorted(self.vehicle, np.arange(len(self.units)), side="right") - 1
        return values[first], values[last]

    def distance_at(self, vehicle: ArrayLike, day: ArrayLike) -> Array:
        """Odometer of vehicles at days.

        Parameters
        ----------
        vehicle : array_like of int
            Vehicle index.
        day : array_like
            Days since 1970-01-01 [d]; broadcast with `vehicle`.

        Returns
        -------
        ndarray
            Distance [distance]; after the last reading it goes on at the present daily running,
            before the first it stays.
        """
        index, when = np.broadcast_arrays(np.asarray(vehicle, dtype=np.intp), np.asarray(day, dtype=float))
        first, last = self._bounds("day")
        inside = np.clip(when, first[index], last[index])
        base = np.interp(index * _STRIDE + inside, self.vehicle * _STRIDE + self.day, self.odometer)
        return base + np.maximum(when - last[index], 0.0) * self.daily[index]


@dataclass(frozen=True)
class OdometerResult:
    """Curves and what was wrong with the readings.

    Parameters
    ----------
    curves : OdometerCurves
        One curve a vehicle.
    findings : tuple of Finding
        Every reading that was not believed.
    """

    curves: OdometerCurves
    findings: tuple[Finding, ...]


def days_since_epoch(dates: "pd.Series[Any] | pd.DatetimeIndex") -> Array:
    """Whole days since 1970-01-01 as floats; NaN for missing dates."""
    stamps = np.asarray(dates, dtype="datetime64[ns]")
    return np.where(np.isnat(stamps), np.nan, (stamps - np.datetime64("1970-01-01", "ns")) / _DAY)


def _observations(vehicles: pd.DataFrame, tables: Iterable[tuple[str, pd.DataFrame]]) -> pd.DataFrame:
    """Every odometer figure of the record, with where it came from."""
    start = pd.DataFrame(
        {
            "unit": vehicles["unit"],
            "date": vehicles["in_service_date"],
            "odometer": vehicles["in_service_odometer"],
            "table": "vehicles",
            "file": vehicles["file"],
            "row": vehicles["row"],
        }
    )
    parts = [start]
    for name, table in tables:
        known = table.loc[table["odometer"].notna(), ["unit", "date", "odometer", "file", "row"]]
        parts.append(known.assign(table=name))
    frame = pd.concat([part for part in parts if len(part)], ignore_index=True)
    codes = pd.Index(vehicles["unit"]).get_indexer(pd.Index(frame["unit"]))
    frame["vehicle"] = codes
    frame["day"] = days_since_epoch(frame["date"])
    frame = frame[codes >= 0]
    # The in-service figure leads on its day, so that it anchors the curve.
    frame["later"] = frame["table"] != "vehicles"
    return frame.sort_values(["vehicle", "day", "later", "odometer", "row"], kind="stable", ignore_index=True)


def _longest_plausible(day: Array, odometer: Array, most_a_day: float) -> Array:
    """Mask of the longest run of readings that never falls and never outruns the road.

    Quadratic in the readings of one vehicle, and only called for vehicles with a fault.
    """
    n = len(day)
    score = np.ones(n)
    before = np.full(n, -1, dtype=np.intp)
    typical = _typical_daily(day, odometer, most_a_day)
    for i in range(1, n):
        gain, days = odometer[i] - odometer[:i], day[i] - day[:i]
        fits = np.flatnonzero((gain >= 0.0) & (gain <= most_a_day * (days + 1.0)))
        if len(fits):
            expected = typical * days[fits] + typical
            # Among equally long runs the one that keeps the vehicle's usual pace wins.
            uneven = np.minimum(np.abs(gain[fits] - expected) / np.maximum(expected, 1e-9), 5.0)
            reached = score[fits] + 1.0 - _PACE_WEIGHT * uneven
            best = int(np.argmax(reached))
            score[i], before[i] = max(reached[best], 1.0), fits[best]
    keep = np.zeros(n, dtype=bool)
    at = int(np.argmax(score))
    while at >= 0:
        keep[at] = True
        at = int(before[at])
    return keep


def _typical_daily(day: Array, odometer: Array, most_a_day: float) -> float:
    """Middle daily running between neighbouring readings that can be true."""
    days, gain = np.diff(day), np.diff(odometer)
    usable = (days > 0) & (gain >= 0) & (gain <= most_a_day * (days + 1.0))
    return float(np.median(gain[usable] / days[usable])) if usable.any() else 0.0


def _believed(frame: pd.DataFrame, most_a_day: float) -> Array:
    """Mask of the readings that make up each vehicle's curve."""
    vehicle = frame["vehicle"].to_numpy()
    day, odometer = frame["day"].to_numpy(), frame["odometer"].to_numpy()
    keep = np.ones(len(frame), dtype=bool)
    same = vehicle[1:] == vehicle[:-1]
    gain = np.diff(odometer)
    fault = same & ((gain < 0.0) | (gain > most_a_day * (np.diff(day) + 1.0)))
    for index in np.unique(vehicle[1:][fault]):
        low, high = np.searchsorted(vehicle, [index, index + 1])
        keep[low:high] = _longest_plausible(day[low:high], odometer[low:high], most_a_day)
    return keep


def _fault_findings(frame: pd.DataFrame, keep: Array, curves: OdometerCurves, unit_name: str) -> list[Finding]:
    """A sentence for each reading that was not believed."""
    bad = frame[~keep]
    at_day = curves.distance_at(bad["vehicle"].to_numpy(), bad["day"].to_numpy())
    findings = []
    for row, expected in zip(frame_rows(bad), at_day, strict=True):
        step = "too low" if row.odometer < expected else "too high"
        dropped = row.table == "readings"
        action = (
            "the reading was set aside; correct it in the source if it matters"
            if dropped
            else f"the row was used with {expected:.0f} {unit_name} from the vehicle's other readings"
        )
        findings.append(
            Finding(
                table=str(row.table),
                file=str(row.file),
                row=int(row.row),
                column="in_service_odometer" if row.table == "vehicles" else "odometer",
                value=f"{row.odometer:.12g}",
                problem=f"{step} for {row.unit} on {row.date:%Y-%m-%d}: its other readings say {expected:.0f}",
                action=action,
                used=not dropped,
            )
        )
    return findings


def _daily_running(vehicle: Array, day: Array, odometer: Array, count: int) -> Array:
    """Distance a day over the last year of each vehicle's points; the fleet's median without two."""
    daily = np.full(count, np.nan)
    first = np.searchsorted(vehicle, np.arange(count))
    end = np.searchsorted(vehicle, np.arange(count), side="right")
    for index, (low, high) in enumerate(zip(first, end, strict=True)):
        days = day[low:high]
        if len(days) < 2:
            continue
        begin = max(int(np.searchsorted(days, days[-1] - _YEAR, side="right")) - 1, 0)
        if days[-1] - days[begin] >= 14.0:
            daily[index] = (odometer[high - 1] - odometer[low + begin]) / (days[-1] - days[begin])
    known = daily[np.isfinite(daily)]
    return np.where(np.isfinite(daily), daily, np.median(known) if len(known) else 0.0)


def build_odometer_curves(
    vehicles: pd.DataFrame,
    *,
    readings: pd.DataFrame,
    repairs: pd.DataFrame,
    inspections: pd.DataFrame,
    distance_unit: str,
) -> OdometerResult:
    """Odometer curves from all readings, wherever they were written down.

    Parameters
    ----------
    vehicles, readings, repairs, inspections : pandas.DataFrame
        Clean tables.
    distance_unit : str
        Decides how far a vehicle can go in a day; no limit for units not known.

    Returns
    -------
    OdometerResult
        Curves, and a finding for each figure that falls back or outruns the road.

    Notes
    -----
    The believed readings of a vehicle are the longest chain in which distance never falls and
    never grows by more than 1,500 km a day; a single false figure costs itself, not its neighbours.
    """
    frame = _observations(
        vehicles, [("readings", readings), ("repairs", repairs), ("inspections", inspections)]
    )
    keep = _believed(frame, _MOST_A_DAY.get(distance_unit, np.inf))
    good = frame[keep]
    # Several figures on one day: the day ends with the highest.
    highest = good.groupby(["vehicle", "day"])["odometer"].max().reset_index()
    vehicle = highest["vehicle"].to_numpy()
    day, odometer = highest["day"].to_numpy(), highest["odometer"].to_numpy()
    units = tuple(str(unit) for unit in vehicles["unit"])
    curves = OdometerCurves(
        units=units,
        vehicle=vehicle,
        day=day,
        odometer=odometer,
        daily=_daily_running(vehicle, day, odometer, len(units)),
    )
    return OdometerResult(curves, tuple(_fault_findings(frame, keep, curves, distance_unit)))
