"""Renewal of a group of positions over a long run of simulated vehicles: what each way of going about it costs.

Distances are those the vehicle runs. Every vehicle, position and renewal has a life of its own that does not depend on
the policy (common random numbers), so that policies differ by what they do and hardly by chance.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["GroupPolicy", "GroupRun", "PositionGroup", "simulate_group"]

Array = NDArray[Any]
#: Mean lives that pass before anything is counted: vehicles that begin with new parts alike are a special case.
_WARM_UP = 4.0
_MOST_EVENTS = 20_000


@dataclass(frozen=True)
class PositionGroup:
    """Positions that may be renewed together, each with the law and the costs of its part.

    Parameters
    ----------
    shape, pace : ndarray, shape (n_positions,)
        Weibull shape [-], and operational clock per distance on a vehicle with frailty 1 [1 / distance].
    frailty : ndarray of int, shape (n_positions,)
        Positions of one component have one frailty on a vehicle: its number, from 0.
    variance : ndarray, shape (n_frailties,)
        Variance of each frailty over vehicles [-].
    limit : ndarray, shape (n_positions,)
        Planned age on the operational clock, `inf` for running to failure [-].
    planned, failed : ndarray, shape (n_positions,)
        Cost of a planned renewal on its own and of a failure [currency].
    road : ndarray, shape (n_positions,)
        Share of failures that happen on the road.
    spared : ndarray, shape (2 ** n_positions,)
        What renewing a set of positions in one visit spares; position i is in the set where bit i of the index is set
        [currency].
    """

    shape: Array
    pace: Array
    frailty: Array
    variance: Array
    limit: Array
    planned: Array
    failed: Array
    road: Array
    spared: Array


@dataclass(frozen=True)
class GroupPolicy:
    """What is renewed with the position that calls for a visit.

    Parameters
    ----------
    from_age : ndarray, shape (n_positions, n_positions)
        Age on its operational clock from which on position j (column) is renewed when i (row) calls: 0 always, `inf`
        never [-].
    assembly : ndarray, shape (n_positions,)
        Where a call of the position is answered with an assembly of all positions, what that costs beyond its own
        renewal; NaN where it is not [currency].
    """

    from_age: Array
    assembly: Array


@dataclass(frozen=True)
class GroupRun:
    """What happened on each simulated vehicle in the distance that counts.

    Parameters
    ----------
    distance : float
        Distance that counts [distance].
    cost, road_failures, visits, parts : ndarray, shape (n_vehicles,)
        Sum of costs [currency], failures on the road (expected, of those that failed), visits, and parts renewed.
    """

    distance: float
    cost: Array
    road_failures: Array
    visits: Array
    parts: Array


class _Lives:
    """Lives on the operational clock by renewal, vehicle and position; each drawn once, when it is first needed."""

    def __init__(self, group: PositionGroup, vehicles: int, seed: int) -> None:
        self.group, self.vehicles, self.seed = group, vehicles, seed
        self.drawn = np.empty((0, vehicles, len(group.shape)))

    def at(self, number: Array, vehicle: Array, position: Array) -> Array:
        """Life of a position's renewal of that number."""
        needed = int(number.max(initial=0)) + 1
        if needed > len(self.drawn):
            more = range(len(self.drawn), max(needed, 2 * len(self.drawn)))
            new = [self._one(i) for i in more]
            self.drawn = np.concatenate([self.drawn, np.stack(new)])
        return self.drawn[number, vehicle, position]

    def _one(self, number: int) -> Array:
        rng = np.random.default_rng([self.seed, number])
        spent = rng.exponential(size=(self.vehicles, len(self.group.shape)))
        return np.power(spent, 1.0 / self.group.shape)


