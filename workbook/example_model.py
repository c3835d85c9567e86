"""An invented life model in round numbers, behind the examples in the list of functions."""

from math import log

from wearmodel.survival.coding import Coding
from wearmodel.survival.model import ComponentModel, LifeModel, ReplacementCost

__all__ = ["EXAMPLE_MODEL"]

_SPREAD = 0.01
_SIZE = 4

#: Universal joints: shape 2.5, scale 100,000 km in the fleet's mix at factory height, 18 % less life at
#: 75 mm of lift; site work halves the life of highway work. Too few failures of slip splines.
EXAMPLE_MODEL = LifeModel(
    components={
        "u_joint": ComponentModel(
            component="u_joint",
            label="Universal joint",
            clock="km",
            basis="fitted",
            values=(log(100_000.0) + 0.4 * log(2.0), -log(2.0), -0.2 / 0.75, log(2.5)),
            covariance=tuple(tuple(_SPREAD * (row == column) for column in range(_SIZE)) for row in range(_SIZE)),
            coding=Coding(
                duties=("highway", "site"),
                duty_weights=(0.6, 0.4),
                height="lift",
                height_centre=0.0,
                lifts=(0.0, 75.0),
                swing=None,
            ),
            lives=120,
            failures=48,
            vehicles=30,
            log_likelihood=-600.0,
            converged=True,
            note="Rests on 48 failures among 120 lives, on 30 vehicles.",
        ),
        "slip_spline": ComponentModel(
            component="slip_spline",
            label="Slip spline",
            clock="km",
            basis="bound only",
            values=(log(400_000.0), log(2.0)),
            covariance=((0.0, 0.0), (0.0, 0.0)),
            coding=Coding(
                duties=("highway",), duty_weights=(1.0,), height="none", height_centre=0.0, lifts=(0.0,), swing=None
            ),
            lives=30,
            failures=0,
            vehicles=30,
            log_likelihood=0.0,
            converged=True,
            note="No failure was seen among 30 lives.",
        ),
    },
    distance_unit="km",
    currency="EUR",
    as_of="2026-06-30",
    service_interval=15_000.0,
    confidence=0.9,
    costs={"u_joint": ReplacementCost(planned=150.0, failed=600.0)},
    fingerprint="invented",
)
