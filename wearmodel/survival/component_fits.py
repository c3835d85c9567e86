"""Lives of a fleet to one life model a component."""

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.survival.coding import Coding
from wearmodel.survival.covariance import wider_covariance
from wearmodel.survival.covariates import build_coding, build_segment_design
from wearmodel.survival.fit import Fit, fit_lives
from wearmodel.survival.life_data import LifeData, build_stretched_life_data
from wearmodel.survival.model import ComponentModel

__all__ = [
    "ASSUMED_SHAPE",
    "BOUND_CONFIDENCE",
    "FEWEST_FAILURES",
    "ComponentLives",
    "build_component_lives",
    "effect_precision",
    "fit_components",
    "lives_fingerprint",
]

Array = NDArray[Any]

#: A component needs this many failures for a shape of its own.
FEWEST_FAILURES = 5
#: Shape used when no component of the fleet has one: moderate wear-out; common practice, no source.
ASSUMED_SHAPE = 2.0
#: One-sided confidence of the bound stated when no failure was seen.
BOUND_CONFIDENCE = 0.9
#: Normal prior on the effects of duty, of fixed positions, and of two standard deviations of the height
#: value met in the fleet: mean 0, this standard deviation on the log scale of life. It keeps a duty
#: without a failure finite; ten failures of shape 2 outweigh it twenty to one.
_EFFECT_SPREAD = 0.7
#: A failure that could be about several positions names a vehicle where it is at least this likely.
_LIKELY = 0.5


@dataclass(frozen=True)
class ComponentLives:
    """Lives of one component that a curve can rest on, coded.

    Parameters
    ----------
    component : str
        Code.
    coding : Coding
        Covariate coding.
    data : LifeData or None
        Lives with a known fitting date; None when there are none.
    rows : ndarray of int, shape (n_lives of data,)
        Their rows among all lives.
    """

    component: str
    coding: Coding
    data: LifeData | None
    rows: Array


def build_component_lives(
    component: str,
    *,
    lives: pd.DataFrame,
    segments: pd.DataFrame,
    swings: pd.DataFrame,
    lifts: tuple[float, ...],
) -> ComponentLives:
    """Code the lives of one component.

    Parameters
    ----------
    component : str
        Code.
    lives, segments : pandas.DataFrame
        All lives and their segments.
    swings : pandas.DataFrame
        Row by row for `lives`, from `wearmodel.survival.covariates.build_swings`.
    lifts : tuple of float
        Lift levels of the fleet [mm].

    Returns
    -------
    ComponentLives
        Coding from all lives of the component, data from those with weight.
    """
    mine = segments[(lives["component"] == component).to_numpy()[segments["life"]]]
    at = mine["life"].to_numpy()
    pieces = mine.assign(
        duty=lives["duty"].to_numpy()[at],
        distance=_seen_distance(mine, lives.iloc[at]) * lives["chance"].to_numpy()[at],
        place=lives.groupby(["vehicle", "position"]).ngroup().to_numpy()[at],
    )
    my_swings = swings.iloc[at]
    coding = build_coding(component, segments=pieces, swings=my_swings, lifts=lifts)
    weighted = lives["usable"].to_numpy(dtype=bool)[at]
    if not weighted.any():
        return ComponentLives(component, coding, None, np.empty(0, dtype=np.intp))
    pieces, my_swings, at = pieces[weighted], my_swings[weighted], at[weighted]
    ids, index = np.unique(at, return_inverse=True)
    rows = lives.iloc[ids]
    data = build_stretched_life_data(
        life=index,
        segment_from=pieces["age_from"],
        segment_to=pieces["age_to"],
        design=build_segment_design(
            coding,
            duty=pieces["duty"].to_numpy(dtype=object),
            lift=pieces["lift"].to_numpy(dtype=float),
            swings=my_swings,
        ),
        entry=rows["entry"],
        stop_low=rows["stop_low"],
        stop_high=rows["stop_high"],
        weight=rows["weight"],
        cluster=rows["vehicle"],
    )
    return ComponentLives(component, coding, data, ids)


def _seen_distance(segments: pd.DataFrame, lives: pd.DataFrame) -> Array:
    """Distance of each segment that lies between entry and the end of its life."""
    entry, low, high = (lives[name].to_numpy() for name in ("entry", "stop_low", "stop_high"))
    end = np.where(np.isfinite(high), high, low)
    start, stop = segments["age_from"].to_numpy(), segments["age_to"].to_numpy()
    return np.maximum(np.minimum(stop, end) - np.maximum(start, entry), 0.0)


def effect_precision(coding: Coding, data: LifeData) -> Array:
    """Precision of the prior on each coefficient of the log scale.

    Parameters
    ----------
    coding : Coding
        Covariate coding.
    data : LifeData
        Lives to be fitted; the height counts per its spread among them.

    Returns
    -------
    ndarray, shape (n_coefficients,)
        0 for the intercept, which is free.
    """
    precision = np.full(len(coding.names), _EFFECT_SPREAD**-2)
    precision[0] = 0.0
    if coding.height != "none":
        precision[-1] *= (2.0 * float(np.std(data.design[:, -1]))) ** 2
    return precision


def _vehicles(data: LifeData) -> int:
    return len(np.unique(data.cluster))


def _failing_vehicles(data: LifeData) -> int:
    return len(np.unique(data.cluster[(data.exact | data.interval) & (data.weight >= _LIKELY)]))


def _lives(data: LifeData) -> int:
    """Number of lives; of several of which one is true, each counts for its chance."""
    return round(float(data.weight.sum()))


def _failures(data: LifeData) -> int:
    return round(data.failures)


