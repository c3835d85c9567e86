"""Which clock a component ages by: distance, time since fitting, both together, or engine hours where recorded.

Rubber may age in years whatever its vehicle runs, and what turns while the vehicle stands in hours. The same lives are
fitted with ages in distance, in days and in engine hours, and with a clock that counts distance and adds a fixed
distance for every day (Kordonsky & Gertsbakh, Reliability Engineering and System Safety 47, 1995: best time scale as a
linear combination).

The same footing. A failure seen on a day has a density per day in every model: that of a model in distance is its
density per unit of distance, times the distance the vehicle ran a day when the part failed (the Jacobian dx / dt of
x = D(t), D being the vehicle's odometer curve, which is taken as given and not as a part of the model). Ends that are
probabilities, censored lives and failures between two looks, need no such factor. Running on a single day is not
known well enough, so the pace is the mean of the weeks before the failure. With the clock
u = (1 - p) x / x0 + p t / t0 the factor is du / dt = (1 - p) D'(t) / x0 + p / t0, of which distance alone (p = 0) and
age alone (p = 1) are the ends. With ages in hours h(t) the factor is dh / dt, the hours a day of the same weeks.
"""

import math
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.fit import Fit, fit_lives
from wearmodel.survival.life_data import LifeData

__all__ = ["LEAST_DIFFERENCE", "LEAST_Z", "ClockComparison", "ClockLives", "compare_clocks", "life_terms"]

Array = NDArray[Any]

#: Another clock is chosen over distance where its log-likelihood is higher by this at least ...
LEAST_DIFFERENCE = 2.0
#: ... and by so many standard errors, with vehicles as the independent units (5 % one-sided).
LEAST_Z = 1.645
#: Steps of the share of age in the mixed clock before it is refined.
_STEPS = 8


@dataclass(frozen=True)
class ClockLives:
    """The same lives on all clocks.

    Parameters
    ----------
    distance, days : LifeData
        Row by row the same lives and segments, with ages in distance and in days.
    pace : ndarray, shape (n_lives,)
        Running at the end of each life [distance / d], above 0; used where a failure is seen to the day.
    hours : LifeData or None
        The same with ages in engine hours; None where they are not on record.
    hour_pace : ndarray, shape (n_lives,)
        Engine hours a day at the end of each life [h / d], above 0; empty without `hours`.
    """

    distance: LifeData
    days: LifeData
    pace: Array
    hours: LifeData | None = None
    hour_pace: Array = field(default_factory=lambda: np.zeros(0))


@dataclass(frozen=True)
class ClockComparison:
    """How well each clock explains the same lives, all as densities per day.

    Parameters
    ----------
    distance, age, mixed : float
        Log-likelihoods.
    z : float
        Difference of age and distance over its standard error, vehicles taken as independent.
    share : float
        Share of age in the mixed clock, 0 to 1: p of the module's docstring.
    rate : float
        What a day counts for in the mixed clock [distance / d]; infinite where it is age alone.
    age_values : ndarray, shape (n_coefficients + 1,)
        Fit by age: coefficients of the log scale [log d], then the log shape.
    converged : bool
        Whether all fits by distance, age and both converged.
    hours : float
        Log-likelihood of ages in engine hours; NaN where they are not on record or the fit did not converge.
    hours_z : float
        Difference of hours and distance over its standard error.
    hours_values : ndarray, shape (n_coefficients + 1,)
        Fit by engine hours: coefficients of the log scale [log h], then the log shape; empty without.
    """

    distance: float
    age: float
    mixed: float
    z: float
    share: float
    rate: float
    age_values: Array
    converged: bool
    hours: float = math.nan
    hours_z: float = math.nan
    hours_values: Array = field(default_factory=lambda: np.zeros(0))

    @property
    def chosen(self) -> str:
        """`age` or `hours`, whichever is clearly better than distance and the better of the two, else `distance`."""
        better = {"age": self.age} if self.age_is_better else {}
        if self.hours_are_better:
            better["hours"] = self.hours
        return max(better, key=lambda clock: better[clock], default="distance")

    @property
    def age_is_better(self) -> bool:
        """Whether age is clearly better: by 2 units of log-likelihood and by a test over vehicles."""
        return self.converged and self.age - self.distance >= LEAST_DIFFERENCE and self.z >= LEAST_Z

    @property
    def hours_are_better(self) -> bool:
        """The same of engine hours."""
        return self.converged and self.hours - self.distance >= LEAST_DIFFERENCE and self.hours_z >= LEAST_Z

    @property
    def distance_is_better(self) -> bool:
        """The same of distance against age."""
        return self.converged and self.distance - self.age >= LEAST_DIFFERENCE and self.z <= -LEAST_Z

    @property
    def both_count(self) -> bool:
        """Whether the mixed clock is clearly better than either alone."""
        return self.converged and self.mixed - max(self.age, self.distance) >= LEAST_DIFFERENCE


@dataclass(frozen=True)
class _Fitted:
    """A fit on one clock: its log-likelihood of each life, weighted, per day."""

    share: float
    terms: Array
    fit: Fit

    @property
    def value(self) -> float:
        return float(self.terms.sum())