def simulate_group(
    group: PositionGroup, policy: GroupPolicy, *, vehicles: int, lives: float, seed: int
) -> GroupRun:
    """Run a policy on many vehicles.

    Parameters
    ----------
    group : PositionGroup
        Laws and costs.
    policy : GroupPolicy
        What is renewed together.
    vehicles : int
        Number of vehicles.
    lives : float
        Length that counts, in mean scales of the group's positions.
    seed : int
        Seed of lives and frailties: runs with the same seed meet the same ones under every policy.

    Returns
    -------
    GroupRun
        Sums by vehicle.
    """
    scale = float(np.mean(1.0 / group.pace))
    begin, end = _WARM_UP * scale, (_WARM_UP + lives) * scale
    state = _State(group, vehicles, seed)
    totals = np.zeros((4, vehicles))
    for _ in range(_MOST_EVENTS):
        vehicle, position, at, failed = state.next_events(end)
        if not len(vehicle):
            break
        renewed, cost = _answer(group, policy, state.ages(vehicle, at), position, failed)
        counts = at >= begin
        road = np.where(failed, group.road[position], 0.0)
        for row, value in enumerate((cost, road, np.ones(len(at)), renewed.sum(axis=1))):
            totals[row, vehicle] += np.where(counts, value, 0.0)
        state.renew(vehicle, at, renewed)
    return GroupRun(end - begin, *totals)


def _answer(
    group: PositionGroup, policy: GroupPolicy, ages: Array, position: Array, failed: Array
) -> "tuple[Array, Array]":
    """Which positions are renewed at each event, and what that costs."""
    row = np.arange(len(position))
    renewed = ages >= policy.from_age[position]
    renewed[row, position] = True
    extra = np.where(failed, (group.failed - group.planned)[position], 0.0)
    sets: Array = renewed @ (1 << np.arange(len(group.shape)))
    apart: Array = renewed @ group.planned - group.spared[sets]
    assembly = policy.assembly[position]
    whole = np.isfinite(assembly)
    cost = np.where(whole, group.planned[position] + np.nan_to_num(assembly), apart)
    return renewed | whole[:, None], cost + extra


class _State:
    """Every vehicle's parts: when they were fitted, and when they fail or are to be renewed."""

    def __init__(self, group: PositionGroup, vehicles: int, seed: int) -> None:
        self.group = group
        rng = np.random.default_rng([seed, 0, 1])
        frailties = np.column_stack([_frailties(variance, vehicles, rng) for variance in group.variance])
        self.pace = group.pace * np.power(frailties[:, group.frailty], 1.0 / group.shape)
        self.lives = _Lives(group, vehicles, seed)
        size = (vehicles, len(group.shape))
        self.fitted, self.number = np.zeros(size), np.full(size, -1)
        self.ends, self.fails = np.zeros(size), np.zeros(size, dtype=bool)
        self.renew(np.arange(vehicles), np.zeros(vehicles), np.ones(size, dtype=bool))

    def next_events(self, end: float) -> "tuple[Array, Array, Array, Array]":
        """Vehicle, position, distance and whether it failed, of each vehicle's next event before the end."""
        position = np.argmin(self.ends, axis=1)
        at = self.ends[np.arange(len(position)), position]
        vehicle = np.flatnonzero(at < end)
        return vehicle, position[vehicle], at[vehicle], self.fails[vehicle, position[vehicle]]

    def ages(self, vehicle: Array, at: Array) -> Array:
        """Ages on the operational clock of all positions of vehicles at a distance."""
        return (at[:, None] - self.fitted[vehicle]) * self.pace[vehicle]

    def renew(self, vehicle: Array, at: Array, renewed: Array) -> None:
        """Fit new parts."""
        row, position = np.nonzero(renewed)
        where = vehicle[row], position
        self.number[where] += 1
        life = self.lives.at(self.number[where], *where)
        limit = self.group.limit[position]
        self.fitted[where] = at[row]
        self.fails[where] = life < limit
        self.ends[where] = at[row] + np.minimum(life, limit) / self.pace[where]


def _frailties(variance: float, vehicles: int, rng: np.random.Generator) -> Array:
    """Gamma frailties with mean 1."""
    if variance <= 0.0:
        return np.ones(vehicles)
    return rng.gamma(1.0 / variance, variance, size=vehicles)
