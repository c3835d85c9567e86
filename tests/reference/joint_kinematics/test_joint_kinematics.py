"""Sources of every figure: the README beside this file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.driveline.kinematics import (
    angle_error,
    compound_angle,
    peak_acceleration,
    speed_ratio,
    speed_ripple,
)

TABLE = pd.read_csv(Path(__file__).parent / "cardan_joint.csv")
HALF_LAST_PLACE = 5e-7


def test_speed_ratio_at_its_extremes() -> None:
    # Source: angle relation differentiated numerically; text: Seherr-Thoss et al. (2006), section 1.2.1.
    joint = TABLE["angle"]
    assert speed_ratio(joint, rotation=0.0) == pytest.approx(TABLE["ratio_max"], abs=HALF_LAST_PLACE)
    assert speed_ratio(joint, rotation=90.0) == pytest.approx(TABLE["ratio_min"], abs=HALF_LAST_PLACE)


@pytest.mark.parametrize(
    ("joint", "ratios"),
    [
        (10.0, [1.015427, 1.007595, 0.999883, 0.992288, 0.984808]),
        (30.0, [1.154701, 1.065877, 0.989743, 0.923760, 0.866025]),
    ],
)
def test_speed_ratio_through_the_turn(joint: float, ratios: list[float]) -> None:
    # Source: as above.
    turn = [0.0, 30.0, 45.0, 60.0, 90.0]
    assert speed_ratio(joint, rotation=turn) == pytest.approx(ratios, abs=HALF_LAST_PLACE)


def test_speed_ripple() -> None:
    # Source: formula on a published driveshaft handbook page; figures as above.
    assert speed_ripple(TABLE["angle"]) == pytest.approx(TABLE["ripple"], abs=HALF_LAST_PLACE)


def test_angle_error() -> None:
    # Source: angle relation, its greatest lag found numerically.
    assert angle_error(TABLE["angle"]) == pytest.approx(TABLE["angle_error"], abs=HALF_LAST_PLACE)


def test_peak_acceleration_from_the_speed_ratio() -> None:
    # Source: angle relation differentiated twice; here the speed ratio is differentiated once.
    turn = np.linspace(0.0, 180.0, 36_001)
    ratio = speed_ratio(TABLE["angle"].to_numpy()[:, None], rotation=turn)
    peak = np.abs(np.gradient(ratio, np.radians(turn), axis=1)).max(axis=1)
    assert peak == pytest.approx(TABLE["peak_acceleration"], abs=HALF_LAST_PLACE)


def test_peak_acceleration_in_closed_form() -> None:
    # Source: as above; at 60 / (2 pi) rpm the shaft turns by one radian a second.
    peak = peak_acceleration(TABLE["angle"], speed=60.0 / (2.0 * np.pi))
    assert peak == pytest.approx(TABLE["peak_acceleration"], abs=HALF_LAST_PLACE)


def test_published_design_limit_is_three_degrees() -> None:
    # Source: driveshaft maker's technical notes (elbe group), section 3: residual ripple at most 0.0027.
    assert round(float(speed_ripple(3.0)), 4) == 0.0027


@pytest.mark.parametrize(
    ("side", "plan", "joint"),
    [(3.0, 4.0, 4.994169), (5.0, 2.0, 5.381408), (6.0, 8.0, 9.953783), (10.0, 10.0, 14.001942)],
)
def test_compound_angle(side: float, plan: float, joint: float) -> None:
    # Source: dot product of the two shaft axes.
    assert compound_angle(side, plan) == pytest.approx(joint, abs=HALF_LAST_PLACE)
