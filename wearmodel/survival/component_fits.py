"""Lives of a fleet to one life model a component."""

import hashlib
import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.csv_text import csv_pieces
from wearmodel.processes import each
from wearmodel.survival.coding import Coding
from wearmodel.survival.component_lives import ComponentLives, height_step, with_duty_height
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.fit_notes import count_lives, counted, fit_note
from wearmodel.survival.law_fit import LawFit, fit_law, last_kind_counts
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.pooling import SMALLEST_SPREAD

__all__ = [
    "ASSUMED_SHAPE",
    "BOUND_CONFIDENCE",
    "FEWEST_FAILURES",
    "fit_components",
    "lives_fingerprint",
]

Array = NDArray[Any]

#: A component needs this many failures for a shape of its own.
FEWEST_FAILURES = 5
#: A failure at an unknown age says less of the shape: what it counts for here.
_UNDATED_WORTH = 0.5
#: With more lives workers elsewhere share the passes over a component's lives and not the components; the first are
#: shared only so far (`HeldBlocks`), the second fit as a whole.
_LIVES_OF_A_WORKER = 100_000
#: Shape used when no component of the fleet has one: moderate wear-out; common practice, no source.
ASSUMED_SHAPE = 2.0
#: One-sided confidence of the bound stated when no failure was seen.
BOUND_CONFIDENCE = 0.9
#: Normal prior on the effects of duty, of fixed positions, and of two standard deviations of the height
#: value met in the fleet: mean 0, this standard deviation on the log scale of life. It keeps a duty
#: without a failure finite; ten failures of shape 2 outweigh it twenty to one.
_EFFECT_SPREAD = 0.7


def _fixed_precision(coding: Coding, mine: ComponentLives) -> Array:
    """Precision of effects that are not pooled; the intercept is free, height counts per its spread in the data."""
    precision = np.zeros(len(coding.names))
    if coding.fixed_share > 0:
        precision[coding.names.index("fixed_position")] = _EFFECT_SPREAD**-2
    if coding.height != "none":
        precision[-1] = (height_step(mine) / _EFFECT_SPREAD) ** 2
    return precision


def _fitted(mine: ComponentLives, fit: LawFit, label: str, clock: str) -> ComponentModel:
    """Model with a curve of its own."""
    counts = count_lives(mine.dated, mine.unknown)
    return ComponentModel(
        component=mine.component,
        label=label,
        clock=clock,
        basis="fitted",
        values=tuple(fit.values.tolist()),
        covariance=tuple(tuple(row) for row in fit.covariance.tolist()),
        coding=mine.coding,
        lives=counts.lives,
        failures=counts.failures,
        vehicles=counts.vehicles,
        log_likelihood=fit.log_likelihood,
        converged=fit.converged,
        note=fit_note(
            counts, variance=fit.variance, by_duty=mine.coding.duty_height > 0, converged=fit.converged
        ),
        frailty_variance=fit.variance,
        frailty_covariance=tuple(fit.variance_covariance.tolist()),
        own_share=tuple(fit.own_share.tolist()),
        prior_precision=tuple(fit.precision.tolist()),
        dated_values=() if fit.dated_alone is None else tuple(fit.dated_alone.values.tolist()),
        dated_failures=round(mine.dated.failures),
    )


def _plain_data(data: LifeData) -> LifeData:
    """The same lives with an intercept alone."""
    return replace(data, design=data.design[:, :1])


