"""Invented fleet folders whose vehicles are greased regularly or seldom, with a true effect on life or none.

`python tests/recovery/greasing_fleets.py --fleets 40` prints how often the effect is kept, its bias and coverage,
beside what a reading would give that calls a life greased when it was greased at least once.
"""

import argparse
import math
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from wearmodel.fleet_model import build_coded_fleet, fit_coded
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import read_fleet
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data

SHAPE, SCALE, SERVICE_INTERVAL, DAILY = 2.2, 100_000.0, 15_000.0, 125.0
POSITIONS = ("rear.joint_front", "rear.joint_centre", "rear.joint_rear")
DUTIES, DUTY_EFFECTS = ("road", "site"), (0.0, -0.3)
END = pd.Timestamp("2025-01-01")
#: Chance of being greased at a service, of vehicles looked after and of the others.
REGULAR, SELDOM = 0.85, 0.12
ROUTINE = ("u-joints greased at service", "Propshaft UJs greased", "PM service, all u-joints lubricated")
NORMAL_90 = 1.6448536269514722


@dataclass(frozen=True)
class _Line:
    """A line of the record."""

    vehicle: int
    distance: float
    text: str
    position: str = ""
    reason: str = ""


def _vehicle_lines(rng: np.random.Generator, vehicle: int, service: float, scale: float, often: float) -> list[_Line]:
    """Renewals of the joints of one vehicle, what was greased because it squeaked, and its services."""
    lines: list[_Line] = []
    for position in POSITIONS:
        at = 0.0
        while True:
            at += scale * rng.weibull(SHAPE)
            if at >= service:
                break
            if rng.random() < 0.25:
                name = position.split("_")[-1]
                lines.append(_Line(vehicle, max(at - rng.uniform(200, 4000), 0.0), f"{name} uj squeaking, greased"))
            lines.append(_Line(vehicle, at, "uj worn out, renewed", position, "failed"))
    services = np.arange(SERVICE_INTERVAL, service, SERVICE_INTERVAL)
    greased = services[rng.random(len(services)) < often]
    return lines + [_Line(vehicle, float(distance), str(rng.choice(ROUTINE))) for distance in greased]


def write_fleet(folder: Path, rng: np.random.Generator, *, ratio: float, vehicles: int, variance: float = 0.0) -> None:
    """A fleet folder from new: half of the vehicles greased regularly, whose joints then last `ratio` times as long."""
    folder.mkdir(parents=True, exist_ok=True)
    service = SERVICE_INTERVAL * rng.uniform(8, 20, vehicles)
    duty = (rng.random(vehicles) < 0.4).astype(int)
    regular = rng.random(vehicles) < 0.5
    lines: list[_Line] = []
    for vehicle in range(vehicles):
        frailty = rng.gamma(1.0 / variance, variance) if variance else 1.0
        scale = SCALE * math.exp(DUTY_EFFECTS[duty[vehicle]]) * frailty ** (-1.0 / SHAPE)
        scale *= ratio if regular[vehicle] else 1.0
        often = REGULAR if regular[vehicle] else SELDOM
        lines += _vehicle_lines(rng, vehicle, float(service[vehicle]), scale, often)
    units = [f"V{number:03d}" for number in range(vehicles)]
    start = END - pd.to_timedelta(np.round(service / DAILY), unit="D")
    pd.DataFrame(
        {
            "unit": units, "vehicle_class": "truck", "driveline": "rear_two_piece",
            "duty": np.array(DUTIES)[duty], "depot": "main", "in_service_date": start.strftime("%Y-%m-%d"),
            "in_service_odometer": 0, "records_from": start.strftime("%Y-%m-%d"),
        }
    ).to_csv(folder / "vehicles.csv", index=False)  # fmt: skip
    pd.DataFrame({"unit": units, "date": "2025-01-01", "odometer": np.round(service)}).to_csv(
        folder / "readings.csv", index=False
    )
    dates = [start[line.vehicle] + pd.Timedelta(days=round(line.distance / DAILY)) for line in lines]
    pd.DataFrame(
        {
            "order": range(len(lines)), "date": [f"{date:%Y-%m-%d}" for date in dates],
            "unit": [units[line.vehicle] for line in lines], "odometer": [round(line.distance) for line in lines],
            "text": [line.text for line in lines], "component": ["u_joint" if line.reason else "" for line in lines],
            "position": [line.position for line in lines], "reason": [line.reason for line in lines],
        }
    ).to_csv(folder / "repairs.csv", index=False)  # fmt: skip
    (folder / "fleet.toml").write_text(f"service_interval = {SERVICE_INTERVAL:.0f}\n", encoding="utf-8")


