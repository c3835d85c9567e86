"""Tables that show the record and the model: cells, pieces, curves, fits, counts, assumptions."""

import math
from statistics import NormalDist
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.fleet_model import CodedFleet
from wearmodel.frame_rows import frame_rows
from wearmodel.history.histories import Histories
from wearmodel.history.odometer import days_since_epoch
from wearmodel.intake.fleet import Fleet
from wearmodel.intake.fleet_toml.settings import FleetSettings
from wearmodel.look_ahead import Ahead
from wearmodel.policy.comparison.return_to_factory import COST_SPREAD
from wearmodel.policy.lift_groups import nearest_level
from wearmodel.processes import each
from wearmodel.survival.coding import FLEET_MIX
from wearmodel.survival.comebacks import build_comebacks
from wearmodel.survival.endings import build_ending_counts, build_endings
from wearmodel.survival.model import ComponentModel, LifeModel, law, survival_band
from wearmodel.survival.nonparametric import mean_cumulative_function, nonparametric_curve
from wearmodel.survival.weibull import life_at

__all__ = [
    "build_assumptions",
    "build_cells",
    "build_curves",
    "build_ending_tables",
    "build_fits",
    "build_mcf",
    "build_nonparametric",
    "build_pieces",
]

Array = NDArray[Any]
_CURVE_POINTS = 41


def build_pieces(histories: Histories) -> pd.DataFrame:
    """Segments of all lives with what was seen of each.

    Parameters
    ----------
    histories : Histories
        Lives and segments.

    Returns
    -------
    pandas.DataFrame
        Columns `life, component, duty, lift, distance, failed_here, weight, usable, age`; distance and failures
        count for the life's weight, `age` is the greatest seen in the segment.
    """
    segments, lives = histories.segments, histories.lives
    at = segments["life"].to_numpy()
    entry, low, high = (lives[name].to_numpy()[at] for name in ("entry", "stop_low", "stop_high"))
    failed = np.isfinite(high)
    end = np.where(failed, high, low)
    begins, ends = segments["age_from"].to_numpy(), segments["age_to"].to_numpy()
    weight = lives["weight"].to_numpy()[at]
    last = (begins < end) & (ends >= end)
    seen = np.maximum(np.minimum(ends, end) - np.maximum(begins, entry), 0.0)
    return pd.DataFrame(
        {
            "life": at,
            "component": lives["component"].to_numpy()[at],
            "duty": lives["duty"].to_numpy()[at],
            "lift": segments["lift"].to_numpy(),
            "distance": weight * seen,
            "failed_here": weight * (failed & last),
            "weight": weight,
            "usable": lives["usable"].to_numpy(dtype=bool)[at],
            "age": np.minimum(ends, end),
        }
    )


def build_cells(pieces: pd.DataFrame, lives: pd.DataFrame, levels: tuple[float, ...]) -> pd.DataFrame:
    """Cells component x duty x lift that the fleet has parts in, with their failures.

    Parameters
    ----------
    pieces : pandas.DataFrame
        From `build_pieces`.
    lives : pandas.DataFrame
        All lives.
    levels : tuple of float
        Lift levels [mm].

    Returns
    -------
    pandas.DataFrame
        Columns `component, duty, lift, failures`, sorted.
    """
    keys = ["component", "duty", "level"]
    seen = pieces.assign(level=nearest_level(pieces["lift"], levels))
    failures = seen[seen["distance"] > 0].groupby(keys)["failed_here"].sum()
    current = lives[lives["current"]]
    now = current.assign(level=nearest_level(current["lift"], levels)).groupby(keys).size() * 0
    # Nothing is joined to nothing: what type an empty column has is not to decide that of the rest.
    counts = [part for part in (failures.astype(float), now.astype(float)) if len(part)] or [failures.astype(float)]
    cells = pd.concat(counts).groupby(level=[0, 1, 2]).sum().round().astype(int).rename("failures")
    return cells.reset_index().rename(columns={"level": "lift"})


