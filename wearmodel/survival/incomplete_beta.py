"""Incomplete beta functions in the form that gamma frailty needs, with numpy alone.

All integrals are of v^(a - 1) (1 + theta v)^(-1 / theta), the survival over vehicles as a function of the cumulative
hazard v of a vehicle with frailty 1. With w = theta v / (1 + theta v) the integral from 0 is
theta^(-a) B_w(a, 1 / theta - a); written in v and theta it goes over into the incomplete gamma function as theta
vanishes, and no digit is lost on the way there.
"""

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wearmodel.survival.incomplete_gamma import gamma_function, scaled_gamma_ratio

__all__ = ["complete_integral", "lower_integral", "scaled_upper_integral"]

Array = NDArray[Any]

_SERIES_TERMS = 160
_FRACTION_TERMS = 400
_TINY = 1e-300
_NEGLIGIBLE = 1e-16
_SETTLED = 1e-15
#: Below this second beta parameter the whole integral is infinite, or so large that what is left of it after taking
#: the upper part away has lost its digits.
_LEAST_TAIL = 0.5


def complete_integral(a: ArrayLike, variance: ArrayLike) -> Array:
    """Integral from 0 to infinity.

    Parameters
    ----------
    a : array_like
        Power, above 0 and at most about 5.
    variance : array_like
        theta, 0 or more; broadcast with `a`.

    Returns
    -------
    ndarray
        theta^(-a) Gamma(a) Gamma(1 / theta - a) / Gamma(1 / theta); infinite where theta a is 1 or more.

    Notes
    -----
    Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 6.2.1.
    """
    power, theta = np.broadcast_arrays(np.asarray(a, dtype=float), np.asarray(variance, dtype=float))
    out = np.full(power.shape, np.inf)
    finite = power * theta < 1.0
    with np.errstate(divide="ignore"):
        out[finite] = gamma_function(power[finite]) * scaled_gamma_ratio(1.0 / theta[finite], -power[finite])
    return out


def lower_integral(a: ArrayLike, spent: ArrayLike, variance: ArrayLike) -> Array:
    """Integral from 0 to a cumulative hazard.

    Parameters
    ----------
    a : array_like
        Power, above 0 and at most about 5.
    spent : array_like
        Cumulative hazard of a vehicle with frailty 1, 0 or more; infinity gives the whole.
    variance : array_like
        theta, 0 or more.

    Returns
    -------
    ndarray
        theta^(-a) B_w(a, 1 / theta - a) with w = theta spent / (1 + theta spent), also where the second parameter is
        not positive.

    Notes
    -----
    Series of positive terms at first (Abramowitz & Stegun, 1964, 26.5.4); further out the whole less the upper part;
    where the whole is infinite or nearly so, the part beyond w = 1/2 term by term.
    """
    power, limit, theta = _flat(a, spent, variance)
    shape = np.broadcast_shapes(np.shape(a), np.shape(spent), np.shape(variance))
    out = complete_integral(power, theta)
    early = _early(power, limit, theta)
    late = ~early & np.isfinite(limit)
    heavy = late & (theta * (power + _LEAST_TAIL) > 1.0)
    late &= ~heavy
    if early.any():
        out[early] = _series(power[early], limit[early], theta[early])
    if late.any():
        survival = np.exp(-_hazard(limit[late], theta[late]))
        out[late] -= survival * _fraction(power[late], limit[late], theta[late])
    if heavy.any():
        middle = 1.0 / theta[heavy]
        beyond = _beyond_middle(power[heavy], limit[heavy], theta[heavy])
        out[heavy] = _series(power[heavy], middle, theta[heavy]) + beyond
    return out.reshape(shape)


