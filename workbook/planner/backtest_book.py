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
from workbook.planner.charts import Band, Line, band_chart
from workbook.planner.columns import Column
from workbook.planner.formats import BAND_BLUE, INK, ORANGE, Formats
from workbook.planner.page import GALLERY_SIZE, Page
from workbook.planner.words import CAUTIONS, Words

if TYPE_CHECKING:
    from wearmodel.backtest import Backtest
    from wearmodel.intake.fleet import Fleet

__all__ = ["write_backtest"]

_SHEETS = ("Forecast and record", "Month by month", "Part by part", "Chart data")
_HOW_TO_READ = (
    "Each forecast was made from the record as it stood on an earlier day: curves, running and ages from what was "
    "known then. Loss: how far the 10, 50 and 90 % lines were from what came, in parts; the smaller the better. The "
    "simple rules know nothing but the parts taken before. 80 % ranges should hold about 80 % of the counts, neither "
    "less nor much more; single counts below about one part show little either way."
)
_FORECAST = "forecast"


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
    _write_first(sheets, backtest)
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


def _write_first(sheets: _Sheets, backtest: Backtest) -> None:
    """What the comparison says, in words, in a table and in charts."""
    page = sheets.pages["Forecast and record"]
    days = [f"{origin.day:%Y-%m-%d}" for origin in backtest.origins]
    page.title(
        "Forecast and record",
        subtitle=f"{len(days)} forecasts of {len(backtest.origins[0].months)} months, made from {', '.join(days)}.",
    )
    for caution in CAUTIONS[:1]:
        page.paragraph(caution, role="caution")
    page.paragraph(_HOW_TO_READ)
    for note in backtest.notes:
        page.paragraph(note)
    page.heading("Where the forecast helps, and where chance rules")
    scores = backtest.tables["backtest_scores"]
    page.table(
        scores[scores["method"] == _FORECAST],
        [
            Column("grain", "What was forecast"),
            Column("cells", "Counts", "count"),
            Column("loss_ratio", "Loss, best simple rule 1", "decimal2"),
            Column("bias", "Sum against what came (%)", "percent"),
            Column("busy_coverage", "80 % ranges held (%)", "percent"),
            Column("sentence", "In words", merge=8),
        ],
    )
    page.row += 1
    page.break_here()
    page.heading("Month by month")
    monthly = backtest.tables["backtest"]
    page.gallery([_chart(sheets, str(code), rows) for code, rows in monthly.groupby("component", sort=False)])
    page.break_here()
    page.heading("Over all months of a forecast")
    totals = backtest.tables["backtest_totals"]
    page.table(
        totals.assign(label=["All" if c == "all" else sheets.words.component(c) for c in totals["component"]]),
        [Column("label", "Component"), Column("origin", "Forecast made on"), *_figures()],
        filters=2,
    )
    page.row += 1
    page.heading("Loss of the forecast and of simple rules")
    page.table(
        scores,
        [
            Column("grain", "What was forecast"),
            Column("method", "Rule"),
            Column("loss", "Loss (parts)", "decimal3"),
            Column("loss_ratio", "Best simple rule 1", "decimal2"),
            Column("bias", "Sum against what came (%)", "percent"),
        ],
    )
    page.finish(footer=sheets.footer)


def _figures() -> list[Column]:
    return [
        Column("actual", "Came", "count"),
        Column("mean", "Expected", "decimal1"),
        Column("p10", "Low, 10 %", "count"),
        Column("p50", "Middle", "count"),
        Column("p90", "High, 90 %", "count"),
        Column("naive", "Mean of the year before", "decimal1"),
        Column("chance_below", "Chance of fewer (%)", "percent"),
        Column("chance_up_to", "Chance of no more (%)", "percent"),
    ]


def _chart(sheets: _Sheets, code: str, rows: pd.DataFrame) -> Any:
    """What came of a component, month by month, in the range that was foreseen."""
    label, data = sheets.words.component(code), sheets.pages["Chart data"]
    data.heading(f"Month by month: {label}")
    columns = [
        Column("month", "Month"),
        Column("actual", "Came", "count"),
        Column("mean", "Expected", "decimal1"),
        Column("p10", "Low, 10 %", "count"),
        Column("p90", "High, 90 %", "count"),
        Column("height", "High less low", "count", "live", '=IF(COUNT({p10},{p90})=2,{p90}-{p10},"")'),
    ]
    place = data.table(rows.assign(height=rows["p90"] - rows["p10"]).reset_index(drop=True), columns)
    data.row += 1
    return band_chart(
        sheets.workbook,
        label,
        categories=place.series("month"),
        band=Band("80 % range", place.series("p10"), place.series("height"), BAND_BLUE),
        lines=[
            Line("Expected", place.series("mean"), INK, dash="dash", width=1.5),
            Line("Came", place.series("actual"), ORANGE, width=1.75),
        ],
        x_name="",
        y_name="parts",
        label_every=max(len(rows) // 8, 1),
        size=GALLERY_SIZE,
    )


def _write_list(sheets: _Sheets, name: str, frame: pd.DataFrame, keys: list[Column], *, subtitle: str) -> None:
    """One sheet of rows."""
    page = sheets.pages[name]
    page.title(name, subtitle=subtitle)
    page.row += 1
    columns = [*keys, Column("month", "Month"), *_figures(), Column("origin", "Forecast made on")]
    place = page.table(
        frame.assign(label=frame["component"].map(sheets.words.component)), columns, filters=len(keys) + 1
    )
    page.sheet.freeze_panes(place.first_row, len(keys) + 1)
    page.finish(footer=sheets.footer, repeat=place.first_row - 1)
