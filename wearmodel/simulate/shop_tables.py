"""What the invented shop wrote down of its vehicles: vehicles, ride heights, readings, inspections, duty log.

Every cell is text, as it stands in the files.
"""

from collections.abc import Mapping, Sequence
from types import MappingProxyType

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.simulate.clock import UnitClock
from wearmodel.simulate.scenario import DUTIES
from wearmodel.simulate.units import Unit

__all__ = [
    "build_duty_log",
    "build_inspections",
    "build_readings",
    "build_ride_height",
    "build_usage",
    "build_vehicles",
    "iso_dates",
]

_READING_MISSED = 0.06
_DUTY_LOG_MONTHS = 24
_LIFT_NOTES = ("lift kit", "longer springs", "raised for site access")


def iso_dates(days: npt.ArrayLike) -> npt.NDArray[np.str_]:
    """ISO dates of days counted from 1970-01-01.

    Parameters
    ----------
    days : array_like of int
        Of any shape.

    Returns
    -------
    ndarray of str
        Of the shape of `days`.
    """
    return np.asarray(days, dtype=np.int64).astype("datetime64[D]").astype(np.str_)


def build_vehicles(units: Sequence[Unit], clocks: Mapping[str, UnitClock]) -> pd.DataFrame:
    """Table `vehicles`.

    Parameters
    ----------
    units : sequence of Unit
        The vehicles.
    clocks : mapping of str to UnitClock
        Clock of each vehicle.

    Returns
    -------
    pandas.DataFrame
        One row a vehicle: `unit, vehicle_class, driveline, duty, depot, in_service_date,
        in_service_odometer` [km], `records_from, out_of_service_date`.
    """
    rows = []
    for unit in units:
        used = unit.in_service_day > unit.built_day
        odometer = clocks[unit.unit].odometer_on(unit.in_service_day) if used else 0.0
        rows.append(
            {
                "unit": unit.unit,
                "vehicle_class": unit.vehicle_class,
                "driveline": unit.driveline,
                "duty": unit.duty,
                "depot": unit.depot,
                "in_service_date": str(iso_dates(unit.in_service_day)),
                "in_service_odometer": f"{float(odometer):.0f}",
                "records_from": str(iso_dates(unit.records_day)) if unit.own_records else "",
                "out_of_service_date": "" if unit.out_day is None else str(iso_dates(unit.out_day)),
            }
        )
    return pd.DataFrame(rows)


def build_ride_height(rng: np.random.Generator, units: Sequence[Unit], *, as_of_day: int) -> pd.DataFrame:
    """Table `ride_height`: changes up to the last day of the record.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    units : sequence of Unit
        The vehicles.
    as_of_day : int
        Last day of the record, counted from 1970-01-01.

    Returns
    -------
    pandas.DataFrame
        One row a change: `unit, date, lift` [mm above factory height], `note`.
    """
    rows = []
    for unit in units:
        for change in unit.lifts:
            if change.day > as_of_day:
                continue
            note = _LIFT_NOTES[int(rng.integers(len(_LIFT_NOTES)))]
            if change.day == unit.in_service_day:
                note += ", from new"
            rows.append(
                {
                    "unit": unit.unit,
                    "date": str(iso_dates(change.day)),
                    "lift": f"{change.lift:.0f}",
                    "note": note if change.lift > 0.0 else "put back to factory height",
                }
            )
    return pd.DataFrame(rows, columns=["unit", "date", "lift", "note"])


def build_readings(
    rng: np.random.Generator,
    units: Sequence[Unit],
    *,
    clocks: Mapping[str, UnitClock],
    month_starts: npt.NDArray[np.int64],
    as_of_day: int,
) -> pd.DataFrame:
    """Table `readings`: one on the first day of a vehicle's record, then about one a month.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    units : sequence of Unit
        The vehicles.
    clocks : mapping of str to UnitClock
        Clock of each vehicle.
    month_starts : ndarray, shape (n_months + 1,)
        First day of each month and the day after the last, counted from 1970-01-01.
    as_of_day : int
        Last day of the record, counted from 1970-01-01.

    Returns
    -------
    pandas.DataFrame
        One row a reading: `unit, date, odometer` [km], and `engine_hours` [h] where they are simulated, blank for a
        vehicle whose meter is not read.
    """
    names, days, odometers, hours = [], [], [], []
    lengths = np.diff(month_starts)
    for unit in units:
        last = as_of_day if unit.out_day is None else unit.out_day
        drawn = month_starts[:-1] + rng.integers(0, lengths)
        kept = drawn[rng.random(len(drawn)) >= _READING_MISSED]
        kept = np.concatenate([[unit.records_day], kept[(kept > unit.records_day) & (kept <= last)]])
        names.append(np.full(len(kept), unit.unit))
        days.append(kept)
        odometers.append(np.rint(clocks[unit.unit].odometer_on(kept)).astype(np.int64))
        if unit.hour_meter:
            hours.append(np.rint(clocks[unit.unit].hours_on(kept)).astype(np.int64).astype(str))
        else:
            hours.append(np.full(len(kept), ""))
    table = pd.DataFrame(
        {
            "unit": np.concatenate(names).astype(object),
            "date": iso_dates(np.concatenate(days)).astype(object),
            "odometer": np.concatenate(odometers).astype(str).astype(object),
        }
    )
    if any(unit.hours_a_distance > 0.0 for unit in units):
        table["engine_hours"] = np.concatenate(hours).astype(object)
    return table


