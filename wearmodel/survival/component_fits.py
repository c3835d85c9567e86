"""Lives of a fleet to one life model a component."""

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.survival.coding import Coding, recode_duty_height
from wearmodel.survival.covariates import build_coding, build_segment_design
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.fit_notes import count_lives, counted, fit_note
from wearmodel.survival.law_fit import LawFit, fit_law, last_kind_counts
from wearmodel.survival.life_data import LifeData, build_life_data, build_stretched_life_data
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.pooling import SMALLEST_SPREAD
from wearmodel.survival.unknown_ages.lives import UnknownAges, build_unknown_ages, no_unknown_ages

__all__ = [
    "ASSUMED_SHAPE",
    "BOUND_CONFIDENCE",
    "FEWEST_FAILURES",
    "ComponentLives",
    "build_component_lives",
        "fit_components",
    "lives_fingerprint",
    "with_duty_height",
]

Array = NDArray[Any]

#: A component needs this many failures for a shape of its own.
FEWEST_FAILURES = 5
#: A failure at an unknown age says less of the shape: what it counts for here.
_UNDATED_WORTH = 0.5
#: Shape used when no component of the fleet has one: moderate wear-out; common practice, no source.
ASSUMED_SHAPE = 2.0
#: One-sided confidence of the bound stated when no failure was seen.
BOUND_CONFIDENCE = 0.9
#: Normal prior on the effects of duty, of fixed positions, and of two standard deviations of the height
#: value met in the fleet: mean 0, this standard deviation on the log scale of life. It keeps a duty
#: without a failure finite; ten failures of shape 2 outweigh it twenty to one.
_EFFECT_SPREAD = 0.7


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
    undated : UnknownAges or None
        First lives under observation of positions in service before records began.
    undated_rows : ndarray of int, shape (n_lives of undated,)
        Their rows among all lives.
    """

    component: str
    coding: Coding
    data: LifeData | None
    rows: Array
    undated: UnknownAges | None = None
    undated_rows: Array = field(default_factory=lambda: np.empty(0, dtype=np.intp))

    @property
    def dated(self) -> LifeData:
        """The lives of known fitting date, none of them where there are none."""
        if self.data is not None:
            return self.data
        none = np.zeros(0)
        design = np.zeros((0, len(self.coding.names)))
        return build_life_data(entry=none, stop_low=none, stop_high=none, design=design)

    @property
    def unknown(self) -> UnknownAges:
        """The lives of unknown fitting date, none of them where there are none."""
        return no_unknown_ages(len(self.coding.names)) if self.undated is None else self.undated

    def with_duty_height(self, step: float) -> "ComponentLives":
        """The same lives coded with effects of height by duty, or without.

        Parameters
        ----------
        step : float
            As `Coding.duty_height` is to be; 0 for none.

        Returns
        -------
        ComponentLives
            For a model whose coding has that step.
        """
        if step == self.coding.duty_height:
            return self
        data, undated = self.data, self.undated
        return replace(
            self,
            coding=self.coding.with_duty_height(step),
            data=data and replace(data, design=recode_duty_height(data.design, self.coding, step)),
            undated=undated and replace(undated, design=recode_duty_height(undated.design, self.coding, step)),
        )


def build_component_lives(
    component: str,
    *,
    lives: pd.DataFrame,
    segments: pd.DataFrame,
    traits: pd.DataFrame,
    lifts: tuple[float, ...],
    other_rate: float,
    coding: Coding | None = None,
) -> ComponentLives:
    """Code the lives of one component.

    Parameters
    ----------
    component : str
        Code.
    lives, segments : pandas.DataFrame
        All lives and their segments.
    traits : pandas.DataFrame
        Row by row for `lives`, from `wearmodel.survival.covariates.build_traits`.
    lifts : tuple of float
        Lift levels of the fleet [mm].
    other_rate : float
        Renewals of the component that are not wear [1 / distance].
    coding : Coding, optional
        Of a model fitted before; made from the lives when missing.

    Returns
    -------
    ComponentLives
        Coding from all lives of the component, data from those with weight.
    """
    mine = segments[(lives["component"] == component).to_numpy()[segments["life"]]]
    at = mine["life"].to_numpy()
    pieces = mine.assign(
        distance=_seen_distance(mine, lives.iloc[at]) * lives["chance"].to_numpy()[at],
        spot=lives.groupby(["vehicle", "position"]).ngroup().to_numpy()[at],
    )
    if coding is None:
        coding = build_coding(component, segments=pieces, traits=traits.iloc[at], lifts=lifts)
    design = build_segment_design(coding, lift=pieces["lift"].to_numpy(dtype=float), traits=traits.iloc[at])
    dated = lives["usable"].to_numpy(dtype=bool)[at]
    undated = _begun_before(lives)[at]
    known, rows = _arguments(lives, pieces, design, dated)
    before, undated_rows = _arguments(_seen_from_look(lives), pieces, design, undated)
    observed_from = before.pop("entry")
    return ComponentLives(
        component,
        coding,
        build_stretched_life_data(**known, weight=lives["weight"].to_numpy()[rows]) if len(rows) else None,
        rows,
        build_unknown_ages(
            **before,
            observed_from=observed_from,
            other_rate=other_rate,
            weight=lives["chance"].to_numpy()[undated_rows],
        ),
        undated_rows,
    )


def _begun_before(lives: pd.DataFrame) -> Array:
    """First lives of positions that were in service before observation began, with something seen of them."""
    first = lives["start_day"] == lives.groupby(["vehicle", "position"])["start_day"].transform("min")
    top = np.where(np.isfinite(lives["stop_high"]), lives["stop_high"], lives["stop_low"])
    seen = (lives["entry"] > 0) & (top > lives["entry"])
    return np.asarray(first & seen & ~lives["age_known"].astype(bool))


def _seen_from_look(lives: pd.DataFrame) -> pd.DataFrame:
    """Lives whose observation begins at the last look before the record, as far as their wear shows only at one.

    A part that had worn out unseen when the record began is found at the next look. With q the share of such wear and
    d the distance since the last look, a part met when the record begins says q S(a - d) + (1 - q) S(a), which is
    S(a - q d) as long as the hazard hardly changes between two looks.
    """
    entry, low = lives["entry"].to_numpy(), lives["stop_low"].to_numpy()
    found = np.isfinite(lives["stop_high"].to_numpy()) & (lives["stop_high"].to_numpy() > low)
    gap = lives["look_gap"].to_numpy() * (lives["silent"].to_numpy() > 0)
    unseen = found & (low <= entry)
    start = np.maximum(entry - np.where(unseen, gap, gap * lives["silent"].to_numpy()), 0.0)
    return lives.assign(entry=start, stop_low=np.where(unseen, start, low))


def _arguments(lives: pd.DataFrame, pieces: pd.DataFrame, design: Array, chosen: Array) -> tuple[dict[str, Any], Array]:
    """Arrays of the chosen segments' lives, as the builders of life data take them, and the rows of the lives."""
    rows, index = np.unique(pieces["life"].to_numpy()[chosen], return_inverse=True)
    mine = lives.iloc[rows]
    return {
        "life": index,
        "segment_from": pieces["age_from"].to_numpy()[chosen],
        "segment_to": pieces["age_to"].to_numpy()[chosen],
        "design": design[chosen],
        "entry": mine["entry"].to_numpy(),
        "stop_low": mine["stop_low"].to_numpy(),
        "stop_high": mine["stop_high"].to_numpy(),
        "cluster": mine["vehicle"].to_numpy(),
    }, rows


