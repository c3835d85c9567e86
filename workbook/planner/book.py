"""What every sheet of one planner workbook shares: the plan, its words and units, the pages, the inputs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import pandas as pd

from wearmodel.curve_laws import LAW_COVARIANCES
from workbook.planner.cell_text import clean_text
from workbook.planner.forecast_and_record import RECORD_SHEET
from workbook.planner.formats import Formats
from workbook.planner.inputs import COST_FIELDS, RATE_LABELS, Inputs, build_inputs
from workbook.planner.page import Page
from workbook.planner.typed import LEAD_TIME, TYPED_SHEET, Carried, TypedIn, carry, given_inputs
from workbook.planner.words import Words

if TYPE_CHECKING:
    from wearmodel.plan import Plan

__all__ = ["SHEETS", "TABLE_COLUMNS", "Book", "build_book"]

SHEETS = (
    "Read first",
    "Overview",
    "Due list",
    "Visits",
    "Intervals",
    "Life curves",
    "How lives end",
    "Raised and factory",
    "Part makes",
    "Ride height and angles",
    "Parts forecast",
    "Stock",
    "Budget",
    RECORD_SHEET,
    "Assumptions",
    "Mean replacements",
    "Model checks",
    "Set aside",
    "To settle",
    TYPED_SHEET,
    "Functions",
    "Interval workings",
    "Lead-time demand",
    "Curve laws",
    "Chart data",
    "Lists",
)

TABLE_COLUMNS: Mapping[str, tuple[str, ...]] = {
    "due": (
        *("unit", "position", "component", "part_number", "depot", "age", "fail_probability"),
        *("remaining_median", "due_date", "action", "vehicle_class", "duty", "lift", "remaining_p10"),
        *("reason", "age_known", "next_service_probability", "equivalent_age", "vehicle_rate"),
        "money_at_stake",
    ),
    "visits": (
        *("unit", "depot", "date", "next_service", "action", "main_component", "positions", "part_numbers", "count"),
        *("hours", "downtime_hours", "parts_cost", "labour_cost", "downtime_cost", "total", "saving"),
        *("chance_saving", "sure_share", "money_at_stake", "reason"),
    ),
    "group_policies": (
        *("vehicle_class", "driveline", "group", "policy", "cost_per_1000", "difference_per_1000", "difference_se"),
        *("road_failures_per_vehicle_year", "visits_per_vehicle_year", "best"),
    ),
    "intervals": (
        *("component", "duty", "lift", "failures", "b10", "b10_lower", "median", "mean", "interval"),
        *("interval_low", "interval_high", "advice", "shape", "scale", "b10_upper", "note"),
        *("frailty_variance", "interval_years", "chance_dearer", "yearly_running", "road_failures_cap"),
        *("interval_uncapped", "vehicles"),
    ),
    "inspection_plan": (
        *("component", "found", "failed", "looks_every", "mean_delay", "delay_lower", "delay_upper", "delay_source"),
        *("best_every", "best_every_downtime", "lost_half", "lost_now", "lost_double", "sentence"),
    ),
    "curves": ("component", "duty", "lift", "distance", "survival", "lower", "upper"),
    "nonparametric": ("component", "distance", "survival", "lower", "upper", "at_risk"),
    "endings": ("component", "ended", "distance", "incidence", "lower", "upper"),
    "ending_counts": ("component", "ended", "lives", "left_out"),
    "comebacks": (
        *("component", "part_number", "fittings", "comebacks", "share", "lower", "upper", "early_failures"),
        *("expected_early", "window_days", "sentence"),
    ),
    "clocks": (
        *("component", "clock", "difference", "chosen", "sentence", "failures", "z", "b10_years", "median_years"),
    ),
    "fits": ("component", "family", "parameter", "estimate", "lower", "upper", "lives", "failures", "note"),
    "compare": (
        *("component", "lift_group", "duty_mix", "lives", "failures", "life_ratio", "lower", "upper"),
        *("p_value", "median_factory", "median_raised", "extra_cost_per_1000", "crude_ratio", "note"),
        *("median_factory_lower", "median_factory_upper", "median_raised_lower", "median_raised_upper"),
        *("mean_limit", "mean_factory", "mean_factory_lower", "mean_factory_upper"),
        *("mean_raised", "mean_raised_lower", "mean_raised_upper"),
        *("extra_cost_per_1000_lower", "extra_cost_per_1000_upper", "why"),
    ),
    "compare_duty": (
        *("component", "lift_group", "duty", "lives", "failures", "life_ratio", "lower", "upper"),
        *("median_factory", "median_raised"),
    ),
    "compare_weighted": (
        *("component", "life_ratio", "lower", "upper", "failures_raised", "failures_factory", "effective_raised"),
        *("effective_factory", "share_truncated", "share_left_out", "note"),
    ),
    "balance": (
        *("component", "covariate", "level", "share_raised", "share_factory", "weighted_raised", "weighted_factory"),
        *("difference", "difference_weighted"),
    ),
    "overlap": ("duty", "share_raised", "share_factory", "side", "sentence"),
    "dose_response": (
        *("component", "over", "low", "high", "middle", "lives", "failures", "life_ratio", "lower", "upper"),
        *("steps_ratio", "steps_lower", "steps_upper", "p_value", "note"),
    ),
    "compare_makes": (
        *("component", "make", "build", "against", "vehicle_classes", "lives", "failures", "life_ratio", "lower"),
        *("upper", "crude_ratio", "position_price", "cost_per_1000", "extra_cost_per_1000"),
        *("extra_cost_per_1000_lower", "extra_cost_per_1000_upper", "chance_cheaper", "sentence"),
    ),
    "return_to_factory": (
        *("component", "vehicles", "parts", "distance_year", "cost_year_raised", "cost_year_factory", "saving"),
        *("p10", "p90", "chance_saving"),
    ),
    "angles": (
        *("vehicle_class", "driveline", "position", "component", "lift", "angle", "ripple", "remark"),
    ),
    "ride_heights": (
        *("vehicle_class", "driveline", "position", "component", "lift", "angle", "ripple", "residual_ripple", "flag"),
        *("limit", "line_remark", "life_ratio", "lower", "upper", "bearing_ratio", "record"),
    ),
    "ride_height_limits": ("vehicle_class", "sentence", "life_sentence"),
    "shaft_checks": (
        *("vehicle_class", "line", "shaft", "length", "outer_diameter", "wall", "material", "critical_speed"),
        *("top_speed", "speed_share", "torsional_stress", "twist", "remark"),
    ),
    "forecast": ("part_number", "component", "depot", "month", "mean", "p10", "p50", "p90"),
    "forecast_total": ("part_number", "component", "depot", "month", "mean", "p10", "p50", "p90"),
    "stock": (
        *("part_number", "component", "depot", "on_hand", "on_order", "reorder_point", "order_up_to"),
        *("order_now", "service_level", "unit_price", "lead_time_days", "mean_lead_demand", "shortage_date"),
        *("pack", "held_of_others"),
        *("fill_rate", "horizon_p90", "dead_stock", "dead_stock_value"),
    ),
    "lead_demand": ("part_number", "depot", "lead_time_days", "mean", "pieces", "chance"),
    "laws": ("component", "duty", "lift", "shape", "scale", "frailty_variance", *LAW_COVARIANCES),
    "budget": ("policy", "month", "parts", "labour", "downtime", "total", "p10", "p90"),
    "budget_year": (
        "policy", "total", "p10", "p90", "saving", "saving_p10", "saving_p90", "chance_saving", "long_run_year",
    ),
    "budget_saving": ("policy", "against", "mean", "p10", "p50", "p90", "chance_saving"),
    "budget_transition": (
        *("policy", "months", "backlog", "backlog_cost", "spread_months", "first_year", "first_year_p10"),
        *("first_year_p90", "long_run_year", "above_long_run", "years_to_recover"),
    ),
    "fleet_ahead": ("month", "vehicle_class", "depot", "vehicles", "p10", "p90", "joins", "leaves"),
    "events": ("policy", "component", "month", "failures", "condition_finds", "planned", "years_ahead"),
    "costs": ("component", "label", "source", *COST_FIELDS),
    "mcf": ("component", "distance", "at_risk", "mcf", "se"),
    "alternatives": (
        *("component", "analysis", "failures", "shape", "b10", "median", "frailty_variance", "log_likelihood"),
    ),
    "model_checks": ("component", "check", "result", "sentence"),
    "free_curve": (
        *("component", "failures", "deviance", "degrees", "deviance_per_degree", "p_value", "distance"),
        *("survival_free", "survival_weibull", "difference", "lower", "upper"),
    ),
    "calibration": ("component", "tenth", "lives", "expected", "seen", "lower", "upper"),
    "residuals": ("component", "residual", "cumulative_hazard", "lower", "upper", "lives"),
    "out_of_time": ("component", "since", "lives", "expected", "lower", "upper", "seen", "brier", "brier_alike"),
    "influence": ("component", "unit", "failures", "lives", "b10_change", "height_change"),
    "moved_curves": (
        *("component", "quantity", "before", "now", "change", "lower", "upper", "chance", "chance_adjusted", "result"),
        *("failures_before", "failures_now", "earlier_as_of", "sentence"),
    ),
    "early_failures": (
        *("component", "group", "value", "fittings", "early_failures", "expected", "chance", "chance_adjusted"),
        *("still_fitted", "result", "sentence"),
    ),
    "reconciliation": (
        *("file", "table", "rows_read", "used_as_given", "used_repaired", "set_aside", "waiting_for_review"),
    ),
    "set_aside": ("file", "row", "column", "value", "problem", "action", "table", "used", "waits"),
    "assumptions": ("name", "value", "unit", "source", "meaning"),
    "review": (
        *("key", "kind", "file", "row", "rows", "unit", "date", "order", "text", "problem", "choices", "work"),
        *("component", "position", "reason", "odometer", "probability", "table"),
    ),
}

_TEXT_COLUMNS = frozenset(
    {
        *("unit", "position", "component", "part_number", "depot", "vehicle_class", "driveline", "duty", "month"),
        *("policy", "action", "reason", "advice", "note", "remark", "lift_group", "duty_mix", "family", "parameter"),
        *("label", "source", "file", "table", "column", "problem", "name", "meaning", "shortage_date"),
        *("key", "kind", "date", "order", "text", "choices", "work", "odometer", "ended", "clock", "sentence"),
        *("check", "result", "analysis", "flag", "line_remark", "life_sentence", "record", "line", "material"),
        *("main_component", "positions", "part_numbers"),
        *("group", "quantity", "earlier_as_of"),
        *("why", "covariate", "level", "side", "over", "make", "build", "against", "vehicle_classes"),
    }
)
_DATE_COLUMNS = frozenset({"due_date", "since", "next_service"})
_MIXED_COLUMNS = frozenset({"value", "age_known", "used", "chosen", "best"})


@dataclass(frozen=True)
class Book:
    """One planner workbook in the making.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        The workbook.
    plan : Plan
        What is shown.
    formats : Formats
        Cell formats.
    words : Words
        Labels and units.
    inputs : Inputs
        Editable costs.
    pages : mapping of str to Page
        By sheet name.
    carried : Carried
        What a person typed into an earlier workbook.
    given : mapping of str to float
        Input cells as the fleet folder gives them, by key.
    input_headings : dict of str to str
        Headings of the cost fields, set when they are written.
    tables_folder : str
        Folder that all result tables are written to beside the workbook; empty where they are not.
    """

    workbook: Any
    plan: Plan
    formats: Formats
    words: Words
    inputs: Inputs
    pages: Mapping[str, Page]
    carried: Carried = field(default_factory=Carried)
    given: Mapping[str, float] = field(default_factory=dict)
    input_headings: dict[str, str] = field(default_factory=dict)
    tables_folder: str = ""

    def table(self, name: str) -> pd.DataFrame:
        """A result table with all its columns; no rows when the plan has none of it."""
        return _complete(self.plan.tables, name)

    @property
    def as_of(self) -> str:
        """As-of date in ISO form."""
        return str(self.plan.as_of.date())

    @property
    def span(self) -> str:
        """The horizon in words."""
        return f"{self.plan.horizon} months"

    @property
    def footer(self) -> str:
        """Page footer: fleet and date, sheet, page number."""
        folder = clean_text(self.plan.folder_name)[:60].replace("&", "&&")
        return f"&L{folder}, as of {self.as_of}&C&A&RPage &P of &N"

    @property
    def confidence(self) -> str:
        """Confidence of the bands of the life model, in words."""
        return f"{self.plan.model.confidence:.0%}"


def _complete(tables: Mapping[str, pd.DataFrame], name: str) -> pd.DataFrame:
    """All declared columns with their kind: text without gaps, dates, numbers with NaN for nothing."""
    frame = tables.get(name, pd.DataFrame()).reindex(columns=list(TABLE_COLUMNS[name])).reset_index(drop=True)
    for column in TABLE_COLUMNS[name]:
        if column in _TEXT_COLUMNS:
            frame[column] = pd.Series([clean_text(v) for v in frame[column]], dtype=object)
        elif column in _DATE_COLUMNS:
            frame[column] = pd.to_datetime(frame[column], errors="coerce")
        elif column not in _MIXED_COLUMNS:
            frame[column] = pd.to_numeric(frame[column], errors="coerce").astype(float)
    return frame


def _words(plan: Plan) -> Words:
    costs = _complete(plan.tables, "costs")
    labels = dict(zip(costs["component"], costs["label"], strict=True))
    labels |= {code: clean_text(spec.label) for code, spec in plan.settings.components.items()}
    return Words(
        distance=clean_text(plan.settings.distance_unit),
        currency=clean_text(plan.settings.currency),
        labels=labels,
    )


def _with_typed(costs: pd.DataFrame, values: Mapping[str, float]) -> pd.DataFrame:
    """The costs with what a person typed."""
    out = costs.copy()
    for key, value in values.items():
        name, _, code = key.partition(" ")
        if name in COST_FIELDS:
            out.loc[out["component"] == code, name] = value
            out.loc[out["component"] == code, "source"] += ", typed in"
    return out


def build_book(
    workbook: Any, plan: Plan, *, with_functions: bool, typed: TypedIn | None = None, tables_folder: str = ""
) -> Book:
    """Book with one empty page a sheet, in order.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        A new workbook.
    plan : Plan
        What will be shown.
    with_functions : bool
        Whether there is a sheet on the workbook functions.
    typed : TypedIn, optional
        What a person typed into an earlier workbook.
    tables_folder : str
        Folder of the result tables; empty where they are not written.

    Returns
    -------
    Book
    """
    formats = Formats(workbook)
    sheets = [name for name in SHEETS if with_functions or name != "Functions"]
    costs = _complete(plan.tables, "costs")
    rates = {name: float(getattr(plan.settings, name)) for name in RATE_LABELS}
    parts = _complete(plan.tables, "stock").drop_duplicates("part_number")
    lead_times = dict(zip(parts["part_number"], parts["lead_time_days"], strict=True))
    given = given_inputs(costs, lead_times, **rates)
    carried = carry(typed or TypedIn(), given)
    rates = {name: carried.values.get(name, value) for name, value in rates.items()}
    lead_times = {name: carried.values.get(f"{LEAD_TIME} {name}", days) for name, days in lead_times.items()}
    inputs = build_inputs(_with_typed(costs, carried.values), **rates, lead_times=lead_times)
    pages = {name: Page(workbook.add_worksheet(name), formats) for name in sheets}
    return Book(
        workbook=workbook, plan=plan, formats=formats, words=_words(plan), inputs=inputs, pages=pages,
        carried=carried, given=given, tables_folder=clean_text(tables_folder),
    )  # fmt: skip
