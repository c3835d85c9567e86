"""What arrives from cells, checked, and what goes back to them.

Every argument may be one cell or a range; ranges have the same shape. The answer has that shape. A blank
cell of a required argument leaves its row blank; a faulty one puts one short line into its row. Only what
concerns the whole call (ranges of different shapes, no model file) is a `CellError`.
"""

import datetime
import math
from collections.abc import Callable, Iterable, Sequence
from functools import wraps
from typing import Any, ParamSpec

import numpy as np
from numpy.typing import NDArray

from workbook.function_list import FUNCTIONS
from workbook.function_spec import RUN_TO_FAILURE, Argument

__all__ = ["Cell", "CellError", "Rows", "TextColumn", "always_readable", "read_rows", "shown"]

Array = NDArray[Any]
#: A cell's value, or a range as a list of rows.
Cell = Any
Arguments = ParamSpec("Arguments")

_LONGEST_SHOWN = 30
_LONGEST_LINE = 250
_FIRST = np.zeros(1, dtype=np.intp)
_RANGES = frozenset({list, tuple, np.ndarray})


class CellError(Exception):
    """Why a whole call has no answer: one short line for the cell."""


class TextColumn:
    """Texts of one argument: the distinct ones, and which of them each row holds.

    Parameters
    ----------
    levels : sequence of str
        Distinct texts.
    codes : ndarray of int, shape (n_rows,)
        Index of each row's text in `levels`; -1 for none.
    """

    def __init__(self, levels: Sequence[str], codes: Array) -> None:
        self.levels = levels
        self.codes = codes


class Rows:
    """Checked arguments of one call, row by row, with what is worked out from them on the way.

    Parameters
    ----------
    count : int
        Number of rows.
    shape : tuple of int or None
        Rows and columns of the answer; None for a single cell.
    nested : bool
        Whether the answer is a list of lists, as ranges are, or one flat list.

    Attributes
    ----------
    columns, texts : dict of str to array, TextColumn
        What the arguments hold, by name.
    lines : dict of int to str
        What is wrong with the rows that are marked.
    """

    def __init__(self, count: int, shape: "tuple[int, int] | None", *, nested: bool) -> None:
        self.count = count
        self.shape = shape
        self.nested = nested
        self.columns: dict[str, Array] = {}
        self.texts: dict[str, TextColumn] = {}
        self.lines: dict[int, str] = {}
        # Made when the first row is left out: calls of one cell are many, and most of them are good.
        self._blank: Array | None = None
        self._faulty: Array | None = None
        self._good: Array | None = None

    @property
    def all_good(self) -> bool:
        """Whether no row was left blank or marked."""
        return self._blank is None and self._faulty is None

    @property
    def good(self) -> Array:
        """Whether each row can be worked out."""
        if self._good is None:
            self._good = np.ones(self.count, dtype=bool)
            for left_out in (self._blank, self._faulty):
                if left_out is not None:
                    self._good &= ~left_out
        return self._good

    def leave_blank(self, places: "Array | slice | list[int]") -> None:
        """Leave the answers of rows blank, whatever else is wrong with them.

        Parameters
        ----------
        places : array of int, slice or list of int
            Rows, from 0.
        """
        if self._blank is None:
            self._blank = np.zeros(self.count, dtype=bool)
        self._blank[places] = True
        self._good = None

    def mark(self, places: Iterable[int], line: str) -> None:
        """Put a line into rows that have none yet.

        Parameters
        ----------
        places : iterable of int
            Rows, from 0.
        line : str
            What is wrong; cut to 250 characters.
        """
        text = line if len(line) <= _LONGEST_LINE else line[: _LONGEST_LINE - 3] + "..."
        for place in places:
            if int(place) not in self.lines:
                self.lines[int(place)] = text
                if self._faulty is None:
                    self._faulty = np.zeros(self.count, dtype=bool)
                self._faulty[place] = True
        self._good = None

    def numbers(self, name: str) -> Array:
        """Numbers of an argument in the good rows; NaN where left out.

        Parameters
        ----------
        name : str
            An argument that holds numbers.

        Returns
        -------
        ndarray, shape (n_good_rows,)
            In the argument's own unit.
        """
        column = self.columns[name]
        return column if self._blank is None and self._faulty is None else column[self.good]

    def answer(self, values: "Array | Sequence[Any]", *, endless: str = "") -> Cell:
        """Answers in the shape of the arguments.

        Parameters
        ----------
        values : array or sequence
            One for each good row.
        endless : str
            What stands for infinity, which no cell can hold.

        Returns
        -------
        value or list of lists
            Numbers, texts, None for blank.
        """
        plain = values.tolist() if isinstance(values, np.ndarray) else list(values)
        if isinstance(values, np.ndarray) and not all(map(math.isfinite, plain)):
            word = endless or "beyond any number"
            plain = [value if math.isfinite(value) else word for value in plain]
        if self.all_good:
            return self._shaped(plain)
        cells: list[Any] = [None] * self.count
        for row, value in zip(np.flatnonzero(self.good).tolist(), plain, strict=True):
            cells[row] = value
        for row, line in self.lines.items():
            if self._blank is None or not self._blank[row]:
                cells[row] = line
        return self._shaped(cells)

    def _shaped(self, cells: list[Any]) -> Cell:
        if self.shape is None:
            return cells[0]
        if not self.nested:
            return cells
        width = self.shape[1]
        return [cells[start : start + width] for start in range(0, self.count, width)]


