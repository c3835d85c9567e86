"""Sums over the lives of each vehicle, lives in the order of their vehicles."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["Grouped"]

Array = NDArray[Any]


class Grouped:
    """Which vehicle each of some lives is of.

    Parameters
    ----------
    owner : ndarray of int, shape (n_lives,)
        Vehicle of each life, ascending.
    vehicles : int
        Number of vehicles, some of which may have none of the lives.
    """

    def __init__(self, owner: Array, vehicles: int) -> None:
        self.owner, self.vehicles = owner, vehicles
        self.counts = np.bincount(owner, minlength=vehicles)
        self._present = None if self.counts.all() else np.flatnonzero(self.counts)
        start = np.cumsum(self.counts) - self.counts
        self._start = start if self._present is None else start[self._present]
        self._alone = len(self._start) == len(owner)

    def sums(self, values: Array) -> Array:
        """Sums by vehicle along the last axis.

        Parameters
        ----------
        values : ndarray, shape (..., n_lives)
            Anything of the lives.

        Returns
        -------
        ndarray, shape (..., n_vehicles)
            0 for vehicles without a life.
        """
        found = values.copy() if self._alone else np.add.reduceat(values, self._start, axis=-1)
        if self._present is None:
            return found
        out = np.zeros((*values.shape[:-1], self.vehicles))
        out[..., self._present] = found
        return out

    def spread(self, values: Array) -> Array:
        """What is said of vehicles, life by life.

        Parameters
        ----------
        values : ndarray, shape (..., n_vehicles)
            Anything of the vehicles.

        Returns
        -------
        ndarray, shape (..., n_lives)
            Along the last axis.
        """
        return values.take(self.owner, axis=-1)
