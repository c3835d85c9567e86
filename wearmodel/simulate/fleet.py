"""Simulates a whole fleet and keeps both what the shop wrote down and what truly happened."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np
import pandas as pd

from wearmodel.simulate.catalogue import build_parts, build_stock
from wearmodel.simulate.dirt import add_dirt
from wearmodel.simulate.fleet_run import FleetRun, run_fleet
from wearmodel.simulate.repair_lines import build_repairs
from wearmodel.simulate.scenario import LAWS, ComponentLaw
from wearmodel.simulate.settings_text import settings_text
from wearmodel.simulate.shop_tables import (
    build_duty_log,
    build_inspections,
    build_readings,
    build_ride_height,
    build_usage,
    build_vehicles,
)
from wearmodel.simulate.truth import (
    TRUTH_VERSION,
    component_truth,
    future_truth,
    geometry_truth,
    recorded_truth,
)
from wearmodel.simulate.units import usual_hours

__all__ = ["SimulatedFleet", "simulate_fleet"]

_LAST_DAY = date(2026, 6, 30)


@dataclass(frozen=True)
class SimulatedFleet:
    """An invented fleet: its record and its truth.

    Parameters
    ----------
    tables : mapping of str to pandas.DataFrame
        The canonical tables, every cell text as it is written.
    settings : str
        Text of `fleet.toml`.
    truth : mapping
        Laws, rates, counts and the year after the record; plain values only.
    lives : pandas.DataFrame
        Every life of every part from the vehicle's first day to a year after the record, seen or not: the
        fields of `LifeEvent`, `vehicle_class`, `duty`, `start_day`, `worn_day`, `end_day`, `month`,
        `shown_odometer` (as the shop reads it on `end_day`), `recorded`.
    looks : pandas.DataFrame
        Every look of every inspection: the fields of `Look`, `day`, `shown_odometer`, `recorded`.
    usage : pandas.DataFrame
        True distance by vehicle and month of its record.
    """

    tables: Mapping[str, pd.DataFrame]
    settings: str
    truth: Mapping[str, Any]
    lives: pd.DataFrame
    looks: pd.DataFrame
    usage: pd.DataFrame


def simulate_fleet(
    rng: np.random.Generator,
    *,
    vehicles: int = 220,
    years: int = 8,
    as_of: date = _LAST_DAY,
    dirt: bool = True,
    frailty_variance: float = 0.0,
    laws: Mapping[str, ComponentLaw] = LAWS,
    engine_hours: bool = False,
    bought_together: float = 0.0,
    swing: float = 0.0,
) -> SimulatedFleet:
    """Simulate an invented fleet event by event, and the record its shop keeps.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance; the same state gives the same fleet.
    vehicles : int, optional
        Vehicles in the record, those retired included; 1 or more. Default 220.
    years : int, optional
        Length of the record, 1 to 40. Default 8.
    as_of : datetime.date, optional
        Last day of the record.
    dirt : bool, optional
        Whether the record has the slips and gaps of any record. Default True.
    frailty_variance : float, optional
        Variance of a gamma factor on all wear hazards of a vehicle; 0 (the default) for none.
    laws : mapping of str to ComponentLaw, optional
        The true laws. Default: those of the scenario.
    engine_hours : bool, optional
        Whether vehicles have engine hours, most of them read from a meter; needed by laws whose clock is hours.
        Default False.
    bought_together : float, optional
        Share of the vehicles that joined new within one year, five to four years before the end of the record, so
        that demand comes in a wave; 0 (the default) for a fleet bought over the years.
    swing : float, optional
        Half the swing of the whole fleet's use through the year, beside what each duty has, below 1. Default 0.

    Returns
    -------
    SimulatedFleet

    Raises
    ------
    ValueError
        A number outside its range.

    Notes
    -----
    Parts wear on an operational clock: each kilometre counts by ``exp(-x'b)``, ``x'b`` being what duty and
    joint angle at the ride height of the day add to the log of the Weibull scale. Some failures show at
    once, others wait for a service. The simulation starts when a vehicle is new, so a vehicle older than its
    record carries parts of unseen age, and goes on for a year after the record with the vehicles then in
    service, for forecasts to be scored.

    Examples
    --------
    >>> fleet = simulate_fleet(np.random.default_rng(1), vehicles=3, years=2, dirt=False)
    >>> len(fleet.tables["vehicles"])
    3
    """
    _check_numbers(
        vehicles=vehicles, years=years, frailty_variance=frailty_variance, bought_together=bought_together, swing=swing
    )
    if not engine_hours and any(law.clock == "hours" for law in laws.values()):
        raise ValueError("a law goes by engine hours; simulate them with engine_hours=True")
    as_of_day = _day(as_of)
    records_day = _day(as_of, years_back=years) + 1
    last_day = _day(as_of, years_back=-1)
    run = run_fleet(
        rng,
        vehicles=vehicles,
        records_day=records_day,
        as_of_day=as_of_day,
        last_day=last_day,
        frailty_variance=frailty_variance,
        laws=laws,
        engine_hours=engine_hours,
        bought_together=bought_together,
        swing=swing,
    )
    usage = build_usage(run.units, clocks=run.clocks, month_starts=run.months.starts, as_of_day=as_of_day)
    tables = _build_tables(rng, run, usage=usage, as_of_day=as_of_day)
    counts: Mapping[str, Mapping[str, int]] = {}
    if dirt:
        soiled = add_dirt(rng, tables, as_of_day=as_of_day)
        tables, counts = soiled.tables, soiled.counts
    truth = {
        "version": TRUTH_VERSION,
        "invented": True,
        "seed": getattr(getattr(rng.bit_generator, "seed_seq", None), "entropy", None),
        "vehicles": vehicles,
        "years": years,
        "as_of": as_of.isoformat(),
        "records_from": str(np.datetime64(records_day, "D")),
        "frailty_variance": frailty_variance,
        **_run_truth(run, laws=laws, as_of_day=as_of_day, last_day=last_day),
        "dirt": {name: dict(kinds) for name, kinds in counts.items()},
    }
    settings = settings_text(as_of_day=as_of_day, records_day=records_day)
    return SimulatedFleet(tables, settings, truth, run.lives, run.looks, usage)


def _check_numbers(
    *, vehicles: int, years: int, frailty_variance: float, bought_together: float, swing: float
) -> None:
    """Refuse numbers outside their range."""
    if vehicles < 1:
        raise ValueError(f"vehicles must be 1 or more, not {vehicles}")
    if not 1 <= years <= 40:
        raise ValueError(f"years must be 1 to 40, not {years}")
    if not frailty_variance >= 0.0:
        raise ValueError(f"frailty_variance must be 0 or more, not {frailty_variance}")
    if not 0.0 <= bought_together <= 1.0:
        raise ValueError(f"bought_together must be 0 to 1, not {bought_together}")
    if not 0.0 <= swing < 1.0:
        raise ValueError(f"swing must be 0 to below 1, not {swing}")


def _run_truth(
    run: FleetRun, *, laws: Mapping[str, ComponentLaw], as_of_day: int, last_day: int
) -> dict[str, Any]:
    """Laws, geometry, and what happened in the record and after it."""
    retired = [unit.unit for unit in run.units if unit.out_day is not None]
    in_service = run.lives[~run.lives["unit"].isin(retired)]
    drivelines = {f"{unit.vehicle_class}: {unit.driveline}": run.places[unit.unit] for unit in run.units}
    return {
        "components": component_truth(list(run.places.values()), laws),
        "geometry": geometry_truth(dict(sorted(drivelines.items()))),
        "recorded": recorded_truth(run.lives[run.lives["recorded"]]),
        "future": future_truth(in_service, as_of_day=as_of_day, last_day=last_day),
    }


def _build_tables(
    rng: np.random.Generator, run: FleetRun, *, usage: pd.DataFrame, as_of_day: int
) -> Mapping[str, pd.DataFrame]:
    """The record as a careful shop would keep it."""
    lines = run.lives[run.lives["recorded"] & run.lives["line"]]
    looks = run.looks[run.looks["recorded"]].sort_values(["day", "unit"], kind="stable")
    depots: dict[str, dict[str, int]] = {}
    for unit in run.units:
        if unit.out_day is None:
            classes = depots.setdefault(unit.depot, {})
            classes[unit.vehicle_class] = classes.get(unit.vehicle_class, 0) + 1
    return {
        "vehicles": build_vehicles(run.units, run.clocks),
        "ride_height": build_ride_height(rng, run.units, as_of_day=as_of_day),
        "readings": build_readings(
            rng, run.units, clocks=run.clocks, month_starts=run.months.starts, as_of_day=as_of_day
        ),
        "repairs": build_repairs(rng, lines, as_of_day=as_of_day),
        "inspections": build_inspections(looks),
        "parts": build_parts().astype(str),
        "stock": build_stock(rng, depots).astype(str),
        "duty_log": build_duty_log(rng, usage, engine=_engine_factors(run)),
    }


def _engine_factors(run: FleetRun) -> dict[str, float]:
    """Engine hours of each vehicle over those usual in its duty; empty where none are simulated."""
    units = [unit for unit in run.units if unit.hours_a_distance > 0.0]
    return {unit.unit: unit.hours_a_distance / usual_hours(unit.duty) for unit in units}


def _day(as_of: date, *, years_back: int = 0) -> int:
    """A day so many years before, counted from 1970-01-01."""
    year = as_of.year - years_back
    try:
        day = as_of.replace(year=year)
    except ValueError:  # 29 February in a common year
        day = as_of.replace(year=year, day=28)
    return int(np.datetime64(day, "D").astype(np.int64))
