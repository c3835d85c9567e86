"""Fleets whose records begin late: what lives of unknown fitting date give back, with known truth.

`python tests/recovery/unknown_age_study.py --fleets 200` prints, for vehicles alike and for vehicles that differ, the
mean error of the shape and of B10 and the coverage of their 90 % intervals: with the lives of unknown age left out,
with the recurrence likelihood, and with the recurrence likelihood and frailty.
"""

import argparse
import math
import sys
from dataclasses import dataclass

import numpy as np
import pandas as pd

from wearmodel.survival.life_data import LifeData, build_life_data
from wearmodel.survival.unknown_ages.fit import UnknownAgeFit, fit_with_unknown_ages
from wearmodel.survival.unknown_ages.lives import UnknownAges, build_unknown_ages

SHAPE, SCALE = 2.2, 100_000.0
POSITIONS = 3
#: Service of a vehicle when records end, in units of the scale, and the share of it that records cover.
SERVICE, COVERED = (1.25, 3.25), 0.4
TREATMENTS = {"left out": (False, False), "unknown age": (True, False), "unknown age and frailty": (True, True)}
Z = 1.6448536


@dataclass(frozen=True)
class Answer:
    """Log of shape, B10 and frailty variance, with standard errors of the first two."""

    shape: float
    shape_error: float
    b10: float
    b10_error: float
    theta: float
    converged: bool


def simulate(
    rng: np.random.Generator, *, vehicles: int, variance: float, other_rate: float = 0.0, inspected: float = 0.0
) -> tuple[LifeData, UnknownAges]:
    """Lives of known and unknown age of one fleet.

    Renewals for other reasons come at `other_rate` per unit of the scale; a share `inspected` of the failures of
    unknown age is known only to an interval of 0.1 of the scale.
    """
    first, later = [], []
    for unit in range(vehicles):
        frailty = rng.gamma(1.0 / variance, variance) if variance > 0 else 1.0
        scale = frailty ** (-1.0 / SHAPE)
        service = rng.uniform(*SERVICE)
        begin = (1.0 - COVERED) * service
        for _ in range(POSITIONS):
            fitted = 0.0
            while fitted < service:
                worn = fitted + scale * rng.weibull(SHAPE)
                other = fitted + (rng.exponential(1.0 / other_rate) if other_rate > 0 else math.inf)
                end, failed = min(worn, other, service), worn < min(other, service)
                if fitted <= 0.0 < begin < end or 0.0 < fitted < begin < end:
                    first.append((begin, end, failed, unit))
                elif end > begin:
                    later.append((end - fitted, failed, unit))
                fitted = end
    known, unknown = np.array(later, dtype=float).reshape(-1, 3), np.array(first, dtype=float)
    end, failed = unknown[:, 1], unknown[:, 2] > 0
    looked = failed & (rng.random(len(end)) < inspected)
    high = np.where(failed, end, np.inf)
    low = np.where(looked, np.maximum(np.floor(end * 10.0) / 10.0, unknown[:, 0]), end)
    high = np.where(looked, np.floor(end * 10.0) / 10.0 + 0.1, high)
    data = build_life_data(
        entry=np.zeros(len(known)),
        stop_low=SCALE * known[:, 0],
        stop_high=np.where(known[:, 1] > 0, SCALE * known[:, 0], np.inf),
        cluster=known[:, 2],
    )
    return data, build_unknown_ages(
        observed_from=SCALE * unknown[:, 0],
        stop_low=SCALE * low,
        stop_high=SCALE * high,
        other_rate=other_rate / SCALE,
        cluster=unknown[:, 3],
    )


def no_unknown_ages() -> UnknownAges:
    """Lives of unknown age of a fleet that has none."""
    none = np.zeros(0)
    return build_unknown_ages(observed_from=none, stop_low=none, stop_high=none)


def log_marginal_life(values: np.ndarray, theta: float, share: float) -> float:
    """Log distance by which a share of fresh parts on random vehicles has failed."""
    shape = math.exp(values[1])
    spent = -math.log1p(-share)
    if theta > 0.0:
        spent = math.expm1(math.exp(values[2]) * spent) / math.exp(values[2])
    return float(values[0] + math.log(spent) / shape)


def answer_of(fit: UnknownAgeFit) -> Answer:
    """Shape and B10 of a random vehicle, errors by the delta method on the log scale."""
    slope = np.zeros(len(fit.values))
    for i in range(len(slope)):
        step = np.zeros(len(slope))
        step[i] = 1e-5
        slope[i] = (
            log_marginal_life(fit.values + step, fit.theta, 0.1) - log_marginal_life(fit.values - step, fit.theta, 0.1)
        ) / 2e-5
    return Answer(
        shape=float(fit.values[1]),
        shape_error=float(np.sqrt(fit.covariance[1, 1])),
        b10=log_marginal_life(fit.values, fit.theta, 0.1),
        b10_error=float(np.sqrt(slope @ fit.covariance @ slope)),
        theta=fit.theta,
        converged=fit.converged,
    )


def study(
    *, fleets: int, vehicles: int, variance: float, treatments: tuple[str, ...] = tuple(TREATMENTS), seed: int = 1,
    other_rate: float = 0.0, inspected: float = 0.0,
) -> pd.DataFrame:  # fmt: skip
    """Mean errors on the log scale, spread, coverage of 90 % intervals; one row a treatment."""
    found: dict[str, list[Answer]] = {name: [] for name in treatments}
    for number in range(fleets):
        data, unknown = simulate(
            np.random.default_rng([seed, number]),
            vehicles=vehicles, variance=variance, other_rate=other_rate, inspected=inspected,
        )  # fmt: skip
        for name in treatments:
            used, frailty = TREATMENTS[name]
            fit = fit_with_unknown_ages(data, unknown if used else no_unknown_ages(), frailty=frailty)
            found[name].append(answer_of(fit))
    truth = np.array([math.log(SCALE), math.log(SHAPE), math.log(max(variance, 1e-9))])
    b10 = log_marginal_life(truth, variance, 0.1)
    return pd.DataFrame({name: summary(answers, b10) for name, answers in found.items()}).T


def summary(answers: list[Answer], b10: float) -> dict[str, float]:
    """Figures of one treatment."""
    shape = np.array([a.shape for a in answers]) - math.log(SHAPE)
    life = np.array([a.b10 for a in answers]) - b10
    shape_error, life_error = np.array([a.shape_error for a in answers]), np.array([a.b10_error for a in answers])
    return {
        "shape bias": float(shape.mean()),
        "shape sd": float(shape.std()),
        "shape cover": float((np.abs(shape) <= Z * shape_error).mean()),
        "B10 bias": float(life.mean()),
        "B10 sd": float(life.std()),
        "B10 cover": float((np.abs(life) <= Z * life_error).mean()),
        "theta": float(np.mean([a.theta for a in answers])),
        "converged": float(np.mean([a.converged for a in answers])),
    }


def main() -> None:
    """Print the study."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--fleets", type=int, default=200)
    parser.add_argument("--vehicles", type=int, default=150)
    parser.add_argument("--other-rate", type=float, default=0.0)
    parser.add_argument("--inspected", type=float, default=0.0)
    arguments = parser.parse_args()
    for variance in (0.0, 0.5):
        table = study(
            fleets=arguments.fleets, vehicles=arguments.vehicles, variance=variance, other_rate=arguments.other_rate,
            inspected=arguments.inspected,
        )  # fmt: skip
        print(f"frailty variance {variance:g}\n{table.round(3).to_string()}", file=sys.stdout)


if __name__ == "__main__":
    main()
