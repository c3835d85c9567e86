"""Vehicles that wear alike: gamma frailty, one value a vehicle, integrated out.

Every hazard of a vehicle is multiplied by its own Z, gamma distributed over vehicles with mean 1 and variance
theta (Vaupel, Manton & Stallard, Demography 16, 1979; for recurrent lives Hougaard, Analysis of Multivariate
Survival Data, 2000, ch. 7 and 8). With D failures seen to the distance and cumulative hazard A of all that was
observed, Z given the record is gamma(1/theta + D, 1/theta + A): its moments give value, gradient and Hessian in
closed form. A failure between two looks adds the factor exp(-z H(low)) - exp(-z H(high)); it is integrated by
Gauss-Laguerre nodes of a gamma law with the mode of the posterior.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import digamma, gammaln, polygamma

from wearmodel.survival.families import WEIBULL, Family
from wearmodel.survival.frailty.nodes import GammaNodes, laguerre_nodes
from wearmodel.survival.life_bounds import Bound, bound_hazard, weighted_curvature
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.newton import Derivatives

__all__ = ["FrailtyLikelihood", "VehicleSums"]

Array = NDArray[Any]
_NODES = 14
_MODE_STEPS = 6
#: A gap this narrow at the mode counts as a power of z.
_NARROW = 0.5
_SMALLEST_GAP = 1e-140
_LARGEST_GAP = 600.0


@dataclass(frozen=True)
class VehicleSums(Derivatives):
    """Log-likelihood with derivatives, and what each vehicle adds: coefficients, log shape, log variance.

    Parameters
    ----------
    values : ndarray, shape (n_vehicles,)
        Log-likelihood of each vehicle.
    scores : ndarray, shape (n_vehicles, n_parameters)
        Its gradient.
    frailty : ndarray, shape (n_vehicles,)
        Expected frailty given the record.
    """

    values: Array
    scores: Array
    frailty: Array


@dataclass(frozen=True)
class _Exposure:
    """Cumulative hazard of what was observed of each vehicle, with its gradient, and the bounds it comes from."""

    total: Array
    slope: Array
    bounds: tuple[tuple[Bound, Array], ...]


@dataclass(frozen=True)
class _Moments:
    """What is known of each vehicle's frailty z given the record."""

    value: Array
    mean: Array
    variance: Array
    mean_log: Array
    variance_log: Array
    covariance: Array


