"""Order text in the words of a workshop, varied as people vary it."""

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

__all__ = ["other_work_text", "repair_text"]

_PARTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "u_joint": ("universal joint", "u-joint", "U/J", "UJ"),
        "cv_joint_outboard": ("CV joint",),
        "cv_joint_inboard": ("CV joint",),
        "cv_boot_outboard": ("CV boot", "CV gaiter", "driveshaft boot"),
        "cv_boot_inboard": ("CV boot", "CV gaiter", "driveshaft boot"),
        "support_bearing": ("centre support bearing", "centre bearing", "carrier bearing"),
        "slip_spline": ("slip spline", "sliding spline"),
        "steering_joint": ("steering joint", "steering shaft joint"),
    }
)

# Where a part sits, in words that go before its name.
_PLACES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "rear.joint_front": ("rear propshaft front", "rear shaft, front"),
        "rear.joint_centre": ("rear propshaft centre", "rear shaft, centre"),
        "rear.joint_rear": ("rear propshaft rear", "rear shaft, rear"),
        "rear.support_bearing": ("rear propshaft", "rear shaft"),
        "rear.slip_spline": ("rear propshaft", "rear shaft"),
        "front.joint_front": ("front propshaft front", "front shaft, front"),
        "front.joint_rear": ("front propshaft rear", "front shaft, rear"),
        "axle_left.joint": ("left axle shaft", "LH axle shaft"),
        "axle_right.joint": ("right axle shaft", "RH axle shaft"),
        "steering.joint_upper": ("upper",),
        "steering.joint_lower": ("lower",),
        "left.outboard": ("left outer", "LH outer", "left outboard"),
        "left.inboard": ("left inner", "LH inner", "left inboard"),
        "right.outboard": ("right outer", "RH outer", "right outboard"),
        "right.inboard": ("right inner", "RH inner", "right inboard"),
    }
)

_REASONS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "failed": (
            "{part} failed, replaced",
            "{part} seized, new one fitted",
            "breakdown: {part} broken up, renewed",
            "{part} knocking badly, failed - replaced",
            "vibration traced to {part}, failed, replaced",
        ),
        "worn": (
            "{part} condemned at service, replaced",
            "{part} worn beyond limit at inspection, renewed",
            "found on inspection: {part} worn out. Renewed",
            "{part} condemned on inspection",
        ),
        "planned": (
            "{part} renewed, planned replacement",
            "scheduled replacement {part}",
            "preventive change of {part}",
        ),
        "collateral": (
            "{part} renewed while apart",
            "{part} replaced as well, shaft out anyway",
            "{part} renewed together with the above",
        ),
        "damage": (
            "{part} damaged by road debris, replaced",
            "accident damage: {part} replaced",
            "{part} damaged on kerb, renewed",
        ),
        "comeback": (
            "comeback: {part} not seated on last job, refitted new",
            "{part} badly fitted last time, redone - comeback",
            "repeat job, {part} wrongly fitted, replaced",
        ),
    }
)

_BOOT_FAILURES = (
    "{part} split, grease lost, failed - replaced",
    "{part} torn open, failed, renewed",
)
_BOOT_CONDEMNED = (
    "{part} cracked, condemned at service, replaced",
    "{part} perished and split, condemned on inspection",
    *_REASONS["worn"],
)

_OTHER_WORK = (
    "engine oil and filter change",
    "front brake pads renewed",
    "rear brake discs and pads",
    "2 tyres, balanced",
    "battery replaced",
    "wiper blades",
    "coolant leak, hose replaced",
    "headlamp bulb LH",
    "air filter, cabin filter",
    "seat belt buckle replaced",
    "annual safety check, no work needed",
    "alternator belt squealing, replaced",
)


def repair_text(rng: np.random.Generator, *, component: str, position: str, reason: str) -> str:
    """Free text of an order line.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    component : str
        Component code.
    position : str
        Position, or empty when the text is not to tell it.
    reason : str
        Reason of the renewal.

    Returns
    -------
    str
        One line.

    Raises
    ------
    KeyError
        If there are no words for the component, position or reason.
    """
    part = _pick(rng, _PARTS[component])
    if position:
        side, _, name = position.partition(".")
        key = position if position in _PLACES else f"{side}.{name.partition('_')[0]}"
        part = f"{_pick(rng, _PLACES[key])} {part}"
    phrases = _REASONS[reason]
    if component.startswith("cv_boot"):
        phrases = {"failed": _BOOT_FAILURES, "worn": _BOOT_CONDEMNED}.get(reason, phrases)
    text = _pick(rng, phrases).format(part=part)
    return text[0].upper() + text[1:] if rng.random() < 0.6 else text


def other_work_text(rng: np.random.Generator) -> str:
    """Text of an order line that has nothing to do with the driveline.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.

    Returns
    -------
    str
        One line.
    """
    return _pick(rng, _OTHER_WORK)


def _pick(rng: np.random.Generator, words: tuple[str, ...]) -> str:
    """One of several wordings."""
    return words[int(rng.integers(len(words)))]
