"""What is due on which vehicle: the fitted parts with risk, date and action."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.frame_rows import frame_rows
from wearmodel.policy.fitted import FittedParts, fail_probability, remaining_distance
from wearmodel.policy.intervals import ADVICE
from wearmodel.policy.lift_groups import nearest_level
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import LifeModel

__all__ = ["ACTIONS", "plan_due"]

Array = NDArray[Any]

#: Action words of the table `due`, most urgent first.
ACTIONS = (
    "replace now",
    "replace at next service",
    "plan replacement",
    "inspect at next service",
    "no action yet",
    "no prediction",
)
#: A part with at least this chance of failing before the next service is looked at there.
_LOOK_FROM = 0.10
#: A part past its interval is renewed at the next service, unless it is as likely as not to fail before.
_LIKELY_FROM = 0.5
_FAR = 200 * 365.25
_COLUMNS = [
    "unit", "position", "component", "part_number", "depot", "age", "fail_probability", "remaining_median",
    "due_date", "action", "vehicle_class", "duty", "lift", "remaining_p10", "next_service_probability",
    "equivalent_age", "age_known", "reason", "vehicle_rate",
]  # fmt: skip


def _add_ages(
    parts: FittedParts, points: AgePoints, model_values: Array, daily: Array, service: float, days: float
) -> pd.DataFrame:
    """Ages, probabilities and remaining life of one component's parts."""
    frame = parts.frame.copy()
    shape = float(np.exp(model_values[-1]))
    pace = parts.pace(model_values)
    tail, wear = parts.tail * pace, parts.frailties
    frame["vehicle_rate"] = wear.mean
    frame["vehicle_pace"] = wear.pace(shape)
    frame["equivalent_age"] = points.mean() / pace
    known = frame["age_known"].to_numpy(dtype=bool)
    share = points.mean() / np.maximum(parts.operational_age(model_values), 1e-300)
    frame["age"] = np.where(known, frame["age"], frame["age"] * np.minimum(share, 1.0))
    ahead = daily[frame["vehicle"]] * days
    step = service if np.isfinite(service) else 0.0
    condemned = frame["condemned"].to_numpy(dtype=bool)
    for name, distance in (("fail_probability", ahead), ("next_service_probability", np.full(len(frame), step))):
        chance = fail_probability(points, shape=shape, ahead=distance * pace, tail=tail, frailties=wear)
        frame[name] = np.where(condemned, 1.0, chance)
    if not step:
        frame["next_service_probability"] = np.where(condemned, 1.0, np.nan)
    for name, fraction in (("remaining_p10", 0.1), ("remaining_median", 0.5)):
        left = remaining_distance(points, shape=shape, pace=pace, tail=tail, fraction=fraction, frailties=wear)
        frame[name] = np.where(condemned, 0.0, left)
    return frame


def _no_prediction(parts: pd.DataFrame) -> pd.DataFrame:
    """Rows of parts that have no curve."""
    frame = parts.copy()
    condemned = frame["condemned"].to_numpy(dtype=bool)
    frame["equivalent_age"] = frame["age"]
    frame["vehicle_rate"] = frame["vehicle_pace"] = 1.0
    for name in ("fail_probability", "next_service_probability"):
        frame[name] = np.where(condemned, 1.0, np.nan)
    for name in ("remaining_p10", "remaining_median"):
        frame[name] = np.where(condemned, 0.0, np.nan)
    return frame


def _actions(frame: pd.DataFrame, daily: Array, service: float, days: float) -> Array:
    """Action of each part."""
    left = frame["interval"] - frame["equivalent_age"]
    ahead = daily[frame["vehicle"]] * days
    step = service if np.isfinite(service) else ahead / 4.0
    has_interval = frame["interval"].notna()
    look = frame["next_service_probability"].fillna(frame["fail_probability"]) >= _LOOK_FROM
    on_condition = frame["advice"] == ADVICE["condition"]
    likely = frame["next_service_probability"].fillna(0.0) >= _LIKELY_FROM
    conditions = [
        frame["condemned"].astype(bool) | (has_interval & (left <= 0) & likely),
        has_interval & (left <= step),
        has_interval & (left <= ahead),
        frame["fail_probability"].notna() & ~has_interval & (look | on_condition),
        frame["fail_probability"].notna(),
    ]
    return np.select(conditions, list(ACTIONS[:-1]), default=ACTIONS[-1])


