"""What became of a clock whose figures break off and go on elsewhere: rolled over, changed, or read in another unit.

A stretch of figures between two breaks is a piece; each gets a factor and an offset that bring its figures to the
vehicle's running total.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from wearmodel.history.odometer_chain import FALSE_DAYS, NO_SHIFT, SHOWN, Chain
from wearmodel.history.odometer_figures import ClockUnit
from wearmodel.history.odometer_pace import Pace, Track, log_t, log_trip

__all__ = ["Level", "LevelKind", "Levels", "build_levels"]

Array = NDArray[Any]

LevelKind = Literal["rollover", "changed", "unit", "unit before", "decimal", "back", "copied", "strange"]
"""rollover: the clock went past its last figure; changed: another clock; unit: written in the other unit from here
on; unit before: until here; decimal: a decimal place more or less; back: as before an earlier break; copied: one
figure repeated while the vehicle ran; strange: figures that fit no clock of the vehicle."""

# Log of how often a step that could be of a kind is of that kind: many vehicles past 99,999 have a clock that starts
# again, few steps hold a change of clock or unit; once broken, a clock is often read as before. Own choice.
_LOG_PRIOR = {"rollover": -2.0, "changed": -8.0, "unit": -8.0, "unit before": -8.0, "decimal": -9.0, "back": -3.0}
_LOG_TWICE = 2.5
_LIFE = 4.0
# The last figure before a rollover may be a little beyond it by what it is rounded to.
_JUST_PAST = 1.0005
_LOG_STOOD = -2.3
# How much a change of pace counts against a unit that would explain it, or for one that would not.
_PACE_SCALE = 0.4
_PACE_DAYS = 180.0
_LEAST_DAYS = 45.0


@dataclass(frozen=True)
class Level:
    """One stretch of a vehicle's figures that is not the running total as written.

    Parameters
    ----------
    kind : LevelKind
        What happened where it begins.
    vehicle : int
        Vehicle index.
    head : int
        Its first figure, a place in the track.
    before : int
        The last figure before it.
    figures : ndarray of int
        Its kept figures.
    factor, offset : float
        Running total = factor * figure + offset [1], [distance].
    variance : float
        Of the offset [distance^2], with what was carried before.
    probability : float
        Chance of this kind against the other kinds.
    """

    kind: LevelKind
    vehicle: int
    head: int
    before: int
    figures: Array
    factor: float
    offset: float
    variance: float
    probability: float


@dataclass(frozen=True)
class Levels:
    """Breaks of all vehicles.

    Parameters
    ----------
    listed : tuple of Level
        Every piece after a break; one whose factor is 1 and offset 0 is the running total again.
    factor, offset, variance : ndarray, shape (n_figures,)
        By figure; 1, 0, 0 for figures not kept or before any break.
    dropped : ndarray of bool, shape (n_figures,)
        Kept figures that belong to no clock of the vehicle after all.
    """

    listed: tuple[Level, ...]
    factor: Array
    offset: Array
    variance: Array
    dropped: Array


@dataclass(frozen=True)
class _Guess:
    kind: LevelKind
    factor: float
    offset: float
    variance: float
    score: float


class _Clock:
    """Pieces of one vehicle, taken one after the other."""

    def __init__(self, track: Track, pace: Pace, unit: ClockUnit, pieces: list[Array]) -> None:
        self._track, self._unit = track, unit
        self._vehicle = int(track.vehicle[pieces[0][0]])
        self._rate = float(pace.rate[self._vehicle])
        self._pace = pace
        self._pieces = pieces
        first = Level("back", self._vehicle, int(pieces[0][0]), -1, pieces[0], 1.0, 0.0, 0.0, 1.0)
        self._levels = [first]
        for piece in pieces[1:]:
            self._levels.append(self._level(piece))

    def levels(self) -> list[Level]:
        """All pieces with what became of them; stretches the clock came back from are judged as a whole."""
        out = list(self._levels)
        for later, level in enumerate(out):
            if level.kind != "back" or later < 2:
                continue
            home = max(k for k in range(later) if self._same(out[k], level))
            for k in range(home + 1, later):
                if out[k].kind == "changed":
                    values = self._track.value[out[k].figures]
                    kind: LevelKind = "copied" if np.ptp(values) == 0 else "strange"
                    out[k] = replace(out[k], kind=kind)
        return out

    @staticmethod
    def _scaled(level: Level, other: float, chance: float) -> Level:
        """An earlier piece, found to be in the other unit."""
        kind: LevelKind = "unit" if level.kind == "back" else level.kind
        probability = min(level.probability, chance)
        offset, variance = level.offset * other, level.variance * other**2
        return replace(
            level, kind=kind, factor=level.factor * other, offset=offset, variance=variance, probability=probability
        )

    @staticmethod
    def _same(one: Level, other: Level) -> bool:
        return one.factor == other.factor and one.offset == other.offset

    def _variance(self, days: float) -> float:
        return float(self._pace.variance(np.array([self._vehicle]), np.array([days]))[0])

    def _pace_of(self, piece: Array, *, at_end: bool) -> float:
        """Daily running of a piece as written, next to the break; NaN where too short."""
        days, values = self._track.day[piece], self._track.value[piece]
        near = days >= days[-1] - _PACE_DAYS if at_end else days <= days[0] + _PACE_DAYS
        span = float(np.ptp(days[near]))
        return float(np.ptp(values[near])) / span if span >= _LEAST_DAYS else float("nan")

    def _fit(self, *, total: float, i: int, j: int, total_j: float) -> float:
        """Log density of running from figure j to i when they stand for these totals."""
        days = max(float(self._track.day[i] - self._track.day[j]), 0.0)
        gain = total - total_j
        rounding = float(self._track.grain[i] ** 2 + self._track.grain[j] ** 2) / 12.0
        sd = np.sqrt(self._variance(days) + rounding)
        if gain < -2.0 * self._rate - np.sqrt(12.0 * rounding) or gain > self._unit.most_a_day * (days + 1.0):
            return -np.inf
        beyond = np.asarray(gain - self._rate * days)
        trip = float(log_trip(beyond, days=np.asarray(days), unit=self._unit))
        score = max(float(log_t(beyond / sd)) - float(np.log(sd)), trip)
        # Just where the last figure was: a vehicle that stood.
        stood = abs(gain) <= 2.0 + np.sqrt(12.0 * rounding)
        return max(score, _LOG_STOOD - float(np.log(2.0 + np.sqrt(12.0 * rounding)))) if stood else score

    def _pace_evidence(self, piece: Array, last: Level, factor: float) -> float:
        """How well the pace after the break, times a factor, agrees with the pace before."""
        after = self._pace_of(piece, at_end=False) * factor
        before = self._pace_of(last.figures, at_end=True) * last.factor
        if not (after > 0 and before > 0):
            return 0.0
        return -min(abs(float(np.log(after / before))) / _PACE_SCALE, 3.0)

    def _guesses(self, piece: Array) -> Iterator[_Guess]:
        last, i = self._levels[-1], int(piece[0])
        j, y = int(last.figures[-1]), float(self._track.value[i])
        total_j = last.factor * float(self._track.value[j]) + last.offset

        def guess(kind: LevelKind, factor: float, offset: float) -> _Guess:
            fit = self._fit(total=factor * y + offset, i=i, j=j, total_j=total_j)
            evidence = self._pace_evidence(piece, last, factor)
            return _Guess(kind, factor, offset, last.variance, _LOG_PRIOR[kind] + fit + evidence)

        shown = float(self._track.value[j])
        for at in self._unit.rollovers:
            if max(shown / _JUST_PAST, y) < at and y < shown:
                yield guess("rollover", last.factor, last.offset + at * last.factor)
            if shown < at and y > shown:
                yield guess("rollover", last.factor, last.offset - at * last.factor)
        other = self._unit.other_factor
        said = self._track.trust[i] == SHOWN
        if other != 1.0 and last.offset == 0.0 and not said:
            yield guess("unit", last.factor * other, 0.0)
            # The other way round it takes two mistakes: a table said to be in a unit that it is not in.
            twice = guess("unit", last.factor / other, 0.0)
            yield replace(twice, score=twice.score - _LOG_TWICE)
            fit = self._fit(total=y, i=i, j=j, total_j=total_j * other)
            evidence = self._pace_evidence(piece, last, 1.0 / other)
            if last.factor == 1.0:
                yield _Guess("unit before", 1.0, 0.0, 0.0, _LOG_PRIOR["unit before"] + fit + evidence)
        if last.offset == 0.0 and not said:
            for factor in (10.0, 0.1):
                yield guess("decimal", last.factor * factor, 0.0)
        yield from self._returns(piece)
        yield self._changed(piece, last, total_j)

    def _returns(self, piece: Array) -> Iterator[_Guess]:
        """The clock is read again as before an earlier break."""
        i = int(piece[0])
        for level in self._levels[:-1]:
            j = int(level.figures[-1])
            total_j = level.factor * float(self._track.value[j]) + level.offset
            total = level.factor * float(self._track.value[i]) + level.offset
            fit = self._fit(total=total, i=i, j=j, total_j=total_j)
            evidence = self._pace_evidence(piece, level, level.factor)
            yield _Guess("back", level.factor, level.offset, level.variance, _LOG_PRIOR["back"] + fit + evidence)

    def _changed(self, piece: Array, last: Level, total_j: float) -> _Guess:
        """Another clock: it goes on from where the vehicle should be."""
        i, j = int(piece[0]), int(last.figures[-1])
        y, days = float(self._track.value[i]), max(float(self._track.day[i] - self._track.day[j]), 0.0)
        paces = [self._pace_of(last.figures, at_end=True) * last.factor, self._pace_of(piece, at_end=False)]
        known = [pace for pace in paces if np.isfinite(pace)]
        rate = float(np.mean(known)) if known else self._rate
        gain = rate * days
        new_clock = y <= 2.0 * self._rate * (days + 1.0)
        if new_clock:
            gain = max(gain, y)
        # Half of new clocks begin near zero, the others anywhere in a vehicle's life.
        spread = 4.0 * self._rate * (days + 1.0) if new_clock else 2.0 * _LIFE * FALSE_DAYS * self._rate
        variance = last.variance + self._variance(days)
        score = _LOG_PRIOR["changed"] - np.log(spread) + self._pace_evidence(piece, last, 1.0)
        return _Guess("changed", 1.0, total_j + gain - y, variance, float(score))

    def _level(self, piece: Array) -> Level:
        guesses = list(self._guesses(piece))
        scores = np.array([guess.score for guess in guesses])
        best = guesses[int(np.argmax(scores))]
        chance = 1.0 / float(np.exp(scores - scores.max()).sum())
        if best.kind == "unit before":
            # The earlier figures are in the other unit, back to the last break or the beginning.
            other = self._unit.other_factor
            self._levels = [self._scaled(level, other, chance) for level in self._levels]
        before = int(self._levels[-1].figures[-1])
        return Level(
            best.kind, self._vehicle, int(piece[0]), before, piece, best.factor, best.offset, best.variance, chance
        )


def _pieces(track: Track, chain: Chain) -> Iterator[list[Array]]:
    """Kept figures of each vehicle with a break, cut there."""
    kept = np.flatnonzero(chain.kept)
    vehicle = track.vehicle[kept]
    breaks = chain.step[kept] != NO_SHIFT
    for index in np.unique(vehicle[breaks]):
        low, high = np.searchsorted(vehicle, [index, index + 1])
        yield np.split(kept[low:high], np.flatnonzero(breaks[low:high]))


def build_levels(track: Track, chain: Chain, pace: Pace, *, unit: ClockUnit) -> Levels:
    """What became of the clock at each break of a chain.

    Parameters
    ----------
    track : Track
        Figures.
    chain : Chain
        From `likeliest_chain`.
    pace : Pace
        Usual running.
    unit : ClockUnit
        Rollovers and the unit figures are mistaken for.

    Returns
    -------
    Levels
        The likeliest kind of each break: exact explanations (rollover, unit, decimal place, back on the former
        clock) are weighed by how well the running over the break then fits, another clock by how likely its
        first figure is to be anywhere, or near zero.
    """
    size = len(track.vehicle)
    factor, offset, variance = np.ones(size), np.zeros(size), np.zeros(size)
    dropped = np.zeros(size, dtype=bool)
    listed: list[Level] = []
    for pieces in _pieces(track, chain):
        for level in _Clock(track, pace, unit, pieces).levels():
            factor[level.figures], offset[level.figures] = level.factor, level.offset
            variance[level.figures] = level.variance
            dropped[level.figures] = level.kind in ("copied", "strange")
            if level.before >= 0 or level.factor != 1.0:
                listed.append(level)
    return Levels(tuple(listed), factor, offset, variance, dropped)
