"""Sheet "Mean replacements": what the record itself shows, without any model."""


import numpy as np
import pandas as pd

from workbook.planner.book import Book
from workbook.planner.charts import Band, Line, band_chart, even_grid
from workbook.planner.columns import Column
from workbook.planner.formats import BAND_GREY, INK
from workbook.planner.limits import whole_table
from workbook.planner.page import GALLERY_SIZE, Page

__all__ = ["write_mean_replacements"]

_MISSING = "No mean can be shown: the record holds no replacement of a driveline part."
_NORMAL_95 = 1.959964
_FULL_TABLE = 500
_ROWS_EACH = 40


def write_mean_replacements(book: Book) -> None:
    """Write the sheet and its rows of chart data.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages["Mean replacements"]
    page.title(
        "Mean replacements",
        subtitle="Mean number of wear replacements per vehicle as vehicles age, straight from the record.",
    )
    mcf = book.table("mcf").dropna(subset=["distance", "mcf"]).sort_values(["component", "distance"], ignore_index=True)
    if mcf.empty:
        page.paragraph(_MISSING, role="missing")
        page.finish(footer=book.footer)
        return
    page.paragraph(
        "The mean cumulative function: no law is assumed. A line bending upwards: replacements come faster as "
        "vehicles age; bending downwards: slower. The grey band is about 95% (1.96 standard errors). The right "
        "end rests on few vehicles: see the column 'under observation'."
    )
    mcf["low"] = (mcf["mcf"] - _NORMAL_95 * mcf["se"]).clip(lower=0)
    mcf["high"] = mcf["mcf"] + _NORMAL_95 * mcf["se"]
    _write_charts(book, page, mcf)
    _write_table(book, page, mcf)
    page.finish(footer=book.footer)


def _write_charts(book: Book, page: Page, mcf: pd.DataFrame) -> None:
    page.row += 1
    groups = mcf.groupby("component", sort=False)
    page.gallery(
        [_component_chart(book, str(code), rows) for code, rows in groups if rows["distance"].max() > 0]
    )


def _component_chart(book: Book, code: str, rows: pd.DataFrame) -> object:
    label, unit = book.words.component(code), book.words.distance
    grid = even_grid(float(rows["distance"].max()))
    at = np.searchsorted(rows["distance"].to_numpy(), grid, side="right")
    seen = pd.DataFrame({"distance": grid})
    for name in ("mcf", "low", "high"):
        seen[name] = np.concatenate([[0.0], rows[name].to_numpy(dtype=float)])[at]
    seen["height"] = seen["high"] - seen["low"]
    data = book.pages["Chart data"]
    data.heading(f"Mean replacements per vehicle: {label}")
    columns = [
        Column("distance", _distance_header(unit), "distance"),
        Column("mcf", "Mean replacements", "decimal3"),
        Column("low", "Low", "decimal3"),
        Column("high", "High", "decimal3"),
        Column("height", "High less low", "decimal3", "live", '=IF(COUNT({low},{high})=2,{high}-{low},"")'),
    ]
    place = data.table(seen, columns)
    data.row += 1
    has_band = bool(seen["height"].notna().all())
    return band_chart(
        book.workbook,
        label,
        categories=place.series("distance"),
        band=Band("95% band", place.series("low"), place.series("height"), BAND_GREY) if has_band else None,
        lines=[Line("Mean replacements per vehicle", place.series("mcf"), INK)],
        x_name=_distance_header(unit),
        y_name="replacements",
        y_format="0.0",
        label_every=10,
        size=GALLERY_SIZE,
    )


def _thinned(rows: pd.DataFrame) -> pd.DataFrame:
    """Evenly chosen rows of one component, the last always among them."""
    if len(rows) <= _ROWS_EACH:
        return rows
    return rows.iloc[np.unique(np.linspace(0, len(rows) - 1, _ROWS_EACH).round().astype(int))]


def _distance_header(unit: str) -> str:
    """What a vehicle's reading is called: an odometer, or its age where the record counts time."""
    return f"{'Odometer' if unit in ('km', 'mi') else 'Age of the vehicle'} ({unit})"


def _write_table(book: Book, page: Page, mcf: pd.DataFrame) -> None:
    page.heading("Figures")
    shown = mcf
    if len(mcf) > _FULL_TABLE:
        shown = pd.concat([_thinned(rows) for _, rows in mcf.groupby("component", sort=False)], ignore_index=True)
        page.paragraph(f"Shown: {len(shown):,} of {len(mcf):,} rows, evenly chosen. {whole_table(book, 'mcf')}")
    codes = shown["component"]
    unit = book.words.distance
    columns = [
        Column("label", "Component"),
        Column("distance", _distance_header(unit), "distance"),
        Column("at_risk", "Vehicles under observation", "count"),
        Column("mcf", "Mean replacements per vehicle", "decimal3"),
        Column("se", "Standard error", "decimal3"),
        Column("low", "Low (95%)", "decimal3"),
        Column("high", "High (95%)", "decimal3"),
    ]
    page.table(
        shown.assign(label=codes.map(book.words.component)), columns
    )
