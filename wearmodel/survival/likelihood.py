"""Log-likelihood of lives with its exact gradient, Hessian and scores.

Each distance driven counts by exp(-x'b), so the operational age of a part is
psi = sum over its segments of distance * exp(-x'b), and z = shape * log(psi). A life gives

    + H(z at entry)                                          if it entered late
    - H(z)                                                   censored
    log h(z) - H(z) + log shape - log psi - x'b              failed, seen to the distance
    - H(z low) + log(1 - exp(-(H(z high) - H(z low))))       failed between two looks

(Lawless, Statistical Models and Methods for Lifetime Data, 2nd ed. 2003, sec. 2.4 and 6.3; for the
stretched clock Cox & Oakes, Analysis of Survival Data, 1984, sec. 5.2).
"""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.one_thread import one_thread
from wearmodel.survival.constant_lives import ConstantLives, Sums
from wearmodel.survival.families import Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.newton import Derivatives
from wearmodel.survival.stretched_lives import StretchedLives

__all__ = ["ByLife", "Evaluation", "LifeLikelihood", "evaluate"]

Array = NDArray[Any]


@dataclass(frozen=True)
class Evaluation(Derivatives):
    """Log-likelihood and derivatives at one parameter vector: coefficients of the log scale, then the log shape.

    Parameters
    ----------
    parameters : ndarray, shape (n_parameters,)
        The parameter vector.
    likelihood : LifeLikelihood
        What was evaluated.
    """

    parameters: Array
    likelihood: "LifeLikelihood"

    @property
    def by_life(self) -> "ByLife":
        """What the scores are made of, without a row of them for each life."""
        return self.likelihood.by_life(self.parameters)

    @cached_property
    def scores(self) -> Array:
        """Gradient of each life, weighted, shape (n_lives, n_parameters); worked out when asked for."""
        found, data = self.by_life, self.likelihood.data
        own = found.segment[:, None] * data.design
        if len(own) != data.lives:
            own = np.add.reduceat(own, data.start, axis=0)
        return np.column_stack([own, found.shape])


@dataclass(frozen=True)
class ByLife:
    """First derivatives before they are summed, weighted.

    Parameters
    ----------
    segment : ndarray, shape (n_segments,)
        In the x'b of each segment.
    shape : ndarray, shape (n_lives,)
        In the log shape.
    """

    segment: Array
    shape: Array


class LifeLikelihood:
    """Log-likelihood of one set of lives, ready to be evaluated many times.

    Parameters
    ----------
    data : LifeData
        Lives. Those of one segment take a shorter way than those whose covariates change.
    family : Family
        Life family.
    unit : float
        Ages are counted in it [distance]: the intercept and the densities are per unit.
    """

    def __init__(self, data: LifeData, family: Family, *, unit: float = 1.0) -> None:
        log_unit = float(np.log(unit))
        self.data = data
        self._latest: tuple[Array, ByLife] | None = None
        many = _has_several_segments(data)
        if not many.any():
            self._parts: list[tuple[Array | None, ConstantLives | StretchedLives]] = [
                (None, ConstantLives(data, family, log_unit))
            ]
        elif many.all():
            self._parts = [(None, StretchedLives(data, family, log_unit))]
        else:
            plain, rest = np.flatnonzero(~many), np.flatnonzero(many)
            self._parts = [
                (plain, ConstantLives(data.subset(plain), family, log_unit)),
                (rest, StretchedLives(data.subset(rest), family, log_unit)),
            ]

    def __call__(self, parameters: Array) -> Evaluation:
        """Log-likelihood, gradient and Hessian.

        Parameters
        ----------
        parameters : ndarray, shape (n_coefficients + 1,)
            Coefficients of the log scale [log unit], then the log shape.

        Returns
        -------
        Evaluation
            All at once: the terms share the costly exponentials. Far from any sensible parameters some
            derivatives overflow to infinity; the caller steps back from there.
        """
        # Those of the parameters before are of no use any more: large data has no room for both.
        self._latest = None
        with np.errstate(over="ignore", invalid="ignore"), one_thread():
            sums = [part(parameters) for _, part in self._parts]
        parameters = np.array(parameters, dtype=float)
        self._latest = (parameters, self._in_order(sums))
        return Evaluation(
            value=sum(part.value for part in sums),
            gradient=np.sum([part.gradient for part in sums], axis=0),
            hessian=np.sum([part.hessian for part in sums], axis=0),
            parameters=parameters,
            likelihood=self,
        )

    def by_life(self, parameters: Array) -> ByLife:
        """First derivatives by segment and by life.

        Parameters
        ----------
        parameters : ndarray, shape (n_coefficients + 1,)
            As above; those of the latest call cost nothing.

        Returns
        -------
        ByLife
            In the order of the lives.
        """
        if self._latest is None or not np.array_equal(self._latest[0], parameters, equal_nan=True):
            self(parameters)
        assert self._latest is not None
        return self._latest[1]

    def _in_order(self, sums: list[Sums]) -> ByLife:
        """The derivatives of the parts in the order of the lives."""
        if len(sums) == 1:
            return ByLife(sums[0].by_segment, sums[0].by_shape)
        by_segment, by_shape = np.empty(len(self.data.life)), np.empty(self.data.lives)
        for (lives, _), part in zip(self._parts, sums, strict=True):
            if lives is not None:
                by_segment[self.data.segments_of(lives)] = part.by_segment
                by_shape[lives] = part.by_shape
        return ByLife(by_segment, by_shape)


def _has_several_segments(data: LifeData) -> Array:
    if len(data.life) == data.lives:
        return np.zeros(1, dtype=bool)
    return np.diff(data.start, append=len(data.life)) > 1


def evaluate(data: LifeData, parameters: Array, family: Family) -> Evaluation:
    """Log-likelihood, gradient, Hessian and scores.

    Parameters
    ----------
    data : LifeData
        Lives.
    parameters : ndarray, shape (n_coefficients + 1,)
        Coefficients of the log scale [log distance], then the log shape.
    family : Family
        Life family.

    Returns
    -------
    Evaluation
        See `LifeLikelihood`, which is quicker for several parameter vectors.
    """
    return LifeLikelihood(data, family)(parameters)