def _seen_distance(segments: pd.DataFrame, lives: pd.DataFrame) -> Array:
    """Distance of each segment that lies between entry and the end of its life."""
    entry, low, high = (lives[name].to_numpy() for name in ("entry", "stop_low", "stop_high"))
    end = np.where(np.isfinite(high), high, low)
    start, stop = segments["age_from"].to_numpy(), segments["age_to"].to_numpy()
    return np.maximum(np.minimum(stop, end) - np.maximum(start, entry), 0.0)


def _fixed_precision(coding: Coding, mine: ComponentLives) -> Array:
    """Precision of effects that are not pooled; the intercept is free, height counts per its spread in the data."""
    precision = np.zeros(len(coding.names))
    if coding.fixed_share > 0:
        precision[coding.names.index("fixed_position")] = _EFFECT_SPREAD**-2
    if coding.height != "none":
        precision[-1] = (_height_step(mine) / _EFFECT_SPREAD) ** 2
    return precision


def _height_step(mine: ComponentLives) -> float:
    """Two standard deviations of the height value met in the lives; 0 where none counts."""
    if mine.coding.height == "none":
        return 0.0
    return 2.0 * float(np.std(np.concatenate([one.design[:, -1] for one in (mine.dated, mine.unknown)])))


def with_duty_height(mine: ComponentLives) -> ComponentLives:
    """Lives coded so that the effect of height may differ by duty.

    Parameters
    ----------
    mine : ComponentLives
        The component's lives.

    Returns
    -------
    ComponentLives
        Effects of height by duty are for two standard deviations of the height value met, so that one spread suits
        angles and lifts; none where there is one duty or no height value.
    """
    return mine.with_duty_height(_height_step(mine) if len(mine.coding.duties) > 1 else 0.0)


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
    models: dict[str, ComponentModel] = {}
    thin: dict[str, LifeData] = {}
    for code, mine in coded.items():
        plain = mine.with_duty_height(0.0)
        if quick:
            mine, fit = plain, _own_law(plain, lost.get(code), quick=True, alike=alike)
        else:
            mine, fit = _supported_law(plain, lost.get(code), alike=alike)
        if fit is not None:
            models[code] = _fitted(mine, fit, labels[code], clocks[code])
        elif mine.data is not None:
            thin[code] = mine.data
    log_shape, origin = _pooled_shape(models)
    for code, data in thin.items():
        plain = coded[code].with_duty_height(0.0)
        models[code] = _shape_given(plain, data, log_shape, labels[code], clocks[code], origin)
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
    return hashlib.sha256(lives.to_csv(index=False).encode("utf-8")).hexdigest()
