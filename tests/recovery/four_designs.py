"""Bias and coverage of the life model in four designs of known truth, beside a plain reading of the same records.

`python tests/recovery/four_designs.py --fleets 200 --vehicles 150` prints, for each design, the bias of the shape, of
B10 and the median of a fresh part (reference duty, factory height, vehicle taken at random) and of the life ratio of
raised vehicles, the coverage of their 90 % intervals, and Monte Carlo standard errors of both. The designs:

clean: records from new, failures seen to the kilometre, three duties.
late: records cover the last 40 % of each vehicle's service; when the parts met then were fitted nobody knows.
looks: four failures in five hide until the next look, a fifth of the repair lines lacks a position.
raised: vehicles raised during their service, more of them in hard work; gamma frailty of variance 0.3.

The plain reading is a Weibull regression on duty without frailty; it takes parts met when records begin as new and
failures as of the day they were found, leaves out lines without a position, and takes the life ratio without regard to
duty.
"""

import argparse
import math
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from design_lives import (
    COMPONENT,
    COVERED,
    DUTIES,
    DUTY_SHARES,
    FRAILTY,
    LIFE_RATIO,
    POSITIONS,
    RAISED,
    SCALE,
    SHAPE,
    InspectedFleet,
    coded_lives,
    drawn_lives,
    drawn_vehicles,
    inspected_fleet,
)

from wearmodel.fleet_model import CONFIDENCE, fit_fleet
from wearmodel.history.histories import build_histories
from wearmodel.settled_fleet import settle_fleet
from wearmodel.survival.coding import Coding
from wearmodel.survival.component_fits import fit_components
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.life_data import LifeData, build_life_data
from wearmodel.survival.model import Band, ComponentModel, life_band, life_ratio_band

Z = 1.6448536269514722
QUANTITIES = ("shape", "B10", "median", "life ratio")
#: How far the bias may be from 0, and coverage between [-].
LARGEST_BIAS = {"shape": 0.02, "B10": 0.03, "median": 0.02, "life ratio": 0.02}
COVERAGE = (0.87, 0.93)
PRODUCT, PLAIN = "life model", "plain reading"


@dataclass(frozen=True)
class Design:
    """A way in which fleets and their records come about.

    Parameters
    ----------
    answers : callable
        Random generator and number of vehicles to the models of one fleet, by reading; the plain reading has a
        second model for the life ratio where it differs.
    variance : float
        True variance of the frailty.
    raised : bool
        Whether vehicles are raised.
    """

    answers: Callable[[np.random.Generator, int], dict[str, tuple[ComponentModel, ...]]]
    variance: float = 0.0
    raised: bool = False

    def truth(self) -> dict[str, float]:
        """True values of a fresh part on a random vehicle of the reference duty at factory height."""
        true = {"shape": SHAPE, "B10": self._life(0.1), "median": self._life(0.5)}
        return true | ({"life ratio": LIFE_RATIO} if self.raised else {})

    def _life(self, fraction: float) -> float:
        spent = -math.log1p(-fraction)
        if self.variance > 0:
            spent = math.expm1(self.variance * spent) / self.variance
        return SCALE * spent ** (1.0 / SHAPE)


def _fitted(coded: ComponentLives) -> ComponentModel:
    """The program's own model."""
    return fit_components({COMPONENT: coded}, labels={COMPONENT: "joint"}, clocks={COMPONENT: "km"})[COMPONENT]


def _plain_model(data: LifeData, coding: Coding) -> ComponentModel:
    """A Weibull regression without priors, vehicles taken as alike, that the same questions can be put to."""
    fit = fit_lives(data)
    return ComponentModel(
        component=COMPONENT, label="joint", clock="km", basis="fitted", values=tuple(fit.values.tolist()),
        covariance=tuple(tuple(row) for row in fit.covariance.tolist()), coding=coding, lives=data.lives,
        failures=round(data.failures), vehicles=len(np.unique(data.cluster)), log_likelihood=fit.log_likelihood,
        converged=fit.converged, note="",
    )  # fmt: skip


def _plain_coding(*, duties: tuple[str, ...], raised: bool) -> Coding:
    """Duty and plain lift."""
    shares = DUTY_SHARES if len(duties) > 1 else (1.0,)
    return Coding(duties, shares, "lift" if raised else "none", 0.0, (0.0, RAISED), None)


