"""The section `[together]` of `fleet.toml`: what is spared when positions are renewed in one visit."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from wearmodel.intake.fleet_toml.toml_section import TomlSection

__all__ = ["OwnGroup", "SharedWork", "together_of"]

_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
#: Common practice, no source: a further part of a visit spares a quarter of an hour of bringing the vehicle in, raising
#: it and its test run, and an hour of its standing about; shaft and half shaft are out once for all that is on them; a
#: boot is off when its joint is renewed.
_DEFAULTS = MappingProxyType(
    {"visit_hours": 0.25, "visit_downtime_hours": 1.0, "shaft": 0.4, "half_shaft": 0.5, "corner": 0.8}
)
_HIGHEST = MappingProxyType(
    {"visit_hours": 100.0, "visit_downtime_hours": 1000.0, "shaft": 1.0, "half_shaft": 1.0, "corner": 1.0}
)


@dataclass(frozen=True)
class OwnGroup:
    """Positions that a fleet says share their labour.

    Parameters
    ----------
    positions : tuple of str
        Names of positions, two or more.
    share : float
        Share of the hours of each further position that is spared, 0 to 1.
    """

    positions: tuple[str, ...]
    share: float


@dataclass(frozen=True)
class SharedWork:
    """What is spared when positions of a vehicle are renewed in one visit.

    Parameters
    ----------
    visit_hours : float
        Workshop time that each further part of a visit spares, whatever it is [h].
    visit_downtime_hours : float
        Time the vehicle does not stand again for each further part, beside the workshop time spared [h].
    shaft, half_shaft, corner : float
        Share of the planned hours of each further position on the same shaft line, on the same half shaft, and at the
        same end of a half shaft (boot and joint), that is spared, 0 to 1.
    groups : mapping of str to OwnGroup
        Groups of the fleet's own.
    kit_hours : mapping of str to float
        Workshop time of fitting a kit or assembly, by part number, where the fleet gives it [h].
    """

    visit_hours: float = _DEFAULTS["visit_hours"]
    visit_downtime_hours: float = _DEFAULTS["visit_downtime_hours"]
    shaft: float = _DEFAULTS["shaft"]
    half_shaft: float = _DEFAULTS["half_shaft"]
    corner: float = _DEFAULTS["corner"]
    groups: Mapping[str, OwnGroup] = field(default_factory=dict)
    kit_hours: Mapping[str, float] = field(default_factory=dict)


def together_of(section: TomlSection, *, layouts: Mapping[str, Mapping[str, str]]) -> SharedWork:
    """Shared work, from `[together]`.

    Parameters
    ----------
    section : TomlSection
        `[together]`.
    layouts : mapping
        Known layouts: groups name their positions.

    Returns
    -------
    SharedWork
        With the default of each key that is missing.
    """
    section.check_keys((*_DEFAULTS, "groups", "kit_hours"))
    figures = {key: section.number(key, value, high=_HIGHEST[key]) for key, value in _DEFAULTS.items()}
    known = {position for positions in layouts.values() for position in positions}
    groups = {}
    for name, own in section.section("groups").sections().items():
        own.check_keys(("positions", "share"))
        positions = own.one_or_more("positions")
        if not _NAME.fullmatch(name):
            own.complain("positions", "the group has no plain name", "use lower-case letters, digits and _, 40 at most")
        if len(positions) < 2:
            own.complain("positions", "fewer than two positions", "name the positions that are renewed together")
        for position in positions:
            if position not in known:
                own.complain("positions", f"{position[:60]!r} is in no layout", "correct it or add it under [layouts]")
        if "share" not in own.values:
            own.complain("share", "is missing", "give the share of the hours that is spared, 0 to 1")
        groups[name] = OwnGroup(positions, own.number("share", None, high=1.0))
    own = section.section("kit_hours")
    kit_hours = {number: own.number(number, None, high=100.0, open_low=True) for number in own.values}
    return SharedWork(**figures, groups=MappingProxyType(groups), kit_hours=MappingProxyType(kit_hours))
