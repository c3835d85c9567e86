"""A plain sentence for each check, and whether somebody should look.

Results are `fine`, `look` and `too few`. Rules for `look`, each set so that a right model is named in about 1 case in
100 or less:

- `failures`: two vehicles hold half of the failures or more.
- `residuals`: somewhere the residuals' cumulative hazard stands more than 3.6 standard errors off the line.
- `free curve`: a curve of free form fits better than chance allows in 99 cases of 100, and its survival is 0.03 or more
  away.
- `calibration`: the chance of such differences between expected and seen is below 0.01 over all tenths.
- `last year`: the failures that came lie outside what the earlier curve allows in 99 cases of 100.
- `chances`: the Brier score is worse than that of one chance for all, by more than 2.33 of its standard errors.
- `order`: Harrell's c lies below 0.5 by more than 2.33 standard errors of a c without meaning.
- `vehicles`: leaving out one vehicle moves the log B10, or the effect of ride height, by more than its
  standard error (Belsley, Kuh & Welsch, Regression Diagnostics, 1980, sec. 2.1, for small samples).

`too few`: below 10 failures in all (20 for the free curve), or below 5 in the last year, unless even so few cannot be
chance.
"""

import math
from dataclasses import dataclass

from wearmodel.survival.checks.counts import ExpectedCount, count_limits
from wearmodel.survival.checks.free_curve import FreeCurve
from wearmodel.survival.checks.residuals import FarthestOff

__all__ = [
    "CHECKS",
    "FAILURES_TO_JUDGE",
    "MOST_ERRORS",
    "Pull",
    "Verdict",
    "judge_calibration",
    "judge_chances",
    "judge_failures",
    "judge_free_curve",
    "judge_last_year",
    "judge_order",
    "judge_residuals",
    "judge_vehicles",
]

#: Checks in the order they are shown.
CHECKS = ("failures", "residuals", "free curve", "calibration", "last year", "chances", "order", "vehicles")

#: With fewer failures a curve can hardly be told right or wrong.
FAILURES_TO_JUDGE = 10.0
_FEWEST_IN_A_YEAR = 5.0
_SURE = 0.99
_LEAST_CHANCE = 0.01
#: The farthest of many steps: exceeded by 1 in 100 curves of the right form (400 sets of 600 invented lives).
MOST_ERRORS = 3.6
_ONE_SIDED = 2.326348  # normal quantile of 0.99
_SPREAD_OF_RANK = 12.0**-0.5  # of a uniform rank
_MOST_PULL = 1.0
#: Difference of survival that shows in a chart and matters to a plan; common practice, no source.
_VISIBLE = 0.03


@dataclass(frozen=True)
class Verdict:
    """One check of one component: `result` is `fine`, `look` or `too few`."""

    check: str
    result: str
    sentence: str


@dataclass(frozen=True)
class Pull:
    """The vehicle that moves a figure most.

    Parameters
    ----------
    unit : str
        Vehicle.
    failures : float
        Failures on it.
    change : float
        Of the figure on the log scale when the vehicle is left out.
    error : float
        Standard error of the figure.
    """

    unit: str
    failures: float
    change: float
    error: float


def _number(value: float) -> str:
    """A count as people say it: whole, with a decimal where it is small and no whole number."""
    return f"{value:,.1f}" if value < 9.95 and abs(value - round(value)) > 0.05 else f"{value:,.0f}"


def _counted(value: float, noun: str) -> str:
    """A count with its noun."""
    return f"{_number(value)} {noun}" if _number(value) == "1" else f"{_number(value)} {noun}s"


def judge_failures(by_vehicle: list[float]) -> Verdict:
    """What the curve rests on.

    Parameters
    ----------
    by_vehicle : list of float
        Failures of each vehicle that had any.

    Returns
    -------
    Verdict
    """
    counts = sorted(by_vehicle, reverse=True)
    total, two = sum(counts), sum(counts[:2])
    base = f"The curve rests on {_counted(total, 'failure')}"
    if len(counts) > 1:
        base += f", {_number(two)} of them from two vehicles"
    elif counts:
        base += ", all from one vehicle"
    if total < FAILURES_TO_JUDGE:
        return Verdict("failures", "too few", f"{base}: too few to judge its shape by.")
    if two >= total / 2.0:
        return Verdict("failures", "look", f"{base}: what those two do decides the curve.")
    return Verdict("failures", "fine", f"{base}; {_counted(len(counts), 'vehicle')} had any.")


