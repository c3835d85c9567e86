"""Fleets whose raised vehicles do the harder work: is the life ratio found, by either method, and do intervals hold it?

`python tests/recovery/confounded_fleets.py --fleets 400` prints, for designs of known truth, the error of the life
ratio of raised vehicles by the standardised comparison and by the weighted one beside that of the crude one, the
coverage of their 90 % intervals, and Monte Carlo standard errors. Vehicles do one of three duties, are of one of two
classes and stand at one of two depots. Duty and class set how long parts last, and all three how likely a vehicle is
raised, two in three of those in the course of its service. Designs:

plain: vehicles are alike beside that, records from new.
unlike: gamma frailty of variance 0.3 by vehicle.
late: records begin after 40 % of each vehicle's service; when the parts met then were fitted nobody knows.
null: as plain, but ride height costs no life at all.
"""

import argparse
import math
import sys
import time
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearmodel.policy.comparison.compare import compare_ride_heights
from wearmodel.policy.comparison.weighted_comparison import build_exposed_lives, compare_weighted
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import ComponentLives, build_component_lives
from wearmodel.survival.model import LifeModel, ReplacementCost

SHAPE, LIFT, CODE = 2.2, 80.0, "support_bearing"
DUTIES, DUTY_SHARES = ("highway", "town", "site"), (0.45, 0.3, 0.25)
CLASSES, DEPOTS, POSITIONS = ("van", "truck"), ("north", "south"), ("rear.front", "rear.back")
#: Log life by duty, class and depot, each over that of the first.
DUTY_EFFECTS, CLASS_EFFECTS = np.array([0.0, -0.25, -0.6]), np.array([0.0, -0.2])
#: Log odds of being raised.
BASE_ODDS, DUTY_ODDS, CLASS_ODDS, DEPOT_ODDS = -1.6, np.array([0.0, 0.8, 2.2]), np.array([0.0, 0.9]), 0.5
#: Aim: error as a share of the crude one.
LARGEST_SHARE = 0.25


@dataclass(frozen=True)
class Design:
    """How a fleet and its record come about."""

    ratio: float = 0.7
    variance: float = 0.0
    begins: float = 0.0


DESIGNS = {
    "plain": Design(),
    "unlike": Design(variance=0.3),
    "late": Design(begins=0.4),
    "null": Design(ratio=1.0),
}


@dataclass(frozen=True)
class Confounded:
    """Lives, their segments and their traits as the program builds them."""

    lives: pd.DataFrame
    segments: pd.DataFrame
    traits: pd.DataFrame


def drawn_vehicles(rng: np.random.Generator, count: int, design: Design) -> pd.DataFrame:
    """Vehicles with their work, service, distance at which they are raised, and frailty."""
    duty = rng.choice(len(DUTIES), size=count, p=DUTY_SHARES)
    # Trucks do more of the site work.
    truck = (rng.random(count) < np.array([0.3, 0.4, 0.7])[duty]).astype(int)
    depot = rng.integers(0, len(DEPOTS), count)
    service = rng.uniform(1.2, 3.0, count)
    odds = BASE_ODDS + DUTY_ODDS[duty] + CLASS_ODDS[truck] + DEPOT_ODDS * depot
    raised = rng.random(count) < 1.0 / (1.0 + np.exp(-odds))
    late = rng.random(count) < 2.0 / 3.0
    raised_at = np.where(raised, np.where(late, service * rng.uniform(0.1, 0.8, count), 0.0), np.inf)
    frailty = rng.gamma(1.0 / design.variance, design.variance, count) if design.variance else np.ones(count)
    pace = np.exp(-(DUTY_EFFECTS[duty] + CLASS_EFFECTS[truck])) * frailty ** (1.0 / SHAPE)
    return pd.DataFrame(
        {
            "duty": np.array(DUTIES, dtype=object)[duty], "vehicle_class": np.array(CLASSES, dtype=object)[truck],
            "depot": np.array(DEPOTS, dtype=object)[depot], "service": service, "raised_at": raised_at, "pace": pace,
        }
    )  # fmt: skip


