"""Tables on ride height of an invented fleet, for the planner workbook's tests: no vehicle or figure is real."""

from types import MappingProxyType

import numpy as np
import pandas as pd

from wearmodel.driveline.angle_limits import ANGLE_LIMITS
from wearmodel.driveline.angles import Geometry, ShaftLine
from wearmodel.driveline.layouts import LAYOUTS
from wearmodel.driveline.shafts import LineTubes, ShaftLimits
from wearmodel.policy.joint_angles import find_places
from wearmodel.policy.ride_height_limits import build_ride_height_limits
from wearmodel.policy.ride_heights import build_ride_heights
from wearmodel.policy.shaft_checks import build_shaft_checks
from wearmodel.survival.coding import Coding, SwingMix
from wearmodel.survival.model import ComponentModel, LifeModel

HOSTILE_CLASS = "=2+2"
TUBES = LineTubes((76.2, 76.2), (2.1, 2.1), "steel", 5200.0, 1500.0)
GEOMETRY = {
    "crew truck": Geometry({"rear": ShaftLine((700.0, 800.0), (1.0, 2.0, 3.0), (0.0, 0.0), TUBES)}),
    "van": Geometry({"rear": ShaftLine((700.0, 1100.0), (1.0, 2.0, 3.0))}, 400.0, 5.0),
    HOSTILE_CLASS: Geometry({"rear": ShaftLine((1300.0,), (2.0, 2.5))}),
}
VEHICLES = pd.DataFrame(
    {
        "vehicle_class": ["crew truck", "van", "van", HOSTILE_CLASS],
        "driveline": ["rear_two_piece", "all_wheel", "all_wheel+steering_shaft", "rear_one_piece"],
    }
)
SEEN = pd.DataFrame(
    [
        ("u_joint", "crew truck", 0.0, 3.0),
        ("u_joint", "crew truck", 75.0, 8.5),
        ("cv_joint_outboard", "van", 0.0, 5.0),
        ("cv_joint_outboard", "van", 50.0, 12.3),
        ("support_bearing", "van", 0.0, 2.0),
        ("support_bearing", "van", 50.0, 4.7),
    ],
    columns=["component", "vehicle_class", "lift", "angle"],
)
LIFTS = np.arange(0.0, 151.0, 25.0)


def height_model(code: str, height: str, effect: float, error: float, *, basis: str = "fitted") -> ComponentModel:
    """Model of a component whose life hangs on ride height alone."""
    swing = None if height == "lift" else SwingMix((2.0,), (1000.0,), (1.0,))
    names = () if height == "none" else (effect,)
    size = 2 + len(names)
    covariance = np.zeros((size, size))
    if names:
        covariance[1, 1] = error**2
    return ComponentModel(
        component=code, label=code, clock="km", basis=basis, values=(11.5, *names, 0.8),
        covariance=tuple(tuple(float(x) for x in row) for row in covariance),
        coding=Coding(("mixed",), (1.0,), height, 0.0, (0.0, 75.0), swing), lives=100, failures=40, vehicles=30,
        log_likelihood=-100.0, converged=True, note="",
    )  # fmt: skip


def height_fleet(*models: ComponentModel) -> LifeModel:
    """Fleet model of these components."""
    return LifeModel(
        MappingProxyType({model.component: model for model in models}), "km", "EUR", "2026-06-30", 15000.0, 0.9, {}, ""
    )


MODEL = height_fleet(
    height_model("u_joint", "log_angle", -0.7, 0.1),
    height_model("cv_joint_outboard", "angle", -0.04, 0.01),
    height_model("support_bearing", "angle", 0.02, 0.05),
)


def build_ride_height_tables() -> dict[str, pd.DataFrame]:
    """Tables `ride_heights`, `ride_height_limits` and `shaft_checks`."""
    places = find_places(VEHICLES, geometry=GEOMETRY, layouts=LAYOUTS)
    heights = build_ride_heights(
        places, lifts=LIFTS, geometry=GEOMETRY, limits=ANGLE_LIMITS, shaft_limits=ShaftLimits(), model=MODEL, seen=SEEN
    )
    return {
        "ride_heights": heights,
        "ride_height_limits": build_ride_height_limits(places, ride_heights=heights, limits=ANGLE_LIMITS, seen=SEEN),
        "shaft_checks": build_shaft_checks(GEOMETRY, limits=ShaftLimits()),
    }
