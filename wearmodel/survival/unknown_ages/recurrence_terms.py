"""What a life of unknown fitting date adds to the log-likelihood, with derivatives in distances and shape."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wearmodel.survival.unknown_ages.recurrence_table import (
    SHAPE_RANGE,
    Curve,
    RecurrenceTable,
    build_recurrence_table,
    choose_grid,
    log_hazards,
    log_survivors,
)

__all__ = ["HIGH", "LOW", "SHAPE", "A", "RecurrenceTables", "Terms", "build_recurrence_tables", "recurrence_terms",
           "recurrence_values"]  # fmt: skip

Array = NDArray[Any]
#: Order of the variables: log distance before records, log distance since to last seen good, to seen failed, log shape.
A, LOW, HIGH, SHAPE = range(4)
#: Distance in log shape between tables: the error of the slope is about its square, the noise of the second derivative
#: 1e-14 over its square.
_STEP = 3e-4
_SMALLEST_GAP, _LARGEST_GAP = 1e-8, 600.0


@dataclass(frozen=True)
class RecurrenceTables:
    """Tables of one shape and, for derivatives, of one a little lower and one a little higher.

    Parameters
    ----------
    tables : tuple of RecurrenceTable
        The shape alone, or lower, middle, upper.
    """

    tables: "tuple[RecurrenceTable, ...]"

    @property
    def middle(self) -> RecurrenceTable:
        """Table of the shape itself."""
        return self.tables[len(self.tables) // 2]

    def with_neighbours(self) -> "RecurrenceTables":
        """The same with the tables of the shapes next to it; they are built once."""
        return self if len(self.tables) == 3 else self._wide

    @cached_property
    def _wide(self) -> "RecurrenceTables":
        one = self.middle
        lower, upper = (build_recurrence_table(one.shape * math.exp(step), one.grid) for step in (-_STEP, _STEP))
        return RecurrenceTables((lower, one, upper))


@dataclass(frozen=True)
class Terms:
    """Log-likelihood of lives with derivatives in (log a, log x low, log x high, log shape).

    Parameters
    ----------
    value : ndarray, shape (n,)
        Value, densities per unit of the operational clock.
    first : ndarray, shape (4, n)
        Derivatives; in the log shape 0 without neighbouring tables.
    second : ndarray, shape (4, 4, n)
        Second derivatives.
    """

    value: Array
    first: Array
    second: Array


def build_recurrence_tables(log_shape: float, *, oldest: float, longest: float, rate: float) -> RecurrenceTables | None:
    """Table of a shape for what lives need of it.

    Parameters
    ----------
    log_shape : float
        Logarithm of the Weibull shape.
    oldest, longest, rate : float
        As in `choose_grid`.

    Returns
    -------
    RecurrenceTables or None
        The middle table; None where the shape or a distance is beyond what a table can hold.
    """
    low, high = (math.log(bound) for bound in SHAPE_RANGE)
    if not (low + _STEP < log_shape < high - _STEP and math.isfinite(oldest) and math.isfinite(longest)):
        return None
    shape = math.exp(log_shape)
    grid = choose_grid(shape, oldest=oldest, longest=longest, rate=rate)
    return RecurrenceTables((build_recurrence_table(shape, grid),))


def recurrence_terms(tables: RecurrenceTables, logs: Array, renewals: Array, *, exact: Array, interval: Array) -> Terms:
    """Log-likelihood of lives of unknown fitting date.

    Parameters
    ----------
    tables : RecurrenceTables
        Tables, with neighbours where derivatives in the shape are wanted.
    logs : ndarray, shape (3, n)
        Logarithms of the distance before records, since to last seen good, since to seen failed, on the operational
        clock in units of the scale.
    renewals : ndarray, shape (n,)
        Expected renewals for other reasons before records.
    exact, interval : ndarray of bool, shape (n,)
        Kind of end.

    Returns
    -------
    Terms
        log G if censored, log g if failed, log(G low - G high) if failed in between; each given the distance before.
    """
    low = _in_shape(tables, log_survivors, logs[A], logs[LOW], renewals)
    value = low.value.copy()
    first, second = np.zeros((4, len(value))), np.zeros((4, 4, len(value)))
    to_low, to_high = np.array([A, LOW, SHAPE]), np.array([A, HIGH, SHAPE])
    first[to_low] = low.first
    second[np.ix_(to_low, to_low)] = low.second
    failed = np.flatnonzero(exact)
    if len(failed):
        hazard = _in_shape(tables, log_hazards, logs[A, failed], logs[LOW, failed], renewals[failed])
        value[failed] += hazard.value
        first[to_low[:, None], failed] += hazard.first
        second[to_low[:, None, None], to_low[:, None], failed] += hazard.second
    between = np.flatnonzero(interval)
    if len(between):
        high = _in_shape(tables, log_survivors, logs[A, between], logs[HIGH, between], renewals[between])
        gap = np.clip(value[between] - high.value, _SMALLEST_GAP, _LARGEST_GAP)
        # Where the gap is the splines' own error its slope says nothing.
        odds = np.where(gap > _SMALLEST_GAP, 1.0 / np.expm1(gap), 0.0)
        value[between] += np.log(-np.expm1(-gap))
        opened = first[:, between]
        opened[to_high] -= high.first
        bent = second[:, :, between]
        bent[np.ix_(to_high, to_high)] -= high.second
        first[:, between] += odds * opened
        second[:, :, between] += odds * bent - odds * (1.0 + odds) * opened[:, None] * opened[None, :]
    return Terms(value, first, second)


def recurrence_values(
    tables: RecurrenceTables, logs: Array, renewals: Array, *, exact: Array, interval: Array
) -> Array:
    """Values alone of `recurrence_terms`.

    Parameters
    ----------
    tables, logs, renewals, exact, interval
        As there; neighbouring tables are not looked at.

    Returns
    -------
    ndarray, shape (n,)
        Log-likelihood of each life.
    """
    table = tables.middle
    value = table.survivor_value(logs[A], logs[LOW], renewals)
    failed, between = np.flatnonzero(exact), np.flatnonzero(interval)
    if len(failed):
        value[failed] += table.hazard_value(logs[A, failed], logs[LOW, failed], renewals[failed])
    if len(between):
        high = table.survivor_value(logs[A, between], logs[HIGH, between], renewals[between])
        value[between] += np.log(-np.expm1(-np.clip(value[between] - high, _SMALLEST_GAP, _LARGEST_GAP)))
    return value


def _in_shape(
    tables: RecurrenceTables,
    curves: "Callable[[Sequence[RecurrenceTable], Array, Array, Array], list[Curve]]",
    *points: Array,
) -> Terms:
    """A curve of the tables with its derivatives in the log shape, by central differences."""
    found = curves(tables.tables, *points)
    here = found[len(found) // 2]
    first, second = np.zeros((3, len(here.value))), np.zeros((3, 3, len(here.value)))
    first[:2], second[:2, :2] = here.first, here.second
    if len(found) == 3:
        lower, upper = found[0], found[2]
        first[2] = (upper.value - lower.value) / (2.0 * _STEP)
        second[2, 2] = (upper.value - 2.0 * here.value + lower.value) / _STEP**2
        second[2, :2] = second[:2, 2] = (upper.first - lower.first) / (2.0 * _STEP)
    return Terms(here.value, first, second)
