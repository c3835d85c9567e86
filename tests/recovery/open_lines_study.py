"""What lines without a position cost: fleets with known truth, positions blanked at random.

`python tests/recovery/open_lines_study.py --fleets 60` prints the mean error of the shape and of B10 and the
coverage of their 90 % intervals with all positions known, with a share of them blanked and the open lines spread, and
with what is certain alone. With `--large` the vehicles have so many lines that states are drawn, and the third row lets
open lines only end what is known of each of their positions; with `--unlike` vehicles differ.
"""

import argparse
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

import numpy as np
import pandas as pd

from wearmodel.fleet_model import build_coded_fleet, fit_fleet
from wearmodel.history import drawn_paths
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import Fleet
from wearmodel.intake.fleet_toml.settings import read_settings
from wearmodel.intake.tables.typed_tables import build_empty_table
from wearmodel.settled_fleet import settle_fleet
from wearmodel.survival.model import life_band

SHAPE, SCALE = 2.2, 100_000.0
JOINTS = ("rear.joint_front", "rear.joint_centre", "rear.joint_rear")
SIX_JOINTS = tuple(f"rear.joint_{i}" for i in range(1, 7))
DAYS = 2_200
START, END = pd.Timestamp("2018-01-01"), pd.Timestamp("2018-01-01") + pd.Timedelta(days=DAYS)


@dataclass(frozen=True)
class Design:
    """How a fleet is made: joints of a vehicle, distance of a day, and how unlike vehicles wear (gamma frailty)."""

    joints: tuple[str, ...] = JOINTS
    daily: float = 125.0
    frailty: float = 0.0

    def b10(self) -> float:
        """B10 of a fresh part on a random vehicle."""
        hazard = -np.log(0.9) if not self.frailty else (0.9**-self.frailty - 1.0) / self.frailty
        return float(SCALE * hazard ** (1.0 / SHAPE))


PLAIN = Design()
DAILY = PLAIN.daily
B10 = PLAIN.b10()
#: About 40 lines a vehicle: with half of the positions blanked there are too many states to follow them all.
LARGE = Design(joints=SIX_JOINTS, daily=275.0)
UNLIKE = Design(frailty=0.3)


@dataclass(frozen=True)
class Answer:
    """Estimates of one fleet with their 90 % intervals: shape and B10, each (estimate, low, high), frailty variance."""

    shape: tuple[float, float, float]
    b10: tuple[float, float, float]
    frailty: float


def invented_fleet(
    rng: np.random.Generator, *, vehicles: int, blanked: float, design: Design = PLAIN
) -> tuple[Fleet, Fleet]:
    """The same fleet with all positions known, and with a share of them blanked."""
    rows = []
    for unit in range(vehicles):
        wear = rng.gamma(1.0 / design.frailty, design.frailty) if design.frailty else 1.0
        scale = SCALE * wear ** (-1.0 / SHAPE)
        for joint in design.joints:
            age = float(scale * rng.weibull(SHAPE))
            while age < design.daily * DAYS:
                rows.append((f"T{unit:03d}", START + pd.Timedelta(days=round(age / design.daily)), joint))
                age += max(float(scale * rng.weibull(SHAPE)), 2 * design.daily)
    lines = pd.DataFrame(rows, columns=["unit", "date", "position"]).sort_values(["unit", "date"], ignore_index=True)
    fleet = _fleet(lines, vehicles, design)
    masked = lines["position"].where(rng.random(len(lines)) >= blanked, "")
    return fleet, _fleet(lines.assign(position=masked), vehicles, design)


def _fleet(lines: pd.DataFrame, vehicles: int, design: Design = PLAIN) -> Fleet:
    names = [f"T{unit:03d}" for unit in range(vehicles)]
    tables = {
        name: build_empty_table(name)
        for name in ("ride_height", "readings", "inspections", "parts", "stock", "duty_log")
    }
    tables["vehicles"] = pd.DataFrame(
        {
            "unit": names, "vehicle_class": "truck", "driveline": "studied", "duty": "road", "depot": "main",
            "in_service_date": START, "in_service_odometer": 0.0, "records_from": START,
            "out_of_service_date": pd.NaT, "file": "vehicles.csv", "row": range(2, vehicles + 2),
        }
    )  # fmt: skip
    tables["readings"] = pd.DataFrame(
        {
            "unit": names, "date": END, "odometer": design.daily * DAYS, "file": "readings.csv",
            "row": range(2, vehicles + 2),
        }
    )  # fmt: skip
    tables["repairs"] = lines.assign(
        order=[str(i) for i in range(len(lines))], odometer=np.nan, text="", part_number="", quantity=1.0,
        component="u_joint", reason="failed", labour_hours=np.nan, parts_cost=np.nan, file="repairs.csv",
        row=range(2, len(lines) + 2),
    )  # fmt: skip
    layout = dict.fromkeys(design.joints, "u_joint")
    settings = replace(read_settings(Path(__file__).parent), layouts={"studied": layout})
    counts = pd.DataFrame({"table": ["repairs"], "file": ["repairs.csv"], "rows_read": [len(lines)]})
    return Fleet(folder=Path("invented"), settings=settings, as_of=END, tables=tables, findings=(), counts=counts,
                 notes=())  # fmt: skip


