"""Raised vehicles against vehicles at factory ride height, duty allowed for."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.policy.comparison.confounding import told_why
from wearmodel.policy.comparison.standardised import (
    DRAWS,
    Mix,
    build_mix,
    draw_law,
    drawn_bounds,
    mixed_cost,
    mixed_mean,
    mixed_median,
)
from wearmodel.policy.lift_groups import nearest_level
from wearmodel.processes import each
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.model import ComponentModel, LifeModel, law, life_ratio_band, log_normal_band
from wearmodel.survival.weibull import life_at

__all__ = ["compare_duties", "compare_ride_heights"]

Array = NDArray[Any]
#: Below this share of common duty the two groups hardly overlap.
_LEAST_OVERLAP = 0.3
_SEED = 1


def _bound_names(name: str) -> tuple[str, str]:
    """Names of the columns that hold the bounds of a figure."""
    return f"{name}_lower", f"{name}_upper"


_COLUMNS = (
    "component", "lift_group", "duty_mix", "lives", "failures", "life_ratio", "lower", "upper", "p_value",
    "median_factory", "median_raised", "extra_cost_per_1000", "crude_ratio", "note", "lift",
    *_bound_names("extra_cost_per_1000"), *_bound_names("median_factory"), *_bound_names("median_raised"),
    "mean_limit", "mean_factory", *_bound_names("mean_factory"), "mean_raised", *_bound_names("mean_raised"), "why",
)  # fmt: skip


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
    prior = np.array([0.0] + [1.0] * (len(columns) - 1))
    fit = fit_lives(replace(data, design=design), prior_precision=prior, clustered=False)
    return math.exp(float(fit.values[1]))


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


def _mix_of(model: ComponentModel, seen: pd.DataFrame, traits: pd.DataFrame) -> Mix:
    """Covariates of pieces at factory height and at their own lift, each for the distance it ran."""
    mine = traits.iloc[seen["life"].to_numpy()]
    lifts = seen["lift"].to_numpy(dtype=float)
    factory = build_segment_design(model.coding, lift=np.zeros(len(lifts)), traits=mine)
    own = build_segment_design(model.coding, lift=lifts, traits=mine)
    return build_mix(factory, own, seen["distance"].to_numpy(dtype=float))


def _seen_by_both(pieces: pd.DataFrame, inside: Array) -> float:
    """The longest age that parts of both sides were seen at, rounded down to two figures [distance]."""
    usable = pieces["usable"].to_numpy() & (pieces["distance"] > 0).to_numpy()
    ages = pieces["age"].to_numpy(dtype=float)
    sides = [ages[usable & side] for side in (inside, (pieces["level"] == 0).to_numpy())]
    if not all(len(side) for side in sides):
        return math.nan
    longest = min(float(side.max()) for side in sides)
    step = 10.0 ** (math.floor(math.log10(longest)) - 1)
    return math.floor(longest / step) * step


def _row(
    model: ComponentModel,
    fleet: LifeModel,
    mine: ComponentLives,
    pieces: pd.DataFrame,
    group: _Group,
    levels: tuple[float, ...],
    traits: pd.DataFrame,
) -> dict[str, object]:
    inside = pieces["level"].isin(group.levels).to_numpy()
    seen = pieces[inside & (pieces["distance"] > 0).to_numpy()]
    failures = round(float(pieces[inside]["failed_here"].sum()))
    shares = _duty_shares(pieces[inside]).sort_values(ascending=False, kind="stable")
    row: dict[str, object] = {
        **dict.fromkeys(_COLUMNS, np.nan),
        "component": model.component,
        "lift_group": group.label,
        "duty_mix": ", ".join(f"{duty} {share:.0%}" for duty, share in shares.items() if share >= 0.005),
        "lives": round(float(seen.drop_duplicates("life")["weight"].sum())),
        "failures": failures,
        "note": _note(model, pieces, group, failures),
        "why": "",
        "lift": group.lift,
    }
    if model.coding.height == "none" or model.basis != "fitted":
        return row
    mix = _mix_of(model, seen, traits)
    crude = _crude_ratio(mine, pieces["lift"].to_numpy()[pieces["usable"]], group, levels)
    figures = _ratio_columns(model, fleet.confidence, mix) | {
        "crude_ratio": crude,
        "why": told_why(model, pieces=pieces, inside=inside, traits=traits, crude=crude),
    }
    limit = _seen_by_both(pieces, inside)
    return row | figures | _life_columns(model, fleet, mix, limit)


def _ratio_columns(model: ComponentModel, confidence: float, mix: Mix) -> dict[str, float]:
    """Life ratio, geometric mean over the mix, with its interval and p-value."""
    change = mix.shares @ (mix.others - mix.rows)
    log_ratio = float(change @ np.array(model.values[:-1]))
    covariance = np.array(model.covariance)[:-1, :-1]
    error = math.sqrt(max(float(change @ covariance @ change), 0.0))
    band = log_normal_band(log_ratio, error=error, confidence=confidence)
    away = abs(log_ratio) / error if error > 0 else math.nan
    return {
        "life_ratio": float(band.estimate),
        "lower": float(band.low),
        "upper": float(band.high),
        "p_value": math.erfc(away / math.sqrt(2.0)),
    }


def _life_columns(model: ComponentModel, fleet: LifeModel, mix: Mix, limit: float) -> dict[str, float]:
    """Medians, means up to a limit and extra cost, each with its interval."""
    drawn = draw_law(model, draws=DRAWS, rng=np.random.default_rng(_SEED))
    sides = {"factory": mix.rows, "raised": mix.others}
    bands: dict[str, Array] = {}
    for side, rows in sides.items():
        bands[f"median_{side}"] = mixed_median(drawn, rows, mix.shares)
        if math.isfinite(limit):
            bands[f"mean_{side}"] = mixed_mean(drawn, rows, mix.shares, limit=limit)
    cost = fleet.costs.get(model.component)
    if cost is not None:
        rates = [
            mixed_cost(drawn, rows, mix.shares, cost=cost, service_interval=fleet.service_interval)
            for rows in sides.values()
        ]
        bands["extra_cost_per_1000"] = (rates[1] - rates[0]) * 1000.0
    out = {"mean_limit": limit}
    for name, values in bands.items():
        out |= dict(zip((name, *_bound_names(name)), (values[0], *drawn_bounds(values, fleet.confidence)), strict=True))
    return out


def compare_ride_heights(
    fleet: LifeModel,
    *,
    coded: Mapping[str, ComponentLives],
    pieces: pd.DataFrame,
    levels: tuple[float, ...],
    traits: pd.DataFrame,
) -> pd.DataFrame:
    """Table `compare`: parts on raised vehicles as they are, and as they would be at factory height.

    Parameters
    ----------
    fleet : LifeModel
        Life models.
    coded : mapping of str to ComponentLives
        What each model was fitted on.
    pieces : pandas.DataFrame
        Segments of all lives: `life, component, duty, lift, distance` (run under observation),
        `failed_here` (the life failed in this segment), `weight` of the life, `usable` (the life counts in the fit),
        `age` (greatest age seen in the segment).
    levels : tuple of float
        Lift levels [mm].
    traits : pandas.DataFrame
        Row by row for the lives, see `wearmodel.survival.covariates.build_traits`.

    Returns
    -------
    pandas.DataFrame
        Columns of the table `compare`, and `crude_ratio`, `note`, `lift`, `why` (the crude ratio differs); bounds of
        the medians and of the extra cost; `mean_factory` and `mean_raised`, the mean distance run up to `mean_limit`,
        with bounds. Everything is averaged over the parts on the raised vehicles of the group, each with its duty,
        class and place, once at its own lift and once at factory height; `extra_cost_per_1000` is in currency per
        1,000 distance units, each side at its own recommended interval. No rows without raised vehicles.

    Notes
    -----
    Standardisation (g-computation: Hernán & Robins, Causal Inference: What If, 2020, ch. 13). Bounds are quantiles
    over 500 draws of the parameters, whose covariance counts vehicles, not lives.
    """
    pieces = pieces.assign(level=nearest_level(pieces["lift"], levels))

    def rows_of(code: str) -> list[dict[str, object]]:
        mine = pieces[pieces["component"] == code]
        model = fleet.components[code]
        return [_row(model, fleet, coded[code], mine, group, levels, traits) for group in _groups(mine, levels)]

    found = each(rows_of, list(fleet.components))
    return pd.DataFrame([row for rows in found for row in rows], columns=list(_COLUMNS))


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
