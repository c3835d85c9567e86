"""Which vehicles leave and which join in the months ahead: as planned, or at the rate the record shows."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.forecast.leaving import LeavingLaw
from wearmodel.forecast.usage import Usage
from wearmodel.frame_rows import frame_rows
from wearmodel.policy.fitted import FittedParts
from wearmodel.survival.model import ComponentModel
from wearmodel.survival.vehicle_frailties import Frailties, alike

__all__ = [
    "FleetChanges",
    "NewParts",
    "NewVehicles",
    "build_fleet_ahead",
    "build_fleet_changes",
    "no_changes",
    "parts_of_new",
]

Array = NDArray[Any]
_YEAR = 365.25
_COLUMNS = ["month", "vehicle_class", "depot", "vehicles", "p10", "p90", "joins", "leaves"]


@dataclass(frozen=True)
class NewVehicles:
    """Vehicles that are to join.

    Parameters
    ----------
    frame : pandas.DataFrame
        One row a vehicle: `unit` (blank where it has no name yet), `vehicle_class, depot`, `like` (the vehicle in
        service whose positions and work it takes), `join_day` and planned `leave_day` [d from the end of the record].
    usage : Usage
        Their running, nothing before they join.
    """

    frame: pd.DataFrame
    usage: Usage


@dataclass(frozen=True)
class FleetChanges:
    """What is planned and what is likely.

    Parameters
    ----------
    law : LeavingLaw
        Of vehicles whose leaving nobody planned.
    law_from : float
        From when on it holds: after the last month of a plan that lets vehicles leave [d from the end of the record].
    age : ndarray, shape (n_vehicles,)
        Ages at the end of the record [years].
    planned : ndarray, shape (n_vehicles,)
        When each vehicle is to leave; infinite where nothing is planned [days from the end of the record].
    named : ndarray of bool, shape (n_vehicles,)
        Whether the plan names the vehicle, so that it is certain which one leaves.
    new : NewVehicles or None
        Vehicles that are to join.
    notes : tuple of str
        What of the plan could not be carried out.
    """

    law: LeavingLaw
    law_from: float
    age: Array
    planned: Array
    named: Array
    new: NewVehicles | None = None
    notes: tuple[str, ...] = field(default=())

    def drawn_days(self, *, draws: int, seed: int) -> tuple[Array, Array]:
        """Days until vehicles leave, in each draw.

        Parameters
        ----------
        draws : int
            Number of draws.
        seed : int
            The same seed gives the same days, whatever the policy.

        Returns
        -------
        tuple of ndarray, shapes (n_vehicles, n_draws) and (n_new, n_draws)
            Of the vehicles in service and of those that join [d from the end of the record].
        """
        ahead = self.law_from
        rng = np.random.default_rng([seed, 6])
        likely = ahead + self.law.drawn_days(self.age + ahead / _YEAR, draws=draws, rng=rng)
        now = np.minimum(likely, self.planned[:, None])
        if self.new is None:
            return now, np.zeros((0, draws))
        joins = self.new.frame["join_day"].to_numpy(dtype=float)
        begins = np.maximum(joins, ahead)
        rng = np.random.default_rng([seed, 7])
        likely = begins[:, None] + self.law.drawn_days((begins - joins) / _YEAR, draws=draws, rng=rng)
        return now, np.minimum(likely, self.new.frame["leave_day"].to_numpy(dtype=float)[:, None])

    @property
    def named_leave(self) -> Array:
        """When vehicles leave that the plan names, infinite for all others, shape (n_vehicles,) [d]."""
        return np.where(self.named, self.planned, np.inf)


def no_changes(vehicles: int) -> FleetChanges:
    """A fleet that stays as it is.

    Parameters
    ----------
    vehicles : int
        Number of vehicles.

    Returns
    -------
    FleetChanges
        Nobody leaves and nobody joins.
    """
    law = LeavingLaw(np.zeros(0), np.zeros((0, 0)), 0, "fleet.toml")
    never = np.full(vehicles, np.inf)
    return FleetChanges(law, 0.0, np.zeros(vehicles), never, np.zeros(vehicles, dtype=bool))


def build_fleet_changes(
    plan: pd.DataFrame, *, windows: pd.DataFrame, usage: Usage, law: LeavingLaw, age: Array, lift: Array
) -> FleetChanges:
    """The plan carried out month by month.

    Parameters
    ----------
    plan : pandas.DataFrame
        Clean table `fleet_plan`.
    windows : pandas.DataFrame
        Vehicles, with `unit, vehicle_class, depot, driveline, duty`.
    usage : Usage
        Expected running of the vehicles in service.
    law : LeavingLaw
        Of vehicles whose leaving nobody planned.
    age : ndarray, shape (n_vehicles,)
        Ages at the end of the record [years].
    lift : ndarray, shape (n_vehicles,)
        Ride height now [mm above factory height].

    Returns
    -------
    FleetChanges
        Where a plan lets any vehicle leave it says all that leave up to its last month, and the law holds from there; a
        plan of arrivals alone leaves the law as it is. A vehicle that is named leaves in its month and in no other; of
        those that are not named the oldest leave first. Those
        that leave in a month do so on its first day, those that join begin on it.
    """
    carried = _Carried(windows, usage, age, lift)
    months = {month: index for index, month in enumerate(usage.months)}
    rows = plan.assign(at=plan["month"].dt.strftime("%Y-%m"), counted=plan["unit"] == "")
    # Those with a name first, whatever their month: what leaves by name is not what a count lets leave before.
    rows = rows.sort_values(["counted", "month", "unit"], kind="stable")
    for row in frame_rows(rows[rows["at"].isin(months)]):
        day = float(carried.starts[months[row.at]])
        if row.unit:
            carried.named_row(row, day)
        else:
            carried.counted_row(row, day)
    leaving = rows[rows["leaves"] > 0]
    law_from = 0.0
    if len(leaving):
        last = str(leaving["at"].max())
        law_from = float(carried.starts[min(months.get(last, len(months)) + 1, len(months))])
    return FleetChanges(
        law, law_from, age, carried.planned, carried.named, carried.new_vehicles(), tuple(carried.notes)
    )


class _Carried:
    """The fleet while the plan's rows are worked off."""

    def __init__(self, windows: pd.DataFrame, usage: Usage, age: Array, lift: Array) -> None:
        self.windows, self.usage, self.age, self.lift = windows, usage, age, lift
        self.starts = np.concatenate([[0.0], np.cumsum(usage.days)])
        self.serving = np.asarray(usage.in_service, dtype=bool)
        self.planned = np.full(len(windows), np.inf)
        self.named = np.zeros(len(windows), dtype=bool)
        self.of_unit = {str(unit): index for index, unit in enumerate(windows["unit"])}
        self.new: list[dict[str, Any]] = []
        self.given: dict[tuple[str, str], list[tuple[str, str]]] = {}
        self.notes: list[str] = []

    def named_row(self, row: Any, day: float) -> None:
        """One vehicle by its name."""
        if row.joins:
            self._join(row, day, unit=row.unit)
            return
        if row.unit in self.of_unit:
            vehicle = self.of_unit[row.unit]
            self.planned[vehicle], self.named[vehicle] = day, True
            return
        arrival = next((new for new in self.new if new["unit"] == row.unit), None)
        if arrival is not None:
            arrival["leave_day"] = day
            return
        self.notes.append(
            f"{row.file} row {row.row}: {row.unit} is to leave in {row.at}, but is neither in the vehicles table nor "
            "among those that join; enter it there or remove the row."
        )

    def counted_row(self, row: Any, day: float) -> None:
        """So many vehicles of a class and depot."""
        for _ in range(int(row.joins)):
            if not self._join(row, day, unit=""):
                break
        wanted = int(row.leaves)
        if not wanted:
            return
        mine = self.serving & ~np.isfinite(self.planned)
        for column in ("vehicle_class", "depot"):
            name = getattr(row, column)
            if name:
                mine &= (self.windows[column] == name).to_numpy()
        there = np.flatnonzero(mine)
        oldest = there[np.argsort(-self.age[there], kind="stable")][:wanted]
        self.planned[oldest] = day
        if len(oldest) < wanted:
            which = " ".join(filter(None, (row.vehicle_class, row.depot and f"at {row.depot}"))) or "the fleet"
            self.notes.append(
                f"{row.file} row {row.row}: {wanted} vehicles of {which} are to leave in {row.at}, but only "
                f"{len(oldest)} are there to leave; correct the row."
            )

    def _join(self, row: Any, day: float, *, unit: str) -> bool:
        """One vehicle joins; False where no vehicle in service tells what it is like."""
        of_class = self.serving & (self.windows["vehicle_class"] == row.vehicle_class).to_numpy()
        if not of_class.any():
            self.notes.append(
                f"{row.file} row {row.row}: no vehicle of class {row.vehicle_class} is in service to tell what such "
                "vehicles are like; those that join are left out of the forecast."
            )
            return False
        depot = row.depot or str(self.windows.loc[of_class, "depot"].mode().iloc[0])
        there = of_class & (self.windows["depot"] == depot).to_numpy()
        like, rows = self._usual(there if there.any() else of_class, key=(row.vehicle_class, depot))
        serves = self.starts[:-1] >= day
        self.new.append(
            {
                "unit": unit, "vehicle_class": row.vehicle_class, "depot": depot, "like": like, "join_day": day,
                "leave_day": np.inf, "running": self.usage.distance[rows].mean(axis=0) * serves,
                # Without hours on record there are none of any vehicle.
                "hours": self.usage.hours[rows].mean(axis=0) * serves if len(self.usage.hours) else serves[:0],
            }
        )  # fmt: skip
        return True

    def _usual(self, mine: Array, *, key: tuple[str, str]) -> tuple[int, Array]:
        """A vehicle like the next one to join, and all such vehicles, whose mean tells what it will run.

        Drivelines and duties are given out in the proportions they have (Webster's method).
        """
        kinds = self.windows.loc[mine, ["driveline", "duty"]].value_counts(sort=True)
        given = self.given.setdefault(key, [])
        shares = {
            (str(driveline), str(duty)): float(count) / (2 * given.count((str(driveline), str(duty))) + 1)
            for driveline, duty, count in kinds.reset_index().itertuples(index=False)
        }
        driveline, duty = max(sorted(shares), key=lambda name: shares[name])
        given.append((driveline, duty))
        alike_ = mine & ((self.windows["driveline"] == driveline) & (self.windows["duty"] == duty)).to_numpy()
        rows = np.flatnonzero(alike_)
        # They come as they were made: one at factory height tells of their parts, if there is any.
        like = int(rows[np.argmin(np.abs(self.lift[rows]))])
        return like, rows

    def new_vehicles(self) -> NewVehicles | None:
        """All that join."""
        if not self.new:
            return None
        frame = pd.DataFrame(self.new)
        usage = Usage(
            months=self.usage.months,
            days=self.usage.days,
            distance=np.stack(frame.pop("running").to_list()),
            spread=self.usage.spread,
            in_service=(self.starts[None, :-1] >= frame["join_day"].to_numpy()[:, None]).astype(float),
            hours=np.stack(frame.pop("hours").to_list()),
        )
        return NewVehicles(frame, usage)


