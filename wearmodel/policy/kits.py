"""Kits and complete assemblies in a visit: one part number that renews several positions, against single parts."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.frame_rows import frame_rows
from wearmodel.policy.age_replacement import FLAT_TOLERANCE
from wearmodel.policy.shared_work import Sharing
from wearmodel.policy.together import Candidates, joined_parts

__all__ = ["Kit", "KitPlace", "KitPlan", "catalogue_kits", "kit_places", "plan_kits"]

Array = NDArray[Any]
_HALF_SHAFT_PIECE = re.compile(r"(?P<shaft>.+)\.(?:outboard|inboard)_(?:joint|boot)")
#: A half shaft changed whole is one job; a boot with its joint is still two.
_WHOLE_FROM = 3
_MOST_KITS = 4
_MOST_SETS = 64


@dataclass(frozen=True)
class Kit:
    """A part number of the catalogue that renews several positions.

    Parameters
    ----------
    number, component, vehicle_class : str
        Part number, component it is listed under, and class it fits (empty or `all`: every one).
    renews : tuple of str
        Positions or components it renews.
    price : float
        [currency]
    hours : float
        Workshop time of fitting it, from `[together.kit_hours]`; NaN where not given [h].
    """

    number: str
    component: str
    vehicle_class: str
    renews: tuple[str, ...]
    price: float
    hours: float


@dataclass(frozen=True)
class KitPlace:
    """A kit and the parts of one vehicle it would renew.

    Parameters
    ----------
    kit : Kit
        The kit.
    rows : tuple of int
        Rows of the parts, two or more.
    """

    kit: Kit
    rows: tuple[int, ...]


@dataclass(frozen=True)
class KitPlan:
    """What each part of the visits costs once the kits that pay are taken.

    Parameters
    ----------
    number : ndarray of str, shape (n_parts,)
        Part number of the kit that renews the part; empty for none.
    counted : ndarray of bool, shape (n_parts,)
        Whether the part stands for its kit: price and, where a kit is one job, hours of the kit are told there.
    price, hours, downtime : ndarray, shape (n_parts,)
        Of each part in the visit [currency], [h], [h].
    joined : ndarray of int, shape (n_parts,)
        As from `wearmodel.policy.together.joined_parts`; 0 for all positions of a kit.
    gain : ndarray, shape (n_parts,)
        What the kits of the part's vehicle save against its best visit without any [currency].
    """

    number: Array
    counted: Array
    price: Array
    hours: Array
    downtime: Array
    joined: Array
    gain: Array


def catalogue_kits(parts: pd.DataFrame, hours: Mapping[str, float]) -> tuple[Kit, ...]:
    """Kits that may be ordered today.

    Parameters
    ----------
    parts : pandas.DataFrame
        Catalogue: `part_number, component, vehicle_class, renews, unit_price, superseded_by`.
    hours : mapping of str to float
        Workshop time of fitting each, by part number, where it is given [h].

    Returns
    -------
    tuple of Kit
        In the order of the catalogue; superseded ones are left out.
    """
    listed = parts[(parts["superseded_by"] == "") & (parts["renews"] != "") & parts["unit_price"].notna()]
    return tuple(
        Kit(
            str(row.part_number), str(row.component), str(row.vehicle_class),
            tuple(name.strip() for name in str(row.renews).split(";") if name.strip()),
            float(row.unit_price), hours.get(str(row.part_number), np.nan),
        )
        for row in frame_rows(listed)
    )  # fmt: skip


def kit_places(kits: Sequence[Kit], frame: pd.DataFrame) -> list[KitPlace]:
    """Every place of every vehicle that a kit fits.

    Parameters
    ----------
    kits : sequence of Kit
        Kits.
    frame : pandas.DataFrame
        Parts fitted: `vehicle, vehicle_class, position, component`; all of a vehicle's.

    Returns
    -------
    list of KitPlace
        Vehicles ascending. A kit that names components fits a place (`left` of `left.outboard_joint`) that has all of
        them; one that names positions fits a vehicle that has all of those.
    """
    if not kits:
        return []
    found = []
    shown = frame[["vehicle", "vehicle_class", "position", "component"]].assign(row=np.arange(len(frame)))
    for _, mine in shown.groupby("vehicle"):
        vehicle_class = str(mine["vehicle_class"].iloc[0])
        fitted = {str(row.position): (str(row.component), int(row.row)) for row in frame_rows(mine)}
        for kit in kits:
            if kit.vehicle_class in (vehicle_class, "", "all"):
                found += [KitPlace(kit, rows) for rows in _places(kit, fitted)]
    return found


def _places(kit: Kit, fitted: "Mapping[str, tuple[str, int]]") -> "Iterator[tuple[int, ...]]":
    """Rows that the kit renews on one vehicle, place by place."""
    named = [name for name in kit.renews if name in fitted]
    if len(named) == len(kit.renews):
        if len(named) > 1 and kit.component in {fitted[name][0] for name in named}:
            yield tuple(fitted[name][1] for name in named)
        return
    wanted = {*kit.renews, kit.component}
    for place in dict.fromkeys(name.rpartition(".")[0] for name in fitted):
        mine = [name for name in fitted if name.rpartition(".")[0] == place and fitted[name][0] in wanted]
        if len(mine) > 1 and {fitted[name][0] for name in mine} == wanted:
            yield tuple(fitted[name][1] for name in mine)


def plan_kits(
    candidates: Candidates, sharing: Sharing, *, due: Array, main: Array, positions: Sequence[str], price: Array,
    places: Sequence[KitPlace], spared_rates: "tuple[float, float]",
) -> KitPlan:  # fmt: skip
    """The visits with single parts, and with kits where those cost less.

    Parameters
    ----------
    candidates : Candidates
        All parts.
    sharing : Sharing
        Row by row for them.
    due : ndarray of bool, shape (n_parts,)
        Parts that are renewed in any case.
    main : ndarray of bool, shape (n_parts,)
        The part that makes each visit necessary.
    positions : sequence of str
        Position of each part.
    price : ndarray, shape (n_parts,)
        Price of a single part [currency]; NaN where it is not known.
    places : sequence of KitPlace
        Where kits fit.
    spared_rates : tuple of float
        Labour rate and cost of standing [currency/h].

    Returns
    -------
    KitPlan
        Row by row.

    Notes
    -----
    The cost of a visit is its parts, labour and standing less what keeping the parts that are not due would have cost;
    a part whose keeping cost is not known counts nothing. Sets of up to four kits, each of which renews a part that the
    visit with single parts renews, are tried for every vehicle, singles joining beside each set by the usual rule. A
    set is taken where it saves more than `FLAT_TOLERANCE` of its price. Kits share labour as single parts do; one with
    hours of its own, or that is a half shaft as a whole, is one job: the longest of its positions' where no hours are
    given.
    """
    terms = _Terms(candidates, sharing, due, main, np.asarray(positions, dtype=str), price, spared_rates)
    plain = terms.tried([])
    useful = [place for place in places if _is_useful(place, plain.joined, candidates.planned, price)]
    sets = _sets_by_vehicle(useful, sharing.vehicle)
    best, least = plain, plain.by_vehicle
    for number in range(max(map(len, sets.values()), default=0)):
        chosen = [place for mine in sets.values() if number < len(mine) for place in mine[number]]
        tried = terms.tried(chosen)
        dearer = np.zeros(len(least))
        for place in chosen:
            dearer[sharing.vehicle[place.rows[0]]] += FLAT_TOLERANCE * place.kit.price
        better = tried.by_vehicle + dearer < least
        least = np.where(better, tried.by_vehicle + dearer, least)
        best = best.mixed(tried, better[sharing.vehicle], better)
    gain = plain.by_vehicle - best.by_vehicle
    return KitPlan(
        best.number, best.counted, best.price, best.hours, best.downtime, best.joined, gain[sharing.vehicle]
    )


def _is_useful(place: KitPlace, joined: Array, planned: Array, price: Array) -> bool:
    """Whether a kit renews something that the visit renews anyway, and what it replaces can be priced."""
    rows = list(place.rows)
    return bool((joined[rows] >= 0).any() and np.isfinite(planned[rows]).all() and np.isfinite(price[rows]).all())


def _sets_by_vehicle(places: Sequence[KitPlace], vehicle: Array) -> "dict[int, list[tuple[KitPlace, ...]]]":
    """Sets of kits of each vehicle that have no part in common, small ones first."""
    by_vehicle: dict[int, list[KitPlace]] = {}
    for place in places:
        by_vehicle.setdefault(int(vehicle[place.rows[0]]), []).append(place)
    sets: dict[int, list[tuple[KitPlace, ...]]] = {}
    for name, mine in by_vehicle.items():
        several = (some for size in range(1, _MOST_KITS + 1) for some in combinations(mine, size))
        apart = (some for some in several if len({r for p in some for r in p.rows}) == sum(len(p.rows) for p in some))
        sets[name] = [some for some, _ in zip(apart, range(_MOST_SETS), strict=False)]
    return sets


@dataclass(frozen=True)
class _Tried:
    """The visits with one set of kits a vehicle, and the cost of each vehicle's."""

    number: Array
    counted: Array
    price: Array
    hours: Array
    downtime: Array
    joined: Array
    by_vehicle: Array

    def mixed(self, other: "_Tried", rows: Array, vehicles: Array) -> "_Tried":
        """The other's rows and vehicles where they are marked."""
        names = ("number", "counted", "price", "hours", "downtime", "joined")
        changed = {name: np.where(rows, getattr(other, name), getattr(self, name)) for name in names}
        return _Tried(**changed, by_vehicle=np.where(vehicles, other.by_vehicle, self.by_vehicle))


