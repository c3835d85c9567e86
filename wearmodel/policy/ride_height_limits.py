"""One answer a vehicle class to "how far can we raise it": the table `ride_height_limits`."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

import pandas as pd

from wearmodel.driveline.angle_limits import BOOT_JOINTS, AngleLimits, limits_for
from wearmodel.driveline.angles import joint_angle
from wearmodel.policy.joint_angles import JointPlace
from wearmodel.policy.ride_heights import place_words

__all__ = ["build_ride_height_limits", "lift_to_angle"]

_ROUND = 5.0


@dataclass(frozen=True)
class _Reach:
    """How far one joint's limit lets its class be raised."""

    place: JointPlace
    high: float
    lift: float


def lift_to_angle(angle: float, *, length: float, limit: float) -> float:
    """Lift at which a joint reaches an angle.

    Parameters
    ----------
    angle : float
        Joint angle at factory ride height [deg].
    length : float
        Length of the shaft that swings; infinite where lift does not move the joint [mm].
    limit : float
        Angle to reach, above 0 and below 90 [deg].

    Returns
    -------
    float
        Lift [mm]; 0 where the joint is beyond the angle at factory height, infinite where lift does not move it.

    Raises
    ------
    ValueError
        A limit or angle out of range, a length not above 0.

    Notes
    -----
    ``length (sin limit - sin angle)``, from `wearmodel.driveline.angles.joint_angle`.

    Examples
    --------
    >>> round(lift_to_angle(2.5, length=1040.0, limit=10.0), 1)
    135.2
    """
    if not 0.0 < limit < 90.0 or not abs(angle) < 90.0:
        raise ValueError("angles must be below 90 degrees, and a limit above 0")
    if not length > 0.0:
        raise ValueError("a shaft length must be above 0 mm")
    if abs(angle) > limit:
        return 0.0
    if math.isinf(length):
        return math.inf
    return length * (math.sin(math.radians(limit)) - math.sin(math.radians(angle)))


def build_ride_height_limits(
    places: list[JointPlace],
    *,
    ride_heights: pd.DataFrame,
    limits: Mapping[str, AngleLimits],
    seen: pd.DataFrame,
) -> pd.DataFrame:
    """Table `ride_height_limits`.

    Parameters
    ----------
    places : list of JointPlace
        From `find_places`.
    ride_heights : pandas.DataFrame
        From `build_ride_heights`.
    limits : mapping of str to AngleLimits
        By component code.
    seen : pandas.DataFrame
        From `build_heights_seen`.

    Returns
    -------
    pandas.DataFrame
        One row a vehicle class: `vehicle_class, lift_limit` [mm; NaN where no joint reaches its limit within the
        lifts shown]`, position` (of the joint that reaches it first)`, limit` [deg]`, highest_lift` (of the class in
        the record) [mm]`, sentence, life_sentence`.
    """
    rows = []
    for name, mine in ride_heights.groupby("vehicle_class", sort=True):
        reaches = [_reach(place, limits) for place in places if place.vehicle_class == name]
        known = [reach for reach in reaches if reach is not None]
        first = min(known, key=lambda reach: reach.lift) if known else None
        lifts = seen.loc[seen["vehicle_class"] == name, "lift"]
        highest = float(max(lifts.max(), 0.0)) if len(lifts) else 0.0
        last = float(mine["lift"].max())
        reached = first is not None and first.lift < last
        rows.append(
            (
                str(name),
                first.lift if first is not None and reached else math.nan,
                first.place.position if first is not None and reached else "",
                first.high if first is not None and reached else math.nan,
                highest,
                _angle_sentence(first, last, sorted(mine["lift"].unique())),
                _life_sentence(mine, highest),
            )
        )
    columns = ["vehicle_class", "lift_limit", "position", "limit", "highest_lift", "sentence", "life_sentence"]
    return pd.DataFrame(rows, columns=columns)


def _reach(place: JointPlace, limits: Mapping[str, AngleLimits]) -> _Reach | None:
    """How far a joint lets its class be raised; None without a limit. A boot says what its joint says."""
    own = limits_for(place.component, limits=limits)
    if own is None or place.component in BOOT_JOINTS or place.position.startswith("right."):
        return None
    return _Reach(place, own.high, lift_to_angle(place.swing.angle, length=place.swing.length, limit=own.high))


def _angle_sentence(first: _Reach | None, last: float, steps: list[float]) -> str:
    """Up to which lift every joint stays within its limit."""
    if first is None:
        return "No joint of this class has an angle limit."
    where = place_words(first.place.position)
    at_factory = abs(first.place.swing.angle)
    if at_factory > first.high:
        return (
            f"Already at factory height the angle at {where} is {at_factory:.1f} degrees, above the {first.high:g} "
            "that is taken as high."
        )
    if first.lift >= last:
        return f"Up to {last:g} mm, the highest lift shown, every joint shown stays within its limit."
    beyond = next(float(lift) for lift in steps if lift > first.lift)
    there = float(joint_angle(first.place.swing.angle, length=first.place.swing.length, lift=beyond))
    to = math.floor(first.lift / _ROUND) * _ROUND if first.lift >= _ROUND else math.floor(first.lift)
    return (
        f"Up to about {to:g} mm every joint shown stays within its limit; at {beyond:g} mm the angle at {where} is "
        f"{there:.1f} degrees, above the {first.high:g} that is taken as high."
    )


def _life_sentence(mine: pd.DataFrame, highest: float) -> str:
    """What the curves say of the part that suffers most, at the highest lift of the class or one step up."""
    known = mine[(mine["lift"] > 0) & mine["life_ratio"].notna()]
    on_record = (
        f"The record has vehicles of this class raised by up to {highest:g} mm"
        if highest > 0
        else "The record has no raised vehicle of this class"
    )
    if known.empty:
        return f"{on_record}; it does not tell what raising does to the life of their parts."
    lift = min(known["lift"].unique(), key=lambda step: (abs(step - max(highest, 50.0)), step))
    worst = known[known["lift"] == lift].sort_values("life_ratio", kind="stable").iloc[0]
    caution = f", {worst['record']}" if worst["record"] else ""
    where = place_words(str(worst["position"]))
    return (
        f"{on_record}; at {lift:g} mm most life is lost at {where}: {worst['life_ratio']:.2f} of that at factory "
        f"height is left ({worst['lower']:.2f} to {worst['upper']:.2f}){caution}."
    )
