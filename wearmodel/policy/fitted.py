"""The parts now fitted, on their operational clock.

Every distance driven counts by exp(-x'b): on that clock each part follows S(psi) = exp(-psi^shape).
A part whose fitting date is unknown carries a distribution of ages.
"""

from collections.abc import Collection
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.history.histories import Histories
from wearmodel.survival.age_distribution import AGE_CELLS, AgePoints, age_distribution
from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.vehicle_frailties import Frailties, alike

__all__ = [
    "FittedParts",
    "OtherParts",
    "age_points",
    "build_fitted_parts",
    "build_unmodelled_parts",
    "fail_probability",
    "remaining_distance",
]

Array = NDArray[Any]
_BISECTIONS = 60
#: Bounds of a remaining life as near as this are one, a hundred times nearer than any distance is told.
_CLOSE = 1e-10


@dataclass(frozen=True)
class FittedParts:
    """Parts of one component now fitted.

    Parameters
    ----------
    frame : pandas.DataFrame
        One row a part: `vehicle, unit, position, component, part_number, depot, vehicle_class, duty,
        lift, age, driven, age_known, condemned, end_day` (index 0..n-1); `age` is the greatest it can have on its
        component's clock, `driven` the same in distance driven.
    part : ndarray of int, shape (n_segments,)
        Part each segment belongs to, ascending.
    start : ndarray of int, shape (n_parts,)
        First segment of each part.
    design : ndarray, shape (n_segments, n_coefficients)
        Covariates of each segment.
    run, unseen : ndarray, shape (n_segments,)
        Distance run in the segment, and how much of it before the part came under observation.
    tail : ndarray, shape (n_parts,)
        Distance since the part counts as seen good: 0 where wear shows at once [distance].
    since_look : ndarray, shape (n_parts,)
        Distance since its last good look, 0 where wear shows at once [distance].
    frailties : Frailties
        What is known of the frailty of each part's vehicle.
    others : OtherParts or None
        Where a line could have been about several positions, what else may be fitted; None where none was.
    """

    frame: pd.DataFrame
    part: Array
    start: Array
    design: Array
    run: Array
    unseen: Array
    tail: Array
    since_look: Array
    frailties: Frailties
    others: "OtherParts | None" = None

    @cached_property
    def _kinds(self) -> tuple[Array, Array]:
        """Distinct rows of the design, and which of them each segment has: many parts do the same work."""
        # Row by row numbers in the order of the rows, made column by column: whole rows take ten times as long to sort.
        kind = np.zeros(len(self.design), dtype=np.intp)
        for column in self.design.T:
            values, place = np.unique(column, return_inverse=True)
            kind = np.unique(kind * len(values) + place.ravel(), return_inverse=True)[1].ravel()
        first = np.unique(kind, return_index=True)[1]
        return self.design[first], kind

    def pace(self, values: Array, *, dtype: type[np.floating[Any]] = np.float64) -> Array:
        """Operational distance per distance driven from now on.

        Parameters
        ----------
        values : ndarray, shape (n_parameters,) or (n_draws, n_parameters)
            Model parameters.
        dtype : type
            Of the answer.

        Returns
        -------
        ndarray, shape (n_parts,) or (n_parts, n_draws)
            exp(-x'b) [1 / distance].
        """
        last = np.append(self.start[1:], len(self.part)) - 1
        rows, kind = self._kinds
        paces = np.exp(-(rows @ np.atleast_2d(values)[:, :-1].T)).astype(dtype)
        return paces[kind[last]].reshape(len(last), *values.shape[:-1])

    def operational_age(
        self, values: Array, *, unseen: bool = False, dtype: type[np.floating[Any]] = np.float64
    ) -> Array:
        """Operational age now, or (`unseen`) when observation began.

        Parameters
        ----------
        values : ndarray, shape (n_parameters,) or (n_draws, n_parameters)
            Model parameters.
        unseen : bool
            Age at the start of observation instead of now.
        dtype : type
            Of the answer.

        Returns
        -------
        ndarray, shape (n_parts,) or (n_parts, n_draws)
            psi [-].
        """
        rows, kind = self._kinds
        paces = np.exp(-(rows @ np.atleast_2d(values)[:, :-1].T)).astype(dtype)
        distance = (self.unseen if unseen else self.run).astype(dtype)
        psi = paces[kind[self.start]] * distance[self.start, None]
        # Most parts have run at one ride height alone.
        several = np.diff(self.start, append=len(self.part)) > 1
        if several.any():
            segments = np.flatnonzero(several[self.part])
            begin = np.searchsorted(self.part[segments], np.flatnonzero(several))
            psi[several] = np.add.reduceat(paces[kind[segments]] * distance[segments, None], begin, axis=0)
        return psi.reshape(len(self.start), *values.shape[:-1])