def answer_of(fleet: Fleet, *, treatment: str = "spread") -> Answer:
    """Shape and B10 of the universal joints."""
    most = drawn_paths.MOST_LIVES
    drawn_paths.MOST_LIVES = 0 if treatment == "only ended" else most
    try:
        histories = build_histories(fleet)
    finally:
        drawn_paths.MOST_LIVES = most
    if treatment == "certain lives only":
        model = fit_fleet(fleet, build_coded_fleet(fleet, _blunt(histories)))
    else:
        settled = settle_fleet(fleet, histories)
        model = fit_fleet(fleet, settled.coded, lost=settled.lost)
    own = model.components["u_joint"]
    duty = own.coding.duties[0]
    band = life_band(own, fraction=0.1, duty=duty, lift=0.0, confidence=0.9)
    log_shape, error = own.values[-1], np.sqrt(own.covariance[-1][-1])
    shape = tuple(float(np.exp(log_shape + z * error)) for z in (0.0, -1.645, 1.645))
    return Answer(shape, (float(band.estimate), float(band.low), float(band.high)), own.frailty_variance)


def _blunt(histories):
    """Only lives whose both ends are certain: what open lines would leave without spreading them."""
    lives = histories.lives
    certain = lives["chance"].to_numpy() > 0.999
    return replace(
        histories, lives=lives.assign(usable=lives["usable"] & certain, weight=np.where(certain, lives["weight"], 0.0))
    )


def summary(answers: list[Answer], *, design: Design = PLAIN) -> dict[str, float]:
    """Mean errors on the log scale with their standard errors, and coverage."""
    found: dict[str, float] = {}
    for name, truth in (("shape", SHAPE), ("B10", design.b10())):
        each = np.array([getattr(answer, name.lower()) for answer in answers])
        error = np.log(each[:, 0] / truth)
        found |= {
            f"{name} error": float(error.mean()),
            f"{name} ±": float(error.std() / np.sqrt(max(len(answers) - 1, 1))),
            f"{name} cover": float(((each[:, 1] <= truth) & (each[:, 2] >= truth)).mean()),
            f"{name} width": float(np.log(each[:, 2] / each[:, 1]).mean()),
        }
    return found | {"frailty": float(np.mean([answer.frailty for answer in answers]))}


def _answers(number: int, *, vehicles: int, blanked: float, design: Design, seed: int) -> dict[str, Answer]:
    """Answers of one fleet by each treatment."""
    rng = np.random.default_rng([seed, number])
    known, masked = invented_fleet(rng, vehicles=vehicles, blanked=blanked, design=design)
    plain = "only ended" if design == LARGE else "certain lives only"
    return {
        "all known": answer_of(known),
        "spread": answer_of(masked),
        plain: answer_of(masked, treatment=plain),
    }


def study(
    *, fleets: int, vehicles: int, blanked: float, design: Design = PLAIN, seed: int = 1, workers: int = 1
) -> dict[str, dict[str, float]]:
    """Summaries with positions known, blanked and spread, and blanked with only certain knowledge kept."""
    one = partial(_answers, vehicles=vehicles, blanked=blanked, design=design, seed=seed)
    if workers > 1:
        with ProcessPoolExecutor(workers) as pool:
            found = list(pool.map(one, range(fleets)))
    else:
        found = [one(number) for number in range(fleets)]
    return {name: summary([answers[name] for answers in found], design=design) for name in found[0]}


def main() -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fleets", type=int, default=60)
    parser.add_argument("--vehicles", type=int, default=150)
    parser.add_argument("--blanked", type=float, default=0.2)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=1)
    kind = parser.add_mutually_exclusive_group()
    kind.add_argument("--large", action="store_true", help="six joints and about 40 lines a vehicle: states are drawn")
    kind.add_argument("--unlike", action="store_true", help="vehicles wear unlike: gamma frailty of variance 0.3")
    arguments = parser.parse_args()
    table = study(
        fleets=arguments.fleets,
        vehicles=arguments.vehicles,
        blanked=arguments.blanked,
        design=LARGE if arguments.large else UNLIKE if arguments.unlike else PLAIN,
        seed=arguments.seed,
        workers=arguments.workers,
    )
    print(pd.DataFrame(table).T.round(4).to_string(), file=sys.stdout)


if __name__ == "__main__":
    main()
