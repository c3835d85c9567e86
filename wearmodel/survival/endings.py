"""How lives end: wear, planned renewal, renewal along with another part, damage, comeback."""

import math
from collections.abc import Mapping
from statistics import NormalDist
from types import MappingProxyType
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.survival.risk_sets import EndShares, aalen_johansen

__all__ = ["STILL_FITTED", "WAYS", "build_ending_counts", "build_endings", "share_limits"]

Array = NDArray[Any]

#: Ways a life can end, and the reasons of the record that each stands for.
WAYS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "wear": ("failed", "worn"),
        "planned": ("planned",),
        "collateral": ("collateral",),
        "damage": ("damage",),
        "comeback": ("comeback",),
    }
)
#: Row of what has ended in no way yet.
STILL_FITTED = "still_fitted"
#: Keeps powers of e finite.
_LARGEST_LOG = 700.0
#: Distances of a component's table, at most.
_MOST_POINTS = 40
#: The curves are shown up to where this weight of lives was last at risk: beyond, one life moves them by a fifth.
_FEWEST_AT_RISK = 5.0


def build_endings(lives: pd.DataFrame, *, confidence: float = 0.9) -> pd.DataFrame:
    """Table `endings`: the share of lives that has ended in each way by a distance.

    Parameters
    ----------
    lives : pandas.DataFrame
        All lives: `component, entry, stop_low, stop_high` [distance], `ended`, `weight` (0 to 1; lives of unknown
        fitting date have 0 and are left out).
    confidence : float
        Of the pointwise limits, two-sided.

    Returns
    -------
    pandas.DataFrame
        Columns `component, ended, distance, incidence, lower, upper, at_risk`: for each way of `WAYS` and for
        what is still fitted, even steps of distance up to where 5 lives were last at risk. The incidences of
        one distance sum to 1. Components without an ended life are missing.

    Notes
    -----
    Aalen-Johansen curves with late entry, each life counting for its weight. Wear known to an interval between two
    looks counts at the middle of the interval, as in `nonparametric_curve`. Limits take lives as independent.
    """
    frames = [_component_endings(mine, confidence).assign(component=code) for code, mine in lives.groupby("component")]
    columns = ["component", "ended", "distance", "incidence", "lower", "upper", "at_risk"]
    frames = [frame for frame in frames if len(frame)]
    return pd.concat(frames, ignore_index=True)[columns] if frames else pd.DataFrame(columns=columns)


def build_ending_counts(lives: pd.DataFrame) -> pd.DataFrame:
    """Table `ending_counts`: how many lives ended in each way, and how many the curves leave out.

    Parameters
    ----------
    lives : pandas.DataFrame
        All lives, with `chance` too.

    Returns
    -------
    pandas.DataFrame
        Columns `component, ended, lives, left_out`; `left_out` counts lives of unknown fitting date and those that
        ran no distance under observation. Lives that are one of several possibilities count for their chance.
    """
    reason_way = {reason: way for way, reasons in WAYS.items() for reason in reasons}
    ended = lives["ended"].map(reason_way).fillna(STILL_FITTED)
    sums = (
        pd.DataFrame(
            {
                "component": lives["component"],
                "ended": pd.Categorical(ended, [*WAYS, STILL_FITTED]),
                "lives": lives["weight"],
                "left_out": lives["chance"] - lives["weight"],
            }
        )
        .groupby(["component", "ended"], observed=False)[["lives", "left_out"]]
        .sum()
        .reset_index()
    )
    return sums.assign(ended=sums["ended"].astype(str))


