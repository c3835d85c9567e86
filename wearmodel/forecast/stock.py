"""What to hold and order: the table `stock`."""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.demand import Demand
from wearmodel.forecast.order_policy import StockTerms, fill_rate, order_quantity, reorder_point
from wearmodel.frame_rows import frame_rows
from wearmodel.intake.part_groups import part_groups

__all__ = [
    "draw_lead_times", "held_places", "longest_lead_time", "plan_pooling", "plan_stock", "stock_horizon_days",
]  # fmt: skip

Array = NDArray[Any]
_MONTH = 30.4375
#: Lead times are drawn no longer than this many standard deviations above their mean.
_LONGEST = 4.0


def stock_horizon_days(parts: pd.DataFrame) -> float:
    """Days of demand that must be drawn so that every lead time lies inside.

    Parameters
    ----------
    parts : pandas.DataFrame
        Catalogue.

    Returns
    -------
    float
        [d]; 0 without parts.
    """
    if parts.empty:
        return 0.0
    spread = parts["lead_time_sd_days"].fillna(0.0)
    return float((parts["lead_time_days"] + _LONGEST * spread).max()) + _MONTH


def longest_lead_time(mean: Any, spread: float) -> Any:
    """Longest lead time that is drawn.

    Parameters
    ----------
    mean : float or ndarray
        Mean lead time [d].
    spread : float
        Standard deviation, NaN for none [d].

    Returns
    -------
    float or ndarray
        [d]
    """
    return mean + _LONGEST * (spread if spread > 0 else 0.0)


def draw_lead_times(mean: float, spread: float, draws: int, rng: np.random.Generator) -> Array:
    """Drawn lead times: gamma with the given mean and standard deviation.

    Parameters
    ----------
    mean, spread : float
        Mean and standard deviation, NaN or 0 for none [d].
    draws : int
        How many.
    rng : numpy.random.Generator
        Source of chance; not used where lead times do not vary.

    Returns
    -------
    ndarray, shape (draws,)
        [d]
    """
    if not spread > 0 or not mean > 0:
        return np.full(draws, mean)
    shape = (mean / spread) ** 2
    return np.minimum(rng.gamma(shape, mean / shape, size=draws), longest_lead_time(mean, spread))


def held_places(demand: Demand, stock: pd.DataFrame) -> "tuple[Array, pd.DataFrame]":
    """Where stock is held of each part that is needed.

    Parameters
    ----------
    demand : Demand
        Drawn demand.
    stock : pandas.DataFrame
        Clean table; where no row of it names a depot, stock is held in one place for all depots.

    Returns
    -------
    ndarray of int, shape (n_keys,)
        Place of each key of the demand.
    pandas.DataFrame
        Places: `part_number, depot, component`, sorted.
    """
    central = len(stock) > 0 and bool((stock["depot"] == "").all())
    keys = demand.keys.assign(depot="all") if central else demand.keys
    grouped = keys.groupby(["part_number", "depot"], sort=True)
    return grouped.ngroup().to_numpy(), grouped["component"].first().reset_index()


def _shortage_date(month_sums: Array, at_hand: float, months: tuple[str, ...]) -> str:
    """First month by whose end the middle draw has used up what is at hand; empty if none."""
    if not np.isfinite(at_hand):
        return ""
    used = np.median(np.cumsum(month_sums, axis=0), axis=1)
    short = np.flatnonzero(used > at_hand)
    return months[int(short[0])] if len(short) else ""


def _depot_of_stock(stock: pd.DataFrame) -> pd.DataFrame:
    return stock.groupby(["part_number", "depot"], as_index=False)[["on_hand", "on_order"]].sum()