def drawn_lives(rng: np.random.Generator, vehicles: pd.DataFrame, design: Design) -> pd.DataFrame:
    """All lives of two positions a vehicle until the record ends: `vehicle, position, fitted, end, failed`."""
    number = np.repeat(np.arange(len(vehicles)), len(POSITIONS))
    position = np.tile(np.arange(len(POSITIONS)), len(vehicles))
    fitted, frames = np.zeros(len(number)), []
    while len(number):
        own = vehicles.iloc[number]
        worn = rng.weibull(SHAPE, len(number)) / own["pace"].to_numpy()
        turn, service = np.maximum(own["raised_at"].to_numpy(), fitted), own["service"].to_numpy()
        left = np.minimum(turn - fitted, worn)
        end = fitted + left + (worn - left) * design.ratio
        failed = end < service
        frames.append(
            pd.DataFrame(
                {
                    "vehicle": number, "position": np.array(POSITIONS, dtype=object)[position], "fitted": fitted,
                    "end": np.minimum(end, service), "failed": failed,
                }
            )
        )  # fmt: skip
        number, position, fitted = number[failed], position[failed], end[failed]
    return pd.concat(frames).sort_values(["vehicle", "position", "fitted"], ignore_index=True)


def drawn_fleet(rng: np.random.Generator, count: int, design: Design) -> Confounded:
    """A fleet with its record."""
    vehicles = drawn_vehicles(rng, count, design)
    frame = drawn_lives(rng, vehicles, design)
    number = frame["vehicle"].to_numpy()
    begin = design.begins * vehicles["service"].to_numpy()[number]
    frame, begin = frame[frame["end"] > begin].reset_index(drop=True), begin[frame["end"] > begin]
    own = vehicles.iloc[frame["vehicle"]].reset_index(drop=True)
    known = (frame["fitted"] > begin) | (begin <= 0.0)
    # Of a part met at the beginning all that is known is what it has run since the vehicle was new, at most.
    start = frame["fitted"].where(known, 0.0)
    stop = frame["end"] - start
    lives = pd.DataFrame(
        {
            "component": CODE, "vehicle": frame["vehicle"], "position": frame["position"], "depot": own["depot"],
            "start_day": start, "entry": np.where(known, 0.0, begin), "stop_low": stop,
            "stop_high": stop.where(frame["failed"], np.inf), "weight": known.astype(float), "chance": 1.0,
            "usable": known, "age_known": known, "silent": 0.0, "look_gap": 0.0,
        }
    )  # fmt: skip
    traits = pd.DataFrame(
        {
            "duty": own["duty"], "vehicle_class": own["vehicle_class"], "place": frame["position"], "make": "",
            "build": "", "greasing": "", "angle": np.nan, "length": np.nan, "described": False,
        }
    )  # fmt: skip
    turn = own["raised_at"].to_numpy() - start.to_numpy()
    cut = (turn > 0) & (turn < stop.to_numpy())
    life = np.arange(len(lives))
    first = pd.DataFrame(
        {"life": life, "age_from": 0.0, "age_to": np.where(cut, turn, np.inf), "lift": LIFT * (turn <= 0)}
    )
    second = pd.DataFrame({"life": life[cut], "age_from": turn[cut], "age_to": np.inf, "lift": LIFT})
    both = pd.concat([first, second], ignore_index=True) if cut.any() else first
    return Confounded(lives, both.sort_values(["life", "age_from"], ignore_index=True), traits)


def pieces_of(fleet: Confounded) -> pd.DataFrame:
    """Segments with what was seen of each, as `wearmodel.plan_tables.build_pieces` gives them."""
    lives, segments = fleet.lives, fleet.segments
    at = segments["life"].to_numpy()
    entry, low, high, weight = (lives[name].to_numpy()[at] for name in ("entry", "stop_low", "stop_high", "weight"))
    end = np.where(np.isfinite(high), high, low)
    begins, ends = segments["age_from"].to_numpy(), segments["age_to"].to_numpy()
    last = (begins < end) & (ends >= end)
    return pd.DataFrame(
        {
            "life": at, "component": CODE, "duty": fleet.traits["duty"].to_numpy()[at], "lift": segments["lift"],
            "distance": weight * np.maximum(np.minimum(ends, end) - np.maximum(begins, entry), 0.0),
            "failed_here": weight * (np.isfinite(high) & last), "weight": weight,
            "usable": lives["usable"].to_numpy()[at], "age": np.minimum(ends, end),
        }
    )  # fmt: skip


