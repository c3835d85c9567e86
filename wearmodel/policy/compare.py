"""Raised vehicles against vehicles at factory ride height, duty allowed for."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.policy.age_replacement import cost_rate, recommended_interval
from wearmodel.policy.lift_groups import nearest_level
from wearmodel.survival.coding import duty_or_mix
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.model import ComponentModel, LifeModel, law, life_ratio_band
from wearmodel.survival.weibull import life_at, mean_pace, survival

__all__ = ["compare_duties", "compare_ride_heights"]

Array = NDArray[Any]
#: Below this share of common duty the two groups hardly overlap.
_LEAST_OVERLAP = 0.3
_BISECTIONS = 80


@dataclass(frozen=True)
class _Group:
    """Lives seen at a lift level, or at any raised one (`lift` then is their mean)."""

    label: str
    lift: float
    levels: tuple[float, ...]


def _groups(pieces: pd.DataFrame, levels: tuple[float, ...]) -> list[_Group]:
    """Each raised level met, and all raised together where there is more than one."""
    run = pieces.groupby("level")["distance"].sum()
    met = [level for level in levels[1:] if run.get(level, 0.0) > 0]
    groups = [_Group(f"{level:g} mm", level, (level,)) for level in met]
    if len(met) > 1:
        weights = [run[level] for level in met]
        groups.append(_Group("all raised", float(np.average(met, weights=weights)), tuple(met)))
    return groups


def _duty_shares(pieces: pd.DataFrame) -> "pd.Series[float]":
    run = pieces.groupby("duty")["distance"].sum()
    return run / run.sum() if run.sum() > 0 else run


def _known_shares(model: ComponentModel, shares: "pd.Series[float]") -> "pd.Series[float]":
    """Shares of the duties that the model knows, the others as the fleet's mix."""
    return shares.groupby([duty_or_mix(model.coding, str(duty)) for duty in shares.index], sort=False).sum()


def _crude_ratio(mine: ComponentLives, lift: Array, group: _Group, levels: tuple[float, ...]) -> float:
    """Life ratio with no allowance for duty: raised or not is the only covariate."""
    data = mine.data
    if data is None or data.failures <= 0:
        return math.nan
    level = nearest_level(lift, levels)
    inside = np.isin(level, group.levels)
    columns = [np.ones(len(lift)), inside.astype(float)]
    other = (level > 0) & ~inside
    if other.any():
        columns.append(other.astype(float))
    design = np.column_stack(columns)
    fit = fit_lives(replace(data, design=design), prior_precision=np.array([0.0] + [1.0] * (len(columns) - 1)))
    return math.exp(float(fit.values[1]))


def _mixture_median(scales: Array, weights: Array, shape: float, variance: float) -> float:
    """Median life over a mix of duties and over vehicles: the distance by which half of the mix has failed."""
    low, high = 0.0, float(life_at(0.5, shape=shape, scale=scales.max(), variance=variance))
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2.0
        if float(weights @ survival(middle, shape=shape, scale=scales, variance=variance)) > 0.5:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def _cost_rates(model: ComponentModel, fleet: LifeModel, scales: Array) -> Array:
    """Cost per distance over vehicles, each at its own recommended interval, for each scale."""
    cost = fleet.costs.get(model.component)
    if cost is None:
        return np.full(len(scales), np.nan)
    terms: dict[str, Any] = {
        "shape": math.exp(model.values[-1]), "scale": scales,
        "planned_cost": cost.planned, "failed_cost": cost.failed,
    }  # fmt: skip
    interval = recommended_interval(**terms, service_interval=fleet.service_interval)
    return mean_pace(terms["shape"], model.frailty_variance) * cost_rate(interval, **terms)


def _note(model: ComponentModel, pieces: pd.DataFrame, group: _Group, failures: int) -> str:
    """What a reader must know of one comparison."""
    if model.coding.height == "none":
        return "Ride height moves none of these joints, or never varied: no comparison."
    inside = _duty_shares(pieces[pieces["level"].isin(group.levels)])
    factory = _duty_shares(pieces[pieces["level"] == 0])
    overlap = float(np.minimum(inside, factory.reindex(inside.index).fillna(0.0)).sum())
    through = {
        "log_angle": "Through the joint angle; allowed for duty.",
        "angle": "Through the joint angle; allowed for duty.",
        "lift": "By lift (no geometry given); allowed for duty.",
    }[model.coding.height]
    if model.coding.duty_height > 0:
        through += " Differs by duty: see the ratio of each duty."
    if failures < 5:
        through += f" Only {failures} failures in this group."
    if overlap < _LEAST_OVERLAP:
        through += (
            f" Warning: raised and factory-height vehicles share only {overlap:.0%} of their duty; the comparison "
            "rests on the model more than on the record."
        )
    return through


