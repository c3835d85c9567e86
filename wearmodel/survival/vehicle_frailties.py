"""How much faster or slower each vehicle wears than the fleet, as far as its record tells."""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.vehicle_terms import vehicle_posterior
from wearmodel.survival.weibull import mean_pace

__all__ = ["Frailties", "alike", "vehicle_frailties"]

Array = NDArray[Any]
_LEAST_SPREAD = 1e-9


@dataclass(frozen=True)
class Frailties:
    """Gamma laws of the frailty, the multiple of the failure rate, of some vehicles or of the parts on them.

    Parameters
    ----------
    shape, rate : ndarray, shape (n,)
        Of the law of each given its record; both infinite where the frailty is 1 for certain.
    """

    shape: Array
    rate: Array

    @property
    def mean(self) -> Array:
        """Expected frailty, shape (n,)."""
        return np.where(np.isfinite(self.rate), self._certain(self.shape) / self._certain(self.rate), 1.0)

    @staticmethod
    def _certain(values: Array) -> Array:
        return np.where(np.isfinite(values), values, 1.0)

    def only(self, rows: Array) -> "Frailties":
        """Those of some rows, in that order.

        Parameters
        ----------
        rows : ndarray of int, shape (m,)
            Rows.

        Returns
        -------
        Frailties
            One a row.
        """
        return Frailties(self.shape[rows], self.rate[rows])

    def survival(self, spent: Array) -> Array:
        """Chance of lasting a cumulative hazard of a vehicle with frailty 1.

        Parameters
        ----------
        spent : ndarray, shape (n,) or (n, m)
            Cumulative hazard, 0 or more [-].

        Returns
        -------
        ndarray
            (1 + spent / rate)^-shape, exp(-spent) at frailty 1.
        """
        shape, rate = (values.reshape(-1, *[1] * (spent.ndim - 1)) for values in (self.shape, self.rate))
        vague = np.isfinite(rate)
        mixed = np.exp(-self._certain(shape) * np.log1p(spent / self._certain(rate)))
        return np.where(vague, mixed, np.exp(-spent))

    def spent_at(self, fraction: float) -> Array:
        """Cumulative hazard of a vehicle with frailty 1 by which a fraction has failed.

        Parameters
        ----------
        fraction : float
            Share failed, 0 to below 1.

        Returns
        -------
        ndarray, shape (n,)
            The inverse of `survival` [-].
        """
        lost = -math.log1p(-fraction)
        mixed = self._certain(self.rate) * np.expm1(lost / self._certain(self.shape))
        return np.where(np.isfinite(self.rate), mixed, lost)

    def pace(self, shape: float) -> Array:
        """Expected multiple of the pace of wear on the operational clock.

        Parameters
        ----------
        shape : float
            Weibull shape [-].

        Returns
        -------
        ndarray, shape (n,)
            Mean of frailty^(1 / shape) [-].
        """
        vague = np.isfinite(self.rate)
        spread = np.where(vague, 1.0 / self._certain(self.shape), 0.0)
        return np.power(self.mean, 1.0 / shape) * mean_pace(np.full(len(spread), shape), spread)

    def drawn(self, draws: int, rng: np.random.Generator) -> Array:
        """Frailties drawn.

        Parameters
        ----------
        draws : int
            Number of draws.
        rng : numpy.random.Generator
            Source of randomness.

        Returns
        -------
        ndarray, shape (n, draws)
            Each draw of each law on its own.
        """
        shape, rate = self._certain(self.shape)[:, None], self._certain(self.rate)[:, None]
        values = rng.standard_gamma(np.broadcast_to(shape, (len(self.shape), draws))) / rate
        return np.where(np.isfinite(self.rate)[:, None], values, 1.0)


def alike(count: int) -> Frailties:
    """Frailties of vehicles that do not differ: 1 for certain.

    Parameters
    ----------
    count : int
        Number of vehicles.

    Returns
    -------
    Frailties
        One a vehicle.
    """
    return Frailties(np.full(count, np.inf), np.full(count, np.inf))


def vehicle_frailties(mine: ComponentLives, model: ComponentModel, *, vehicles: int) -> Frailties:
    """Frailty of each vehicle given its record of one component.

    Parameters
    ----------
    mine : ComponentLives
        The component's lives.
    model : ComponentModel
        Its life model, of these lives or of others.
    vehicles : int
        Number of vehicles; `cluster` of the lives is their index.

    Returns
    -------
    Frailties
        One a vehicle; the law of the fleet for a vehicle without a life that counts.

    Notes
    -----
    Mean and variance given the record, integrated over the frailty; a gamma law with the same.
    """
    if model.frailty_variance <= 0.0:
        return alike(vehicles)
    own = 1.0 / model.frailty_variance
    shape, rate = np.full(vehicles, own), np.full(vehicles, own)
    if mine.dated.lives + mine.unknown.lives:
        vehicle, told = vehicle_posterior(model, mine)
        if math.isfinite(told.value):
            spread = np.maximum(told.frailty_spread, _LEAST_SPREAD)
            shape[vehicle], rate[vehicle] = told.frailty**2 / spread, told.frailty / spread
    return Frailties(shape, rate)
