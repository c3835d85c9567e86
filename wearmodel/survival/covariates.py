"""Covariates of lives: duty, and ride height through joint angle where geometry is known."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.driveline.angles import Geometry, joint_angle, joint_swing
from wearmodel.survival.coding import Coding, SwingMix, height_value

__all__ = ["HEIGHT_BY_COMPONENT", "build_coding", "build_segment_design", "build_swings"]

Array = NDArray[Any]

#: A cross joint's needles rock through an angle proportional to the joint angle, so its life goes
#: with a power of the angle; for the others the angle itself is taken. Needle-bearing life formula:
#: double the angle, half the life (published trade rule); the power is estimated, not assumed.
HEIGHT_BY_COMPONENT = {"u_joint": "log_angle", "steering_joint": "log_angle"}


def build_swings(
    lives: pd.DataFrame, *, geometry: Mapping[str, Geometry], layouts: Mapping[str, Mapping[str, str]]
) -> pd.DataFrame:
    """How lift moves each life's joint.

    Parameters
    ----------
    lives : pandas.DataFrame
        With `vehicle_class`, `driveline`, `position`.
    geometry : mapping of str to Geometry
        By vehicle class.
    layouts : mapping
        Driveline layouts.

    Returns
    -------
    pandas.DataFrame
        Same index; `angle` [deg] and `length` [mm] of the swing, NaN where geometry says nothing;
        `described` tells whether the vehicle class has any geometry.
    """
    keys = lives[["vehicle_class", "driveline", "position"]]
    unique = keys.drop_duplicates().reset_index(drop=True)
    rows = []
    for vehicle_class, driveline, position in unique.itertuples(index=False):
        known = geometry.get(vehicle_class)
        swing = (
            None
            if known is None
            else joint_swing(position, driveline=driveline, geometry=known, layouts=layouts)
        )
        rows.append(
            (np.nan, np.nan, known is not None) if swing is None else (swing.angle, swing.length, True)
        )
    unique[["angle", "length", "described"]] = pd.DataFrame(rows, columns=["angle", "length", "described"])
    merged = keys.merge(unique, on=list(keys.columns), how="left")
    merged.index = lives.index
    return merged[["angle", "length", "described"]]


@dataclass(frozen=True)
class _Columns:
    """Height and fixed-position columns of segments before centring."""

    height: str
    value: Array
    fixed: Array


def _height_columns(component: str, lift: Array, swings: pd.DataFrame) -> _Columns:
    """Choose angle or lift for a component and code its segments."""
    angle, length = swings["angle"].to_numpy(), swings["length"].to_numpy()
    known = np.isfinite(angle)
    if swings["described"].all():
        height = HEIGHT_BY_COMPONENT.get(component, "angle")
        now = joint_angle(np.where(known, angle, 0.0), length=np.where(known, length, np.inf), lift=lift)
        return _Columns(height, height_value(height, angle=now, lift=lift), ~known)
    return _Columns("lift", height_value("lift", angle=0.0, lift=lift), np.zeros(len(lift), dtype=bool))


def build_coding(
    component: str, *, segments: pd.DataFrame, swings: pd.DataFrame, lifts: tuple[float, ...]
) -> Coding:
    """Covariate coding of a component from its lives.

    Parameters
    ----------
    component : str
        Component code.
    segments : pandas.DataFrame
        Segments of the component's lives with `duty`, `lift`, `distance` (run under observation) and
        `place` (one value for each position of each vehicle).
    swings : pandas.DataFrame
        Row by row for the segments, from `build_swings`.
    lifts : tuple of float
        Lift levels of the fleet [mm].

    Returns
    -------
    Coding
        The duty with the most distance is the reference; the height value is centred at its mean at
        factory height. A height that never varies is left out.
    """
    run = segments.groupby("duty")["distance"].sum().sort_values(ascending=False, kind="stable")
    duties = tuple(str(duty) for duty in run.index)
    total = float(run.sum())
    shares = tuple(float(x) / total for x in run) if total > 0 else tuple(1 / len(run) for _ in run)
    columns = _height_columns(component, segments["lift"].to_numpy(), swings)
    moving = ~columns.fixed
    spread = np.ptp(columns.value[moving]) if moving.any() else 0.0
    if spread < 1e-6:
        return Coding(duties, shares, "none", 0.0, lifts, None)
    factory = moving & (segments["lift"].to_numpy() == 0)
    centre = float(columns.value[factory if factory.any() else moving].mean())
    if columns.height == "lift":
        return Coding(duties, shares, "lift", 0.0, lifts, None)
    # Each position counts once: a steep joint has more lives behind it, not more places.
    first = ~segments.duplicated("place").to_numpy()
    fixed_share = float(columns.fixed[first].mean())
    swing = _swing_mix(swings[first & moving], 1.0 - fixed_share)
    return Coding(duties, shares, columns.height, centre, lifts, swing, fixed_share=fixed_share)


def _swing_mix(swings: pd.DataFrame, share: float) -> SwingMix:
    """Distinct swings of positions with their share."""
    counts = swings.groupby(["angle", "length"]).size()
    weights = counts / counts.sum() * share
    return SwingMix(
        angles=tuple(float(a) for a, _ in counts.index),
        lengths=tuple(float(length) for _, length in counts.index),
        weights=tuple(float(w) for w in weights),
    )


def build_segment_design(coding: Coding, *, duty: Array, lift: Array, swings: pd.DataFrame) -> Array:
    """Covariate rows of segments.

    Parameters
    ----------
    coding : Coding
        The component's coding.
    duty : ndarray of str, shape (n_segments,)
        Duty of each segment; one the coding does not know counts as the fleet's mix.
    lift : ndarray, shape (n_segments,)
        Height above factory [mm].
    swings : pandas.DataFrame
        Row by row for the segments.

    Returns
    -------
    ndarray, shape (n_segments, n_coefficients)
        In the order of `coding.names`.
    """
    index = pd.Index(coding.duties).get_indexer(pd.Index(duty))
    shares = np.vstack([np.eye(len(coding.duties)), np.array(coding.duty_weights)])
    parts = [np.ones((len(lift), 1)), shares[index][:, 1:]]
    if coding.height == "lift":
        parts.append((height_value("lift", angle=0.0, lift=lift) - coding.height_centre)[:, None])
    elif coding.height != "none":
        angle, length = swings["angle"].to_numpy(), swings["length"].to_numpy()
        known = np.isfinite(angle)
        now = joint_angle(np.where(known, angle, 0.0), length=np.where(known, length, np.inf), lift=lift)
        value = height_value(coding.height, angle=now, lift=lift) - coding.height_centre
        if coding.fixed_share > 0:
            parts.append((~known).astype(float)[:, None])
        parts.append(np.where(known, value, 0.0)[:, None])
    return np.hstack(parts)
