"""What putting the raised vehicles back to factory height would save a year: table `return_to_factory`."""

from collections.abc import Mapping
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from wearmodel.policy.comparison.standardised import DRAWS, DrawnLaw, draw_law, drawn_cost_rates
from wearmodel.policy.fitted import FittedParts
from wearmodel.processes import each
from wearmodel.survival.covariates import build_segment_design
from wearmodel.survival.model import ComponentModel, LifeModel, ReplacementCost

__all__ = ["COST_SPREAD", "RETURN_COLUMNS", "build_return_to_factory"]

Array = NDArray[Any]
#: Standard deviation of the logarithm of a factor on all costs: prices and hours of the years to come.
#: Common practice, no source.
COST_SPREAD = 0.1
RETURN_COLUMNS = (
    "component", "vehicles", "parts", "distance_year", "cost_year_raised", "cost_year_factory", "saving", "p10",
    "p90", "chance_saving",
)  # fmt: skip
ALL_COMPONENTS = "all"


def build_return_to_factory(
    fleet: LifeModel,
    *,
    fitted: Mapping[str, FittedParts],
    lives: pd.DataFrame,
    traits: pd.DataFrame,
    yearly: Mapping[str, Array],
    usage_spread: float,
    seed: int,
) -> pd.DataFrame:
    """Table `return_to_factory`.

    Parameters
    ----------
    fleet : LifeModel
        Life models and costs.
    fitted : mapping of str to FittedParts
        Parts now fitted, by component.
    lives, traits : pandas.DataFrame
        All lives, of which the current ones are the parts now fitted in that order, and their traits.
    yearly : mapping of str to ndarray, shape (n_parts,)
        What each part runs in a year on its component's clock [distance / year].
    usage_spread : float
        Standard deviation of the logarithm of next year's running of the whole fleet.
    seed : int
        Seed of the draws.

    Returns
    -------
    pandas.DataFrame
        `RETURN_COLUMNS`, a row a component and one of all: the parts on vehicles now raised, the long-run yearly cost
        of their wear as they stand and at factory height, each part at the interval recommended for it, and the
        difference, with its 10 and 90 % quantiles over 500 draws of the life models' parameters, of the fleet's
        running and of costs (a common factor of 10 % spread). What putting them back costs is not counted, nor the
        luck of a single year. No rows where no vehicle in service is raised.
    """
    rng = np.random.default_rng(seed)
    factor = np.exp(rng.standard_normal((2, DRAWS + 1)) * np.array([[usage_spread], [COST_SPREAD]])).prod(axis=0)
    factor[0] = 1.0
    rows: list[tuple[object, ...]] = []
    sums, vehicles, parts_of_all, run_of_all = np.zeros((2, DRAWS + 1)), set[int](), 0, 0.0
    heights = {code: parts.frame["lift"].to_numpy(dtype=float) for code, parts in fitted.items()}
    counting = [
        code for code, lift in heights.items()
        if fleet.components[code].basis == "fitted" and code in fleet.costs
        and fleet.components[code].coding.height != "none" and (lift > 0).any()
    ]  # fmt: skip
    # One stream of chance for all components, in their order.
    laws = {code: draw_law(fleet.components[code], draws=DRAWS, rng=rng) for code in counting}

    def both_sides(code: str) -> Array:
        model, parts, raised = fleet.components[code], fitted[code], np.flatnonzero(heights[code] > 0)
        current = np.flatnonzero(((lives["component"] == code) & lives["current"].astype(bool)).to_numpy())[raised]
        pace = parts.frailties.pace(float(np.exp(model.values[-1])))[raised]
        run, lift, mine = yearly[code][raised], heights[code][raised], traits.iloc[current]
        return np.stack(
            [
                _yearly_cost(model, fleet, laws[code], fleet.costs[code], mine, lift=height, pace=pace, run=run)
                for height in (lift, np.zeros(len(lift)))
            ]
        )

    found = each(both_sides, counting, sizes=[int((heights[code] > 0).sum()) for code in counting])
    for code, sides in zip(counting, found, strict=True):
        parts, raised = fitted[code], np.flatnonzero(heights[code] > 0)
        run = yearly[code][raised]
        sides *= factor
        mine = parts.frame["vehicle"].to_numpy()[raised]
        rows.append((code, len(np.unique(mine)), len(raised), float(run.sum()), *_figures(sides)))
        sums += sides
        vehicles |= {int(vehicle) for vehicle in mine}
        parts_of_all += len(raised)
        run_of_all += float(run.sum())
    if rows:
        rows.append((ALL_COMPONENTS, len(vehicles), parts_of_all, run_of_all, *_figures(sums)))
    return pd.DataFrame(rows, columns=list(RETURN_COLUMNS))


def _yearly_cost(
    model: ComponentModel,
    fleet: LifeModel,
    drawn: DrawnLaw,
    cost: ReplacementCost,
    traits: pd.DataFrame,
    *,
    lift: Array,
    pace: Array,
    run: Array,
) -> Array:
    """Cost a year of all parts at some lifts, shape (1 + n_draws,)."""
    scales = drawn.scales(build_segment_design(model.coding, lift=lift, traits=traits)) / pace
    rates = drawn_cost_rates(drawn, scales, cost=cost, service_interval=fleet.service_interval)
    return np.asarray(rates @ run)


def _figures(sides: Array) -> tuple[float, ...]:
    """Cost raised, at factory height, saving, its quantiles and the chance that there is one."""
    saving = sides[0] - sides[1]
    low, high = np.quantile(saving[1:], (0.1, 0.9))
    return float(sides[0, 0]), float(sides[1, 0]), float(saving[0]), float(low), float(high), float(
        (saving[1:] > 0).mean()
    )