def judge_residuals(off: FarthestOff, *, failures: float) -> Verdict:
    """Whether the law has the right form.

    Parameters
    ----------
    off : FarthestOff
        From `wearmodel.survival.checks.residuals.farthest_off`.
    failures : float
        Weighted number of failures.

    Returns
    -------
    Verdict
    """
    if failures < FAILURES_TO_JUDGE or math.isnan(off.residual):
        return Verdict("residuals", "too few", "Too few failures to say whether the curve bends as it should.")
    said, seen = (f"{-math.expm1(-x):.0%}" for x in (off.residual, off.seen))
    if abs(off.errors) > MOST_ERRORS:
        return Verdict(
            "residuals", "look",
            f"Where the curve has {said} of the parts failed, {seen} had: more than chance allows, so its form does "
            "not fit there.",
        )  # fmt: skip
    return Verdict(
        "residuals", "fine",
        f"The curve bends as the failures do: farthest apart where it has {said} of the parts failed and {seen} had, "
        "which chance allows.",
    )  # fmt: skip


def judge_free_curve(curve: FreeCurve | None, *, at: str, half: float) -> Verdict:
    """Whether a curve of free form keeps to the Weibull curve.

    Parameters
    ----------
    curve : FreeCurve or None
        From `wearmodel.survival.checks.free_curve.free_curve`; None where too few failed.
    at : str
        The age at which the two are farthest apart, in the fleet's unit.
    half : float
        Standard errors to either limit of the difference.

    Returns
    -------
    Verdict
    """
    if curve is None:
        return Verdict("free curve", "too few", "Too few failures to tell the curve's form when it is left free.")
    apart, reach = 100.0 * (curve.free - curve.weibull), 100.0 * half * curve.error
    parts, most = f"{abs(apart):.0f} of 100 parts", f"{abs(apart) + reach:.0f}"
    told = f"The free curve stays within {parts} of the Weibull curve (within {most} by what it is uncertain)"
    if curve.chance >= _LEAST_CHANCE:
        return Verdict("free curve", "fine", f"{told}, which chance allows.")
    if abs(apart) < 100.0 * _VISIBLE:
        return Verdict("free curve", "fine", f"{told}: more than chance allows, but too little to matter.")
    side = "more" if apart > 0 else "fewer"
    return Verdict(
        "free curve", "look",
        f"The free curve departs: at {at} {parts} ({abs(apart) - reach:.0f} to {most}) {side} are still good than on "
        "the Weibull curve, more than chance allows. Look whether two kinds of failure are mixed, such as bad fits and "
        "wear.",
    )  # fmt: skip


def judge_calibration(chance: float, *, failures: float, worst: tuple[int, float, float]) -> Verdict:
    """Whether parts at high and at low risk fail as often as predicted.

    Parameters
    ----------
    chance : float
        From `wearmodel.survival.checks.calibration.calibration_chance`.
    failures : float
        Weighted number of failures.
    worst : tuple of int, float, float
        The tenth farthest off, with its expected and seen failures.

    Returns
    -------
    Verdict
    """
    if failures < FAILURES_TO_JUDGE or math.isnan(chance):
        return Verdict("calibration", "too few", "Too few failures to compare parts at high and at low risk.")
    tenth, expected, seen = worst
    told = f"farthest apart in tenth {tenth} of risk, {_number(expected)} expected and {_number(seen)} seen"
    if chance < _LEAST_CHANCE:
        return Verdict(
            "calibration", "look",
            f"By tenths of predicted risk, seen and expected failures differ more than chance allows: {told}.",
        )  # fmt: skip
    return Verdict(
        "calibration", "fine",
        f"Parts at high and at low risk fail about as often as predicted: {told}, which chance allows.",
    )  # fmt: skip


