"""Lives of parts that truly age by distance, by time, or by both, on vehicles of very different use."""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
import pandas as pd

from wearmodel.history.engine_hours import EngineHours
from wearmodel.history.odometer_curves import OdometerCurves
from wearmodel.survival.clock_choice import ClockLives
from wearmodel.survival.life_data import build_life_data

YEARS = 8
DAYS = int(YEARS * 365)
SHAPE = 2.5
MEAN_DAILY = 90.0
FIRST = 15000.0


@dataclass(frozen=True)
class DrawnLives:
    """Lives by day and by distance; `failed` seen to the day unless `looked` gives the last good look."""

    vehicle: np.ndarray
    start: np.ndarray
    entry: np.ndarray
    good: np.ndarray
    end: np.ndarray
    failed: np.ndarray
    interval: np.ndarray
    run: np.ndarray

    def at(self, day):
        """Distance run by each life's vehicle up to a day."""
        return self.run[self.vehicle, day.astype(int)]


def draw_lives(rng, *, share, vehicles=60, positions=3, scale_years=6.0, spread=0.6, months=0.5, looked=0.0, late=0.3):
    """Lives of parts whose clock runs by `share` on time, the rest on distance (in units of mean daily running).

    `spread` is the standard deviation of the logarithm of use between vehicles, `months` within one between months.
    """
    pace = MEAN_DAILY * np.exp(spread * rng.standard_normal(vehicles))
    month = np.exp(months * rng.standard_normal((vehicles, DAYS // 30 + 1)))
    daily = pace[:, None] * np.repeat(month, 30, axis=1)[:, :DAYS]
    run = np.concatenate([np.zeros((vehicles, 1)), np.cumsum(daily, axis=1)], axis=1)
    clock = (1 - share) * run / MEAN_DAILY + share * np.arange(DAYS + 1)
    rows = []
    for v in range(vehicles):
        # Some records begin late, with the fitting dates of the parts known.
        begin = int(rng.integers(200, 1200)) if rng.random() < late else 0
        for _ in range(positions):
            start = 0
            while start < DAYS - 1:
                limit = clock[v, start] + scale_years * 365 * rng.weibull(SHAPE)
                end = int(np.searchsorted(clock[v], limit))
                failed = end <= DAYS
                end = min(max(end, start + 1), DAYS)
                if end > begin:
                    entry = max(begin, start)
                    is_looked = failed and rng.random() < looked
                    good = max(end - int(rng.integers(20, 200)), entry) if is_looked else end
                    rows.append((v, start, entry, good, end, failed, is_looked and good < end))
                start = end
    columns = [np.array(column) for column in zip(*rows, strict=True)]
    return DrawnLives(*columns, run)


def clock_lives(drawn, *, window=60):
    """The same lives on both clocks."""
    data = []
    for age in (drawn.at, lambda day: day.astype(float)):
        zero = age(drawn.start)
        low, top = age(drawn.good) - zero, age(drawn.end) - zero
        data.append(
            build_life_data(
                entry=age(drawn.entry) - zero, stop_low=low, stop_high=np.where(drawn.failed, top, np.inf),
                cluster=drawn.vehicle,
            )
        )  # fmt: skip
    before = np.maximum(drawn.end - window, drawn.start)
    pace = (drawn.at(drawn.end) - drawn.at(before)) / (drawn.end - before)
    return ClockLives(*data, pace)


def curves_of(drawn):
    """Odometer curves with a figure every 45 days, whereas use changes every 30."""
    days = np.unique(np.append(np.arange(0, DAYS, 45), DAYS))
    count = len(drawn.run)
    return OdometerCurves(
        units=tuple(f"V{i}" for i in range(count)),
        vehicle=np.repeat(np.arange(count), len(days)),
        day=FIRST + np.tile(days.astype(float), count),
        odometer=drawn.run[:, days].ravel(),
        daily=drawn.run[:, -1] / DAYS,
    )


def histories_of(drawn, *, component="cv_boot_outboard"):
    """The frames that a fleet's record would give of these lives."""
    start, end = drawn.at(drawn.start), drawn.at(drawn.end)
    begin = pd.Series(np.where(drawn.entry > drawn.start, drawn.entry, drawn.start)).groupby(drawn.vehicle).min()
    lives = pd.DataFrame(
        {
            "vehicle": drawn.vehicle, "position": [f"p{i}" for i in range(len(start))], "component": component,
            "duty": "town", "start_day": FIRST + drawn.start, "end_day": FIRST + drawn.end, "start_odometer": start,
            "end_odometer": end, "entry": drawn.at(drawn.entry) - start,
            "stop_low": np.where(drawn.interval, drawn.at(drawn.good), end) - start,
            "stop_high": np.where(drawn.failed, end - start, np.inf), "weight": 1.0, "chance": 1.0, "usable": True,
        }
    )  # fmt: skip
    segments = pd.DataFrame({"life": np.arange(len(lives)), "age_from": 0.0, "age_to": np.inf, "lift": 0.0})
    windows = pd.DataFrame({"first_day": FIRST + begin.reindex(range(len(drawn.run)), fill_value=0).to_numpy()})
    return SimpleNamespace(
        lives=lives, segments=segments, windows=windows, curves=curves_of(drawn), hours=EngineHours()
    )
