"""The record as it stood on an earlier day, the curves it would have given then, and what came of its parts."""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.fleet_model import fit_coded
from wearmodel.history.events import build_events
from wearmodel.history.histories import Histories, cut_lives, put_on_age
from wearmodel.history.lives import build_windows
from wearmodel.history.odometer import days_since_epoch
from wearmodel.intake.fleet import Fleet
from wearmodel.settled_fleet import settle_fleet
from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.life_data import LifeData, build_stretched_life_data
from wearmodel.survival.model import ComponentModel

__all__ = ["Since", "earlier_histories", "fit_earlier", "fleet_on", "lives_coded_for", "lives_since"]

Array = NDArray[Any]
_KEYS = ["vehicle", "position", "start_day"]


def fleet_on(fleet: Fleet, day: pd.Timestamp) -> Fleet:
    """The fleet's tables as they stood on an earlier day.

    Parameters
    ----------
    fleet : Fleet
        Clean tables of the whole record.
    day : pandas.Timestamp
        The last day known.

    Returns
    -------
    Fleet
        Without anything dated later: repairs, readings, looks, ride heights, duty, vehicles not yet in service; a
        vehicle retired later is still in service. What words mean, and a vehicle's duty and depot, are taken as they
        are known now; stock and fleet plan, which are of today, are left out.
    """
    out = {}
    for name, table in fleet.tables.items():
        column = {"vehicles": "in_service_date", "duty_log": "month"}.get(name, "date")
        if name in ("stock", "fleet_plan"):
            table = table.iloc[:0]
        elif column in table:
            table = _until(table, day, column=column)
        out[name] = table
    vehicles = out["vehicles"]
    begun = ~(pd.to_datetime(vehicles["records_from"]) > day)
    left = pd.to_datetime(vehicles["out_of_service_date"])
    vehicles = vehicles.assign(out_of_service_date=left.where(left <= day))
    out["vehicles"] = vehicles[begun.to_numpy()].reset_index(drop=True)
    return replace(
        fleet,
        as_of=day,
        tables=out,
        other_figures=_until(fleet.other_figures, day),
        greasings=_until(fleet.greasings, day),
    )


def earlier_histories(fleet: Fleet, histories: Histories, *, day: pd.Timestamp) -> Histories:
    """Histories from what had been written down by a day.

    Parameters
    ----------
    fleet : Fleet
        Clean tables.
    histories : Histories
        Of the whole record.
    day : pandas.Timestamp
        The last day known.

    Returns
    -------
    Histories
        Repairs and looks up to the day; distances as they are known now, where a later reading tells them better.
    """
    windows = build_windows(
        fleet.tables["vehicles"], curves=histories.curves, as_of=day, distance_unit=fleet.settings.distance_unit
    )
    renewals = replace(
        histories.renewals,
        known=_until(histories.renewals.known, day),
        open=_until(histories.renewals.open, day),
    )
    events = build_events(renewals, windows=windows, layouts=fleet.settings.layouts)
    inspections = _until(fleet.tables["inspections"], day)
    cut = cut_lives(
        events, windows=windows, curves=histories.curves, inspections=inspections, changes=histories.changes
    )
    earlier = replace(
        histories.by_distance(),
        lives=cut.lives,
        segments=cut.segments,
        windows=windows,
        renewals=renewals,
        events=events,
    )
    if not histories.age_clocks:
        return earlier
    return put_on_age(
        earlier, clocks=histories.age_clocks, inspections=inspections, ride_height=fleet.tables["ride_height"]
    )


def _until(frame: pd.DataFrame, day: pd.Timestamp, *, column: str = "date") -> pd.DataFrame:
    """Rows dated up to a day."""
    return frame[(pd.to_datetime(frame[column]) <= day).to_numpy()].reset_index(drop=True) if len(frame) else frame


def fit_earlier(fleet: Fleet, earlier: Histories, *, day: pd.Timestamp) -> dict[str, ComponentModel]:
    """Life models fitted to an earlier record alone.

    Parameters
    ----------
    fleet : Fleet
        Settings.
    earlier : Histories
        From `earlier_histories`.
    day : pandas.Timestamp
        The last day known.

    Returns
    -------
    dict of str to ComponentModel
        By component code.
    """
    settled = settle_fleet(replace(fleet, as_of=day), earlier)
    return fit_coded(fleet, settled.coded.coded, lost=settled.lost)


