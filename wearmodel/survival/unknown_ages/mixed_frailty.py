"""Likelihood of all vehicles of a fleet that differ by a gamma frailty, summed over blocks of vehicles."""

import math
from collections.abc import Iterable, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.life_data import LifeData
from wearmodel.survival.unknown_ages.block_sums import (
    LARGEST_LOG_VARIANCE,
    MixedDerivatives,
    Posterior,
    Reach,
    tables_within,
)
from wearmodel.survival.unknown_ages.lives import UnknownAges
from wearmodel.survival.unknown_ages.recurrence_terms import RecurrenceTables
from wearmodel.survival.unknown_ages.vehicle_block import VehicleBlock

__all__ = ["MixedDerivatives", "MixedFrailtyLikelihood", "Posterior"]

Array = NDArray[Any]
#: Vehicles that are worked out together: every node of every life has a dozen derivatives.
_VEHICLES_AT_ONCE = 1024


class MixedFrailtyLikelihood:
    """Lives of one fleet, gathered by vehicle.

    Parameters
    ----------
    data : LifeData
        Lives of known age.
    unknown : UnknownAges
        Lives of unknown age.
    nodes : int
        Points of the quadrature for each vehicle.

    Notes
    -----
    Log-likelihood, gradient and Hessian are sums over vehicles; one table of the forward-recurrence law serves all.
    Memory grows with the vehicles of a block, not with the fleet.
    """

    def __init__(self, data: LifeData, unknown: UnknownAges, *, nodes: int) -> None:
        cluster, index = np.unique(np.concatenate([data.cluster, unknown.cluster]), return_inverse=True)
        self.vehicles = len(cluster)
        if self.vehicles <= _VEHICLES_AT_ONCE:
            self._blocks = [VehicleBlock(data, unknown, nodes=nodes)]
            return
        blocks = range(0, self.vehicles, _VEHICLES_AT_ONCE)
        known_rows, unknown_rows = (
            _rows_by_block(part, len(blocks)) for part in np.split(index // _VEHICLES_AT_ONCE, [data.lives])
        )
        self._blocks = [
            VehicleBlock(data.subset(known), unknown.subset(other), nodes=nodes)
            for known, other in zip(known_rows, unknown_rows, strict=True)
        ]

    def evaluate(self, values: Array) -> MixedDerivatives:
        """Log-likelihood at coefficients, log shape and log variance; minus infinity where it cannot be had."""
        size = len(values)
        with np.errstate(over="ignore", invalid="ignore"):
            tables = self._tables(values)
            if tables is not None:
                found = [block.derivatives(values, tables) for block in self._blocks]
                return found[0] if len(found) == 1 else _summed(found)
        return MixedDerivatives(
            -math.inf, np.zeros(size), np.zeros((size, size)), np.zeros((self.vehicles, size)),
            np.ones(self.vehicles), np.zeros(self.vehicles),
        )  # fmt: skip

    def posterior(self, values: Array) -> Posterior:
        """The same without derivatives: several times faster."""
        with np.errstate(over="ignore", invalid="ignore"):
            tables = self._tables(values)
            if tables is not None:
                found = [block.posterior(values, tables) for block in self._blocks]
                return Posterior(
                    sum(one.value for one in found),
                    np.concatenate([one.frailty for one in found]),
                    np.concatenate([one.frailty_spread for one in found]),
                )
        return Posterior(-math.inf, np.ones(self.vehicles), np.zeros(self.vehicles))

    def _tables(self, values: Array) -> RecurrenceTables | None:
        """The table for all vehicles; None where there can be none."""
        if not values[-1] <= LARGEST_LOG_VARIANCE:
            return None
        return tables_within(_farthest([block.reach(values) for block in self._blocks]), float(values[-2]))


def _farthest(reaches: Sequence[Reach]) -> Reach:
    """Reach of all vehicles."""
    lives = sum(one.lives for one in reaches)
    # Vehicles without a life of unknown age ask nothing of the table.
    asking = [one for one in reaches if one.lives] or list(reaches)
    return Reach(
        oldest=_largest(one.oldest for one in asking),
        longest=_largest(one.longest for one in asking),
        rate=_largest(one.rate for one in asking),
        frailest=_largest(one.frailest for one in asking),
        lives=lives,
    )


def _largest(values: Iterable[float]) -> float:
    """The largest; NaN where any is."""
    return float(np.max(list(values)))


def _rows_by_block(block: Array, count: int) -> list[Array]:
    """Rows of each block, ascending."""
    order = np.argsort(block, kind="stable")
    return np.split(order, np.searchsorted(block[order], np.arange(1, count)))


def _summed(found: Sequence[MixedDerivatives]) -> MixedDerivatives:
    """Derivatives of all blocks, added up in their order."""
    return MixedDerivatives(
        sum(one.value for one in found),
        np.sum([one.gradient for one in found], axis=0),
        np.sum([one.hessian for one in found], axis=0),
        *(np.concatenate([getattr(one, name) for one in found]) for name in ("scores", "frailty", "frailty_spread")),
    )
