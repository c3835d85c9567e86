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
from wearmodel.policy.fitted import AgePoints, FittedParts

__all__ = ["KINDS", "Events", "OtherRates", "simulate_paths"]

Array = NDArray[Any]

#: What happened: wear, planned at the interval, own-line renewal for another reason (present
#: planned practice, then comebacks and damage), or renewed along with something else (no part taken).
KINDS = ("wear", "interval", "planned", "mishap", "along")
_MOST_ROUNDS = 400


@dataclass(frozen=True)
class OtherRates:
    """Renewals that are not wear, per distance a part runs [1 / distance].

    Parameters
    ----------
    planned : float
        Planned by the fleet's present practice.
    mishap : float
        Damage and comebacks.
    along : float
        Renewed along with something else, no part of its own taken.
    """

    planned: float
    mishap: float
    along: float


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


def simulate_paths(
    parts: FittedParts,
    *,
    points: AgePoints,
    values: Array,
    factors: Array,
    usage: Usage,
    rates: OtherRates,
    interval: Array | None,
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
    interval : ndarray, shape (n_parts,), optional
        Planned replacement age at today's pace, `inf` for none [distance].
    rng : numpy.random.Generator
        Source of randomness.

    Returns
    -------
    Events
        In no particular order.
    """
    count, draws = len(parts.frame), values.shape[0]
    shape = np.exp(values[:, -1])
    vehicle = parts.frame["vehicle"].to_numpy()
    total = usage.distance.sum(axis=1)[vehicle]
    part, draw = (a.ravel() for a in np.meshgrid(np.arange(count), np.arange(draws), indexing="ij"))
    psi = _start_ages(points, parts, values, rng).ravel()
    pace = parts.pace(values).ravel()
    run = np.zeros(len(part))
    limit = np.full(count, np.inf) if interval is None else interval
    condemned = parts.frame["condemned"].to_numpy(dtype=bool)[part]
    other = np.array([rates.planned, rates.mishap, rates.along])
    kinds, ran, who, which = [], [], [], []
    for first in range(_MOST_ROUNDS):
        step, kind = _next_event(psi, pace, shape[draw], limit[part], other, rng)
        if first == 0:
            step, kind = np.where(condemned, 0.0, step), np.where(condemned, 0, kind)
        run = run + step
        inside = run <= total[part] * factors[draw]
        # A vehicle that does not move has no events, except parts already found worn.
        inside &= (total[part] > 0) | (condemned if first == 0 else False)
        if not inside.any():
            break
        part, draw, run, pace, kind = part[inside], draw[inside], run[inside], pace[inside], kind[inside]
        kinds.append(kind)
        ran.append(run / factors[draw])
        who.append(part)
        which.append(draw)
        psi = np.zeros(len(part))
    if not kinds:
        empty = np.zeros(0, dtype=np.intp)
        return Events(empty, empty, empty, np.zeros(0), empty)
    all_parts, distance = np.concatenate(who), np.concatenate(ran)
    month, day = _when(vehicle[all_parts], distance, usage)
    return Events(all_parts, np.concatenate(which), month, day, np.concatenate(kinds))


def _next_event(
    psi: Array, pace: Array, shape: Array, limit: Array, other: Array, rng: np.random.Generator
) -> tuple[Array, Array]:
    """Distance to the next renewal of each part, and its kind."""
    spent = np.power(psi, shape) + rng.exponential(size=len(psi))
    wear = (np.power(spent, 1.0 / shape) - psi) / pace
    planned = np.maximum(limit - psi / pace, 0.0)
    step, kind = wear, np.zeros(len(psi), dtype=np.intp)
    sooner = planned < step
    step, kind = np.where(sooner, planned, step), np.where(sooner, 1, kind)
    rate = float(other.sum())
    if rate > 0:
        chance = rng.exponential(1.0 / rate, size=len(psi))
        named = 2 + np.searchsorted(np.cumsum(other) / rate, rng.random(len(psi)), side="right")
        sooner = chance < step
        step, kind = np.where(sooner, chance, step), np.where(sooner, np.minimum(named, 4), kind)
    return step, kind
