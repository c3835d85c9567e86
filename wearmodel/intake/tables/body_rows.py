"""Rows below the headings that are no lines of the table, and lines that leave blank what stands above them.

Reports repeat their headings on each page, close groups with totals and pages with a footer, merge cells that
say the same, and name an order only once, above all its lines.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt
import pandas as pd

from wearmodel.intake.tables.schema import Table
from wearmodel.intake.values.distinct_rows import map_distinct

__all__ = ["Body", "RowRemark", "check_body"]

_Texts = npt.NDArray[np.object_]
_Places = npt.NDArray[np.int64]
_Mask = npt.NDArray[np.bool_]

# A figure of one row that would be counted again if it were copied to another.
_ADDS_UP = frozenset(
    {"quantity", "labour_hours", "parts_cost", "on_hand", "on_order", "distance", "stops", "idle_hours", "tow_hours"}
)
_GROUP_KEYS: Mapping[str, tuple[str, ...]] = {"repairs": ("order", "date", "unit")}
_LINE_CONTENT = ("text", "part_number", "component")
_MOST_FOOTER_CELLS = 4
_LONGEST_REMARK = 120

_SUM_WORD = (
    r"(?:(?:grand|page|running|overall|report|fleet|final)[\s-]*totals?|(?:sub|sous)?[\s-]?totals?|sum|totale?n?|"
    r"(?:sub)?totaal|zwischensumme|gesamtsumme|gesamt|summe|(?:gesamt)?ergebnis|somme|suma|somma)"
)
_FIGURE = r"(?:[A-Z€$£]{0,3}\s*[-\d.,' ]*\d\s*[A-Za-z€$£%]{0,12})?"
_TOTAL = re.compile(rf"\W*{_SUM_WORD}(?:\s+(?:for|of|per|by|für|pour|voor)\b.{{1,60}})?\W*{_FIGURE}\W*", re.IGNORECASE)
_TOTAL_IN_WORDING = re.compile(rf"\W*{_SUM_WORD}(?:\s+(?:for|per|by)\s+\S{{1,30}})?\W*{_FIGURE}\W*", re.IGNORECASE)
_TOTAL_OF_GROUP = re.compile(rf".{{1,60}}\s{_SUM_WORD}\W*", re.IGNORECASE)
_COUNTED = r"(?:records?|rows?|lines?|orders?|items?|entries|jobs?)"
_COUNT = re.compile(
    rf"\W*(?:(?:number|no\.?|count) of {_COUNTED}\W*\d*|{_COUNTED} count\W*\d*|count\W*\d+|{_COUNTED}\W*[:=]\W*\d+|"
    rf"\d+ {_COUNTED}(?: (?:in total|found|listed|printed|selected))?)\W*",
    re.IGNORECASE,
)
_DATED = r"(?:.{0,60}\d{1,4}[-./]\d{1,2}[-./]\d{1,4}.{0,40}|\W+by\W.{1,60}|\s*:.{1,60})"
_FOOTER = re.compile(
    r"(?:.{0,60}\W)?(?:page|seite|página|pagina|blad)\W*\d+\s*(?:of|/|von|de|sur|van|di)\s*\d+(?:\W.{0,60})?|"
    r"\W*(?:page|seite|página|pagina|blad)\W*\d+\W*|"
    rf"\W*(?:printed|generated|exported|created|print date|run date|report date|report run|gedruckt|imprimé)\b{_DATED}|"
    r"\W*end of (?:the )?(?:report|list|data|file|page)\W*|\W*continued(?: on next page| overleaf)?\W*",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class RowRemark:
    """What the shape of a table says of some of its rows.

    Parameters
    ----------
    kind : {'left_out', 'repaired'}
        Whether they are no lines of the table, or lines that were completed.
    places : numpy.ndarray
        Places of the rows, from 0.
    column : str
        Canonical column; empty when the whole row is meant.
    values : numpy.ndarray of object
        The cell each remark is about.
    problem : str
        One clause.
    actions : str or numpy.ndarray of object
        What was done, for all rows or for each.
    """

    kind: Literal["left_out", "repaired"]
    places: _Places
    column: str
    values: _Texts
    problem: str
    actions: str | _Texts


@dataclass(frozen=True)
class Body:
    """The rows below the headings.

    Parameters
    ----------
    columns : tuple of numpy.ndarray of object
        Trimmed cells, one array a column, all of one length; completed in place.
    rows : numpy.ndarray
        Row numbers as a spreadsheet shows them.
    names : mapping of str to tuple of int
        Canonical name -> its column, or those joined in it.
    lines : tuple of tuple of str
        The heading rows as they stand.
    titles : frozenset of tuple of str
        Rows above the headings, their filled cells only.
    """

    columns: tuple[_Texts, ...]
    rows: npt.NDArray[np.int64]
    names: Mapping[str, tuple[int, ...]]
    lines: tuple[tuple[str, ...], ...]
    titles: frozenset[tuple[str, ...]] = frozenset()

    def cells(self, name: str) -> _Texts:
        """The column of that canonical name; the first of several."""
        return self.columns[self.names[name][0]]


def check_body(
    body: Body, *, table: Table, filled: _Mask, merged: Sequence[tuple[int, int, int, int]]
) -> tuple[RowRemark, ...]:
    """Note rows that are no lines of the table, and complete lines that lean on the row above.

    Parameters
    ----------
    body : Body
        Its columns are completed in place.
    table : Table
        Which canonical table it is.
    filled : numpy.ndarray of bool
        Rows with any filled cell.
    merged : sequence of tuple of int
        Merged cells as first row, first column, last row, last column; rows counted from the first of the body.

    Returns
    -------
    tuple of RowRemark
        No row is both left out and completed.

    Notes
    -----
    A cell merged downwards stands for every row it covers, unless its figure adds up over the rows. An order's
    number, date and vehicle are taken from the line above only where all three are blank, the row says what was
    done or fitted, and no blank row, no total and no broken line lies between.
    """
    keys = [c.name for c in table.columns if c.required and c.kind in ("text", "date", "month")]
    keys = [name for name in keys if name in body.names]
    remarks: list[RowRemark] = []
    headings = filled & _repeated_headings(body, keys)
    page_rows = headings | _page_lines(body, keys, filled & ~headings)
    totals = _totals(body, table, keys, filled & ~page_rows)
    kinds = (
        (headings, "repeats the headings"),
        (page_rows & ~headings, "is the title or the footer of a page, no line"),
        (totals, "is a total, no line"),
    )
    for mask, problem in kinds:
        places = np.flatnonzero(mask)
        if places.size:
            values = np.array([_shown(body, place) for place in places.tolist()], dtype=object)
            remarks.append(RowRemark("left_out", places, "", values, f"the row {problem}", "left out"))
    lines = filled & ~page_rows & ~totals
    remarks += _fill_merged(body, table, lines, merged)
    remarks += _fill_groups(body, table, lines=lines, page_rows=page_rows, totals=totals)
    return tuple(remarks)


def _shown(body: Body, place: int) -> str:
    """The filled cells of a row, as far as they help to find it."""
    return ", ".join(str(column[place]) for column in body.columns if column[place])[:_LONGEST_REMARK]


def _repeated_headings(body: Body, keys: Sequence[str]) -> _Mask:
    """Rows whose filled cells are the headings of their columns."""
    repeats = np.zeros(len(body.rows), dtype=bool)
    for line in body.lines:
        places = [i for i, heading in enumerate(line) if heading and i < len(body.columns)]
        if not places:
            continue
        first = next((body.names[name][0] for name in keys if body.names[name][0] in places), places[0])
        candidates = np.flatnonzero(body.columns[first] == line[first])
        equal = np.zeros(candidates.size, dtype=np.int64)
        other = np.zeros(candidates.size, dtype=bool)
        for i, column in enumerate(body.columns):
            cells, heading = column[candidates], line[i] if i < len(line) else ""
            equal += (cells == heading) & (cells != "")
            other |= (cells != heading) & (cells != "")
        repeats[candidates[~other & (2 * equal >= len(places))]] = True
    return repeats


def _page_lines(body: Body, keys: Sequence[str], filled: _Mask) -> _Mask:
    """Rows of few cells, none of them a key: a page number or the like, or a title that comes again."""
    found = np.zeros(len(body.rows), dtype=bool)
    candidates = np.flatnonzero(filled & (_key_count(body, keys) <= 1))
    picked = [column[candidates] for column in body.columns]
    few = sum(((cells != "").astype(np.int64) for cells in picked), np.zeros(candidates.size, dtype=np.int64))
    few = few <= _MOST_FOOTER_CELLS
    candidates, picked = candidates[few], [cells[few] for cells in picked]
    marks = [_matches(_FOOTER, cells) for cells in picked]
    is_footer = np.zeros(candidates.size, dtype=bool)
    for mark in marks:
        is_footer |= mark
    for i in (body.names[name][0] for name in keys):
        is_footer &= (picked[i] == "") | marks[i]
    opening = {title[0] for title in body.titles}
    is_title = np.zeros(candidates.size, dtype=bool)
    for cells in picked:
        is_title |= pd.Series(cells).isin(opening).to_numpy()
    for j in np.flatnonzero(is_title).tolist():
        is_title[j] = tuple(str(cells[j]) for cells in picked if cells[j]) in body.titles
    found[candidates] = is_footer | is_title
    return found


def _totals(body: Body, table: Table, keys: Sequence[str], filled: _Mask) -> _Mask:
    """Rows with a word for a sum or a count, half their keys or more lacking, and nothing in words beside."""
    candidates = _key_count(body, keys) < max(len(keys), 2)
    for name in keys:
        if table.column(name).kind != "text":
            candidates |= _matches(_TOTAL, body.cells(name), worded=True)
    places = np.flatnonzero(filled & candidates)
    kinds = {i: table.column(name).kind for name, columns in body.names.items() for i in columns}
    key_places = {body.names[name][0] for name in keys}
    is_total = np.zeros(places.size, dtype=bool)
    keys_filled = np.zeros(places.size, dtype=np.int64)
    says_more = np.zeros(places.size, dtype=bool)
    for i, column in enumerate(body.columns):
        cells = column[places]
        is_wording = kinds.get(i) == "note"
        mark = _matches(_TOTAL_IN_WORDING if is_wording else _TOTAL, cells)
        if not is_wording:
            mark |= _matches(_COUNT, cells)
        if i in key_places:
            mark |= _matches(_TOTAL_OF_GROUP, cells)
            keys_filled += (cells != "") & ~mark
        elif kinds.get(i) in ("text", "note"):
            says_more |= (cells != "") & ~mark
        is_total |= mark
    found = np.zeros(len(body.rows), dtype=bool)
    found[places] = is_total & ~says_more & (keys_filled <= len(keys) // 2)
    return found


def _key_count(body: Body, keys: Sequence[str]) -> npt.NDArray[np.int64]:
    """Number of filled key cells of each row."""
    count = np.zeros(len(body.rows), dtype=np.int64)
    for name in keys:
        count += body.cells(name) != ""
    return count


def _matches(pattern: re.Pattern[str], cells: _Texts, *, worded: bool = False) -> _Mask:
    """Cells a pattern covers; `worded` passes over those that begin with a digit without a closer look."""

    def matches(text: object) -> bool:
        cell = str(text)
        return bool(cell) and not (worded and cell[0].isdigit()) and bool(pattern.fullmatch(cell[:_LONGEST_REMARK]))

    return map_distinct(matches, cells).astype(bool)


def _fill_merged(
    body: Body, table: Table, lines: _Mask, merged: Sequence[tuple[int, int, int, int]]
) -> list[RowRemark]:
    """Copy what stands in a merged cell to the rows it covers."""
    areas = np.array(merged, dtype=np.int64).reshape(-1, 4)
    areas = areas[(areas[:, 2] > areas[:, 0]) & (areas[:, 0] >= 0) & (areas[:, 0] < len(body.rows))]
    remarks: list[RowRemark] = []
    for name, columns in body.names.items():
        here = areas[np.isin(areas[:, 1], columns)]
        if name in _ADDS_UP or not here.size:
            continue
        for i in columns:
            own = here[here[:, 1] == i]
            heights = np.minimum(own[:, 2], len(body.rows) - 1) - own[:, 0]
            sources = np.repeat(own[:, 0], heights)
            places = sources + np.arange(1, sources.size + 1) - np.repeat(np.cumsum(heights) - heights, heights)
            column = body.columns[i]
            taken = lines[places] & (column[places] == "") & (column[sources] != "")
            places, sources = places[taken], sources[taken]
            if places.size:
                column[places] = column[sources]
                actions = map_distinct(lambda row: f"taken from row {row}", body.rows[sources])
                problem = "stands in a cell merged over several rows"
                remarks.append(RowRemark("repaired", places, name, column[places], problem, actions))
    return remarks


def _fill_groups(body: Body, table: Table, *, lines: _Mask, page_rows: _Mask, totals: _Mask) -> list[RowRemark]:
    """Copy an order's number, date and vehicle to its further lines, where they leave all three blank."""
    keys = _GROUP_KEYS.get(table.name, ())
    content = [name for name in _LINE_CONTENT if name in body.names]
    if not keys or not content or not all(name in body.names for name in keys):
        return []
    count = _key_count(body, keys)
    says = np.zeros(len(body.rows), dtype=bool)
    for i in (i for name in content for i in body.names[name]):
        says |= body.columns[i] != ""
    leaning = lines & (count == 0) & says
    if not leaning.any():
        return []
    place = np.arange(len(body.rows), dtype=np.int64)
    first = np.maximum.accumulate(np.where(lines & (count == len(keys)), place, -1))
    blank = ~lines & ~page_rows & ~totals
    broken = totals | (lines & (count < len(keys)) & ~leaning) | _blank_apart(blank, page_rows)
    barrier = np.maximum.accumulate(np.where(broken, place, -1))
    places = np.flatnonzero(leaning & (first > barrier))
    if not places.size:
        return []
    sources = first[places]
    for name in keys:
        body.cells(name)[places] = body.cells(name)[sources]
    actions = map_distinct(lambda row: f"taken from row {row}", body.rows[sources])
    problem = f"leaves {', '.join(keys[:-1])} and {keys[-1]} blank, as a further line of the order above it"
    return [RowRemark("repaired", places, "", body.cells(keys[0])[places], problem, actions)]


def _blank_apart(blank: _Mask, page_rows: _Mask) -> _Mask:
    """Blank rows that do not belong to the break between two pages."""
    gap = blank | page_rows
    run = np.cumsum(np.diff(gap, prepend=~gap[:1]))
    paged = np.zeros(int(run[-1]) + 1 if run.size else 0, dtype=bool)
    paged[run[page_rows]] = True
    return blank & ~paged[run]
