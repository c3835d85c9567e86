"""Raised against factory height a second way: lives weighted by the inverse of how likely their ride height was.

Each life is cut where its vehicle was raised or put back, and each piece is weighted so that duty, class, depot and
place are alike on both sides. A Weibull law is fitted to the weighted pieces in which ride height is raised or not,
whatever the lift or the angle. Duty, class and place stay in it as covariates: the answer is right if either the
weights or these are (doubly robust), and without them a mix of unlike work, which is no Weibull law, put the ratio 2 to
3 % low on simulated fleets however large.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.policy.comparison.drawn_fits import DrawnWeights, drawn_tops
from wearmodel.policy.comparison.propensity import (
    COVARIATES,
    LEAST_PROPENSITY,
    Propensities,
    fit_propensities,
    one_sided_levels,
)
from wearmodel.policy.comparison.standardised import DRAWS
from wearmodel.processes import each
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import LifeData, build_stretched_life_data, rows_of_runs

__all__ = ["BALANCE_COLUMNS", "WEIGHTED_COLUMNS", "ExposedLives", "build_exposed_lives", "compare_weighted"]

Array = NDArray[Any]
WEIGHTED_COLUMNS = (
    "component", "life_ratio", "lower", "upper", "lives_raised", "lives_factory", "failures_raised",
    "failures_factory", "effective_raised", "effective_factory", "share_truncated", "share_left_out",
    "largest_weight", "note",
)  # fmt: skip
BALANCE_COLUMNS = (
    "component", "covariate", "level", "share_raised", "share_factory", "weighted_raised", "weighted_factory",
    "difference", "difference_weighted",
)  # fmt: skip
#: Precision of a normal prior on the log life ratio, as in the crude comparison: it keeps a side without a failure
#: finite; four failures of shape 2 outweigh it ten to one. That on the other effects is a tenth of it.
_PRECISION, _OTHER_PRECISION = 1.0, 0.1
#: What stays in the law. A depot decides on ride height but seldom on wear.
_IN_THE_LAW = ("duty", "vehicle_class", "place")
_FEWEST_FAILURES = 5
_SAID = {"duty": "duty", "vehicle_class": "vehicle class", "depot": "depot", "place": "place"}


@dataclass(frozen=True)
class ExposedLives:
    """Lives of one component cut where their vehicle was raised or put back.

    Parameters
    ----------
    data : LifeData
        Each piece as a life of its own that enters when the piece begins and has run what went before; covariates an
        intercept and raised (1) or not; weights those of the lives.
    pieces : pandas.DataFrame
        Row by row for the pieces: `vehicle` (from 0 on), `raised`, `failed`, `distance` seen [distance, times the
        life's weight], `weight`, and `duty, vehicle_class, depot, place`.
    """

    data: LifeData
    pieces: pd.DataFrame


def build_exposed_lives(lives: pd.DataFrame, segments: pd.DataFrame, traits: pd.DataFrame) -> ExposedLives | None:
    """Cut the lives of one component by exposure.

    Parameters
    ----------
    lives : pandas.DataFrame
        Lives of the component, those of unknown age among them left out here: `entry, stop_low, stop_high, weight,
        usable, vehicle, depot`.
    segments : pandas.DataFrame
        Segments of all lives, `life` the number in `lives`' index.
    traits : pandas.DataFrame
        Row by row for `lives`: `duty, vehicle_class, place`.

    Returns
    -------
    ExposedLives or None
        None where no life is usable.
    """
    number = pd.Series(np.arange(len(lives)), index=lives.index)
    usable = lives["usable"].to_numpy(dtype=bool) & (lives["weight"].to_numpy() > 0)
    mine = segments[segments["life"].isin(lives.index[usable])]
    mine = mine.assign(life=number.loc[mine["life"]].to_numpy(), raised=mine["lift"].to_numpy() > 0)
    begins = (mine["life"].diff() != 0) | (mine["raised"] != mine["raised"].shift())
    runs = mine.groupby(begins.cumsum().to_numpy(), sort=False).agg(
        life=("life", "first"), age_from=("age_from", "first"), age_to=("age_to", "last"), raised=("raised", "first")
    )
    at = runs["life"].to_numpy()
    entry, low, high = (lives[name].to_numpy(dtype=float)[at] for name in ("entry", "stop_low", "stop_high"))
    start, end = runs["age_from"].to_numpy(), runs["age_to"].to_numpy()
    # As in the table of lives: a failure known to an interval stays in one piece.
    chosen = np.flatnonzero((end > entry) & ((start < low) | (start <= entry)))
    if not len(chosen):
        return None
    last = ~pd.Series(at[chosen]).duplicated(keep="last").to_numpy()
    ages = {
        "entry": np.maximum(start, entry)[chosen],
        "stop_low": np.where(last, low[chosen], np.minimum(end, low)[chosen]),
        "stop_high": np.where(last, high[chosen], np.inf),
    }
    ages["stop_low"] = np.maximum(ages["stop_low"], ages["entry"])
    # Every piece brings along all runs of its life from the first on: how far its clock was stretched before.
    first_run = np.searchsorted(at, at)
    many = chosen - first_run[chosen] + 1
    owner = np.repeat(np.arange(len(chosen)), many)
    run = rows_of_runs(first_run[chosen], many)
    shut = np.where(run == chosen[owner], np.inf, end[run])
    raised = runs["raised"].to_numpy(dtype=float)
    at = at[chosen]
    weight = lives["weight"].to_numpy(dtype=float)[at]
    vehicle = np.unique(lives["vehicle"].to_numpy()[at], return_inverse=True)[1]
    data = build_stretched_life_data(
        life=owner, segment_from=start[run], segment_to=shut,
        design=np.column_stack([np.ones(len(run)), raised[run]]), weight=weight, cluster=vehicle, **ages,
    )  # fmt: skip
    top = np.where(np.isfinite(ages["stop_high"]), ages["stop_high"], ages["stop_low"])
    pieces = pd.DataFrame(
        {
            "vehicle": vehicle, "raised": raised[chosen] > 0, "failed": np.isfinite(ages["stop_high"]),
            "distance": weight * (top - ages["entry"]), "weight": weight, "depot": lives["depot"].to_numpy()[at],
            **{name: traits[name].to_numpy()[at] for name in ("duty", "vehicle_class", "place")},
        }
    )  # fmt: skip
    return ExposedLives(data, pieces)


@dataclass(frozen=True)
class _Weighted:
    """One component: row of the table `compare_weighted`, rows of `balance`."""

    row: dict[str, object]
    balance: list[tuple[object, ...]]


def compare_weighted(
    exposed: Mapping[str, ExposedLives], *, confidence: float, seed: int, draws: int = DRAWS
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Tables `compare_weighted` and `balance`.

    Parameters
    ----------
    exposed : mapping of str to ExposedLives
        By component code.
    confidence : float
        Two-sided confidence of the intervals.
    seed : int
        Seed of the bootstrap draws.
    draws : int
        Number of bootstrap draws.

    Returns
    -------
    tuple of pandas.DataFrame
        `WEIGHTED_COLUMNS`: life ratio of all raised vehicles over those at factory height in the fleet's whole mix of
        work, with bounds; lives and failures of either side; `effective_` the number of equally weighted lives that
        would tell as much; shares of the distance whose propensity was truncated, and that was left out because its
        level has one side only. `BALANCE_COLUMNS`: share of the distance by level on either side, before and after
        weighting, and standardised differences. Components without raised vehicles have no rows.

    Notes
    -----
    Inverse-probability-of-treatment weights, stabilised (Robins, Hernán & Brumback, Epidemiology 11 (2000)); bounds are
    quantiles over bootstrap draws of whole vehicles, propensities estimated anew in each (Efron & Tibshirani, An
    Introduction to the Bootstrap, 1993, ch. 13). Standardised difference: Austin, Statistics in Medicine 28 (2009).
    """
    numbered = [(n, code) for n, (code, mine) in enumerate(exposed.items()) if mine.pieces["raised"].any()]

    def compared(numbered_code: tuple[int, str]) -> _Weighted:
        number, code = numbered_code
        rng = np.random.default_rng([seed, number])
        return _component(code, exposed[code], confidence=confidence, rng=rng, draws=draws)

    found = each(compared, numbered, sizes=[len(exposed[code].pieces) for _, code in numbered])
    rows = pd.DataFrame([one.row for one in found], columns=list(WEIGHTED_COLUMNS))
    balance = [line for one in found for line in one.balance]
    return rows, pd.DataFrame(balance, columns=list(BALANCE_COLUMNS))


def _component(
    code: str, mine: ExposedLives, *, confidence: float, rng: np.random.Generator, draws: int
) -> _Weighted:
    whole = mine.pieces
    one_sided = one_sided_levels(whole)
    kept = np.ones(len(whole), dtype=bool)
    for name, level in one_sided:
        kept &= (whole[name].astype(str) != level).to_numpy()
    pieces = whole[kept].reset_index(drop=True)
    row: dict[str, object] = {**dict.fromkeys(WEIGHTED_COLUMNS, math.nan), "component": code}
    row |= _counts(pieces)
    row["share_left_out"] = 1.0 - float(pieces["distance"].sum() / whole["distance"].sum())
    failed = pieces.loc[pieces["failed"], ["raised", "weight"]].groupby("raised")["weight"].sum()
    if float(failed.get(True, 0.0)) < 0.5 or float(failed.sum()) < _FEWEST_FAILURES:
        row["note"] = _left_out(one_sided) + "Too few failures with both sides in the same work for weights."
        return _Weighted(row, [])
    pieces["vehicle"] = np.unique(pieces["vehicle"], return_inverse=True)[1]
    vehicles = int(pieces["vehicle"].max()) + 1
    times = rng.multinomial(vehicles, np.full(vehicles, 1.0 / vehicles), size=draws).astype(float)
    stratum = pieces.groupby(list(COVARIATES), sort=True).ngroup().to_numpy()
    chances = fit_propensities(pieces, stratum=stratum, times=times)
    raised = pieces["raised"].to_numpy(dtype=bool)
    own = pieces["weight"].to_numpy(dtype=float)
    # Weights that sum to the number of lives keep the prior as weak as it is meant.
    weights = DrawnWeights(
        own=own, cell=chances.cells(stratum, raised), of_cell=chances.weights(),
        vehicle=pieces["vehicle"].to_numpy(), times=np.vstack([np.ones(vehicles), times]),
        scale=np.ones(draws + 1),
    ).scaled(own.sum())  # fmt: skip
    ratios = _ratios(mine.data.subset(np.flatnonzero(kept)), weights, pieces)
    tail = (1.0 - confidence) / 2.0
    row["life_ratio"] = float(ratios[0])
    row["lower"], row["upper"] = (float(x) for x in np.quantile(ratios[1:], (tail, 1.0 - tail)))
    at_estimate = weights.of_cell[0][weights.cell]
    costs = _weight_columns(pieces, chances, stratum, at_estimate)
    row |= costs
    row["note"] = _left_out(one_sided) + _overlap(costs["share_truncated"])
    return _Weighted(row, _balance(code, pieces, at_estimate))


def _ratios(data: LifeData, weights: DrawnWeights, pieces: pd.DataFrame) -> Array:
    """Life ratio at the estimate and in each draw."""
    others = pd.get_dummies(pieces[list(_IN_THE_LAW)].astype(str), drop_first=True).to_numpy(dtype=float)
    data = replace(data, design=np.hstack([data.design, others[data.life]]))
    prior = np.array([0.0, _PRECISION, *[_OTHER_PRECISION] * others.shape[1]])
    first = weights.of(np.zeros(1, dtype=np.intp), slice(None))[0]
    fit = fit_lives(replace(data, weight=first), prior_precision=prior, clustered=False)
    unit = math.exp(fit.values[0])
    top = fit.values.copy()
    top[0] = 0.0
    tops = drawn_tops(
        data.in_units_of(unit), weights=weights.some(slice(1, None)), start=top, precision=np.append(prior, 0.0)
    )
    return np.exp(np.append(top[1], tops[:, 1]))


def _counts(pieces: pd.DataFrame) -> dict[str, int]:
    """Lives and failures of either side."""
    out = {}
    for side, inside in (("raised", pieces["raised"]), ("factory", ~pieces["raised"])):
        out[f"lives_{side}"] = round(float(pieces.loc[inside, "weight"].sum()))
        out[f"failures_{side}"] = round(float(pieces.loc[inside & pieces["failed"], "weight"].sum()))
    return out


def _weight_columns(pieces: pd.DataFrame, chances: Propensities, stratum: Array, weights: Array) -> dict[str, float]:
    """How much the weights cost, and how often they were truncated."""
    raised, own = pieces["raised"].to_numpy(dtype=bool), pieces["weight"].to_numpy(dtype=float)
    chance, distance = chances.chance[0][stratum], pieces["distance"].to_numpy(dtype=float)
    beyond = (chance < LEAST_PROPENSITY) | (chance > 1.0 - LEAST_PROPENSITY)
    effective = {
        f"effective_{name}": float((own * weights)[side].sum() ** 2 / (own * weights**2)[side].sum())
        for name, side in (("raised", raised), ("factory", ~raised))
    }
    return effective | {
        "share_truncated": float(distance[beyond].sum() / distance.sum()),
        "largest_weight": float(weights.max()),
    }


def _left_out(one_sided: Mapping[tuple[str, str], str]) -> str:
    """What has one side only, in words."""
    words = [
        f"{_SAID[name]} {level} ({'raised' if side == 'raised' else 'factory height'} only)"
        for (name, level), side in one_sided.items()
    ]
    return f"Left out, having no other side: {', '.join(words)}. " if words else ""


def _overlap(truncated: float) -> str:
    """Whether the sides overlap."""
    if truncated == 0.0:
        return f"Every piece had a chance of {LEAST_PROPENSITY:.0%} or more to be on either side."
    return (
        f"Warning: for {truncated:.0%} of the distance the chance to be raised was below {LEAST_PROPENSITY:.0%} or "
        f"above {1.0 - LEAST_PROPENSITY:.0%}; there the groups hardly overlap."
    )


def _balance(code: str, pieces: pd.DataFrame, weights: Array) -> list[tuple[object, ...]]:
    """Shares of the distance by level of each covariate that has several."""
    raised, distance = pieces["raised"].to_numpy(dtype=bool), pieces["distance"].to_numpy(dtype=float)
    out: list[tuple[object, ...]] = []
    for name in COVARIATES:
        levels = pieces[name].astype(str).to_numpy()
        distinct = np.unique(levels)
        for level in distinct if len(distinct) > 1 else ():
            here = levels == level
            shares = [
                float(run[here & side].sum() / run[side].sum())
                for run in (distance, distance * weights)
                for side in (raised, ~raised)
            ]
            spread = math.sqrt(sum(share * (1.0 - share) for share in shares[:2]) / 2.0)
            differences = [
                (shares[i] - shares[i + 1]) / spread if spread > 0 else math.nan for i in (0, 2)
            ]
            out.append((code, name, level, *shares, *differences))
    return out
