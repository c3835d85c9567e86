"""What common practice says of joint angles: limits by component, flags and remarks."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isnan
from types import MappingProxyType

__all__ = ["ANGLE_LIMITS", "BOOT_JOINTS", "AngleLimits", "angle_flag", "angle_remark", "limits_for"]


@dataclass(frozen=True)
class AngleLimits:
    """Where a kind of joint lives best, and from where on its angle is high.

    Parameters
    ----------
    high : float
        Angle above which the flag is raised [deg].
    straight : float
        Angle below which the joint is nearly straight; 0 where that does no harm [deg].
    best_low, best_high : float
        Between these it lives best; NaN where there is no such range [deg].
    """

    high: float
    straight: float = 0.0
    best_low: float = float("nan")
    best_high: float = float("nan")


ANGLE_LIMITS: Mapping[str, AngleLimits] = MappingProxyType(
    {
        "u_joint": AngleLimits(10.0, straight=0.5, best_low=2.0, best_high=4.0),
        "cv_joint_outboard": AngleLimits(40.0),
        "cv_joint_inboard": AngleLimits(20.0),
    }
)
"""Default limits, common practice, no source: cross joints best at 2 to 4 degrees, 10 the high side, never dead
straight; fixed ball-type CV joints reach about 40 degrees, plunging ones about 20."""

BOOT_JOINTS: Mapping[str, str] = MappingProxyType(
    {"cv_boot_outboard": "cv_joint_outboard", "cv_boot_inboard": "cv_joint_inboard"}
)
"""The joint each boot covers, whose limits are its own."""

_KINDS = {"cv_joint_outboard": "a fixed ball joint", "cv_joint_inboard": "a plunging joint"}


def limits_for(component: str, *, limits: Mapping[str, AngleLimits] = ANGLE_LIMITS) -> AngleLimits | None:
    """Limits of a component's joint.

    Parameters
    ----------
    component : str
        Component code; a boot has those of its joint.
    limits : mapping of str to AngleLimits, optional
        By component code.

    Returns
    -------
    AngleLimits or None
        None for a component without any.
    """
    return limits.get(BOOT_JOINTS.get(component, component))


def angle_flag(angle: float, *, component: str, limits: Mapping[str, AngleLimits] = ANGLE_LIMITS) -> str:
    """Where a joint angle stands between the limits of its component.

    Parameters
    ----------
    angle : float
        Joint angle; NaN where it is not known [deg].
    component : str
        Component code.
    limits : mapping of str to AngleLimits, optional
        By component code.

    Returns
    -------
    str
        `straight`, `low`, `best`, `raised` or `high`, for a joint without a best range `within` or `high`; empty
        where there is no limit or no angle.

    Examples
    --------
    >>> angle_flag(11.2, component="u_joint")
    'high'
    """
    own = limits_for(component, limits=limits)
    if own is None or isnan(angle):
        return ""
    size = abs(angle)
    if size > own.high:
        return "high"
    if size < own.straight:
        return "straight"
    if isnan(own.best_low):
        return "within"
    return "low" if size < own.best_low else "best" if size <= own.best_high else "raised"


def angle_remark(angle: float, *, component: str, limits: Mapping[str, AngleLimits] = ANGLE_LIMITS) -> str:
    """What the limits say of a joint angle, in plain words.

    Parameters
    ----------
    angle : float
        Joint angle; NaN where it is not known [deg].
    component : str
        Component code.
    limits : mapping of str to AngleLimits, optional
        By component code.

    Returns
    -------
    str
        One clause; empty where there is nothing to say.

    Notes
    -----
    The maker's own limits go before these.

    Examples
    --------
    >>> angle_remark(3.0, component="u_joint")
    'within the usual 2 to 4 degrees'
    """
    flag = angle_flag(angle, component=component, limits=limits)
    own = limits_for(component, limits=limits)
    if own is None or not flag:
        return ""
    kind = _KINDS.get(BOOT_JOINTS.get(component, component))
    if kind and flag in ("within", "high"):
        relation = "within" if flag == "within" else "beyond"
        return f"{relation} the usual reach of {kind}, about {own.high:g} degrees"
    usual = f"the usual {own.best_low:g} to {own.best_high:g} degrees"
    return {
        "straight": "nearly straight: needles that do not roll mark the trunnion",
        "low": f"below {usual}",
        "best": f"within {usual}",
        "raised": f"above {usual}",
        "high": f"on the high side: above about {own.high:g} degrees",
        "within": f"not above about {own.high:g} degrees",
    }[flag]
