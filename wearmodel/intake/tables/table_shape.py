"""Where the headings of a sheet stand: below titles and blank lines, on one line or on two."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from wearmodel.intake.cells.delimited_text import CellGrid
from wearmodel.intake.headings.header_names import match_headers
from wearmodel.intake.tables.schema import SCHEMA

__all__ = ["HeaderPlace", "header_candidates", "header_place"]

_HEADER_ROWS = 60
_MOST_CANDIDATES = 5
_LONGEST_HEADING = 80
_NOT_A_HEADING = re.compile(r"\W*\d")
_LETTER = re.compile(r"[^\W\d_]")
_UNIT_LINE = re.compile(
    r"\W*(km|kms|mi|miles|mm|cm|in|inch|h|hr|hrs|hours|std|days?|eur|usd|gbp|pcs|stk|each|km/h|mph|%|no|nr|#)?\W*",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class HeaderPlace:
    """The headings of a sheet.

    Parameters
    ----------
    first, last : int
        Places of the first and the last heading row in the grid, from 0; equal for headings on one line.
    headings : tuple of str
        One a column, the two lines joined where there are two.
    lines : tuple of tuple of str
        The heading rows as they stand.
    """

    first: int
    last: int
    headings: tuple[str, ...]
    lines: tuple[tuple[str, ...], ...]


def header_place(grid: CellGrid, *, table: str, named: Mapping[str, Sequence[str]]) -> HeaderPlace:
    """Find the headings of a table: the row, or pair of rows, in which most columns are recognised.

    Parameters
    ----------
    grid : CellGrid
        Cells of the sheet.
    table : str
        Canonical table name.
    named : mapping of str to sequence of str
        Canonical name -> headings, as `fleet.toml` gives them.

    Returns
    -------
    HeaderPlace
        The first of equals. A pair of rows is taken for headings where it tells more than either row alone, or
        where the second row holds nothing but units; a group heading over several columns counts for each.
    """
    top = _top_rows(grid)
    names = {_folded(heading) for headings in named.values() for heading in headings}
    best: HeaderPlace | None = None
    best_score = (-1, 0)
    for i, row in enumerate(top):
        if not any(row):
            continue
        single = HeaderPlace(i, i, row, (row,))
        options = [single]
        if i + 1 < len(top) and _may_be_group_line(row, grid) and _may_be_headings(top[i + 1]):
            joined = _joined(grid, i, (row, top[i + 1]), table=table, names=names)
            options.insert(0 if all(map(_UNIT_LINE.fullmatch, top[i + 1])) else 1, joined)
        for option in options:
            score = _score(option.headings, table=table, named=named)
            if score > best_score:
                best, best_score = option, score
    return best or HeaderPlace(0, 0, (), ((),))


def header_candidates(grid: CellGrid) -> list[int]:
    """Rows that may hold the headings of a sheet nothing is known of.

    Parameters
    ----------
    grid : CellGrid
        Cells of the sheet.

    Returns
    -------
    list of int
        Places in the grid, from 0, the likeliest first: those in which most headings of one table are recognised,
        then those with most cells that could be headings.
    """
    ranked: list[tuple[int, int, int]] = []
    for i, row in enumerate(_top_rows(grid)):
        likely = len({cell for cell in row if _may_be_heading(cell)})
        if likely:
            recognised = max(len(match_headers(row, table=table).columns) for table in SCHEMA)
            ranked.append((-recognised, -likely, i))
    return [i for _, _, i in sorted(ranked)[:_MOST_CANDIDATES]]


def _top_rows(grid: CellGrid) -> list[tuple[str, ...]]:
    """The first rows of a sheet, each cell on one line."""
    top = grid.cells.iloc[:_HEADER_ROWS].to_numpy(dtype=object)
    return [tuple(" ".join(str(cell).split()) for cell in row) for row in top]


def _may_be_heading(cell: str) -> bool:
    return bool(len(cell) <= _LONGEST_HEADING and _LETTER.search(cell) and not _NOT_A_HEADING.match(cell))


def _may_be_headings(row: Sequence[str]) -> bool:
    """Whether every filled cell of a row could be a heading or a unit under one."""
    filled = [cell for cell in row if cell]
    return bool(filled) and all(_may_be_heading(cell) or _UNIT_LINE.fullmatch(cell) for cell in filled)


def _may_be_group_line(row: Sequence[str], grid: CellGrid) -> bool:
    """Whether a row may stand over headings: a single text that spans no columns is a title."""
    return _may_be_headings(row) and (sum(1 for cell in row if cell) > 1 or bool(grid.merged))


def _score(headings: Sequence[str], *, table: str, named: Mapping[str, Sequence[str]]) -> tuple[int, int]:
    """How well a row serves as headings: columns recognised, then how few are in doubt."""
    match = match_headers(headings, table=table, named=named)
    # Headings that leave a question are headings all the same.
    return len(match.columns) + len(match.questions), -len(match.problems) - len(match.questions)


def _joined(
    grid: CellGrid, i: int, lines: tuple[tuple[str, ...], tuple[str, ...]], *, table: str, names: set[str]
) -> HeaderPlace:
    """Two heading rows as one: each column's group before its own heading, where that names it best."""
    upper, lower = lines
    groups = _groups(grid, i, upper)
    headings: list[str] = []
    for own, group, line in zip(upper, groups, lower, strict=True):
        both = f"{group} {line}" if group and line and group != line else line or own
        options = [both]
        # A heading that stands there twice, such as Date under Opened and under Closed, says nothing alone.
        if lower.count(line) == 1:
            options.append(line)
        options.append(own)
        wanted = [option for option in options if option and _folded(option) in names]
        known = [option for option in options if option and match_headers([option], table=table).columns]
        headings.append(next(iter([*wanted, *known, both])))
    return HeaderPlace(i, i + 1, tuple(headings), lines)


def _groups(grid: CellGrid, i: int, upper: tuple[str, ...]) -> list[str]:
    """The group heading over each column: across merged cells where the sheet has any, else up to the next one."""
    spans = [area for area in grid.merged if area[0] <= i <= area[2]]
    groups = list(upper)
    if spans:
        for _, first, _, last in spans:
            for column in range(first + 1, min(last + 1, len(groups))):
                groups[column] = groups[column] or upper[first]
        return groups
    for column in range(1, len(groups)):
        groups[column] = groups[column] or groups[column - 1]
    return groups


def _folded(heading: str) -> str:
    return "".join(c for c in heading.casefold() if c.isalnum())
