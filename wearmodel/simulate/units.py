"""Draws the vehicles of an invented fleet: what they are, when they served, when they were raised."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from wearmodel.simulate.scenario import CLASSES, DEPOTS, DUTIES, LATE_DEPOT, LIFTS

__all__ = ["LiftChange", "Unit", "draw_engine_hours", "draw_units", "usual_hours"]

_RAISED_SHARE = 0.25
_RAISED_FROM_NEW = 0.14
_PUT_BACK = 0.12
_YEAR = 365.25
_HOURS_SD, _MOST_HOURS = 0.4, 2.2
_METERED_SHARE = 0.85
#: When vehicles bought together joined [years before the end of the record].
_BOUGHT_TOGETHER = (4.0, 5.0)


@dataclass(frozen=True)
class LiftChange:
    """Ride height from a day on.

    Parameters
    ----------
    day : int
        Counted from 1970-01-01.
    lift : float
        Above factory height; 0 = put back [mm].
    """

    day: int
    lift: float


@dataclass(frozen=True)
class Unit:
    """One vehicle; days are counted from 1970-01-01.

    Parameters
    ----------
    unit, vehicle_class, driveline, duty, depot : str
        As in the vehicles table.
    built_day : int
        When it was new; earlier than `in_service_day` when bought used.
    in_service_day : int
        When it joined the fleet.
    records_day : int
        First day of its repair record.
    own_records : bool
        Whether the vehicles table states `records_from` for it.
    out_day : int or None
        When it left the fleet.
    distance : float
        Level of its use, a year [km].
    growth : float
        Yearly relative change of its use.
    frailty : float
        Multiplies every wear hazard of the vehicle.
    lifts : tuple of LiftChange
        In order of day.
    hours_a_distance : float
        Engine hours for each km; 0 where no hours are simulated [h / km].
    hour_meter : bool
        Whether its hour meter is read.
    """

    unit: str
    vehicle_class: str
    driveline: str
    duty: str
    depot: str
    built_day: int
    in_service_day: int
    records_day: int
    own_records: bool
    out_day: int | None
    distance: float
    growth: float
    frailty: float
    lifts: tuple[LiftChange, ...] = ()
    hours_a_distance: float = 0.0
    hour_meter: bool = False


def draw_units(
    rng: np.random.Generator,
    *,
    vehicles: int,
    records_day: int,
    as_of_day: int,
    frailty_variance: float,
    bought_together: float = 0.0,
) -> tuple[Unit, ...]:
    """Draw the vehicles, a quarter of them raised, mostly those of hard duty.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    vehicles : int
        Number of vehicles, 1 or more.
    records_day, as_of_day : int
        First and last day of the record, counted from 1970-01-01.
    frailty_variance : float
        Variance of the vehicles' gamma frailty; 0 for none.
    bought_together : float
        Share of the vehicles that joined new within one year, five to four years before the end of the record, so
        that their parts wear out in a wave.

    Returns
    -------
    tuple of Unit
        In order of unit number.
    """
    units = [
        _draw_unit(
            rng, number, records_day=records_day, as_of_day=as_of_day, variance=frailty_variance,
            together=bought_together,
        )
        for number in range(vehicles)
    ]  # fmt: skip
    readiness = np.array([DUTIES[u.duty].raised * CLASSES[u.vehicle_class].raised for u in units])
    # Weighted sampling without replacement: the vehicles with the earliest exponential clocks.
    order = np.argsort(rng.exponential(size=vehicles) / readiness, kind="stable")
    for index in order[: round(_RAISED_SHARE * vehicles)]:
        units[index] = replace(units[index], lifts=_draw_lifts(rng, units[index], as_of_day))
    return tuple(units)


def usual_hours(duty: str) -> float:
    """Engine hours for each km of a kind of work, driving and idling.

    Parameters
    ----------
    duty : str
        Of the scenario.

    Returns
    -------
    float
        [h / km]
    """
    return 1.0 / DUTIES[duty].mean_speed + DUTIES[duty].idle_hours / 100.0


def draw_engine_hours(rng: np.random.Generator, units: tuple[Unit, ...]) -> tuple[Unit, ...]:
    """Vehicles with the engine hours they run for each km: about those of their duty, some far more.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    units : tuple of Unit
        The vehicles.

    Returns
    -------
    tuple of Unit
        The same with `hours_a_distance` and `hour_meter`.
    """
    factors = np.minimum(rng.lognormal(0.0, _HOURS_SD, len(units)), _MOST_HOURS)
    metered = rng.random(len(units)) < _METERED_SHARE
    return tuple(
        replace(unit, hours_a_distance=usual_hours(unit.duty) * float(factor), hour_meter=bool(meter))
        for unit, factor, meter in zip(units, factors, metered, strict=True)
    )


def _draw_unit(
    rng: np.random.Generator, number: int, *, records_day: int, as_of_day: int, variance: float, together: float
) -> Unit:
    """One vehicle at factory ride height."""
    vehicle_class = _choice(rng, {name: c.share for name, c in CLASSES.items()})
    kind = CLASSES[vehicle_class]
    duty = _choice(rng, kind.duties)
    depot = _choice(rng, DEPOTS)
    span = as_of_day - records_day
    start = rng.random()
    if start < 0.45:  # older than its records
        in_service = records_day - round(rng.uniform(0.2, 7.0) * _YEAR)
        built = in_service
    else:
        in_service = records_day + round(rng.uniform(0.0, 0.94) * span)
        built = in_service - (round(rng.uniform(1.5, 5.0) * _YEAR) if start > 0.91 else 0)
    # No number is drawn where nothing was bought together: a seed's fleet stays what it was.
    if together > 0.0 and rng.random() < together:
        in_service = built = as_of_day - round(rng.uniform(*_BOUGHT_TOGETHER) * _YEAR)
    own_records = depot == LATE_DEPOT
    first_record = max(in_service, records_day + (round(0.2 * span) if own_records else 0))
    usage = kind.distance * DUTIES[duty].usage * rng.lognormal(0.0, 0.2)
    distance = float(np.clip(usage, 15000.0, 60000.0))
    return Unit(
        unit=f"QD-{101 + number:03d}",
        vehicle_class=vehicle_class,
        driveline=_choice(rng, kind.drivelines),
        duty=duty,
        depot=depot,
        built_day=built,
        in_service_day=in_service,
        records_day=first_record,
        own_records=own_records,
        out_day=_draw_retirement(rng, built, first_record, as_of_day, distance),
        distance=distance,
        growth=float(np.clip(rng.normal(-0.01, 0.03), -0.08, 0.06)),
        frailty=float(rng.gamma(1.0 / variance, variance)) if variance > 0.0 else 1.0,
    )


def _draw_retirement(
    rng: np.random.Generator, built_day: int, first_record: int, as_of_day: int, distance: float
) -> int | None:
    """Day the vehicle left the fleet, by age or by distance; None while it serves."""
    age = min(rng.normal(12.0, 2.0), rng.normal(440000.0, 50000.0) / distance)
    out_day = built_day + round(np.clip(age, 6.0, 18.0) * _YEAR)
    if rng.random() < 0.05:  # sold or written off early
        out_day = first_record + round(rng.uniform(0.5, 6.0) * _YEAR)
    out_day = max(out_day, first_record + 200)
    return out_day if out_day <= as_of_day else None


def _draw_lifts(rng: np.random.Generator, unit: Unit, as_of_day: int) -> tuple[LiftChange, ...]:
    """When and how far a vehicle was raised, and whether it was put back."""
    lift = float(rng.choice(list(LIFTS), p=list(LIFTS.values())))
    last = (unit.out_day or as_of_day) - 120
    first = max(unit.in_service_day, unit.records_day - 500) + 60
    day = round(rng.uniform(first, max(last, first)))
    if rng.random() < _RAISED_FROM_NEW or day > last:
        day = unit.in_service_day
    raised = LiftChange(day, lift)
    back = day + round(rng.uniform(300.0, 1200.0))
    if rng.random() < _PUT_BACK and back < last:
        return raised, LiftChange(back, 0.0)
    return (raised,)


def _choice(rng: np.random.Generator, shares: Mapping[str, float]) -> str:
    """One name, by its share."""
    return str(rng.choice(list(shares), p=list(shares.values())))