class FrailtyLikelihood:
    """Log-likelihood of lives with gamma frailty by vehicle.

    Parameters
    ----------
    data : LifeData
        Lives; `cluster` is the vehicle.
    family : Family
        Life family; the hazard is multiplied, whatever the family.
    selected : bool
        Whether vehicles are in the record only because every part of theirs had survived to its entry. By default
        (a fleet) they are not, and the frailty of a vehicle is as good as new when its record begins.

    Notes
    -----
    Parameters are the coefficients of the log scale, the log shape, and the log variance of the frailty. Fractional
    weights count as fractional failures and hazards.
    """

    def __init__(self, data: LifeData, *, family: Family = WEIBULL, selected: bool = False) -> None:
        self.data, self.family, self.selected = data, family, selected
        _, self._vehicle = np.unique(data.cluster, return_inverse=True)
        self.vehicles = int(self._vehicle.max()) + 1
        self._failures = self._sums(np.where(data.exact, data.weight, 0.0))
        self._between = np.flatnonzero(data.interval & (data.weight > 0))
        self._looked, self._place = np.unique(self._vehicle[self._between], return_inverse=True)

    def __call__(self, parameters: Array) -> VehicleSums:
        """Log-likelihood, gradient and Hessian, with what each vehicle adds.

        Parameters
        ----------
        parameters : ndarray, shape (n_coefficients + 2,)
            Coefficients, log shape, log variance.

        Returns
        -------
        VehicleSums
            An `Objective` gives it.
        """
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            return self._by_vehicle(parameters)

    def _by_vehicle(self, parameters: Array) -> VehicleSums:
        inner, rate = parameters[:-1], float(np.exp(-parameters[-1]))
        exposure = self._exposure(inner)
        value, scores, hessian = self._densities(inner, exposure.bounds[0][0])
        moments = _gamma_moments(rate, self._failures, exposure.total)
        sums = _Sums(value, scores, hessian, rate)
        known = np.ones(self.vehicles, dtype=bool)
        known[self._looked] = False
        sums.add_frailty(moments, exposure.slope, known)
        mean = moments.mean.copy()
        if self._looked.size:
            mean[self._looked] = self._add_between(sums, inner, exposure)
        if self.selected:
            self._add_survival_to_entry(sums, inner)
        for bound, factor in exposure.bounds:
            pull = -mean[self._vehicle] * factor
            sums.hessian[:-1, :-1] += bound.slope.T @ ((pull * bound.second)[:, None] * bound.slope)
            sums.hessian[:-1, :-1] += weighted_curvature(self.data, bound, pull * bound.first, float(np.exp(inner[-1])))
        return sums.in_log_variance(mean)

    def _sums(self, values: Array) -> Array:
        """Sums by vehicle."""
        if values.ndim == 1:
            return np.bincount(self._vehicle, values, minlength=self.vehicles)
        return np.column_stack([self._sums(column) for column in values.T])

    def _exposure(self, inner: Array) -> _Exposure:
        """Hazard seen: to the end, or to the last good look, less what went before entry."""
        data = self.data
        everywhere = np.ones(data.lives, dtype=bool)
        end = bound_hazard(data, inner, self.family, distance=data.before_low, active=everywhere)
        bounds = [(end, data.weight)]
        if data.entered.any() and not self.selected:
            entry = bound_hazard(data, inner, self.family, distance=data.before_entry, active=data.entered)
            bounds.append((entry, -data.weight))
        total = sum((factor * bound.hazard for bound, factor in bounds), np.zeros(data.lives))
        slope = sum(
            ((factor * bound.first)[:, None] * bound.slope for bound, factor in bounds),
            np.zeros((data.lives, len(inner))),
        )
        return _Exposure(self._sums(total), self._sums(slope), tuple(bounds))

    def _densities(self, inner: Array, end: Bound) -> tuple[Array, Array, Array]:
        """Log H' + log shape - log psi - x'b of failures seen to the distance."""
        data = self.data
        shape = float(np.exp(inner[-1]))
        on = np.where(data.exact, data.weight, 0.0)
        log_first, log_slope, log_curve = self.family.slopes(end.z)[2:]
        last = data.design[data.last]
        value = on * (log_first + inner[-1] - end.z / shape - last @ inner[:-1])
        score = (on * log_slope)[:, None] * end.slope
        score[:, :-1] -= on[:, None] * (end.slope[:, :-1] / shape + last)
        score[:, -1] += on
        hessian = end.slope.T @ ((on * log_curve)[:, None] * end.slope)
        hessian += weighted_curvature(data, end, on * log_slope, shape)
        # log psi = z / shape bends only in the coefficients.
        hessian[:-1, :-1] -= weighted_curvature(data, end, on / shape, shape)[:-1, :-1]
        return self._sums(value), self._sums(score), hessian

    def _add_between(self, sums: "_Sums", inner: Array, exposure: _Exposure) -> Array:
        """Vehicles with failures between two looks; gives their expected frailty."""
        data, lives = self.data, self._between
        low = exposure.bounds[0][0]
        active = np.zeros(data.lives, dtype=bool)
        active[lives] = True
        high = bound_hazard(data, inner, self.family, distance=data.before_high, active=active)
        gap = np.maximum((high.hazard - low.hazard)[lives], _SMALLEST_GAP)
        gap_slope = high.first[lives, None] * high.slope[lives] - low.first[lives, None] * low.slope[lives]
        weight = data.weight[lives]
        looks = _Looks(self._place, len(self._looked), gap, weight)
        nodes = looks.nodes(sums.rate + self._failures[self._looked], sums.rate + exposure.total[self._looked])
        chance, value = looks.posterior(nodes)
        sums.value[self._looked] += value - _log_gamma_norm(sums.rate)
        first, second = looks.slopes(nodes.value)
        mean_first = np.einsum("ij,ij->i", chance[self._place], first)
        mean_second = np.einsum("ij,ij->i", chance[self._place], second)
        score = -nodes.value[:, :, None] * exposure.slope[self._looked][:, None, :]
        for column in range(score.shape[2]):
            for j in range(_NODES):
                score[:, j, column] += np.bincount(
                    self._place, first[:, j] * gap_slope[:, column], minlength=len(self._looked)
                )
        sums.add_nodes(self._looked, nodes, chance, score)
        pull = np.zeros(data.lives)
        pull[lives] = mean_first
        sums.hessian[:-1, :-1] += gap_slope.T @ (mean_second[:, None] * gap_slope)
        for bound, sign in ((high, 1.0), (low, -1.0)):
            sums.hessian[:-1, :-1] += bound.slope.T @ ((sign * pull * bound.second)[:, None] * bound.slope)
            sums.hessian[:-1, :-1] += weighted_curvature(
                data, bound, sign * pull * bound.first, float(np.exp(inner[-1]))
            )
        return np.einsum("ij,ij->i", chance, nodes.value)

    def _add_survival_to_entry(self, sums: "_Sums", inner: Array) -> None:
        """Divide by the chance that all parts of the vehicle survived to their entries."""
        data = self.data
        entry = bound_hazard(data, inner, self.family, distance=data.before_entry, active=data.entered)
        total = self._sums(data.weight * entry.hazard)
        slope = self._sums((data.weight * entry.first)[:, None] * entry.slope)
        rate = sums.rate
        first, second = rate / (rate + total), -rate / (rate + total) ** 2
        sums.value += rate * np.log1p(total / rate)
        sums.scores[:, :-1] += first[:, None] * slope
        sums.scores[:, -1] += np.log1p(total / rate) - total / (rate + total)
        sums.hessian[:-1, :-1] += slope.T @ (second[:, None] * slope)
        sums.hessian[:-1, -1] += slope.T @ (total / (rate + total) ** 2)
        sums.hessian[-1, -1] += float((-(total**2) / (rate * (rate + total) ** 2)).sum())
        pull = first[self._vehicle] * data.weight
        sums.hessian[:-1, :-1] += entry.slope.T @ ((pull * entry.second)[:, None] * entry.slope)
        sums.hessian[:-1, :-1] += weighted_curvature(data, entry, pull * entry.first, float(np.exp(inner[-1])))


