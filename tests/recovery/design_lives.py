"""Invented fleets of known truth in four designs, as the program would code them and as a plain reading takes them.

Every vehicle has three joints that fail by one Weibull law and are renewed when they fail (or, where wear hides, when a
look finds it). Duty, a raised ride height and the vehicle's frailty change how fast they wear. Distances are the
vehicle's [km]; a raised ride height runs the clock of wear faster from the distance on at which it was raised.
"""

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd

from wearmodel.intake.fleet import Fleet
from wearmodel.intake.fleet_toml.settings import read_settings
from wearmodel.intake.tables.typed_tables import build_empty_table
from wearmodel.survival.component_lives import ComponentLives, build_component_lives

SHAPE, SCALE = 2.2, 100_000.0
COMPONENT = "u_joint"
POSITIONS = ("rear.joint_front", "rear.joint_centre", "rear.joint_rear")
DUTIES = ("road", "mixed", "site")
DUTY_SHARES = (0.5, 0.3, 0.2)
#: Effect of each duty on the log of life.
DUTY_EFFECTS = (0.0, -0.20, -0.45)
#: Height of a raised vehicle over factory height [mm], and its life over that at factory height.
RAISED, LIFE_RATIO = 100.0, 0.7
#: Chance that a vehicle of each duty is raised: the harder the work, the more often.
RAISED_SHARES = (0.15, 0.45, 0.75)
#: Part of its service after which a vehicle is raised.
RAISED_AFTER = (0.15, 0.85)
#: Variance over vehicles of the frailty where they wear unlike.
FRAILTY = 0.3
#: Service of a vehicle when records end, in units of the scale, and the share of it that late records cover.
SERVICE, COVERED = (1.25, 3.25), 0.4
#: Distance between two looks, and the share of failures that only a look shows [km, -].
LOOK, SILENT = 15_000.0, 0.8
#: Share of the lines that lack a position.
BLANKED = 0.2
#: Running of every vehicle where lines have dates [km / d].
DAILY = 125.0
END = pd.Timestamp("2025-01-01")


@dataclass(frozen=True)
class Vehicle:
    """What decides how fast the parts of a vehicle wear.

    Parameters
    ----------
    duty : int
        Place in `DUTIES`.
    service : float
        Distance when records end [km].
    raised_at : float
        Distance at which it was raised, infinite where it never was [km].
    frailty : float
        Factor of every hazard.
    """

    duty: int
    service: float
    raised_at: float = math.inf
    frailty: float = 1.0

    def worn_out(self, fitted: float, stretched: float) -> float:
        """Distance at which a part fitted at a distance has run a life at reference duty and factory height [km]."""
        plain = fitted + stretched * math.exp(DUTY_EFFECTS[self.duty])
        if plain <= self.raised_at:
            return plain
        turn = max(self.raised_at, fitted)
        return turn + (plain - turn) * LIFE_RATIO


@dataclass(frozen=True)
class Life:
    """One part's time in a position: distances of the vehicle, whether it failed, whether only a look showed that."""

    vehicle: int
    position: str
    fitted: float
    end: float
    failed: bool
    hidden: bool


def drawn_vehicles(
    rng: np.random.Generator, count: int, *, raised: bool = False, variance: float = 0.0
) -> list[Vehicle]:
    """Vehicles of the fleet's duties, some of them raised, wearing unlike by a gamma frailty of a variance."""
    vehicles = []
    for _ in range(count):
        duty = int(rng.choice(len(DUTIES), p=DUTY_SHARES))
        service = SCALE * rng.uniform(*SERVICE)
        lifted = raised and rng.random() < RAISED_SHARES[duty]
        vehicles.append(
            Vehicle(
                duty=duty,
                service=service,
                raised_at=service * rng.uniform(*RAISED_AFTER) if lifted else math.inf,
                frailty=rng.gamma(1.0 / variance, variance) if variance > 0 else 1.0,
            )
        )
    return vehicles


