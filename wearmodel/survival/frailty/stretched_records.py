"""Lives whose covariates change on the way in the record of their vehicles: the general formulas."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.families import Family
from wearmodel.survival.frailty.grouping import Grouped
from wearmodel.survival.frailty.records import Pull, Seen, Totals
from wearmodel.survival.life_bounds import Bound, bound_hazard, weighted_curvature
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.likelihood import ByLife

__all__ = ["StretchedRecords"]

Array = NDArray[Any]


class StretchedRecords:
    """Lives of any number of segments, of some vehicles.

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
        self.data, self.family, self.selected, self.weight = data, family, selected, data.weight
        self.group = Grouped(vehicle, vehicles)
        self.failed = data.weight * data.exact
        self.entered = np.flatnonzero(data.entered)
        self.looked = np.flatnonzero(data.interval & (data.weight > 0))
        self.late, self.between = data.subset(self.entered), data.subset(self.looked)
        self.late_segments, self.between_segments = data.segments_of(self.entered), data.segments_of(self.looked)
        self.entry_group = Grouped(vehicle[self.entered], vehicles)

    def at(self, parameters: Array) -> "_StretchedRecord":
        """The lives at one parameter vector.

        Parameters
        ----------
        parameters : ndarray, shape (n_coefficients + 1,)
            Coefficients, then the log shape.

        Returns
        -------
        Record
            What they tell.
        """
        return _StretchedRecord(self, parameters)

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
        along = np.add.reduceat(by_life.segment * self.data.design.T, self.data.start, axis=1)
        return self.group.sums(np.vstack([along, by_life.shape]))


class _StretchedRecord:
    """The lives at one parameter vector."""

    def __init__(self, lives: StretchedRecords, parameters: Array) -> None:
        self._lives = lives
        self._shape, family = float(np.exp(parameters[-1])), lives.family
        self._low = bound_hazard(lives.data, parameters, family, distance=lives.data.before_low)
        self._entry = bound_hazard(lives.late, parameters, family, distance=lives.late.before_entry)
        self._high = bound_hazard(lives.between, parameters, family, distance=lives.between.before_high)
        self._log_hazard = family.log_hazard(self._low.z)
        self.seen = self._see(parameters)

    def _see(self, parameters: Array) -> Seen:
        """Cumulative hazards and their slopes."""
        lives, low, late, high = self._lives, self._low, self._entry, self._high
        weight, looked, sums = lives.data.weight, lives.looked, lives.group.sums
        exposure, slope = weight * low.hazard, (weight * low.first) * low.slope.T
        at_entry = weight[lives.entered] * late.hazard
        entry_slope = (weight[lives.entered] * late.first) * late.slope.T
        if lives.selected:
            entry = lives.entry_group.sums(at_entry), lives.entry_group.sums(entry_slope)
        else:
            entry = np.zeros(0), np.zeros((0, 0))
            exposure[lives.entered] -= at_entry
            slope[:, lives.entered] -= entry_slope
        last = lives.data.design[lives.data.last] @ parameters[:-1]
        density = self._log_hazard[0] + parameters[-1] - low.clock.log_psi - last
        return Seen(
            sums(lives.failed * density),
            sums(exposure),
            sums(slope),
            *entry,
            gap=high.hazard - low.hazard[looked],
            gap_slope=high.first * high.slope.T - low.first[looked] * low.slope[looked].T,
        )

    def add(self, pull: Pull, totals: Totals) -> ByLife:
        """See `Record`."""
        lives, low, high, looked, failed = self._lives, self._low, self._high, self._lives.looked, self._lives.failed
        weight = lives.group.spread(pull.frailty) * lives.data.weight
        late = lives.entry_group.spread(pull.entry) * lives.data.weight[lives.entered]
        first = failed * self._log_hazard[1] - weight * low.first
        second = failed * self._log_hazard[2] - weight * low.second
        first[looked] -= pull.first * low.first[looked]
        second[looked] += pull.second * low.first[looked] ** 2 - pull.first * low.second[looked]
        by_life = ByLife(np.zeros(len(lives.data.life)), failed.copy())
        every = np.arange(len(weight))
        self._add_bound(totals, by_life, lives.data, low, first, second, every, slice(None), density=failed)
        self._add_bound(
            totals, by_life, lives.late, self._entry, late * self._entry.first, late * self._entry.second,
            lives.entered, lives.late_segments,
        )  # fmt: skip
        bent = pull.second * high.first
        self._add_bound(
            totals, by_life, lives.between, high, pull.first * high.first, pull.first * high.second + bent * high.first,
            looked, lives.between_segments,
        )  # fmt: skip
        mixed = low.slope[looked].T @ ((-bent * low.first[looked])[:, None] * high.slope)
        totals.hessian += mixed + mixed.T
        # Of -log psi - x'b the latter belongs to the segment that the life ends in.
        by_life.segment[lives.data.last] -= failed
        totals.gradient[:-1] += by_life.segment @ lives.data.design
        totals.gradient[-1] += float(by_life.shape.sum())
        return by_life

    def _add_bound(
        self, totals: Totals, by_life: ByLife, data: LifeData, bound: Bound, first: Array, second: Array,
        places: Array, segments: Array | slice, *, density: Array | None = None,
    ) -> None:  # fmt: skip
        """A bound's weighted derivatives in z, and the -log psi of a density."""
        along = self._shape * first
        along = along if density is None else along - density
        by_life.segment[segments] -= along[data.life] * bound.clock.share
        by_life.shape[places] += first * bound.z
        totals.hessian += bound.slope.T @ (second[:, None] * bound.slope)
        totals.hessian += weighted_curvature(data, bound, first, self._shape, density=density)