def coded_lives(fleet: Confounded) -> ComponentLives:
    """Lives as the life model takes them."""
    return build_component_lives(
        CODE, lives=fleet.lives, segments=fleet.segments, traits=fleet.traits, lifts=(0.0, LIFT), other_rate=0.0
    )


def fitted(mine: ComponentLives) -> LifeModel:
    """Life model with costs."""
    models = fit_components({CODE: mine}, labels={CODE: "Bearing"}, clocks={CODE: "km"})
    return LifeModel(models, "km", "EUR", "2026-06-30", math.nan, 0.9, {CODE: ReplacementCost(150.0, 500.0)}, "")


def answers(fleet: Confounded, *, draws: int = 500) -> dict[str, tuple[float, float, float]]:
    """Life ratio with its bounds by each method."""
    mine = coded_lives(fleet)
    table = compare_ride_heights(
        fitted(mine), coded={CODE: mine}, pieces=pieces_of(fleet), levels=(0.0, LIFT), traits=fleet.traits
    )
    row = table.iloc[-1]
    exposed = build_exposed_lives(fleet.lives, fleet.segments, fleet.traits)
    assert exposed is not None
    second = compare_weighted({CODE: exposed}, confidence=0.9, seed=1, draws=draws)[0].iloc[0]
    return {
        "standardised": (row["life_ratio"], row["lower"], row["upper"]),
        "weighted": (second["life_ratio"], second["lower"], second["upper"]),
        "crude": (row["crude_ratio"], math.nan, math.nan),
    }


def study(name: str, *, fleets: int, vehicles: int = 200, seed: int = 1, draws: int = 500) -> pd.DataFrame:
    """One row a fleet and method: error on the log scale, and whether the interval holds the truth."""
    design, rows = DESIGNS[name], []
    for number in range(fleets):
        rng = np.random.default_rng([seed, list(DESIGNS).index(name), number])
        for method, (ratio, low, high) in answers(drawn_fleet(rng, vehicles, design), draws=draws).items():
            rows.append((name, method, math.log(ratio / design.ratio), low <= design.ratio <= high))
    return pd.DataFrame(rows, columns=["design", "method", "error", "held"])


def summary(found: pd.DataFrame) -> pd.DataFrame:
    """Mean, root mean square and coverage with Monte Carlo standard errors; errors also as a share of the crude."""
    groups = found.groupby(["design", "method"], sort=False)
    count = groups.size()
    table = pd.DataFrame(
        {
            "error": groups["error"].mean(),
            "error_se": groups["error"].std() / np.sqrt(count),
            "rms": groups["error"].apply(lambda x: math.sqrt(float(np.mean(np.square(x))))),
            "cover": groups["held"].mean(),
            "cover_se": np.sqrt(groups["held"].mean() * (1.0 - groups["held"].mean()) / count),
        }
    )
    crude = table.xs("crude", level="method")
    of = table.index.get_level_values("design")
    table["share"] = table["error"].abs() / crude["error"].abs().reindex(of).to_numpy()
    table["rms_share"] = table["rms"] / crude["rms"].reindex(of).to_numpy()
    return table


def main() -> int:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fleets", type=int, default=400)
    parser.add_argument("--vehicles", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--designs", nargs="+", default=list(DESIGNS), choices=list(DESIGNS))
    options = parser.parse_args()
    for name in options.designs:
        begun = time.process_time()
        table = summary(study(name, fleets=options.fleets, vehicles=options.vehicles, seed=options.seed))
        print(table.round(3).to_string(), f"\n{time.process_time() - begun:.0f} s", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
