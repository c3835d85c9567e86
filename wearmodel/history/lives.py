"""Renewed positions to lives: one part's time in one position.

Ages count from fitting. A life has entry <= stop_low <= stop_high: not under observation before
`entry`, seen good at `stop_low`, and failed between `stop_low` and `stop_high`, or infinity when no
failure was seen. Weight 0 marks lives whose fitting date is unknown: they are listed with the
highest age they can have, and no curve rests on them. Where a line could be about several positions, every
life it could have ended or begun is listed with the chance that it is true, and weighs as much.
"""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.history.age_clocks import AgeClock
from wearmodel.history.events import Events
from wearmodel.history.odometer import OdometerCurves, days_since_epoch

__all__ = ["NEW_VEHICLE_ODOMETER", "build_lives", "build_windows"]

Array = NDArray[Any]

#: A vehicle put into service with more than this on the clock was bought used: its parts have
#: unknown ages. By distance unit; common practice, no source.
NEW_VEHICLE_ODOMETER = {"km": 2000.0, "mi": 1250.0}


def build_windows(
    vehicles: pd.DataFrame, *, curves: OdometerCurves, as_of: pd.Timestamp, distance_unit: str
) -> pd.DataFrame:
    """Observation window of each vehicle.

    Parameters
    ----------
    vehicles : pandas.DataFrame
        Clean table.
    curves : OdometerCurves
        Odometer curves in the same order.
    as_of : pandas.Timestamp
        End of the record.
    distance_unit : str
        Unit of distances.

    Returns
    -------
    pandas.DataFrame
        The vehicles with `vehicle` (index), `first_day`, `last_day` [d], `first_odometer`,
        `last_odometer` [distance], `new_at_start` (original parts were new when records began),
        `retired`.
    """
    frame = vehicles.reset_index(drop=True).copy()
    frame["vehicle"] = np.arange(len(frame))
    in_service = days_since_epoch(frame["in_service_date"])
    records = days_since_epoch(frame["records_from"])
    out = days_since_epoch(frame["out_of_service_date"])
    end = float(days_since_epoch(pd.DatetimeIndex([as_of]))[0])
    frame["first_day"] = np.fmax(in_service, records)
    frame["retired"] = np.isfinite(out) & (out <= end)
    frame["last_day"] = np.fmax(np.where(frame["retired"], out, end), frame["first_day"])
    for name in ("first", "last"):
        frame[f"{name}_odometer"] = curves.distance_at(frame["vehicle"], frame[f"{name}_day"])
    new = NEW_VEHICLE_ODOMETER.get(distance_unit, 0.0)
    recorded_from_new = ~(records > in_service)
    frame["new_at_start"] = recorded_from_new & (frame["in_service_odometer"] <= new)
    return frame


def _looks(inspections: pd.DataFrame, windows: pd.DataFrame) -> pd.DataFrame:
    frame = pd.DataFrame(
        {
            "vehicle": pd.Index(windows["unit"]).get_indexer(pd.Index(inspections["unit"])),
            "position": inspections["position"],
            "day": days_since_epoch(inspections["date"]),
            "bad": inspections["finding"].isin(["worn", "failed"]).to_numpy(),
        }
    )
    return frame[frame["vehicle"] >= 0]


def _last_looks(lives: pd.DataFrame, looks: pd.DataFrame) -> pd.DataFrame:
    """Days of looks within each life: the first, the last good one, the first bad one after it (NaN: none)."""
    joined = lives[["vehicle", "position", "start_day", "end_day"]].reset_index(names="life")
    joined = joined.merge(looks, on=["vehicle", "position"], how="inner")
    joined = joined[(joined["day"] > joined["start_day"]) & (joined["day"] <= joined["end_day"])]
    # A good look on the day the part came out is the look at the new part.
    good = joined[~joined["bad"] & (joined["day"] < joined["end_day"])].groupby("life")["day"].max()
    bad = joined[joined["bad"]]
    first_bad = bad[~(bad["day"] < bad["life"].map(good))].groupby("life")["day"].min()
    first = joined.groupby("life")["day"].min()
    found = {"first": first, "good": good, "bad": first_bad}
    return pd.DataFrame({name: days.reindex(lives.index) for name, days in found.items()})


