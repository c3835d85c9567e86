"""All components' futures under each policy, with the same parameter and usage draws."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.fleet_changes import FleetChanges, parts_of_new
from wearmodel.forecast.planned_ages import PlannedAges
from wearmodel.forecast.renewal_paths import KINDS, Events, Looks, OtherRates, simulate_paths
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts, age_points
from wearmodel.processes import each
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import ComponentModel, LifeModel, parameter_draws

__all__ = ["POLICIES", "Futures", "build_other_rates", "simulate_futures"]

Array = NDArray[Any]
_LARGEST_MULTIPLE = 100.0
#: A vehicle that stands is looked at once a year all the same [d]; common practice, no source.
_LONGEST_WITHOUT_A_LOOK = 365.25
#: The last only where fleet.toml has intervals of the manager's own.
POLICIES = ("run_to_failure", "planned", "present_practice", "own_policy")
_KEPT = "present_practice"
#: Parts times draws that are run together: what is drawn hangs on it, so that it must not hang on the machine.
_PATHS_AT_ONCE, _FEWEST_DRAWS = 2_000_000, 8
_NOTHING = Events(*(np.zeros(0, dtype=kind) for kind in (np.int32, np.int32, np.int32, np.float64, np.int8)))


@dataclass(frozen=True)
class Futures:
    """Drawn events of every component under one policy.

    Parameters
    ----------
    events : mapping of str to Events
        By component code; of the present practice alone, else empty: of a large fleet they fill the memory.
    counts : mapping of str to ndarray of int, shape (n_kinds, n_months, n_draws)
        How many of each kind there are in each month and draw, by component code.
    draws : int
        Number of draws.
    places : mapping of str to pandas.DataFrame
        `vehicle_class` and `depot` of each part the events are of, by component code: parts now fitted, then those of
        vehicles that join.
    """

    events: Mapping[str, Events]
    counts: Mapping[str, Array]
    draws: int
    places: Mapping[str, pd.DataFrame]


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
    all_values = np.vstack([np.array(own.values), drawn])
    shape = np.exp(all_values[:, -1])
    # Parts of unknown age are younger than the oldest they can be.
    younger = points.mean() / np.maximum(parts.operational_age(all_values[:1])[:, 0], 1e-300)
    sums = []
    with np.errstate(over="ignore", invalid="ignore"):
        for begin, end in _draw_blocks(len(ahead), len(all_values)):
            some = all_values[begin:end]
            now = parts.operational_age(some) * younger[:, None]
            hazard = np.power(now + parts.pace(some) * ahead[:, None], shape[begin:end])
            hazard -= np.power(now, shape[begin:end])
            sums.append(hazard.sum(axis=0))
        total = np.concatenate(sums)
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
    changes: FleetChanges,
    rates: Mapping[str, OtherRates],
    plans: Mapping[str, Mapping[str, PlannedAges]],
    worn_shares: Mapping[str, float],
    policies: Sequence[str],
    draws: int,
    seed: int,
) -> dict[str, Futures]:
    """Futures of all components with a curve, under some policies.

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
    changes : FleetChanges
        Vehicles that leave and join.
    rates : mapping of str to OtherRates
        Renewals that are not wear.
    plans : mapping of str to mapping of str to PlannedAges
        Planned replacement ages, by policy and component code; a component without an entry runs to failure.
    worn_shares : mapping of str to float
        Share of wear ends found at inspections.
    policies : sequence of str
        Some of `POLICIES`: renewals that the fleet plans today go on under `present_practice` alone.
    draws : int
        Number of draws.
    seed : int
        Seed; every policy sees the same parameters, running and vehicles that leave, and its own chance.

    Returns
    -------
    dict of str to Futures
        By policy. Nothing happens to a vehicle from the day it leaves, nor before it joins.
    """
    normal = np.random.default_rng([seed, 1]).standard_normal(draws)
    leave = changes.drawn_days(draws=draws, seed=seed)
    codes = [code for code in fitted if model.components[code].basis != "bound only"]

    def of_component(code: str) -> tuple[pd.DataFrame, dict[str, _Drawn]]:
        parts, own, index = fitted[code], model.components[code], list(fitted).index(code)
        drawn = parameter_draws(own, draws=draws, rng=np.random.default_rng([seed, 2, index]))
        values = _centred_draws(own, parts, points[code], usage.on_clock(own.day_counts), drawn)
        made = None if changes.new is None else parts_of_new(parts, changes.new, model=own)
        places = parts.frame[["vehicle_class", "depot"]]
        # There may be a component that none of the vehicles that join has.
        if made is not None and len(made.like):
            places = pd.concat([places, made.parts.frame[["vehicle_class", "depot"]]], ignore_index=True)
        found = {}
        for policy in policies:
            rate = rates[code] if policy == _KEPT else replace(rates[code], planned=0.0)
            run = _Run(own, values, normal, rate, worn_shares.get(code, 0.0), model.service_interval)
            plan = plans.get(policy, {}).get(code)
            happened = run.events(
                parts, points[code], usage, plan=plan, leave=leave[0], seeds=(seed, 3, index), keep=policy == _KEPT
            )
            if made is not None and changes.new is not None and len(made.like):
                late = run.events(
                    made.parts,
                    age_points(made.parts, np.array(own.values), other_rate=rate.total),
                    changes.new.usage,
                    plan=None if plan is None else plan.of_new(made, parts, shape=float(np.exp(own.values[-1]))),
                    leave=leave[1],
                    seeds=(seed, 8, index),
                    keep=policy == _KEPT,
                )
                happened = happened.and_of(late, len(parts.frame))
            found[policy] = happened
        return places, found

    found = dict(zip(codes, each(of_component, codes, sizes=[len(fitted[code].frame) for code in codes]), strict=True))
    places = {code: one for code, (one, _) in found.items()}
    return {
        policy: Futures(
            {code: drawn[policy].events for code, (_, drawn) in found.items()},
            {code: drawn[policy].counts for code, (_, drawn) in found.items()},
            draws,
            places,
        )
        for policy in policies
    }


@dataclass(frozen=True)
class _Drawn:
    """Events of a component, where they are kept, and how many there are by kind, month and draw."""

    events: Events
    counts: Array

    def and_of(self, later: "_Drawn", offset: int) -> "_Drawn":
        """The same with the events of parts that are numbered on from these."""
        moved = replace(later.events, part=later.events.part + offset)
        return _Drawn(_joined([self.events, moved]), self.counts + later.counts)


@dataclass(frozen=True)
class _Run:
    """One component under one policy, parameters drawn."""

    own: ComponentModel
    values: Array
    normal: Array
    rate: OtherRates
    silent: float
    service_interval: float

    def events(
        self, parts: FittedParts, points: AgePoints, usage: Usage, *, plan: PlannedAges | None, leave: Array,
        seeds: tuple[int, ...], keep: bool,
    ) -> _Drawn:  # fmt: skip
        """What happens to some parts until their vehicles leave; chance is drawn as if they stayed."""
        own = self.own
        ahead = usage.on_clock(own.day_counts)
        factors = np.exp(ahead.spread * self.normal - ahead.spread**2 / 2.0)
        looks = Looks(self.silent, _between_looks(own, parts, usage, self.service_interval))
        vehicle = parts.frame["vehicle"].to_numpy(dtype=np.intp)
        counts = np.zeros((len(KINDS), usage.distance.shape[1], len(factors)), dtype=np.int64)
        kept = [_NOTHING]
        for block, (begin, end) in enumerate(_draw_blocks(len(vehicle), len(factors))):
            events = simulate_paths(
                parts,
                points=points,
                values=self.values[begin:end],
                factors=factors[begin:end],
                usage=ahead,
                rates=self.rate,
                looks=looks,
                interval=None if plan is None else plan.limit,
                wait=None if plan is None else plan.wait,
                # Every block has chance of its own.
                rng=np.random.default_rng([*seeds, block] if block else seeds),
            )
            events = replace(events, draw=events.draw + begin)
            events = events.only(events.day < leave[vehicle[events.part], events.draw])
            counts += events.counted(counts.shape)
            if keep:
                kept.append(events.compact())
        return _Drawn(_joined(kept), counts)


def _draw_blocks(parts: int, draws: int) -> list[tuple[int, int]]:
    """Draws that are run together, first and one after the last."""
    width = max(_PATHS_AT_ONCE // max(parts, 1), _FEWEST_DRAWS)
    return [(begin, min(begin + width, draws)) for begin in range(0, draws, width)]


def _joined(parts: Sequence[Events]) -> Events:
    """Events one after the other."""
    parts = [one for one in parts if len(one.part)] or list(parts[:1])
    return Events(*(np.concatenate([getattr(one, f.name) for one in parts]) for f in fields(Events)))
