"""An invented plan of realistic size to try the planner workbook on: no vehicle, shop or figure is real."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
from budget_example import build_fleet_ahead, build_saving, build_transition
from comparison_example import build_comparison_tables
from endings_example import build_ending_tables
from intervals_example import add_intervals, build_laws
from questions_example import HOSTILE, build_questions
from ride_height_example import build_ride_height_tables
from scipy.special import gamma
from stock_example import build_lead_demand, build_stock
from visits_example import build_group_policies, build_visits

from wearmodel.questions import build_review

AS_OF = pd.Timestamp("2026-06-30")
MONTHS = tuple(str(m) for m in pd.period_range("2026-07", periods=12, freq="M"))
LABELS = {
    "u_joint": "Universal joint",
    "cv_joint_outboard": "Outboard CV joint",
    "cv_joint_inboard": "Inboard CV joint",
    "cv_boot_outboard": "Outboard CV boot",
    "cv_boot_inboard": "Inboard CV boot",
    "support_bearing": "Centre support bearing",
}
SHAPES = dict(zip(LABELS, (2.4, 2.1, 1.9, 2.8, 2.6, 1.7), strict=True))
SCALES = dict(zip(LABELS, (145e3, 165e3, 190e3, 118e3, 128e3, 175e3), strict=True))
DUTIES = {"delivery": 0.9, "highway": 1.25, "site": 0.7, "towing": 0.8}
LIFTS = (0.0, 50.0, 100.0)
DEPOTS = ("North yard", "Harbour", "Quarry road")
POLICIES = ("run_to_failure", "planned", "present_practice", "own_policy")
PRICE_GROWTH = 0.04


@dataclass(frozen=True)
class ExampleSettings:
    """The part of the fleet's settings that the workbook shows."""

    distance_unit: str = "km"
    currency: str = "EUR"
    service_interval: float = 15000.0
    labour_rate: float = 72.0
    downtime_cost: float = 38.0
    service_level: float = 0.95
    price_growth: float = PRICE_GROWTH
    spread_backlog_months: float = 6.0
    components: Mapping[str, Any] = field(
        default_factory=lambda: {
            c: SimpleNamespace(code=c, label=label, clock="km") for c, label in LABELS.items()
        }
    )
    defaults: tuple[str, ...] = ("downtime_cost", "service_level")


@dataclass(frozen=True)
class ExamplePlan:
    """Stands in for the plan that the tool computes."""

    tables: Mapping[str, pd.DataFrame]
    folder_name: str = "invented_fleet"
    as_of: pd.Timestamp = AS_OF
    settings: ExampleSettings = field(default_factory=ExampleSettings)
    model: Any = field(default_factory=lambda: SimpleNamespace(confidence=0.9, components={}))
    notes: tuple[str, ...] = (
        "No duty_log table: months are taken as equally hard work; seasons are not shown.",
        "Only 3 failures among 44 lives of slip_spline; a curve of its own needs 5. It is left out.",
        "=2+3 is a remark that begins like a formula and must stay text.",
    )
    months: tuple[str, ...] = MONTHS
    horizon: int = 12
    seed: int = 1
    fingerprint: str = "0123456789abcdef0123"
    backtest: Any = None
    why_no_backtest: str = ""


def build_costs() -> pd.DataFrame:
    """Costs of one replacement by component."""
    hours = (1.4, 2.6, 3.0, 1.8, 2.0, 1.9)
    price = (38.5, 142.0, 168.0, 31.9, 29.4, 74.0)
    frame = pd.DataFrame({"component": list(LABELS), "label": list(LABELS.values()), "part_price": price})
    frame["planned_hours"] = hours
    frame["planned_downtime_hours"] = 2.5
    frame["failed_hours"] = [h + 1.2 for h in hours]
    frame["failed_downtime_hours"] = (10.0, 12.0, 12.0, 4.0, 4.0, 9.0)
    frame["failed_extra"] = (180.0, 160.0, 160.0, 20.0, 20.0, 120.0)
    frame["worn_share"] = (0.2, 0.3, 0.3, 0.8, 0.8, 0.25)
    frame["source"] = ("fleet.toml", "fleet.toml", "default", "default", "default", "parts table")
    return frame