def judge_last_year(count: ExpectedCount | None, *, seen: float, confidence: float) -> Verdict:
    """Whether a curve of a year before foretold the failures of the last year.

    Parameters
    ----------
    count : ExpectedCount or None
        Failures expected of the parts under way; None where there was no curve, or no part.
    seen : float
        Failures that came.
    confidence : float
        Beyond these limits the count is called near the edge of chance.

    Returns
    -------
    Verdict
    """
    if count is None:
        return Verdict("last year", "too few", "A year before there was no curve or no part to try it on.")
    base = f"Predicted {_counted(count.mean, 'failure')} in the last year, {_number(seen)} came"
    low, high = count_limits(count, confidence=_SURE)
    if not low <= round(seen) <= high:
        side = "fewer" if seen < count.mean else "more"
        return Verdict("last year", "look", f"{base}: {side} than chance allows.")
    if max(count.mean, seen) < _FEWEST_IN_A_YEAR:
        return Verdict("last year", "too few", f"{base}: too few to judge.")
    low, high = count_limits(count, confidence=confidence)
    how = "within what chance allows" if low <= round(seen) <= high else "at the edge of what chance allows"
    return Verdict("last year", "fine", f"{base}: {how}.")


def judge_chances(*, model: float, alike: float, error: float, seen: float) -> Verdict:
    """Whether the chances given to single parts for the last year told more than one chance for all.

    Parameters
    ----------
    model, alike : float
        Brier score of the model's chances, and of their mean given to all parts.
    error : float
        Standard error of the difference.
    seen : float
        Failures of the year.

    Returns
    -------
    Verdict
    """
    if seen < _FEWEST_IN_A_YEAR or math.isnan(model):
        return Verdict("chances", "too few", "Too few failures in the last year to judge the chances of single parts.")
    scores = f"(Brier score {model:.3f}, against {alike:.3f} with one chance for all)"
    if model <= alike:
        return Verdict("chances", "fine", f"Chances to fail in the last year told which parts were at risk {scores}.")
    if model - alike > _ONE_SIDED * error:
        return Verdict(
            "chances", "look", f"Chances to fail in the last year misled: one chance for all was better {scores}."
        )
    return Verdict(
        "chances", "fine", f"Chances to fail in the last year told no more than one chance for all {scores}."
    )


def judge_order(value: float, *, failures: float) -> Verdict:
    """Whether the parts given the shorter life fail first.

    Parameters
    ----------
    value : float
        Harrell's c.
    failures : float
        Weighted number of failures.

    Returns
    -------
    Verdict
    """
    if failures < FAILURES_TO_JUDGE or math.isnan(value):
        return Verdict("order", "too few", "Too few failures to say whether the parts given a shorter life fail first.")
    if value == 0.5:
        return Verdict("order", "fine", "All parts are given one curve: there is no order to check.")
    told = (
        f"Of two parts at one age, the one given the shorter life failed first {100 * value:.0f} times in 100 "
        "(50: no better than chance)"
    )
    if value < 0.5 - _ONE_SIDED * _SPREAD_OF_RANK / math.sqrt(failures):
        return Verdict("order", "look", f"{told}: the effects of duty and ride height point the wrong way.")
    return Verdict("order", "fine", f"{told}.")


def judge_vehicles(*, life: Pull, height: Pull | None, failures: float) -> Verdict:
    """Whether a single vehicle decides the curve.

    Parameters
    ----------
    life : Pull
        The vehicle that moves the log B10 most.
    height : Pull or None
        The vehicle that moves the effect of ride height most; None without such an effect.
    failures : float
        Weighted number of failures.

    Returns
    -------
    Verdict
    """
    change = math.expm1(life.change)
    told = (
        f"Without {life.unit} ({_counted(life.failures, 'failure')}) the B10 life would be {abs(change):.0%} "
        f"{'longer' if change > 0 else 'shorter'}"
    )
    if failures < FAILURES_TO_JUDGE:
        return Verdict("vehicles", "too few", f"{told}; so few failures always rest on few vehicles.")
    if abs(life.change) > _MOST_PULL * life.error:
        return Verdict("vehicles", "look", f"{told}: look at that vehicle's record.")
    if height is not None and abs(height.change) > _MOST_PULL * height.error:
        return Verdict(
            "vehicles", "look",
            f"The effect of ride height rests on {height.unit} ({_counted(height.failures, 'failure')}) more than on "
            "any other: without it the effect would move by "
            f"{abs(height.change) / height.error:.1f} of its standard error. Look at that vehicle's record.",
        )  # fmt: skip
    return Verdict("vehicles", "fine", f"{told}, and no other vehicle changes it more.")
