"""Lives whose ride height costs more in some duties, or the same in all: is it found, and are the life ratios right?

`python tests/recovery/duty_height_study.py --fleets 200` prints the share of fleets in which effects of height by duty
are kept, the bias of the life ratio of each duty and of the shape, and how often 90 % intervals hold the truth.
"""

import argparse
import sys

import numpy as np
import pandas as pd

from wearmodel.survival.coding import Coding
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.model import ComponentModel, life_ratio_band

SHAPE, LIFT = 2.2, 100.0
DUTIES, SHARES = ("highway", "town", "site"), (0.5, 0.3, 0.2)
#: Log life of each duty at factory height, over that of the first.
DUTY_EFFECTS = np.array([0.0, -0.15, -0.4])
#: Log life at 100 mm over that at factory height, by duty.
ALIKE, UNLIKE = (-0.3, -0.3, -0.3), (-0.1, -0.25, -0.8)
NORMAL_90 = 1.6448536269514722
_CODING = Coding(DUTIES, SHARES, "lift", 0.0, (0.0, LIFT), None)


def drawn_lives(
    rng: np.random.Generator, effects: tuple[float, ...], *, vehicles: int = 150, variance: float = 0.0
) -> ComponentLives:
    """Two positions a vehicle, renewed until the record ends; a third of the vehicles is raised, more of the site's."""
    low, high, cluster, rows = [], [], [], []
    for vehicle in range(vehicles):
        duty = int(rng.choice(len(DUTIES), p=SHARES))
        raised = bool(rng.random() < (0.25, 0.35, 0.5)[duty])
        frailty = rng.gamma(1.0 / variance, variance) if variance else 1.0
        scale = np.exp(DUTY_EFFECTS[duty] + raised * effects[duty]) * frailty ** (-1.0 / SHAPE)
        for _ in range(2):
            left = rng.uniform(1.0, 2.5)
            while left > 0:
                life = scale * rng.weibull(SHAPE)
                low.append(min(life, left))
                high.append(life if life < left else np.inf)
                cluster.append(vehicle)
                rows.append([1.0, *(float(duty == i) for i in range(1, len(DUTIES))), float(raised)])
                left -= life
    data = build_life_data(entry=np.zeros(len(low)), stop_low=low, stop_high=high, design=rows, cluster=cluster)
    return ComponentLives("u_joint", _CODING, data, np.arange(data.lives))


def fitted(mine: ComponentLives) -> ComponentModel:
    """Model of the lives."""
    return fit_components({"u_joint": mine}, labels={"u_joint": "Joint"}, clocks={"u_joint": "km"})["u_joint"]


def study(fleets: int, effects: tuple[float, ...], *, vehicles: int = 150, variance: float = 0.0) -> pd.DataFrame:
    """One row a fleet: whether effects by duty were kept, the log shape, and log ratios with errors by duty."""
    rows = []
    for number in range(fleets):
        rng = np.random.default_rng([7, number])
        model = fitted(drawn_lives(rng, effects, vehicles=vehicles, variance=variance))
        row: dict[str, float] = {
            "kept": model.coding.duty_height > 0,
            "log_shape": model.values[-1] - np.log(SHAPE),
            "shape_held": abs(model.values[-1] - np.log(SHAPE)) < NORMAL_90 * model.covariance[-1][-1] ** 0.5,
        }
        for duty, effect in zip(DUTIES, effects, strict=True):
            band = life_ratio_band(model, lift=LIFT, duty=duty, confidence=0.9)
            row[f"bias {duty}"] = float(np.log(band.estimate)) - effect
            row[f"held {duty}"] = float(band.low) <= np.exp(effect) <= float(band.high)
        rows.append(row)
    return pd.DataFrame(rows)


def main() -> int:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fleets", type=int, default=200)
    parser.add_argument("--vehicles", type=int, default=150)
    parser.add_argument("--variance", type=float, default=0.0, help="of the frailty over vehicles")
    options = parser.parse_args()
    for name, effects in (("alike in every duty", ALIKE), ("unlike", UNLIKE)):
        found = study(options.fleets, effects, vehicles=options.vehicles, variance=options.variance)
        print(f"{name}, {options.fleets} fleets")
        print(found.mean().round(3).to_string())
    return 0


if __name__ == "__main__":
    sys.exit(main())
