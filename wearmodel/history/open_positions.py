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

__all__ = ["Paths", "Step", "Timeline", "TooManyPathsError", "build_paths", "path_chances"]

Array = NDArray[Any]
#: Most states of one timeline of positions; beyond it the open lines only end what is known.
MOST_STATES = 5_000
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
class Paths:
    """All ways to spread the open lines, as transitions between states.

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
    group : ndarray of int, shape (n_states,)
        Timeline of each state.
    level : ndarray of int, shape (n_states,)
        Number of steps before it.
    """

    lives: tuple[tuple[int, int], ...]
    source: Array
    target: Array
    life_start: Array
    life: Array
    group: Array
    level: Array


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
    return Paths(
        lives=tuple(builder.life_ids),
        source=np.array(builder.source, dtype=np.intp)[order],
        target=np.array(builder.target, dtype=np.intp)[order],
        life_start=np.concatenate([[0], np.cumsum([len(ids) for ids in lives])]).astype(np.intp),
        life=np.array([i for ids in lives for i in ids], dtype=np.intp),
        group=np.array(builder.group, dtype=np.intp),
        level=np.array(builder.level, dtype=np.intp),
    )


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
    each = np.maximum(np.asarray(log_likelihood, dtype=float), -1e4)
    gains = np.add.reduceat(each[paths.life], paths.life_start[:-1])
    forward = _accumulated(paths.source, paths.target, gains, paths.level, ascending=True)
    backward = _accumulated(paths.target, paths.source, gains, paths.level, ascending=False)
    ends = np.flatnonzero(np.append(np.diff(paths.group), 1))
    total = forward[ends][paths.group]
    chance = np.exp(forward[paths.source] + gains + backward[paths.target] - total[paths.source])
    out = np.zeros(len(paths.lives))
    np.add.at(out, paths.life, np.repeat(chance, np.diff(paths.life_start)))
    return np.clip(out, 0.0, 1.0)


def _accumulated(source: Array, target: Array, gains: Array, level: Array, *, ascending: bool) -> Array:
    """Log of the sum over all ways to reach each state, level by level for all timelines at once."""
    reached = np.full(len(level), -np.inf)
    starts = np.setdiff1d(np.arange(len(level)), target)
    reached[starts] = 0.0
    depth = level[target]
    order = np.lexsort((target, depth if ascending else -depth))
    cuts = np.flatnonzero(np.append(True, np.diff(depth[order]) != 0))
    for chosen in np.split(order, cuts[1:]):
        goals, first = np.unique(target[chosen], return_index=True)
        reached[goals] = np.logaddexp.reduceat(reached[source[chosen]] + gains[chosen], first)
    return reached
