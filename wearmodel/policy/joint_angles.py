"""Joint angles of each vehicle class at each lift: the table `angles`."""

from collections.abc import Mapping

import numpy as np
import pandas as pd

from wearmodel.driveline.angle_limits import ANGLE_LIMITS, AngleLimits, angle_remark
from wearmodel.driveline.angles import Geometry, joint_angle, joint_swing
from wearmodel.driveline.kinematics import speed_ripple
from wearmodel.driveline.layouts import positions_of

__all__ = ["build_angles"]

#: Joints whose speed ripples with the angle; constant-velocity joints do not, by design.
_CROSS_JOINTS = frozenset({"u_joint", "steering_joint"})
_JOINTS = frozenset({"u_joint", "steering_joint", "cv_joint_outboard", "cv_joint_inboard"})


def build_angles(
    vehicles: pd.DataFrame,
    *,
    geometry: Mapping[str, Geometry],
    layouts: Mapping[str, Mapping[str, str]],
    levels: tuple[float, ...],
    limits: Mapping[str, AngleLimits] = ANGLE_LIMITS,
) -> pd.DataFrame:
    """Angle, ripple and remark of each joint by class and lift.

    Parameters
    ----------
    vehicles : pandas.DataFrame
        Clean table.
    geometry : mapping of str to Geometry
        By vehicle class.
    layouts : mapping
        Driveline layouts.
    levels : tuple of float
        Lift levels to show [mm].
    limits : mapping of str to AngleLimits, optional
        By component code.

    Returns
    -------
    pandas.DataFrame
        Columns `vehicle_class, driveline, position, component, lift` [mm]`, angle` [deg]`, ripple` [-]`,
        remark`; joints only, classes with geometry only. Ripple is blank for constant-velocity joints.
    """
    rows = []
    kinds = vehicles[["vehicle_class", "driveline"]].drop_duplicates().sort_values(["vehicle_class", "driveline"])
    for vehicle_class, driveline in kinds.itertuples(index=False):
        known = geometry.get(vehicle_class)
        if known is None:
            continue
        for position, component in positions_of(driveline, layouts).items():
            swing = joint_swing(position, driveline=driveline, geometry=known, layouts=layouts)
            if swing is None or component not in _JOINTS:
                continue
            for lift in levels:
                angle = float(joint_angle(swing.angle, length=swing.length, lift=lift))
                ripple = float(speed_ripple(angle)) if component in _CROSS_JOINTS else np.nan
                remark = angle_remark(angle, component=component, limits=limits)
                rows.append((vehicle_class, driveline, position, component, lift, angle, ripple, remark))
    names = ["vehicle_class", "driveline", "position", "component", "lift", "angle", "ripple", "remark"]
    return pd.DataFrame(rows, columns=names)
