"""The parts now fitted and what lies ahead of them: ages, intervals, running, and the parts they will take."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.fleet_model import CodedFleet
from wearmodel.forecast.demand import Demand, build_demand
from wearmodel.forecast.fleet_changes import FleetChanges, build_fleet_changes
from wearmodel.forecast.futures import Futures, build_other_rates, simulate_futures
from wearmodel.forecast.leaving import constant_leaving, fit_leaving, vehicle_ages
from wearmodel.forecast.other_renewals import Companions, RatesByAge, build_companions, build_rates_by_age
from wearmodel.forecast.part_choice import PartChoice, build_part_choice
from wearmodel.forecast.planned_ages import PlannedAges, planned_ages
from wearmodel.forecast.renewal_paths import OtherRates
from wearmodel.forecast.stock import stock_horizon_days
from wearmodel.forecast.usage import Usage, forecast_usage
from wearmodel.history.histories import Histories
from wearmodel.intake.fleet import Fleet
from wearmodel.policy.fitted import FittedParts, age_points, build_fitted_parts
from wearmodel.policy.groups import GroupTerms
from wearmodel.policy.kits import Kit, catalogue_kits
from wearmodel.policy.lift_groups import nearest_level
from wearmodel.policy.visits import VisitTerms
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import ComponentModel, LifeModel
from wearmodel.survival.vehicle_frailties import vehicle_frailties

__all__ = [
    "DRAWS",
    "Ahead",
    "drawn_demand",
    "drawn_futures",
    "group_terms",
    "look_ahead",
    "part_choice",
    "visit_terms",
]

Array = NDArray[Any]
#: Draws behind every forecast quantile.
DRAWS = 400
_MONTH_DAYS = 28.0


@dataclass(frozen=True)
class Ahead:
    """Parts now fitted and what lies ahead of them.

    Parameters
    ----------
    fitted : mapping of str to FittedParts
        By component code.
    points : mapping of str to AgePoints
        Their ages at the estimate.
    rates : mapping of str to OtherRates
        Renewals that are not wear, on average over the record.
    by_age : mapping of str to RatesByAge
        How often those come that no other part brings.
    companions : Companions
        What the renewal of one part brings others.
    limits : mapping of str to ndarray, shape (n_parts,)
        Planned replacement age of each part, `inf` for none [distance]; empty where no interval was asked for.
    usage : Usage
        Expected running of the vehicles, as far as the longest lead time reaches.
    changes : FleetChanges
        Vehicles that leave and join.
    plans : mapping of str to mapping of str to PlannedAges
        By policy, then component code: when parts are renewed by plan.
    """

    fitted: Mapping[str, FittedParts]
    points: Mapping[str, AgePoints]
    rates: Mapping[str, OtherRates]
    by_age: Mapping[str, RatesByAge]
    companions: Companions
    limits: Mapping[str, Array]
    usage: Usage
    changes: FleetChanges
    plans: Mapping[str, Mapping[str, PlannedAges]]

    def yearly_running(self, model: LifeModel) -> dict[str, float]:
        """What all parts of a component on a vehicle go on in a year.

        Parameters
        ----------
        model : LifeModel
            Life models, for the clock of each component.

        Returns
        -------
        dict of str to float
            Mean over the vehicles that have such parts [distance / vehicle-year].
        """
        out = {}
        for code, parts in self.fitted.items():
            ahead = self.usage.on_clock(model.components[code])
            vehicle = parts.frame["vehicle"].to_numpy()
            out[code] = float(ahead.yearly[vehicle].sum()) / len(np.unique(vehicle))
        return out


def look_ahead(
    fleet: Fleet,
    histories: Histories,
    coded: CodedFleet,
    model: LifeModel,
    *,
    months: int,
    intervals: pd.DataFrame | None = None,
) -> Ahead:
    """Fitted parts, their ages, intervals and running.

    Parameters
    ----------
    fleet, histories, coded, model
        Outcome of the earlier stages.
    months : int
        Horizon.
    intervals : pandas.DataFrame, optional
        Table `intervals`; without it nothing is planned by age.

    Returns
    -------
    Ahead
        Without components of which no part is fitted.
    """
    fitted = {
        code: build_fitted_parts(
            histories,
            model=own,
            traits=coded.traits,
            frailties=vehicle_frailties(coded.coded[code], own, vehicles=len(histories.windows)),
        )
        for code, own in model.components.items()
        if code in coded.coded
    }
    fitted = {code: parts for code, parts in fitted.items() if len(parts.frame)}
    rates = build_other_rates(histories.lives)
    reach = max(months, int(np.ceil(stock_horizon_days(fleet.tables["parts"]) / _MONTH_DAYS)))
    points = {
        code: age_points(parts, np.array(model.components[code].values), other_rate=rates[code].total)
        for code, parts in fitted.items()
    }
    usage = forecast_usage(
        histories, as_of=fleet.as_of, months=reach, distance_unit=fleet.settings.distance_unit
    )
    limits = {} if intervals is None else {
        code: _interval_of_parts(parts, intervals, coded.levels) / _wear(parts, model.components[code])
        for code, parts in fitted.items()
    }
    own = {code: np.full(len(fitted[code].frame), every) for code, every in fleet.settings.own_policy.items()
           if code in fitted}  # fmt: skip
    spread = fleet.settings.spread_backlog_months
    return Ahead(
        fitted=fitted,
        points=points,
        rates=rates,
        by_age=build_rates_by_age(histories.lives),
        companions=build_companions(histories.lives),
        limits=limits,
        usage=usage,
        changes=_fleet_changes(fleet, histories, usage),
        plans={
            policy: planned_ages(ages, fitted=fitted, points=points, model=model, usage=usage, spread_months=spread)
            for policy, ages in (("planned", limits), ("own_policy", own))
        },
    )


def _fleet_changes(fleet: Fleet, histories: Histories, usage: Usage) -> FleetChanges:
    """Vehicles that leave and join, by the plan and by the record."""
    windows, curves = histories.windows, histories.curves
    rate = fleet.settings.leaving_rate
    law = fit_leaving(windows, daily=curves.daily) if math.isnan(rate) else constant_leaving(rate)
    lives = histories.lives[histories.lives["current"].astype(bool)]
    lift = lives.groupby("vehicle")["lift"].max().reindex(range(len(windows)), fill_value=0.0)
    return build_fleet_changes(
        fleet.tables["fleet_plan"],
        windows=windows,
        usage=usage,
        law=law,
        age=vehicle_ages(windows, daily=curves.daily, day=windows["last_day"].to_numpy(dtype=float)),
        lift=lift.to_numpy(dtype=float),
    )


def _wear(parts: FittedParts, own: ComponentModel) -> Array:
    """How many times as fast as the fleet each part's vehicle is expected to wear it."""
    return parts.frailties.pace(math.exp(own.values[-1]))