def _gamma_moments(rate: float, failures: Array, exposure: Array) -> _Moments:
    """Closed form: z given the record is gamma(rate + failures, rate + exposure)."""
    after, speed = rate + failures, rate + exposure
    mean = after / speed
    return _Moments(
        value=_log_rising(rate, failures) - after * np.log1p(exposure / rate),
        mean=mean,
        variance=mean / speed,
        mean_log=digamma(after) - np.log(speed),
        variance_log=polygamma(1, after),
        covariance=1.0 / speed,
    )


def _log_rising(rate: float, failures: Array) -> Array:
    """Log of Gamma(rate + D) / (Gamma(rate) rate^D), without cancellation for small whole D."""
    whole = np.round(failures)
    most = int(whole.max(initial=0))
    if most <= 10_000 and np.array_equal(whole, failures):
        steps = np.concatenate([[0.0], np.cumsum(np.log1p(np.arange(most) / rate))])
        return np.asarray(steps[whole.astype(np.intp)])
    return np.asarray(gammaln(rate + failures) - gammaln(rate) - failures * np.log(rate))


def _log_gamma_norm(rate: float) -> float:
    """Log of Gamma(rate) / rate^rate."""
    return float(gammaln(rate) - rate * np.log(rate))


class _Sums:
    """Value, scores and Hessian in the coefficients, the log shape and the rate 1 / theta."""

    def __init__(self, value: Array, scores: Array, hessian: Array, rate: float) -> None:
        self.rate = rate
        self.value = value
        size = scores.shape[1] + 1
        self.scores = np.column_stack([scores, np.zeros(len(value))])
        self.hessian = np.zeros((size, size))
        self.hessian[:-1, :-1] = hessian
        # First and second derivative, in the rate, of what the gamma density has without z.
        self._constant = np.log(rate) + 1.0 - digamma(rate)
        self._bend = 1.0 / rate - polygamma(1, rate)

    def add_frailty(self, moments: _Moments, slope: Array, known: Array) -> None:
        """Vehicles in closed form: what varies with z is -z A and the gamma density."""
        mean, variance = moments.mean[known], moments.variance[known]
        cross = moments.covariance[known] - variance
        own = slope[known]
        self.value[known] += moments.value[known]
        self.scores[known, :-1] -= mean[:, None] * own
        self.scores[known, -1] += self._constant + moments.mean_log[known] - mean
        self.hessian[:-1, :-1] += own.T @ (variance[:, None] * own)
        self.hessian[:-1, -1] -= own.T @ cross
        spread = moments.variance_log[known] - moments.covariance[known] - cross
        self.hessian[-1, -1] += float((self._bend + spread).sum())

    def add_nodes(self, places: Array, nodes: GammaNodes, chance: Array, score: Array) -> None:
        """Vehicles by nodes: the spread of the scores over what z may be."""
        mean = np.einsum("ij,ijk->ik", chance, score)
        steep = self._constant + nodes.log - nodes.value
        rate_mean = np.einsum("ij,ij->i", chance, steep)
        self.scores[places, :-1] += mean
        self.scores[places, -1] += rate_mean
        centred = score - mean[:, None, :]
        even = (centred * np.sqrt(chance)[:, :, None]).reshape(-1, score.shape[2])
        self.hessian[:-1, :-1] += even.T @ even
        self.hessian[:-1, -1] += np.einsum("ij,ij,ijk->k", chance, steep - rate_mean[:, None], centred)
        rest = self._constant - nodes.value
        square = nodes.log_square + 2.0 * rest * nodes.log + rest**2
        self.hessian[-1, -1] += float((chance * square).sum() - (rate_mean**2).sum()) + self._bend * len(places)

    def in_log_variance(self, frailty: Array) -> VehicleSums:
        """From the rate 1 / theta to log theta."""
        scores, hessian = self.scores, self.hessian
        scores[:, -1] *= -self.rate
        hessian[-1, -1] = hessian[-1, -1] * self.rate**2 - float(scores[:, -1].sum())
        hessian[:-1, -1] *= -self.rate
        hessian[-1, :-1] = hessian[:-1, -1]
        return VehicleSums(float(self.value.sum()), scores.sum(axis=0), hessian, self.value, scores, frailty)


