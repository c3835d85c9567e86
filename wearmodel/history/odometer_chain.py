"""Which figures of each vehicle belong together: the likeliest chain, for all vehicles at once.

A chain is a choice of figures that follow each other at a running the vehicle can have had. Each figure left out
costs what a false figure is worth, each step what its running is worth, and a new clock more than one false
figure but less than two: so it takes two figures to believe in one.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.history.odometer_figures import ClockUnit
from wearmodel.history.odometer_pace import Pace, Track, log_t, log_trip

__all__ = [
    "DATE_SLACK",
    "FALSE_DAYS",
    "NO_SHIFT",
    "SHOWN",
    "TOTAL",
    "Chain",
    "likeliest_chain",
    "slack",
    "suspicious_vehicles",
]

Array = NDArray[Any]

NO_SHIFT, ROLLED, SHIFTED = 0, 1, 2
SHOWN, TOTAL = 1, 2
# Figures looked back over; a longer false stretch is bridged by two shifts.
_LOOK_BACK = 14
# Log of the share of false figures, of figures copied from the line before, and of true standstills among figures
# that repeat the last: own choice, nothing hangs on them but where doubt begins.
_LOG_FALSE = -4.6
_LOG_COPIED = -2.0
_LOG_STOOD = -2.3
# A zero in the in-service column is often a default.
_ANCHOR_CHEAPER = 2.0
# Figures dated before the vehicle went into service have a false date sooner than others.
_EARLY_CHEAPER = 6.0
_SECOND_TABLE = 4.0
_SHIFT_DEARER = 3.0
_LOG_ROLLOVER = -4.0
_LOG_BACKWARD = -1.5
_LOG_LATE = -3.0
# A false figure can be anywhere within this many days of running.
FALSE_DAYS = 1000.0
# Days of running by which dates can be off without anybody at fault.
DATE_SLACK = 2.0
_SUSPICIOUS = 5.0
_TRUSTED = 1e6
_IMPOSSIBLE = -1e5
_FORCED = -12.0


@dataclass(frozen=True)
class Chain:
    """Figures that belong together.

    Parameters
    ----------
    kept : ndarray of bool, shape (n_figures,)
        In the chain.
    step : ndarray of int, shape (n_figures,)
        How a kept figure follows the kept one before it: `NO_SHIFT`, rolled over (1) or another clock (2).
    """

    kept: Array
    step: Array


def _z_scores(track: Track, pace: Pace, i: Array, j: Array, gain: Array) -> tuple[Array, Array]:
    """Running of steps from j to i against the usual, in standard deviations, and these."""
    vehicle = track.vehicle[i]
    days = np.maximum(track.day[i] - track.day[j], 0.0)
    noise = (track.grain[i] ** 2 + track.grain[j] ** 2) / 12.0
    sd = np.sqrt(pace.variance(vehicle, days) + noise)
    return (gain - pace.rate[vehicle] * days) / sd, sd


def slack(track: Track, pace: Pace, i: Array, j: Array) -> Array:
    """How far a figure may stand below an earlier one without anybody at fault.

    Parameters
    ----------
    track : Track
        Figures.
    pace : Pace
        Usual running.
    i, j : ndarray of int
        Later and earlier figures.

    Returns
    -------
    ndarray
        Two days' running, as dates are those of opening or closing a job, and half of what both are rounded to.
    """
    return DATE_SLACK * pace.rate[track.vehicle[i]] + 0.5 * (track.grain[i] + track.grain[j])


def _run_score(track: Track, pace: Pace, unit: ClockUnit, pair: tuple[Array, Array], gain: Array) -> Array:
    """Log density of the running of steps; minus infinity where no vehicle can have run so."""
    i, j = pair
    z, sd = _z_scores(track, pace, i, j, gain)
    days = track.day[i] - track.day[j]
    beyond = gain - pace.rate[track.vehicle[i]] * days
    score = np.maximum(log_t(z) - np.log(sd), log_trip(beyond, days=days, unit=unit))
    score = np.where(gain < 0, score + _LOG_BACKWARD, score)
    stood = (days > 0) & ((gain == 0) | ((gain < 0) & track.repeats[i]))
    score = np.where(stood, np.maximum(score, _LOG_STOOD), score)
    # Farther than the road allows in these days, but not if the job before was dated late: a trip all the same.
    farthest = unit.most_a_day * (days + 1.0) + track.grain[i]
    late = log_trip(beyond, days=days + DATE_SLACK, unit=unit) + _LOG_LATE
    score = np.where(gain > farthest, late, score)
    return np.where(gain >= -slack(track, pace, i, j), score, -np.inf)


def _before_service(track: Track) -> Array:
    """Figures dated before the vehicle went into service."""
    began = np.full(int(track.vehicle.max(initial=-1)) + 1, -np.inf)
    began[track.vehicle[track.anchor]] = track.day[track.anchor]
    return track.day < began[track.vehicle]


def _reject_cost(track: Track, pace: Pace) -> Array:
    """What leaving each figure out costs."""
    spread = np.log(FALSE_DAYS * pace.rate[track.vehicle])
    cost = spread - _LOG_FALSE + _SECOND_TABLE * (track.tables - 1)
    default = track.anchor & (track.tables == 1) & (track.value == 0)
    cost = np.where(default, cost - _ANCHOR_CHEAPER, cost)
    cost = np.where(_before_service(track), cost - _EARLY_CHEAPER, cost)
    cost = np.where(track.repeats, -_LOG_COPIED, cost)
    return np.where(track.trust > 0, _TRUSTED, cost)


def _rolled_gain(track: Track, pair: tuple[Array, Array], at: float) -> Array:
    """Running over a rollover in either direction; NaN where the figures do not lie on both sides of one."""
    i, j = pair
    gain = track.value[i] - track.value[j]
    onward = (gain < 0) & (track.value[j] <= 1.0005 * at) & (track.value[i] < at)
    # Back to figures with all their digits, after some without.
    return np.where(onward, gain + at, np.where((gain > 0) & (track.value[j] < at), gain - at, np.nan))


def _step_scores(track: Track, pace: Pace, unit: ClockUnit, pair: tuple[Array, Array]) -> Array:
    """Scores of steps by kind, shape (3, n_pairs)."""
    i, j = pair
    gain = track.value[i] - track.value[j]
    run = _run_score(track, pace, unit, pair, gain)
    rolled = np.full(len(i), -np.inf)
    for at in unit.rollovers:
        over = _rolled_gain(track, pair, at)
        some = np.flatnonzero(np.isfinite(over) & (np.abs(over) < at / 2.0))
        part = (i[some], j[some])
        score = _run_score(track, pace, unit, part, over[some])
        z, _ = _z_scores(track, pace, *part, over[some])
        # Told apart from chance only where the running agrees.
        rolled[some] = np.maximum(rolled[some], np.where(np.abs(z) < 6.0, score + _LOG_ROLLOVER, -np.inf))
    shift = -(np.log(FALSE_DAYS * pace.rate[track.vehicle[i]]) - _LOG_FALSE + _SHIFT_DEARER)
    # A figure that stands as written on going forward was run; falling back, it can only be another clock's.
    trust = track.trust[i]
    forced = (trust == TOTAL) | ((trust == SHOWN) & (gain >= 0))
    run = np.where(forced & (gain >= 0), np.maximum(run, _FORCED), run)
    return np.stack([run, np.where(forced, -np.inf, rolled), np.where(forced, _IMPOSSIBLE, shift)])


def suspicious_vehicles(track: Track, pace: Pace, *, unit: ClockUnit) -> Array:
    """Vehicles with a figure that falls back, outruns the road or breaks far out of their usual running.

    Parameters
    ----------
    track : Track
        Figures.
    pace : Pace
        From `estimate_pace`.
    unit : ClockUnit
        Bounds a day's running.

    Returns
    -------
    ndarray of int
        Vehicle indexes, ascending.
    """
    i = np.flatnonzero(np.diff(track.vehicle) == 0) + 1
    gain = track.value[i] - track.value[i - 1]
    z, _ = _z_scores(track, pace, i, i - 1, gain)
    days = track.day[i] - track.day[i - 1]
    bad = (gain < -slack(track, pace, i, i - 1)) | (gain > unit.most_a_day * (days + 1.0)) | (np.abs(z) > _SUSPICIOUS)
    return np.unique(track.vehicle[i[bad]])


def likeliest_chain(track: Track, pace: Pace, *, unit: ClockUnit) -> Chain:
    """The chain of figures of each vehicle that is likeliest as a whole.

    Parameters
    ----------
    track : Track
        Figures of the vehicles in question.
    pace : Pace
        Of all vehicles.
    unit : ClockUnit
        Bounds a day's running; rollovers.

    Returns
    -------
    Chain
        By figure.

    Notes
    -----
    A dynamic programme over figures: the best chain that ends at figure i is the best over the kept figure
    before it, one of the last 14, of that one's chain, less the cost of the figures passed over, plus the log
    density of the step. Steps are scored for all vehicles at once; the recursion goes figure by figure over all
    vehicles side by side. It is linear in the number of figures.
    """
    count = len(track.vehicle)
    if not count:
        return Chain(np.zeros(0, dtype=bool), np.zeros(0, dtype=np.int8))
    cost = np.cumsum(_reject_cost(track, pace))
    start = np.searchsorted(track.vehicle, np.unique(track.vehicle))
    number = np.diff(np.append(start, count))
    steps = np.full((count, _LOOK_BACK), -np.inf)
    for lag in range(1, min(_LOOK_BACK, count - 1) + 1):
        i = np.flatnonzero(track.vehicle[lag:] == track.vehicle[:-lag]) + lag
        passed = cost[i - 1] - cost[i - lag]
        steps[i, lag - 1] = _step_scores(track, pace, unit, (i, i - lag)).max(axis=0) - passed
    back, ends = _best_predecessors(steps, cost, start, number)
    return _traced(track, pace, unit, back=back, at=ends)


def _best_predecessors(steps: Array, cost: Array, start: Array, number: Array) -> tuple[Array, Array]:
    """How many places before each figure the kept one before it lies (0 starts a chain), and where chains end."""
    order = np.argsort(-number, kind="stable")
    start, number = start[order], number[order]
    upto = np.concatenate([[0.0], cost])
    best = np.zeros(len(cost))
    back = np.zeros(len(cost), dtype=np.int64)
    lags = np.arange(1, steps.shape[1] + 1)
    for place in range(int(number[0])):
        # Vehicles are in the order of their number of figures: those that still have one come first.
        alive = int(np.searchsorted(-number, -place, side="left"))
        at = start[:alive] + place
        alone = upto[start[:alive]] - upto[at]
        best[at] = alone
        if not place:
            continue
        used = lags[: min(place, len(lags))]
        reached = best[at[:, None] - used] + steps[at][:, : len(used)]
        top = np.argmax(reached, axis=1)
        value = reached[np.arange(alive), top]
        best[at] = np.maximum(value, alone)
        back[at] = np.where(value > alone, used[top], 0)
    return back, _chain_ends(best, cost, start, number)


def _chain_ends(best: Array, cost: Array, start: Array, number: Array) -> Array:
    """The last kept figure of each vehicle."""
    vehicle = np.repeat(np.arange(len(start)), number)
    flat = np.repeat(start - np.concatenate([[0], np.cumsum(number)[:-1]]), number) + np.arange(int(number.sum()))
    total = best[flat] - (cost[np.repeat(start + number - 1, number)] - cost[flat])
    # The later of equals ends the chain.
    order = np.lexsort((flat, total, vehicle))
    last = np.append(np.flatnonzero(np.diff(vehicle[order])), len(order) - 1)
    return flat[order[last]]


def _traced(track: Track, pace: Pace, unit: ClockUnit, *, back: Array, at: Array) -> Chain:
    """The chains, followed back from their ends."""
    kept = np.zeros(len(track.vehicle), dtype=bool)
    kind = np.zeros(len(track.vehicle), dtype=np.int8)
    while len(at):
        kept[at] = True
        moving = at[back[at] > 0]
        before = moving - back[moving]
        kind[moving] = np.argmax(_step_scores(track, pace, unit, (moving, before)), axis=0)
        at = before
    return Chain(kept, kind)
