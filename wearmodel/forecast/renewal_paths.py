"""Futures of the fitted parts: failures, planned renewals and their repeats, drawn together.

Each draw takes one set of life parameters and one fleet-wide usage factor, and runs every part
through the months ahead: it fails, is renewed for another reason, or reaches its planned interval,
whichever comes first, and the new part starts at age 0.
"""

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.forecast.other_renewals import CompanionTimes, RatesByAge
from wearmodel.forecast.starts import Looks, Starts, draw_starts, worn_within
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.age_distribution import AgePoints

__all__ = ["KINDS", "Events", "OtherRates", "simulate_paths"]

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


def _when(vehicle: Array, distance: Array, usage: Usage) -> tuple[Array, Array]:
    """Month and day at which vehicles have run a distance from now."""
    cumulative, shares = usage.cumulative, usage.shares_by_month
    if shares is None:
        month = (cumulative[vehicle] < distance[:, None]).sum(axis=1)
    else:
        month = np.searchsorted(shares, distance / np.maximum(cumulative[vehicle, -1], 1e-300))
    month = np.minimum(month, cumulative.shape[1] - 1)
    of_month = usage.distance[vehicle, month]
    before = cumulative[vehicle, month] - of_month
    within = np.clip((distance - before) / np.maximum(of_month, 1e-300), 0.0, 1.0)
    return month.astype(np.int32), usage.starts[month] + within * usage.days[month]


@dataclass(frozen=True)
class _Running:
    """Parts under way: row of the fitted parts, draw, operational age, pace, and distance run.

    `wear` and `other` are what is left to be spent of the cumulative hazards of wear and of other renewals.
    """

    part: Array
    draw: Array
    psi: Array
    pace: Array
    run: Array
    wear: Array
    other: Array

    def only(self, keep: Array, *, run: Array, rng: np.random.Generator) -> "_Running":
        """Those that were renewed, new again, having run so far."""
        count = int(keep.sum())
        return _Running(
            self.part[keep], self.draw[keep], np.zeros(count), self.pace[keep], run[keep],
            rng.standard_exponential(count), rng.standard_exponential(count),
        )  # fmt: skip

    def some(self, rows: Array) -> "_Running":
        """Some of them as they are."""
        return _Running(*(getattr(self, field.name)[rows] for field in fields(self)))


@dataclass(frozen=True)
class _Course:
    """What lies ahead of the parts of a component, whatever happens first."""

    reach: Array
    shape: Array
    limit: Array
    rates: RatesByAge
    condemned: Array
    companions: CompanionTimes | None

    def begun(self, starts: Starts, rng: np.random.Generator) -> _Running:
        """Fitted parts in draws in which anything can happen to them: in most nothing does."""
        psi, pace, wear, may = starts.psi, starts.pace, starts.wear, starts.worn.copy()
        reach = self.reach.astype(np.float32)
        other = rng.standard_exponential(psi.shape, dtype=np.float32) if self.rates.any else wear
        if self.rates.any or np.isfinite(self.limit).any():
            age = psi / pace
            # Rounding may only ever add draws that are looked at.
            low, high = age.min(axis=1) * (1.0 - 1e-5), (age.max(axis=1) + reach.max(axis=1)) * (1.0 + 1e-5)
            within = (self.rates.spent(high) - self.rates.spent(low)) * (1.0 + 1e-5)
            may |= other <= within.astype(np.float32)[:, None]
            may |= self.limit.astype(np.float32)[:, None] * (1.0 - 1e-5) - age <= reach
        if self.companions is not None:
            may.ravel()[self.companions.row] = True
        may &= reach > 0
        may |= self.condemned[:, None]
        part, draw = (rows.astype(np.int32) for rows in np.nonzero(may))
        row = np.flatnonzero(may)
        psi, pace, wear, other = (values.ravel()[row].astype(float) for values in (psi, pace, wear, other))
        return _Running(part, draw, psi, pace, np.zeros(len(part)), wear, other)

    def going_on(self, at: _Running) -> _Running:
        """Parts renewed to which anything can happen again."""
        left = self.reach[at.part, at.draw] - at.run
        # They are new: nothing of their hazard lies behind them.
        may = worn_within(None, at.pace * left, self.shape[at.draw], at.wear)
        if self.rates.any:
            may |= at.other <= self.rates.spent(left)
        may |= self.limit[at.part] <= left
        if self.companions is not None:
            may |= self.companions.among(at.part, at.draw)
        return at.some(np.flatnonzero(may))


