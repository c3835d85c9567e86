"""All components' futures under each policy, with the same parameter and usage draws."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.companion_times import Places, Renewed, build_places, drawn_companions
from wearmodel.forecast.fleet_changes import FleetChanges, NewParts, parts_of_new
from wearmodel.forecast.other_renewals import Companions, CompanionTimes, RatesByAge
from wearmodel.forecast.planned_ages import PlannedAges
from wearmodel.forecast.renewal_paths import KINDS, Events, OtherRates, simulate_paths
from wearmodel.forecast.starts import Looks, Starts, draw_starts
from wearmodel.forecast.usage import Usage
from wearmodel.policy.fitted import FittedParts, age_points
from wearmodel.processes import each_by_threads
from wearmodel.survival.age_distribution import AgePoints
from wearmodel.survival.model import ComponentModel, LifeModel, parameter_draws

__all__ = ["POLICIES", "Futures", "build_other_rates", "simulate_futures"]

Array = NDArray[Any]
_LARGEST_MULTIPLE = 100.0
#: Parts times draws of a component that are worked off at once, and how many such pieces side by side.
_MOST_ROWS, _PROCESSORS = 1_000_000, 2
#: A vehicle that stands is looked at once a year all the same [d]; common practice, no source.
_LONGEST_WITHOUT_A_LOOK = 365.25
#: The last only where fleet.toml has intervals of the manager's own.
POLICIES = ("run_to_failure", "planned", "present_practice", "own_policy")
#: Whose events are kept, for the parts they take.
_KEPT = "present_practice"


@dataclass(frozen=True)
class Futures:
    """Drawn events of every component.

    Parameters
    ----------
    events : mapping of str to Events
        By component code; of the present practice alone, else empty: of a large fleet they fill the memory.
    counts : mapping of str to ndarray of int, shape (n_kinds, n_months, n_draws)
        How many of each kind there are in each month and draw, by component code.
    draws : int
        Number of draws.
    places : mapping of str to pandas.DataFrame
        `vehicle_class` and `depot` of each part the events are of, by component code: parts now fitted, then those of
        vehicles that join.
    """

    events: Mapping[str, Events]
    counts: Mapping[str, Array]
    draws: int
    places: Mapping[str, pd.DataFrame]


def build_other_rates(lives: pd.DataFrame) -> dict[str, OtherRates]:
    """Rates of renewals that are not wear, from the record.

    Parameters
    ----------
    lives : pandas.DataFrame
        All lives with `ended`, `entry`, `stop_low`, `stop_high`, `came_along`, `chance`.

    Returns
    -------
    dict of str to OtherRates
        Renewals per distance that parts ran under observation, by component.
    """
    end = np.where(np.isfinite(lives["stop_high"]), lives["stop_high"], lives["stop_low"])
    seen = (end - lives["entry"].to_numpy()) * lives["chance"].to_numpy()
    run = pd.Series(seen, index=lives.index).groupby(lives["component"]).sum()
    ended = lives["ended"].where(~((lives["ended"] == "collateral") & lives["came_along"]), "along")
    counts = lives.assign(ended=ended).groupby(["component", "ended"])["chance"].sum().unstack(fill_value=0)
    counts = counts.reindex(columns=["planned", "collateral", "damage", "comeback", "along"], fill_value=0)
    per = counts.div(run.where(run > 0), axis=0).fillna(0.0)
    return {
        str(code): OtherRates(
            planned=float(row["planned"]),
            beside=float(row["collateral"]),
            mishap=float(row["damage"] + row["comeback"]),
            along=float(row["along"]),
        )
        for code, row in per.iterrows()
    }


def _centred_draws(
    own: ComponentModel, parts: FittedParts, points: AgePoints, usage: Usage, drawn: Array
) -> Array:
    """Draws moved so that the hazard ahead of the fitted parts is on average that of the estimate.

    The draws are normal on the log scale, where the likelihood is skewed: with D failures the mean of
    exp of a normal overstates a rate by 1 / (2 D), which the gamma shape of the true posterior does not.
    """
    ahead = usage.distance.sum(axis=1)[parts.frame["vehicle"]]
    values = np.array(own.values)
    all_values = np.vstack([values, drawn])
    # Parts of unknown age are younger than the oldest they can be.
    younger = points.mean() / np.maximum(parts.operational_age(values), 1e-300)
    pieces = -(-len(all_values) * len(ahead) // _MOST_ROWS)
    with np.errstate(over="ignore", invalid="ignore"):
        total = np.concatenate(
            [_hazard_ahead(parts, some, younger=younger, ahead=ahead) for some in np.array_split(all_values, pieces)]
        )
        # With a handful of failures single draws are absurd: none of them may set the mean.
        total = np.fmin(total, _LARGEST_MULTIPLE * total[0])
    moved = drawn.copy()
    if total[0] > 0:
        moved[:, 0] += np.log(total[1:].mean() / total[0]) / np.exp(values[-1])
    return moved


def _hazard_ahead(parts: FittedParts, values: Array, *, younger: Array, ahead: Array) -> Array:
    """Cumulative hazard of all parts over a distance, one entry a draw."""
    now = parts.operational_age(values) * younger[:, None]
    shape = np.exp(values[:, -1])
    return np.asarray((np.power(now + parts.pace(values) * ahead[:, None], shape) - np.power(now, shape)).sum(axis=0))


def _between_looks(own: ComponentModel, parts: FittedParts, usage: Usage, service_interval: float) -> Array:
    """What each part's clock goes on between two services, which come by distance driven."""
    if own.ages_by == "distance":
        return np.full(len(parts.frame), service_interval)
    vehicle, span = parts.frame["vehicle"], usage.days.sum()
    ran = usage.distance.sum(axis=1)[vehicle]
    with np.errstate(divide="ignore"):
        days = np.where(ran > 0, service_interval * span / ran, np.inf)
    a_day = own.day_counts if own.ages_by == "age" else usage.on_clock(own).distance.sum(axis=1)[vehicle] / span
    return np.asarray(a_day * np.minimum(days, _LONGEST_WITHOUT_A_LOOK))