def build_lives(
    events: Events, *, windows: pd.DataFrame, curves: OdometerCurves | AgeClock, inspections: pd.DataFrame
) -> pd.DataFrame:
    """Lives of all parts in all positions.

    Parameters
    ----------
    events : Events
        From `wearmodel.history.events.build_events`.
    windows : pandas.DataFrame
        From `build_windows`.
    curves : OdometerCurves or AgeClock
        What ages count by.
    inspections : pandas.DataFrame
        Clean table.

    Returns
    -------
    pandas.DataFrame
        One row a life, in the order of `events.spans`: `vehicle, unit, position, component, part_number, duty,
        vehicle_class, depot, driveline, entry, stop_low, stop_high, ended, weight, chance, usable, start_day,
        end_day, start_odometer, end_odometer, age_at_end, age_known, condemned, current, running, came_along,
        look_age, silent, look_gap`.
        `start_odometer` is where its age is 0, `age_at_end` its age had it lasted to the end of its vehicle's record;
        `current` marks the part now fitted, one row a position, `running` every life that may be its; `silent` is the
        share of its component's wear that shows only at a look, `look_gap` the distance since the last look before its
        observation began, as far as can be told; `condemned` a fitted part found worn and not yet renewed, `came_along`
        one whose successor was not taken for it but came with a kit; `look_age` is the age at the last good look where
        wear can hide until one; `weight` is `chance` where `usable`: the fitting date is known and something of the
        life was seen.
    """
    spans = events.spans
    start = events.frame.iloc[spans["start"]].reset_index(drop=True)
    lives = start[["vehicle", "position", "component", "part_number"]].assign(
        start_day=start["day"], age_known=start["known"].astype(bool), chance=spans["chance"]
    )
    last = (spans["end"] < 0).to_numpy()
    following = events.frame.iloc[np.where(last, 0, spans["end"])].reset_index(drop=True)
    at = lives["vehicle"].to_numpy()
    retired = windows["retired"].to_numpy()[at]
    lives["end_day"] = np.where(last, windows["last_day"].to_numpy()[at], following["day"])
    reason = following["reason"].to_numpy(dtype=object)
    # A line that could be one of several positions ends what is known without saying how.
    reason = np.where(reason == "", "in_service", reason)
    lives["ended"] = np.where(last, np.where(retired, "retired", "in_service"), reason)
    lives["running"] = last & ~retired
    lives["current"] = spans["current"].to_numpy(dtype=bool) & ~retired
    # Renewed because something beside it was: no part of its own was taken, even if it was worn.
    lives["came_along"] = ~last & ~following["own_line"].to_numpy(dtype=bool)
    lives["fitted_odometer"] = curves.distance_at(at, lives["start_day"])
    lives["end_odometer"] = curves.distance_at(at, lives["end_day"])
    _date_from_unknown_start(lives)
    _set_ages(lives, windows, curves, inspections)
    columns = ["unit", "duty", "vehicle_class", "depot", "driveline"]
    lives[columns] = windows[columns].to_numpy()[at]
    return lives.reset_index(drop=True)


def _date_from_unknown_start(lives: pd.DataFrame) -> None:
    """Where the fitting date is unknown, count age from the earliest moment it can have been."""
    known_start = lives["fitted_odometer"].where(lives["age_known"])
    earliest = known_start.groupby([lives["vehicle"], lives["position"]]).ffill().fillna(0.0)
    lives["start_odometer"] = lives["fitted_odometer"].where(lives["age_known"], earliest)