def shown(value: Any) -> str:
    """A value as it may stand in a line of text: short, on one line, texts in quotes.

    Parameters
    ----------
    value : object
        Whatever a cell held.

    Returns
    -------
    str
        Whole numbers in full, others to six digits, TRUE or FALSE, `a date`, or at most 30 characters of a text.
    """
    if isinstance(value, bool | np.bool_):
        return str(bool(value)).upper()
    if isinstance(value, int | float | np.number):
        return _figure(value)
    if isinstance(value, datetime.date | datetime.time):
        return "a date"
    text = "".join(character if character.isprintable() else " " for character in str(value)[: _LONGEST_SHOWN + 1])
    return f"'{text}'" if len(text) <= _LONGEST_SHOWN else f"'{text[:_LONGEST_SHOWN]}...'"


def _figure(value: Any) -> str:
    try:
        number = float(value)
    except OverflowError:
        return "so large a number"
    return f"{number:.0f}" if number == round(number, 0) and abs(number) < 1e12 else f"{number:.6g}"


def always_readable(function: Callable[Arguments, Cell]) -> Callable[Arguments, Cell]:
    """Turn whatever goes wrong in a workbook function into one line for its cell.

    Parameters
    ----------
    function : callable
        A workbook function.

    Returns
    -------
    callable
        The same, which raises nothing: a traceback has no place in a cell.
    """

    @wraps(function)
    def readable(*args: Arguments.args, **kwargs: Arguments.kwargs) -> Cell:
        try:
            with np.errstate(all="ignore"):
                return function(*args, **kwargs)
        except CellError as problem:
            return str(problem)[:_LONGEST_LINE]
        except MemoryError:
            return f"{function.__name__}: the range is too large"
        except Exception as error:
            # The last stand at the border to the spreadsheet; a fault of this program, so named as one.
            return f"{function.__name__} failed: {type(error).__name__}"

    return readable


def read_rows(name: str, *values: Cell) -> Rows:
    """Checked arguments of a call.

    Parameters
    ----------
    name : str
        The workbook function.
    *values : cell or range
        Its arguments, in order.

    Returns
    -------
    Rows
        One row for each cell of the ranges; faulty ones marked.

    Raises
    ------
    CellError
        If the ranges differ in shape, or one is not a rectangle.
    """
    arguments = FUNCTIONS[name].arguments
    if _RANGES.isdisjoint(map(type, values)):
        return _one_row(arguments, values)
    grids = [_Grid.of(argument.name, value) for argument, value in zip(arguments, values, strict=True)]
    rows = _rows_for(arguments, grids)
    for argument, grid in zip(arguments, grids, strict=True):
        if argument.kind == "text":
            rows.texts[argument.name] = _read_texts(rows, argument, grid.cells)
        else:
            rows.columns[argument.name] = _read_numbers(rows, argument, grid.cells)
    return rows


def _one_row(arguments: Sequence[Argument], cells: Sequence[Cell]) -> Rows:
    """Checked arguments of a call of one cell, as columns fill up with by the thousand."""
    rows = Rows(1, None, nested=False)
    for argument, cell in zip(arguments, cells, strict=True):
        # What is plainly in order is taken at once; for the rest the same rules hold as for ranges.
        if argument.kind == "text":
            text = cell.strip() if type(cell) is str else ""
            rows.texts[argument.name] = TextColumn([text], _FIRST) if text else _read_texts(rows, argument, [cell])
        elif type(cell) is float and argument.low < cell < argument.high:
            rows.columns[argument.name] = np.array([cell])
        else:
            rows.columns[argument.name] = _read_numbers(rows, argument, [cell])
    return rows


class _Grid:
    """Cells of one argument, row by row."""

    def __init__(self, cells: list[Any], shape: "tuple[int, int] | None", *, nested: bool) -> None:
        self.cells = cells
        self.shape = shape
        self.nested = nested

    @classmethod
    def of(cls, name: str, value: Cell) -> "_Grid":
        if isinstance(value, np.ndarray):
            value = value.tolist()
        if not isinstance(value, list | tuple):
            return cls([value], None, nested=False)
        if not any(isinstance(row, list | tuple) for row in value):
            return cls(list(value) or [None], (1, max(len(value), 1)), nested=False)
        if not all(isinstance(row, list | tuple) and len(row) == len(value[0]) for row in value):
            raise CellError(f"{name} must be a rectangular range")
        cells = [cell for row in value for cell in row]
        return cls(cells or [None], (len(value), len(value[0])) if cells else (1, 1), nested=True)


