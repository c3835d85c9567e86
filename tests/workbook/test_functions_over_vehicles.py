"""The workbook functions with a model whose vehicles wear unlike, against computations outside the package."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy import integrate, stats

from wearmodel.survival.store import write_model
from workbook import functions
from workbook.example_model import EXAMPLE_MODEL
from workbook.function_spec import RUN_TO_FAILURE

# Of the example model: the fleet's mix at factory height.
SHAPE, SCALE, VARIANCE = 2.5, 100_000.0, 0.4
#: A gamma mixture of Weibull laws is the Burr XII law (Tadikamalla, International Statistical Review 48, 1980).
LIFE = stats.burr12(SHAPE, 1.0 / VARIANCE, scale=SCALE * VARIANCE ** (-1.0 / SHAPE))
FRAILTY = stats.gamma(1.0 / VARIANCE, scale=VARIANCE)


def write_with(variance: float, path: Path) -> None:
    own = replace(EXAMPLE_MODEL.components["u_joint"], frailty_variance=variance)
    write_model(replace(EXAMPLE_MODEL, components={"u_joint": own}), path)


@pytest.fixture(autouse=True)
def model_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    path = tmp_path / "unlike.json"
    write_with(VARIANCE, path)
    monkeypatch.setenv("WEAR_MODEL", str(path))
    yield path


def over_vehicles(function: Any) -> float:
    """Mean of a function of the frailty over vehicles."""
    cuts = FRAILTY.ppf([1e-12, 1e-4, 0.1, 0.5, 0.9, 1 - 1e-4, 1 - 1e-12])
    return sum(
        integrate.quad(lambda z: function(z) * FRAILTY.pdf(z), low, high, epsabs=0.0, epsrel=1e-9)[0]
        for low, high in pairwise(cuts)
    )


def rate_of(frailty: float, interval: float, planned: float, failed: float) -> float:
    """Cost per distance of one vehicle by numerical integration of its survival (renewal-reward theorem)."""
    alone = stats.weibull_min(SHAPE, scale=SCALE * frailty ** (-1.0 / SHAPE))
    end = min(interval, float(alone.isf(1e-15)))
    length = integrate.quad(alone.sf, 0.0, end, epsabs=0.0, epsrel=1e-10)[0]
    return (planned * alone.sf(interval) + failed * alone.cdf(interval)) / length


def test_look_ups_are_those_of_a_vehicle_taken_at_random() -> None:
    ages = [[20_000.0], [60_000.0], [250_000.0]]
    at = np.array(ages).ravel()
    assert np.ravel(functions.WEAR_SURVIVAL("u_joint", ages)) == pytest.approx(LIFE.sf(at), rel=1e-10)
    assert np.ravel(functions.WEAR_HAZARD("u_joint", ages)) == pytest.approx(LIFE.pdf(at) / LIFE.sf(at), rel=1e-9)
    assert functions.WEAR_LIFE_AT("u_joint", 0.1) == pytest.approx(LIFE.ppf(0.1), rel=1e-9)
    assert functions.WEAR_MEAN_LIFE("u_joint") == pytest.approx(LIFE.mean(), rel=1e-9)
    within = 1.0 - LIFE.sf(80_000.0) / LIFE.sf(60_000.0)
    assert functions.WEAR_FAIL_WITHIN("u_joint", 60_000, 20_000) == pytest.approx(within, rel=1e-9)
    left = LIFE.isf(0.7 * LIFE.sf(60_000.0)) - 60_000.0
    assert functions.WEAR_REMAINING("u_joint", 60_000, 0.3) == pytest.approx(left, rel=1e-8)


def test_cost_rates_are_the_mean_of_vehicles_each_at_its_own_interval() -> None:
    def own_interval(z: float) -> float:
        return rate_of(z, 60_000.0 * z ** (-1.0 / SHAPE), 150.0, 600.0)

    found = functions.WEAR_COST_RATE("u_joint", 60_000)
    assert found == pytest.approx(over_vehicles(own_interval), rel=1e-7)
    forever = over_vehicles(lambda z: rate_of(z, 1e12, 150.0, 600.0))
    assert functions.WEAR_COST_RATE("u_joint", RUN_TO_FAILURE) == pytest.approx(forever, rel=1e-7)
    assert functions.WEAR_BUDGET("u_joint", 40, 30_000, 60_000) == pytest.approx(1.2e6 * found)


def test_the_interval_is_that_of_a_usual_vehicle(model_file: Path) -> None:
    unlike = functions.WEAR_INTERVAL("u_joint")
    write_with(0.0, model_file)
    assert functions.WEAR_INTERVAL("u_joint") == unlike


def test_inspections_cost_least_at_the_answer() -> None:
    every = functions.WEAR_INSPECT_EVERY("u_joint", 10_000, 8)
    rate = over_vehicles(lambda z: 1.0 / stats.weibull_min.mean(SHAPE, scale=SCALE * z ** (-1.0 / SHAPE)))

    def slope(distance: float) -> float:
        """Of the cost per distance: 8 / T + rate * (share missed * (600 - 150))."""
        step = distance * 1e-4

        def cost(at: float) -> float:
            return 8.0 / at + rate * 450.0 * (1.0 - 10_000 / at * -np.expm1(-at / 10_000))

        return (cost(distance + step) - cost(distance - step)) / (2.0 * step)

    # The slope changes its sign at the answer, closely enough to tell the rates of one and of all vehicles apart.
    assert slope(0.995 * every) < 0.0 < slope(1.005 * every)


def simulated_demand(age: float, distance: float, runs: int) -> np.ndarray:
    """Failures ahead of vehicles drawn with their frailty, of those whose part reached the age."""
    rng = np.random.default_rng(4711)
    frailty = rng.gamma(1.0 / VARIANCE, VARIANCE, 4 * runs)
    scale = SCALE * frailty ** (-1.0 / SHAPE)
    first = scale * rng.weibull(SHAPE, len(scale))
    kept = np.flatnonzero(first > age)[:runs]
    at, scale = first[kept] - age, scale[kept]
    counts = np.zeros(len(kept), dtype=int)
    while (running := at <= distance).any():
        counts[running] += 1
        at[running] += scale[running] * rng.weibull(SHAPE, int(running.sum()))
    return counts


@pytest.mark.parametrize(("age", "distance"), [(0.0, 50_000.0), (60_000.0, 100_000.0), (90_000.0, 400_000.0)])
def test_demand_against_simulated_vehicles(age: float, distance: float) -> None:
    counts = simulated_demand(age, distance, 200_000)
    error = 4.0 * counts.std() / np.sqrt(len(counts))
    assert functions.WEAR_DEMAND("u_joint", age, distance) == pytest.approx(counts.mean(), abs=error)


def test_demand_in_the_long_run_is_the_mean_number_of_lives() -> None:
    rate = over_vehicles(lambda z: 1.0 / stats.weibull_min.mean(SHAPE, scale=SCALE * z ** (-1.0 / SHAPE)))
    ahead = functions.WEAR_DEMAND("u_joint", 0, 20_000_000) - functions.WEAR_DEMAND("u_joint", 0, 10_000_000)
    assert ahead == pytest.approx(10_000_000 * rate, rel=1e-6)


def test_lift_effect_is_the_same_for_every_vehicle(model_file: Path) -> None:
    unlike = functions.WEAR_LIFT_EFFECT("u_joint", 75)
    write_with(0.0, model_file)
    assert functions.WEAR_LIFT_EFFECT("u_joint", 75) == unlike


def test_a_mean_life_without_end_says_so(model_file: Path) -> None:
    write_with(2.6, model_file)
    assert functions.WEAR_MEAN_LIFE("u_joint") == "beyond any number"
    assert functions.WEAR_COST_RATE("u_joint", RUN_TO_FAILURE) > 0.0


def test_a_vanishing_variance_changes_nothing(model_file: Path) -> None:
    calls = {
        "WEAR_SURVIVAL": (60_000,), "WEAR_HAZARD": (60_000,), "WEAR_LIFE_AT": (0.1,), "WEAR_MEAN_LIFE": (),
        "WEAR_FAIL_WITHIN": (60_000, 20_000), "WEAR_REMAINING": (60_000,), "WEAR_COST_RATE": (60_000,),
        "WEAR_DEMAND": (60_000, 100_000), "WEAR_BUDGET": (40, 30_000, 60_000), "WEAR_INSPECT_EVERY": (10_000, 8),
    }  # fmt: skip
    write_with(1e-10, model_file)
    nearly = {name: getattr(functions, name)("u_joint", *rest) for name, rest in calls.items()}
    write_with(0.0, model_file)
    for name, rest in calls.items():
        assert nearly[name] == pytest.approx(getattr(functions, name)("u_joint", *rest), rel=1e-7), name