def drawn_lives(rng: np.random.Generator, vehicles: list[Vehicle], *, offsets: np.ndarray | None = None) -> list[Life]:
    """All lives of the fleet's parts until records end.

    With the distances of the vehicles' first looks, a share of the failures hides until the next look, and renewals
    come at the end of a day.
    """
    lives = []
    for number, vehicle in enumerate(vehicles):
        slower = SCALE * vehicle.frailty ** (-1.0 / SHAPE)
        for position in POSITIONS:
            fitted = 0.0
            while fitted < vehicle.service:
                end, hidden = vehicle.worn_out(fitted, slower * rng.weibull(SHAPE)), False
                if offsets is not None:
                    hidden = rng.random() < SILENT
                    end = _look_after(end, offsets[number]) if hidden else DAILY * math.ceil(end / DAILY)
                failed = end < vehicle.service
                lives.append(Life(number, position, fitted, min(end, vehicle.service), failed, hidden and failed))
                fitted = end
    return lives


def coded_lives(vehicles: list[Vehicle], lives: list[Life], *, begins: np.ndarray | None = None) -> ComponentLives:
    """Lives coded as the program codes them.

    Parameters
    ----------
    vehicles, lives : list
        The fleet.
    begins : ndarray, shape (n_vehicles,), optional
        Distance of each vehicle when its records begin: what ended before is not recorded, and of parts met then the
        fitting date is not known; records from new without it.

    Returns
    -------
    ComponentLives
        As `wearmodel.survival.component_fits.build_component_lives` makes them.
    """
    frame = _recorded(lives, np.zeros(len(vehicles)) if begins is None else begins)
    start = frame["fitted"].where(frame["age_known"], 0.0)
    stop = frame["end"] - start
    duty = np.array(DUTIES, dtype=object)[[vehicle.duty for vehicle in vehicles]]
    table = pd.DataFrame(
        {
            "component": COMPONENT, "vehicle": frame["vehicle"], "position": frame["position"],
            "start_day": start, "entry": frame["begin"].where(~frame["age_known"], 0.0), "stop_low": stop,
            "stop_high": stop.where(frame["failed"], np.inf), "weight": frame["age_known"].astype(float), "chance": 1.0,
            "usable": frame["age_known"], "age_known": frame["age_known"], "silent": 0.0, "look_gap": 0.0,
        }
    )  # fmt: skip
    traits = pd.DataFrame(
        {
            "duty": duty[frame["vehicle"]], "vehicle_class": "truck", "place": frame["position"], "make": "",
            "build": "", "greasing": "", "angle": np.nan, "length": np.nan, "described": False,
        }
    )  # fmt: skip
    return build_component_lives(
        COMPONENT,
        lives=table,
        segments=_segments(frame, start, vehicles),
        traits=traits,
        lifts=(0.0, RAISED),
        other_rate=0.0,
    )


def _recorded(lives: list[Life], begins: np.ndarray) -> pd.DataFrame:
    """Lives of which the record sees something."""
    frame = pd.DataFrame(lives)
    frame["begin"] = begins[frame["vehicle"]]
    frame = frame[frame["end"] > frame["begin"]].reset_index(drop=True)
    return frame.assign(age_known=(frame["fitted"] > frame["begin"]) | (frame["begin"] <= 0.0))


def _segments(frame: pd.DataFrame, start: "pd.Series[float]", vehicles: list[Vehicle]) -> pd.DataFrame:
    """Each life cut where its vehicle was raised."""
    raised = np.array([vehicle.raised_at for vehicle in vehicles])[frame["vehicle"]] - start.to_numpy()
    cut = (raised > 0) & (start.to_numpy() + raised < frame["end"].to_numpy())
    life = np.arange(len(frame))
    first = pd.DataFrame(
        {"life": life, "age_from": 0.0, "age_to": np.where(cut, raised, np.inf), "lift": RAISED * (raised <= 0)}
    )
    second = pd.DataFrame({"life": life[cut], "age_from": raised[cut], "age_to": np.inf, "lift": RAISED})
    both = pd.concat([first, second], ignore_index=True) if cut.any() else first
    return both.sort_values(["life", "age_from"], ignore_index=True)


@dataclass(frozen=True)
class InspectedFleet:
    """A fleet whose wear mostly shows at looks only, as tables, and the lines of its record.

    Parameters
    ----------
    fleet : Fleet
        Clean tables; a share of the repair lines lacks a position.
    vehicles : list of Vehicle
        Its vehicles.
    lines : pandas.DataFrame
        Repair lines: `vehicle`, `distance` [km], `reason`, `true_position`, and `position`, empty where it was not
        written down.
    """

    fleet: Fleet
    vehicles: list[Vehicle]
    lines: pd.DataFrame