def read_and_fit(folder: Path) -> dict[str, float]:
    """Whether greasing counts, the log of the life of greased joints over that of the others, its error, the shape."""
    fleet = read_fleet(folder)
    histories = build_histories(fleet)
    coded = build_coded_fleet(fleet, histories)
    model = fit_coded(fleet, {"u_joint": coded.coded["u_joint"]})["u_joint"]
    (group,) = (group for group in model.coding.groups if group.kind == "greasing")
    at = model.names.index(group.names[0])
    sign = 1.0 if group.levels[1] == "greased" else -1.0
    mine = (histories.lives["component"] == "u_joint").to_numpy()
    greased = (coded.traits["greasing"] == "greased").to_numpy()[mine]
    return {
        "effect": sign * model.values[at],
        "error": math.sqrt(model.covariance[at][at]),
        "kept": float(model.own_share[at] > 0),
        "log shape": model.values[-1] - math.log(SHAPE),
        "greased share": float(greased.mean()),
        "by life": _by_life(fleet.greasings, histories.lives),
    }


def _by_life(greasings: pd.DataFrame, lives: pd.DataFrame) -> float:
    """What would be found if a life counted as greased when it was greased at least once while it lasted."""
    mine = lives[lives["usable"] & (lives["component"] == "u_joint")].reset_index(drop=True)
    days = (pd.to_datetime(greasings["date"]) - pd.Timestamp("1970-01-01")).dt.days
    told = pd.DataFrame({"unit": greasings["unit"], "position": greasings["position"], "day": days})
    joined = mine[["unit", "position", "start_day", "end_day"]].reset_index().merge(told, on=["unit", "position"])
    within = joined[(joined["day"] > joined["start_day"]) & (joined["day"] <= joined["end_day"])]
    greased = np.isin(np.arange(len(mine)), within["index"].unique())
    data = build_life_data(
        entry=mine["entry"], stop_low=mine["stop_low"], stop_high=mine["stop_high"],
        design=np.column_stack([np.ones(len(mine)), mine["duty"] == "site", greased]).astype(float),
    )  # fmt: skip
    return float(fit_lives(data).values[2])


def study(fleets: int, ratio: float, *, vehicles: int = 100, variance: float = 0.0) -> pd.DataFrame:
    """One row a fleet."""
    rows = []
    with tempfile.TemporaryDirectory() as name:
        for number in range(fleets):
            folder = Path(name) / str(number)
            write_fleet(folder, np.random.default_rng([41, number]), ratio=ratio, vehicles=vehicles, variance=variance)
            rows.append(read_and_fit(folder))
    found = pd.DataFrame(rows)
    return found.assign(held=(found["effect"] - math.log(ratio)).abs() < NORMAL_90 * found["error"])


def main() -> int:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fleets", type=int, default=40)
    parser.add_argument("--variance", type=float, default=0.0, help="of the frailty over vehicles")
    options = parser.parse_args()
    for ratio in (1.0, 1.5):
        found = study(options.fleets, ratio, variance=options.variance)
        print(f"greased joints last {ratio} times as long (log {math.log(ratio):.3f})")
        print(found.mean().round(3).to_string())
    return 0


if __name__ == "__main__":
    sys.exit(main())
