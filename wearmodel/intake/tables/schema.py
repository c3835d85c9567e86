"""The canonical tables of a fleet folder: which columns each has, and what a cell of it may hold."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from types import MappingProxyType
from typing import Literal

__all__ = ["FINDINGS", "REASONS", "SCHEMA", "Column", "Kind", "Table"]

Kind = Literal["text", "note", "date", "month", "number", "count", "share", "money"]
"""text: a name or code; note: free wording; share: 0 to 1 (or per cent); count: a whole number."""

REASONS = ("failed", "worn", "planned", "collateral", "damage", "comeback")
"""Why a part was renewed; a canonical `reason` is one of these words."""

FINDINGS = ("ok", "worn", "failed")
"""What a look at a part found."""

_FARTHEST = 10_000_000.0
_MOST_HOURS = 1_000_000.0


@dataclass(frozen=True)
class Column:
    """One column of a canonical table.

    Parameters
    ----------
    name : str
        Canonical name.
    kind : Kind
        What its cells hold.
    required : bool
        The column must exist and no cell of it may be blank.
    is_distance : bool
        Converted to the fleet's distance unit.
    minimum, maximum : float
        Bounds of a number, both included, after conversion.
    essential : bool
        True: a row with an unreadable cell here takes no further part. False: the cell is read as blank
        and the row is used.
    unless : str
        Another column of the table: where that one is filled a required cell may be blank.
    """

    name: str
    kind: Kind
    required: bool = False
    is_distance: bool = False
    minimum: float = -inf
    maximum: float = inf
    essential: bool = True
    unless: str = ""


@dataclass(frozen=True)
class Table:
    """One canonical table.

    Parameters
    ----------
    name : str
        Canonical name: the file or sheet is called so unless `fleet.toml` says otherwise.
    columns : tuple of Column
        In the order of the clean frame.
    is_master : bool
        True where other tables refer to this one, so that any faulty row stops the run.
    is_required : bool
        True where there is no answer at all without the table.
    without : str
        What cannot be answered when the table is missing.
    telling : tuple of str
        Columns by which a sheet is known to be this table; those that are required where none are named.
    """

    name: str
    columns: tuple[Column, ...]
    is_master: bool = False
    is_required: bool = False
    without: str = ""
    telling: tuple[str, ...] = ()

    def column(self, name: str) -> Column:
        """The column of that canonical name."""
        return next(column for column in self.columns if column.name == name)

    @property
    def names(self) -> tuple[str, ...]:
        """Canonical column names, in order."""
        return tuple(column.name for column in self.columns)


def _text(name: str, required: bool = False) -> Column:
    return Column(name, "text", required=required)


def _date(name: str, required: bool = False) -> Column:
    return Column(name, "date", required=required)


def _odometer(name: str = "odometer", required: bool = False, unless: str = "") -> Column:
    return Column(name, "number", required, is_distance=True, minimum=0.0, maximum=_FARTHEST, unless=unless)


def _money(name: str, required: bool = False, minimum: float = 0.0, essential: bool = True) -> Column:
    return Column(name, "money", required, minimum=minimum, maximum=1e9, essential=essential)


def _side(name: str, kind: Kind, maximum: float, minimum: float = 0.0, is_distance: bool = False) -> Column:
    """A column that helps but does not decide: an unreadable cell is read as blank."""
    return Column(name, kind, is_distance=is_distance, minimum=minimum, maximum=maximum, essential=False)


_TABLES = (
    Table(
        "vehicles",
        (
            _text("unit", True),
            _text("vehicle_class"),
            _text("driveline", True),
            _text("duty"),
            _text("depot"),
            _date("in_service_date", True),
            _odometer("in_service_odometer"),
            _date("records_from"),
            _date("out_of_service_date"),
        ),
        is_master=True,
        is_required=True,
    ),
    Table(
        "parts",
        (
            _text("part_number", True),
            _text("component", True),
            _text("build"),
            _text("vehicle_class"),
            _text("position"),
            _text("renews"),
            _money("unit_price", True),
            Column("lead_time_days", "number", True, minimum=0.0, maximum=3650.0),
            Column("lead_time_sd_days", "number", minimum=0.0, maximum=3650.0),
            Column("pack", "count", minimum=1.0, maximum=100_000.0),
            _text("superseded_by"),
            _text("interchangeable_with"),
        ),
        is_master=True,
        without="nothing can be priced and no stock advice is given",
    ),
    Table(
        "stock",
        (
            _text("part_number", True),
            _text("depot"),
            Column("on_hand", "count", True, minimum=0.0, maximum=1e7),
            Column("on_order", "count", minimum=0.0, maximum=1e7),
        ),
        is_master=True,
        without="what is on hand is not known, so no order is proposed",
    ),
    Table(
        "ride_height",
        (
            _text("unit", True),
            _date("date", True),
            # No change of a road vehicle's ride height goes beyond this (common practice, no source).
            Column("lift", "number", True, minimum=-150.0, maximum=500.0),
            Column("note", "note"),
        ),
        without="raised and factory-height vehicles cannot be compared",
    ),
    Table(
        "readings",
        (
            _text("unit", True),
            _date("date", True),
            _odometer(required=True, unless="engine_hours"),
            _side("engine_hours", "number", _MOST_HOURS),
        ),
        without="odometers are known only from repair and inspection lines",
    ),
    Table(
        "repairs",
        (
            _text("order", True),
            _date("date", True),
            _text("unit", True),
            _odometer(),
            _side("engine_hours", "number", _MOST_HOURS),
            Column("text", "note"),
            _text("part_number"),
            _side("quantity", "count", 1000.0, minimum=-1000.0),
            _text("component"),
            _text("position"),
            _text("reason"),
            _side("labour_hours", "number", 10_000.0),
            _money("parts_cost", minimum=-1e9, essential=False),
        ),
        is_required=True,
    ),
    Table(
        "inspections",
        (
            _text("unit", True),
            _date("date", True),
            _odometer(),
            _text("position", True),
            _text("finding", True),
        ),
        without="a part found worn is known only to have failed its limit since it was fitted",
    ),
    Table(
        "duty_log",
        (
            _text("unit", True),
            Column("month", "month", True),
            Column("distance", "number", True, is_distance=True, minimum=0.0, maximum=1_000_000.0),
            _side("stops", "count", 1e7),
            _side("idle_hours", "number", 744.0),
            _side("unpaved_share", "share", 1.0),
            _side("tow_hours", "number", 744.0),
            _side("mean_speed", "number", 400.0, is_distance=True),
        ),
        without="duty is taken only from the word in the vehicles table",
    ),
    Table(
        "fleet_plan",
        (
            _text("unit"),
            _text("vehicle_class"),
            _text("depot"),
            Column("month", "month", True),
            Column("joins", "count", minimum=0.0, maximum=100_000.0),
            Column("leaves", "count", minimum=0.0, maximum=100_000.0),
        ),
        without="no vehicle is taken to join, and none to leave but at the rate on record or in fleet.toml",
        telling=("month", "joins", "leaves"),
    ),
)

SCHEMA: Mapping[str, Table] = MappingProxyType({table.name: table for table in _TABLES})
"""The nine canonical tables; master tables come before those that refer to them."""