def _shape_given(
    mine: ComponentLives, data: LifeData, log_shape: float, label: str, clock: str, origin: str
) -> ComponentModel:
    """Model with a given shape: own scale from 1 failure on, else a lower bound of the scale."""
    counts = count_lives(mine.dated, mine.unknown)
    failures, dated = round(data.failures), round(float(data.weight.sum()))
    seen = f"{counted(dated, 'life', 'lives')} of known age" if counts.undated else counted(dated, "life", "lives")
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
            f"Only {counted(failures, 'failure', 'failures')} among {seen}; a curve of its own needs "
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
        lives=dated,
        failures=failures,
        vehicles=len(np.unique(data.cluster)),
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
    quick: bool = False,
    alike: bool = False,
) -> dict[str, ComponentModel]:
    """One life model a component.

    Parameters
    ----------
    coded : mapping of str to ComponentLives
        By component code.
    labels, clocks : mapping of str to str
        Words and age units, by component code.
    lost : mapping of str to ndarray, shape (n_parameters + 1, n_parameters + 1)
        Information lost to lines that could be about several positions, by component code, that of the log variance
        of the frailty last; with or without the effects of height by duty.
    quick : bool
        For rounds on the way: lives of known age alone, spreads of effects given.
    alike : bool
        Vehicles taken to wear alike.

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

    def own_curve(code: str) -> ComponentModel | None:
        mine = coded[code].with_duty_height(0.0)
        if quick:
            fit = _own_law(mine, lost.get(code), quick=True, alike=alike)
        else:
            mine, fit = _supported_law(mine, lost.get(code), alike=alike)
        return None if fit is None else _fitted(mine, fit, labels[code], clocks[code])

    sizes = [mine.dated.lives + mine.unknown.lives for mine in coded.values()]
    many = dict(zip(coded, sizes, strict=True))
    found = each(own_curve, list(coded), sizes=sizes, wide=lambda code: not quick and many[code] > _LIVES_OF_A_WORKER)
    curves = dict(zip(coded, found, strict=True))
    models = {code: curve for code, curve in curves.items() if curve is not None}
    log_shape, origin = _pooled_shape(models)
    for code, curve in curves.items():
        mine = coded[code].with_duty_height(0.0)
        if curve is None and mine.data is not None:
            models[code] = _shape_given(mine, mine.data, log_shape, labels[code], clocks[code], origin)
    return {code: models[code] for code in coded if code in models}


def _supported_law(mine: ComponentLives, lost: Array | None, *, alike: bool) -> tuple[ComponentLives, LawFit | None]:
    """Law of a component with effects of height by duty where the record speaks for them, else with no trace of them.

    Beside the law are the lives as they are coded for it.
    """
    fit, wide = _own_law(mine, lost, quick=False, alike=alike), with_duty_height(mine)
    if fit is None or wide.coding.duty_height == 0:
        return mine, fit
    counts = last_kind_counts(
        wide.dated,
        pooled=wide.coding.pooled,
        beside=fit,
        fixed_precision=_fixed_precision(wide.coding, wide),
    )
    by_duty = _own_law(wide, lost, quick=False, alike=alike) if counts else None
    # Kinds that say the same of the parts may yet push each other out.
    return (mine, fit) if by_duty is None or by_duty.spreads[-1] <= SMALLEST_SPREAD else (wide, by_duty)


def _lost_to(coding: Coding, lost: Array | None) -> Array | None:
    """Lost information of the parameters of a coding, out of that of the coding with height by duty.

    The last two parameters are the log shape and the log variance of the frailty.
    """
    if lost is None:
        return None
    left_out = np.arange(len(lost) - len(coding.names) - 2) + 1 + sum(len(columns) for columns in coding.pooled)
    return np.delete(np.delete(lost, left_out, axis=0), left_out, axis=1)


def _own_law(mine: ComponentLives, lost: Array | None, *, quick: bool, alike: bool) -> LawFit | None:
    """Law of a component with a shape of its own; None where too few failures tell it."""
    if mine.dated.failures + _UNDATED_WORTH * mine.unknown.failures < FEWEST_FAILURES - 0.5:
        return None
    try:
        return fit_law(
            mine.dated,
            mine.unknown,
            pooled=mine.coding.pooled,
            tested=mine.coding.tested,
            fixed_precision=_fixed_precision(mine.coding, mine),
            lost_information=_lost_to(mine.coding, lost),
            quick=quick,
            alike=alike,
        )
    except ValueError:
        return None


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
    digest = hashlib.sha256()
    for piece in csv_pieces(lives):
        digest.update(piece)
    return digest.hexdigest()
