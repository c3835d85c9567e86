"""The workbook functions as Python: what they answer for good arguments."""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from wearmodel.survival.model import law, life_ratio_band
from wearmodel.survival.store import model_to_json, write_model
from workbook import functions
from workbook.example_model import EXAMPLE_MODEL
from workbook.function_list import FUNCTIONS
from workbook.function_spec import RUN_TO_FAILURE

SITE_RAISED = ("site", 75.0)


@pytest.fixture(autouse=True)
def model_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    path = tmp_path / "example model.json"
    write_model(EXAMPLE_MODEL, path)
    monkeypatch.setenv("WEAR_MODEL", str(path))
    yield path


def column(values: Any) -> list[list[Any]]:
    return [[value] for value in values]


@pytest.mark.parametrize("name", FUNCTIONS)
def test_example_of_the_list(name: str) -> None:
    spec = FUNCTIONS[name]
    found = getattr(functions, name)(*spec.example)
    if spec.value is None:
        assert found[0][0] == "component"
    elif isinstance(spec.value, str):
        assert found == spec.value
    else:
        assert found == pytest.approx(spec.value, rel=1e-5)


def test_survival_hazard_and_mean_against_scipy() -> None:
    point = law(EXAMPLE_MODEL.components["u_joint"], duty="site", lift=75.0)
    other = stats.weibull_min(point.shape, scale=point.scale)
    assert functions.WEAR_SURVIVAL("u_joint", 50_000, *SITE_RAISED) == pytest.approx(other.sf(50_000))
    hazard = other.pdf(50_000) / other.sf(50_000)
    assert functions.WEAR_HAZARD("u_joint", 50_000, *SITE_RAISED) == pytest.approx(hazard)
    assert functions.WEAR_MEAN_LIFE("u_joint", *SITE_RAISED) == pytest.approx(other.mean())


def test_values_of_the_conditional_life_reference() -> None:
    # Source: quadrature outside this package, tests/reference/conditional_life (scale 100,000, shape 2.5).
    assert functions.WEAR_FAIL_WITHIN("u_joint", 60_000, 20_000) == pytest.approx(0.254409384, abs=5e-10)
    assert functions.WEAR_REMAINING("u_joint", 60_000, 0.1) == pytest.approx(8207.14472, abs=5e-5)
    assert functions.WEAR_LIFE_AT("u_joint", 0.1) == pytest.approx(40650.9926, abs=5e-4)


def test_life_at_inverts_survival() -> None:
    fractions = column([0.01, 0.1, 0.5, 0.9])
    lives = functions.WEAR_LIFE_AT("u_joint", fractions, *SITE_RAISED)
    back = functions.WEAR_SURVIVAL("u_joint", lives, *SITE_RAISED)
    assert np.array(back) == pytest.approx(1.0 - np.array(fractions))


def test_hazard_is_the_slope_of_the_log_survival() -> None:
    ahead, behind = (functions.WEAR_SURVIVAL("u_joint", 70_000 + step) for step in (1.0, -1.0))
    slope = (np.log(behind) - np.log(ahead)) / 2.0
    assert functions.WEAR_HAZARD("u_joint", 70_000) == pytest.approx(slope, rel=1e-7)


def test_remaining_life_inverts_the_chance_of_failure() -> None:
    left = functions.WEAR_REMAINING("u_joint", 80_000, 0.3, *SITE_RAISED)
    assert functions.WEAR_FAIL_WITHIN("u_joint", 80_000, left, *SITE_RAISED) == pytest.approx(0.3)
    assert functions.WEAR_REMAINING("u_joint", 80_000) == functions.WEAR_REMAINING("u_joint", 80_000, 0.5)


def test_fleet_is_the_mean_of_the_log_lives_of_its_duties() -> None:
    highway, site, fleet = (functions.WEAR_MEAN_LIFE("u_joint", duty) for duty in ("highway", "site", "fleet"))
    assert site == pytest.approx(0.5 * highway)
    assert np.log(fleet) == pytest.approx(0.6 * np.log(highway) + 0.4 * np.log(site))


