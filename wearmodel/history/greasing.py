"""How regularly each part's position was greased, from the whole record of its vehicle."""

import re
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.driveline.layouts import GREASED_FOR_LIFE
from wearmodel.history.odometer import days_since_epoch

__all__ = ["GREASED", "SELDOM_GREASED", "greasing_levels"]

Array = NDArray[Any]

GREASED, SELDOM_GREASED = "greased", "seldom greased"

#: Builds that cannot be greased, as catalogues write them.
_SEALED = re.compile(
    r"\b(?:sealed|non[ -]?greas\w*|(?:greased|lubed|lubricated) for life|maintenance[ -]free|for life)\b", re.IGNORECASE
)


def greasing_levels(
    lives: pd.DataFrame, *, greasings: pd.DataFrame, windows: pd.DataFrame, builds: Array, every: float
) -> Array:
    """Level of greasing of each life's position.

    Parameters
    ----------
    lives : pandas.DataFrame
        With `vehicle, position, component`.
    greasings : pandas.DataFrame
        Positions greased: `unit, date, position`, each once a day.
    windows : pandas.DataFrame
        Observation window of each vehicle, in the order of the vehicle index.
    builds : ndarray of str, shape (n_lives,)
        Build of each part in the catalogue; empty where it is not known.
    every : float
        A position counts as greased where it was at least once in so much distance [distance]; NaN: not known.

    Returns
    -------
    ndarray of str, shape (n_lives,)
        `greased`, `seldom greased`, or empty: of components that no line of the fleet greases, builds that are sealed,
        and vehicles that did not run `every` under observation.

    Notes
    -----
    The level is one of the position on its vehicle over the whole time that is on record, the same for every life in
    it, whatever became of them. Were it one of the life, such as greased since it was fitted, a part would have to last
    until its first greasing to count as greased, and the greased ones would last longer by that alone (immortal-time
    bias: Suissa, American Journal of Epidemiology 167, 2008, 492-499). What it takes is that a vehicle is looked after
    much alike through its record, and is not greased because its joints fail: lines that tell a fault do not count.
    """
    blank = np.full(len(lives), "", dtype=object)
    if greasings.empty or not np.isfinite(every):
        return blank
    run = (windows["last_odometer"] - windows["first_odometer"]).to_numpy(dtype=float)
    counts = _counts(greasings, windows)
    keys = pd.MultiIndex.from_frame(lives[["vehicle", "position"]])
    often = counts.reindex(keys, fill_value=0).to_numpy(dtype=float)
    distance = run[lives["vehicle"].to_numpy()]
    component = lives["component"].to_numpy(dtype=object)
    on_record = np.isin(component, np.unique(component[often > 0].astype(str)))
    able = on_record & ~np.isin(component, list(GREASED_FOR_LIFE)) & ~_is_sealed(builds)
    levels = np.where(often * every >= distance, GREASED, SELDOM_GREASED).astype(object)
    return np.where(able & (distance >= every), levels, blank)


def _counts(greasings: pd.DataFrame, windows: pd.DataFrame) -> "pd.Series[int]":
    """Greasings of each vehicle and position within its window."""
    vehicle = pd.Index(windows["unit"]).get_indexer(pd.Index(greasings["unit"]))
    day = days_since_epoch(greasings["date"])
    first, last = (windows[name].to_numpy(dtype=float)[vehicle] for name in ("first_day", "last_day"))
    seen = (vehicle >= 0) & (day >= first) & (day <= last)
    frame = pd.DataFrame({"vehicle": vehicle[seen], "position": greasings["position"].to_numpy(dtype=object)[seen]})
    return frame.groupby(["vehicle", "position"]).size()


def _is_sealed(builds: Array) -> Array:
    """Whether a build cannot be greased."""
    known, index = np.unique(builds.astype(str), return_inverse=True)
    return np.array([bool(_SEALED.search(build)) for build in known], dtype=bool)[index]
