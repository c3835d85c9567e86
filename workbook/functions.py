"""The workbook functions: one Python function each, cell or range in, cell or range out.

Each is marked for Excel and callable as plain Python. Distances are in the model's own unit, money in its
currency, lifts in millimetres. What goes wrong comes back as one line of text in the cells concerned.
Arguments, units and examples: `workbook.function_list`; the docstrings are completed from it.
"""

from collections.abc import Callable
from typing import Any, TypeVar

import numpy as np

from wearmodel.driveline.angles import joint_angle
from wearmodel.driveline.kinematics import speed_ripple
from wearmodel.forecast.stock_level import stock_level
from wearmodel.policy.age_replacement import cost_rate, recommended_interval
from wearmodel.policy.inspection import inspect_every
from wearmodel.survival import weibull
from wearmodel.survival.coding import FLEET_MIX
from wearmodel.survival.renewal import expected_replacements
from workbook.cells import Array, Cell, Rows, always_readable, read_rows
from workbook.function_list import FUNCTIONS, RUN_TO_FAILURE, FunctionSpec
from workbook.model_lookup import current_model, fill_costs, fill_laws, row_components
from workbook.routes.excel import in_excel

__all__ = [
    "WEAR_BUDGET",
    "WEAR_COMPONENTS",
    "WEAR_COST_RATE",
    "WEAR_DEMAND",
    "WEAR_FAIL_WITHIN",
    "WEAR_HAZARD",
    "WEAR_INSPECT_EVERY",
    "WEAR_INTERVAL",
    "WEAR_JOINT_ANGLE",
    "WEAR_LIFE_AT",
    "WEAR_LIFT_EFFECT",
    "WEAR_MEAN_LIFE",
    "WEAR_MODEL_NOTE",
    "WEAR_REMAINING",
    "WEAR_SPEED_RIPPLE",
    "WEAR_STOCK_LEVEL",
    "WEAR_SURVIVAL",
]

Function = TypeVar("Function", bound=Callable[..., Cell])

_NOT_WORTH = "inspections do not pay"
_LARGEST_VARIANCE = 1_000.0


def _worksheet_function(function: Function) -> Function:
    """Guard a function against tracebacks, mark it for Excel, complete its docstring."""
    spec = FUNCTIONS[function.__name__]
    guarded: Any = always_readable(function)
    guarded.__doc__ = spec.answer  # what Excel's wizard shows; it has no room for the rest
    marked: Any = in_excel(guarded, spec)
    marked.__doc__ = _docstring(spec)
    return marked


def _docstring(spec: FunctionSpec) -> str:
    """Docstring of a function from its row in the table."""
    lines = [spec.answer]
    if spec.arguments:
        lines += ["", "Parameters", "----------"]
    for argument in spec.arguments:
        optional = "" if argument.required else ", optional"
        lines += [f"{argument.name} : {argument.kind} or range{optional}", f"    {argument.description}"]
    return "\n".join([*lines, "", "Returns", "-------", "value or range", f"    {spec.description}"])


def _rows_with_laws(name: str, *values: Cell) -> Rows:
    """Checked arguments of a call, with the Weibull law of each row."""
    rows = read_rows(name, *values)
    fill_laws(rows, current_model())
    return rows


def _law(rows: Rows) -> dict[str, Array]:
    """Life law of each good row, over vehicles."""
    return {name: rows.numbers(name) for name in ("shape", "scale", "variance")}


def _usual_law(rows: Rows) -> dict[str, Array]:
    """Life law of each good row on a vehicle with frailty 1."""
    return {name: rows.numbers(name) for name in ("shape", "scale")}


