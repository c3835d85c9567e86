"""What each interval saves in a year on all the vehicles it is for, live, and the largest of those for the manager."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.page import Page
from workbook.planner.typed import INTERVALS_SHEET
from workbook.planner.words import Words

__all__ = [
    "RANK_COLUMN",
    "SavingPlaces",
    "add_savings",
    "ordered_by_use",
    "rank_cells",
    "saving_columns",
    "write_largest_savings",
]

_LARGEST = 3
_SAVING_YEAR = (
    "=IF(COUNT({vehicles},{yearly_running},{rate},{rate_failure})=4,"
    '{vehicles}*{yearly_running}/1000*({rate_failure}-{rate}),"")'
)
#: Equal savings stand in the order of their rows.
_RANK = '=IF(N({saving_year})>0,RANK({saving_year},{savings})+COUNTIF({savings_down_to_here},{saving_year})-1,"")'


@dataclass(frozen=True)
class SavingPlaces:
    """Where the savings stand.

    Parameters
    ----------
    place : Place
        The table on the sheet Intervals.
    shown : pandas.DataFrame
        Its rows, live columns with their cached values.
    """

    place: Place
    shown: pd.DataFrame


def ordered_by_use(frame: pd.DataFrame) -> pd.DataFrame:
    """The rows with components first that have an interval at all, else in their order.

    Parameters
    ----------
    frame : pandas.DataFrame
        Table `intervals`.

    Returns
    -------
    pandas.DataFrame
        The same rows, index 0..n-1.
    """
    has_one = frame.groupby("component")["interval"].transform("count") > 0
    return frame.iloc[np.argsort(~has_one.to_numpy(), kind="stable")].reset_index(drop=True)


#: How the largest savings are found; it stands apart from the savings, off the paper.
RANK_COLUMN = Column("saving_rank", "Rank of the saving", "count", "live", _RANK)


def saving_columns(words: Words) -> list[Column]:
    """Columns of the savings.

    Parameters
    ----------
    words : Words
        With the currency.
    """
    money = words.currency
    return [
        Column("vehicles", "Vehicles now", "count"),
        Column("saving_year", f"Saving in a long-run year, all of them ({money})", "money", "live", _SAVING_YEAR),
    ]


def add_savings(frame: pd.DataFrame) -> pd.DataFrame:
    """Cached values of the savings.

    Parameters
    ----------
    frame : pandas.DataFrame
        Columns `vehicles, yearly_running, rate, rate_failure`, rates per 1000.

    Returns
    -------
    pandas.DataFrame
        With `saving_year` and `saving_rank`; blank where a formula gives nothing.
    """
    saving = frame["vehicles"] * frame["yearly_running"] / 1000 * (frame["rate_failure"] - frame["rate"])
    return frame.assign(saving_year=saving, saving_rank=saving.where(saving > 0).rank(ascending=False, method="first"))


def rank_cells(columns: Sequence[Column], *, header_row: int, rows: int) -> list[dict[str, str]]:
    """By row, the cells that its rank is told from.

    Parameters
    ----------
    columns : sequence of Column
        All columns of the table, each one sheet column wide from the left edge.
    header_row : int
        Sheet row of the header, counted from 0.
    rows : int
        Rows of the table.
    """
    at = [column.name for column in columns].index("saving_year")
    first = xl_rowcol_to_cell(header_row + 1, at, row_abs=True, col_abs=True)
    ends = [xl_rowcol_to_cell(header_row + 1 + i, at, row_abs=True, col_abs=True) for i in range(rows)]
    return [{"savings": f"{first}:{ends[-1]}", "savings_down_to_here": f"{first}:{end}"} for end in ends]


def write_largest_savings(book: Book, page: Page, savings: SavingPlaces | None, *, last: int) -> None:
    """The largest savings by planned replacement, following the sheet Intervals.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    page : Page
        Sheet, with its cursor where the block begins; moved below it.
    savings : SavingPlaces or None
        None where there are no intervals.
    last : int
        Last sheet column of the block, which begins in the first and has six.
    """
    page.heading("The three largest savings by planned replacement, in a long-run year", last=last)
    if savings is None or savings.shown["saving_rank"].isna().all():
        why = "No interval saves anything at these costs; see Intervals."
        page.across(page.row, 0, why, last=last, link=INTERVALS_SHEET)
        page.row += 1
        return
    money, unit = book.words.currency, book.words.distance
    rank = savings.place.range("saving_rank")

    def found(name: str, header: str, kind: str = "text") -> Column:
        """A column looked up by rank."""
        formula = f'=IF(COUNTIF({rank},{{order}})=1,INDEX({savings.place.range(name)},MATCH({{order}},{rank},0)),"")'
        return Column(name, header, kind, "live", formula)

    best = savings.shown.dropna(subset=["saving_rank"]).sort_values("saving_rank").head(_LARGEST)
    page.table(
        best.reset_index(drop=True).reindex(range(_LARGEST)).fillna({"label": "", "duty_label": ""}),
        [
            found("label", "Component"),
            found("duty_label", "Duty"),
            found("lift", "Lift (mm)", "count"),
            found("vehicles", "Vehicles", "count"),
            found("interval", f"Replace at ({unit})", "distance"),
            found("saving_year", f"Saves a year ({money})", "money"),
        ],
        references=[{"order": str(order)} for order in range(1, _LARGEST + 1)],
    )
