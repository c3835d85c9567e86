"""Runs one vehicle through its time: parts wear, are found, break, and are renewed.

Events are ordered by the odometer. Everything that happened is kept here, recorded by the shop or not.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import NamedTuple

import numpy as np

from wearmodel.simulate.clock import Place, UnitClock
from wearmodel.simulate.renewals import KIT_NONE, Renewal, draw_renewal
from wearmodel.simulate.scenario import SERVICE_INTERVAL, ComponentLaw
from wearmodel.simulate.units import Unit

__all__ = ["LifeEvent", "Look", "UnitHistory", "simulate_unit"]

_SERVICE_SPREAD = 0.07
_SERVICE_SKIPPED = 0.05
_LOOK_MISSED = 0.04
_DEFERRED = 0.06
_BAD_FIT_FIRST, _BAD_FIT_MEAN, _BAD_FIT_LAST = 500.0, 2500.0, 8000.0
_FAR_PAST_LIMIT = 6000.0


class LifeEvent(NamedTuple):
    """End of a life (one part's time in one position), whoever saw it.

    Parameters
    ----------
    unit, position, component : str
        Vehicle, place in it, and component code.
    visit : int
        Number of the vehicle's shop visit, from 1.
    ended : str
        Reason of a renewal, or `in_service` or `retired`.
    lead : bool
        Whether the part caused the visit's order line.
    kit : str
        Kit it was renewed with; empty for the part alone.
    line : bool
        Whether it had an order line of its own.
    start_odometer, end_odometer : float
        When it was fitted and taken out [km].
    worn_odometer : float
        Where it reached its limit or would have; infinite beyond the vehicle's last day [km].
    operational_start, operational_end, operational_worn : float
        The same on the operational clock [km at the reference conditions].
    """

    unit: str
    position: str
    component: str
    visit: int
    ended: str
    lead: bool
    kit: str
    line: bool
    start_odometer: float
    end_odometer: float
    worn_odometer: float
    operational_start: float
    operational_end: float
    operational_worn: float


class Look(NamedTuple):
    """What an inspection found in a position.

    Parameters
    ----------
    unit, position : str
        Vehicle and place in it.
    odometer : float
        When it was looked at [km].
    finding : str
        `ok`, or past its limit: `worn`, far past it `failed`.
    """

    unit: str
    position: str
    odometer: float
    finding: str


@dataclass(frozen=True)
class UnitHistory:
    """All lives and looks of one vehicle.

    Parameters
    ----------
    lives : tuple of LifeEvent
        In the order in which they ended.
    looks : tuple of Look
        In the order in which they happened.
    """

    lives: tuple[LifeEvent, ...]
    looks: tuple[Look, ...]


@dataclass(slots=True)
class _Fitted:
    """The part now in a place and what awaits it; distances on the odometer."""

    start: float
    operational_start: float
    operational_worn: float
    worn: float
    silent: bool
    shows: float
    shows_as: str


def simulate_unit(
    rng: np.random.Generator,
    unit: Unit,
    *,
    places: tuple[Place, ...],
    clock: UnitClock,
    laws: Mapping[str, ComponentLaw],
) -> UnitHistory:
    """Every life and look of one vehicle from new to the end of its clock.

    Parameters
    ----------
    rng : numpy.random.Generator
        Source of chance.
    unit : Unit
        The vehicle.
    places : tuple of Place
        Its positions.
    clock : UnitClock
        Its odometer and operational clocks.
    laws : mapping of str to ComponentLaw
        The true laws.

    Returns
    -------
    UnitHistory
        Recorded by the shop or not.
    """
    run = _UnitRun(rng, unit, places=places, clock=clock, laws=laws)
    end = float(clock.odometer[-1])
    service = SERVICE_INTERVAL * rng.uniform(0.5, 1.0)
    while True:
        place = min(range(len(places)), key=lambda index: run.fitted[index].shows)
        shows = run.fitted[place].shows
        if min(service, shows) >= end:
            break
        if service <= shows:
            run.serve(service)
            service += SERVICE_INTERVAL * max(0.5, rng.normal(1.0, _SERVICE_SPREAD))
        else:
            run.begin_visit()
            run.renew(place, shows, reason=run.fitted[place].shows_as)
    run.close(end)
    return UnitHistory(tuple(run.lives), tuple(run.looks))


class _UnitRun:
    """State of one vehicle while its events are worked off."""

    def __init__(
        self,
        rng: np.random.Generator,
        unit: Unit,
        *,
        places: tuple[Place, ...],
        clock: UnitClock,
        laws: Mapping[str, ComponentLaw],
    ) -> None:
        self.rng = rng
        self.unit = unit
        self.places = places
        self.clock = clock
        self.laws = laws
        self.at = {place.position: index for index, place in enumerate(places)}
        self.lives: list[LifeEvent] = []
        self.looks: list[Look] = []
        self.visit = 0
        self.renewed: set[int] = set()
        self.fitted = [self._draw_part(index, 0.0, original=True) for index in range(len(places))]

    def begin_visit(self) -> None:
        """Start a shop visit: no place is renewed twice in one."""
        self.visit += 1
        self.renewed = set()

    def serve(self, odometer: float) -> None:
        """A service: looks at what fails in silence, condemns it, and renews by present practice."""
        self.begin_visit()
        skipped = self.rng.random() < _SERVICE_SKIPPED
        for index, place in enumerate(self.places):
            if index in self.renewed:
                continue
            law = self.laws[place.component]
            part = self.fitted[index]
            inspected = law.announced_share < 1.0 and not skipped and self.rng.random() >= _LOOK_MISSED
            if inspected and self._look(index, odometer):
                if self.rng.random() < _DEFERRED:
                    part.shows = min(part.shows, odometer + self.rng.uniform(300.0, 2500.0))
                    part.shows_as = "worn"
                else:
                    self.renew(index, odometer, reason="worn")
            elif odometer - part.start >= law.planned_age and self.rng.random() < law.planned_share:
                self.renew(index, odometer, reason="planned")

    def renew(self, index: int, odometer: float, *, reason: str) -> None:
        """Renew a part and whatever is renewed with it."""
        place = self.places[index]
        renewal = draw_renewal(self.rng, place, vehicle_class=self.unit.vehicle_class, positions=self.at)
        self._end(index, odometer, reason=reason, renewal=renewal, lead=True)
        for position in renewal.beside:
            beside = self.at[position]
            if beside not in self.renewed:
                self._end(beside, odometer, reason="collateral", renewal=renewal, lead=False)

    def close(self, odometer: float) -> None:
        """End the lives that still run."""
        ended = "in_service" if self.unit.out_day is None else "retired"
        self.begin_visit()
        for index in range(len(self.places)):
            self._record_end(index, odometer, ended=ended, kit=KIT_NONE, lead=False, line=False)

    def _end(self, index: int, odometer: float, *, reason: str, renewal: Renewal, lead: bool) -> None:
        """Take a part out and fit a new one; a part found past its limit on the bench is condemned."""
        ended = reason
        line = lead or renewal.kit == KIT_NONE
        past_limit = self.fitted[index].worn <= odometer
        if past_limit and reason not in ("failed", "worn"):
            ended = "worn"
        # Without an order line of its own, only the look on the bench tells what state the part was in.
        hidden = not line and self.laws[self.places[index].component].announced_share < 1.0
        if hidden or (past_limit and ended != reason):
            self._look(index, odometer)
        self._record_end(index, odometer, ended=ended, kit=renewal.kit, lead=lead, line=line)
        self.renewed.add(index)
        self.fitted[index] = self._draw_part(index, odometer, original=False)

    def _record_end(
        self, index: int, odometer: float, *, ended: str, kit: str, lead: bool, line: bool
    ) -> None:
        """Keep the life that ends in a place."""
        part, place = self.fitted[index], self.places[index]
        self.lives.append(
            LifeEvent(
                unit=self.unit.unit,
                position=place.position,
                component=place.component,
                visit=self.visit,
                ended=ended,
                lead=lead,
                kit=kit,
                line=line,
                start_odometer=part.start,
                end_odometer=odometer,
                worn_odometer=part.worn,
                operational_start=part.operational_start,
                operational_end=self.clock.operational_at(index, odometer),
                operational_worn=part.operational_worn,
            )
        )

    def _look(self, index: int, odometer: float) -> bool:
        """Look at a part and write down the finding; whether it is past its limit."""
        past = odometer - self.fitted[index].worn
        finding = "ok" if past < 0.0 else "worn" if past < _FAR_PAST_LIMIT else "failed"
        self.looks.append(Look(self.unit.unit, self.places[index].position, odometer, finding))
        return past >= 0.0

    def _draw_part(self, index: int, odometer: float, *, original: bool) -> _Fitted:
        """A part just fitted: when it will wear out, and what else may end it."""
        rng, law = self.rng, self.laws[self.places[index].component]
        start = self.clock.operational_at(index, odometer)
        # The frailty multiplies the hazard, so the scale takes its root.
        life = law.base_scale * (rng.exponential() / self.unit.frailty) ** (1.0 / law.shape)
        worn = self.clock.odometer_at(index, start + life)
        silent = bool(rng.random() >= law.announced_share)
        ends = {"failed": inf if silent else worn}
        ends["damage"] = odometer + rng.exponential(1e6 / law.damage_rate) if law.damage_rate > 0.0 else inf
        if not original and rng.random() < law.comeback_share:
            ends["comeback"] = odometer + min(_BAD_FIT_FIRST + rng.exponential(_BAD_FIT_MEAN), _BAD_FIT_LAST)
        shows_as = min(ends, key=lambda reason: ends[reason])
        return _Fitted(odometer, start, start + life, worn, silent, ends[shows_as], shows_as)
