"""The editable inputs: what they are named in formulas, and what every live figure makes of them."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

import pandas as pd

__all__ = ["COST_FIELDS", "RATE_LABELS", "Inputs", "build_inputs"]

#: Rates that are not of one component, by the defined name of their cell.
RATE_LABELS = {
    "labour_rate": "Labour rate",
    "downtime_cost": "Cost of a standing vehicle",
    "price_growth": "Growth of all prices and rates in the budget",
    "service_interval": "Distance between services",
    "service_level": "Service level of the stock",
}

COST_FIELDS = (
    "part_price",
    "planned_hours",
    "planned_downtime_hours",
    "failed_hours",
    "failed_downtime_hours",
    "failed_extra",
    "worn_share",
)


@dataclass(frozen=True)
class Inputs:
    """Rates, the costs of each component and lead times, with their names in formulas.

    Parameters
    ----------
    labour_rate, downtime_cost : float
        [currency/h]
    price_growth : float
        Yearly growth of all costs in the budget.
    service_interval : float
        Distance between services; NaN where unknown [distance].
    service_level : float
        Wanted chance that stock lasts through a lead time.
    costs : pandas.DataFrame
        One row a component: `component`, `COST_FIELDS`, `source`, and the computed `planned_cost`,
        `road_cost` and `failed_cost` (NaN where a figure is missing).
    suffixes : mapping of str to str
        By component code, the end of its names (`part_price_u_joint`).
    lead_times : mapping of str to float
        By part number, in the order shown [d].
    """

    labour_rate: float
    downtime_cost: float
    price_growth: float
    service_interval: float
    service_level: float
    costs: pd.DataFrame
    suffixes: Mapping[str, str]
    lead_times: Mapping[str, float] = field(default_factory=dict)

    def name(self, field: str, component: str) -> str:
        """Defined name of a cost field of a component."""
        return f"{field}_{self.suffixes[component]}"

    def has(self, component: str) -> bool:
        """Whether the component has a row of costs."""
        return component in self.suffixes

    def value(self, field: str, component: str) -> float:
        """Value of a cost field now; NaN when blank."""
        row = self.costs.loc[self.costs["component"] == component, field]
        return float(row.iloc[0])


def _suffixes(components: list[str]) -> dict[str, str]:
    """Ends of defined names: letters, digits and underscores, unique without regard to case."""
    out: dict[str, str] = {}
    taken: set[str] = set()
    for number, code in enumerate(components, start=1):
        suffix = re.sub(r"[^A-Za-z0-9_]", "_", code)[:60]
        if not suffix or suffix.casefold() in taken:
            suffix = f"{suffix}_{number}"
        taken.add(suffix.casefold())
        out[code] = suffix
    return out


def build_inputs(
    costs: pd.DataFrame,
    *,
    labour_rate: float,
    downtime_cost: float,
    price_growth: float,
    service_interval: float,
    service_level: float,
    lead_times: Mapping[str, float],
) -> Inputs:
    """Inputs from the table of costs.

    Parameters
    ----------
    costs : pandas.DataFrame
        `component`, `COST_FIELDS` and `source`; `worn_share` is the share of failures found at an inspection
        and renewed at planned cost (blank: none, all fail on the road).
    labour_rate, downtime_cost : float
        [currency/h]
    price_growth : float
        Yearly growth of all costs in the budget.
    service_interval : float
        Distance between services; NaN where unknown [distance].
    service_level : float
        Wanted chance that stock lasts through a lead time.
    lead_times : mapping of str to float
        By part number [d].

    Returns
    -------
    Inputs
    """
    frame = costs.drop_duplicates("component", ignore_index=True).copy()
    frame["worn_share"] = frame["worn_share"].fillna(0.0)
    frame["planned_cost"] = (
        frame["part_price"]
        + frame["planned_hours"] * labour_rate
        + frame["planned_downtime_hours"] * downtime_cost
    )
    frame["road_cost"] = (
        frame["part_price"]
        + frame["failed_hours"] * labour_rate
        + frame["failed_downtime_hours"] * downtime_cost
        + frame["failed_extra"]
    )
    frame["failed_cost"] = (
        frame["worn_share"] * frame["planned_cost"] + (1.0 - frame["worn_share"]) * frame["road_cost"]
    )
    return Inputs(
        labour_rate=labour_rate,
        downtime_cost=downtime_cost,
        price_growth=price_growth,
        service_interval=service_interval,
        service_level=service_level,
        costs=frame,
        suffixes=_suffixes(frame["component"].tolist()),
        lead_times=lead_times,
    )
