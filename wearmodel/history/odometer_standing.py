"""What each figure of a record stands for, and what people's answers change in that."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.history.odometer_chain import SHOWN, TOTAL, likeliest_chain, slack, suspicious_vehicles
from wearmodel.history.odometer_figures import ClockUnit, Figures
from wearmodel.history.odometer_levels import Level, Levels, build_levels
from wearmodel.history.odometer_pace import Pace, Track, estimate_pace
from wearmodel.history.odometer_repairs import Repairs, build_repairs
from wearmodel.history.odometer_units import UnitSwap, find_unit_swaps
from wearmodel.questions import Answer, question_key

__all__ = ["Standing", "build_standing", "figure_key", "question_figure"]

Array = NDArray[Any]

_NO_LEVELS = Levels((), np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0, dtype=bool))


@dataclass(frozen=True)
class _Draft:
    """Figures before the chain is sought: what unit swaps and answers make of them."""

    value: Array
    trust: Array
    ignored: Array
    answered: Array
    swaps: tuple[UnitSwap, ...]


@dataclass(frozen=True)
class Standing:
    """What each figure stands for.

    Parameters
    ----------
    figures : Figures
        As written.
    total : ndarray, shape (n_figures,)
        Running total [distance]; NaN for figures that are not used.
    variance : ndarray, shape (n_figures,)
        What changes of the clock left unknown of it [distance^2].
    ignored, answered : ndarray of bool, shape (n_figures,)
        Left out, or read otherwise than written, because a person said so.
    dropped : ndarray of bool, shape (n_figures,)
        In a stretch of figures that fits no clock of the vehicle.
    swaps : tuple of UnitSwap
        Sources in the other unit.
    levels : tuple of Level
        Breaks of clocks; their `head`, `before` and `figures` are places among the figures.
    repairs : Repairs
        Of false figures; `figure` are places among the figures.
    pace : Pace
        Usual running of each vehicle.
    """

    figures: Figures
    total: Array
    variance: Array
    ignored: Array
    answered: Array
    dropped: Array
    swaps: tuple[UnitSwap, ...]
    levels: tuple[Level, ...]
    repairs: Repairs
    pace: Pace


@dataclass(frozen=True)
class _Solution:
    kept: Array
    levels: Levels
    pace: Pace
    suspicious: Array


def figure_key(figures: Figures, figure: int) -> str:
    """Key of the question about a figure.

    Parameters
    ----------
    figures : Figures
        All figures.
    figure : int
        Place.

    Returns
    -------
    str
        From unit, date and figure as written.
    """
    first = int(figures.first_row[figure])
    unit, date = figures.rows["unit"].iat[first], figures.rows["date"].iat[first]
    return question_key("odometer", str(unit), f"{date:%Y-%m-%d}", f"{figures.written[figure]:.12g}")


def _track(figures: Figures, draft: _Draft) -> Track:
    scale = np.divide(draft.value, figures.written, out=np.ones_like(draft.value), where=figures.written > 0)
    # Only a change of unit changes what a figure is rounded to.
    scale = np.where((scale > 0.5) & (scale < 2.0), scale, 1.0)
    return Track(
        vehicle=figures.vehicle,
        day=figures.day,
        value=draft.value,
        grain=figures.grain * scale,
        anchor=figures.anchor,
        repeats=figures.repeats,
        tables=figures.tables,
        trust=draft.trust,
    )


def _solved(figures: Figures, draft: _Draft, unit: ClockUnit, count: int) -> _Solution:
    """The chains of all vehicles, and the breaks in them."""
    track = _track(figures, draft)
    active = np.flatnonzero(~draft.ignored)
    pace = estimate_pace(track.part(active), count=count, unit=unit)
    suspicious = np.union1d(
        suspicious_vehicles(track.part(active), pace, unit=unit), figures.vehicle[draft.trust > 0]
    )
    kept = ~draft.ignored
    some = active[np.isin(figures.vehicle[active], suspicious)]
    sub = track.part(some)
    chain = likeliest_chain(sub, pace, unit=unit)
    kept[some] = chain.kept
    found = build_levels(sub, chain, pace, unit=unit)
    size = len(figures.vehicle)
    factor, offset, variance = np.ones(size), np.zeros(size), np.zeros(size)
    factor[some], offset[some], variance[some] = found.factor, found.offset, found.variance
    dropped = np.zeros(size, dtype=bool)
    dropped[some] = found.dropped
    listed = tuple(
        replace(
            level,
            head=int(some[level.head]),
            before=int(some[level.before]) if level.before >= 0 else -1,
            figures=some[level.figures],
        )
        for level in found.listed
    )
    return _Solution(kept & ~dropped, Levels(listed, factor, offset, variance, dropped), pace, suspicious)


def _plain_draft(figures: Figures, swaps: list[UnitSwap]) -> _Draft:
    """The figures as written, but for sources in the other unit."""
    size = len(figures.vehicle)
    value = figures.written.copy()
    for swap in swaps:
        value[swap.figures] = figures.written[swap.figures] * swap.factor
    none = np.zeros(size, dtype=bool)
    return _Draft(value, np.zeros(size, dtype=np.int8), none, none.copy(), tuple(swaps))


def _answers(figures: Figures, corrections: Mapping[str, Answer], vehicles: Array) -> dict[int, str]:
    """What was said of figures of the vehicles in doubt."""
    said = {key: answer.odometer.strip().casefold() for key, answer in corrections.items() if answer.odometer.strip()}
    if not said:
        return {}
    found = {}
    for figure in np.flatnonzero(np.isin(figures.vehicle, vehicles)).tolist():
        answer = said.get(figure_key(figures, figure))
        if answer is not None:
            found[figure] = answer
    return found


def _stretch(figures: Figures, solution: _Solution, draft: _Draft, figure: int) -> tuple[Array, float]:
    """Figures that an answer on this one settles, and what they are multiplied by as things stand."""
    for swap in draft.swaps:
        if question_figure(figures, swap.figures) == figure:
            return swap.figures, swap.factor
    for level in solution.levels.listed:
        if question_figure(figures, level.figures) == figure:
            first, last = level.figures[0], level.figures[-1]
            between = np.arange(first, last + 1)
            return between[~figures.anchor[between]], level.factor
    return np.array([figure]), 1.0


def question_figure(figures: Figures, stretch: Array) -> int:
    """The figure that a stretch is asked about: its first, but for the in-service figure.

    Parameters
    ----------
    figures : Figures
        All figures.
    stretch : ndarray of int
        Places.

    Returns
    -------
    int
        Place.
    """
    readings = stretch[~figures.anchor[stretch]]
    return int(readings[0] if len(readings) else stretch[0])


def _with_answers(figures: Figures, draft: _Draft, solution: _Solution, answers: Mapping[int, str]) -> _Draft:
    """The draft as people's answers change it."""
    value, trust = draft.value.copy(), draft.trust.copy()
    ignored, answered = draft.ignored.copy(), draft.answered.copy()
    for figure, answer in answers.items():
        stretch, factor = _stretch(figures, solution, draft, figure)
        if answer == "ignore":
            ignored[stretch] = True
            continue
        written = float(figures.written[figure])
        number = written if answer == "right" else _number(answer)
        if not np.isfinite(number):
            continue
        # One number for a stretch tells its factor where it fits, else its offset.
        scaled = factor != 1.0 and abs(number - factor * written) <= 0.005 * abs(number)
        as_written = abs(number - written) < 0.5
        value[stretch] = figures.written[stretch] * (factor if scaled and not as_written else 1.0)
        if not as_written:
            value[stretch] += number - value[figure]
            answered[stretch] = True
        trust[figure] = SHOWN if as_written else TOTAL
    swaps = tuple(swap for swap in draft.swaps if question_figure(figures, swap.figures) not in answers)
    return _Draft(value, trust, ignored, answered & ~ignored, swaps)


