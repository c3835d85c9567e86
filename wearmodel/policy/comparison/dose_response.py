"""Life against lift and joint angle: what the fitted form says, beside steps that assume no form."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.stats import chi2

from wearmodel.policy.lift_groups import nearest_level
from wearmodel.processes import each
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.covariance import wider_covariance
from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.fit_notes import counted
from wearmodel.survival.model import ComponentModel, LifeModel, log_normal_band

__all__ = ["DOSE_COLUMNS", "build_dose_response"]

Array = NDArray[Any]
DOSE_COLUMNS = (
    "component", "over", "low", "high", "middle", "lives", "failures", "life_ratio", "lower", "upper", "steps_ratio",
    "steps_lower", "steps_upper", "p_value", "note",
)  # fmt: skip
_MOST_STEPS, _FAILURES_A_STEP, _FEWEST_FAILURES = 5, 8, 5
_STEP_PRECISION = 1.0
_LEAST_PRECISION, _HELD = 1e-3, 1e3
#: Below this the steps and the form do not go together.
_UNLIKELY = 0.05


@dataclass(frozen=True)
class _Dose:
    """What a component's lives are laid out by.

    Parameters
    ----------
    over : str
        `lift` or `angle`.
    step : ndarray of int, shape (n_segments,)
        Step of each segment, -1 for joints that ride height does not move.
    value : ndarray, shape (n_segments,)
        Lift [mm] or angle [deg].
    change : ndarray, shape (n_segments,)
        Height value over that of factory height, or the height value itself.
    base : ndarray, shape (n_segments, 0 or 1)
        What else the height value says, kept as a covariate.
    """

    over: str
    step: Array
    value: Array
    change: Array
    base: Array


def build_dose_response(
    fleet: LifeModel,
    *,
    coded: Mapping[str, ComponentLives],
    lives: pd.DataFrame,
    segments: pd.DataFrame,
    traits: pd.DataFrame,
    levels: tuple[float, ...],
) -> pd.DataFrame:
    """Table `dose_response`.

    Parameters
    ----------
    fleet : LifeModel
        Life models.
    coded : mapping of str to ComponentLives
        Lives by component, of which those of known age count here.
    lives, segments, traits : pandas.DataFrame
        All lives, their segments, and what their parts and places are.
    levels : tuple of float
        Lift levels [mm].

    Returns
    -------
    pandas.DataFrame
        `DOSE_COLUMNS`: for steps of lift (against factory height) and, where angles are known, of joint angle (against
        the lowest step), from `low` to `high`, `middle` the mean by distance [mm or deg]; lives and failures seen
        there; the life ratio by the fitted form and by the steps alone, with bounds; `p_value` of the steps, had the
        form been true, the same in all rows of a component and measure.
    """

    def rows_of(code: str) -> list[tuple[object, ...]]:
        model, mine = fleet.components[code], coded[code].with_duty_height(0.0)
        if model.basis != "fitted" or model.coding.height == "none" or mine.dated.failures < _FEWEST_FAILURES:
            return []
        here = segments[(lives["component"] == code).to_numpy()[segments["life"]]]
        here = here[lives["usable"].to_numpy(dtype=bool)[here["life"]]]
        lift = here["lift"].to_numpy(dtype=float)
        doses = _doses(mine, lift, traits.iloc[here["life"].to_numpy()], levels)
        return [row for dose in doses for row in _steps(model, mine, dose, fleet.confidence)]

    found = each(rows_of, list(fleet.components))
    return pd.DataFrame([row for rows in found for row in rows], columns=list(DOSE_COLUMNS))


def _doses(mine: ComponentLives, lift: Array, traits: pd.DataFrame, levels: tuple[float, ...]) -> list[_Dose]:
    """By lift, and by angle where the component's height value is one."""
    coding, value = mine.coding, mine.dated.design[:, -1]
    factory = build_segment_design(coding, lift=np.zeros(len(lift)), traits=traits)[:, -1]
    level = nearest_level(lift, levels)
    moving = np.isfinite(traits["angle"].to_numpy(dtype=float)) | (coding.height == "lift")
    by_lift = np.where(moving, np.searchsorted(levels, level), -1)
    base = factory[:, None] if coding.height != "lift" else np.zeros((len(lift), 0))
    doses = [_Dose("lift", by_lift, lift, value - factory, base)]
    if coding.height == "lift":
        return doses
    angle = value + coding.height_centre
    angle = np.exp(angle) if coding.height == "log_angle" else angle
    data = mine.dated
    ends = data.last[(data.exact | data.interval) & (data.weight > 0)]
    ends = ends[moving[ends]]
    count = int(min(_MOST_STEPS, max(len(ends) // _FAILURES_A_STEP, 2)))
    edges = np.unique(np.quantile(angle[ends], np.arange(1, count) / count)) if len(ends) else np.zeros(0)
    step = np.where(moving, np.searchsorted(edges, angle, side="left"), -1)
    return [*doses, _Dose("angle", step, angle, value, np.zeros((len(lift), 0)))]


def _steps(model: ComponentModel, mine: ComponentLives, dose: _Dose, confidence: float) -> list[tuple[object, ...]]:
    """One row a step."""
    data = mine.dated
    run = data.weight[data.life] * np.maximum(np.maximum(data.before_low, data.before_high) - data.before_entry, 0.0)
    failed = np.zeros(len(data.life))
    ended = (data.exact | data.interval) & (data.weight > 0)
    failed[data.last[ended]] = data.weight[ended]
    present = [step for step in np.unique(dose.step[run > 0]) if step >= 0]
    if len(present) < 2:
        return []
    dummies = np.column_stack([dose.step == step for step in present[1:]]).astype(float)
    own = _priors(model)
    # Groups that the record does not tell apart are held at nothing by the model: they need no column here.
    kept = own < _HELD
    design = np.hstack([data.design[:, :-1][:, kept], dose.base, dummies])
    precision = np.concatenate(
        [own[kept], np.full(dose.base.shape[1], _LEAST_PRECISION), np.full(dummies.shape[1], _STEP_PRECISION)]
    )
    fit = fit_lives(replace(data, design=design), prior_precision=precision)
    at = np.arange(len(precision) - dummies.shape[1], len(precision))
    found = fit.values[at]
    covariance = wider_covariance(fit.covariance, fit.clustered_covariance)[np.ix_(at, at)]
    weight = [run * (dose.step == step) for step in present]
    change = np.array([float(dose.change @ one / one.sum()) for one in weight])
    change = change[1:] - change[0]
    p_value = _form_holds(found, covariance, change)
    slope = model.values[model.names.index(model.coding.height)]
    slope_error = math.sqrt(max(model.covariance[len(model.values) - 2][len(model.values) - 2], 0.0))
    rows: list[tuple[object, ...]] = []
    for number, (step, one) in enumerate(zip(present, weight, strict=True)):
        inside = (dose.step == step) & (run > 0)
        values = dose.value[inside]
        failures = float(failed[dose.step == step].sum())
        fitted, free, error, width = 0.0, 0.0, 0.0, 0.0
        if number:
            fitted, width = slope * change[number - 1], slope_error * abs(change[number - 1])
            free, error = float(found[number - 1]), math.sqrt(covariance[number - 1, number - 1])
        bands: list[float] = []
        for log_ratio, spread in ((fitted, width), (free, error)):
            band = log_normal_band(log_ratio, error=spread, confidence=confidence)
            bands += [float(band.estimate), float(band.low), float(band.high)]
        round_lives = round(float(data.weight[np.unique(data.life[inside])].sum()))
        rows.append(
            (
                model.component, dose.over, float(values.min()), float(values.max()),
                round(float(dose.value @ one / one.sum()), 6), round_lives, round(failures), *bands, p_value,
                _note(number, failures, p_value),
            )
        )  # fmt: skip
    return rows


def _priors(model: ComponentModel) -> Array:
    """Precision of the prior on each coefficient but that of the height value, those of height by duty left out."""
    precision = np.array(model.prior_precision[:-1]) if model.prior_precision else np.zeros(len(model.coding.names))
    precision = np.delete(precision, model.coding.duty_height_columns)[:-1]
    precision[1:] = np.maximum(precision[1:], _LEAST_PRECISION)
    return precision


def _form_holds(found: Array, covariance: Array, change: Array) -> float:
    """Chance of steps as far from a line through them as these or further, had the line been true; NaN of one step."""
    if len(found) < 2:
        return math.nan
    inverse = np.linalg.pinv(covariance, hermitian=True)
    line = change * float(change @ inverse @ found) / float(change @ inverse @ change)
    apart = found - line
    return float(chi2.sf(float(apart @ inverse @ apart), len(found) - 1))


def _note(number: int, failures: float, p_value: float) -> str:
    """What a reader must know of one step."""
    words = [] if number else ["The others are held against this step."]
    if failures < _FEWEST_FAILURES:
        words.append(f"Only {counted(round(failures), 'failure', 'failures')} here.")
    if not number and p_value < _UNLIKELY:
        words.append("The steps do not follow the fitted form: trust them where they have failures.")
    return " ".join(words)
