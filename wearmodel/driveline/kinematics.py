"""How a joint at an angle turns: uneven speed, angle error, compound angles.

Only NumPy here.
"""

import numpy as np
import numpy.typing as npt

__all__ = ["angle_error", "angle_remark", "compound_angle", "speed_ratio", "speed_ripple"]

# Common practice, no source: where a universal joint lives best, and what a CV joint is built for [deg].
_U_JOINT_STRAIGHT = 0.5
_U_JOINT_BEST_LOW = 2.0
_U_JOINT_BEST_HIGH = 4.0
_U_JOINT_HIGH = 10.0
_CV_RANGE = {
    "cv_joint_outboard": ("a fixed ball joint", 40.0),
    "cv_boot_outboard": ("a fixed ball joint", 40.0),
    "cv_joint_inboard": ("a plunging joint", 20.0),
    "cv_boot_inboard": ("a plunging joint", 20.0),
}


def speed_ratio(joint_angle: npt.ArrayLike, *, rotation: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Driven over driving speed of a universal joint at a point of its turn.

    Parameters
    ----------
    joint_angle : array_like
        Joint angle b, below 90 [deg].
    rotation : array_like
        Rotation th of the driving yoke; at 0 the driven shaft runs fastest [deg].

    Returns
    -------
    numpy.ndarray
        w2 / w1, of the broadcast shape.

    Raises
    ------
    ValueError
        A joint angle of 90 degrees or more.

    Notes
    -----
    ``cos b / (1 - sin^2 b cos^2 th)``.

    References
    ----------
    Seherr-Thoss, Schmelz, Aucktor: Universal Joints and Driveshafts, 2006, section 1.2.1.

    Examples
    --------
    >>> speed_ratio(10.0, rotation=[0.0, 90.0]).round(6)
    array([1.015427, 0.984808])
    """
    angle = _radians(joint_angle)
    turned = np.radians(np.asarray(rotation, dtype=np.float64))
    return np.asarray(np.cos(angle) / (1.0 - (np.sin(angle) * np.cos(turned)) ** 2), dtype=np.float64)


def speed_ripple(joint_angle: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Unevenness of a universal joint: greatest less least speed ratio.

    Parameters
    ----------
    joint_angle : array_like
        Joint angle b, below 90 [deg].

    Returns
    -------
    numpy.ndarray
        Ripple, a ratio (0.03 = 3 % of the shaft speed from slowest to fastest).

    Raises
    ------
    ValueError
        A joint angle of 90 degrees or more.

    Notes
    -----
    ``1 / cos b - cos b = tan b sin b``. A constant-velocity joint has none.

    References
    ----------
    Seherr-Thoss, Schmelz, Aucktor: Universal Joints and Driveshafts, 2006, section 1.2.1.

    Examples
    --------
    >>> float(speed_ripple(10.0).round(6))
    0.030619
    """
    angle = _radians(joint_angle)
    # tan b sin b keeps its digits at small angles, where 1 / cos b - cos b loses them.
    return np.asarray(np.tan(angle) * np.sin(angle), dtype=np.float64)


def angle_error(joint_angle: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Greatest lead or lag of the driven shaft of a universal joint.

    Parameters
    ----------
    joint_angle : array_like
        Joint angle b, below 90 [deg].

    Returns
    -------
    numpy.ndarray
        Angle error [deg].

    Raises
    ------
    ValueError
        A joint angle of 90 degrees or more.

    Notes
    -----
    ``tan e = (1 - cos b) / (2 sqrt(cos b))``.

    References
    ----------
    Seherr-Thoss, Schmelz, Aucktor: Universal Joints and Driveshafts, 2006, section 1.2.1.

    Examples
    --------
    >>> float(angle_error(10.0).round(6))
    0.438561
    """
    angle = _radians(joint_angle)
    # 1 - cos b written as 2 sin^2(b/2): no loss of digits at small angles.
    tangent = np.sin(angle / 2.0) ** 2 / np.sqrt(np.cos(angle))
    return np.asarray(np.degrees(np.arctan(tangent)), dtype=np.float64)


def compound_angle(side: npt.ArrayLike, plan: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """True joint angle from the angles seen from the side and from above.

    Parameters
    ----------
    side : array_like
        Angle in the side view, measured against the other shaft's axis, below 90 [deg].
    plan : array_like
        Angle in the plan view, measured likewise, below 90 [deg].

    Returns
    -------
    numpy.ndarray
        Joint angle, of the broadcast shape [deg].

    Raises
    ------
    ValueError
        An angle of 90 degrees or more.

    Notes
    -----
    ``tan^2 b = tan^2(side) + tan^2(plan)``.

    Examples
    --------
    >>> float(compound_angle(3.0, 4.0).round(6))
    4.994169
    """
    tangent = np.hypot(np.tan(_radians(side)), np.tan(_radians(plan)))
    return np.asarray(np.degrees(np.arctan(tangent)), dtype=np.float64)


def angle_remark(joint_angle: float, *, component: str) -> str:
    """What common practice says of a joint angle, in plain words.

    Parameters
    ----------
    joint_angle : float
        Joint angle [deg]; NaN where it is not known.
    component : str
        Component code; other components than universal and CV joints and their boots have no such rule.

    Returns
    -------
    str
        One clause; empty where there is nothing to say.

    Notes
    -----
    Common practice, no source: universal joints live best at about 2 to 4 degrees, about 10 is the high
    side, and they should never run dead straight; fixed ball-type CV joints reach about 40 degrees,
    plunging ones about 20. The maker's own limits go before these.

    Examples
    --------
    >>> angle_remark(3.0, component="u_joint")
    'within the usual 2 to 4 degrees'
    """
    if np.isnan(joint_angle):
        return ""
    angle = abs(joint_angle)
    if component in _CV_RANGE:
        kind, limit = _CV_RANGE[component]
        relation = "within" if angle <= limit else "beyond"
        return f"{relation} the usual reach of {kind}, about {limit:.0f} degrees"
    if component != "u_joint":
        return ""
    if angle < _U_JOINT_STRAIGHT:
        return "nearly straight: needles that do not roll mark the trunnion"
    if angle < _U_JOINT_BEST_LOW:
        return "below the usual 2 to 4 degrees"
    if angle <= _U_JOINT_BEST_HIGH:
        return "within the usual 2 to 4 degrees"
    if angle <= _U_JOINT_HIGH:
        return "above the usual 2 to 4 degrees"
    return "on the high side: above about 10 degrees"


def _radians(angle: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Angle in radians; refuses 90 degrees and more."""
    degrees = np.asarray(angle, dtype=np.float64)
    if np.any(np.abs(degrees) >= 90.0):
        raise ValueError("a joint angle must be below 90 degrees")
    return np.asarray(np.radians(degrees), dtype=np.float64)