def plan_stock(
    demand: Demand,
    *,
    parts: pd.DataFrame,
    stock: pd.DataFrame,
    months: tuple[str, ...],
    horizon: int,
    terms: StockTerms,
    seed: int,
) -> pd.DataFrame:
    """Table `stock`.

    Parameters
    ----------
    demand : Demand
        Drawn demand, reaching beyond the longest lead time.
    parts, stock : pandas.DataFrame
        Clean tables; an empty stock table leaves what is at hand, and the order, blank. Where no row
        of it names a depot, stock is held in one place for all depots.
    months : tuple of str
        Months drawn.
    horizon : int
        Months that stock beyond which counts as dead; no more than `months`.
    terms : StockTerms
        What the reorder point is held to, and costs.
    seed : int
        Seed of the lead times.

    Returns
    -------
    pandas.DataFrame
        Columns of the table `stock`, and `component, unit_price, lead_time_days, mean_lead_demand,
        shortage_date, pack, held_of_others, order_quantity, fill_rate, horizon_p90, dead_stock, dead_stock_value`.
        `service_level` is the chance that the reorder point delivers (cycle service: no shortage in a lead time),
        `fill_rate` the share of demand met from the shelf; the one asked for is at least what was asked, as stock comes
        in whole parts. `order_up_to` adds the order quantity. Demand stands under the leading number of interchangeable
        parts; before it is ordered, what is held of the others counts too. `dead_stock` is what of stock on hand and on
        order is more than the 90 % quantile of demand over the horizon; of a number that another supersedes it is all.
    """
    rng = np.random.default_rng([seed, 5])
    by_number = {str(number): row for number, row in parts.set_index("part_number").iterrows()}
    central = len(stock) > 0 and bool((stock["depot"] == "").all())
    places, place_names = held_places(demand, stock)
    held = _depot_of_stock(stock.assign(depot="all") if central else stock)
    held_by = {(str(r.part_number), str(r.depot)): (r.on_hand, r.on_order) for r in frame_rows(held)}
    others = _held_of_others(held, parts)
    rows = []
    # Whole numbers of 16 bits are put in order by counting.
    place_of = places.astype(np.int16 if len(place_names) < 2**15 else np.int64)[demand.key]
    order = np.argsort(place_of, kind="stable")
    first = np.concatenate([[0], np.cumsum(np.bincount(place_of, minlength=len(place_names)))])
    for index, place in enumerate(frame_rows(place_names)):
        if place.part_number not in by_number:
            continue
        part = by_number[place.part_number]
        mine = order[first[index] : first[index + 1]]
        on_hand, on_order = held_by.pop(
            (place.part_number, place.depot), (np.nan, np.nan) if len(stock) == 0 else (0.0, 0.0)
        )
        also = others.get((place.part_number, place.depot), 0.0)
        lead = draw_lead_times(part["lead_time_days"], part["lead_time_sd_days"], demand.draws, rng)
        due = demand.day[mine] <= lead[demand.draw[mine]]
        during = np.bincount(demand.draw[mine][due], minlength=demand.draws)
        sums = np.zeros((len(months), demand.draws))
        np.add.at(sums, (demand.month[mine], demand.draw[mine]), 1.0)
        monthly = len(mine) / demand.draws / max(len(months), 1)
        most = float(np.quantile(sums[:horizon].sum(axis=0), 0.9, method="inverted_cdf"))
        rows.append(
            _stock_row(place.part_number, place.depot, place.component, part, on_hand, on_order, during, monthly,
                       terms, _shortage_date(sums, on_hand + on_order + also, months), also, most)
        )  # fmt: skip
    nothing = np.zeros(1)
    leaders = part_groups(parts)
    for (number, depot), (on_hand, on_order) in held_by.items():
        # What is interchangeable with a part in use serves it; all else that nothing asks for is dead.
        serves = leaders.get(number, number) != number and by_number[number]["superseded_by"] == ""
        most = on_hand + on_order if serves else 0.0
        rows.append(
            _stock_row(number, depot, str(by_number[number]["component"]), by_number[number], on_hand, on_order,
                       nothing, 0.0, terms, "", 0.0, most)
        )  # fmt: skip
    names = [
        "part_number", "depot", "on_hand", "on_order", "reorder_point", "order_up_to", "order_now", "service_level",
        "component", "unit_price", "lead_time_days", "mean_lead_demand", "shortage_date", "pack", "held_of_others",
        "order_quantity", "fill_rate", "horizon_p90", "dead_stock", "dead_stock_value",
    ]  # fmt: skip
    frame = pd.DataFrame(rows, columns=names)
    return frame.sort_values(["component", "part_number", "depot"], kind="stable", ignore_index=True)


def _held_of_others(held: pd.DataFrame, parts: pd.DataFrame) -> dict[tuple[str, str], float]:
    """What is at hand and on order of parts that are interchangeable with a leading number, by that and depot."""
    present = set(parts.loc[parts["superseded_by"] == "", "part_number"])
    leaders = part_groups(parts)
    out: dict[tuple[str, str], float] = {}
    for row in frame_rows(held):
        leader = leaders.get(str(row.part_number), "")
        if row.part_number in present and leader != row.part_number:
            key = (leader, str(row.depot))
            out[key] = out.get(key, 0.0) + float(row.on_hand + row.on_order)
    return out


