"""Futures of the fitted parts: failures, planned renewals and their repeats, drawn together.

Each draw takes one set of life parameters and one fleet-wide usage factor, and runs every part
through the months ahead: it fails, is renewed for another reason, or reaches its planned interval,
whichever comes first, and the new part starts at age 0.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.age_distribution import AgePoints

__all__ = ["KINDS", "Events", "Looks", "OtherRates", "simulate_paths"]

Array = NDArray[Any]

#: What happened: worn and failed on the road, worn and found at a look, planned at the interval,
#: planned by present practice, renewed because something beside it was (a part taken for it), damage
#: or comeback, and renewed along with a kit (no part taken for it).
KINDS = ("road", "found", "interval", "planned", "beside", "mishap", "along")
_ROAD, _FOUND, _INTERVAL = 0, 1, 2
_MOST_ROUNDS = 400


@dataclass(frozen=True)
class OtherRates:
    """Renewals that are not wear, per distance a part runs [1 / distance].

    Parameters
    ----------
    planned : float
        Planned by the fleet's present practice.
    beside : float
        Because something beside it was renewed, with a part taken for it.
    mishap : float
        Damage and comebacks.
    along : float
        As part of a kit taken for something else.
    """

    planned: float
    beside: float
    mishap: float
    along: float

    @property
    def total(self) -> float:
        """All of them together [1 / distance]."""
        return self.planned + self.beside + self.mishap + self.along


@dataclass(frozen=True)
class Looks:
    """How wear that shows only at a look is found.

    Parameters
    ----------
    silent : float
        Share of a component's wear that shows only at a look, 0 to 1.
    every : ndarray, shape (n_parts,)
        Distance between looks at each part; NaN when it is not known [distance].
    """

    silent: float
    every: Array


@dataclass(frozen=True)
class Events:
    """Drawn events of one component.

    Parameters
    ----------
    part : ndarray of int, shape (n_events,)
        Row in the component's fitted parts.
    draw : ndarray of int, shape (n_events,)
        Draw.
    month : ndarray of int, shape (n_events,)
        Month ahead, from 0.
    day : ndarray, shape (n_events,)
        Days from the end of the record [d].
    kind : ndarray of int, shape (n_events,)
        Index into `KINDS`.
    """

    part: Array
    draw: Array
    month: Array
    day: Array
    kind: Array

    def only(self, keep: Array) -> "Events":
        """Some of them.

        Parameters
        ----------
        keep : ndarray of bool, shape (n_events,)
            Which.

        Returns
        -------
        Events
            In the same order.
        """
        return Events(self.part[keep], self.draw[keep], self.month[keep], self.day[keep], self.kind[keep])

    def compact(self) -> "Events":
        """The same in half the memory.

        Returns
        -------
        Events
            Integers of 32 bits, kinds of 8.
        """
        small = (one.astype(np.int32) for one in (self.part, self.draw, self.month))
        part, draw, month = small
        return Events(part, draw, month, self.day, self.kind.astype(np.int8))

    def counted(self, shape: tuple[int, ...]) -> Array:
        """How many there are of each kind in each month and draw.

        Parameters
        ----------
        shape : tuple of int
            Kinds, months and draws.

        Returns
        -------
        ndarray of int, shape (n_kinds, n_months, n_draws)
            Counts.
        """
        flat = np.ravel_multi_index((self.kind, self.month, self.draw), shape)
        return np.bincount(flat, minlength=int(np.prod(shape))).reshape(shape)


def _start_ages(points: AgePoints, parts: FittedParts, values: Array, rng: np.random.Generator) -> Array:
    """Operational age of each part in each draw, shape (n_parts, n_draws)."""
    now = parts.operational_age(values)
    unknown = np.flatnonzero(~parts.frame["age_known"].to_numpy(dtype=bool))
    if len(unknown):
        # Weights at the estimate; each draw's own clock stretches the chosen age.
        share = points.psi[unknown] / np.maximum(points.psi[unknown, -1:], 1e-300)
        cumulative = np.cumsum(points.weight[unknown], axis=1)
        chance = rng.random((len(unknown), values.shape[0]))
        cell = np.minimum((chance[:, :, None] > cumulative[:, None, :]).sum(axis=2), share.shape[1] - 1)
        now[unknown] *= np.take_along_axis(share, cell, axis=1)
    return now


def _when(vehicle: Array, distance: Array, usage: Usage) -> tuple[Array, Array]:
    """Month and day at which vehicles have run a distance from now."""
    cumulative = np.cumsum(usage.distance, axis=1)
    month = (cumulative[vehicle] < distance[:, None]).sum(axis=1)
    month = np.minimum(month, cumulative.shape[1] - 1)
    before = np.where(month > 0, cumulative[vehicle, month - 1], 0.0)
    within = np.clip((distance - before) / np.maximum(usage.distance[vehicle, month], 1e-300), 0.0, 1.0)
    starts = np.concatenate([[0.0], np.cumsum(usage.days)])
    return month, starts[month] + within * usage.days[month]


@dataclass(frozen=True)
class _Running:
    """Parts under way: row of the fitted parts, draw, operational age, pace, and distance run."""

    part: Array
    draw: Array
    psi: Array
    pace: Array
    run: Array

    def only(self, keep: Array, *, run: Array) -> "_Running":
        """Those that were renewed, new again, having run so far."""
        return _Running(self.part[keep], self.draw[keep], np.zeros(int(keep.sum())), self.pace[keep], run[keep])


def _starting(parts: FittedParts, points: AgePoints, values: Array, rng: np.random.Generator) -> _Running:
    """Every fitted part in every draw."""
    count, draws = len(parts.frame), values.shape[0]
    part, draw = (a.ravel() for a in np.meshgrid(np.arange(count), np.arange(draws), indexing="ij"))
    psi, pace = _start_ages(points, parts, values, rng), parts.pace(values)
    faster = np.power(_drawn_frailties(parts, draws, rng), np.exp(-values[:, -1]))
    return _Running(part, draw, (psi * faster).ravel(), (pace * faster).ravel(), np.zeros(len(part)))


def _drawn_frailties(parts: FittedParts, draws: int, rng: np.random.Generator) -> Array:
    """Frailty of each part's vehicle in each draw, shape (n_parts, n_draws): one for all parts of a vehicle."""
    _, first, index = np.unique(parts.frame["vehicle"].to_numpy(), return_index=True, return_inverse=True)
    return parts.frailties.only(first).drawn(draws, rng)[index]


