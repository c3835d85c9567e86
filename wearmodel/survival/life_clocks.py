"""Operational distances of lives as functions of the coefficients of the log scale."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

__all__ = ["Clock", "Segmented", "curvature", "log_distance", "run_clock", "slopes_by_life"]

Array = NDArray[Any]
_SMALLEST = 1e-300


class Segmented(Protocol):
    """Lives cut into segments: index of the life, first segment of each, covariates."""

    @property
    def life(self) -> Array:
        """Life of each segment, shape (n_segments,)."""

    @property
    def start(self) -> Array:
        """First segment of each life, shape (n_lives,)."""

    @property
    def design(self) -> Array:
        """Covariates, shape (n_segments, n_coefficients)."""


@dataclass(frozen=True)
class Clock:
    """Operational distance psi of each life to one of its bounds.

    Parameters
    ----------
    log_psi : ndarray, shape (n_lives,)
        Logarithm; very small where psi is 0.
    slope : ndarray, shape (n_lives, n_coefficients)
        Derivative of log psi.
    share : ndarray, shape (n_segments,)
        Share of each segment in psi.
    """

    log_psi: Array
    slope: Array
    share: Array


def run_clock(lives: Segmented, pace: Array, distance: Array) -> Clock:
    """Operational distance to a bound.

    Parameters
    ----------
    lives : Segmented
        Lives in segments.
    pace : ndarray, shape (n_segments,)
        exp(-x'b) of each segment.
    distance : ndarray, shape (n_segments,)
        Distance run in each segment until the bound.

    Returns
    -------
    Clock
        With derivatives.
    """
    run = pace * distance
    psi = np.maximum(_by_life(lives, run), _SMALLEST)
    share = run / psi[lives.life]
    return Clock(np.log(psi), -_by_life(lives, share[:, None] * lives.design), share)


def log_distance(lives: Segmented, pace: Array, distance: Array) -> Array:
    """Logarithm of the operational distance to a bound, without derivatives.

    Parameters
    ----------
    lives, pace, distance
        As in `run_clock`.

    Returns
    -------
    ndarray, shape (n_lives,)
        As `Clock.log_psi`.
    """
    return np.log(np.maximum(_by_life(lives, pace * distance), _SMALLEST))


def _by_life(lives: Segmented, values: Array) -> Array:
    if len(lives.life) == len(lives.start):
        return values
    return np.add.reduceat(values, lives.start, axis=0)


def slopes_by_life(clocks: Sequence[Clock], first: Array) -> Array:
    """Gradient of each life.

    Parameters
    ----------
    clocks : sequence of Clock
        Bounds.
    first : ndarray, shape (n_bounds + 1, n_lives)
        Derivatives in the log psi of each bound and, last, in the log shape.

    Returns
    -------
    ndarray, shape (n_lives, n_coefficients + 1)
        Derivatives in the coefficients and the log shape.
    """
    out = np.empty((first.shape[1], clocks[0].slope.shape[1] + 1))
    out[:, :-1] = sum(one[:, None] * clock.slope for one, clock in zip(first[:-1], clocks, strict=True))
    out[:, -1] = first[-1]
    return out


def curvature(lives: Segmented, clocks: Sequence[Clock], first: Array, second: Array) -> Array:
    """Second derivatives of a sum over lives in the coefficients and the log shape.

    Parameters
    ----------
    lives : Segmented
        Lives in segments.
    clocks : sequence of Clock
        Bounds.
    first : ndarray, shape (n_bounds + 1, n_lives)
        As in `slopes_by_life`.
    second : ndarray, shape (n_bounds + 1, n_bounds + 1, n_lives)
        Second derivatives.

    Returns
    -------
    ndarray, shape (n_coefficients + 1, n_coefficients + 1)
        Hessian.
    """
    x = lives.design
    size = x.shape[1] + 1
    out = np.zeros((size, size))
    along = np.zeros(len(x))
    for i, clock in enumerate(clocks):
        u = clock.slope
        # log psi is curved in the coefficients itself.
        along += first[i][lives.life] * clock.share
        out[:-1, :-1] += u.T @ ((second[i, i] - first[i])[:, None] * u)
        out[:-1, -1] += u.T @ second[i, -1]
        for j in range(i):
            block = u.T @ (second[i, j][:, None] * clocks[j].slope)
            out[:-1, :-1] += block + block.T
    out[:-1, :-1] += x.T @ (along[:, None] * x)
    out[-1, :-1] = out[:-1, -1]
    out[-1, -1] = second[-1, -1].sum()
    return out
