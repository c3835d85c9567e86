"""Greasing on simulated fleet folders, from the words of the lines to the effect (`greasing_fleets.py`)."""

import math

import numpy as np
import pytest
from greasing_fleets import study, write_fleet

from wearmodel.intake.fleet import read_fleet
from wearmodel.plan import build_plan

FLEETS = 20


@pytest.mark.parametrize("variance", [0.0, 0.4])
def test_an_effect_that_is_not_there_is_not_found(variance):
    found = study(FLEETS, 1.0, variance=variance)
    # At a rate of 10 % more than 5 of 20 would come once in 90 times.
    assert found["kept"].sum() <= 5
    assert abs(found["effect"].mean()) < 0.03
    assert found["held"].mean() >= 0.8
    assert abs(found["log shape"].mean()) < 0.02
    assert 0.4 < found["greased share"].mean() < 0.6
    # What a level by each life would make of the same fleets.
    assert found["by life"].mean() > 0.12


def test_joints_that_last_longer_where_they_are_greased_are_found():
    found = study(FLEETS, 1.5)
    assert found["kept"].all()
    error = found["effect"].std() / np.sqrt(FLEETS)
    assert abs(found["effect"].mean() - math.log(1.5)) < 0.02 + 2.6 * error
    assert found["held"].mean() >= 0.75
    assert abs(found["log shape"].mean()) < 0.02


def test_the_plan_says_so(tmp_path):
    write_fleet(tmp_path, np.random.default_rng(1), ratio=1.5, vehicles=60)
    plan = build_plan(read_fleet(tmp_path), months=3, seed=1, checks=False)
    (note,) = (note for note in plan.notes if "greased regularly" in note and note.startswith("u_joint"))
    assert "times as long as those seldom greased" in note
    fits = plan.tables["fits"]
    assert fits["parameter"].str.startswith("greasing:").any()
    assert "greasing_intervals" in set(plan.tables["assumptions"]["name"])
    (tmp_path / "fleet.toml").write_text("service_interval = 15000\ngreasing_intervals = 100\n", encoding="utf-8")
    lenient = build_plan(read_fleet(tmp_path), months=3, seed=1, checks=False)
    assert not any("greased regularly" in note for note in lenient.notes if note.startswith("u_joint"))
