"""Steps of lift and angle beside the fitted form, where it is true and where it is not."""

import math

import numpy as np
import pandas as pd
import pytest

from wearmodel.driveline.angles import joint_angle
from wearmodel.policy.comparison.dose_response import build_dose_response
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import build_component_lives
from wearmodel.survival.model import LifeModel

CODE, SHAPE = "cv_joint_outboard", 2.4
LEVELS = (0.0, 40.0, 80.0, 120.0)
ANGLE, LENGTH = 4.0, 420.0
SLOPE = -0.05


def table_of(seed, effect, *, geometry=True, count=2_000, levels=LEVELS):
    """Joints at four heights whose log life is an effect of lift and angle."""
    rng = np.random.default_rng(seed)
    lift = rng.choice(levels, count)
    angle = joint_angle(ANGLE, length=LENGTH, lift=lift)
    life = np.exp(effect(lift, angle)) * rng.weibull(SHAPE, count)
    end = rng.uniform(0.3, 1.5, count)
    stop = np.minimum(life, end)
    lives = pd.DataFrame(
        {
            "component": CODE, "vehicle": np.arange(count) // 2, "position": "left", "start_day": 0.0, "entry": 0.0,
            "stop_low": stop, "stop_high": np.where(life <= end, stop, np.inf), "weight": 1.0, "chance": 1.0,
            "usable": True, "age_known": True, "silent": 0.0, "look_gap": 0.0,
        }
    )  # fmt: skip
    segments = pd.DataFrame({"life": np.arange(count), "age_from": 0.0, "age_to": np.inf, "lift": lift})
    traits = pd.DataFrame(
        {
            "duty": "town", "vehicle_class": "van", "place": "left", "make": "", "build": "", "greasing": "",
            "angle": ANGLE if geometry else np.nan, "length": LENGTH if geometry else np.nan, "described": geometry,
        },
        index=range(count),
    )  # fmt: skip
    mine = build_component_lives(CODE, lives=lives, segments=segments, traits=traits, lifts=levels, other_rate=0.0)
    models = fit_components({CODE: mine}, labels={CODE: "Joint"}, clocks={CODE: "km"})
    fleet = LifeModel(models, "km", "EUR", "2026-06-30", math.nan, 0.9, {}, "")
    return build_dose_response(
        fleet, coded={CODE: mine}, lives=lives, segments=segments, traits=traits, levels=levels
    ), lives, lift


def by_angle(lift, angle):
    return SLOPE * (angle - ANGLE)


def only_high(lift, angle):
    """No loss at all up to 80 mm, half the life at 120: no straight line in the angle."""
    return np.where(lift > 100.0, -0.7, 0.0)


def test_steps_follow_the_form_where_it_is_true():
    chances = []
    for seed in range(20):
        table, _, _ = table_of(seed, by_angle)
        mine = table[table["over"] == "lift"]
        assert mine["middle"].tolist() == list(LEVELS)
        chances.append(float(mine["p_value"].iloc[0]))
        for row in mine.iloc[1:].itertuples():
            truth = math.exp(by_angle(row.middle, float(joint_angle(ANGLE, length=LENGTH, lift=row.middle))))
            assert row.life_ratio == pytest.approx(truth, rel=0.15)
            assert row.steps_ratio == pytest.approx(truth, rel=0.2)
            assert row.steps_lower < row.steps_ratio < row.steps_upper
    # Uniform where the form is true: fewer than 5 of 20 below 0.25 or above 0.75 has a chance below 1 in 50 each.
    assert 0.3 < np.mean(chances) < 0.7
    assert np.mean(np.array(chances) < 0.05) <= 0.2


def test_steps_show_where_the_form_is_not_true():
    table, _, _ = table_of(3, only_high)
    for over in ("lift", "angle"):
        mine = table[table["over"] == over]
        assert (mine["p_value"] < 0.01).all()
        assert "do not follow the fitted form" in mine["note"].iloc[0]
    steps = table[table["over"] == "lift"].set_index("middle")
    assert steps.loc[80.0, "steps_ratio"] == pytest.approx(1.0, abs=0.1)
    assert steps.loc[120.0, "steps_ratio"] == pytest.approx(0.5, abs=0.06)
    assert steps.loc[80.0, "life_ratio"] < 0.85


def test_counts_are_those_of_the_record():
    table, lives, lift = table_of(1, by_angle)
    failed = np.isfinite(lives["stop_high"].to_numpy())
    for row in table[table["over"] == "lift"].itertuples():
        assert row.lives == (lift == row.middle).sum()
        assert row.failures == failed[lift == row.middle].sum()
    angles = table[table["over"] == "angle"]
    assert angles["failures"].sum() == failed.sum()
    assert (angles["low"].iloc[1:].to_numpy() > angles["high"].iloc[:-1].to_numpy()).all()


def test_without_geometry_lift_alone_is_laid_out():
    table, _, _ = table_of(2, lambda lift, angle: -0.4 * lift / 100.0, geometry=False)
    assert set(table["over"]) == {"lift"}
    assert table["life_ratio"].iloc[-1] == pytest.approx(math.exp(-0.48), rel=0.15)


def test_one_height_gives_no_steps():
    assert not table_of(2, by_angle, count=400)[0].empty
    assert table_of(2, by_angle, count=400, levels=LEVELS[:1])[0].empty
