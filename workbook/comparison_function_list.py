"""The part of the table of workbook functions that holds ride heights and parts against one another."""

from wearmodel.survival.coding import FLEET_MIX
from workbook.function_spec import Argument, FunctionSpec

__all__ = ["COMPARISON_FUNCTIONS"]

_COMPONENT = Argument("component", "Component code or label, as WEAR_COMPONENTS lists them.", kind="text")
_DUTY = Argument("duty", "Duty of the vehicle; fleet is the fleet's mix.", kind="text", default=FLEET_MIX)
_RAISED = Argument("lift", "Ride height above factory.", "mm", low=-150.0, high=500.0)
_LIFT = Argument("lift", "Ride height above factory.", "mm", default=0.0, low=-150.0, high=500.0)


def _cost(name: str, kind: str) -> Argument:
    doc = f"Cost of one {kind} in all; that of the model file if left out."
    return Argument(name, doc, "currency", default=None, low=0.0, high=1e9, low_open=True)


_PLANNED, _FAILED = _cost("planned_cost", "planned replacement"), _cost("failed_cost", "replacement after failure")

COMPARISON_FUNCTIONS = (
    FunctionSpec(
        "WEAR_LIFT_EFFECT",
        "Life at a ride height over life at factory height, in the same duty; below 1 raised vehicles wear faster.",
        "",
        (_COMPONENT, _RAISED, _DUTY),
        ("u_joint", 75),
        0.8187308,
    ),
    FunctionSpec(
        "WEAR_LIFT_EFFECT_LIMIT",
        "Value below which the true life ratio of a ride height lies with a chance; 0.05 and 0.95 bound 90 %.",
        "",
        (
            _COMPONENT,
            _RAISED,
            Argument("chance", "Chance.", low=0.0, high=1.0, low_open=True, high_open=True),
            _DUTY,
        ),
        ("u_joint", 75, 0.05),
        0.7237104,
    ),
    FunctionSpec(
        "WEAR_LIFT_EXTRA_COST",
        "Long-run cost of a part at a ride height over factory height, each at its own recommended interval; the mean "
        "of all vehicles.",
        "currency / 1000 distance",
        (_COMPONENT, _RAISED, _DUTY, _PLANNED, _FAILED),
        ("u_joint", 75),
        1.012139,
    ),
    FunctionSpec(
        "WEAR_MEAN_LIFE_WITHIN",
        "Mean distance that new parts run up to a limit, on vehicles taken at random: the mean life when none is kept "
        "longer.",
        "distance",
        (_COMPONENT, Argument("distance", "Limit.", "distance", low=0.0, high=1e9), _DUTY, _LIFT),
        ("u_joint", 60_000),
        55_584.24,
    ),
    FunctionSpec(
        "WEAR_PART_EXTRA_COST",
        "Long-run cost of another part over the present one, labour included, each at its own recommended interval; "
        "below 0 the other part pays.",
        "currency / 1000 distance",
        (
            _COMPONENT,
            Argument("life_ratio", "Life of the other part over the present.", low=0.0, high=100.0, low_open=True),
            Argument("extra_price", "What it costs more; below 0 where it is cheaper.", "currency", low=-1e9, high=1e9),
            _DUTY,
            _LIFT,
            _PLANNED,
            _FAILED,
        ),
        ("u_joint", 1.3, 25),
        -0.7303998,
    ),
)
