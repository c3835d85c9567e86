"""Section `[duty]` of `fleet.toml`: how the duty of vehicles is told where nobody recorded it."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isnan, nan
from types import MappingProxyType

from wearmodel.intake.fleet_toml.toml_section import TomlSection
from wearmodel.intake.values.distance_units import KM_PER_MILE

__all__ = ["DUTY_METHODS", "DutyRule", "duty_rule_of"]

DUTY_METHODS = ("auto", "rule", "groups", "none")
"""auto: like the recorded vehicles where there are enough of them, else by rule."""

# Where light, mixed work ends: common practice, no source. Per kilometre, as is the speed.
_UNPAVED_SHARE = 0.35
_PER_KM: Mapping[str, float] = MappingProxyType(
    {"tow_hours_per_1000": 5.0, "stops_per_100": 50.0, "idle_hours_per_100": 2.0}
)
_SPEED_KM = 50.0


@dataclass(frozen=True)
class DutyRule:
    """How duty is told from the duty log, in the fleet's own distance unit.

    Parameters
    ----------
    method : str
        One of `DUTY_METHODS`.
    fewest_months : int
        Months of the log a vehicle needs, 2 or more; with fewer its duty stays unknown.
    unpaved_share : float
        Share of the distance on unpaved ground from which work is `off_road`, 0 to 1.
    tow_hours_per_1000 : float
        Hours of towing per 1000 of distance from which work is `towing`.
    stops_per_100 : float
        Stops per 100 of distance from which work is `stop_and_go`.
    idle_hours_per_100 : float
        Hours standing with the engine running per 100 of distance from which work is `idling`.
    mean_speed : float
        Mean speed from which work is `long_distance` [distance/h].

    Notes
    -----
    The defaults are common practice, no source. A limit that is NaN is not used; so are, by default, those per
    distance where the fleet counts in hours or days.
    """

    method: str = "auto"
    fewest_months: int = 6
    unpaved_share: float = _UNPAVED_SHARE
    tow_hours_per_1000: float = _PER_KM["tow_hours_per_1000"]
    stops_per_100: float = _PER_KM["stops_per_100"]
    idle_hours_per_100: float = _PER_KM["idle_hours_per_100"]
    mean_speed: float = _SPEED_KM


_KEYS = ("method", "fewest_months", "unpaved_share", *_PER_KM, "mean_speed")


def duty_rule_of(section: TomlSection, *, distance_unit: str = "km") -> DutyRule:
    """The rule of `[duty]`, with defaults brought to the fleet's distance unit.

    Parameters
    ----------
    section : TomlSection
        `[duty]`; problems and defaults taken are collected in it.
    distance_unit : str
        Of the fleet; thresholds in `fleet.toml` are per this distance.

    Returns
    -------
    DutyRule
        Complete; where `section` has complaints its figures are not to be used.
    """
    section.check_keys(_KEYS)
    per_km = {"km": 1.0, "mi": KM_PER_MILE}.get(distance_unit, nan)
    method = section.text("method", "auto", choices=DUTY_METHODS, named=True)
    months = section.number("fewest_months", 6.0, low=2.0, high=120.0)
    if isnan(months) or months % 1.0:
        if not isnan(months):  # else it was complained of already
            section.complain("fewest_months", f"{months:.10g} is not a whole number", "write a whole number of months")
        months = 6.0
    return DutyRule(
        method=method,
        fewest_months=int(months),
        unpaved_share=section.number("unpaved_share", _UNPAVED_SHARE, high=1.0, open_low=True),
        mean_speed=section.number("mean_speed", _default(_SPEED_KM, 1.0 / per_km), high=400.0, open_low=True),
        **{key: section.number(key, _default(rate, per_km), high=1e6, open_low=True) for key, rate in _PER_KM.items()},
    )


def _default(figure: float, factor: float) -> float | None:
    """A default in the fleet's unit; no more exact than three digits, and none for a clock that is no distance."""
    return None if isnan(factor) else float(f"{figure * factor:.3g}")
