"""How far can vehicles be raised: the demo's tables against the truth it was made from, and impossible geometry."""

import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from wearmodel.cli import main

ROOT = Path(__file__).parents[2]
NAMES = ("ride_heights", "ride_height_limits", "shaft_checks")


def test_angles_agree_with_the_table_of_the_fleets_own_lifts(demo) -> None:
    keys = ["vehicle_class", "driveline", "position", "lift"]
    both = demo.tables["angles"].merge(demo.tables["ride_heights"], on=keys, suffixes=("", "_there"))
    assert len(both) > 100
    assert np.allclose(both["angle"], both["angle_there"])
    assert np.allclose(both["ripple"], both["ripple_there"], equal_nan=True)
    assert (both["remark"] == both["remark_there"]).all()


def test_life_ratios_of_the_demo_against_its_truth(demo) -> None:
    # The invented fleet's laws are known: a true life ratio is exp(true effect x change of the true height value).
    truth = json.loads((ROOT / "data" / "demo" / "truth.json").read_text(encoding="utf-8"))["components"]
    heights = demo.tables["ride_heights"]
    rows = heights[(heights["lift"] == 75.0) & heights["life_ratio"].notna()]
    factory = heights[heights["lift"] == 0.0].set_index(["vehicle_class", "driveline", "position"])["angle"]
    before = rows.join(factory.rename("before"), on=["vehicle_class", "driveline", "position"])["before"]
    moved = rows["angle"] > before
    rows, before = rows[moved], before[moved]
    true = np.array(
        [
            true_ratio(truth[row.component], row.angle, angle)
            for row, angle in zip(rows.itertuples(), before, strict=True)
        ]
    )
    inside = (rows["lower"] <= true) & (true <= rows["upper"])
    share = inside.groupby(rows["component"]).mean()
    # 90 % intervals of seven coefficients: four or more of them hold with a chance of 99.7 %.
    assert (share > 0.5).sum() >= 4


def true_ratio(law: dict, angle: float, before: float) -> float:
    """Life at an angle over life at the angle before, by the law the fleet was drawn from."""
    if law["angle_form"] == "log_angle":
        return float((max(before, 1.0) / max(angle, 1.0)) ** law["angle_coefficient"])
    assert law["angle_form"] == "angle"
    return float(np.exp(-law["angle_coefficient"] * (angle - before)))


def test_steps_reach_beyond_the_highest_lift_and_say_so(demo) -> None:
    heights = demo.tables["ride_heights"]
    assert heights["lift"].min() == 0.0
    assert heights["lift"].max() == 150.0
    assert heights.loc[heights["lift"] > 100.0, "record"].str.contains("beyond what the record saw").all()
    assert not heights.loc[heights["lift"] == 0.0, "record"].any()


def test_one_answer_a_class(demo) -> None:
    limits = demo.tables["ride_height_limits"]
    assert limits["vehicle_class"].is_unique
    assert set(limits["vehicle_class"]) == set(demo.settings.geometry)
    assert limits["sentence"].str.endswith(".").all()


def test_limits_are_in_the_assumptions_as_defaults(demo) -> None:
    said = demo.tables["assumptions"].set_index("name")
    assert said.loc["angle_limits.u_joint.high", ["value", "unit", "source"]].tolist() == [10.0, "deg", "default"]
    assert "Common practice, no source." in said.loc["angle_limits.cv_joint_inboard.high", "meaning"]
    assert said.loc["shaft_limits.critical_speed_share", "source"] == "default"


@pytest.fixture
def fleet(tmp_path: Path) -> Path:
    folder = tmp_path / "fleet"
    assert main(["simulate", str(folder), "--vehicles", "25", "--years", "4", "--seed", "11", "--clean"]) == 0
    return folder


def test_impossible_geometry_is_a_sentence_and_the_plan_is_made(fleet: Path, tmp_path: Path, capsys) -> None:
    path = fleet / "fleet.toml"
    text = path.read_text(encoding="utf-8")
    wrong = text.replace("rear.joint_angles = [1.5, 2.0, 2.5]", "rear.joint_angles = [1.5, 2.0, 92.5]")
    wrong = wrong.replace("rear.shaft_lengths = [1180.0]", "rear.shaft_lengths = [0.0]")
    assert wrong.count("92.5") == wrong.count("[0.0]") == 1
    path.write_text(wrong, encoding="utf-8")
    capsys.readouterr()
    tables = tmp_path / "tables"
    assert main(["plan", str(fleet), "--out", str(tmp_path / "p.xlsx"), "--tables", str(tables)]) == 0
    said = capsys.readouterr().out
    for key, value in (("crew_truck.rear.joint_angles", "92.5"), ("utility_4x4.rear.shaft_lengths", "0")):
        line = f"Note: fleet.toml, key geometry.{key}: {value} is out of range"
        assert sum(line in row for row in said.splitlines()) == 1
    heights = pd.read_csv(tables / "ride_heights.csv")
    assert not {"crew_truck", "utility_4x4"} & set(heights["vehicle_class"])
    assert len(heights) > 0
    assert len(pd.read_csv(tables / "due.csv")) > 0


def test_tubes_are_checked_and_all_tables_written(fleet: Path, tmp_path: Path) -> None:
    path = fleet / "fleet.toml"
    text = path.read_text(encoding="utf-8")
    more = "\nrear.tube_diameter = 76.2\nrear.tube_wall = 2.1\nrear.top_speed_rpm = 5200\nrear.peak_torque = 1500\n"
    path.write_text(text.replace("[geometry.crew_truck]", f"[geometry.crew_truck]{more}"), encoding="utf-8")
    tables = tmp_path / "tables"
    assert main(["plan", str(fleet), "--out", str(tmp_path / "p.xlsx"), "--tables", str(tables)]) == 0
    assert {f"{name}.csv" for name in NAMES} <= {found.name for found in tables.iterdir()}
    checks = pd.read_csv(tables / "shaft_checks.csv")
    assert checks["shaft"].tolist() == [1, 2]
    assert (checks["vehicle_class"] == "crew_truck").all()
    heights = pd.read_csv(tables / "ride_heights.csv")
    crew = heights[(heights["vehicle_class"] == "crew_truck") & (heights["component"] == "u_joint")]
    assert crew["acceleration"].gt(0.0).all()