def _due_days(frame: pd.DataFrame, daily: Array) -> Array:
    """Days until the action: when the interval is reached, else when 1 in 10 such parts has failed."""
    per_day = daily[frame["vehicle"]]
    left = frame["interval"] - frame["equivalent_age"]
    distance = left.where(frame["interval"].notna(), frame["remaining_p10"]).to_numpy(dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        days = np.where(per_day > 0, distance / per_day, np.nan)
    days = np.where(frame["action"] == ACTIONS[0], 0.0, np.maximum(days, 0.0))
    return np.where(days > _FAR, np.nan, days)


def _reasons(frame: pd.DataFrame, unit: str) -> list[str]:
    """One plain sentence a part."""
    out = []
    for row in frame_rows(frame):
        age = f"{row.equivalent_age:,.0f} {unit}"
        if row.condemned:
            text = f"Found worn on {row.found_date:%Y-%m-%d} and not renewed since."
        elif row.action == ACTIONS[-1]:
            text = "Too few failures of this component to predict; judge by condition."
        elif np.isfinite(row.interval):
            word = "past" if row.equivalent_age >= row.interval else "on its way to"
            text = f"Wear of {age} is {word} the interval of {row.interval:,.0f} {unit}."
        else:
            text = f"{row.advice.capitalize()}; 1 in 10 such parts fails within {row.remaining_p10:,.0f} {unit}."
        out.append(text if row.age_known else f"{text} Fitting date unknown, age estimated.")
    return out


def plan_due(
    fitted: Mapping[str, FittedParts],
    *,
    points: Mapping[str, AgePoints],
    unmodelled: pd.DataFrame,
    model: LifeModel,
    intervals: pd.DataFrame,
    daily: Array,
    levels: tuple[float, ...],
    as_of: pd.Timestamp,
    days: float,
) -> pd.DataFrame:
    """Table `due`.

    Parameters
    ----------
    fitted : mapping of str to FittedParts
        By component code.
    points : mapping of str to AgePoints
        Their ages, from `wearmodel.policy.fitted.age_points`.
    unmodelled : pandas.DataFrame
        Parts of components without a model, from `wearmodel.policy.fitted.build_unmodelled_parts`.
    model : LifeModel
        Life models.
    intervals : pandas.DataFrame
        Table `intervals`.
    daily : ndarray, shape (n_vehicles,)
        Running of each vehicle [distance / d].
    levels : tuple of float
        Lift levels [mm].
    as_of : pandas.Timestamp
        Today's date for the plan.
    days : float
        Horizon of `fail_probability` [d].

    Returns
    -------
    pandas.DataFrame
        Columns of the table `due` and more; most urgent first. `age` is the distance since fitting,
        `equivalent_age` the same wear at today's ride height and duty, `vehicle_rate` how many times the fleet's
        failure rate the vehicle's own record makes its parts fail at.
    """
    frames = []
    service = model.service_interval
    for code, parts in fitted.items():
        own = model.components[code]
        if own.basis == "bound only":
            frames.append(_no_prediction(parts.frame))
        else:
            frames.append(_add_ages(parts, points[code], np.array(own.values), daily, service, days))
    if len(unmodelled):
        frames.append(_no_prediction(unmodelled))
    if not frames:
        return pd.DataFrame(columns=_COLUMNS)
    frame = pd.concat(frames, ignore_index=True)
    frame["level"] = nearest_level(frame["lift"], levels)
    cells = intervals[["component", "duty", "lift", "interval", "advice"]].rename(columns={"lift": "level"})
    frame = frame.merge(cells, on=["component", "duty", "level"], how="left")
    frame["advice"] = frame["advice"].fillna("")
    # A vehicle that wears faster than the fleet reaches the wear of the interval sooner.
    frame["interval"] = frame["interval"] / frame["vehicle_pace"]
    frame["action"] = _actions(frame, daily, service, days)
    frame["found_date"] = pd.to_datetime(frame["end_day"], unit="D", origin="unix")
    frame["reason"] = _reasons(frame, model.distance_unit)
    frame["due_date"] = as_of + pd.to_timedelta(np.floor(_due_days(frame, daily)), unit="D")
    return _ordered(frame)


def _ordered(frame: pd.DataFrame) -> pd.DataFrame:
    """Most urgent first, ties by risk and name."""
    rank = frame["action"].map({word: i for i, word in enumerate(ACTIONS)})
    frame = frame.assign(rank=rank, risk=-frame["fail_probability"].fillna(-1.0))
    frame = frame.sort_values(["rank", "due_date", "risk", "unit", "position"], kind="stable", ignore_index=True)
    return frame[_COLUMNS]
