"""Sections `[geometry]`, `[angle_limits]` and `[shaft_limits]` of fleet.toml."""

from pathlib import Path

import pytest

from wearmodel.driveline.angle_limits import ANGLE_LIMITS, AngleLimits
from wearmodel.driveline.shafts import LineTubes, ShaftLimits
from wearmodel.errors import InputError
from wearmodel.intake.fleet_toml.settings import FleetSettings, read_settings

LINE = "[geometry.van]\nrear.shaft_lengths = [760, 1040]\nrear.joint_angles = [1, 2, 3]\n"


def read(folder: Path, text: str) -> FleetSettings:
    (folder / "fleet.toml").write_text(text, encoding="utf-8")
    return read_settings(folder)


def test_everything_on_a_line_is_kept(tmp_path: Path) -> None:
    found = read(
        tmp_path,
        LINE + "rear.yoke_twists = [0, 90]\nrear.tube_diameter = 76.2\nrear.tube_wall = [2.1, 2.4]\n"
        "rear.tube_material = 'aluminium'\nrear.top_speed_rpm = 4200\nrear.peak_torque = 1500\n",
    )
    line = found.geometry["van"].shaft_lines["rear"]
    assert line.yoke_twists == (0.0, 90.0)
    assert line.tubes == LineTubes((76.2, 76.2), (2.1, 2.4), "aluminium", 4200.0, 1500.0)
    assert found.notes == ()


def test_a_line_without_tubes_has_none(tmp_path: Path) -> None:
    assert read(tmp_path, LINE).geometry["van"].shaft_lines["rear"].tubes is None
    fast = read(tmp_path, LINE + "rear.top_speed_rpm = 4200").geometry["van"].shaft_lines["rear"].tubes
    assert fast is not None
    assert fast.top_speed == 4200.0
    assert fast.outer_diameters == ()


IMPOSSIBLE = [
    (
        "rear.shaft_lengths = [0, 1000]\nrear.joint_angles = [1, 2, 3]",
        "rear.shaft_lengths: 0 is out of range; a number more than 0 to 20,000 is needed here",
    ),
    (
        "rear.shaft_lengths = [-5]\nrear.joint_angles = [1, 2]",
        "rear.shaft_lengths: -5 is out of range; a number more than 0 to 20,000 is needed here",
    ),
    (
        "rear.shaft_lengths = [1000]\nrear.joint_angles = [1, 95]",
        "rear.joint_angles: 95 is out of range; a number from -89 to 89 is needed here",
    ),
    (
        "half_shaft_length = 400\nhalf_shaft_angle = -90",
        "half_shaft_angle: -90 is out of range; a number from -89 to 89 is needed here",
    ),
    (
        "half_shaft_length = 0\nhalf_shaft_angle = 4",
        "half_shaft_length: 0 is out of range; a number more than 0 to 5,000 is needed here",
    ),
]


