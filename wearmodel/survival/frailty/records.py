"""What the lives of some vehicles tell before their frailty is known, and what its moments then make of them."""

from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.likelihood import ByLife

__all__ = ["Pull", "Record", "Seen", "Totals"]

Array = NDArray[Any]


@dataclass(frozen=True)
class Seen:
    """Cumulative hazards of some vehicles with their slopes, parameter by parameter.

    Parameters
    ----------
    density : ndarray, shape (n_vehicles,)
        Log densities of failures seen to the distance, without the frailty.
    exposure, slope : ndarray, shape (n_vehicles,) and (n_parameters, n_vehicles)
        Cumulative hazard of what was observed.
    at_entry, entry_slope : ndarray, shape (n_vehicles,) and (n_parameters, n_vehicles)
        Cumulative hazard before entry, where vehicles are in the record for having survived it.
    gap, gap_slope : ndarray, shape (n_looks,) and (n_parameters, n_looks)
        Cumulative hazard between the looks that a failure lies between.
    """

    density: Array
    exposure: Array
    slope: Array
    at_entry: Array
    entry_slope: Array
    gap: Array
    gap_slope: Array


@dataclass(frozen=True)
class Pull:
    """Posterior means that weigh the lives' derivatives.

    Parameters
    ----------
    frailty, entry : ndarray, shape (n_vehicles,)
        Weight of each vehicle's cumulative hazards to the end, less to entry.
    first, second : ndarray, shape (n_looks,)
        Weight of each gap's slope, and of the square of its slope.
    """

    frailty: Array
    entry: Array
    first: Array
    second: Array


@dataclass
class Totals:
    """Running sums over lives: gradient and Hessian in the coefficients, then the log shape."""

    gradient: Array
    hessian: Array

    @classmethod
    def of(cls, size: int) -> "Totals":
        """Nothing yet.

        Parameters
        ----------
        size : int
            Number of parameters.

        Returns
        -------
        Totals
            Zeros.
        """
        return cls(np.zeros(size), np.zeros((size, size)))


class Record(Protocol):
    """Lives of some vehicles at one parameter vector."""

    @property
    def seen(self) -> Seen:
        """Before the frailty is known."""

    def add(self, pull: Pull, totals: Totals) -> ByLife:
        """Add the lives' mean derivatives to the totals, and give those that scores are made of."""
