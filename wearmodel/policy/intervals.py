"""Replacement interval of each component, duty and ride height."""

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.frame_rows import frame_rows
from wearmodel.policy.age_replacement import cost_rate, flat_band, recommended_interval
from wearmodel.policy.interval_uncertainty import add_interval_uncertainty
from wearmodel.policy.risk_cap import failures_per_distance, longest_within
from wearmodel.survival.coding import duty_or_mix
from wearmodel.survival.model import ComponentModel, LifeModel, law, life_band
from wearmodel.survival.weibull import life_at, mean_life, mean_pace

__all__ = ["ADVICE", "CAPPED", "MOSTLY_FOUND", "plan_intervals"]

#: Advice words of the table `intervals`.
ADVICE = {
    "replace": "replace at the interval",
    "run": "run to failure",
    "condition": "on condition: found at inspections",
    "no_cost": "no costs given",
    "too_few": "too few failures to say",
}
#: What follows the advice where failures on the road are capped.
CAPPED = {
    "shortened": ", shortened to keep to the cap on road failures",
    "short": ", which the cap on road failures makes shorter than one service: look for another remedy",
    "unreachable": "; no interval keeps to the cap on road failures",
}
#: Share of wear found at inspections above which a part is better renewed on condition than run to failure.
MOSTLY_FOUND = 0.5
_YEAR = 365.25
_COLUMNS = [
    "component", "duty", "lift", "failures", "b10", "b10_lower", "median", "mean", "interval", "interval_low",
    "interval_high", "cost_rate_interval", "cost_rate_run_to_failure", "advice", "b10_upper", "shape", "scale",
    "planned_cost", "failed_cost", "note", "frailty_variance", "interval_years",
    "cost_rate_mean", "cost_rate_low", "cost_rate_high", "chance_dearer",
    "yearly_running", "road_failures_year", "road_failures_cap", "interval_uncapped", "cost_rate_uncapped",
    "road_failures_uncapped", "vehicles", "saving_year",
]  # fmt: skip


def _advice(model: ComponentModel, *, interval: float, worn_share: float, has_cost: bool) -> str:
    if model.basis == "bound only":
        return ADVICE["too_few"]
    if not has_cost:
        return ADVICE["no_cost"]
    if math.isfinite(interval):
        return ADVICE["replace"]
    return ADVICE["condition"] if worn_share > MOSTLY_FOUND else ADVICE["run"]


def _law_columns(fleet: LifeModel, cells: pd.DataFrame) -> pd.DataFrame:
    """Law, lives and costs of each cell; blank where no curve may be read."""
    rows = []
    for cell in frame_rows(cells):
        own = fleet.components[cell.component]
        if own.basis == "bound only":
            rows.append((np.nan,) * 9)
            continue
        duty = duty_or_mix(own.coding, cell.duty)
        point = law(own, duty=duty, lift=cell.lift)
        b10 = life_band(own, fraction=0.1, duty=duty, lift=cell.lift, confidence=fleet.confidence)
        cost = fleet.costs.get(cell.component)
        money = (np.nan, np.nan) if cost is None else (cost.planned, cost.failed)
        median = float(life_at(0.5, shape=point.shape, scale=point.scale, variance=point.variance))
        lives = (float(b10.estimate), float(b10.low), float(b10.high), median)
        rows.append((point.shape, point.scale, point.variance, *lives, *money))
    names = ["shape", "scale", "frailty_variance", "b10", "b10_lower", "b10_upper", "median"]
    names += ["planned_cost", "failed_cost"]
    return pd.DataFrame(rows, columns=names, index=cells.index, dtype=float)


def _cap_columns(
    frame: pd.DataFrame, road_caps: Mapping[str, float], worn_shares: Mapping[str, float]
) -> pd.DataFrame:
    """Cap of each cell [1 / vehicle-year], its yearly running times the share on the road, and the longest interval."""
    worn = frame["component"].map(worn_shares).fillna(0.0).astype(float)
    yearly = (1.0 - worn) * frame["yearly_running"].astype(float)
    cap = frame["component"].map(road_caps).astype(float)
    with np.errstate(divide="ignore", invalid="ignore"):
        most = np.where(yearly > 0, cap / yearly, np.nan)
    law_of = {name: frame[name].to_numpy() for name in ("shape", "scale")}
    longest = np.full(len(frame), np.inf)
    known = np.isfinite(law_of["shape"])
    longest[known] = longest_within(
        most[known], shape=law_of["shape"][known], scale=law_of["scale"][known],
        variance=frame["frailty_variance"].to_numpy()[known],
    )  # fmt: skip
    return pd.DataFrame({"cap": cap, "yearly_road": yearly, "longest": longest}, index=frame.index)


