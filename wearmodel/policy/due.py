"""What is due on which vehicle: the fitted parts with risk, date and action."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
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

__all__ = ["ACTIONS", "assess_parts", "plan_due"]

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
_YEAR = 365.25
_FAR = 200 * _YEAR
_COLUMNS = [
    "unit", "position", "component", "part_number", "depot", "age", "fail_probability", "remaining_median",
    "due_date", "action", "vehicle_class", "duty", "lift", "remaining_p10", "next_service_probability",
    "equivalent_age", "age_known", "reason", "vehicle_rate", "money_at_stake",
]  # fmt: skip
_TOLD_BY = [
    "day_counts", "hour_counts", "condemned", "found_date", "action", "interval", "equivalent_age", "advice",
    "remaining_p10", "age_known",
]  # fmt: skip
_ASSESSED = [
    "row", "vehicle", "per_day", "driven_per_day", "service", "interval", "vehicle_pace", "condemned", "due_days",
]  # fmt: skip


def _clocked(frame: pd.DataFrame, *, daily: Array, a_day: Array | None, service: float) -> pd.DataFrame:
    """What each part's clock goes on a day and from one service to the next; services come by distance driven."""
    driven = daily[frame["vehicle"]]
    if a_day is None:
        return frame.assign(per_day=driven, driven_per_day=driven, service=service)
    goes = a_day[frame["vehicle"]]
    with np.errstate(divide="ignore", invalid="ignore"):
        every = np.where(driven > 0, service * goes / driven, np.inf)
    return frame.assign(per_day=goes, driven_per_day=driven, service=every)


def _add_ages(parts: pd.DataFrame, fitted: FittedParts, points: AgePoints, values: Array, days: Array) -> pd.DataFrame:
    """Ages, probabilities and remaining life of one component's parts."""
    frame = parts.copy()
    shape = float(np.exp(values[-1]))
    pace = fitted.pace(values)
    tail, wear = fitted.tail * pace, fitted.frailties
    frame["vehicle_rate"] = wear.mean
    frame["vehicle_pace"] = wear.pace(shape)
    frame["equivalent_age"] = points.mean() / pace
    known = frame["age_known"].to_numpy(dtype=bool)
    share = points.mean() / np.maximum(fitted.operational_age(values), 1e-300)
    frame["age"] = np.where(known, frame["driven"], frame["driven"] * np.minimum(share, 1.0))
    ahead, service = frame["per_day"].to_numpy() * days, frame["service"].to_numpy()
    timed = np.isfinite(service)
    condemned = frame["condemned"].to_numpy(dtype=bool)
    for name, distance in (("fail_probability", ahead), ("next_service_probability", np.where(timed, service, 0.0))):
        chance = fail_probability(points, shape=shape, ahead=distance * pace, tail=tail, frailties=wear)
        frame[name] = np.where(condemned, 1.0, chance)
    unknown = np.where(condemned, 1.0, np.nan)
    frame["next_service_probability"] = np.where(timed, frame["next_service_probability"], unknown)
    for name, fraction in (("remaining_p10", 0.1), ("remaining_median", 0.5)):
        left = remaining_distance(points, shape=shape, pace=pace, tail=tail, fraction=fraction, frailties=wear)
        frame[name] = np.where(condemned, 0.0, left)
    return frame


def _no_prediction(parts: pd.DataFrame) -> pd.DataFrame:
    """Rows of parts that have no curve."""
    frame = parts.copy()
    condemned = frame["condemned"].to_numpy(dtype=bool)
    frame["equivalent_age"] = frame["age"]
    frame["age"] = frame["driven"]
    frame["vehicle_rate"] = frame["vehicle_pace"] = 1.0
    for name in ("fail_probability", "next_service_probability"):
        frame[name] = np.where(condemned, 1.0, np.nan)
    for name in ("remaining_p10", "remaining_median"):
        frame[name] = np.where(condemned, 0.0, np.nan)
    return frame


