"""How duty and ride height become numbers in a life model (numpy alone).

A life model's log scale is linear in these numbers:
intercept + effect of the duty + effects of vehicle class, place, make, build and greasing + effect x height value
(+ an effect of positions that ride height does not move), where the height value is, by component,
the logarithm of the joint angle (with a floor), the joint angle itself, or plain lift where no
geometry is known. Where the record speaks for it, the effect of the height value differs by duty: further
columns hold the height value times what sets a duty apart from the fleet's mix, so that the effect of height
itself stays that of the mix.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.driveline.angles import joint_angle

__all__ = [
    "ANGLE_FLOOR",
    "FLEET_MIX",
    "GROUP_KINDS",
    "LIFT_UNIT",
    "Coding",
    "GroupLevels",
    "SwingMix",
    "design_row",
    "duty_or_mix",
    "group_rows",
    "height_by_duty",
    "height_value",
    "recode_duty_height",
]

#: Below this joint angle [deg] the needles of a cross joint hardly roll and the life formula
#: (life proportional to 1 / angle) diverges; common practice, no source.
ANGLE_FLOOR = 1.0
#: Lift enters in steps of 100 mm, so that its effect is of the order of 1.
LIFT_UNIT = 100.0
#: Kinds of groups beside duty.
GROUP_KINDS = ("class", "place", "make", "build", "greasing")
#: Duty word that stands for the fleet's own mix of duties.
FLEET_MIX = "fleet"


@dataclass(frozen=True)
class SwingMix:
    """How lift moves the joints of one component, over the fleet's positions.

    Parameters
    ----------
    angles : tuple of float
        Joint angle at factory ride height [deg].
    lengths : tuple of float
        Length of the shaft that traits [mm]; infinite where lift does not move the joint.
    weights : tuple of float
        Share of the fleet's positions; the weights and the coding's `fixed_share` sum to 1.
    """

    angles: tuple[float, ...]
    lengths: tuple[float, ...]
    weights: tuple[float, ...]


@dataclass(frozen=True)
class GroupLevels:
    """One kind of group a part belongs to, with effects of their own.

    Parameters
    ----------
    kind : str
        `class` (of the vehicle), `place` (of the part, left and right alike), `make` (part number, those that stand
        for one another alike), `build` (from the catalogue) or `greasing` (of its position, regularly or seldom).
    levels : tuple of str
        Two or more; the first, the commonest, is the reference.
    shares : tuple of float
        Share of each level in the distance run, summing to 1: what stands for a level that is not known.
    """

    kind: str
    levels: tuple[str, ...]
    shares: tuple[float, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the coefficients."""
        return tuple(f"{self.kind}:{level}" for level in self.levels[1:])


@dataclass(frozen=True)
class Coding:
    """Covariate coding of one component's model.

    Parameters
    ----------
    duties : tuple of str
        Duty levels; the first is the reference.
    duty_weights : tuple of float
        Share of each level in the fleet's running, summing to 1.
    height : str
        `log_angle`, `angle`, `lift` or `none`.
    height_centre : float
        Value subtracted from the height value (deg, log deg or lift / 100 mm).
    lifts : tuple of float
        Lift levels met in the record, 0 first [mm].
    swing : SwingMix or None
        Set when height is an angle.
    fixed_share : float
        Share of positions that ride height does not move and whose angle nobody gave (the joints of
        a steered axle): they have a coefficient of their own, `fixed_position`, when above 0.
    groups : tuple of GroupLevels
        Further kinds of groups, their effects drawn together.
    duty_height : float
        Where the effect of height differs by duty, the step of the height value that `duty_height` coefficients are
        for; 0 where it does not.
    """

    duties: tuple[str, ...]
    duty_weights: tuple[float, ...]
    height: str
    height_centre: float
    lifts: tuple[float, ...]
    swing: SwingMix | None
    fixed_share: float = 0.0
    groups: tuple[GroupLevels, ...] = ()
    duty_height: float = 0.0

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the coefficients of the log scale, in order."""
        duty_names = tuple(f"duty:{duty}" for duty in self.duties[1:])
        others = tuple(name for group in self.groups for name in group.names)
        by_duty = tuple(f"duty_height:{duty}" for duty in self.duties[1:]) if self.duty_height > 0 else ()
        fixed = ("fixed_position",) if self.fixed_share > 0 else ()
        height = () if self.height == "none" else (self.height,)
        return ("intercept", *duty_names, *others, *by_duty, *fixed, *height)

    @property
    def _sizes(self) -> tuple[int, ...]:
        """Number of effects of each kind: duty, the groups, height by duty."""
        duties = len(self.duties) - 1
        return (duties, *(len(group.names) for group in self.groups), duties if self.duty_height > 0 else 0)

    @property
    def pooled(self) -> tuple[NDArray[Any], ...]:
        """Columns of the effects of each kind, duty first, height by duty last; kinds without any are left out."""
        ends = 1 + np.cumsum(self._sizes)
        return tuple(np.arange(end - size, end) for size, end in zip(self._sizes, ends, strict=True) if size)

    @property
    def tested(self) -> tuple[bool, ...]:
        """Which kinds of `pooled` count only if the record speaks for them: all but duty."""
        return tuple(kind > 0 for kind, size in enumerate(self._sizes) if size)

    @property
    def duty_height_columns(self) -> NDArray[Any]:
        """Columns of the effects of height by duty, shape (n_duties - 1,); none where there are none."""
        size = self._sizes[-1]
        return np.arange(size) + 1 + sum(self._sizes[:-1])

    def with_duty_height(self, step: float) -> "Coding":
        """The same with effects of height by duty, or without.

        Parameters
        ----------
        step : float
            See `duty_height`; 0 for none.

        Returns
        -------
        Coding
            With the columns that go with it.
        """
        return replace(self, duty_height=step)


def height_value(height: str, *, angle: ArrayLike, lift: ArrayLike) -> NDArray[Any]:
    """Height covariate before centring.

    Parameters
    ----------
    height : str
        `log_angle`, `angle`, `lift` or `none`.
    angle : array_like
        Joint angle [deg]; not used with `lift`.
    lift : array_like
        Height above factory [mm]; not used with the angles.

    Returns
    -------
    ndarray
        log(max(angle, floor)), angle, lift / 100 mm, or 0.
    """
    if height == "log_angle":
        return np.log(np.maximum(np.asarray(angle, dtype=float), ANGLE_FLOOR))
    if height == "angle":
        return np.asarray(angle, dtype=float)
    if height == "lift":
        return np.asarray(lift, dtype=float) / LIFT_UNIT
    return np.zeros(np.broadcast(np.asarray(angle), np.asarray(lift)).shape)


def _mean_height(coding: Coding, lift: float) -> float:
    """Centred height value at a lift, averaged over the fleet's positions; fixed ones count as 0."""
    if coding.height == "none":
        return 0.0
    if coding.swing is None:
        return float(height_value("lift", angle=0.0, lift=lift)) - coding.height_centre
    angles = joint_angle(np.array(coding.swing.angles), length=np.array(coding.swing.lengths), lift=lift)
    values = height_value(coding.height, angle=angles, lift=lift) - coding.height_centre
    return float(np.dot(values, coding.swing.weights))


