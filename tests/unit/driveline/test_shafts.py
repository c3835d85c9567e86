import numpy as np
import pytest

from wearmodel.driveline.shafts import critical_speed, torsional_stress, tube_twist

GOOD = {"outer_diameter": 80.0, "wall": 2.0, "length": 1200.0, "torque": 900.0}


def speed(**change: float) -> float:
    given = {**GOOD, **change}
    given.pop("torque")
    return float(critical_speed(given.pop("outer_diameter"), **given))


def stress(**change: float) -> float:
    given = {**GOOD, **change}
    given.pop("length")
    return float(torsional_stress(given.pop("torque"), **given))


def twist(**change: float) -> float:
    given = {**GOOD, **change}
    return float(tube_twist(given.pop("torque"), **given))


def test_half_the_length_four_times_the_critical_speed() -> None:
    assert speed(length=600.0) == pytest.approx(4.0 * speed())


def test_a_wall_of_the_radius_is_a_solid_bar() -> None:
    solid = 16.0 * 900.0 / (np.pi * 0.08**3) / 1e6
    assert stress(wall=40.0) == pytest.approx(solid)


def test_no_torque_no_stress_and_no_twist() -> None:
    assert (stress(torque=0.0), twist(torque=0.0)) == (0.0, 0.0)


def test_arrays_broadcast() -> None:
    assert critical_speed([[70.0], [80.0]], wall=[2.0, 3.0, 4.0], length=1000.0).shape == (2, 3)


@pytest.mark.parametrize("call", [speed, stress, twist])
@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"outer_diameter": 0.0}, "a tube diameter must be above 0 mm"),
        ({"outer_diameter": -80.0}, "a tube diameter must be above 0 mm"),
        ({"wall": 0.0}, "a tube wall must be above 0 mm"),
        ({"wall": float("nan")}, "a tube wall must be above 0 mm"),
        ({"wall": 40.1}, "must not be beyond the radius"),
    ],
)
def test_impossible_tubes_are_refused(call, change: dict[str, float], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        call(**change)


@pytest.mark.parametrize("call", [speed, twist])
@pytest.mark.parametrize("length", [0.0, -1.0])
def test_shafts_of_no_length_are_refused(call, length: float) -> None:
    with pytest.raises(ValueError, match="a shaft length must be above 0 mm"):
        call(length=length)


@pytest.mark.parametrize("call", [stress, twist])
def test_negative_torque_is_refused(call) -> None:
    with pytest.raises(ValueError, match="0 N m or more"):
        call(torque=-1.0)


def test_impossible_materials_are_refused() -> None:
    with pytest.raises(ValueError, match="Young's modulus must be above 0 GPa"):
        speed(youngs_modulus=0.0)
    with pytest.raises(ValueError, match="a density must be above 0"):
        speed(density=-1.0)
    with pytest.raises(ValueError, match="a shear modulus must be above 0 GPa"):
        twist(shear_modulus=0.0)
