"""Sheet "Forecast and record": forecasts made from earlier days beside what came, in words, tables and charts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import pandas as pd

from wearmodel.backtest_tables import FEWEST_BUSY, FEWEST_COUNTS
from workbook.planner.charts import Band, Line, band_chart
from workbook.planner.columns import Column
from workbook.planner.formats import BAND_BLUE, INK, ORANGE
from workbook.planner.page import GALLERY_SIZE, Page
from workbook.planner.words import CAUTIONS, Words

if TYPE_CHECKING:
    from wearmodel.backtest import Backtest

__all__ = [
    "RECORD_SHEET",
    "RecordPages",
    "figure_columns",
    "fleet_totals",
    "forecast_scores",
    "made_from",
    "write_forecast_and_record",
]

RECORD_SHEET = "Forecast and record"
_HOW_TO_READ = (
    "Each forecast was made from the record as it stood on an earlier day: curves, running and ages from what was "
    "known then. Loss: how far the 10, 50 and 90 % lines were from what came, in parts; the smaller the better. The "
    "simple rules know nothing but the parts taken before. 80 % ranges should hold about 80 % of the counts, neither "
    "less nor much more; single counts below about one part show little either way."
)
_FORECAST = "forecast"
_MISSING = (
    "No forecast was made from an earlier day with this plan: 'wearmodel plan' makes them with --earlier-forecasts, "
    "and 'wearmodel backtest' in a workbook of their own."
)


@dataclass(frozen=True)
class RecordPages:
    """Where the sheet is written.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        The workbook in the making.
    page, data : Page
        The sheet, and the one that holds the figures behind its charts.
    words : Words
        Labels and units.
    footer : str
        Page footer.
    """

    workbook: Any
    page: Page
    data: Page
    words: Words
    footer: str


def made_from(backtest: Backtest) -> str:
    """How many forecasts of how many months were made, and from which days, as a sentence.

    Parameters
    ----------
    backtest : Backtest
        At least one forecast.
    """
    days = [f"{origin.day:%Y-%m-%d}" for origin in backtest.origins]
    months = f"{len(backtest.origins[0].months)} months"
    if len(days) == 1:
        return f"One forecast of {months}, made from {days[0]}."
    return f"{len(days)} forecasts of {months}, made from {', '.join(days)}."


def forecast_scores(backtest: Backtest) -> pd.DataFrame:
    """Rows of `backtest_scores` of the forecast itself, blank where too few counts stand behind a figure.

    Parameters
    ----------
    backtest : Backtest
        With its tables.
    """
    scores = backtest.tables["backtest_scores"]
    scores = scores[scores["method"] == _FORECAST].reset_index(drop=True)
    return scores.assign(
        loss_ratio=scores["loss_ratio"].where(scores["cells"] >= FEWEST_COUNTS),
        busy_coverage=scores["busy_coverage"].where(scores["busy_cells"] >= FEWEST_BUSY),
    )


def fleet_totals(backtest: Backtest, words: Words) -> pd.DataFrame:
    """Rows of `backtest_totals` with a `label`; component `all` stands for all components together.

    Parameters
    ----------
    backtest : Backtest
        With its tables.
    words : Words
        Labels of components.
    """
    totals = backtest.tables["backtest_totals"]
    labels = ["All" if code == "all" else words.component(str(code)) for code in totals["component"]]
    return totals.assign(label=labels)


def write_forecast_and_record(pages: RecordPages, backtest: Backtest | None, *, why_none: str = "") -> None:
    """Write the sheet.

    Parameters
    ----------
    pages : RecordPages
        Where to.
    backtest : Backtest or None
        None where no earlier forecast was made.
    why_none : str
        Why there is none, where that is known.
    """
    page = pages.page
    page.title(RECORD_SHEET, subtitle="No forecast from an earlier day." if backtest is None else made_from(backtest))
    if backtest is None:
        page.paragraph(why_none or _MISSING, role="missing")
        page.finish(footer=pages.footer)
        return
    for caution in CAUTIONS[:1]:
        page.paragraph(caution, role="caution")
    page.paragraph(_HOW_TO_READ)
    for note in backtest.notes:
        page.paragraph(note)
    page.heading("Where the forecast helps, and where chance rules")
    page.table(
        forecast_scores(backtest),
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
    page.gallery([_chart(pages, str(code), rows) for code, rows in monthly.groupby("component", sort=False)])
    page.break_here()
    page.heading("Over all months of a forecast")
    page.table(
        fleet_totals(backtest, pages.words),
        [Column("label", "Component"), Column("origin", "Forecast made on"), *figure_columns()],
        filters=2,
    )
    page.row += 1
    page.heading("Loss of the forecast and of simple rules")
    page.table(
        backtest.tables["backtest_scores"],
        [
            Column("grain", "What was forecast"),
            Column("method", "Rule"),
            Column("loss", "Loss (parts)", "decimal3"),
            Column("loss_ratio", "Best simple rule 1", "decimal2"),
            Column("bias", "Sum against what came (%)", "percent"),
        ],
    )
    page.finish(footer=pages.footer)


def figure_columns() -> list[Column]:
    """Columns of a forecast beside what came."""
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


def _chart(pages: RecordPages, code: str, rows: pd.DataFrame) -> Any:
    """What came of a component, month by month, in the range that was foreseen."""
    label, data = pages.words.component(code), pages.data
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
        pages.workbook,
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
