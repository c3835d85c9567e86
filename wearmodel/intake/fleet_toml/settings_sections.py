"""The sections of `fleet.toml` on the trade: components, layouts and costs."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from wearmodel.driveline.layouts import COMPONENTS, LAYOUTS
from wearmodel.intake.fleet_toml.toml_section import TomlSection, nearest_to
from wearmodel.intake.values.plain_text import plain

__all__ = [
    "CLOCKS",
    "DEFAULT_COSTS",
    "SERVICE_INTERVALS",
    "ComponentCost",
    "ComponentSpec",
    "CostSettings",
    "components_of",
    "costs_of",
    "layouts_of",
    "not_negative",
    "own_policy_of",
    "road_caps_of",
]

CLOCKS = ("km", "mi", "hours", "days")
"""What a part's age can be counted in."""

SERVICE_INTERVALS: Mapping[str, float] = MappingProxyType({"km": 15_000.0, "mi": 10_000.0})
"""Default distance between services; other clocks have none."""

_CODE = re.compile(r"[a-z][a-z0-9_]{0,39}")
_POSITION = re.compile(r"[a-z0-9_]{1,30}(\.[a-z0-9_]{1,30}){0,3}")


@dataclass(frozen=True)
class ComponentCost:
    """What replacing one component takes, beside the part itself.

    Parameters
    ----------
    planned_hours, failed_hours : float
        Workshop time of a planned replacement and of one after a failure [h].
    planned_downtime_hours, failed_downtime_hours : float
        Time the vehicle stands [h].
    failed_extra : float
        Recovery and damage beside the part after a failure [currency].
    is_default : bool
        True when `fleet.toml` says nothing of the component.
    """

    planned_hours: float
    planned_downtime_hours: float
    failed_hours: float
    failed_downtime_hours: float
    failed_extra: float
    is_default: bool


@dataclass(frozen=True)
class ComponentSpec:
    """A component that is tracked.

    Parameters
    ----------
    code : str
        As in column `component`.
    label : str
        For people.
    clock : str
        What its age is counted in.
    """

    code: str
    label: str
    clock: str


_COST_KEYS = (
    "planned_hours",
    "planned_downtime_hours",
    "failed_hours",
    "failed_downtime_hours",
    "failed_extra",
)

_ROAD_CAP = "road_failures_a_year"
_HIGHEST_CAP = 100.0

# Hours and extra cost of a light to medium truck's workshop: common practice, no source.
DEFAULT_COSTS: Mapping[str, ComponentCost] = MappingProxyType(
    {
        "u_joint": ComponentCost(1.4, 2.5, 2.6, 10.0, 180.0, True),
        "cv_joint_outboard": ComponentCost(2.0, 3.0, 3.2, 10.0, 180.0, True),
        "cv_joint_inboard": ComponentCost(2.2, 3.0, 3.4, 10.0, 180.0, True),
        "cv_boot_outboard": ComponentCost(1.6, 2.5, 2.0, 4.0, 40.0, True),
        "cv_boot_inboard": ComponentCost(1.8, 2.5, 2.2, 4.0, 40.0, True),
        "support_bearing": ComponentCost(1.8, 3.0, 3.0, 10.0, 180.0, True),
        "slip_spline": ComponentCost(2.4, 4.0, 3.6, 12.0, 220.0, True),
        "steering_joint": ComponentCost(1.2, 2.0, 2.2, 10.0, 180.0, True),
    }
)
"""Costs of the shipped components where `fleet.toml` has none: common practice, no source."""


def components_of(section: TomlSection, *, distance_unit: str) -> dict[str, ComponentSpec]:
    """Shipped components, then those of `[components.X]`.

    Parameters
    ----------
    section : TomlSection
        `[components]`.
    distance_unit : str
        Clock of components that name none.

    Returns
    -------
    dict of str to ComponentSpec
        By code.
    """
    components = {code: ComponentSpec(code, label, distance_unit) for code, label in COMPONENTS.items()}
    for code, own in section.sections().items():
        own.check_keys(("clock", "label"))
        if not _CODE.fullmatch(code):
            section.complain(code, "not a component code", "use lower-case letters, digits and _, 40 at most")
            continue
        label = COMPONENTS.get(code, code.replace("_", " ").capitalize())
        components[code] = ComponentSpec(
            code, own.text("label", label), own.text("clock", distance_unit, choices=CLOCKS)
        )
    return components


def layouts_of(section: TomlSection, *, components: Mapping[str, ComponentSpec]) -> dict[str, Mapping[str, str]]:
    """Shipped layouts, then those of `[layouts]`.

    Parameters
    ----------
    section : TomlSection
        `[layouts]`.
    components : mapping of str to ComponentSpec
        Known components.

    Returns
    -------
    dict
        Layout -> {position: component}.
    """
    layouts: dict[str, Mapping[str, str]] = dict(LAYOUTS)
    for name, own in section.sections().items():
        if not _CODE.fullmatch(name):
            section.complain(name, "not a layout name", "use lower-case letters, digits and _, 40 at most")
        elif name in LAYOUTS:
            section.complain(name, "a shipped layout has that name", "give yours another name")
        elif not own.values:
            section.complain(name, "has no positions", 'write { "place.part" = "component" }')
        else:
            layouts[name] = MappingProxyType(_positions(own, components=components))
    return layouts


