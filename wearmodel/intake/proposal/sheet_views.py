"""One sheet of a folder as it is looked at to find out what it is: its headings and a sample of its rows."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.intake.cells.delimited_text import CellGrid
from wearmodel.intake.cells.sheet_places import SheetPlace
from wearmodel.intake.headings.column_evidence import ColumnContext, column_evidence, known_evidence, sampled_rows
from wearmodel.intake.headings.header_names import match_headers
from wearmodel.intake.tables.schema import SCHEMA
from wearmodel.intake.tables.table_shape import header_place
from wearmodel.intake.values.date_parsing import parse_dates

__all__ = ["SheetView", "build_view"]

_HEADER_ROWS = 20
_FIGURE = re.compile(r"[-+]?[\d.,:/ -]+")


class SheetView:
    """The headings and sampled rows of one sheet.

    Parameters
    ----------
    place : SheetPlace
        Where it is.
    headers : tuple of str
        Its heading row.
    body : pandas.DataFrame
        Every row below the headings, cells as text.
    delimiter : str
        Of a text file.
    """

    def __init__(
        self, place: SheetPlace, headers: tuple[str, ...], body: pd.DataFrame, delimiter: str = ""
    ) -> None:
        self.place = place
        self.delimiter = delimiter
        self.headers = headers
        self.body = body
        rows = body.iloc[sampled_rows(len(body))]
        columns = {i: _on_one_line(rows.iloc[:, i]) for i in range(body.shape[1])}
        sample = pd.DataFrame(columns, index=range(len(rows)), dtype=object)
        filled = (sample != "").any(axis=1)
        self.sample = sample[filled].reset_index(drop=True)
        # What cells say by themselves is found once, what they say in company whenever more is known.
        self._alone: dict[int, Mapping[str, float]] = {}
        self._evidence: dict[int, Mapping[str, float]] = {}
        self.context = ColumnContext()

    @property
    def is_empty(self) -> bool:
        """True where there is nothing below the headings, or nothing in the headings."""
        return len(self.sample) == 0 or not any(header.strip() for header in self.headers)

    @property
    def filled(self) -> tuple[int, ...]:
        """Places with a heading and at least one filled cell."""
        return tuple(
            i for i, header in enumerate(self.headers) if header.strip() and bool((self.sample[i] != "").any())
        )

    def know(self, context: ColumnContext) -> None:
        """Look at the columns anew in the light of what is known now."""
        self.context = context
        self._evidence.clear()

    def know_rows(self, unit: int | None, date: int | None) -> None:
        """Look at the columns anew with the unit and date of each row known."""
        if unit is not None and date is not None:
            dates = parse_dates(self.column(date)).values
            self.know(replace(self.context, row_units=self.column(unit), row_dates=dates))

    def column(self, place: int) -> npt.NDArray[np.object_]:
        """Sampled cells of a column."""
        return self.sample[place].to_numpy(dtype=object)

    def evidence(self, place: int) -> Mapping[str, float]:
        """What the cells of a column say."""
        if place not in self._alone:
            self._alone[place] = column_evidence(self.column(place))
        if place not in self._evidence:
            alone = self._alone[place]
            self._evidence[place] = known_evidence(self.column(place), alone, context=self.context)
        return self._evidence[place]

    def distinct(self, place: int) -> list[str]:
        """Every distinct filled text of a whole column, in order of appearance."""
        texts = (" ".join(str(text).split()) for text in pd.unique(self.body.iloc[:, place]))
        return [text for text in dict.fromkeys(texts) if text]


def build_view(place: SheetPlace, grid: CellGrid) -> SheetView:
    """Find the heading row of a sheet and sample what stands below it.

    Parameters
    ----------
    place : SheetPlace
        Where it is.
    grid : CellGrid
        All its cells.

    Returns
    -------
    SheetView
        Headings are taken from the row or rows with most known headings, else from the first row of words that
        is about as wide as the table.
    """
    places = {table: header_place(grid, table=table, named={}) for table in SCHEMA}
    best = max(places, key=lambda table: _recognised(places[table].headings, table))
    place_of_headings = places[best]
    if _recognised(place_of_headings.headings, best) >= 2:
        headings = place_of_headings.headings
        return SheetView(place, headings, grid.cells.iloc[place_of_headings.last + 1 :], grid.delimiter)
    first = _first_row_of_words(grid)
    if first is None:
        return SheetView(place, (), grid.cells.iloc[:0])
    headings = tuple(str(cell) for cell in grid.cells.iloc[first])
    return SheetView(place, headings, grid.cells.iloc[first + 1 :], grid.delimiter)


def _recognised(headings: Sequence[str], table: str) -> int:
    match = match_headers(headings, table=table)
    return len(match.columns) + len(match.questions)


def _first_row_of_words(grid: CellGrid) -> int | None:
    """The first row of unlike words about as wide as the widest; else the first filled row."""
    rows = [grid.cells.iloc[i].tolist() for i in range(min(len(grid.cells), _HEADER_ROWS))]
    filled = [[cell for cell in (str(cell).strip() for cell in row) if cell] for row in rows]
    widest = max((len(cells) for cells in filled), default=0)
    for i, cells in enumerate(filled):
        is_wide = len(cells) >= max(2, 0.6 * widest) or len(cells) == widest == 1
        if is_wide and len(set(cells)) == len(cells) and not any(_FIGURE.fullmatch(cell) for cell in cells):
            return i
    return next((i for i, cells in enumerate(filled) if cells), None)


def _on_one_line(column: "pd.Series[str]") -> npt.NDArray[np.object_]:
    return np.array([" ".join(str(text).split()) for text in column], dtype=object)