def _curve_grid(model: ComponentModel, levels: tuple[float, ...]) -> Array:
    """Ages from 0 to where almost all parts of the longest-lived case have failed."""
    cases = [law(model, duty=duty, lift=lift) for duty in model.coding.duties for lift in levels]
    longest = max(float(life_at(0.95, shape=case.shape, scale=case.scale, variance=case.variance)) for case in cases)
    return np.linspace(0.0, longest, _CURVE_POINTS)


def build_curves(model: LifeModel, levels: tuple[float, ...]) -> pd.DataFrame:
    """Table `curves`.

    Parameters
    ----------
    model : LifeModel
        Life models.
    levels : tuple of float
        Lift levels [mm].

    Returns
    -------
    pandas.DataFrame
        Columns `component, duty, lift, distance, survival, lower, upper`; duty `fleet` is the fleet's
        mix. Components for which no curve may be drawn are left out.
    """
    frames = []
    for code, own in model.components.items():
        if own.basis == "bound only":
            continue
        shown = levels if own.coding.height != "none" else (0.0,)
        grid = _curve_grid(own, shown)
        for duty in (FLEET_MIX, *own.coding.duties):
            for lift in shown:
                band = survival_band(own, grid, duty=duty, lift=lift, confidence=model.confidence)
                frames.append(
                    pd.DataFrame(
                        {
                            "component": code, "duty": duty, "lift": lift, "distance": grid,
                            "survival": band.estimate, "lower": band.low, "upper": band.high,
                        }
                    )
                )  # fmt: skip
    columns = ["component", "duty", "lift", "distance", "survival", "lower", "upper"]
    return pd.concat(frames, ignore_index=True) if frames else pd.DataFrame(columns=columns)


def build_fits(model: LifeModel) -> pd.DataFrame:
    """Table `fits`.

    Parameters
    ----------
    model : LifeModel
        Life models.

    Returns
    -------
    pandas.DataFrame
        Columns of the table `fits` and `basis, note, own_share`. `shape` [-] and `scale` [distance, first duty and
        first level of every kind of group, factory height] are on their natural scale, effects on the log scale of
        life; `frailty_variance` [-] stands for components whose vehicles wear unlike, its bounds from the log scale.
        `own_share` is how much of an effect is its own and not borrowed from like groups: 0 where the record speaks
        for no difference.
    """
    half = NormalDist().inv_cdf(0.5 + model.confidence / 2.0)
    rows: list[tuple[object, ...]] = []
    for own in model.components.values():
        shares = own.own_share or (math.nan,) * len(own.values)
        for index, (name, value) in enumerate(zip(own.names, own.values, strict=True)):
            error = math.sqrt(max(own.covariance[index][index], 0.0))
            estimate, lower, upper = (value + step * half * error for step in (0, -1, 1))
            known = error > 0
            if name in ("intercept", "log_shape"):
                estimate, lower, upper = (math.exp(x) for x in (estimate, lower, upper))
                name = "scale" if name == "intercept" else "shape"
            bounds = (lower, upper) if known else (math.nan, math.nan)
            counts = (own.lives, own.failures, own.basis, own.note, shares[index])
            rows.append((own.component, "weibull", name, estimate, *bounds, *counts))
        if own.frailty_variance > 0.0:
            error = math.sqrt(own.frailty_covariance[-1]) if own.frailty_covariance else math.nan
            figures = [own.frailty_variance * math.exp(step * half * error) for step in (-1, 1)]
            figures = [own.frailty_variance, *figures]
            counts = (own.lives, own.failures, own.basis, own.note, math.nan)
            rows.append((own.component, "weibull", "frailty_variance", *figures, *counts))
    columns = ["component", "family", "parameter", "estimate", "lower", "upper", "lives", "failures", "basis", "note"]
    return pd.DataFrame(rows, columns=[*columns, "own_share"])


