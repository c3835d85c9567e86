"""Table of clocks: which components age by distance and which by years, with a sentence on what to do."""

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.history.histories import Histories
from wearmodel.processes import each
from wearmodel.survival.clock_choice import ClockComparison, ClockLives, compare_clocks
from wearmodel.survival.coding import Coding, design_row
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.life_data import build_stretched_life_data

__all__ = ["FEWEST_FOR_A_CLOCK", "build_clock_lives", "build_clocks", "components_by_age"]

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
        median_years`; rows `distance`, `age` and `mixed` of each component. `log_likelihood` is per day on every
        clock, `difference` to distance's, `z` that difference over its standard error by vehicle (row `age`),
        `rate` what a day counts for [distance / d] (row `mixed`; NaN where that is age alone), `b10_years` and
        `median_years` the ages by which a tenth and half have worn out at the fleet's mix of duty and factory
        height (row `age`). One row of a component is chosen, none where `fleet.toml` sets hours. Empty where the
        record counts days.

    Notes
    -----
    Distance stays unless age is clearly better, see `ClockComparison.age_is_better`, or `fleet.toml` says so; the
    mixed clock is for information. Life models and predictions go by the clock that is chosen here.
    """

    def rows_of(code: str) -> list[dict[str, object]]:
        lives = build_clock_lives(coded[code], histories)
        failures = lives.distance.failures if lives is not None else 0.0
        compared = compare_clocks(lives) if lives is not None and failures >= FEWEST_FOR_A_CLOCK else None
        telling = _Telling(labels[code], distance_unit, set_clocks[code], failures, compared, coded[code].coding)
        return [{"component": code, "failures": failures, **row} for row in telling.rows()]

    codes = [code for code, mine in coded.items() if distance_unit != "days" and mine.data is not None]
    found = each(rows_of, codes, sizes=[coded[code].dated.lives for code in codes])
    return pd.DataFrame([row for rows in found for row in rows], columns=list(_COLUMNS))


def components_by_age(clocks: pd.DataFrame) -> tuple[str, ...]:
    """Components that age by time.

    Parameters
    ----------
    clocks : pandas.DataFrame
        Table `clocks`.

    Returns
    -------
    tuple of str
        Those whose chosen row is that of age.
    """
    chosen = clocks["chosen"].astype(bool) & (clocks["clock"] == "age")
    return tuple(str(code) for code in clocks.loc[chosen, "component"])


def build_clock_lives(mine: ComponentLives, histories: Histories) -> ClockLives | None:
    """The lives of one component with ages in distance and in days.

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
    kept = (days["stop_low"] > days["entry"]) | (
        (days["stop_high"] > days["stop_low"]) & np.isfinite(days["stop_high"])
    )
    # An exact failure stays exact: the same kind of end on both clocks.
    kept &= ~((ages["stop_high"] > ages["stop_low"]) & (days["stop_high"] == days["stop_low"]))
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
    both = [
        build_stretched_life_data(
            segment_from=low[inside], segment_to=high[inside], **common, **{n: v[kept] for n, v in one.items()}
        )
        for (low, high), one in zip(bounds, (ages, days), strict=True)
    ]
    return ClockLives(both[0], both[1], _pace(lives, days, histories)[kept])


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


def _pace(lives: pd.DataFrame, days: Mapping[str, Array], histories: Histories) -> Array:
    """Running a day in the weeks before the end of each life."""
    vehicle, start = lives["vehicle"].to_numpy(), lives["start_day"].to_numpy(dtype=float)
    length = np.maximum(days["stop_low"], 1.0)
    weeks = np.minimum(_PACE_DAYS, length)
    end = start + length
    ran = histories.curves.distance_at(vehicle, end) - histories.curves.distance_at(vehicle, end - weeks)
    mean = np.maximum(lives["stop_low"].to_numpy(dtype=float), 1e-9) / length
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
    ) -> None:
        self.label, self.unit, self.set_clock, self.failures = label, unit, set_clock, failures
        self.found = compared
        self.running = "distance" if unit in ("km", "mi") else f"running {unit}"
        self.b10, self.median = (math.nan, math.nan) if compared is None else _years(compared, coding)

    @property
    def chosen(self) -> str:
        """Clock of the chosen row; empty where fleet.toml sets one that the record does not hold."""
        if self.set_clock != self.unit:
            return "age" if self.set_clock == "days" else ""
        return "age" if self.found is not None and self.found.age_is_better else "distance"

    def rows(self) -> list[dict[str, object]]:
        """Rows of the three clocks; the verdict stands on the chosen one, or else on the first."""
        found, verdict_at = self.found, self.chosen or "distance"
        sentences = {"mixed": self._of_mixed(), verdict_at: self._verdict()}
        values = dict.fromkeys(("distance", "age", "mixed"), math.nan)
        if found is not None:
            values = {"distance": found.distance, "age": found.age, "mixed": found.mixed}
        more: dict[str, dict[str, object]] = {
            "age": {"z": math.nan if found is None else found.z, "b10_years": self.b10, "median_years": self.median},
            "mixed": {"rate": found.rate if found is not None and math.isfinite(found.rate) else math.nan},
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
            return (
                f"fleet.toml sets {self.set_clock} as the clock of {self.label}; the record counts {self.unit}, and "
                f"predictions go by {'time' + self._by_age() if self.set_clock == 'days' else self.unit}."
            )
        count = f"{self.failures:.0f} failures"
        if self.found is None:
            return (
                f"Only {count} with both clocks known, and telling them apart needs {FEWEST_FOR_A_CLOCK:.0f}: "
                f"{self.running} stays."
            )
        better = self.found.age - self.found.distance
        if self.found.age_is_better:
            return (
                f"Time since fitting explains these {count} clearly better than {self.running} (log-likelihood "
                f"{better:.1f} higher), so predictions go by time{self._by_age()}. Work that is easier on "
                "vehicles that run much, and is not on record, would look the same."
            )
        if self.found.distance_is_better:
            return f"{self.running.capitalize()} explains these {count} clearly better than time since fitting."
        return (
            f"These {count} do not tell {self.running} from time since fitting (log-likelihood of time {better:+.1f}): "
            f"{self.running} stays."
        )

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


def _years(found: ClockComparison, coding: Coding) -> tuple[float, float]:
    """Ages by which a tenth and half have worn out, at the fleet's mix of duty and factory height."""
    log_scale = float(design_row(coding) @ found.age_values[:-1])
    shape = math.exp(found.age_values[-1])
    tenth, half = (math.exp(log_scale) * (-math.log1p(-share)) ** (1.0 / shape) / _YEAR for share in (0.1, 0.5))
    return tenth, half
