"""Where the fitted parts of a component begin in each draw of the months ahead, whatever policy they come under."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.age_distribution import AgePoints

__all__ = ["Looks", "Starts", "draw_starts", "worn_within"]

Array = NDArray[Any]


@dataclass(frozen=True)
class Looks:
    """How wear that shows only at a look is found.

    Parameters
    ----------
    silent : float
        Share of a component's wear that shows only at a look, 0 to 1.
    every : ndarray, shape (n_parts,)
        Distance between looks at each part; NaN when it is not known [distance].
    """

    silent: float
    every: Array

    def timed(self, tail: Array) -> bool:
        """Whether there is telling when the next look is: without one on record wear shows at once.

        Parameters
        ----------
        tail : ndarray, shape (n_parts,)
            Distance since the last look at each part.

        Returns
        -------
        bool
            For the component as a whole.
        """
        return self.silent > 0 and bool(np.isfinite(self.every).all()) and bool((tail > 0).any())


@dataclass(frozen=True)
class Starts:
    """Fitted parts of one component in each draw, whatever policy they come under; shapes (n_parts, n_draws).

    Parameters
    ----------
    psi, pace : ndarray
        Operational age [-] and what it gains by the distance driven [1 / distance].
    wear : ndarray
        Cumulative hazard of wear that is left to be spent [-].
    worn : ndarray of bool
        Whether it may be spent over the months ahead.
    state : mapping
        Of the source of randomness after these were drawn.
    """

    psi: Array
    pace: Array
    wear: Array
    worn: Array
    state: Mapping[str, Any]


def draw_starts(
    parts: FittedParts,
    *,
    points: AgePoints,
    values: Array,
    factors: Array,
    usage: Usage,
    looks: Looks,
    rng: np.random.Generator,
) -> Starts:
    """Draw where the fitted parts of one component begin.

    Parameters
    ----------
    parts, points, values, factors, usage, looks, rng
        As for `simulate_paths`.

    Returns
    -------
    Starts
        With which `simulate_paths` may be called several times.
    """
    shape = np.exp(values[:, -1]).astype(np.float32)
    reach = (usage.cumulative[parts.frame["vehicle"].to_numpy(), -1][:, None] * factors).astype(np.float32)
    # Seven digits tell in which draws to look closer, and are enough for ages: half the time and memory.
    psi, pace = _start_ages(points, parts, values, rng), parts.pace(values, dtype=np.float32)
    if np.isfinite(parts.frailties.rate).any():
        faster = np.power(_drawn_frailties(parts, len(values), rng), np.exp(-values[:, -1])).astype(np.float32)
        psi, pace = psi * faster, pace * faster
    wear = rng.standard_exponential(psi.shape, dtype=np.float32)
    looked = psi
    if looks.timed(parts.since_look):
        looked = np.maximum(psi - parts.since_look.astype(np.float32)[:, None] * pace, 0.0)
    worn = worn_within(looked, psi + pace * reach, shape, wear)
    return Starts(psi, pace, wear, worn, rng.bit_generator.state)


def _start_ages(points: AgePoints, parts: FittedParts, values: Array, rng: np.random.Generator) -> Array:
    """Operational age of each part in each draw, shape (n_parts, n_draws)."""
    now = parts.operational_age(values, dtype=np.float32)
    unknown = np.flatnonzero(~parts.frame["age_known"].to_numpy(dtype=bool))
    if len(unknown):
        # Weights at the estimate; each draw's own clock stretches the chosen age.
        share = points.psi[unknown] / np.maximum(points.psi[unknown, -1:], 1e-300)
        # One search for all parts: the chances of each lie one above those of the part before.
        offset = np.arange(len(unknown))[:, None]
        cumulative = np.minimum(np.cumsum(points.weight[unknown], axis=1), 1.0) + offset
        chance = rng.random((len(unknown), values.shape[0])) + offset
        cell = np.searchsorted(cumulative.ravel(), chance.ravel()).reshape(chance.shape) - offset * share.shape[1]
        now[unknown] *= np.take_along_axis(share, np.minimum(cell, share.shape[1] - 1), axis=1)
    return now


def _drawn_frailties(parts: FittedParts, draws: int, rng: np.random.Generator) -> Array:
    """Frailty of each part's vehicle in each draw, shape (n_parts, n_draws): one for all parts of a vehicle."""
    _, first, index = np.unique(parts.frame["vehicle"].to_numpy(), return_index=True, return_inverse=True)
    return parts.frailties.only(first).drawn(draws, rng)[index]


def worn_within(begin: Array | None, end: Array, shape: Array, spent: Array) -> Array:
    """Whether a cumulative hazard is spent between two operational ages, also where it is beyond all numbers.

    Parameters
    ----------
    begin : ndarray or None
        First operational age; None for parts that begin new [-].
    end : ndarray
        Second operational age [-].
    shape : ndarray
        Weibull shape [-].
    spent : ndarray
        Cumulative hazard that is left to be spent [-].

    Returns
    -------
    ndarray of bool
        With a little to spare.
    """
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        hazard = np.exp(shape * np.log(end))
        if begin is not None:
            hazard -= np.exp(shape * np.log(begin))
    # A little more than that, as these may be short numbers: the times themselves decide.
    return np.asarray(~(hazard * (1.0 + 1e-4) < spent))