def build_nonparametric(lives: pd.DataFrame) -> pd.DataFrame:
    """Table `nonparametric`: the survival curve of each component with no law assumed.

    Parameters
    ----------
    lives : pandas.DataFrame
        All lives.

    Returns
    -------
    pandas.DataFrame
        Columns `component, distance, survival, lower, upper, at_risk`.
    """
    own = {str(code): mine for code, mine in lives.groupby("component")}
    frames = each(
        lambda code: nonparametric_curve(own[code]).assign(component=code), list(own), sizes=[*map(len, own.values())]
    )
    frame = pd.concat([f for f in frames if len(f)] or frames[:1], ignore_index=True)
    return frame[["component", "distance", "survival", "lower", "upper", "at_risk"]]


def build_ending_tables(
    fleet: Fleet, histories: Histories, coded: CodedFleet, model: LifeModel
) -> dict[str, pd.DataFrame]:
    """Tables on how lives end and which fittings come back.

    Parameters
    ----------
    fleet, histories, coded, model
        Outcome of the earlier stages.

    Returns
    -------
    dict of str to pandas.DataFrame
        Tables `endings`, `ending_counts` and `comebacks`.
    """
    settings, confidence = fleet.settings, model.confidence
    return {
        "endings": build_endings(histories.lives, confidence=confidence),
        "ending_counts": build_ending_counts(histories.lives),
        "comebacks": build_comebacks(
            histories, models=model.components, traits=coded.traits, days=settings.comeback_days, confidence=confidence
        ),
    }


def build_mcf(histories: Histories, own_lines: pd.DataFrame) -> pd.DataFrame:
    """Table `mcf`: mean cumulative number of wear replacements per vehicle, by component.

    Parameters
    ----------
    histories : Histories
        Windows and curves.
    own_lines : pandas.DataFrame
        Renewals for which a part was taken.

    Returns
    -------
    pandas.DataFrame
        Columns `component, distance` (odometer of the vehicle)`, at_risk, mcf, se`; vehicles count while
        under observation.
    """
    windows, curves = histories.windows, histories.curves
    carriers = histories.lives.groupby("component")["vehicle"].unique()
    index = pd.Index(windows["unit"])
    frames = []
    wear = own_lines[own_lines["reason"].isin(["failed", "worn"])]
    for code, vehicles in carriers.items():
        mine = wear[wear["component"] == code]
        ordered = np.sort(vehicles)
        vehicle = index.get_indexer(pd.Index(mine["unit"]))
        day = days_since_epoch(mine["date"])
        inside = (day >= windows["first_day"].to_numpy()[vehicle]) & (day <= windows["last_day"].to_numpy()[vehicle])
        age = curves.distance_at(vehicle[inside], day[inside])
        table = mean_cumulative_function(
            unit=np.searchsorted(ordered, vehicle[inside]),
            age=age,
            entry=windows["first_odometer"].to_numpy()[ordered],
            exit_age=windows["last_odometer"].to_numpy()[ordered],
        )
        frames.append(table.assign(component=str(code)))
    frame = pd.concat([f for f in frames if len(f)] or frames[:1], ignore_index=True)
    return frame[["component", "distance", "at_risk", "mcf", "se"]]


_MEANINGS = {
    "as_of": ("date", "End of the record; everything is forecast from here."),
    "records_from": ("date", "Beginning of the record, for vehicles that have none of their own."),
    "service_interval": ("{unit}", "Distance between services; intervals are rounded to it."),
    "labour_rate": ("{money}/h", "Workshop labour."),
    "downtime_cost": ("{money}/h", "A vehicle standing."),
    "service_level": ("share", "Chance that a reorder point lasts through the lead time, at least."),
    "service_measure": (
        "", "Cycle: no shortage in a lead time. Fill: share of demand met from the shelf. Standing: least cost with a "
        "vehicle standing 8 hours a day for each part that is short.",
    ),
    "holding_rate": ("share a year", "Cost of holding a part, of its price. Common practice, no source."),
    "order_cost": ("{money}", "Of placing an order, whatever its size. Common practice, no source."),
    "set_aside_limit": ("share", "Most rows of a table that may be unreadable before the run stops."),
    "review_threshold": ("share", "Least chance at which a meaning learnt from other lines is used without asking."),
    "comeback_days": ("days", "A part that comes back within so many days of fitting counts as a comeback."),
    "greasing_intervals": ("services", "A part counts as greased where it was at least once in so many services."),
}
_TOGETHER = {
    "visit_hours": ("h", "Workshop time spared by each further part renewed in the same visit."),
    "visit_downtime_hours": (
        "h", "Time a vehicle does not stand again for a further part of a visit, beside the workshop time spared.",
    ),
    "shaft": ("share", "Share of a further part's hours spared when a part of the same shaft line is renewed with it."),
    "half_shaft": ("share", "The same for the pieces of one half shaft."),
    "corner": ("share", "The same for boot and joint at one end of a half shaft."),
}  # fmt: skip