def build_inspections(looks: pd.DataFrame) -> pd.DataFrame:
    """Table `inspections`.

    Parameters
    ----------
    looks : pandas.DataFrame
        The recorded looks: `unit, position, day, shown_odometer, finding`.

    Returns
    -------
    pandas.DataFrame
        Columns `unit, date, odometer` [km], `position, finding`, row by row for the looks.
    """
    return pd.DataFrame(
        {
            "unit": looks["unit"].to_numpy(dtype=object),
            "date": iso_dates(looks["day"]).astype(object),
            "odometer": looks["shown_odometer"].astype(str).to_numpy(dtype=object),
            "position": looks["position"].to_numpy(dtype=object),
            "finding": looks["finding"].to_numpy(dtype=object),
        }
    )


def build_usage(
    units: Sequence[Unit],
    *,
    clocks: Mapping[str, UnitClock],
    month_starts: npt.NDArray[np.int64],
    as_of_day: int,
) -> pd.DataFrame:
    """True distance of each vehicle in each month of its record.

    Parameters
    ----------
    units : sequence of Unit
        The vehicles.
    clocks : mapping of str to UnitClock
        Clock of each vehicle.
    month_starts : ndarray, shape (n_months + 1,)
        First day of each month and the day after the last, counted from 1970-01-01.
    as_of_day : int
        Last day of the record, counted from 1970-01-01.

    Returns
    -------
    pandas.DataFrame
        Columns `unit, duty, month, first_day, last_day, distance` [km], from noon of the day before the month
        (or of the first day of the record) to noon of its last day (or of the last day of the record).
    """
    frames = []
    for unit in units:
        last = as_of_day if unit.out_day is None else unit.out_day
        first = np.maximum(month_starts[:-1] - 1, unit.records_day)
        end = np.minimum(month_starts[1:] - 1, last)
        kept = end > first
        clock = clocks[unit.unit]
        frames.append(
            pd.DataFrame(
                {
                    "unit": unit.unit,
                    "duty": unit.duty,
                    "month": month_starts[:-1][kept].astype("datetime64[D]").astype("datetime64[M]").astype(str),
                    "first_day": first[kept],
                    "last_day": end[kept],
                    "distance": clock.odometer_on(end[kept]) - clock.odometer_on(first[kept]),
                }
            )
        )
    return pd.concat(frames, ignore_index=True)


def build_duty_log(
    rng: np.random.Generator, usage: pd.DataFrame, *, engine: Mapping[str, float] = MappingProxyType({})
) -> pd.DataFrame:
    """Table `duty_log`: what the work was like in the last two years.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    usage : pandas.DataFrame
        As built by `build_usage`.
    engine : mapping of str to float
        Engine hours of vehicles over those usual in their duty [-]; 1 for others.

    Returns
    -------
    pandas.DataFrame
        One row a vehicle and month: `unit, month, distance` [km], `stops` (a month), `idle_hours` [h],
        `unpaved_share` (0 to 1), `tow_hours` [h], `mean_speed` [km/h].
    """
    months = np.sort(usage["month"].unique())[-_DUTY_LOG_MONTHS:]
    log = usage[usage["month"].isin(months)]
    size = len(log)
    distance = log["distance"].to_numpy(dtype=np.float64)
    means = {
        name: log["duty"].map({duty: getattr(facts, name) for duty, facts in DUTIES.items()}).to_numpy(float)
        for name in ("stops", "idle_hours", "unpaved_share", "tow_hours", "mean_speed")
    }
    vary = {name: rng.lognormal(0.0, 0.2, size) for name in means}
    unpaved = np.minimum(means["unpaved_share"] * vary["unpaved_share"], 0.95)
    tow = means["tow_hours"] * vary["tow_hours"] * distance / 1000.0
    more = log["unit"].map(dict(engine)).fillna(1.0).to_numpy(dtype=float) if engine else np.ones(size)
    idle = means["idle_hours"] * vary["idle_hours"] * distance / 100.0 * more
    return pd.DataFrame(
        {
            "unit": log["unit"].to_numpy(dtype=object),
            "month": log["month"].to_numpy(dtype=object),
            "distance": _text(distance, 0),
            "stops": _text(means["stops"] * vary["stops"] * distance / 100.0, 0),
            "idle_hours": _text(idle, 1),
            "unpaved_share": _text(unpaved, 2),
            "tow_hours": _text(tow, 1),
            "mean_speed": _text(means["mean_speed"] * vary["mean_speed"] / more, 0),
        }
    )


def _text(values: npt.NDArray[np.float64], places: int) -> npt.NDArray[np.object_]:
    """Numbers as written, to so many decimal places."""
    return np.array([f"{value:.{places}f}" for value in values], dtype=object)