def lives_coded_for(
    model: ComponentModel, rows: Array, *, lives: pd.DataFrame, segments: pd.DataFrame, traits: pd.DataFrame
) -> LifeData:
    """Lives of one component coded as a model is, whatever record the model was fitted to.

    Parameters
    ----------
    model : ComponentModel
        Life model.
    rows : ndarray of int, shape (n_lives,)
        Which of `lives`, ascending.
    lives, segments, traits : pandas.DataFrame
        All lives and their segments; traits row by row for the lives.

    Returns
    -------
    LifeData
        One life a row.
    """
    mine = segments[np.isin(segments["life"].to_numpy(), rows)]
    at = mine["life"].to_numpy()
    chosen = lives.iloc[rows]
    return build_stretched_life_data(
        life=np.searchsorted(rows, at),
        segment_from=mine["age_from"],
        segment_to=mine["age_to"],
        design=build_segment_design(
            model.coding,
            lift=mine["lift"].to_numpy(dtype=float),
            traits=traits.iloc[at],
        ),
        entry=chosen["entry"],
        stop_low=chosen["stop_low"],
        stop_high=chosen["stop_high"],
        weight=chosen["weight"],
        cluster=chosen["vehicle"],
    )


@dataclass(frozen=True)
class Since:
    """What came after a day of the parts that were fitted then.

    Parameters
    ----------
    lives : pandas.DataFrame
        Lives of known age under way on the day, all components, seen from the day on: `entry` is the age they were
        known to have reached. Index 0..n-1, with `row` among all lives.
    days : ndarray, shape (n_lives,)
        From the day to the end of each life [d]; `horizon` for those that lasted.
    ahead : ndarray, shape (n_lives,)
        What the part's clock went on from the day to the end of its vehicle's record [distance].
    horizon : float
        From the day to the end of the record [d].
    """

    lives: pd.DataFrame
    days: Array
    ahead: Array
    horizon: float


def lives_since(histories: Histories, earlier: Histories, *, day: pd.Timestamp, as_of: pd.Timestamp) -> Since:
    """Parts of known age under way on a day, and what became of them.

    Parameters
    ----------
    histories, earlier : Histories
        Of the whole record, and up to the day.
    day, as_of : pandas.Timestamp
        The day, and the end of the record.

    Returns
    -------
    Since
        Lives of which nothing more was seen are left out.
    """
    now, end = (float(days_since_epoch(pd.DatetimeIndex([when]))[0]) for when in (day, as_of))
    lives = histories.lives
    known = earlier.lives[earlier.lives["running"].astype(bool)].drop_duplicates(_KEYS)
    reached = lives[_KEYS].merge(known[[*_KEYS, "stop_low"]], on=_KEYS, how="left")["stop_low"].to_numpy()
    under_way = lives["usable"].to_numpy(dtype=bool) & (lives["start_day"] <= now).to_numpy()
    under_way &= (lives["end_day"] > now).to_numpy() & np.isfinite(reached)
    entry = np.maximum(np.nan_to_num(reached), lives["entry"].to_numpy())
    low = np.maximum(lives["stop_low"].to_numpy(), entry)
    high = np.maximum(lives["stop_high"].to_numpy(), low)
    failed = np.isfinite(high)
    rows = np.flatnonzero(under_way & ((low > entry) | (failed & (high > low))))
    seen = lives.assign(entry=entry, stop_low=low, stop_high=high, row=np.arange(len(lives))).iloc[rows]
    counted = histories.counted_at(seen, np.full(len(seen), now)) - seen["start_odometer"].to_numpy()
    lasted = seen["ended"].isin(["in_service", "retired"]).to_numpy() & ~failed[rows]
    return Since(
        lives=seen.reset_index(drop=True),
        days=np.where(lasted, end - now, seen["end_day"].to_numpy() - now),
        ahead=np.maximum(seen["age_at_end"].to_numpy() - np.maximum(counted, 0.0), 0.0),
        horizon=end - now,
    )
