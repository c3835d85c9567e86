"""What a person typed into an earlier planner workbook, and how it is carried into a new one."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import pandas as pd

from workbook.planner.inputs import COST_FIELDS

__all__ = [
    "CHOICE_HEADING",
    "CURVES_SHEET",
    "INPUT_HEADINGS",
    "INTERVALS_SHEET",
    "LEAD_TIME",
    "LEAD_TIME_HEADING",
    "LONGEST_LEAD_TIME",
    "LOOK_UPS",
    "LOOK_UP_HEADING",
    "LOST_HEADINGS",
    "NOTE_HEADING",
    "NOTE_PLACES",
    "TYPED_SHEET",
    "Carried",
    "NotePlace",
    "TypedIn",
    "TypedInput",
    "carry",
    "given_inputs",
    "key_text",
]

TYPED_SHEET = "Typed in"
INTERVALS_SHEET = "Intervals"
CURVES_SHEET = "Life curves"
NOTE_HEADING = "Your note"
LOOK_UP_HEADING, CHOICE_HEADING = "Look up", "Your choice"
#: What a curve is looked up for, by the name of the figure.
LOOK_UPS: Mapping[str, str] = {
    "component": "Component",
    "duty": "Duty",
    "lift": "Ride height above factory (mm)",
    "age": "Age of the part",
    "ahead": "Distance ahead",
    "share": "Share failed",
}
#: First word of the keys of lead times; the part number follows.
LEAD_TIME = "lead_time_days"
LEAD_TIME_HEADING = "Lead time (days)"
LONGEST_LEAD_TIME = 3650.0
INPUT_HEADINGS: Mapping[str, str] = {
    "key": "Input",
    "row": "Row on Assumptions",
    "column": "Column on Assumptions",
    "given": "From the fleet folder",
}
LOST_HEADINGS: Mapping[str, str] = {
    "sheet": "Sheet it was typed on",
    "keys": "Row it belonged to",
    "note": "What was typed",
}


@dataclass(frozen=True)
class NotePlace:
    """Where a person may type beside rows: headings that tell the row, and the beginning of the column's heading."""

    keys: tuple[str, ...]
    heading: str = NOTE_HEADING


NOTE_PLACES: Mapping[str, NotePlace] = MappingProxyType(
    {
        "Due list": NotePlace(("Unit", "Position")),
        "Stock": NotePlace(("Part number", "Depot")),
        "To settle": NotePlace(("Key",)),
        CURVES_SHEET: NotePlace((LOOK_UP_HEADING,), CHOICE_HEADING),
        INTERVALS_SHEET: NotePlace(("Component", "Duty", "Lift (mm)"), "Own interval to try"),
    }
)


@dataclass(frozen=True)
class TypedInput:
    """An input cell: its value from the fleet folder when written, and as it stood when read; NaN is blank."""

    given: float
    value: float
    row: str
    column: str


@dataclass(frozen=True)
class TypedIn:
    """Input cells by key, and texts by sheet and row."""

    inputs: Mapping[str, TypedInput] = field(default_factory=dict)
    notes: Mapping[tuple[str, tuple[str, ...]], str] = field(default_factory=dict)


@dataclass
class Carried:
    """What a new workbook shows of an earlier one.

    Parameters
    ----------
    values : dict of str to float
        Input cells that a person changed, by key.
    notes : dict
        Texts by sheet and row; those whose row is listed no more stay on the sheet `TYPED_SHEET`.
    conflicts : dict of str to str
        One sentence for each input that a person and the fleet folder both changed, by key.
    placed : set
        Texts that found their row.
    """

    values: dict[str, float] = field(default_factory=dict)
    notes: dict[tuple[str, tuple[str, ...]], str] = field(default_factory=dict)
    conflicts: dict[str, str] = field(default_factory=dict)
    placed: set[tuple[str, tuple[str, ...]]] = field(default_factory=set)

    def beside(self, sheet: str, rows: Iterable[tuple[object, ...]]) -> list[str]:
        """The text of each row of a sheet, blank where nothing was typed."""
        found = []
        for row in rows:
            key = (sheet, tuple(key_text(cell) for cell in row))
            found.append(self.notes.get(key, ""))
            self.placed.add(key)
        return found

    def without_row(self) -> list[tuple[str, tuple[str, ...], str]]:
        """Texts whose row is listed no more."""
        return [(*key, text) for key, text in self.notes.items() if key not in self.placed]


def key_text(cell: object) -> str:
    """A cell that tells a row, as it is read back.

    Parameters
    ----------
    cell : object
        Text or number.

    Returns
    -------
    str
        On one line; whole numbers without a point.
    """
    if isinstance(cell, float):
        if math.isnan(cell):
            return ""
        return str(int(cell)) if cell.is_integer() else repr(cell)
    return " ".join(str(cell).split())


def _shown(value: float) -> str:
    return "blank" if math.isnan(value) else f"{value:g}"


def _same(first: float, second: float) -> bool:
    return (math.isnan(first) and math.isnan(second)) or math.isclose(first, second, rel_tol=1e-9, abs_tol=1e-12)


def given_inputs(costs: pd.DataFrame, lead_times: Mapping[str, float], **rates: float) -> dict[str, float]:
    """Input cells as the fleet folder gives them.

    Parameters
    ----------
    costs : pandas.DataFrame
        `component` and `COST_FIELDS`.
    lead_times : mapping of str to float
        By part number [d].
    **rates : float
        By name of their cell: `labour_rate`, `downtime_cost` [currency/h], `price_growth` [1/year] and so on.

    Returns
    -------
    dict of str to float
        By key; NaN is blank.
    """
    given = dict(rates)
    for index, code in enumerate(costs["component"]):
        for name in COST_FIELDS:
            value = float(costs[name].iloc[index])
            given.setdefault(f"{name} {code}", 0.0 if name == "worn_share" and math.isnan(value) else value)
    return given | {f"{LEAD_TIME} {number}": days for number, days in lead_times.items()}


def carry(typed: TypedIn, given: Mapping[str, float]) -> Carried:
    """What of an earlier workbook goes into a new one.

    Parameters
    ----------
    typed : TypedIn
        What was read from the earlier workbook.
    given : mapping of str to float
        Input cells as the fleet folder gives them now.

    Returns
    -------
    Carried
        A person's value stays; where the fleet folder changed the same input meanwhile, that is a conflict.
    """
    carried = Carried(notes=dict(typed.notes))
    for key, cell in typed.inputs.items():
        if _same(cell.value, cell.given):
            continue
        if key not in given:
            carried.notes["Assumptions", (cell.row, cell.column)] = _shown(cell.value)
            continue
        if _same(cell.value, given[key]):
            continue
        carried.values[key] = cell.value
        if not _same(cell.given, given[key]):
            carried.conflicts[key] = (
                f"{cell.row}, {cell.column}: {_shown(cell.value)} was typed in the workbook, and the fleet folder "
                f"changed meanwhile from {_shown(cell.given)} to {_shown(given[key])}; {_shown(cell.value)} is kept "
                "in the workbook: type the other figure there to take it."
            )
    return carried
