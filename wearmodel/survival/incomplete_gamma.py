"""Incomplete gamma function with numpy alone, so that predictions need nothing heavier."""

import math
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["gamma_function", "scaled_gamma_ratio", "scaled_upper_gamma"]

_SERIES_TERMS = 120
_FRACTION_TERMS = 160
_TINY = 1e-300
_NEGLIGIBLE = 1e-16

#: From here on Stirling's series gives the last digit of a double.
_STIRLING_FROM = 20.0

_gamma_vector = np.vectorize(math.gamma, otypes=[float])
_log_gamma_vector = np.vectorize(math.lgamma, otypes=[float])


def gamma_function(argument: ArrayLike) -> NDArray[Any]:
    """Gamma function, element by element.

    Parameters
    ----------
    argument : array_like
        Positive numbers.

    Returns
    -------
    ndarray
        Same shape.
    """
    return np.asarray(_gamma_vector(np.asarray(argument, dtype=float)), dtype=float)


def _stirling(x: NDArray[Any]) -> NDArray[Any]:
    """What log Gamma(x) has over (x - 1/2) log x - x + log(2 pi) / 2."""
    square = 1.0 / (x * x)
    return (1.0 / 12.0 - square * (1.0 / 360.0 - square * (1.0 / 1260.0 - square / 1680.0))) / x


def scaled_gamma_ratio(argument: ArrayLike, step: ArrayLike) -> NDArray[Any]:
    """Ratio of two gamma functions, without the loss of digits that their logarithms bring far out.

    Parameters
    ----------
    argument : array_like
        Positive numbers x, infinity allowed.
    step : array_like
        Numbers s with x + s above 0; broadcast with `argument`.

    Returns
    -------
    ndarray
        Gamma(x + s) / (Gamma(x) x^s), which is 1 at infinity.

    Notes
    -----
    Stirling's series where both arguments are large: Abramowitz & Stegun, Handbook of Mathematical Functions (1964),
    6.1.40.
    """
    x, s = np.broadcast_arrays(np.asarray(argument, dtype=float), np.asarray(step, dtype=float))
    out = np.ones(x.shape)
    far = np.isfinite(x) & (np.minimum(x, x + s) >= _STIRLING_FROM)
    near = np.isfinite(x) & ~far
    if far.any():
        xf, sf = x[far], s[far]
        main = (xf + sf - 0.5) * np.log1p(sf / xf) - sf
        out[far] = np.exp(main + _stirling(xf + sf) - _stirling(xf))
    if near.any():
        xn, sn = x[near], s[near]
        out[near] = np.exp(_log_gamma_vector(xn + sn) - _log_gamma_vector(xn) - sn * np.log(xn))
    return out


def _lower_series(a: NDArray[Any], x: NDArray[Any]) -> NDArray[Any]:
    """exp(x) * lower incomplete gamma / x^a by the series of positive terms."""
    term = 1.0 / a
    total = term.copy()
    for n in range(1, _SERIES_TERMS):
        term = term * x / (a + n)
        total = total + term
        if (term <= _NEGLIGIBLE * total).all():
            break
    return total


def _upper_fraction(a: NDArray[Any], x: NDArray[Any]) -> NDArray[Any]:
    """exp(x) * upper incomplete gamma / x^a by the modified Lentz continued fraction."""
    b = x + 1.0 - a
    c = np.full_like(x, 1.0 / _TINY)
    d = 1.0 / b
    h = d.copy()
    for i in range(1, _FRACTION_TERMS):
        an = -i * (i - a)
        b = b + 2.0
        d = an * d + b
        d = np.where(np.abs(d) < _TINY, _TINY, d)
        c = b + an / c
        c = np.where(np.abs(c) < _TINY, _TINY, c)
        d = 1.0 / d
        change = d * c
        h = h * change
        if (np.abs(change - 1.0) <= _NEGLIGIBLE).all():
            break
    return h


def scaled_upper_gamma(a: ArrayLike, x: ArrayLike) -> NDArray[Any]:
    """Upper incomplete gamma function times exp(x): stays finite far in the tail.

    Parameters
    ----------
    a : array_like
        Parameter, above 0 and at most about 20.
    x : array_like
        Lower limit of the integral, 0 or more; broadcast with `a`.

    Returns
    -------
    ndarray
        exp(x) * integral from x to infinity of t^(a-1) exp(-t).

    Notes
    -----
    Series below a + 1, continued fraction above: Abramowitz & Stegun, Handbook of Mathematical
    Functions (1964), 6.5.29 and 6.5.31.
    """
    a_full, x_full = np.broadcast_arrays(np.asarray(a, dtype=float), np.asarray(x, dtype=float))
    a_flat, x_flat = a_full.ravel().copy(), x_full.ravel().copy()
    out = np.empty_like(x_flat)
    low = x_flat < a_flat + 1.0
    if low.any():
        al, xl = a_flat[low], x_flat[low]
        out[low] = np.exp(xl) * gamma_function(al) - xl**al * _lower_series(al, xl)
    if (~low).any():
        ah, xh = a_flat[~low], x_flat[~low]
        out[~low] = xh**ah * _upper_fraction(ah, xh)
    return out.reshape(x_full.shape)
