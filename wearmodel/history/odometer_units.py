"""Tables or files that give a vehicle's figures in the other unit, told by overlap with its other tables."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.history.odometer_figures import ClockUnit, Figures

__all__ = ["UnitSwap", "find_unit_swaps"]

Array = NDArray[Any]

# Figures of one source must lie this near (log scale) to what the other tables give, or to that in the other unit;
# 1.609 is 0.476 on that scale.
_NEAR = 0.1
_FEWEST = 3
_MOST_OF = 0.7
# Of the vehicles that can be compared, the share that makes it a matter of the whole file.
_WHOLE_FILE = 0.8
_SURE = 0.9


@dataclass(frozen=True)
class UnitSwap:
    """A source that is in the other unit, for one vehicle or for all.

    Parameters
    ----------
    source : int
        Index into `Figures.sources`.
    vehicle : int
        Vehicle index; -1 = all vehicles.
    figures : ndarray of int
        Its figures, ascending.
    factor : float
        Multiplies them.
    probability : float
        Chance that it is so, rather than the other tables being wrong.
    """

    source: int
    vehicle: int
    figures: Array
    factor: float
    probability: float


def _expected(figures: Figures, mine: Array, others: Array) -> Array:
    """What the other figures of the vehicle give on the days of these; NaN outside their time."""
    stride = 1e6
    key = figures.vehicle[others] * stride + figures.day[others]
    sought = figures.vehicle[mine] * stride + figures.day[mine]
    after = np.searchsorted(key, sought)
    inside = (after > 0) & (after < len(key))
    near = np.clip(after, 1, max(len(key) - 1, 1))
    if len(key) < 2:
        return np.full(len(mine), np.nan)
    vehicle = figures.vehicle[mine]
    inside &= (figures.vehicle[others[near]] == vehicle) & (figures.vehicle[others[near - 1]] == vehicle)
    return np.where(inside, np.interp(sought, key, figures.written[others]), np.nan)


def find_unit_swaps(figures: Figures, *, unit: ClockUnit) -> list[UnitSwap]:
    """Sources whose figures agree with the vehicle's other tables only when taken to be in the other unit.

    Parameters
    ----------
    figures : Figures
        All figures.
    unit : ClockUnit
        Tells what a figure in the other unit has to be multiplied by.

    Returns
    -------
    list of UnitSwap
        The distance unit of the fleet is known: the table that has to be multiplied to agree is the one in the
        other unit. Where this holds for most vehicles that can be compared, the whole file is taken so.

    Notes
    -----
    A figure agrees when it lies within 10 % of the line between the figures of other tables before and after;
    at least three figures of the vehicle, and 70 % of those that can be compared, have to agree. A figure that
    could be compared only with others that are themselves in doubt does not count against the rest.
    """
    if unit.other_factor == 1.0 or len(figures.sources) < 2:
        return []
    swaps: list[UnitSwap] = []
    usable = ~figures.anchor & (figures.written > 0)
    for source in range(len(figures.sources)):
        mine = np.flatnonzero(usable & (figures.source == source))
        others = np.flatnonzero(usable & (figures.source != source))
        if len(mine) >= _FEWEST and len(others) >= 2:
            swaps += _swaps_of(figures, source, mine, _expected(figures, mine, others), unit)
    return swaps


def _swaps_of(figures: Figures, source: int, mine: Array, expected: Array, unit: ClockUnit) -> list[UnitSwap]:
    """Vehicles for which one source is in the other unit."""
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.log(expected / figures.written[mine])
    known = np.isfinite(off)
    vehicle, off = figures.vehicle[mine][known], off[known]
    count = int(vehicle.max(initial=-1)) + 1
    compared = np.bincount(vehicle, minlength=count)
    same = np.bincount(vehicle[np.abs(off) < _NEAR], minlength=count)
    swapped = np.bincount(vehicle[np.abs(off - np.log(unit.other_factor)) < _NEAR], minlength=count)
    enough = compared >= _FEWEST
    bad = enough & (swapped >= _MOST_OF * compared) & (swapped > same)
    good = enough & (same >= _MOST_OF * compared)
    if not bad.any():
        return []
    whole = bad.sum() >= _FEWEST and bad.sum() >= _WHOLE_FILE * (bad | good).sum()
    if whole:
        return [UnitSwap(source, -1, mine, unit.other_factor, _SURE)]
    return [
        UnitSwap(source, int(index), mine[figures.vehicle[mine] == index], unit.other_factor, _SURE)
        for index in np.flatnonzero(bad)
    ]
