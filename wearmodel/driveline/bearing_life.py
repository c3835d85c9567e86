"""How the life of a universal joint's needle bearings goes with its angle, speed and torque.

Only NumPy here.
"""

import numpy as np
import numpy.typing as npt

__all__ = ["ANGLE_FLOOR", "ROLLER_EXPONENT", "bearing_life_ratio", "equivalent_angle", "load_life_ratio"]

Array = npt.NDArray[np.float64]

ROLLER_EXPONENT = 10.0 / 3.0
"""Life exponent of roller bearings (ISO 281); ball bearings have 3."""

ANGLE_FLOOR = 1.0
"""Angle below which life is taken to grow no further [deg]: common practice, no source."""


def load_life_ratio(load_ratio: npt.ArrayLike, *, exponent: float = ROLLER_EXPONENT) -> Array:
    """Life of a rolling bearing under another load, over its life before.

    Parameters
    ----------
    load_ratio : array_like
        New load over the load before, above 0 [-].
    exponent : float, optional
        Life exponent p: 10/3 for rollers and needles, 3 for balls [-].

    Returns
    -------
    numpy.ndarray
        Life ratio [-].

    Raises
    ------
    ValueError
        A load ratio not above 0.

    Notes
    -----
    ``(P2 / P1)^-p``, from ``L10 = (C / P)^p`` million revolutions.

    References
    ----------
    ISO 281, Rolling bearings: dynamic load ratings and rating life.

    Examples
    --------
    >>> float(load_life_ratio(2.0, exponent=3.0))
    0.125
    """
    ratio = _above_zero(load_ratio, "a load ratio")
    return np.asarray(ratio**-exponent, dtype=np.float64)


def bearing_life_ratio(
    joint_angle: npt.ArrayLike,
    *,
    reference_angle: npt.ArrayLike,
    speed_ratio: npt.ArrayLike = 1.0,
    torque_ratio: npt.ArrayLike = 1.0,
    floor: npt.ArrayLike = ANGLE_FLOOR,
) -> Array:
    """Needle-bearing life of a universal joint at an angle, over its life at another.

    Parameters
    ----------
    joint_angle, reference_angle : array_like
        Angles b and b0, below 90 [deg].
    speed_ratio, torque_ratio : array_like, optional
        Speed and torque over those at the reference, above 0 [-].
    floor : array_like, optional
        Angle below which life grows no further, above 0 [deg].

    Returns
    -------
    numpy.ndarray
        Life ratio in running time, of the broadcast shape [-].

    Raises
    ------
    ValueError
        An angle of 90 degrees or more, a ratio or floor not above 0.

    Notes
    -----
    ``(max(b0, floor) / max(b, floor)) (n / n0)^-1 (T / T0)^(-10/3)``: the needles rock through 4 b a turn, so
    double the angle or the speed is half the life. Near 0 the formula would promise endless life, while needles that
    hardly roll mark the trunnion: hence the floor.

    References
    ----------
    "Double the angle, half the life": a driveshaft trade page, whose catalogue ratings are for 3000 rpm, 3 degrees and
    5000 h; exponent of needle bearings: ISO 281.

    Examples
    --------
    >>> float(bearing_life_ratio(6.0, reference_angle=3.0))
    0.5
    >>> float(bearing_life_ratio(0.1, reference_angle=3.0))
    3.0
    """
    least = _above_zero(floor, "an angle floor")
    now, before = (np.maximum(_angles(angle), least) for angle in (joint_angle, reference_angle))
    pace = _above_zero(speed_ratio, "a speed ratio")
    return np.asarray(before / now / pace * load_life_ratio(torque_ratio), dtype=np.float64)


def equivalent_angle(
    joint_angles: npt.ArrayLike, *, shares: npt.ArrayLike, floor: npt.ArrayLike = ANGLE_FLOOR
) -> Array:
    """The one angle that wears needle bearings as much as several angles by their share of the turns.

    Parameters
    ----------
    joint_angles : array_like, shape (..., n_angles)
        Angles b_i, below 90 [deg].
    shares : array_like, shape (n_angles,) or (..., n_angles)
        Share q_i of the turns at each angle, 0 or more; brought to a sum of 1 [-].
    floor : array_like, optional
        As in `bearing_life_ratio` [deg].

    Returns
    -------
    numpy.ndarray
        Equivalent angle, of the shape without the last axis [deg].

    Raises
    ------
    ValueError
        An angle of 90 degrees or more, shares that are negative, all 0 or not one an angle, a floor not above 0.

    Notes
    -----
    ``sum q_i max(b_i, floor) / sum q_i``: life goes with 1 / b, and shares of life used up add (linear damage).

    References
    ----------
    Linear damage: Palmgren 1924, Miner 1945; life with 1 / b as for `bearing_life_ratio`.

    Examples
    --------
    >>> float(equivalent_angle([3.0, 8.0], shares=[0.7, 0.3]).round(9))
    4.5
    """
    angles = np.maximum(_angles(joint_angles), _above_zero(floor, "an angle floor"))
    weights = np.asarray(shares, dtype=np.float64)
    if angles.ndim == 0 or weights.ndim == 0 or weights.shape[-1] != angles.shape[-1]:
        raise ValueError("each angle needs one share")
    total = weights.sum(axis=-1)
    if not np.all(np.isfinite(weights) & (weights >= 0.0)) or np.any(total <= 0.0):
        raise ValueError("shares must be 0 or more, and not all 0")
    return np.asarray((angles * weights).sum(axis=-1) / total, dtype=np.float64)


def _angles(angle: npt.ArrayLike) -> Array:
    degrees = np.abs(np.asarray(angle, dtype=np.float64))
    if not np.all(degrees < 90.0):
        raise ValueError("a joint angle must be below 90 degrees")
    return degrees


def _above_zero(value: npt.ArrayLike, name: str) -> Array:
    values = np.asarray(value, dtype=np.float64)
    if not np.all(np.isfinite(values) & (values > 0.0)):
        raise ValueError(f"{name} must be above 0")
    return values
