"""How likely running is on raised vehicles, given the work and the vehicle, and the weights that even that out."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from sklearn.linear_model import LogisticRegression

__all__ = ["COVARIATES", "LEAST_PROPENSITY", "Propensities", "fit_propensities", "one_sided_levels"]

Array = NDArray[Any]
#: What decides on ride height, as far as a record tells.
COVARIATES = ("duty", "vehicle_class", "depot", "place")
#: Propensities are kept this far from 0 and 1, so that no weight outgrows the others; beyond, groups hardly overlap
#: (Cole & Hernán, American Journal of Epidemiology 168 (2008), on truncated weights).
LEAST_PROPENSITY = 0.05
#: Inverse strength of scikit-learn's ridge penalty: next to none, it keeps a separated level finite.
_LOOSE = 100.0
_NEWTON_STEPS = 4
_TOLERANCE = 1e-8


@dataclass(frozen=True)
class Propensities:
    """Chance that running of each stratum is on a raised vehicle, as it is and in bootstrap draws.

    Parameters
    ----------
    chance : ndarray, shape (1 + n_draws, n_strata)
        Not truncated; the estimate first.
    raised_share : ndarray, shape (1 + n_draws,)
        Share of all running that is on raised vehicles.
    """

    chance: Array
    raised_share: Array

    def weights(self) -> Array:
        """Stabilised weights with truncated propensities.

        Returns
        -------
        ndarray, shape (1 + n_draws, 2 * n_strata)
            Share of its side in all running over the chance of its side in its stratum [-]: of the strata at factory
            height, then of the strata raised.
        """
        kept = np.clip(self.chance, LEAST_PROPENSITY, 1.0 - LEAST_PROPENSITY)
        share = self.raised_share[:, None]
        return np.hstack([(1.0 - share) / (1.0 - kept), share / kept])

    def cells(self, stratum: Array, raised: Array) -> Array:
        """Columns of `weights` in which pieces are.

        Parameters
        ----------
        stratum : ndarray of int, shape (n,)
            Stratum of each piece.
        raised : ndarray of bool, shape (n,)
            Whether it ran on a raised vehicle.

        Returns
        -------
        ndarray of int, shape (n,)
            Column of each.
        """
        return np.asarray(stratum + self.chance.shape[1] * raised.astype(np.intp))


def one_sided_levels(pieces: pd.DataFrame) -> dict[tuple[str, str], str]:
    """Levels of the covariates whose running is all raised or all at factory height: they hold no comparison.

    Parameters
    ----------
    pieces : pandas.DataFrame
        `raised`, `distance` and the columns `COVARIATES`.

    Returns
    -------
    dict
        `raised` or `factory`, the only side there is, by covariate and level. Levels that have lost a side once others
        were left out are among them.
    """
    found: dict[tuple[str, str], str] = {}
    kept = pieces
    while len(kept):
        fresh: dict[tuple[str, str], str] = {}
        for name in COVARIATES:
            sides = kept.groupby([name, "raised"])["distance"].sum().unstack(fill_value=0)
            sides = sides.reindex(columns=[False, True], fill_value=0.0)
            for level, factory, raised in zip(sides.index, sides[False], sides[True], strict=True):
                if raised <= 0 or factory <= 0:
                    fresh[name, str(level)] = "factory" if raised <= 0 else "raised"
        if not fresh:
            break
        found |= fresh
        for name, level in fresh:
            kept = kept[kept[name].astype(str) != level]
    return found


def fit_propensities(pieces: pd.DataFrame, *, stratum: Array, times: Array) -> Propensities:
    """Logistic regression of raised or not on duty, class, depot and place, each piece for the distance it ran.

    Parameters
    ----------
    pieces : pandas.DataFrame
        `raised`, `distance`, the columns `COVARIATES`, and `vehicle` from 0 on.
    stratum : ndarray of int, shape (n_pieces,)
        Number of each piece's combination of covariates, from 0 on.
    times : ndarray, shape (n_draws, n_vehicles)
        How often each vehicle is in each bootstrap draw.

    Returns
    -------
    Propensities
        By stratum.

    Notes
    -----
    The estimate is scikit-learn's. The draws maximise the same penalised likelihood by Newton steps from it, all draws
    at once: five hundred separate fits of each component would take longer than the rest of the plan.
    """
    first = ~pd.Series(stratum).duplicated().to_numpy()
    strata = pieces[first].assign(stratum=stratum[first]).sort_values("stratum")
    coded = pd.get_dummies(strata[list(COVARIATES)].astype(str), drop_first=True).to_numpy(dtype=float)
    count = len(strata)
    # Distances are counted so that their sum is the number of vehicles: the penalty then weighs as it should.
    vehicles = times.shape[1]
    distance = pieces["distance"].to_numpy(dtype=float)
    distance = distance / distance.sum() * vehicles
    cell = stratum + count * pieces["raised"].to_numpy(dtype=int)
    by_vehicle = np.zeros((vehicles, 2 * count))
    np.add.at(by_vehicle, (pieces["vehicle"].to_numpy(), cell), distance)
    run = np.vstack([by_vehicle.sum(axis=0), times @ by_vehicle])
    factory, raised = run[:, :count], run[:, count:]
    if not coded.shape[1]:
        share = raised.sum(axis=1) / run.sum(axis=1)
        return Propensities(np.repeat(share[:, None], count, axis=1), share)
    model = LogisticRegression(C=_LOOSE, solver="newton-cholesky", tol=_TOLERANCE, max_iter=200)
    model.fit(np.vstack([coded, coded]), np.repeat([0, 1], count), sample_weight=run[0])
    begun = np.append(model.intercept_, model.coef_[0])
    design = np.hstack([np.ones((count, 1)), coded])
    drawn = _newton(design, begun, factory=factory[1:], raised=raised[1:])
    chance = 1.0 / (1.0 + np.exp(-(np.vstack([begun, drawn]) @ design.T)))
    return Propensities(chance, raised.sum(axis=1) / run.sum(axis=1))


def _newton(design: Array, start: Array, *, factory: Array, raised: Array) -> Array:
    """Coefficients of each draw, shape (n_draws, n_coefficients)."""
    penalty = np.full(design.shape[1], 1.0 / _LOOSE)
    penalty[0] = 0.0
    values = np.tile(start, (len(raised), 1))
    products = np.einsum("si,sj->sij", design, design)
    for _ in range(_NEWTON_STEPS):
        chance = 1.0 / (1.0 + np.exp(-(values @ design.T)))
        both = factory + raised
        gradient = (raised - both * chance) @ design - penalty * values
        information = np.tensordot(both * chance * (1.0 - chance), products, axes=1) + np.diag(penalty + 1e-12)
        step = np.linalg.solve(information, gradient[:, :, None])[:, :, 0]
        values = values + np.clip(step, -2.0, 2.0)
    return values
