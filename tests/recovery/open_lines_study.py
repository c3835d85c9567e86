"""What lines without a position cost: fleets with known truth, positions blanked at random.

`python tests/recovery/open_lines_study.py --fleets 60` prints the mean error of the shape and of B10 and the
coverage of their 90 % intervals with all positions known, with a share of them blanked, and with open lines only
ending what is known.
"""

import argparse
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import pandas as pd

from wearmodel.fleet_model import build_coded_fleet, fit_fleet
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import Fleet
from wearmodel.intake.fleet_toml.settings import read_settings
from wearmodel.intake.tables.typed_tables import build_empty_table
from wearmodel.settled_fleet import settle_fleet
from wearmodel.survival.model import life_band

SHAPE, SCALE = 2.2, 100_000.0
B10 = SCALE * (-np.log(0.9)) ** (1.0 / SHAPE)
JOINTS = ("rear.joint_front", "rear.joint_centre", "rear.joint_rear")
DAILY, DAYS = 125.0, 2_200
START, END = pd.Timestamp("2018-01-01"), pd.Timestamp("2018-01-01") + pd.Timedelta(days=DAYS)


@dataclass(frozen=True)
class Answer:
    """Estimates of one fleet with their 90 % intervals: shape and B10, each (estimate, low, high)."""

    shape: tuple[float, float, float]
    b10: tuple[float, float, float]


def invented_fleet(rng: np.random.Generator, *, vehicles: int, blanked: float) -> tuple[Fleet, Fleet]:
    """The same fleet with all positions known, and with a share of them blanked."""
    rows = []
    for unit in range(vehicles):
        for joint in JOINTS:
            age = float(SCALE * rng.weibull(SHAPE))
            while age < DAILY * DAYS:
                rows.append((f"T{unit:03d}", START + pd.Timedelta(days=round(age / DAILY)), joint))
                age += max(float(SCALE * rng.weibull(SHAPE)), 2 * DAILY)
    lines = pd.DataFrame(rows, columns=["unit", "date", "position"]).sort_values(["unit", "date"], ignore_index=True)
    fleet = _fleet(lines, vehicles)
    masked = lines["position"].where(rng.random(len(lines)) >= blanked, "")
    return fleet, _fleet(lines.assign(position=masked), vehicles)


def _fleet(lines: pd.DataFrame, vehicles: int) -> Fleet:
    names = [f"T{unit:03d}" for unit in range(vehicles)]
    tables = {
        name: build_empty_table(name)
        for name in ("ride_height", "readings", "inspections", "parts", "stock", "duty_log")
    }
    tables["vehicles"] = pd.DataFrame(
        {
            "unit": names, "vehicle_class": "truck", "driveline": "rear_two_piece", "duty": "road", "depot": "main",
            "in_service_date": START, "in_service_odometer": 0.0, "records_from": START,
            "out_of_service_date": pd.NaT, "file": "vehicles.csv", "row": range(2, vehicles + 2),
        }
    )  # fmt: skip
    tables["readings"] = pd.DataFrame(
        {"unit": names, "date": END, "odometer": DAILY * DAYS, "file": "readings.csv", "row": range(2, vehicles + 2)}
    )
    tables["repairs"] = lines.assign(
        order=[str(i) for i in range(len(lines))], odometer=np.nan, text="", part_number="", quantity=1.0,
        component="u_joint", reason="failed", labour_hours=np.nan, parts_cost=np.nan, file="repairs.csv",
        row=range(2, len(lines) + 2),
    )  # fmt: skip
    settings = read_settings(Path(__file__).parent)
    counts = pd.DataFrame({"table": ["repairs"], "file": ["repairs.csv"], "rows_read": [len(lines)]})
    return Fleet(folder=Path("invented"), settings=settings, as_of=END, tables=tables, findings=(), counts=counts,
                 notes=())  # fmt: skip


def answer_of(fleet: Fleet, *, spread: bool = True) -> Answer:
    """Shape and B10 of the universal joints."""
    histories = build_histories(fleet)
    if spread:
        settled = settle_fleet(fleet, histories)
        model = fit_fleet(fleet, settled.coded, lost=settled.lost)
    else:
        histories = _blunt(histories)
        model = fit_fleet(fleet, build_coded_fleet(fleet, histories))
    own = model.components["u_joint"]
    duty = own.coding.duties[0]
    band = life_band(own, fraction=0.1, duty=duty, lift=0.0, confidence=0.9)
    log_shape, error = own.values[-1], np.sqrt(own.covariance[-1][-1])
    shape = tuple(float(np.exp(log_shape + z * error)) for z in (0.0, -1.645, 1.645))
    return Answer(shape, (float(band.estimate), float(band.low), float(band.high)))


def _blunt(histories):
    """Only lives whose both ends are certain: what open lines would leave without spreading them."""
    lives = histories.lives
    certain = lives["chance"].to_numpy() > 0.999
    return replace(
        histories, lives=lives.assign(usable=lives["usable"] & certain, weight=np.where(certain, lives["weight"], 0.0))
    )


def summary(answers: list[Answer]) -> dict[str, float]:
    """Mean errors on the log scale and coverage."""
    shape = np.array([a.shape for a in answers])
    b10 = np.array([a.b10 for a in answers])
    return {
        "shape error": float(np.log(shape[:, 0] / SHAPE).mean()),
        "shape cover": float(((shape[:, 1] <= SHAPE) & (shape[:, 2] >= SHAPE)).mean()),
        "shape width": float(np.log(shape[:, 2] / shape[:, 1]).mean()),
        "B10 error": float(np.log(b10[:, 0] / B10).mean()),
        "B10 cover": float(((b10[:, 1] <= B10) & (b10[:, 2] >= B10)).mean()),
    }


def study(*, fleets: int, vehicles: int, blanked: float, seed: int = 1) -> dict[str, dict[str, float]]:
    """Summaries with positions known, blanked and spread, and blanked with only certain lives kept."""
    found: dict[str, list[Answer]] = {"all known": [], "spread": [], "certain lives only": []}
    for number in range(fleets):
        known, masked = invented_fleet(np.random.default_rng([seed, number]), vehicles=vehicles, blanked=blanked)
        found["all known"].append(answer_of(known))
        found["spread"].append(answer_of(masked))
        found["certain lives only"].append(answer_of(masked, spread=False))
    return {name: summary(answers) for name, answers in found.items()}


def main() -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fleets", type=int, default=60)
    parser.add_argument("--vehicles", type=int, default=150)
    parser.add_argument("--blanked", type=float, default=0.2)
    arguments = parser.parse_args()
    table = study(fleets=arguments.fleets, vehicles=arguments.vehicles, blanked=arguments.blanked)
    print(pd.DataFrame(table).T.round(3).to_string(), file=sys.stdout)


if __name__ == "__main__":
    main()
