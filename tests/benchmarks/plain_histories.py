"""Lives read from clean tables the plain way: one vehicle, one position, one repair after the other.

What one would write by hand, and no more than that: ages by a straight line between readings, every line with its
position, no open lines, no looks, no changes of ride height, no odometer faults. It does less than
`wearmodel.history.histories.build_histories` and serves as its floor of effort, not as a second answer.
"""

import numpy as np
import pandas as pd

from wearmodel.driveline.layouts import positions_of


def plain_lives(vehicles, readings, repairs, *, layouts, as_of):
    """One row a life: `unit, position, component, entry, stop, failed`."""
    rows = []
    for _, vehicle in vehicles.iterrows():
        unit = vehicle["unit"]
        seen = readings[readings["unit"] == unit].sort_values("date")
        mine = repairs[repairs["unit"] == unit].sort_values("date")
        days = np.array([date.toordinal() for date in seen["date"]], dtype=float)
        run = seen["odometer"].to_numpy(dtype=float)
        if not len(days):
            continue
        gone = vehicle["out_of_service_date"]
        last = as_of.toordinal() if pd.isna(gone) else gone.toordinal()
        first = max(vehicle["records_from"], vehicle["in_service_date"]).toordinal()
        for position, component in positions_of(vehicle["driveline"], layouts).items():
            begins, entered = vehicle["in_service_odometer"], np.interp(first, days, run)
            for _, line in mine[mine["position"] == position].iterrows():
                here = np.interp(line["date"].toordinal(), days, run)
                failed = line["reason"] in ("failed", "worn")
                rows.append((unit, position, component, max(entered - begins, 0.0), here - begins, failed))
                begins = entered = here
            end = np.interp(last, days, run)
            rows.append((unit, position, component, max(entered - begins, 0.0), end - begins, False))
    return pd.DataFrame(rows, columns=["unit", "position", "component", "entry", "stop", "failed"])
