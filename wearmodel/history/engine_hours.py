"""Engine hours beside the distance: what hour meters and duty logs say, as one curve of hours a vehicle.

Hour meters have the faults of odometers, so that their figures go through the same reading. Where neither a meter nor
the duty log tells, a vehicle runs as many hours a distance as it does elsewhere, or as vehicles of its duty do.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.findings import Finding
from wearmodel.history.odometer import OdometerCurves, build_odometer_curves, days_since_epoch
from wearmodel.history.odometer_curves import build_curves

__all__ = ["LEAST_COVERED", "LEAST_SHARE", "EngineHours", "build_engine_hours"]

Array = NDArray[Any]

#: A vehicle's hours are on record where they cover this share of its days under observation ...
LEAST_COVERED = 0.5
#: ... and hours are offered as a clock where this share of the vehicles has them on record.
LEAST_SHARE = 0.5
#: Days on record from which on a vehicle's own hours a distance are known [d].
_OWN_RATIO_DAYS = 60.0
_DAY_HOURS = 24.0
_METER = "engine_hours"
_FIGURE = ["unit", "date", "odometer", "file", "row"]


@dataclass(frozen=True)
class EngineHours:
    """Engine hours of the fleet.

    Parameters
    ----------
    curves : OdometerCurves or None
        Hours of every vehicle since it went into service, in the order of the vehicles [h]; None where too few
        vehicles have any on record for hours to be a clock.
    known, vehicles : int
        Vehicles of which a meter or the duty log covers half of the days under observation, and all vehicles.
    findings : tuple of Finding
        Figures that were not taken as written.
    """

    curves: OdometerCurves | None = None
    known: int = 0
    vehicles: int = 0
    findings: tuple[Finding, ...] = ()

    @property
    def note(self) -> str:
        """For how many vehicles hours are known, and what that means; empty where for none or for all."""
        if self.known in (0, self.vehicles):
            return ""
        told = (
            f"Engine hours are on record for {self.known:,} of {self.vehicles:,} vehicles (over at least half of their "
            "time under observation)"
        )
        if self.curves is None:
            return f"{told}: hours are compared as a clock only from {LEAST_SHARE:.0%} of the vehicles on."
        return f"{told}; the others are taken to run as many hours a distance as vehicles of their duty do."


def build_engine_hours(
    windows: pd.DataFrame,
    *,
    curves: OdometerCurves,
    readings: pd.DataFrame,
    repairs: pd.DataFrame,
    duty_log: pd.DataFrame,
    distance_unit: str,
    further: pd.DataFrame | None = None,
) -> EngineHours:
    """Engine hours from meters, and where they are silent from the duty log.

    Parameters
    ----------
    windows : pandas.DataFrame
        Vehicles with their time under observation, from `wearmodel.history.lives.build_windows`.
    curves : OdometerCurves
        Odometer curves in the same order.
    readings, repairs, duty_log : pandas.DataFrame
        Clean tables.
    distance_unit : str
        What the record counts; hours are a clock of their own beside km and miles alone.
    further : pandas.DataFrame, optional
        Further figures of repair lines: `unit, date, engine_hours, file, row, table`.

    Returns
    -------
    EngineHours
        Never falling within a vehicle.

    Notes
    -----
    A month of the duty log has distance / mean speed + idle hours, the mean speed being that of the vehicle while it
    moves.
    """
    meters, findings = _meter_steps(windows, readings, repairs, further)
    logged, more = _logged_steps(windows, duty_log)
    findings += more
    steps = _joined_steps(meters, logged)
    first, last = (windows[f"{name}_day"].to_numpy(dtype=float) for name in ("first", "last"))
    vehicle = steps["vehicle"].to_numpy(dtype=np.intp)
    seen = np.minimum(steps["end"].to_numpy(), last[vehicle]) - np.maximum(steps["begin"].to_numpy(), first[vehicle])
    covered = np.bincount(vehicle, np.maximum(seen, 0.0), minlength=len(windows))
    known = int(((covered > 0) & (covered >= LEAST_COVERED * (last - first))).sum())
    every = int((last > first).sum())
    offered = distance_unit in ("km", "mi") and known >= max(LEAST_SHARE * every, 1) and steps["hours"].sum() > 0
    return EngineHours(_curves(windows, steps, curves) if offered else None, known, every, findings)


def _meter_steps(
    windows: pd.DataFrame, readings: pd.DataFrame, repairs: pd.DataFrame, further: pd.DataFrame | None
) -> tuple[pd.DataFrame, tuple[Finding, ...]]:
    """Hours from each believed figure of a meter to the next: `vehicle, begin, end, hours`."""
    tables = {"readings": _figures(readings), "repairs": _figures(repairs)}
    others = None if further is None or further.empty else _figures(further, "table")
    every = [*tables.values(), *([] if others is None else [others])]
    count = pd.concat([table["unit"] for table in every]).value_counts()
    # One figure alone tells no hours.
    mine = windows[windows["unit"].map(count).fillna(0) > 1]
    if mine.empty:
        return pd.DataFrame({"vehicle": [], "begin": [], "end": [], "hours": []}, dtype=float), ()
    result = build_odometer_curves(
        mine.assign(in_service_odometer=np.nan),
        readings=tables["readings"],
        repairs=tables["repairs"],
        inspections=tables["readings"].iloc[:0],
        distance_unit="hours",
        further=others,
        meter=_METER,
    )
    shown = result.curves
    next_ = np.flatnonzero(np.diff(shown.vehicle) == 0)
    steps = pd.DataFrame(
        {
            "vehicle": mine["vehicle"].to_numpy()[shown.vehicle[next_]],
            "begin": shown.day[next_],
            "end": shown.day[next_ + 1],
            "hours": shown.odometer[next_ + 1] - shown.odometer[next_],
        }
    )
    return steps, result.findings


def _figures(table: pd.DataFrame, *more: str) -> pd.DataFrame:
    """Rows with engine hours, as figures of a meter."""
    if _METER not in table:
        return pd.DataFrame(columns=[*_FIGURE, *more])
    known = table[table[_METER].notna() & table["date"].notna()]
    return known.assign(odometer=known[_METER])[[*_FIGURE, *more]]


def _logged_steps(windows: pd.DataFrame, duty_log: pd.DataFrame) -> tuple[pd.DataFrame, tuple[Finding, ...]]:
    """Hours of each month of the duty log that tells them, and months with more hours than they have."""
    vehicle = pd.Index(windows["unit"]).get_indexer(pd.Index(duty_log["unit"]))
    month = pd.to_datetime(duty_log["month"])
    # The day before a month ends where the month begins.
    begin = days_since_epoch(month) - 1.0
    end = days_since_epoch(month + pd.offsets.MonthBegin(1)) - 1.0
    distance, speed = (duty_log[name].to_numpy(dtype=float) for name in ("distance", "mean_speed"))
    moving = np.divide(distance, speed, out=np.where(distance == 0, 0.0, np.nan), where=speed > 0)
    hours = moving + duty_log["idle_hours"].to_numpy(dtype=float)
    known = (vehicle >= 0) & np.isfinite(hours)
    too_many = known & (hours > _DAY_HOURS * (end - begin))
    findings = tuple(
        Finding(
            table="duty_log", file=str(row["file"]), row=int(row["row"]), column="mean_speed",
            value=f"{row['mean_speed']:.12g}",
            problem=f"distance over mean speed and idle hours come to {hours[place]:,.0f} hours, more than a month has",
            action=f"its {_METER} were not used", used=True,
        )
        for place, row in zip(np.flatnonzero(too_many), duty_log[too_many].to_dict("records"), strict=True)
    )  # fmt: skip
    steps = pd.DataFrame({"vehicle": vehicle, "begin": begin, "end": end, "hours": hours})[known & ~too_many]
    since = days_since_epoch(windows["in_service_date"])[steps["vehicle"].to_numpy(dtype=np.intp)]
    until = windows["last_day"].to_numpy(dtype=float)[steps["vehicle"].to_numpy(dtype=np.intp)]
    steps["begin"], steps["end"] = np.maximum(steps["begin"], since), np.minimum(steps["end"], until)
    return steps[steps["end"] > steps["begin"]], findings


def _joined_steps(meters: pd.DataFrame, logged: pd.DataFrame) -> pd.DataFrame:
    """Steps of meters, and months of the duty log outside of what each vehicle's meter covers."""
    covered = meters.groupby("vehicle").agg(begin=("begin", "min"), end=("end", "max"))
    covered = covered.reindex(logged["vehicle"])
    after, before = logged["end"].to_numpy() > covered["begin"].to_numpy(), logged["begin"].to_numpy()
    inside = after & (before < covered["end"].to_numpy())
    parts = [part for part in (meters, logged[~inside]) if len(part)]
    steps: pd.DataFrame = pd.concat(parts or [meters], ignore_index=True)
    steps = steps.drop_duplicates(["vehicle", "begin"]).sort_values(["vehicle", "begin"], ignore_index=True)
    return steps.astype({"vehicle": np.int64})