def _positions(own: TomlSection, *, components: Mapping[str, ComponentSpec]) -> dict[str, str]:
    positions: dict[str, str] = {}
    for position, component in _flat(own.values).items():
        if not _POSITION.fullmatch(position):
            own.complain(position, "not a position name", "use lower-case words joined by dots")
        elif not isinstance(component, str) or component not in components:
            near = nearest_to(str(component), components)
            own.complain(
                position, f"{str(component)[:60]!r} is not a known component{near}", "add it under [components]"
            )
        else:
            positions[position] = component
    return positions


def _flat(values: Mapping[str, object], prefix: str = "") -> dict[str, object]:
    """Nested keys joined with dots: an unquoted `pto.joint` is the position `pto.joint`."""
    flat: dict[str, object] = {}
    for key, value in values.items():
        if isinstance(value, Mapping):
            flat.update(_flat(value, f"{prefix}{key}."))
        else:
            flat[f"{prefix}{key}"] = value
    return flat


@dataclass(frozen=True)
class CostSettings:
    """What `[cost]` says.

    Parameters
    ----------
    components : mapping of str to ComponentCost
        By component code; an own component without a section has no entry, and one with a negative figure none either.
    notes : tuple of str
        One sentence for every negative figure; the plan is made without that component's costs.
    """

    components: Mapping[str, ComponentCost]
    notes: tuple[str, ...]


def costs_of(section: TomlSection, *, components: Mapping[str, ComponentSpec]) -> CostSettings:
    """Costs by component: `[cost.X]`, else the default of a shipped component.

    Parameters
    ----------
    section : TomlSection
        `[cost]`.
    components : mapping of str to ComponentSpec
        Known components.

    Returns
    -------
    CostSettings
        Costs, and what cannot be used.
    """
    section.check_keys(components, remedy="correct it or add it under [components]")
    given = section.sections()
    costs: dict[str, ComponentCost] = {}
    notes: list[str] = []
    for code in components:
        default = DEFAULT_COSTS.get(code)
        if code in given:
            own = given[code]
            own.check_keys((*_COST_KEYS, _ROAD_CAP))
            remedy = f"until then no cost of {code} is used"
            figures, below = {}, len(notes)
            for key in _COST_KEYS:
                figures[key] = not_negative(own, key, getattr(default, key, 0.0), notes=notes, remedy=remedy)
            if len(notes) == below:
                costs[code] = ComponentCost(**figures, is_default=False)
        elif default is not None:
            costs[code] = default
            section.defaults.extend(f"cost.{code}.{key}" for key in _COST_KEYS)
    return CostSettings(MappingProxyType(costs), tuple(notes))


def not_negative(
    section: TomlSection, key: str, default: float, *, notes: list[str], remedy: str, high: float = 1e7
) -> float:
    """A cost; a negative one is a note, and the plan goes on without it.

    Parameters
    ----------
    section : TomlSection
        Where the key stands.
    key : str
        Its name.
    default : float
        Taken where the key is missing.
    notes : list of str
        Receives the sentence.
    remedy : str
        What the plan does meanwhile.
    high : float
        Largest value.

    Returns
    -------
    float
        NaN for a negative one.
    """
    value = section.values.get(key)
    if not isinstance(value, int | float) or not -high <= value < 0:
        return section.number(key, default, high=high)
    wanted = f"a number from 0 to {high:,.10g} is needed here"
    notes.append(f"fleet.toml, key {plain(section.dotted(key))}: {value:.10g} is out of range; {wanted}, and {remedy}.")
    return math.nan


def road_caps_of(top: TomlSection, *, components: Mapping[str, ComponentSpec]) -> Mapping[str, float]:
    """Most failures on the road that the fleet will bear, where it says so.

    Parameters
    ----------
    top : TomlSection
        The whole file: `road_failures_a_year` there is for every component, in `[cost.X]` for that one.
    components : mapping of str to ComponentSpec
        Known components.

    Returns
    -------
    mapping of str to float
        By component code, of all its parts on a vehicle [1 / vehicle-year].
    """
    everywhere = top.number(_ROAD_CAP, None, high=_HIGHEST_CAP, open_low=True)
    costs = top.values.get("cost")
    given = costs if isinstance(costs, Mapping) else {}
    caps = {}
    for code in components:
        mine = given.get(code)
        own = isinstance(mine, Mapping) and _ROAD_CAP in mine
        section = top.section("cost").section(code) if own else top
        caps[code] = section.number(_ROAD_CAP, None, high=_HIGHEST_CAP, open_low=True) if own else everywhere
    return MappingProxyType({code: cap for code, cap in caps.items() if not math.isnan(cap)})


def own_policy_of(section: TomlSection, *, components: Mapping[str, ComponentSpec]) -> Mapping[str, float]:
    """Replacement intervals of the manager's own policy, from `[own_policy]`.

    Parameters
    ----------
    section : TomlSection
        `[own_policy]`: component code = interval.
    components : mapping of str to ComponentSpec
        Known components.

    Returns
    -------
    mapping of str to float
        By component code [distance unit]; a component that is not named runs to failure.
    """
    section.check_keys(components, remedy="correct it or add it under [components]")
    return MappingProxyType(
        {code: section.number(code, None, high=1e7, open_low=True) for code in section.values if code in components}
    )
