"""One visit per vehicle: when, which parts together, what it takes, and what doing it together saves."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.frame_rows import frame_rows
from wearmodel.intake.fleet_toml.settings_together import SharedWork
from wearmodel.policy.due import ACTIONS
from wearmodel.policy.fitted import FittedParts
from wearmodel.policy.kits import Kit, KitPlan, kit_places, plan_kits
from wearmodel.policy.shared_work import Sharing, build_sharing
from wearmodel.policy.together import Candidates, build_candidates
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import LifeModel

__all__ = ["VisitTerms", "plan_visits"]

Array = NDArray[Any]
#: A visit waits for the next service if that comes within so many days; common practice, no source.
_SOON_DAYS = 60.0
_FAR = 200 * 365.25
_FORCING = ACTIONS[:3]
_DRAWS = 64
#: Why a part is in a visit, or not: it calls for it, is due by then, is worth renewing with it, or is left alone.
_ROLES = ("main", "due", "joins", "stays")
_VISITS = [
    "unit", "depot", "date", "next_service", "action", "main_position", "main_component",
    "positions", "part_numbers", "count", "hours", "downtime_hours", "parts_cost", "labour_cost", "downtime_cost",
    "total", "saving", "saving_p10", "saving_p90", "chance_saving", "sure_share", "money_at_stake", "reason",
    "vehicle_class", "kits", "kit_saving",
]  # fmt: skip
_PARTS = [
    "unit", "position", "component", "part_number", "date", "role", "keeping_cost", "planned_cost", "cost_in_visit",
    "saving", "hours_spared", "downtime_spared", "kit", "price", "hours",
]  # fmt: skip


@dataclass(frozen=True)
class VisitTerms:
    """What visits cost.

    Parameters
    ----------
    shared : SharedWork
        What is spared when positions are renewed together.
    costs : pandas.DataFrame
        Cost assumptions by component, from `wearmodel.policy.costs.build_costs`.
    numbers : mapping of (component, vehicle class) to str
        Part number that will be taken for one position.
    prices : mapping of str to float
        By part number [currency].
    labour_rate, downtime_cost : float
        [currency/h]
    kits : tuple of Kit
        Part numbers that renew several positions.
    """

    shared: SharedWork
    costs: pd.DataFrame
    numbers: Mapping[tuple[str, str], str]
    prices: Mapping[str, float]
    labour_rate: float
    downtime_cost: float
    kits: tuple[Kit, ...] = ()

    @property
    def rates(self) -> "tuple[float, float]":
        """Labour rate and cost of standing [currency/h]."""
        return self.labour_rate, self.downtime_cost


def plan_visits(
    assessed: pd.DataFrame,
    *,
    fitted: Mapping[str, FittedParts],
    points: Mapping[str, AgePoints],
    model: LifeModel,
    terms: VisitTerms,
    as_of: pd.Timestamp,
    seed: int,
    leave: Array | None = None,
) -> dict[str, pd.DataFrame]:
    """Tables `visits` and `visit_parts`.

    Parameters
    ----------
    assessed : pandas.DataFrame
        From `wearmodel.policy.due.assess_parts`.
    fitted, points : mapping
        By component code, the parts and ages it was made from.
    model : LifeModel
        Life models and costs.
    terms : VisitTerms
        What visits cost.
    as_of : pandas.Timestamp
        Today's date for the plan.
    seed : int
        Seed of the draws behind low and high savings.
    leave : ndarray, shape (n_vehicles,), optional
        When vehicles leave that are named in a plan, infinite for others [d]: no visit comes later, and nothing that is
        not due is renewed on them.

    Returns
    -------
    dict of str to pandas.DataFrame
        `visits`, one row a vehicle of which a part is to be replaced within the horizon, by date: the most urgent part,
        all parts of the visit, its hours, costs [currency] and what it saves against a visit for each part when that
        is due: hours and standing spared, less what renewing some early costs; `sure_share` is how much of it is
        spared on parts due by then anyway. Costs are blank where a price or hours of one of its parts are not known.
        `kits` are part numbers that renew several positions at once, taken where they cost less, what they renew early
        counted in, and `kit_saving` what that saves against the best visit with single parts.
        `visit_parts`, one row a part of those vehicles: `role` (main, due, joins, stays), what keeping it costs against
        a new one, its cost alone and in the visit, and the expected saving of renewing it then against waiting. Of the
        positions a `kit` renews one has its price (and its hours, where it is one job), the others none.
    """
    if leave is not None:
        staying = ~np.isfinite(leave[assessed["vehicle"].to_numpy(dtype=np.intp)])
        assessed = assessed[staying | assessed["action"].isin(_FORCING).to_numpy()]
    forcing = assessed["action"].isin(_FORCING)
    frame = assessed[assessed["vehicle"].isin(assessed.loc[forcing, "vehicle"])].reset_index(drop=True)
    if frame.empty:
        return {"visits": pd.DataFrame(columns=_VISITS), "visit_parts": pd.DataFrame(columns=_PARTS)}
    main, days = _calls(frame)
    frame = _with_costs(frame, terms)
    sharing = build_sharing(
        frame["vehicle"].to_numpy(dtype=np.intp),
        frame["position"],
        hours=frame["planned_hours"].fillna(0.0).to_numpy(),
        downtime=frame["planned_downtime_hours"].fillna(0.0).to_numpy(),
        terms=terms.shared,
    )
    candidates = build_candidates(
        frame, fitted=fitted, points=points, model=model, sharing=sharing, spared_rates=terms.rates,
        days=np.nan_to_num(days),
    )  # fmt: skip
    due = main | (frame["action"] == ACTIONS[0]).to_numpy()
    due |= frame["action"].isin(_FORCING).to_numpy() & (frame["due_days"].to_numpy() <= days)
    kits = plan_kits(
        candidates, sharing, due=due, main=main, positions=frame["position"].tolist(),
        price=frame["price"].to_numpy(dtype=float), places=kit_places(terms.kits, frame), spared_rates=terms.rates,
    )  # fmt: skip
    taken = kits.joined >= 0
    frame["date"] = as_of + pd.to_timedelta(days, unit="D")
    frame["next_service"] = as_of + pd.to_timedelta(_service_days(frame), unit="D")
    frame["role"] = np.select([main, due, taken], _ROLES[:3], default=_ROLES[3])
    frame["counted"] = np.where(main, -1, kits.joined)
    frame = _with_kits(frame, kits)
    sharing = replace(sharing, hours=kits.hours, downtime=kits.downtime)
    frame = _with_savings(frame, candidates, sharing, taken, due, terms)
    visits = _visits(frame, taken, terms).assign(**_drawn_savings(frame, candidates, taken, due, seed))
    visits["reason"] = _reasons(visits, frame[taken], model.currency)
    visits["chance_saving"] = visits["chance_saving"].where((visits["count"] > 1) & visits["saving"].notna())
    visits["rank"] = visits["action"].map({word: i for i, word in enumerate(ACTIONS)})
    visits["stake"] = -visits["money_at_stake"].fillna(0.0)
    visits = visits.sort_values(["date", "rank", "stake", "unit"], kind="stable", ignore_index=True)
    return {"visits": visits[_VISITS], "visit_parts": frame.assign(hours=frame["planned_hours"])[_PARTS]}


def _calls(frame: pd.DataFrame) -> "tuple[Array, Array]":
    """The part that makes each visit necessary, and the days until it: of its due date, or of the service after it."""
    due = frame["due_days"].where(frame["action"].isin(_FORCING))
    every = _service_days(frame)
    with np.errstate(divide="ignore", invalid="ignore"):
        service = np.maximum(np.ceil(due.to_numpy() / every), 1.0) * every
    # The record does not say when the last service was: services are counted from its end.
    waits = (frame["action"] != ACTIONS[0]) & (service - due <= _SOON_DAYS)
    day = np.where(waits, np.floor(service), due)
    # Rows stand most urgent first: of parts due on one day the first one calls.
    order = np.lexsort((np.arange(len(frame)), np.nan_to_num(day, nan=np.inf), ~frame["action"].isin(_FORCING)))
    vehicle = frame["vehicle"].to_numpy()
    _, first = np.unique(vehicle[order], return_index=True)
    main = np.zeros(len(frame), dtype=bool)
    main[order[first]] = True
    by_vehicle = pd.Series(day[main], index=vehicle[main])
    return main, by_vehicle.reindex(vehicle).to_numpy(dtype=float)


def _service_days(frame: pd.DataFrame) -> Array:
    """Days from one service of each part's vehicle to the next; NaN where none comes."""
    with np.errstate(divide="ignore", invalid="ignore"):
        every = frame["service"].to_numpy(dtype=float) / frame["per_day"].to_numpy(dtype=float)
    return np.where(every < _FAR, np.floor(every), np.nan)


