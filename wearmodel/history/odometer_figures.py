"""Every odometer figure of a record, brought onto one line in time by vehicle.

Several rows that say the same of one vehicle on one day (the lines of one order) are one figure.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.history.odometer_curves import days_since_epoch

__all__ = ["MILE", "UNITS", "ClockUnit", "Figures", "build_figures", "clock_unit"]

Array = NDArray[Any]

MILE = 1.609344
"""Kilometres in a mile (international yard and pound agreement of 1959)."""

# Rounding found in a source: the figures divisible by 10, 100, ... are this many times as many as by chance.
_OFTEN = 4.0
_FEWEST_FOR_ROUNDING = 12
# Figures looked back over for one that shows a repeated figure to be old.
_SEEN_BACK = 8


@dataclass(frozen=True)
class ClockUnit:
    """What a clock that counts in this unit can do.

    Parameters
    ----------
    name : str
        As in the settings.
    most_a_day : float
        Farthest it runs in a day [distance / d].
    other_factor : float
        What a figure in the unit it is most often mistaken for has to be multiplied by; 1 = there is none.
    rollovers : tuple of float
        Figures at which a clock starts again at 0 [distance].
    """

    name: str
    most_a_day: float
    other_factor: float = 1.0
    rollovers: tuple[float, ...] = (1e5, 1e6)


#: Common practice, no source: farthest in a day, and five- and six-digit clocks with or without tenths.
UNITS = {
    "km": ClockUnit("km", 1500.0, MILE),
    "mi": ClockUnit("mi", 930.0, 1.0 / MILE),
    "hours": ClockUnit("hours", 24.0, 1.0, (1e4, 1e5)),
    "days": ClockUnit("days", 1.0, 1.0, ()),
}


def clock_unit(name: str) -> ClockUnit:
    """What a clock of a distance unit can do.

    Parameters
    ----------
    name : str
        Distance unit of the settings.

    Returns
    -------
    ClockUnit
        Without a bound on a day's running for units not known.
    """
    return UNITS.get(name, ClockUnit(name, np.inf))


@dataclass(frozen=True)
class Figures:
    """Distinct figures by vehicle and day, and the rows they stand in.

    Parameters
    ----------
    rows : pandas.DataFrame
        Every row: `unit, date, odometer, table, file, row, further, vehicle, day, figure` (place in the arrays);
        `further` rows are evidence only.
    vehicle, day, written : ndarray, shape (n_figures,)
        Vehicle index, days since 1970-01-01 [d], figure [distance]; ascending in this order, but for the
        in-service figure, which leads its day.
    source : ndarray of int, shape (n_figures,)
        Where it was written: index into `sources`.
    first_row : ndarray of int, shape (n_figures,)
        Its first row in `rows`.
    anchor : ndarray of bool, shape (n_figures,)
        In-service figures of the vehicles table.
    tables : ndarray of int, shape (n_figures,)
        Number of tables that agree on it.
    repeats : ndarray of bool, shape (n_figures,)
        The source had the very same figure for the vehicle on an earlier day, with none of its own between but a
        higher one of another source.
    grain : ndarray, shape (n_figures,)
        What it is rounded to [distance].
    print_factor : ndarray, shape (n_figures,)
        Divides the figure to what was printed, where intake has turned miles into kilometres or back.
    sources : tuple of str
        Table and file of each source.
    """

    rows: pd.DataFrame
    vehicle: Array
    day: Array
    written: Array
    source: Array
    first_row: Array
    anchor: Array
    tables: Array
    repeats: Array
    grain: Array
    print_factor: Array
    sources: tuple[str, ...]


def _all_rows(vehicles: pd.DataFrame, tables: Iterable[tuple[str, pd.DataFrame]]) -> pd.DataFrame:
    """Every odometer figure of the record, with where it came from."""
    start = pd.DataFrame(
        {
            "unit": vehicles["unit"],
            "date": vehicles["in_service_date"],
            "odometer": vehicles["in_service_odometer"],
            "file": vehicles["file"],
            "row": vehicles["row"],
            "table": "vehicles",
            "further": False,
        }
    )
    parts = [start]
    for name, table in tables:
        columns = ["unit", "date", "odometer", "file", "row"]
        known = table.loc[table["odometer"].notna(), columns if name else [*columns, "table"]]
        parts.append(known.assign(table=name, further=False) if name else known.assign(further=True))
    frame = pd.concat([part for part in parts if len(part)], ignore_index=True)
    frame["vehicle"] = pd.Index(vehicles["unit"]).get_indexer(pd.Index(frame["unit"]))
    frame["day"] = np.floor(days_since_epoch(frame["date"]))
    usable = (frame["vehicle"] >= 0) & np.isfinite(frame["day"]) & np.isfinite(frame["odometer"])
    usable &= frame["odometer"] >= 0
    frame = frame[usable]
    # The in-service figure leads on its day, so that it anchors the curve.
    later = (frame["table"] != "vehicles").to_numpy()
    moment = frame["vehicle"].to_numpy() * 1e8 + 2.0 * frame["day"].to_numpy() + later
    return frame.iloc[np.lexsort((frame["odometer"].to_numpy(), moment))].reset_index(drop=True)


def _agreeing_tables(place: Array, table: Array, count: int) -> Array:
    """Number of different tables behind each figure."""
    agreeing = np.zeros(count, dtype=np.int64)
    for index in range(int(table.max(initial=-1)) + 1):
        agreeing += np.bincount(place[table == index], minlength=count) > 0
    return agreeing


def _repeats(vehicle: Array, source: Array, day: Array, written: Array) -> Array:
    """Figures that their source copied from its lines before while another source saw the vehicle run."""
    order = np.lexsort((np.arange(len(day)), source, vehicle))
    same = (np.diff(vehicle[order]) == 0) & (np.diff(source[order]) == 0) & (np.diff(written[order]) == 0)
    # Each figure's run of equal ones begins at the last place where it was not the same.
    begins = np.concatenate([[0], np.where(same, 0, np.arange(1, len(order)))]) if len(order) else order
    begin = np.empty(len(order), dtype=np.int64)
    begin[order] = order[np.maximum.accumulate(begins)]
    out = np.zeros(len(vehicle), dtype=bool)
    for lag in range(1, min(_SEEN_BACK, len(vehicle) - 1) + 1):
        i = np.arange(lag, len(vehicle))
        out[i] |= (begin[i] < i - lag) & (vehicle[i - lag] == vehicle[i]) & (written[i - lag] > written[i])
    return out


def _grain(printed: Array, source: Array, count: int) -> Array:
    """What each figure is rounded to, from how often its source shows round figures."""
    grain = np.ones_like(printed)
    for index in range(count):
        mine = np.flatnonzero(source == index)
        if len(mine) < _FEWEST_FOR_ROUNDING:
            continue
        figures = printed[mine]
        for step in (10.0, 100.0, 1000.0):
            round_ones = (np.mod(figures, step) == 0) & (figures > 0)
            if round_ones.mean() > _OFTEN / step:
                grain[mine[round_ones]] = step
    return grain


def _print_factors(written: Array, source: Array, count: int) -> Array:
    """What intake multiplied the figures of each source with: the factor that makes them whole tenths again."""
    factor = np.ones_like(written)
    for index in range(count):
        mine = source == index
        figures = written[mine]
        for candidate in (1.0, MILE, 1.0 / MILE):
            tenths = figures / candidate * 10.0
            whole = np.abs(tenths - np.round(tenths)) < 1e-5
            if len(figures) and whole.mean() > 0.9:
                factor[mine] = candidate
                break
    return factor


def build_figures(
    vehicles: pd.DataFrame, tables: Iterable[tuple[str, pd.DataFrame]], *, further: pd.DataFrame | None = None
) -> Figures:
    """Distinct odometer figures of a record.

    Parameters
    ----------
    vehicles : pandas.DataFrame
        Clean table.
    tables : iterable of (str, pandas.DataFrame)
        Name and rows of every table with figures.
    further : pandas.DataFrame, optional
        More figures, with a column `table`.

    Returns
    -------
    Figures
        In the order of vehicle and day.
    """
    listed = list(tables)
    if further is not None and len(further):
        listed.append(("", further))
    rows = _all_rows(vehicles, listed)
    vehicle, day = rows["vehicle"].to_numpy(), rows["day"].to_numpy()
    odometer = rows["odometer"].to_numpy(dtype=float)
    new = np.ones(len(rows), dtype=bool)
    new[1:] = (np.diff(vehicle) != 0) | (np.diff(day) != 0) | (np.diff(odometer) != 0)
    place = np.cumsum(new) - 1
    rows["figure"] = place
    table_codes, table_names = pd.factorize(rows["table"])
    file_codes, file_names = pd.factorize(rows["file"])
    pair_codes, pairs = pd.factorize(table_codes * len(file_names) + file_codes)
    places = [divmod(int(pair), len(file_names)) for pair in pairs]
    sources = tuple(f"{table_names[table]} of {file_names[file]}" for table, file in places)
    count = int(new.sum())
    source = pair_codes[new]
    print_factor = _print_factors(odometer[new], source, len(sources))
    printed = np.round(odometer[new] / print_factor, 4)
    return Figures(
        rows=rows,
        vehicle=vehicle[new],
        day=day[new],
        written=odometer[new],
        source=source,
        first_row=np.flatnonzero(new),
        anchor=(rows["table"] == "vehicles").to_numpy()[new],
        tables=_agreeing_tables(place, table_codes, count),
        repeats=_repeats(vehicle[new], source, day[new], odometer[new]),
        grain=_grain(printed, source, len(sources)) * print_factor,
        print_factor=print_factor,
        sources=sources,
    )