def inspected_fleet(rng: np.random.Generator, count: int) -> InspectedFleet:
    """A fleet looked at every `LOOK` km, its record from new."""
    vehicles = [Vehicle(one.duty, DAILY * round(one.service / DAILY)) for one in drawn_vehicles(rng, count)]
    offsets = rng.uniform(0.0, LOOK, count)
    failed = pd.DataFrame([life for life in drawn_lives(rng, vehicles, offsets=offsets) if life.failed])
    lines = failed.rename(columns={"end": "distance", "position": "true_position"})
    lines = lines.assign(reason=np.where(lines["hidden"], "worn", "failed"))
    lines = lines.sort_values(["vehicle", "distance", "true_position"], ignore_index=True)
    lines["position"] = lines["true_position"].where(rng.random(len(lines)) >= BLANKED, "")
    return InspectedFleet(_fleet(vehicles, offsets, lines), vehicles, lines)


def _look_after(distance: float, offset: float) -> float:
    """Distance of the first look after a distance, on a whole day [km]."""
    number = math.ceil((distance - offset) / LOOK)
    look = DAILY * round((offset + number * LOOK) / DAILY)
    return look if look > distance else DAILY * round((offset + (number + 1) * LOOK) / DAILY)


def _fleet(vehicles: list[Vehicle], offsets: np.ndarray, lines: pd.DataFrame) -> Fleet:
    """Clean tables of the fleet."""
    names = np.array([f"T{number:03d}" for number in range(len(vehicles))], dtype=object)
    service = np.array([vehicle.service for vehicle in vehicles])
    start = END - pd.to_timedelta(service / DAILY, unit="D").round("D")
    tables = {name: build_empty_table(name) for name in ("ride_height", "parts", "stock", "duty_log")}
    rows = range(2, len(vehicles) + 2)
    tables["vehicles"] = pd.DataFrame(
        {
            "unit": names, "vehicle_class": "truck", "driveline": "rear_two_piece",
            "duty": [DUTIES[vehicle.duty] for vehicle in vehicles], "depot": "main", "in_service_date": start,
            "in_service_odometer": 0.0, "records_from": start, "out_of_service_date": pd.NaT, "file": "vehicles.csv",
            "row": rows,
        }
    )  # fmt: skip
    tables["readings"] = pd.DataFrame(
        {"unit": names, "date": END, "odometer": service, "file": "readings.csv", "row": rows}
    )
    tables["repairs"] = pd.DataFrame(
        {
            "order": [str(number) for number in range(len(lines))], "unit": names[lines["vehicle"]],
            "date": start[lines["vehicle"]] + pd.to_timedelta(lines["distance"] / DAILY, unit="D").round("D").array,
            "odometer": np.nan, "text": "", "part_number": "", "quantity": 1.0, "component": COMPONENT,
            "position": lines["position"], "reason": lines["reason"], "labour_hours": np.nan, "parts_cost": np.nan,
            "file": "repairs.csv", "row": range(2, len(lines) + 2),
        }
    )  # fmt: skip
    tables["inspections"] = _looks(names, start, service, offsets)
    counts = pd.DataFrame({"table": ["repairs"], "file": ["repairs.csv"], "rows_read": [len(lines)]})
    return Fleet(
        folder=Path("invented"), settings=read_settings(Path(__file__).parent), as_of=END, tables=tables, findings=(),
        counts=counts, notes=(),
    )  # fmt: skip


def _looks(names: np.ndarray, start: pd.DatetimeIndex, service: np.ndarray, offsets: np.ndarray) -> pd.DataFrame:
    """Every look, after what was found worn had been renewed: all joints good, whatever line lacks a position."""
    rows = []
    for name, begin, top, offset in zip(names, start, service, offsets, strict=True):
        distance = _look_after(0.0, offset)
        while distance < top:
            date = begin + pd.Timedelta(days=round(distance / DAILY))
            rows += [(name, date, position) for position in POSITIONS]
            distance = _look_after(distance, offset)
    frame = pd.DataFrame(rows, columns=["unit", "date", "position"])
    return frame.assign(odometer=np.nan, finding="good", file="inspections.csv", row=np.arange(2, len(frame) + 2))
