"""Writes tables of a simulated shop system as the files such systems give: delimited text and workbooks."""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pandas as pd
import xlsxwriter


@dataclass(frozen=True)
class Sheet:
    """A table with its heading row.

    Parameters
    ----------
    headings : sequence of str
        Heading row.
    rows : sequence of sequence
        Cells: text, numbers, `datetime.date` or None.
    """

    headings: Sequence[str]
    rows: Sequence[Sequence[object]]


@dataclass(frozen=True)
class Mess:
    """What stands around the lines of a table: title rows above, the heading again, totals, blank rows.

    Parameters
    ----------
    titles : sequence of str
        Rows above the heading, one merged cell each in a workbook.
    page : int
        Lines after which the heading is repeated; 0 = never.
    totals : sequence of int
        Columns summed in a totals row after each page and at the end; empty = none.
    blanks : int
        Blank rows at the end.
    """

    titles: Sequence[str] = ()
    page: int = 0
    totals: Sequence[int] = ()
    blanks: int = 0


CLEAN = Mess()


def laid_out(sheet: Sheet, mess: Mess = CLEAN) -> tuple[list[list[object]], list[int]]:
    """All rows of a sheet from the first on, and the number of each line as a spreadsheet shows it."""
    rows: list[list[object]] = [[title] for title in mess.titles]
    rows.append(list(sheet.headings))
    numbers: list[int] = []
    page: list[Sequence[object]] = []
    for place, line in enumerate(sheet.rows):
        if mess.page and place and place % mess.page == 0:
            rows += [_totals("Page total", page, mess, len(sheet.headings))] if mess.totals else []
            rows.append(list(sheet.headings))
            page = []
        rows.append(list(line))
        page.append(line)
        numbers.append(len(rows))
    if mess.totals:
        rows.append(_totals("Grand total", sheet.rows, mess, len(sheet.headings)))
    rows += [[] for _ in range(mess.blanks)]
    return rows, numbers


def _totals(name: str, lines: Sequence[Sequence[object]], mess: Mess, width: int) -> list[object]:
    row: list[object] = [name, *[None] * (width - 1)]
    for column in mess.totals:
        values = [line[column] for line in lines]
        row[column] = round(sum(float(str(v).replace(",", ".")) for v in values if v not in (None, "")), 2)
    return row


def toml_map(mapping: Mapping[str, str]) -> str:
    """A mapping as an inline table of TOML."""
    return "{ " + ", ".join(f'"{key}" = "{value}"' for key, value in mapping.items()) + " }"


def write_delimited(
    path: Path, sheet: Sheet, *, delimiter: str = ",", encoding: str = "utf-8", mess: Mess = CLEAN
) -> list[tuple[str, int]]:
    """Write delimited text; every cell must be text or None. Returns file and row of each line."""
    rows, numbers = laid_out(sheet, mess)
    text = io.StringIO(newline="")
    writer = csv.writer(text, delimiter=delimiter, lineterminator="\r\n")
    writer.writerows([["" if cell is None else cell for cell in row] for row in rows])
    path.write_bytes(text.getvalue().encode(encoding, errors="replace"))
    return [(path.name, number) for number in numbers]


def write_workbook(
    path: Path, sheets: dict[str, Sheet], *, messes: dict[str, Mess] | None = None, date_format: str = "dd/mm/yyyy"
) -> dict[str, list[tuple[str, int]]]:
    """Write a workbook with real dates and numbers. Returns file and row of each line, by sheet."""
    places: dict[str, list[tuple[str, int]]] = {}
    book = xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False})
    day, title = book.add_format({"num_format": date_format}), book.add_format({"bold": True})
    for name, sheet in sheets.items():
        mess = (messes or {}).get(name, CLEAN)
        rows, numbers = laid_out(sheet, mess)
        page = book.add_worksheet(name)
        for r, row in enumerate(rows):
            if r < len(mess.titles) and len(sheet.headings) > 1:
                page.merge_range(r, 0, r, len(sheet.headings) - 1, str(row[0]) if row else "", title)
                continue
            for c, cell in enumerate(row):
                if isinstance(cell, date | pd.Timestamp):
                    page.write_datetime(r, c, pd.Timestamp(cell).to_pydatetime(), day)
                elif isinstance(cell, int | float):
                    page.write_number(r, c, cell)
                elif cell:
                    page.write_string(r, c, str(cell))
        label = path.name if len(sheets) == 1 else f"{path.name} sheet {name}"
        places[name] = [(label, number) for number in numbers]
    book.close()
    return places