def _number(answer: str) -> float:
    try:
        return float(answer.replace(",", "").replace(" ", ""))
    except ValueError:
        return float("nan")


def _contexts(figures: Figures, solution: _Solution) -> Array:
    """Factor and offset of the clock in use before and after each figure, shape (n_figures, 2, 2)."""
    place = np.flatnonzero(solution.kept)
    pairs = np.stack([solution.levels.factor, solution.levels.offset], axis=-1)
    every = np.arange(len(figures.vehicle))
    after = np.clip(np.searchsorted(place, every, side="left"), 0, len(place) - 1)
    before = np.clip(np.searchsorted(place, every, side="right") - 1, 0, len(place) - 1)
    own = figures.vehicle
    p, q = place[before], place[after]
    # At either end of a vehicle's figures the other side tells.
    p = np.where(figures.vehicle[p] == own, p, np.where(figures.vehicle[q] == own, q, p))
    q = np.where(figures.vehicle[q] == own, q, p)
    return np.stack([pairs[p], pairs[q]], axis=1)


def _repaired(figures: Figures, draft: _Draft, solution: _Solution, unit: ClockUnit) -> Standing:
    """False figures read as they were meant, where that is clear enough."""
    track = _track(figures, draft)
    levels = solution.levels
    total = np.where(solution.kept, levels.factor * draft.value + levels.offset, np.nan)
    active = np.flatnonzero(~draft.ignored)
    repairs = build_repairs(
        track.part(active),
        kept=solution.kept[active],
        total=total[active],
        printed=(draft.value / figures.print_factor)[active],
        print_factor=figures.print_factor[active],
        context=_contexts(figures, solution)[active],
        pace=solution.pace,
        unit=unit,
    )
    repairs = replace(repairs, figure=active[repairs.figure])
    # Copies of an old figure and stretches from elsewhere tell nothing.
    tells = ~figures.repeats[repairs.figure] & ~levels.dropped[repairs.figure]
    repairs = replace(repairs, sure=repairs.sure.astype(bool) & tells, doubtful=repairs.doubtful.astype(bool) & tells)
    trial = total.copy()
    trial[repairs.figure[repairs.sure]] = repairs.total[repairs.sure]
    repairs = replace(repairs, sure=repairs.sure & ~_clashing(track, trial, solution)[repairs.figure])
    total[repairs.figure[repairs.sure]] = repairs.total[repairs.sure]
    return Standing(
        figures=figures,
        total=total,
        variance=_carried(figures, levels.variance, total, solution.kept),
        ignored=draft.ignored,
        answered=draft.answered,
        dropped=levels.dropped,
        swaps=draft.swaps,
        levels=levels.listed,
        repairs=repairs,
        pace=solution.pace,
    )


