"""Curves that the record itself draws, with late entry: what survives, and in which way lives end.

A life is at risk over (entry, stop]: one that enters at the very age of a failure is not at risk for it, and failures
come before withdrawals of the same age.
"""

from dataclasses import dataclass
from statistics import NormalDist
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["EndShares", "HazardSteps", "aalen_johansen", "hazard_steps", "weight_at_risk"]

Array = NDArray[Any]
#: Relative difference of sums of weights that is rounding.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class HazardSteps:
    """Cumulative hazard by steps, with the curves that follow from it.

    Parameters
    ----------
    age : ndarray, shape (n_steps,)
        Distinct ages at which a life failed [distance].
    failed, at_risk : ndarray, shape (n_steps,)
        Weight that failed there, and weight at risk.
    hazard, variance : ndarray, shape (n_steps,)
        Nelson-Aalen estimate and its variance (sum of failed / at_risk^2).
    """

    age: Array
    failed: Array
    at_risk: Array
    hazard: Array
    variance: Array

    @property
    def survival(self) -> Array:
        """Breslow-Fleming-Harrington survival, exp(-hazard)."""
        return np.exp(-self.hazard)

    @property
    def product_limit(self) -> Array:
        """Kaplan-Meier survival; falls to 0 for good where all of an early risk set fails."""
        return np.cumprod(1.0 - np.minimum(self.failed / self.at_risk, 1.0))

    def spread(self, confidence: float) -> Array:
        """Factor by which the hazard may be larger or smaller, pointwise.

        Parameters
        ----------
        confidence : float
            Two-sided, between 0 and 1.

        Returns
        -------
        ndarray, shape (n_steps,)
            1 or more, by normal theory for the log hazard (Klein & Moeschberger, Survival Analysis, 2nd ed. 2003, sec.
            4.3): the band of the survival S is S^factor to S^(1 / factor), inside 0 to 1. Where less than one
            failure has been seen (a chance of one), the relative error is taken as that of one.
        """
        relative = np.minimum(np.sqrt(self.variance) / self.hazard, 1.0)
        return np.asarray(np.exp(NormalDist().inv_cdf(0.5 + confidence / 2.0) * relative))


@dataclass(frozen=True)
class EndShares:
    """How lives end, each way against the others.

    Parameters
    ----------
    age : ndarray, shape (n_steps,)
        Distinct ages at which a life ended in one of the ways [distance].
    survival : ndarray, shape (n_steps,)
        Share that has not ended in any way.
    share : ndarray, shape (n_steps, n_ways)
        Share that has ended in each way; with the survival they sum to 1.
    variance : ndarray, shape (n_steps, n_ways)
        Of each share.
    at_risk : ndarray, shape (n_steps,)
        Weight at risk there.
    """

    age: Array
    survival: Array
    share: Array
    variance: Array
    at_risk: Array


def hazard_steps(
    *, entry: ArrayLike, stop: ArrayLike, failed: ArrayLike, weight: ArrayLike | None = None
) -> HazardSteps:
    """Nelson-Aalen estimate of late-entry data, whatever the order of the rows.

    Parameters
    ----------
    entry, stop : array_like, shape (n_lives,)
        Ages between which each life was observed, entry < stop [distance].
    failed : array_like of bool, shape (n_lives,)
        Whether it failed at `stop`.
    weight : array_like, shape (n_lives,), optional
        Default 1; lives of weight 0 count for nothing.

    Returns
    -------
    HazardSteps
        One step a distinct failure age; empty without a failure.

    References
    ----------
    Aalen (1978), Annals of Statistics 6; Fleming & Harrington (1984), Communications in Statistics 13.
    """
    begin, end, fell, own = _columns(entry, stop, failed, weight)
    age, where = np.unique(end[fell], return_inverse=True)
    deaths = np.bincount(where, own[fell], minlength=len(age))
    at_risk = weight_at_risk(age, begin, end, own)
    return HazardSteps(age, deaths, at_risk, np.cumsum(deaths / at_risk), np.cumsum(deaths / at_risk**2))