def _with_costs(frame: pd.DataFrame, terms: VisitTerms) -> pd.DataFrame:
    """Part number, price, hours and standing of a planned renewal of each part."""
    costs = terms.costs.set_index("component")
    keys = zip(frame["component"], frame["vehicle_class"], strict=True)
    fitted_now = frame["part_number"].to_numpy()
    numbers = [terms.numbers.get(key, "") or old for key, old in zip(keys, fitted_now, strict=True)]
    price = pd.Series(numbers, index=frame.index).map(terms.prices).fillna(frame["component"].map(costs["part_price"]))
    hours = {name: frame["component"].map(costs[name]) for name in ("planned_hours", "planned_downtime_hours")}
    return frame.assign(part_number=numbers, price=price, **hours)


def _with_kits(frame: pd.DataFrame, kits: KitPlan) -> pd.DataFrame:
    """Part number, price, hours and standing as the kits make them; what is not known stays so."""
    in_kit = kits.number != ""
    out = frame.assign(kit=kits.number, stands_for_kit=kits.counted, kit_gain=kits.gain)
    out["part_number"] = np.where(in_kit, kits.number, out["part_number"])
    for name, values in (
        ("price", kits.price), ("planned_hours", kits.hours), ("planned_downtime_hours", kits.downtime)
    ):
        out[name] = np.where(in_kit, values, out[name])
    return out


