"""Renewals on vehicles that wear unlike, two duties."""

import numpy as np

from wearmodel.survival.coding import Coding
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.life_data import build_life_data

SHAPE, VARIANCE, EFFECT = 2.2, 0.4, -0.6
CODING = Coding(("town", "site"), (0.6, 0.4), "none", 0.0, (0.0,), None)


def unlike_vehicles(rng: np.random.Generator, *, vehicles: int) -> ComponentLives:
    """Three positions a vehicle, renewed until the end of its record."""
    low, high, cluster, rows = [], [], [], []
    for vehicle in range(vehicles):
        site = float(vehicle % 5 < 2)
        scale = 100.0 * np.exp(EFFECT * site) * rng.gamma(1.0 / VARIANCE, VARIANCE) ** (-1.0 / SHAPE)
        for _ in range(3):
            left = rng.uniform(60.0, 200.0)
            while left > 0:
                life = scale * rng.weibull(SHAPE)
                low.append(min(life, left))
                high.append(life if life < left else np.inf)
                cluster.append(vehicle)
                rows.append([1.0, site])
                left -= life
    data = build_life_data(entry=np.zeros(len(low)), stop_low=low, stop_high=high, design=rows, cluster=cluster)
    return ComponentLives("joint", CODING, data, np.arange(data.lives))
