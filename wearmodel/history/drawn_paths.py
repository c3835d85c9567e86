"""Open lines that can be spread in too many ways: a part of the states, drawn so that sums over paths stay right.

States are followed as in `wearmodel.history.open_positions`, but of each moment only some hundreds are kept: the most
promising for certain, each of the others with a chance proportional to what it promises, and then it counts for the
inverse of that chance (Fearnhead & Clifford, Journal of the Royal Statistical Society B 65, 2003). What a state
promises is the likelihood of the ways to it times what may be expected of it (`wearmodel.history.prospects`), as in
the auxiliary particle filter (Pitt & Shephard, Journal of the American Statistical Association 94, 1999). Sums over
all paths are then right on average under any life model, whichever one the states were drawn with; chances of lives
come from exact forward and backward passes over what was kept.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.history.open_positions import LEAST_LOG, Paths, Timeline, TooManyPathsError, paths_of
from wearmodel.history.prospects import LifeTable, log_prospects

__all__ = ["LargeTimeline", "build_large_timeline", "draw_paths"]

Array = NDArray[Any]
#: Most lives of one timeline: beyond it the open lines only end what is known.
MOST_LIVES = 10_000
#: States kept at any one moment (`tests/recovery/drawn_states_study.py` shows what fewer and more do), those of a draw
#: that need not be good, and how often they are quadrupled where none of them leads to the end.
KEPT_STATES, ROUGH_STATES = 500, 100
_ATTEMPTS = 3
_NEVER = -1


@dataclass(frozen=True)
class _Reading:
    """One step: which places each reading of the line fills, with which of their events, and the events after it.

    `alone` holds the place of each reading where each fills one.
    """

    fills: Array
    event: Array
    following: Array
    alone: Array | None


@dataclass(frozen=True)
class LargeTimeline:
    """A timeline with too many states, and all lives its positions can have had.

    Parameters
    ----------
    lives : tuple of (int, int)
        The event each starts with and the one it ends with (-1: end of the record).
    table : LifeTable
        The same by place.
    readings : tuple of _Reading
        Steps in the order of time.
    mark : ndarray of uint64, shape (n_places, n_events)
        Random numbers whose sums tell states apart.
    """

    lives: tuple[tuple[int, int], ...]
    table: LifeTable
    readings: tuple[_Reading, ...]
    mark: Array


def build_large_timeline(timeline: Timeline, *, days: ArrayLike) -> LargeTimeline:
    """Lives and readings of a timeline whose states are to be drawn.

    Parameters
    ----------
    timeline : Timeline
        Each step fills a place with the same event, however it is read.
    days : array_like, shape (n_events,)
        Day of each event [d].

    Returns
    -------
    LargeTimeline
        Ready for `draw_paths`.

    Raises
    ------
    TooManyPathsError
        The positions can have had more than `MOST_LIVES` lives.
    """
    places = len(timeline.first)
    events = [[event] for event in timeline.first]
    steps = [[-1] for _ in events]
    certain: list[set[int]] = [set() for _ in events]
    readings = []
    for number, step in enumerate(timeline.steps):
        fills = np.zeros((len(step.options), places), dtype=bool)
        for row, option in enumerate(step.options):
            for place, event in option:
                fills[row, place] = True
                if events[place][-1] != event:
                    events[place].append(event)
                    steps[place].append(number)
        last = np.array([len(own) - 1 for own in events])
        for always in np.flatnonzero(fills.all(axis=0)):
            certain[always].add(int(last[always]))
        alone = fills.argmax(axis=1) if (fills.sum(axis=1) == 1).all() else None
        readings.append(_Reading(fills, last, last + 1, alone))
    lives, table = _lives_of(events, certain, np.asarray(days, dtype=float))
    at = np.full(table.shape[:2], len(readings))
    for place, own in enumerate(steps):
        at[place, : len(own)] = own
    filled = np.array([reading.fills.sum(axis=1).mean() for reading in readings])
    mark = np.random.default_rng(0).integers(0, 2**63, size=table.shape[:2], dtype=np.uint64)
    return LargeTimeline(lives, LifeTable(table, at, filled), tuple(readings), mark)


def _lives_of(
    events: Sequence[Sequence[int]], certain: Sequence[set[int]], days: Array
) -> tuple[tuple[tuple[int, int], ...], Array]:
    """All lives of some places and their numbers: none spans an event that is certain, or begins and ends on a day."""
    count = max(len(own) for own in events)
    table: Array = np.full((len(events), count, count + 1), -1)
    lives: list[tuple[int, int]] = []
    for place, own in enumerate(events):
        for start in range(len(own)):
            stops = [stop for stop in range(start + 1, len(own)) if stop in certain[place]]
            last = stops[0] if stops else len(own) - 1
            ends = [stop for stop in range(start + 1, last + 1) if start == 0 or days[own[stop]] > days[own[start]]]
            table[place, start, ends] = np.arange(len(lives), len(lives) + len(ends))
            lives += [(own[start], own[stop]) for stop in ends]
            if not stops:
                table[place, start, count] = len(lives)
                lives.append((own[start], _NEVER))
        if len(lives) > MOST_LIVES:
            raise TooManyPathsError("positions that can have had too many lives")
    return tuple(lives), table


@dataclass(frozen=True)
class _Moves:
    """Transitions of a step: states before and after, lives by place (-1: goes on), what the state after counts for."""

    source: Array
    target: Array
    life: Array
    log_weight: Array
    reached: int


@dataclass(frozen=True)
class _Front:
    """States at one moment: the event that last filled each place, a mark, and the log of the sum over ways to it."""

    event: Array
    mark: Array
    log_sum: Array


def draw_paths(
    timelines: Sequence[LargeTimeline],
    log_likelihoods: Sequence[Array],
    *,
    seed: int,
    states: int = KEPT_STATES,
) -> Paths:
    """Paths through states drawn by what they promise.

    Parameters
    ----------
    timelines : sequence of LargeTimeline
        From `build_large_timeline`.
    log_likelihoods : sequence of ndarray, shape (n_lives,)
        Of each timeline's lives.
    seed : int
        The same seed draws the same states, so that answers repeat; each timeline has random numbers of its own.
    states : int
        Kept at any one moment, at least 1.

    Returns
    -------
    Paths
        Its lives are those of the timelines, one timeline after another.

    Raises
    ------
    TooManyPathsError
        No state that was kept leads to the end.
    """
    drawn = []
    for timeline, likely in zip(timelines, log_likelihoods, strict=True):
        for attempt in range(_ATTEMPTS):
            rng = np.random.default_rng([seed, timeline.lives[0][0]])
            moves = _without_dead_ends(_drawn(timeline, likely, states * 4**attempt, rng))
            if all(len(step.source) for step in moves):
                break
        else:
            raise TooManyPathsError("open lines that can be spread in no way that was found")
        drawn.append(moves)
    return _joined(timelines, drawn)


def _drawn(timeline: LargeTimeline, log_likelihood: Array, states: int, rng: np.random.Generator) -> list[_Moves]:
    """Transitions between the states kept, step by step; the last leads to the end of the record."""
    likely = np.maximum(np.asarray(log_likelihood, dtype=float), LEAST_LOG)
    table = timeline.table.life
    places, count = table.shape[:2]
    gains = np.where(table >= 0, likely[table], -np.inf)
    prospects = log_prospects(timeline.table, likely)
    start = np.zeros((1, places), dtype=np.intp)
    front = _Front(start, timeline.mark[:, 0].sum(keepdims=True), np.zeros(1))
    moves = []
    for reading in timeline.readings:
        front, step = _advanced(front, reading, timeline, gains, prospects, states, rng)
        moves.append(step)
    life = table[np.arange(places), front.event, count]
    ended = np.flatnonzero((life >= 0).all(axis=1))
    moves.append(_Moves(ended, np.zeros(len(ended), dtype=np.intp), life[ended], np.zeros(len(ended)), 1))
    return moves


def _advanced(
    front: _Front,
    reading: _Reading,
    timeline: LargeTimeline,
    gains: Array,
    prospects: Array,
    states: int,
    rng: np.random.Generator,
) -> tuple[_Front, _Moves]:
    """The states kept after a line, and the transitions to them."""
    place = np.arange(reading.fills.shape[1])
    gain = gains[place, front.event, reading.event]
    change = timeline.mark[place, reading.event] - timeline.mark[place, front.event]
    if reading.alone is None:
        gain = np.stack([gain[:, own].sum(axis=1) for own in reading.fills], axis=1)
        change = np.stack([change[:, own].sum(axis=1, dtype=np.uint64) for own in reading.fills], axis=1)
    else:
        gain, change = gain[:, reading.alone], change[:, reading.alone]
    log_sum = (front.log_sum[:, None] + gain).ravel()
    possible = np.flatnonzero(np.isfinite(log_sum))
    marks = (front.mark[:, None] + change).ravel()[possible]
    mark, example, reached = np.unique(marks, return_index=True, return_inverse=True)
    source, option = np.divmod(possible, len(reading.fills))
    event = np.where(reading.fills[option[example]], reading.event, front.event[source[example]])
    total = _log_sums(log_sum[possible], reached, len(mark))
    promise = total + prospects[place, event, reading.following].sum(axis=1)
    chance = _keep_chances(promise, states)
    kept = np.diff(np.floor(np.cumsum(np.append(rng.random(), chance)))) > 0
    kept |= chance >= 1.0
    log_weight = -np.log(chance[kept])
    followed = kept[reached]
    target = (np.cumsum(kept) - 1)[reached[followed]]
    life = np.where(
        reading.fills[option[followed]],
        timeline.table.life[place, front.event[source[followed]], reading.event],
        -1,
    )
    step = _Moves(source[followed], target, life, log_weight[target], int(kept.sum()))
    return _Front(event[kept], mark[kept], total[kept] + log_weight), step


def _log_sums(values: Array, group: Array, groups: int) -> Array:
    """Log of the sum of exponentials by group."""
    highest = np.full(groups, -np.inf)
    np.maximum.at(highest, group, values)
    return np.asarray(highest + np.log(np.bincount(group, np.exp(values - highest[group]), minlength=groups)))


def _keep_chances(promise: Array, states: int) -> Array:
    """Chance to keep each state: proportional to what it promises, no higher than 1, their sum the states wanted."""
    if len(promise) <= states:
        return np.ones(len(promise))
    weight = np.exp(promise - promise.max())
    falling = np.sort(weight)[::-1]
    rest = np.cumsum(falling[::-1])[::-1]
    sure = int(np.argmax(falling[:states] * np.arange(states, 0, -1) <= rest[:states]))
    return np.asarray(np.minimum(1.0, weight * (states - sure) / max(float(rest[sure]), 1e-300)))


def _without_dead_ends(moves: Sequence[_Moves]) -> list[_Moves]:
    """The transitions from which the end of the record can be reached."""
    alive = np.ones(1, dtype=bool)
    kept: list[_Moves] = []
    before = [1, *(step.reached for step in moves)]
    for step, states in zip(reversed(moves), reversed(before[:-1]), strict=True):
        goes_on = np.flatnonzero(alive[step.target])
        goes_on = goes_on[np.argsort(step.target[goes_on], kind="stable")]
        alive = np.zeros(states, dtype=bool)
        alive[step.source[goes_on]] = True
        kept.append(
            _Moves(
                step.source[goes_on], step.target[goes_on], step.life[goes_on], step.log_weight[goes_on], step.reached
            )
        )
    return kept[::-1]


def _joined(timelines: Sequence[LargeTimeline], drawn: Sequence[Sequence[_Moves]]) -> Paths:
    """Paths of several timelines in one."""
    source, target, life, counts, log_weight, group, level = ([] for _ in range(7))
    states = lives = 0
    for number, (timeline, moves) in enumerate(zip(timelines, drawn, strict=True)):
        begins = states + np.cumsum([0, 1, *(step.reached for step in moves)])
        for depth, step in enumerate(moves):
            source.append(begins[depth] + step.source)
            target.append(begins[depth + 1] + step.target)
            life.append(step.life[step.life >= 0] + lives)
            counts.append((step.life >= 0).sum(axis=1))
            log_weight.append(step.log_weight)
        sizes = np.diff(begins)
        group.append(np.full(sizes.sum(), number))
        level.append(np.repeat(np.arange(len(sizes)), sizes))
        states, lives = int(begins[-1]), lives + len(timeline.lives)
    return paths_of(
        tuple(pair for timeline in timelines for pair in timeline.lives),
        source=np.concatenate(source),
        target=np.concatenate(target),
        counts=np.concatenate(counts),
        life=np.concatenate(life),
        log_weight=np.concatenate(log_weight),
        group=np.concatenate(group),
        level=np.concatenate(level),
    )
