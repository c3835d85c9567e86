"""The workbook functions: one Python function each, cell or range in, cell or range out.

Each is marked for Excel and callable as plain Python. Distances are in the model's own unit, money in its
currency, lifts in millimetres. What goes wrong comes back as one line of text in the cells concerned.
Arguments, units and examples: `workbook.function_list`; the docstrings are completed from it.
"""

from functools import lru_cache

import numpy as np

from wearmodel.driveline.angles import joint_angle
from wearmodel.driveline.bearing_life import ANGLE_FLOOR, bearing_life_ratio
from wearmodel.driveline.joint_chain import residual_angle
from wearmodel.driveline.kinematics import compound_angle, peak_acceleration, speed_ripple
from wearmodel.driveline.shafts import MATERIALS, critical_speed, torsional_stress, tube_twist
from wearmodel.forecast.stock_level import stock_level
from wearmodel.policy.age_replacement import cost_rate, recommended_interval
from wearmodel.policy.inspection import inspect_every
from wearmodel.policy.risk_cap import longest_within
from wearmodel.survival import weibull
from wearmodel.survival.coding import FLEET_MIX
from wearmodel.survival.renewal import expected_replacements
from workbook.cells import Array, Cell, Rows, read_rows
from workbook.comparison_functions import (
    WEAR_LIFT_EFFECT,
    WEAR_LIFT_EFFECT_LIMIT,
    WEAR_LIFT_EXTRA_COST,
    WEAR_MEAN_LIFE_WITHIN,
    WEAR_PART_EXTRA_COST,
)
from workbook.function_spec import RUN_TO_FAILURE
from workbook.model_lookup import current_model, fill_costs, fill_laws, row_components
from workbook.worksheet_function import worksheet_function

__all__ = [
    "WEAR_BEARING_LIFE_RATIO",
    "WEAR_BUDGET",
    "WEAR_COMPONENTS",
    "WEAR_COMPOUND_ANGLE",
    "WEAR_COST_RATE",
    "WEAR_CRITICAL_SPEED",
    "WEAR_DEMAND",
    "WEAR_FAIL_WITHIN",
    "WEAR_HAZARD",
    "WEAR_INSPECT_EVERY",
    "WEAR_INTERVAL",
    "WEAR_JOINT_ANGLE",
    "WEAR_LIFE_AT",
    "WEAR_LIFT_EFFECT",
    "WEAR_LIFT_EFFECT_LIMIT",
    "WEAR_LIFT_EXTRA_COST",
    "WEAR_MEAN_LIFE",
    "WEAR_MEAN_LIFE_WITHIN",
    "WEAR_MODEL_NOTE",
    "WEAR_PART_EXTRA_COST",
    "WEAR_PEAK_ACCELERATION",
    "WEAR_REMAINING",
    "WEAR_RESIDUAL_ANGLE",
    "WEAR_SPEED_RIPPLE",
    "WEAR_STOCK_LEVEL",
    "WEAR_SURVIVAL",
    "WEAR_TORSION",
    "WEAR_TWIST",
]

_NOT_WORTH = "inspections do not pay"
_LARGEST_VARIANCE = 1_000.0
_INTERVAL_TERMS = ("shape", "scale", "planned_cost", "failed_cost", "service_interval", "at_most")


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