def _setting_value(fleet: Fleet, name: str) -> object:
    """A setting as it was used, dates as text."""
    if name == "as_of":
        return f"{fleet.as_of:%Y-%m-%d}"
    value = getattr(fleet.settings, name)
    if name == "records_from":
        value = fleet.tables["vehicles"]["records_from"].min() if value is None else value
        return f"{value:%Y-%m-%d}"
    return value


_LIMIT_MEANINGS = {
    "straight": "Below it a joint is flagged as nearly straight: needles that do not roll mark the trunnion.",
    "best_low": "From here a joint lives best.",
    "best_high": "Up to here a joint lives best.",
    "high": "Above it a joint is flagged as on the high side.",
}
_SHAFT_MEANINGS = {
    "critical_speed_share": (
        "share", "Highest speed of a shaft as a share of its first critical speed. Common practice, no source."
    ),
    "residual_ripple": (
        "share", "Most that a whole line of joints may ripple; a published design limit of a driveshaft maker."
    ),
    "torsional_stress": ("MPa", "Highest torsional stress of a tube, as set for this fleet."),
}  # fmt: skip


def _limit_rows(settings: FleetSettings) -> list[tuple[str, object, str, str, str]]:
    """Limits of joint angles and shafts, where there is any shaft to hold to them."""
    if not settings.geometry:
        return []
    rows: list[tuple[str, object, str, str, str]] = []

    def add(key: str, value: float, unit: str, meaning: str) -> None:
        default = key in settings.defaults
        practice = " Common practice, no source." if default and unit == "deg" else ""
        rows.append((key, value, unit, "default" if default else "fleet.toml", meaning + practice))

    for code, limits in settings.angle_limits.items():
        for name, meaning in _LIMIT_MEANINGS.items():
            value = getattr(limits, name)
            if value > 0.0:
                add(f"angle_limits.{code}.{name}", value, "deg", meaning)
    for name, (unit, meaning) in _SHAFT_MEANINGS.items():
        value = getattr(settings.shaft_limits, name)
        if not math.isnan(value):
            add(f"shaft_limits.{name}", value, unit, meaning)
    return rows


def _together_rows(settings: FleetSettings) -> list[tuple[str, object, str, str, str]]:
    """What is spared in a visit of several parts; the defaults are common practice, no source."""
    rows: list[tuple[str, object, str, str, str]] = []
    for key, (unit, meaning) in _TOGETHER.items():
        name = f"together.{key}"
        given = name not in settings.defaults
        told = meaning if given else f"{meaning} Common practice, not measured in this fleet."
        rows.append((name, getattr(settings.together, key), unit, "fleet.toml" if given else "default", told))
    for name, group in settings.together.groups.items():
        meaning = f"Share spared among {', '.join(group.positions)}."
        rows.append((f"together.groups.{name}", group.share, "share", "fleet.toml", meaning))
    return rows


