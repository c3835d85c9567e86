"""The truth of an invented fleet, for scoring what is made of its record."""

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.simulate.clock import Place, log_scale
from wearmodel.simulate.scenario import DUTIES, HOUR_COUNTS, LIFTS, ComponentLaw

__all__ = ["TRUTH_VERSION", "component_truth", "future_truth", "geometry_truth", "recorded_truth"]

FloatArray = npt.NDArray[np.float64]

TRUTH_VERSION = 1
"""Version of the layout of `truth.json`."""

_WEAR = ("failed", "worn")
_NOT_RENEWED = ("in_service", "retired")


def component_truth(
    fleet_places: Sequence[tuple[Place, ...]], laws: Mapping[str, ComponentLaw]
) -> dict[str, dict[str, Any]]:
    """True law of each component the fleet has, and what it comes to over the fleet's positions.

    Parameters
    ----------
    fleet_places : sequence of tuple of Place
        Positions of every vehicle.
    laws : mapping of str to ComponentLaw
        The true laws.

    Returns
    -------
    dict
        Component -> parameters (of one that wears by hours the scale over `hour_counts` is in hours); `life_ratio`
        (life at a lift over life at factory height, arithmetic and geometric mean over positions) and `fleet_scale`
        (geometric mean scale by duty and lift [km]).
    """
    places = [place for of_unit in fleet_places for place in of_unit]
    heights = np.array([0.0, *LIFTS])
    truth: dict[str, dict[str, Any]] = {}
    for component, law in laws.items():
        mine = tuple(place for place in places if place.component == component)
        if not mine:
            continue
        effects = {duty: log_scale(mine, duty=duty, lift=heights, laws=laws) for duty in DUTIES}
        truth[component] = {
            **({"clock": "hours", "hour_counts": HOUR_COUNTS} if law.clock == "hours" else {}),
            "shape": law.shape,
            "base_scale": law.base_scale,
            "duty_effects": dict(law.duty_effects),
            "angle_form": law.angle_form,
            "angle_coefficient": law.angle_coefficient,
            "reference_angle": law.reference_angle,
            "announced_share": law.announced_share,
            "comeback_share": law.comeback_share,
            "damage_per_million": law.damage_rate,
            "planned_age": law.planned_age,
            "planned_share": law.planned_share,
            "positions": len(mine),
            "life_ratio": _life_ratios(next(iter(effects.values())), heights),
            "fleet_scale": {
                duty: {
                    f"{lift:.0f}": round(law.base_scale * float(np.exp(effect[:, column].mean())), 1)
                    for column, lift in enumerate(heights)
                }
                for duty, effect in effects.items()
            },
        }
    return truth


def geometry_truth(fleet_places: Mapping[str, tuple[Place, ...]]) -> dict[str, dict[str, Any]]:
    """Factory angle and swinging length of each position, by driveline of a class.

    Parameters
    ----------
    fleet_places : mapping of str to tuple of Place
        Positions by driveline of a class, under whatever name that pair goes.

    Returns
    -------
    dict
        Name -> position -> `angle` [deg] and `length` [mm] (None where lift does not move the joint); None
        for a position without geometry.
    """
    return {
        name: {
            place.position: None
            if place.swing is None
            else {
                "angle": place.swing.angle,
                "length": place.swing.length if np.isfinite(place.swing.length) else None,
            }
            for place in places
        }
        for name, places in fleet_places.items()
    }


def recorded_truth(lives: pd.DataFrame) -> dict[str, dict[str, int]]:
    """Renewals inside the record: component -> reason -> number, kits counted by what they renewed.

    Parameters
    ----------
    lives : pandas.DataFrame
        Recorded lives: `component, ended`.

    Returns
    -------
    dict
        Components without a renewal are missing.
    """
    renewed = lives[~lives["ended"].isin(_NOT_RENEWED)]
    return _tally(renewed)


def future_truth(lives: pd.DataFrame, *, as_of_day: int, last_day: int) -> dict[str, Any]:
    """What truly happens to the fleet, as it is, after the record ends.

    Parameters
    ----------
    lives : pandas.DataFrame
        All lives of vehicles in service on the last day of the record:
        `component, ended, end_day, worn_day, month`.
    as_of_day, last_day : int
        Days that bound the time told, counted from 1970-01-01: after the one, up to the other.

    Returns
    -------
    dict
        `failures`: component -> parts that reached their limit then, seen or not; `wear_renewals`: component
        -> parts renewed then because they had; `by_month`: the same month by month; `renewals`: component ->
        reason -> number.
    """
    renewed = lives[
        (lives["end_day"] > as_of_day) & (lives["end_day"] <= last_day) & ~lives["ended"].isin(_NOT_RENEWED)
    ]
    worn = lives[
        (lives["worn_day"] > as_of_day)
        & (lives["worn_day"] <= last_day)
        & (lives["worn_day"] <= lives["end_day"])
    ]
    wear = renewed[renewed["ended"].isin(_WEAR)]
    components = sorted(lives["component"].unique())
    months = [str(m) for m in np.arange(_month(as_of_day + 1), _month(last_day) + 1)]
    monthly = wear.groupby(["component", "month"]).size()
    return {
        "after": str(np.datetime64(as_of_day, "D")),
        "to": str(np.datetime64(last_day, "D")),
        "months": months,
        "failures": {c: int((worn["component"] == c).sum()) for c in components},
        "wear_renewals": {c: int((wear["component"] == c).sum()) for c in components},
        "by_month": {c: [int(monthly.get((c, m), 0)) for m in months] for c in components},
        "renewals": _tally(renewed),
    }


def _life_ratios(effect: FloatArray, heights: FloatArray) -> dict[str, dict[str, float]]:
    """Life at each lift over life at factory height (the first column), over positions."""
    change = effect - effect[:, :1]
    return {
        f"{lift:.0f}": {
            "mean": round(float(np.exp(change[:, column]).mean()), 6),
            "geometric_mean": round(float(np.exp(change[:, column].mean())), 6),
        }
        for column, lift in enumerate(heights)
        if lift > 0.0
    }


def _tally(lives: pd.DataFrame) -> dict[str, dict[str, int]]:
    """Component -> reason -> number of lives."""
    return {
        str(component): {str(ended): int(number) for ended, number in mine["ended"].value_counts(sort=False).items()}
        for component, mine in lives.sort_values(["component", "ended"]).groupby("component")
    }


def _month(day: int) -> Any:
    """Month of a day counted from 1970-01-01."""
    return np.datetime64(day, "D").astype("datetime64[M]")