def unit_costs(costs: pd.DataFrame, *, labour_rate: float, downtime_cost: float) -> pd.DataFrame:
    """Cost of a planned replacement, of a failure on the road and of a failure on average, by component."""
    c = costs.set_index("component")
    planned = c["part_price"] + c["planned_hours"] * labour_rate + c["planned_downtime_hours"] * downtime_cost
    road = (
        c["part_price"]
        + c["failed_hours"] * labour_rate
        + c["failed_downtime_hours"] * downtime_cost
        + c["failed_extra"]
    )
    average = (1 - c["worn_share"]) * road + c["worn_share"] * planned
    return pd.DataFrame({"planned": planned, "road": road, "average": average, "worn": c["worn_share"]})


def _cells() -> pd.DataFrame:
    """Component x duty x lift, with the Weibull law of each."""
    index = pd.MultiIndex.from_product([LABELS, ["fleet", *DUTIES], LIFTS], names=["component", "duty", "lift"])
    frame = index.to_frame(index=False)
    frame["shape"] = frame["component"].map(SHAPES)
    worn = frame["lift"].map({0.0: 1.0, 50.0: 0.86, 100.0: 0.7})
    frame["scale"] = frame["component"].map(SCALES) * frame["duty"].map({"fleet": 0.95, **DUTIES}) * worn
    return frame


def build_intervals(costs: pd.DataFrame) -> pd.DataFrame:
    """Recommended intervals as the tool finds them at the example's costs, on one component with a cap."""
    frame = _cells()
    scale, shape = frame["scale"], frame["shape"]
    frame["failures"] = (1.2e6 / scale).round()
    frame["b10"] = scale * np.log(1 / 0.9) ** (1 / shape)
    frame["b10_lower"], frame["b10_upper"] = frame["b10"] * 0.88, frame["b10"] * 1.14
    frame["median"] = scale * np.log(2) ** (1 / shape)
    frame["mean"] = scale * gamma(1 + 1 / shape)
    frame["note"] = np.where(frame["lift"] == 100, "Few failures at this lift: borrows from the other lifts.", "")
    frame["cost_rate_interval"] = np.nan
    frame["cost_rate_run_to_failure"] = np.nan
    frame["yearly_running"] = 60_000.0
    frame["vehicles"] = (1 + np.arange(len(frame)) % 9).astype(float)
    rates = ExampleSettings()
    unit = unit_costs(costs, labour_rate=rates.labour_rate, downtime_cost=rates.downtime_cost)
    return add_intervals(frame, unit, service=rates.service_interval, caps={"u_joint": 0.25})


def build_curves() -> pd.DataFrame:
    """Survival curves with a band at the fleet's mix and in each duty."""
    pieces = []
    for cell in _cells().itertuples(index=False):
        distance = np.linspace(0, 2.2 * SCALES[str(cell.component)], 50)
        hazard = (distance / cell.scale) ** cell.shape
        pieces.append(
            pd.DataFrame(
                {
                    "component": cell.component,
                    "duty": cell.duty,
                    "lift": cell.lift,
                    "distance": distance,
                    "survival": np.exp(-hazard),
                    "lower": np.exp(-hazard * 1.2),
                    "upper": np.exp(-hazard / 1.2),
                }
            )
        )
    return pd.concat(pieces, ignore_index=True)