def _stock_row(
    number: str, depot: str, component: str, part: "pd.Series[Any]", on_hand: float, on_order: float,
    during: Array, monthly: float, terms: StockTerms, shortage: str, also: float, most: float,
) -> tuple[Any, ...]:  # fmt: skip
    """Reorder point, order-up-to level, order and dead stock of one part at one place."""
    pack = part["pack"] if part["pack"] > 0 else 1.0
    price = float(part["unit_price"])
    quantity = order_quantity(monthly, pack=pack, price=price, terms=terms)
    reorder = reorder_point(during, quantity=quantity, price=price, terms=terms)
    expected = float(during.mean())
    unused = monthly == 0.0
    up_to = 0.0 if unused else reorder + quantity
    position = on_hand + on_order + also
    # Ordering starts when stock falls to the reorder point, so that it can cover the lead time.
    needed = up_to - position if position <= reorder and not unused else 0.0
    order_now = np.ceil(needed / pack) * pack if np.isfinite(position) else np.nan
    dead = max(position - most, 0.0) if np.isfinite(position) else np.nan
    return (
        number, depot, on_hand, on_order, reorder, up_to, order_now, float((during <= reorder).mean()), component,
        price, float(part["lead_time_days"]), expected, shortage, float(pack), also, 0.0 if unused else quantity,
        fill_rate(during, reorder=reorder, quantity=quantity), most, dead, dead * price,
    )  # fmt: skip


def plan_pooling(
    demand: Demand, *, parts: pd.DataFrame, months: tuple[str, ...], terms: StockTerms, seed: int
) -> pd.DataFrame:
    """Table `stock_pooling`: what one store for all depots would spare.

    Parameters
    ----------
    demand : Demand
        Drawn demand, reaching beyond the longest lead time.
    parts : pandas.DataFrame
        Clean catalogue.
    months : tuple of str
        Months drawn.
    terms : StockTerms
        What reorder points are held to.
    seed : int
        Seed of the lead times.

    Returns
    -------
    pandas.DataFrame
        One row a part number asked for at more than one depot: `part_number, component, depots`, the sum of the depots'
        reorder points `reorder_points`, that of one store `pooled_reorder_point`, `pieces_spared`, `value_spared`, and
        `pooled_service_level`. Bringing parts from the store to the depots is not counted, neither time nor cost.
    """
    columns = [
        "part_number", "component", "depots", "reorder_points", "pooled_reorder_point", "pieces_spared",
        "value_spared", "pooled_service_level",
    ]  # fmt: skip
    rng = np.random.default_rng([seed, 10])
    catalogue = {str(number): row for number, row in parts.set_index("part_number").iterrows()}
    rows = []
    for (number, component), mine in demand.keys.groupby(["part_number", "component"], sort=True):
        if len(mine) < 2 or number not in catalogue:
            continue
        part = catalogue[number]
        lead = draw_lead_times(part["lead_time_days"], part["lead_time_sd_days"], demand.draws, rng)
        at = np.flatnonzero(np.isin(demand.key, mine.index) & (demand.day <= lead[demand.draw]))
        place = np.searchsorted(mine.index.to_numpy(), demand.key[at])
        during = np.zeros((len(mine), demand.draws))
        np.add.at(during, (place, demand.draw[at]), 1.0)
        taken = np.bincount(demand.key, minlength=len(demand.keys))[mine.index] / demand.draws / max(len(months), 1)
        points = [
            _reorder_of(counts, monthly, part, terms)
            for counts, monthly in zip([*during, during.sum(axis=0)], [*taken, taken.sum()], strict=True)
        ]
        apart, pooled = float(sum(points[:-1])), points[-1]
        spared, price = apart - pooled, float(part["unit_price"])
        level = float((during.sum(axis=0) <= pooled).mean())
        rows.append((number, component, len(mine), apart, pooled, spared, spared * price, level))
    return pd.DataFrame(rows, columns=columns)


def _reorder_of(during: Array, monthly: float, part: "pd.Series[Any]", terms: StockTerms) -> float:
    """Reorder point of one part for some demand."""
    pack, price = part["pack"] if part["pack"] > 0 else 1.0, float(part["unit_price"])
    quantity = order_quantity(monthly, pack=pack, price=price, terms=terms)
    return reorder_point(during, quantity=quantity, price=price, terms=terms)
