"""The planner workbook and the functions where ride height costs more life in some duties: cells equal the library."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd
import pytest
from planner_example import POLICIES
from recalculation import convert, differences, open_book

from wearmodel.fleet_model import build_coded_fleet, fit_fleet
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import read_fleet
from wearmodel.plan import Plan, build_plan
from wearmodel.policy.age_replacement import cost_rate
from wearmodel.policy.fitted import build_fitted_parts
from wearmodel.survival.component_lives import with_duty_height
from wearmodel.survival.model import LifeModel, law, life_band, life_ratio_band, survival_band
from wearmodel.survival.store import write_model
from wearmodel.survival.vehicle_frailties import alike
from wearmodel.survival.weibull import mean_life, mean_pace
from workbook import functions
from workbook.planner import write_planner

DEMO = Path(__file__).parents[2] / "data" / "demo"
CODE = "cv_boot_outboard"
#: Log life that two standard deviations of the angle take in each duty beyond the first, over that of the first.
BY_DUTY = (-0.35, 0.2, -0.1)


@pytest.fixture(scope="module")
def model() -> LifeModel:
    """The demo's model, with effects of height by duty given to one component."""
    fleet = read_fleet(DEMO)
    coded = build_coded_fleet(fleet, build_histories(fleet))
    found = fit_fleet(fleet, coded)
    own = found.components[CODE]
    coding = with_duty_height(coded.coded[CODE]).coding
    at = coding.duty_height_columns
    assert len(at) == len(BY_DUTY)
    values = np.insert(np.array(own.values), np.full(len(at), at[0]), BY_DUTY)
    covariance = 0.02**2 * np.eye(len(values))
    kept = np.delete(np.arange(len(values)), at)
    covariance[np.ix_(kept, kept)] = own.covariance
    frailty = np.array(own.frailty_covariance)
    frailty = np.insert(frailty, np.full(len(at), at[0]), 0.0) if len(frailty) else frailty
    unlike = replace(
        own,
        coding=coding,
        values=tuple(values.tolist()),
        covariance=tuple(tuple(row) for row in covariance.tolist()),
        frailty_covariance=tuple(frailty.tolist()),
        own_share=(),
        prior_precision=(),
        dated_values=(),
    )
    return replace(found, components={**found.components, CODE: unlike})


@pytest.fixture(scope="module")
def plan(model: LifeModel) -> Plan:
    return build_plan(read_fleet(DEMO), months=12, seed=1, model=model)


