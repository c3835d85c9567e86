"""What the duty log says of each vehicle's work, and how much of that hangs on single months."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt
import pandas as pd

__all__ = ["MEASURES", "DutyMonths", "Measure", "build_duty_months"]

FloatArray = npt.NDArray[np.float64]

@dataclass(frozen=True)
class Measure:
    """One measure of a vehicle's work.

    Parameters
    ----------
    column : str
        Column of the duty log it comes from.
    word : str
        Duty it marks when it is high.
    per : float
        Distance its counts or hours are taken for; 0 for a share or a speed.
    """

    column: str
    word: str
    per: float = 0.0


MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "stops_per_100": Measure("stops", "stop_and_go", 100.0),
        "idle_hours_per_100": Measure("idle_hours", "idling", 100.0),
        "unpaved_share": Measure("unpaved_share", "off_road"),
        "tow_hours_per_1000": Measure("tow_hours", "towing", 1000.0),
        "mean_speed": Measure("mean_speed", "long_distance"),
    }
)
"""What is measured of a vehicle's work, in the order of every array of measures."""


@dataclass(frozen=True, eq=False)
class DutyMonths:
    """The months of the duty log, vehicle by vehicle.

    Parameters
    ----------
    units : ndarray of object, shape (n_units,)
        Vehicles of the log, in alphabetical order.
    months : ndarray of int, shape (n_units,)
        Months with a distance and at least one measure.
    distance : ndarray, shape (n_units,)
        Driven in them [distance].
    owner : ndarray of int, shape (n_rows,)
        Number of the vehicle each month is of, ascending.
    above, below : ndarray, shape (n_rows, n_measures)
        What each month adds above and below the line of each measure of `MEASURES`; 0 where it is not known.
    enough : ndarray of bool, shape (n_units, n_measures)
        Whether a measure is known in enough months to be judged.
    """

    units: npt.NDArray[np.object_]
    months: npt.NDArray[np.int64]
    distance: FloatArray
    owner: npt.NDArray[np.int64]
    above: FloatArray
    below: FloatArray
    enough: npt.NDArray[np.bool_]

    def measures(self, weights: FloatArray | None = None) -> FloatArray:
        """Measures of each vehicle over its months.

        Parameters
        ----------
        weights : ndarray, shape (n_rows,), optional
            How often each month counts. Default: once.

        Returns
        -------
        ndarray, shape (n_units, n_measures)
            NaN where it cannot be judged. Sums over sums: a month of little driving counts little.
        """
        vehicles, columns = len(self.units), len(MEASURES)
        out = np.full((vehicles, columns), np.nan)
        for column in range(columns):
            above, below = self.above[:, column], self.below[:, column]
            if weights is not None:
                above, below = above * weights, below * weights
            over = np.bincount(self.owner, weights=above, minlength=vehicles)
            under = np.bincount(self.owner, weights=below, minlength=vehicles)
            np.divide(over, under, out=out[:, column], where=self.enough[:, column] & (under > 0.0))
        return out

    def resampled(self, rng: np.random.Generator) -> FloatArray:
        """Measures over months drawn anew, with replacement, from those of the same vehicle.

        Parameters
        ----------
        rng : numpy.random.Generator
            Source of chance.

        Returns
        -------
        ndarray, shape (n_units, n_measures)
            As of `measures`.
        """
        first = np.searchsorted(self.owner, np.arange(len(self.units)))
        drawn = first[self.owner] + (rng.random(len(self.owner)) * self.months[self.owner]).astype(np.int64)
        return self.measures(np.bincount(drawn, minlength=len(self.owner)).astype(np.float64))


def build_duty_months(duty_log: pd.DataFrame, *, fewest_months: int) -> DutyMonths:
    """Gather the months of the duty log.

    Parameters
    ----------
    duty_log : pandas.DataFrame
        Clean table; columns of measures may be missing. Of two rows of one vehicle and month the first counts.
    fewest_months : int
        Months in which a measure must be known to be judged.

    Returns
    -------
    DutyMonths
        Of the vehicles with a usable month.
    """
    # In order of month: which months are drawn must not hang on the order of the rows.
    log = duty_log.drop_duplicates(["unit", "month"]).sort_values(["unit", "month"], kind="stable")
    distance = log["distance"].to_numpy(dtype=np.float64)
    above = np.zeros((len(log), len(MEASURES)))
    below = np.zeros_like(above)
    for column, (name, measure) in enumerate(MEASURES.items()):
        if measure.column not in log:
            continue
        value = log[measure.column].to_numpy(dtype=np.float64)
        if name == "mean_speed":  # distance over the hours it took
            known = value > 0.0
            over, under = distance, np.divide(distance, value, out=np.zeros_like(value), where=known)
        elif name == "unpaved_share":
            known = value >= 0.0
            over, under = value * distance, distance
        else:
            known = value >= 0.0
            over, under = value * measure.per, distance
        above[:, column], below[:, column] = np.where(known, over, 0.0), np.where(known, under, 0.0)
    usable = (distance > 0.0) & (below > 0.0).any(axis=1)
    units, owner = np.unique(log["unit"].to_numpy(dtype=object)[usable].astype(str), return_inverse=True)
    above, below = above[usable], below[usable]
    known_months = np.stack([np.bincount(owner[b > 0.0], minlength=len(units)) for b in below.T], axis=1)
    return DutyMonths(
        units=units.astype(object),
        months=np.bincount(owner, minlength=len(units)),
        distance=np.bincount(owner, weights=distance[usable], minlength=len(units)).astype(np.float64),
        owner=owner,
        above=above,
        below=below,
        enough=known_months >= fewest_months,
    )
