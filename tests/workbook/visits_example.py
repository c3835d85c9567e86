"""Invented visits and group policies for the example plan."""

from collections.abc import Sequence

import numpy as np
import pandas as pd


def build_visits(
    rng: np.random.Generator, *, as_of: pd.Timestamp, depots: Sequence[str], components: Sequence[str], rows: int = 80
) -> pd.DataFrame:
    """One visit a vehicle, a third of them of one part."""
    count = rng.integers(1, 5, rows)
    hours, parts = 1.2 + 0.6 * count, 45.0 * count
    action = np.where(np.arange(rows) < 4, "replace now", "replace at next service")
    return pd.DataFrame(
        {
            "unit": [f"U-{i:03d}" for i in range(rows)],
            "depot": rng.choice(depots, rows),
            "date": as_of + pd.to_timedelta(np.sort(rng.integers(0, 300, rows)), unit="D"),
            "next_service": as_of + pd.to_timedelta(rng.integers(60, 300, rows), unit="D"),
            "action": action,
            "main_component": rng.choice(list(components), rows),
            "positions": ["; ".join(f"rear.joint_{j + 1}" for j in range(n)) for n in count],
            "part_numbers": ["; ".join(["PN-001"] * n) for n in count],
            "count": count,
            "hours": hours,
            "downtime_hours": hours + 1.0,
            "parts_cost": parts,
            "labour_cost": hours * 72.0,
            "downtime_cost": (hours + 1.0) * 38.0,
            "total": parts + hours * 72.0 + (hours + 1.0) * 38.0,
            "saving": 80.0 * (count - 1.0),
            "chance_saving": np.where(count > 1, rng.random(rows), np.nan),
            "sure_share": np.where(count > 1, rng.random(rows), np.nan),
            "money_at_stake": rng.uniform(10.0, 900.0, rows),
            "reason": "rear.joint_1 is past its interval.",
        }
    )


def build_group_policies() -> pd.DataFrame:
    """Two groups, three ways of renewing each."""
    policies = ("each on its own", "all together", "those old enough together")
    rows = [
        (vehicle_class, "rear_two_piece", group, "rear.joint_front; rear.joint_rear", policy, 9.0 - 0.8 * i,
         -0.8 * i, 0.02 * (i > 0), 0.2 - 0.01 * i, 0.9 - 0.3 * i, i == 2)
        for vehicle_class in ("crew truck", "van")
        for group in ("joints of the rear shaft", "half shaft")
        for i, policy in enumerate(policies)
    ]  # fmt: skip
    names = (
        *("vehicle_class", "driveline", "group", "positions", "policy", "cost_per_1000", "difference_per_1000"),
        *("difference_se", "road_failures_per_vehicle_year", "visits_per_vehicle_year", "best"),
    )
    return pd.DataFrame(rows, columns=list(names))
