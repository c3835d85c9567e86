"""Ordinary dirt: the slips, gaps and foreign lines any shop's record has."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.simulate.shop_tables import iso_dates
from wearmodel.simulate.wording import other_work_text, repair_text

__all__ = ["DIRT_SHARES", "HOUR_DIRT_SHARES", "DirtyTables", "add_dirt"]

Rows = npt.NDArray[np.int64]

DIRT_SHARES: Mapping[str, Mapping[str, float]] = {
    "repairs": {
        "odometer_slip": 0.0025,
        "odometer_not_a_number": 0.001,
        "unreadable_date": 0.002,
        "unknown_unit": 0.0015,
        "blank_odometer": 0.02,
        "blank_codes": 0.03,
        "position_untold": 0.008,
        "duplicate_line": 0.003,
        "other_work": 0.06,
    },
    "readings": {
        "odometer_slip": 0.0005,
        "unreadable_date": 0.0001,
        "unknown_unit": 0.0001,
        "after_as_of": 0.0001,
    },
    "inspections": {"unknown_finding": 0.0003, "unknown_position": 0.0002},
}
"""Share of a table's rows soiled in each way; at least one row of each kind from 400 rows on."""

HOUR_DIRT_SHARES: Mapping[str, float] = {
    "hours_slip": 0.001,
    "hours_not_a_number": 0.0002,
    "hours_negative": 0.0002,
}
"""The same of readings with engine hours."""

_UNREADABLE_DATES = ("31.02.2023", "n/a", "2021-13-05", "??.??.2022")
_UNKNOWN_UNITS = ("QD-9O7", "QD-9999", "pool car")
_UNTOLD_COMPONENTS = ("u_joint", "cv_boot_outboard", "cv_boot_inboard", "cv_joint_outboard")
_CODES = ("component", "position", "reason")


@dataclass(frozen=True)
class DirtyTables:
    """The tables with dirt in them, and how many rows were soiled.

    Parameters
    ----------
    tables : mapping of str to pandas.DataFrame
        All tables, every cell text.
    counts : mapping of str to mapping
        Table -> kind of dirt -> rows.
    """

    tables: Mapping[str, pd.DataFrame]
    counts: Mapping[str, Mapping[str, int]]


def add_dirt(
    rng: np.random.Generator, tables: Mapping[str, pd.DataFrame], *, as_of_day: int
) -> DirtyTables:
    """Soil a few rows of the event tables, no row in two ways.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    tables : mapping of str to pandas.DataFrame
        Clean tables, every cell text; they are left as they are.
    as_of_day : int
        Last day of the record, counted from 1970-01-01.

    Returns
    -------
    DirtyTables
        Repairs by order number; in the other tables, rows added stand last.
    """
    soiled = dict(tables)
    counts: dict[str, dict[str, int]] = {}
    for name, shares in DIRT_SHARES.items():
        frame = tables[name].reset_index(drop=True)
        free = rng.permutation(np.flatnonzero(frame["odometer"].str.len() >= 5))
        counts[name] = {}
        shares = {**shares, **HOUR_DIRT_SHARES} if "engine_hours" in frame else shares
        for kind, share in shares.items():
            size = _rows_for(share, len(frame))
            rows = _pick_rows(frame, free, kind=kind, size=size)
            free = free[~np.isin(free, rows)]
            counts[name][kind] = len(rows)
            if len(rows):
                frame = _KINDS[kind](rng, frame, rows, as_of_day)
        soiled[name] = _in_order(frame) if name == "repairs" else frame
    return DirtyTables(soiled, counts)


def _rows_for(share: float, rows: int) -> int:
    """Number of rows to soil."""
    return max(round(share * rows), 1 if rows >= 400 else 0)


def _pick_rows(frame: pd.DataFrame, free: Rows, *, kind: str, size: int) -> Rows:
    """Rows of those not yet soiled that suit a kind of dirt."""
    if kind in HOUR_DIRT_SHARES:
        free = free[(frame["engine_hours"].str.len() >= 3).to_numpy()[free]]
    if kind == "position_untold":
        alone = ~frame["order"].duplicated(keep=False) & frame["component"].isin(_UNTOLD_COMPONENTS)
        single = alone & ~frame["part_number"].str.endswith(("HSA", "UJ2"))
        free = free[single.to_numpy()[free]]
    return np.sort(free[:size])


def _in_order(frame: pd.DataFrame) -> pd.DataFrame:
    """Lines by order number, so that foreign lines and duplicates stand where they were written."""
    return frame.sort_values("order", kind="stable", ignore_index=True)


def _slip_odometer(rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int) -> pd.DataFrame:
    """A digit doubled at the end, or the ten-thousands digit mistyped."""
    for row in rows:
        digits = str(frame.loc[row, "odometer"])
        place = len(digits) - 5
        if rng.random() < 0.4:
            slipped = digits + digits[-1]
        else:
            mistyped = (int(digits[place]) + int(rng.integers(3, 8))) % 10
            slipped = f"{digits[:place]}{mistyped}{digits[place + 1 :]}"
        frame.loc[row, "odometer"] = slipped
    return frame