def aalen_johansen(
    *, entry: ArrayLike, stop: ArrayLike, way: ArrayLike, ways: int, weight: ArrayLike | None = None
) -> EndShares:
    """Shares of lives that end in each of several ways, with late entry.

    Parameters
    ----------
    entry, stop : array_like, shape (n_lives,)
        As in `hazard_steps`.
    way : array_like of int, shape (n_lives,)
        How each ended, 0 to `ways` - 1; -1 for lives that have not.
    ways : int
        Number of ways.
    weight : array_like, shape (n_lives,), optional
        Default 1.

    Returns
    -------
    EndShares
        Steps at the ages where a life ended.

    Notes
    -----
    One minus Kaplan-Meier of a single way overstates it: what ends in another way cannot end in this one any more
    (Aalen & Johansen, Scandinavian Journal of Statistics 5, 1978). The variance is the delta method's for
    multinomial steps (Marubini & Valsecchi, Analysing Survival Data from Clinical Trials and Observational
    Studies, 1995, sec. 10.2): all ways together have Greenwood's, and without late entry or withdrawals each
    share p of n lives has p (1 - p) / n.
    """
    kind = np.asarray(way, dtype=np.intp)
    begin, end, ended, own = _columns(entry, stop, kind >= 0, weight)
    kind = kind if weight is None else kind[np.asarray(weight, dtype=float) > 0]
    age, where = np.unique(end[ended], return_inverse=True)
    counts = np.bincount(where * ways + kind[ended], own[ended], minlength=len(age) * ways).reshape(len(age), ways)
    at_risk = weight_at_risk(age, begin, end, own)
    survival = np.cumprod(1.0 - np.minimum(counts.sum(axis=1) / at_risk, 1.0))
    before = np.concatenate([[1.0], survival[:-1]])
    share = np.cumsum((before / at_risk)[:, None] * counts, axis=0)
    return EndShares(age, survival, share, _share_variance(before, counts, at_risk, share), at_risk)


def _share_variance(before: Array, counts: Array, at_risk: Array, share: Array) -> Array:
    """Sums over steps u up to t of what each step leaves uncertain, with F(t) - F(u) multiplied out.

    (F(t) - F(u))^2 d / (n (n - d)) + S(u-)^2 d_k (n - d_k) / n^3 - 2 (F(t) - F(u)) S(u-) d_k / n^2
    """
    ended, n = counts.sum(axis=1), at_risk[:, None]
    rest = at_risk - ended
    # Where all at risk end nothing can follow, and F(t) - F(u) stays 0.
    some = rest > _ROUNDING * at_risk
    loss = np.divide(ended, at_risk * rest, out=np.zeros_like(rest), where=some)[:, None]
    own = before[:, None] * counts / n**2
    squares = share**2 * np.cumsum(loss, axis=0) - 2.0 * share * np.cumsum(share * loss, axis=0)
    squares += np.cumsum(share**2 * loss + before[:, None] * own * (n - counts) / n, axis=0)
    cross = share * np.cumsum(own, axis=0) - np.cumsum(share * own, axis=0)
    return np.asarray(np.maximum(squares - 2.0 * cross, 0.0))


def _columns(
    entry: ArrayLike, stop: ArrayLike, failed: ArrayLike, weight: ArrayLike | None
) -> tuple[Array, Array, Array, Array]:
    begin, end, fell = np.asarray(entry, dtype=float), np.asarray(stop, dtype=float), np.asarray(failed, dtype=bool)
    if weight is None:
        return begin, end, fell, np.ones(len(end))
    own = np.asarray(weight, dtype=float)
    used = own > 0
    return begin[used], end[used], fell[used], own[used]


def weight_at_risk(age: Array, begin: Array, end: Array, weight: Array) -> Array:
    """Weight of the lives at risk at some ages.

    Parameters
    ----------
    age : ndarray, shape (n_ages,)
        Ages asked for [distance].
    begin, end, weight : ndarray, shape (n_lives,)
        Ages between which each life was observed [distance], and its weight.

    Returns
    -------
    ndarray, shape (n_ages,)
        Sum of the weights with begin < age <= end.
    """
    return _weight_below(begin, weight, age) - _weight_below(end, weight, age)


def _weight_below(values: Array, weight: Array, age: Array) -> Array:
    # Sorting brings rows into one order, so that rounding does not depend on the one they came in.
    order = np.lexsort([weight, values]) if np.ptp(weight) > 0 else np.argsort(values)
    sums = np.concatenate([[0.0], np.cumsum(weight[order])])
    return np.asarray(sums[np.searchsorted(values[order], age, side="left")])