@dataclass(frozen=True)
class _Terms:
    """What a visit is judged by."""

    candidates: Candidates
    sharing: Sharing
    due: Array
    main: Array
    positions: Array
    price: Array
    rates: "tuple[float, float]"

    def tried(self, places: Sequence[KitPlace]) -> _Tried:
        """The visits with these kits, singles joining as they pay beside them."""
        labour, standing = self.rates
        price, hours, downtime = self.price.copy(), self.sharing.hours.copy(), self.sharing.downtime.copy()
        number, counted = np.full(len(price), "", dtype=object), np.zeros(len(price), dtype=bool)
        taken = self.due.copy()
        for place in places:
            rows = np.array(place.rows)
            called = self.main[rows]
            first = rows[np.argmax(called)] if called.any() else rows[np.argmax(hours[rows])]
            one_job = self._one_job(place, hours[rows])
            if np.isfinite(one_job):
                stands = one_job + float((downtime[rows] - hours[rows]).max())
                hours[rows] = downtime[rows] = 0.0
                hours[first], downtime[first] = one_job, stands
            price[rows] = 0.0
            price[first], counted[first] = place.kit.price, True
            number[rows], taken[rows] = place.kit.number, True
        sharing = replace(self.sharing, hours=hours, downtime=downtime)
        joined = joined_parts(self.candidates, sharing, taken, spared_rates=self.rates)
        renewed = joined >= 0
        # Longest job first: what a set of parts costs does not hang on which of them called.
        spared = sharing.together(renewed, np.zeros(len(price)))
        told = np.isfinite(price) & (hours > 0) | (number != "")
        alone = np.where(told, price + hours * labour + downtime * standing, self.candidates.planned)
        cost = alone - spared.money(labour_rate=labour, downtime_cost=standing)
        cost = cost - np.where(self.due, 0.0, np.nan_to_num(self.candidates.keeping))
        weights = np.where(renewed, np.nan_to_num(cost), 0.0)
        by_vehicle = np.bincount(sharing.vehicle, weights=weights)
        return _Tried(number, counted, price, hours, downtime, joined, by_vehicle)

    def _one_job(self, place: KitPlace, hours: Array) -> float:
        """Workshop time of a kit that is fitted in one job; NaN where its positions share labour as single parts do."""
        if np.isfinite(place.kit.hours):
            return place.kit.hours
        pieces = [_HALF_SHAFT_PIECE.fullmatch(str(self.positions[row])) for row in place.rows]
        shafts = {piece["shaft"] if piece else "" for piece in pieces}
        return float(hours.max()) if len(pieces) >= _WHOLE_FROM and len(shafts) == 1 and "" not in shafts else np.nan