def build_record_curves(rng: np.random.Generator) -> tuple[pd.DataFrame, pd.DataFrame]:
    """The record without a model: survival by component, and mean cumulative replacements."""
    survival, mcf = [], []
    for code in LABELS:
        age = np.sort(SCALES[code] * 0.92 * rng.weibull(SHAPES[code], 90))
        left = 1 - np.arange(1, 91) / 95
        survival.append(
            pd.DataFrame({"component": code, "distance": age, "survival": left, "at_risk": 90 - np.arange(90)})
        )
        distance = np.sort(rng.uniform(2e3, 420e3, 200))
        mean = (distance / SCALES[code]) ** 1.15
        mcf.append(
            pd.DataFrame(
                {
                    "component": code,
                    "distance": distance,
                    "at_risk": np.round(400 * (1 - distance / 430e3)),
                    "mcf": mean,
                    "se": 0.03 + 0.08 * mean,
                }
            )
        )
    return pd.concat(survival, ignore_index=True), pd.concat(mcf, ignore_index=True)


def build_due(rng: np.random.Generator, *, rows: int = 2500) -> pd.DataFrame:
    """Fitted parts; unit names with leading zeros and one that begins like a formula."""
    units = [f"{i:06d}" for i in range(1, 220)] + ["=1+1"]
    code = rng.choice(list(LABELS), rows)
    unit = rng.choice(units, rows)
    lift = rng.choice(LIFTS, rows, p=(0.75, 0.15, 0.1))
    scale = np.array([SCALES[c] for c in code])
    shape = np.array([SHAPES[c] for c in code])
    age = rng.uniform(0, 1.1, rows) * scale

    def fails_within(distance: float) -> np.ndarray:
        return 1 - np.exp((age / scale) ** shape - ((age + distance) / scale) ** shape)

    median = scale * ((age / scale) ** shape + np.log(2)) ** (1 / shape) - age
    due_date = AS_OF + pd.to_timedelta(np.round(np.maximum(median - 30000, 0) / 110), unit="D")
    now, soon = due_date <= AS_OF, due_date <= AS_OF + pd.Timedelta(days=60)
    action = np.select([now, soon], ["replace now", "replace at next service"], "no action yet")
    frame = pd.DataFrame(
        {
            "unit": unit,
            "position": [f"{c.split('_')[0]}.{n}" for c, n in zip(code, rng.integers(1, 5, rows), strict=True)],
            "component": code,
            "part_number": [f"PN-{list(LABELS).index(c):02d}{i % 4 + 1}" for i, c in enumerate(code)],
            "depot": rng.choice(DEPOTS, rows),
            "age": age,
            "fail_probability": fails_within(40000),
            "remaining_median": median,
            "due_date": due_date,
            "action": action,
            "vehicle_class": rng.choice(["crew truck", "van", "tipper"], rows),
            "duty": rng.choice(list(DUTIES), rows),
            "lift": lift,
            "remaining_p10": median * 0.25,
            "equivalent_age": age * np.where(lift > 0, 1.2, 1.0),
            "reason": np.where(now, "Wear of 131,000 km is past the interval of 120,000 km.", "Nothing special."),
            "age_known": rng.random(rows) < 0.8,
            "next_service_probability": fails_within(15000),
            "money_at_stake": fails_within(40000) * 480.0,
        }
    )
    return frame.sort_values(["due_date", "unit", "position"], kind="stable", ignore_index=True)


