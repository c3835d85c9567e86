"""One Weibull law fitted to many sets of weights of the same lives at once (NumPy alone).

Five hundred separate fits of each component would take longer than the rest of a plan. Lives in which the one covariate
that may change does not (nearly all) are told by the logarithms of their ages: with psi = age exp(-x'b), H = psi^k and
p = k log psi, all derivatives are those of sums of H, p H and p^2 H over lives of equal covariates, so that a Newton
step is a few sums by cells of covariates. Lives in which it changes go by `changing_lives`.
"""

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.one_thread import one_thread
from wearmodel.policy.comparison.changing_lives import (
    LARGEST_SPENT,
    DrawnLives,
    build_drawn_lives,
    derivatives_of_sets,
)
from wearmodel.survival.life_data import LifeData

__all__ = ["DrawnWeights", "drawn_tops"]

Array = NDArray[Any]
# Newton steps square their error: after one of a thousandth of a log unit a millionth is left.
_MOST_STEPS, _LONGEST_STEP, _CONVERGED = 12, 0.7, 1e-3
_AT_ONCE = 64
#: Lives that are worked out together with these sets: their derivatives stay in the processor's cache.
_LIVES_AT_ONCE = 2048
_SMALLEST_RISE = 1e-12


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

    def in_order(self, order: Array) -> "DrawnWeights":
        """The same with the lives in another order.

        Parameters
        ----------
        order : ndarray of int, shape (n_lives,)
            Which life comes when.

        Returns
        -------
        DrawnWeights
            Of the same sets.
        """
        return replace(self, own=self.own[order], cell=self.cell[order], vehicle=self.vehicle[order])

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
class _Steady:
    """Lives in which no covariate changes, those of equal covariates side by side.

    Parameters
    ----------
    table : ndarray, shape (n_cells, n_coefficients)
        Covariates of each cell.
    cell : ndarray of int, shape (n_lives,)
        Cell of each life, ascending.
    logs : dict of str to ndarray, shape (n_lives,)
        Logarithms of the ages at `entry`, `low` and `high`.
    entered, exact, interval : ndarray of bool, shape (n_lives,)
        As in `LifeData`.
    """

    table: Array
    cell: Array
    logs: dict[str, Array]
    entered: Array
    exact: Array
    interval: Array


@dataclass
class _Totals:
    """Sums of each set: by cell those that go with the covariates, over all lives those in the log shape alone.

    With x the covariates of a cell the gradient is -k x `by_age`, the Hessian k^2 x x' `by_age_twice` and, with the log
    shape, -k x `mixed`.
    """

    by_age: Array
    by_age_twice: Array
    mixed: Array
    by_shape: Array
    by_shape_twice: Array

    def add(self, cell: Array, by_age: Array, by_age_twice: Array, mixed: Array) -> None:
        """Add lives whose cells ascend."""
        first = np.flatnonzero(np.diff(cell, prepend=-1))
        totals = self.by_age, self.by_age_twice, self.mixed
        for total, part in zip(totals, (by_age, by_age_twice, mixed), strict=True):
            total[:, cell[first]] += np.add.reduceat(part, first, axis=1)


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
    lives = build_drawn_lives(data)
    table, cell = _cells(lives.design)
    changes = lives.changes
    order = np.lexsort((cell, changes))
    steady, changing = np.split(order, [int(np.count_nonzero(~changes))])
    logs = {
        name: np.log(np.maximum(age.plain + age.changed, 1e-300))[steady] for name, age in lives.ages.items()
    }
    parts = _Steady(
        table, cell[steady], logs, lives.entered[steady], lives.exact[steady], lives.interval[steady]
    ), lives.part(changing)
    ordered = weights.in_order(order)
    with one_thread():
        return np.vstack(
            [_tops(*parts, ordered.some(slice(at, at + _AT_ONCE)), start, precision)
             for at in range(0, weights.sets, _AT_ONCE)]
        )  # fmt: skip


def _cells(design: Array) -> tuple[Array, Array]:
    """Distinct rows, and which of them each row is."""
    # Distinct rows have distinct keys but for chance, and that is looked for.
    key = design @ np.sqrt(np.arange(2.0, design.shape[1] + 2.0) + 1.0 / 3.0)
    _, first, cell = np.unique(key, return_index=True, return_inverse=True)
    if not (design[first[cell]] == design).all():
        table, cell = np.unique(design, axis=0, return_inverse=True)
        return table, cell.ravel()
    return design[first], cell


def _tops(steady: _Steady, changing: DrawnLives, weights: DrawnWeights, start: Array, precision: Array) -> Array:
    """The tops of some of the sets."""
    values = np.tile(start, (weights.sets, 1))
    still = np.arange(weights.sets)
    for step in range(_MOST_STEPS):
        # All begin from one place: its hazards are worked out once.
        here = values[:1] if step == 0 else values[still]
        gradient, hessian = _steady_derivatives(steady, weights, still, here)
        for at in range(len(steady.cell), len(weights.own), _LIVES_AT_ONCE):
            part = slice(at, at + _LIVES_AT_ONCE)
            mine = changing.part(slice(at - len(steady.cell), at - len(steady.cell) + _LIVES_AT_ONCE))
            further = derivatives_of_sets(mine, weights.of(still, part), values[still])
            gradient += further[0]
            hessian += further[1]
        equations = _newton_equations(gradient, hessian, values[still], precision)
        move = np.linalg.solve(*equations)[:, :, 0]
        longest = np.abs(move).max(axis=1)
        values[still] += move * np.minimum(1.0, _LONGEST_STEP / np.maximum(longest, 1e-12))[:, None]
        still = still[longest >= _CONVERGED]
        if not len(still):
            break
    return values