@_worksheet_function
def WEAR_SURVIVAL(component: Cell, distance: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Chance that a new part is still good at a distance."""
    rows = _rows_with_laws("WEAR_SURVIVAL", component, distance, duty, lift)
    return rows.answer(weibull.survival(rows.numbers("distance"), **_law(rows)))


@_worksheet_function
def WEAR_HAZARD(component: Cell, distance: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Failure rate of a part that has reached a distance."""
    rows = _rows_with_laws("WEAR_HAZARD", component, distance, duty, lift)
    return rows.answer(weibull.hazard(rows.numbers("distance"), **_law(rows)))


@_worksheet_function
def WEAR_LIFE_AT(component: Cell, fraction: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Distance by which a fraction of new parts has failed."""
    rows = _rows_with_laws("WEAR_LIFE_AT", component, fraction, duty, lift)
    return rows.answer(weibull.life_at(rows.numbers("fraction"), **_law(rows)))


@_worksheet_function
def WEAR_MEAN_LIFE(component: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Mean life of new parts that run to failure."""
    rows = _rows_with_laws("WEAR_MEAN_LIFE", component, duty, lift)
    return rows.answer(weibull.mean_life(**_law(rows)))


@_worksheet_function
def WEAR_FAIL_WITHIN(component: Cell, age: Cell, distance: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Chance that a part that has reached an age fails within a distance ahead."""
    rows = _rows_with_laws("WEAR_FAIL_WITHIN", component, age, distance, duty, lift)
    return rows.answer(weibull.fail_within(rows.numbers("age"), rows.numbers("distance"), **_law(rows)))


@_worksheet_function
def WEAR_REMAINING(
    component: Cell, age: Cell, fraction: Cell = 0.5, duty: Cell = FLEET_MIX, lift: Cell = 0.0
) -> Cell:
    """Further distance by which a fraction of the parts of an age has failed."""
    rows = _rows_with_laws("WEAR_REMAINING", component, age, fraction, duty, lift)
    return rows.answer(weibull.remaining(rows.numbers("age"), fraction=rows.numbers("fraction"), **_law(rows)))


@_worksheet_function
def WEAR_INTERVAL(
    component: Cell,
    duty: Cell = FLEET_MIX,
    lift: Cell = 0.0,
    planned_cost: Cell = None,
    failed_cost: Cell = None,
) -> Cell:
    """Replacement interval to work by, or that running to failure costs no more."""
    rows = _rows_with_laws("WEAR_INTERVAL", component, duty, lift, planned_cost, failed_cost)
    fill_costs(rows, current_model())
    # Many rows share a law and a price: each such case is worked out once.
    names = ("shape", "scale", "planned_cost", "failed_cost", "service_interval")
    cases, which = np.unique(np.column_stack([rows.numbers(name) for name in names]), axis=0, return_inverse=True)
    interval = recommended_interval(**dict(zip(names, cases.T, strict=True)))
    return rows.answer(interval[which.ravel()], endless=RUN_TO_FAILURE)


def _cost_rates(rows: Rows) -> Array:
    """Cost per distance of each good row at its interval."""
    fill_costs(rows, current_model())
    interval = rows.numbers("interval")
    return weibull.mean_pace(rows.numbers("shape"), rows.numbers("variance")) * cost_rate(
        np.where(np.isnan(interval), np.inf, interval),
        **_usual_law(rows),
        planned_cost=rows.numbers("planned_cost"),
        failed_cost=rows.numbers("failed_cost"),
    )


@_worksheet_function
def WEAR_COST_RATE(
    component: Cell,
    interval: Cell,
    duty: Cell = FLEET_MIX,
    lift: Cell = 0.0,
    planned_cost: Cell = None,
    failed_cost: Cell = None,
) -> Cell:
    """Long-run cost per distance of replacing at failure or at an interval."""
    rows = _rows_with_laws("WEAR_COST_RATE", component, interval, duty, lift, planned_cost, failed_cost)
    return rows.answer(_cost_rates(rows))


@_worksheet_function
def WEAR_INSPECT_EVERY(
    component: Cell,
    mean_delay: Cell,
    inspection_cost: Cell,
    found_cost: Cell = None,
    failed_cost: Cell = None,
    duty: Cell = FLEET_MIX,
    lift: Cell = 0.0,
) -> Cell:
    """Distance between inspections of the least cost, or that they do not pay."""
    rows = _rows_with_laws(
        "WEAR_INSPECT_EVERY", component, mean_delay, inspection_cost, found_cost, failed_cost, duty, lift
    )
    fill_costs(rows, current_model(), planned="found_cost")
    every = inspect_every(
        # In the long run a position has one defect a mean life, sooner on some vehicles than on others.
        defect_rate=weibull.mean_pace(rows.numbers("shape"), rows.numbers("variance"))
        / weibull.mean_life(**_usual_law(rows)),
        mean_delay=rows.numbers("mean_delay"),
        inspection_cost=rows.numbers("inspection_cost"),
        found_cost=rows.numbers("found_cost"),
        failed_cost=rows.numbers("failed_cost"),
    )
    return rows.answer(every, endless=_NOT_WORTH)


@_worksheet_function
def WEAR_LIFT_EFFECT(component: Cell, lift: Cell, duty: Cell = FLEET_MIX) -> Cell:
    """Life at a ride height over life at factory height."""
    rows = read_rows("WEAR_LIFT_EFFECT", component, lift, duty)
    fill_laws(rows, current_model(), factory=True)
    return rows.answer(rows.numbers("scale") / rows.numbers("factory_scale"))


@_worksheet_function
def WEAR_JOINT_ANGLE(angle_at_factory: Cell, shaft_length: Cell, lift: Cell) -> Cell:
    """Joint angle at a ride height."""
    rows = read_rows("WEAR_JOINT_ANGLE", angle_at_factory, shaft_length, lift)
    names = ("angle_at_factory", "shaft_length", "lift")
    try:
        angle, length, raised = (rows.numbers(name) for name in names)
        return rows.answer(joint_angle(angle, length=length, lift=raised))
    except ValueError:
        _mark_impossible_lifts(rows)
    angle, length, raised = (rows.numbers(name) for name in names)
    return rows.answer(joint_angle(angle, length=length, lift=raised))


def _mark_impossible_lifts(rows: Rows) -> None:
    """Mark the rows whose lift is more than the shaft allows."""
    for place in np.flatnonzero(rows.good).tolist():
        lift, length = rows.columns["lift"][place], rows.columns["shaft_length"][place]
        try:
            joint_angle(rows.columns["angle_at_factory"][place], length=length, lift=lift)
        except ValueError:
            rows.mark([place], f"lift {lift:g} mm is more than a shaft of {length:g} mm allows")


@_worksheet_function
def WEAR_SPEED_RIPPLE(joint_angle: Cell) -> Cell:
    """Unevenness of a universal joint at an angle."""
    rows = read_rows("WEAR_SPEED_RIPPLE", joint_angle)
    return rows.answer(speed_ripple(rows.numbers("joint_angle")))


@_worksheet_function
def WEAR_DEMAND(component: Cell, age: Cell, distance: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Expected number of replacements in the distance ahead, repeats included."""
    rows = _rows_with_laws("WEAR_DEMAND", component, age, distance, duty, lift)
    shapes = rows.columns["shape"]
    for shape in np.unique(rows.numbers("shape")).tolist():
        try:
            expected_replacements(0.0, 0.0, shape=shape, scale=1.0)
        except ValueError:
            rows.mark(np.flatnonzero(shapes == shape), f"shape {shape:.3g} of the life curve is out of reach here")
    return rows.answer(expected_replacements(rows.numbers("age"), rows.numbers("distance"), **_law(rows)))


@_worksheet_function
def WEAR_STOCK_LEVEL(mean_demand: Cell, service_level: Cell = 0.95, variance: Cell = None) -> Cell:
    """Least stock that meets the demand with a given chance."""
    rows = read_rows("WEAR_STOCK_LEVEL", mean_demand, service_level, variance)
    spread, mean = rows.columns["variance"], rows.columns["mean_demand"]
    rows.mark(
        np.flatnonzero(rows.good & (spread > _LARGEST_VARIANCE * mean)),
        f"variance must be at most {_LARGEST_VARIANCE:,.0f} times mean_demand",
    )
    return rows.answer(
        stock_level(
            rows.numbers("mean_demand"),
            service_level=rows.numbers("service_level"),
            variance=rows.numbers("variance"),
        )
    )


@_worksheet_function
def WEAR_BUDGET(
    component: Cell,
    parts: Cell,
    distance: Cell,
    interval: Cell = None,
    duty: Cell = FLEET_MIX,
    lift: Cell = 0.0,
    planned_cost: Cell = None,
    failed_cost: Cell = None,
) -> Cell:
    """Long-run cost of a number of parts over a distance each."""
    rows = _rows_with_laws(
        "WEAR_BUDGET", component, parts, distance, interval, duty, lift, planned_cost, failed_cost
    )
    rate = _cost_rates(rows)
    return rows.answer(rows.numbers("parts") * rows.numbers("distance") * rate)


@_worksheet_function
def WEAR_COMPONENTS() -> Cell:
    """Table of the components in the model file."""
    table: list[list[Cell]] = [["component", "label", "basis", "lives", "failures"]]
    for code, model in current_model().components.items():
        table.append([code, model.label, model.basis, model.lives, model.failures])
    return table


@_worksheet_function
def WEAR_MODEL_NOTE(component: Cell = None) -> Cell:
    """What the curve of a component, or the model file as a whole, rests on."""
    rows = read_rows("WEAR_MODEL_NOTE", component)
    model = current_model()
    whole = (
        f"{len(model.components)} components; distances in {model.distance_unit}, money in {model.currency}; "
        f"records to {model.as_of}."
    )
    notes = np.full(rows.count, whole, dtype=object)
    for named, here in row_components(rows, model):
        notes[here] = f"{named.label}. {named.note}"
    return rows.answer(notes[rows.good].tolist())
