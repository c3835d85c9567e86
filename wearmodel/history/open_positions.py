"""Lines that could be about several positions: every way they can be spread, and the chance of each life.

A state says which event last filled each position. A line of known position moves every state on; an open
line splits it, one state for each way the line can be read; states that become equal merge. A path through the
states is one history of the vehicle, and its likelihood is the product of the lives it is made of. Summing
over all paths, forwards and backwards, gives each life the chance that it is true (the forward-backward
recursion: Baum, Petrie, Soules & Weiss, Annals of Mathematical Statistics 41, 1970).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["Paths", "Step", "Timeline", "TooManyPathsError", "build_paths", "path_chances", "paths_of"]

Array = NDArray[Any]
#: Most states of one timeline of positions that are all followed; beyond it a part of them is drawn
#: (`wearmodel.history.drawn_paths`).
MOST_STATES = 5_000
#: No life counts for less than this, on the log scale.
LEAST_LOG = -1e4
_NEVER = -1

_State = tuple[int, ...]
_Option = tuple[tuple[int, int], ...]
_Way = tuple[_State, _Option]


class TooManyPathsError(ValueError):
    """The open lines can be spread in too many ways, or in none."""


@dataclass(frozen=True)
class Step:
    """One line of a vehicle, in the order of time.

    Parameters
    ----------
    options : tuple of tuple of (int, int)
        Each way to read the line: pairs of a place among the group's positions and the event that fills it.
    """

    options: tuple[_Option, ...]


@dataclass(frozen=True)
class Timeline:
    """Positions that open lines connect, and what happened to them.

    Parameters
    ----------
    first : tuple of int
        The event each position begins with.
    steps : tuple of Step
        Lines in the order of time.
    """

    first: tuple[int, ...]
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class _Sweep:
    """Transitions in the order in which sums run over them.

    Parameters
    ----------
    order : ndarray of int, shape (n_transitions,)
        Level by level, those to one state together.
    levels : tuple of (int, int, int, int)
        Of each level the range in `order` and the range in `goals`.
    goals, first : ndarray of int
        States reached, and the first transition to each, counted from the first of its level.
    """

    order: Array
    levels: tuple[tuple[int, int, int, int], ...]
    goals: Array
    first: Array


@dataclass(frozen=True)
class Paths:
    """Ways to spread open lines, as transitions between states.

    Parameters
    ----------
    lives : tuple of (int, int)
        Every life of any path: the event it starts with and the one it ends with (-1: end of the record).
    source, target : ndarray of int, shape (n_transitions,)
        States, numbered so that a transition goes to a higher number; ordered by target.
    life_start : ndarray of int, shape (n_transitions + 1,)
        First of each transition's lives in `life`.
    life : ndarray of int
        Places in `lives`.
    log_weight : ndarray of float, shape (n_transitions,)
        What a transition counts for beside its lives: 0 where every path is followed.
    group : ndarray of int, shape (n_states,)
        Timeline of each state.
    level : ndarray of int, shape (n_states,)
        Number of steps before it.
    forward, backward : _Sweep
        The transitions in the order of both passes.
    """

    lives: tuple[tuple[int, int], ...]
    source: Array
    target: Array
    life_start: Array
    life: Array
    log_weight: Array
    group: Array
    level: Array
    forward: _Sweep
    backward: _Sweep


class _Builder:
    """Collects states and transitions of all timelines."""

    def __init__(self, days: ArrayLike) -> None:
        self.days = np.asarray(days, dtype=float)
        self.life_ids: dict[tuple[int, int], int] = {}
        self.source: list[int] = []
        self.target: list[int] = []
        self.lives: list[tuple[int, ...]] = []
        self.group: list[int] = []
        self.level: list[int] = []

    def state(self, group: int, level: int) -> int:
        self.group.append(group)
        self.level.append(level)
        return len(self.group) - 1

    def life(self, start: int, end: int) -> int:
        return self.life_ids.setdefault((start, end), len(self.life_ids))


def _moved(state: _State, option: _Option, first: _State, days: Array) -> _State | None:
    """The state after a reading of a line; None where a part would be renewed on the day it was fitted."""
    moved = list(state)
    for place, event in option:
        if days[event] <= days[state[place]] and state[place] != first[place]:
            return None
        moved[place] = event
    return tuple(moved)


def _levels(timeline: Timeline, days: Array) -> list[dict[_State, list[_Way]]]:
    """States before each step, and after the last, each with the transitions that lead to it."""
    levels: list[dict[_State, list[_Way]]] = [{timeline.first: []}]
    total = 1
    for step in timeline.steps:
        reached: dict[_State, list[_Way]] = {}
        for state in levels[-1]:
            for option in step.options:
                moved = _moved(state, option, timeline.first, days)
                if moved is not None:
                    reached.setdefault(moved, []).append((state, option))
        total += len(reached)
        if not reached or total > MOST_STATES:
            raise TooManyPathsError("open lines that can be spread in no way, or in too many")
        levels.append(reached)
    return _without_dead_ends(levels)


def _without_dead_ends(levels: list[dict[_State, list[_Way]]]) -> list[dict[_State, list[_Way]]]:
    """States from which the last step can be reached, and the transitions between them."""
    alive = levels[-1]
    kept = [alive]
    for level in reversed(levels[:-1]):
        used = {before for ways in alive.values() for before, _ in ways}
        alive = {state: ways for state, ways in level.items() if state in used}
        kept.append(alive)
    return kept[::-1]


def _add(builder: _Builder, number: int, timeline: Timeline) -> None:
    """One timeline's states and transitions."""
    levels = _levels(timeline, builder.days)
    names = {timeline.first: builder.state(number, 0)}
    for depth, reached in enumerate(levels[1:], start=1):
        following = {state: builder.state(number, depth) for state in reached}
        for state, ways in reached.items():
            for before, option in ways:
                builder.source.append(names[before])
                builder.target.append(following[state])
                builder.lives.append(tuple(builder.life(before[place], event) for place, event in option))
        names = following
    end = builder.state(number, len(levels))
    for state, name in names.items():
        builder.source.append(name)
        builder.target.append(end)
        builder.lives.append(tuple(builder.life(event, _NEVER) for event in state))


