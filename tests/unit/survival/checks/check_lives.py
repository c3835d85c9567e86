"""Invented lives with a known law for the checks: late entry, intervals, clusters."""

import numpy as np

from wearmodel.survival.coding import Coding
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import build_life_data
from wearmodel.survival.model import ComponentModel

SHAPE, SCALE, EFFECT = 2.2, 100.0, -0.6
CODING = Coding(("town", "site"), (0.6, 0.4), "none", 0.0, (0.0,), None)


def draw_lives(rng, *, lives=600, interval_share=0.5, law=None):
    """Lives of two duties; half of the failures seen only at looks every 40."""
    duty = rng.random(lives) < 0.4
    design = np.column_stack([np.ones(lives), duty])
    scale = SCALE * np.exp(EFFECT * duty)
    life = scale * rng.weibull(SHAPE, lives) if law is None else law(rng, scale)
    entry = np.where(rng.random(lives) < 0.3, rng.uniform(0, 60, lives), 0.0)
    end = entry + rng.uniform(10, 120, lives)
    seen = life > entry
    life, entry, end, design = life[seen], entry[seen], end[seen], design[seen]
    looked = rng.random(len(life)) < interval_share
    bad = np.ceil(life / 40.0) * 40.0
    good = np.maximum(bad - 40.0, entry)
    failed = np.where(looked, bad, life) <= end
    # What is only seen at looks is last known good at the last look before the end.
    last_good = np.where(looked, np.maximum(np.floor(end / 40.0) * 40.0, entry), end)
    low = np.where(failed, np.where(looked, good, life), last_good)
    high = np.where(failed, np.where(looked, bad, life), np.inf)
    kept = (low > entry) | (np.isfinite(high) & (high > low))
    return build_life_data(
        entry=entry[kept], stop_low=low[kept], stop_high=high[kept], design=design[kept],
        cluster=rng.integers(0, 60, kept.sum()),
    )  # fmt: skip


def component(data):
    """Some lives as a component's."""
    return ComponentLives("joint", CODING, data, np.arange(data.lives))


def fitted(data):
    """The component model of some lives."""
    return fit_components({"joint": component(data)}, labels={"joint": "Joint"}, clocks={"joint": "km"})["joint"]


def refitted(data, precision):
    """Values of a fit with the prior held."""
    return fit_lives(data, prior_precision=precision).values


def true_model():
    """The law the lives are drawn from."""
    values = (np.log(SCALE), EFFECT, np.log(SHAPE))
    none = tuple((0.0,) * 3 for _ in range(3))
    return ComponentModel(
        "joint", "Joint", "km", "fitted", tuple(map(float, values)), none, CODING, 0, 0, 0, 0.0, True, ""
    )
