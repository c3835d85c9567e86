"""Sources of every figure: the README beside this file."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from scipy.linalg import eigh

from wearmodel.driveline.shafts import MATERIALS, critical_speed, torsional_stress, tube_twist

TABLE = pd.read_csv(Path(__file__).parent / "critical_speeds.csv")
HALF_LAST_PLACE = 5e-3
INCH, PSI, POUND_PER_CUBIC_INCH = 25.4, 6.894757e-6, 27679.9


def speeds(material: str) -> np.ndarray:
    own = MATERIALS[material]
    return critical_speed(
        TABLE["outer_diameter"], wall=TABLE["wall"], length=TABLE["length"],
        youngs_modulus=own.youngs_modulus, density=own.density,
    )  # fmt: skip


@pytest.mark.parametrize("material", ["steel", "aluminium"])
def test_critical_speeds(material: str) -> None:
    # Source: closed form, confirmed by a 40-element beam model.
    assert speeds(material) == pytest.approx(TABLE[material].to_numpy(), abs=HALF_LAST_PLACE)


def beam_model(outer: float, wall: float, length: float, modulus: float, density: float, elements: int = 24) -> float:
    """First critical speed [rpm] of a beam on simple supports, from cubic finite elements; SI units."""
    inner, step = outer - 2.0 * wall, length / elements
    area, moment = np.pi / 4.0 * (outer**2 - inner**2), np.pi / 64.0 * (outer**4 - inner**4)
    e, e2 = step, step**2
    stiff = modulus * moment / e**3 * np.array(
        [[12, 6 * e, -12, 6 * e], [6 * e, 4 * e2, -6 * e, 2 * e2], [-12, -6 * e, 12, -6 * e],
         [6 * e, 2 * e2, -6 * e, 4 * e2]]
    )  # fmt: skip
    mass = density * area * e / 420.0 * np.array(
        [[156, 22 * e, 54, -13 * e], [22 * e, 4 * e2, 13 * e, -3 * e2], [54, 13 * e, 156, -22 * e],
         [-13 * e, -3 * e2, -22 * e, 4 * e2]]
    )  # fmt: skip
    size = 2 * (elements + 1)
    whole_stiff, whole_mass = np.zeros((size, size)), np.zeros((size, size))
    for element in range(elements):
        part = slice(2 * element, 2 * element + 4)
        whole_stiff[part, part] += stiff
        whole_mass[part, part] += mass
    free = [i for i in range(size) if i not in (0, size - 2)]
    lowest = eigh(whole_stiff[np.ix_(free, free)], whole_mass[np.ix_(free, free)], eigvals_only=True)[0]
    return float(np.sqrt(lowest) * 60.0 / (2.0 * np.pi))


@pytest.mark.parametrize("material", ["steel", "aluminium"])
def test_critical_speeds_of_a_finite_element_beam(material: str) -> None:
    own = MATERIALS[material]
    beams = [
        beam_model(row.outer_diameter / 1e3, row.wall / 1e3, row.length / 1e3, own.youngs_modulus * 1e9, own.density)
        for row in TABLE.itertuples()
    ]
    # The error of such elements falls with the fourth power of their length: below 1e-6 with 24 of them.
    assert speeds(material) == pytest.approx(beams, rel=1e-6)


@pytest.mark.parametrize(("modulus", "coefficient"), [(30e6, 4.7667e6), (29e6, 4.6866e6)])
def test_coefficient_in_inches(modulus: float, coefficient: float) -> None:
    # Source: the inch form with the density 0.283 lb/in^3; D 3, wall 0.1, L 50 inches.
    speed = critical_speed(
        3.0 * INCH, wall=0.1 * INCH, length=50.0 * INCH,
        youngs_modulus=modulus * PSI, density=0.283 * POUND_PER_CUBIC_INCH,
    )  # fmt: skip
    assert speed == pytest.approx(coefficient * np.hypot(3.0, 2.8) / 50.0**2, rel=2e-5)


@pytest.mark.parametrize(("material", "coefficient"), [("steel", 1.20993344e8), ("aluminium", 1.19111529e8)])
def test_coefficient_in_millimetres(material: str, coefficient: float) -> None:
    # Source: closed form, mm and rpm.
    expected = coefficient * np.hypot(TABLE["outer_diameter"], TABLE["outer_diameter"] - 2.0 * TABLE["wall"])
    assert speeds(material) == pytest.approx((expected / TABLE["length"] ** 2).to_numpy(), rel=5e-9)


def test_torsion_of_a_tube() -> None:
    # Source: closed forms, figures in the README.
    assert torsional_stress(1500.0, outer_diameter=88.9, wall=2.1) == pytest.approx(61.7789528, abs=5e-8)
    twist = tube_twist(1500.0, outer_diameter=88.9, wall=2.1, length=1500.0)
    assert twist == pytest.approx(1.50629308, abs=5e-9)


@pytest.mark.parametrize(("outer", "wall"), [(88.9, 2.1), (60.0, 12.0), (40.0, 20.0)])
def test_torsion_integrated_over_the_wall(outer: float, wall: float) -> None:
    # Independent answer: strain grows with the radius; torque is the sum of stress x radius over thin rings.
    edges = np.linspace(outer / 2.0 - wall, outer / 2.0, 4001) / 1000.0
    middle, thick = (edges[1:] + edges[:-1]) / 2.0, np.diff(edges)
    twist_rate, shear = 0.02, 79.3e9
    torque = float(np.sum(shear * twist_rate * middle * middle * 2.0 * np.pi * middle * thick))
    outside = shear * twist_rate * outer / 2.0 / 1000.0
    assert torsional_stress(torque, outer_diameter=outer, wall=wall) == pytest.approx(outside / 1e6, rel=1e-6)
    twist = tube_twist(torque, outer_diameter=outer, wall=wall, length=900.0)
    assert twist == pytest.approx(np.degrees(twist_rate * 0.9), rel=1e-6)