def share_limits(share: Array, variance: Array, *, confidence: float) -> tuple[Array, Array]:
    """Lower and upper limit of shares that have ended in one way.

    Parameters
    ----------
    share, variance : ndarray
        As in `EndShares`; any shape.
    confidence : float
        Two-sided, between 0 and 1.

    Returns
    -------
    tuple of ndarray
        Normal theory for log(-log share), so that limits stay inside 0 to 1; NaN while the share is 0 or 1, where
        the variance says nothing. Where less than one end has been seen (a chance of one), the relative error is
        taken as that of one.

    References
    ----------
    Kalbfleisch & Prentice, The Statistical Analysis of Failure Time Data, 2nd ed. 2002, sec. 1.4 (for the survival).
    """
    inside = (share > 0) & (share < 1) & (variance > 0)
    safe = np.where(inside, share, 0.5)
    relative = np.minimum(np.sqrt(np.where(inside, variance, 0.0)) / safe, 1.0)
    spread = relative / np.abs(np.log(safe))
    # Next to 0 and 1 the error of the odds knows no bounds: the limits are then 0 and 1.
    factor = np.exp(np.minimum(NormalDist().inv_cdf(0.5 + confidence / 2.0) * spread, _LARGEST_LOG))
    return np.where(inside, safe**factor, np.nan), np.where(inside, safe ** (1.0 / factor), np.nan)


def _component_endings(lives: pd.DataFrame, confidence: float) -> pd.DataFrame:
    """Rows of one component."""
    used = lives[lives["weight"] > 0]
    low, high, entry = (used[name].to_numpy(dtype=float) for name in ("stop_low", "stop_high", "entry"))
    # The middle of the interval; of a failure seen to the distance, that distance.
    stop = np.where(np.isfinite(high), low + (np.where(np.isfinite(high), high, low) - low) / 2.0, low)
    number = {reason: i for i, reasons in enumerate(WAYS.values()) for reason in reasons}
    way = used["ended"].map(number).fillna(-1).to_numpy(dtype=np.intp)
    seen = stop > entry
    if not (way[seen] >= 0).any():
        return pd.DataFrame()
    columns = {"entry": entry[seen], "stop": stop[seen], "weight": used["weight"].to_numpy(dtype=float)[seen]}
    ends = aalen_johansen(**columns, way=way[seen], ways=len(WAYS))
    together = aalen_johansen(**columns, way=np.minimum(way[seen], 0), ways=1)
    grid = _round_grid(_last_age(ends))
    frames = [_rows(name, grid, ends, ends.share[:, i], ends.variance[:, i], confidence) for i, name in enumerate(WAYS)]
    frames.append(_rows(STILL_FITTED, grid, ends, ends.survival, together.variance[:, 0], confidence, at_zero=1.0))
    return pd.concat(frames, ignore_index=True)


def _last_age(ends: EndShares) -> float:
    """Last end with enough lives at risk; where there never were, the last one."""
    enough = ends.age[ends.at_risk >= _FEWEST_AT_RISK]
    return float(enough[-1] if len(enough) else ends.age[-1])


def _round_grid(longest: float) -> Array:
    """Distances from 0 by even steps of round numbers."""
    raw = longest / _MOST_POINTS
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1.0, 2.0, 2.5, 5.0, 10.0) if m * power >= raw * (1 - 1e-12))
    return step * np.arange(max(math.floor(longest / step * (1 + 1e-12)), 1) + 1)


def _rows(
    name: str, grid: Array, ends: EndShares, share: Array, variance: Array, confidence: float, *, at_zero: float = 0.0
) -> pd.DataFrame:
    """A step curve read at the distances of a grid."""
    lower, upper = share_limits(share, variance, confidence=confidence)
    at = np.searchsorted(ends.age, grid, side="right")
    steps = {"incidence": (at_zero, share), "lower": (np.nan, lower), "upper": (np.nan, upper)}
    values = {column: np.concatenate([[first], curve])[at] for column, (first, curve) in steps.items()}
    # Those at risk at a distance: of the next end from there on.
    at_risk = np.append(ends.at_risk, 0.0)[np.searchsorted(ends.age, grid, side="left")]
    return pd.DataFrame({"ended": name, "distance": grid, **values, "at_risk": at_risk})
