"""The part of the table of workbook functions that is about angles and shafts; it needs no model file."""

from wearmodel.driveline.bearing_life import ANGLE_FLOOR
from wearmodel.driveline.shafts import MATERIALS
from workbook.function_spec import REQUIRED, Argument, FunctionSpec

__all__ = ["DRIVELINE_FUNCTIONS"]

_STEEL = MATERIALS["steel"]


def _angle(name: str, doc: str, *, default: str | float | None = REQUIRED) -> Argument:
    """An angle below 90 degrees either way."""
    return Argument(name, doc, "deg", default=default, low=-90.0, high=90.0, low_open=True, high_open=True)


def _above_zero(
    name: str, doc: str, unit: str = "", *, high: float, default: str | float | None = REQUIRED
) -> Argument:
    """A figure above 0."""
    return Argument(name, doc, unit, default=default, low=0.0, high=high, low_open=True)


def _twist(name: str, doc: str) -> Argument:
    return Argument(name, doc, "deg", default=0.0, low=-360.0, high=360.0)


_TORQUE = Argument("torque", "Torque in the shaft.", "N m", low=0.0, high=1e7)
_DIAMETER = _above_zero("tube_diameter", "Outer diameter of the tube.", "mm", high=1e4)
_WALL = _above_zero("tube_wall", "Wall of the tube; half the diameter for a solid bar.", "mm", high=1e4)
_LENGTH = _above_zero("shaft_length", "Length of the shaft from joint to joint.", "mm", high=1e5)
_JOINT_ANGLE = _angle("joint_angle", "Joint angle.")

DRIVELINE_FUNCTIONS = (
    FunctionSpec(
        "WEAR_JOINT_ANGLE",
        "Joint angle at a ride height, when the shaft swings and the member beside the joint stays level.",
        "deg",
        (
            _angle("angle_at_factory", "Joint angle at factory ride height."),
            _above_zero("shaft_length", "Length of the shaft that swings.", "mm", high=1e5),
            Argument("lift", "Ride height above factory.", "mm", low=-150.0, high=500.0),
        ),
        (4, 420, 75),
        14.3786,
    ),
    FunctionSpec(
        "WEAR_SPEED_RIPPLE",
        "Unevenness of a universal joint at an angle: greatest less least speed, as a share of the shaft speed.",
        "",
        (_angle("joint_angle", "Joint angle."),),
        (10,),
        0.0306189,
    ),
    FunctionSpec(
        "WEAR_COMPOUND_ANGLE",
        "True joint angle from the angles seen from the side and from above, each against the other shaft's axis.",
        "deg",
        (_angle("side_angle", "Angle in the side view."), _angle("plan_angle", "Angle seen from above.")),
        (3, 4),
        4.994169,
    ),
    FunctionSpec(
        "WEAR_RESIDUAL_ANGLE",
        "Angle of the one universal joint that would run as unevenly as two or three in a row; with the yokes of each "
        "shaft in line, equal angles of two joints leave nothing.",
        "deg",
        (
            _angle("first_angle", "Angle of the first joint."),
            _angle("second_angle", "Angle of the second joint."),
            _angle("third_angle", "Angle of the third joint; 0 if there is none.", default=0.0),
            _twist("first_twist", "How far the yokes of the shaft between the first two joints are out of line."),
            _twist("second_twist", "The same of the shaft between the second and the third joint."),
        ),
        (5, 3),
        4.00183,
    ),
    FunctionSpec(
        "WEAR_PEAK_ACCELERATION",
        "Greatest angular acceleration of what a universal joint drives; for a row of joints take the residual angle.",
        "rad/s2",
        (_JOINT_ANGLE, Argument("shaft_speed", "Speed of the shaft.", "rpm", low=0.0, high=1e5)),
        (3, 3000),
        270.705,
    ),
    FunctionSpec(
        "WEAR_BEARING_LIFE_RATIO",
        "Needle-bearing life of a universal joint at an angle over its life at the angle before: double the angle, "
        "half the life; below the floor life grows no further.",
        "",
        (
            _JOINT_ANGLE,
            _angle("angle_before", "Joint angle that it is compared with."),
            _above_zero("torque_ratio", "Torque over the torque before.", high=1e3, default=1.0),
            _above_zero("speed_ratio", "Shaft speed over the speed before.", high=1e3, default=1.0),
            Argument(
                "angle_floor",
                "Angle below which life grows no further.",
                "deg",
                default=ANGLE_FLOOR,
                low=0.0,
                high=90.0,
                low_open=True,
                high_open=True,
            ),
        ),
        (6, 3),
        0.5,
    ),
    FunctionSpec(
        "WEAR_CRITICAL_SPEED",
        "First bending critical speed of a tubular shaft between two joints; common practice is to stay below 70 to "
        "75 % of it.",
        "rpm",
        (
            _DIAMETER,
            _WALL,
            _LENGTH,
            _above_zero(
                "youngs_modulus", "Young's modulus; steel if left out.", "GPa", high=1e4, default=_STEEL.youngs_modulus
            ),
            _above_zero("density", "Density; steel if left out.", "kg/m3", high=1e5, default=_STEEL.density),
        ),
        (88.9, 2.1, 1500),
        6602.99,
    ),
    FunctionSpec(
        "WEAR_TORSION",
        "Shear stress at the outside of a tubular shaft under torque.",
        "MPa",
        (_TORQUE, _DIAMETER, _WALL),
        (1500, 88.9, 2.1),
        61.77895,
    ),
    FunctionSpec(
        "WEAR_TWIST",
        "How far a tubular shaft twists from end to end under torque.",
        "deg",
        (
            _TORQUE,
            _DIAMETER,
            _WALL,
            _LENGTH,
            _above_zero(
                "shear_modulus", "Shear modulus; steel if left out.", "GPa", high=1e4, default=_STEEL.shear_modulus
            ),
        ),
        (1500, 88.9, 2.1, 1500),
        1.506293,
    ),
)
"""In the order of the list."""