class _Looks:
    """Failures between two looks: each adds w log(1 - exp(-z gap)) to its vehicle.

    Parameters
    ----------
    place : ndarray of int, shape (n_failures,)
        Vehicle of each, counted among the vehicles that have any.
    vehicles : int
        Number of those.
    gap, weight : ndarray, shape (n_failures,)
        Cumulative hazard between the looks; weight.
    """

    def __init__(self, place: Array, vehicles: int, gap: Array, weight: Array) -> None:
        self._place, self._vehicles, self._gap, self._weight = place, vehicles, gap, weight

    def _sums(self, values: Array) -> Array:
        return np.bincount(self._place, values, minlength=self._vehicles)

    def _pull(self, frailty: Array) -> Array:
        """Derivative of log(1 - exp(-z gap)) in log z: 1 for a narrow gap, 0 for a wide one."""
        u = np.clip(frailty[self._place] * self._gap, _SMALLEST_GAP, _LARGEST_GAP)
        return np.asarray(u / np.expm1(u))

    def nodes(self, power: Array, speed: Array) -> GammaNodes:
        """Values of z, with log weights that make sums over them the vehicle's likelihood.

        The law of the nodes has the power of z that narrow gaps come to, and the mode of the posterior.
        """
        mode = (power + self._sums(self._weight)) / (speed + self._sums(self._weight * self._gap))
        for _ in range(_MODE_STEPS):
            pull = self._pull(mode)
            u = mode[self._place] * self._gap
            bend = pull * (1.0 - pull - u)
            rise = power - speed * mode + self._sums(self._weight * pull)
            curve = speed * mode - self._sums(self._weight * bend)
            mode = mode * np.exp(np.clip(rise / curve, -2.0, 2.0))
        full = power + self._sums(np.where(self._pull(mode) > _NARROW, self._weight, 0.0))
        law_speed = full / mode
        nodes = laguerre_nodes(full, law_speed, _NODES)
        log_rest = (power - full)[:, None] * np.log(nodes.value) - (speed - law_speed)[:, None] * nodes.value
        scale = gammaln(full) - full * np.log(law_speed)
        return replace(nodes, log_weight=nodes.log_weight + log_rest + scale[:, None])

    def posterior(self, nodes: GammaNodes) -> tuple[Array, Array]:
        """Chances of the nodes given the record, shape (n_vehicles, n_nodes), and the log of the integral."""
        u = np.maximum(nodes.value[self._place] * self._gap[:, None], _SMALLEST_GAP)
        terms = self._weight[:, None] * np.log(-np.expm1(-u))
        total = nodes.log_weight + np.column_stack([self._sums(column) for column in terms.T])
        top = total.max(axis=1, keepdims=True)
        scaled = np.exp(total - top)
        sums = scaled.sum(axis=1)
        return scaled / sums[:, None], top[:, 0] + np.log(sums)

    def slopes(self, nodes: Array) -> tuple[Array, Array]:
        """First and second derivative of each term in its gap, at each node."""
        z = nodes[self._place]
        u = np.clip(z * self._gap[:, None], _SMALLEST_GAP, _LARGEST_GAP)
        odds = 1.0 / np.expm1(u)
        weight = self._weight[:, None]
        return weight * z * odds, -weight * z**2 * odds * (1.0 + odds)
