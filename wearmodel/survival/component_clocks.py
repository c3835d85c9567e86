"""Table of clocks: which components age by distance, by years or by engine hours, with a sentence on what to do."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.history.age_clocks import build_hour_clock
from wearmodel.history.histories import Histories
from wearmodel.history.odometer import OdometerCurves
from wearmodel.processes import each
from wearmodel.survival.clock_choice import ClockComparison, ClockLives, compare_clocks
from wearmodel.survival.coding import Coding, design_row
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.life_data import build_stretched_life_data

__all__ = ["FEWEST_FOR_A_CLOCK", "build_clock_lives", "build_clocks", "components_by"]

Array = NDArray[Any]

#: Failures below which clocks are not compared: twice what a curve needs, since two curves are told apart.
FEWEST_FOR_A_CLOCK = 10.0
#: The pace at a failure is the mean over so many days before it [d] ...
_PACE_DAYS = 60.0
#: ... and at least this share of the life's own mean: a vehicle that stands may have stood because it failed.
_LEAST_PACE = 0.1
_YEAR = 365.25
_COLUMNS = (
    *("component", "clock", "log_likelihood", "difference", "chosen", "sentence"),
    *("failures", "z", "rate", "b10_years", "median_years"),
)


def build_clocks(
    histories: Histories,
    coded: Mapping[str, ComponentLives],
    *,
    labels: Mapping[str, str],
    set_clocks: Mapping[str, str],
    distance_unit: str,
) -> pd.DataFrame:
    """Table `clocks`: how well each clock explains each component's lives.

    Parameters
    ----------
    histories : Histories
        Lives, segments, windows and curves, ages in distance driven.
    coded : mapping of str to ComponentLives
        Coded lives by component.
    labels, set_clocks : mapping of str to str
        Words, and the clock that `fleet.toml` sets, by component.
    distance_unit : str
        What the record counts.

    Returns
    -------
    pandas.DataFrame
        Columns `component, clock, log_likelihood, difference, chosen, sentence, failures, z, rate, b10_years,
        median_years`; rows `distance`, `age`, `mixed` and, where engine hours are on record, `hours` of each component.
        `log_likelihood` is per day on every clock, `difference` to distance's, `z` that difference over its standard
        error by vehicle (rows `age` and `hours`), `rate` what a day counts for [distance / d] (row `mixed`; NaN where
        that is age alone) or an hour [distance / h] (row `hours`), `b10_years` and
        `median_years` the ages by which a tenth and half have worn out at the fleet's mix of duty and factory
        height (row `age`). One row of a component is chosen, none where `fleet.toml` sets a clock that is not on
        record. Empty where the record counts days.

    Notes
    -----
    Distance stays unless age or hours are clearly better, see `ClockComparison.chosen`, or `fleet.toml` says so; the
    mixed clock is for information. Life models and predictions go by the clock that is chosen here.
    """
    hours = histories.hours.curves
    an_hour = math.nan if hours is None else build_hour_clock(histories.windows, hours).hour_counts

    def rows_of(code: str) -> list[dict[str, object]]:
        mine = coded[code]
        lives = build_clock_lives(mine, histories)
        failures = lives.distance.failures if lives is not None else 0.0
        compared = compare_clocks(lives) if lives is not None and failures >= FEWEST_FOR_A_CLOCK else None
        telling = _Telling(labels[code], distance_unit, set_clocks[code], failures, compared, mine.coding, an_hour)
        return [{"component": code, "failures": failures, **row} for row in telling.rows()]

    codes = [code for code, mine in coded.items() if distance_unit != "days" and mine.data is not None]
    found = each(rows_of, codes, sizes=[coded[code].dated.lives for code in codes])
    return pd.DataFrame([row for rows in found for row in rows], columns=list(_COLUMNS))


def components_by(clocks: pd.DataFrame, clock: str) -> tuple[str, ...]:
    """Components that age by a clock.

    Parameters
    ----------
    clocks : pandas.DataFrame
        Table `clocks`.
    clock : str
        `distance`, `age` or `hours`.

    Returns
    -------
    tuple of str
        Those whose chosen row is that of the clock.
    """
    chosen = clocks["chosen"].astype(bool) & (clocks["clock"] == clock)
    return tuple(str(code) for code in clocks.loc[chosen, "component"])


def build_clock_lives(mine: ComponentLives, histories: Histories) -> ClockLives | None:
    """The lives of one component with ages in distance, in days and, where they are on record, in engine hours.

    Parameters
    ----------
    mine : ComponentLives
        Coded lives.
    histories : Histories
        Where they come from.

    Returns
    -------
    ClockLives or None
        Lives of which time passed under observation; None without any. Dates of looks, and of changes of ride
        height, are those at which the odometer curve reaches the distance.
    """
    if mine.data is None:
        return None
    lives = histories.lives.iloc[mine.rows]
    segments = histories.segments[np.isin(histories.segments["life"].to_numpy(), mine.rows)]
    life = np.searchsorted(mine.rows, segments["life"].to_numpy())
    ages = {name: lives[name].to_numpy(dtype=float) for name in ("entry", "stop_low", "stop_high")}
    days = _ages_in_days(lives, histories)
    clocks = [ages, days]
    hours = histories.hours.curves
    if hours is not None:
        clocks.append({name: _in_hours(lives, values, hours) for name, values in days.items()})
    kept = np.logical_and.reduce([_comparable(one, ages) for one in clocks[1:]])
    if not kept.any():
        return None
    inside = kept[life]
    common = {
        "life": (np.cumsum(kept) - 1)[life[inside]],
        "design": mine.data.design[inside],
        "weight": mine.data.weight[kept],
        "cluster": mine.data.cluster[kept],
    }
    begin, end = segments["age_from"].to_numpy(), segments["age_to"].to_numpy()
    bounds = [(begin, end), _segment_days(lives, life, begin, end, histories)]
    if hours is not None:
        own = lives.iloc[life]
        bounds.append((_in_hours(own, bounds[1][0], hours), _in_hours(own, bounds[1][1], hours)))
    told = [
        build_stretched_life_data(
            segment_from=low[inside], segment_to=high[inside], **common, **{n: v[kept] for n, v in one.items()}
        )
        for (low, high), one in zip(bounds, clocks, strict=True)
    ]
    pace = _pace(lives, days, ages["stop_low"], histories.curves)[kept]
    if hours is None:
        return ClockLives(told[0], told[1], pace)
    return ClockLives(told[0], told[1], pace, told[2], _pace(lives, days, clocks[2]["stop_low"], hours)[kept])


def _comparable(one: Mapping[str, Array], ages: Mapping[str, Array]) -> Array:
    """Lives of which something passed on a clock, and that end in the same way as in distance: exact or not."""
    kept = (one["stop_low"] > one["entry"]) | ((one["stop_high"] > one["stop_low"]) & np.isfinite(one["stop_high"]))
    # An exact failure stays exact: the same kind of end on all clocks.
    return np.asarray(kept & ~((ages["stop_high"] > ages["stop_low"]) & (one["stop_high"] == one["stop_low"])))


def _in_hours(lives: pd.DataFrame, days: Array, hours: OdometerCurves) -> Array:
    """Engine hours that passed in so many days since fitting; infinite days are infinite hours."""
    vehicle, start = lives["vehicle"].to_numpy(), lives["start_day"].to_numpy(dtype=float)
    finite = np.where(np.isfinite(days), days, 0.0)
    ran = hours.distance_at(vehicle, start + finite) - hours.distance_at(vehicle, start)
    return np.where(np.isfinite(days), np.maximum(ran, 0.0), np.inf)


def _day_of_age(lives: pd.DataFrame, age: Array, histories: Histories) -> Array:
    """Days since fitting at which a life reached an age in distance; 0 where the curve does not tell."""
    start = lives["start_odometer"].to_numpy(dtype=float)
    day = histories.curves.day_at(lives["vehicle"].to_numpy(), start + age)
    return np.nan_to_num(np.maximum(day - lives["start_day"].to_numpy(dtype=float), 0.0), posinf=0.0)


def _ages_in_days(lives: pd.DataFrame, histories: Histories) -> dict[str, Array]:
    """Entry and stops of lives in days since fitting."""
    low, high = lives["stop_low"].to_numpy(dtype=float), lives["stop_high"].to_numpy(dtype=float)
    first = histories.windows["first_day"].to_numpy()[lives["vehicle"].to_numpy()]
    start, end = lives["start_day"].to_numpy(dtype=float), lives["end_day"].to_numpy(dtype=float)
    length = end - start
    entry = np.clip(first - start, 0.0, length)
    # What ended, or still ran, on the life's last day has that day; a look has the day of its distance.
    to_the_end = low >= (lives["end_odometer"] - lives["start_odometer"]).to_numpy(dtype=float) * (1.0 - 1e-9)
    seen = np.clip(np.where(to_the_end, length, _day_of_age(lives, low, histories)), entry, length)
    failed = np.isfinite(high)
    exact = failed & (high == low)
    return {
        "entry": entry,
        "stop_low": np.where(exact, length, seen),
        "stop_high": np.where(failed, length, np.inf),
    }


def _segment_days(
    lives: pd.DataFrame, life: Array, begin: Array, end: Array, histories: Histories
) -> tuple[Array, Array]:
    """Segments in days since fitting: contiguous, the first from 0, the last without end."""
    days = np.where(begin > 0, _day_of_age(lives.iloc[life], begin, histories), 0.0)
    return days, np.where(np.isfinite(end), np.append(days[1:], np.inf), np.inf)


def _pace(lives: pd.DataFrame, days: Mapping[str, Array], age: Array, curves: OdometerCurves) -> Array:
    """What curves go on a day in the weeks before the end of each life, `age` being the whole of it."""
    vehicle, start = lives["vehicle"].to_numpy(), lives["start_day"].to_numpy(dtype=float)
    length = np.maximum(days["stop_low"], 1.0)
    weeks = np.minimum(_PACE_DAYS, length)
    end = start + length
    ran = curves.distance_at(vehicle, end) - curves.distance_at(vehicle, end - weeks)
    mean = np.maximum(age, 1e-9) / length
    return np.maximum(ran / weeks, _LEAST_PACE * mean)


class _Telling:
    """The rows and sentences of one component."""

    def __init__(
        self,
        label: str,
        unit: str,
        set_clock: str,
        failures: float,
        compared: ClockComparison | None,
        coding: Coding,
        an_hour: float,
    ) -> None:
        self.label, self.unit, self.set_clock, self.failures = label, unit, set_clock, failures
        self.found, self.an_hour = compared, an_hour
        self.running = "distance" if unit in ("km", "mi") else f"running {unit}"
        days = (math.nan, math.nan) if compared is None else _worn_by(compared.age_values, coding)
        self.b10, self.median = (one / _YEAR for one in days)
        known = compared is not None and len(compared.hours_values) > 0
        self.worn_hours = _worn_by(compared.hours_values, coding) if compared is not None and known else None

    @property
    def chosen(self) -> str:
        """Clock of the chosen row; empty where fleet.toml sets one that the record does not hold."""
        if self.set_clock != self.unit:
            on_record = {"days": "age", "hours": "hours" if math.isfinite(self.an_hour) else ""}
            return on_record.get(self.set_clock, "")
        return "distance" if self.found is None else self.found.chosen

    def rows(self) -> list[dict[str, object]]:
        """Rows of all clocks; the verdict stands on the chosen one, or else on the first."""
        found, verdict_at = self.found, self.chosen or "distance"
        sentences = {"mixed": self._of_mixed(), verdict_at: self._verdict()}
        clocks = ("distance", "age", "mixed", *(["hours"] if math.isfinite(self.an_hour) else []))
        values = {clock: math.nan if found is None else float(getattr(found, clock)) for clock in clocks}
        more: dict[str, dict[str, object]] = {
            "age": {"z": math.nan if found is None else found.z, "b10_years": self.b10, "median_years": self.median},
            "mixed": {"rate": found.rate if found is not None and math.isfinite(found.rate) else math.nan},
            "hours": {"z": math.nan if found is None else found.hours_z, "rate": self.an_hour},
        }
        return [
            {
                "clock": clock,
                "log_likelihood": value,
                "difference": value - values["distance"],
                "chosen": clock == self.chosen,
                "sentence": sentences.get(clock, ""),
                **more.get(clock, {}),
            }
            for clock, value in values.items()
        ]

    def _verdict(self) -> str:
        """Which clock, why, and what to do."""
        if self.set_clock != self.unit:
            goes_by = {"age": f"time{self._by_age()}", "hours": f"engine hours{self._by_hours()}"}
            return (
                f"fleet.toml sets {self.set_clock} as the clock of {self.label}; the record counts {self.unit}, and "
                f"predictions go by {goes_by.get(self.chosen, self.unit)}."
            )
        count = f"{self.failures:.0f} failures"
        if self.found is None:
            clocks = "all" if math.isfinite(self.an_hour) else "both"
            return (
                f"Only {count} with {clocks} clocks known, and telling them apart needs {FEWEST_FOR_A_CLOCK:.0f}: "
                f"{self.running} stays."
            )
        if self.chosen == "hours":
            return self._hours_chosen(self.found, count)
        better = self.found.age - self.found.distance
        if self.found.age_is_better:
            return (
                f"Time since fitting explains these {count} clearly better than {self.running} (log-likelihood "
                f"{better:.1f} higher), so predictions go by time{self._by_age()}. Work that is easier on "
                f"vehicles that run much, and is not on record, would look the same.{self._of_hours(self.found)}"
            )
        if self.found.distance_is_better:
            better_than = f"{self.running.capitalize()} explains these {count} clearly better than time since fitting."
            return f"{better_than}{self._of_hours(self.found)}"
        return (
            f"These {count} do not tell {self.running} from time since fitting (log-likelihood of time {better:+.1f}): "
            f"{self.running} stays.{self._of_hours(self.found)}"
        )

    def _hours_chosen(self, found: ClockComparison, count: str) -> str:
        """Why predictions go by engine hours."""
        return (
            f"Engine hours explain these {count} clearly better than {self.running} (log-likelihood "
            f"{found.hours - found.distance:.1f} higher; time since fitting {found.age - found.distance:+.1f}), so "
            f"predictions go by each vehicle's engine hours{self._by_hours()}. Work that is harder where engines run "
            "long for little distance, and is not on record, would look the same."
        )

    def _of_hours(self, found: ClockComparison) -> str:
        """How engine hours do where another clock is chosen; empty where they are not on record."""
        if not math.isfinite(self.an_hour):
            return ""
        if math.isnan(found.hours):
            return " No fit by engine hours was found."
        return f" Engine hours stand at {found.hours - found.distance:+.1f} against {self.running}."

    def _by_hours(self) -> str:
        """The engine hours at which such parts are worn."""
        if self.worn_hours is None:
            return ""
        tenth, half = self.worn_hours
        return f": by the plain fit a tenth are worn by about {tenth:,.0f} hours, half by about {half:,.0f}"

    def _by_age(self) -> str:
        """The ages at which such parts are worn."""
        if math.isnan(self.median):
            return ""
        return (
            f": by the plain fit a tenth are worn by about {self.b10:.1f} years, half by about {self.median:.1f}"
        )

    def _of_mixed(self) -> str:
        """Whether both clocks count."""
        if self.found is None or not self.found.both_count:
            return ""
        return (
            f"Both count: a clock of {self.running} and {self.found.rate:,.0f} {self.unit} for each day explains the "
            "failures better than either alone."
        )


def _worn_by(values: Array, coding: Coding) -> tuple[float, float]:
    """Ages by which a tenth and half have worn out, at the fleet's mix of duty and factory height."""
    log_scale = float(design_row(coding) @ values[:-1])
    shape = math.exp(values[-1])
    tenth, half = (math.exp(log_scale) * (-math.log1p(-share)) ** (1.0 / shape) for share in (0.1, 0.5))
    return tenth, half