def simulate_futures(
    fitted: Mapping[str, FittedParts],
    *,
    points: Mapping[str, AgePoints],
    model: LifeModel,
    usage: Usage,
    changes: FleetChanges,
    rates: Mapping[str, OtherRates],
    by_age: Mapping[str, RatesByAge],
    companions: Companions,
    plans: Mapping[str, Mapping[str, PlannedAges]],
    worn_shares: Mapping[str, float],
    policies: Sequence[str],
    draws: int,
    seed: int,
) -> dict[str, Futures]:
    """Futures of all components with a curve, under some policies.

    Parameters
    ----------
    fitted : mapping of str to FittedParts
        By component code.
    points : mapping of str to AgePoints
        Their ages at the estimate.
    model : LifeModel
        Life models.
    usage : Usage
        Expected running.
    changes : FleetChanges
        Vehicles that leave and join.
    rates : mapping of str to OtherRates
        Renewals that are not wear, on average over the record.
    by_age : mapping of str to RatesByAge
        How often those come that no other part brings.
    companions : Companions
        What the renewal of one part brings others.
    plans : mapping of str to mapping of str to PlannedAges
        Planned replacement ages, by policy and component code; a component without an entry runs to failure.
    worn_shares : mapping of str to float
        Share of wear ends found at inspections.
    policies : sequence of str
        Some of `POLICIES`: renewals that the fleet plans today go on under `present_practice` alone.
    draws : int
        Number of draws.
    seed : int
        Seed; every policy sees the same parameters, running and vehicles that leave, and its own chance.

    Returns
    -------
    dict of str to Futures
        Events by policy and component. Nothing happens to a vehicle from the day it leaves, nor before it joins.

    Notes
    -----
    Parts that are renewed because another was follow that other's drawn renewals. What brings each other in turn is
    drawn twice, first with companions at the record's mean rate.
    """
    normal = np.random.default_rng([seed, 1]).standard_normal(draws)
    leave, later = changes.drawn_days(draws=draws, seed=seed)
    now, late = _Fleet(usage, leave), None if changes.new is None else _Fleet(changes.new.usage, later)
    places = {}
    for index, (code, parts) in enumerate(fitted.items()):
        own = model.components[code]
        if own.basis == "bound only":
            continue
        chosen = parameter_draws(own, draws=draws, rng=np.random.default_rng([seed, 2, index]))
        values = _centred_draws(own, parts, points[code], usage.on_clock(own), chosen)
        law = _Law(own, values, normal, worn_shares.get(code, 0.0), model.service_interval)
        now.members[code] = _Member(law, parts, points[code], (seed, 3, index))
        places[code] = parts.frame[["vehicle_class", "depot"]]
        made = None if changes.new is None else parts_of_new(parts, changes.new, model=own)
        # There may be a component that none of the vehicles that join has.
        if late is not None and made is not None and len(made.like):
            places[code] = pd.concat([places[code], made.parts.frame[["vehicle_class", "depot"]]], ignore_index=True)
            ages = age_points(made.parts, np.array(own.values), other_rate=rates[code].total)
            late.members[code] = _Member(law, made.parts, ages, (seed, 8, index), (made, parts))
    out = {}
    for policy in policies:
        terms = _Terms(policy == "present_practice", by_age, companions, plans.get(policy, {}))
        keep = policy == _KEPT
        drawn = now.events(terms, draws, keep=keep)
        if late is not None:
            for code, happened in late.events(terms, draws, keep=keep).items():
                drawn[code] = drawn[code].joined(happened, offset=len(now.members[code].parts.frame))
        events = {code: one.events for code, one in drawn.items()} if keep else {}
        out[policy] = Futures(events, {code: one.counts for code, one in drawn.items()}, draws, places)
    return out


