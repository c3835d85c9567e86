"""The one table of workbook functions: what each answers, its arguments, an example.

Argument checks, the decorators of each spreadsheet route, `wearmodel functions` and the sheet "Functions"
are all made from it. Examples are worked out with the invented model of `workbook.example_model`.
"""

from collections.abc import Mapping
from types import MappingProxyType

from wearmodel.survival.coding import FLEET_MIX
from workbook.comparison_function_list import COMPARISON_FUNCTIONS
from workbook.driveline_function_list import DRIVELINE_FUNCTIONS
from workbook.function_spec import RUN_TO_FAILURE, Argument, FunctionSpec

__all__ = ["FUNCTIONS", "function_rows"]

_COMPONENT = Argument("component", "Component code or label, as WEAR_COMPONENTS lists them.", kind="text")
_DUTY = Argument("duty", "Duty of the vehicle; fleet is the fleet's mix.", kind="text", default=FLEET_MIX)
_LIFT = Argument("lift", "Ride height above factory.", "mm", default=0.0, low=-150.0, high=500.0)
_DISTANCE = Argument("distance", "Distance run by a new part.", "distance", low=0.0, high=1e9)
_AHEAD = Argument("distance", "Distance ahead.", "distance", low=0.0, high=1e9)
_AGE = Argument("age", "Distance the part has run.", "distance", low=0.0, high=1e9)
_FRACTION = Argument("fraction", "Share failed: 0.1 for the B10 life.", low=0.0, high=1.0, high_open=True)
_INTERVAL = Argument(
    "interval", f"Replacement interval, or {RUN_TO_FAILURE}.", "distance", "interval", low=0.0, high=1e9, low_open=True
)
_PLANNED = Argument(
    "planned_cost",
    "Cost of one planned replacement in all; that of the model file if left out.",
    "currency",
    default=None,
    low=0.0,
    high=1e9,
    low_open=True,
)
_FAILED = Argument(
    "failed_cost",
    "Cost of one replacement after failure in all; that of the model file if left out.",
    "currency",
    default=None,
    low=0.0,
    high=1e9,
    low_open=True,
)
_MOST = Argument(
    "most_failures",
    "Failures a year that are allowed at most, if there is a limit; give running_a_year with it.",
    "1 / year",
    default=None,
    low=0.0,
    high=1e6,
    low_open=True,
)
_YEARLY = Argument(
    "running_a_year",
    "Distance a year of the parts the limit is for, all together.",
    "distance",
    default=None,
    low=0.0,
    high=1e9,
    low_open=True,
)

