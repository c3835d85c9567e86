"""Table `inspection_plan`: how often to look at parts whose wear shows for a while before it does harm."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.policy.inspection import inspection_cost_rate, missed_share
from wearmodel.survival.comebacks import share_interval
from wearmodel.survival.model import ComponentModel, LifeModel, law
from wearmodel.survival.weibull import mean_life

__all__ = ["DEFAULT_FIND_CHANCE", "DEFAULT_LOOK_HOURS", "Delay", "estimate_delay", "plan_inspections"]

Array = NDArray[Any]
_Money = Mapping[str, Mapping[str, float]]
#: Chance that a look finds a defect that is there, and hours of one look; common practice, no source.
DEFAULT_FIND_CHANCE, DEFAULT_LOOK_HOURS = 0.9, 0.1
#: Mean delay where the record does not tell it, in service intervals; common practice, no source.
_DEFAULT_DELAY = 1.0
#: Defects found and failed that a record must hold before a delay is read from it.
_FEWEST = 10
_CONFIDENCE = 0.9
_PRICES = ("part_price", "planned_cost", "road_cost", "planned_downtime_hours", "failed_downtime_hours")
_SHORTEST, _LONGEST = 0.02, 20.0
_STEPS = 400
_COLUMNS = [
    "component", "found", "failed", "looks_every", "mean_delay", "delay_lower", "delay_upper", "delay_source",
    "find_chance", "best_every", "best_every_downtime", "missed_now", "lost_half", "lost_now", "lost_double",
    "cost_now", "cost_best", "sentence",
]  # fmt: skip


@dataclass(frozen=True)
class Delay:
    """How long a defect shows before it does harm.

    Parameters
    ----------
    mean, lower, upper : float
        Mean distance from a defect that can be seen to the failure, with its 90 % limits [distance]; limits are NaN
        where it is not from the record, `upper` is infinite where the record holds hardly a failure.
    source : str
        `record` or `default`.
    """

    mean: float
    lower: float
    upper: float
    source: str


def estimate_delay(*, found: float, failed: float, every: float, find_chance: float = DEFAULT_FIND_CHANCE) -> Delay:
    """Mean delay from how many defects were found in time.

    Parameters
    ----------
    found, failed : float
        Wear found at looks, and wear that failed before one, 0 or more.
    every : float
        Distance between looks, above 0 [distance].
    find_chance : float
        Chance that a look finds a defect that is there, above 0 to 1.

    Returns
    -------
    Delay
        From the record with 10 defects or more, some found and some not; else one service interval, as a default.

    Notes
    -----
    With looks every T the share missed b(T / delay) falls from 1 to 0 as the delay grows: the delay is where it equals
    the share that failed, its limits where it equals the Clopper-Pearson limits of that share.
    """
    total = found + failed
    if total < _FEWEST or found <= 0 or failed <= 0:
        return Delay(_DEFAULT_DELAY * every, math.nan, math.nan, "default")
    low, high = share_interval(np.array(failed), np.array(total), confidence=_CONFIDENCE)
    shares = (failed / total, float(high), float(low))
    mean, lower, upper = (_delay_at(share, every, find_chance) for share in shares)
    return Delay(mean, lower, upper, "record")


def _delay_at(share: float, every: float, find_chance: float) -> float:
    """Mean delay at which a share of the defects is missed; bisection on its logarithm."""
    low, high = math.log(1e-6 * every), math.log(1e6 * every)
    for _ in range(80):
        middle = (low + high) / 2.0
        missed = float(missed_share(every, mean_delay=math.exp(middle), find_chance=find_chance))
        low, high = (middle, high) if missed > share else (low, middle)
    return math.exp((low + high) / 2.0)


def plan_inspections(
    fleet: LifeModel,
    *,
    lives: pd.DataFrame,
    inspections: pd.DataFrame,
    costs: pd.DataFrame,
    yearly: Mapping[str, float],
    labour_rate: float,
    downtime_cost: float,
) -> pd.DataFrame:
    """Table `inspection_plan`.

    Parameters
    ----------
    fleet : LifeModel
        Life models and service interval.
    lives : pandas.DataFrame
        All lives with `component, ended, chance, look_gap`.
    inspections : pandas.DataFrame
        Clean table: components whose positions nobody ever looked at are left out.
    costs : pandas.DataFrame
        From `wearmodel.policy.costs.build_costs`.
    yearly : mapping of str to float
        Distance that all parts of a component on a vehicle run in a year, by component [distance / vehicle-year].
    labour_rate, downtime_cost : float
        Of an hour [currency / h].

    Returns
    -------
    pandas.DataFrame
        One row a component of which wear was found at looks: counts, distance between looks in the record, mean
        delay with limits and source, distance between looks of the least cost and of the least time standing, share
        of defects missed at the present rhythm, failures per 100 vehicle-years with looks half, as and twice as far
        apart as now, cost per 1000 distance of a part at the present and the best rhythm, and a sentence.

    Notes
    -----
    Delay-time model (Christer & Waller 1984, see `wearmodel.policy.inspection`); defects arise at the rate at which
    parts wear out in the long run, over the fleet's mix of work at factory height. A boot that is missed costs its
    joint as well.
    """
    looked = set(lives.loc[lives["position"].isin(inspections["position"].unique()), "component"])
    prices = costs.set_index("component")[list(_PRICES)].astype(float).to_dict("index")
    money = {str(code): {str(name): float(value) for name, value in row.items()} for code, row in prices.items()}
    rows = []
    for code, own in fleet.components.items():
        wear = lives[(lives["component"] == code) & lives["ended"].isin(["failed", "worn"])]
        found = float(wear.loc[wear["ended"] == "worn", "chance"].sum())
        if own.basis == "bound only" or code not in looked or found <= 0 or code not in yearly:
            continue
        case = _Case(own, fleet, money, wear, found, yearly[code], labour_rate, downtime_cost)
        rows.append(case.row())
    return pd.DataFrame(rows, columns=_COLUMNS)


class _Case:
    """One component."""

    def __init__(
        self, own: ComponentModel, fleet: LifeModel, money: _Money, wear: pd.DataFrame, found: float,
        yearly: float, labour_rate: float, downtime_cost: float,
    ) -> None:  # fmt: skip
        self.own, self.unit, self.yearly = own, fleet.distance_unit, yearly
        self.found, self.failed = found, float(wear["chance"].sum()) - found
        gap = wear["look_gap"].to_numpy(dtype=float)
        gap = gap[gap > 0]
        self.every = float(np.median(gap)) if len(gap) else float(fleet.service_interval)
        self.delay = estimate_delay(found=self.found, failed=self.failed, every=self.every)
        point = law(own, lift=0.0)
        mean = float(mean_life(shape=point.shape, scale=point.scale, variance=0.0))
        self.rate = 1.0 / mean
        price = self._prices(money, labour_rate + downtime_cost)
        self.cost = {**price, "defect_rate": self.rate, "mean_delay": self.delay.mean}
        self.standing = {
            "inspection_cost": DEFAULT_LOOK_HOURS,
            "found_cost": money[own.component]["planned_downtime_hours"],
            "failed_cost": money[own.component]["failed_downtime_hours"],
            "defect_rate": self.rate,
            "mean_delay": self.delay.mean,
        }

    def _prices(self, money: _Money, hour: float) -> dict[str, float]:
        """Cost of a look, of a defect put right in time, and of one that was missed."""
        code = self.own.component
        missed = money[code]["road_cost"]
        joint = code.replace("boot", "joint")
        if joint != code and joint in money:
            # The joint has run dry: it is renewed with its boot, the labour once.
            missed = money[joint]["road_cost"] + money[code]["part_price"]
        return {
            "inspection_cost": DEFAULT_LOOK_HOURS * hour,
            "found_cost": money[code]["planned_cost"],
            "failed_cost": missed,
        }

    def _best(self, terms: Mapping[str, float]) -> float:
        """Distance between looks of the least cost on a fine grid; infinite where looking never pays, NaN unknown."""
        if not all(math.isfinite(value) for value in terms.values()):
            return math.nan
        grid = self.delay.mean * np.geomspace(_SHORTEST, _LONGEST, _STEPS)
        cost = inspection_cost_rate(np.append(grid, np.inf), find_chance=DEFAULT_FIND_CHANCE, **terms)
        return float(np.append(grid, np.inf)[int(np.argmin(cost))])

    def _cost(self, every: float) -> float:
        return 1000.0 * float(inspection_cost_rate(every, find_chance=DEFAULT_FIND_CHANCE, **self.cost))

    def _missed(self, every: float) -> float:
        return float(missed_share(every, mean_delay=self.delay.mean, find_chance=DEFAULT_FIND_CHANCE))

    def row(self) -> tuple[object, ...]:
        """The row of the table."""
        best, standing = self._best(self.cost), self._best(self.standing)
        lost = [100.0 * self.yearly * self.rate * self._missed(factor * self.every) for factor in (0.5, 1.0, 2.0)]
        delay = self.delay
        return (
            self.own.component, self.found, self.failed, self.every, delay.mean, delay.lower, delay.upper, delay.source,
            DEFAULT_FIND_CHANCE, best, standing, self._missed(self.every), *lost, self._cost(self.every),
            math.nan if math.isnan(best) else self._cost(best), self._sentence(best, lost),
        )  # fmt: skip

    def _sentence(self, best: float, lost: list[float]) -> str:
        """What to do, and what it rests on."""
        rests = (
            f"{self.found:.0f} found at looks and {self.failed:.0f} failed before one"
            if self.delay.source == "record"
            else "an assumed delay of one interval between looks: the record does not tell it"
        )
        less, now, more = lost
        text = f"Looked at every {self.every:,.0f} {self.unit}, {now:.1f} a 100 vehicle-years fail unseen"
        text += f"; {less:.1f} with twice as many looks, {more:.1f} with half as many. "
        if math.isnan(best):
            return f"{text}No cost is known, so no best rhythm. Rests on {rests}."
        if math.isinf(best):
            return f"{text}Looking for these alone does not pay; look while the vehicle is in. Rests on {rests}."
        return f"{text}Least cost at about {best:,.0f} {self.unit}. Rests on {rests}."
