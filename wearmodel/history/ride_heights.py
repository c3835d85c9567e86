"""Ride-height episodes: which lift a vehicle had between which distances."""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.history.age_clocks import AgeClock
from wearmodel.history.odometer import OdometerCurves, days_since_epoch

__all__ = ["build_lift_changes", "build_segments", "lift_at_end"]

Array = NDArray[Any]


def build_lift_changes(ride_height: pd.DataFrame, curves: OdometerCurves | AgeClock) -> pd.DataFrame:
    """Lift changes of each vehicle on its odometer.

    Parameters
    ----------
    ride_height : pandas.DataFrame
        Clean table.
    curves : OdometerCurves or AgeClock
        What ages count by.

    Returns
    -------
    pandas.DataFrame
        Columns `vehicle` (index), `odometer` [distance], `lift` [mm], in order; the last entry of a
        day counts, entries that change nothing are dropped.
    """
    vehicle = pd.Index(curves.units).get_indexer(pd.Index(ride_height["unit"]))
    day = days_since_epoch(ride_height["date"])
    frame = pd.DataFrame({"vehicle": vehicle, "day": day, "lift": ride_height["lift"].to_numpy()})
    frame = frame[vehicle >= 0].sort_values(["vehicle", "day"], kind="stable")
    frame = frame.drop_duplicates(["vehicle", "day"], keep="last")
    before = frame.groupby("vehicle")["lift"].shift(fill_value=0.0)
    frame = frame[frame["lift"] != before]
    frame["odometer"] = curves.distance_at(frame["vehicle"].to_numpy(), frame["day"].to_numpy())
    return frame[["vehicle", "odometer", "lift"]].reset_index(drop=True)


def build_segments(lives: pd.DataFrame, changes: pd.DataFrame) -> pd.DataFrame:
    """Each life cut where the vehicle's ride height changed.

    Parameters
    ----------
    lives : pandas.DataFrame
        With `vehicle`, `start_odometer`, `end_odometer`, in order of their index 0..n-1.
    changes : pandas.DataFrame
        From `build_lift_changes`.

    Returns
    -------
    pandas.DataFrame
        Columns `life` (row number of the life), `age_from`, `age_to` [distance], `lift` [mm],
        ascending; the first segment of a life starts at 0, the last ends at infinity.
    """
    base = pd.DataFrame(
        {
            "life": np.arange(len(lives)),
            "vehicle": lives["vehicle"].to_numpy(),
            "start": lives["start_odometer"].to_numpy(),
            "end": lives["end_odometer"].to_numpy(),
        }
    )
    crossed = base.merge(changes, on="vehicle", how="inner")
    inside = crossed[(crossed["odometer"] > crossed["start"]) & (crossed["odometer"] < crossed["end"])]
    cuts = pd.DataFrame(
        {"life": inside["life"], "age_from": inside["odometer"] - inside["start"], "lift": inside["lift"]}
    )
    earlier = crossed[crossed["odometer"] <= crossed["start"]].groupby("life")["lift"].last()
    first = pd.DataFrame(
        {
            "life": base["life"],
            "age_from": 0.0,
            "lift": earlier.reindex(base["life"], fill_value=0.0).to_numpy(),
        }
    )
    frame = pd.concat([first, cuts], ignore_index=True) if len(cuts) else first
    frame = frame.sort_values(["life", "age_from"], kind="stable", ignore_index=True)
    following = frame.groupby("life")["age_from"].shift(-1)
    frame["age_to"] = following.fillna(np.inf)
    return frame[["life", "age_from", "age_to", "lift"]]


def lift_at_end(segments: pd.DataFrame) -> Array:
    """Lift of each life's last segment.

    Parameters
    ----------
    segments : pandas.DataFrame
        From `build_segments`.

    Returns
    -------
    ndarray, shape (n_lives,)
        [mm]
    """
    return segments.groupby("life")["lift"].last().to_numpy()