_LIST = (
    FunctionSpec(
        "WEAR_SURVIVAL",
        "Chance that a new part on a vehicle taken at random is still good at a distance.",
        "",
        (_COMPONENT, _DISTANCE, _DUTY, _LIFT),
        ("u_joint", 60_000),
        0.75665,
    ),
    FunctionSpec(
        "WEAR_HAZARD",
        "Failure rate of a part that has reached a distance, on a vehicle taken at random.",
        "1 / distance",
        (_COMPONENT, _DISTANCE, _DUTY, _LIFT),
        ("u_joint", 60_000),
        1.16190e-5,
    ),
    FunctionSpec(
        "WEAR_LIFE_AT",
        "Distance by which a fraction of new parts has failed, on vehicles taken at random.",
        "distance",
        (_COMPONENT, _FRACTION, _DUTY, _LIFT),
        ("u_joint", 0.1),
        40_651.0,
    ),
    FunctionSpec(
        "WEAR_MEAN_LIFE",
        "Mean life of new parts that run to failure, on vehicles taken at random.",
        "distance",
        (_COMPONENT, _DUTY, _LIFT),
        ("u_joint",),
        88_726.4,
    ),
    FunctionSpec(
        "WEAR_FAIL_WITHIN",
        "Chance that a part that has reached an age fails within a distance ahead, on a vehicle taken at random.",
        "",
        (_COMPONENT, _AGE, _AHEAD, _DUTY, _LIFT),
        ("u_joint", 60_000, 20_000),
        0.254409,
    ),
    FunctionSpec(
        "WEAR_REMAINING",
        "Further distance by which a fraction of the parts of an age has failed, on vehicles taken at random; the "
        "median if no fraction is given.",
        "distance",
        (
            _COMPONENT,
            _AGE,
            Argument("fraction", "Share failed; 0.5 is the median.", default=0.5, low=0.0, high=1.0, high_open=True),
            _DUTY,
            _LIFT,
        ),
        ("u_joint", 60_000),
        38_870.5,
    ),
    FunctionSpec(
        "WEAR_INTERVAL",
        "Replacement interval to work by, on a vehicle that wears as usual: least cost, moved to a service where that "
        "costs at most 3 % more; run to failure where planned replacement saves no more than that.",
        "distance",
        (_COMPONENT, _DUTY, _LIFT, _PLANNED, _FAILED, _MOST, _YEARLY),
        ("u_joint",),
        60_000.0,
    ),
    FunctionSpec(
        "WEAR_COST_RATE",
        "Long-run cost per distance of replacing at failure or at an interval, whichever comes first: the mean of all "
        "vehicles, where they wear unlike each with the interval in step with its wear.",
        "currency / distance",
        (_COMPONENT, _INTERVAL, _DUTY, _LIFT, _PLANNED, _FAILED),
        ("u_joint", 60_000),
        0.00466873,
    ),
    FunctionSpec(
        "WEAR_INSPECT_EVERY",
        "Distance between inspections of the least cost, when a defect shows for a while before it fails.",
        "distance",
        (
            _COMPONENT,
            Argument(
                "mean_delay",
                "Mean distance from a defect that can be seen to the failure.",
                "distance",
                low=0.0,
                high=1e9,
                low_open=True,
            ),
            Argument("inspection_cost", "Cost of one inspection.", "currency", low=0.0, high=1e9, low_open=True),
            Argument(
                "found_cost",
                "Cost of a defect put right in time; the planned replacement of the model file if left out.",
                "currency",
                default=None,
                low=0.0,
                high=1e9,
            ),
            _FAILED,
            _DUTY,
            _LIFT,
        ),
        ("u_joint", 10_000, 8),
        7_055.48,
    ),
    *COMPARISON_FUNCTIONS,
    *DRIVELINE_FUNCTIONS,
    FunctionSpec(
        "WEAR_DEMAND",
        "Expected number of replacements in the distance ahead, repeats of the successors included, on a vehicle taken "
        "at random.",
        "parts",
        (_COMPONENT, _AGE, _AHEAD, _DUTY, _LIFT),
        ("u_joint", 60_000, 100_000),
        1.23187,
    ),
    FunctionSpec(
        "WEAR_STOCK_LEVEL",
        "Least stock that meets the demand while an order is under way with a given chance.",
        "parts",
        (
            Argument("mean_demand", "Mean demand while an order is under way.", "parts", low=0.0, high=1e5),
            Argument(
                "service_level",
                "Wanted chance that the stock suffices.",
                default=0.95,
                low=0.0,
                high=1.0,
                high_open=True,
            ),
            Argument(
                "variance",
                "Variance of that demand; as large as the mean (Poisson) if left out.",
                "parts squared",
                default=None,
                low=0.0,
                high=1e8,
            ),
        ),
        (3,),
        6.0,
    ),
    FunctionSpec(
        "WEAR_BUDGET",
        "Long-run cost of a number of parts over a distance each, at a replacement interval or run to failure; the "
        "mean of all vehicles.",
        "currency",
        (
            _COMPONENT,
            Argument("parts", "Number of parts in service.", "parts", low=0.0, high=1e9),
            Argument("distance", "Distance that each of them runs.", "distance", low=0.0, high=1e9),
            Argument(
                "interval",
                f"Replacement interval; {RUN_TO_FAILURE} if left out.",
                "distance",
                "interval",
                default=None,
                low=0.0,
                high=1e9,
                low_open=True,
            ),
            _DUTY,
            _LIFT,
            _PLANNED,
            _FAILED,
        ),
        ("u_joint", 40, 30_000, 60_000),
        5_602.47,
    ),
    FunctionSpec(
        "WEAR_COMPONENTS",
        "Table of the components in the model file: code, label, basis of the curve, lives and failures behind it.",
        "",
        (),
        (),
        None,
    ),
    FunctionSpec(
        "WEAR_MODEL_NOTE",
        "What the curve of a component rests on; without a component, what the model file as a whole holds.",
        "",
        (Argument("component", "Component code or label; blank for the whole model.", kind="text", default=None),),
        ("u_joint",),
        "Universal joint. Rests on 48 failures among 120 lives, on 30 vehicles.",
    ),
)

#: Every workbook function by its name, in the order of the list.
FUNCTIONS: Mapping[str, FunctionSpec] = MappingProxyType({spec.name: spec for spec in _LIST})


def function_rows() -> list[dict[str, str]]:
    """List of the workbook functions for people.

    Returns
    -------
    list of dict of str to str
        Keys `name`, `arguments` (optional ones in brackets), `answer` (with its unit) and `example`.
    """
    return [
        {
            "name": spec.name,
            "arguments": ", ".join(argument.signature() for argument in spec.arguments),
            "answer": spec.description,
            "example": _example(spec),
        }
        for spec in _LIST
    ]


def _example(spec: FunctionSpec) -> str:
    """The example as typed into a cell, and what comes out."""
    typed = ", ".join(f'"{item}"' if isinstance(item, str) else f"{item:g}" for item in spec.example)
    call = f"={spec.name}({typed})"
    if spec.value is None:
        return f"{call} fills a table"
    return f"{call} gives {spec.value}" if isinstance(spec.value, str) else f"{call} gives {_figure(spec.value)}"


def _figure(value: float) -> str:
    """A number as a cell would show it, without a power of ten where it is readable without."""
    return f"{value:,.6g}" if 1e-4 <= abs(value) < 1e6 else f"{value:.4g}"