@worksheet_function
def WEAR_SURVIVAL(component: Cell, distance: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Chance that a new part is still good at a distance."""
    rows = _rows_with_laws("WEAR_SURVIVAL", component, distance, duty, lift)
    return rows.answer(weibull.survival(rows.numbers("distance"), **_law(rows)))


@worksheet_function
def WEAR_HAZARD(component: Cell, distance: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Failure rate of a part that has reached a distance."""
    rows = _rows_with_laws("WEAR_HAZARD", component, distance, duty, lift)
    return rows.answer(weibull.hazard(rows.numbers("distance"), **_law(rows)))


@worksheet_function
def WEAR_LIFE_AT(component: Cell, fraction: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Distance by which a fraction of new parts has failed."""
    rows = _rows_with_laws("WEAR_LIFE_AT", component, fraction, duty, lift)
    return rows.answer(weibull.life_at(rows.numbers("fraction"), **_law(rows)))


@worksheet_function
def WEAR_MEAN_LIFE(component: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Mean life of new parts that run to failure."""
    rows = _rows_with_laws("WEAR_MEAN_LIFE", component, duty, lift)
    return rows.answer(weibull.mean_life(**_law(rows)))


@worksheet_function
def WEAR_FAIL_WITHIN(component: Cell, age: Cell, distance: Cell, duty: Cell = FLEET_MIX, lift: Cell = 0.0) -> Cell:
    """Chance that a part that has reached an age fails within a distance ahead."""
    rows = _rows_with_laws("WEAR_FAIL_WITHIN", component, age, distance, duty, lift)
    return rows.answer(weibull.fail_within(rows.numbers("age"), rows.numbers("distance"), **_law(rows)))


@worksheet_function
def WEAR_REMAINING(
    component: Cell, age: Cell, fraction: Cell = 0.5, duty: Cell = FLEET_MIX, lift: Cell = 0.0
) -> Cell:
    """Further distance by which a fraction of the parts of an age has failed."""
    rows = _rows_with_laws("WEAR_REMAINING", component, age, fraction, duty, lift)
    return rows.answer(weibull.remaining(rows.numbers("age"), fraction=rows.numbers("fraction"), **_law(rows)))


@worksheet_function
def WEAR_INTERVAL(
    component: Cell,
    duty: Cell = FLEET_MIX,
    lift: Cell = 0.0,
    planned_cost: Cell = None,
    failed_cost: Cell = None,
    most_failures: Cell = None,
    running_a_year: Cell = None,
) -> Cell:
    """Replacement interval to work by, or that running to failure costs no more."""
    rows = _rows_with_laws(
        "WEAR_INTERVAL", component, duty, lift, planned_cost, failed_cost, most_failures, running_a_year
    )
    fill_costs(rows, current_model())
    _fill_longest(rows)
    # Many rows share a law and a price: each such case is worked out once.
    terms = np.column_stack([rows.numbers(name) for name in _INTERVAL_TERMS])
    cases, which = np.unique(terms, axis=0, return_inverse=True)
    if len(cases) == 1:
        return rows.answer(np.full(which.size, _interval(*cases[0].tolist())), endless=RUN_TO_FAILURE)
    interval = recommended_interval(**dict(zip(_INTERVAL_TERMS, cases.T, strict=True)))
    return rows.answer(interval[which.ravel()], endless=RUN_TO_FAILURE)


@lru_cache(maxsize=4_096)
def _interval(*case: float) -> float:
    """Interval of one case; a column of calls of one cell each asks for the same few again and again."""
    return float(recommended_interval(**dict(zip(_INTERVAL_TERMS, case, strict=True))))


def _fill_longest(rows: Rows) -> None:
    """Longest interval that keeps to the limit on failures, `inf` without one; rows that cannot keep it are marked."""
    limit, running = rows.columns["most_failures"], rows.columns["running_a_year"]
    half = np.flatnonzero(rows.good & (np.isnan(limit) != np.isnan(running)))
    if half.size:
        rows.mark(half, "give most_failures and running_a_year together, or neither")
    rows.columns["at_most"] = np.full(limit.shape, np.inf)
    places = np.flatnonzero(rows.good & ~np.isnan(limit))
    law_of = {name: rows.columns[name][places] for name in ("shape", "scale", "variance")}
    longest = longest_within(limit[places] / running[places], **law_of)
    rows.columns["at_most"][places] = longest
    out_of_reach = places[np.isnan(longest)]
    if out_of_reach.size:
        rows.mark(out_of_reach, "no interval keeps to so few failures: these parts do not wear out")


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


@worksheet_function
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


@worksheet_function
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


@worksheet_function
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


@worksheet_function
def WEAR_SPEED_RIPPLE(joint_angle: Cell) -> Cell:
    """Unevenness of a universal joint at an angle."""
    rows = read_rows("WEAR_SPEED_RIPPLE", joint_angle)
    return rows.answer(speed_ripple(rows.numbers("joint_angle")))


@worksheet_function
def WEAR_COMPOUND_ANGLE(side_angle: Cell, plan_angle: Cell) -> Cell:
    """True joint angle from the angles in two views."""
    rows = read_rows("WEAR_COMPOUND_ANGLE", side_angle, plan_angle)
    return rows.answer(compound_angle(rows.numbers("side_angle"), rows.numbers("plan_angle")))


@worksheet_function
def WEAR_RESIDUAL_ANGLE(
    first_angle: Cell,
    second_angle: Cell,
    third_angle: Cell = 0.0,
    first_twist: Cell = 0.0,
    second_twist: Cell = 0.0,
) -> Cell:
    """Angle of the one universal joint that would run as unevenly as a row of them."""
    rows = read_rows("WEAR_RESIDUAL_ANGLE", first_angle, second_angle, third_angle, first_twist, second_twist)
    angles = np.column_stack([rows.numbers(f"{place}_angle") for place in ("first", "second", "third")])
    twists = np.column_stack([rows.numbers(f"{place}_twist") for place in ("first", "second")])
    return rows.answer(residual_angle(angles, twists=twists))


@worksheet_function
def WEAR_PEAK_ACCELERATION(joint_angle: Cell, shaft_speed: Cell) -> Cell:
    """Greatest angular acceleration of what a universal joint drives."""
    rows = read_rows("WEAR_PEAK_ACCELERATION", joint_angle, shaft_speed)
    return rows.answer(peak_acceleration(rows.numbers("joint_angle"), speed=rows.numbers("shaft_speed")))


@worksheet_function
def WEAR_BEARING_LIFE_RATIO(
    joint_angle: Cell,
    angle_before: Cell,
    torque_ratio: Cell = 1.0,
    speed_ratio: Cell = 1.0,
    angle_floor: Cell = ANGLE_FLOOR,
) -> Cell:
    """Needle-bearing life at an angle over the life at another."""
    rows = read_rows("WEAR_BEARING_LIFE_RATIO", joint_angle, angle_before, torque_ratio, speed_ratio, angle_floor)
    return rows.answer(
        bearing_life_ratio(
            rows.numbers("joint_angle"),
            reference_angle=rows.numbers("angle_before"),
            torque_ratio=rows.numbers("torque_ratio"),
            speed_ratio=rows.numbers("speed_ratio"),
            floor=rows.numbers("angle_floor"),
        )
    )


def _tube_rows(name: str, *values: Cell) -> Rows:
    """Checked arguments of a call about a tube; rows whose wall is beyond the radius marked."""
    rows = read_rows(name, *values)
    wall, diameter = rows.columns["tube_wall"], rows.columns["tube_diameter"]
    for place in np.flatnonzero(rows.good & (2.0 * wall > diameter)).tolist():
        line = f"tube_wall {wall[place]:g} mm is beyond the radius of a tube of {diameter[place]:g} mm"
        rows.mark([place], line)
    return rows


@worksheet_function
def WEAR_CRITICAL_SPEED(
    tube_diameter: Cell,
    tube_wall: Cell,
    shaft_length: Cell,
    youngs_modulus: Cell = MATERIALS["steel"].youngs_modulus,
    density: Cell = MATERIALS["steel"].density,
) -> Cell:
    """First bending critical speed of a tubular shaft."""
    rows = _tube_rows("WEAR_CRITICAL_SPEED", tube_diameter, tube_wall, shaft_length, youngs_modulus, density)
    return rows.answer(
        critical_speed(
            rows.numbers("tube_diameter"),
            wall=rows.numbers("tube_wall"),
            length=rows.numbers("shaft_length"),
            youngs_modulus=rows.numbers("youngs_modulus"),
            density=rows.numbers("density"),
        )
    )


@worksheet_function
def WEAR_TORSION(torque: Cell, tube_diameter: Cell, tube_wall: Cell) -> Cell:
    """Shear stress of a tubular shaft under torque."""
    rows = _tube_rows("WEAR_TORSION", torque, tube_diameter, tube_wall)
    diameter, wall = rows.numbers("tube_diameter"), rows.numbers("tube_wall")
    return rows.answer(torsional_stress(rows.numbers("torque"), outer_diameter=diameter, wall=wall))


@worksheet_function
def WEAR_TWIST(
    torque: Cell,
    tube_diameter: Cell,
    tube_wall: Cell,
    shaft_length: Cell,
    shear_modulus: Cell = MATERIALS["steel"].shear_modulus,
) -> Cell:
    """How far a tubular shaft twists under torque."""
    rows = _tube_rows("WEAR_TWIST", torque, tube_diameter, tube_wall, shaft_length, shear_modulus)
    return rows.answer(
        tube_twist(
            rows.numbers("torque"),
            outer_diameter=rows.numbers("tube_diameter"),
            wall=rows.numbers("tube_wall"),
            length=rows.numbers("shaft_length"),
            shear_modulus=rows.numbers("shear_modulus"),
        )
    )


@worksheet_function
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


@worksheet_function
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


@worksheet_function
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


@worksheet_function
def WEAR_COMPONENTS() -> Cell:
    """Table of the components in the model file."""
    table: list[list[Cell]] = [["component", "label", "basis", "lives", "failures"]]
    for code, model in current_model().components.items():
        table.append([code, model.label, model.basis, model.lives, model.failures])
    return table


@worksheet_function
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
