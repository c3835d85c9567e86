"""The invented fleet: Quillmere District Works, its vehicles, its work and the laws its parts fail by.

Every figure here is invented; none describes a real fleet, vehicle or part.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from wearmodel.driveline.angles import Geometry, ShaftLine

__all__ = [
    "CLASSES",
    "DEPOTS",
    "DUTIES",
    "HOUR_COUNTS",
    "HOUR_LAWS",
    "LATE_DEPOT",
    "LAWS",
    "LIFTS",
    "SERVICE_INTERVAL",
    "ComponentLaw",
    "Duty",
    "VehicleClass",
]

DEPOTS: Mapping[str, float] = MappingProxyType({"north_yard": 0.40, "river_yard": 0.35, "ridge_yard": 0.25})
"""Depots and their share of the vehicles."""

LATE_DEPOT = "ridge_yard"
"""The depot whose repairs were recorded only from a later date on."""

SERVICE_INTERVAL = 15000.0
"""Distance between services [km]."""

LIFTS: Mapping[float, float] = MappingProxyType({40.0: 0.25, 50.0: 0.30, 75.0: 0.30, 100.0: 0.15})
"""Ride heights fitted [mm above factory height] and the share of each."""


@dataclass(frozen=True)
class Duty:
    """A kind of work.

    Parameters
    ----------
    usage : float
        Distance driven, against the vehicle class's own.
    season : float
        Half the swing of the usage through the year (0.2 = 20 % more in midsummer).
    raised : float
        How readily a vehicle of this duty is raised, against the others.
    stops, idle_hours, unpaved_share, tow_hours, mean_speed : float
        Means of the duty log: stops and idle hours per 100 km, share of distance, hours per 1000 km, [km/h].
    """

    usage: float
    season: float
    raised: float
    stops: float
    idle_hours: float
    unpaved_share: float
    tow_hours: float
    mean_speed: float


DUTIES: Mapping[str, Duty] = MappingProxyType(
    {
        "highway": Duty(1.25, 0.05, 1.0, 9.0, 0.4, 0.02, 0.3, 61.0),
        "town": Duty(0.80, -0.06, 1.0, 85.0, 1.7, 0.03, 0.1, 24.0),
        "site": Duty(0.95, 0.15, 3.0, 38.0, 1.3, 0.22, 2.2, 33.0),
        "rough": Duty(1.00, 0.22, 5.0, 22.0, 0.9, 0.48, 3.1, 29.0),
    }
)
"""Kinds of work, lightest on the driveline first."""


@dataclass(frozen=True)
class VehicleClass:
    """A class of vehicles of one geometry.

    Parameters
    ----------
    number : str
        First part of its part numbers.
    share : float
        Of the fleet's vehicles.
    drivelines : mapping of str to float
        Drivelines met in the class and the share of each.
    geometry : Geometry
        Shaft lengths [mm] and factory joint angles [deg].
    distance : float
        Typical distance a year [km].
    raised : float
        How readily it is raised, against other classes.
    duties : mapping of str to float
        Work done by the class and the share of each.
    """

    number: str
    share: float
    drivelines: Mapping[str, float]
    geometry: Geometry
    distance: float
    raised: float
    duties: Mapping[str, float]


def _line(lengths: tuple[float, ...], angles: tuple[float, ...]) -> ShaftLine:
    """A shaft line, for the table below."""
    return ShaftLine(shaft_lengths=lengths, joint_angles=angles)


CLASSES: Mapping[str, VehicleClass] = MappingProxyType(
    {
        "crew_truck": VehicleClass(
            "041",
            0.24,
            {"rear_two_piece": 0.7, "rear_two_piece+steering_shaft": 0.3},
            Geometry({"rear": _line((760.0, 1040.0), (1.5, 2.0, 2.5))}),
            33000.0,
            1.0,
            {"highway": 0.15, "town": 0.15, "site": 0.40, "rough": 0.30},
        ),
        "service_van": VehicleClass(
            "052",
            0.20,
            {"all_wheel": 1.0},
            Geometry({"rear": _line((690.0, 980.0), (1.2, 1.8, 2.2))}, 430.0, 4.5),
            38000.0,
            0.7,
            {"highway": 0.40, "town": 0.35, "site": 0.15, "rough": 0.10},
        ),
        "field_pickup": VehicleClass(
            "067",
            0.22,
            {"four_wheel_independent": 1.0},
            Geometry(
                {"rear": _line((640.0, 900.0), (1.8, 2.4, 3.0)), "front": _line((620.0,), (3.2, 3.6))},
                420.0,
                5.0,
            ),
            34000.0,
            1.2,
            {"highway": 0.20, "town": 0.15, "site": 0.30, "rough": 0.35},
        ),
        "utility_4x4": VehicleClass(
            "073",
            0.12,
            {"four_wheel_solid": 1.0},
            Geometry({"rear": _line((1180.0,), (2.8, 3.4)), "front": _line((710.0,), (3.0, 4.0))}),
            30000.0,
            1.2,
            {"highway": 0.15, "town": 0.15, "site": 0.35, "rough": 0.35},
        ),
        "yard_truck": VehicleClass(
            "018",
            0.10,
            {"rear_one_piece": 0.4, "rear_one_piece+slip_spline": 0.6},
            Geometry({"rear": _line((1320.0,), (2.2, 3.0))}),
            28000.0,
            0.5,
            {"highway": 0.25, "town": 0.35, "site": 0.30, "rough": 0.10},
        ),
        "town_car": VehicleClass(
            "026",
            0.12,
            {"front_half_shafts": 1.0},
            Geometry({}, 390.0, 4.0),
            26000.0,
            0.3,
            {"highway": 0.30, "town": 0.55, "site": 0.10, "rough": 0.05},
        ),
    }
)
"""Vehicle classes of the invented fleet."""


@dataclass(frozen=True)
class ComponentLaw:
    """How one component truly fails and is renewed.

    Parameters
    ----------
    shape : float
        Weibull shape of its life on the operational clock.
    base_scale : float
        Weibull scale in the first duty at the reference angle [km].
    duty_effects : mapping of str to float
        Added to the log of the scale.
    angle_form : str
        `log_angle` (log of the angle, floored at 1 degree), `angle` (degrees) or `none`.
    angle_coefficient : float
        Taken from the log of the scale per unit of the angle's form above the reference.
    reference_angle : float
        Angle at which `base_scale` holds, and which a position without geometry is held to have [deg].
    announced_share : float
        Share of wear failures that show when they happen; the others wait for a service to find them.
    comeback_share : float
        Share of fittings badly made.
    damage_rate : float
        Damage by outside causes per million km and position.
    planned_age, planned_share : float
        Present practice: at a service, a part older than this [km] is renewed with this chance.
    clock : str
        `distance`, or `hours`: each engine hour then counts as `HOUR_COUNTS`, whatever the vehicle runs in it.
    """

    shape: float
    base_scale: float
    duty_effects: Mapping[str, float]
    angle_form: str
    angle_coefficient: float
    reference_angle: float
    announced_share: float
    comeback_share: float
    damage_rate: float
    planned_age: float
    planned_share: float
    clock: str = "distance"


def _duties(town: float, site: float, rough: float) -> Mapping[str, float]:
    """Duty effects against highway work."""
    return MappingProxyType({"highway": 0.0, "town": town, "site": site, "rough": rough})


LAWS: Mapping[str, ComponentLaw] = MappingProxyType(
    {
        "u_joint": ComponentLaw(
            2.2, 300000.0, _duties(-0.12, -0.32, -0.52), "log_angle", 0.65, 3.0, 1.0, 0.040, 0.20, 180000.0, 0.06
        ),
        "cv_joint_outboard": ComponentLaw(
            2.4, 290000.0, _duties(-0.18, -0.26, -0.42), "angle", 0.045, 6.0, 1.0, 0.040, 0.15, 230000.0, 0.02
        ),
        "cv_joint_inboard": ComponentLaw(
            2.6, 320000.0, _duties(-0.15, -0.24, -0.40), "angle", 0.040, 6.0, 1.0, 0.040, 0.12, 240000.0, 0.02
        ),
        "cv_boot_outboard": ComponentLaw(
            2.8, 150000.0, _duties(-0.10, -0.22, -0.38), "angle", 0.050, 6.0, 0.08, 0.035, 0.35, 110000.0, 0.04
        ),
        "cv_boot_inboard": ComponentLaw(
            3.2, 175000.0, _duties(-0.08, -0.18, -0.32), "angle", 0.045, 6.0, 0.08, 0.035, 0.25, 120000.0, 0.04
        ),
        "support_bearing": ComponentLaw(
            3.0, 280000.0, _duties(-0.10, -0.22, -0.38), "angle", 0.070, 3.0, 0.45, 0.040, 0.15, 210000.0, 0.04
        ),
        "slip_spline": ComponentLaw(
            2.5, 220000.0, _duties(-0.10, -0.25, -0.40), "angle", 0.050, 3.0, 1.0, 0.020, 0.10, 300000.0, 0.02
        ),
        "steering_joint": ComponentLaw(
            1.8, 280000.0, _duties(-0.15, -0.22, -0.35), "none", 0.0, 3.0, 1.0, 0.020, 0.10, 300000.0, 0.02
        ),
    }
)
"""The true law of each component."""

HOUR_COUNTS = 30.0
"""What an engine hour counts for on the operational clock of parts that wear by hours [km / h]."""

HOUR_LAWS: Mapping[str, ComponentLaw] = MappingProxyType(
    {
        code: replace(law, clock="hours") if code in ("u_joint", "support_bearing") else law
        for code, law in LAWS.items()
    }
)
"""The same laws for a fleet whose universal joints and support bearings wear by engine hours."""