def _rows_for(arguments: Sequence[Argument], grids: Sequence[_Grid]) -> Rows:
    """Empty rows of the shape that the ranges have in common."""
    leading: _Grid | None = None
    leader = ""
    for argument, grid in zip(arguments, grids, strict=True):
        if len(grid.cells) == 1:
            continue
        if leading is None:
            leading, leader = grid, argument.name
        elif grid.shape != leading.shape:
            raise CellError(
                f"{leader} is {_size(leading)}, {argument.name} is {_size(grid)}: "
                "ranges must have the same shape, or be one cell"
            )
    ranges = [grid for grid in grids if grid.shape is not None]
    nested = any(grid.nested for grid in ranges)
    if leading is not None:
        return Rows(len(leading.cells), leading.shape, nested=nested)
    return Rows(1, (1, 1) if ranges else None, nested=nested)


def _size(grid: _Grid) -> str:
    rows, columns = grid.shape or (1, 1)
    return f"{rows} x {columns} cells"


def _is_blank(cell: Any) -> bool:
    return cell is None or (isinstance(cell, str) and not cell.strip())


def _read_numbers(rows: Rows, argument: Argument, cells: list[Any]) -> Array:
    """Numbers of all rows, NaN where there is none; faulty and blank ones marked."""
    default = argument.default if isinstance(argument.default, int | float) else np.nan
    values = np.full(len(cells), float(default))
    odd: Iterable[int] = range(len(cells))
    if len(cells) > 1 and set(map(type, cells)) == {float}:
        values = np.array(cells, dtype=float)
        odd = np.flatnonzero(_out_of_bounds(argument, values)).tolist()
    lines: dict[int, str] = {}
    blank: list[int] = []
    for place in odd:
        cell = cells[place]
        if _is_blank(cell):
            blank.append(place)
        elif argument.kind == "interval" and isinstance(cell, str) and cell.strip().lower() == RUN_TO_FAILURE:
            values[place] = np.inf
        elif line := _number_line(argument, cell):
            lines[place] = line
            values[place] = np.nan
        else:
            values[place] = float(cell)
    _mark_all(rows, argument, lines, blank, single=len(cells) == 1)
    return values if len(cells) == rows.count else np.full(rows.count, values[0])


def _out_of_bounds(argument: Argument, values: Array) -> Array:
    low = values <= argument.low if argument.low_open else values < argument.low
    high = values >= argument.high if argument.high_open else values > argument.high
    return low | high | ~np.isfinite(values)


def _number_line(argument: Argument, cell: Any) -> str:
    """What is wrong with a cell that should hold a number; empty if nothing is."""
    name = argument.name
    if isinstance(cell, bool | np.bool_) or not isinstance(cell, int | float | np.integer | np.floating):
        kind = "the text " if isinstance(cell, str) and not cell.startswith("#") else ""
        return f"{name} must be a number, not {kind}{shown(cell)}"
    try:
        value = float(cell)
    except OverflowError:
        value = np.inf
    if np.isnan(value):
        return f"{name} must be a number"
    if value < argument.low or (argument.low_open and value == argument.low):
        rule = f"above {_bound(argument.low)}" if argument.low_open else f"{_bound(argument.low)} or more"
        return f"{name} must be {rule}, not {shown(cell)}"
    if value > argument.high or (argument.high_open and value == argument.high):
        rule = f"below {_bound(argument.high)}" if argument.high_open else f"at most {_bound(argument.high)}"
        return f"{name} must be {rule}, not {shown(cell)}"
    return ""


def _bound(value: float) -> str:
    return f"{value:,.0f}" if value == round(value) else f"{value:g}"


def _read_texts(rows: Rows, argument: Argument, cells: list[Any]) -> TextColumn:
    """Texts of all rows, trimmed; faulty and blank ones marked."""
    places: dict[str, int] = {}
    codes = np.empty(len(cells), dtype=np.intp)
    lines: dict[int, str] = {}
    blank: list[int] = []
    default = argument.default if isinstance(argument.default, str) and not argument.required else None
    for place, cell in enumerate(cells):
        text = cell.strip() if isinstance(cell, str) else cell
        if text is None or text == "":
            blank.append(place)
            text = default
        if isinstance(text, str):
            codes[place] = places.setdefault(text, len(places))
        else:
            codes[place] = -1
            if text is not None:
                lines[place] = f"{argument.name} must be a text, not {shown(cell)}"
    _mark_all(rows, argument, lines, blank, single=len(cells) == 1)
    return TextColumn(list(places), codes if len(cells) == rows.count else np.full(rows.count, codes[0]))


def _mark_all(rows: Rows, argument: Argument, lines: "dict[int, str]", blank: list[int], *, single: bool) -> None:
    """Carry what was found in cells over to the rows; a single cell stands for all of them."""
    if argument.required and blank:
        rows.leave_blank(slice(None) if single else blank)
    for place, line in lines.items():
        rows.mark(range(rows.count) if single else (place,), line)