def _actions(frame: pd.DataFrame, days: float) -> Array:
    """Action of each part."""
    left = frame["interval"] - frame["equivalent_age"]
    ahead = frame["per_day"] * days
    step = frame["service"].where(np.isfinite(frame["service"]), ahead / 4.0)
    has_interval = frame["interval"].notna()
    look = frame["next_service_probability"].fillna(frame["fail_probability"]) >= _LOOK_FROM
    on_condition = frame["advice"].str.startswith(ADVICE["condition"])
    likely = frame["next_service_probability"].fillna(0.0) >= _LIKELY_FROM
    conditions = [
        frame["condemned"].astype(bool) | (has_interval & (left <= 0) & likely),
        has_interval & (left <= step),
        has_interval & (left <= ahead),
        frame["fail_probability"].notna() & ~has_interval & (look | on_condition),
        frame["fail_probability"].notna(),
    ]
    return np.select(conditions, list(ACTIONS[:-1]), default=ACTIONS[-1])


def _due_days(frame: pd.DataFrame) -> Array:
    """Days until the action: when the interval is reached, else when 1 in 10 such parts has failed."""
    per_day = frame["per_day"]
    left = frame["interval"] - frame["equivalent_age"]
    distance = left.where(frame["interval"].notna(), frame["remaining_p10"]).to_numpy(dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        days = np.where(per_day > 0, distance / per_day, np.nan)
    days = np.where(frame["action"] == ACTIONS[0], 0.0, np.maximum(days, 0.0))
    return np.where(days > _FAR, np.nan, days)


@dataclass(frozen=True)
class _Told:
    """How a distance on a component's clock is told."""

    day_counts: float
    hour_counts: float
    unit: str

    def __call__(self, distance: float) -> str:
        if self.day_counts:
            return f"{distance / self.day_counts / _YEAR:,.1f} years"
        if self.hour_counts:
            return f"{distance / self.hour_counts:,.0f} engine hours"
        return f"{distance:,.0f} {self.unit}"


def _reasons(frame: pd.DataFrame, unit: str) -> list[str]:
    """One plain sentence a part."""
    out = []
    for row in frame_rows(frame[_TOLD_BY]):
        told = _Told(row.day_counts, row.hour_counts, unit)
        if row.condemned:
            text = f"Found worn on {row.found_date:%Y-%m-%d} and not renewed since."
        elif row.action == ACTIONS[-1]:
            text = "Too few failures of this component to predict; judge by condition."
        elif np.isfinite(row.interval):
            word = "past" if row.equivalent_age >= row.interval else "on its way to"
            what = "Age" if row.day_counts or row.hour_counts else "Wear"
            text = f"{what} of {told(row.equivalent_age)} is {word} the interval of {told(row.interval)}."
        else:
            text = f"{row.advice.capitalize()}; 1 in 10 such parts fails within {told(row.remaining_p10)}."
        out.append(text if row.age_known else f"{text} Fitting date unknown, age estimated.")
    return out


def _let_leave(frame: pd.DataFrame, leave: Array, as_of: pd.Timestamp) -> None:
    """Nothing is planned on a vehicle from the day it leaves."""
    with np.errstate(divide="ignore", invalid="ignore"):
        service = np.where(frame["per_day"] > 0, frame["service"] / frame["per_day"], np.inf)
    at_service = frame["action"].isin([ACTIONS[1], ACTIONS[3]]).to_numpy()
    # What waits for a service is done there, however early it falls due.
    when = np.where(at_service, np.fmax(frame["due_days"].to_numpy(dtype=float), service), frame["due_days"])
    late = np.isfinite(leave) & (when >= leave) & frame["action"].isin(ACTIONS[1:4]).to_numpy()
    frame.loc[late, "action"] = ACTIONS[4]
    date = as_of + pd.to_timedelta(np.where(np.isfinite(leave), leave + 1.0, 0.0), unit="D")
    text = [f"{reason} The vehicle leaves in {day:%Y-%m}." for reason, day in zip(frame["reason"], date, strict=True)]
    frame["reason"] = np.where(np.isfinite(leave), text, frame["reason"])


def _money_at_stake(frame: pd.DataFrame, model: LifeModel) -> Array:
    """What waiting may cost over the horizon: chance of failing times what a failure costs above a planned renewal."""
    extra = {code: cost.failed - cost.planned for code, cost in model.costs.items()}
    return frame["fail_probability"].to_numpy(dtype=float) * frame["component"].map(extra).to_numpy(dtype=float)


def assess_parts(
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
    a_day: Mapping[str, Array] = MappingProxyType({}),
    leave: Array | None = None,
) -> pd.DataFrame:
    """What is known of every fitted part, and what to do with it.

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
    a_day : mapping of str to ndarray, shape (n_vehicles,)
        What the clocks of components that age by time or engine hours go on a day [distance / d].
    leave : ndarray, shape (n_vehicles,), optional
        When vehicles leave that are named in a plan, infinite for others [d]. Nothing is planned from that day on; what
        was found worn is replaced all the same.

    Returns
    -------
    pandas.DataFrame
        One row a part, most urgent first: columns of the table `due` and, of each part, `row` (in the fitted parts of
        its component), `vehicle`, `per_day` (what its clock goes on a day), `driven_per_day`, `service` (what it goes
        on between two services), `interval` (on its vehicle), `vehicle_pace`, `condemned` and `due_days`. `age` is the
        distance driven since fitting,
        `equivalent_age` the same wear at today's ride height and duty (for a component that ages by time or engine
        hours, those as the distance that the fleet runs in them), `remaining_p10` and `remaining_median` are distances
        the vehicle will drive, `vehicle_rate` how many times the fleet's failure rate the vehicle's own record makes
        its parts fail at,
        `money_at_stake` the chance of failing within the horizon times what a failure costs above a planned renewal
        [currency], blank where costs are not known.
    """
    frames = []
    service = model.service_interval
    gone = np.full(len(daily), np.inf) if leave is None else leave
    for code, parts in fitted.items():
        own = model.components[code]
        numbered = parts.frame.assign(row=np.arange(len(parts.frame)))
        numbered = numbered.assign(day_counts=own.day_counts, hour_counts=own.hour_counts)
        clocked = _clocked(numbered, daily=daily, a_day=a_day.get(code), service=service)
        if own.basis == "bound only":
            frames.append(_no_prediction(clocked))
        else:
            ahead = np.minimum(days, gone[clocked["vehicle"].to_numpy(dtype=np.intp)])
            frames.append(_add_ages(clocked, parts, points[code], np.array(own.values), ahead))
    if len(unmodelled):
        numbered = unmodelled.assign(row=np.arange(len(unmodelled)), day_counts=0.0, hour_counts=0.0)
        frames.append(_no_prediction(_clocked(numbered, daily=daily, a_day=None, service=service)))
    if not frames:
        return pd.DataFrame(columns=[*_COLUMNS, *_ASSESSED])
    frame = pd.concat(frames, ignore_index=True)
    frame["level"] = nearest_level(frame["lift"], levels)
    cells = intervals[["component", "duty", "lift", "interval", "advice"]].rename(columns={"lift": "level"})
    frame = frame.merge(cells, on=["component", "duty", "level"], how="left")
    frame["advice"] = frame["advice"].fillna("")
    # A vehicle that wears faster than the fleet reaches the wear of the interval sooner.
    frame["interval"] = frame["interval"] / frame["vehicle_pace"]
    frame["action"] = _actions(frame, days)
    frame["found_date"] = pd.to_datetime(frame["end_day"], unit="D", origin="unix")
    frame["reason"] = _reasons(frame, model.distance_unit)
    # Told as the distance that the vehicle itself will run in that time or those hours.
    aged = (frame[["day_counts", "hour_counts"]] > 0).any(axis=1) & (frame["per_day"] > 0)
    driven = (frame["driven_per_day"] / frame["per_day"].where(aged, 1.0)).where(aged, 1.0)
    for name in ("remaining_p10", "remaining_median"):
        frame[name] = frame[name] * driven
    frame["due_days"] = np.floor(_due_days(frame))
    _let_leave(frame, gone[frame["vehicle"].to_numpy(dtype=np.intp)], as_of)
    frame["due_date"] = as_of + pd.to_timedelta(frame["due_days"], unit="D")
    frame["money_at_stake"] = _money_at_stake(frame, model)
    return _ordered(frame)


def plan_due(assessed: pd.DataFrame) -> pd.DataFrame:
    """Table `due`.

    Parameters
    ----------
    assessed : pandas.DataFrame
        From `assess_parts`.

    Returns
    -------
    pandas.DataFrame
        The columns that are shown.
    """
    return assessed[_COLUMNS]


def _ordered(frame: pd.DataFrame) -> pd.DataFrame:
    """Most urgent first, ties by risk and name."""
    rank = frame["action"].map({word: i for i, word in enumerate(ACTIONS)})
    frame = frame.assign(rank=rank, risk=-frame["fail_probability"].fillna(-1.0))
    frame = frame.sort_values(["rank", "due_date", "risk", "unit", "position"], kind="stable", ignore_index=True)
    return frame[[*_COLUMNS, *_ASSESSED]]
