"""Stock of the invented plan, and its demand by lead time: Poisson."""

from collections.abc import Sequence

import numpy as np
import pandas as pd
from scipy import stats

from wearmodel.forecast.lead_demand import LEAD_FACTORS


def build_stock(
    rng: np.random.Generator, *, components: Sequence[str], depots: Sequence[str], months: Sequence[str]
) -> pd.DataFrame:
    """Stock of every part at every depot; one part without a price."""
    parts = [(f"PN-{i % 6:02d}{i // 6 + 1}", components[i % 6], d) for i in range(25) for d in depots]
    frame = pd.DataFrame(parts, columns=["part_number", "component", "depot"])
    n = len(frame)
    frame["on_hand"] = rng.integers(0, 7, n).astype(float)
    frame["on_order"] = rng.integers(0, 3, n).astype(float)
    frame["lead_time_days"] = 5.0 + 2.0 * (np.arange(n) // len(depots))
    frame["mean_lead_demand"] = rng.uniform(0.2, 2.0, n)
    # A part that nobody is expected to take.
    frame.loc[n - 1, "mean_lead_demand"] = 0.0
    frame["reorder_point"] = stats.poisson.ppf(0.95, frame["mean_lead_demand"].to_numpy())
    frame["service_level"] = stats.poisson.cdf(frame["reorder_point"], frame["mean_lead_demand"])
    frame["pack"] = np.tile([1.0, 1.0, 4.0], n)[:n]
    frame["held_of_others"] = np.where(np.arange(n) % 9 == 0, 1.0, 0.0)
    frame["order_up_to"] = frame["reorder_point"] + np.maximum(frame["pack"], 2.0) * (frame["mean_lead_demand"] > 0)
    position = frame["on_hand"] + frame["on_order"] + frame["held_of_others"]
    needed = np.ceil((frame["order_up_to"] - position) / frame["pack"]) * frame["pack"]
    orders = (position <= frame["reorder_point"]) & (frame["mean_lead_demand"] > 0)
    frame["order_now"] = needed.where(orders, 0.0)
    frame["unit_price"] = rng.uniform(25, 180, n).round(2)
    frame.loc[frame["part_number"] == "PN-005", "unit_price"] = np.nan
    frame["shortage_date"] = rng.choice([*months, ""], n)
    # Drawn apart from the rest, so that the rest stays what it was.
    later = np.random.default_rng(n)
    frame["fill_rate"] = later.uniform(0.97, 1.0, n)
    frame["horizon_p90"] = later.integers(2, 9, n).astype(float)
    frame["dead_stock"] = (frame["on_hand"] + frame["on_order"] - frame["horizon_p90"]).clip(lower=0.0)
    frame["dead_stock_value"] = frame["dead_stock"] * frame["unit_price"]
    return frame


def build_lead_demand(stock: pd.DataFrame) -> pd.DataFrame:
    """Poisson demand by lead time, up to six times the part's own."""
    frames = []
    for row in stock[stock["mean_lead_demand"] > 0].itertuples(index=False):
        for factor in LEAD_FACTORS[:-2]:
            mean = row.mean_lead_demand * factor
            pieces = np.arange(stats.poisson.ppf(0.01, mean), stats.poisson.ppf(1 - 1e-9, mean) + 1)
            chance = np.append(stats.poisson.cdf(pieces[:-1], mean), 1.0)
            levels = pd.DataFrame({"pieces": pieces, "chance": chance, "mean": mean})
            lead = row.lead_time_days * factor
            frames.append(levels.assign(part_number=row.part_number, depot=row.depot, lead_time_days=lead))
    return pd.concat(frames, ignore_index=True)