def _duty_design(duty: np.ndarray) -> np.ndarray:
    """An intercept and a column for each duty but the reference."""
    return np.column_stack([np.ones(len(duty)), *(duty == level for level in range(1, len(DUTIES)))]).astype(float)


def _plain_from_ages(age: np.ndarray, failed: np.ndarray, duty: np.ndarray, vehicle: np.ndarray) -> ComponentModel:
    """Ages taken from new, failures taken as seen to the kilometre."""
    data = build_life_data(
        entry=np.zeros(len(age)),
        stop_low=age,
        stop_high=np.where(failed, age, np.inf),
        design=_duty_design(duty),
        cluster=vehicle,
    )
    return _plain_model(data, _plain_coding(duties=DUTIES, raised=False))


def _recorded_fleet(rng: np.random.Generator, count: int, *, covered: float) -> dict[str, tuple[ComponentModel, ...]]:
    """A fleet whose records cover the last part of each vehicle's service."""
    vehicles = drawn_vehicles(rng, count)
    lives = drawn_lives(rng, vehicles)
    begins = np.array([(1.0 - covered) * vehicle.service for vehicle in vehicles])
    frame = pd.DataFrame(lives)
    number = frame["vehicle"].to_numpy()
    start, end = np.maximum(frame["fitted"], begins[number]).to_numpy(), frame["end"].to_numpy()
    seen = end > start
    duty = np.array([vehicle.duty for vehicle in vehicles])[number]
    plain = _plain_from_ages((end - start)[seen], frame["failed"].to_numpy()[seen], duty[seen], number[seen])
    return {PRODUCT: (_fitted(coded_lives(vehicles, lives, begins=begins)),), PLAIN: (plain,)}


def _clean(rng: np.random.Generator, count: int) -> dict[str, tuple[ComponentModel, ...]]:
    return _recorded_fleet(rng, count, covered=1.0)


def _late(rng: np.random.Generator, count: int) -> dict[str, tuple[ComponentModel, ...]]:
    return _recorded_fleet(rng, count, covered=COVERED)


def _looks(rng: np.random.Generator, count: int) -> dict[str, tuple[ComponentModel, ...]]:
    made = inspected_fleet(rng, count)
    settled = settle_fleet(made.fleet, build_histories(made.fleet))
    model = fit_fleet(made.fleet, settled.coded, lost=settled.lost)
    return {PRODUCT: (model.components[COMPONENT],), PLAIN: (_plain_of_lines(made),)}


def _plain_of_lines(made: InspectedFleet) -> ComponentModel:
    """From one line of a position to its next, and from the last to the end of the record."""
    ages, failed, vehicles = [], [], []
    known = made.lines[made.lines["position"] != ""]
    by_position = {key: group.to_numpy() for key, group in known.groupby(["vehicle", "position"])["distance"]}
    for number, vehicle in enumerate(made.vehicles):
        for position in POSITIONS:
            ends = np.append(by_position.get((number, position), np.zeros(0)), vehicle.service)
            ages += np.diff(ends, prepend=0.0).tolist()
            failed += [True] * (len(ends) - 1) + [False]
            vehicles += [number] * len(ends)
    number = np.array(vehicles)
    duty = np.array([vehicle.duty for vehicle in made.vehicles])[number]
    return _plain_from_ages(np.array(ages), np.array(failed), duty, number)


def _raised(rng: np.random.Generator, count: int) -> dict[str, tuple[ComponentModel, ...]]:
    vehicles = drawn_vehicles(rng, count, raised=True, variance=FRAILTY)
    coded = coded_lives(vehicles, drawn_lives(rng, vehicles))
    data = coded.dated
    duty = np.array([vehicle.duty for vehicle in vehicles])[data.cluster[data.life]]
    lift = data.design[:, -1:]
    with_duty = replace(data, design=np.hstack([_duty_design(duty), lift]))
    without = replace(data, design=np.hstack([np.ones_like(lift), lift]))
    plain = _plain_model(with_duty, _plain_coding(duties=DUTIES, raised=True))
    ratio = _plain_model(without, _plain_coding(duties=DUTIES[:1], raised=True))
    return {PRODUCT: (_fitted(coded),), PLAIN: (plain, ratio)}


DESIGNS = {
    "clean": Design(_clean),
    "late": Design(_late),
    "looks": Design(_looks),
    "raised": Design(_raised, variance=FRAILTY, raised=True),
}


