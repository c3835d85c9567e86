"""Vehicles whose lives are worked on together, so that what is made of them stays in the processor's cache."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family
from wearmodel.survival.frailty.closed_form import FailureCounts
from wearmodel.survival.frailty.constant_records import ConstantRecords
from wearmodel.survival.frailty.looks import Looks
from wearmodel.survival.frailty.stretched_records import StretchedRecords
from wearmodel.survival.life_data import LifeData

__all__ = ["Block", "cut_into_blocks"]

Array = NDArray[Any]
# Of eight covariates this many lives fill about half of a second-level cache.
_LIVES = 8192


@dataclass(frozen=True)
class Block:
    """Some vehicles with all of their lives.

    Parameters
    ----------
    vehicles : slice
        Which vehicles.
    parts : tuple of ConstantRecords and StretchedRecords
        Their lives of one segment, and of several, where there are any.
    failures : ndarray, shape (n_vehicles,)
        Weighted numbers of failures seen to the distance.
    counts : FailureCounts
        Of the same.
    order : ndarray of int, shape (n_looks,)
        Failures between two looks, counted part by part, in the order of their vehicles.
    looked : ndarray of int
        Vehicles that have any, counted in the block.
    looks : Looks
        The failures, in that order.
    """

    vehicles: slice
    parts: tuple[ConstantRecords | StretchedRecords, ...]
    failures: Array
    counts: FailureCounts
    order: Array
    looked: Array
    looks: Looks


def cut_into_blocks(data: LifeData, vehicle: Array, *, family: Family, selected: bool) -> Iterator[Block]:
    """Blocks of whole vehicles.

    Parameters
    ----------
    data : LifeData
        Lives in any order.
    vehicle : ndarray of int, shape (n_lives,)
        Vehicle of each, from 0, none left out.
    family : Family
        Life family.
    selected : bool
        See `FrailtyLikelihood`.

    Yields
    ------
    Block
        In the order of the vehicles.
    """
    order = np.arange(len(vehicle))
    if not np.all(vehicle[1:] >= vehicle[:-1]):
        order = np.argsort(vehicle, kind="stable")
    several = np.diff(data.start, append=len(data.life))[order] > 1
    ends = np.cumsum(np.bincount(vehicle))
    first, begin = 0, 0
    while begin < len(order):
        # As many whole vehicles as fit, one at least.
        end = max(int(np.searchsorted(ends, begin + _LIVES, side="right")), first + 1)
        lives, many = order[begin : ends[end - 1]], several[begin : ends[end - 1]]
        parts: list[ConstantRecords | StretchedRecords] = []
        for kind, chosen in ((ConstantRecords, lives[~many]), (StretchedRecords, lives[many])):
            if len(chosen):
                own = vehicle[chosen] - first
                parts.append(kind(data.subset(chosen), own, end - first, family=family, selected=selected))
        yield _block(slice(first, end), tuple(parts))
        first, begin = end, int(ends[end - 1])


def _block(vehicles: slice, parts: tuple[ConstantRecords | StretchedRecords, ...]) -> Block:
    failures = np.sum([part.group.sums(part.failed) for part in parts], axis=0)
    owner = np.concatenate([part.group.owner[part.looked] for part in parts])
    weight = np.concatenate([part.weight[part.looked] for part in parts])
    order = np.argsort(owner, kind="stable")
    looked, place = np.unique(owner[order], return_inverse=True)
    return Block(
        vehicles=vehicles,
        parts=parts,
        failures=failures,
        counts=FailureCounts(failures),
        order=order,
        looked=looked,
        looks=Looks(place, len(looked), weight[order]),
    )
