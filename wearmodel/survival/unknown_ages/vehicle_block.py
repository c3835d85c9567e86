"""Some vehicles that differ by a gamma frailty, with lives of known and unknown age.

A vehicle's frailty Z, gamma with mean 1 and variance theta, multiplies the hazard of all its lives: a Weibull scale e
becomes e Z^(-1/k). Given Z = z its lives are independent:

    known age      + log z + log h - z H   failed;   - z H   censored;   + z H at entry
                   - z H low + log(1 - exp(-z (H high - H low)))   failed between two looks
    unknown age    the forward-recurrence law (`wearmodel.survival.unknown_ages.recurrence_terms`) of scale e z^(-1/k)

and the vehicle adds the logarithm of the mean over Z. A life of weight w counts w times within its vehicle: with
chances as weights the failures and hazards of a vehicle are expected ones. Entry of known-age lives is an entry of the
life, not of the vehicle: what a vehicle's lives before records say about Z enters through the lives of unknown age.
"""

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix
from scipy.special import digamma, gammaln, polygamma

from wearmodel.survival.life_clocks import Clock, curvature, log_distance, run_clock, slopes_by_life
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.unknown_ages.block_sums import MixedDerivatives, Posterior, Reach
from wearmodel.survival.unknown_ages.gamma_nodes import gamma_nodes
from wearmodel.survival.unknown_ages.lives import UnknownAges
from wearmodel.survival.unknown_ages.recurrence_terms import (
    SHAPE,
    RecurrenceTables,
    Terms,
    recurrence_terms,
    recurrence_values,
)

__all__ = ["NEAR", "VehicleBlock"]

Array = NDArray[Any]
_LARGEST_Z = 300.0
_ROUNDS = 3
_LEAST_SHARE = 0.4
#: Gamma laws of the nodes are rounded to this ratio of their shape, so that vehicles share rules.
_RULE_STEP = 0.05
NEAR = 0.1
"""A vehicle's nodes stay while no parameter moves by more: value and gradient then agree to rounding, not only to the
error of the quadrature, and Newton's last steps are judged rightly."""


@dataclass(frozen=True)
class _Known:
    """Lives of known age at one parameter vector; rows of derivatives are of (coefficients, log shape)."""

    clocks: "tuple[Clock, Clock, Clock]"
    hazards: "tuple[Array, Array, Array]"
    constant: Array
    spent: Array


@dataclass(frozen=True)
class _Unknown:
    """Lives of unknown age at one parameter vector."""

    clocks: "tuple[Clock, Clock, Clock]"
    logs: Array
    predictor: Array
    tables: RecurrenceTables


@dataclass(frozen=True)
class _Nodes:
    """Frailties of each vehicle that are summed over, and the chance of each, shape (n_vehicles, n_nodes)."""

    value: float
    z: Array
    chance: Array

    def posterior(self) -> Posterior:
        mean = (self.chance * self.z).sum(axis=1)
        return Posterior(self.value, mean, (self.chance * (self.z - mean[:, None]) ** 2).sum(axis=1))


