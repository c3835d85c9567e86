"""A curve whose form is left free, beside the Weibull curve of the same lives.

On the operational clock the logarithm of the cumulative hazard is a straight line in log age where lives are Weibull.
The free curve bends it: a natural cubic spline, of which the straight line is a case, so that twice the difference of
the log-likelihoods has a chi-square law where the Weibull form is right (Royston & Parmar, Statistics in Medicine 21,
2002, sec. 2).
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc

from wearmodel.survival.covariance import scores_by_cluster
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.newton import Climb, Derivatives, climb
from wearmodel.survival.risk_sets import weight_at_risk
from wearmodel.survival.weibull import survival as weibull_survival

__all__ = ["FEWEST_FAILURES", "FreeCurve", "free_curve"]

Array = NDArray[Any]
#: With fewer failures bends of a curve cannot be told from chance.
FEWEST_FAILURES = 20.0
#: Failures from which the spline has two and three inner knots; one below.
_TWO_KNOTS, _THREE_KNOTS = 40.0, 100.0
#: Curves are compared where at least so many lives are under observation.
_FEWEST_LIVES = 5.0
_GRID = 81
_SMALLEST_STEP = 1e-6


@dataclass(frozen=True)
class FreeCurve:
    """A curve of free form and the Weibull curve of the same lives.

    Parameters
    ----------
    knots : ndarray, shape (n_knots,)
        Log operational age, where the model's scale is 1.
    values : ndarray, shape (n_knots,)
        Coefficients of the log cumulative hazard: constant, log age, and what bends it at each inner knot.
    line : ndarray, shape (2,)
        The same of the Weibull curve.
    deviance : float
        Twice what the free curve gains in log-likelihood.
    degrees : int
        Coefficients it has more.
    chance : float
        Of such a deviance or more, were the lives Weibull.
    age : float
        Operational age at which the two survival curves are farthest apart, the model's scale 1.
    free, weibull : float
        Survival there, on a vehicle taken at random.
    error : float
        Standard error of their difference, by vehicle.
    """

    knots: Array
    values: Array
    line: Array
    deviance: float
    degrees: int
    chance: float
    age: float
    free: float
    weibull: float
    error: float


@dataclass(frozen=True)
class _Ages:
    """Log operational ages of lives at one bound, with the spline's basis there."""

    reached: Array
    basis: Array
    slopes: Array


def _basis(log_age: Array, knots: Array) -> tuple[Array, Array]:
    """Natural cubic spline, straight beyond the outer knots, and its derivative, shape (n, n_knots)."""
    first, last = knots[0], knots[-1]
    values, slopes = [np.ones_like(log_age), log_age], [np.zeros_like(log_age), np.ones_like(log_age)]
    above = {knot: np.maximum(log_age - knot, 0.0) for knot in (first, last)}
    for knot in knots[1:-1]:
        share = (last - knot) / (last - first)
        own = np.maximum(log_age - knot, 0.0)
        values.append(own**3 - share * above[first] ** 3 - (1.0 - share) * above[last] ** 3)
        slopes.append(3.0 * (own**2 - share * above[first] ** 2 - (1.0 - share) * above[last] ** 2))
    return np.column_stack(values), np.column_stack(slopes)