def bands_of(models: tuple[ComponentModel, ...], *, raised: bool) -> dict[str, Band]:
    """Estimates and 90 % intervals as users see them; the life ratio from the last model."""
    model, duty = models[0], DUTIES[0]
    error = math.sqrt(model.covariance[-1][-1])
    bands = {
        "shape": Band(*(np.array(math.exp(model.values[-1] + z * error)) for z in (0.0, -Z, Z))),
        "B10": life_band(model, fraction=0.1, duty=duty, confidence=CONFIDENCE),
        "median": life_band(model, fraction=0.5, duty=duty, confidence=CONFIDENCE),
    }
    if raised:
        bands["life ratio"] = life_ratio_band(models[-1], lift=RAISED, duty=duty, confidence=CONFIDENCE)
    return bands


def study(name: str, *, fleets: int, vehicles: int, seed: int = 1) -> pd.DataFrame:
    """One row for each fleet of a design, reading and quantity: error relative to the truth, and the interval."""
    design, rows = DESIGNS[name], []
    truth = design.truth()
    for number in range(fleets):
        rng = np.random.default_rng([seed, list(DESIGNS).index(name), number])
        for reading, models in design.answers(rng, vehicles).items():
            for quantity, band in bands_of(models, raised=design.raised).items():
                true = truth[quantity]
                rows.append(
                    {
                        "design": name, "reading": reading, "quantity": quantity, "fleet": number,
                        "error": float(band.estimate) / true - 1.0, "held": bool(band.low <= true <= band.high),
                        "width": math.log(float(band.high) / float(band.low)), "failures": models[0].failures,
                        "converged": models[0].converged, "variance": models[0].frailty_variance,
                    }
                )  # fmt: skip
    return pd.DataFrame(rows)


def summary(errors: pd.DataFrame) -> pd.DataFrame:
    """Bias and coverage with their Monte Carlo standard errors, one row a design, reading and quantity."""
    keys = ["design", "quantity", "reading"]
    groups = errors.groupby(keys, sort=False)
    count = groups.size()
    table = pd.DataFrame(
        {
            "bias": groups["error"].mean(),
            "bias_error": groups["error"].std() / np.sqrt(count),
            "spread": groups["error"].std(),
            "cover": groups["held"].mean(),
            "cover_error": np.sqrt(groups["held"].mean() * (1.0 - groups["held"].mean()) / count),
            "width": groups["width"].mean(),
            "failures": groups["failures"].mean(),
            "converged": groups["converged"].mean(),
            "variance": groups["variance"].mean(),
        }
    )
    return table.reset_index()


def within_aim(row: "pd.Series") -> bool:
    """Whether bias and coverage are within the aim."""
    return abs(row["bias"]) < LARGEST_BIAS[row["quantity"]] and COVERAGE[0] <= row["cover"] <= COVERAGE[1]


def as_text(table: pd.DataFrame) -> str:
    """A markdown table: the life model beside the plain reading."""
    lines = [
        "| design | quantity | bias | coverage | within the aim | plain: bias | plain: coverage |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for (design, quantity), pair in table.groupby(["design", "quantity"], sort=False):
        cells = []
        for reading in (PRODUCT, PLAIN):
            row = pair[pair["reading"] == reading].iloc[0]
            cells += [
                f"{row['bias']:+.1%} ± {row['bias_error']:.1%}", f"{row['cover']:.1%} ± {row['cover_error']:.1%}"
            ]  # fmt: skip
            if reading == PRODUCT:
                cells.append("yes" if within_aim(row) else "no")
        lines.append(f"| {design} | {quantity} | {' | '.join(cells)} |")
    return "\n".join(lines)


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--fleets", type=int, default=200)
    parser.add_argument("--vehicles", type=int, default=150)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--designs", nargs="+", default=list(DESIGNS), choices=list(DESIGNS))
    options = parser.parse_args()
    parts = []
    for name in options.designs:
        begun = time.perf_counter()
        found = study(name, fleets=options.fleets, vehicles=options.vehicles, seed=options.seed)
        seconds = (time.perf_counter() - begun) / options.fleets
        parts.append(found)
        print(f"{name}: {options.fleets} fleets of {options.vehicles} vehicles, {seconds:.2f} s a fleet", flush=True)
    table = summary(pd.concat(parts, ignore_index=True))
    print(table.round(4).to_string(index=False), as_text(table), sep="\n\n", file=sys.stdout)
    return 0


if __name__ == "__main__":
    sys.exit(main())
