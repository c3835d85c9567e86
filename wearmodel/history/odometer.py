"""Odometer readings to running totals: faults are found and named, and each vehicle gets a curve.

The figures of a vehicle come from all tables. `odometer_figures` gathers them, `odometer_pace` tells how vehicles
usually run and `odometer_chain` which figures belong together; `odometer_units` and `odometer_levels` tell what
became of clocks whose figures break off and go on elsewhere, `odometer_repairs` what single false figures were meant
to be; `odometer_standing` joins this with people's answers, `odometer_curves` gives distances and dates,
`odometer_findings` the words.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.findings import Finding
from wearmodel.history.odometer_curves import OdometerCurves, build_curves, days_since_epoch
from wearmodel.history.odometer_figures import build_figures, clock_unit
from wearmodel.history.odometer_findings import check_odometers, odometer_questions
from wearmodel.history.odometer_standing import Standing, build_standing
from wearmodel.questions import Answer, Question

__all__ = ["OdometerCurves", "OdometerResult", "build_odometer_curves", "days_since_epoch"]

Array = NDArray[Any]

_NO_ANSWERS: Mapping[str, Answer] = MappingProxyType({})


@dataclass(frozen=True)
class OdometerResult:
    """Curves and what was wrong with the readings.

    Parameters
    ----------
    curves : OdometerCurves
        One curve a vehicle.
    findings : tuple of Finding
        Every figure that was not taken as written, with what was done.
    questions : tuple of Question
        What a person should settle.
    """

    curves: OdometerCurves
    findings: tuple[Finding, ...]
    questions: tuple[Question, ...] = ()


@dataclass(frozen=True)
class _Points:
    """Accepted figures, one a vehicle and day."""

    vehicle: Array
    day: Array
    odometer: Array
    grain: Array
    carried: Array
    figure: Array


def _daily_points(standing: Standing) -> _Points:
    """The highest figure of each day: the day ends with it."""
    figures = standing.figures
    used = np.flatnonzero(np.isfinite(standing.total))
    vehicle, day, total = figures.vehicle[used], figures.day[used], standing.total[used]
    first = np.ones(len(used), dtype=bool)
    first[1:] = (np.diff(vehicle) != 0) | (np.diff(day) != 0)
    group = np.cumsum(first) - 1
    highest = np.flatnonzero(total == np.maximum.reduceat(total, np.flatnonzero(first))[group])
    top = used[highest[np.append(np.diff(group[highest]) != 0, True)]]
    return _Points(
        figures.vehicle[top], figures.day[top], standing.total[top], figures.grain[top], standing.variance[top], top
    )


def _even(points: _Points, pace: Array) -> Array:
    """Totals that never fall: figures that fall back are averaged with those before, weighed by their accuracy.

    Least squares under order (pool adjacent violators); figures already in order stay as they are.
    """
    out = points.odometer.copy()
    falls = (np.diff(points.vehicle) == 0) & (np.diff(out) < 0)
    if not falls.any():
        return out
    from scipy.optimize import isotonic_regression

    variance = (points.grain**2 + pace[points.vehicle] ** 2) / 12.0
    for index in np.unique(points.vehicle[1:][falls]):
        low, high = np.searchsorted(points.vehicle, [index, index + 1])
        out[low:high] = isotonic_regression(out[low:high], weights=1.0 / variance[low:high]).x
    return out


def build_odometer_curves(
    vehicles: pd.DataFrame,
    *,
    readings: pd.DataFrame,
    repairs: pd.DataFrame,
    inspections: pd.DataFrame,
    distance_unit: str,
    corrections: Mapping[str, Answer] = _NO_ANSWERS,
    further: pd.DataFrame | None = None,
    meter: str = "odometer",
) -> OdometerResult:
    """Odometer curves from all readings, wherever they were written down.

    Parameters
    ----------
    vehicles, readings, repairs, inspections : pandas.DataFrame
        Clean tables.
    distance_unit : str
        Decides how far a vehicle can go in a day, where clocks start again at 0, and which unit a figure may
        have been written in by mistake; no such bounds for units not known.
    corrections : mapping of str to Answer
        What people said, by key of the question. The odometer of an answer is the true running total in
        the fleet's unit, `ignore` or `right`; on the first figure of a stretch it settles the stretch.
    further : pandas.DataFrame, optional
        More figures, of rows that take no part otherwise: `unit, date, odometer, file, row, table`.
    meter : str
        Column of the canonical tables that the figures are from, for findings.

    Returns
    -------
    OdometerResult
        Curves, a finding for each figure that was not taken as written, and questions on those in doubt.

    Notes
    -----
    The believed figures of a vehicle are its likeliest chain: running over each step follows Student's t around
    the vehicle's usual pace, never falls by more than two days' running and never outruns 1,500 km a day; leaving
    a figure out has a price, a new clock a higher one. A single false figure costs itself, not its neighbours.
    """
    tables = [("readings", readings), ("repairs", repairs), ("inspections", inspections)]
    figures = build_figures(vehicles, tables, further=further)
    units = tuple(str(unit) for unit in vehicles["unit"])
    standing = build_standing(
        figures, unit=clock_unit(distance_unit), count=len(units), corrections=corrections
    )
    points = _daily_points(standing)
    odometer = _even(points, standing.pace.rate)
    even = standing.total.copy()
    even[points.figure] = odometer
    curves = build_curves(
        units,
        vehicle=points.vehicle,
        day=points.day,
        odometer=odometer,
        grain=points.grain,
        carried=points.carried,
    )
    findings = check_odometers(standing, curves=curves, even=even, unit_name=distance_unit, meter=meter)
    return OdometerResult(curves, findings, odometer_questions(standing))
