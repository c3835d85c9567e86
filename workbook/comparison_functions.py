"""The workbook functions that hold ride heights and parts against one another; part of `workbook.functions`."""

from typing import Any

import numpy as np

from wearmodel.policy.comparison.what_if import extra_cost_rate, ratio_limit
from wearmodel.survival import weibull
from wearmodel.survival.coding import FLEET_MIX
from workbook.cells import Array, Cell, Rows, read_rows
from workbook.model_lookup import current_model, fill_costs, fill_laws, fill_ratio_errors
from workbook.worksheet_function import worksheet_function

__all__ = [
    "WEAR_LIFT_EFFECT",
    "WEAR_LIFT_EFFECT_LIMIT",
    "WEAR_LIFT_EXTRA_COST",
    "WEAR_MEAN_LIFE_WITHIN",
    "WEAR_PART_EXTRA_COST",
]


@worksheet_function
def WEAR_LIFT_EFFECT(component: Cell, lift: Cell, duty: Cell = FLEET_MIX) -> Cell:
    """Life at a ride height over life at factory height."""
    rows = read_rows("WEAR_LIFT_EFFECT", component, lift, duty)
    fill_laws(rows, current_model(), factory=True)
    return rows.answer(rows.numbers("scale") / rows.numbers("factory_scale"))


@worksheet_function
def WEAR_LIFT_EFFECT_LIMIT(component: Cell, lift: Cell, chance: Cell, duty: Cell = FLEET_MIX) -> Cell:
    """Value below which the true life ratio of a ride height lies with a chance."""
    rows = read_rows("WEAR_LIFT_EFFECT_LIMIT", component, lift, chance, duty)
    fill_laws(rows, current_model(), factory=True)
    fill_ratio_errors(rows, current_model())
    ratio = rows.numbers("scale") / rows.numbers("factory_scale")
    return rows.answer(ratio_limit(ratio, error=rows.numbers("ratio_error"), chance=rows.numbers("chance")))


@worksheet_function
def WEAR_LIFT_EXTRA_COST(
    component: Cell, lift: Cell, duty: Cell = FLEET_MIX, planned_cost: Cell = None, failed_cost: Cell = None
) -> Cell:
    """Long-run cost of a part at a ride height over factory height."""
    rows = read_rows("WEAR_LIFT_EXTRA_COST", component, lift, duty, planned_cost, failed_cost)
    fill_laws(rows, current_model(), factory=True)
    fill_costs(rows, current_model())
    return rows.answer(_extra_cost(rows, rows.numbers("factory_scale"), rows.numbers("scale"), 0.0))


@worksheet_function
def WEAR_PART_EXTRA_COST(
    component: Cell,
    life_ratio: Cell,
    extra_price: Cell,
    duty: Cell = FLEET_MIX,
    lift: Cell = 0.0,
    planned_cost: Cell = None,
    failed_cost: Cell = None,
) -> Cell:
    """Long-run cost of another part over the present one."""
    rows = read_rows(
        "WEAR_PART_EXTRA_COST", component, life_ratio, extra_price, duty, lift, planned_cost, failed_cost
    )
    fill_laws(rows, current_model())
    fill_costs(rows, current_model())
    columns = rows.columns
    free = np.minimum(columns["planned_cost"], columns["failed_cost"]) + columns["extra_price"] <= 0.0
    rows.mark(np.flatnonzero(rows.good & free), "extra_price would make a replacement cost nothing or less")
    scale = rows.numbers("scale")
    return rows.answer(_extra_cost(rows, scale, scale * rows.numbers("life_ratio"), rows.numbers("extra_price")))


def _extra_cost(rows: Rows, scale: Array, other_scale: Array, extra_price: Any) -> Array:
    """Cost per 1000 distance of a second life and price over the first, of each good row."""
    names = ("shape", "variance", "planned_cost", "failed_cost", "service_interval")
    terms = {name: rows.numbers(name) for name in names}
    return 1000.0 * extra_cost_rate(**terms, scale=scale, other_scale=other_scale, extra_price=extra_price)


@worksheet_function
def WEAR_MEAN_LIFE_WITHIN(component: Cell, distance: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Mean distance that new parts run up to a limit."""
    rows = read_rows("WEAR_MEAN_LIFE_WITHIN", component, distance, duty, lift)
    fill_laws(rows, current_model())
    law = {name: rows.numbers(name) for name in ("shape", "scale", "variance")}
    return rows.answer(weibull.integrated_survival(rows.numbers("distance"), **law))
