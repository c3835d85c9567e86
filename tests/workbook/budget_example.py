"""Invented figures of savings, first years and vehicles ahead for the example plan."""

import numpy as np
import pandas as pd

__all__ = ["build_fleet_ahead", "build_saving", "build_transition"]


def build_saving(year: pd.DataFrame) -> pd.DataFrame:
    """Saving of each policy against each other, around the difference of their totals over the horizon."""
    total = year.set_index("policy")["total"]
    rows = [(p, a, total[a] - total[p]) for p in total.index for a in total.index if p != a]
    frame = pd.DataFrame(rows, columns=["policy", "against", "mean"])
    for name, away in (("p10", -4000.0), ("p50", -100.0), ("p90", 5000.0)):
        frame[name] = frame["mean"] + away
    frame["chance_saving"] = np.where(frame["mean"] > 0, 0.93, 0.07)
    return frame


def build_transition(year: pd.DataFrame) -> pd.DataFrame:
    """First year beside the long run: only policies of planned replacement have a backlog."""
    frame = year[["policy"]].assign(months=12, first_year=year["total"])
    plans = frame["policy"].isin(["planned", "own_policy"])
    frame["backlog"] = np.where(plans, 37, 0)
    frame["backlog_cost"] = np.where(plans, 9250.0, 0.0)
    frame["spread_months"] = np.where(plans, 6.0, np.nan)
    frame["first_year_p10"], frame["first_year_p90"] = frame["first_year"] * 0.92, frame["first_year"] * 1.09
    frame["long_run_year"] = frame["first_year"] * np.where(plans, 0.8, 0.97)
    frame["above_long_run"] = frame["first_year"] - frame["long_run_year"]
    frame["years_to_recover"] = np.where(frame["policy"] == "planned", 2.4, np.nan)
    return frame


def build_fleet_ahead(months: tuple[str, ...], depots: tuple[str, ...]) -> pd.DataFrame:
    """Two classes at each depot; one vehicle joins in the third month, some leave."""
    rows = []
    for vehicle_class in ("crew truck", "van"):
        for number, depot in enumerate(depots):
            there = 20.0 + 5 * number
            for index, month in enumerate(months):
                joins, leaves = float(index == 2), 0.25
                there += joins - leaves
                low, high = np.floor(there - 2), np.ceil(there + 1)
                rows.append((month, vehicle_class, depot, there, low, high, joins, leaves))
    columns = ["month", "vehicle_class", "depot", "vehicles", "p10", "p90", "joins", "leaves"]
    return pd.DataFrame(rows, columns=columns)