class _FreeHazard:
    """Log-likelihood of lives under exp(spline) as cumulative hazard, as a function of the spline's coefficients."""

    def __init__(self, ages: tuple[Array, Array, Array], data: LifeData, rates: Array, knots: Array) -> None:
        self.data, self._rates, self._knots = data, rates, knots
        self._entry, self._low, self._high = (self._at(age, knots) for age in ages)
        self._exact, self._interval = data.exact, data.interval

    @staticmethod
    def _at(age: Array, knots: Array) -> _Ages:
        reached = age > 0
        log_age = np.log(np.where(reached, age, 1.0))
        return _Ages(reached, *_basis(log_age, knots))

    def basis(self, log_age: Array) -> Array:
        """The spline's basis at some ages, shape (n, n_knots)."""
        return _basis(log_age, self._knots)[0]

    def _hazard(self, at: _Ages, values: Array) -> Array:
        size = len(values)
        with np.errstate(over="ignore"):
            return np.where(at.reached, self._rates * np.exp(at.basis[:, :size] @ values), 0.0)

    def scores(self, values: Array) -> tuple[Array, Array, Array]:
        """Log-likelihood (n,), gradient (n, n_values) of each life, and the Hessian of their weighted sum.

        With fewer values than the basis has columns, of the law without the last of them.
        """
        size, weight = len(values), self.data.weight
        entry, low, high = (self._hazard(at, values) for at in (self._entry, self._low, self._high))
        bends = [at.basis[:, :size] for at in (self._entry, self._low, self._high)]
        slope = self._low.slopes[:, :size] @ values
        exact, between = self._exact, self._interval
        steep = np.where(exact, slope, 1.0)
        gap = np.where(between, high - low, 1.0)
        with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
            value = entry - low + np.where(exact, bends[1] @ values + np.log(self._rates) + np.log(steep), 0.0)
            value += np.where(between, np.log(-np.expm1(-gap)), 0.0)
            inverse = np.where(between, 1.0 / np.expm1(gap), 0.0)
        relative = np.where(exact[:, None], self._low.slopes[:, :size] / steep[:, None], 0.0)
        gap_slope = high[:, None] * bends[2] - low[:, None] * bends[1]
        gradient = entry[:, None] * bends[0] - low[:, None] * bends[1]
        gradient += np.where(exact[:, None], bends[1] + relative, 0.0) + inverse[:, None] * gap_slope
        hessian = bends[0].T @ ((weight * entry)[:, None] * bends[0])
        hessian -= bends[1].T @ ((weight * (low + inverse * low))[:, None] * bends[1])
        hessian += bends[2].T @ ((weight * inverse * high)[:, None] * bends[2])
        hessian -= relative.T @ (weight[:, None] * relative)
        hessian -= gap_slope.T @ ((weight * inverse * (1.0 + inverse))[:, None] * gap_slope)
        impossible = (exact & (slope <= 0)) | (between & (high <= low))
        return np.where(impossible, -np.inf, value), gradient, hessian

    def __call__(self, values: Array) -> Derivatives:
        each, gradient, hessian = self.scores(values)
        used = self.data.weight > 0
        return Derivatives(float(each[used] @ self.data.weight[used]), self.data.weight @ gradient, hessian)


def _knots(at: Array, weight: Array) -> Array:
    """Outer knots at the first and the last failure, inner ones at quantiles of the failures between."""
    failures = float(weight.sum())
    inner = 1 + (failures >= _TWO_KNOTS) + (failures >= _THREE_KNOTS)
    order = np.argsort(at, kind="stable")
    share = (np.cumsum(weight[order]) - 0.5 * weight[order]) / failures
    knots = np.interp(np.arange(inner + 2) / (inner + 1.0), share, at[order])
    knots[0], knots[-1] = at.min(), at.max()
    return np.unique(knots)


