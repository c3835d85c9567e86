"""The settings of a fleet: what `fleet.toml` says, and the default where it says nothing."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType

import pandas as pd

from wearmodel.driveline.angle_limits import AngleLimits
from wearmodel.driveline.angles import Geometry
from wearmodel.driveline.shafts import ShaftLimits
from wearmodel.errors import InputError
from wearmodel.intake.fleet_toml import settings_sections as sections
from wearmodel.intake.fleet_toml.settings_duty import DutyRule, duty_rule_of
from wearmodel.intake.fleet_toml.settings_geometry import angle_limits_of, geometry_of, shaft_limits_of
from wearmodel.intake.fleet_toml.settings_lexicon import OwnWords, own_words_of
from wearmodel.intake.fleet_toml.settings_sections import ComponentCost, ComponentSpec
from wearmodel.intake.fleet_toml.settings_together import SharedWork, together_of
from wearmodel.intake.fleet_toml.toml_section import TomlSection
from wearmodel.intake.tables.table_sources import TableSource, databases_of, tables_of
from wearmodel.intake.values.plain_text import plain

__all__ = ["ComponentCost", "ComponentSpec", "FleetSettings", "TableSource", "read_settings"]

_MEASURES = ("cycle", "fill", "standing")
_TOP_KEYS = (
    "distance_unit",
    "currency",
    "as_of",
    "records_from",
    "service_interval",
    "labour_rate",
    "downtime_cost",
    "service_level",
    "service_measure",
    "holding_rate",
    "order_cost",
    "set_aside_limit",
    "review_threshold",
    "comeback_days",
    "greasing_intervals",
    "road_failures_a_year",
    "leaving_rate",
    "price_growth",
    "spread_backlog_months",
    "steering_side",
    "lexicon",
    "duty",
    "cost",
    "own_policy",
    "together",
    "geometry",
    "angle_limits",
    "shaft_limits",
    "components",
    "layouts",
    "tables",
    "databases",
)
_LONGEST_FILE = 1_000_000
_DEEPEST = 8


@dataclass(frozen=True)
class FleetSettings:
    """What holds for the whole fleet.

    Parameters
    ----------
    distance_unit : str
        `km`, `mi`, `hours` or `days`: the clock parts wear by.
    currency : str
        Of every price and cost.
    as_of : pandas.Timestamp or None
        The day the records are read for; None = the newest date in them.
    records_from : pandas.Timestamp or None
        The day records begin where a vehicle has none of its own; None = the earliest date in them.
    service_interval : float
        Distance between services [distance_unit]; NaN where unknown.
    labour_rate : float
        Of a workshop hour [currency/h]; NaN where a negative one was given.
    downtime_cost : float
        Of an hour a vehicle stands [currency/h]; NaN where a negative one was given.
    service_level : float
        Wanted chance of having a part on the shelf, above 0 and below 1.
    service_measure : str
        What that is: `cycle` (no shortage in a lead time), `fill` (share of demand met from the shelf), or `standing`
        (reorder points of least cost with a vehicle standing for each part that is short).
    holding_rate : float
        Cost of holding a part for a year as a share of its price, 0 to 2.
    order_cost : float
        Of placing an order, whatever its size, 0 to 100,000 [currency].
    set_aside_limit : float
        Largest share of faulty rows of an event table, 0 to 1; more stops the run.
    review_threshold : float
        Chance, 0.5 to 1, from which on a meaning learnt from the fleet's coded lines is used without asking.
    comeback_days : float
        Days from fitting within which a comeback counts as early, 1 to 1,000 [d].
    greasing_intervals : float
        A part counts as greased where it was greased at least once in so many service intervals, 0.1 to 100.
    leaving_rate : float
        Share of the vehicles that leave in a year without a plan, 0 to 1 (0: none leaves); NaN = as the record shows by
        vehicle age.
    price_growth : float
        Yearly growth of all costs ahead, -0.5 to 1 (0.03 = 3 % a year).
    spread_backlog_months : float
        Months over which parts that are past their interval today are renewed, 0 (at once) to 60.
    steering_side : str
        Side the driver sits on, `left` or `right`; empty where it is not said.
    own_words : OwnWords
        The fleet's own words for parts, places, reasons and work.
    duty_rule : DutyRule
        How duty is told where nobody recorded it.
    costs : mapping of str to ComponentCost
        By component code; a component of the fleet's own without a section has no entry.
    road_caps : mapping of str to float
        By component code, where there is one: most failures on the road of all its parts on a vehicle, above 0 to 100
        [1 / vehicle-year].
    own_policy : mapping of str to float
        Replacement intervals of the manager's own policy; other components run to failure under it [distance_unit].
    together : SharedWork
        What is spared when positions are renewed in one visit.
    geometry : mapping of str to Geometry
        By vehicle class; a class with an impossible figure has none.
    angle_limits : mapping of str to AngleLimits
        By component code.
    shaft_limits : ShaftLimits
        For whole lines of joints and their shafts.
    components : mapping of str to ComponentSpec
        Shipped ones and the fleet's own, by code.
    layouts : mapping
        Layout -> {position: component}, shipped ones and the fleet's own.
    tables : mapping of str to tuple of TableSource
        By canonical table name, where `fleet.toml` says something of it; one entry for each export.
    databases : mapping of str to str
        Name -> URL of the databases that tables are queried from; a URL may hold a password.
    defaults : tuple of str
        Dotted names of the keys that took a default (`labour_rate`, `cost.u_joint.failed_extra`).
    notes : tuple of str
        Sentences on figures that no shaft and no cost can have; the plan is made without them.
    """

    distance_unit: str
    currency: str
    as_of: pd.Timestamp | None
    records_from: pd.Timestamp | None
    service_interval: float
    labour_rate: float
    downtime_cost: float
    service_level: float
    service_measure: str
    holding_rate: float
    order_cost: float
    set_aside_limit: float
    review_threshold: float
    comeback_days: float
    greasing_intervals: float
    leaving_rate: float
    price_growth: float
    spread_backlog_months: float
    steering_side: str
    own_words: OwnWords
    duty_rule: DutyRule
    costs: Mapping[str, ComponentCost]
    road_caps: Mapping[str, float]
    own_policy: Mapping[str, float]
    together: SharedWork
    geometry: Mapping[str, Geometry]
    angle_limits: Mapping[str, AngleLimits]
    shaft_limits: ShaftLimits
    components: Mapping[str, ComponentSpec]
    layouts: Mapping[str, Mapping[str, str]]
    tables: Mapping[str, tuple[TableSource, ...]]
    databases: Mapping[str, str] = field(repr=False)
    defaults: tuple[str, ...]
    notes: tuple[str, ...] = ()


def read_settings(folder: Path) -> FleetSettings:
    """Read `fleet.toml` of a fleet folder; without one, everything takes its default.

    Parameters
    ----------
    folder : pathlib.Path
        The fleet folder.

    Returns
    -------
    FleetSettings
        Complete and checked.

    Raises
    ------
    InputError
        One sentence for every broken line, unknown key, wrong type and value out of range.
    """
    problems: list[str] = []
    defaults: list[str] = []
    top = TomlSection(_parsed(folder / "fleet.toml"), name="", problems=problems, defaults=defaults)
    top.check_keys(_TOP_KEYS)
    distance_unit = top.text("distance_unit", "km", choices=sections.CLOCKS, named=True)
    components = sections.components_of(top.section("components"), distance_unit=distance_unit)
    layouts = sections.layouts_of(top.section("layouts"), components=components)
    geometry = geometry_of(top.section("geometry"), layouts=layouts)
    costs = sections.costs_of(top.section("cost"), components=components)
    notes: list[str] = []

    def rate(key: str, default: float) -> float:
        remedy = "until then nothing is priced by it"
        return sections.not_negative(top, key, default, notes=notes, remedy=remedy, high=1e6)

    settings = FleetSettings(
        distance_unit=distance_unit,
        currency=top.text("currency", "EUR", named=True),
        as_of=top.date("as_of"),
        records_from=top.date("records_from"),
        service_interval=top.number(
            "service_interval", sections.SERVICE_INTERVALS.get(distance_unit), high=1e7, open_low=True
        ),
        labour_rate=rate("labour_rate", 70.0),
        downtime_cost=rate("downtime_cost", 40.0),
        service_level=top.number("service_level", 0.95, high=0.9999, open_low=True),
        service_measure=top.text("service_measure", "cycle", choices=_MEASURES, named=True),
        holding_rate=top.number("holding_rate", 0.2, high=2.0),
        order_cost=top.number("order_cost", 15.0, high=1e5),
        set_aside_limit=top.number("set_aside_limit", 0.05, high=1.0),
        review_threshold=top.number("review_threshold", 0.95, low=0.5, high=1.0),
        comeback_days=top.number("comeback_days", 90.0, low=1.0, high=1000.0),
        greasing_intervals=top.number("greasing_intervals", 2.0, low=0.1, high=100.0),
        leaving_rate=top.number("leaving_rate", None, high=1.0),
        price_growth=top.number("price_growth", 0.0, low=-0.5, high=1.0),
        spread_backlog_months=top.number("spread_backlog_months", 0.0, high=60.0),
        steering_side=top.text("steering_side", "", choices=("left", "right")),
        duty_rule=duty_rule_of(top.section("duty"), distance_unit=distance_unit),
        own_words=own_words_of(top.section("lexicon"), components=components),
        costs=costs.components,
        road_caps=sections.road_caps_of(top, components=components),
        own_policy=sections.own_policy_of(top.section("own_policy"), components=components),
        together=together_of(top.section("together"), layouts=layouts),
        geometry=geometry.classes,
        angle_limits=angle_limits_of(top.section("angle_limits"), components=components),
        shaft_limits=shaft_limits_of(top.section("shaft_limits")),
        components=MappingProxyType(components),
        layouts=MappingProxyType(layouts),
        tables=tables_of(top.section("tables"), distance_unit=distance_unit),
        databases=databases_of(top.section("databases")),
        defaults=tuple(defaults),
        notes=(*notes, *costs.notes, *geometry.notes),
    )
    if problems:
        raise InputError(problems)
    return settings


def _parsed(path: Path) -> dict[str, object]:
    """The file as nested dictionaries; empty when there is none."""
    try:
        if not path.exists() and not path.is_symlink():
            return {}
        if not path.resolve().is_relative_to(path.parent.resolve()) or not path.is_file():
            raise InputError("fleet.toml is not a plain file of the fleet folder; put the file itself there.")
        if path.stat().st_size > _LONGEST_FILE:
            raise InputError(f"fleet.toml is larger than {_LONGEST_FILE:,} bytes; it holds settings only.")
        text = path.read_bytes().decode("utf-8-sig")
    except RuntimeError as error:
        raise InputError("fleet.toml is a link that leads nowhere; put the file itself into the folder.") from error
    except OSError as error:
        raise InputError(f"fleet.toml cannot be read ({error.strerror}); check its permissions.") from error
    except UnicodeDecodeError as error:
        raise InputError("fleet.toml is not UTF-8 text; save it as UTF-8.") from error
    try:
        values = tomllib.loads(text)
    except RecursionError as error:
        raise InputError("fleet.toml is nested too deeply; write plain sections and lists.") from error
    except ValueError as error:
        where = plain(str(error), limit=160)
        raise InputError(f"fleet.toml is broken: {where}; correct that line.") from error
    if _is_deeper(values, than=_DEEPEST):
        raise InputError("fleet.toml is nested too deeply; write plain sections and lists.")
    return values


def _is_deeper(values: Mapping[str, object], *, than: int) -> bool:
    """Whether sections and lists lie in each other more than so many levels deep."""
    level: list[object] = [values]
    for _ in range(than):
        level = [inner for outer in level for inner in _inside(outer)]
    return bool(level)


def _inside(value: object) -> list[object]:
    """Sections and lists directly within one."""
    members = value.values() if isinstance(value, Mapping) else value if isinstance(value, list) else ()
    return [member for member in members if isinstance(member, Mapping | list)]