@dataclass(frozen=True)
class _Law:
    """One component's law with its parameters drawn, and what all components share."""

    own: ComponentModel
    values: Array
    normal: Array
    silent: float
    service_interval: float

    def factors(self, ahead: Usage) -> Array:
        """Usage factor of each draw on the component's clock."""
        return np.asarray(np.exp(ahead.spread * self.normal - ahead.spread**2 / 2.0))


@dataclass(frozen=True)
class _Terms:
    """A policy, and the renewals that are not wear."""

    present: bool
    by_age: Mapping[str, RatesByAge]
    companions: Companions
    plans: Mapping[str, PlannedAges]

    def rates_of(self, code: str, leads: Collection[str]) -> RatesByAge:
        """Renewals that no foreseen renewal of a lead brings; without leads, companions at their mean rate."""
        beside, along = self.companions.left(code, leads)
        found = self.by_age[code].with_companions(beside=beside, along=along)
        return found if self.present else found.without_planned()


@dataclass(frozen=True)
class _Member:
    """Parts of one component, of the vehicles in service or of those that join (with what they are like)."""

    law: _Law
    parts: FittedParts
    points: AgePoints
    seed: tuple[int, int, int]
    like: tuple[NewParts, FittedParts] | None = None

    def planned(self, plan: PlannedAges | None) -> PlannedAges | None:
        """A plan for parts in service carried over to these."""
        if plan is None or self.like is None:
            return plan
        return plan.of_new(*self.like, shape=float(np.exp(self.law.own.values[-1])))