def build_forecast(rng: np.random.Generator) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Demand by part, depot and month, and the totals with their own low and high."""
    parts = [(f"PN-{i % 6:02d}{i // 6 + 1}", list(LABELS)[i % 6]) for i in range(25)]
    index = [(p, c, d, m) for p, c in parts for d in DEPOTS for m in MONTHS]
    frame = pd.DataFrame(index, columns=["part_number", "component", "depot", "month"])
    frame["mean"] = rng.gamma(2.0, 0.25, len(frame))
    spread = 1.2816 * np.sqrt(frame["mean"])
    frame["p10"] = np.floor((frame["mean"] - spread).clip(lower=0))
    frame["p50"] = np.round(frame["mean"])
    frame["p90"] = np.ceil(frame["mean"] + spread)
    keys = ["part_number", "component", "depot", "month"]
    groups = {
        "part": ["part_number", "component", "depot"],
        "component": ["component"],
        "month": ["month"],
        "all": [],
    }
    totals = []
    for kept in groups.values():
        sums = frame.assign(**{k: "all" for k in keys if k not in kept}).groupby(keys, as_index=False)["mean"].sum()
        totals.append(sums)
    total = pd.concat(totals, ignore_index=True)
    total["p10"] = np.floor((total["mean"] - 1.5 * np.sqrt(total["mean"])).clip(lower=0))
    total["p50"] = np.round(total["mean"])
    total["p90"] = np.ceil(total["mean"] + 1.5 * np.sqrt(total["mean"]))
    return frame, total


def build_events(rng: np.random.Generator) -> pd.DataFrame:
    """Expected failures, finds and planned replacements by policy, component and month."""
    index = pd.MultiIndex.from_product([POLICIES[:3], LABELS, MONTHS], names=["policy", "component", "month"])
    frame = index.to_frame(index=False)
    level = frame["policy"].map({"run_to_failure": 1.0, "planned": 0.35, "present_practice": 0.8})
    wave = 1 + 0.1 * np.sin(np.arange(len(frame)) * 0.52)
    frame["failures"] = 4.0 * level * wave * rng.uniform(0.8, 1.2, len(frame))
    frame["condition_finds"] = 2.0 * level * rng.uniform(0.8, 1.2, len(frame))
    planned = frame["policy"].map({"run_to_failure": 0.0, "planned": 4.5, "present_practice": 1.0})
    frame["planned"] = planned * rng.uniform(0.8, 1.2, len(frame))
    # Without draws, so that the other tables stay as they were.
    own = frame[frame["policy"] == "planned"].assign(policy="own_policy")
    own[["failures", "planned"]] *= (1.3, 0.7)
    frame = pd.concat([frame, own], ignore_index=True)
    frame["years_ahead"] = frame["month"].map({month: (i + 0.5) / 12 for i, month in enumerate(MONTHS)})
    return frame


def build_budget(events: pd.DataFrame, costs: pd.DataFrame) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Monthly budget and its totals over the horizon, at the rates of the example's settings."""
    rates = ExampleSettings()
    c = costs.set_index("component").fillna(0.0).reindex(events["component"]).reset_index(drop=True)
    mild = events["condition_finds"] + events["planned"]
    money = events[["policy", "month"]].copy()
    money["parts"] = (events["failures"] + mild) * c["part_price"]
    money["labour"] = (events["failures"] * c["failed_hours"] + mild * c["planned_hours"]) * rates.labour_rate
    money["downtime"] = (
        events["failures"] * c["failed_downtime_hours"] + mild * c["planned_downtime_hours"]
    ) * rates.downtime_cost + events["failures"] * c["failed_extra"]
    heads = ["parts", "labour", "downtime"]
    money[heads] = money[heads].mul((1.0 + rates.price_growth) ** events["years_ahead"], axis=0)
    monthly = money.groupby(["policy", "month"], as_index=False).sum()
    monthly["total"] = monthly[["parts", "labour", "downtime"]].sum(axis=1)
    monthly["p10"], monthly["p90"] = monthly["total"] * 0.82, monthly["total"] * 1.2
    whole = monthly.groupby("policy", as_index=False)["total"].sum()
    whole["p10"], whole["p90"] = whole["total"] * 0.92, whole["total"] * 1.09
    base = float(whole.loc[whole["policy"] == "run_to_failure", "total"].iloc[0])
    whole["saving"] = base - whole["total"]
    whole["saving_p10"], whole["saving_p90"] = whole["saving"] - 4000.0, whole["saving"] + 5000.0
    whole.loc[whole["policy"] == "run_to_failure", ["saving", "saving_p10", "saving_p90"]] = 0.0
    whole["chance_saving"] = np.where(whole["policy"] == "run_to_failure", 0.0, 0.97)
    return monthly, whole