def _set_ages(
    lives: pd.DataFrame, windows: pd.DataFrame, curves: OdometerCurves | AgeClock, inspections: pd.DataFrame
) -> None:
    """Entry and stop ages from odometers and looks."""
    at = lives["vehicle"].to_numpy()
    start = lives["start_odometer"].to_numpy()
    first_odometer = windows["first_odometer"].to_numpy()[at]
    lives["entry"] = np.maximum(np.maximum(first_odometer, lives["fitted_odometer"]) - start, 0.0)
    age = lives["end_odometer"].to_numpy() - start
    lives["age_at_end"] = np.maximum(windows["last_odometer"].to_numpy()[at] - start, 0.0)
    looks = _last_looks(lives, _looks(inspections, windows))
    good = curves.distance_at(at, looks["good"].fillna(0.0)) - start
    good = np.where(looks["good"].isna(), lives["entry"], np.maximum(good, lives["entry"]))
    bad = curves.distance_at(at, looks["bad"].fillna(0.0)) - start
    found_bad = looks["bad"].notna().to_numpy()
    ended = lives["ended"].to_numpy(dtype=object)
    lives["condemned"] = found_bad & lives["running"]
    # Found past its limit at a look: it wore out then, whatever became of it later.
    ended = np.where(found_bad & (ended != "failed"), "worn", ended)
    lives["ended"] = ended
    interval = found_bad | (ended == "worn")
    top = np.where(found_bad, np.maximum(bad, lives["entry"]), age)
    failed = ended == "failed"
    running = np.isin(ended, ["in_service", "retired"])
    looked_at = looks["good"].notna() | looks["bad"].notna()
    silent = _silent_share(lives, ended, looked_at)
    # Nobody looks for what shows at once: it is good now.
    lives["silent"] = silent
    first_look = curves.distance_at(at, looks["first"].fillna(0.0)) - start - lives["entry"]
    lives["look_gap"] = _look_gaps(lives, first_look.where(looks["first"].notna()))
    lives["look_age"] = np.where(silent > 0, np.minimum(good, age), age)
    look_age = lives["look_age"].to_numpy()
    seen_good = np.where(running, look_age + (1.0 - silent) * (age - look_age), age)
    lives["stop_low"] = np.where(interval, np.minimum(good, top), seen_good)
    lives["stop_high"] = np.where(interval, top, np.where(failed, age, np.inf))
    lives["end_day"] = np.where(found_bad, looks["bad"], lives["end_day"])
    lives["end_odometer"] = np.where(found_bad, start + top, lives["end_odometer"])
    # Nothing of the part's wear was seen when it ran no distance under observation.
    unseen = (lives["stop_low"] <= lives["entry"]) & ~(
        (lives["stop_high"] > lives["stop_low"]) & np.isfinite(lives["stop_high"])
    )
    lives["usable"] = lives["age_known"] & ~unseen
    lives["weight"] = np.where(lives["usable"], lives["chance"], 0.0)


def _look_gaps(lives: pd.DataFrame, first_look: "pd.Series[float]") -> "pd.Series[float]":
    """Distance since the last look before observation of each life began: as far as to the first one after.

    Looks come at services whether or not a record is kept, so that the one distance is distributed as the other; a life
    without a look gets its component's median.
    """
    gap = first_look.clip(lower=0.0)
    return gap.fillna(gap.groupby(lives["component"]).transform("median")).fillna(0.0)


def _silent_share(lives: pd.DataFrame, ended: Array, looked_at: "pd.Series[bool]") -> Array:
    """Share of each life's component's wear that shows only at a look (a cracked boot).

    With that share q, a part last seen good at L and running at A says q S(L) + (1 - q) S(A), which is
    S at L + (1 - q) (A - L) as long as the hazard hardly changes between two looks. A component that no
    look was ever written down for counts as 0: when it was looked at is not known.
    """
    chance = lives["chance"].to_numpy()
    wear = pd.DataFrame(
        {
            "component": lives["component"],
            "found": chance * (ended == "worn"),
            "wear": chance * np.isin(ended, ["worn", "failed"]),
            "looked_at": looked_at.to_numpy(),
        }
    )
    sums = wear.groupby("component")[["found", "wear", "looked_at"]].transform("sum")
    silent = (sums["found"] / sums["wear"].where(sums["wear"] > 0, 1.0)).to_numpy()
    return np.where(sums["looked_at"] > 0, silent, 0.0)