@dataclass(frozen=True)
class OtherParts:
    """Parts that may be fitted instead of the oldest one possible.

    Parameters
    ----------
    parts : FittedParts
        The others, each as if it were certain.
    part_of : ndarray of int
        The part each of them may be instead of.
    chance : ndarray
        Chance of each of them.
    own_chance : ndarray, shape (n_parts,)
        Chance of the oldest.
    own_dated : ndarray of bool, shape (n_parts,)
        Whether the fitting date of the oldest is known.
    """

    parts: FittedParts
    part_of: Array
    chance: Array
    own_chance: Array
    own_dated: Array


def build_fitted_parts(
    histories: Histories, *, model: ComponentModel, traits: pd.DataFrame, frailties: Frailties
) -> FittedParts:
    """Parts of a component that are fitted at the end of the record.

    Parameters
    ----------
    histories : Histories
        Lives and segments.
    model : ComponentModel
        Life model of the component.
    traits : pandas.DataFrame
        Row by row for the lives.
    frailties : Frailties
        Of each vehicle.

    Returns
    -------
    FittedParts
        Ready for probabilities and simulation.
    """
    lives = histories.lives
    mine = (lives["component"] == model.component).to_numpy()
    chosen = np.flatnonzero(mine & lives["current"].to_numpy())
    others = np.flatnonzero(mine & (lives["running"] & ~lives["current"]).to_numpy())
    if not len(others):
        return _parts(histories, chosen, model=model, traits=traits, frailties=frailties)
    keys = ["vehicle", "position"]
    part_of = pd.MultiIndex.from_frame(lives.iloc[chosen][keys]).get_indexer(
        pd.MultiIndex.from_frame(lives.iloc[others][keys])
    )
    chance = lives["chance"].to_numpy()
    parts = _parts(histories, chosen, model=model, traits=traits, frailties=frailties)
    dated = parts.frame["age_known"].to_numpy(dtype=bool)
    several = np.isin(np.arange(len(chosen)), part_of)
    return replace(
        parts,
        frame=parts.frame.assign(age_known=dated & ~several),
        others=OtherParts(
            parts=_parts(histories, others, model=model, traits=traits, frailties=frailties),
            part_of=part_of,
            chance=chance[others],
            own_chance=chance[chosen],
            own_dated=dated,
        ),
    )


def _parts(
    histories: Histories, chosen: Array, *, model: ComponentModel, traits: pd.DataFrame, frailties: Frailties
) -> FittedParts:
    """Some lives under way as fitted parts, each as if it were certain."""
    lives = histories.lives
    segments = histories.segments[np.isin(histories.segments["life"], chosen)]
    at = segments["life"].to_numpy()
    part = np.searchsorted(chosen, at)
    begins, ends = segments["age_from"].to_numpy(), segments["age_to"].to_numpy()
    frame = _current_frame(histories, chosen)
    seen = lives.iloc[chosen]
    waiting = frame["condemned"].to_numpy(dtype=bool)
    age_of_part = frame["age"].to_numpy()
    age = age_of_part[part]
    return FittedParts(
        frame=frame,
        part=part,
        start=np.searchsorted(part, np.arange(len(chosen))),
        design=build_segment_design(
            model.coding,
            lift=segments["lift"].to_numpy(dtype=float),
            traits=traits.iloc[at],
        ),
        run=np.maximum(np.minimum(ends, age) - begins, 0.0),
        unseen=np.maximum(np.minimum(ends, lives["entry"].to_numpy()[at]) - begins, 0.0),
        tail=np.where(waiting, 0.0, np.maximum(age_of_part - seen["stop_low"].to_numpy(), 0.0)),
        since_look=np.where(waiting, 0.0, np.maximum(age_of_part - seen["look_age"].to_numpy(), 0.0)),
        frailties=frailties.only(seen["vehicle"].to_numpy()),
    )


