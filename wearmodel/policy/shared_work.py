"""Labour and standing time that positions of a vehicle spare one another when they are renewed in one visit."""

import re
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from wearmodel.intake.fleet_toml.settings_together import SharedWork

__all__ = ["Sharing", "Spared", "build_sharing"]

Array = NDArray[Any]
_HALF_SHAFT_PIECE = re.compile(r"(?P<end>(?P<line>.+)\.(?:outboard|inboard))_(?:joint|boot)")


@dataclass(frozen=True)
class Spared:
    """What each position spares as a further one of a visit.

    Parameters
    ----------
    hours, downtime : ndarray, shape (n_parts,)
        Workshop time and standing of the vehicle [h].
    """

    hours: Array
    downtime: Array

    def money(self, *, labour_rate: float, downtime_cost: float) -> Array:
        """What is spared [currency].

        Parameters
        ----------
        labour_rate, downtime_cost : float
            [currency/h]

        Returns
        -------
        ndarray, shape (n_parts,)
        """
        return self.hours * labour_rate + self.downtime * downtime_cost


@dataclass(frozen=True)
class Sharing:
    """Which positions of which vehicles share work.

    Parameters
    ----------
    vehicle : ndarray of int, shape (n_parts,)
        Vehicle of each part.
    hours, downtime : ndarray, shape (n_parts,)
        Planned workshop time and standing of each alone [h].
    keys : ndarray of int, shape (n_levels, n_parts)
        At each level (shaft line, end of a half shaft, groups of the fleet's own) parts with the same key share work;
        -1: with none.
    shares : ndarray, shape (n_levels, n_parts)
        Share of the smaller hours that is spared.
    terms : SharedWork
        The settings.
    """

    vehicle: Array
    hours: Array
    downtime: Array
    keys: Array
    shares: Array
    terms: SharedWork

    def joining(self, taken: Array) -> Spared:
        """What each part would spare if it joined the parts of its vehicle that are renewed.

        Parameters
        ----------
        taken : ndarray of bool, shape (n_parts,)
            Parts that are renewed; on a vehicle without one nothing is spared.

        Returns
        -------
        Spared
            Of every part, as a further one.
        """
        share = np.zeros(len(self.hours))
        for keys, shares in zip(self.keys, self.shares, strict=True):
            longest = _largest(keys, self.hours, taken)
            share = np.maximum(share, shares * np.minimum(longest, self.hours))
        visited = np.isfinite(_largest(self.vehicle, self.hours, taken, none=-np.inf))
        return self._spared(share, visited)

    def together(self, taken: Array, first: Array) -> Spared:
        """What the visits of some parts spare against a visit for each.

        Parameters
        ----------
        taken : ndarray of bool, shape (n_parts,)
            Parts that are renewed, those of a vehicle in one visit.
        first : ndarray, shape (n_parts,)
            Order in which a visit's parts are counted, least first, the longest job first among equals.

        Returns
        -------
        Spared
            Of each part beside those counted before it; 0 for the first and for parts that are not renewed. How much
            workshop time positions of one shaft line spare in all does not depend on the order.
        """
        order = np.flatnonzero(taken)
        order = order[np.lexsort((-self.hours[order], first[order]))]
        share = np.zeros(len(self.hours))
        hours = self.hours[order]
        for keys, shares in zip(self.keys, self.shares, strict=True):
            before = _largest_before(keys[order], hours)
            share[order] = np.maximum(share[order], shares[order] * np.minimum(before, hours))
        further = np.zeros(len(self.hours), dtype=bool)
        further[order] = np.isfinite(_largest_before(self.vehicle[order], hours, none=-np.inf))
        return self._spared(share, further)

    def _spared(self, share: Array, further: Array) -> Spared:
        """Hours and standing spared by further parts; the vehicle does not stand for hours that are spared."""
        hours = np.where(further, np.minimum(share + self.terms.visit_hours, self.hours), 0.0)
        standing = np.where(further, np.minimum(hours + self.terms.visit_downtime_hours, self.downtime), 0.0)
        return Spared(hours, standing)


def _largest(keys: Array, values: Array, taken: Array, *, none: float = 0.0) -> Array:
    """Largest value among the taken rows with the same key, `none` where there is none."""
    chosen = taken & (keys >= 0)
    largest = np.full(int(keys.max(initial=-1)) + 2, none)
    np.maximum.at(largest, keys[chosen], np.nan_to_num(values[chosen]))
    # The last cell stands for key -1.
    return largest[keys]


def _largest_before(keys: Array, values: Array, *, none: float = 0.0) -> Array:
    """Largest value further up with the same key, `none` where there is none or the key is -1."""
    so_far = pd.Series(values).groupby(keys).cummax()
    before = so_far.groupby(keys).shift(1).fillna(none).to_numpy()
    return np.where(keys >= 0, before, none)


def build_sharing(
    vehicle: Array, position: ArrayLike, *, hours: Array, downtime: Array, terms: SharedWork
) -> Sharing:
    """Which parts share work.

    Parameters
    ----------
    vehicle : ndarray of int, shape (n_parts,)
        Vehicle of each part.
    position : array_like of str, shape (n_parts,)
        Its position. Positions `place.` of one place are one shaft line; `place.outboard_` and `place.inboard_`
        joints and boots are one half shaft, those that differ in joint or boot alone one end of it.
    hours, downtime : ndarray, shape (n_parts,)
        Planned workshop time and standing of each alone [h].
    terms : SharedWork
        What is spared.

    Returns
    -------
    Sharing
        For any set of parts that are renewed.
    """
    names, index = np.unique(np.asarray(position, dtype=str), return_inverse=True)
    pieces = [_HALF_SHAFT_PIECE.fullmatch(name) for name in names]
    lines = [name.partition(".")[0] for name in names]
    ends = [piece["end"] if piece else "" for piece in pieces]
    levels = [
        (lines, [terms.half_shaft if piece else terms.shaft for piece in pieces]),
        (ends, [terms.corner] * len(names)),
    ]
    for name, group in terms.groups.items():
        levels.append(([name if n in group.positions else "" for n in names], [group.share] * len(names)))
    keys, shares = [], []
    for words, share in levels:
        _, code = np.unique(np.array(words, dtype=str), return_inverse=True)
        code = np.where(np.array(words, dtype=str) == "", -1, code)
        here = code[index] if len(names) else np.zeros(0, dtype=np.intp)
        keys.append(np.where(here >= 0, vehicle * (len(names) + 1) + here, -1))
        shares.append(np.array(share, dtype=float)[index] if len(names) else np.zeros(0))
    return Sharing(vehicle, hours, downtime, np.array(keys), np.array(shares), terms)
