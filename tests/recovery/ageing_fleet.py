"""An invented fleet whose outboard boots age by time and whose joints wear by distance, with known truth."""

from pathlib import Path

import numpy as np
import pandas as pd

__all__ = ["BOOT_SCALE", "BOOT_SHAPE", "JOINT_SCALE", "JOINT_SHAPE", "write_ageing_fleet"]

#: Boots: Weibull life in days. Joints: in km. Invented.
BOOT_SHAPE, BOOT_SCALE = 3.0, 1_500.0
JOINT_SHAPE, JOINT_SCALE = 2.2, 120_000.0
FIRST, LAST = pd.Timestamp("2016-01-01"), pd.Timestamp("2025-12-31")
_TOML = """currency = "EUR"
as_of = {as_of}
service_interval = 20000
labour_rate = 70.0
downtime_cost = 40.0

[cost.cv_boot_outboard]
planned_hours = 1.0
failed_hours = 3.0
failed_downtime_hours = 20.0
failed_extra = 600.0
"""


def write_ageing_fleet(
    folder: Path, *, vehicles: int, seed: int, until: pd.Timestamp = LAST
) -> pd.DataFrame:
    """Write the fleet's record up to a day, and tell every renewal, those after it among them.

    Parameters
    ----------
    folder : Path
        An empty folder.
    vehicles, seed : int
        Size and seed; the record up to an earlier day is the beginning of the same history.
    until : pandas.Timestamp
        Last day of the record.

    Returns
    -------
    pandas.DataFrame
        Columns `unit, position, component, date`, up to the end of 2025.
    """
    rng = np.random.default_rng(seed)
    horizon = (LAST - FIRST).days
    units = [f"AG-{i:03d}" for i in range(vehicles)]
    # From 8,000 to 80,000 km a year: time and distance tell each other apart.
    daily = np.exp(rng.uniform(np.log(8_000), np.log(80_000), vehicles)) / 365.25
    joined = rng.integers(0, 900, vehicles)
    rows = []
    for unit, rate, begun in zip(units, daily, joined, strict=True):
        for side in ("left", "right"):
            for part, shape, scale, pace in (
                ("boot", BOOT_SHAPE, BOOT_SCALE, 1.0),
                ("joint", JOINT_SHAPE, JOINT_SCALE, rate),
            ):
                day = float(begun)
                while True:
                    day += scale * rng.weibull(shape) / pace
                    if day > horizon:
                        break
                    code = "cv_boot_outboard" if part == "boot" else "cv_joint_outboard"
                    rows.append((unit, f"{side}.outboard_{part}", code, FIRST + pd.Timedelta(days=int(day)), day, rate))
    columns = ["unit", "position", "component", "date", "day", "rate"]
    renewals = pd.DataFrame(rows, columns=columns).sort_values(["date", "unit", "position"], ignore_index=True)
    start = dict(zip(units, joined, strict=True))
    renewals["odometer"] = ((renewals["day"] - renewals["unit"].map(start)) * renewals["rate"]).round()
    _write(folder, units=units, daily=daily, joined=joined, renewals=renewals, until=until)
    return renewals


def _write(
    folder: Path,
    *,
    units: list[str],
    daily: np.ndarray,
    joined: np.ndarray,
    renewals: pd.DataFrame,
    until: pd.Timestamp,
) -> None:
    """The tables as a shop would have them on a day."""
    (folder / "fleet.toml").write_text(_TOML.format(as_of=f"{until:%Y-%m-%d}"), encoding="utf-8")
    pd.DataFrame(
        {
            "unit": units, "vehicle_class": "van", "driveline": "front_half_shafts", "duty": "mixed", "depot": "north",
            "in_service_date": [f"{FIRST + pd.Timedelta(days=int(day)):%Y-%m-%d}" for day in joined],
            "in_service_odometer": 0,
        }
    ).to_csv(folder / "vehicles.csv", index=False)  # fmt: skip
    days = np.arange(0, (until - FIRST).days + 1, 60)
    readings = [
        (unit, f"{FIRST + pd.Timedelta(days=int(day)):%Y-%m-%d}", round((day - begun) * rate))
        for unit, rate, begun in zip(units, daily, joined, strict=True)
        for day in days
        if day > begun
    ]
    pd.DataFrame(readings, columns=["unit", "date", "odometer"]).to_csv(folder / "readings.csv", index=False)
    known = renewals[renewals["date"] <= until]
    known.assign(
        order=[f"W{i:05d}" for i in range(len(known))],
        date=known["date"].dt.strftime("%Y-%m-%d"),
        part_number=known["component"].map({"cv_boot_outboard": "BT-1", "cv_joint_outboard": "JT-1"}),
        reason="failed",
    )[["order", "date", "unit", "odometer", "part_number", "component", "position", "reason"]].to_csv(
        folder / "repairs.csv", index=False
    )
    pd.DataFrame(
        {
            "part_number": ["BT-1", "JT-1"], "component": ["cv_boot_outboard", "cv_joint_outboard"],
            "unit_price": [30.0, 180.0], "lead_time_days": [5, 7],
        }
    ).to_csv(folder / "parts.csv", index=False)  # fmt: skip