def _cost_columns(frame: pd.DataFrame, service_interval: float) -> pd.DataFrame:
    """Interval, flat band, costs and road failures of the cells whose costs are known, with the cap and without."""
    known = frame[frame["planned_cost"].notna() & frame["shape"].notna()]
    terms: dict[str, Any] = {
        name: known[name].to_numpy() for name in ("shape", "scale", "planned_cost", "failed_cost")
    }
    variance = known["frailty_variance"].to_numpy()
    yearly = known["yearly_road"].to_numpy()
    # Where no interval keeps to the cap, the one of the least cost is as good as any.
    longest = known["longest"].fillna(np.inf).to_numpy()
    uncapped = recommended_interval(**terms, service_interval=service_interval)
    interval = recommended_interval(**terms, service_interval=service_interval, at_most=longest)
    band = flat_band(**terms, at_most=longest)
    finite = np.isfinite(interval)
    pace = mean_pace(known["shape"].to_numpy(), variance)
    capped = known["cap"].notna().to_numpy()

    def failing(age: NDArray[Any]) -> NDArray[Any]:
        return yearly * failures_per_distance(age, shape=terms["shape"], scale=terms["scale"], variance=variance)

    return pd.DataFrame(
        {
            "interval": np.where(finite, interval, np.nan),
            "interval_low": np.where(finite, band.low, np.nan),
            "interval_high": np.where(finite & np.isfinite(band.high), band.high, np.nan),
            "cost_rate_interval": pace * cost_rate(interval, **terms),
            "cost_rate_run_to_failure": pace * cost_rate(np.inf, **terms),
            "road_failures_year": failing(interval),
            "road_failures_cap": known["cap"].to_numpy(),
            "interval_uncapped": np.where(capped & np.isfinite(uncapped), uncapped, np.nan),
            "cost_rate_uncapped": np.where(capped, pace * cost_rate(uncapped, **terms), np.nan),
            "road_failures_uncapped": np.where(capped, failing(uncapped), np.nan),
        },
        index=known.index,
    ).reindex(frame.index)


def _cap_advice(row: Any, service_interval: float) -> str:
    """What the cap does to the advice of a row; empty for nothing."""
    if math.isnan(row.road_failures_cap):
        return ""
    if math.isnan(row.longest):
        return CAPPED["unreachable"]
    if math.isnan(row.interval) or row.interval == row.interval_uncapped:
        return ""
    return CAPPED["short" if row.interval < service_interval else "shortened"]


def _in_hours(own: ComponentModel, interval: float) -> str:
    """The interval of a component that ages by engine hours, in those."""
    if own.ages_by != "hours" or not np.isfinite(interval):
        return ""
    return f"; {interval / own.hour_counts:,.0f} engine hours"


def plan_intervals(
    fleet: LifeModel,
    *,
    cells: pd.DataFrame,
    worn_shares: Mapping[str, float],
    road_caps: Mapping[str, float] = MappingProxyType({}),
) -> pd.DataFrame:
    """Table `intervals`.

    Parameters
    ----------
    fleet : LifeModel
        Life models, costs and service interval.
    cells : pandas.DataFrame
        Columns `component, duty, lift, failures`: the cells to show; `yearly_running` and `vehicles`, from
        `wearmodel.policy.yearly_running.add_yearly_running`, where failures and savings a year are to be told.
    worn_shares : mapping of str to float
        Share of wear ends found at inspections, by component: those do not happen on the road.
    road_caps : mapping of str to float
        Most failures on the road of all parts of a component on a vehicle, where there is a limit [1 / vehicle-year].

    Returns
    -------
    pandas.DataFrame
        Columns of the table `intervals`, and `b10_upper, shape, scale, planned_cost, failed_cost, note,
        frailty_variance, interval_years` (the interval where a component ages by time [a], else blank) and those of
        `wearmodel.policy.interval_uncertainty`. Lives are of a
        part on a vehicle taken at random; shape, scale and interval are those of a vehicle with frailty 1, and cost
        rates are means over vehicles, each renewed at the interval that suits its own frailty. `mean` is blank where it
        is infinite. `interval` is blank where running to failure costs no more than 3 % above the least; costs per
        distance are [currency / distance]. With a cap the interval is no longer than the longest one that keeps to it;
        `interval_uncapped`, `cost_rate_uncapped` and `road_failures_uncapped` are what would be advised without it. The
        advice says where the cap shortens the interval, and where no interval keeps to it. `road_failures_year` is what
        is expected on the road of all parts of the component on a vehicle, in the cell's own running, at the interval
        [1 / vehicle-year]; `saving_year` what the interval saves in the long run against running to failure on all
        `vehicles` of the cell now [currency / a], blank without an interval.
    """
    frame = cells[cells["component"].isin(list(fleet.components))].reset_index(drop=True)
    frame = frame.join(_law_columns(fleet, frame))
    mean = mean_life(
        shape=frame["shape"].fillna(1.0), scale=frame["scale"], variance=frame["frailty_variance"].fillna(0.0)
    )
    frame["mean"] = np.where(np.isfinite(mean), mean, np.nan)
    frame = frame.assign(**{name: np.nan for name in ("yearly_running", "vehicles") if name not in frame})
    frame = frame.join(_cap_columns(frame, road_caps, worn_shares))
    frame = frame.join(_cost_columns(frame, fleet.service_interval))
    frame["advice"] = [
        _advice(
            fleet.components[row.component],
            interval=row.interval,
            worn_share=worn_shares.get(row.component, 0.0),
            has_cost=row.component in fleet.costs,
        )
        + _cap_advice(row, fleet.service_interval)
        + _in_hours(fleet.components[row.component], row.interval)
        for row in frame_rows(frame)
    ]
    counts = frame["component"].map({code: own.day_counts for code, own in fleet.components.items()})
    frame["interval_years"] = frame["interval"] / counts.where(counts > 0) / _YEAR
    saved = frame["cost_rate_run_to_failure"] - frame["cost_rate_interval"]
    frame["saving_year"] = (frame["vehicles"] * frame["yearly_running"] * saved).where(frame["interval"].notna())
    frame["note"] = [fleet.components[code].note for code in frame["component"]]
    return add_interval_uncertainty(frame, fleet=fleet)[_COLUMNS]
