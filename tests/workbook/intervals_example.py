"""Intervals and laws of the invented plan, as the tool's own functions find them."""

from collections.abc import Mapping

import numpy as np
import pandas as pd

from wearmodel.policy.age_replacement import cost_rate, flat_band, recommended_interval
from wearmodel.policy.intervals import ADVICE, CAPPED
from wearmodel.policy.risk_cap import longest_within
from wearmodel.survival.weibull import mean_pace


def add_intervals(
    frame: pd.DataFrame, unit: pd.DataFrame, *, service: float, caps: Mapping[str, float]
) -> pd.DataFrame:
    """Interval, range and advice of each row, by the tool's own functions.

    `unit` holds `planned`, `average` and `worn` by component.
    """
    unit = unit.reindex(frame["component"])
    cap = frame["component"].map(caps).to_numpy(dtype=float)
    law = {"shape": frame["shape"].to_numpy(), "scale": frame["scale"].to_numpy()}
    terms = law | {"planned_cost": unit["planned"].to_numpy(), "failed_cost": unit["average"].to_numpy()}
    variance = frame["frailty_variance"].fillna(0.0).to_numpy() if "frailty_variance" in frame else 0.0
    most = cap / (frame["yearly_running"].to_numpy() * (1.0 - unit["worn"].to_numpy()))
    longest = longest_within(most, **law, variance=variance)
    at_most = np.where(np.isnan(longest), np.inf, longest)
    interval = recommended_interval(**terms, service_interval=service, at_most=at_most)
    free = recommended_interval(**terms, service_interval=service)
    band = flat_band(**terms, at_most=at_most)
    found, capped = np.isfinite(interval), ~np.isnan(cap)
    out = frame.assign(
        interval=np.where(found, interval, np.nan),
        interval_low=np.where(found, band.low, np.nan),
        interval_high=np.where(found & np.isfinite(band.high), band.high, np.nan),
        road_failures_cap=cap,
        interval_uncapped=np.where(capped & np.isfinite(free), free, np.nan),
    )
    run = np.where(unit["worn"] > 0.5, ADVICE["condition"], ADVICE["run"])
    shorter = np.where(interval < service, CAPPED["short"], CAPPED["shortened"])
    without = ~found | (interval == free)
    on_cap = np.select([~capped, np.isnan(longest), without], ["", CAPPED["unreachable"], ""], shorter)
    advice = np.where(found, ADVICE["replace"], run)
    return out.assign(advice=[f"{first}{then}" for first, then in zip(advice, on_cap, strict=True)])


def build_laws(cells: pd.DataFrame) -> pd.DataFrame:
    """Laws behind the curves; vehicles wear unlike on one component."""
    frame = cells.assign(frailty_variance=0.0)
    frame.loc[frame["component"] == "support_bearing", "frailty_variance"] = 0.4
    figures = (0.0012, -0.0003, 0.0004, 0.0045, 0.0007, 0.06)
    names = ("scale_scale", "scale_shape", "scale_frailty", "shape_shape", "shape_frailty", "frailty_frailty")
    return frame.assign(**dict(zip(names, figures, strict=True)))


def in_table_order(shown: pd.DataFrame, intervals: pd.DataFrame, labels: Mapping[str, str]) -> pd.DataFrame:
    """Rows of the sheet Intervals in the order of the table, found by component, duty and lift."""
    keys = ["Component", "Duty", "Lift (mm)"]
    duty = intervals["duty"].replace("fleet", "fleet mix")
    wanted = pd.MultiIndex.from_arrays([intervals["component"].map(labels), duty, intervals["lift"].astype(float)])
    found = shown.assign(**{"Lift (mm)": shown["Lift (mm)"].astype(float)}).set_index(keys)
    assert found.index.is_unique and set(found.index) == set(wanted)
    return found.loc[wanted].reset_index()


def wanted_savings(intervals: pd.DataFrame, unit: pd.DataFrame) -> np.ndarray:
    """Saving in a long-run year of all vehicles of each row, by the library's cost rates; NaN without an interval."""
    unit = unit.reindex(intervals["component"])
    terms = {name: intervals[name].to_numpy() for name in ("shape", "scale")}
    terms |= {"planned_cost": unit["planned"].to_numpy(), "failed_cost": unit["average"].to_numpy()}
    interval = intervals["interval"].to_numpy(dtype=float)
    variance = intervals["frailty_variance"].fillna(0.0).to_numpy() if "frailty_variance" in intervals else 0.0
    saved = cost_rate(np.full(len(interval), np.inf), **terms) - cost_rate(interval, **terms)
    pace = mean_pace(terms["shape"], variance)
    return intervals["vehicles"].to_numpy() * intervals["yearly_running"].to_numpy() * pace * saved
