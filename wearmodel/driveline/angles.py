"""Working angle of each joint, and how far ride height changes it."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf

import numpy as np
import numpy.typing as npt

from wearmodel.driveline.layouts import LAYOUTS, positions_of
from wearmodel.driveline.shafts import LineTubes

__all__ = ["Geometry", "JointSwing", "ShaftLine", "check_geometry", "joint_angle", "joint_swing"]

_HALF_SHAFT_COMPONENTS = frozenset(
    {"cv_joint_outboard", "cv_joint_inboard", "cv_boot_outboard", "cv_boot_inboard"}
)


@dataclass(frozen=True)
class ShaftLine:
    """A line of shafts and the joints that connect them.

    Parameters
    ----------
    shaft_lengths : tuple of float
        Joint-to-joint length of each of n shafts, from the driving end [mm].
    joint_angles : tuple of float
        Angle of each of the n + 1 joints at factory ride height [deg].
    yoke_twists : tuple of float
        How far the second yoke of each shaft is turned against its first one; empty: all in line [deg].
    tubes : LineTubes, optional
        What the shafts are made of.
    """

    shaft_lengths: tuple[float, ...]
    joint_angles: tuple[float, ...]
    yoke_twists: tuple[float, ...] = ()
    tubes: LineTubes | None = None


@dataclass(frozen=True)
class Geometry:
    """Shaft lengths and factory joint angles of a vehicle class.

    Parameters
    ----------
    shaft_lines : mapping of str to ShaftLine
        Keyed by position prefix: `rear`, `front`, ...
    half_shaft_length : float, optional
        Joint-to-joint length of a half shaft [mm].
    half_shaft_angle : float, optional
        Angle of its joints at factory ride height [deg].
    """

    shaft_lines: Mapping[str, ShaftLine]
    half_shaft_length: float | None = None
    half_shaft_angle: float | None = None


@dataclass(frozen=True)
class JointSwing:
    """What decides a joint's angle at any ride height.

    Parameters
    ----------
    angle : float
        Joint angle at factory ride height [deg].
    length : float
        Length of the shaft that swings with the axle [mm]; infinite where lift does not move the joint.
    """

    angle: float
    length: float


def joint_swing(
    position: str,
    *,
    driveline: str,
    geometry: Geometry,
    layouts: Mapping[str, Mapping[str, str]] = LAYOUTS,
) -> JointSwing | None:
    """Factory angle of a position and the shaft that swings there.

    Parameters
    ----------
    position : str
        A position of the driveline.
    driveline : str
        Layout name(s) of the vehicle.
    geometry : Geometry
        Of the vehicle's class.
    layouts : mapping, optional
        Known layouts. Default: the shipped ones.

    Returns
    -------
    JointSwing or None
        None where the geometry says nothing of that position: the line is not given, or is given with
        another number of joints than the driveline has (see `check_geometry`).

    Raises
    ------
    ValueError
        The driveline is unknown or has no such position.

    Notes
    -----
    The last shaft of the rear line follows the axle, so its two joints change angle; joints further
    forward keep theirs. The front line swings with a solid front axle; beside half shafts the front axle
    housing is fixed to the frame and the line does not move. A support bearing takes the swing of the joint
    just behind it, a slip spline that of the last joint of its line, a half shaft's boots that of its joints.
    """
    positions = positions_of(driveline, layouts)
    if position not in positions:
        raise ValueError(f"driveline {driveline!r} has no position {position!r}")
    component = positions[position]
    if component in _HALF_SHAFT_COMPONENTS:
        if geometry.half_shaft_length is None or geometry.half_shaft_angle is None:
            return None
        return JointSwing(geometry.half_shaft_angle, geometry.half_shaft_length)
    prefix = position.partition(".")[0]
    line = geometry.shaft_lines.get(prefix)
    if line is None or len(line.joint_angles) != len(_joints_of(prefix, positions)):
        return None
    joint = _joint_beside(position, positions)
    last = len(line.joint_angles) - 1
    swings = joint >= last - 1 and _follows_axle(prefix, positions)
    return JointSwing(line.joint_angles[joint], line.shaft_lengths[-1] if swings else inf)


def check_geometry(
    geometry: Geometry, *, driveline: str, layouts: Mapping[str, Mapping[str, str]] = LAYOUTS
) -> tuple[str, ...]:
    """Lines of a geometry that do not fit a driveline, one clause each.

    Parameters
    ----------
    geometry : Geometry
        Of the vehicle's class.
    driveline : str
        Layout name(s) of the vehicle.
    layouts : mapping, optional
        Known layouts. Default: the shipped ones.

    Returns
    -------
    tuple of str
        Empty where every given line has as many joints as the driveline, or is no part of it.

    Raises
    ------
    ValueError
        The driveline is unknown.
    """
    positions = positions_of(driveline, layouts)
    return tuple(
        f"the geometry of {prefix!r} has {len(line.joint_angles)} joint angles, driveline {driveline!r} has "
        f"{count} joints there; that line's angles are not used"
        for prefix, line in geometry.shaft_lines.items()
        if (count := len(_joints_of(prefix, positions))) not in (0, len(line.joint_angles))
    )


def joint_angle(
    angle: npt.ArrayLike, *, length: npt.ArrayLike, lift: npt.ArrayLike
) -> npt.NDArray[np.float64]:
    """Joint angle at a ride height.

    Parameters
    ----------
    angle : array_like
        Joint angle at factory ride height, below 90 [deg].
    length : array_like
        Length of the shaft that swings, above 0 [mm]; infinite where lift does not move the joint.
    lift : array_like
        Ride height above factory height; negative when lowered [mm].

    Returns
    -------
    numpy.ndarray
        Angle, of the broadcast shape, 0 to 90 [deg].

    Raises
    ------
    ValueError
        An angle of 90 degrees or more, a length not above 0, or a lift longer than the shaft allows.

    Notes
    -----
    ``|asin(sin(angle) + lift / length)|``: the far end of the shaft moves by the lift while the member
    beside the joint stays level. Exact for half shafts; for propshafts, whose neighbour may tilt a little,
    the error is of second order in the angles.

    Examples
    --------
    >>> float(joint_angle(4.0, length=420.0, lift=75.0).round(2))
    14.38
    """
    factory = np.asarray(angle, dtype=np.float64)
    reach = np.asarray(length, dtype=np.float64)
    raised = np.asarray(lift, dtype=np.float64)
    if np.any(np.abs(factory) >= 90.0):
        raise ValueError("a joint angle must be below 90 degrees")
    if np.any(reach <= 0.0):
        raise ValueError("a shaft length must be above 0 mm")
    sine = np.sin(np.radians(factory)) + raised / reach
    if np.any(np.abs(sine) > 1.0):
        raise ValueError("the lift is more than the length of the shaft allows")
    return np.asarray(np.abs(np.degrees(np.arcsin(sine))), dtype=np.float64)


def _joints_of(prefix: str, positions: Mapping[str, str]) -> list[str]:
    """Joint positions of a shaft line, in order from its driving end."""
    return [p for p in positions if p.startswith(f"{prefix}.joint")]


def _joint_beside(position: str, positions: Mapping[str, str]) -> int:
    """Index, in its line, of the joint whose swing a position takes."""
    prefix = position.partition(".")[0]
    joints = _joints_of(prefix, positions)
    if position in joints:
        return joints.index(position)
    alike = [p for p, c in positions.items() if c == positions[position] and p.startswith(f"{prefix}.")]
    # The n-th bearing hangs at the rear end of the n-th shaft, just ahead of joint n + 1.
    behind = alike.index(position) + 1 if positions[position] == "support_bearing" else len(joints)
    return min(behind, len(joints) - 1)


def _follows_axle(prefix: str, positions: Mapping[str, str]) -> bool:
    """Whether the far end of a shaft line moves with a sprung axle."""
    if prefix == "front":
        return not any(component in _HALF_SHAFT_COMPONENTS for component in positions.values())
    return prefix == "rear"
