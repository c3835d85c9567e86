"""What the parts of a component on a vehicle go on in a year, by duty and ride height."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.policy.lift_groups import nearest_level

__all__ = ["add_yearly_running"]

Array = NDArray[Any]
_YEAR = 365.25


def add_yearly_running(
    cells: pd.DataFrame, *, lives: pd.DataFrame, daily: Array, levels: tuple[float, ...],
    a_day: Mapping[str, Array],
) -> pd.DataFrame:  # fmt: skip
    """Columns `yearly_running`, what all parts of a component on a vehicle of the cell go on in a year, and `vehicles`.

    Parameters
    ----------
    cells : pandas.DataFrame
        `component, duty, lift, ...`.
    lives : pandas.DataFrame
        All lives; those now fitted count, one a position.
    daily : ndarray, shape (n_vehicles,)
        Running of each vehicle [distance / d].
    levels : tuple of float
        Lift levels [mm].
    a_day : mapping of str to ndarray, shape (n_vehicles,)
        What the clocks of components that age by time or engine hours go on a day [distance / d].

    Returns
    -------
    pandas.DataFrame
        The cells, with the mean over the cell's vehicles [distance / vehicle-year]; that of all vehicles with the
        component where the cell has none now, blank where nobody has. `vehicles`: how many the cell has now.
    """
    now = lives[lives["current"]]
    vehicle = now["vehicle"].to_numpy(dtype=np.intp)
    goes = daily[vehicle]
    for code, clock in a_day.items():
        mine = (now["component"] == code).to_numpy()
        goes[mine] = clock[vehicle[mine]]
    now = now.assign(lift=nearest_level(now["lift"], levels), run=goes * _YEAR)
    keys = ["component", "duty", "lift"]

    def running(by: list[str]) -> pd.DataFrame:
        grouped = now.groupby(by)
        vehicles = grouped["vehicle"].nunique()
        return pd.DataFrame({"yearly_running": grouped["run"].sum() / vehicles, "vehicles": vehicles})

    own = cells[keys].merge(running(keys).reset_index(), on=keys, how="left").set_index(cells.index)
    everywhere = cells["component"].map(running(["component"])["yearly_running"])
    return cells.assign(
        yearly_running=own["yearly_running"].fillna(everywhere), vehicles=own["vehicles"].fillna(0).astype(int)
    )
