"""Which positions a vehicle's driveline has, and which component sits in each."""

from collections.abc import Mapping
from difflib import get_close_matches
from types import MappingProxyType

__all__ = ["COMPONENTS", "GREASED_FOR_LIFE", "LAYOUTS", "UnknownLayoutError", "positions_of"]

COMPONENTS: Mapping[str, str] = MappingProxyType(
    {
        "u_joint": "Universal joint",
        "cv_joint_outboard": "Outboard CV joint",
        "cv_joint_inboard": "Inboard CV joint",
        "cv_boot_outboard": "Outboard CV boot",
        "cv_boot_inboard": "Inboard CV boot",
        "support_bearing": "Centre support bearing",
        "slip_spline": "Slip spline",
        "steering_joint": "Steering shaft joint",
    }
)
"""Label of each shipped component code."""

GREASED_FOR_LIFE = frozenset({"cv_joint_outboard", "cv_joint_inboard", "cv_boot_outboard", "cv_boot_inboard"})
"""Components without a grease fitting, whatever their build: packed once, closed by a boot."""

_REAR_ONE_PIECE = {"rear.joint_front": "u_joint", "rear.joint_rear": "u_joint"}
_REAR_TWO_PIECE = {
    "rear.joint_front": "u_joint",
    "rear.joint_centre": "u_joint",
    "rear.joint_rear": "u_joint",
    "rear.support_bearing": "support_bearing",
}
_REAR_THREE_PIECE = {
    "rear.joint_1": "u_joint",
    "rear.joint_2": "u_joint",
    "rear.joint_3": "u_joint",
    "rear.joint_4": "u_joint",
    "rear.support_bearing_1": "support_bearing",
    "rear.support_bearing_2": "support_bearing",
}
_FRONT_HALF_SHAFTS = {
    f"{side}.{end}_{kind}": f"cv_{kind}_{end}"
    for side in ("left", "right")
    for end in ("outboard", "inboard")
    for kind in ("joint", "boot")
}
_FRONT_SHAFT = {"front.joint_front": "u_joint", "front.joint_rear": "u_joint"}
_SOLID_FRONT_AXLE = {"axle_left.joint": "u_joint", "axle_right.joint": "u_joint"}

LAYOUTS: Mapping[str, Mapping[str, str]] = MappingProxyType(
    {
        name: MappingProxyType(positions)
        for name, positions in {
            "rear_one_piece": _REAR_ONE_PIECE,
            "rear_two_piece": _REAR_TWO_PIECE,
            "rear_three_piece": _REAR_THREE_PIECE,
            "front_half_shafts": _FRONT_HALF_SHAFTS,
            "four_wheel_solid": {**_REAR_ONE_PIECE, **_FRONT_SHAFT, **_SOLID_FRONT_AXLE},
            "four_wheel_independent": {**_REAR_TWO_PIECE, **_FRONT_SHAFT, **_FRONT_HALF_SHAFTS},
            "all_wheel": {**_FRONT_HALF_SHAFTS, **_REAR_TWO_PIECE},
            "slip_spline": {"rear.slip_spline": "slip_spline"},
            "steering_shaft": {
                "steering.joint_upper": "steering_joint",
                "steering.joint_lower": "steering_joint",
            },
        }.items()
    }
)
"""Shipped layouts: the component at each position, joints of a shaft line in order from its driving end."""


class UnknownLayoutError(ValueError):
    """A driveline names a layout nobody has defined; `layout` is that name, `nearest` the likeliest one."""

    def __init__(self, layout: str, nearest: str) -> None:
        self.layout = layout
        self.nearest = nearest
        hint = f" (nearest: {nearest!r})" if nearest else ""
        super().__init__(f"{layout!r} is not a known layout{hint}")


def positions_of(
    driveline: str, layouts: Mapping[str, Mapping[str, str]] = LAYOUTS
) -> dict[str, str]:
    """Positions of a driveline, each with its component.

    Parameters
    ----------
    driveline : str
        Layout name, or several joined with `+` (`rear_two_piece+steering_shaft`).
    layouts : mapping of str to mapping, optional
        Known layouts: name -> {position: component}. Default: the shipped ones.

    Returns
    -------
    dict of str to str
        Position -> component, in the order of the layouts.

    Raises
    ------
    UnknownLayoutError
        A name is not a known layout.
    ValueError
        Two of the joined layouts have a position in common.

    Examples
    --------
    >>> positions_of("rear_one_piece+slip_spline")
    {'rear.joint_front': 'u_joint', 'rear.joint_rear': 'u_joint', 'rear.slip_spline': 'slip_spline'}
    """
    positions: dict[str, str] = {}
    for part in driveline.split("+"):
        name = part.strip()
        if name not in layouts:
            nearest = get_close_matches(name, layouts, n=1, cutoff=0.0)
            raise UnknownLayoutError(name, nearest[0] if nearest else "")
        for position, component in layouts[name].items():
            if position in positions:
                raise ValueError(f"{driveline!r} has the position {position!r} twice")
            positions[position] = component
    return positions
