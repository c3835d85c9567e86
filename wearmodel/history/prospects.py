"""How well each position can still go on from a state: where to look when not every state can be followed.

Each position is taken for itself, as a chain of the events that may fill it. What ties the positions together, that a
line renews one of them and not two, is only kept on average: a factor for each line, raised or lowered until the
chances that the positions took it add up to one. What comes out is no answer, but it tells promising states from
hopeless ones far better than what happened up to a state does.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["LifeTable", "log_prospects"]

Array = NDArray[Any]
_ROUNDS = 10
#: On the log scale: factors change by no more than the first in a round, and lives count for no less and no more than
#: the others, so that products over a chain stay within what a number holds.
_MOST_CHANGE = 5.0
_LEAST, _MOST = -30.0, 8.0
_TINY = 1e-300


@dataclass(frozen=True)
class LifeTable:
    """Lives of one timeline by the events they lie between, which are numbered in each position.

    Parameters
    ----------
    life : ndarray of int, shape (n_places, n_events, n_events + 1)
        Number of the life from one event of a place to another, in the last column to the end of the record; -1 where
        there can be none.
    step : ndarray of int, shape (n_places, n_events)
        Step at which an event may come; -1 for the first, the number of steps where a place has no such event.
    fills : ndarray of float, shape (n_steps,)
        How many places a step fills, on average over its readings.
    """

    life: Array
    step: Array
    fills: Array


def log_prospects(table: LifeTable, log_likelihood: Array) -> Array:
    """Log of what may be expected of each place from an event on.

    Parameters
    ----------
    table : LifeTable
        Lives by the events they lie between.
    log_likelihood : ndarray, shape (n_lives,)
        Of each life.

    Returns
    -------
    ndarray, shape (n_places, n_events, n_events + 1)
        Entry (place, event, following): the place was last filled by the event, and only its events from `following`
        on are still to come. Up to a constant of each place.
    """
    count = table.life.shape[1]
    gains = np.where(table.life >= 0, log_likelihood[table.life], -np.inf)
    factor = -_highest_by_step(table, gains[:, :, :count])
    at_step = np.clip(table.step, 0, len(table.fills) - 1)
    real = (table.step >= 0) & (table.step < len(table.fills))
    best_end = np.max(gains[:, :, count], axis=1, keepdims=True)
    ends = _floored(gains[:, :, count] - np.where(np.isfinite(best_end), best_end, 0.0))
    for round_ in range(_ROUNDS + 1):
        weight = _floored(gains[:, :, :count] + factor[at_step][:, None, :])
        after = _after(weight, ends)
        if round_ == _ROUNDS:
            break
        taken = _before(weight) * after / np.maximum(after[:, :1], _TINY)
        total = np.bincount(at_step[real], taken[real], minlength=len(factor))
        change = np.log(table.fills / np.maximum(total, _TINY))
        factor = factor + np.clip(change, -_MOST_CHANGE, _MOST_CHANGE)
    onwards = np.concatenate([weight * after[:, None, :], ends[:, :, None]], axis=2)
    return np.asarray(np.log(np.maximum(np.cumsum(onwards[:, :, ::-1], axis=2)[:, :, ::-1], _TINY)))


def _floored(gains: Array) -> Array:
    """Weights of lives from their logs; 0 only where there can be none."""
    return np.where(np.isfinite(gains), np.exp(np.clip(gains, _LEAST, _MOST)), 0.0)


def _highest_by_step(table: LifeTable, gains: Array) -> Array:
    """Highest gain of any life that ends at each step; 0 where none can."""
    highest = np.full(len(table.fills) + 1, -np.inf)
    np.maximum.at(highest, np.where(table.step < 0, len(table.fills), table.step), gains.max(axis=1))
    return np.where(np.isfinite(highest), highest, 0.0)[:-1]


def _before(weight: Array) -> Array:
    """Sum over all ways from the first event of a place to each."""
    out = np.zeros(weight.shape[:2])
    out[:, 0] = 1.0
    for event in range(1, weight.shape[1]):
        out[:, event] = np.einsum("ij,ij->i", out[:, :event], weight[:, :event, event])
    return out


def _after(weight: Array, ends: Array) -> Array:
    """Sum over all ways from each event of a place to the end of the record."""
    out = ends.copy()
    for event in range(weight.shape[1] - 2, -1, -1):
        out[:, event] += np.einsum("ij,ij->i", weight[:, event, event + 1 :], out[:, event + 1 :])
    return out