def test_interval_costs_least_of_all_services() -> None:
    services = column(15_000.0 * np.arange(1, 30))
    rates = np.array(functions.WEAR_COST_RATE("u_joint", services, *SITE_RAISED)).ravel()
    best = functions.WEAR_INTERVAL("u_joint", *SITE_RAISED)
    assert best == services[int(rates.argmin())][0]
    least = optimize.minimize_scalar(
        lambda interval: functions.WEAR_COST_RATE("u_joint", float(interval), *SITE_RAISED),
        bounds=(5_000, 90_000),
        method="bounded",
    )
    assert rates.min() <= 1.03 * least.fun


def test_interval_off_the_services_when_there_are_none(model_file: Path) -> None:
    write_model(replace(EXAMPLE_MODEL, service_interval=float("nan")), model_file)
    best = functions.WEAR_INTERVAL("u_joint")
    assert best % 15_000 != 0
    rates = functions.WEAR_COST_RATE("u_joint", column([0.99 * best, best, 1.01 * best]))
    assert rates[1][0] < min(rates[0][0], rates[2][0])


def test_services_of_another_clock_do_not_round_the_interval(model_file: Path) -> None:
    hours = replace(EXAMPLE_MODEL.components["u_joint"], clock="hours")
    write_model(replace(EXAMPLE_MODEL, components={"u_joint": hours}), model_file)
    assert functions.WEAR_INTERVAL("u_joint") % 15_000 != 0


def test_a_component_by_engine_hours_is_told_at_the_fleets_running(model_file: Path) -> None:
    """Ages are hours times what one counts for: 3,000 hours at 21.3 km; the note of the model says so."""
    note = "Ages by engine hours, not by distance: an hour counts as 21.3 km, the fleet's mean running."
    own = replace(EXAMPLE_MODEL.components["u_joint"], hour_counts=21.3, note=note)
    write_model(replace(EXAMPLE_MODEL, components={"u_joint": own}), model_file)
    point = law(own)
    expected = stats.weibull_min(point.shape, scale=point.scale / 21.3).sf(3_000)
    assert point.variance == 0.0 and functions.WEAR_SURVIVAL("u_joint", 3_000 * 21.3) == pytest.approx(expected)
    assert note in functions.WEAR_MODEL_NOTE("u_joint")


def test_interval_with_a_limit_on_failures() -> None:
    free = functions.WEAR_INTERVAL("u_joint")
    blank = (None, None)
    found = functions.WEAR_INTERVAL("u_joint", "fleet", 0, *blank, column([0.05, None]), column([30_000, None]))
    assert found[1][0] == free
    # Failures a year of parts that are renewed at that age or at failure, by quadrature of the survival.
    interval = found[0][0]
    run, _ = integrate.quad(lambda age: functions.WEAR_SURVIVAL("u_joint", age), 0.0, interval)
    assert 30_000 * (1.0 - functions.WEAR_SURVIVAL("u_joint", interval)) / run == pytest.approx(0.05, rel=0.03)
    assert interval < free
    assert "together" in functions.WEAR_INTERVAL("u_joint", "fleet", 0, *blank, 0.05)


def test_running_to_failure() -> None:
    assert functions.WEAR_INTERVAL("u_joint", "fleet", 0, 150, 155) == RUN_TO_FAILURE
    mean = functions.WEAR_MEAN_LIFE("u_joint")
    assert functions.WEAR_COST_RATE("u_joint", RUN_TO_FAILURE) == pytest.approx(600.0 / mean)
    # One function's answer is another's argument.
    chained = functions.WEAR_COST_RATE("u_joint", functions.WEAR_INTERVAL("u_joint", "fleet", 0, 150, 155))
    assert chained == pytest.approx(600.0 / mean)


def test_costs_of_the_cells_go_before_those_of_the_model_file() -> None:
    given = functions.WEAR_COST_RATE("u_joint", 60_000, "fleet", 0, 300, 1_200)
    assert given == pytest.approx(2.0 * functions.WEAR_COST_RATE("u_joint", 60_000))
    half = functions.WEAR_COST_RATE("u_joint", 60_000, "fleet", 0, None, 600)
    assert half == functions.WEAR_COST_RATE("u_joint", 60_000)