def _counted(count: int, one: str, many: str) -> str:
    """A count with its noun."""
    return f"{count} {one if count == 1 else many}"


def _fitted(mine: ComponentLives, data: LifeData, fit: Fit, label: str, clock: str) -> ComponentModel:
    """Model with a curve of its own."""
    failures = _failures(data)
    failing = _counted(_failing_vehicles(data), "vehicle", "vehicles")
    note = f"Rests on {failures} failures among {_lives(data)} lives, on {failing}."
    if not fit.converged:
        note += " The fit did not converge cleanly: treat it as a guide only."
    return ComponentModel(
        component=mine.component,
        label=label,
        clock=clock,
        basis="fitted",
        values=tuple(fit.values.tolist()),
        covariance=tuple(
            tuple(row) for row in wider_covariance(fit.covariance, fit.clustered_covariance).tolist()
        ),
        coding=mine.coding,
        lives=_lives(data),
        failures=failures,
        vehicles=_vehicles(data),
        log_likelihood=fit.log_likelihood,
        converged=fit.converged,
        note=note,
    )


def _plain_data(data: LifeData) -> LifeData:
    """The same lives with an intercept alone."""
    return replace(data, design=data.design[:, :1])


def _shape_given(
    mine: ComponentLives, data: LifeData, log_shape: float, label: str, clock: str, origin: str
) -> ComponentModel:
    """Model with a given shape: own scale from 1 failure on, else a lower bound of the scale."""
    failures = _failures(data)
    seen = _counted(_lives(data), "life", "lives")
    size = len(mine.coding.names)
    values = np.zeros(size + 1)
    covariance = np.zeros((size + 1, size + 1))
    values[-1] = log_shape
    shape = math.exp(log_shape)
    if failures:
        fit = fit_lives(_plain_data(data), given_log_shape=log_shape)
        values[0], covariance[0, 0] = fit.values[0], fit.covariance[0, 0]
        likelihood, converged, basis = fit.log_likelihood, fit.converged, "shape given"
        note = (
            f"Only {_counted(failures, 'failure', 'failures')} among {seen}; a curve of its own needs "
            f"{FEWEST_FAILURES}. The scale is its own, the shape {shape:.2f} is {origin}."
        )
    else:
        run = np.add.reduceat(data.before_low, data.start) ** shape
        run -= np.add.reduceat(data.before_entry, data.start) ** shape
        total = float(run @ data.weight)
        values[0] = math.log(total / -math.log(1.0 - BOUND_CONFIDENCE)) / shape
        likelihood, converged, basis = 0.0, True, "bound only"
        note = (
            f"No failure among {seen}: no curve. With {BOUND_CONFIDENCE:.0%} "
            f"confidence the scale is at least {math.exp(values[0]):,.0f} {clock}, shape {shape:.2f} {origin}."
        )
    return ComponentModel(
        component=mine.component,
        label=label,
        clock=clock,
        basis=basis,
        values=tuple(values.tolist()),
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        coding=mine.coding,
        lives=_lives(data),
        failures=failures,
        vehicles=_vehicles(data),
        log_likelihood=likelihood,
        converged=converged,
        note=note,
    )


def fit_components(
    coded: Mapping[str, ComponentLives],
    *,
    labels: Mapping[str, str],
    clocks: Mapping[str, str],
    lost: Mapping[str, Array] = MappingProxyType({}),
) -> dict[str, ComponentModel]:
    """One life model a component.

    Parameters
    ----------
    coded : mapping of str to ComponentLives
        By component code.
    labels, clocks : mapping of str to str
        Words and age units, by component code.
    lost : mapping of str to ndarray, shape (n_parameters, n_parameters)
        Information lost to lines that could be about several positions, by component code.

    Returns
    -------
    dict of str to ComponentModel
        Components without any usable life are missing.

    Notes
    -----
    From 5 failures on, a component has a curve of its own. Below, the shape is the failure-weighted
    mean (on the log scale) of the fitted ones, or 2 where there is none; without a failure the scale
    is a lower bound (chi-square with 2 degrees of freedom: Nelson, Applied Life Data Analysis, 1982).
    """
    models: dict[str, ComponentModel] = {}
    thin: dict[str, LifeData] = {}
    for code, mine in coded.items():
        if mine.data is None:
            continue
        if _failures(mine.data) < FEWEST_FAILURES:
            thin[code] = mine.data
            continue
        fit = fit_lives(
            mine.data, prior_precision=effect_precision(mine.coding, mine.data), lost_information=lost.get(code)
        )
        models[code] = _fitted(mine, mine.data, fit, labels[code], clocks[code])
    log_shape, origin = _pooled_shape(models)
    for code, data in thin.items():
        models[code] = _shape_given(coded[code], data, log_shape, labels[code], clocks[code], origin)
    return {code: models[code] for code in coded if code in models}


def _pooled_shape(models: Mapping[str, ComponentModel]) -> tuple[float, str]:
    """Log shape for components too thin for one, and where it comes from."""
    if not models:
        return math.log(ASSUMED_SHAPE), "an assumption"
    weights = [model.failures for model in models.values()]
    shapes = [model.values[-1] for model in models.values()]
    return float(np.average(shapes, weights=weights)), "borrowed from the fleet's other components"


def lives_fingerprint(lives: pd.DataFrame) -> str:
    """SHA-256 of the lives a model rests on.

    Parameters
    ----------
    lives : pandas.DataFrame
        Table `lives`.

    Returns
    -------
    str
        Hexadecimal digest; equal tables give equal digests.
    """
    return hashlib.sha256(lives.to_csv(index=False).encode("utf-8")).hexdigest()
