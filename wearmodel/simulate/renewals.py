"""What is renewed together: kits, assemblies, and parts beside a shaft that is out anyway."""

from collections.abc import Container
from dataclasses import dataclass

import numpy as np

from wearmodel.driveline.layouts import LAYOUTS
from wearmodel.simulate.clock import Place

__all__ = [
    "HALF_SHAFT_RENEWS",
    "KIT_HALF_SHAFT",
    "KIT_JOINT_PAIR",
    "KIT_NONE",
    "PAIR_CLASSES",
    "PAIR_RENEWS",
    "Renewal",
    "draw_renewal",
]

KIT_NONE = ""
KIT_HALF_SHAFT = "half_shaft"
KIT_JOINT_PAIR = "joint_pair"

HALF_SHAFT_RENEWS = ("cv_joint_outboard", "cv_boot_outboard", "cv_joint_inboard", "cv_boot_inboard")
"""Components a complete half shaft renews, all on one side."""

PAIR_CLASSES = ("utility_4x4", "yard_truck")
"""Classes with a one-piece rear shaft, for which both joints are sold as a kit."""

PAIR_RENEWS = tuple(LAYOUTS["rear_one_piece"])
"""Positions the pair kit renews."""

_HALF_SHAFT_SHARE = 0.35
_PAIR_SHARE = 0.25
_SHAFT_MATE_SHARE = 0.12
_CENTRE_JOINT_SHARE = 0.30
_OTHER_BOOT_SHARE = 0.12
# The other joint of the rear two-piece line's last shaft, and of the front shaft.
_SHAFT_MATES = {
    "rear.joint_centre": "rear.joint_rear",
    "rear.joint_rear": "rear.joint_centre",
    "front.joint_front": "front.joint_rear",
    "front.joint_rear": "front.joint_front",
}


@dataclass(frozen=True)
class Renewal:
    """What a part is renewed with.

    Parameters
    ----------
    kit : str
        Kit used; empty for none.
    beside : tuple of str
        The other positions renewed with the part.
    """

    kit: str
    beside: tuple[str, ...]


def draw_renewal(
    rng: np.random.Generator, place: Place, *, vehicle_class: str, positions: Container[str]
) -> Renewal:
    """What is renewed with a part.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    place : Place
        Where the part sits.
    vehicle_class : str
        Class of the vehicle.
    positions : container of str
        Positions of the vehicle.

    Returns
    -------
    Renewal
        `beside` names only positions the vehicle has, never the part's own.

    Notes
    -----
    A CV joint comes either as a complete half shaft or with the boot of its end; a boot at times with the
    other boot of the shaft; a universal joint at times with the other joint of its shaft; a support
    bearing at times with the joint behind it.
    """
    side, _, name = place.position.partition(".")
    kit = KIT_NONE
    beside: tuple[str, ...] = ()
    chance = rng.random()
    if place.component.startswith("cv_joint"):
        if chance < _HALF_SHAFT_SHARE:
            kit = KIT_HALF_SHAFT
            beside = tuple(f"{side}.{end}_{part}" for end in ("outboard", "inboard") for part in ("joint", "boot"))
        else:
            beside = (f"{side}.{name.replace('joint', 'boot')}",)
    elif place.component.startswith("cv_boot") and chance < _OTHER_BOOT_SHARE:
        beside = (f"{side}.inboard_boot" if name == "outboard_boot" else f"{side}.outboard_boot",)
    elif place.position in PAIR_RENEWS and vehicle_class in PAIR_CLASSES and chance < _PAIR_SHARE:
        kit, beside = KIT_JOINT_PAIR, PAIR_RENEWS
    elif place.position in _SHAFT_MATES and chance < _SHAFT_MATE_SHARE:
        beside = (_SHAFT_MATES[place.position],)
    elif place.component == "support_bearing" and chance < _CENTRE_JOINT_SHARE:
        beside = ("rear.joint_centre",)
    return Renewal(kit, tuple(p for p in beside if p != place.position and p in positions))
