"""Sheets "Set aside" and "Functions": input rows not used as given; the workbook functions at hand."""

from collections.abc import Mapping, Sequence

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.columns import Column
from workbook.planner.limits import first_rows

__all__ = ["MOST_SET_ASIDE", "write_functions", "write_set_aside"]

#: Rows a person may read through; the table has all.
MOST_SET_ASIDE = 5_000


def write_set_aside(book: Book) -> None:
    """Write the sheet of input rows that were not used exactly as given.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages["Set aside"]
    page.title("Set aside", subtitle="Input rows that were not used exactly as given, and what was done about each.")
    rows = book.table("set_aside")
    if rows.empty:
        page.paragraph("Every input row was used as given.", role="missing")
        page.finish(footer=book.footer)
        return
    page.paragraph(
        "'Used: yes' means used after the repair named; 'no' means left out; 'waits' means not used until its question "
        "on the sheet To settle is answered. Correct the row in the file, or leave it; the counts by file stand on "
        "the sheet Read first."
    )
    page.row += 1
    columns = [
        Column("file", "File"),
        Column("table", "Table"),
        Column("row", "Row in the file", "count"),
        Column("column", "Column"),
        Column("value", "Value", widest=260),
        Column("problem", "Problem", widest=340),
        Column("action", "What was done, and what to do", widest=420),
        Column("used", "Used"),
    ]
    used = rows["used"].map({True: "yes", False: "no"}).mask(rows["waits"].astype(bool), "waits")
    shown = rows.assign(used=used)
    order = "table by table and row by row"
    shown = first_rows(book, page, shown, most=MOST_SET_ASIDE, table="set_aside", order=order)
    place = page.table(shown, columns, filters=8)
    page.sheet.freeze_panes(place.first_row, 0)
    page.finish(footer=book.footer, repeat=place.first_row - 1)


def write_functions(book: Book, functions: Sequence[Mapping[str, str]], *, button: str = "") -> None:
    """Write the sheet that lists the workbook functions.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    functions : sequence of mapping
        Each with `name`, `arguments`, `answer` and `example`.
    button : str
        Macro behind a button that makes the functions known to this workbook; none without it.
    """
    page = book.pages["Functions"]
    page.title("Functions", subtitle="Workbook functions for sheets of your own; this workbook needs none of them.")
    page.paragraph(
        "They need a fitted model file and the set-up that the README describes; every sheet here works without "
        "them. The examples come from an invented model, not from this fleet."
    )
    page.row += 1
    if button:
        # Over two rows of its own, clear of the table below.
        page.sheet.insert_button(
            page.row, 0, {"macro": button, "caption": "Load the functions", "width": 160, "height": 32}
        )
        page.row += 3
    names = ("name", "arguments", "answer", "example")
    frame = pd.DataFrame([dict(entry) for entry in functions]).reindex(columns=list(names))
    columns = [
        Column("name", "Function"),
        Column("arguments", "Arguments", widest=360),
        Column("answer", "What it answers", widest=420),
        Column("example", "Example", widest=360),
    ]
    place = page.table(frame, columns)
    page.sheet.freeze_panes(place.first_row, 1)
    page.finish(footer=book.footer, repeat=place.first_row - 1)