def _future_rows(settings: FleetSettings, ahead: Ahead) -> list[tuple[str, object, str, str, str]]:
    """What is taken of vehicles that leave, of prices and of the backlog of a planned policy."""
    law = ahead.changes.law
    serving = ahead.changes.age[np.asarray(ahead.usage.in_service, dtype=bool)]
    rows: list[tuple[str, object, str, str, str]] = [
        ("leaving_rate", round(law.share_within(serving, 1.0), 3), "share a year",
         "fleet.toml" if law.source == "fleet.toml" else "estimated",
         {
             "record": f"Vehicles leave at the rate by age at which {law.leavers} left within the record; none "
             "replaces them unless a fleet_plan table says so. Set it in fleet.toml, 0 for a fleet that stays.",
             "too few": f"{law.leavers} vehicles left within the record, too few for a rate: none is taken to leave.",
             "fleet.toml": "Share of the vehicles that leave in a year unless a fleet_plan table says which do.",
         }[law.source]),
    ]  # fmt: skip
    for name, unit, meaning in (
        ("price_growth", "share a year", "Growth of all prices and rates in the budget; the long run is at today's."),
        ("spread_backlog_months", "months", "Over so many months parts past their interval today are renewed by plan."),
    ):
        source = "default" if name in settings.defaults else "fleet.toml"
        rows.append((name, getattr(settings, name), unit, source, meaning))
    for code, every in settings.own_policy.items():
        meaning = "Replaced at this age under the own policy; components without an entry run to failure under it."
        rows.append((f"own_policy.{code}", every, settings.distance_unit, "fleet.toml", meaning))
    return rows


def build_assumptions(fleet: Fleet, model: LifeModel, *, ahead: Ahead, coded: CodedFleet) -> pd.DataFrame:
    """Table `assumptions`: what was set, taken by default, or estimated.

    Parameters
    ----------
    fleet : Fleet
        Settings.
    model : LifeModel
        Life models.
    ahead : Ahead
        Expected running, vehicles that leave and join.
    coded : CodedFleet
        Cost assumptions.

    Returns
    -------
    pandas.DataFrame
        Columns `name, value, unit, source, meaning`; source `fleet.toml`, `default` or `estimated`.
    """
    settings = fleet.settings
    words = {"unit": settings.distance_unit, "money": settings.currency}
    rows: list[tuple[str, object, str, str, str]] = []
    for name, (unit, meaning) in _MEANINGS.items():
        value = _setting_value(fleet, name)
        source = "default" if name in settings.defaults else "fleet.toml"
        if name in ("as_of", "records_from") and getattr(settings, name) is None:
            source = "estimated"
        rows.append((name, value, unit.format(**words), source, meaning))
    rows += _together_rows(settings)
    rows += _future_rows(settings, ahead)
    rows.append(
        ("usage_spread", round(ahead.usage.spread, 3), "log share", "estimated",
         "Uncertainty of the whole fleet's running, year on year, common to all vehicles.")
    )  # fmt: skip
    rows.append(
        ("cost_spread", COST_SPREAD, "log share", "default",
         "Uncertainty of all costs in what a return to factory height saves. Common practice, no source.")
    )  # fmt: skip
    rows.append(("confidence", model.confidence, "share", "default", "Two-sided confidence of bands and intervals."))
    rows += [
        (f"{row.component}: share found at inspections", round(float(row.worn_share), 3), "share", "estimated",
         "Wear ends found at an inspection cost a planned replacement; the rest cost a failure on the road.")
        for row in frame_rows(coded.costs)
    ]  # fmt: skip
    rows += [
        (f"{code}: road failures a year", cap, "a vehicle-year", "fleet.toml",
         "Most failures on the road of all such parts of a vehicle: intervals are no longer than keeps to it.")
        for code, cap in settings.road_caps.items() if code in model.components
    ]  # fmt: skip
    rows += _limit_rows(settings)
    for code, own in model.components.items():
        if own.basis != "fitted":
            rows.append((f"{code}: life curve", own.basis, "", "estimated", own.note))
        elif own.coding.height == "lift":
            rows.append(
                (f"{code}: ride height enters as", "lift", "", "estimated",
                 "No geometry is given for every class of these vehicles, so lift stands for the joint angle.")
            )  # fmt: skip
    return pd.DataFrame(rows, columns=["name", "value", "unit", "source", "meaning"])