def scaled_upper_integral(a: ArrayLike, spent: ArrayLike, variance: ArrayLike) -> Array:
    """Integral from a cumulative hazard to infinity over the survival there: stays finite far in the tail.

    Parameters
    ----------
    a : array_like
        Power, above 0 and at most about 5.
    spent : array_like
        Finite cumulative hazard of a vehicle with frailty 1, 0 or more.
    variance : array_like
        theta, 0 or more.

    Returns
    -------
    ndarray
        Infinite where theta a is 1 or more.

    Notes
    -----
    Far out by the continued fraction of DiDonato & Morris, Algorithm 708, ACM Transactions on Mathematical Software
    18 (1992), eq. 9, with all of its terms multiplied out in theta.
    """
    power, limit, theta = _flat(a, spent, variance)
    shape = np.broadcast_shapes(np.shape(a), np.shape(spent), np.shape(variance))
    out = np.full(power.shape, np.inf)
    finite = power * theta < 1.0
    early = finite & _early(power, limit, theta)
    late = finite & ~early
    if early.any():
        p, u, v = power[early], limit[early], theta[early]
        out[early] = (complete_integral(p, v) - _series(p, u, v)) * np.exp(_hazard(u, v))
    if late.any():
        out[late] = _fraction(power[late], limit[late], theta[late])
    return out.reshape(shape)


def _flat(*values: ArrayLike) -> tuple[Array, ...]:
    """Arguments broadcast and laid out in a row."""
    full = np.broadcast_arrays(*(np.asarray(value, dtype=float) for value in values))
    return tuple(value.ravel() for value in full)


def _early(a: Array, spent: Array, theta: Array) -> Array:
    """Where the series of positive terms ends soon."""
    bounded = np.minimum(spent, 2.0 * (a + 1.0))
    return (spent <= a + 1.0) & (theta * bounded <= 1.0)


def _hazard(spent: Array, theta: Array) -> Array:
    """Cumulative hazard over all vehicles, log(1 + theta u) / theta."""
    some = np.where(theta > 0.0, theta, 1.0)
    return np.where(theta > 0.0, np.log1p(some * spent) / some, spent)


def _series(a: Array, spent: Array, theta: Array) -> Array:
    """Integral from 0 by the series of positive terms."""
    spread = 1.0 + theta * spent
    term = 1.0 / a
    total = term.copy()
    for n in range(_SERIES_TERMS):
        term = term * spent * (1.0 + n * theta) / (spread * (a + 1.0 + n))
        total = total + term
        if (term <= _NEGLIGIBLE * total).all():
            break
    return spent**a * np.exp(-_hazard(spent, theta)) * total


def _fraction(a: Array, spent: Array, theta: Array) -> Array:
    """Integral to infinity over the survival by the modified Lentz continued fraction."""
    x = 1.0 / (1.0 + theta * spent)
    base = 1.0 - a * theta
    lead = spent * base * x - a * x + 1.0
    h = base / (base + theta) * lead
    h = np.where(np.abs(h) < _TINY, _TINY, h)
    c, d = h.copy(), np.zeros_like(h)
    for m in range(1, _FRACTION_TERMS):
        low = base + (2 * m - 1) * theta
        an = (1.0 + (m - 1) * theta) * (base + (m - 1) * theta) * m * (a - m) * (x / low) ** 2
        bn = m + m * (a - m) * x * theta / low
        bn = bn + (base + m * theta) * (lead + m * (2.0 - x)) / (base + (2 * m + 1) * theta)
        d = bn + an * d
        d = 1.0 / np.where(np.abs(d) < _TINY, _TINY, d)
        c = bn + an / c
        c = np.where(np.abs(c) < _TINY, _TINY, c)
        change = c * d
        h = h * change
        if (np.abs(change - 1.0) <= _SETTLED).all():
            break
    return spent**a / h


def _beyond_middle(a: Array, spent: Array, theta: Array) -> Array:
    """Integral from w = 1/2 on, term by term in 1 - w, whatever the sign of the second parameter."""
    log_step = -np.log1p(theta * spent) + np.log(2.0)
    tail = 1.0 / theta - a
    factor = np.ones_like(a)
    total = np.zeros_like(a)
    for n in range(_SERIES_TERMS):
        power = tail + n
        some = np.where(power == 0.0, 1.0, power)
        grown = np.where(power == 0.0, -log_step, -np.expm1(power * log_step) / some)
        total = total + factor * grown * 0.5**power
        factor = factor * (n + 1.0 - a) / (n + 1.0)
        if (power > 0.0).all() and (np.abs(factor) * 0.5**power <= _NEGLIGIBLE * np.abs(total)).all():
            break
    return theta**-a * total
