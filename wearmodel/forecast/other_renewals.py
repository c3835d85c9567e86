"""Renewals that are not wear: how their rates go with a part's age, and which come along with the renewal of another.

Planned renewals come to old parts, comebacks to new ones, and parts renewed beside others come as often as those
others are renewed. Taken at the record's mean rate all three are foreseen too low in a fleet whose parts are about to
wear out.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

__all__ = [
    "NAMED_RATES",
    "CompanionTimes",
    "Companions",
    "RatesByAge",
    "build_companions",
    "build_rates_by_age",
    "constant_rates",
]

Array = NDArray[Any]
#: Rows of `RatesByAge.rates`, in the order of `wearmodel.forecast.renewal_paths.KINDS` after the interval.
NAMED_RATES = ("planned", "beside", "mishap", "along")
_PLANNED, _BESIDE, _MISHAP, _ALONG = range(4)
#: Events of one kind that a rate of its own at some ages rests on, at the least, and most bands of age.
_FEWEST, _MOST_BANDS = 5, 8
#: Where the last band of ages ends, in ages of the oldest part seen: beyond all that is ever reached.
_BEYOND = 1e6
_LEADS = ("failed", "worn", "planned", "damage", "comeback")


@dataclass(frozen=True)
class RatesByAge:
    """Rates of a part's renewals that are not wear, the same within each band of ages.

    Parameters
    ----------
    edges : ndarray, shape (n_bands + 1,)
        Ages between the bands, from 0 to one that is never reached [distance].
    rates : ndarray, shape (4, n_bands)
        By `NAMED_RATES` and band [1 / distance].
    """

    edges: Array
    rates: Array

    @property
    def any(self) -> bool:
        """Whether any of them is above 0."""
        return bool((self.rates > 0).any())

    def without_planned(self) -> "RatesByAge":
        """The same without planned renewals.

        Returns
        -------
        RatesByAge
            With the same bands.
        """
        kept = np.arange(len(self.rates)) != _PLANNED
        return RatesByAge(self.edges, self.rates * kept[:, None])

    def with_companions(self, *, beside: float, along: float) -> "RatesByAge":
        """The same with parts renewed because of others at rates that do not go by age.

        Parameters
        ----------
        beside, along : float
            Taken for themselves, and as part of a kit [1 / distance].

        Returns
        -------
        RatesByAge
            With the same bands.
        """
        rates = self.rates.copy()
        rates[_BESIDE], rates[_ALONG] = beside, along
        return RatesByAge(self.edges, rates)

    def spent(self, age: Array) -> Array:
        """Cumulative rate of all of them together.

        Parameters
        ----------
        age : ndarray, shape (n,)
            Ages [distance].

        Returns
        -------
        ndarray, shape (n,)
            Expected number by each age [-].
        """
        total = self.rates.sum(axis=0)
        if len(total) == 1:
            return np.asarray(age * total[0])
        return np.interp(age, self.edges, self._sums())

    def _sums(self) -> Array:
        """Cumulative rates at the edges."""
        # A band without renewals adds nothing; the least of slopes keeps the sums invertible.
        return np.concatenate([[0.0], np.cumsum(np.maximum(self.rates.sum(axis=0), 1e-300) * np.diff(self.edges))])

    def next(self, age: Array, spent: Array) -> Array:
        """When the next such renewal comes.

        Parameters
        ----------
        age : ndarray, shape (n,)
            Ages now [distance].
        spent : ndarray, shape (n,)
            Cumulative rate until then: exponential with mean 1 [-].

        Returns
        -------
        ndarray, shape (n,)
            Distance until it, infinite if it never comes [distance].
        """
        total = self.rates.sum(axis=0)
        if len(total) == 1:
            return np.asarray(spent / total[0])
        sums = self._sums()
        reached = np.interp(np.interp(age, self.edges, sums) + spent, sums, self.edges, right=np.inf)
        return np.maximum(reached - age, 0.0)

    def named(self, age: Array, rng: np.random.Generator) -> Array:
        """Which such renewal it is that comes.

        Parameters
        ----------
        age : ndarray, shape (n,)
            Ages at which it comes [distance].
        rng : numpy.random.Generator
            Source of randomness.

        Returns
        -------
        ndarray of int, shape (n,)
            Row in `NAMED_RATES`.
        """
        band = np.clip(np.searchsorted(self.edges, age, side="left") - 1, 0, self.rates.shape[1] - 1)
        shares = np.cumsum(self.rates, axis=0) / np.maximum(self.rates.sum(axis=0), 1e-300)
        chance = rng.random(len(age))
        return np.minimum((chance >= shares[:, band]).sum(axis=0), len(NAMED_RATES) - 1)


def constant_rates(*, planned: float, beside: float, mishap: float, along: float) -> RatesByAge:
    """Rates that are the same at every age.

    Parameters
    ----------
    planned, beside, mishap, along : float
        As in `wearmodel.forecast.renewal_paths.OtherRates` [1 / distance].

    Returns
    -------
    RatesByAge
        One band.
    """
    return RatesByAge(np.array([0.0, np.inf]), np.array([[planned], [beside], [mishap], [along]]))


def build_rates_by_age(lives: pd.DataFrame) -> dict[str, RatesByAge]:
    """Rates of planned renewals and of mishaps by age; what comes along with other parts is left out.

    Parameters
    ----------
    lives : pandas.DataFrame
        All lives with `component, vehicle, position, ended, entry, start_day, start_odometer, end_odometer, stop_low,
        stop_high, age_known, chance`.

    Returns
    -------
    dict of str to RatesByAge
        By component. Planned renewals and comebacks go by age where at least five parts of known age ended so,
        comebacks as rates of parts that were fitted within the record; damage comes at any age alike.
    """
    first = lives.groupby(["vehicle", "position"])["start_day"].transform("min")
    frame = pd.DataFrame(
        {
            "component": lives["component"].to_numpy(),
            "entry": lives["entry"].to_numpy(dtype=float),
            "end": (lives["end_odometer"] - lives["start_odometer"]).clip(lower=lives["entry"]).to_numpy(dtype=float),
            "ended": lives["ended"].to_numpy(dtype=object),
            "chance": lives["chance"].to_numpy(dtype=float),
            "dated": lives["age_known"].to_numpy(dtype=bool),
            "renewed": (lives["start_day"] > first).to_numpy(dtype=bool),
        }
    )
    return {str(code): _rates_by_age(mine) for code, mine in frame.groupby("component")}


def _rates_by_age(lives: pd.DataFrame) -> RatesByAge:
    """Of one component."""
    run = float(((lives["end"] - lives["entry"]) * lives["chance"]).sum())
    if not run > 0.0:
        return constant_rates(planned=0.0, beside=0.0, mishap=0.0, along=0.0)
    longest = float(lives["end"].max()) * _BEYOND
    planned = _banded(lives, lives["dated"], "planned", run=run, longest=longest, ends=False)
    comeback = _banded(lives, lives["dated"] & lives["renewed"], "comeback", run=run, longest=longest, ends=True)
    damage = float(lives.loc[lives["ended"] == "damage", "chance"].sum()) / run
    edges = np.unique(np.concatenate([planned[0], comeback[0]]))
    rates = np.zeros((len(NAMED_RATES), len(edges) - 1))
    for row, (own, values) in ((_PLANNED, planned), (_MISHAP, comeback)):
        rates[row] = values[np.searchsorted(own, edges[:-1], side="right") - 1]
    rates[_MISHAP] += damage
    return RatesByAge(edges, rates)


def _banded(
    lives: pd.DataFrame, usable: "pd.Series[bool]", ended: str, *, run: float, longest: float, ends: bool
) -> tuple[Array, Array]:
    """Edges and rates of one kind of end: 0 before the youngest part that ended so, and (`ends`) past the oldest."""
    happened = (lives["ended"] == ended).to_numpy()
    seen = usable.to_numpy()
    ages = np.sort(lives["end"].to_numpy()[happened & seen])
    if len(ages) < _FEWEST:
        # Too few to tell ages apart: at the mean rate, whatever the age.
        whole = float(lives["chance"].to_numpy()[happened].sum()) / run
        return np.array([0.0, longest]), np.array([whole])
    bands = min(_MOST_BANDS, len(ages) // _FEWEST)
    inner = np.quantile(ages, np.arange(1, bands) / bands)
    # Parts that come back do so while they are new: what is past that age does not, original parts among it.
    oldest = [ages[-1] * (1.0 + 1.0 / len(ages))] if ends else []
    edges = np.unique(np.concatenate([[0.0, ages[0]], inner, oldest, [longest]]))
    entry, end, chance = (lives[name].to_numpy()[seen] for name in ("entry", "end", "chance"))
    inside = np.clip(np.minimum(end[:, None], edges[1:]) - np.maximum(entry[:, None], edges[:-1]), 0.0, None)
    exposure = chance @ inside
    band = np.clip(np.searchsorted(edges, end[happened[seen]], side="right") - 1, 0, len(edges) - 2)
    count = np.bincount(band, weights=chance[happened[seen]], minlength=len(edges) - 1)
    return edges, np.divide(count, exposure, out=np.zeros(len(count)), where=exposure > 0)


@dataclass(frozen=True)
class Companions:
    """Parts renewed because another of the vehicle was, as the record has it.

    Parameters
    ----------
    frame : pandas.DataFrame
        Columns `lead, component, kind, share, per_distance`: what was renewed (blank where nothing else was that day),
        what was renewed because of it, `beside` (a part taken for it) or `along` (part of a kit), how many for each
        renewal of a lead on a vehicle that has such parts, and how many for the distance such parts ran.
    """

    frame: pd.DataFrame

    def leads(self) -> set[str]:
        """Components whose renewal brings others.

        Returns
        -------
        set of str
            Codes.
        """
        return set(self.frame.loc[self.frame["share"] > 0, "lead"]) - {""}

    def of(self, component: str, leads: Collection[str]) -> dict[str, tuple[float, float]]:
        """What the renewals of other parts bring a component.

        Parameters
        ----------
        component : str
            Code.
        leads : collection of str
            Components whose renewals are foreseen.

        Returns
        -------
        dict of str to tuple of float
            By lead: how many are renewed beside it, and along with it.
        """
        mine = self.frame[(self.frame["component"] == component) & self.frame["lead"].isin(list(leads))]
        table = mine.pivot_table(index="lead", columns="kind", values="share", aggfunc="sum").reindex(
            columns=["beside", "along"]
        )
        return {str(lead): (float(b), float(a)) for lead, b, a in table.fillna(0.0).itertuples()}

    def left(self, component: str, leads: Collection[str]) -> tuple[float, float]:
        """Rates of what came beside and along with parts whose renewals are not foreseen, or with none.

        Parameters
        ----------
        component : str
            Code.
        leads : collection of str
            Components whose renewals are foreseen.

        Returns
        -------
        tuple of float
            Beside and along [1 / distance].
        """
        mine = self.frame[(self.frame["component"] == component) & ~self.frame["lead"].isin(list(leads))]
        sums = mine.groupby("kind")["per_distance"].sum()
        return float(sums.get("beside", 0.0)), float(sums.get("along", 0.0))


def build_companions(lives: pd.DataFrame) -> Companions:
    """Which renewals brought others, from renewals of one vehicle on one day.

    Parameters
    ----------
    lives : pandas.DataFrame
        As for `build_rates_by_age`, with `came_along`.

    Returns
    -------
    Companions
        Where several parts were renewed for a reason of their own that day, each counts for an equal share.
    """
    frame = lives[["vehicle", "end_day", "component", "ended", "came_along", "chance"]]
    run = (lives["end_odometer"] - lives["start_odometer"] - lives["entry"]).clip(lower=0.0) * lives["chance"]
    run = run.groupby(lives["component"]).sum()
    leads = frame[frame["ended"].isin(_LEADS)]
    beside = frame[frame["ended"] == "collateral"]
    day = leads.groupby(["vehicle", "end_day", "component"], as_index=False)["chance"].sum()
    day["part"] = day["chance"] / day.groupby(["vehicle", "end_day"])["chance"].transform("sum")
    day["lead"] = day["component"]
    joined = beside.merge(day[["vehicle", "end_day", "lead", "part"]], on=["vehicle", "end_day"], how="left")
    joined = joined.assign(
        lead=joined["lead"].fillna(""),
        kind=np.where(joined["came_along"], "along", "beside"),
        count=joined["chance"] * joined["part"].fillna(1.0),
    )
    table = joined.groupby(["lead", "component", "kind"], as_index=False)["count"].sum()
    renewals = _lead_renewals(frame, leads)
    pairs = list(zip(table["lead"], table["component"], strict=True))
    base = np.array([renewals.get(pair, 0.0) for pair in pairs])
    count = table["count"].to_numpy(dtype=float)
    own = table["component"].map(run).to_numpy(dtype=float)
    return Companions(
        table.assign(
            share=np.divide(count, base, out=np.zeros(len(count)), where=base > 0),
            per_distance=np.divide(count, own, out=np.zeros(len(count)), where=own > 0),
        )[["lead", "component", "kind", "share", "per_distance"]]
    )


def _lead_renewals(frame: pd.DataFrame, leads: pd.DataFrame) -> Mapping[tuple[str, str], float]:
    """Renewals of each lead on vehicles that have parts of each component."""
    has = frame[["vehicle", "component"]].drop_duplicates().set_axis(["vehicle", "other"], axis=1)
    renewed = leads.groupby(["vehicle", "component"], as_index=False)["chance"].sum()
    sums = renewed.merge(has, on="vehicle").groupby(["component", "other"])["chance"].sum()
    return {(str(lead), str(other)): float(value) for (lead, other), value in sums.items()}


@dataclass(frozen=True)
class CompanionTimes:
    """When parts are renewed because another was, by part and draw.

    Parameters
    ----------
    key : ndarray, shape (n_times,)
        Number of the part and draw times `width`, plus the distance run until then; ascending.
    run : ndarray, shape (n_times,)
        Distance run until then [distance].
    kind : ndarray of int, shape (n_times,)
        Index into `wearmodel.forecast.renewal_paths.KINDS`.
    row : ndarray of int, shape (n_times,)
        Number of the part and draw.
    any : ndarray of bool
        Whether a part and draw has any, by its number; numbers beyond have none.
    draws : int
        Number of draws.
    width : float
        More than any distance run [distance].
    """

    key: Array
    run: Array
    kind: Array
    row: Array
    any: Array
    draws: int
    width: float

    @classmethod
    def of(cls, part: Array, draw: Array, run: Array, kind: Array, *, draws: int) -> "CompanionTimes":
        """Put times in order.

        Parameters
        ----------
        part, draw, run, kind : ndarray, shape (n_times,)
            In any order.
        draws : int
            Number of draws.

        Returns
        -------
        CompanionTimes
            Ready to be looked up.
        """
        row = part.astype(np.intp) * draws + draw
        width = 2.0 * float(run.max(initial=0.0)) + 1.0
        key = row * width + run
        order = np.argsort(key, kind="stable")
        some = np.zeros(int(row.max(initial=-1)) + 1, dtype=bool)
        some[row] = True
        return cls(key[order], run[order], kind[order], row[order], some, draws, width)

    def among(self, part: Array, draw: Array) -> Array:
        """Which of some parts have any.

        Parameters
        ----------
        part, draw : ndarray, shape (n,)
            Which.

        Returns
        -------
        ndarray of bool, shape (n,)
            Those still to come and those that are past.
        """
        row = part.astype(np.intp) * self.draws + draw
        return self.any[np.minimum(row, len(self.any) - 1)] & (row < len(self.any))

    def next(self, part: Array, draw: Array, run: Array) -> tuple[Array, Array]:
        """The next time of some parts.

        Parameters
        ----------
        part, draw, run : ndarray, shape (n,)
            Which, and how far they have run [distance].

        Returns
        -------
        tuple of ndarray, shape (n,)
            Distance until it, infinite where there is none, and its kind.
        """
        row = part.astype(np.intp) * self.draws + draw
        place = np.searchsorted(self.key, row * self.width + np.minimum(run, self.width / 2.0), side="right")
        at = np.minimum(place, len(self.key) - 1)
        mine = (place < len(self.key)) & (self.row[at] == row)
        return np.where(mine, self.run[at] - run, np.inf), self.kind[at]