def test_inspections_cost_least_at_the_answer() -> None:
    every = functions.WEAR_INSPECT_EVERY("u_joint", 10_000, 8)
    rate = 1.0 / functions.WEAR_MEAN_LIFE("u_joint")

    def cost(distance: float) -> float:
        missed = 1.0 - 10_000 / distance * -np.expm1(-distance / 10_000)
        return 8.0 / distance + rate * (missed * 600.0 + (1.0 - missed) * 150.0)

    assert cost(every) < min(cost(0.98 * every), cost(1.02 * every))
    assert functions.WEAR_INSPECT_EVERY("u_joint", 10_000, 500) == "inspections do not pay"


def test_lift_effect_is_a_ratio_of_lives_in_any_duty() -> None:
    effect = functions.WEAR_LIFT_EFFECT("u_joint", 75)
    for duty in ("highway", "site", "fleet"):
        raised, factory = (functions.WEAR_MEAN_LIFE("u_joint", duty, lift) for lift in (75, 0))
        assert effect == pytest.approx(raised / factory)
    band = life_ratio_band(EXAMPLE_MODEL.components["u_joint"], lift=75.0)
    assert effect == pytest.approx(float(band.estimate))
    assert functions.WEAR_LIFT_EFFECT("u_joint", 0) == 1.0


def test_joint_angle_and_ripple_by_hand() -> None:
    # By hand: asin(sin 4 deg + 75 / 420) and tan 10 deg sin 10 deg.
    by_hand = np.degrees(np.arcsin(np.sin(np.radians(4.0)) + 75.0 / 420.0))
    assert functions.WEAR_JOINT_ANGLE(4, 420, 75) == pytest.approx(by_hand)
    assert functions.WEAR_SPEED_RIPPLE(10) == pytest.approx(np.tan(np.radians(10.0)) * np.sin(np.radians(10.0)))
    assert functions.WEAR_SPEED_RIPPLE(0) == 0.0


def test_demand_counts_first_failures_and_repeats() -> None:
    first = functions.WEAR_FAIL_WITHIN("u_joint", 60_000, 20_000)
    short = functions.WEAR_DEMAND("u_joint", 60_000, 20_000)
    assert first < short < 1.05 * first
    long = functions.WEAR_DEMAND("u_joint", 0, 1_000_000)
    mean = functions.WEAR_MEAN_LIFE("u_joint")
    assert long == pytest.approx(1_000_000 / mean, abs=0.5)


def test_demand_against_quadrature() -> None:
    def later(failed_at: float) -> float:
        density = functions.WEAR_HAZARD("u_joint", 60_000 + failed_at) * (
            functions.WEAR_SURVIVAL("u_joint", 60_000 + failed_at) / functions.WEAR_SURVIVAL("u_joint", 60_000)
        )
        return density * functions.WEAR_DEMAND("u_joint", 0, 100_000 - failed_at)

    repeats, _ = integrate.quad(later, 0, 100_000, epsabs=1e-8)
    first = functions.WEAR_FAIL_WITHIN("u_joint", 60_000, 100_000)
    assert functions.WEAR_DEMAND("u_joint", 60_000, 100_000) == pytest.approx(first + repeats, abs=1e-6)


def test_stock_level_against_scipy() -> None:
    means = [0.0, 0.4, 3.0, 25.0]
    found = functions.WEAR_STOCK_LEVEL(column(means), 0.9)
    assert [row[0] for row in found] == stats.poisson.ppf(0.9, means).clip(0).tolist()
    # Source: negative binomial of mean 3 and variance 6, 95 % quantile 8; tests/reference/base_stock.
    assert functions.WEAR_STOCK_LEVEL(3, 0.95, 6) == 8.0


def test_budget_is_parts_times_distance_times_rate() -> None:
    rate = functions.WEAR_COST_RATE("u_joint", 45_000, *SITE_RAISED)
    assert functions.WEAR_BUDGET("u_joint", 40, 30_000, 45_000, *SITE_RAISED) == pytest.approx(40 * 30_000 * rate)
    forever = functions.WEAR_BUDGET("u_joint", 40, 30_000)
    assert forever == pytest.approx(40 * 30_000 * 600.0 / functions.WEAR_MEAN_LIFE("u_joint"))
    assert forever == functions.WEAR_BUDGET("u_joint", 40, 30_000, RUN_TO_FAILURE)


