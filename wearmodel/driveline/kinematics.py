"""How a joint at an angle turns: uneven speed, angle error, acceleration, compound angles.

Only NumPy here.
"""

import numpy as np
import numpy.typing as npt

__all__ = ["angle_error", "compound_angle", "peak_acceleration", "speed_ratio", "speed_ripple"]


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


def peak_acceleration(joint_angle: npt.ArrayLike, *, speed: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Greatest angular acceleration of the shaft driven by a universal joint at even speed.

    Parameters
    ----------
    joint_angle : array_like
        Joint angle b, below 90; of a chain of joints the residual angle [deg].
    speed : array_like
        Speed n of the driving shaft, 0 or more [rpm].

    Returns
    -------
    numpy.ndarray
        Peak acceleration, of the broadcast shape [rad/s^2].

    Raises
    ------
    ValueError
        A joint angle of 90 degrees or more, a negative speed.

    Notes
    -----
    With s = sin^2 b and w = 2 pi n / 60, the derivative of the speed ratio is greatest at the rotation th with
    ``s x^2 + (2 - s) x - 2 s = 0``, x = cos 2 th; there it is ``4 w^2 cos b s sqrt(1 - x^2) / (2 - s - s x)^2``. At
    small angles close to ``b^2 w^2`` (b in rad).

    References
    ----------
    Seherr-Thoss, Schmelz, Aucktor: Universal Joints and Driveshafts, 2006, section 1.2.1 (angle relation).

    Examples
    --------
    >>> float(peak_acceleration(10.0, speed=60.0 / (2.0 * np.pi)).round(6))
    0.030626
    """
    angle = _radians(joint_angle)
    pace = np.asarray(speed, dtype=np.float64)
    if not np.all(np.isfinite(pace) & (pace >= 0.0)):
        raise ValueError("a speed must be 0 rpm or more")
    s = np.sin(angle) ** 2
    at = 4.0 * s / (2.0 - s + np.sqrt((2.0 - s) ** 2 + 8.0 * s**2))
    slope = 4.0 * np.cos(angle) * s * np.sqrt(1.0 - at**2) / (2.0 - s - s * at) ** 2
    return np.asarray((2.0 * np.pi * pace / 60.0) ** 2 * slope, dtype=np.float64)


def _radians(angle: npt.ArrayLike) -> npt.NDArray[np.float64]:
    """Angle in radians; refuses 90 degrees and more."""
    degrees = np.asarray(angle, dtype=np.float64)
    if np.any(np.abs(degrees) >= 90.0):
        raise ValueError("a joint angle must be below 90 degrees")
    return np.asarray(np.radians(degrees), dtype=np.float64)