@dataclass(frozen=True)
class NewParts:
    """Parts of vehicles that join.

    Parameters
    ----------
    parts : FittedParts
        At age 0.
    like : ndarray of int, shape (n_parts,)
        The part now fitted that each is like.
    """

    parts: FittedParts
    like: Array


def parts_of_new(parts: FittedParts, new: NewVehicles, *, model: ComponentModel) -> NewParts:
    """New parts in the positions of vehicles that join.

    Parameters
    ----------
    parts : FittedParts
        Parts of one component now fitted.
    new : NewVehicles
        Vehicles that join.
    model : ComponentModel
        Its life model.

    Returns
    -------
    NewParts
        Those of the vehicles that each new one is like, at age 0; their vehicles wear like the fleet.
    """
    of_vehicle = parts.frame.groupby("vehicle").indices
    pieces = [np.asarray(of_vehicle.get(like, []), dtype=np.intp) for like in new.frame["like"]]
    rows = np.concatenate([*pieces, np.zeros(0, dtype=np.intp)])
    vehicle = np.repeat(np.arange(len(pieces)), [len(piece) for piece in pieces])
    last = np.append(parts.start[1:], len(parts.part))[rows] - 1
    nothing = np.zeros(len(rows))
    chosen = new.frame.iloc[vehicle].reset_index(drop=True)
    frame = parts.frame.iloc[rows].reset_index(drop=True).assign(
        vehicle=vehicle, unit=chosen["unit"], depot=chosen["depot"], age=0.0, driven=0.0, age_known=True,
        condemned=False,
    )  # fmt: skip
    own = np.full(len(rows), 1.0 / model.frailty_variance) if model.frailty_variance > 0.0 else None
    fresh = FittedParts(
        frame=frame,
        part=np.arange(len(rows)),
        start=np.arange(len(rows)),
        design=parts.design[last],
        run=nothing,
        unseen=nothing,
        tail=nothing,
        since_look=nothing,
        frailties=alike(len(rows)) if own is None else Frailties(own, own),
    )
    return NewParts(fresh, rows)