def _clashing(track: Track, total: Array, solution: _Solution) -> Array:
    """Mended figures that fall back against one another."""
    place = np.flatnonzero(np.isfinite(total))
    i, j = place[1:], place[:-1]
    room = slack(track, solution.pace, i, j)
    falls = (track.vehicle[i] == track.vehicle[j]) & (total[i] < total[j] - room) & (track.day[i] > track.day[j])
    clash = np.zeros(len(total), dtype=bool)
    clash[i[falls]] = clash[j[falls]] = True
    return clash & ~solution.kept


def _carried(figures: Figures, variance: Array, total: Array, kept: Array) -> Array:
    """Variance that a mended figure takes over from the kept figure before it."""
    place = np.flatnonzero(kept)
    before = np.clip(np.searchsorted(place, np.arange(len(total)), side="right") - 1, 0, None)
    near = place[before]
    return np.where(kept | (figures.vehicle[near] != figures.vehicle), variance, variance[near])


def build_standing(
    figures: Figures, *, unit: ClockUnit, count: int, corrections: Mapping[str, Answer]
) -> Standing:
    """What each figure stands for.

    Parameters
    ----------
    figures : Figures
        All figures.
    unit : ClockUnit
        Bounds, rollovers and the other unit.
    count : int
        Number of vehicles.
    corrections : mapping of str to Answer
        What people said, by key of the question.

    Returns
    -------
    Standing
        Figures that go on at a running the vehicle can have had stand as written.
    """
    draft = _plain_draft(figures, find_unit_swaps(figures, unit=unit))
    solution = _solved(figures, draft, unit, count)
    swapped = [figures.vehicle[swap.figures] for swap in draft.swaps]
    answers = _answers(figures, corrections, np.concatenate([solution.suspicious, *swapped]))
    if answers:
        draft = _with_answers(figures, draft, solution, answers)
        solution = _solved(figures, draft, unit, count)
    return _repaired(figures, draft, solution, unit)
