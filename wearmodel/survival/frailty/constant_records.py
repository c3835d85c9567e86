"""Lives of constant covariates in the record of their vehicles.

All ages of a life share the stretch exp(-x'b): its derivatives are gathered in x'b and the log shape first, and the
covariates multiplied in after that, as in `wearmodel.survival.constant_lives`.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.constant_lives import block_length, log_age
from wearmodel.survival.families import Family
from wearmodel.survival.frailty.grouping import Grouped
from wearmodel.survival.frailty.records import Pull, Seen, Totals
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.life_terms import LARGEST_Z
from wearmodel.survival.likelihood import ByLife

__all__ = ["ConstantRecords", "Room"]

Array = NDArray[Any]


class Room:
    """Arrays that blocks use one after the other.

    Parameters
    ----------
    columns : int
        Number of covariates.
    lives : int
        Lives of the largest block.
    """

    def __init__(self, columns: int, lives: int) -> None:
        self._design, self._products = np.empty((columns, lives)), np.empty((columns + 2, lives))

    def take(self, design: Array) -> Array:
        """Covariates of a block, column by column, shape (n_coefficients, n_lives).

        Parameters
        ----------
        design : ndarray, shape (n_lives, n_coefficients)
            Of the block.

        Returns
        -------
        ndarray
            Valid until the next block takes its own.
        """
        x = self._design[:, : len(design)]
        np.copyto(x, design.T)
        return x

    def products(self, lives: int) -> Array:
        """Room for covariates times something, and two rows more.

        Parameters
        ----------
        lives : int
            Number of lives.

        Returns
        -------
        ndarray, shape (n_coefficients + 2, n_lives)
            Of any content.
        """
        return self._products[:, :lives]


class ConstantRecords:
    """Lives of one segment each, of some vehicles.

    Parameters
    ----------
    data : LifeData
        The lives, in the order of their vehicles.
    vehicle : ndarray of int, shape (n_lives,)
        Vehicle of each, from 0.
    vehicles : int
        Number of vehicles.
    family : Family
        Life family.
    selected : bool
        See `FrailtyLikelihood`.
    """

    def __init__(self, data: LifeData, vehicle: Array, vehicles: int, *, family: Family, selected: bool) -> None:
        self.family, self.selected, self.design, self.weight = family, selected, data.design, data.weight
        self.group = Grouped(vehicle, vehicles)
        self.failed = data.weight * data.exact
        self.entered = np.flatnonzero(data.entered)
        self.looked = np.flatnonzero(data.interval & (data.weight > 0))
        self.beside = np.concatenate([self.entered, self.looked])
        self.log_low = log_age(data.before_low)
        self.log_beside = log_age(np.concatenate([data.before_entry[self.entered], data.before_high[self.looked]]))
        # Of a density's log shape - log psi - x'b only the log shape depends on a parameter.
        self.failures, self.density = self.group.sums(np.stack([self.failed, -self.failed * self.log_low]))
        self.entry_group = Grouped(vehicle[self.entered], vehicles)

    def at(self, parameters: Array, room: Room) -> "_ConstantRecord":
        """The lives at one parameter vector.

        Parameters
        ----------
        parameters : ndarray, shape (n_coefficients + 1,)
            Coefficients, then the log shape.
        room : Room
            Not to be used by others until the record is done with.

        Returns
        -------
        Record
            What they tell.
        """
        return _ConstantRecord(self, parameters, room)

    def scores(self, by_life: ByLife) -> Array:
        """Gradient of each vehicle.

        Parameters
        ----------
        by_life : ByLife
            From a record of these lives.

        Returns
        -------
        ndarray, shape (n_parameters, n_vehicles)
            Coefficients, then the log shape.
        """
        return self.group.sums(np.vstack([self.design.T * by_life.segment, by_life.shape]))


class _ConstantRecord:
    """The lives at one parameter vector."""

    def __init__(self, lives: ConstantRecords, parameters: Array, room: Room) -> None:
        self._lives, self._room = lives, room
        self._k = float(np.exp(parameters[-1]))
        self._x = room.take(lives.design)
        many, late = len(lives.log_low), len(lives.entered)
        predictor = parameters[:-1] @ self._x
        z = np.empty(many + len(lives.beside))
        np.subtract(lives.log_low, predictor, out=z[:many])
        np.subtract(lives.log_beside, predictor.take(lives.beside), out=z[many:])
        z *= self._k
        np.minimum(z, LARGEST_Z, out=z)
        hazard = (z, *lives.family.hazard(z))
        self._low = [one[:many] for one in hazard]
        self._entry = [one[many : many + late] for one in hazard]
        self._high = [one[many + late :] for one in hazard]
        self._log_hazard = lives.family.log_hazard(self._low[0])
        self.seen = self._see(float(parameters[-1]))

    def _see(self, log_shape: float) -> Seen:
        """Cumulative hazards and their slopes."""
        lives, group = self._lives, self._lives.group
        z, hazard, first, _ = self._low
        end, along = lives.weight * hazard, lives.weight * first
        own = along * z
        entry_z, entry_hazard, entry_first, _ = self._entry
        weight = lives.weight[lives.entered]
        late_along = weight * entry_first
        at_entry, late_own = weight * entry_hazard, late_along * entry_z
        if lives.selected:
            entry = lives.entry_group.sums(at_entry), self._slope(late_along, late_own)
        else:
            entry = np.zeros(0), np.zeros((0, 0))
            end[lives.entered] -= at_entry
            along[lives.entered] -= late_along
            own[lives.entered] -= late_own
        density = group.sums(lives.failed * self._log_hazard[0])
        density += log_shape * lives.failures + lives.density
        return Seen(density, group.sums(end), self._slope(along, own), *entry, *self._gaps())

    def _slope(self, along: Array, own: Array) -> Array:
        """Slopes by vehicle from the lives' derivatives in z and times z; of all lives, or of those that entered."""
        x, group = self._x, self._lives.group
        if len(along) != x.shape[1]:
            x, group = x.take(self._lives.entered, axis=1), self._lives.entry_group
        products = self._room.products(len(along))[:-1]
        np.multiply(x, along, out=products[:-1])
        products[-1] = own
        out = group.sums(products)
        out[:-1] *= -self._k
        return out

    def _gaps(self) -> tuple[Array, Array]:
        """Cumulative hazards between looks, with their slopes."""
        looked = self._lives.looked
        low_z, low_hazard, low_first, _ = (one.take(looked) for one in self._low)
        z, hazard, first, _ = self._high
        slope = np.empty((len(self._x) + 1, len(looked)))
        np.multiply(self._x.take(looked, axis=1), self._k * (low_first - first), out=slope[:-1])
        slope[-1] = first * z - low_first * low_z
        return hazard - low_hazard, slope

    def add(self, pull: Pull, totals: Totals) -> ByLife:
        """See `Record`."""
        lives, looked = self._lives, self._lives.looked
        z, _, first, second = self._low
        _, log_slope, log_curve = self._log_hazard
        weight = lives.group.spread(pull.frailty)
        weight *= lives.weight
        slope = lives.failed * log_slope
        slope -= weight * first
        curve = lives.failed * log_curve if log_curve.any() else np.zeros(len(z))
        curve -= weight * second
        low_z, low_first, low_second = z.take(looked), first.take(looked), second.take(looked)
        slope[looked] -= pull.first * low_first
        curve[looked] += pull.second * low_first**2 - pull.first * low_second
        _, _, entry_first, entry_second = self._entry
        high_z, _, high_first, high_second = self._high
        weight = lives.entry_group.spread(pull.entry) * lives.weight[lives.entered]
        bent = pull.second * high_first
        more = np.concatenate([weight * entry_first, pull.first * high_first])
        more_curve = np.concatenate([weight * entry_second, pull.first * high_second + bent * high_first])
        z_beside = np.concatenate([self._entry[0], high_z])
        curve_z, more_curve_z = curve * z, more_curve * z_beside
        square = float(curve_z @ z) + float(more_curve_z @ z_beside)
        # The mixed derivative of an interval's two bounds.
        cross = -bent * low_first
        square += 2.0 * float(cross @ (low_z * high_z))
        more_curve[len(weight) :] += 2.0 * cross
        more_curve_z[len(weight) :] += cross * (low_z + high_z)
        slope_z = slope * z
        for own, further in (
            (slope, more), (slope_z, more * z_beside), (curve, more_curve), (curve_z, more_curve_z)
        ):  # fmt: skip
            own += np.bincount(lives.beside, weights=further, minlength=len(z))
        return self._gather(totals, slope, slope_z, curve, curve_z, square)

    def _gather(
        self, totals: Totals, slope: Array, slope_z: Array, curve: Array, curve_z: Array, square: float
    ) -> ByLife:
        """Multiply the sums over each life's bounds of f', f' z, f'' and f'' z with the covariates."""
        k, x = self._k, self._x
        along, own = slope * -k, slope_z + self._lives.failed
        beside = self._room.products(x.shape[1])
        curve *= k * k
        np.multiply(x, curve, out=beside[:-2])
        beside[-2] = along
        np.multiply(curve_z, -k, out=beside[-1])
        beside[-1] += along
        # Pieces too small for several threads to be set on them.
        step = block_length(len(x))
        for begin in range(0, x.shape[1], step):
            products = beside[:, begin : begin + step] @ x[:, begin : begin + step].T
            totals.hessian[:-1, :-1] += products[:-2]
            totals.gradient[:-1] += products[-2]
            totals.hessian[:-1, -1] += products[-1]
            totals.hessian[-1, :-1] += products[-1]
        totals.gradient[-1] += float(own.sum())
        totals.hessian[-1, -1] += float(slope_z.sum()) + square
        return ByLife(along, own)