def _with_savings(
    frame: pd.DataFrame, candidates: Candidates, sharing: Sharing, taken: Array, due: Array, terms: VisitTerms
) -> pd.DataFrame:
    """What each part spares and saves: those that stay judged beside the whole visit."""
    labour, standing = terms.rates
    spared, joining = sharing.together(taken, frame["counted"].to_numpy()), sharing.joining(taken)
    hours = np.where(taken, spared.hours, joining.hours)
    downtime = np.where(taken, spared.downtime, joining.downtime)
    money = hours * labour + downtime * standing
    # A part due by then is renewed for its planned cost otherwise; any other is kept.
    in_kit = (frame["kit"] != "").to_numpy()
    # What a kit renews without a curve of its own is worth nothing early.
    keeping = np.where(in_kit, np.nan_to_num(candidates.keeping), candidates.keeping)
    instead = np.where(due, candidates.planned, keeping)
    of_kit = frame["price"] + frame["planned_hours"] * labour + frame["planned_downtime_hours"] * standing
    planned = np.where(in_kit, of_kit, candidates.planned)
    return frame.assign(
        hours_spared=hours,
        downtime_spared=downtime,
        keeping_cost=candidates.keeping,
        planned_cost=candidates.planned,
        cost_in_visit=planned - money,
        saving=instead - planned + money,
        sure=np.where(due & taken, candidates.planned - planned + money, 0.0),
    )


def _drawn_savings(
    frame: pd.DataFrame, candidates: Candidates, taken: Array, due: Array, seed: int
) -> dict[str, Array]:
    """Spread of the saving of each vehicle's visit, vehicles ascending, over the lives of the parts that join it."""
    vehicles, index = np.unique(frame["vehicle"].to_numpy(), return_inverse=True)
    total = np.zeros((len(vehicles), _DRAWS))
    sure = np.bincount(index, weights=np.where(taken & due, frame["saving"], 0.0), minlength=len(vehicles))
    joins = np.flatnonzero(taken & ~due)
    cost = frame["cost_in_visit"].to_numpy()[joins]
    drawn = candidates.drawn_savings(joins, cost, draws=_DRAWS, rng=np.random.default_rng([seed, 4]))
    drawn = np.where(np.isnan(candidates.keeping[joins])[:, None], -cost[:, None], drawn)
    np.add.at(total, index[joins], drawn)
    total = total + sure[:, None]
    low, high = np.quantile(total, (0.1, 0.9), axis=1)
    return {"saving_p10": low, "saving_p90": high, "chance_saving": (total > 0).mean(axis=1)}


