"""What to hold and order: the table `stock`."""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.demand import Demand
from wearmodel.frame_rows import frame_rows
from wearmodel.intake.part_groups import part_groups

__all__ = ["plan_stock", "stock_horizon_days"]

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


def _lead_times(mean: float, spread: float, draws: int, rng: np.random.Generator) -> Array:
    """Drawn lead times [d]: gamma with the given mean and standard deviation."""
    if not spread > 0 or not mean > 0:
        return np.full(draws, mean)
    shape = (mean / spread) ** 2
    return np.minimum(rng.gamma(shape, mean / shape, size=draws), mean + _LONGEST * spread)


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
    service_level: float,
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
    service_level : float
        Least chance that demand over the lead time does not exceed the reorder point.
    seed : int
        Seed of the lead times.

    Returns
    -------
    pandas.DataFrame
        Columns of the table `stock`, and `component, unit_price, lead_time_days, mean_lead_demand,
        shortage_date`. `service_level` is the chance that the reorder point delivers (cycle service:
        no shortage in a lead time), at least what was asked, as stock comes in whole parts.
        `order_up_to` adds a month's mean demand, at least a pack. Demand stands under the leading number of
        interchangeable parts; before it is ordered, what is held of the others counts too.
    """
    rng = np.random.default_rng([seed, 5])
    by_number = {str(number): row for number, row in parts.set_index("part_number").iterrows()}
    central = len(stock) > 0 and bool((stock["depot"] == "").all())
    keys = demand.keys.assign(depot="all") if central else demand.keys
    places = keys.groupby(["part_number", "depot"], sort=True).ngroup().to_numpy()
    place_names = keys.groupby(["part_number", "depot"], sort=True)["component"].first().reset_index()
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
        lead = _lead_times(part["lead_time_days"], part["lead_time_sd_days"], demand.draws, rng)
        due = demand.day[mine] <= lead[demand.draw[mine]]
        during = np.bincount(demand.draw[mine][due], minlength=demand.draws)
        sums = np.zeros((len(months), demand.draws))
        np.add.at(sums, (demand.month[mine], demand.draw[mine]), 1.0)
        monthly = len(mine) / demand.draws / max(len(months), 1)
        rows.append(
            _stock_row(place.part_number, place.depot, place.component, part, on_hand, on_order, during, monthly,
                       service_level, _shortage_date(sums, on_hand + on_order + also, months), also)
        )  # fmt: skip
    nothing = np.zeros(1)
    rows += [
        _stock_row(number, depot, str(by_number[number]["component"]), by_number[number], on_hand, on_order, nothing,
                   0.0, service_level, "", 0.0)
        for (number, depot), (on_hand, on_order) in held_by.items()
    ]  # fmt: skip
    names = [
        "part_number", "depot", "on_hand", "on_order", "reorder_point", "order_up_to", "order_now", "service_level",
        "component", "unit_price", "lead_time_days", "mean_lead_demand", "shortage_date",
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
    during: Array, monthly: float, service_level: float, shortage: str, also: float,
) -> tuple[Any, ...]:  # fmt: skip
    """Reorder point, order-up-to level and order of one part at one place."""
    reorder = float(np.quantile(during, service_level, method="inverted_cdf"))
    pack = part["pack"] if part["pack"] > 0 else 1.0
    expected = float(during.mean())
    unused = monthly == 0.0
    up_to = 0.0 if unused else reorder + max(pack, float(np.ceil(monthly)))
    position = on_hand + on_order + also
    # Ordering starts when stock falls to the reorder point, so that it can cover the lead time.
    needed = up_to - position if position <= reorder and not unused else 0.0
    order_now = np.ceil(needed / pack) * pack if np.isfinite(position) else np.nan
    return (
        number, depot, on_hand, on_order, reorder, up_to, order_now, float((during <= reorder).mean()), component,
        float(part["unit_price"]), float(part["lead_time_days"]), expected, shortage,
    )  # fmt: skip
