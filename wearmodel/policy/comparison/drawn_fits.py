"""One Weibull law fitted to many sets of weights of the same lives at once (NumPy alone).

The likelihood is that of `wearmodel.survival.likelihood`, written out for lives in which one covariate of 0 or 1
changes at most: with eta the x'b of all others, a the effect of that one, d0 and d1 the distance run with 0 and 1,

    log psi = -eta + log(d0 + d1 exp(-a)),    H = psi^shape,

so that all derivatives hang on three numbers a life, and a Newton step of five hundred bootstrap draws is a few sums.
Five hundred separate fits of each component would take longer than the rest of a plan.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.one_thread import one_thread
from wearmodel.survival.life_data import LifeData

__all__ = ["DrawnWeights", "drawn_tops"]

Array = NDArray[Any]
# Newton steps square their error: after one of a thousandth of a log unit a millionth is left.
_MOST_STEPS, _LONGEST_STEP, _CONVERGED = 12, 0.7, 1e-3
_AT_ONCE = 64
#: Lives that are worked out together with these sets: their derivatives stay in the processor's cache.
_LIVES_AT_ONCE = 2048
_LARGEST = 500.0


@dataclass(frozen=True)
class DrawnWeights:
    """Weight of each life in each of many sets, told by what it is made of: as one table it would fill the memory.

    Parameters
    ----------
    own : ndarray, shape (n_lives,)
        Weight of each life in all sets.
    cell : ndarray of int, shape (n_lives,)
        Which cell a life is in.
    of_cell : ndarray, shape (n_sets, n_cells)
        Weight of the cells in each set.
    vehicle : ndarray of int, shape (n_lives,)
        Which vehicle a life is of.
    times : ndarray, shape (n_sets, n_vehicles)
        How often each vehicle is in each set.
    scale : ndarray, shape (n_sets,)
        Factor of each set.
    """

    own: Array
    cell: Array
    of_cell: Array
    vehicle: Array
    times: Array
    scale: Array

    @property
    def sets(self) -> int:
        """Number of sets."""
        return len(self.times)

    def of(self, sets: Array, lives: slice) -> Array:
        """Weights of some lives in some sets.

        Parameters
        ----------
        sets : ndarray of int, shape (n_chosen_sets,)
            Which sets.
        lives : slice
            Which lives.

        Returns
        -------
        ndarray, shape (n_chosen_sets, n_chosen_lives)
            Weights.
        """
        out = self.of_cell[np.ix_(sets, self.cell[lives])]
        out *= self.times[np.ix_(sets, self.vehicle[lives])]
        out *= self.scale[sets, None]
        out *= self.own[lives]
        return out

    def scaled(self, total: float) -> "DrawnWeights":
        """The same, each set scaled so that its weights without `own` sum to so much over `own`.

        Parameters
        ----------
        total : float
            What the sums are to be.

        Returns
        -------
        DrawnWeights
            With `scale` set.
        """
        sums, every = np.zeros(self.sets), np.arange(self.sets)
        bare = replace(self, own=np.ones(len(self.own)), scale=np.ones(self.sets))
        for at in range(0, len(self.own), _LIVES_AT_ONCE):
            part = slice(at, at + _LIVES_AT_ONCE)
            sums += bare.of(every, part) @ self.own[part]
        return replace(self, scale=total / sums)

    def some(self, sets: slice) -> "DrawnWeights":
        """Some of the sets.

        Parameters
        ----------
        sets : slice
            Which.

        Returns
        -------
        DrawnWeights
            Of those alone.
        """
        return replace(self, of_cell=self.of_cell[sets], times=self.times[sets], scale=self.scale[sets])


@dataclass(frozen=True)
class _Age:
    """Distance run by one age of some lives (entry, low or high), with 0 and with 1."""

    plain: Array
    changed: Array

    def only(self, lives: "Array | slice") -> "_Age":
        return _Age(self.plain[lives], self.changed[lives])


@dataclass
class _Sums:
    """Derivatives of each draw and life in (eta, a, log shape): gradient and the upper half of the Hessian."""

    gradient: list[Array]
    hessian: dict[tuple[int, int], Array]

    def add(self, lives: Array, gradient: list[Array], hessian: dict[tuple[int, int], Array]) -> None:
        for total, part in zip(self.gradient, gradient, strict=True):
            total[:, lives] += part
        for key, part in hessian.items():
            self.hessian[key][:, lives] += part


@dataclass(frozen=True)
class _Lives:
    """Some lives as the steps need them: distances, covariates without the one that changes, that one, kinds of end."""

    ages: dict[str, _Age]
    rows: Array
    raised: Array
    entered: Array
    exact: Array
    interval: Array

    def part(self, at: slice) -> "_Lives":
        """Neighbouring ones of the lives."""
        ages = {name: age.only(at) for name, age in self.ages.items()}
        return _Lives(
            ages, self.rows[at], self.raised[at], self.entered[at], self.exact[at], self.interval[at]
        )


def drawn_tops(data: LifeData, *, weights: DrawnWeights, start: Array, precision: Array) -> Array:
    """Parameters at which the likelihood of each set of weights is highest.

    Parameters
    ----------
    data : LifeData
        Lives; the second covariate is 0 or 1 and may change within a life, the others may not. Ages in units in which
        the scale is about 1; its own weights are not used.
    weights : DrawnWeights
        Weight of each life in each set.
    start : ndarray, shape (n_parameters,)
        Coefficients and log shape to begin from, near all tops.
    precision : ndarray, shape (n_parameters,)
        Of a normal prior with mean 0 on each.

    Returns
    -------
    ndarray, shape (n_sets, n_parameters)
        By Newton steps; no parameter moves by more than 0.7 in one.
    """
    raised = data.design[:, 1]
    ages = {
        name: _Age(*(np.add.reduceat(run * share, data.start) for share in (1.0 - raised, raised)))
        for name, run in (("entry", data.before_entry), ("low", data.before_low), ("high", data.before_high))
    }
    rows = np.delete(data.design[data.last], 1, axis=1)
    lives = _Lives(ages, rows, raised[data.last], data.entered, data.exact, data.interval)
    sets = [slice(at, at + _AT_ONCE) for at in range(0, weights.sets, _AT_ONCE)]
    with one_thread():
        return np.vstack([_tops(lives, weights.some(some), start, precision) for some in sets])


def _tops(lives: _Lives, weights: DrawnWeights, start: Array, precision: Array) -> Array:
    """The tops of some of the sets."""
    parts = [slice(at, at + _LIVES_AT_ONCE) for at in range(0, len(lives.rows), _LIVES_AT_ONCE)]
    values = np.tile(start, (weights.sets, 1))
    still = np.arange(weights.sets)
    for _ in range(_MOST_STEPS):
        gradient, hessian = _derivatives_of_sets(lives.part(parts[0]), weights.of(still, parts[0]), values[still])
        for at in parts[1:]:
            further = _derivatives_of_sets(lives.part(at), weights.of(still, at), values[still])
            gradient += further[0]
            hessian += further[1]
        equations = _newton_equations(gradient, hessian, values[still], precision)
        step = np.linalg.solve(*equations)[:, :, 0]
        longest = np.abs(step).max(axis=1)
        values[still] += step * np.minimum(1.0, _LONGEST_STEP / np.maximum(longest, 1e-12))[:, None]
        still = still[longest >= _CONVERGED]
        if not len(still):
            break
    return values


def _derivatives_of_sets(lives: _Lives, weights: Array, values: Array) -> tuple[Array, Array]:
    """Gradient and Hessian of each set over some lives."""
    sums, rows = _derivatives(lives, values), lives.rows
    products = np.einsum("ni,nj->nij", rows, rows).reshape(len(rows), -1)
    sets, others = len(weights), rows.shape[1]
    # Order of the parameters: the intercept, the one that changes, the other covariates, the log shape.
    place = np.concatenate([[0], np.arange(2, others + 1)])
    last = others + 1
    gradient = np.zeros((sets, others + 2))
    gradient[:, place] = (weights * sums.gradient[0]) @ rows
    gradient[:, 1] = (weights * sums.gradient[1]).sum(axis=1)
    gradient[:, last] = (weights * sums.gradient[2]).sum(axis=1)
    hessian = np.zeros((sets, others + 2, others + 2))
    hessian[:, place[:, None], place] = ((weights * sums.hessian[0, 0]) @ products).reshape(sets, others, others)
    for number, at in ((1, 1), (2, last)):
        beside = (weights * sums.hessian[0, number]) @ rows
        hessian[:, place, at] = beside
        hessian[:, at, place] = beside
        hessian[:, at, at] = (weights * sums.hessian[number, number]).sum(axis=1)
    hessian[:, 1, last] = hessian[:, last, 1] = (weights * sums.hessian[1, 2]).sum(axis=1)
    return gradient, hessian


def _newton_equations(gradient: Array, hessian: Array, values: Array, precision: Array) -> tuple[Array, Array]:
    """Information and gradient of each set, the prior included."""
    information = np.diag(precision) - hessian
    # Far from the top the surface may curve upwards: lean on its steepness there.
    eigenvalues, vectors = np.linalg.eigh(information)
    safe = np.maximum(np.abs(eigenvalues), 1e-8 * np.abs(eigenvalues).max(axis=1, keepdims=True))
    information = (vectors * safe[:, None, :]) @ vectors.transpose(0, 2, 1)
    return information, (gradient - precision * values)[:, :, None]


def _derivatives(lives: _Lives, values: Array) -> _Sums:
    """Sums over the terms of each life."""
    ages, raised = lives.ages, lives.raised
    eta = np.delete(values[:, :-1], 1, axis=1) @ lives.rows.T
    effect, log_shape = values[:, 1:2], values[:, -1:]
    entered, exact, interval = (np.flatnonzero(one) for one in (lives.entered, lives.exact, lives.interval))
    low = _hazard(ages["low"], eta, effect, log_shape)
    sums = _Sums([-part for part in low[0]], {key: -part for key, part in low[1].items()})
    if len(entered):
        sums.add(entered, *_hazard(ages["entry"].only(entered), eta[:, entered], effect, log_shape))
    if len(exact):
        sums.add(exact, *_log_rate(ages["low"].only(exact), eta[:, exact], effect, log_shape, raised[exact]))
    if len(interval):
        high = _hazard(ages["high"].only(interval), eta[:, interval], effect, log_shape)
        first = [part[:, interval] for part in low[0]], {key: part[:, interval] for key, part in low[1].items()}
        sums.add(interval, *_between(first, high, ages, interval, eta, effect, log_shape))
    return sums


def _log_age(age: _Age, eta: Array, effect: Array) -> tuple[Array, Array]:
    """Log operational age, and the share of it that was run with 1."""
    changed = age.changed * np.exp(-effect)
    both = np.maximum(age.plain + changed, 1e-300)
    return np.log(both) - eta, changed / both


Parts = tuple[list[Array], dict[tuple[int, int], Array]]


def _chain(
    share: Array, by_age: Array, by_age_twice: Array, mixed: Array, by_shape: Array, by_shape_twice: Array
) -> Parts:
    """From derivatives in the log age and the log shape to those in (eta, a, log shape)."""
    gradient = [-by_age, -share * by_age, by_shape]
    hessian = {
        (0, 0): by_age_twice,
        (0, 1): share * by_age_twice,
        (0, 2): -mixed,
        (1, 1): share**2 * by_age_twice + share * (1.0 - share) * by_age,
        (1, 2): -share * mixed,
        (2, 2): by_shape_twice,
    }
    return gradient, hessian


def _hazard(age: _Age, eta: Array, effect: Array, log_shape: Array) -> Parts:
    """Derivatives of the cumulative hazard psi^shape."""
    log_age, share = _log_age(age, eta, effect)
    shape = np.exp(log_shape)
    power = shape * log_age
    hazard = np.exp(np.minimum(power, np.log(_LARGEST)))
    return _chain(
        share, shape * hazard, shape**2 * hazard, shape * hazard * (1.0 + power), power * hazard,
        power * hazard * (1.0 + power),
    )  # fmt: skip


def _log_rate(age: _Age, eta: Array, effect: Array, log_shape: Array, raised: Array) -> Parts:
    """Derivatives of log shape + (shape - 1) log psi - x'b."""
    log_age, share = _log_age(age, eta, effect)
    shape = np.exp(log_shape)
    nothing = np.zeros_like(log_age)
    gradient, hessian = _chain(
        share, shape - 1.0 + nothing, nothing, shape + nothing, 1.0 + shape * log_age, shape * log_age
    )
    gradient[0] = gradient[0] - 1.0
    gradient[1] = gradient[1] - raised
    return gradient, hessian


def _between(
    low: Parts, high: Parts, ages: dict[str, _Age], lives: Array, eta: Array, effect: Array, log_shape: Array
) -> Parts:
    """Derivatives of log(1 - exp(-(H(high) - H(low))))."""
    shape = np.exp(log_shape)
    spent = []
    for name in ("low", "high"):
        log_age, _ = _log_age(ages[name].only(lives), eta[:, lives], effect)
        spent.append(np.exp(np.minimum(shape * log_age, np.log(_LARGEST))))
    rise = np.maximum(spent[1] - spent[0], 1e-12)
    pull = 1.0 / np.expm1(np.minimum(rise, _LARGEST))
    first = [upper - lower for upper, lower in zip(high[0], low[0], strict=True)]
    gradient = [pull * part for part in first]
    hessian = {
        (i, j): pull * (high[1][i, j] - low[1][i, j]) - pull * (1.0 + pull) * first[i] * first[j]
        for i, j in high[1]
    }
    return gradient, hessian