def _row(
    model: ComponentModel,
    fleet: LifeModel,
    mine: ComponentLives,
    pieces: pd.DataFrame,
    group: _Group,
    levels: tuple[float, ...],
) -> dict[str, object]:
    inside = pieces["level"].isin(group.levels).to_numpy()
    seen = pieces[inside & (pieces["distance"] > 0).to_numpy()]
    failures = round(float(pieces[inside]["failed_here"].sum()))
    shares = _duty_shares(pieces[inside]).sort_values(ascending=False, kind="stable")
    row: dict[str, object] = {
        "component": model.component,
        "lift_group": group.label,
        "duty_mix": ", ".join(f"{duty} {share:.0%}" for duty, share in shares.items() if share >= 0.005),
        "lives": round(float(seen.drop_duplicates("life")["weight"].sum())),
        "failures": failures,
        **dict.fromkeys(
            ["life_ratio", "lower", "upper", "p_value", "median_factory", "median_raised",
             "extra_cost_per_1000", "crude_ratio"], np.nan,
        ),
        "note": _note(model, pieces, group, failures),
        "lift": group.lift,
    }  # fmt: skip
    if model.coding.height == "none" or model.basis != "fitted":
        return row
    known = _known_shares(model, shares)
    mix = {str(duty): float(share) for duty, share in known.items()}
    band = life_ratio_band(model, lift=group.lift, duty=mix, confidence=fleet.confidence)
    half = math.log(float(band.high) / float(band.low)) / 2.0
    error = half / NormalDist().inv_cdf(0.5 + fleet.confidence / 2.0)
    weights = known.to_numpy()
    distance_in_errors = abs(math.log(float(band.estimate))) / error if error > 0 else math.nan
    medians, rates = [], []
    shape = math.exp(model.values[-1])
    for lift in (0.0, group.lift):
        scales = np.array([law(model, duty=duty, lift=lift).scale for duty in mix])
        medians.append(_mixture_median(scales, weights, shape, model.frailty_variance))
        rates.append(float(weights @ _cost_rates(model, fleet, scales)))
    return row | {
        "life_ratio": float(band.estimate),
        "lower": float(band.low),
        "upper": float(band.high),
        "p_value": math.erfc(distance_in_errors / math.sqrt(2.0)),
        "median_factory": medians[0],
        "median_raised": medians[1],
        "extra_cost_per_1000": (rates[1] - rates[0]) * 1000.0,
        "crude_ratio": _crude_ratio(mine, pieces["lift"].to_numpy()[pieces["usable"]], group, levels),
    }


def compare_ride_heights(
    fleet: LifeModel,
    *,
    coded: Mapping[str, ComponentLives],
    pieces: pd.DataFrame,
    levels: tuple[float, ...],
) -> pd.DataFrame:
    """Table `compare`.

    Parameters
    ----------
    fleet : LifeModel
        Life models.
    coded : mapping of str to ComponentLives
        What each model was fitted on.
    pieces : pandas.DataFrame
        Segments of all lives: `life, component, duty, lift, distance` (run under observation),
        `failed_here` (the life failed in this segment), `weight` of the life, `usable` (the life counts in the fit).
    levels : tuple of float
        Lift levels [mm].

    Returns
    -------
    pandas.DataFrame
        Columns of the table `compare`, and `crude_ratio`, `note`, `lift`. Ratios and medians are
        standardised to the duty mix of the raised group; `extra_cost_per_1000` is in currency per
        1,000 distance units, each side at its own recommended interval. No rows without raised vehicles.
    """
    pieces = pieces.assign(level=nearest_level(pieces["lift"], levels))
    rows = []
    for code, model in fleet.components.items():
        mine = pieces[pieces["component"] == code]
        rows += [_row(model, fleet, coded[code], mine, group, levels) for group in _groups(mine, levels)]
    names = [
        "component", "lift_group", "duty_mix", "lives", "failures", "life_ratio", "lower", "upper", "p_value",
        "median_factory", "median_raised", "extra_cost_per_1000", "crude_ratio", "note", "lift",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=names)


def compare_duties(fleet: LifeModel, *, pieces: pd.DataFrame, levels: tuple[float, ...]) -> pd.DataFrame:
    """Table `compare_duty`: raised against factory height in each duty, where ride height costs more in some of them.

    Parameters
    ----------
    fleet, pieces, levels
        As in `compare_ride_heights`.

    Returns
    -------
    pandas.DataFrame
        Columns `component, lift_group, duty, lives, failures, life_ratio, lower, upper, median_factory, median_raised,
        lift`, a row for each duty of the fleet; lives and failures are those seen in the group in that duty. Only
        components whose model has effects of height by duty.
    """
    pieces = pieces.assign(level=nearest_level(pieces["lift"], levels))
    rows: list[tuple[object, ...]] = []
    for code, model in fleet.components.items():
        if model.coding.duty_height == 0 or model.basis != "fitted":
            continue
        mine = pieces[(pieces["component"] == code) & (pieces["distance"] > 0)]
        for group in _groups(mine, levels):
            inside = mine[mine["level"].isin(group.levels)]
            rows += [_duty_row(model, fleet.confidence, inside, group, duty) for duty in model.coding.duties]
    names = [
        "component", "lift_group", "duty", "lives", "failures", "life_ratio", "lower", "upper", "median_factory",
        "median_raised", "lift",
    ]  # fmt: skip
    return pd.DataFrame(rows, columns=names)


def _duty_row(
    model: ComponentModel, confidence: float, inside: pd.DataFrame, group: _Group, duty: str
) -> tuple[object, ...]:
    """One duty of one lift group."""
    seen = inside[inside["duty"] == duty]
    band = life_ratio_band(model, lift=group.lift, duty=duty, confidence=confidence)
    laws = [law(model, duty=duty, lift=lift) for lift in (0.0, group.lift)]
    medians = [float(life_at(0.5, shape=one.shape, scale=one.scale, variance=one.variance)) for one in laws]
    lives, failures = seen.drop_duplicates("life")["weight"].sum(), seen["failed_here"].sum()
    return (
        model.component, group.label, duty, round(float(lives)), round(float(failures)), float(band.estimate),
        float(band.low), float(band.high), *medians, group.lift,
    )  # fmt: skip
