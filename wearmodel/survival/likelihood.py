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

from wearmodel.survival.constant_lives import ConstantLives, Sums
from wearmodel.survival.families import Family
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.newton import Derivatives
from wearmodel.survival.stretched_lives import StretchedLives

__all__ = ["Evaluation", "LifeLikelihood", "evaluate"]

Array = NDArray[Any]


@dataclass(frozen=True)
class Evaluation(Derivatives):
    """Log-likelihood and derivatives at one parameter vector: coefficients of the log scale, then the log shape.

    Parameters
    ----------
    by_segment : ndarray, shape (n_segments,)
        Derivative of the log-likelihood in the x'b of each segment.
    by_shape : ndarray, shape (n_lives,)
        Derivative of each life in the log shape.
    data : LifeData
        The lives.
    """

    by_segment: Array
    by_shape: Array
    data: LifeData

    @cached_property
    def scores(self) -> Array:
        """Gradient of each life, weighted, shape (n_lives, n_parameters); worked out when asked for."""
        own = self.by_segment[:, None] * self.data.design
        if len(own) != self.data.lives:
            own = np.add.reduceat(own, self.data.start, axis=0)
        return np.column_stack([own, self.by_shape])


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
        self._data = data
        many = np.diff(data.start, append=len(data.life)) > 1
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
        with np.errstate(over="ignore", invalid="ignore"):
            sums = [part(parameters) for _, part in self._parts]
        by_segment, by_shape = sums[0].by_segment, sums[0].by_shape
        if len(sums) > 1:
            by_segment, by_shape = self._in_order(sums)
        return Evaluation(
            value=sum(part.value for part in sums),
            gradient=np.sum([part.gradient for part in sums], axis=0),
            hessian=np.sum([part.hessian for part in sums], axis=0),
            by_segment=by_segment,
            by_shape=by_shape,
            data=self._data,
        )

    def _in_order(self, sums: list[Sums]) -> tuple[Array, Array]:
        """Derivatives by segment and by life, of both parts, in the order of the lives."""
        by_segment, by_shape = np.empty(len(self._data.life)), np.empty(self._data.lives)
        for (lives, _), part in zip(self._parts, sums, strict=True):
            if lives is not None:
                by_segment[self._data.segments_of(lives)] = part.by_segment
                by_shape[lives] = part.by_shape
        return by_segment, by_shape


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