def _steady_derivatives(lives: _Steady, weights: DrawnWeights, sets: Array, values: Array) -> tuple[Array, Array]:
    """Gradient and Hessian of each set; parameters of each, or one row of them for all."""
    count, cells = len(sets), len(lives.table)
    totals = _Totals(
        np.zeros((count, cells)), np.zeros((count, cells)), np.zeros((count, cells)), np.zeros(count), np.zeros(count)
    )
    predictor, shape = values[:, :-1] @ lives.table.T, np.exp(values[:, -1:])
    for at in range(0, len(lives.cell), _LIVES_AT_ONCE):
        part = slice(at, min(at + _LIVES_AT_ONCE, len(lives.cell)))
        _add_block(totals, lives, part, weights.of(sets, part), predictor, shape)
    size = values.shape[1]
    gradient, hessian = np.empty((count, size)), np.empty((count, size, size))
    gradient[:, :-1], gradient[:, -1] = -shape * (totals.by_age @ lives.table), totals.by_shape
    products = np.einsum("ci,cj->cij", lives.table, lives.table).reshape(cells, -1)
    hessian[:, :-1, :-1] = (shape**2 * (totals.by_age_twice @ products)).reshape(count, size - 1, size - 1)
    hessian[:, :-1, -1] = hessian[:, -1, :-1] = -shape * (totals.mixed @ lives.table)
    hessian[:, -1, -1] = totals.by_shape_twice
    return gradient, hessian


def _add_block(
    totals: _Totals, lives: _Steady, part: slice, weights: Array, predictor: Array, shape: Array
) -> None:
    """Add some lives to the sums."""
    cell = lives.cell[part]
    entered, exact, interval = (np.flatnonzero(one[part]) for one in (lives.entered, lives.exact, lives.interval))

    def powers(name: str, chosen: Array | None = None) -> tuple[Array, Array, Array]:
        """The power k log psi = p, H and p H."""
        logs, own = (lives.logs[name][part], cell) if chosen is None else (lives.logs[name][part][chosen], cell[chosen])
        power = shape * (logs - predictor[:, own])
        spent = np.exp(np.minimum(power, np.log(LARGEST_SPENT)))
        return power, spent, power * spent

    power, spent, once = low = powers("low")
    gone, slope, bend = weights * spent, weights * once, weights * (power * once)
    totals.add(cell, -gone, -gone, -(gone + slope))
    totals.by_shape -= slope.sum(axis=1)
    totals.by_shape_twice -= (slope + bend).sum(axis=1)
    if len(entered):
        own, (power, spent, once) = weights[:, entered], powers("entry", entered)
        gone, slope, bend = own * spent, own * once, own * (power * once)
        totals.add(cell[entered], gone, gone, gone + slope)
        totals.by_shape += slope.sum(axis=1)
        totals.by_shape_twice += (slope + bend).sum(axis=1)
    if len(exact):
        own = weights[:, exact]
        slope = own * low[0][:, exact]
        totals.add(cell[exact], own, np.zeros_like(own), own)
        totals.by_shape += (own + slope).sum(axis=1)
        totals.by_shape_twice += slope.sum(axis=1)
    if len(interval):
        own = weights[:, interval]
        parts = _between([one[:, interval] for one in low], powers("high", interval))
        totals.add(cell[interval], *(own * one for one in parts[:3]))
        totals.by_shape += (own * parts[3]).sum(axis=1)
        totals.by_shape_twice += (own * parts[4]).sum(axis=1)


def _between(low: list[Array], high: tuple[Array, Array, Array]) -> tuple[Array, Array, Array, Array, Array]:
    """log(1 - exp(-(H(high) - H(low)))): what each life adds to the five sums of `_Totals`."""
    rise, once, twice = high[1] - low[1], high[2] - low[2], high[0] * high[2] - low[0] * low[2]
    pull = 1.0 / np.expm1(np.clip(rise, _SMALLEST_RISE, LARGEST_SPENT))
    bent = pull * (1.0 + pull)
    return (
        pull * rise,
        pull * rise - bent * rise**2,
        pull * (rise + once) - bent * rise * once,
        pull * once,
        pull * (once + twice) - bent * once**2,
    )


def _newton_equations(gradient: Array, hessian: Array, values: Array, precision: Array) -> tuple[Array, Array]:
    """Information and gradient of each set, the prior included."""
    information = np.diag(precision) - hessian
    # Far from the top the surface may curve upwards: lean on its steepness there.
    eigenvalues, vectors = np.linalg.eigh(information)
    safe = np.maximum(np.abs(eigenvalues), 1e-8 * np.abs(eigenvalues).max(axis=1, keepdims=True))
    information = (vectors * safe[:, None, :]) @ vectors.transpose(0, 2, 1)
    return information, (gradient - precision * values)[:, :, None]