@dataclass(frozen=True)
class _Fleet:
    """Vehicles that are in service, or that are to join, with all their parts."""

    usage: Usage
    leave: Array
    members: dict[str, _Member] = field(default_factory=dict)

    @cached_property
    def clocks(self) -> dict[str, Usage]:
        """What lies ahead of each component by its clock."""
        return {code: self.usage.on_clock(member.law.own) for code, member in self.members.items()}

    @cached_property
    def places(self) -> dict[str, Places]:
        """Where the parts of each component sit."""
        return build_places({code: member.parts for code, member in self.members.items()})

    @cached_property
    def looks(self) -> dict[str, Looks]:
        """How worn parts of each component are found."""
        return {
            code: Looks(m.law.silent, _between_looks(m.law.own, m.parts, self.usage, m.law.service_interval))
            for code, m in self.members.items()
        }

    def events(self, terms: _Terms, draws: int, *, keep: bool) -> "dict[str, _Drawn]":
        """What happens to all parts until their vehicles leave; chance is drawn as if they stayed."""
        if not self.members:
            return {}
        most = max(len(member.parts.frame) for member in self.members.values())
        block = max(_MOST_ROWS // max(most, 1), 1)
        shape = (len(KINDS), self.usage.distance.shape[1], draws)

        def piece(at: int) -> dict[str, _Drawn]:
            events = self._of_draws(terms, slice(at, min(at + block, draws)), (at,) if at else ())
            return {code: _Drawn.of(own, shape, keep=keep) for code, own in events.items()}

        pieces = each_by_threads(piece, range(0, draws, block), threads=_PROCESSORS)
        return {code: _put_together([one.pop(code) for one in pieces]) for code in self.members}

    def _of_draws(self, terms: _Terms, some: slice, block: tuple[int, ...]) -> dict[str, Events]:
        """Events of some draws, counted from the first of all."""
        leads = terms.companions.leads() & set(self.members)
        # What leads are drawn twice from is the same.
        starts = {code: self._starts(code, some, block) for code in self.members if code in leads}
        renewed = {
            code: Renewed(
                self.places[code],
                self._run(code, terms, some, block, rates=terms.rates_of(code, ()), starts=starts[code]),
            )
            for code in starts
        }
        out = {}
        for code, member in self.members.items():
            companions = drawn_companions(
                terms.companions.of(code, leads), renewed, component=code, places=self.places[code],
                usage=self.clocks[code], factors=member.law.factors(self.clocks[code])[some],
                rng=np.random.default_rng([*member.seed, 1, *block]),
            )  # fmt: skip
            rates = terms.rates_of(code, leads)
            out[code] = self._run(
                code, terms, some, block, rates=rates, starts=starts.pop(code, None), companions=companions
            )
            if code in leads:
                renewed[code] = Renewed(self.places[code], out[code])
        return {code: replace(events, draw=events.draw + np.int32(some.start)) for code, events in out.items()}

    def _starts(self, code: str, some: slice, block: tuple[int, ...]) -> Starts:
        """Where the parts of one component begin in some draws, whatever the policy."""
        member, ahead = self.members[code], self.clocks[code]
        return draw_starts(
            member.parts,
            points=member.points,
            values=member.law.values[some],
            factors=member.law.factors(ahead)[some],
            usage=ahead,
            looks=self.looks[code],
            rng=np.random.default_rng([*member.seed, *block]),
        )

    def _run(
        self, code: str, terms: _Terms, some: slice, block: tuple[int, ...], *, rates: RatesByAge,
        starts: Starts | None, companions: CompanionTimes | None = None,
    ) -> Events:  # fmt: skip
        """Events of one component in some draws, counted from the first of them."""
        member, ahead = self.members[code], self.clocks[code]
        plan = member.planned(terms.plans.get(code))
        events = simulate_paths(
            member.parts,
            points=member.points,
            values=member.law.values[some],
            factors=member.law.factors(ahead)[some],
            usage=ahead,
            rates=rates,
            looks=self.looks[code],
            interval=None if plan is None else plan.limit,
            wait=None if plan is None else plan.wait,
            companions=companions,
            starts=starts,
            rng=np.random.default_rng([*member.seed, *block]),
        )
        vehicle = member.parts.frame["vehicle"].to_numpy(dtype=np.intp)
        return events.only(events.day < self.leave[vehicle[events.part], some.start + events.draw])


@dataclass(frozen=True)
class _Drawn:
    """Events of one component, where they are kept, and how many there are."""

    events: Events
    counts: Array

    @classmethod
    def of(cls, events: Events, shape: tuple[int, ...], *, keep: bool) -> "_Drawn":
        """Events counted, and let go unless they are to be kept."""
        counts = events.counted(shape).astype(np.int32)
        return cls(events if keep else events.only(np.zeros(len(events.part), dtype=bool)), counts)

    def joined(self, later: "_Drawn", *, offset: int) -> "_Drawn":
        """With those of parts that are numbered on from these."""
        moved = replace(later.events, part=later.events.part + np.int32(offset))
        return _Drawn(_one_after_another([self.events, moved]), self.counts + later.counts)


def _put_together(pieces: Sequence[_Drawn]) -> _Drawn:
    """Events of one component in all draws."""
    return _Drawn(_one_after_another([piece.events for piece in pieces]), _sum(piece.counts for piece in pieces))


def _sum(counts: Iterable[Array]) -> Array:
    total, *others = counts
    for more in others:
        total += more
    return total


def _one_after_another(pieces: Sequence[Events]) -> Events:
    return Events(*(np.concatenate([getattr(events, f.name) for events in pieces]) for f in fields(Events)))
