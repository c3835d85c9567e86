"""Runs every vehicle of an invented fleet and puts what happened on the calendar."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.simulate.clock import FleetMonths, Place, UnitClock, build_clock, draw_months, places_of
from wearmodel.simulate.life_events import LifeEvent, Look, simulate_unit
from wearmodel.simulate.scenario import ComponentLaw
from wearmodel.simulate.units import Unit, draw_engine_hours, draw_units

__all__ = ["FleetRun", "run_fleet"]


@dataclass(frozen=True)
class FleetRun:
    """What truly happened, before the shop writes anything down.

    Parameters
    ----------
    units : tuple of Unit
        The vehicles.
    months : FleetMonths
        The months of the simulation.
    places : mapping of str to tuple of Place
        Positions of each vehicle.
    clocks : mapping of str to UnitClock
        Odometer and operational clocks of each vehicle.
    lives, looks : pandas.DataFrame
        As in `SimulatedFleet`.
    """

    units: tuple[Unit, ...]
    months: FleetMonths
    places: Mapping[str, tuple[Place, ...]]
    clocks: Mapping[str, UnitClock]
    lives: pd.DataFrame
    looks: pd.DataFrame


def run_fleet(
    rng: np.random.Generator,
    *,
    vehicles: int,
    records_day: int,
    as_of_day: int,
    last_day: int,
    frailty_variance: float,
    laws: Mapping[str, ComponentLaw],
    engine_hours: bool = False,
    bought_together: float = 0.0,
    swing: float = 0.0,
) -> FleetRun:
    """Draw the vehicles and run each from new to its last day.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    vehicles : int
        Number of vehicles.
    records_day, as_of_day, last_day : int
        First and last day of the record and last of the simulation, counted from 1970-01-01.
    frailty_variance : float
        Variance of the vehicles' gamma frailty; 0 for none.
    laws : mapping of str to ComponentLaw
        The true laws.
    engine_hours : bool
        Whether vehicles have engine hours, which a law by hours needs.
    bought_together : float
        Share of the vehicles that joined new within one year.
    swing : float
        Half the swing of the whole fleet's use through the year.

    Returns
    -------
    FleetRun
        All that happened from each vehicle's first day to its last, recorded or not.
    """
    units = draw_units(
        rng,
        vehicles=vehicles,
        records_day=records_day,
        as_of_day=as_of_day,
        frailty_variance=frailty_variance,
        bought_together=bought_together,
    )
    if engine_hours:
        units = draw_engine_hours(rng, units)
    months = draw_months(rng, first_day=min(unit.built_day for unit in units), last_day=last_day, swing=swing)
    known: dict[tuple[str, str], tuple[Place, ...]] = {}
    places: dict[str, tuple[Place, ...]] = {}
    clocks: dict[str, UnitClock] = {}
    lives: list[LifeEvent] = []
    looks: list[Look] = []
    # A stream of chance for each vehicle: one vehicle's events never shift another's.
    for unit, own in zip(units, rng.spawn(len(units)), strict=True):
        kind = (unit.vehicle_class, unit.driveline)
        if kind not in known:
            known[kind] = places_of(*kind)
        places[unit.unit] = known[kind]
        clock = build_clock(own, unit, places=known[kind], months=months, laws=laws, last_day=last_day)
        history = simulate_unit(own, unit, places=known[kind], clock=clock, laws=laws)
        clocks[unit.unit] = clock
        lives.extend(history.lives)
        looks.extend(history.looks)
    return FleetRun(
        units=units,
        months=months,
        places=places,
        clocks=clocks,
        lives=_date_lives(pd.DataFrame(lives, columns=list(LifeEvent._fields)), units, clocks, as_of_day),
        looks=_date_looks(pd.DataFrame(looks, columns=list(Look._fields)), units, clocks, as_of_day),
    )


def _date_lives(
    lives: pd.DataFrame, units: Sequence[Unit], clocks: Mapping[str, UnitClock], as_of_day: int
) -> pd.DataFrame:
    """Lives with their vehicle, their days, the odometer the shop reads, and whether it saw their end."""
    columns = ["unit", "vehicle_class", "duty"]
    about = pd.DataFrame([(u.unit, u.vehicle_class, u.duty) for u in units], columns=columns)
    dated = lives.merge(about, on="unit", how="left", validate="many_to_one")
    for name in ("start", "worn", "end"):
        dated[f"{name}_day"] = _days(dated, f"{name}_odometer", clocks)
    # A limit that lies beyond the simulation has no day.
    dated["worn_day"] = dated["worn_day"].where(np.isfinite(dated["worn_odometer"]))
    dated["month"] = dated["end_day"].to_numpy().astype("datetime64[D]").astype("datetime64[M]").astype(str)
    dated["shown_odometer"] = _shown(dated, "end_day", clocks)
    renewed = ~dated["ended"].isin(["in_service", "retired"])
    dated["recorded"] = renewed & _in_record(dated, "end_day", units, as_of_day)
    return dated


def _date_looks(
    looks: pd.DataFrame, units: Sequence[Unit], clocks: Mapping[str, UnitClock], as_of_day: int
) -> pd.DataFrame:
    """Looks with their day, the odometer the shop reads, and whether they are in the record."""
    dated = looks.assign(day=_days(looks, "odometer", clocks))
    dated["shown_odometer"] = _shown(dated, "day", clocks)
    dated["recorded"] = _in_record(dated, "day", units, as_of_day)
    return dated


def _days(frame: pd.DataFrame, column: str, clocks: Mapping[str, UnitClock]) -> npt.NDArray[np.int64]:
    """Day on which each row's odometer stood there."""
    days = np.empty(len(frame), dtype=np.int64)
    odometer = frame[column].to_numpy(dtype=np.float64)
    for unit, rows in frame.groupby("unit").indices.items():
        clock = clocks[str(unit)]
        days[rows] = np.interp(odometer[rows], clock.odometer, clock.days)
    return days


def _shown(frame: pd.DataFrame, column: str, clocks: Mapping[str, UnitClock]) -> npt.NDArray[np.int64]:
    """Odometer the shop reads: that of noon of the day, so that all records of a day agree [km]."""
    shown = np.empty(len(frame), dtype=np.int64)
    days = frame[column].to_numpy(dtype=np.float64)
    for unit, rows in frame.groupby("unit").indices.items():
        shown[rows] = np.rint(clocks[str(unit)].odometer_on(days[rows]))
    return shown


def _in_record(
    frame: pd.DataFrame, column: str, units: Sequence[Unit], as_of_day: int
) -> npt.NDArray[np.bool_]:
    """Whether each row's day lies in its vehicle's record."""
    first = frame["unit"].map({unit.unit: unit.records_day for unit in units})
    last = frame["unit"].map({u.unit: as_of_day if u.out_day is None else u.out_day for u in units})
    return ((frame[column] >= first) & (frame[column] <= last)).to_numpy(dtype=np.bool_)
