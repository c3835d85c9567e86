"""Sheet "Parts forecast": which part is needed at which depot in which month."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_rowcol_to_cell

from workbook.planner.book import Book
from workbook.planner.charts import Band, Line, band_chart
from workbook.planner.columns import Column, Place
from workbook.planner.formats import BAND_BLUE, BLUE
from workbook.planner.page import Page
from workbook.planner.vehicles_ahead import write_vehicles_ahead

__all__ = ["ForecastPlaces", "demand_chart", "write_parts_forecast"]

_MISSING = (
    "No parts can be forecast: it needs vehicles in service at the end of the record and a component with a life "
    "curve. The notes on the sheet Read first say what is missing."
)
_EXPECTED = "Figures are expected numbers, so 0.4 a month means about two in five months."
_LIMITS = (
    "Low and high: 1 chance in 10 of fewer, 1 in 10 of more; those of single rows do not add up to those of the total, "
    "because chance evens out over many parts."
)
_NO_LIMITS = "This plan holds no low and high figures of the totals."
_ALL = "all"


@dataclass(frozen=True)
class ForecastPlaces:
    """Where the forecast's totals stand.

    Parameters
    ----------
    total_cell : str
        Reference to the total over parts, depots and months.
    total, low, high : float
        Its mean now, and p10 and p90 (NaN when the plan does not give them).
    monthly : Place
        Chart rows, one a month: `month`, `mean`, `p10`, `height`.
    has_band : bool
        Whether p10 and p90 of the monthly totals are known.
    """

    total_cell: str
    total: float
    low: float
    high: float
    monthly: Place
    has_band: bool


def _by_part(forecast: pd.DataFrame, totals: pd.DataFrame, months: list[str]) -> pd.DataFrame:
    """One row a part and depot, months across, with p10 and p90 of the row's total."""
    keys = ["component", "part_number", "depot"]
    wide = forecast.pivot_table(index=keys, columns="month", values="mean", aggfunc="sum", observed=True)
    wide = wide.reindex(columns=months).reset_index()
    wide["total"] = wide[months].sum(axis=1)
    # A total over depots has depot "all", a total over months has month "all".
    whole = totals[totals["month"] == _ALL].drop_duplicates(keys)
    wide = wide.merge(whole[[*keys, "p10", "p90"]], on=keys, how="left")
    return wide.sort_values(keys, kind="stable", ignore_index=True)


def _grand_totals(totals: pd.DataFrame, months: list[str], means: pd.Series) -> pd.DataFrame:
    """Mean, p10 and p90 of all parts together: a row a month and a last one for the horizon."""
    of_all = (totals[["part_number", "component", "depot"]] == _ALL).all(axis=1)
    rows = totals[of_all].drop_duplicates("month").set_index("month")
    out = rows.reindex([*months, _ALL])[["p10", "p90"]].astype(float)
    out["mean"] = [*means[months], means[months].sum()]
    return out.rename_axis("month").reset_index()


