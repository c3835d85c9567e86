"""What a false figure was meant to be: a digit mistyped, lost, doubled or swapped, a decimal place, a unit, a date."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.history.odometer_chain import FALSE_DAYS, slack
from wearmodel.history.odometer_figures import ClockUnit
from wearmodel.history.odometer_pace import Pace, Track, log_t

__all__ = ["DATE_FAULTS", "FAULTS", "Repairs", "build_repairs"]

Array = NDArray[Any]

#: Ways a figure goes wrong, in words, and how often (own choice; only the order of size matters).
FAULTS = {
    "digit": ("one digit was wrong", 0.35),
    "swapped": ("two neighbouring digits were swapped", 0.10),
    "doubled": ("a digit was doubled", 0.07),
    "extra": ("there was a digit too many", 0.05),
    "missing": ("a digit was missing", 0.12),
    "shorter": ("there was a zero too many, or the decimal point was lost", 0.12),
    "longer": ("there was a zero too few, or a decimal point too many", 0.10),
    "two longer": ("there were two zeros too few", 0.01),
    "two shorter": ("there were two zeros too many", 0.01),
    "unit": ("it was in the other unit", 0.05),
    "unit twice": ("it had been converted though it was in the fleet's unit", 0.01),
    "leading": ("the digits in front were left out", 0.02),
    "clock": ("it belongs to the other clock of the vehicle", 0.02),
    "garbage": ("", 0.10),
}

DATE_FAULTS = {
    "date swapped": ("day and month may be swapped", 0.04),
    "date year": ("the year may be wrong", 0.04),
    "date month": ("the month may be wrong", 0.02),
    "date late": ("the job may have been dated some days late", 0.10),
}
"""Ways a date goes wrong, in words, and how often."""

_KINDS = tuple(FAULTS)
_DATE_KINDS = tuple(DATE_FAULTS)
_DIGITS = 8
_SURE = 0.75
_RIVAL = 1.0 / 3.0
# Days of running by which two readings of a figure must differ to be worth a question.
_MATTERS_DAYS = 7.0
_SAME_DAYS = 0.25
_BATCH = 10_000


@dataclass(frozen=True)
class Repairs:
    """The best reading of each false figure.

    Parameters
    ----------
    figure : ndarray of int, shape (n_false,)
        Places in the track, ascending.
    expected : ndarray, shape (n_false,)
        Running total that the vehicle's other figures give [distance].
    total : ndarray, shape (n_false,)
        Running total of the best reading [distance]; NaN where none is better than no reading at all.
    fault : ndarray of str, shape (n_false,)
        Key of `FAULTS` or `DATE_FAULTS`.
    probability : ndarray, shape (n_false,)
        Chance that the best reading is right.
    sure : ndarray of bool, shape (n_false,)
        The best reading is good enough to be used.
    doubtful : ndarray of bool, shape (n_false,)
        Other readings are together about as likely and far enough off to matter.
    other_day : ndarray, shape (n_false,)
        Day on which the figure as written would fit [d]; NaN where the date is not in doubt.
    """

    figure: Array
    expected: Array
    total: Array
    fault: Array
    probability: Array
    sure: Array
    doubtful: Array
    other_day: Array


@dataclass(frozen=True)
class _Kept:
    """The believed figures and what they say of others."""

    track: Track
    place: Array
    total: Array
    pace: Pace

    def around(self, vehicle: Array, day: Array) -> tuple[Array, Array, Array, Array]:
        """Places of the kept figures before and after days of vehicles, and whether there are such."""
        stride = 1e6
        key = self.track.vehicle[self.place] * stride + self.track.day[self.place]
        after = np.searchsorted(key, vehicle * stride + day, side="left")
        last = len(self.place) - 1
        q, p = np.clip(after, 0, last), np.clip(after - 1, 0, last)
        has_q = (after <= last) & (self.track.vehicle[self.place[q]] == vehicle)
        has_p = (after > 0) & (self.track.vehicle[self.place[p]] == vehicle)
        return p, q, has_p, has_q

    def expect(self, vehicle: Array, day: Array) -> tuple[Array, Array, Array, Array]:
        """Expected total on days, its standard deviation, and the least and most it can be."""
        p, q, has_p, has_q = self.around(vehicle, day)
        rate, wander = self.pace.rate[vehicle], self.pace.wander[vehicle]
        day_p, day_q = self.track.day[self.place[p]], self.track.day[self.place[q]]
        low, high = self.total[p], self.total[q]
        a, b = np.maximum(day - day_p, 0.0), np.maximum(day_q - day, 0.0)
        span = np.maximum(a + b, 1e-9)
        middle = np.where(a + b > 0, low + (high - low) * a / span, 0.5 * (low + high))
        both = has_p & has_q
        mean = np.where(both, middle, np.where(has_p, low + rate * a, high - rate * b))
        alone = np.where(has_p, a, b)
        variance = np.where(both, wander * (a * b / span + 1.0), self.pace.variance(vehicle, alone))
        gain = np.where(both, np.maximum(high - low, rate), np.inf)
        sd = np.sqrt(np.minimum(variance, gain**2 / 4.0 + wander))
        return mean, sd, np.where(has_p, low, -np.inf), np.where(has_q, high, np.inf)


def _digit_readings(printed: Array) -> tuple[Array, Array, Array]:
    """Readings of figures with one slip of the pen undone: values, fault numbers and log chances, by column.

    The last axis is the reading; those that do not apply to a figure are NaN.
    """
    whole = np.floor(printed)
    rest = printed - whole
    length = np.maximum(np.floor(np.log10(np.maximum(whole, 1.0))) + 1.0, 1.0)
    values: list[Array] = []
    kinds: list[int] = []
    chances: list[Array] = []

    def add(kind: str, reading: Array, valid: Array, chance: Array) -> None:
        values.append(np.where(valid, reading + rest, np.nan))
        kinds.append(_KINDS.index(kind))
        chances.append(np.log(FAULTS[kind][1]) + np.log(chance))

    for place in range(_DIGITS):
        unit = 10.0**place
        above = np.floor(whole / (10.0 * unit))
        digit = np.floor(whole / unit) - 10.0 * above
        below = whole - np.floor(whole / unit) * unit
        there = place < length
        upper = above - 10.0 * np.floor(above / 10.0)
        for new in range(10):
            add("digit", whole + (new - digit) * unit, there & (digit != new), 1.0 / (9.0 * length))
            inserted = (np.floor(whole / unit) * 10.0 + new) * unit + below
            # A missing first digit is not a zero; one that only repeats its neighbour is counted once.
            fits = (place <= length) & ((place < length) | (new > 0)) & ((new != digit) | ~there)
            add("missing", inserted, fits, 1.0 / (9.0 * (length + 1.0)))
        paired = place + 1 < length
        add("swapped", whole - 9.0 * (upper - digit) * unit, paired & (upper != digit), 1.0 / length)
        twin = paired & (upper == digit)
        add("doubled", above * unit + below, twin, np.full_like(length, 0.5))
        add("extra", above * unit + below, there & ~twin & (length > 1), 1.0 / length)
    return np.stack(values, axis=-1), np.array(kinds), np.stack(chances, axis=-1)


def _factor_readings(written: Array, unit: ClockUnit) -> tuple[Array, Array, Array]:
    """Readings of figures with a decimal place, a unit or the leading digits mended."""
    readings = [
        ("shorter", written / 10.0), ("longer", written * 10.0),
        ("two shorter", written / 100.0), ("two longer", written * 100.0),
        *(("leading", written + at) for at in unit.rollovers),
    ]  # fmt: skip
    if unit.other_factor != 1.0:
        readings += [("unit", written * unit.other_factor), ("unit twice", written / unit.other_factor)]
    kinds = np.array([_KINDS.index(kind) for kind, _ in readings])
    chances = np.array([np.log(FAULTS[kind][1]) for kind, _ in readings])
    values = np.stack([value for _, value in readings], axis=-1)
    return values, kinds, np.broadcast_to(chances, values.shape)


def _other_days(day: Array) -> Array:
    """Days that a date may have been meant for: day and month swapped, a year or a month more or less."""
    dates = pd.to_datetime(day, unit="D", origin="unix")
    year, month, number = (np.asarray(part, dtype=np.int64) for part in (dates.year, dates.month, dates.day))

    def at(years: Array, months: Array, days: Array) -> Array:
        months = months - 1
        start = (years - 1970) * 12 + months
        first = start.astype("datetime64[M]").astype("datetime64[D]").astype(np.int64).astype(float)
        length = (start + 1).astype("datetime64[M]").astype("datetime64[D]").astype(np.int64) - first
        return np.where(days <= length, first + days - 1.0, np.nan)

    swapped = np.where((number <= 12) & (number != month), at(year, np.minimum(number, 12), month), np.nan)
    years = [at(year + shift, month, number) for shift in (-1, 1, -10, 10)]
    months = [at(year, month + shift, number) for shift in (-1, 1)]
    return np.stack([swapped, *years, *months, *(day - late for late in (2.0, 4.0, 7.0))], axis=-1)


_OTHER_DAY_KINDS = np.array([0, 1, 1, 1, 1, 2, 2, 3, 3, 3])


def _date_scores(kept: _Kept, vehicle: Array, day: Array, total: Array) -> tuple[Array, Array]:
    """Log chances that figures are right and belong to other days, and these days."""
    days = _other_days(day)
    count = np.bincount(_OTHER_DAY_KINDS)
    prior = np.log([DATE_FAULTS[_DATE_KINDS[k]][1] / count[k] for k in _OTHER_DAY_KINDS])
    who = np.repeat(vehicle[:, None], days.shape[1], axis=1)
    when = np.where(np.isnan(days), day[:, None], days)
    mean, sd, low, high = kept.expect(who, when)
    inside = np.isfinite(low) & np.isfinite(high) & ~np.isnan(days)
    inside &= (total[:, None] >= low) & (total[:, None] <= high)
    score = prior + log_t((total[:, None] - mean) / sd) - np.log(sd)
    return np.where(inside, score, -np.inf), days


def build_repairs(
    track: Track,
    *,
    kept: Array,
    total: Array,
    printed: Array,
    print_factor: Array,
    context: Array,
    pace: Pace,
    unit: ClockUnit,
) -> Repairs:
    """The best reading of every figure that was not kept.

    Parameters
    ----------
    track : Track
        Figures.
    kept : ndarray of bool, shape (n_figures,)
        Believed figures.
    total : ndarray, shape (n_figures,)
        Running total of the believed ones [distance].
    printed, print_factor : ndarray, shape (n_figures,)
        Figures as printed, and what makes distances of them.
    context : ndarray, shape (n_figures, 2, 2)
        Factor and offset of the clock in use before and after.
    pace : Pace
        Usual running.
    unit : ClockUnit
        Units and rollovers.

    Returns
    -------
    Repairs
        Of each reading, the chance of the slip times the density of the running it implies between the believed
        figures before and after; readings outside of these do not count. The chances are set against each other
        and against no reading at all: a figure that could be anything.
    """
    false = np.flatnonzero(~kept)
    place = np.flatnonzero(kept)
    source = _Kept(track, place, total[place], pace)
    parts = [
        _repairs_of(false[low : low + _BATCH], source, printed, print_factor, context, unit)
        for low in range(0, len(false), _BATCH)
    ]
    names = [name for name in Repairs.__dataclass_fields__ if name != "figure"]
    empty = {name: np.zeros(0) for name in names}
    joined = {name: np.concatenate([getattr(part, name) for part in parts]) for name in names} if parts else empty
    return Repairs(figure=false, **joined)


def _repairs_of(
    false: Array, kept: _Kept, printed: Array, print_factor: Array, context: Array, unit: ClockUnit
) -> Repairs:
    """The best readings of some figures."""
    track, pace = kept.track, kept.pace
    vehicle, day = track.vehicle[false], track.day[false]
    mean, sd, low, high = kept.expect(vehicle, day)
    room = slack(track, pace, false, false)
    pen, pen_kinds, pen_chances = _digit_readings(printed[false])
    pen = pen * print_factor[false, None]
    mended, mended_kinds, mended_chances = _factor_readings(track.value[false], unit)
    factor, offset = context[false, 0, 0, None], context[false, 0, 1, None]
    own = track.value[false, None]
    as_written = factor * own + offset
    clocks = np.concatenate([context[false, 1, 0, None] * own + context[false, 1, 1, None], own], axis=1)
    clocks = np.where(np.abs(clocks - as_written) > 0.5, clocks, np.nan)
    clock = np.full_like(clocks, np.log(FAULTS["clock"][1]))
    readings = np.concatenate([factor * np.concatenate([pen, mended], axis=1) + offset, clocks], axis=1)
    garbled = np.append(np.concatenate([pen_kinds, mended_kinds]), [_KINDS.index("clock")] * 2)
    prior = np.concatenate([pen_chances, mended_chances, clock], axis=1)
    z = (readings - mean[:, None]) / sd[:, None]
    score = prior + log_t(z) - np.log(sd)[:, None]
    fits = (readings >= (low - room)[:, None]) & (readings <= (high + room)[:, None])
    score = np.where(fits & np.isfinite(readings), score, -np.inf)
    dates, other_days = _date_scores(kept, vehicle, day, as_written[:, 0])
    nothing = np.log(FAULTS["garbage"][1]) - np.log(FALSE_DAYS * pace.rate[vehicle])
    scores = np.concatenate([score, dates, nothing[:, None]], axis=1)
    chance = np.exp(scores - scores.max(axis=1, keepdims=True))
    chance /= chance.sum(axis=1, keepdims=True)
    return _best(false, mean, readings, garbled, chance, other_days, pace.rate[vehicle])


def _best(
    false: Array, mean: Array, readings: Array, kinds: Array, chance: Array, other_days: Array, rate: Array
) -> Repairs:
    """The likeliest reading of each figure; readings that are as good as equal count together."""
    every = np.arange(len(false))
    count = readings.shape[1]
    own = chance[:, :count]
    best = np.argmax(own, axis=1)
    total = readings[every, best]
    with np.errstate(invalid="ignore"):
        gap = np.abs(readings - total[:, None])
    together = np.where(gap < np.maximum(_SAME_DAYS * rate, 1.0)[:, None], own, 0.0).sum(axis=1)
    rival = np.where(gap > _MATTERS_DAYS * rate[:, None], own, 0.0).sum(axis=1)
    dates = chance[:, count:-1]
    best_date = np.argmax(dates, axis=1)
    date_chance = dates.sum(axis=1)
    dated = date_chance > np.maximum(together + rival, chance[:, -1])
    readable = (together + rival > chance[:, -1]) & ~dated
    names = np.array(_KINDS, dtype=object)[kinds[best]]
    date_names = np.array(_DATE_KINDS, dtype=object)[_OTHER_DAY_KINDS[best_date]]
    return Repairs(
        figure=false,
        expected=mean,
        total=np.where(readable, total, np.nan),
        fault=np.where(dated, date_names, np.where(readable, names, "garbage")),
        probability=np.where(dated, date_chance, together),
        sure=readable & (together >= _SURE),
        doubtful=readable & (together < _SURE) & (rival >= _RIVAL * together),
        other_day=np.where(dated, other_days[every, best_date], np.nan),
    )
