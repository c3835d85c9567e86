"""What event tables need to know of the vehicles: their names, drivelines and how far they can be raised."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, isfinite, radians, sin

import pandas as pd

from wearmodel.driveline.angles import check_geometry, joint_swing
from wearmodel.driveline.layouts import positions_of
from wearmodel.intake.fleet_toml.settings import FleetSettings
from wearmodel.intake.values.name_index import NameIndex, build_name_index

__all__ = ["LiftBounds", "Vehicles", "build_vehicles", "check_vehicle_geometry"]


@dataclass(frozen=True)
class LiftBounds:
    """How far a vehicle's shafts let it be lowered and raised.

    Parameters
    ----------
    low, high : float
        Least and greatest lift [mm]; infinite without geometry.
    """

    low: float = -inf
    high: float = inf


@dataclass(frozen=True)
class Vehicles:
    """The vehicles as other tables refer to them.

    Parameters
    ----------
    index : NameIndex
        Unit names.
    drivelines : mapping of str to str
        Unit -> driveline.
    positions : mapping
        Driveline -> {position: component}.
    lift_bounds : mapping of str to LiftBounds
        Unit -> bounds, for vehicles whose class has a geometry.
    """

    index: NameIndex
    drivelines: Mapping[str, str]
    positions: Mapping[str, Mapping[str, str]]
    lift_bounds: Mapping[str, LiftBounds]


def build_vehicles(vehicles: pd.DataFrame, *, settings: FleetSettings) -> Vehicles:
    """Index the clean vehicles table.

    Parameters
    ----------
    vehicles : pandas.DataFrame
        Clean table.
    settings : FleetSettings
        With layouts and geometry.

    Returns
    -------
    Vehicles
        Of every unit in the table.
    """
    drivelines = dict(zip(vehicles["unit"], vehicles["driveline"], strict=True))
    bounds = {
        key: _lift_bounds(*key, settings)
        for key in set(zip(vehicles["vehicle_class"], vehicles["driveline"], strict=True))
        if key[0] in settings.geometry
    }
    units = zip(vehicles["unit"], vehicles["vehicle_class"], vehicles["driveline"], strict=True)
    return Vehicles(
        index=build_name_index(drivelines),
        drivelines=drivelines,
        positions={name: positions_of(name, settings.layouts) for name in set(drivelines.values())},
        lift_bounds={unit: bounds[kind, line] for unit, kind, line in units if (kind, line) in bounds},
    )


def check_vehicle_geometry(vehicles: pd.DataFrame, *, settings: FleetSettings) -> tuple[str, ...]:
    """Sentences on geometry of `fleet.toml` that no vehicle can use.

    Parameters
    ----------
    vehicles : pandas.DataFrame
        Clean table.
    settings : FleetSettings
        With geometry by vehicle class.

    Returns
    -------
    tuple of str
        One sentence a class or shaft line.
    """
    notes: list[str] = []
    for name, geometry in settings.geometry.items():
        drivelines = sorted(set(vehicles.loc[vehicles["vehicle_class"] == name, "driveline"]))
        if not drivelines:
            notes.append(f"fleet.toml, geometry.{name}: no vehicle is of that class; its angles are not used.")
        for driveline in drivelines:
            clauses = check_geometry(geometry, driveline=driveline, layouts=settings.layouts)
            notes += [f"fleet.toml, geometry.{name}: {clause}." for clause in clauses]
    return tuple(notes)


def _lift_bounds(vehicle_class: str, driveline: str, settings: FleetSettings) -> LiftBounds:
    """Bounds within which every joint keeps an angle; a shaft cannot reach farther than its length."""
    low, high = -inf, inf
    for position in positions_of(driveline, settings.layouts):
        swing = joint_swing(
            position, driveline=driveline, geometry=settings.geometry[vehicle_class], layouts=settings.layouts
        )
        if swing is not None and isfinite(swing.length):
            low = max(low, -swing.length * (1.0 + sin(radians(swing.angle))))
            high = min(high, swing.length * (1.0 - sin(radians(swing.angle))))
    return LiftBounds(low, high)
