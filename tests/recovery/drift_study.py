"""Does a fleet without change raise an alarm, and is a change found: moved curves and bad batches.

`python tests/recovery/drift_study.py --fleets 400` prints the share of fleets in which a curve is said to have moved
and in which a part number or fitting month is called, where nothing is the matter and where something is.
"""

import argparse
import sys
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearmodel.survival.checks.chances import adjusted_chances
from wearmodel.survival.checks.curve_change import FALSE_ALARMS, build_moved_curves
from wearmodel.survival.checks.early_failures import early_failures_by_group
from wearmodel.survival.coding import Coding
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.vehicle_frailties import vehicle_frailties

SHAPE = 2.2
DUTIES, SHARES, EFFECTS = ("road", "site"), (0.7, 0.3), (0.0, -0.4)
COMPONENTS = ("u_joint", "support_bearing", "slip_spline")
PART_NUMBERS = 6
#: Months in a unit of the scale: a part lasts some four years.
MONTHS = 48
_CODING = Coding(DUTIES, SHARES, "none", 0.0, (0.0,), None)


@dataclass(frozen=True)
class Fleet:
    """Lives of one component: fitting date and life in units of the scale, vehicle, duty, part number."""

    fitted: np.ndarray
    life: np.ndarray
    vehicle: np.ndarray
    duty: np.ndarray
    part: np.ndarray


def drawn_fleet(
    rng: np.random.Generator, *, vehicles: int, variance: float = 0.0, until: float = 3.0, worse_from: float = np.inf,
    worse: float = 1.0, bad_month: int = -1, bad_part: int = -1, bad_share: float = 0.0,
) -> Fleet:  # fmt: skip
    """Two positions a vehicle, renewed at failure until the record ends.

    Parts fitted from `worse_from` on last `worse` times as long; of those fitted in `bad_month`, and of those with the
    number `bad_part`, a share fails within a tenth of a usual life.
    """
    rows: list[tuple[float, float, int, int, int]] = []
    for vehicle in range(vehicles):
        duty = int(rng.random() < SHARES[1])
        frailty = rng.gamma(1.0 / variance, variance) if variance else 1.0
        scale = np.exp(EFFECTS[duty]) * frailty ** (-1.0 / SHAPE)
        begins = rng.uniform(0.0, 2.0)
        for _ in range(2):
            at = begins
            while at < until:
                life = scale * rng.weibull(SHAPE) * (worse if at >= worse_from else 1.0)
                part = int(rng.integers(PART_NUMBERS))
                if (int(at * MONTHS) == bad_month or part == bad_part) and rng.random() < bad_share:
                    life = rng.uniform(0.0, 0.1)
                rows.append((at, life, vehicle, duty, part))
                at += life
    fitted, life, vehicle_of, duty_of, part = (np.array(column) for column in zip(*rows, strict=True))
    return Fleet(fitted, life, vehicle_of, duty_of, part)


def lives_until(fleet: Fleet, day: float) -> "tuple[ComponentLives, np.ndarray]":
    """The record as it stands on a day, and which lives are in it."""
    at = np.flatnonzero(fleet.fitted < day)
    left = day - fleet.fitted[at]
    life = fleet.life[at]
    design = np.column_stack([np.ones(len(at)), fleet.duty[at]])
    data = build_life_data(
        entry=np.zeros(len(at)), stop_low=np.minimum(life, left), stop_high=np.where(life < left, life, np.inf),
        design=design, cluster=fleet.vehicle[at],
    )  # fmt: skip
    return ComponentLives("u_joint", _CODING, data, np.arange(data.lives)), at


def models_of(lives: dict[str, ComponentLives]) -> dict[str, ComponentModel]:
    """Fitted models, each on its own."""
    return {
        code: fit_components({"u_joint": mine}, labels={"u_joint": code}, clocks={"u_joint": "km"})["u_joint"]
        for code, mine in lives.items()
    }