def test_table_of_components() -> None:
    table = functions.WEAR_COMPONENTS()
    assert table[0] == ["component", "label", "basis", "lives", "failures"]
    assert ["u_joint", "Universal joint", "fitted", 120, 48] in table
    assert ["slip_spline", "Slip spline", "bound only", 30, 0] in table
    assert len(table) == 3


def test_note_of_a_component_and_of_the_model() -> None:
    assert functions.WEAR_MODEL_NOTE() == (
        "2 components; distances in km, money in EUR; records to 2026-06-30."
    )
    assert functions.WEAR_MODEL_NOTE("slip_spline") == "Slip spline. No failure was seen among 30 lives."
    notes = functions.WEAR_MODEL_NOTE(column(["u_joint", None, "gearbox"]))
    assert notes[0][0].startswith("Universal joint. Rests on 48 failures")
    assert notes[1][0] == functions.WEAR_MODEL_NOTE()
    assert notes[2][0].startswith("component 'gearbox' is not in the model")


def test_labels_and_any_case_name_a_component_and_a_duty() -> None:
    expected = functions.WEAR_MEAN_LIFE("u_joint", "site")
    assert functions.WEAR_MEAN_LIFE(" Universal Joint ", "SITE") == expected


def test_a_changed_model_file_is_read_again(model_file: Path) -> None:
    before = functions.WEAR_MEAN_LIFE("u_joint")
    body = json.loads(model_to_json(EXAMPLE_MODEL))
    body["components"]["u_joint"]["values"][0] += float(np.log(2.0))
    model_file.write_text(json.dumps(body, indent=2), encoding="utf-8")
    assert functions.WEAR_MEAN_LIFE("u_joint") == pytest.approx(2.0 * before)


def test_single_cells_asked_again_answer_as_the_first_time() -> None:
    """What was found for one cell is kept for the next: good answers, lines, and each function its own."""
    calls = [
        ("WEAR_SURVIVAL", ("u_joint", 60_000.0, "site", 50.0)),
        ("WEAR_SURVIVAL", ("u_joint", 60_000.0, "site", 0.0)),
        ("WEAR_SURVIVAL", ("u_joint", 60_000.0, "nowhere", 0.0)),
        ("WEAR_SURVIVAL", ("slip_spline", 60_000.0, "site", 0.0)),
        ("WEAR_LIFT_EFFECT", ("u_joint", 50.0, "site")),
        ("WEAR_INTERVAL", ("u_joint", "site", 50.0, 300.0, 900.0)),
        ("WEAR_INTERVAL", ("u_joint", "site", 50.0, 300.0, 1_800.0)),
    ]
    first = [getattr(functions, name)(*arguments) for name, arguments in calls]
    assert len(set(first)) == len(calls)
    for _ in range(2):
        assert [getattr(functions, name)(*arguments) for name, arguments in calls] == first
    for (name, arguments), answer in zip(calls, first, strict=True):
        as_range = getattr(functions, name)(*([[value]] for value in arguments))
        assert as_range == [[answer]], name


def test_ten_thousand_rows_in_one_call() -> None:
    rng = np.random.default_rng(8)
    count = 10_000
    component = column(["u_joint"] * count)
    distance = column(rng.uniform(0.0, 1e5, count).tolist())
    duty = column(rng.choice(["site", "highway", "fleet"], count).tolist())
    lift = column(rng.choice([0.0, 50.0, 75.0], count).tolist())
    functions.WEAR_DEMAND("u_joint", 0, 1)
    calls = {
        "WEAR_SURVIVAL": (component, distance, duty, lift),
        "WEAR_DEMAND": (component, distance, distance, duty, lift),
        "WEAR_INTERVAL": (component, duty, lift),
        "WEAR_BUDGET": (component, distance, distance, 45_000, duty, lift),
        "WEAR_STOCK_LEVEL": (column([row[0] / 1e4 for row in distance]),),
    }
    for name, arguments in calls.items():
        assert len(getattr(functions, name)(*arguments)) == count
    some = [17, 4_321, 9_999]
    answers = functions.WEAR_SURVIVAL(*calls["WEAR_SURVIVAL"])
    for row in some:
        alone = functions.WEAR_SURVIVAL("u_joint", distance[row][0], duty[row][0], lift[row][0])
        assert answers[row][0] == pytest.approx(alone, rel=1e-12)
