"""What each vehicle adds to the likelihood of a fitted life model, lives of unknown age and frailty included."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.covariance import scores_by_cluster
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.unknown_ages.fit import UnknownAgeLikelihood
from wearmodel.survival.unknown_ages.lives import UnknownAges
from wearmodel.survival.unknown_ages.mixed_frailty import MixedFrailtyLikelihood, Posterior

__all__ = ["VehicleTerms", "vehicle_posterior", "vehicle_terms"]

Array = NDArray[Any]
_NODES = 20


@dataclass(frozen=True)
class VehicleTerms:
    """Vehicles with lives, and the derivatives of the log-likelihood at the model's values.

    Parameters
    ----------
    vehicle : ndarray of int, shape (n_vehicles,)
        Vehicle indices, ascending.
    value : float
        Log-likelihood, distances in units of the model's reference scale; minus infinity where it cannot be had.
    scores : ndarray, shape (n_vehicles, n_parameters)
        Gradient of each vehicle: `values` of the model and, where vehicles differ, the log variance of the frailty.
    hessian : ndarray, shape (n_parameters, n_parameters)
        Second derivatives, without priors.
    frailty, frailty_spread : ndarray, shape (n_vehicles,)
        Mean and variance of each vehicle's frailty given its record; 1 and 0 where vehicles do not differ.
    """

    vehicle: Array
    value: float
    scores: Array
    hessian: Array
    frailty: Array
    frailty_spread: Array


def vehicle_terms(model: ComponentModel, mine: ComponentLives) -> VehicleTerms:
    """Terms of each vehicle.

    Parameters
    ----------
    model : ComponentModel
        Life model, of these lives or of others coded alike.
    mine : ComponentLives
        One life or more.

    Returns
    -------
    VehicleTerms
        Of all vehicles that have a life.
    """
    data, unknown = _in_units_of_scale(model, mine)
    cluster = np.concatenate([data.cluster, unknown.cluster])
    vehicle = np.unique(cluster)
    at = np.array([0.0, *model.values[1:]])
    if model.frailty_variance > 0:
        likelihood = MixedFrailtyLikelihood(data, unknown, nodes=_NODES)
        mixed = likelihood.evaluate(np.append(at, math.log(model.frailty_variance)))
        return VehicleTerms(
            vehicle, mixed.value, mixed.scores, mixed.hessian, mixed.frailty, mixed.frailty_spread
        )
    found = UnknownAgeLikelihood(data, unknown)(at)
    scores = scores_by_cluster(found.scores, cluster)
    return VehicleTerms(
        vehicle, found.value, scores, found.hessian, np.ones(len(vehicle)), np.zeros(len(vehicle))
    )


def vehicle_posterior(model: ComponentModel, mine: ComponentLives) -> tuple[Array, Posterior]:
    """What the record says of the frailty of each vehicle, without derivatives.

    Parameters
    ----------
    model : ComponentModel
        Life model whose vehicles differ.
    mine : ComponentLives
        One life or more.

    Returns
    -------
    tuple
        Indices of all vehicles that have a life, ascending, and the posterior of each.
    """
    data, unknown = _in_units_of_scale(model, mine)
    likelihood = MixedFrailtyLikelihood(data, unknown, nodes=_NODES)
    told = likelihood.posterior(np.array([0.0, *model.values[1:], math.log(model.frailty_variance)]))
    return np.unique(np.concatenate([data.cluster, unknown.cluster])), told


def _in_units_of_scale(model: ComponentModel, mine: ComponentLives) -> tuple[LifeData, UnknownAges]:
    """Lives of known and unknown age, coded as the model is, distances in units of its scale."""
    mine = mine.with_duty_height(model.coding.duty_height)
    unit = math.exp(model.values[0])
    return mine.dated.in_units_of(unit), mine.unknown.in_units_of(unit)
