"""The plan: every result table of a fleet, from clean tables to budget."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import pandas as pd

from wearmodel.curve_laws import build_laws
from wearmodel.findings import build_reconciliation, build_set_aside
from wearmodel.fleet_clocks import ClockedFleet, settle_on_clocks
from wearmodel.fleet_model import CodedFleet, adopt_model, fit_fleet
from wearmodel.forecast_tables import build_forecast_tables, fleet_notes
from wearmodel.frame_rows import frame_rows
from wearmodel.height_comparison import build_comparison_tables, build_return_table, comparison_notes
from wearmodel.history.greasing import GREASED
from wearmodel.history.histories import Histories, build_histories
from wearmodel.intake.fleet import Fleet
from wearmodel.intake.fleet_toml.settings import FleetSettings
from wearmodel.intake.values.plain_text import plain
from wearmodel.look_ahead import Ahead, group_terms, look_ahead, visit_terms
from wearmodel.model_checks import build_check_tables
from wearmodel.model_drift import build_drift_tables
from wearmodel.plan_tables import (
    build_assumptions,
    build_cells,
    build_curves,
    build_ending_tables,
    build_fits,
    build_mcf,
    build_nonparametric,
    build_pieces,
)
from wearmodel.policy.due import assess_parts, plan_due
from wearmodel.policy.fitted import build_unmodelled_parts
from wearmodel.policy.groups import compare_groups
from wearmodel.policy.inspection_plan import plan_inspections
from wearmodel.policy.intervals import plan_intervals
from wearmodel.policy.joint_angles import build_angles, find_places
from wearmodel.policy.ride_height_limits import build_ride_height_limits
from wearmodel.policy.ride_heights import build_heights_seen, build_ride_heights, lift_steps
from wearmodel.policy.shaft_checks import build_shaft_checks
from wearmodel.policy.visits import plan_visits
from wearmodel.policy.yearly_running import add_yearly_running
from wearmodel.questions import build_review
from wearmodel.survival.alternatives import build_alternatives
from wearmodel.survival.model import LifeModel

if TYPE_CHECKING:
    from wearmodel.backtest import Backtest

__all__ = ["RESULT_TABLES", "Plan", "build_fit_tables", "build_plan"]

#: Tables written with `--tables`, in this order.
RESULT_TABLES = (
    "lives", "fits", "curves", "intervals", "due", "compare", "forecast", "stock", "budget", "set_aside",
    "forecast_total", "budget_year", "events", "costs", "nonparametric", "mcf", "angles", "reconciliation",
    "review", "duty_groups", "assumptions", "alternatives", "endings", "ending_counts", "comebacks", "clocks",
    "model_checks", "calibration", "residuals", "out_of_time", "influence", "inspection_plan", "compare_duty",
    "free_curve", "ride_heights", "ride_height_limits", "shaft_checks",
    "visits", "visit_parts", "group_policies",
    "moved_curves", "early_failures",
    "compare_weighted", "balance", "overlap", "dose_response", "compare_makes", "return_to_factory",
    "budget_saving", "budget_transition", "fleet_ahead", "stock_pooling",
    "lead_demand", "laws",
)  # fmt: skip

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Plan:
    """Everything `wearmodel plan` found out.

    Parameters
    ----------
    folder_name : str
        Name of the fleet folder.
    as_of : pandas.Timestamp
        End of the record.
    settings : FleetSettings
        What fleet.toml says.
    model : LifeModel
        Life models.
    tables : mapping of str to pandas.DataFrame
        Result tables by name.
    notes : tuple of str
        What could not be answered and why, and warnings.
    months : tuple of str
        Months of the forecast.
    horizon : int
        Number of months.
    seed : int
        Seed of every draw.
    fingerprint : str
        Of the lives the plan was made from: the same record gives the same.
    backtest : Backtest, optional
        Forecasts from earlier days beside what came, where they were made.
    why_no_backtest : str
        Why they could not be.
    """

    folder_name: str
    as_of: pd.Timestamp
    settings: FleetSettings
    model: LifeModel
    tables: Mapping[str, pd.DataFrame]
    notes: tuple[str, ...]
    months: tuple[str, ...]
    horizon: int
    seed: int
    fingerprint: str = ""
    backtest: "Backtest | None" = None
    why_no_backtest: str = ""


def _quiet(stage: str) -> None:
    """No progress shown."""


def _record_tables(fleet: Fleet, histories: Histories, coded: CodedFleet) -> dict[str, pd.DataFrame]:
    """Tables that show the record itself."""
    set_aside = build_set_aside([*fleet.findings, *histories.findings])
    return {
        "lives": coded.lives_table,
        "set_aside": set_aside,
        "reconciliation": build_reconciliation(fleet.counts, set_aside),
        "review": build_review([*fleet.questions, *histories.questions]),
        "duty_groups": fleet.duty_groups,
        "nonparametric": build_nonparametric(histories.lives),
        "mcf": build_mcf(histories, coded.own_lines),
        "costs": coded.costs,
    }


def build_fit_tables(
    fleet: Fleet,
    clocked: ClockedFleet,
    model: LifeModel,
    *,
    checks: bool = True,
    earlier: LifeModel | None = None,
    earlier_name: str = "",
) -> dict[str, pd.DataFrame]:
    """Tables of the fit stage alone.

    Parameters
    ----------
    fleet, clocked, model
        Outcome of the earlier stages.
    checks : bool
        Whether to check the models.
    earlier : LifeModel, optional
        An earlier model of the fleet, to tell which curves moved.
    earlier_name : str
        How to call its file in messages.

    Returns
    -------
    dict of str to pandas.DataFrame
        Tables by name.
    """
    histories, coded = clocked.settled.histories, clocked.settled.coded
    return _record_tables(fleet, histories, coded) | {
        "clocks": clocked.clocks,
        "fits": build_fits(model),
        "curves": build_curves(model, coded.levels),
        "laws": build_laws(model, coded.levels),
        "alternatives": build_alternatives(model, coded.coded),
        **build_ending_tables(fleet, histories, coded, model),
        **(build_check_tables(fleet, histories, coded, model) if checks else {}),
        **build_drift_tables(histories, coded, model, earlier=earlier, earlier_name=earlier_name),
    }


def _notes(
    fleet: Fleet,
    histories: Histories,
    coded: CodedFleet,
    model: LifeModel,
    tables: Mapping[str, pd.DataFrame],
) -> tuple[str, ...]:
    """What the plan cannot answer, in plain sentences."""
    notes = list(fleet.notes)
    for code in coded.coded:
        own = model.components.get(code)
        if own is None:
            notes.append(
                f"{code}: no life with a known fitting date was seen, so there is no curve; the first replacements "
                "on record will start one."
            )
        elif own.basis != "fitted" or not own.converged:
            notes.append(f"{code}: {own.note}")
        clock = fleet.settings.components[code].clock
        if own is not None and own.ages_by == "hours":
            notes.append(
                f"{code} ages by engine hours rather than by distance (sheet How lives end): its lives are told as the "
                f"distance that the fleet runs in them on average, {own.hour_counts:,.1f} {model.distance_unit} an "
                "hour; due dates and forecasts go by each vehicle's own hours."
            )
        elif own is not None and own.day_counts > 0:
            notes.append(
                f"{code} ages by time rather than by distance (sheet How lives end): its lives are told as the "
                f"distance that the fleet runs in them on average, {own.day_counts * 365.25:,.0f} "
                f"{model.distance_unit} a year."
            )
        elif clock not in (model.distance_unit, "days"):
            notes.append(
                f"{code}: its clock is {clock}, but the record counts {model.distance_unit}; ages are in "
                f"{model.distance_unit} here."
            )
    notes += [histories.hours.note] if histories.hours.note else []
    if not histories.lives["current"].any():
        notes.append("No vehicle is in service at the end of the record: nothing is due and nothing is forecast.")
    notes += comparison_notes(fleet, coded.levels, tables)
    if not fleet.settings.geometry and not any("geometry." in note for note in fleet.settings.notes):
        notes.append("No geometry is given in fleet.toml: joint angles cannot be shown and lift stands for the angle.")
    unpriced = [str(code) for code in coded.costs.loc[coded.costs["planned_cost"].isna(), "component"]]
    if unpriced:
        notes.append(
            f"No price or working hours for {', '.join(unpriced)}: no replacement interval and no share of the budget."
        )
    notes += [
        f"{row.component}: a failure on the road costs {row.road_cost:,.0f} {model.currency}, not more than a planned "
        f"replacement at {row.planned_cost:,.0f}, so nothing is saved by replacing it before it fails; check "
        f"[cost.{row.component}] in fleet.toml."
        for row in frame_rows(coded.costs[coded.costs["road_cost"] <= coded.costs["planned_cost"]])
    ]
    lives = histories.lives
    unknown = float(lives.loc[~lives["age_known"].astype(bool), "chance"].sum())
    if unknown:
        notes.append(
            f"{unknown:,.0f} of {lives['chance'].sum():,.0f} lives began before the record (weight 0 in the table "
            "lives): their ages are estimated, and the curves take them as parts of unknown age."
        )
    numbers = set(fleet.tables["parts"]["part_number"])
    notes += [
        f"fleet.toml, together.kit_hours: {plain(number)} is not in the parts table; its hours are not used."
        for number in fleet.settings.together.kit_hours if number not in numbers
    ]
    return (*notes, *_open_line_notes(histories), *_greasing_notes(histories, coded, model))


def _open_line_notes(histories: Histories) -> list[str]:
    """What became of lines that could be about several positions."""
    notes = []
    lines = histories.renewals.open["line"].nunique()
    if lines:
        share = lines / max(lines + histories.renewals.known["line"].nunique(), 1)
        notes.append(
            f"{lines:,} lines ({share:.1%}) could be about several positions: each counts for all of them, with the "
            "chance that the vehicle's other lines leave it (chance in the table lives). This takes it that whether a "
            "position was written down does not depend on which one it was."
        )
    drawn = len(histories.events.paths.large)
    if drawn:
        whose = "one vehicle" if drawn == 1 else f"{drawn:,} vehicles or groups of their positions"
        notes.append(
            f"Such lines of {whose} can be spread in too many ways to follow each: the chances there are estimated "
            "from several hundred states at a time, drawn by how likely they are."
        )
    if histories.events.unspread:
        notes.append(
            f"{histories.events.unspread:,} further lines of that kind stand before the record, or leave more lives "
            "possible than can be kept: what is known of their positions ends there."
        )
    return notes


def _greasing_notes(histories: Histories, coded: CodedFleet, model: LifeModel) -> list[str]:
    """For each component that the record shows to be greased: how many parts regularly, and what it does."""
    levels = coded.traits["greasing"].to_numpy(dtype=object)
    components = histories.lives["component"].to_numpy(dtype=object)
    notes = []
    for code in sorted(set(components[levels != ""])):
        mine = levels[(components == code) & (levels != "")]
        note = f"{code}: {(mine == GREASED).mean():.0%} of the parts whose greasing is on record were greased regularly"
        own = model.components.get(code)
        group = next((g for g in own.coding.groups if g.kind == "greasing"), None) if own is not None else None
        if own is None or group is None:
            notes.append(f"{note}.")
            continue
        at = own.names.index(group.names[0])
        effect = own.values[at] if group.levels[1] == GREASED else -own.values[at]
        if own.own_share and own.own_share[at] > 0:
            notes.append(f"{note}; they last {math.exp(effect):.2f} times as long as those seldom greased.")
        else:
            notes.append(f"{note}; the record does not speak for a difference in life.")
    return notes


def build_plan(
    fleet: Fleet,
    *,
    months: int,
    seed: int,
    model: LifeModel | None = None,
    model_name: str = "model file",
    checks: bool = True,
    earlier: LifeModel | None = None,
    earlier_name: str = "",
    progress: Progress = _quiet,
) -> Plan:
    """Plan of a fleet.

    Parameters
    ----------
    fleet : Fleet
        Clean tables.
    months : int
        Horizon, 1 to 120.
    seed : int
        Seed of every draw.
    model : LifeModel, optional
        A model fitted before; fitted anew when missing.
    model_name : str
        How to call it in messages.
    checks : bool
        Whether to check the models, which takes a fit to the record of a year before; their tables are missing else.
    earlier : LifeModel, optional
        An earlier model of the fleet, to tell which curves moved since.
    earlier_name : str
        How to call its file in messages.
    progress : callable
        Told the name of each stage.

    Returns
    -------
    Plan
        All result tables.

    Raises
    ------
    InputError, ModelError
        If the fleet or the model cannot be used.
    """
    progress("building histories")
    histories = build_histories(fleet)
    progress("fitting life models")
    given = model
    clocked = settle_on_clocks(fleet, histories, models=None if given is None else given.components)
    settled = clocked.settled
    histories, coded = settled.histories, settled.coded
    if given is None:
        model = fit_fleet(fleet, coded, lost=settled.lost)
    else:
        model = adopt_model(given, fleet=fleet, coded=coded, name=model_name)
    tables = build_fit_tables(
        fleet, clocked, model, checks=checks, earlier=earlier, earlier_name=earlier_name
    )
    progress("planning intervals and due dates")
    tables |= _decision_tables(fleet, histories, coded, model, seed)
    ahead = look_ahead(fleet, histories, coded, model, months=months, intervals=tables["intervals"])
    assessed = assess_parts(
        ahead.fitted,
        points=ahead.points,
        unmodelled=build_unmodelled_parts(histories, modelled=ahead.fitted),
        model=model,
        intervals=tables["intervals"],
        daily=histories.curves.daily,
        levels=coded.levels,
        as_of=fleet.as_of,
        days=float(ahead.usage.days[:months].sum()),
        a_day={code: clock.a_day for code, clock in coded.clocks.items()},
        leave=ahead.changes.named_leave,
    )
    tables["due"] = plan_due(assessed)
    tables["return_to_factory"] = build_return_table(histories, coded, model, ahead, seed=seed)
    tables |= _together_tables(fleet, coded, model, ahead, assessed, seed)
    tables["inspection_plan"] = plan_inspections(
        model,
        lives=histories.lives,
        inspections=fleet.tables["inspections"],
        costs=coded.costs,
        yearly=ahead.yearly_running(model),
        labour_rate=fleet.settings.labour_rate,
        downtime_cost=fleet.settings.downtime_cost,
    )
    progress("drawing futures")
    tables |= build_forecast_tables(fleet, histories, coded, model, ahead, months=months, seed=seed)
    tables["assumptions"] = build_assumptions(fleet, model, ahead=ahead, coded=coded)
    return Plan(
        folder_name=fleet.folder.resolve().name,
        as_of=fleet.as_of,
        settings=fleet.settings,
        model=model,
        tables=tables,
        notes=(*_notes(fleet, histories, coded, model, tables), *fleet_notes(fleet, ahead, months)),
        months=ahead.usage.months[:months],
        horizon=months,
        seed=seed,
        fingerprint=model.fingerprint if given is None else coded.fingerprint,
    )


def _decision_tables(
    fleet: Fleet, histories: Histories, coded: CodedFleet, model: LifeModel, seed: int
) -> dict[str, pd.DataFrame]:
    """Intervals, comparisons and joint angles."""
    pieces = build_pieces(histories)
    settings = fleet.settings
    cells = add_yearly_running(
        build_cells(pieces, histories.lives, coded.levels), lives=histories.lives, daily=histories.curves.daily,
        levels=coded.levels, a_day={code: clock.a_day for code, clock in coded.clocks.items()},
    )
    return {
        "intervals": plan_intervals(
            model, cells=cells, worn_shares=coded.worn_shares, road_caps=settings.road_caps
        ),
        **build_comparison_tables(fleet, histories, coded, model, pieces=pieces, seed=seed),
        "angles": build_angles(
            fleet.tables["vehicles"], geometry=settings.geometry, layouts=settings.layouts, levels=coded.levels,
            limits=settings.angle_limits,
        ),
        **_ride_height_tables(fleet, histories, coded, model),
    }  # fmt: skip


def _ride_height_tables(
    fleet: Fleet, histories: Histories, coded: CodedFleet, model: LifeModel
) -> dict[str, pd.DataFrame]:
    """How far each vehicle class can be raised, and checks of its shafts."""
    settings = fleet.settings
    places = find_places(fleet.tables["vehicles"], geometry=settings.geometry, layouts=settings.layouts)
    seen = build_heights_seen(histories, coded.traits)
    heights = build_ride_heights(
        places, lifts=lift_steps(seen["lift"].to_numpy()), geometry=settings.geometry, limits=settings.angle_limits,
        shaft_limits=settings.shaft_limits, model=model, seen=seen,
    )  # fmt: skip
    return {
        "ride_heights": heights,
        "ride_height_limits": build_ride_height_limits(
            places, ride_heights=heights, limits=settings.angle_limits, seen=seen
        ),
        "shaft_checks": build_shaft_checks(settings.geometry, limits=settings.shaft_limits),
    }


def _together_tables(
    fleet: Fleet, coded: CodedFleet, model: LifeModel, ahead: Ahead, assessed: pd.DataFrame, seed: int
) -> dict[str, pd.DataFrame]:
    """Visits, and ways of renewing positions that belong together."""
    vehicles = fleet.tables["vehicles"]
    drivelines = {str(unit): str(line) for unit, line in zip(vehicles["unit"], vehicles["driveline"], strict=True)}
    visits = plan_visits(
        assessed, fitted=ahead.fitted, points=ahead.points, model=model, terms=visit_terms(fleet, coded, ahead),
        as_of=fleet.as_of, seed=seed, leave=ahead.changes.named_leave,
    )  # fmt: skip
    groups = compare_groups(
        assessed, fitted=ahead.fitted, drivelines=drivelines, model=model, terms=group_terms(fleet, coded), seed=seed
    )
    return {**visits, "group_policies": groups}