def _current_frame(histories: Histories, chosen: Array) -> pd.DataFrame:
    """What is known of parts now fitted, one row each, with the greatest age they can have."""
    lives = histories.lives.iloc[chosen].reset_index(drop=True)
    driven = histories.lives if histories.driven is None else histories.driven.lives
    columns = [
        "vehicle", "unit", "position", "component", "part_number", "depot", "vehicle_class", "duty", "lift",
        "age_known", "condemned", "end_day",
    ]  # fmt: skip
    return lives[columns].assign(age=lives["age_at_end"], driven=driven["age_at_end"].to_numpy()[chosen])


def build_unmodelled_parts(histories: Histories, *, modelled: Collection[str]) -> pd.DataFrame:
    """Parts now fitted of components that have no model at all.

    Parameters
    ----------
    histories : Histories
        Lives.
    modelled : collection of str
        Components that have one.

    Returns
    -------
    pandas.DataFrame
        Rows like `FittedParts.frame`: nothing can be predicted for them, but one that was found worn
        must still be seen.
    """
    lives = histories.lives
    chosen = np.flatnonzero((lives["current"] & ~lives["component"].isin(list(modelled))).to_numpy())
    return _current_frame(histories, chosen)


def age_points(parts: FittedParts, values: Array, *, other_rate: float) -> AgePoints:
    """Ages of the fitted parts on the operational clock.

    Parameters
    ----------
    parts : FittedParts
        Parts of one component.
    values : ndarray, shape (n_parameters,)
        Model parameters.
    other_rate : float
        Renewals that are not wear, per distance a part runs [1 / distance]: they make parts of unknown
        age younger.

    Returns
    -------
    AgePoints
        One certain age, or a distribution where the fitting date is unknown.
    """
    dated = parts.frame["age_known"].to_numpy(dtype=bool)
    if parts.others is None:
        return _own_points(parts, values, dated, other_rate=other_rate)
    others = parts.others
    dated_others = others.parts.frame["age_known"].to_numpy(dtype=bool)
    return _mixed_points(
        _own_points(parts, values, others.own_dated, other_rate=other_rate),
        _own_points(others.parts, values, dated_others, other_rate=other_rate),
        others,
    )


def _own_points(parts: FittedParts, values: Array, dated: Array, *, other_rate: float) -> AgePoints:
    """Ages of the parts, each as if it were certain."""
    now = parts.operational_age(values)
    psi = np.repeat(now[:, None], AGE_CELLS + 1, axis=1)
    weight = np.zeros_like(psi)
    weight[:, -1] = 1.0
    unknown = np.flatnonzero(~dated)
    if len(unknown):
        unseen = parts.operational_age(values, unseen=True)[unknown]
        mixture = age_distribution(
            before=unseen,
            since=now[unknown] - unseen,
            shape=float(np.exp(values[-1])),
            rate=other_rate / parts.pace(values)[unknown],
        )
        psi[unknown], weight[unknown] = mixture.psi, mixture.weight
    return AgePoints(psi, weight)


