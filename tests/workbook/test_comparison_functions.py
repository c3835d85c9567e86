"""The workbook functions that hold ride heights and parts against one another, and what they say to bad cells."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
from scipy import integrate

from wearmodel.survival.model import life_ratio_band
from wearmodel.survival.store import write_model
from workbook import functions
from workbook.example_model import EXAMPLE_MODEL


@pytest.fixture(autouse=True)
def model_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    path = tmp_path / "model.json"
    write_model(EXAMPLE_MODEL, path)
    monkeypatch.setenv("WEAR_MODEL", str(path))
    yield path


def rate(*, duty: str = "fleet", lift: float = 0.0, planned: float = 150.0, failed: float = 600.0) -> float:
    """Cost per 1000 km at the recommended interval, by two other functions."""
    interval = functions.WEAR_INTERVAL("u_joint", duty, lift, planned, failed)
    return 1000.0 * float(functions.WEAR_COST_RATE("u_joint", interval, duty, lift, planned, failed))


def test_limits_of_the_life_ratio_are_those_of_its_band() -> None:
    band = life_ratio_band(EXAMPLE_MODEL.components["u_joint"], lift=75.0, confidence=0.9)
    assert functions.WEAR_LIFT_EFFECT_LIMIT("u_joint", 75, 0.05) == pytest.approx(float(band.low))
    assert functions.WEAR_LIFT_EFFECT_LIMIT("u_joint", 75, 0.95) == pytest.approx(float(band.high))
    middle = functions.WEAR_LIFT_EFFECT("u_joint", 75)
    assert functions.WEAR_LIFT_EFFECT_LIMIT("u_joint", 75, 0.5) == pytest.approx(middle)
    assert functions.WEAR_LIFT_EFFECT_LIMIT("u_joint", 0, 0.05) == pytest.approx(1.0)


@pytest.mark.parametrize("duty", ["fleet", "site"])
def test_extra_cost_of_a_lift_is_the_difference_of_two_rates(duty: str) -> None:
    found = functions.WEAR_LIFT_EXTRA_COST("u_joint", [[75], [0]], duty)
    assert found[0][0] == pytest.approx(rate(duty=duty, lift=75.0) - rate(duty=duty))
    assert found[1][0] == pytest.approx(0.0, abs=1e-12)
    assert functions.WEAR_LIFT_EXTRA_COST("u_joint", 75, duty, 100, 900) == pytest.approx(
        rate(duty=duty, lift=75.0, planned=100, failed=900) - rate(duty=duty, planned=100, failed=900)
    )


def test_another_part_that_is_the_same_costs_the_same_and_longer_life_pays() -> None:
    assert functions.WEAR_PART_EXTRA_COST("u_joint", 1, 0) == pytest.approx(0.0, abs=1e-12)
    longer = [functions.WEAR_PART_EXTRA_COST("u_joint", ratio, 0) for ratio in (1.1, 1.5, 2.0)]
    assert longer == sorted(longer, reverse=True)
    assert longer[0] < 0
    # Life as at 75 mm is life times the lift's effect.
    effect = functions.WEAR_LIFT_EFFECT("u_joint", 75)
    assert functions.WEAR_PART_EXTRA_COST("u_joint", effect, 0) == pytest.approx(
        functions.WEAR_LIFT_EXTRA_COST("u_joint", 75)
    )
    assert functions.WEAR_PART_EXTRA_COST("u_joint", 1, 40) == pytest.approx(
        rate(planned=190.0, failed=640.0) - rate(), abs=0.02
    )


def test_mean_life_within_is_the_area_below_the_curve() -> None:
    area, _ = integrate.quad(lambda t: float(functions.WEAR_SURVIVAL("u_joint", t, "site", 75)), 0.0, 50_000.0)
    assert functions.WEAR_MEAN_LIFE_WITHIN("u_joint", 50_000, "site", 75) == pytest.approx(area, rel=1e-7)
    assert functions.WEAR_MEAN_LIFE_WITHIN("u_joint", 0) == 0.0
    limits = functions.WEAR_MEAN_LIFE_WITHIN("u_joint", [[1e4], [1e5], [1e7]])
    assert np.diff([row[0] for row in limits]).min() > 0
    assert limits[2][0] == pytest.approx(functions.WEAR_MEAN_LIFE("u_joint"), rel=1e-6)


def test_bad_cells_are_one_line_in_their_row() -> None:
    table = functions.WEAR_LIFT_EFFECT_LIMIT("u_joint", 75, [[0.05], [1], ["much"]])
    assert isinstance(table[0][0], float)
    assert "chance" in table[1][0]
    assert "chance" in table[2][0]
    assert "extra_price" in functions.WEAR_PART_EXTRA_COST("u_joint", 1.2, -200)
    assert "too few failures" in functions.WEAR_LIFT_EXTRA_COST("slip_spline", 75)
    assert "duty" in functions.WEAR_LIFT_EFFECT_LIMIT("u_joint", 75, 0.1, "sea")
