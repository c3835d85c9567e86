"""Text of the invented fleet's `fleet.toml`."""

import numpy as np

from wearmodel.simulate.catalogue import WORK
from wearmodel.simulate.scenario import CLASSES, SERVICE_INTERVAL

__all__ = ["settings_text"]


def settings_text(*, as_of_day: int, records_day: int) -> str:
    """Settings of the fleet as TOML.

    Parameters
    ----------
    as_of_day, records_day : int
        Last and first day of the record, counted from 1970-01-01.

    Returns
    -------
    str
        Text of a file in UTF-8, with the scenario's costs and geometry.
    """
    lines = [
        "# Quillmere District Works: an invented fleet. No figure here describes a real fleet or part.",
        'distance_unit = "km"',
        'currency = "EUR"',
        f"as_of = {np.datetime64(as_of_day, 'D')}",
        f"records_from = {np.datetime64(records_day, 'D')}",
        f"service_interval = {SERVICE_INTERVAL:.0f}",
        "labour_rate = 72.0",
        "downtime_cost = 38.0",
    ]
    for component, work in WORK.items():
        lines += [
            "",
            f"[cost.{component}]",
            f"planned_hours = {work.planned_hours}",
            f"planned_downtime_hours = {work.planned_downtime_hours}",
            f"failed_hours = {work.failed_hours}",
            f"failed_downtime_hours = {work.failed_downtime_hours}",
            f"failed_extra = {work.failed_extra}",
        ]
    for name, kind in CLASSES.items():
        lines += ["", f"[geometry.{name}]"]
        for prefix, line in kind.geometry.shaft_lines.items():
            lines.append(f"{prefix}.shaft_lengths = {list(line.shaft_lengths)}")
            lines.append(f"{prefix}.joint_angles = {list(line.joint_angles)}")
        if kind.geometry.half_shaft_length is not None:
            lines.append(f"half_shaft_length = {kind.geometry.half_shaft_length}")
            lines.append(f"half_shaft_angle = {kind.geometry.half_shaft_angle}")
    return "\n".join(lines) + "\n"