def write_parts_forecast(book: Book) -> ForecastPlaces | None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    ForecastPlaces or None
        None when nothing is forecast.
    """
    page = book.pages["Parts forecast"]
    page.title("Parts forecast", subtitle="How many of each part each depot will need, month by month.")
    forecast = book.table("forecast")
    if forecast.empty:
        page.paragraph(_MISSING, role="missing")
        page.finish(footer=book.footer)
        return None
    totals = book.table("forecast_total")
    page.paragraph(f"{_EXPECTED} {_NO_LIMITS if totals.empty else _LIMITS} The chart stands below the table.")
    page.row += 1
    months = list(book.plan.months) or sorted(forecast["month"].unique())
    wide = _by_part(forecast, totals, months)
    grand = _grand_totals(totals, months, wide[months].sum())
    place = _write_rows(book, page, wide, grand, months)
    places = _write_chart_rows(book, place, grand)
    page.row += 1
    page.break_here()
    page.chart(page.row, demand_chart(book, places, size=(900, 340)), width=900)
    page.skip(360)
    write_vehicles_ahead(book, page)
    page.finish(footer=book.footer, repeat=place.first_row - 1)
    return places


def _write_rows(
    book: Book, page: Page, wide: pd.DataFrame, grand: pd.DataFrame, months: list[str]
) -> Place:
    span = f"{{{months[0]}}}:{{{months[-1]}}}"
    limits = [
        Column(name, header, "count")
        for name, header in (("p10", "Low, p10"), ("p90", "High, p90"))
        if grand[name].notna().any() or wide[name].notna().any()
    ]
    columns = [
        Column("label", "Component"),
        Column("part_number", "Part number"),
        Column("depot", "Depot"),
        *(Column(month, month, "decimal1") for month in months),
        Column("total", f"Total of {book.span}", "decimal1", "live", f"=SUM({span})"),
        *limits,
    ]
    shown = wide.assign(label=wide["component"].map(book.words.component))
    place = page.table(shown, columns, filters=3)
    sums = {m: ("decimal1", float(grand.loc[grand["month"] == m, "mean"].iloc[0])) for m in months}
    sums["total"] = ("decimal1", float(wide["total"].sum()))
    row = page.row
    page.total_row(place, label="All parts", sums=sums)
    for column in limits:
        page.put(row, place.columns[column.name], float(grand[column.name].iloc[-1]), kind="count", role="total")
    first, last = place.columns[months[0]], place.columns[months[-1]]
    page.sheet.conditional_format(
        place.first_row,
        first,
        place.last_row,
        last,
        {"type": "2_color_scale", "min_color": "#FFFFFF", "max_color": BAND_BLUE},
    )
    page.sheet.freeze_panes(place.first_row, 3)
    return place


def _write_chart_rows(book: Book, place: Place, grand: pd.DataFrame) -> ForecastPlaces:
    """Monthly totals for the charts; means refer to the sheet's own total row."""
    data = book.pages["Chart data"]
    rows = grand.iloc[:-1].assign(height=lambda f: f["p90"] - f["p10"])
    total_row = place.last_row + 1
    references = [
        {"sum": f"'{place.sheet}'!{xl_rowcol_to_cell(total_row, place.columns[month])}"}
        for month in rows["month"]
    ]
    data.heading("Parts expected by month, all parts and depots")
    monthly = data.table(
        rows,
        [
            Column("month", "Month", "month"),
            Column("mean", "Expected", "decimal2", "live", "={sum}"),
            Column("p10", "Low, p10", "decimal2"),
            Column("p90", "High, p90", "decimal2"),
            Column("height", "High less low", "decimal2", "live", "=IF(COUNT({p10},{p90})=2,{p90}-{p10},\"\")"),
        ],
        references=references,
    )
    data.row += 1
    last = grand.iloc[-1]
    return ForecastPlaces(
        total_cell=f"'{place.sheet}'!{xl_rowcol_to_cell(total_row, place.columns['total'], True, True)}",
        total=float(last["mean"]),
        low=float(last["p10"]),
        high=float(last["p90"]),
        monthly=monthly,
        has_band=bool(np.isfinite(rows[["p10", "p90"]].to_numpy(dtype=float)).all()),
    )


def demand_chart(book: Book, places: ForecastPlaces, *, size: tuple[int, int]) -> object:
    """Chart of all parts by month with the p10 to p90 band.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    places : ForecastPlaces
        As returned by `write_parts_forecast`.
    size : tuple of int
        Width and height [pixel].

    Returns
    -------
    xlsxwriter.chart.Chart
    """
    monthly = places.monthly
    band = Band("p10 to p90", monthly.series("p10"), monthly.series("height"), BAND_BLUE)
    return band_chart(
        book.workbook,
        "Parts expected by month, all parts and depots",
        categories=monthly.series("month"),
        band=band if places.has_band else None,
        lines=[Line("Expected", monthly.series("mean"), BLUE)],
        x_name="",
        y_name="parts",
        x_format="yyyy-mm",
        size=size,
    )