def moved(rng: np.random.Generator, *, ahead: float, **terms: float) -> pd.DataFrame:
    """Table of moved curves of three components, the earlier record `ahead` before the end."""
    fleets = {code: drawn_fleet(rng, **terms) for code in COMPONENTS}
    now, before = (models_of({c: lives_until(f, day)[0] for c, f in fleets.items()}) for day in (3.0, 3.0 - ahead))
    return build_moved_curves(before, now, earlier_as_of="2025-06-30", confidence=0.9)


def early(rng: np.random.Generator, **terms: float) -> pd.DataFrame:
    """Table of early failures of three components; a bad month is of the first."""
    frames = []
    for code in COMPONENTS:
        plain = {name: value for name, value in terms.items() if not name.startswith("bad_")}
        fleet = drawn_fleet(rng, **(terms if code == COMPONENTS[0] else plain))
        mine, at = lives_until(fleet, 3.0)
        model = models_of({code: mine})[code]
        rates = vehicle_frailties(mine, model, vehicles=int(fleet.vehicle.max()) + 1).mean
        groups = {
            "part number": np.array([f"P{part}" for part in fleet.part[at]], dtype=object),
            "fitting month": np.array([f"{int(x * MONTHS):03d}" for x in fleet.fitted[at]], dtype=object),
        }
        frames.append(early_failures_by_group(model, mine.dated, rates=rates, groups=groups).assign(component=code))
    table = pd.concat(frames, ignore_index=True)
    return table.assign(chance_adjusted=adjusted_chances(table["chance"].to_numpy()))


def moved_share(fleets: int, *, seed: int = 0, **terms: float) -> "tuple[float, np.ndarray]":
    """Share of fleets with any moved curve, and of each fleet the share of rows with a chance below the level."""
    tables = [moved(np.random.default_rng([seed, number]), **terms) for number in range(fleets)]
    any_moved = np.mean([(table["result"] == "moved").any() for table in tables])
    rows = np.array([(table["chance"] < FALSE_ALARMS).mean() for table in tables])
    return float(any_moved), rows


def early_share(fleets: int, *, seed: int = 1, **terms: float) -> "tuple[float, float]":
    """Share of fleets with any group called, and share in which the bad month or part number is."""
    called, found = 0, 0
    for number in range(fleets):
        table = early(np.random.default_rng([seed, number]), **terms)
        look = table[table["chance_adjusted"] < FALSE_ALARMS]
        called += len(look) > 0
        bad = [f"{int(terms.get('bad_month', -1)):03d}", f"P{terms.get('bad_part', -1)}"]
        found += bool((look["value"].isin(bad) & (look["component"] == COMPONENTS[0])).any())
    return called / fleets, found / fleets


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fleets", type=int, default=400)
    fleets = parser.parse_args().fleets
    for vehicles, variance in ((8, 0.0), (30, 0.0), (60, 0.0), (150, 0.0), (150, 0.3)):
        for ahead in (0.1, 0.5):
            share, rows = moved_share(fleets, vehicles=vehicles, variance=variance, ahead=ahead)
            case = f"{vehicles} vehicles, variance {variance}, {ahead} ahead"
            print(f"no change, {case}: fleets {share:.3f}, rows {rows.mean():.3f}")
    share, _ = moved_share(fleets, vehicles=150, ahead=0.75, worse_from=2.0, worse=0.6)
    print(f"parts fitted since 0.6 times as long, 150 vehicles, 0.75 ahead: fleets {share:.3f}")
    for vehicles, variance in ((60, 0.0), (150, 0.0), (150, 0.3)):
        share, _ = early_share(fleets, vehicles=vehicles, variance=variance)
        print(f"no bad batch, {vehicles} vehicles, variance {variance}: fleets {share:.3f}")
    for vehicles, bad_share in ((150, 0.6), (500, 0.3), (500, 0.6)):
        share, found = early_share(fleets // 4, vehicles=vehicles, bad_month=100, bad_share=bad_share)
        print(f"bad month, {bad_share} of its parts, {vehicles} vehicles: called {share:.3f}, found {found:.3f}")
    share, found = early_share(fleets, vehicles=150, bad_part=0, bad_share=0.15)
    print(f"bad part number, 0.15 of its parts, 150 vehicles: called {share:.3f}, found {found:.3f}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
