"""When to order a part and how many, from drawn demand over a lead time. Only NumPy here."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

__all__ = ["StockTerms", "fill_rate", "order_quantity", "reorder_point"]

Array = NDArray[Any]
#: No order covers more than so many months: what is cheap to hold is not worth ordering for decades; common practice,
#: no source.
_LONGEST_COVER = 12.0
_YEAR = 365.25


@dataclass(frozen=True)
class StockTerms:
    """What stock is held to, and what it costs.

    Parameters
    ----------
    service_level : float
        Least cycle service or fill rate, 0 to below 1.
    measure : str
        What a reorder point is held to: `cycle`, no shortage in a lead time; `fill`, share of demand met from the
        shelf; `standing`, least cost with a vehicle standing for each part that is short, whatever the level.
    holding_rate : float
        Cost of holding a part for a year, as a share of its price.
    order_cost : float
        Of an order, whatever its size [currency]; 0: orders are of a month's demand.
    standing_cost : float
        Of a vehicle that stands for a day [currency / d]; NaN where it is not known.
    """

    service_level: float
    measure: str = "cycle"
    holding_rate: float = 0.2
    order_cost: float = 0.0
    standing_cost: float = float("nan")


def order_quantity(monthly: float, *, pack: float, price: float, terms: StockTerms) -> float:
    """How many to order at once.

    Parameters
    ----------
    monthly : float
        Mean demand a month.
    pack : float
        Parts come in packs of so many, above 0.
    price : float
        Of a part [currency].
    terms : StockTerms
        Costs of an order and of holding.

    Returns
    -------
    float
        Whole packs: the economic order quantity sqrt(2 K D / h) with K the cost of an order, D the demand and h the
        cost of holding a part, both a year; no less than a month's demand and no more than a year's. A month's demand
        where an order or holding costs nothing.

    References
    ----------
    Harris, How many parts to make at once, 1913; Zipkin, Foundations of Inventory Management (2000), sec. 3.2.

    Examples
    --------
    >>> order_quantity(10.0, pack=1.0, price=12.5, terms=StockTerms(0.95, order_cost=20.0))
    44.0
    """
    month = max(float(np.ceil(monthly)), 1.0)
    wanted = month
    held = terms.holding_rate * price
    if terms.order_cost > 0.0 and held > 0.0:
        economic = float(np.sqrt(2.0 * terms.order_cost * 12.0 * monthly / held))
        wanted = float(np.clip(np.round(economic), month, max(np.ceil(_LONGEST_COVER * monthly), month)))
    return float(np.ceil(wanted / pack) * pack)


def reorder_point(during: Array, *, quantity: float, price: float, terms: StockTerms) -> float:
    """On hand and on order at which to order.

    Parameters
    ----------
    during : ndarray of int, shape (n_draws,)
        Drawn demand over a lead time.
    quantity : float
        How many are ordered at once, 1 or more.
    price : float
        Of a part [currency].
    terms : StockTerms
        What is wanted.

    Returns
    -------
    float
        The smallest s, 0 or more, with P(D <= s) at the level (cycle); with 1 - (B(s) - B(s + Q)) / Q at the level,
        B(s) = E max(D - s, 0) (fill); or with the mean of P(D <= y) over y = s + 1 .. s + Q at b / (b + h), b the cost
        of a vehicle standing for a day and h that of holding a part for one (standing; cycle where either is unknown).

    References
    ----------
    Zipkin, Foundations of Inventory Management (2000), sec. 6.2 and 6.5: after an order stock on hand and on order is
    equally likely to be s + 1 .. s + Q.
    """
    law = np.bincount(np.asarray(during, dtype=np.intp)) / len(during)
    at_most = np.cumsum(law)
    held = terms.holding_rate * price / _YEAR
    if terms.measure == "fill":
        short = _short(law)
        beyond = np.minimum(np.arange(len(law)) + int(quantity), len(law))
        reached = 1.0 - (short[:-1] - short[beyond]) / quantity
        wanted = terms.service_level
    elif terms.measure == "standing" and np.isfinite(terms.standing_cost) and terms.standing_cost > 0.0:
        sums = np.concatenate([[0.0], np.cumsum(np.concatenate([at_most, np.ones(int(quantity) + 1)]))])
        first = np.arange(len(law))
        reached = (sums[first + 1 + int(quantity)] - sums[first + 1]) / quantity
        wanted = terms.standing_cost / (terms.standing_cost + held) if np.isfinite(held) else terms.service_level
    else:
        reached, wanted = at_most, terms.service_level
    # The chances of all draws may add up to a hair below 1.
    enough = reached >= min(wanted, 1.0) - 1e-12
    return float(np.argmax(enough)) if enough.any() else float(len(law) - 1)


def fill_rate(during: Array, *, reorder: float, quantity: float) -> float:
    """Share of demand met from the shelf.

    Parameters
    ----------
    during : ndarray of int, shape (n_draws,)
        Drawn demand over a lead time.
    reorder, quantity : float
        Reorder point and how many are ordered at once.

    Returns
    -------
    float
        1 - (B(s) - B(s + Q)) / Q, 0 to 1.
    """
    before, after = (float(np.maximum(during - level, 0.0).mean()) for level in (reorder, reorder + quantity))
    return 1.0 - (before - after) / quantity


def _short(law: Array) -> Array:
    """E max(D - s, 0) for s = 0 .. as many as are ever asked for; then 0."""
    over = 1.0 - np.cumsum(law)
    return np.concatenate([np.cumsum(np.maximum(over, 0.0)[::-1])[::-1], [0.0]])
