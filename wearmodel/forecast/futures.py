"""All components' futures under one policy, with the same parameter and usage draws."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.renewal_paths import Events, Looks, OtherRates, simulate_paths
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import ComponentModel, LifeModel, parameter_draws

__all__ = ["POLICIES", "Futures", "build_other_rates", "simulate_futures"]

Array = NDArray[Any]
_LARGEST_MULTIPLE = 100.0
#: A vehicle that stands is looked at once a year all the same [d]; common practice, no source.
_LONGEST_WITHOUT_A_LOOK = 365.25
POLICIES = ("run_to_failure", "planned", "present_practice")


@dataclass(frozen=True)
class Futures:
    """Drawn events of every component.

    Parameters
    ----------
    events : mapping of str to Events
        By component code.
    draws : int
        Number of draws.
    """

    events: Mapping[str, Events]
    draws: int


def build_other_rates(lives: pd.DataFrame) -> dict[str, OtherRates]:
    """Rates of renewals that are not wear, from the record.

    Parameters
    ----------
    lives : pandas.DataFrame
        All lives with `ended`, `entry`, `stop_low`, `stop_high`, `came_along`, `chance`.

    Returns
    -------
    dict of str to OtherRates
        Renewals per distance that parts ran under observation, by component.
    """
    end = np.where(np.isfinite(lives["stop_high"]), lives["stop_high"], lives["stop_low"])
    seen = (end - lives["entry"].to_numpy()) * lives["chance"].to_numpy()
    run = pd.Series(seen, index=lives.index).groupby(lives["component"]).sum()
    ended = lives["ended"].where(~((lives["ended"] == "collateral") & lives["came_along"]), "along")
    counts = lives.assign(ended=ended).groupby(["component", "ended"])["chance"].sum().unstack(fill_value=0)
    counts = counts.reindex(columns=["planned", "collateral", "damage", "comeback", "along"], fill_value=0)
    per = counts.div(run.where(run > 0), axis=0).fillna(0.0)
    return {
        str(code): OtherRates(
            planned=float(row["planned"]),
            beside=float(row["collateral"]),
            mishap=float(row["damage"] + row["comeback"]),
            along=float(row["along"]),
        )
        for code, row in per.iterrows()
    }


def _centred_draws(
    own: ComponentModel, parts: FittedParts, points: AgePoints, usage: Usage, drawn: Array
) -> Array:
    """Draws moved so that the hazard ahead of the fitted parts is on average that of the estimate.

    The draws are normal on the log scale, where the likelihood is skewed: with D failures the mean of
    exp of a normal overstates a rate by 1 / (2 D), which the gamma shape of the true posterior does not.
    """
    ahead = usage.distance.sum(axis=1)[parts.frame["vehicle"]]
    values = np.array(own.values)
    all_values = np.vstack([values, drawn])
    now = parts.operational_age(all_values)
    # Parts of unknown age are younger than the oldest they can be.
    now = now * (points.mean() / np.maximum(now[:, 0], 1e-300))[:, None]
    shape = np.exp(all_values[:, -1])
    with np.errstate(over="ignore", invalid="ignore"):
        hazard = np.power(now + parts.pace(all_values) * ahead[:, None], shape) - np.power(now, shape)
        total = hazard.sum(axis=0)
        # With a handful of failures single draws are absurd: none of them may set the mean.
        total = np.fmin(total, _LARGEST_MULTIPLE * total[0])
    moved = drawn.copy()
    if total[0] > 0:
        moved[:, 0] += np.log(total[1:].mean() / total[0]) / shape[0]
    return moved


def _between_looks(own: ComponentModel, parts: FittedParts, usage: Usage, service_interval: float) -> Array:
    """What each part's clock goes on between two services, which come by distance driven."""
    if not own.day_counts:
        return np.full(len(parts.frame), service_interval)
    ran = usage.distance.sum(axis=1)[parts.frame["vehicle"]]
    with np.errstate(divide="ignore"):
        days = np.where(ran > 0, service_interval * usage.days.sum() / ran, np.inf)
    return own.day_counts * np.minimum(days, _LONGEST_WITHOUT_A_LOOK)


def simulate_futures(
    fitted: Mapping[str, FittedParts],
    *,
    points: Mapping[str, AgePoints],
    model: LifeModel,
    usage: Usage,
    rates: Mapping[str, OtherRates],
    intervals: Mapping[str, Array],
    worn_shares: Mapping[str, float],
    policy: str,
    draws: int,
    seed: int,
) -> Futures:
    """Futures of all components with a curve.

    Parameters
    ----------
    fitted : mapping of str to FittedParts
        By component code.
    points : mapping of str to AgePoints
        Their ages at the estimate.
    model : LifeModel
        Life models.
    usage : Usage
        Expected running.
    rates : mapping of str to OtherRates
        Renewals that are not wear.
    intervals : mapping of str to ndarray
        Planned replacement age of each part, used by the policy `planned` [distance].
    worn_shares : mapping of str to float
        Share of wear ends found at inspections.
    policy : str
        `run_to_failure`, `planned` or `present_practice`.
    draws : int
        Number of draws.
    seed : int
        Seed; every policy sees the same parameters and usage, and its own chance.

    Returns
    -------
    Futures
        Events by component.
    """
    normal = np.random.default_rng([seed, 1]).standard_normal(draws)
    events = {}
    for index, (code, parts) in enumerate(fitted.items()):
        own = model.components[code]
        if own.basis == "bound only":
            continue
        rate = rates[code] if policy == "present_practice" else replace(rates[code], planned=0.0)
        ahead = usage.by_time(own.day_counts) if own.day_counts > 0 else usage
        drawn = parameter_draws(own, draws=draws, rng=np.random.default_rng([seed, 2, index]))
        events[code] = simulate_paths(
            parts,
            points=points[code],
            values=_centred_draws(own, parts, points[code], ahead, drawn),
            factors=np.exp(ahead.spread * normal - ahead.spread**2 / 2.0),
            usage=ahead,
            rates=rate,
            looks=Looks(worn_shares.get(code, 0.0), _between_looks(own, parts, usage, model.service_interval)),
            interval=intervals.get(code) if policy == "planned" else None,
            rng=np.random.default_rng([seed, 3, index]),
        )
    return Futures(events, draws)