def build_paths(timelines: Sequence[Timeline], *, days: ArrayLike) -> Paths:
    """All ways to spread the open lines of several timelines.

    Parameters
    ----------
    timelines : sequence of Timeline
        Each with positions of its own.
    days : array_like, shape (n_events,)
        Day of each event [d].

    Returns
    -------
    Paths
        Ready for `path_chances`.

    Raises
    ------
    TooManyPathsError
        A timeline has no path, or more than `MOST_STATES` states.
    """
    builder = _Builder(days)
    for number, timeline in enumerate(timelines):
        _add(builder, number, timeline)
    order = np.argsort(np.array(builder.target, dtype=np.intp), kind="stable")
    lives = [builder.lives[i] for i in order]
    return paths_of(
        tuple(builder.life_ids),
        source=np.array(builder.source, dtype=np.intp)[order],
        target=np.array(builder.target, dtype=np.intp)[order],
        counts=[len(ids) for ids in lives],
        life=[i for ids in lives for i in ids],
        log_weight=np.zeros(len(order)),
        group=builder.group,
        level=builder.level,
    )


def paths_of(
    lives: tuple[tuple[int, int], ...],
    *,
    source: ArrayLike,
    target: ArrayLike,
    counts: ArrayLike,
    life: ArrayLike,
    log_weight: ArrayLike,
    group: ArrayLike,
    level: ArrayLike,
) -> Paths:
    """Paths from their transitions.

    Parameters
    ----------
    lives, source, target, life, log_weight, group, level
        As in `Paths`.
    counts : array_like of int, shape (n_transitions,)
        Lives of each transition.

    Returns
    -------
    Paths
        Ready for `path_chances`.
    """
    # Half the width: fleets with many open lines have millions of transitions.
    sources, targets, levels = (np.asarray(x, dtype=np.int32) for x in (source, target, level))
    return Paths(
        lives=lives,
        source=sources,
        target=targets,
        life_start=np.concatenate([[0], np.cumsum(np.asarray(counts, dtype=np.intp))]).astype(np.intp),
        life=np.asarray(life, dtype=np.int32),
        log_weight=np.asarray(log_weight, dtype=float),
        group=np.asarray(group, dtype=np.int32),
        level=levels,
        forward=_sweep(targets, levels[targets]),
        backward=_sweep(sources, -levels[sources]),
    )


def _sweep(goal: Array, depth: Array) -> _Sweep:
    """Order of the sums that run to some goals, the least depth first."""
    order = np.lexsort((goal, depth)).astype(np.int32)
    fresh_level = np.append(True, np.diff(depth[order]) != 0)[: len(order)]
    fresh = np.append(True, np.diff(goal[order]) != 0)[: len(order)]
    first, begins = np.flatnonzero(fresh), np.flatnonzero(fresh_level)
    own = np.searchsorted(first, np.append(begins, len(order)))
    ends = np.append(begins, len(order))[1:]
    first_in_level = first - np.repeat(begins, np.diff(own))
    levels = tuple(zip(begins.tolist(), ends.tolist(), own[:-1].tolist(), own[1:].tolist(), strict=True))
    return _Sweep(order, levels, goal[order][first], first_in_level)


def path_chances(paths: Paths, log_likelihood: ArrayLike) -> Array:
    """Chance that each life is true.

    Parameters
    ----------
    paths : Paths
        From `build_paths`.
    log_likelihood : array_like, shape (n_lives,)
        Of each life of `paths.lives`; zeros make every path equally likely.

    Returns
    -------
    ndarray, shape (n_lives,)
        0 to 1; the lives of one position at one moment sum to 1.
    """
    if not len(paths.source):
        return np.zeros(len(paths.lives))
    each = np.maximum(np.asarray(log_likelihood, dtype=float), LEAST_LOG)
    gains = np.add.reduceat(each[paths.life], paths.life_start[:-1]) + paths.log_weight
    forward = _accumulated(paths.forward, paths.source, gains, len(paths.level))
    backward = _accumulated(paths.backward, paths.target, gains, len(paths.level))
    ends = np.flatnonzero(np.append(np.diff(paths.group), 1))
    total = forward[ends][paths.group]
    chance = np.exp(forward[paths.source] + gains + backward[paths.target] - total[paths.source])
    of_life = np.repeat(chance, np.diff(paths.life_start))
    return np.clip(np.bincount(paths.life, of_life, minlength=len(paths.lives)), 0.0, 1.0)


def _accumulated(sweep: _Sweep, before: Array, gains: Array, states: int) -> Array:
    """Log of the sum over all ways to reach each state, level by level for all timelines at once."""
    reached = np.zeros(states)
    before, gains = before[sweep.order], gains[sweep.order]
    for start, stop, first, last in sweep.levels:
        sums = np.logaddexp.reduceat(reached[before[start:stop]] + gains[start:stop], sweep.first[first:last])
        reached[sweep.goals[first:last]] = sums
    return reached
