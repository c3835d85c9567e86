"""Likelihood of all vehicles of a fleet that differ by a gamma frailty, summed over blocks of vehicles."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from wearmodel.processes import HeldBlocks
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.unknown_ages.block_sums import (
    LARGEST_LOG_VARIANCE,
    FleetDerivatives,
    MixedDerivatives,
    Posterior,
    Reach,
    tables_within,
)
from wearmodel.survival.unknown_ages.lives import UnknownAges
from wearmodel.survival.unknown_ages.recurrence_terms import RecurrenceTables
from wearmodel.survival.unknown_ages.vehicle_block import NEAR, VehicleBlock

__all__ = ["FleetDerivatives", "MixedFrailtyLikelihood", "Posterior"]

Array = NDArray[Any]
_Found = TypeVar("_Found")
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
    Memory grows with the vehicles of a block, not with the fleet. Blocks may be held by workers elsewhere: what a block
    gives follows from what is sent with each pass, so that one laid up anew gives the same.
    """

    def __init__(self, data: LifeData, unknown: UnknownAges, *, nodes: int) -> None:
        cluster, index = np.unique(np.concatenate([data.cluster, unknown.cluster]), return_inverse=True)
        self.vehicles = len(cluster)
        self._nodes_of: _At | None = None
        if self.vehicles <= _VEHICLES_AT_ONCE:
            self._blocks = HeldBlocks([VehicleBlock(data, unknown, nodes=nodes)])
            return
        blocks = range(0, self.vehicles, _VEHICLES_AT_ONCE)
        known_rows, unknown_rows = (
            _rows_by_block(part, len(blocks)) for part in np.split(index // _VEHICLES_AT_ONCE, [data.lives])
        )
        self._blocks = HeldBlocks(
            [
                VehicleBlock(data.subset(known), unknown.subset(other), nodes=nodes)
                for known, other in zip(known_rows, unknown_rows, strict=True)
            ]
        )

    def evaluate(self, values: Array) -> FleetDerivatives:
        """Log-likelihood at coefficients, log shape and log variance; minus infinity where it cannot be had."""
        size, at = len(values), self._at(values)
        # What each vehicle adds need not come back from elsewhere with every pass.
        pass_over = _derivatives if self._blocks.are_here else _sums
        found = [] if at is None else _had(self._blocks.each(pass_over, at, self._nodes_of))
        if at is None or not found:
            nothing = MixedDerivatives(
                -math.inf, np.zeros(size), np.zeros((size, size)), np.zeros((self.vehicles, size)),
                np.ones(self.vehicles), np.zeros(self.vehicles),
            )  # fmt: skip
            return FleetDerivatives(nothing.value, nothing.gradient, nothing.hessian, lambda: [nothing])
        nodes_of = self._nodes_of = self._nodes_after(at)

        def by_block() -> Sequence[MixedDerivatives]:
            return found if self._blocks.are_here else _had(self._blocks.each(_derivatives, at, nodes_of))

        if len(found) == 1:
            return FleetDerivatives(found[0].value, found[0].gradient, found[0].hessian, by_block)
        return FleetDerivatives(
            sum(one.value for one in found),
            np.sum([one.gradient for one in found], axis=0),
            np.sum([one.hessian for one in found], axis=0),
            by_block,
        )

    def posterior(self, values: Array) -> Posterior:
        """The same without derivatives: several times faster."""
        at = self._at(values)
        found = [] if at is None else _had(self._blocks.each(_posterior, at, self._nodes_of))
        if at is None or not found:
            return Posterior(-math.inf, np.ones(self.vehicles), np.zeros(self.vehicles))
        self._nodes_of = self._nodes_after(at)
        return Posterior(
            sum(one.value for one in found),
            np.concatenate([one.frailty for one in found]),
            np.concatenate([one.frailty_spread for one in found]),
        )

    def _at(self, values: Array) -> "_At | None":
        """Where to work; None beyond the variances there can be."""
        if not values[-1] <= LARGEST_LOG_VARIANCE:
            return None
        return _At(np.array(values, dtype=float), _farthest(self._blocks.each(_reach, values)))

    def _nodes_after(self, at: "_At") -> "_At":
        """Where the blocks' nodes come from after a pass: they go by the same rule."""
        before = self._nodes_of
        return at if before is None or np.abs(at.values - before.values).max() > NEAR else before


@dataclass(frozen=True)
class _At:
    """A parameter vector, and how far the table of all vehicles has to go there."""

    values: Array
    reach: Reach

    def tables(self) -> RecurrenceTables | None:
        with np.errstate(over="ignore", invalid="ignore"):
            return tables_within(self.reach, float(self.values[-2]))


def _reach(block: VehicleBlock, values: Array) -> Reach:
    with np.errstate(over="ignore", invalid="ignore"):
        return block.reach(values)


def _derivatives(block: VehicleBlock, at: _At, nodes_of: _At | None) -> MixedDerivatives | None:
    """Derivatives of a block; None where there can be no table."""
    return _with_tables(block, at, nodes_of, block.derivatives)


def _sums(block: VehicleBlock, at: _At, nodes_of: _At | None) -> MixedDerivatives | None:
    """The same without what each vehicle adds."""
    found = _derivatives(block, at, nodes_of)
    if found is None:
        return None
    return replace(found, scores=found.scores[:0], frailty=found.frailty[:0], frailty_spread=found.frailty_spread[:0])


def _posterior(block: VehicleBlock, at: _At, nodes_of: _At | None) -> Posterior | None:
    """Posterior of a block; None where there can be no table."""
    return _with_tables(block, at, nodes_of, block.posterior)


def _with_tables(
    block: VehicleBlock, at: _At, nodes_of: _At | None, found: Callable[[Array, RecurrenceTables], _Found]
) -> _Found | None:
    """What a block finds with tables at values; None where there can be none."""
    tables = at.tables()
    if tables is None:
        return None
    _take_nodes(block, nodes_of)
    with np.errstate(over="ignore", invalid="ignore"):
        return found(at.values, tables)


def _take_nodes(block: VehicleBlock, nodes_of: _At | None) -> None:
    """Give a block that was laid up anew the nodes that it had."""
    tables = None if nodes_of is None or block.has_nodes_of(nodes_of.values) else nodes_of.tables()
    if nodes_of is not None and tables is not None:
        with np.errstate(over="ignore", invalid="ignore"):
            block.take_nodes_of(nodes_of.values, tables)


def _had(found: "list[_Found | None]") -> "list[_Found]":
    """What all blocks gave, or nothing: they share one table."""
    return [one for one in found if one is not None]


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