def build_fleet_ahead(
    changes: FleetChanges, *, windows: pd.DataFrame, usage: Usage, months: int, draws: int, seed: int
) -> pd.DataFrame:
    """Table `fleet_ahead`: the vehicles the forecast reckons with.

    Parameters
    ----------
    changes : FleetChanges
        What is planned and likely.
    windows : pandas.DataFrame
        Vehicles.
    usage : Usage
        Months ahead and who is in service.
    months, draws, seed : int
        Months to show, number of draws, and their seed.

    Returns
    -------
    pandas.DataFrame
        Columns `month, vehicle_class, depot, vehicles, p10, p90, joins, leaves`: expected vehicles in service at the
        end of each month with their range, and expected changes within it.
    """
    now, later = changes.drawn_days(draws=draws, seed=seed)
    frame = windows[["vehicle_class", "depot"]].assign(join_day=-1.0)[np.asarray(usage.in_service, dtype=bool)]
    leave = now[np.asarray(usage.in_service, dtype=bool)]
    if changes.new is not None:
        frame = pd.concat([frame, changes.new.frame[["vehicle_class", "depot", "join_day"]]], ignore_index=True)
        leave = np.concatenate([leave, later])
    starts = np.concatenate([[0.0], np.cumsum(usage.days)])
    rows = []
    places = frame[["vehicle_class", "depot"]].drop_duplicates().sort_values(["vehicle_class", "depot"])
    for vehicle_class, depot in places.itertuples(index=False):
        at = ((frame["vehicle_class"] == vehicle_class) & (frame["depot"] == depot)).to_numpy()
        joins, gone = frame["join_day"].to_numpy()[at], leave[at]
        for month, first, last in zip(usage.months[:months], starts[:-1], starts[1:], strict=False):
            there = ((joins < last)[:, None] & (gone >= last)).sum(axis=0)
            low, high = np.quantile(there, (0.1, 0.9), method="inverted_cdf")
            joined = float(((joins >= first) & (joins < last)).sum())
            left = float(((gone >= first) & (gone < last)).sum(axis=0).mean())
            rows.append((month, vehicle_class, depot, float(there.mean()), low, high, joined, left))
    return pd.DataFrame(rows, columns=_COLUMNS)
