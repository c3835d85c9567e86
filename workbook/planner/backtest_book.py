"""The workbook of a backtest: each forecast from an earlier day beside what came."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pandas as pd
import xlsxwriter
from xlsxwriter.exceptions import XlsxWriterException

from wearmodel.errors import OutputError
from wearmodel.intake.cells.workbook_bounds import PLANNER_MARK
from wearmodel.output_files import whole_file
from workbook.planner.build import workbook_options
from workbook.planner.cell_text import clean_text
from workbook.planner.columns import Column
from workbook.planner.forecast_and_record import (
    RECORD_SHEET,
    RecordPages,
    figure_columns,
    write_forecast_and_record,
)
from workbook.planner.formats import Formats
from workbook.planner.page import Page
from workbook.planner.words import Words

if TYPE_CHECKING:
    from wearmodel.backtest import Backtest
    from wearmodel.intake.fleet import Fleet

__all__ = ["write_backtest"]

_SHEETS = (RECORD_SHEET, "Month by month", "Part by part", "Chart data")


@dataclass(frozen=True)
class _Sheets:
    """The workbook in the making."""

    workbook: Any
    pages: Mapping[str, Page]
    words: Words
    footer: str


def write_backtest(backtest: Backtest, fleet: Fleet, path: Path) -> None:
    """Write the workbook; it needs nothing but a spreadsheet program.

    Parameters
    ----------
    backtest : Backtest
        What is shown.
    fleet : Fleet
        The fleet it is of.
    path : Path
        Target file (.xlsx); its folder must exist.

    Raises
    ------
    OutputError
        If the file cannot be written; nothing is left behind then.
    """
    as_of = f"{fleet.as_of:%Y-%m-%d}"
    content = BytesIO()
    with whole_file(path) as temporary:
        workbook = xlsxwriter.Workbook(content, workbook_options())
        workbook.set_properties(
            {"title": "Forecast and record", "category": PLANNER_MARK, "created": datetime.fromisoformat(as_of)}
        )
        formats = Formats(workbook)
        name = clean_text(fleet.folder.resolve().name)[:60].replace("&", "&&")
        labels = {code: clean_text(spec.label) for code, spec in fleet.settings.components.items()}
        sheets = _Sheets(
            workbook,
            {sheet: Page(workbook.add_worksheet(sheet), formats) for sheet in _SHEETS},
            Words(clean_text(fleet.settings.distance_unit), clean_text(fleet.settings.currency), labels),
            f"&L{name}, as of {as_of}&C&A&RPage &P of &N",
        )
        _write_sheets(sheets, backtest)
        try:
            workbook.close()
        except XlsxWriterException as error:
            raise OutputError(f"{path} cannot be written: {error}; choose another place.") from None
        temporary.write_bytes(content.getbuffer())


def _write_sheets(sheets: _Sheets, backtest: Backtest) -> None:
    tables = backtest.tables
    data = sheets.pages["Chart data"]
    data.title("Chart data", subtitle="The figures behind the charts; change nothing here.")
    data.row += 1
    pages = RecordPages(sheets.workbook, sheets.pages[RECORD_SHEET], data, sheets.words, sheets.footer)
    write_forecast_and_record(pages, backtest)
    _write_list(
        sheets, "Month by month", tables["backtest"], [Column("label", "Component")],
        subtitle="Parts needed by component and month, each month from the latest forecast before it.",
    )  # fmt: skip
    _write_list(
        sheets, "Part by part", tables["backtest_parts"],
        [Column("part_number", "Part number"), Column("label", "Component"), Column("depot", "Depot")],
        subtitle="Parts needed by part number, depot and month, each month from the latest forecast before it.",
    )  # fmt: skip
    data.finish(footer=sheets.footer)


def _write_list(sheets: _Sheets, name: str, frame: pd.DataFrame, keys: list[Column], *, subtitle: str) -> None:
    """One sheet of rows."""
    page = sheets.pages[name]
    page.title(name, subtitle=subtitle)
    page.row += 1
    columns = [*keys, Column("month", "Month"), *figure_columns(), Column("origin", "Forecast made on")]
    place = page.table(
        frame.assign(label=frame["component"].map(sheets.words.component)), columns, filters=len(keys) + 1
    )
    page.sheet.freeze_panes(place.first_row, len(keys) + 1)
    page.finish(footer=sheets.footer, repeat=place.first_row - 1)
