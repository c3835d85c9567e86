"""Failures between two looks: what they tell of a vehicle's frailty, by quadrature.

Each adds the factor (1 - exp(-z gap))^weight to its vehicle's integral over the frailty z, which is taken on nodes of
a gamma law with the mode of the posterior. Derivatives of the integral need moments of z, of log z and of each
factor's derivative in its gap; all are sums over the nodes, none has a row for each node and parameter.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.frailty.grouping import Grouped
from wearmodel.survival.frailty.nodes import GammaNodes, StandardNodes, laguerre_nodes

__all__ = ["Looks", "Spread"]

Array = NDArray[Any]
# Nodes of each vehicle's integral: of narrow gaps 14 are exact to the last digits, of wide ones (cumulative hazard at
# the mode) 14 leave 1e-6 and 24 some 1e-10, measured. Beyond 25 LAPACK finds them by divide and conquer, with several
# threads, which takes far longer.
_NODES, _WIDE, _NODES_OF_WIDE = 14, 1.5, 24
# Of Newton on log z; the integral asks of the mode only that it is near.
_MODE_STEPS = 3
#: A gap this narrow at the mode counts as a power of z.
_NARROW = 0.5
_SMALLEST_GAP = 1e-140
_SMALLEST_PULLED, _LARGEST_PULLED = 1e-6, 600.0
# Of this many in one vehicle there are fewer pairs than it has nodes' worth of work.
_MOST_IN_PAIRS = 8


@dataclass(frozen=True)
class Spread:
    """Moments of the frailty z and of the derivatives f of each log(1 - exp(-z gap)) in its gap, given the record.

    Parameters
    ----------
    value : ndarray, shape (n_vehicles,)
        Log of the integral.
    mean, variance : ndarray, shape (n_vehicles,)
        Of z.
    steep, cross, bend : ndarray, shape (n_vehicles,)
        Mean of log z - z, its covariance with z, its variance.
    first, second : ndarray, shape (n_looks,)
        Mean of f; mean of its derivative in the gap plus the variance of f, where pairs are listed.
    with_z, with_steep : ndarray, shape (n_looks,)
        Covariance of f with z and with log z - z.
    pairs : ndarray, shape (n_pairs,)
        Covariance of the f of two failures of one vehicle.
    crowded : ndarray, shape (n_nodes, n_crowded)
        f less its mean, for failures of vehicles with too many for pairs, times the root of the node's chance.
    """

    value: Array
    mean: Array
    variance: Array
    steep: Array
    cross: Array
    bend: Array
    first: Array
    second: Array
    with_z: Array
    with_steep: Array
    pairs: Array
    crowded: Array


class Looks:
    """Failures between two looks of some vehicles.

    Parameters
    ----------
    place : ndarray of int, shape (n_looks,)
        Vehicle of each, ascending; every vehicle has one.
    vehicles : int
        Number of vehicles.
    weight : ndarray, shape (n_looks,)
        Weights.
    """

    def __init__(self, place: Array, vehicles: int, weight: Array) -> None:
        self._group, self._weight = Grouped(place, vehicles), weight
        many = self._group.spread(self._group.counts)
        paired = many <= _MOST_IN_PAIRS
        firsts = [
            np.flatnonzero((place[apart:] == place[:-apart]) & paired[apart:])
            for apart in range(1, min(_MOST_IN_PAIRS, int(many.max(initial=0))))
        ]
        self._one = np.concatenate([np.zeros(0, dtype=np.intp), *firsts])
        self._other = np.concatenate([np.zeros(0, dtype=np.intp), *(f + i for i, f in enumerate(firsts, start=1))])
        self._crowded = np.flatnonzero(~paired)
        owner = np.unique(place[self._crowded], return_inverse=True)[1]
        self._crowd = Grouped(owner, int(owner.max(initial=-1)) + 1)

    def spread(self, gap: Array, power: Array, speed: Array, standard: StandardNodes) -> Spread:
        """Integrals over z^(power - 1) exp(-speed z) times the factors, and moments of their law.

        Parameters
        ----------
        gap : ndarray, shape (n_looks,)
            Cumulative hazard between the looks.
        power, speed : ndarray, shape (n_vehicles,)
            Above 0.
        standard : StandardNodes
            Shared by the vehicles of all blocks.

        Returns
        -------
        Spread
            Of each vehicle.
        """
        gap = np.maximum(gap, _SMALLEST_GAP)
        nodes, log_rest = self._nodes(gap, power, speed, standard)
        z, log = nodes.value.T, nodes.log.T
        z_of = self._group.spread(z)
        # With u = z gap, 1 / (e^u - 1) carries log(1 - e^-u) and its derivatives.
        odds = z_of * gap
        np.maximum(odds, _SMALLEST_GAP, out=odds)
        np.divide(1.0, np.expm1(odds, out=odds), out=odds)
        chance = log_rest - self._group.sums(np.log1p(odds) * self._weight)
        top = chance.max(axis=0)
        chance -= top
        np.exp(chance, out=chance)
        total = chance.sum(axis=0)
        chance /= total
        chance_of = self._group.spread(chance)
        first = odds * z_of
        first *= self._weight
        odds += 1.0
        odds *= z_of
        mean_first = _dot(chance_of, first)
        second = -np.einsum("ij,ij,ij->j", chance_of, first, odds)
        first -= mean_first
        weighted = chance_of * first
        own = _dot(weighted, first)
        own[self._crowded] = 0.0
        with_z = _dot(weighted, z_of)
        mean, mean_log = _dot(chance, z), _dot(chance, log)
        centred = z - mean
        weighted_z = chance * centred
        variance = _dot(weighted_z, centred)
        cross = _dot(weighted_z, log)
        return Spread(
            value=nodes.log_norm + top + np.log(total),
            mean=mean,
            variance=variance,
            steep=mean_log - mean,
            cross=cross - variance,
            bend=_dot(chance, nodes.log_square.T) - mean_log**2 - 2.0 * cross + variance,
            first=mean_first,
            second=second + own,
            with_z=with_z,
            with_steep=_dot(weighted, self._group.spread(log)) - with_z,
            pairs=_dot(weighted.take(self._one, axis=1), first.take(self._other, axis=1)),
            crowded=first[:, self._crowded] * np.sqrt(chance_of[:, self._crowded]),
        )

    def curvature(self, spread: Spread, exposure: Array, gap: Array) -> Array:
        """Covariance of the vehicles' scores over z, but for the variance of z and of each f alone.

        Parameters
        ----------
        spread : Spread
            Of these failures.
        exposure : ndarray, shape (n_parameters, n_vehicles)
            Slopes of the vehicles' cumulative hazards.
        gap : ndarray, shape (n_parameters, n_looks)
            Slopes of the gaps.

        Returns
        -------
        ndarray, shape (n_parameters, n_parameters)
            Of the score -z exposure + sum of f gap.
        """
        half = -exposure @ self._group.sums(gap * spread.with_z).T
        if len(self._one):
            half += (gap.take(self._one, axis=1) * spread.pairs) @ gap.take(self._other, axis=1).T
        out = half + half.T
        if len(self._crowded):
            crowd = gap.take(self._crowded, axis=1)
            for at_node in spread.crowded:
                score = self._crowd.sums(crowd * at_node)
                out += score @ score.T
        return out

    def _pull(self, u: Array) -> Array:
        """Derivative of log(1 - exp(-u)) in log u: 1 for a narrow gap, 0 for a wide one."""
        u = np.clip(u, _SMALLEST_PULLED, _LARGEST_PULLED)
        return np.asarray(u / np.expm1(u))

    def _nodes(self, gap: Array, power: Array, speed: Array, standard: StandardNodes) -> tuple[GammaNodes, Array]:
        """Values of z, and the log weights, over that of the norm, that make sums over them the integral.

        The law of the nodes has the power of z that narrow gaps come to, and the mode of the posterior.
        """
        weight, sums = self._weight, self._group.sums
        mode = (power + sums(weight)) / (speed + sums(weight * gap))
        for _ in range(_MODE_STEPS):
            u = self._group.spread(mode) * gap
            pull = self._pull(u)
            bend = pull * (1.0 - pull - u)
            rise = power - speed * mode + sums(weight * pull)
            curve = speed * mode - sums(weight * bend)
            mode = mode * np.exp(np.clip(rise / curve, -2.0, 2.0))
        u = self._group.spread(mode) * gap
        narrow = sums(np.where(self._pull(u) > _NARROW, weight, 0.0))
        count = _NODES if u.max() <= _WIDE else _NODES_OF_WIDE
        law_speed = (power + narrow) / mode
        nodes = laguerre_nodes(power + narrow, law_speed, count, standard=standard)
        log_rest = nodes.log_weight.T - narrow * nodes.log_value.T
        log_rest -= (speed - law_speed) * nodes.value.T
        return nodes, log_rest


def _dot(one: Array, other: Array) -> Array:
    """Sums over the nodes."""
    return np.asarray(np.einsum("ij,ij->j", one, other))
