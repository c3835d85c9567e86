"""What a replacement costs, by component."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd

from wearmodel.frame_rows import frame_rows
from wearmodel.intake.fleet_toml.settings import FleetSettings
from wearmodel.intake.part_groups import part_groups
from wearmodel.survival.model import ReplacementCost

__all__ = ["build_costs", "replacement_costs"]

_RECENT = pd.Timedelta(days=3 * 365)


def _price_by_component(own_lines: pd.DataFrame, parts: pd.DataFrame, as_of: pd.Timestamp) -> "pd.Series[Any]":
    """Price of the parts fitted lately, weighted by use; the catalogue's median where none was."""
    current = part_groups(parts)
    price = parts.set_index("part_number")["unit_price"]
    recent = own_lines[own_lines["date"] > as_of - _RECENT]
    used = recent.assign(price=recent["part_number"].map(current).map(price))
    used = used[used["price"].notna()]
    catalogue = parts[parts["superseded_by"] == ""].groupby("component")["unit_price"].median()
    return used.groupby("component")["price"].mean().combine_first(catalogue)


def _worn_shares(lives: pd.DataFrame) -> "pd.Series[Any]":
    """Share of wear ends that were found at an inspection instead of failing on the road."""
    wear = lives[lives["ended"].isin(["failed", "worn"])]
    found = (wear["chance"] * (wear["ended"] == "worn")).groupby(wear["component"]).sum()
    return found / wear.groupby("component")["chance"].sum()


def build_costs(
    components: Mapping[str, str],
    *,
    settings: FleetSettings,
    own_lines: pd.DataFrame,
    parts: pd.DataFrame,
    lives: pd.DataFrame,
    as_of: pd.Timestamp,
) -> pd.DataFrame:
    """Cost assumptions by component.

    Parameters
    ----------
    components : mapping of str to str
        Codes and labels of the fleet's components.
    settings : FleetSettings
        Rates and hours.
    own_lines : pandas.DataFrame
        Renewals for which a part was taken: `component, date, part_number`.
    parts, lives : pandas.DataFrame
        Catalogue and lives.
    as_of : pandas.Timestamp
        End of the record.

    Returns
    -------
    pandas.DataFrame
        Columns `component, label, part_price, planned_hours, planned_downtime_hours, failed_hours,
        failed_downtime_hours, failed_extra, worn_share, planned_cost, road_cost, failed_cost, source`;
        costs in currency, NaN where a price or hours are not known. `road_cost` is a failure on the
        road, `failed_cost` the mean over failures on the road and finds at inspections.
    """
    prices = _price_by_component(own_lines, parts, as_of)
    worn = _worn_shares(lives)
    rows = []
    for code, label in components.items():
        known = settings.costs.get(code)
        hours = (
            [np.nan] * 5
            if known is None
            else [
                known.planned_hours,
                known.planned_downtime_hours,
                known.failed_hours,
                known.failed_downtime_hours,
                known.failed_extra,
            ]
        )
        source = "not given" if known is None else ("default" if known.is_default else "fleet.toml")
        rows.append([code, label, prices.get(code, np.nan), *hours, worn.get(code, 0.0), source])
    names = [
        "component", "label", "part_price", "planned_hours", "planned_downtime_hours", "failed_hours",
        "failed_downtime_hours", "failed_extra", "worn_share", "source",
    ]  # fmt: skip
    frame = pd.DataFrame(rows, columns=names).astype(dict.fromkeys(names[2:9], float))
    rate, stand = settings.labour_rate, settings.downtime_cost
    frame["planned_cost"] = (
        frame["part_price"] + frame["planned_hours"] * rate + frame["planned_downtime_hours"] * stand
    )
    frame["road_cost"] = (
        frame["part_price"]
        + frame["failed_hours"] * rate
        + frame["failed_downtime_hours"] * stand
        + frame["failed_extra"]
    )
    share = frame["worn_share"]
    frame["failed_cost"] = share * frame["planned_cost"] + (1.0 - share) * frame["road_cost"]
    return frame


def replacement_costs(costs: pd.DataFrame) -> dict[str, ReplacementCost]:
    """Costs of a replacement by component, where they are known.

    Parameters
    ----------
    costs : pandas.DataFrame
        From `build_costs`.

    Returns
    -------
    dict of str to ReplacementCost
        [currency]
    """
    known = costs[costs["planned_cost"].notna() & costs["failed_cost"].notna()]
    return {
        str(row.component): ReplacementCost(planned=float(row.planned_cost), failed=float(row.failed_cost))
        for row in frame_rows(known)
    }
