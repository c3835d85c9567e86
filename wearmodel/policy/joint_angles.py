"""Joint angles of each vehicle class at each lift: the table `angles`."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearmodel.driveline.angle_limits import ANGLE_LIMITS, AngleLimits, angle_remark
from wearmodel.driveline.angles import Geometry, JointSwing, joint_angle, joint_swing
from wearmodel.driveline.kinematics import speed_ripple
from wearmodel.driveline.layouts import positions_of

__all__ = ["CROSS_JOINTS", "JointPlace", "build_angles", "find_places"]

#: Joints whose speed ripples with the angle; constant-velocity joints do not, by design.
CROSS_JOINTS = frozenset({"u_joint", "steering_joint"})
_JOINTS = frozenset({"u_joint", "steering_joint", "cv_joint_outboard", "cv_joint_inboard"})


@dataclass(frozen=True)
class JointPlace:
    """A position of a vehicle class whose angle the geometry tells.

    Parameters
    ----------
    vehicle_class, driveline, position, component : str
        Which one.
    swing : JointSwing
        Factory angle and the shaft that swings.
    """

    vehicle_class: str
    driveline: str
    position: str
    component: str
    swing: JointSwing


def find_places(
    vehicles: pd.DataFrame, *, geometry: Mapping[str, Geometry], layouts: Mapping[str, Mapping[str, str]]
) -> list[JointPlace]:
    """Every position of every vehicle class and driveline whose angle the geometry tells.

    Parameters
    ----------
    vehicles : pandas.DataFrame
        Clean table.
    geometry : mapping of str to Geometry
        By vehicle class.
    layouts : mapping
        Driveline layouts.

    Returns
    -------
    list of JointPlace
        Sorted by class and driveline, positions in the order of the layout.
    """
    kinds = vehicles[["vehicle_class", "driveline"]].drop_duplicates().sort_values(["vehicle_class", "driveline"])
    return [
        JointPlace(vehicle_class, driveline, position, component, swing)
        for vehicle_class, driveline in kinds.itertuples(index=False)
        if vehicle_class in geometry
        for position, component in positions_of(driveline, layouts).items()
        if (swing := joint_swing(position, driveline=driveline, geometry=geometry[vehicle_class], layouts=layouts))
    ]


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
    for place in find_places(vehicles, geometry=geometry, layouts=layouts):
        if place.component not in _JOINTS:
            continue
        for lift in levels:
            angle = float(joint_angle(place.swing.angle, length=place.swing.length, lift=lift))
            ripple = float(speed_ripple(angle)) if place.component in CROSS_JOINTS else np.nan
            remark = angle_remark(angle, component=place.component, limits=limits)
            where = (place.vehicle_class, place.driveline, place.position, place.component)
            rows.append((*where, lift, angle, ripple, remark))
    names = ["vehicle_class", "driveline", "position", "component", "lift", "angle", "ripple", "remark"]
    return pd.DataFrame(rows, columns=names)
