"""Distance by month, odometer and operational clock of a vehicle.

On the operational clock every kilometre counts by how hard it is on the part: by `exp(-x'b)`, where `x'b` is
what duty and joint angle add to the log of the part's scale at that time.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from wearmodel.driveline.angles import JointSwing, joint_angle, joint_swing
from wearmodel.driveline.layouts import positions_of
from wearmodel.simulate.scenario import CLASSES, DUTIES, HOUR_COUNTS, ComponentLaw
from wearmodel.simulate.units import Unit

__all__ = [
    "FleetMonths",
    "Place",
    "UnitClock",
    "build_clock",
    "draw_months",
    "log_scale",
    "places_of",
]

FloatArray = npt.NDArray[np.float64]

_ANGLE_FLOOR = 1.0
_COMMON_SD = 0.05
_COMMON_MEMORY = 0.6
_NOISE_SD = 0.12
_MIDSUMMER = 7
_HOURS_NOISE_SD = 0.15


@dataclass(frozen=True)
class FleetMonths:
    """The months of the simulation and what the whole fleet shares in each.

    Parameters
    ----------
    starts : ndarray, shape (n_months + 1,)
        First day of each month and the day after the last, counted from 1970-01-01.
    calendar_month : ndarray, shape (n_months,)
        1 to 12.
    common : ndarray, shape (n_months,)
        Factor on every vehicle's use.
    """

    starts: npt.NDArray[np.int64]
    calendar_month: npt.NDArray[np.int64]
    common: FloatArray


@dataclass(frozen=True)
class Place:
    """A position of a vehicle, its component and how lift moves it.

    Parameters
    ----------
    position : str
        Position of the layout.
    component : str
        Component code.
    swing : JointSwing or None
        Factory angle [deg] and length [mm] of the shaft that swings; None where geometry says nothing.
    """

    position: str
    component: str
    swing: JointSwing | None


@dataclass(frozen=True)
class UnitClock:
    """Odometer and operational clocks of one vehicle, straight between breaks.

    Parameters
    ----------
    days : ndarray, shape (n_breaks,)
        Breaks: first of each month, changes of ride height, first and last day [days from 1970-01-01].
    odometer : ndarray, shape (n_breaks,)
        Distance since new [km].
    operational : ndarray, shape (n_places, n_breaks)
        Operational distance since new [km at the reference conditions].
    hours : ndarray, shape (n_breaks,)
        Engine hours since new [h]; empty where none are simulated.
    """

    days: FloatArray
    odometer: FloatArray
    operational: FloatArray
    hours: FloatArray = field(default_factory=lambda: np.zeros(0))

    def hours_on(self, days: npt.ArrayLike) -> FloatArray:
        """Engine hours at noon of a day.

        Parameters
        ----------
        days : array_like of int
            Counted from 1970-01-01; any shape.

        Returns
        -------
        ndarray
            Of the shape of `days` [h].
        """
        return np.asarray(np.interp(np.asarray(days, dtype=np.float64) + 0.5, self.days, self.hours))

    def odometer_on(self, days: npt.ArrayLike) -> FloatArray:
        """Odometer at noon of a day.

        Parameters
        ----------
        days : array_like of int
            Counted from 1970-01-01; any shape.

        Returns
        -------
        ndarray
            Of the shape of `days` [km]; the first or last odometer outside the clock's time.
        """
        return np.asarray(np.interp(np.asarray(days, dtype=np.float64) + 0.5, self.days, self.odometer))

    def operational_at(self, place: int, odometer: float) -> float:
        """Operational distance when the odometer stood there.

        Parameters
        ----------
        place : int
            Row of `operational`.
        odometer : float
            Distance since new [km].

        Returns
        -------
        float
            Operational distance since new [km at the reference conditions].
        """
        return float(np.interp(odometer, self.odometer, self.operational[place]))

    def odometer_at(self, place: int, operational: float) -> float:
        """Odometer when a place's operational clock stands there.

        Parameters
        ----------
        place : int
            Row of `operational`.
        operational : float
            Operational distance since new [km at the reference conditions].

        Returns
        -------
        float
            Distance since new [km]; infinite beyond the last day.
        """
        return float(np.interp(operational, self.operational[place], self.odometer, right=np.inf))


def draw_months(rng: np.random.Generator, *, first_day: int, last_day: int, swing: float = 0.0) -> FleetMonths:
    """Months from one day to another, with the fleet's common factor (a slow random walk around 1, and its season).

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    first_day, last_day : int
        Days to be covered, counted from 1970-01-01.
    swing : float
        Half the swing of the whole fleet's use through the year, beside what each duty has (0.2 = 20 % more in
        midsummer).

    Returns
    -------
    FleetMonths
        Whole months, from that of the first day to that of the last.
    """
    first = np.datetime64(first_day, "D").astype("datetime64[M]")
    last = np.datetime64(last_day, "D").astype("datetime64[M]")
    months = np.arange(first, last + 2)
    size = len(months) - 1
    shocks = rng.normal(0.0, _COMMON_SD * np.sqrt(1.0 - _COMMON_MEMORY**2), size)
    level = np.empty(size)
    level[0] = shocks[0]
    for month in range(1, size):
        level[month] = _COMMON_MEMORY * level[month - 1] + shocks[month]
    calendar_month = months[:-1].astype(np.int64) % 12 + 1
    return FleetMonths(
        starts=months.astype("datetime64[D]").astype(np.int64),
        calendar_month=calendar_month,
        common=np.exp(level) * (1.0 + swing * np.cos(2.0 * np.pi * (calendar_month - _MIDSUMMER) / 12.0)),
    )


def places_of(vehicle_class: str, driveline: str) -> tuple[Place, ...]:
    """Positions of a vehicle with the geometry of its class.

    Parameters
    ----------
    vehicle_class : str
        Class of the scenario.
    driveline : str
        Layout, or several joined by `+`.

    Returns
    -------
    tuple of Place
        In the order of the layout.

    Raises
    ------
    KeyError
        If the scenario has no such class.
    UnknownLayoutError
        If a layout is not known.
    """
    geometry = CLASSES[vehicle_class].geometry
    return tuple(
        Place(position, component, joint_swing(position, driveline=driveline, geometry=geometry))
        for position, component in positions_of(driveline).items()
    )


def log_scale(
    places: tuple[Place, ...], *, duty: str, lift: npt.ArrayLike, laws: Mapping[str, ComponentLaw]
) -> FloatArray:
    """What duty and joint angle add to the log of the base scale.

    Parameters
    ----------
    places : tuple of Place
        Positions of a vehicle.
    duty : str
        Its duty.
    lift : array_like, shape (n_lifts,)
        Ride heights [mm].
    laws : mapping of str to ComponentLaw
        The true laws.

    Returns
    -------
    ndarray, shape (n_places, n_lifts)
        0 in the reference duty at the reference angle, and by angle for a place without geometry.

    Raises
    ------
    KeyError
        If a law has no such duty, or a component no law.
    ValueError
        If a lift is more than a shaft's length allows.
    """
    heights = np.atleast_1d(np.asarray(lift, dtype=np.float64))
    effect = np.empty((len(places), len(heights)))
    for row, place in enumerate(places):
        law = laws[place.component]
        effect[row] = law.duty_effects[duty]
        if place.swing is None or law.angle_form == "none":
            continue
        angle = joint_angle(place.swing.angle, length=place.swing.length, lift=heights)
        if law.angle_form == "log_angle":
            above = np.log(np.maximum(angle, _ANGLE_FLOOR) / law.reference_angle)
        else:
            above = angle - law.reference_angle
        effect[row] -= law.angle_coefficient * above
    return effect


def build_clock(
    rng: np.random.Generator,
    unit: Unit,
    *,
    places: tuple[Place, ...],
    months: FleetMonths,
    laws: Mapping[str, ComponentLaw],
    last_day: int,
) -> UnitClock:
    """Draw a vehicle's use by month and add up its odometer and operational clocks.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    unit : Unit
        The vehicle.
    places : tuple of Place
        Its positions.
    months : FleetMonths
        Months covering its time.
    laws : mapping of str to ComponentLaw
        The true laws.
    last_day : int
        Last day to be covered, unless the vehicle leaves before.

    Returns
    -------
    UnitClock
        From the day the vehicle was built to the end of its last day.
    """
    daily = _draw_daily(rng, unit, months)
    end = last_day if unit.out_day is None else unit.out_day
    inside = months.starts[(months.starts > unit.built_day) & (months.starts < end + 1)]
    changes = [change.day for change in unit.lifts]
    days = np.unique(np.concatenate([[unit.built_day, end + 1], inside, changes]))
    starts = days[:-1]
    driven = daily[np.searchsorted(months.starts, starts, side="right") - 1] * np.diff(days)
    heights = np.array([0.0] + [change.lift for change in unit.lifts])
    epoch = np.searchsorted(changes, starts, side="right")
    stretch = np.exp(-log_scale(places, duty=unit.duty, lift=heights, laws=laws))
    ran = _hours_run(rng, unit, driven)
    by_hours = np.array([laws[place.component].clock == "hours" for place in places])
    counted = np.where(by_hours[:, None], HOUR_COUNTS * ran, driven) if len(ran) else driven
    return UnitClock(
        days=days.astype(np.float64),
        odometer=np.concatenate([[0.0], np.cumsum(driven)]),
        operational=np.concatenate(
            [np.zeros((len(places), 1)), np.cumsum(stretch[:, epoch] * counted, axis=1)], axis=1
        ),
        hours=np.concatenate([[0.0], np.cumsum(ran)]) if len(ran) else ran,
    )


def _hours_run(rng: np.random.Generator, unit: Unit, driven: FloatArray) -> FloatArray:
    """Engine hours in each stretch of time; none drawn for a vehicle without [h]."""
    if unit.hours_a_distance <= 0.0:
        return np.zeros(0)
    noise = rng.lognormal(-0.5 * _HOURS_NOISE_SD**2, _HOURS_NOISE_SD, len(driven))
    return np.asarray(unit.hours_a_distance * noise * driven)


def _draw_daily(rng: np.random.Generator, unit: Unit, months: FleetMonths) -> FloatArray:
    """Distance a day in each month [km]."""
    phase = 2.0 * np.pi * (months.calendar_month - _MIDSUMMER) / 12.0
    season = 1.0 + DUTIES[unit.duty].season * np.cos(phase)
    # Growth is counted from the day the vehicle's record begins, so that its level is what was drawn.
    years = (months.starts[:-1] - unit.records_day) / 365.25
    noise = rng.lognormal(-0.5 * _NOISE_SD**2, _NOISE_SD, len(season))
    return np.asarray(unit.distance / 365.25 * season * months.common * np.exp(unit.growth * years) * noise)
