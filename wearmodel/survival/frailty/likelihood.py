"""Vehicles that wear alike: gamma frailty, one value a vehicle, integrated out.

Every hazard of a vehicle is multiplied by its own Z, gamma distributed over vehicles with mean 1 and variance
theta (Vaupel, Manton & Stallard, Demography 16, 1979; for recurrent lives Hougaard, Analysis of Multivariate
Survival Data, 2000, ch. 7 and 8). With D failures seen to the distance and cumulative hazard A of all that was
observed, Z given the record is gamma(1/theta + D, 1/theta + A): its moments give value, gradient and Hessian in
closed form. A failure between two looks adds the factor exp(-z H(low)) - exp(-z H(high)); it is integrated by
Gauss-Laguerre nodes of a gamma law with the mode of the posterior.

The gradient is the posterior mean of the lives' scores for a given z, the Hessian that of their Hessians plus the
variance of the vehicles' scores (Louis, Journal of the Royal Statistical Society B 44, 1982). So the lives are passed
over as without a frailty, with posterior means as weights, and what varies with z is left to sums by vehicle.
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import digamma, polygamma

from wearmodel.survival.covariance import numbered
from wearmodel.survival.families import WEIBULL, Family
from wearmodel.survival.frailty.blocks import Block, cut_into_blocks
from wearmodel.survival.frailty.closed_form import Moments, log_gamma_norm
from wearmodel.survival.frailty.constant_records import ConstantRecords, Room
from wearmodel.survival.frailty.nodes import StandardNodes
from wearmodel.survival.frailty.records import Pull, Record, Seen, Totals
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import ByLife
from wearmodel.survival.newton import Derivatives

__all__ = ["FrailtyLikelihood", "VehicleSums"]

Array = NDArray[Any]


@dataclass(frozen=True)
class VehicleSums(Derivatives):
    """Log-likelihood with derivatives, and what each vehicle adds: coefficients, log shape, log variance.

    Parameters
    ----------
    values : ndarray, shape (n_vehicles,)
        Log-likelihood of each vehicle.
    frailty : ndarray, shape (n_vehicles,)
        Expected frailty given the record.
    by_log_variance : ndarray, shape (n_vehicles,)
        Derivative of each vehicle in the log variance.
    by_life : list of list of ByLife
        Derivatives of the lives, block by block.
    likelihood : FrailtyLikelihood
        What was evaluated.
    """

    values: Array
    frailty: Array
    by_log_variance: Array
    by_life: list[list[ByLife]]
    likelihood: "FrailtyLikelihood"

    @cached_property
    def scores(self) -> Array:
        """Gradient of each vehicle, shape (n_vehicles, n_parameters); worked out when asked for."""
        out = np.empty((len(self.gradient), len(self.values)))
        for block, by_life in zip(self.likelihood.blocks, self.by_life, strict=True):
            parts = [part.scores(one) for part, one in zip(block.parts, by_life, strict=True)]
            out[:-1, block.vehicles] = parts[0] if len(parts) == 1 else np.sum(parts, axis=0)
        out[-1] = self.by_log_variance
        return out.T


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
        vehicle = numbered(data.cluster)
        self.vehicles = int(vehicle.max()) + 1
        self._selected, self._columns = selected, data.design.shape[1]
        self.blocks = list(cut_into_blocks(data, vehicle, family=family, selected=selected))
        constant = [len(part.weight) for block in self.blocks for part in block.parts if _is_constant(part)]
        self._room = Room(self._columns, max(constant, default=0))

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
        work = _Work(parameters, self.vehicles, selected=self._selected)
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            by_life = []
            for block in self.blocks:
                records: list[Record] = [
                    part.at(work.inner, self._room) if isinstance(part, ConstantRecords) else part.at(work.inner)
                    for part in block.parts
                ]
                pulls = work.add(block, _together([record.seen for record in records], block), records)
                by_life.append([record.add(pull, work.totals) for record, pull in zip(records, pulls, strict=True)])
            return work.in_log_variance(by_life, self)


def _is_constant(part: object) -> bool:
    return isinstance(part, ConstantRecords)


def _together(seen: list[Seen], block: Block) -> Seen:
    """What the parts of a block tell together, failures between two looks in the order of their vehicles."""
    if len(seen) == 1:
        return seen[0]
    return Seen(
        density=np.sum([one.density for one in seen], axis=0),
        exposure=np.sum([one.exposure for one in seen], axis=0),
        slope=np.sum([one.slope for one in seen], axis=0),
        at_entry=np.sum([one.at_entry for one in seen], axis=0),
        entry_slope=np.sum([one.entry_slope for one in seen], axis=0),
        gap=np.concatenate([one.gap for one in seen])[block.order],
        gap_slope=np.concatenate([one.gap_slope for one in seen], axis=1)[:, block.order],
    )


class _Work:
    """Running sums over blocks, in the coefficients, the log shape and the rate 1 / theta."""

    def __init__(self, parameters: Array, vehicles: int, *, selected: bool) -> None:
        self.inner, self.rate, self._selected = parameters[:-1], float(np.exp(-parameters[-1])), selected
        self.totals = Totals.of(len(self.inner))
        self.values, self.frailty, self._steep = np.empty(vehicles), np.empty(vehicles), np.empty(vehicles)
        self._mixed, self._curve = np.zeros(len(self.inner)), 0.0
        self._standard = StandardNodes()
        # First and second derivative, in the rate, of what the gamma density has without z.
        self._constant = float(np.log(self.rate) + 1.0 - digamma(self.rate))
        self._bend = float(1.0 / self.rate - polygamma(1, self.rate))
        self._norm = log_gamma_norm(self.rate)

    def add(self, block: Block, seen: Seen, records: list[Record]) -> list[Pull]:
        """What varies with the frailty of a block's vehicles; gives the weights of their lives' own derivatives."""
        moments = block.counts.moments(self.rate, seen.exposure)
        first = second = np.zeros(0)
        if len(block.looked):
            first, second = self._add_looks(block, seen, moments)
        entry = moments.mean
        # The scores are -z times the exposure's slopes and what the gamma density has.
        self.totals.hessian += (seen.slope * moments.variance) @ seen.slope.T
        self._mixed -= seen.slope @ moments.cross
        self._curve += float(moments.bend.sum()) + self._bend * len(moments.bend)
        at = block.vehicles
        self.values[at] = moments.value + seen.density
        self.frailty[at] = moments.mean
        self._steep[at] = moments.steep + self._constant
        if self._selected:
            entry = self._add_survival_to_entry(block, seen)
        by_part = _by_part(first, second, block, [len(record.seen.gap) for record in records])
        return [Pull(moments.mean, entry, *own) for own in by_part]

    def _add_looks(self, block: Block, seen: Seen, moments: Moments) -> tuple[Array, Array]:
        """Moments of vehicles with failures between two looks; gives the weights of the gaps."""
        looked = block.looked
        spread = block.looks.spread(
            seen.gap, self.rate + block.failures[looked], self.rate + seen.exposure[looked], self._standard
        )
        moments.value[looked] = spread.value - self._norm
        for name in ("mean", "variance", "steep", "cross", "bend"):
            getattr(moments, name)[looked] = getattr(spread, name)
        self.totals.hessian += block.looks.curvature(spread, seen.slope.take(looked, axis=1), seen.gap_slope)
        self._mixed += seen.gap_slope @ spread.with_steep
        return spread.first, spread.second

    def _add_survival_to_entry(self, block: Block, seen: Seen) -> Array:
        """Divide by the chance that all parts of each vehicle survived to their entries."""
        rate, total, slope, at = self.rate, seen.at_entry, seen.entry_slope, block.vehicles
        speed = rate + total
        self.values[at] += rate * np.log1p(total / rate)
        self._steep[at] += np.log1p(total / rate) - total / speed
        self.totals.hessian -= (slope * (rate / speed**2)) @ slope.T
        self._mixed += slope @ (total / speed**2)
        self._curve -= float((total**2 / (rate * speed**2)).sum())
        return np.asarray(rate / speed)

    def in_log_variance(self, by_life: list[list[ByLife]], likelihood: FrailtyLikelihood) -> VehicleSums:
        """From the rate 1 / theta to log theta."""
        by_log_variance = -self.rate * self._steep
        slope = float(by_log_variance.sum())
        size = len(self.inner) + 1
        hessian = np.empty((size, size))
        hessian[:-1, :-1] = self.totals.hessian
        hessian[-1, :-1] = hessian[:-1, -1] = -self.rate * self._mixed
        hessian[-1, -1] = self._curve * self.rate**2 - slope
        return VehicleSums(
            value=float(self.values.sum()),
            gradient=np.append(self.totals.gradient, slope),
            hessian=hessian,
            values=self.values,
            frailty=self.frailty,
            by_log_variance=by_log_variance,
            by_life=by_life,
            likelihood=likelihood,
        )


def _by_part(first: Array, second: Array, block: Block, many: list[int]) -> list[tuple[Array, Array]]:
    """Weights of the gaps part by part, each in the order of its lives."""
    if len(many) == 1:
        return [(first, second)]
    both = np.empty((2, len(first)))
    both[:, block.order] = first, second
    return [(one, other) for one, other in np.split(both, np.cumsum(many)[:-1], axis=1)]
