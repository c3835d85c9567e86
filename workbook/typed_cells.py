"""What a person typed into a planner workbook, read back as text from whatever saved it; no formula is evaluated."""

import math
from collections.abc import Mapping
from pathlib import Path

from wearmodel.errors import InputError
from wearmodel.intake.cells.workbook_cells import OpenWorkbook, open_workbook, sheet_grid, sheet_names
from wearmodel.intake.tables.problem_list import MOST_LINES, ProblemGroup, problem_lines
from wearmodel.intake.values.plain_text import plain
from workbook.planner.typed import (
    CURVES_SHEET,
    INPUT_HEADINGS,
    INTERVALS_SHEET,
    LEAD_TIME,
    LONGEST_LEAD_TIME,
    LOOK_UPS,
    LOST_HEADINGS,
    NOTE_PLACES,
    TYPED_SHEET,
    NotePlace,
    TypedIn,
    TypedInput,
    key_text,
)

__all__ = ["read_typed"]

#: Least, most and their name, of inputs by the first word of their key.
_MOST = math.nextafter(math.inf, 0.0)
_NOT_NEGATIVE = (0.0, _MOST, "a number of 0 or more")
_OWN_INTERVAL = (math.nextafter(0.0, 1.0), _MOST, "a number above 0")
_RANGES = {
    "worn_share": (0.0, 1.0, "a share from 0 to 1"),
    "price_growth": (-0.5, 1.0, "a yearly growth from -0.5 to 1"),
    "service_level": (0.01, 0.9999, "a chance from 0.01 to 0.9999"),
    LEAD_TIME: (0.0, LONGEST_LEAD_TIME, f"a number of days from 0 to {LONGEST_LEAD_TIME:,.0f}"),
}

#: The same of the figures a curve is looked up at.
_LOOKED_UP = {
    "lift": (-_MOST, _MOST, "a height in millimetres"),
    "age": _NOT_NEGATIVE,
    "ahead": _NOT_NEGATIVE,
    "share": (0.001, 0.999, "a share from 0.001 to 0.999"),
}

_Rows = list[list[str]]
_Key = tuple[str, tuple[str, ...]]


def read_typed(path: Path) -> TypedIn:
    """Read changed inputs, own intervals and notes.

    Parameters
    ----------
    path : pathlib.Path
        A planner workbook as a spreadsheet program saved it; rows may be sorted, filtered or deleted.

    Returns
    -------
    TypedIn
        Empty parts where the workbook is of an edition without them.

    Raises
    ------
    InputError
        The file cannot be read, or one sentence for each input or own interval that is no number in its range.
    """
    label = plain(path.name)
    workbook = open_workbook(path, label=label)
    names = {name.casefold(): name for name in sheet_names(workbook)}

    def rows(sheet: str) -> _Rows:
        if sheet.casefold() not in names:
            return []
        return _rows(workbook, names[sheet.casefold()], label=label)

    own = rows(TYPED_SHEET)
    notes: dict[_Key, str] = {}
    for line in _table(own, tuple(LOST_HEADINGS.values())):
        notes[line[0], tuple(line[1].split(" | "))] = line[2]
    for sheet, place in NOTE_PLACES.items():
        notes |= _notes(rows(sheet), sheet, place)
    inputs, problems = _inputs(own, rows("Assumptions"), label=label)
    problems += _interval_problems(notes, label=label) + _look_up_problems(notes, label=label)
    if problems:
        raise InputError(problem_lines([ProblemGroup(tuple(problems[:MOST_LINES]), len(problems))]))
    return TypedIn(inputs, notes)


def _rows(workbook: OpenWorkbook, sheet: str, *, label: str) -> _Rows:
    cells = sheet_grid(workbook, sheet, label=f"{label} sheet {sheet}").cells.fillna("").astype(str)
    return [[key_text(cell) for cell in row] for row in cells.to_numpy().tolist()]


def _header(rows: _Rows, headings: tuple[str, ...]) -> tuple[int, list[int]] | None:
    """Row and columns of headings, each told by its beginning."""
    for number, row in enumerate(rows):
        at = [next((i for i, cell in enumerate(row) if _is(cell, heading)), -1) for heading in headings]
        if -1 not in at:
            return number, at
    return None


def _is(cell: str, heading: str) -> bool:
    return cell == heading or cell.startswith(f"{heading} (")


def _table(rows: _Rows, headings: tuple[str, ...]) -> list[list[str]]:
    """Rows below the headings, down to the first in which all are blank."""
    found = _header(rows, headings)
    if found is None:
        return []
    number, at = found
    out = []
    for row in rows[number + 1 :]:
        line = [row[i] for i in at]
        if not any(line):
            break
        out.append(line)
    return out


def _notes(rows: _Rows, sheet: str, place: NotePlace) -> dict[_Key, str]:
    found = _table(rows, (*place.keys, place.heading))
    return {(sheet, tuple(line[:-1])): line[-1] for line in found if line[-1]}


def _interval_problems(notes: Mapping[_Key, str], *, label: str) -> list[str]:
    """One sentence for each own interval that no cost can be worked out for."""
    least, most, rule = _OWN_INTERVAL
    return [
        _problem(label, INTERVALS_SHEET, ", ".join(keys), NOTE_PLACES[INTERVALS_SHEET].heading, text, rule)
        for (sheet, keys), text in notes.items()
        if sheet == INTERVALS_SHEET and _number(text, least, most) is None
    ]


def _look_up_problems(notes: Mapping[_Key, str], *, label: str) -> list[str]:
    """One sentence for each figure of the look-up that no curve can be read at."""
    found = []
    for name, (least, most, rule) in _LOOKED_UP.items():
        text = notes.get((CURVES_SHEET, (LOOK_UPS[name],)), "")
        if _number(text, least, most) is None:
            found.append(_problem(label, CURVES_SHEET, LOOK_UPS[name], NOTE_PLACES[CURVES_SHEET].heading, text, rule))
    return found


def _problem(label: str, sheet: str, row: str, column: str, text: str, rule: str) -> str:
    return (
        f"{label} sheet {sheet}, row {plain(row)!r}, column {plain(column)!r}: {plain(text)!r} is not {rule}; "
        "correct it, or clear the cell."
    )


def _inputs(own: _Rows, assumptions: _Rows, *, label: str) -> tuple[dict[str, TypedInput], list[str]]:
    """Input cells by key, and one sentence for each that is no number in its range."""
    problems: list[str] = []
    out: dict[str, TypedInput] = {}
    for key, row, column, given in _table(own, tuple(INPUT_HEADINGS.values())):
        text = _cell(assumptions, row, column)
        if text is None:
            continue
        least, most, rule = _RANGES.get(key.partition(" ")[0], _NOT_NEGATIVE)
        value, before = _number(text, least, most), _number(given, least, most)
        if value is None:
            problems.append(_problem(label, "Assumptions", row, column, text, rule))
        elif before is not None:
            out[key] = TypedInput(before, value, row, column)
    return out, problems


def _cell(rows: _Rows, row: str, column: str) -> str | None:
    """The cell beside a label in column A, in the table under a heading; None where it is not there."""
    at: int | None = None
    for line in rows:
        if column in line:
            at = line.index(column)
        elif at is not None and line[0] == row:
            return line[at]
    return None


def _number(text: str, least: float, most: float) -> float | None:
    """NaN for blank, None for what is no number in the range."""
    if not text:
        return math.nan
    try:
        value = float(text)
    except ValueError:
        return None
    return value if least <= value <= most else None