def _slip_hours(rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int) -> pd.DataFrame:
    """The last digit of the hour meter doubled."""
    frame.loc[rows, "engine_hours"] = [digits + digits[-1] for digits in frame.loc[rows, "engine_hours"]]
    return frame


def _spoil_hours(rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int) -> pd.DataFrame:
    """A word where the hour meter was not read."""
    frame.loc[rows, "engine_hours"] = "meter dark"
    return frame


def _negative_hours(rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int) -> pd.DataFrame:
    """Hours with a minus before them."""
    frame.loc[rows, "engine_hours"] = ["-" + digits for digits in frame.loc[rows, "engine_hours"]]
    return frame


def _spoil_number(rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int) -> pd.DataFrame:
    """A letter O among the digits, with a thousands separator."""
    for row in rows:
        digits = str(frame.loc[row, "odometer"])
        frame.loc[row, "odometer"] = f"{digits[:-4]}O,{digits[-3:]}"
    return frame


def _spoil_date(rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int) -> pd.DataFrame:
    """A date nobody can read."""
    frame.loc[rows, "date"] = [_UNREADABLE_DATES[i % len(_UNREADABLE_DATES)] for i in range(len(rows))]
    return frame


def _mistake_unit(rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int) -> pd.DataFrame:
    """A unit the fleet does not have."""
    frame.loc[rows, "unit"] = [_UNKNOWN_UNITS[i % len(_UNKNOWN_UNITS)] for i in range(len(rows))]
    return frame


def _blank_odometer(
    rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int
) -> pd.DataFrame:
    """No odometer on the line; its date still tells."""
    frame.loc[rows, "odometer"] = ""
    return frame


def _blank_codes(rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int) -> pd.DataFrame:
    """Codes left out, one, two or all; the text tells."""
    for row in rows:
        blank = _CODES[: int(rng.integers(1, 4))] if rng.random() < 0.5 else ("reason",)
        for code in blank:
            frame.loc[row, code] = ""
    return frame


def _untell_position(
    rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int
) -> pd.DataFrame:
    """Neither code nor text says where the part sat."""
    for row in rows:
        component, reason = str(frame.loc[row, "component"]), str(frame.loc[row, "reason"])
        frame.loc[row, "text"] = repair_text(rng, component=component, position="", reason=reason)
        frame.loc[row, "position"] = ""
    return frame


def _duplicate_line(
    rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int
) -> pd.DataFrame:
    """The same line entered twice."""
    return pd.concat([frame, frame.iloc[rows]], ignore_index=True)


def _add_other_work(
    rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int
) -> pd.DataFrame:
    """Work on the same order that has nothing to do with the driveline."""
    other = frame.iloc[rows].copy()
    other["text"] = [other_work_text(rng) for _ in rows]
    other[["part_number", *_CODES]] = ""
    other["labour_hours"] = [f"{hours:.1f}" for hours in rng.uniform(0.3, 2.5, len(rows))]
    other["parts_cost"] = [f"{cost:.2f}" for cost in rng.uniform(5.0, 220.0, len(rows))]
    return pd.concat([frame, other], ignore_index=True)


def _add_late_reading(
    rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int
) -> pd.DataFrame:
    """A reading dated after the last day of the record."""
    late = frame.iloc[rows].copy()
    late["date"] = iso_dates(as_of_day + rng.integers(5, 60, len(rows)))
    return pd.concat([frame, late], ignore_index=True)


def _mistake_finding(
    rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int
) -> pd.DataFrame:
    """A finding outside the code list."""
    frame.loc[rows, "finding"] = "gd"
    return frame


def _mistake_position(
    rng: np.random.Generator, frame: pd.DataFrame, rows: Rows, as_of_day: int
) -> pd.DataFrame:
    """A misspelt position."""
    frame.loc[rows, "position"] = [position.replace("a", "e") for position in frame.loc[rows, "position"]]
    frame.loc[rows, "position"] += "?"
    return frame


_KINDS: Mapping[str, Callable[[np.random.Generator, pd.DataFrame, Rows, int], pd.DataFrame]] = {
    "odometer_slip": _slip_odometer,
    "odometer_not_a_number": _spoil_number,
    "unreadable_date": _spoil_date,
    "unknown_unit": _mistake_unit,
    "blank_odometer": _blank_odometer,
    "blank_codes": _blank_codes,
    "position_untold": _untell_position,
    "duplicate_line": _duplicate_line,
    "other_work": _add_other_work,
    "after_as_of": _add_late_reading,
    "hours_slip": _slip_hours,
    "hours_not_a_number": _spoil_hours,
    "hours_negative": _negative_hours,
    "unknown_finding": _mistake_finding,
    "unknown_position": _mistake_position,
}
