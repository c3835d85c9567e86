"""The invented shop's order lines."""

import numpy as np
import pandas as pd

from wearmodel.simulate.catalogue import SUPERSEDED_FROM, WORK, build_parts, part_number
from wearmodel.simulate.shop_tables import iso_dates
from wearmodel.simulate.wording import repair_text

__all__ = ["REPAIR_COLUMNS", "build_repairs"]

REPAIR_COLUMNS = (
    "order",
    "date",
    "unit",
    "odometer",
    "text",
    "part_number",
    "quantity",
    "component",
    "position",
    "reason",
    "labour_hours",
    "parts_cost",
)
"""Columns of the repairs table, in order."""

_BESIDE_SHARE = 0.3


def build_repairs(rng: np.random.Generator, lives: pd.DataFrame, *, as_of_day: int) -> pd.DataFrame:
    """Table `repairs`: a line for each part renewed in the record, a kit on the line of its cause.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    lives : pandas.DataFrame
        Lives that ended in the record with a line of their own; besides the fields of a `LifeEvent`:
        `vehicle_class`, `end_day`, `shown_odometer`.
    as_of_day : int
        Last day of the record, counted from 1970-01-01.

    Returns
    -------
    pandas.DataFrame
        Every cell as text is written; in order of date.
    """
    lines = lives.sort_values(["end_day", "unit", "visit", "lead"], ascending=[True, True, True, False])
    visit = lines[["unit", "visit"]].apply(tuple, axis=1)
    order = pd.factorize(visit)[0] + 1
    prices = build_parts().set_index("part_number")["unit_price"].astype(float)
    before = lines["end_day"].to_numpy() < as_of_day - SUPERSEDED_FROM * 365.25
    rows = []
    dates = iso_dates(lines["end_day"])
    for index, line in enumerate(lines.itertuples(index=False)):
        component, reason = str(line.component), str(line.ended)
        number = part_number(
            str(line.vehicle_class), component, kit=str(line.kit), superseded=bool(before[index])
        )
        text = repair_text(rng, component=component, position=str(line.position), reason=reason)
        work = WORK[component]
        hours = work.failed_hours if reason in ("failed", "comeback", "damage") else work.planned_hours
        hours *= rng.lognormal(0.0, 0.15) * (1.0 if line.lead else _BESIDE_SHARE)
        rows.append(
            (
                f"{order[index]:07d}",
                str(dates[index]),
                line.unit,
                str(line.shown_odometer),
                f"{text}, complete half shaft" if line.kit == "half_shaft" else text,
                number,
                "1",
                component,
                line.position,
                reason,
                f"{hours:.1f}",
                f"{prices[number] * rng.uniform(0.97, 1.06):.2f}",
            )
        )
    return pd.DataFrame(rows, columns=list(REPAIR_COLUMNS), dtype=object)
