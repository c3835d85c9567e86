"""Sheets that hold the first rows of a long table: how many of how many, in which order, and where the rest is."""

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.page import Page

__all__ = ["first_rows", "whole_table"]


def first_rows(book: Book, page: Page, rows: pd.DataFrame, *, most: int, table: str, order: str) -> pd.DataFrame:
    """Rows for a sheet; where there are more than a person reads, a line at the cursor says so.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    page : Page
        Its sheet.
    rows : pandas.DataFrame
        All rows, those to show first.
    most : int
        Rows shown at most.
    table : str
        Result table that holds them all.
    order : str
        What comes first, as the end of `Shown: ... rows, ...`.

    Returns
    -------
    pandas.DataFrame
        At most that many.
    """
    if len(rows) <= most:
        return rows
    shown = f"Shown: {most:,} of {len(rows):,} rows, {order}. {whole_table(book, table)}"
    page.paragraph(shown, role="missing")
    return rows.head(most)


def whole_table(book: Book, table: str) -> str:
    """Where all rows of a table are: a sentence.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    table : str
        Name of the result table.

    Returns
    -------
    str
        The folder where tables were asked for, else how to get them.
    """
    if book.tables_folder:
        return f"All of them are in {table}.csv in the folder {book.tables_folder}."
    return f"All of them come in {table}.csv when 'wearmodel plan' is given --tables and a folder."
