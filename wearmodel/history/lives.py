"""Renewed positions to lives: one part's time in one position.

Ages count from fitting. A life has entry <= stop_low <= stop_high: not under observation before
`entry`, seen good at `stop_low`, and failed between `stop_low` and `stop_high`, or infinity when no
failure was seen. Weight 0 marks lives whose fitting date is unknown: they are listed with the
highest age they can have, and no curve rests on them.
"""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.driveline.layouts import positions_of
from wearmodel.history.odometer import OdometerCurves, days_since_epoch
from wearmodel.history.renewals import REASON_RANK, Renewals

__all__ = ["NEW_VEHICLE_ODOMETER", "build_events", "build_lives", "build_windows"]

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


def _all_positions(windows: pd.DataFrame, layouts: Mapping[str, Mapping[str, str]]) -> pd.DataFrame:
    """Every position of every vehicle."""
    tables = [
        pd.DataFrame({"driveline": text, "position": list(layout), "component": list(layout.values())})
        for text in windows["driveline"].unique()
        for layout in [positions_of(text, layouts)]
    ]
    catalogue = pd.concat(tables, ignore_index=True)
    columns = ["vehicle", "unit", "driveline", "first_day", "new_at_start"]
    return windows[columns].merge(catalogue, on="driveline", how="left")


def build_events(
    renewals: Renewals, *, windows: pd.DataFrame, layouts: Mapping[str, Mapping[str, str]]
) -> pd.DataFrame:
    """Everything that starts a part's time in a position.

    Parameters
    ----------
    renewals : Renewals
        Renewed positions.
    windows : pandas.DataFrame
        From `build_windows`.
    layouts : mapping
        Driveline layouts.

    Returns
    -------
    pandas.DataFrame
        Columns `vehicle, position, component, day, reason, part_number, known, own_line` in order;
        `reason` is empty where the record begins, `known` tells whether the part was new then.
    """
    index = pd.Index(windows["unit"])
    origin = _all_positions(windows, layouts)
    origin = pd.DataFrame(
        {
            "vehicle": origin["vehicle"],
            "position": origin["position"],
            "component": origin["component"],
            "day": origin["first_day"],
            "reason": "",
            "part_number": "",
            "known": origin["new_at_start"],
            "own_line": False,
            "rank": -1,
        }
    )
    frames = [origin]
    for table, known in ((renewals.known, True), (renewals.open, False)):
        if table.empty:
            continue
        frames.append(
            pd.DataFrame(
                {
                    "vehicle": index.get_indexer(pd.Index(table["unit"])),
                    "position": table["position"],
                    "component": table["component"],
                    "day": days_since_epoch(table["date"]),
                    "reason": table["reason"] if known else "",
                    "part_number": table["part_number"] if known else "",
                    "known": known,
                    "own_line": table["own_line"].astype(bool),
                    "rank": table["reason"].map(REASON_RANK).fillna(9) if known else 10,
                }
            )
        )
    events = pd.concat(frames, ignore_index=True)
    events = events.sort_values(["vehicle", "position", "day", "rank"], kind="stable", ignore_index=True)
    # One start a day and position; what begins the record gives way to a renewal seen that day or before it.
    last_day = windows["last_day"].to_numpy()
    events = events[events["day"] <= last_day[events["vehicle"]]].reset_index(drop=True)
    return _drop_superseded(events, windows)


def _drop_superseded(events: pd.DataFrame, windows: pd.DataFrame) -> pd.DataFrame:
    """Keep one event a day, and of those before the record only the last."""
    keys = ["vehicle", "position"]
    origin = (events["rank"] == -1).to_numpy()
    early = (events["day"].to_numpy() < windows["first_day"].to_numpy()[events["vehicle"]]) & ~origin
    keep = ~early
    keep[events[early].drop_duplicates(keys, keep="last").index] = True
    known_before = pd.Series(early).groupby([events["vehicle"], events["position"]]).transform("any").to_numpy()
    # A renewal on the very day the record begins replaces the origin; else the first rank counts.
    same_day = events.duplicated([*keys, "day"], keep=False).to_numpy()
    keep &= ~(origin & (known_before | same_day))
    return events[keep].drop_duplicates([*keys, "day"], keep="first").drop(columns="rank").reset_index(drop=True)


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
    """Day of the last good look within each life and of the first bad look after it (NaN: none)."""
    joined = lives[["vehicle", "position", "start_day", "end_day"]].reset_index(names="life")
    joined = joined.merge(looks, on=["vehicle", "position"], how="inner")
    joined = joined[(joined["day"] > joined["start_day"]) & (joined["day"] <= joined["end_day"])]
    # A good look on the day the part came out is the look at the new part.
    good = joined[~joined["bad"] & (joined["day"] < joined["end_day"])].groupby("life")["day"].max()
    bad = joined[joined["bad"]]
    first_bad = bad[~(bad["day"] < bad["life"].map(good))].groupby("life")["day"].min()
    return pd.DataFrame({"good": good.reindex(lives.index), "bad": first_bad.reindex(lives.index)})