def _visits(frame: pd.DataFrame, taken: Array, terms: VisitTerms) -> pd.DataFrame:
    """One row a visit, vehicles ascending; money is blank where it is not known of every part."""
    parts = frame[taken]
    parts = parts.assign(
        hours=parts["planned_hours"] - parts["hours_spared"],
        downtime_hours=parts["planned_downtime_hours"] - parts["downtime_spared"],
        rank=parts["role"] != "main",
    )
    parts = parts.sort_values(["vehicle", "rank", "position"], kind="stable")
    grouped = parts.groupby("vehicle")
    shown = ["unit", "depot", "vehicle_class", "date", "next_service", "action", "position", "component"]
    table = grouped[shown].first()
    table = table.rename(columns={"position": "main_position", "component": "main_component"})
    table["positions"] = grouped["position"].agg("; ".join)
    # A kit is one part: its number stands once.
    single = parts[(parts["kit"] == "") | parts["stands_for_kit"]]
    table["part_numbers"] = single["part_number"].replace("", "?").groupby(single["vehicle"]).agg("; ".join)
    kits = parts[parts["stands_for_kit"]]
    table["kits"] = kits.groupby("vehicle")["kit"].agg("; ".join).reindex(table.index).fillna("")
    table["kit_saving"] = grouped["kit_gain"].first().where(table["kits"] != "")
    table["count"] = grouped.size()
    table["money_at_stake"] = grouped["money_at_stake"].sum(min_count=1)
    sums = grouped[["price", "hours", "downtime_hours", "saving", "sure"]]
    complete = sums.count().eq(table["count"], axis=0)
    table = table.join(sums.sum().where(complete).rename(columns={"price": "parts_cost"}))
    table["labour_cost"] = table["hours"] * terms.labour_rate
    table["downtime_cost"] = table["downtime_hours"] * terms.downtime_cost
    table["total"] = table["parts_cost"] + table["labour_cost"] + table["downtime_cost"]
    table["sure_share"] = (table["sure"] / table["saving"]).where(table["saving"] > 0).clip(upper=1.0)
    return table


def _reasons(visits: pd.DataFrame, parts: pd.DataFrame, currency: str) -> list[str]:
    """One plain sentence a visit."""
    with_it: dict[str, dict[int, list[str]]] = {"due": {}, "joins": {}}
    kits_of: dict[int, dict[tuple[str, str], list[str]]] = {}
    for part in frame_rows(parts[["vehicle", "role", "position", "kit"]]):
        if part.kit:
            kit_there = (part.kit, part.position.rpartition(".")[0])
            kits_of.setdefault(part.vehicle, {}).setdefault(kit_there, []).append(part.position)
        if part.role in with_it and not (part.kit and part.role == "joins"):
            with_it[part.role].setdefault(part.vehicle, []).append(part.position)
    calls = parts[parts["role"] == "main"].sort_values("vehicle")[["condemned", "equivalent_age", "interval"]]
    shown = visits.reset_index()[["vehicle", "main_position", "action", "count", "saving"]]
    out = []
    for row, call in zip(frame_rows(shown), frame_rows(calls), strict=True):
        if call.condemned:
            text = f"{row.main_position} was found worn"
        elif row.action == ACTIONS[0]:
            text = f"{row.main_position} is past its interval and likely to fail before the next service"
        else:
            past = call.equivalent_age >= call.interval
            text = f"{row.main_position} {'is past' if past else 'reaches'} its interval"
        due, joins = (_listed(with_it[role].get(row.vehicle, [])) for role in ("due", "joins"))
        if due:
            text += f", {due} too by then"
        if joins:
            text += f"; renewing {joins} with it costs less than doing so later"
        for (kit, where), positions in kits_of.get(row.vehicle, {}).items():
            text += f"; one {kit} renews {len(positions)} positions of {where} for less than single parts"
        if row.count > 1 and np.isfinite(row.saving):
            text += f"; together saves {row.saving:,.0f} {currency}"
        out.append(f"{text}.")
    return out


def _listed(names: list[str]) -> str:
    """Names in a sentence."""
    return " and ".join(filter(None, (", ".join(names[:-1]), *names[-1:])))