class VehicleBlock:
    """Lives of some vehicles, gathered by vehicle.

    Parameters
    ----------
    data : LifeData
        Lives of known age.
    unknown : UnknownAges
        Lives of unknown age.
    nodes : int
        Points of the quadrature for each vehicle.

    Notes
    -----
    The nodes of a vehicle are those of a gamma law with about the slope and curvature of its integrand near the mode
    (`wearmodel.survival.unknown_ages.gamma_nodes`); for lives of known age without intervals that is the posterior law,
    and the value is exact. Gradient and Hessian are means over the posterior of Z: of the derivatives given Z, and
    their covariance (Louis, Finding the Observed Information Matrix when Using the EM Algorithm, JRSS B 44, 1982).
    """

    def __init__(self, data: LifeData, unknown: UnknownAges, *, nodes: int) -> None:
        self.data, self.unknown, self.nodes = data, unknown, nodes
        _, index = np.unique(np.concatenate([data.cluster, unknown.cluster]), return_inverse=True)
        self.vehicles = int(index.max()) + 1 if len(index) else 0
        self._known_of, self._unknown_of = index[: data.lives], index[data.lives :]
        self._between = np.flatnonzero(data.interval)
        self._sum_known = self._adder(self._known_of)
        self._sum_between = self._adder(self._known_of[self._between])
        self._sum_unknown = self._adder(self._unknown_of)
        self._failed = np.where(data.exact, data.weight, 0.0)
        self._seen_failed = np.where(unknown.exact, unknown.weight, 0.0)
        self._failures = self._sum_known @ self._failed
        # Vehicles whose posterior is not a gamma law.
        self._mixed = np.zeros(self.vehicles, dtype=bool)
        self._mixed[self._unknown_of] = True
        self._mixed[self._known_of[self._between]] = True
        self._kept: tuple[Array, Array, Array] | None = None

    def _adder(self, vehicle: Array) -> csr_matrix:
        count = len(vehicle)
        return csr_matrix((np.ones(count), (vehicle, np.arange(count))), shape=(self.vehicles, count))

    def reach(self, values: Array) -> Reach:
        """How far a table has to go at one parameter vector; parameters as in `derivatives`."""
        lives, data, shape = self.unknown, self.data, _shape(values)
        if not lives.lives:
            return Reach(1.0, 1.0, 0.0, 1.0, 0)
        precision = math.exp(-float(values[-1]))
        pace = np.exp(-(data.design @ values[:-2]))
        entry, low = (np.exp(np.minimum(shape * log_distance(data, pace, run), _LARGEST_Z))
                      for run in (data.before_entry, data.before_low))  # fmt: skip
        spent = self._sum_known @ (data.weight * (low - entry))
        law = precision + self._failures + self._sum_unknown @ lives.weight
        pace = np.exp(-(lives.design @ values[:-2]))
        runs = lives.before, lives.to_low, lives.to_high
        before, to_low, to_high = (log_distance(lives, pace, run) for run in runs)
        return Reach(
            oldest=float(np.exp(before.max())),
            longest=float(np.exp(max(to_low.max(), to_high.max()))),
            rate=float((lives.renewals / np.exp(before)).max()),
            frailest=float(((law + 5.0 * np.sqrt(law) + 15.0) / (precision + spent)).max()),
            lives=lives.lives,
        )

    def has_nodes_of(self, values: Array) -> bool:
        """Whether the nodes are those chosen at one parameter vector."""
        return self._kept is not None and np.array_equal(self._kept[0], values)

    def take_nodes_of(self, values: Array, tables: RecurrenceTables) -> None:
        """Choose the nodes anew at one parameter vector; parameters as in `derivatives`."""
        self._kept, shape = None, _shape(values)
        self._laws(values, self._known(values, shape), self._unknown(values, tables), shape)

    def derivatives(self, values: Array, tables: RecurrenceTables) -> MixedDerivatives:
        """Log-likelihood with all derivatives.

        Parameters
        ----------
        values : ndarray, shape (n_coefficients + 2,)
            Coefficients of the log scale, log shape and log variance of the frailty.
        tables : RecurrenceTables
            Of that shape.

        Returns
        -------
        MixedDerivatives
            Of the vehicles of the block, in the order of their indices.
        """
        shape, precision = _shape(values), math.exp(-float(values[-1]))
        known, unknown = self._known(values, shape), self._unknown(values, tables)
        shapes, rates = self._laws(values, known, unknown, shape)
        z, weights = self._points(shapes, rates)
        between, of_gaps = self._between_looks(known, z)
        terms = self._given(unknown, tables.with_neighbours() if self.unknown.lives else tables, z)
        nodes = self._weighed(known, unknown, (shapes, rates), z, weights, of_gaps, terms.value, precision)
        return self._integrated(known, between, unknown, terms, nodes, shape, precision)

    def posterior(self, values: Array, tables: RecurrenceTables) -> Posterior:
        """What the record says of each vehicle's frailty, without derivatives; parameters as in `derivatives`."""
        shape, precision = _shape(values), math.exp(-float(values[-1]))
        known, unknown = self._known(values, shape), self._unknown(values, tables)
        shapes, rates = self._laws(values, known, unknown, shape)
        z, weights = self._points(shapes, rates)
        of_gaps = self._between_looks(known, z)[1]
        of_unknown = self._given_values(unknown, z)
        return self._weighed(known, unknown, (shapes, rates), z, weights, of_gaps, of_unknown, precision).posterior()

    def _known(self, values: Array, k: float) -> _Known:
        """What lives of known age add: constant - z * spent, and log z for each failure."""
        data = self.data
        predictor = data.design @ values[:-2]
        pace = np.exp(-predictor)
        entry, low, high = (
            run_clock(data, pace, distance) for distance in (data.before_entry, data.before_low, data.before_high)
        )
        at = [np.exp(np.minimum(k * clock.log_psi, _LARGEST_Z)) for clock in (entry, low, high)]
        return _Known(
            clocks=(entry, low, high),
            hazards=(at[0], at[1], at[2]),
            constant=self._failed * (math.log(k) + (k - 1.0) * low.log_psi - predictor[data.last]),
            spent=data.weight * (at[1] - at[0]),
        )

    def _known_slopes(self, known: _Known, k: float) -> "tuple[Array, Array]":
        """Derivatives of the constant and of what is spent of lives of known age."""
        data, failed, (entry, low, _), at = self.data, self._failed, known.clocks, known.hazards
        logs = low.log_psi
        slope = slopes_by_life((low,), np.stack([(k - 1.0) * failed, failed * (1.0 + k * logs)]))
        slope[:, :-1] -= failed[:, None] * data.design[data.last]
        gone = np.stack([k * at[1], -k * at[0], k * (at[1] * logs - at[0] * entry.log_psi)]) * data.weight
        return slope, slopes_by_life((low, entry), gone)

    def _unknown(self, values: Array, tables: RecurrenceTables) -> _Unknown:
        """Clocks of lives of unknown age."""
        lives = self.unknown
        predictor = lives.design @ values[:-2]
        pace = np.exp(-predictor)
        clocks = [run_clock(lives, pace, distance) for distance in (lives.before, lives.to_low, lives.to_high)]
        logs = np.stack([clock.log_psi for clock in clocks])
        return _Unknown((clocks[0], clocks[1], clocks[2]), logs, predictor, tables)

    def _given_values(self, unknown: _Unknown, z: Array) -> Array:
        """Values alone of `_given`."""
        lives, tables, nodes = self.unknown, unknown.tables, z.shape[1]
        moved = (np.log(z) / tables.middle.shape)[self._unknown_of].ravel()
        exact, interval, renewals = (np.repeat(one, nodes) for one in (lives.exact, lives.interval, lives.renewals))
        logs = np.repeat(unknown.logs, nodes, axis=1) + moved
        value = recurrence_values(tables, logs, renewals, exact=exact, interval=interval)
        return np.asarray((value + exact * moved).reshape(lives.lives, nodes))

    def _given(self, unknown: _Unknown, tables: RecurrenceTables, z: Array) -> Terms:
        """Lives of unknown age given frailties, shape (n_lives, n_nodes), derivatives at fixed frailty."""
        lives, k = self.unknown, tables.middle.shape
        count, nodes = lives.lives, z.shape[1]
        moved = (np.log(z) / k)[self._unknown_of].ravel()
        exact, interval, renewals = (np.repeat(one, nodes) for one in (lives.exact, lives.interval, lives.renewals))
        terms = recurrence_terms(
            tables, np.repeat(unknown.logs, nodes, axis=1) + moved, renewals, exact=exact, interval=interval
        )
        # Distances in units of e z^(-1/k) move with the shape; a density is per unit of the unscaled clock.
        first, second = terms.first, terms.second
        on = exact * moved
        distances, pairs = first[:SHAPE].sum(axis=0), second[:SHAPE, :SHAPE].sum(axis=0)
        mixed = second[SHAPE, :SHAPE].sum(axis=0)
        first[SHAPE] -= moved * distances + on
        second[SHAPE, SHAPE] += moved**2 * pairs.sum(axis=0) - 2.0 * moved * mixed + moved * distances + on
        second[SHAPE, :SHAPE] -= moved * pairs
        second[:SHAPE, SHAPE] = second[SHAPE, :SHAPE]
        shape = (count, nodes)
        return Terms((terms.value + on).reshape(shape), first.reshape(4, *shape), second.reshape(4, 4, *shape))

    def _laws(self, values: Array, known: _Known, unknown: _Unknown, k: float) -> "tuple[Array, Array]":
        """Shape and rate of each vehicle's gamma law of nodes."""
        precision = math.exp(-float(values[-1]))
        shape = precision + self._failures
        rate = precision + self._sum_known @ known.spent
        if self._mixed.any():
            if self._kept is None or np.abs(values - self._kept[0]).max() > NEAR:
                self._kept = (values.copy(), *self._matched_laws(known, unknown, k, shape, rate))
            shape = np.where(self._mixed, self._kept[1], shape)
            rate = np.where(self._mixed, self._kept[2], rate)
        return shape, rate

    def _matched_laws(
        self, known: _Known, unknown: _Unknown, k: float, own_shape: Array, own_rate: Array
    ) -> "tuple[Array, Array]":
        """Gamma laws that have the integrand's mode in log z and, about, its curvature there."""
        lives, weight, of = self.unknown, self.data.weight[self._between], self._known_of[self._between]
        gap = (known.hazards[2] - known.hazards[1])[self._between]
        failed = self._sum_unknown @ np.where(lives.exact | lives.interval, lives.weight, 0.0)
        failed += self._sum_between @ weight
        log_mode = np.log(own_shape / own_rate)
        for _ in range(_ROUNDS):
            mode = np.exp(log_mode)
            terms = self._given(unknown, unknown.tables, mode[:, None])
            slope = (terms.first[:SHAPE].sum(axis=0)[:, 0] + lives.exact) / k * lives.weight
            bend = terms.second[:SHAPE, :SHAPE].sum(axis=(0, 1))[:, 0] / k**2 * lives.weight
            y = np.clip(mode[of] * gap, 1e-300, _LARGEST_Z)
            share = y / np.expm1(y)
            uphill = own_shape - own_rate * mode + self._sum_unknown @ slope + self._sum_between @ (weight * share)
            curved = self._sum_unknown @ bend + self._sum_between @ (weight * share * (1.0 - y - share))
            curved = own_rate * mode - np.minimum(curved, 0.0)
            log_mode += np.clip(uphill / curved, -1.0, 1.0)
        # Not far below the power of z that the integrand has at 0.
        shape = np.maximum(curved, _LEAST_SHARE * (own_shape + failed))
        shape = np.exp(np.round(np.log(shape) / _RULE_STEP) * _RULE_STEP)
        return shape, shape / np.exp(log_mode)

    def _points(self, shape: Array, rate: Array) -> "tuple[Array, Array]":
        """Nodes of gamma laws, and their weights."""
        points, weights = gamma_nodes(shape, nodes=self.nodes)
        return points / rate[:, None], weights

    def _weighed(
        self, known: _Known, unknown: _Unknown, laws: "tuple[Array, Array]", z: Array, weights: Array, of_gaps: Array,
        of_unknown: Array, precision: float,
    ) -> _Nodes:  # fmt: skip
        """Chance of each node given the record, and the log-likelihood."""
        shape, rate = laws
        log_z = np.log(z)
        spent = self._sum_known @ known.spent
        # Integrand over the density of the nodes' law.
        logs = (precision + self._failures - shape)[:, None] * log_z - (precision + spent - rate)[:, None] * z
        logs += (precision * math.log(precision) - gammaln(precision) + gammaln(shape) - shape * np.log(rate))[:, None]
        logs += (self._sum_known @ known.constant)[:, None]
        logs += of_gaps
        jump = self._sum_unknown @ (unknown.predictor[self.unknown.last] * self._seen_failed)
        logs += self._sum_unknown @ (of_unknown * self.unknown.weight[:, None]) - jump[:, None]
        logs += np.log(weights)
        most = logs.max(axis=1, keepdims=True)
        chance = np.exp(logs - most)
        total = chance.sum(axis=1, keepdims=True)
        chance /= total
        return _Nodes(float((most + np.log(total)).sum()), z, chance)

    def _integrated(
        self, known: _Known, between: Array, unknown: _Unknown, terms: Terms, nodes: _Nodes, k: float, precision: float
    ) -> MixedDerivatives:
        """Mean over the frailty of each vehicle, with derivatives."""
        z, chance = nodes.z, nodes.chance
        slopes = self._slopes(known, between, unknown, terms, z, precision)
        scores = np.einsum("vn,vnp->vp", chance, slopes)
        flat = slopes.reshape(-1, slopes.shape[2])
        hessian = flat.T @ (chance.reshape(-1, 1) * flat) - scores.T @ scores
        hessian[:-1, :-1] += self._known_curvature(known, between, k, z, chance)
        hessian[:-1, :-1] += self._unknown_curvature(unknown, terms, chance)
        hessian[-1, -1] += precision * float((chance * self._variance_slope(z, precision)).sum())
        hessian[-1, -1] += self.vehicles * (precision - precision**2 * float(polygamma(1, precision)))
        told = nodes.posterior()
        return MixedDerivatives(
            told.value, scores.sum(axis=0), hessian, scores, told.frailty, told.frailty_spread
        )

    @staticmethod
    def _variance_slope(z: Array, precision: float) -> Array:
        """Derivative of the log density of the frailty in 1 / theta."""
        return math.log(precision) + 1.0 - float(digamma(precision)) + np.log(z) - z

    def _between_looks(self, known: _Known, z: Array) -> "tuple[Array, Array]":
        """log(1 - exp(-z gap)) of failures between two looks: derivative in the gap, and the sum by vehicle."""
        rows = self._between
        gap = (known.hazards[2] - known.hazards[1])[rows, None]
        own = z[self._known_of[rows]]
        y = np.clip(own * gap, 1e-300, _LARGEST_Z)
        value = np.log(-np.expm1(-y)) * self.data.weight[rows, None]
        return own / np.expm1(y), self._sum_between @ value

    def _gap_slopes(self, known: _Known, k: float) -> "tuple[tuple[Clock, Clock], Array, Array]":
        """Bounds of the failures between two looks, derivatives of their gap in hazard."""
        rows = self._between
        clocks = tuple(Clock(clock.log_psi[rows], clock.slope[rows], clock.share) for clock in known.clocks[1:])
        low, high = (-known.hazards[1][rows], known.hazards[2][rows])
        logs = [clock.log_psi for clock in clocks]
        first = np.stack([k * low, k * high, k * (low * logs[0] + high * logs[1])])
        second = np.zeros((3, 3, len(rows)))
        for i, (hazard, log) in enumerate(zip((low, high), logs, strict=True)):
            second[i, i] = k * k * hazard
            second[i, 2] = second[2, i] = k * hazard * (1.0 + k * log)
            second[2, 2] += k * hazard * log * (1.0 + k * log)
        return (clocks[0], clocks[1]), first, second

    def _slopes(
        self, known: _Known, between: Array, unknown: _Unknown, terms: Terms, z: Array, precision: float
    ) -> Array:
        """Derivatives of each vehicle's log-likelihood given frailties, shape (n_vehicles, n_nodes, n_parameters)."""
        lives, k = self.unknown, unknown.tables.middle.shape
        of_constant, of_spent = self._known_slopes(known, k)
        out = np.empty((*z.shape, of_constant.shape[1] + 1))
        constant, spent = self._sum_known @ of_constant, self._sum_known @ of_spent
        constant[:, :-1] -= self._sum_unknown @ (self._seen_failed[:, None] * lives.design[lives.last])
        clocks, first, _ = self._gap_slopes(known, k)
        gap = slopes_by_life(clocks, first * self.data.weight[self._between])
        for n in range(z.shape[1]):
            out[:, n, :-1] = constant - z[:, n, None] * spent
            if len(self._between):
                out[:, n, :-1] += self._sum_between @ (between[:, n, None] * gap)
            if lives.lives:
                rows = slopes_by_life(unknown.clocks, terms.first[:, :, n] * lives.weight)
                out[:, n, :-1] += self._sum_unknown @ rows
        out[:, :, -1] = -precision * self._variance_slope(z, precision)
        return out

    def _known_curvature(self, known: _Known, between: Array, k: float, z: Array, chance: Array) -> Array:
        """Mean of the second derivatives of the lives of known age."""
        data, rows = self.data, self._between
        mean = (chance * z).sum(axis=1)[self._known_of] * data.weight
        first, second = np.zeros((3, data.lives)), np.zeros((3, 3, data.lives))
        for i, sign in enumerate((1.0, -1.0)):
            logs, spent = known.clocks[i].log_psi, sign * mean * known.hazards[i]
            failed = self._failed if i == 1 else np.zeros(data.lives)
            first[i] = (k - 1.0) * failed + k * spent
            second[i, i] = k * k * spent
            second[i, 2] = second[2, i] = k * failed + k * spent * (1.0 + k * logs)
            second[2, 2] += k * failed * logs + k * spent * logs * (1.0 + k * logs)
        if len(rows):
            weight, own, share = data.weight[rows], z[self._known_of[rows]], chance[self._known_of[rows]]
            slope = (share * between).sum(axis=1) * weight
            bend = -(share * between * (own + between)).sum(axis=1) * weight
            _, gap, gap_bend = self._gap_slopes(known, k)
            total = slope * gap_bend + bend * gap[:, None] * gap[None, :]
            whole, spread = np.zeros((4, data.lives)), np.zeros((4, 4, data.lives))
            low, low_high = np.array([0, 1, 3]), np.array([1, 2, 3])
            whole[low], spread[np.ix_(low, low)] = first, second
            whole[low_high[:, None], rows] += slope * gap
            spread[low_high[:, None, None], low_high[:, None], rows] += total
            return curvature(data, known.clocks, whole, spread)
        return curvature(data, known.clocks[:2], first, second)

    def _unknown_curvature(self, unknown: _Unknown, terms: Terms, chance: Array) -> Array:
        """Mean of the second derivatives of the lives of unknown age."""
        share = chance[self._unknown_of] * self.unknown.weight[:, None]
        first, second = (terms.first * share).sum(axis=-1), (terms.second * share).sum(axis=-1)
        return curvature(self.unknown, unknown.clocks, first, second)


def _shape(values: Array) -> float:
    return math.exp(min(float(values[-2]), 10.0))