def _interval_of_parts(parts: FittedParts, intervals: pd.DataFrame, levels: tuple[float, ...]) -> Array:
    """Recommended interval of each part's cell on a vehicle that wears like the fleet, `inf` for none."""
    frame = parts.frame[["component", "duty"]].assign(lift=nearest_level(parts.frame["lift"], levels))
    cells = intervals[["component", "duty", "lift", "interval"]]
    return frame.merge(cells, on=["component", "duty", "lift"], how="left")["interval"].fillna(np.inf).to_numpy()


def drawn_futures(
    ahead: Ahead, *, model: LifeModel, worn_shares: Mapping[str, float], policies: Sequence[str], seed: int
) -> dict[str, Futures]:
    """Futures under some policies.

    Parameters
    ----------
    ahead : Ahead
        Parts now fitted.
    model : LifeModel
        Life models.
    worn_shares : mapping of str to float
        Share of wear ends found at inspections, by component.
    policies : sequence of str
        Some of `wearmodel.forecast.futures.POLICIES`.
    seed : int
        Seed of every draw.

    Returns
    -------
    dict of str to Futures
        By policy.
    """
    return simulate_futures(
        ahead.fitted,
        points=ahead.points,
        model=model,
        usage=ahead.usage,
        changes=ahead.changes,
        rates=ahead.rates,
        by_age=ahead.by_age,
        companions=ahead.companions,
        plans=ahead.plans,
        worn_shares=worn_shares,
        policies=policies,
        draws=DRAWS,
        seed=seed,
    )


def drawn_demand(futures: Futures, *, fleet: Fleet, coded: CodedFleet, ahead: Ahead, seed: int) -> Demand:
    """Parts that futures under the present practice take.

    Parameters
    ----------
    futures : Futures
        From `drawn_futures`.
    fleet, coded
        Outcome of the earlier stages.
    ahead : Ahead
        Parts now fitted.
    seed : int
        Seed of the choice of part number.

    Returns
    -------
    Demand
        By part number, component and depot.
    """
    return build_demand(futures, choice=part_choice(fleet, coded, ahead), seed=seed)


def part_choice(fleet: Fleet, coded: CodedFleet, ahead: Ahead) -> PartChoice:
    """Which part numbers will be taken.

    Parameters
    ----------
    fleet, coded
        Outcome of the earlier stages.
    ahead : Ahead
        Parts now fitted.

    Returns
    -------
    PartChoice
        By component and vehicle class.
    """
    classes = sorted(str(name) for name in fleet.tables["vehicles"]["vehicle_class"].unique())
    return build_part_choice(
        list(ahead.fitted), classes=classes, own_lines=coded.own_lines, parts=fleet.tables["parts"]
    )


def group_terms(fleet: Fleet, coded: CodedFleet) -> GroupTerms:
    """What renewals of groups of positions cost.

    Parameters
    ----------
    fleet, coded
        Outcome of the earlier stages.

    Returns
    -------
    GroupTerms
        With the whole catalogue.
    """
    settings = fleet.settings
    return GroupTerms(
        shared=settings.together,
        costs=coded.costs,
        parts=fleet.tables["parts"],
        labour_rate=settings.labour_rate,
        downtime_cost=settings.downtime_cost,
        layouts=settings.layouts,
    )


def visit_terms(fleet: Fleet, coded: CodedFleet, ahead: Ahead) -> VisitTerms:
    """What visits cost.

    Parameters
    ----------
    fleet, coded
        Outcome of the earlier stages.
    ahead : Ahead
        Parts now fitted.

    Returns
    -------
    VisitTerms
        With the part number most taken for each component and vehicle class, kits apart from single parts.
    """
    choice, parts, settings = part_choice(fleet, coded, ahead), fleet.tables["parts"], fleet.settings
    kits = catalogue_kits(parts, settings.together.kit_hours)
    return VisitTerms(
        shared=settings.together,
        costs=coded.costs,
        numbers=_single_numbers(choice, kits),
        prices=dict(zip(parts["part_number"], parts["unit_price"], strict=True)),
        labour_rate=settings.labour_rate,
        downtime_cost=settings.downtime_cost,
        kits=kits,
    )


def _single_numbers(choice: PartChoice, kits: tuple[Kit, ...]) -> dict[tuple[str, str], str]:
    """Part number most taken for one position; a kit's only where nothing else was."""
    apart = ~np.isin(np.array(choice.numbers, dtype=str), [kit.number for kit in kits])
    numbers = {}
    for key, shares in choice.shares.items():
        single = shares * apart
        numbers[key] = choice.numbers[int(np.argmax(single if single.any() else shares))]
    return numbers
