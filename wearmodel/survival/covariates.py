"""Covariates of lives: duty, class, place, make, build, greasing, and ride height through joint angle if known."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.driveline.angles import Geometry, joint_angle, joint_swing
from wearmodel.survival.coding import (
    GROUP_KINDS,
    Coding,
    GroupLevels,
    SwingMix,
    group_rows,
    height_value,
    recode_duty_height,
)

__all__ = ["HEIGHT_BY_COMPONENT", "build_coding", "build_segment_design", "build_traits"]

Array = NDArray[Any]

#: A cross joint's needles rock through an angle proportional to the joint angle, so its life goes
#: with a power of the angle; for the others the angle itself is taken. Needle-bearing life formula:
#: double the angle, half the life (published trade rule); the power is estimated, not assumed.
HEIGHT_BY_COMPONENT = {"u_joint": "log_angle", "steering_joint": "log_angle"}


#: Column of `build_traits` each kind of group stands in.
_KINDS = dict(zip(GROUP_KINDS, ("vehicle_class", "place", "make", "build", "greasing"), strict=True))
#: Levels with less than this share of the distance count as not known, and no kind has more levels than this.
_LEAST_SHARE, _MOST_LEVELS = 0.01, 12
_SIDES = ("left.", "right.")


def build_traits(
    lives: pd.DataFrame,
    *,
    geometry: Mapping[str, Geometry],
    layouts: Mapping[str, Mapping[str, str]],
    numbers: Mapping[str, str],
    builds: Mapping[str, str],
    greasing: Callable[[Array], Array] | None = None,
) -> pd.DataFrame:
    """What each life's part and place are, as far as a life model may use it.

    Parameters
    ----------
    lives : pandas.DataFrame
        With `duty`, `vehicle_class`, `driveline`, `position`, `part_number`.
    geometry : mapping of str to Geometry
        By vehicle class.
    layouts : mapping
        Driveline layouts.
    numbers : mapping of str to str
        Part numbers to the number that stands for them today.
    builds : mapping of str to str
        Build by part number.
    greasing : callable, optional
        From the build of each life to the level of its greasing; not known when missing.

    Returns
    -------
    pandas.DataFrame
        Same index; `duty`, `vehicle_class`, `place` (left and right alike), `make` and `build` (empty where no part
        number is known), `greasing` (empty where it is not known); `angle` [deg] and `length` [mm] of the swing, NaN
        where geometry says nothing; `described` tells whether the vehicle class has any geometry.
    """
    make = lives["part_number"].map(numbers).fillna(lives["part_number"])
    build = make.map(builds).fillna("").to_numpy(dtype=object)
    return _swings(lives, geometry, layouts).assign(
        duty=lives["duty"].to_numpy(),
        vehicle_class=lives["vehicle_class"].to_numpy(),
        place=lives["position"].map({name: _place(name) for name in lives["position"].unique()}).to_numpy(),
        make=make.to_numpy(),
        build=build,
        greasing=np.full(len(lives), "", dtype=object) if greasing is None else greasing(build),
    )


def _place(position: str) -> str:
    """A position without its side."""
    for side in _SIDES:
        position = position.removeprefix(side)
    return position.replace("_left.", ".").replace("_right.", ".")


def _swings(
    lives: pd.DataFrame, geometry: Mapping[str, Geometry], layouts: Mapping[str, Mapping[str, str]]
) -> pd.DataFrame:
    """How lift moves each life's joint."""
    keys = lives[["vehicle_class", "driveline", "position"]]
    unique = keys.drop_duplicates().reset_index(drop=True)
    rows = []
    for vehicle_class, driveline, position in unique.itertuples(index=False):
        known = geometry.get(vehicle_class)
        swing = None if known is None else joint_swing(position, driveline=driveline, geometry=known, layouts=layouts)
        rows.append((np.nan, np.nan, known is not None) if swing is None else (swing.angle, swing.length, True))
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


def _height_columns(component: str, lift: Array, traits: pd.DataFrame) -> _Columns:
    """Choose angle or lift for a component and code its segments."""
    angle, length = traits["angle"].to_numpy(), traits["length"].to_numpy()
    known = np.isfinite(angle)
    if traits["described"].all():
        height = HEIGHT_BY_COMPONENT.get(component, "angle")
        now = joint_angle(np.where(known, angle, 0.0), length=np.where(known, length, np.inf), lift=lift)
        return _Columns(height, height_value(height, angle=now, lift=lift), ~known)
    return _Columns("lift", height_value("lift", angle=0.0, lift=lift), np.zeros(len(lift), dtype=bool))