def simulate_paths(
    parts: FittedParts,
    *,
    points: AgePoints,
    values: Array,
    factors: Array,
    usage: Usage,
    rates: RatesByAge,
    looks: Looks,
    interval: Array | None,
    wait: Array | None = None,
    companions: CompanionTimes | None = None,
    starts: Starts | None = None,
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
    rates : RatesByAge
        Renewals that are not wear, at today's pace.
    looks : Looks
        How wear that shows only at a look is found.
    interval : ndarray, shape (n_parts,), optional
        Planned replacement age at today's pace, `inf` for none [distance].
    wait : ndarray, shape (n_parts,), optional
        What the parts now fitted run, at the least, before they are renewed by plan [distance].
    companions : CompanionTimes, optional
        When parts are renewed because another was.
    starts : Starts, optional
        Drawn before from a source of randomness of the same seed; drawn here when missing.
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
    limit = np.full(len(vehicle), np.inf) if interval is None else interval
    condemned = parts.frame["condemned"].to_numpy(dtype=bool)
    wear = _Wear(looks, parts.since_look, shape, rng)
    reach = usage.cumulative[vehicle, -1][:, None] * factors
    if companions is not None and not len(companions.key):
        companions = None
    course = _Course(reach, shape, limit, rates, condemned, companions)
    if starts is None:
        starts = draw_starts(
            parts, points=points, values=values, factors=factors, usage=usage, looks=looks, rng=rng
        )
    else:
        rng.bit_generator.state = starts.state
    under_way = course.begun(starts, rng)
    done: list[tuple[Array, ...]] = []
    for first in (True, *[False] * _MOST_ROUNDS):
        if not first:
            under_way = course.going_on(under_way)
        if not len(under_way.part):
            break
        step, kind = wear.next(under_way, first=first)
        least = wait[under_way.part] if first and wait is not None else 0.0
        step, kind = _sooner(step, kind, under_way, limit[under_way.part], rates, rng, least=least)
        if companions is not None:
            some = np.flatnonzero(companions.among(under_way.part, under_way.draw))
            chance, named = companions.next(under_way.part[some], under_way.draw[some], under_way.run[some])
            sooner = chance < step[some]
            step[some[sooner]], kind[some[sooner]] = chance[sooner], named[sooner]
        waiting = condemned[under_way.part] & first
        step, kind = np.where(waiting, 0.0, step), np.where(waiting, _FOUND, kind)
        run = under_way.run + step
        # A vehicle that does not move has no events, except parts already found worn.
        ahead = reach[under_way.part, under_way.draw]
        inside = ((run <= ahead) & (ahead > 0)) | waiting
        under_way, kind = under_way.only(inside, run=run, rng=rng), kind[inside].astype(np.int8)
        month, day = _when(vehicle[under_way.part], under_way.run / factors[under_way.draw], usage)
        done.append((under_way.part, under_way.draw, month, day, kind))
    if not done:
        empty = np.zeros(0, dtype=np.int32)
        return Events(empty, empty, empty, np.zeros(0), np.zeros(0, dtype=np.int8))
    return Events(*(np.concatenate(columns) for columns in zip(*done, strict=True)))


class _Wear:
    """Distance to the next wear event of parts under way, as it comes to light."""

    def __init__(self, looks: Looks, tail: Array, shape: Array, rng: np.random.Generator) -> None:
        self.silent, self.shape, self.rng, self.tail = looks.silent, shape, rng, tail
        self.timed = looks.timed(tail)
        self.every = looks.every
        self.next_look = looks.every - np.mod(tail, looks.every) if self.timed else tail

    def next(self, at: _Running, *, first: bool) -> tuple[Array, Array]:
        """Step and kind of the next wear event; a fitted part counts from its last good look."""
        shape = self.shape[at.draw]
        if not first:
            return self._next_of_new(at, shape)
        if not self.silent > 0:
            spent = _power(at.psi, shape) + at.wear
            return (_power(spent, 1.0 / shape) - at.psi) / at.pace, np.full(len(shape), _ROAD)
        back = self.tail[at.part] if self.timed else np.zeros(len(at.part))
        looked = np.maximum(at.psi - back * at.pace, 0.0)
        # Not having failed on the road since the look speaks for the kind that shows only at one.
        with np.errstate(invalid="ignore"):
            lasted = np.nan_to_num(np.exp(_power(looked, shape) - _power(at.psi, shape)), nan=1.0)
        silent = self.rng.random(len(at.part)) * (self.silent + (1.0 - self.silent) * lasted) < self.silent
        psi = np.where(silent, looked, at.psi)
        spent = _power(psi, shape) + at.wear
        step = (_power(spent, 1.0 / shape) - psi) / at.pace - np.where(silent, back, 0.0)
        return self._found(at, step, silent)

    def _next_of_new(self, at: _Running, shape: Array) -> tuple[Array, Array]:
        """The same of parts that were renewed: new, so that no hazard lies behind them and no look before them."""
        step = _power(at.wear, 1.0 / shape) / at.pace
        if not self.silent > 0:
            return step, np.full(len(shape), _ROAD)
        return self._found(at, step, self.rng.random(len(at.part)) < self.silent)

    def _found(self, at: _Running, step: Array, silent: Array) -> tuple[Array, Array]:
        """Step and kind where wear that shows only at a look is found at one."""
        if self.timed:
            look = self.next_look[at.part]
            every = self.every[at.part]
            late = np.ceil(np.maximum(at.run + step - look, 0.0) / every) * every
            step = np.where(silent, np.maximum(look + late - at.run, 0.0), step)
        return step, np.where(silent, _FOUND, _ROAD)


def _power(age: Array, shape: Array) -> Array:
    """Cumulative hazard of an operational age, infinite where it is beyond all numbers."""
    with np.errstate(divide="ignore", over="ignore"):
        return np.asarray(np.exp(shape * np.log(age)))


def _sooner(
    step: Array, kind: Array, at: _Running, limit: Array, rates: RatesByAge, rng: np.random.Generator,
    *, least: Array | float,
) -> tuple[Array, Array]:  # fmt: skip
    """The planned interval or another renewal where it comes before wear."""
    if np.isfinite(limit).any():
        planned = np.maximum(limit - at.psi / at.pace, least)
        sooner = planned < step
        step, kind = np.where(sooner, planned, step), np.where(sooner, _INTERVAL, kind)
    if rates.any:
        age = at.psi / at.pace
        other = rates.next(age, at.other)
        first = np.flatnonzero(other < step)
        step[first], kind[first] = other[first], _INTERVAL + 1 + rates.named(age[first] + other[first], rng)
    return step, kind
