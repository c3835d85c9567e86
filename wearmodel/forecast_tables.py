"""Tables of what lies ahead: parts needed, stock, budget and the vehicles reckoned with."""

from collections.abc import Mapping

import numpy as np
import pandas as pd

from wearmodel.fleet_model import CodedFleet
from wearmodel.forecast.budget import (
    Prices,
    Spending,
    budget_saving,
    budget_year,
    build_budget,
    build_events,
    build_spending,
)
from wearmodel.forecast.demand import forecast_parts, forecast_totals
from wearmodel.forecast.fleet_changes import build_fleet_ahead
from wearmodel.forecast.futures import POLICIES
from wearmodel.forecast.lead_demand import build_lead_demand
from wearmodel.forecast.leaving import FEWEST_LEAVERS
from wearmodel.forecast.long_run import build_transition, long_run_costs
from wearmodel.forecast.order_policy import StockTerms
from wearmodel.forecast.stock import plan_pooling, plan_stock
from wearmodel.history.histories import Histories
from wearmodel.intake.fleet import Fleet
from wearmodel.look_ahead import Ahead, drawn_demand, drawn_futures
from wearmodel.survival.model import LifeModel

__all__ = ["build_forecast_tables", "fleet_notes"]

#: Hours of a day for which a vehicle that stands is missed; common practice, no source.
_WORKING_HOURS = 8.0


def build_forecast_tables(
    fleet: Fleet, histories: Histories, coded: CodedFleet, model: LifeModel, ahead: Ahead, *, months: int, seed: int
) -> dict[str, pd.DataFrame]:
    """Demand, stock, budget and the vehicles reckoned with, from drawn futures.

    Parameters
    ----------
    fleet, histories, coded, model, ahead
        Outcome of the earlier stages.
    months : int
        Horizon.
    seed : int
        Seed of every draw.

    Returns
    -------
    dict of str to pandas.DataFrame
        Tables by name.
    """
    settings, parts = fleet.settings, fleet.tables["parts"]
    policies = [policy for policy in POLICIES if policy != "own_policy" or settings.own_policy]
    futures = drawn_futures(ahead, model=model, worn_shares=coded.worn_shares, policies=policies, seed=seed)
    demand = drawn_demand(futures["present_practice"], fleet=fleet, coded=coded, ahead=ahead, seed=seed)
    spending = {policy: build_spending(drawn, months=months) for policy, drawn in futures.items()}
    shown = ahead.usage.months[:months]
    terms = StockTerms(
        service_level=settings.service_level,
        measure=settings.service_measure,
        holding_rate=settings.holding_rate,
        order_cost=settings.order_cost,
        standing_cost=settings.downtime_cost * _WORKING_HOURS,
    )
    return {
        "forecast": forecast_parts(demand, months=shown),
        "forecast_total": forecast_totals(demand, months=shown),
        "stock": plan_stock(
            demand, parts=parts, stock=fleet.tables["stock"], months=ahead.usage.months, horizon=months, terms=terms,
            seed=seed,
        ),
        # Only cycle service follows from the demand of one lead time alone.
        "lead_demand": build_lead_demand(
            demand, parts=parts, stock=fleet.tables["stock"], days=float(ahead.usage.days.sum()), seed=seed
        ).iloc[: None if terms.measure == "cycle" else 0],
        "stock_pooling": plan_pooling(demand, parts=parts, months=ahead.usage.months, terms=terms, seed=seed),
        "fleet_ahead": build_fleet_ahead(
            ahead.changes, windows=histories.windows, usage=ahead.usage, months=months, draws=demand.draws, seed=seed
        ),
        **_budget_tables(fleet, coded, model, ahead, spending, shown),
    }  # fmt: skip


def _budget_tables(
    fleet: Fleet, coded: CodedFleet, model: LifeModel, ahead: Ahead, spending: Mapping[str, Spending],
    months: tuple[str, ...],
) -> dict[str, pd.DataFrame]:  # fmt: skip
    """What each policy costs, month by month, in its first year and in the long run."""
    settings = fleet.settings
    prices = Prices(coded.costs, settings.labour_rate, settings.downtime_cost, settings.price_growth)
    days = ahead.usage.days[: len(months)]
    yearly = budget_year(spending, prices=prices, days=days)
    lasting = long_run_costs(
        ahead.fitted, model=model, usage=ahead.usage, rates=ahead.rates, costs=coded.costs, plans=ahead.plans
    )
    yearly["long_run_year"] = yearly["policy"].map(lasting)
    return {
        "budget": build_budget(spending, prices=prices, months=months, days=days),
        "budget_year": yearly,
        "budget_saving": budget_saving(spending, prices=prices, days=days),
        "budget_transition": build_transition(
            spending, prices=prices, days=days, plans=ahead.plans, lasting=lasting,
            spread_months=settings.spread_backlog_months,
        ),
        "events": build_events(spending, months=months, days=days),
    }  # fmt: skip


def fleet_notes(fleet: Fleet, ahead: Ahead, months: int) -> list[str]:
    """Which vehicles the forecast takes to leave and to join.

    Parameters
    ----------
    fleet : Fleet
        Settings and fleet plan.
    ahead : Ahead
        What lies ahead.
    months : int
        Horizon.

    Returns
    -------
    list of str
        Plain sentences.
    """
    changes, days = ahead.changes, ahead.usage.days[:months].sum()
    law = changes.law
    serving = np.asarray(ahead.usage.in_service, dtype=bool)
    notes = list(changes.notes)
    if not serving.any():
        return notes
    planned, joins = int((changes.planned[serving] < days).sum()), 0
    if changes.new is not None:
        joins = int((changes.new.frame["join_day"] < days).sum())
        planned += int((changes.new.frame["leave_day"] < days).sum())
    if planned or joins or len(fleet.tables["fleet_plan"]):
        notes.append(
            f"By the fleet plan {joins:,} vehicles join and {planned:,} leave within {months} months. New ones are "
            "taken to have the drivelines and the work of their class in proportion, its usual running, and new parts "
            "at factory ride height; of those that are not named the oldest leave first."
        )
    if law.source == "too few":
        notes.append(
            f"{law.leavers} vehicles left within the record, fewer than the {FEWEST_LEAVERS} a rate needs: beyond a "
            "fleet plan none is taken to leave. Set leaving_rate in fleet.toml, or give a fleet_plan table."
        )
        return notes
    if not len(law.rate) or changes.law_from >= days:
        return notes
    share = law.share_within(changes.age[serving & ~np.isfinite(changes.planned)], (days - changes.law_from) / 365.25)
    told = (
        f"at the rate by age at which {law.leavers} left within the record"
        if law.source == "record"
        else f"at the rate of {fleet.settings.leaving_rate:.0%} a year set in fleet.toml"
    )
    when = f"{'after the last month of the plan and ' if changes.law_from else ''}within {months} months"
    notes.append(
        f"The forecast lets {share:.0%} of the vehicles whose leaving is not planned leave {when}, {told}, and none "
        "replaces them unless the fleet plan says so: demand falls as the fleet shrinks. Give a fleet_plan table, or "
        "set leaving_rate = 0 in fleet.toml for a fleet that stays as it is."
    )
    return notes
