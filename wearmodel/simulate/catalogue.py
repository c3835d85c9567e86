"""The invented parts catalogue, stock and repair costs."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import pandas as pd

from wearmodel.driveline.layouts import positions_of
from wearmodel.simulate.renewals import (
    HALF_SHAFT_RENEWS,
    KIT_HALF_SHAFT,
    KIT_JOINT_PAIR,
    KIT_NONE,
    PAIR_CLASSES,
    PAIR_RENEWS,
)
from wearmodel.simulate.scenario import CLASSES, DEPOTS

__all__ = ["SUPERSEDED_FROM", "WORK", "PartFacts", "Work", "build_parts", "build_stock", "part_number"]

SUPERSEDED_FROM = 3.0
"""Years before the last day of the record at which the superseded part number went out of use."""


@dataclass(frozen=True)
class Work:
    """Time and money a renewal takes.

    Parameters
    ----------
    planned_hours, failed_hours : float
        Work on a planned renewal, and after a breakdown [h].
    planned_downtime_hours, failed_downtime_hours : float
        How long the vehicle stands for it [h].
    failed_extra : float
        Extra cost of a breakdown: recovery, damage beside the part [currency].
    """

    planned_hours: float
    planned_downtime_hours: float
    failed_hours: float
    failed_downtime_hours: float
    failed_extra: float


WORK: Mapping[str, Work] = MappingProxyType(
    {
        "u_joint": Work(1.4, 2.0, 2.6, 10.0, 180.0),
        "cv_joint_outboard": Work(1.8, 2.5, 2.8, 9.0, 140.0),
        "cv_joint_inboard": Work(2.0, 2.8, 3.0, 9.0, 140.0),
        "cv_boot_outboard": Work(1.5, 2.2, 1.9, 4.0, 25.0),
        "cv_boot_inboard": Work(1.7, 2.4, 2.1, 4.0, 25.0),
        "support_bearing": Work(1.9, 2.6, 3.2, 11.0, 210.0),
        "slip_spline": Work(2.4, 3.5, 3.8, 14.0, 260.0),
        "steering_joint": Work(1.2, 1.8, 2.0, 9.0, 120.0),
    }
)
"""By component; invented, like all else here."""


@dataclass(frozen=True)
class PartFacts:
    """What the catalogue says of a kind of part.

    Parameters
    ----------
    suffix : str
        Last part of its part numbers.
    component : str
        Component code.
    build : str
        How it is built.
    price : float
        Of one, before the class's factor [currency].
    lead_time_days, lead_time_sd_days : int
        Mean and standard deviation from order to delivery [d].
    pack : int
        Pieces sold together, 1 or more.
    share : float
        Used a year and vehicle.
    renews : tuple of str, optional
        Components or positions renewed together; empty for a single part.
    """

    suffix: str
    component: str
    build: str
    price: float
    lead_time_days: int
    lead_time_sd_days: int
    pack: int
    share: float
    renews: tuple[str, ...] = ()


_FACTS: Mapping[str, PartFacts] = MappingProxyType(
    {
        "u_joint": PartFacts("UJ", "u_joint", "greasable", 38.0, 6, 2, 2, 0.30),
        "cv_joint_outboard": PartFacts("CVO", "cv_joint_outboard", "ball", 165.0, 9, 3, 1, 0.12),
        "cv_joint_inboard": PartFacts("CVI", "cv_joint_inboard", "tripod", 185.0, 12, 4, 1, 0.08),
        "cv_boot_outboard": PartFacts("BTO", "cv_boot_outboard", "rubber", 32.0, 4, 1, 4, 0.35),
        "cv_boot_inboard": PartFacts("BTI", "cv_boot_inboard", "rubber", 29.0, 4, 1, 4, 0.30),
        "support_bearing": PartFacts("CSB", "support_bearing", "sealed", 96.0, 10, 4, 1, 0.10),
        "slip_spline": PartFacts("SLS", "slip_spline", "coated", 240.0, 24, 8, 1, 0.10),
        "steering_joint": PartFacts("STJ", "steering_joint", "sealed", 110.0, 15, 5, 1, 0.06),
        KIT_HALF_SHAFT: PartFacts(
            "HSA", "cv_joint_outboard", "complete half shaft", 345.0, 14, 5, 1, 0.12, HALF_SHAFT_RENEWS
        ),
        KIT_JOINT_PAIR: PartFacts("UJ2", "u_joint", "pair kit", 70.0, 8, 3, 1, 0.06, PAIR_RENEWS),
    }
)
_CLASS_PRICE = MappingProxyType(
    {
        "crew_truck": 1.20,
        "service_van": 0.95,
        "field_pickup": 1.00,
        "utility_4x4": 1.10,
        "yard_truck": 1.15,
        "town_car": 0.80,
    }
)
_SEALED_CLASSES = ("service_van", "field_pickup")
_SUPERSEDED_CLASS = "crew_truck"


def part_number(vehicle_class: str, component: str, *, kit: str, superseded: bool) -> str:
    """Catalogue number of a part as used on a vehicle class.

    Parameters
    ----------
    vehicle_class : str
        Class of the vehicle.
    component : str
        Component code of the part that caused the work.
    kit : str
        Kit it was renewed with; empty for the part alone.
    superseded : bool
        Whether the time is one at which superseded numbers were in use.

    Returns
    -------
    str
        One of the part numbers of `build_parts`, as long as the class uses the part.

    Raises
    ------
    KeyError
        If the scenario has no such class, component or kit.
    """
    facts = _FACTS[component if kit == KIT_NONE else kit]
    number = f"{CLASSES[vehicle_class].number}-{facts.suffix}"
    old = superseded and vehicle_class == _SUPERSEDED_CLASS and facts.suffix == "UJ"
    return f"{number}0" if old else number


def build_parts() -> pd.DataFrame:
    """Table `parts`: one row a part number, every cell as text is written.

    Returns
    -------
    pandas.DataFrame
        Columns `part_number, component, build, vehicle_class, position, renews, unit_price, lead_time_days,
        lead_time_sd_days, pack, superseded_by`; prices in the fleet's currency.
    """
    rows = []
    for name in CLASSES:
        for key in _kinds_of(name):
            facts = _FACTS[key]
            number = part_number(name, facts.component, kit=_kit(key), superseded=False)
            build = "sealed" if key == "u_joint" and name in _SEALED_CLASSES else facts.build
            price = round(facts.price * _CLASS_PRICE[name], 2)
            row = _part_row(facts, number=number, build=build, vehicle_class=name, price=price)
            rows.append(row)
            old = part_number(name, facts.component, kit=_kit(key), superseded=True)
            if old != number:
                rows.append({**row, "part_number": old, "superseded_by": number})
    return pd.DataFrame(rows)


def build_stock(rng: np.random.Generator, depots: Mapping[str, Mapping[str, int]]) -> pd.DataFrame:
    """Table `stock`: about two months' use of each part at each depot that uses it.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    depots : mapping of str to mapping
        Vehicles in service: depot -> {vehicle class: number}.

    Returns
    -------
    pandas.DataFrame
        Columns `part_number, depot, on_hand, on_order`; one row a part number and depot, and one of the
        superseded number.
    """
    rows = []
    for name in CLASSES:
        for key in _kinds_of(name):
            facts = _FACTS[key]
            number = part_number(name, facts.component, kit=_kit(key), superseded=False)
            for depot in DEPOTS:
                vehicles = depots.get(depot, {}).get(name, 0)
                if vehicles == 0:
                    continue
                on_hand = int(rng.poisson(facts.share * vehicles / 6.0))
                ordered = facts.pack * int(rng.poisson(0.4)) if on_hand < 2 else 0
                rows.append({"part_number": number, "depot": depot, "on_hand": on_hand, "on_order": ordered})
    old = part_number(_SUPERSEDED_CLASS, "u_joint", kit=KIT_NONE, superseded=True)
    rows.append({"part_number": old, "depot": next(iter(DEPOTS)), "on_hand": 1, "on_order": 0})
    return pd.DataFrame(rows)


def _kit(key: str) -> str:
    """The kit a key of the facts stands for; empty for a single part."""
    return key if _FACTS[key].renews else KIT_NONE


def _kinds_of(vehicle_class: str) -> list[str]:
    """Kinds of parts a class uses."""
    components = {
        component
        for driveline in CLASSES[vehicle_class].drivelines
        for component in positions_of(driveline).values()
    }
    kinds = [key for key in _FACTS if key in components]
    if "cv_joint_outboard" in components:
        kinds.append(KIT_HALF_SHAFT)
    if vehicle_class in PAIR_CLASSES:
        kinds.append(KIT_JOINT_PAIR)
    return kinds


def _part_row(
    facts: PartFacts, *, number: str, build: str, vehicle_class: str, price: float
) -> dict[str, object]:
    """One row of the catalogue."""
    return {
        "part_number": number,
        "component": facts.component,
        "build": build,
        "vehicle_class": vehicle_class,
        "position": "",
        "renews": ";".join(facts.renews),
        "unit_price": f"{price:.2f}",
        "lead_time_days": facts.lead_time_days,
        "lead_time_sd_days": facts.lead_time_sd_days,
        "pack": facts.pack,
        "superseded_by": "",
    }
