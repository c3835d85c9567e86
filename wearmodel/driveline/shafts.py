"""Checks of a tubular shaft: first critical speed, torsional stress, twist.

Only NumPy here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import nan
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

__all__ = ["MATERIALS", "LineTubes", "Material", "ShaftLimits", "critical_speed", "torsional_stress", "tube_twist"]

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Material:
    """What a tube is made of.

    Parameters
    ----------
    youngs_modulus : float
        E [GPa].
    shear_modulus : float
        G [GPa].
    density : float
        rho [kg/m^3].
    """

    youngs_modulus: float
    shear_modulus: float
    density: float


MATERIALS: Mapping[str, Material] = MappingProxyType(
    {"steel": Material(207.0, 79.3, 7850.0), "aluminium": Material(69.0, 26.0, 2700.0)}
)
"""Usual figures of the two common materials; handbooks differ by a few per cent."""


@dataclass(frozen=True)
class LineTubes:
    """Tubes of a line of shafts, and what they are asked for.

    Parameters
    ----------
    outer_diameters, walls : tuple of float
        Of each shaft from the driving end; empty where nobody gave them [mm].
    material : str
        A key of `MATERIALS`.
    top_speed : float
        Highest speed the line runs at; NaN where nobody gave it [rpm].
    peak_torque : float
        Highest torque; NaN where nobody gave it [N m].
    """

    outer_diameters: tuple[float, ...]
    walls: tuple[float, ...]
    material: str = "steel"
    top_speed: float = nan
    peak_torque: float = nan


@dataclass(frozen=True)
class ShaftLimits:
    """From where on a shaft or a line of joints gets a remark.

    Parameters
    ----------
    critical_speed_share : float
        Highest speed as a share of the critical speed: common practice, no source.
    residual_ripple : float
        Speed ripple that a whole line of joints may leave; 0.0027 is printed in a driveshaft maker's technical notes
        (elbe group, section 3) and is the ripple of one joint at 3 degrees.
    torsional_stress : float
        Highest shear stress; NaN: no limit, as it hangs on the material and the maker [MPa].
    """

    critical_speed_share: float = 0.75
    residual_ripple: float = 0.0027
    torsional_stress: float = nan


def critical_speed(
    outer_diameter: npt.ArrayLike,
    *,
    wall: npt.ArrayLike,
    length: npt.ArrayLike,
    youngs_modulus: npt.ArrayLike = MATERIALS["steel"].youngs_modulus,
    density: npt.ArrayLike = MATERIALS["steel"].density,
) -> Array:
    """First bending critical speed of a tubular shaft between two joints.

    Parameters
    ----------
    outer_diameter : array_like
        Outer diameter D, above 0 [mm].
    wall : array_like
        Wall, above 0, at most the radius (a solid bar) [mm].
    length : array_like
        Joint-to-joint length L, above 0 [mm].
    youngs_modulus : array_like, optional
        E, above 0 [GPa]. Default: steel.
    density : array_like, optional
        rho, above 0 [kg/m^3]. Default: steel.

    Returns
    -------
    numpy.ndarray
        Critical speed n, of the broadcast shape [rpm].

    Raises
    ------
    ValueError
        A figure not above 0, or a wall beyond the radius.

    Notes
    -----
    ``n = (60 / (2 pi)) (pi / L)^2 sqrt(E I / (rho A)) = (60 pi / 8) sqrt(E / rho) sqrt(D^2 + d^2) / L^2`` with the
    inner diameter d: an even slender beam on simple supports. Yokes, a slip part and soft mountings lower it. Common
    practice, no source: run below 70 to 75 % of it.

    References
    ----------
    Closed form of the beam on simple supports, in any text on vibration; checked against a finite-element beam.

    Examples
    --------
    >>> float(critical_speed(88.9, wall=2.1, length=1500.0).round(2))
    6602.99
    """
    outer, inner = _diameters(outer_diameter, wall)
    reach = _above_zero(length, "a shaft length", "mm") / 1000.0
    modulus = _above_zero(youngs_modulus, "Young's modulus", "GPa") * 1e9
    weight = _above_zero(density, "a density", "kg/m^3")
    speed = 60.0 * np.pi / 8.0 * np.sqrt(modulus / weight) * np.hypot(outer, inner) / reach**2
    return np.asarray(speed, dtype=np.float64)


def torsional_stress(torque: npt.ArrayLike, *, outer_diameter: npt.ArrayLike, wall: npt.ArrayLike) -> Array:
    """Shear stress at the outside of a tube under torque.

    Parameters
    ----------
    torque : array_like
        T, 0 or more [N m].
    outer_diameter : array_like
        D, above 0 [mm].
    wall : array_like
        Wall, above 0, at most the radius [mm].

    Returns
    -------
    numpy.ndarray
        Shear stress tau, of the broadcast shape [MPa].

    Raises
    ------
    ValueError
        A diameter or wall not above 0, a wall beyond the radius, a negative torque.

    Notes
    -----
    ``tau = 16 T D / (pi (D^4 - d^4))``: an even tube; welds, yokes and splines are not looked at.

    References
    ----------
    Torsion of circular tubes, in any text on strength of materials; checked by integration over the wall.

    Examples
    --------
    >>> float(torsional_stress(1500.0, outer_diameter=88.9, wall=2.1).round(4))
    61.779
    """
    outer, inner = _diameters(outer_diameter, wall)
    stress = _torque(torque) * outer / 2.0 / _polar_moment(outer, inner)
    return np.asarray(stress / 1e6, dtype=np.float64)


def tube_twist(
    torque: npt.ArrayLike,
    *,
    outer_diameter: npt.ArrayLike,
    wall: npt.ArrayLike,
    length: npt.ArrayLike,
    shear_modulus: npt.ArrayLike = MATERIALS["steel"].shear_modulus,
) -> Array:
    """How far a tube twists under torque.

    Parameters
    ----------
    torque, outer_diameter, wall
        As in `torsional_stress`.
    length : array_like
        L, above 0 [mm].
    shear_modulus : array_like, optional
        G, above 0 [GPa]. Default: steel.

    Returns
    -------
    numpy.ndarray
        Twist from end to end, of the broadcast shape [deg].

    Raises
    ------
    ValueError
        As in `torsional_stress`, or a length or modulus not above 0.

    Notes
    -----
    ``T L / (G J)`` with ``J = pi (D^4 - d^4) / 32``.

    References
    ----------
    As for `torsional_stress`.

    Examples
    --------
    >>> float(tube_twist(1500.0, outer_diameter=88.9, wall=2.1, length=1500.0).round(5))
    1.50629
    """
    outer, inner = _diameters(outer_diameter, wall)
    reach = _above_zero(length, "a shaft length", "mm") / 1000.0
    modulus = _above_zero(shear_modulus, "a shear modulus", "GPa") * 1e9
    return np.asarray(
        np.degrees(_torque(torque) * reach / (modulus * _polar_moment(outer, inner))), dtype=np.float64
    )


def _diameters(outer_diameter: npt.ArrayLike, wall: npt.ArrayLike) -> tuple[Array, Array]:
    """Outer and inner diameter [m]."""
    outer = _above_zero(outer_diameter, "a tube diameter", "mm")
    thick = _above_zero(wall, "a tube wall", "mm")
    if np.any(2.0 * thick > outer):
        raise ValueError("a tube wall must not be beyond the radius of the tube")
    return outer / 1000.0, (outer - 2.0 * thick) / 1000.0


def _polar_moment(outer: Array, inner: Array) -> Array:
    """Polar second moment of area J [m^4]."""
    return np.asarray(np.pi / 32.0 * (outer**4 - inner**4), dtype=np.float64)


def _torque(torque: npt.ArrayLike) -> Array:
    values = np.asarray(torque, dtype=np.float64)
    if not np.all(np.isfinite(values) & (values >= 0.0)):
        raise ValueError("a torque must be 0 N m or more")
    return values


def _above_zero(value: npt.ArrayLike, name: str, unit: str) -> Array:
    values = np.asarray(value, dtype=np.float64)
    if not np.all(np.isfinite(values) & (values > 0.0)):
        raise ValueError(f"{name} must be above 0 {unit}")
    return values