def _curves(windows: pd.DataFrame, steps: pd.DataFrame, curves: OdometerCurves) -> OdometerCurves:
    """Curves of hours from the day each vehicle went into service to the end of its time."""
    ratio = _hours_a_distance(windows, steps, curves)
    since = days_since_epoch(windows["in_service_date"])
    until = np.maximum(windows["last_day"].to_numpy(dtype=float), since)
    bounds = np.searchsorted(steps["vehicle"].to_numpy(), np.arange(len(windows) + 1))
    driven = np.searchsorted(curves.vehicle, np.arange(len(windows) + 1))
    begins, ends, hours = (steps[name].to_numpy(dtype=float) for name in ("begin", "end", "hours"))
    days, totals = [], []
    for index in range(len(windows)):
        mine = slice(bounds[index], bounds[index + 1])
        begin, end, ran = begins[mine], ends[mine], hours[mine]
        seen = np.concatenate([[since[index], until[index]], begin, end, curves.day[driven[index] : driven[index + 1]]])
        day = np.unique(seen[(seen >= since[index]) & (seen <= until[index])])
        middle = (day[1:] + day[:-1]) / 2.0
        at = np.searchsorted(begin, middle, side="right") - 1
        inside = (at >= 0) & (middle < end[at]) if len(begin) else np.zeros(len(middle), dtype=bool)
        gain = ratio[index] * np.diff(curves.distance_at(index, day))
        told = at[inside]
        gain[inside] = ran[told] / (end[told] - begin[told]) * np.diff(day)[inside]
        days.append(day)
        totals.append(np.concatenate([[0.0], np.cumsum(gain)]))
    day, total = np.concatenate(days), np.concatenate(totals)
    return build_curves(
        curves.units,
        vehicle=np.repeat(np.arange(len(windows)), [len(one) for one in days]),
        day=day,
        odometer=total,
        grain=np.ones(len(day)),
        carried=np.zeros(len(day)),
    )


def _hours_a_distance(windows: pd.DataFrame, steps: pd.DataFrame, curves: OdometerCurves) -> Array:
    """Hours a distance of each vehicle: its own where enough days tell, else its duty's, else the fleet's."""
    vehicle = steps["vehicle"].to_numpy(dtype=np.intp)
    ran = curves.distance_at(vehicle, steps["end"]) - curves.distance_at(vehicle, steps["begin"])
    days, hours, distance = (
        np.bincount(vehicle, values, minlength=len(windows))
        for values in (steps["end"] - steps["begin"], steps["hours"], ran)
    )
    own = (days >= _OWN_RATIO_DAYS) & (distance > 0)
    told = own if own.any() else distance > 0
    known = pd.DataFrame({"duty": windows["duty"], "hours": hours, "distance": distance})[told]
    fleet = float(known["hours"].sum()) / max(float(known["distance"].sum()), 1e-9)
    sums = known.groupby("duty")[["hours", "distance"]].sum()
    like = windows["duty"].map(sums["hours"] / sums["distance"]).fillna(fleet).to_numpy(dtype=float)
    return np.where(own, np.divide(hours, distance, out=np.zeros(len(windows)), where=own), like)