def build_compare() -> pd.DataFrame:
    """Raised against factory height, by component and lift group."""
    rows = pd.DataFrame([(c, g) for c in LABELS for g in ("1-60 mm", "61-120 mm")], columns=["component", "lift_group"])
    high = rows["lift_group"] == "61-120 mm"
    rows["duty_mix"] = "fleet"
    rows["lives"], rows["failures"] = np.where(high, 96, 151), np.where(high, 31, 42)
    offset = np.repeat([0.0, -0.06, 0.05, -0.02, 0.0, 0.16], 2)
    rows["life_ratio"] = np.where(high, 0.7, 0.86) + offset
    rows["lower"], rows["upper"] = rows["life_ratio"] * 0.84, rows["life_ratio"] * 1.19
    rows["p_value"] = np.where(high, 0.004, 0.09)
    rows["crude_ratio"] = rows["life_ratio"] - 0.09
    rows["median_factory"] = rows["component"].map(SCALES) * 0.85
    rows["median_raised"] = rows["median_factory"] * rows["life_ratio"]
    rows["extra_cost_per_1000"] = 2.5 * (1 / rows["life_ratio"] - 1)
    rows["extra_cost_per_1000_lower"], rows["extra_cost_per_1000_upper"] = -0.2, 2.4
    rows["mean_limit"] = (rows["median_factory"] * 1.5).round(-4)
    for side, share in (("factory", 1.0), ("raised", 0.8)):
        rows[f"mean_{side}"] = rows["median_factory"] * share
        for name in ("mean", "median"):
            rows[f"{name}_{side}_lower"] = rows[f"{name}_{side}"] * 0.9
            rows[f"{name}_{side}_upper"] = rows[f"{name}_{side}"] * 1.1
    rows["why"] = np.where(high, [f"Crude {x:.2f}: they do the harder work." for x in rows["crude_ratio"]], "")
    rows["note"] = np.where(high, "The groups overlap in two of four duties only; read with care.", "")
    rows.loc[11, ["life_ratio", "lower", "upper", "p_value"]] = np.nan
    return rows


def build_angles() -> pd.DataFrame:
    """Joint angles by class, position and lift."""
    positions = {
        "rear.joint_front": "u_joint",
        "rear.joint_centre": "u_joint",
        "rear.joint_rear": "u_joint",
        "left.outboard_joint": "cv_joint_outboard",
        "left.inboard_joint": "cv_joint_inboard",
    }
    rows = [
        (k, "rear_two_piece+front_half_shafts", p, c, lift)
        for k in ("crew truck", "van", "tipper")
        for p, c in positions.items()
        for lift in LIFTS
    ]
    frame = pd.DataFrame(rows, columns=["vehicle_class", "driveline", "position", "component", "lift"])
    frame["angle"] = 2.0 + frame["lift"] * 0.055
    radians = np.radians(frame["angle"])
    frame["ripple"] = 1 / np.cos(radians) - np.cos(radians)
    frame["remark"] = np.where(frame["angle"] > 5, "above the usual 2 to 4 deg", "usual")
    return frame


def build_set_aside() -> pd.DataFrame:
    """Rows not used as given, among them hostile text and an oversized cell."""
    rows = [
        ("repairs.csv", 218, "odometer", "1O4,500", "is not a number", "the row was set aside", "repairs", False),
        ("repairs.csv", 219, "text", HOSTILE, "begins like a formula", "kept as text", "repairs", True),
        ("repairs.csv", 220, "text", "@SUM(A1:A9)", "begins like a formula", "kept as text", "repairs", True),
        ("repairs.csv", 221, "text", "x" * 40000, "is longer than a cell", "cut for show only", "repairs", True),
        ("readings.csv", 77, "date", "31.02.2024", "is no date", "the row was set aside", "readings", False),
        ("readings.csv", 78, "odometer", "-5", "is negative", "the row was set aside", "readings", False),
    ]
    rows += [
        ("repairs.csv", row, "position", "", f"{2 + row % 3} positions possible", "waits for review", "repairs", False)
        for row in range(300, 420)
    ]
    frame = pd.DataFrame(rows, columns=["file", "row", "column", "value", "problem", "action", "table", "used"])
    return frame.assign(waits=frame["action"] == "waits for review")


