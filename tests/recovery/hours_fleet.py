"""An invented fleet whose joints wear by engine hours (or by distance) and whose boots wear by distance."""

from pathlib import Path

import numpy as np
import pandas as pd

__all__ = ["BOOT_SCALE", "BOOT_SHAPE", "JOINT_HOURS", "JOINT_KM", "JOINT_SHAPE", "SETTINGS", "write_hours_fleet"]

#: Boots: Weibull life in km. Joints: in engine hours, or in km where they wear by distance. Invented.
BOOT_SHAPE, BOOT_SCALE = 3.0, 110_000.0
JOINT_SHAPE, JOINT_HOURS, JOINT_KM = 2.2, 3_500.0, 100_000.0
FIRST, LAST = pd.Timestamp("2016-01-01"), pd.Timestamp("2025-12-31")
SETTINGS = """currency = "EUR"
as_of = {as_of}
service_interval = 20000
labour_rate = 70.0
downtime_cost = 40.0

[cost.cv_joint_outboard]
planned_hours = 1.5
failed_hours = 4.0
failed_downtime_hours = 20.0
failed_extra = 600.0
"""


def write_hours_fleet(
    folder: Path,
    *,
    vehicles: int,
    seed: int,
    until: pd.Timestamp = LAST,
    joints: str = "hours",
    metered: float = 1.0,
    logged: bool = False,
    speeds: tuple[float, float] = (12.0, 60.0),
) -> pd.DataFrame:
    """Write the fleet's record up to a day, and tell every renewal, those after it among them.

    Parameters
    ----------
    folder : Path
        An empty folder.
    vehicles, seed : int
        Size and seed.
    until : pandas.Timestamp
        Last day of the record.
    joints : str
        `hours` or `distance`: what joints truly wear by.
    metered : float
        Share of vehicles whose hour meter is read.
    logged : bool
        Whether a duty log tells hours by distance, mean speed and idle hours.
    speeds : tuple of float
        Least and greatest distance of a vehicle in an engine hour [km / h].

    Returns
    -------
    pandas.DataFrame
        Columns `unit, position, component, date, day, odometer, rate, a_day` (km and engine hours a day).
    """
    rng = np.random.default_rng(seed)
    horizon = (LAST - FIRST).days
    fleet = pd.DataFrame(
        {
            "unit": [f"HR-{i:03d}" for i in range(vehicles)],
            "rate": np.exp(rng.uniform(np.log(15_000), np.log(60_000), vehicles)) / 365.25,
            "joined": rng.integers(0, 900, vehicles),
            "metered": np.arange(vehicles) < metered * vehicles,
        }
    )
    # Whatever the vehicle runs: hours and distance tell each other apart.
    fleet["a_day"] = fleet["rate"] / np.exp(rng.uniform(*np.log(speeds), vehicles))
    rows = []
    for one in fleet.itertuples():
        by_hours = (JOINT_HOURS, one.a_day) if joints == "hours" else (JOINT_KM, one.rate)
        for side in ("left", "right"):
            for part, shape, (scale, pace) in (
                ("boot", BOOT_SHAPE, (BOOT_SCALE, one.rate)),
                ("joint", JOINT_SHAPE, by_hours),
            ):
                day = float(one.joined)
                while True:
                    day += scale * rng.weibull(shape) / pace
                    if day > horizon:
                        break
                    date, odometer = FIRST + pd.Timedelta(days=int(day)), round((day - one.joined) * one.rate)
                    code, position = f"cv_{part}_outboard", f"{side}.outboard_{part}"
                    rows.append((one.unit, position, code, date, day, odometer, one.rate, one.a_day))
    columns = ["unit", "position", "component", "date", "day", "odometer", "rate", "a_day"]
    renewals = pd.DataFrame(rows, columns=columns).sort_values(["date", "unit", "position"], ignore_index=True)
    _write(folder, fleet, renewals, until)
    if logged:
        _write_log(folder, fleet, until)
    return renewals


def _dates(days: pd.Series) -> pd.Series:
    return (FIRST + pd.to_timedelta(days, unit="D")).dt.strftime("%Y-%m-%d")


def _write(folder: Path, fleet: pd.DataFrame, renewals: pd.DataFrame, until: pd.Timestamp) -> None:
    """The tables as a shop would have them on a day."""
    (folder / "fleet.toml").write_text(SETTINGS.format(as_of=f"{until:%Y-%m-%d}"), encoding="utf-8")
    pd.DataFrame(
        {
            "unit": fleet["unit"], "vehicle_class": "van", "driveline": "front_half_shafts", "duty": "mixed",
            "depot": "north", "in_service_date": _dates(fleet["joined"]), "in_service_odometer": 0,
        }
    ).to_csv(folder / "vehicles.csv", index=False)  # fmt: skip
    days = pd.DataFrame({"day": np.arange(0, (until - FIRST).days + 1, 60)})
    readings = fleet.merge(days, how="cross").query("day > joined")
    run = readings["day"] - readings["joined"]
    hours = (run * readings["a_day"]).round(1).where(readings["metered"])
    readings = readings.assign(date=_dates(readings["day"]), odometer=(run * readings["rate"]).round().astype(int))
    columns = ["unit", "date", "odometer"]
    if hours.notna().any():
        readings["engine_hours"] = hours
        columns.append("engine_hours")
    readings[columns].to_csv(folder / "readings.csv", index=False)
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


def _write_log(folder: Path, fleet: pd.DataFrame, until: pd.Timestamp) -> None:
    """Every month of every vehicle: a third of its hours idling, the rest at its mean speed."""
    months = pd.DataFrame({"month": pd.date_range(FIRST, until, freq="MS")})
    log = fleet.merge(months, how="cross")
    log = log[log["month"] >= FIRST + pd.to_timedelta(log["joined"], unit="D")]
    days = log["month"].dt.days_in_month
    log = log.assign(
        month=log["month"].dt.strftime("%Y-%m"), distance=(log["rate"] * days).round(1),
        idle_hours=(log["a_day"] * days / 3.0).round(2), mean_speed=(1.5 * log["rate"] / log["a_day"]).round(3),
    )  # fmt: skip
    log[["unit", "month", "distance", "idle_hours", "mean_speed"]].to_csv(folder / "duty_log.csv", index=False)