def free_curve(model: ComponentModel, data: LifeData, *, rates: Array | None = None) -> FreeCurve | None:
    """Fit a curve of free form to lives, and the Weibull curve beside it.

    Parameters
    ----------
    model : ComponentModel
        Whose effects of duty, height and groups stretch the clock; its own shape and scale are not used.
    data : LifeData
        Lives of known age, coded as the model is; `weight`, late entry and intervals count.
    rates : ndarray, shape (n_vehicles,), optional
        Expected frailty of each vehicle, by its index; 1 when missing.

    Returns
    -------
    FreeCurve or None
        None with fewer than 20 failures, where they fall on too few ages, or where the fit finds no top.

    Notes
    -----
    Effects of covariates and frailties are held where the model has them, for both curves alike. The standard error of
    the difference allows for both curves resting on the same lives: influence of each life on both, summed by vehicle.
    """
    failed = data.exact | data.interval
    if data.failures < FEWEST_FAILURES:
        return None
    ages = data.operational_ages(np.array(model.values[:-1]))
    middle = np.where(data.interval, 0.5 * (ages[1] + ages[2]), ages[1])
    used = failed & (middle > 0) & (data.weight > 0)
    knots = _knots(np.log(middle[used]), data.weight[used])
    if len(knots) < 3:
        return None
    hazard = _FreeHazard(ages, data, np.ones(data.lives) if rates is None else rates[data.cluster], knots)
    straight = climb(hazard, np.array([0.0, math.exp(model.values[-1])]))
    bent = climb(hazard, np.append(straight.values, np.zeros(len(knots) - 2)))
    if not (_at_top(straight.at_top) and _at_top(bent.at_top)):
        return None
    deviance = max(2.0 * (bent.at_top.value - straight.at_top.value), 0.0)
    apart = _Apart(hazard, straight, bent, model.frailty_variance)
    grid = _grid(knots, entry=ages[0], end=ages[2], weight=data.weight)
    free, weibull = (apart.survival(one, grid) for one in (bent, straight))
    at = int(np.abs(free - weibull).argmax())
    return FreeCurve(
        knots=knots,
        values=bent.values,
        line=straight.values,
        deviance=deviance,
        degrees=len(knots) - 2,
        chance=float(chdtrc(len(knots) - 2, deviance)),
        age=float(np.exp(grid[at])),
        free=float(free[at]),
        weibull=float(weibull[at]),
        error=apart.error(grid[at : at + 1]),
    )


def _grid(knots: Array, *, entry: Array, end: Array, weight: Array) -> Array:
    """Log ages between the outer knots at which enough lives are under observation; the first where there are none."""
    grid = np.linspace(knots[0], knots[-1], _GRID)
    seen = weight_at_risk(np.exp(grid), entry, end, weight) >= _FEWEST_LIVES
    return grid[seen] if seen.any() else grid[:1]


class _Apart:
    """Survival of two curves fitted to the same lives, and how well their difference is known."""

    def __init__(
        self, hazard: _FreeHazard, straight: Climb[Derivatives], bent: Climb[Derivatives], variance: float
    ) -> None:
        self._hazard, self._fits, self._variance = hazard, (bent, straight), variance

    def _spent(self, fit: Climb[Derivatives], log_age: Array) -> Array:
        """Cumulative hazard on a vehicle of frailty 1."""
        return np.asarray(np.exp(self._hazard.basis(log_age)[:, : len(fit.values)] @ fit.values))

    def survival(self, fit: Climb[Derivatives], log_age: Array) -> Array:
        """Share still good on a vehicle taken at random."""
        return weibull_survival(self._spent(fit, log_age), shape=1.0, scale=1.0, variance=self._variance)

    def error(self, log_age: Array) -> float:
        """Standard error of the difference at one age, by vehicle."""
        change = np.zeros(self._hazard.data.lives)
        for sign, fit in zip((1.0, -1.0), self._fits, strict=True):
            row = self._hazard.basis(log_age)[0, : len(fit.values)]
            spent, good = float(self._spent(fit, log_age)[0]), float(self.survival(fit, log_age)[0])
            change -= sign * good * spent / (1.0 + self._variance * spent) * (self._influence(fit) @ row)
        return math.sqrt(float((scores_by_cluster(change[:, None], self._hazard.data.cluster) ** 2).sum()))

    def _influence(self, fit: Climb[Derivatives]) -> Array:
        """What each life does to the coefficients, shape (n_lives, n_values)."""
        _, gradient, _ = self._hazard.scores(fit.values)
        return np.asarray((self._hazard.data.weight[:, None] * gradient) @ np.linalg.inv(-fit.at_top.hessian))


def _at_top(found: Derivatives) -> bool:
    """Whether the information is positive and another step would hardly gain."""
    information = -found.hessian
    if not np.isfinite(found.value) or float(np.linalg.eigvalsh(information).min()) <= 0.0:
        return False
    return float(found.gradient @ np.linalg.solve(information, found.gradient)) < _SMALLEST_STEP