def build_coding(component: str, *, segments: pd.DataFrame, traits: pd.DataFrame, lifts: tuple[float, ...]) -> Coding:
    """Covariate coding of a component from its lives.

    Parameters
    ----------
    component : str
        Component code.
    segments : pandas.DataFrame
        Segments of the component's lives with `lift`, `distance` (run under observation) and `spot` (one value for
        each position of each vehicle).
    traits : pandas.DataFrame
        Row by row for the segments, from `build_traits`.
    lifts : tuple of float
        Lift levels of the fleet [mm].

    Returns
    -------
    Coding
        The duty with the most distance is the reference; the height value is centred at its mean at
        factory height. A height that never varies is left out.
    """
    duties, shares = _shares(traits["duty"], segments["distance"])
    groups = _groups(traits, segments["distance"])
    columns = _height_columns(component, segments["lift"].to_numpy(), traits)
    moving = ~columns.fixed
    spread = np.ptp(columns.value[moving]) if moving.any() else 0.0
    if spread < 1e-6:
        return Coding(duties, shares, "none", 0.0, lifts, None, groups=groups)
    factory = moving & (segments["lift"].to_numpy() == 0)
    centre = float(columns.value[factory if factory.any() else moving].mean())
    if columns.height == "lift":
        return Coding(duties, shares, "lift", 0.0, lifts, None, groups=groups)
    # Each position counts once: a steep joint has more lives behind it, not more places.
    first = ~segments.duplicated("spot").to_numpy()
    fixed_share = float(columns.fixed[first].mean())
    swing = _swing_mix(traits[first & moving], 1.0 - fixed_share)
    return Coding(duties, shares, columns.height, centre, lifts, swing, fixed_share=fixed_share, groups=groups)


def _shares(names: "pd.Series[str]", distance: "pd.Series[float]") -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Levels, the commonest first, and their share in the distance."""
    run = distance.groupby(names.to_numpy()).sum().sort_values(ascending=False, kind="stable")
    total = float(run.sum())
    shares = tuple(float(x) / total for x in run) if total > 0 else tuple(1 / len(run) for _ in run)
    return tuple(str(name) for name in run.index), shares


def _groups(traits: pd.DataFrame, distance: "pd.Series[float]") -> tuple[GroupLevels, ...]:
    """Kinds of groups that tell parts apart: two levels or more, and not the same parts as an earlier kind."""
    groups: list[GroupLevels] = []
    seen = [pd.factorize(traits["duty"])[0]]
    for kind, column in _KINDS.items():
        known = (traits[column] != "").to_numpy()
        if not known.any() or not distance[known].sum() > 0:
            continue
        levels, shares = _shares(traits[column][known], distance[known])
        kept = [i for i, share in enumerate(shares) if share >= _LEAST_SHARE][:_MOST_LEVELS]
        codes = pd.factorize(traits[column])[0]
        if len(kept) < 2 or any(_same_grouping(codes[known], other[known]) for other in seen):
            continue
        seen.append(codes)
        total = sum(shares[i] for i in kept)
        groups.append(GroupLevels(kind, tuple(levels[i] for i in kept), tuple(shares[i] / total for i in kept)))
    return tuple(groups)


def _same_grouping(one: Array, other: Array) -> bool:
    """Whether two groupings of the same rows part them alike."""
    pairs = (one.astype(np.int64) + 1) * (int(other.max(initial=0)) + 2) + other
    return len(pd.unique(pairs)) == len(pd.unique(one)) == len(pd.unique(other))


def _swing_mix(traits: pd.DataFrame, share: float) -> SwingMix:
    """Distinct traits of positions with their share."""
    counts = traits.groupby(["angle", "length"]).size()
    weights = counts / counts.sum() * share
    return SwingMix(
        angles=tuple(float(a) for a, _ in counts.index),
        lengths=tuple(float(length) for _, length in counts.index),
        weights=tuple(float(w) for w in weights),
    )


def build_segment_design(coding: Coding, *, lift: Array, traits: pd.DataFrame) -> Array:
    """Covariate rows of segments.

    Parameters
    ----------
    coding : Coding
        The component's coding.
    lift : ndarray, shape (n_segments,)
        Height above factory [mm].
    traits : pandas.DataFrame
        Row by row for the segments, from `build_traits`; a level the coding does not know counts as the fleet's mix.

    Returns
    -------
    ndarray, shape (n_segments, n_coefficients)
        In the order of `coding.names`.
    """
    duties = GroupLevels("duty", coding.duties, coding.duty_weights)
    parts = [np.ones((len(lift), 1)), group_rows(duties, traits["duty"].to_numpy())]
    parts += [group_rows(group, traits[_KINDS[group.kind]].to_numpy()) for group in coding.groups]
    if coding.height == "lift":
        parts.append((height_value("lift", angle=0.0, lift=lift) - coding.height_centre)[:, None])
    elif coding.height != "none":
        angle, length = traits["angle"].to_numpy(), traits["length"].to_numpy()
        known = np.isfinite(angle)
        now = joint_angle(np.where(known, angle, 0.0), length=np.where(known, length, np.inf), lift=lift)
        value = height_value(coding.height, angle=now, lift=lift) - coding.height_centre
        if coding.fixed_share > 0:
            parts.append((~known).astype(float)[:, None])
        parts.append(np.where(known, value, 0.0)[:, None])
    return recode_duty_height(np.hstack(parts), coding.with_duty_height(0.0), coding.duty_height)
