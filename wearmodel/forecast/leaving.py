"""How vehicles leave the fleet: the rate by age that its own record shows, and days drawn from it.

Ages are years since a vehicle was new. A vehicle is watched from the day its record begins, so that those that left
before do not make the others look lasting (late entry).
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

__all__ = ["FEWEST_LEAVERS", "LeavingLaw", "constant_leaving", "fit_leaving", "vehicle_ages"]

Array = NDArray[Any]
_YEAR = 365.25
#: With fewer vehicles seen leaving nobody is taken to leave.
FEWEST_LEAVERS = 5
#: Stiffness of the graduation is chosen among these.
_STIFFNESS = np.exp(np.linspace(math.log(0.1), math.log(1e5), 29))
_PASSES = 60
_OLDEST = 60
_LARGEST_STEP = 2.0


@dataclass(frozen=True)
class LeavingLaw:
    """Yearly rate at which vehicles leave, by year of age.

    Parameters
    ----------
    rate : ndarray, shape (n_years,)
        From age 0; the last goes on for good [1 / year]. Empty: nobody leaves.
    root : ndarray, shape (n_years, n_years)
        Square root of the covariance of the log rates.
    leavers : int
        Vehicles seen leaving.
    source : str
        `record`, `fleet.toml` or `too few`.
    """

    rate: Array
    root: Array
    leavers: int
    source: str

    def drawn_days(self, age: Array, *, draws: int, rng: np.random.Generator) -> Array:
        """Days until each vehicle leaves, in each draw.

        Parameters
        ----------
        age : ndarray, shape (n_vehicles,)
            Ages now [years].
        draws : int
            Number of draws.
        rng : numpy.random.Generator
            Source of randomness.

        Returns
        -------
        ndarray, shape (n_vehicles, n_draws)
            [d]; infinite where nobody leaves. One law is drawn for the whole fleet in each draw.
        """
        if not len(self.rate):
            return np.full((len(age), draws), np.inf)
        spread = (self.root**2).sum(axis=1)
        normal = rng.standard_normal((draws, len(self.rate)))
        # Centred, so that the mean over the draws is the rate itself.
        rates = self.rate * np.exp(normal @ self.root.T - spread / 2.0)
        left = rng.exponential(size=(len(age), draws))
        edges = np.arange(len(self.rate) + 1, dtype=float)
        out = np.empty((len(age), draws))
        for draw, rate in enumerate(rates):
            spent = np.concatenate([[0.0], np.cumsum(rate)])
            beyond = np.maximum(age - edges[-1], 0.0) * rate[-1]
            when = np.interp(age, edges, spent) + beyond + left[:, draw]
            inside = np.interp(when, spent, edges)
            years = inside + np.maximum(when - spent[-1], 0.0) / max(rate[-1], 1e-12) - age
            out[:, draw] = years * _YEAR
        return out

    def share_within(self, age: Array, years: float) -> float:
        """Mean chance that vehicles of these ages leave within some years, by the estimate."""
        if not len(self.rate) or not len(age):
            return 0.0
        edges = np.arange(len(self.rate) + 1, dtype=float)
        spent = np.concatenate([[0.0], np.cumsum(self.rate)])

        def hazard(at: Array) -> Array:
            return np.interp(at, edges, spent) + np.maximum(at - edges[-1], 0.0) * self.rate[-1]

        return float((-np.expm1(hazard(age) - hazard(age + years))).mean())


def constant_leaving(rate: float) -> LeavingLaw:
    """The law of a yearly share of leavers, whatever their age.

    Parameters
    ----------
    rate : float
        Share that leaves in a year, 0 to 1.

    Returns
    -------
    LeavingLaw
        Certain.
    """
    hazard = -math.log1p(-min(rate, 1.0 - 1e-9))
    values = np.array([hazard] if rate > 0 else [])
    return LeavingLaw(values, np.zeros((len(values), len(values))), 0, "fleet.toml")


def vehicle_ages(windows: pd.DataFrame, *, daily: Array, day: Array) -> Array:
    """Ages of vehicles.

    Parameters
    ----------
    windows : pandas.DataFrame
        Observation windows, with `in_service_date` and `in_service_odometer`.
    daily : ndarray, shape (n_vehicles,)
        Running [distance / d].
    day : ndarray, shape (n_vehicles,)
        Days since 1970-01-01 [d].

    Returns
    -------
    ndarray, shape (n_vehicles,)
        Years since it was new [years]: one bought used counts as as old as it takes at the fleet's median running to
        reach the odometer it came with.
    """
    since = pd.to_datetime(windows["in_service_date"]).to_numpy().astype("datetime64[D]").astype(float)
    usual = float(np.median(daily[daily > 0])) if (daily > 0).any() else math.nan
    before = windows["in_service_odometer"].to_numpy(dtype=float) / usual if usual > 0 else np.zeros(len(since))
    return np.maximum(day - since + np.nan_to_num(before), 0.0) / _YEAR


def fit_leaving(windows: pd.DataFrame, *, daily: Array) -> LeavingLaw:
    """Rate of leaving by age, from the record.

    Parameters
    ----------
    windows : pandas.DataFrame
        Observation windows of every vehicle, those that left among them.
    daily : ndarray, shape (n_vehicles,)
        Running of each [distance / d].

    Returns
    -------
    LeavingLaw
        Nobody leaves where fewer than `FEWEST_LEAVERS` were seen to.

    Notes
    -----
    Leavers and vehicle-years at each year of age, from the day the record of a vehicle begins, are Poisson with log
    rates graduated by second differences; the stiffness is that of the greatest Laplace marginal likelihood: few
    leavers give a straight line (Gompertz), many a curve of their own.

    References
    ----------
    Whittaker, Proceedings of the Edinburgh Mathematical Society 41, 1923; Green & Silverman, Nonparametric Regression
    and Generalized Linear Models, 1994, sec. 5.2.
    """
    first, last = (windows[name].to_numpy(dtype=float) for name in ("first_day", "last_day"))
    begun, ended = (vehicle_ages(windows, daily=daily, day=day) for day in (first, last))
    left = windows["retired"].to_numpy(dtype=bool) & (ended > begun)
    leavers = int(left.sum())
    if leavers < FEWEST_LEAVERS:
        return LeavingLaw(np.zeros(0), np.zeros((0, 0)), leavers, "too few")
    years = min(int(np.floor(ended.max())) + 1, _OLDEST)
    edge = np.arange(years, dtype=float)
    seen = np.minimum(ended[:, None], edge + 1.0) - np.maximum(begun[:, None], edge)
    exposure = np.maximum(seen, 0.0).sum(axis=0)
    counts = np.bincount(np.minimum(ended[left].astype(int), years - 1), minlength=years).astype(float)
    fits = [_graduated(counts, exposure, stiffness) for stiffness in _STIFFNESS]
    best = max(fits, key=lambda fit: fit[2])
    return LeavingLaw(np.exp(best[0]), best[1], leavers, "record")


def _graduated(counts: Array, exposure: Array, stiffness: float) -> tuple[Array, Array, float]:
    """Log rates of one stiffness, the root of their covariance, and the log marginal likelihood."""
    years = len(counts)
    second = np.diff(np.eye(years), n=2, axis=0) if years > 2 else np.zeros((0, years))
    # Ends that no vehicle was seen at are held by a hair, so that there is one answer.
    penalty = stiffness * second.T @ second + 1e-6 * np.eye(years)
    level = math.log(counts.sum() / exposure.sum())
    log_rate = np.full(years, level)
    for _ in range(_PASSES):
        expected = exposure * np.exp(log_rate)
        slope = counts - expected - penalty @ (log_rate - level)
        step = np.linalg.solve(np.diag(expected) + penalty, slope)
        step *= min(1.0, _LARGEST_STEP / max(float(np.abs(step).max()), 1e-12))
        log_rate = log_rate + step
        if float(np.abs(step).max()) < 1e-9:
            break
    expected = exposure * np.exp(log_rate)
    information = np.diag(expected) + penalty
    away = log_rate - level
    fit = float(counts @ log_rate - expected.sum() - away @ penalty @ away / 2.0)
    marginal = fit + (np.linalg.slogdet(penalty)[1] - np.linalg.slogdet(information)[1]) / 2.0
    values, vectors = np.linalg.eigh(np.linalg.inv(information))
    return log_rate, vectors * np.sqrt(np.maximum(values, 0.0)), float(marginal)
