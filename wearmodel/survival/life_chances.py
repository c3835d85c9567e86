"""How likely each life is under a life model: what spreads lines that could be about several positions."""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.survival.age_distribution import age_distribution
from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.model import ComponentModel

__all__ = ["life_log_likelihoods"]

Array = NDArray[Any]
#: Operational distance below which nothing is told apart.
_TINY = 1e-9
#: Cells of an unknown age: chances of positions are compared, so that finer ones than for a due date are worth it.
_CELLS = 64


def life_log_likelihoods(
    model: ComponentModel,
    *,
    lives: pd.DataFrame,
    segments: pd.DataFrame,
    traits: pd.DataFrame,
    other_rate: float,
    frailty: Array | None = None,
    design: Array | None = None,
) -> Array:
    """Log-likelihood of lives of one component, each as if it were true.

    Parameters
    ----------
    model : ComponentModel
        Life model.
    lives : pandas.DataFrame
        `entry, stop_low, stop_high` [distance], `age_known`, `duty`; index 0..n-1.
    segments : pandas.DataFrame
        Their segments: `life` (row of `lives`, ascending), `age_from, age_to` [distance], `lift` [mm].
    traits : pandas.DataFrame
        Row by row for the segments.
    other_rate : float
        Renewals that are not wear [1 / distance].
    frailty : ndarray, shape (n_lives,), optional
        Multiple of the failure rate on each life's vehicle; 1 when missing.
    design : ndarray, shape (n_segments, n_coefficients), optional
        Covariates of the segments as the model codes them, where they are at hand.

    Returns
    -------
    ndarray, shape (n_lives,)
        Log density of a failure seen, log of an interval's probability, log survivor of any other end; given
        that the life was under way when its observation began. Densities are per unit of distance.

    Notes
    -----
    Where the fitting date is unknown, the age at the start of observation is a distribution
    (`wearmodel.survival.age_distribution`), and the life's likelihood its mean over it. Renewals that are not
    wear are taken to come at the same rate whatever the age, so that they do not tell positions apart.
    """
    values = np.array(model.values)
    shape = float(np.exp(values[-1]))
    at = segments["life"].to_numpy()
    if design is None:
        design = build_segment_design(model.coding, lift=segments["lift"].to_numpy(dtype=float), traits=traits)
    pace = np.exp(-(design @ values[:-1]))
    if frailty is not None:
        pace = pace * np.power(frailty[at], 1.0 / shape)
    begins, ends = segments["age_from"].to_numpy(), segments["age_to"].to_numpy()
    start = np.searchsorted(at, np.arange(len(lives)))

    def clock(age: Array) -> Array:
        return np.add.reduceat(pace * (np.clip(age[at], begins, ends) - begins), start)

    entry, low, high = (lives[name].to_numpy(dtype=float) for name in ("entry", "stop_low", "stop_high"))
    seen = np.isfinite(high)
    top = np.where(seen, high, low)
    psi_entry, psi_low, psi_top = clock(entry), clock(low), clock(top)
    # The rate at which the clock runs where the life ends.
    running = (begins < top[at]) | (begins == 0.0)
    final = pace[np.maximum.reduceat(np.where(running, np.arange(len(at)), 0), start)]
    unknown = ~lives["age_known"].to_numpy(dtype=bool)
    out = np.empty(len(lives))
    for chosen, spread in ((~unknown, False), (unknown, True)):
        if not chosen.any():
            continue
        points, weights = psi_entry[chosen, None], np.ones((int(chosen.sum()), 1))
        if spread:
            ages = age_distribution(
                before=psi_entry[chosen],
                since=np.zeros(int(chosen.sum())),
                shape=shape,
                rate=other_rate / final[chosen],
                cells=_CELLS,
            )
            points, weights = ages.psi, ages.weight
        out[chosen] = _mixture(
            points,
            weights,
            low=(psi_low - psi_entry)[chosen],
            top=(psi_top - psi_entry)[chosen],
            exact=(seen & (high == low))[chosen],
            interval=(seen & (high > low))[chosen],
            pace=final[chosen],
            shape=shape,
        )
    return out


def _mixture(
    points: Array, weights: Array, *, low: Array, top: Array, exact: Array, interval: Array, pace: Array, shape: float
) -> Array:
    """Log of the mean likelihood over ages at entry, shape (n_lives, n_ages)."""
    at_entry = np.power(points, shape)
    to_low = np.power(points + low[:, None], shape) - at_entry
    good = (weights * np.exp(-to_low)).sum(axis=1)
    aged = np.maximum(points + np.maximum(top, _TINY)[:, None], _TINY)
    to_top = np.power(aged, shape) - at_entry
    density = (weights * shape * np.power(aged, shape - 1.0) * np.exp(-to_top)).sum(axis=1) * pace
    between = good - (weights * np.exp(-to_top)).sum(axis=1)
    likelihood = np.where(exact, density, np.where(interval, between, good))
    return np.log(np.maximum(likelihood, 1e-300))
