"""What the forecast would have said on earlier days, from what was known then, against what came."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.backtest_tables import build_backtest_tables
from wearmodel.earlier_record import fleet_on
from wearmodel.errors import InputError, ModelError
from wearmodel.fleet_clocks import settle_on_clocks
from wearmodel.fleet_model import fit_fleet, own_lines
from wearmodel.forecast.demand import monthly_draws
from wearmodel.history.histories import build_histories
from wearmodel.intake.fleet import Fleet
from wearmodel.intake.part_groups import part_groups
from wearmodel.look_ahead import drawn_demand, drawn_futures, look_ahead

if TYPE_CHECKING:
    from wearmodel.plan import Plan

__all__ = ["ORIGINS", "Backtest", "Origin", "build_backtest", "with_earlier_forecasts"]

Array = NDArray[Any]
#: Days the forecast is made from, at most, and months from one to the next.
ORIGINS, _APART = 6, 6
#: A forecast from a shorter record than this is not made [months].
_SHORTEST_RECORD = 18
_KEYS = ["part_number", "component", "depot"]

Progress = Callable[[str], None]


@dataclass(frozen=True)
class Origin:
    """A forecast from an earlier day, and what came.

    Parameters
    ----------
    day : pandas.Timestamp
        The last day known.
    months : tuple of str
        Months ahead.
    keys : pandas.DataFrame
        Columns `part_number, component, depot` (index 0..n-1).
    draws : ndarray of int, shape (n_keys, n_months, n_draws)
        Drawn demand.
    actual : ndarray of int, shape (n_keys, n_months)
        Parts taken by the vehicles that were in the record on the day.
    past : ndarray of int, shape (n_keys, n_past_months)
        Parts taken in the whole months before, the oldest first.
    newcomers : int
        Parts taken in those months by vehicles that joined the record later, not counted in `actual`.
    leavers, vehicles : int
        Vehicles in service on the day that left within those months, and all of them.
    leavers_foreseen : float
        How many the forecast expected to leave.
    """

    day: pd.Timestamp
    months: tuple[str, ...]
    keys: pd.DataFrame
    draws: Array
    actual: Array
    past: Array
    newcomers: int
    leavers: int
    vehicles: int
    leavers_foreseen: float


@dataclass(frozen=True)
class Backtest:
    """Everything `wearmodel backtest` found out.

    Parameters
    ----------
    origins : tuple of Origin
        The oldest first.
    tables : mapping of str to pandas.DataFrame
        Result tables by name, see `wearmodel.backtest_tables.build_backtest_tables`.
    notes : tuple of str
        What could not be done, and how to read the rest.
    """

    origins: tuple[Origin, ...]
    tables: Mapping[str, pd.DataFrame]
    notes: tuple[str, ...]


def build_backtest(
    fleet: Fleet, *, months: int, seed: int, origins: int = ORIGINS, progress: Progress = lambda stage: None
) -> Backtest:
    """Forecasts from earlier days against what came.

    Parameters
    ----------
    fleet : Fleet
        Clean tables of the whole record.
    months : int
        Months ahead of each forecast.
    seed : int
        Seed of every draw.
    origins : int
        Days to forecast from, at most.
    progress : callable
        Told the name of each stage.

    Returns
    -------
    Backtest
        Forecasts from days half a year apart, the last one `months` before the end of the record.

    Raises
    ------
    InputError
        If the record is too short for a single one.
    """
    days = _origin_days(fleet, months, origins)
    taken = _parts_taken(fleet)
    found: list[Origin] = []
    notes: list[str] = []
    for day in days:
        progress(f"forecasting from {day:%Y-%m-%d}")
        try:
            found.append(_origin(fleet, day, months=months, seed=seed, taken=taken))
        except (InputError, ModelError) as error:
            notes.append(f"No forecast could be made from {day:%Y-%m-%d}: {error}")
    if not found:
        raise InputError("No earlier forecast could be made: " + (notes[0] if notes else "no day is early enough."))
    newcomers = sum(origin.newcomers for origin in found)
    if newcomers:
        notes.append(
            f"{newcomers:,} parts were taken by vehicles that joined the record after the day of a forecast; no "
            "forecast could know of them, and they are not counted."
        )
    leavers, vehicles = (sum(getattr(origin, name) for origin in found) for name in ("leavers", "vehicles"))
    if leavers:
        foreseen = sum(origin.leavers_foreseen for origin in found)
        notes.append(
            f"{leavers / vehicles:.0%} of the vehicles in service on the day of a forecast left within its months; the "
            f"forecasts expected {foreseen / vehicles:.0%} from what was known then. What joined later is not counted."
        )
    return Backtest(tuple(found), build_backtest_tables(found), tuple(notes))


def with_earlier_forecasts(
    plan: "Plan", fleet: Fleet, *, origins: int, progress: Progress = lambda stage: None
) -> "Plan":
    """A plan that also says how good its kind of forecast has been.

    Parameters
    ----------
    plan : Plan
        Of the same fleet.
    fleet : Fleet
        Clean tables of the whole record.
    origins : int
        Days to forecast from, at most; 0 for none.
    progress : callable
        Told the name of each stage.

    Returns
    -------
    Plan
        With the backtest and its tables, or with the reason why there is none.
    """
    if origins == 0:
        return plan
    try:
        found = build_backtest(fleet, months=plan.horizon, seed=plan.seed, origins=origins, progress=progress)
    except InputError as error:
        return replace(plan, why_no_backtest=str(error))
    return replace(plan, tables={**plan.tables, **found.tables}, backtest=found)


def _origin_days(fleet: Fleet, months: int, origins: int) -> list[pd.Timestamp]:
    """Ends of months to forecast from, the oldest first."""
    vehicles = fleet.tables["vehicles"]
    dates = [pd.to_datetime(vehicles[name]) for name in ("records_from", "in_service_date")]
    first = pd.concat(dates, axis=1).max(axis=1).min()
    whole = (fleet.as_of + pd.Timedelta(days=1)).to_period("M")
    ends = [(whole - months - _APART * back).to_timestamp() - pd.Timedelta(days=1) for back in range(origins)]
    days = [day for day in reversed(ends) if day >= first + pd.DateOffset(months=_SHORTEST_RECORD)]
    if not days:
        raise InputError(
            f"The record runs from {first:%Y-%m-%d} to {fleet.as_of:%Y-%m-%d}: too short to forecast {months} months "
            f"from an earlier day with {_SHORTEST_RECORD} months known; use a smaller --months or wait for a longer "
            "record."
        )
    return days


def _parts_taken(fleet: Fleet) -> pd.DataFrame:
    """Every part taken in the record: `unit, part_number, component, depot, month`, numbers as they are today."""
    histories = build_histories(fleet)
    lines = own_lines(histories)
    windows = histories.windows.set_index("unit")
    current = part_groups(fleet.tables["parts"])
    return pd.DataFrame(
        {
            "unit": lines["unit"].to_numpy(),
            "part_number": lines["part_number"].map(current).fillna("").to_numpy(),
            "component": lines["component"].to_numpy(),
            "depot": lines["unit"].map(windows["depot"]).to_numpy(),
            "month": lines["date"].dt.to_period("M").to_numpy(),
        }
    )


def _origin(fleet: Fleet, day: pd.Timestamp, *, months: int, seed: int, taken: pd.DataFrame) -> Origin:
    """The forecast from one day."""
    then = fleet_on(fleet, day)
    clocked = settle_on_clocks(then, build_histories(then)).settled
    histories, coded = clocked.histories, clocked.coded
    model = fit_fleet(then, coded, lost=clocked.lost)
    ahead = look_ahead(then, histories, coded, model, months=months)
    practice = "present_practice"
    futures = drawn_futures(ahead, model=model, worn_shares=coded.worn_shares, policies=[practice], seed=seed)
    demand = drawn_demand(futures[practice], fleet=then, coded=coded, ahead=ahead, seed=seed)
    known = taken["unit"].isin(then.tables["vehicles"]["unit"])
    first = pd.Period(day + pd.Timedelta(days=1), "M")
    ahead_of = (taken["month"] >= first) & (taken["month"] < first + months)
    came, before = taken[ahead_of & known], taken[(taken["month"] < first) & known]
    keys = _all_keys(demand.keys, came, before, set(model.components))
    draws = np.zeros((len(keys), months, demand.draws), dtype=np.int32)
    place = pd.MultiIndex.from_frame(keys[_KEYS]).get_indexer(pd.MultiIndex.from_frame(demand.keys[_KEYS]))
    draws[place] = monthly_draws(demand, months)
    oldest = taken["month"].min() if len(taken) else first
    serving = ~histories.windows["retired"].to_numpy(dtype=bool)
    leave, _ = ahead.changes.drawn_days(draws=demand.draws, seed=seed)
    return Origin(
        day=day,
        months=tuple(str(first + step) for step in range(months)),
        keys=keys,
        draws=draws,
        actual=_counted(came, keys, first, months),
        past=_counted(before, keys, oldest, (first - oldest).n),
        newcomers=int((ahead_of & ~known).sum()),
        leavers=_leavers(fleet, then, pd.Timestamp((first + months).to_timestamp())),
        vehicles=int(serving.sum()),
        leavers_foreseen=float((leave[serving] < ahead.usage.days[:months].sum()).mean(axis=1).sum()),
    )


def _leavers(fleet: Fleet, then: Fleet, end: pd.Timestamp) -> int:
    """Vehicles in service on the day of a forecast that left before its end."""
    out = fleet.tables["vehicles"].set_index("unit")["out_of_service_date"]
    known = then.tables["vehicles"]
    serving = known.loc[known["out_of_service_date"].isna(), "unit"]
    left = pd.to_datetime(out.reindex(serving))
    return int((left < end).sum())


def _all_keys(foreseen: pd.DataFrame, came: pd.DataFrame, before: pd.DataFrame, components: set[str]) -> pd.DataFrame:
    """Every part number and depot that was foreseen, came, or was taken before, of components that have a model."""
    every = pd.concat([foreseen[_KEYS], came[_KEYS], before[_KEYS]])
    every = every[every["component"].isin(sorted(components))]
    return every.drop_duplicates().sort_values(["component", "part_number", "depot"], ignore_index=True)


def _counted(taken: pd.DataFrame, keys: pd.DataFrame, first: pd.Period, months: int) -> Array:
    """Parts taken of each key in each month, shape (n_keys, months)."""
    key = pd.MultiIndex.from_frame(keys[_KEYS]).get_indexer(pd.MultiIndex.from_frame(taken[_KEYS]))
    month = np.array([(period - first).n for period in taken["month"]], dtype=np.intp)
    inside = (key >= 0) & (month >= 0) & (month < months)
    flat = key[inside] * months + month[inside]
    return np.bincount(flat, minlength=len(keys) * months).reshape(len(keys), months)