def simulate_paths(
    parts: FittedParts,
    *,
    points: AgePoints,
    values: Array,
    factors: Array,
    usage: Usage,
    rates: OtherRates,
    looks: Looks,
    interval: Array | None,
    wait: Array | None = None,
    rng: np.random.Generator,
) -> Events:
    """Draw the renewals of one component over the months ahead.

    Parameters
    ----------
    parts : FittedParts
        Parts now fitted.
    points : AgePoints
        Their ages at the estimate.
    values : ndarray, shape (n_draws, n_parameters)
        Drawn life parameters.
    factors : ndarray, shape (n_draws,)
        Drawn usage factor common to the fleet.
    usage : Usage
        Expected running.
    rates : OtherRates
        Renewals that are not wear.
    looks : Looks
        How wear that shows only at a look is found.
    interval : ndarray, shape (n_parts,), optional
        Planned replacement age at today's pace, `inf` for none [distance].
    wait : ndarray, shape (n_parts,), optional
        What the parts now fitted run, at the least, before they are renewed by plan [distance].
    rng : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    Events
        In no particular order. Worn parts found at a look come at the look, those that wore out
        unseen before the record ended among them.
    """
    shape = np.exp(values[:, -1])
    vehicle = parts.frame["vehicle"].to_numpy()
    total = usage.distance.sum(axis=1)[vehicle]
    limit = np.full(len(vehicle), np.inf) if interval is None else interval
    condemned = parts.frame["condemned"].to_numpy(dtype=bool)
    wear = _Wear(looks, parts.since_look, shape, rng)
    under_way = _starting(parts, points, values, rng)
    done: list[tuple[Array, Array, Array, Array]] = []
    for first in (True, *[False] * _MOST_ROUNDS):
        step, kind = wear.next(under_way, first=first)
        least = wait[under_way.part] if first and wait is not None else 0.0
        step, kind = _sooner(step, kind, under_way, limit[under_way.part], rates, rng, least=least)
        waiting = condemned[under_way.part] & first
        step, kind = np.where(waiting, 0.0, step), np.where(waiting, _FOUND, kind)
        run = under_way.run + step
        # A vehicle that does not move has no events, except parts already found worn.
        reach = total[under_way.part] * factors[under_way.draw]
        inside = ((run <= reach) & (reach > 0)) | waiting
        if not inside.any():
            break
        under_way, kind = under_way.only(inside, run=run), kind[inside]
        done.append((under_way.part, under_way.draw, under_way.run / factors[under_way.draw], kind))
    if not done:
        empty = np.zeros(0, dtype=np.intp)
        return Events(empty, empty, empty, np.zeros(0), empty)
    part, draw, distance, kind = (np.concatenate(columns) for columns in zip(*done, strict=True))
    month, day = _when(vehicle[part], distance, usage)
    return Events(part, draw, month, day, kind)


