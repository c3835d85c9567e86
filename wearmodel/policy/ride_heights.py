"""How far can vehicles be raised: joint angles and predicted life in steps of lift, the table `ride_heights`."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.driveline.angle_limits import AngleLimits, angle_flag, angle_remark, limits_for
from wearmodel.driveline.angles import Geometry, JointSwing, joint_angle
from wearmodel.driveline.bearing_life import bearing_life_ratio
from wearmodel.driveline.joint_chain import residual_angle
from wearmodel.driveline.kinematics import peak_acceleration, speed_ripple
from wearmodel.driveline.shafts import ShaftLimits
from wearmodel.history.histories import Histories
from wearmodel.policy.joint_angles import CROSS_JOINTS, JointPlace
from wearmodel.survival.coding import ANGLE_FLOOR, height_value
from wearmodel.survival.model import Band, ComponentModel, LifeModel

__all__ = [
    "BEYOND",
    "NOT_SETTLED",
    "RIDE_HEIGHT_COLUMNS",
    "build_heights_seen",
    "build_ride_heights",
    "life_ratio_there",
    "lift_steps",
    "place_words",
]

Array = NDArray[Any]

#: Said of a row that lies outside what the fleet's record has seen of the component.
BEYOND = "beyond what the record saw"
#: Said of a row whose interval reaches from less life to more.
NOT_SETTLED = "not settled by the record"
RIDE_HEIGHT_COLUMNS = (
    "vehicle_class", "driveline", "position", "component", "lift", "angle", "ripple", "flag", "limit", "remark",
    "residual_angle", "residual_ripple", "line_remark", "acceleration", "life_ratio", "lower", "upper",
    "bearing_ratio", "record",
)  # fmt: skip

_STEP = 25.0
_BEYOND_HIGHEST, _LEAST_HIGHEST = 50.0, 100.0


@dataclass(frozen=True)
class _Line:
    """Residual figures of a line of joints by lift, each of shape (n_lifts,); NaN where the line has none."""

    angle: Array
    ripple: Array
    acceleration: Array


def lift_steps(lifts: Array) -> Array:
    """Lifts to show, from the lowest in use or factory height to beyond the highest in use.

    Parameters
    ----------
    lifts : ndarray
        Lifts met in the record [mm].

    Returns
    -------
    ndarray
        In steps of 25 mm, 0 among them, to at least 50 mm beyond the highest and at least 100 mm [mm].
    """
    met = np.concatenate([np.asarray(lifts, dtype=float), [0.0]])
    low = math.floor(met.min() / _STEP) * _STEP
    high = math.ceil(max(met.max() + _BEYOND_HIGHEST, _LEAST_HIGHEST) / _STEP) * _STEP
    return np.arange(low, high + _STEP / 2.0, _STEP)


def place_words(position: str) -> str:
    """A position as it may stand for both sides of a vehicle.

    Parameters
    ----------
    position : str
        A position.

    Returns
    -------
    str
        `left and right outboard_joint` for either side, else the position itself.

    Examples
    --------
    >>> place_words("right.inboard_boot")
    'left and right inboard_boot'
    """
    for side in ("left.", "right."):
        if position.startswith(side):
            return f"left and right {position.removeprefix(side)}"
    return position


def build_heights_seen(histories: Histories, traits: pd.DataFrame) -> pd.DataFrame:
    """Lifts and joint angles that the record has seen parts run at.

    Parameters
    ----------
    histories : Histories
        Lives and segments.
    traits : pandas.DataFrame
        Row by row for the lives, with `angle` [deg] and `length` [mm] of the swing.

    Returns
    -------
    pandas.DataFrame
        Distinct `component, vehicle_class, lift` [mm]`, angle` [deg; NaN without geometry].
    """
    segments, lives = histories.segments, histories.lives
    at = segments["life"].to_numpy()
    high = lives["stop_high"].to_numpy()[at]
    end = np.where(np.isfinite(high), high, lives["stop_low"].to_numpy()[at])
    begins = np.maximum(segments["age_from"].to_numpy(), lives["entry"].to_numpy()[at])
    run = np.minimum(segments["age_to"].to_numpy(), end) > begins
    seen = pd.DataFrame(
        {
            "component": lives["component"].to_numpy()[at],
            "vehicle_class": lives["vehicle_class"].to_numpy()[at],
            "lift": segments["lift"].to_numpy(dtype=float),
            "factory": traits["angle"].to_numpy(dtype=float)[at],
            "length": traits["length"].to_numpy(dtype=float)[at],
        }
    )[run].drop_duplicates(ignore_index=True)
    known = seen["factory"].notna().to_numpy()
    angle = np.full(len(seen), np.nan)
    moved = seen[known]
    angle[known] = joint_angle(moved["factory"].to_numpy(), length=moved["length"].to_numpy(), lift=moved["lift"])
    seen = seen.assign(angle=angle)[["component", "vehicle_class", "lift", "angle"]]
    return seen.drop_duplicates(ignore_index=True)


def life_ratio_there(
    model: ComponentModel | None, *, swing: JointSwing, lift: Array, confidence: float
) -> Band:
    """Life of a part at lifts over its life at factory height, in the same place and duty.

    Parameters
    ----------
    model : ComponentModel or None
        Fitted model of the component.
    swing : JointSwing
        Of the place.
    lift : ndarray, shape (n_lifts,)
        Height above factory [mm].
    confidence : float
        Two-sided confidence.

    Returns
    -------
    Band
        Arrays of shape (n_lifts,) [-]; NaN where the component has no curve of its own or the record does not tell
        what ride height does to it.

    Notes
    -----
    ``exp(c (x - x0))``, c the coefficient of the height value x in the log life, x0 that of factory height: all else
    is the same at one place. Normal theory for c, so that the bounds are ``exp((c -+ z se) (x - x0))``.
    """
    unknown = np.full(len(lift), np.nan)
    if model is None or model.basis != "fitted" or model.coding.height == "none":
        return Band(unknown, unknown, unknown)
    at = model.names.index(model.coding.height)
    half = NormalDist().inv_cdf(0.5 + confidence / 2.0) * math.sqrt(max(model.covariance[at][at], 0.0))
    now = joint_angle(swing.angle, length=swing.length, lift=lift)
    change = height_value(model.coding.height, angle=now, lift=lift) - height_value(
        model.coding.height, angle=abs(swing.angle), lift=0.0
    )
    middle, width = model.values[at] * change, half * np.abs(change)
    return Band(*(np.exp(middle + step) for step in (0.0, -width, width)))


def build_ride_heights(
    places: list[JointPlace],
    *,
    lifts: Array,
    geometry: Mapping[str, Geometry],
    limits: Mapping[str, AngleLimits],
    shaft_limits: ShaftLimits,
    model: LifeModel,
    seen: pd.DataFrame,
) -> pd.DataFrame:
    """Table `ride_heights`.

    Parameters
    ----------
    places : list of JointPlace
        From `find_places`.
    lifts : ndarray, shape (n_lifts,)
        From `lift_steps` [mm].
    geometry : mapping of str to Geometry
        By vehicle class.
    limits : mapping of str to AngleLimits
        By component code.
    shaft_limits : ShaftLimits
        For the lines.
    model : LifeModel
        Life models.
    seen : pandas.DataFrame
        From `build_heights_seen`.

    Returns
    -------
    pandas.DataFrame
        Columns `RIDE_HEIGHT_COLUMNS`: `angle`, `residual_angle` (of the whole line, universal joints alone) [deg],
        `ripple`, `residual_ripple` [-] with `line_remark`, `flag`, `limit` (above it the angle is high) [deg] and
        `remark` of `angle_limits`, `acceleration` (peak, of what the line
        drives at its top speed) [rad/s^2], `life_ratio` with `lower` and `upper` by the fleet's own curve,
        `bearing_ratio` by the needle-bearing formula (cross joints), both over factory height in the same place,
        `record` `BEYOND`, `NOT_SETTLED`, both or empty. A lift that a shaft does not reach to has no row.
    """
    frames = []
    reached: dict[tuple[str, str, str], _Line] = {}
    for place in places:
        key = (place.vehicle_class, place.driveline, place.position.partition(".")[0])
        within = lifts[_possible(place.swing, lifts)]
        if key not in reached:
            reached[key] = _residuals(key, places, lifts, geometry[place.vehicle_class])
        rows = _place_rows(place, within, limits=limits, model=model, seen=seen)
        line = reached[key]
        here = np.isin(lifts, within)
        cross = place.component in CROSS_JOINTS
        for name, values in (("angle", line.angle), ("ripple", line.ripple)):
            rows[f"residual_{name}"] = values[here] if cross else np.nan
        rows["acceleration"] = line.acceleration[here] if cross else np.nan
        over = rows["residual_ripple"] > shaft_limits.residual_ripple
        rows["line_remark"] = np.where(over, f"above {shaft_limits.residual_ripple:.2%}", "")
        frames.append(rows)
    if not frames:
        return pd.DataFrame(columns=list(RIDE_HEIGHT_COLUMNS))
    return pd.concat(frames, ignore_index=True)[list(RIDE_HEIGHT_COLUMNS)]


def _possible(swing: JointSwing, lifts: Array) -> Array:
    """Lifts a shaft can follow: its far end moves by less than its length allows."""
    return np.abs(math.sin(math.radians(swing.angle)) + lifts / swing.length) < 1.0


def _residuals(key: tuple[str, str, str], places: list[JointPlace], lifts: Array, geometry: Geometry) -> _Line:
    """What the joints of a line leave of the uneven running; NaN for lines that are not of cross joints."""
    vehicle_class, driveline, prefix = key
    nothing = np.full(len(lifts), np.nan)
    line = geometry.shaft_lines.get(prefix)
    joints = [
        p for p in places
        if (p.vehicle_class, p.driveline) == (vehicle_class, driveline) and p.position.startswith(f"{prefix}.joint")
    ]  # fmt: skip
    if line is None or not joints or not all(joint.component in CROSS_JOINTS for joint in joints):
        return _Line(nothing, nothing, nothing)
    fine = np.all([_possible(joint.swing, lifts) for joint in joints], axis=0)
    angles = np.column_stack(
        [joint_angle(joint.swing.angle, length=joint.swing.length, lift=lifts[fine]) for joint in joints]
    )
    angle, ripple, peak = nothing.copy(), nothing.copy(), nothing.copy()
    angle[fine] = residual_angle(angles, twists=line.yoke_twists or None)
    ripple[fine] = speed_ripple(angle[fine])
    if line.tubes is not None and math.isfinite(line.tubes.top_speed):
        peak[fine] = peak_acceleration(angle[fine], speed=line.tubes.top_speed)
    return _Line(angle, ripple, peak)


def _place_rows(
    place: JointPlace,
    lifts: Array,
    *,
    limits: Mapping[str, AngleLimits],
    model: LifeModel,
    seen: pd.DataFrame,
) -> pd.DataFrame:
    """Rows of one place, without the figures of its line."""
    swing, code = place.swing, place.component
    angle = joint_angle(swing.angle, length=swing.length, lift=lifts)
    band = life_ratio_there(model.components.get(code), swing=swing, lift=lifts, confidence=model.confidence)
    cross = code in CROSS_JOINTS
    own = limits_for(code, limits=limits)
    mine = seen[seen["component"] == code]
    beyond = (lifts > mine["lift"].max()) | (lifts < mine["lift"].min()) if len(mine) else lifts == lifts
    if mine["angle"].notna().any():
        # A long shaft may be raised far without the angle leaving what the record saw, and the other way round.
        beyond = beyond | (angle > mine["angle"].max() + 1e-9)
    beyond = beyond & (lifts != 0.0)
    ratio = bearing_life_ratio(angle, reference_angle=swing.angle, floor=ANGLE_FLOOR)
    return pd.DataFrame(
        {
            "vehicle_class": place.vehicle_class,
            "driveline": place.driveline,
            "position": place.position,
            "component": code,
            "lift": lifts,
            "angle": angle,
            "ripple": speed_ripple(angle) if cross else np.nan,
            "flag": [angle_flag(float(a), component=code, limits=limits) for a in angle],
            "limit": math.nan if own is None else own.high,
            "remark": [angle_remark(float(a), component=code, limits=limits) for a in angle],
            "life_ratio": band.estimate,
            "lower": band.low,
            "upper": band.high,
            "bearing_ratio": ratio if cross else np.nan,
            "record": [_record(*said) for said in zip(beyond, (band.low < 1.0) & (band.high > 1.0), strict=True)],
        }
    )


def _record(beyond: bool, unsettled: bool) -> str:
    """What the record leaves to be wished for."""
    return "; ".join(word for word, said in ((BEYOND, beyond), (NOT_SETTLED, unsettled)) if said)