def compare_clocks(lives: ClockLives) -> ClockComparison:
    """Fit distance, age, a mixture of both and engine hours to the same lives.

    Parameters
    ----------
    lives : ClockLives
        The lives, with a failure among them.

    Returns
    -------
    ClockComparison
        Log-likelihoods per day and the tests of age and hours against distance.

    Notes
    -----
    The test is Vuong's (Econometrica 57, 1989, eq. 5.6) for models of which neither holds the other, here with as
    many parameters each: the sum of the vehicles' differences over its standard error is about standard normal
    where both explain the record equally well. Covariates are the same in all fits, with a weak prior (standard
    deviation 1 for the effect of two standard deviations of a covariate), so that a duty without a failure is finite.
    """
    units = _typical(lives.distance), _typical(lives.days)
    tried = {step / _STEPS: _fit(lives, step / _STEPS, units) for step in range(_STEPS + 1)}
    best = max(tried.values(), key=lambda one: one.value)
    inner = _refined(tried, best.share)
    if inner is not None:
        found = _fit(lives, inner, units)
        best = found if found.value > best.value else best
    by_distance, by_age = tried[0.0], tried[1.0]
    values = by_age.fit.values.copy()
    values[0] += math.log(units[1])
    by_hours = None if lives.hours is None else _fit_hours(lives.hours, lives.hour_pace)
    ratio = best.share / (1.0 - best.share) if best.share < 1 else math.inf
    return ClockComparison(
        distance=by_distance.value,
        age=by_age.value,
        mixed=best.value,
        z=_vuong(by_age.terms - by_distance.terms, lives.distance.cluster),
        share=best.share,
        rate=ratio * units[0] / units[1],
        age_values=values,
        converged=by_distance.fit.converged and by_age.fit.converged and best.fit.converged,
        **({} if by_hours is None else _told_of_hours(by_hours, by_distance, lives.distance.cluster)),
    )


def _told_of_hours(by_hours: _Fitted, by_distance: _Fitted, cluster: Array) -> dict[str, Any]:
    """What the comparison says of engine hours; nothing where their fit did not converge."""
    if not by_hours.fit.converged:
        return {}
    return {
        "hours": by_hours.value,
        "hours_z": _vuong(by_hours.terms - by_distance.terms, cluster),
        "hours_values": by_hours.fit.values,
    }


def life_terms(data: LifeData, values: Array) -> Array:
    """Weighted log-likelihood of each life under a Weibull law.

    Parameters
    ----------
    data : LifeData
        Lives.
    values : ndarray, shape (n_coefficients + 1,)
        Coefficients of the log scale, then the log shape.

    Returns
    -------
    ndarray, shape (n_lives,)
        They sum to `wearmodel.survival.likelihood.evaluate`'s value.
    """
    shape = math.exp(values[-1])
    predictor = data.design @ values[:-1]
    entry, low, high = data.operational_ages(values[:-1])
    hazard = low**shape - entry**shape
    safe = np.where(data.exact, low, 1.0)
    density = math.log(shape) + (shape - 1.0) * np.log(safe) - predictor[data.last]
    gap = np.where(data.interval, np.maximum(high**shape - low**shape, 1e-140), 1.0)
    inside = np.log(-np.expm1(-gap))
    return data.weight * (np.where(data.exact, density, np.where(data.interval, inside, 0.0)) - hazard)


def _typical(data: LifeData) -> float:
    """Weighted mean of the ages at which lives ended."""
    return float(np.average(np.add.reduceat(data.before_low, data.start), weights=data.weight))


def _fit(lives: ClockLives, share: float, units: tuple[float, float]) -> _Fitted:
    """Fit the clock with a share of age."""
    ran, aged = (1.0 - share) / units[0], share / units[1]
    data = replace(
        lives.distance,
        before_entry=ran * lives.distance.before_entry + aged * lives.days.before_entry,
        before_low=ran * lives.distance.before_low + aged * lives.days.before_low,
        before_high=ran * lives.distance.before_high + aged * lives.days.before_high,
        entered=(lives.distance.entered & (ran > 0)) | (lives.days.entered & (aged > 0)),
    )
    return _fitted(data, ran * lives.pace + aged, share)


def _fit_hours(hours: LifeData, pace: Array) -> _Fitted:
    """Fit ages in engine hours; values are told in hours."""
    unit = _typical(hours)
    found = _fitted(hours.in_units_of(unit), pace / unit, math.nan)
    values = found.fit.values.copy()
    values[0] += math.log(unit)
    return replace(found, fit=replace(found.fit, values=values))


def _fitted(data: LifeData, pace: Array, share: float) -> _Fitted:
    """Fit lives on a clock that goes on by a pace a day where each of them ends."""
    precision = (2.0 * data.design.std(axis=0)) ** 2
    precision[0] = 0.0
    fit = fit_lives(data, prior_precision=precision)
    per_day = np.where(data.exact, np.log(pace), 0.0)
    return _Fitted(share, life_terms(data, fit.values) + data.weight * per_day, fit)


def _refined(tried: dict[float, _Fitted], share: float) -> float | None:
    """Top of the parabola through the best share tried and its neighbours; None at either end."""
    step = 1.0 / _STEPS
    if share in (0.0, 1.0):
        return None
    before, here, after = (tried[share + move].value for move in (-step, 0.0, step))
    bend = before - 2.0 * here + after
    return share + 0.5 * step * (before - after) / bend if bend < 0 else None


def _vuong(difference: Array, cluster: Array) -> float:
    """Sum of differences over its standard error, by vehicle; 0 where they do not differ."""
    _, place = np.unique(cluster, return_inverse=True)
    sums = np.bincount(place, difference)
    error = math.sqrt(float(((sums - sums.mean()) ** 2).sum()))
    return float(sums.sum()) / error if error > 0 else 0.0
