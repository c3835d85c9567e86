"""Which column of a shop's table is which canonical column.

Case, spaces and punctuation never matter. A unit at the end of a heading (`Odometer (mi)`, `lift_in`) is
taken off and remembered.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from wearmodel.intake.plain_text import plain
from wearmodel.intake.schema import SCHEMA

__all__ = ["HEADER_VARIANTS", "HeaderMatch", "match_headers"]

HEADER_VARIANTS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "unit": (
            "unit", "unit number", "unit no", "unit id", "asset", "asset number", "asset no", "asset id",
            "vehicle", "vehicle number", "vehicle no", "vehicle id", "fleet number", "fleet no",
            "equipment", "equipment number", "equipment id", "truck", "truck number", "van",
        ),
        "vehicle_class": ("vehicle class", "class", "vehicle type", "vehicle group", "group", "model class"),
        "driveline": ("driveline", "driveline layout", "drive line", "drivetrain", "drive train", "layout"),
        "duty": ("duty", "duty class", "duty cycle", "work", "work type", "usage", "service type"),
        "depot": ("depot", "site", "base", "location", "garage", "yard", "branch", "warehouse", "store"),
        "in_service_date": (
            "in service date", "in service", "date in service", "start of service", "service start",
            "delivery date", "delivered", "first registration", "registration date", "commissioned",
        ),
        "in_service_odometer": (
            "in service odometer", "in service mileage", "odometer in service", "start odometer",
            "in service odo", "starting odometer", "initial odometer", "start mileage", "delivery odometer",
        ),
        "records_from": ("records from", "records start", "record start", "history from", "data from"),
        "out_of_service_date": (
            "out of service date", "out of service", "date out of service", "retired", "retired date",
            "retirement date", "disposal date", "disposed", "sold", "sold date", "end of service",
        ),
        "date": (
            "date", "closed", "date closed", "closed date", "completed", "date completed",
            "completion date", "work date", "repair date", "service date", "job date", "reading date",
            "date read", "inspection date", "date inspected", "order date", "wo date", "opened",
            "date opened", "effective date", "fitted date",
        ),
        "lift": ("lift", "lift height", "ride height", "ride height change", "raised by", "raise", "lift kit"),
        "note": ("note", "notes", "remark", "remarks", "comment", "comments"),
        "odometer": (
            "odometer", "odometer reading", "odo", "odo reading", "mileage", "meter", "meter reading",
            "km reading", "km", "kms", "kilometres", "kilometers", "miles", "reading", "hour meter",
            "hours run", "hours", "days",
        ),
        "order": (
            "order", "order number", "order no", "order id", "work order", "work order number",
            "work order no", "work order id", "wo", "wo number", "wo no", "job", "job number", "job no",
            "job card", "ticket", "ticket number", "ro", "ro number", "ro no", "repair order",
            "repair order number", "repair order no",
        ),
        "text": (
            "text", "description", "work done", "work description", "job description",
            "repair description", "work performed", "details", "line text", "narrative", "work carried out",
            "work", "work text", "correction", "complaint", "remarks", "comments", "notes",
        ),
        "part_number": (
            "part number", "part no", "part", "part id", "part code", "item", "item number", "item no",
            "item code", "stock code", "material", "sku",
        ),
        "quantity": ("quantity", "qty", "qty used", "quantity used", "pieces", "pcs"),
        "component": ("component", "component code", "part type", "component type", "assembly code"),
        "position": ("position", "position code", "place", "location on vehicle", "fitted position"),
        "reason": (
            "reason", "reason code", "reason for repair", "repair reason", "cause", "cause code",
            "failure code", "repair type",
        ),
        "labour_hours": (
            "labour hours", "labor hours", "labour", "labor", "hours worked", "man hours", "labour time",
            "labor time", "work hours",
        ),
        "parts_cost": ("parts cost", "part cost", "material cost", "materials", "cost of parts", "parts total"),
        "finding": ("finding", "result", "condition", "found", "inspection result", "status"),
        "build": ("build", "construction", "design", "variant"),
        "renews": ("renews", "contains", "kit contents", "includes"),
        "unit_price": ("unit price", "price", "price each", "unit cost", "cost each", "list price", "cost"),
        "lead_time_days": (
            "lead time days", "lead time", "lead days", "delivery time", "delivery days", "leadtime",
        ),
        "lead_time_sd_days": (
            "lead time sd days", "lead time sd", "lead time standard deviation", "lead time spread",
            "lead time deviation",
        ),
        "pack": ("pack", "pack size", "pack quantity", "pack qty", "order multiple", "box quantity"),
        "superseded_by": ("superseded by", "superseded", "replaced by", "supersession", "new part number"),
        "on_hand": ("on hand", "in stock", "stock", "qty on hand", "quantity on hand", "balance", "available"),
        "on_order": ("on order", "qty on order", "quantity on order", "ordered"),
        "month": ("month", "period", "year month"),
        "distance": ("distance", "distance driven", "distance run", "travelled", "km", "miles", "driven"),
        "stops": ("stops", "stop count", "number of stops", "starts"),
        "idle_hours": ("idle hours", "idle", "idling hours", "idle time"),
        "unpaved_share": ("unpaved share", "unpaved", "off road share", "off road", "gravel share"),
        "tow_hours": ("tow hours", "towing hours", "tow", "towing", "trailer hours"),
        "mean_speed": ("mean speed", "average speed", "avg speed", "speed"),
    }
)
"""Headings recognised for each canonical column, the likeliest first."""

_UNIT_WORDS = {
    "km": "km", "kms": "km", "kilometres": "km", "kilometers": "km", "kilometre": "km", "kilometer": "km",
    "mi": "mi", "mile": "mi", "miles": "mi",
    "kmh": "km", "kph": "km", "mph": "mi",
    "mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in",
}
_LONGEST_HEADING = 100
_BRACKETED = re.compile(r"[(\[{].*?[)\]}]")


@dataclass(frozen=True)
class HeaderMatch:
    """Where the canonical columns of one table stand in a shop's heading row.

    Parameters
    ----------
    columns : mapping of str to int
        Canonical name -> place in the row, from 0.
    units : mapping of str to str
        Canonical name -> unit named in its heading (`km`, `mi`, `mm`, `cm`, `in`), where one is.
    problems : tuple of str
        Clauses on headings that cannot be told apart or that `fleet.toml` names in vain.
    notes : tuple of str
        Choices made between several headings.
    """

    columns: Mapping[str, int]
    units: Mapping[str, str]
    problems: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def match_headers(headers: Sequence[str], *, table: str, named: Mapping[str, str] | None = None) -> HeaderMatch:
    """Find the canonical columns of a table in a heading row.

    Parameters
    ----------
    headers : sequence of str
        The heading row as read.
    table : str
        Canonical table name.
    named : mapping of str to str, optional
        Canonical name -> heading, as `fleet.toml` gives them; these come first.

    Returns
    -------
    HeaderMatch
        With every column that could be found.

    Examples
    --------
    >>> match_headers(["Asset No.", "Date", "Odometer (mi)"], table="readings").columns
    {'unit': 0, 'date': 1, 'odometer': 2}
    """
    keys = [_key(header) for header in headers]
    bare_keys = [_key(_without_unit(header)) for header in headers]
    columns: dict[str, int] = {}
    problems: list[str] = []
    for name, heading in (named or {}).items():
        places = [i for i, header in enumerate(headers) if header.strip() == heading.strip()]
        places = places or [i for i, key in enumerate(keys) if key and key == _key(heading)]
        if places:
            columns[name] = places[0]
        else:
            seen = plain(", ".join(header for header in headers if header.strip()), limit=300)
            problems.append(f"column {heading!r}, named for {name} in fleet.toml, is not there (found: {seen})")
    notes: list[str] = []
    for name in SCHEMA[table].names:
        if name in columns or (named and name in named):
            continue
        places = _places(name, keys, bare_keys, taken=set(columns.values()))
        if not places:
            continue
        columns[name] = places[0]
        tied = [i for i in places if keys[i] == keys[places[0]]]
        others = [headers[i].strip() for i in places[1:]]
        if len(tied) > 1:
            problems.append(f"column {headers[places[0]].strip()!r} stands there {len(tied)} times")
        elif others:
            rest = ", ".join(repr(other) for other in others)
            notes.append(f"{name} is read from column {headers[places[0]].strip()!r}, not from {rest}")
    units = {name: unit for name, i in columns.items() if (unit := _unit_named(headers[i]))}
    return HeaderMatch(columns, units, tuple(problems), tuple(notes))


def _key(header: str) -> str:
    """The heading without case, spaces and punctuation."""
    return "".join(c for c in header[:_LONGEST_HEADING].casefold() if c.isalnum())


_RANKS: Mapping[str, Mapping[str, int]] = {
    name: {_key(variant): rank for rank, variant in reversed(list(enumerate(variants)))}
    for name, variants in HEADER_VARIANTS.items()
}


def _places(name: str, keys: Sequence[str], bare_keys: Sequence[str], *, taken: set[int]) -> list[int]:
    """Free columns whose heading stands for that canonical name, the likeliest first."""
    ranks = _RANKS[name]
    ranked: list[tuple[int, int]] = []
    for i, key in enumerate(keys):
        if key and i not in taken:
            rank = ranks.get(key, ranks.get(bare_keys[i]))
            if rank is not None:
                ranked.append((rank, i))
    return [i for _, i in sorted(ranked)]


def _without_unit(header: str) -> str:
    """The heading without a bracket and without a unit as its last word."""
    bare = _BRACKETED.sub(" ", header[:_LONGEST_HEADING])
    words = re.findall(r"[^\W_]+", bare)
    if len(words) > 1 and words[-1].casefold() in _UNIT_WORDS:
        words = words[:-1]
    return " ".join(words)


def _unit_named(header: str) -> str:
    """The unit in a heading's bracket or last word; empty where there is none."""
    header = header[:_LONGEST_HEADING]
    words = re.findall(r"[^\W_]+", header.casefold().replace("km/h", "kmh"))
    bracket = _BRACKETED.search(header)
    if bracket is not None:
        inner = re.findall(r"[^\W_]+", bracket.group().casefold().replace("km/h", "kmh"))
        return next((_UNIT_WORDS[word] for word in inner if word in _UNIT_WORDS), "")
    return _UNIT_WORDS.get(words[-1], "") if words else ""
