"""Part makes against one another: does the dearer part last longer per unit of money? Table `compare_makes`."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.intake.part_groups import joined_groups
from wearmodel.policy.comparison.standardised import DRAWS, DrawnLaw, drawn_bounds, mixed_cost
from wearmodel.processes import each
from wearmodel.survival.component_lives import ComponentLives
from wearmodel.survival.covariance import drawn_errors, wider_covariance
from wearmodel.survival.fit import fit_lives
from wearmodel.survival.fit_notes import counted
from wearmodel.survival.life_data import LifeData
from wearmodel.survival.model import ComponentModel, LifeModel, ReplacementCost, log_normal_band

__all__ = ["MAKE_COLUMNS", "compare_makes", "position_prices"]

Array = NDArray[Any]
MAKE_COLUMNS = (
    "component", "make", "build", "against", "vehicle_classes", "lives", "failures", "life_ratio", "lower", "upper",
    "crude_ratio", "unit_price", "position_price", "price_ratio", "cost_per_1000", "extra_cost_per_1000",
    "extra_cost_per_1000_lower", "extra_cost_per_1000_upper", "chance_cheaper", "sentence",
)  # fmt: skip
_FEWEST_FAILURES = 5
#: As in the crude comparison of ride heights.
_MAKE_PRECISION = 1.0
_LEAST_OVERLAP = 0.3


@dataclass(frozen=True)
class _Lives:
    """Lives of one component with a known make."""

    data: LifeData
    make: Array
    vehicle_class: Array
    duty: Array


def position_prices(parts: pd.DataFrame, prices: Mapping[str, float]) -> dict[tuple[str, str], float]:
    """What each part number costs for one position of a component.

    Parameters
    ----------
    parts : pandas.DataFrame
        Clean parts table.
    prices : mapping of str to float
        Usual price of a part by component [currency].

    Returns
    -------
    dict
        By part number and component [currency]. The price of a kit is shared over what it renews: equally over the
        positions of its own component, over several components in the proportion of their usual prices.
    """
    out: dict[tuple[str, str], float] = {}
    for number, own, renews, price in zip(
        parts["part_number"], parts["component"], parts["renews"], parts["unit_price"], strict=True
    ):
        named = [word.strip() for word in str(renews).split(";") if word.strip()]
        items = [word if word in prices else str(own) for word in named] or [str(own)]
        worth = [prices.get(item, math.nan) for item in items]
        whole = sum(worth)
        for item, value in zip(items, worth, strict=True):
            share = value / whole if whole > 0 else 1.0 / len(items)
            out[str(number), item] = float(price) * share
    return out


def compare_makes(
    fleet: LifeModel,
    *,
    coded: Mapping[str, ComponentLives],
    traits: pd.DataFrame,
    parts: pd.DataFrame,
    costs: pd.DataFrame,
    seed: int,
) -> pd.DataFrame:
    """Table `compare_makes`.

    Parameters
    ----------
    fleet : LifeModel
        Life models and costs.
    coded : mapping of str to ComponentLives
        Lives by component, of which those of known age and known part number count.
    traits : pandas.DataFrame
        Row by row for all lives.
    parts : pandas.DataFrame
        Clean parts table.
    costs : pandas.DataFrame
        Cost assumptions by component.
    seed : int
        Seed of the draws.

    Returns
    -------
    pandas.DataFrame
        `MAKE_COLUMNS`, a row a make (superseded numbers count with those that follow them), for components with
        several: life ratio `against` the commonest make fitted to the same vehicle classes, allowed for duty, class,
        place and ride height; `position_price` what it costs for one position [currency]; long-run cost per 1,000
        distance units with labour and standing time, each make at its own recommended interval, over the same mix of
        work; `chance_cheaper` that it costs less than the other. Makes that share no vehicle class with another have
        no ratio.
    """
    usual = {str(c): float(p) for c, p in zip(costs["component"], costs["part_price"], strict=True) if p == p}
    prices = position_prices(parts, usual)
    catalogue = parts.drop_duplicates("part_number").set_index("part_number")

    def rows_of(numbered_code: tuple[int, str]) -> list[dict[str, object]]:
        number, code = numbered_code
        mine = _with_makes(coded[code], traits)
        if mine is None:
            return []
        rng = np.random.default_rng([seed, number])
        found = _Component(fleet.components[code], fleet, prices, usual.get(code, math.nan), rng)
        return [row for group in _comparable(mine) for row in found.compared(mine, group)]

    found = each(rows_of, list(enumerate(fleet.components)))
    frame = pd.DataFrame([row for rows in found for row in rows], columns=list(MAKE_COLUMNS))
    for name, blank in (("build", ""), ("unit_price", math.nan)):
        frame[name] = [catalogue[name].get(make, blank) for make in frame["make"]]
    return frame


def _with_makes(mine: ComponentLives, traits: pd.DataFrame) -> _Lives | None:
    """Lives of which the part number is known, where there are several."""
    plain = mine.with_duty_height(0.0)
    own = traits.iloc[plain.rows]
    known = np.flatnonzero((own["make"] != "").to_numpy() & (plain.dated.weight > 0))
    make = own["make"].to_numpy(dtype=object)[known].astype(str)
    if len(np.unique(make)) < 2:
        return None
    names = plain.coding.names
    kept = [i for i, name in enumerate(names) if name.partition(":")[0] not in ("make", "build")]
    data = plain.dated.subset(known)
    data = replace(data, design=data.design[:, kept])
    return _Lives(
        data, make, own["vehicle_class"].to_numpy(dtype=object)[known].astype(str),
        own["duty"].to_numpy(dtype=object)[known].astype(str),
    )  # fmt: skip


def _comparable(mine: _Lives) -> list[list[str]]:
    """Makes in groups that share vehicle classes, directly or through others, the commonest make first."""
    names, counts = np.unique(mine.make, return_counts=True)
    order = [str(name) for name in names[np.argsort(-counts, kind="stable")]]
    pairs = []
    for vehicle_class in np.unique(mine.vehicle_class):
        here = [str(name) for name in np.unique(mine.make[mine.vehicle_class == vehicle_class])]
        pairs += [(here[0], other) for other in here[1:]]
    return [list(group) for group in joined_groups(order, pairs)]


@dataclass(frozen=True)
class _Component:
    """What the makes of one component are compared by."""

    model: ComponentModel
    fleet: LifeModel
    prices: Mapping[tuple[str, str], float]
    usual_price: float
    rng: np.random.Generator

    def compared(self, mine: _Lives, group: Sequence[str]) -> list[dict[str, object]]:
        """Rows of makes that share vehicle classes."""
        chosen = np.flatnonzero(np.isin(mine.make, group))
        here = _Lives(mine.data.subset(chosen), mine.make[chosen], mine.vehicle_class[chosen], mine.duty[chosen])
        rows = [self._seen(here, make, group[0]) for make in group]
        if len(group) == 1:
            rows[0]["against"] = ""
            rows[0]["sentence"] = (
                "No other make is fitted to the same vehicle classes: its life cannot be told from theirs."
            )
            return rows
        if here.data.failures < _FEWEST_FAILURES:
            for row in rows:
                row["sentence"] = _too_few(round(here.data.failures), "among these makes: nothing can be compared.")
            return rows
        drawn, mix = self._drawn(here, group), _mix(here.data)
        first = self._costs(drawn, mix, group, 0)
        for place, (row, make) in enumerate(zip(rows, group, strict=True)):
            row |= self._figures(drawn, mix, group, place, first)
            row["crude_ratio"] = _crude(here, make, group[0]) if place else math.nan
            row["sentence"] = self._sentence(row, here, make, group[0]) if place else "The others are held against it."
        return rows

    def _seen(self, here: _Lives, make: str, first: str) -> dict[str, object]:
        inside, data = here.make == make, here.data
        price = self.prices.get((make, self.model.component), math.nan)
        other = self.prices.get((first, self.model.component), math.nan)
        return {
            **dict.fromkeys(MAKE_COLUMNS, math.nan),
            "component": self.model.component,
            "make": make,
            "against": first if make != first else "",
            "vehicle_classes": ", ".join(np.unique(here.vehicle_class[inside])),
            "lives": round(float(data.weight[inside].sum())),
            "failures": round(float(data.weight[inside & (data.exact | data.interval)].sum())),
            "position_price": price,
            "price_ratio": price / other if other > 0 and make != first else math.nan,
        }

    def _drawn(self, here: _Lives, group: Sequence[str]) -> DrawnLaw:
        """Law of the makes, the estimate and draws; the effects of the makes are the last coefficients."""
        data = here.data
        dummies = np.column_stack([here.make == make for make in group[1:]]).astype(float)[data.life]
        precision = np.full(data.design.shape[1], _MAKE_PRECISION)
        precision[0] = 0.0
        precision = np.append(precision, np.full(len(group) - 1, _MAKE_PRECISION))
        fit = fit_lives(replace(data, design=np.hstack([data.design, dummies])), prior_precision=precision)
        covariance = wider_covariance(fit.covariance, fit.clustered_covariance)
        errors = drawn_errors(covariance, draws=DRAWS, rng=self.rng)
        values = fit.values + np.vstack([np.zeros(len(fit.values)), errors])
        return DrawnLaw(values, np.zeros(len(values)))

    def _costs(self, drawn: DrawnLaw, mix: tuple[Array, Array], group: Sequence[str], place: int) -> Array:
        """Cost per distance of a make over the work of the whole group; NaN where a price or costs are missing."""
        cost = self.fleet.costs.get(self.model.component)
        more = self.prices.get((group[place], self.model.component), math.nan) - self.usual_price
        if cost is None or not math.isfinite(more):
            return np.full(len(drawn.values), np.nan)
        rows, shares = mix
        makes = np.zeros((len(rows), len(group) - 1))
        if place:
            makes[:, place - 1] = 1.0
        own = ReplacementCost(cost.planned + more, cost.failed + more)
        return mixed_cost(
            drawn, np.hstack([rows, makes]), shares, cost=own, service_interval=self.fleet.service_interval
        )

    def _figures(
        self, drawn: DrawnLaw, mix: tuple[Array, Array], group: Sequence[str], place: int, first: Array
    ) -> dict[str, float]:
        own = self._costs(drawn, mix, group, place) if place else first
        out = {"cost_per_1000": float(own[0]) * 1000.0}
        if not place:
            return out
        effect = drawn.values[:, mix[0].shape[1] + place - 1]
        error = float(np.std(effect[1:]))
        band = log_normal_band(float(effect[0]), error=error, confidence=self.fleet.confidence)
        extra = (own - first) * 1000.0
        low, high = drawn_bounds(extra, self.fleet.confidence)
        return out | {
            "life_ratio": float(band.estimate),
            "lower": float(band.low),
            "upper": float(band.high),
            "extra_cost_per_1000": float(extra[0]),
            "extra_cost_per_1000_lower": low,
            "extra_cost_per_1000_upper": high,
            "chance_cheaper": float((extra[1:] < 0).mean()) if math.isfinite(extra[0]) else math.nan,
        }

    def _sentence(self, row: Mapping[str, Any], here: _Lives, make: str, first: str) -> str:
        """Whether it pays, in words."""
        words = f"Lasts {row['life_ratio']:.2f} times as long as {first}"
        if math.isfinite(row["price_ratio"]):
            words += f" for {row['price_ratio']:.2f} times the price"
        words += "."
        if math.isfinite(row["extra_cost_per_1000"]):
            sign = "more" if row["extra_cost_per_1000"] >= 0 else "less"
            words += (
                f" It costs {abs(row['extra_cost_per_1000']):.2f} {self.fleet.currency} {sign} per 1000 "
                f"{self.fleet.distance_unit}; with a chance of {row['chance_cheaper']:.0%} it is the cheaper one."
            )
        if row["lower"] < 1.0 < row["upper"]:
            words += " The record does not settle which lasts longer."
        if row["failures"] < _FEWEST_FAILURES:
            words += f" {_too_few(row['failures'], 'of it.')}"
        shared = _overlap(here, make, first)
        if shared < _LEAST_OVERLAP:
            words += f" Warning: the two share only {shared:.0%} of their duty and class."
        return words


def _mix(data: LifeData) -> tuple[Array, Array]:
    """Distinct covariates of the segments, makes apart, and their shares in the distance."""
    run = data.weight[data.life] * np.maximum(data.before_low - data.before_entry, 0.0)
    rows, which = np.unique(np.round(data.design, 9), axis=0, return_inverse=True)
    return rows, np.bincount(which.ravel(), weights=run) / run.sum()


def _too_few(failures: int, where: str) -> str:
    """That there are few failures."""
    return f"Only {counted(failures, 'failure', 'failures')} {where}"


def _overlap(here: _Lives, one: str, other: str) -> float:
    """Share of lives of like duty and class that two makes have in common."""
    cell = pd.Series(np.char.add(np.char.add(here.duty.astype(str), "|"), here.vehicle_class.astype(str)))
    shares = [cell[here.make == make].value_counts(normalize=True) for make in (one, other)]
    return float(np.minimum(*shares[0].align(shares[1], fill_value=0.0)).sum())


def _crude(here: _Lives, one: str, other: str) -> float:
    """Life ratio of two makes with no allowance for anything."""
    pair = np.flatnonzero(np.isin(here.make, (one, other)))
    data = here.data.subset(pair)
    if data.failures <= 0:
        return math.nan
    design = np.column_stack([np.ones(len(data.life)), (here.make[pair] == one)[data.life]])
    fit = fit_lives(
        replace(data, design=design.astype(float)), prior_precision=np.array([0.0, _MAKE_PRECISION]), clustered=False
    )
    return math.exp(float(fit.values[1]))