def _small_tables() -> dict[str, pd.DataFrame]:
    return {
        "reconciliation": pd.DataFrame(
            {
                "file": ["repairs.csv", "readings.csv", "vehicles.csv", "parts.csv"],
                "table": ["repairs", "readings", "vehicles", "parts"],
                "rows_read": [9120, 18432, 220, 25],
                "used_as_given": [8994, 18430, 220, 25],
                "used_repaired": [3, 0, 0, 0],
                "set_aside": [3, 2, 0, 0],
                "waiting_for_review": [120, 0, 0, 0],
            }
        ),
        "assumptions": pd.DataFrame(
            {
                "name": ["service_interval", "service_level", "shape of slip_spline", "as_of"],
                "value": [15000.0, 0.95, np.nan, "2026-06-30"],
                "unit": ["km", "", "", ""],
                "source": ["fleet.toml", "default", "default", "default"],
                "meaning": [
                    "Distance between services; recommended intervals are whole multiples of it.",
                    "Chance that stock lasts through one lead time.",
                    "Too few failures: no curve is fitted.",
                    "The newest date in the records.",
                ],
            }
        ),
        "fits": pd.DataFrame(
            {
                "component": list(LABELS),
                "family": "Weibull",
                "parameter": "shape",
                "estimate": list(SHAPES.values()),
                "lower": [s * 0.9 for s in SHAPES.values()],
                "upper": [s * 1.1 for s in SHAPES.values()],
                "lives": 640,
                "failures": 180,
                "note": "Own curve.",
            }
        ),
    }


def build_example_plan() -> ExamplePlan:
    """The whole example; the same on every call."""
    rng = np.random.default_rng(20260630)
    costs, events = build_costs(), build_events(rng)
    forecast, forecast_total = build_forecast(rng)
    budget, budget_year = build_budget(events, costs)
    nonparametric, mcf = build_record_curves(rng)
    due = build_due(rng)
    stock = build_stock(rng, components=list(LABELS), depots=DEPOTS, months=MONTHS)
    return ExamplePlan(
        tables={
            "due": due,
            # Draws of its own: the other tables stay as they were.
            "visits": build_visits(
                np.random.default_rng(77), as_of=AS_OF, depots=DEPOTS, components=list(LABELS)
            ),
            "group_policies": build_group_policies(),
            "intervals": build_intervals(costs),
            "curves": build_curves(),
            "laws": build_laws(_cells()),
            "nonparametric": nonparametric,
            "mcf": mcf,
            "compare": build_compare(),
            **build_comparison_tables(LABELS, hostile=HOSTILE),
            "angles": build_angles(),
            "forecast": forecast,
            "forecast_total": forecast_total,
            "stock": stock,
            "lead_demand": build_lead_demand(stock),
            "events": events,
            "costs": costs,
            "budget": budget,
            "budget_year": budget_year,
            "budget_saving": build_saving(budget_year),
            "budget_transition": build_transition(budget_year),
            "fleet_ahead": build_fleet_ahead(MONTHS, DEPOTS),
            "set_aside": build_set_aside(),
            "review": build_review(build_questions()),
            **build_ending_tables(SCALES, hostile=HOSTILE),
            **build_ride_height_tables(),
            **_small_tables(),
        }
    )


def without_tables(plan: ExamplePlan, *names: str) -> ExamplePlan:
    """The plan with these tables emptied, their columns kept."""
    tables = {k: v.iloc[:0] if k in names else v for k, v in plan.tables.items()}
    return replace(plan, tables=tables)
