"""Demand while an order is under way, by lead time: the table `lead_demand`, from which stock follows in cells."""

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import gammainc, gammaincinv

from wearmodel.forecast.demand import Demand
from wearmodel.forecast.stock import draw_lead_times, held_places, longest_lead_time
from wearmodel.frame_rows import frame_rows

__all__ = ["LEAD_FACTORS", "LEAST_LEVEL", "build_lead_demand"]

Array = NDArray[Any]

#: Lead times of the table, as multiples of a part's own.
LEAD_FACTORS = (0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 2.0, 3.0, 4.0, 6.0, 9.0, 13.0)
#: Of a part without a lead time [d].
_NO_LEAD_TIME = (0.0, 3.5, 7.0, 14.0, 28.0, 56.0)
#: Least service level the table answers.
LEAST_LEVEL = 0.01
_COLUMNS = ["part_number", "depot", "lead_time_days", "mean", "pieces", "chance"]


def _drawn_leads(mean: float, spread: float, own: Array, own_mean: float, rng: np.random.Generator) -> Array:
    """Drawn lead times of another mean [d]: the quantiles that the part's own drawn lead times are."""
    if not spread > 0 or not mean > 0:
        return np.full(len(own), mean)
    shape = (mean / spread) ** 2
    if own_mean > 0:
        own_shape = (own_mean / spread) ** 2
        rank = gammainc(own_shape, own * own_shape / own_mean)
    else:
        rank = rng.uniform(size=len(own))
    drawn = np.asarray(gammaincinv(shape, np.minimum(rank, 1.0 - 1e-12)) * mean / shape)
    return np.minimum(drawn, longest_lead_time(mean, spread))


def _levels(counts: Array) -> "tuple[Array, Array]":
    """Numbers of pieces and the chance that demand is at most so many, from the least level to certainty."""
    first = int(np.quantile(counts, LEAST_LEVEL, method="inverted_cdf"))
    pieces = np.arange(first, int(counts.max()) + 1)
    return pieces, np.searchsorted(np.sort(counts), pieces, side="right") / len(counts)


def build_lead_demand(
    demand: Demand, *, parts: pd.DataFrame, stock: pd.DataFrame, days: float, seed: int
) -> pd.DataFrame:
    """Table `lead_demand`.

    Parameters
    ----------
    demand : Demand
        Drawn demand.
    parts, stock : pandas.DataFrame
        As in `wearmodel.forecast.stock.plan_stock`.
    days : float
        How far demand is drawn [d].
    seed : int
        Seed of the lead times, that of the table `stock`.

    Returns
    -------
    pandas.DataFrame
        One row a part, place, lead time and number of pieces: `part_number, depot, lead_time_days, mean, pieces,
        chance`, the chance that demand over the lead time is at most so many pieces. Lead times are `LEAD_FACTORS`
        times the part's own, as far as demand is drawn; pieces begin where the chance reaches `LEAST_LEVEL` and end
        where it is 1. At its own lead time the draws are those of the table `stock`.
    """
    rng, other = np.random.default_rng([seed, 5]), np.random.default_rng([seed, 6])
    by_number = {str(number): row for number, row in parts.set_index("part_number").iterrows()}
    place_of_key, places = held_places(demand, stock)
    order = np.argsort(place_of_key[demand.key], kind="stable")
    first = np.searchsorted(place_of_key[demand.key][order], np.arange(len(places) + 1))
    frames = []
    for index, place in enumerate(frame_rows(places)):
        if place.part_number not in by_number:
            continue
        part = by_number[place.part_number]
        mine = order[first[index] : first[index + 1]]
        own_mean, spread = float(part["lead_time_days"]), float(part["lead_time_sd_days"])
        own = draw_lead_times(own_mean, spread, demand.draws, rng)
        means = own_mean * np.array(LEAD_FACTORS) if own_mean > 0 else np.array(_NO_LEAD_TIME)
        for mean in means[(means == own_mean) | (longest_lead_time(means, spread) <= days)]:
            lead = own if mean == own_mean else _drawn_leads(float(mean), spread, own, own_mean, other)
            taken = demand.day[mine] <= lead[demand.draw[mine]]
            counts = np.bincount(demand.draw[mine][taken], minlength=demand.draws)
            pieces, chance = _levels(counts)
            rows = pd.DataFrame({"lead_time_days": mean, "mean": counts.mean(), "pieces": pieces, "chance": chance})
            frames.append(rows.assign(part_number=place.part_number, depot=place.depot))
    return pd.concat(frames, ignore_index=True)[_COLUMNS] if frames else pd.DataFrame(columns=_COLUMNS)