@pytest.fixture(scope="module")
def planner(plan: Plan, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("duty") / "planner.xlsx"
    write_planner(plan, path)
    return path


def table_below(sheet: Any, first_header: str, *, nth: int = 0) -> pd.DataFrame:
    """The nth table of a sheet whose first header cell is this."""
    rows = list(sheet.iter_rows(values_only=True))
    top = [i for i, row in enumerate(rows) if row[0] == first_header][nth]
    header = [h for h in rows[top] if h is not None]
    bottom = next((i for i in range(top, len(rows)) if rows[i][0] is None), len(rows))
    return pd.DataFrame([row[: len(header)] for row in rows[top + 1 : bottom]], columns=header)


def test_the_effect_of_height_does_differ(model: LifeModel) -> None:
    own = model.components[CODE]
    ratios = {round(float(life_ratio_band(own, lift=75.0, duty=duty).estimate), 6) for duty in own.coding.duties}
    assert len(ratios) == len(own.coding.duties)


def test_live_cells_are_the_library_s_values(plan: Plan, planner: Path, tmp_path: Path) -> None:
    recalculated = convert(planner, to="xlsx", folder=tmp_path)
    assert differences(planner, recalculated) == []
    own, cost = plan.model.components[CODE], plan.model.costs[CODE]
    shown = table_below(open_book(recalculated, values=True)["Intervals"], "Component")
    mine = shown[shown["Component"] == own.label].reset_index(drop=True)
    rows = plan.tables["intervals"]
    rows = rows[rows["component"] == CODE].reset_index(drop=True)
    assert len(mine) == len(rows) and (rows["lift"] > 0).any()
    for cells, row in zip(mine.itertuples(index=False), rows.itertuples(index=False), strict=True):
        by_name = dict(zip(mine.columns, cells, strict=True))
        point = law(own, duty=str(row.duty), lift=float(row.lift))
        terms: dict[str, Any] = {
            "shape": point.shape, "scale": point.scale, "planned_cost": cost.planned, "failed_cost": cost.failed,
        }  # fmt: skip
        pace = mean_pace(point.shape, point.variance)
        assert by_name["Weibull scale (km)"] == pytest.approx(point.scale, rel=1e-9)
        assert by_name["Cost run to failure (EUR per 1000 km)"] == pytest.approx(
            1000.0 * pace * cost_rate(np.inf, **terms), rel=1e-7
        )
        b10 = life_band(own, fraction=0.1, duty=str(row.duty), lift=float(row.lift))
        assert by_name["1 in 10 failed by, B10 (km)"] == pytest.approx(float(b10.estimate), rel=1e-9)
        if np.isfinite(row.interval):
            rate = 1000.0 * pace * float(cost_rate(row.interval, **terms))
            assert by_name["Cost at the interval (EUR per 1000 km)"] == pytest.approx(rate, rel=1e-7)


def test_the_ratio_of_each_duty_is_shown(plan: Plan, planner: Path) -> None:
    own = plan.model.components[CODE]
    table = plan.tables["compare_duty"]
    assert set(table["component"]) == {CODE} and set(table["duty"]) == set(own.coding.duties)
    shown = table_below(open_book(planner, values=True)["Raised and factory"], "Component", nth=1)
    assert shown["Duty"].tolist() == table["duty"].tolist()
    for duty, lift, ratio in zip(shown["Duty"], table["lift"], shown["Life ratio"], strict=True):
        assert ratio == pytest.approx(float(life_ratio_band(own, lift=lift, duty=duty).estimate))
    notes = plan.tables["compare"].set_index("component")["note"]
    assert notes.loc[CODE].str.contains("Differs by duty").all()
    assert not notes.drop(CODE).str.contains("Differs by duty").any()


def test_curves_and_fits_go_by_duty(plan: Plan) -> None:
    own = plan.model.components[CODE]
    curves = plan.tables["curves"]
    for (duty, lift), rows in curves[curves["component"] == CODE].groupby(["duty", "lift"]):
        band = survival_band(own, rows["distance"].to_numpy(), duty=str(duty), lift=float(lift))
        assert rows["survival"].to_numpy() == pytest.approx(band.estimate)
    fits = plan.tables["fits"]
    own_rows = fits[(fits["component"] == CODE) & fits["parameter"].str.startswith("duty_height:")]
    assert own_rows["estimate"].tolist() == pytest.approx(list(BY_DUTY))


def test_parts_now_fitted_wear_by_their_own_duty_and_lift(plan: Plan, model: LifeModel) -> None:
    """Due list and forecast: a part's pace is that of its duty and height, other effects of it as they are."""
    fleet = read_fleet(DEMO)
    histories = build_histories(fleet)
    coded = build_coded_fleet(fleet, histories, models=model.components)
    own = model.components[CODE]
    alike_coding = own.coding.with_duty_height(0.0)
    values = np.array(own.values)
    plain = replace(
        own, coding=alike_coding, values=tuple(np.delete(values, own.coding.duty_height_columns).tolist())
    )
    paces = []
    for one in (own, plain):
        parts = build_fitted_parts(histories, model=one, traits=coded.traits, frailties=alike(len(histories.windows)))
        paces.append(parts.pace(np.array(one.values)))
    frame = parts.frame
    extra = np.log(paces[1] / paces[0])
    last = np.append(parts.start[1:], len(parts.part)) - 1
    height = parts.design[last, -1] / own.coding.duty_height
    weights = np.array(own.coding.duty_weights[1:])
    by_hand = [
        h * float((np.array([duty == other for other in own.coding.duties[1:]]) - weights) @ np.array(BY_DUTY))
        for duty, h in zip(frame["duty"], height, strict=True)
    ]
    assert extra == pytest.approx(by_hand, abs=1e-9)
    assert np.ptp(extra) > 0.05
    due = plan.tables["due"]
    assert (due["component"] == CODE).any()
    assert set(plan.tables["budget"]["policy"]) == set(POLICIES) - {"own_policy"}


def test_functions_go_by_duty(model: LifeModel, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "model.json"
    write_model(model, path)
    monkeypatch.setenv("WEAR_MODEL", str(path))
    own = model.components[CODE]
    for duty in ("fleet", *own.coding.duties):
        ratio = float(life_ratio_band(own, lift=75.0, duty=duty).estimate)
        assert functions.WEAR_LIFT_EFFECT(CODE, 75, duty) == pytest.approx(ratio)
        point = law(own, duty=duty, lift=75.0)
        mean = mean_life(shape=point.shape, scale=point.scale, variance=point.variance)
        assert functions.WEAR_MEAN_LIFE(CODE, duty, 75) == pytest.approx(float(mean))
    assert functions.WEAR_LIFT_EFFECT(CODE, 75) == functions.WEAR_LIFT_EFFECT(CODE, 75, "fleet")