@pytest.mark.parametrize(("text", "sentence"), IMPOSSIBLE)
def test_an_impossible_figure_is_one_sentence_and_leaves_out_the_class(
    tmp_path: Path, text: str, sentence: str
) -> None:
    found = read(tmp_path, f"{LINE}[geometry.truck]\n{text}\n")
    whole = f"fleet.toml, key geometry.truck.{sentence}, and until then no angle of that class is used."
    assert found.notes == (whole,)
    assert set(found.geometry) == {"van"}


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("rear.tube_diameter = 0\nrear.tube_wall = 2", "rear.tube_diameter: 0 is out of range"),
        ("rear.tube_diameter = [80, -1]\nrear.tube_wall = 2", "rear.tube_diameter: -1 is out of range"),
        ("rear.tube_diameter = 80\nrear.tube_wall = 41", "rear.tube_wall: 41 is beyond the radius of a tube of 80"),
        ("rear.top_speed_rpm = 0", "rear.top_speed_rpm: 0 is out of range"),
        ("rear.peak_torque = -3", "rear.peak_torque: -3 is out of range"),
    ],
)
def test_an_impossible_tube_leaves_the_angles(tmp_path: Path, text: str, sentence: str) -> None:
    found = read(tmp_path, LINE + text)
    assert {note.startswith(f"fleet.toml, key geometry.van.{sentence}") for note in found.notes} == {True}
    assert all(note.endswith("until then the shafts of that line are not checked.") for note in found.notes)
    assert found.geometry["van"].shaft_lines["rear"].tubes is None


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (LINE + "rear.tube_diametre = 80", "rear.tube_diametre: not a known key (nearest: 'tube_diameter')"),
        (LINE + "rear.tube_diameter = 80", "tube_diameter: stands alone; give tube_diameter and tube_wall together"),
        (LINE + "rear.tube_diameter = [80]\nrear.tube_wall = 2", "rear.tube_diameter: 1 numbers for 2 shafts"),
        (LINE + "rear.tube_wall = 'thin'", "rear.tube_wall: 'thin' is not a number"),
        (LINE + "rear.yoke_twists = [90]", "rear.yoke_twists: 1 twists for 2 shafts; give one twist a shaft"),
        (
            LINE + "rear.tube_diameter = 80\nrear.tube_wall = 2\nrear.tube_material = 'lead'",
            "rear.tube_material: 'lead' is not one of 'steel', 'aluminium'",
        ),
        ("[angle_limits.u_jiont]\nhigh = 8", "angle_limits.u_jiont: not a known key (nearest: 'u_joint')"),
        ("[angle_limits.cv_boot_inboard]\nhigh = 8", "angle_limits.cv_boot_inboard: not a known key"),
        ("[angle_limits.u_joint]\nbest = 8", "angle_limits.u_joint.best: not a known key"),
        ("[angle_limits.u_joint]\nhigh = 95", "angle_limits.u_joint.high: 95 is out of range"),
        (
            "[angle_limits.u_joint]\nhigh = 3",
            "angle_limits.u_joint.high: straight 0.5, best_low 2, best_high 4, high 3 do not rise",
        ),
        ("[angle_limits.steering_joint]\nstraight = 1", "angle_limits.steering_joint.high: is missing"),
        ("[angle_limits.steering_joint]\nhigh = 30\nbest_low = 1", "best_low: stands alone"),
        ("[shaft_limits]\ncritical_share = 0.7", "shaft_limits.critical_share: not a known key"),
        ("[shaft_limits]\ncritical_speed_share = 0", "shaft_limits.critical_speed_share: 0 is out of range"),
    ],
)
def test_what_is_misspelt_is_refused(tmp_path: Path, text: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)
    assert message in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_limits_by_default_are_common_practice_and_named_as_defaults(tmp_path: Path) -> None:
    found = read(tmp_path, "")
    assert dict(found.angle_limits) == dict(ANGLE_LIMITS)
    assert found.shaft_limits.critical_speed_share == ShaftLimits().critical_speed_share
    assert {name for name in found.defaults if "limits" in name} == {
        *(f"angle_limits.u_joint.{key}" for key in ("straight", "best_low", "best_high", "high")),
        *("angle_limits.cv_joint_outboard.high", "angle_limits.cv_joint_inboard.high"),
        *("shaft_limits.critical_speed_share", "shaft_limits.residual_ripple"),
    }


def test_limits_of_the_fleet(tmp_path: Path) -> None:
    found = read(
        tmp_path,
        "[angle_limits.u_joint]\nhigh = 8\n[angle_limits.pto_joint]\nhigh = 15\n[components.pto_joint]\nlabel = 'PTO'\n"
        "[shaft_limits]\ntorsional_stress = 120\n",
    )
    assert found.angle_limits["u_joint"] == AngleLimits(8.0, 0.5, 2.0, 4.0)
    assert found.angle_limits["pto_joint"].high == 15.0
    assert "angle_limits.u_joint.high" not in found.defaults
    assert "angle_limits.u_joint.best_low" in found.defaults
    assert found.shaft_limits.torsional_stress == 120.0