def build_lives(
    events: pd.DataFrame, *, windows: pd.DataFrame, curves: OdometerCurves, inspections: pd.DataFrame
) -> pd.DataFrame:
    """Lives of all parts in all positions.

    Parameters
    ----------
    events : pandas.DataFrame
        From `build_events`.
    windows : pandas.DataFrame
        From `build_windows`.
    curves : OdometerCurves
        Odometer curves.
    inspections : pandas.DataFrame
        Clean table.

    Returns
    -------
    pandas.DataFrame
        One row a life: `vehicle, unit, position, component, part_number, duty, vehicle_class, depot,
        driveline, entry, stop_low, stop_high, ended, weight, start_day, end_day, start_odometer,
        end_odometer, age_known, condemned, current, came_along, look_age`. `start_odometer` is where its age is 0;
        `current` marks the part now fitted, `condemned` a fitted part found worn and not yet renewed,
        `came_along` one whose successor was not taken for it but came with a kit; `look_age` is the age
        at the last good look where wear can hide until one.
    """
    lives = events.rename(columns={"day": "start_day", "known": "age_known"}).drop(columns=["reason", "own_line"])
    keys = [events["vehicle"], events["position"]]
    following = events.groupby(keys)[["day", "reason", "own_line"]].shift(-1)
    last = following["day"].isna().to_numpy()
    at = lives["vehicle"].to_numpy()
    retired = windows["retired"].to_numpy()[at]
    lives["end_day"] = np.where(last, windows["last_day"].to_numpy()[at], following["day"])
    reason = following["reason"].fillna("").to_numpy(dtype=object)
    # A line that could be one of several positions ends what is known without saying how.
    reason = np.where((reason == "") & ~last, "in_service", reason)
    lives["ended"] = np.where(last, np.where(retired, "retired", "in_service"), reason)
    lives["current"] = last & ~retired
    # Renewed because something beside it was: no part of its own was taken, even if it was worn.
    lives["came_along"] = ~last & (following["own_line"] == False).to_numpy()  # noqa: E712 - NaN is neither
    lives["fitted_odometer"] = curves.distance_at(at, lives["start_day"])
    lives["end_odometer"] = curves.distance_at(at, lives["end_day"])
    _date_from_unknown_start(lives, windows)
    _set_ages(lives, windows, curves, inspections)
    columns = ["unit", "duty", "vehicle_class", "depot", "driveline"]
    lives[columns] = windows[columns].to_numpy()[at]
    return lives.reset_index(drop=True)


def _date_from_unknown_start(lives: pd.DataFrame, windows: pd.DataFrame) -> None:
    """Where the fitting date is unknown, count age from the earliest moment it can have been."""
    known_start = lives["fitted_odometer"].where(lives["age_known"])
    earliest = known_start.groupby([lives["vehicle"], lives["position"]]).ffill().fillna(0.0)
    lives["start_odometer"] = lives["fitted_odometer"].where(lives["age_known"], earliest)
    lives["weight"] = lives["age_known"].astype(float)


def _set_ages(
    lives: pd.DataFrame, windows: pd.DataFrame, curves: OdometerCurves, inspections: pd.DataFrame
) -> None:
    """Entry and stop ages from odometers and looks."""
    at = lives["vehicle"].to_numpy()
    start = lives["start_odometer"].to_numpy()
    first_odometer = windows["first_odometer"].to_numpy()[at]
    lives["entry"] = np.maximum(np.maximum(first_odometer, lives["fitted_odometer"]) - start, 0.0)
    age = lives["end_odometer"].to_numpy() - start
    looks = _last_looks(lives, _looks(inspections, windows))
    good = curves.distance_at(at, looks["good"].fillna(0.0)) - start
    good = np.where(looks["good"].isna(), lives["entry"], np.maximum(good, lives["entry"]))
    bad = curves.distance_at(at, looks["bad"].fillna(0.0)) - start
    found_bad = looks["bad"].notna().to_numpy()
    ended = lives["ended"].to_numpy(dtype=object)
    lives["condemned"] = found_bad & lives["current"]
    # Found past its limit at a look: it wore out then, whatever became of it later.
    ended = np.where(found_bad & (ended != "failed"), "worn", ended)
    lives["ended"] = ended
    interval = found_bad | (ended == "worn")
    top = np.where(found_bad, np.maximum(bad, lives["entry"]), age)
    failed = ended == "failed"
    running = np.isin(ended, ["in_service", "retired"])
    looked_at = looks["good"].notna() | looks["bad"].notna()
    silent = _silent_share(lives["component"], ended, looked_at)
    # Nobody looks for what shows at once: it is good now.
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
    lives.loc[unseen, "weight"] = 0.0


def _silent_share(component: "pd.Series[str]", ended: Array, looked_at: "pd.Series[bool]") -> Array:
    """Share of each life's component's wear that shows only at a look (a cracked boot).

    With that share q, a part last seen good at L and running at A says q S(L) + (1 - q) S(A), which is
    S at L + (1 - q) (A - L) as long as the hazard hardly changes between two looks. A component that no
    look was ever written down for counts as 0: when it was looked at is not known.
    """
    wear = pd.DataFrame(
        {
            "component": component,
            "found": ended == "worn",
            "wear": np.isin(ended, ["worn", "failed"]),
            "looked_at": looked_at.to_numpy(),
        }
    )
    sums = wear.groupby("component")[["found", "wear", "looked_at"]].transform("sum")
    silent = (sums["found"] / sums["wear"].where(sums["wear"] > 0, 1)).to_numpy()
    return np.where(sums["looked_at"] > 0, silent, 0.0)