class _Wear:
    """Distance to the next wear event of parts under way, as it comes to light."""

    def __init__(self, looks: Looks, tail: Array, shape: Array, rng: np.random.Generator) -> None:
        self.silent, self.shape, self.rng, self.tail = looks.silent, shape, rng, tail
        # Without a look on record there is no telling when the next one is: wear shows at once.
        self.timed = looks.silent > 0 and bool(np.isfinite(looks.every).all()) and bool((tail > 0).any())
        self.every = looks.every
        self.next_look = looks.every - np.mod(tail, looks.every) if self.timed else tail

    def next(self, at: _Running, *, first: bool) -> tuple[Array, Array]:
        """Step and kind of the next wear event; a fitted part counts from its last good look."""
        shape = self.shape[at.draw]
        back = self.tail[at.part] if first and self.timed else np.zeros(len(at.part))
        looked = np.maximum(at.psi - back * at.pace, 0.0)
        # Not having failed on the road since the look speaks for the kind that shows only at one.
        lasted = np.exp(np.power(looked, shape) - np.power(at.psi, shape))
        silent = self.rng.random(len(at.part)) * (self.silent + (1.0 - self.silent) * lasted) < self.silent
        psi = np.where(silent, looked, at.psi)
        spent = np.power(psi, shape) + self.rng.exponential(size=len(psi))
        step = (np.power(spent, 1.0 / shape) - psi) / at.pace - np.where(silent, back, 0.0)
        if self.timed:
            look = self.next_look[at.part]
            every = self.every[at.part]
            late = np.ceil(np.maximum(at.run + step - look, 0.0) / every) * every
            step = np.where(silent, np.maximum(look + late - at.run, 0.0), step)
        return step, np.where(silent, _FOUND, _ROAD)


def _sooner(
    step: Array, kind: Array, at: _Running, limit: Array, rates: OtherRates, rng: np.random.Generator,
    *, least: Array | float,
) -> tuple[Array, Array]:  # fmt: skip
    """The planned interval or another renewal where it comes before wear."""
    planned = np.maximum(limit - at.psi / at.pace, least)
    sooner = planned < step
    step, kind = np.where(sooner, planned, step), np.where(sooner, _INTERVAL, kind)
    if rates.total > 0:
        shares = np.cumsum([rates.planned, rates.beside, rates.mishap, rates.along]) / rates.total
        chance = rng.exponential(1.0 / rates.total, size=len(step))
        named = _INTERVAL + 1 + np.minimum(np.searchsorted(shares, rng.random(len(step)), side="right"), 3)
        sooner = chance < step
        step, kind = np.where(sooner, chance, step), np.where(sooner, named, kind)
    return step, kind
