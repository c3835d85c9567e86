"""Distances in one unit for the whole fleet, ride heights in millimetres."""

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["KM_PER_MILE", "conversion_factor", "lift_factor"]

KM_PER_MILE = 1.609344
"""Exact, by the international definition of the yard of 1959."""

_MM: Mapping[str, float] = MappingProxyType({"mm": 1.0, "cm": 10.0, "in": 25.4})


def conversion_factor(unit: str, *, to: str) -> float:
    """What a distance is multiplied by to stand in another unit.

    Parameters
    ----------
    unit : str
        Unit of the distance; empty = the wanted one.
    to : str
        Wanted unit.

    Returns
    -------
    float
        1 where both are the same.

    Raises
    ------
    ValueError
        Neither unit is the other, and they are not km and mi.

    Examples
    --------
    >>> conversion_factor("mi", to="km")
    1.609344
    """
    if unit in ("", to):
        return 1.0
    if (unit, to) == ("mi", "km"):
        return KM_PER_MILE
    if (unit, to) == ("km", "mi"):
        return 1.0 / KM_PER_MILE
    raise ValueError(f"{unit!r} cannot be turned into {to!r}")


def lift_factor(unit: str) -> float:
    """What a ride height is multiplied by to stand in millimetres.

    Parameters
    ----------
    unit : str
        `mm`, `cm` or `in`; anything else counts as mm.

    Returns
    -------
    float
        Millimetres a unit.
    """
    return _MM.get(unit, 1.0)
