"""Checks of tubular shafts whose tubes `fleet.toml` describes: the table `shaft_checks`."""

import math
from collections.abc import Mapping

import numpy as np
import pandas as pd

from wearmodel.driveline.angles import Geometry, ShaftLine
from wearmodel.driveline.shafts import (
    MATERIALS,
    LineTubes,
    ShaftLimits,
    critical_speed,
    torsional_stress,
    tube_twist,
)

__all__ = ["SHAFT_CHECK_COLUMNS", "build_shaft_checks"]

SHAFT_CHECK_COLUMNS = (
    "vehicle_class", "line", "shaft", "length", "outer_diameter", "wall", "material", "critical_speed", "top_speed",
    "speed_share", "torsional_stress", "twist", "remark",
)  # fmt: skip


def build_shaft_checks(geometry: Mapping[str, Geometry], *, limits: ShaftLimits) -> pd.DataFrame:
    """Table `shaft_checks`.

    Parameters
    ----------
    geometry : mapping of str to Geometry
        By vehicle class.
    limits : ShaftLimits
        From where on a shaft gets a remark.

    Returns
    -------
    pandas.DataFrame
        One row a shaft with known tube: columns `SHAFT_CHECK_COLUMNS`; `shaft` counts from the driving end, lengths,
        diameters and walls [mm], speeds [rpm], `speed_share` of the critical speed at top speed [-],
        `torsional_stress` [MPa] and `twist` [deg] at peak torque; NaN where top speed or peak torque is not known.
    """
    rows = [
        row
        for name, own in geometry.items()
        for prefix, line in own.shaft_lines.items()
        if line.tubes is not None and line.tubes.outer_diameters
        for row in _line_rows(name, prefix, line, line.tubes, limits)
    ]
    return pd.DataFrame(rows, columns=list(SHAFT_CHECK_COLUMNS))


def _line_rows(
    name: str, prefix: str, line: ShaftLine, tubes: LineTubes, limits: ShaftLimits
) -> list[tuple[object, ...]]:
    """Rows of one line of shafts."""
    material = MATERIALS[tubes.material]
    outer, wall = np.array(tubes.outer_diameters), np.array(tubes.walls)
    length = np.array(line.shaft_lengths)
    critical = critical_speed(
        outer, wall=wall, length=length, youngs_modulus=material.youngs_modulus, density=material.density
    )
    share = tubes.top_speed / critical
    stress = twist = np.full(len(length), np.nan)
    if not math.isnan(tubes.peak_torque):
        stress = torsional_stress(tubes.peak_torque, outer_diameter=outer, wall=wall)
        twist = tube_twist(
            tubes.peak_torque, outer_diameter=outer, wall=wall, length=length, shear_modulus=material.shear_modulus
        )
    return [
        (
            name, prefix, at + 1, length[at], outer[at], wall[at], tubes.material, critical[at], tubes.top_speed,
            share[at], stress[at], twist[at], _remark(share[at], stress[at], limits),
        )
        for at in range(len(length))
    ]  # fmt: skip


def _remark(share: float, stress: float, limits: ShaftLimits) -> str:
    """What the limits say of one shaft; empty where they say nothing."""
    said = []
    if share > limits.critical_speed_share:
        said.append(f"top speed is above {limits.critical_speed_share:.0%} of the critical speed")
    elif share <= limits.critical_speed_share:
        said.append(f"top speed is within {limits.critical_speed_share:.0%} of the critical speed")
    if stress > limits.torsional_stress:
        said.append(f"torsional stress is above {limits.torsional_stress:g} MPa")
    return "; ".join(said)