def _duty_shares(coding: Coding, duty: str) -> Sequence[float]:
    """One-hot row of a duty level, or the fleet's shares for the mix."""
    if duty == FLEET_MIX:
        return coding.duty_weights
    if duty not in coding.duties:
        known = ", ".join(coding.duties)
        raise ValueError(f"duty '{duty}' is not known here; known: {known}")
    return [float(duty == level) for level in coding.duties]


def duty_or_mix(coding: Coding, duty: str) -> str:
    """A duty as the model knows it: one it never saw counts as the fleet's mix.

    Parameters
    ----------
    coding : Coding
        The component's coding.
    duty : str
        A duty of the record.

    Returns
    -------
    str
        The duty itself, or `fleet`.
    """
    return duty if duty in coding.duties else FLEET_MIX


def group_rows(group: GroupLevels, names: NDArray[Any]) -> NDArray[Any]:
    """Covariate rows of one kind of group.

    Parameters
    ----------
    group : GroupLevels
        The kind.
    names : ndarray of str, shape (n,)
        Level of each row; one the coding does not know counts as the fleet's mix.

    Returns
    -------
    ndarray, shape (n, n_levels - 1)
        1 in the column of the level, all 0 for the reference.
    """
    place = {level: index for index, level in enumerate(group.levels)}
    table = np.vstack([np.eye(len(group.levels)), np.array(group.shares)])[:, 1:]
    unknown = len(group.levels)
    rows = np.fromiter((place.get(str(name), unknown) for name in names), dtype=np.intp, count=len(names))
    return np.asarray(table[rows])


def height_by_duty(coding: Coding, *, duty: NDArray[Any], height: NDArray[Any]) -> NDArray[Any]:
    """Columns of the height value times what sets each duty apart from the fleet's mix.

    Parameters
    ----------
    coding : Coding
        With effects of height by duty.
    duty : ndarray, shape (n, n_duties - 1)
        Columns of the duty.
    height : ndarray, shape (n,)
        Centred height value; 0 for a position that ride height does not move.

    Returns
    -------
    ndarray, shape (n, n_duties - 1)
        All 0 where the duty is the mix.
    """
    apart = duty - np.array(coding.duty_weights[1:])
    return np.asarray(apart * (height / coding.duty_height)[:, None])


def recode_duty_height(rows: NDArray[Any], coding: Coding, step: float) -> NDArray[Any]:
    """Covariate rows with effects of height by duty added, or taken out.

    Parameters
    ----------
    rows : ndarray, shape (n, n_coefficients)
        Coded by `coding`.
    coding : Coding
        The component's coding.
    step : float
        As `Coding.duty_height` is to be.

    Returns
    -------
    ndarray, shape (n, n_coefficients of the new coding)
        The other columns as they were.
    """
    plain = np.delete(rows, coding.duty_height_columns, axis=1)
    wanted = coding.with_duty_height(step)
    if not len(wanted.duty_height_columns):
        return plain
    columns = height_by_duty(wanted, duty=plain[:, 1 : len(coding.duties)], height=plain[:, -1])
    at = wanted.duty_height_columns[0]
    return np.hstack([plain[:, :at], columns, plain[:, at:]])


def design_row(coding: Coding, *, duty: str = FLEET_MIX, lift: float = 0.0) -> NDArray[Any]:
    """Numbers that multiply the coefficients of the log scale, over the fleet's mix of all other groups.

    Parameters
    ----------
    coding : Coding
        The component's coding.
    duty : str
        A duty level, or `fleet` for the fleet's mix (mean log scale over the mix).
    lift : float
        Height above factory [mm].

    Returns
    -------
    ndarray, shape (n_coefficients,)
        In the order of `Coding.names`.

    Raises
    ------
    ValueError
        If the duty is not known, or the lift is beyond what a shaft allows.
    """
    row = [1.0, *_duty_shares(coding, duty)[1:]]
    for group in coding.groups:
        row += group.shares[1:]
    if coding.fixed_share > 0:
        row.append(coding.fixed_share)
    if coding.height != "none":
        row.append(_mean_height(coding, lift))
    # Over a mix of duties the height value is the same for each: what sets them apart is averaged like the duty.
    return recode_duty_height(np.array([row]), coding.with_duty_height(0.0), coding.duty_height)[0]