def _mixed_points(own: AgePoints, other: AgePoints, others: OtherParts) -> AgePoints:
    """Ages of parts of which one of several is fitted, on as many points as one part has."""
    psi, weight = own.psi.copy(), own.weight.copy()
    for part in np.unique(others.part_of):
        mine = np.flatnonzero(others.part_of == part)
        ages = np.concatenate([own.psi[part], *other.psi[mine]])
        chances = np.concatenate(
            [own.weight[part] * others.own_chance[part], *(other.weight[mine] * others.chance[mine, None])]
        )
        order = np.argsort(ages[chances > 0])
        ages, chances = ages[chances > 0][order], chances[chances > 0][order]
        # Neighbouring ages become one; the last point stays the oldest age, to which others are proportions.
        cell = np.minimum((np.cumsum(chances) - chances / 2) / chances.sum() * AGE_CELLS, AGE_CELLS - 1).astype(int)
        total = np.bincount(cell, weights=chances, minlength=AGE_CELLS + 1)
        middle = np.bincount(cell, weights=chances * ages, minlength=AGE_CELLS + 1)
        psi[part] = np.where(total > 0, middle / np.where(total > 0, total, 1.0), own.psi[part, -1])
        weight[part] = total / total.sum()
    return AgePoints(psi, weight)


def fail_probability(
    points: AgePoints, *, shape: float, ahead: Array, tail: Array, frailties: Frailties | None = None
) -> Array:
    """Chance of being past its limit after a further operational distance.

    Parameters
    ----------
    points : AgePoints
        Ages now.
    shape : float
        Weibull shape [-].
    ahead : ndarray, shape (n_parts,)
        Further operational distance [-].
    tail : ndarray, shape (n_parts,)
        Operational distance since the part counts as seen good [-].
    frailties : Frailties, optional
        Of each part's vehicle; 1 when missing.

    Returns
    -------
    ndarray, shape (n_parts,)
        0 to 1.
    """
    known = alike(len(ahead)) if frailties is None else frailties
    good = np.maximum(points.psi - tail[:, None], 0.0)
    spent = np.power(points.psi + ahead[:, None], shape) - np.power(good, shape)
    return ((1.0 - known.survival(np.maximum(spent, 0.0))) * points.weight).sum(axis=1)


def remaining_distance(
    points: AgePoints,
    *,
    shape: float,
    pace: Array,
    tail: Array,
    fraction: float,
    frailties: Frailties | None = None,
) -> Array:
    """Further distance by which a fraction of such parts has failed.

    Parameters
    ----------
    points : AgePoints
        Ages.
    shape : float
        Weibull shape [-].
    pace : ndarray, shape (n_parts,)
        Operational distance per distance [1 / distance].
    tail : ndarray, shape (n_parts,)
        Operational distance since the part counts as seen good [-].
    fraction : float
        Share failed, between 0 and 1.
    frailties : Frailties, optional
        Of each part's vehicle; 1 when missing.

    Returns
    -------
    ndarray, shape (n_parts,)
        [distance]; 0 where that share has failed unseen already.

    Notes
    -----
    Bisection between the remaining lives of the oldest and the youngest age a part may have.
    """
    known = alike(len(pace)) if frailties is None else frailties
    good = np.maximum(points.psi - tail[:, None], 0.0)
    spent = np.power(good, shape) + known.spent_at(fraction)[:, None]
    left = np.power(spent, 1.0 / shape) - points.psi
    low, high = np.maximum(left.min(axis=1), 0.0), np.maximum(left.max(axis=1), 0.0)
    # A part whose age is known has both bounds the same.
    rows = np.flatnonzero(high - low > _CLOSE * high)
    some, wear = AgePoints(points.psi[rows], points.weight[rows]), known.only(rows)
    for _ in range(_BISECTIONS):
        if not len(rows):
            break
        middle = (low[rows] + high[rows]) / 2.0
        above = fail_probability(some, shape=shape, ahead=middle, tail=tail[rows], frailties=wear) > fraction
        low[rows], high[rows] = np.where(above, low[rows], middle), np.where(above, middle, high[rows])
        if np.all(high[rows] - low[rows] <= _CLOSE * high[rows]):
            break
    return (low + high) / 2.0 / pace
