"""What blocks of vehicles give to the likelihood of a fleet, and the table that serves them all."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.newton import Derivatives
from wearmodel.survival.unknown_ages.recurrence_terms import RecurrenceTables, build_recurrence_tables

__all__ = ["LARGEST_LOG_VARIANCE", "FleetDerivatives", "MixedDerivatives", "Posterior", "Reach", "tables_within"]

Array = NDArray[Any]
LARGEST_LOG_VARIANCE = 5.0
"""Of the frailty; beyond it there is no likelihood."""
#: Most that a vehicle with few failures stretches the scale, for the rate of other renewals in units of it.
_SLOWEST = 8.0


@dataclass(frozen=True)
class MixedDerivatives(Derivatives):
    """Log-likelihood with derivatives in the coefficients, the log shape and the log variance.

    Parameters
    ----------
    scores : ndarray, shape (n_vehicles, n_parameters)
        Gradient of each vehicle.
    frailty, frailty_spread : ndarray, shape (n_vehicles,)
        Mean and variance of the frailty given the record, vehicles in the order of their indices.
    """

    scores: Array
    frailty: Array
    frailty_spread: Array


@dataclass(frozen=True)
class FleetDerivatives(Derivatives):
    """Sums over all blocks, and what each vehicle adds to them, which is asked for when it is wanted.

    Parameters
    ----------
    by_block : callable
        Gives the derivatives of each block at the same parameters.
    """

    by_block: Callable[[], Sequence[MixedDerivatives]]

    @cached_property
    def _blocks(self) -> Sequence[MixedDerivatives]:
        return self.by_block()

    @property
    def scores(self) -> Array:
        """Gradient of each vehicle, shape (n_vehicles, n_parameters)."""
        return np.concatenate([one.scores for one in self._blocks])

    @property
    def frailty(self) -> Array:
        """Mean of the frailty given the record, shape (n_vehicles,), vehicles in the order of their indices."""
        return np.concatenate([one.frailty for one in self._blocks])

    @property
    def frailty_spread(self) -> Array:
        """Variance of the frailty given the record, shape (n_vehicles,)."""
        return np.concatenate([one.frailty_spread for one in self._blocks])


@dataclass(frozen=True)
class Posterior:
    """Log-likelihood, and what the record says of each vehicle's frailty.

    Parameters
    ----------
    value : float
        Log-likelihood.
    frailty, frailty_spread : ndarray, shape (n_vehicles,)
        Mean and variance of the frailty given the record.
    """

    value: float
    frailty: Array
    frailty_spread: Array


@dataclass(frozen=True)
class Reach:
    """How far a table has to go for some vehicles; the largest of each over all vehicles tell the table.

    Parameters
    ----------
    oldest, longest : float
        Largest distance before and since observation began, in units of the scale.
    rate : float
        Largest rate of other renewals per unit of the scale.
    frailest : float
        Largest frailty at a node.
    lives : int
        Lives of unknown age.
    """

    oldest: float
    longest: float
    rate: float
    frailest: float
    lives: int


@lru_cache(maxsize=2)
def tables_within(reach: Reach, log_shape: float) -> RecurrenceTables | None:
    """Table of a shape that reaches as far as the nodes of all vehicles can; kept for one block after the other.

    Parameters
    ----------
    reach : Reach
        Of all vehicles.
    log_shape : float
        Logarithm of the Weibull shape.

    Returns
    -------
    RecurrenceTables or None
        None where there can be no table.
    """
    if not reach.lives:
        return build_recurrence_tables(log_shape, oldest=1.0, longest=1.0, rate=0.0)
    stretch = max(reach.frailest, 1.0) ** math.exp(-log_shape)
    return build_recurrence_tables(
        log_shape, oldest=reach.oldest * stretch, longest=reach.longest * stretch, rate=_SLOWEST * reach.rate
    )
