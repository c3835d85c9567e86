"""Block of the sheet "Parts forecast": the vehicles the forecast reckons with, joining and leaving."""

from workbook.planner.book import Book
from workbook.planner.columns import Column
from workbook.planner.page import Page

__all__ = ["write_vehicles_ahead"]

_MISSING = "This plan does not say how many vehicles its forecast reckons with."


def write_vehicles_ahead(book: Book, page: Page) -> None:
    """Vehicles in service by month, then by class and depot at the end of the horizon.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    page : Page
        Sheet, with its cursor where the block begins; moved below it.
    """
    page.heading("Vehicles the forecast reckons with")
    table = book.table("fleet_ahead")
    if table.empty:
        page.paragraph(_MISSING, role="missing")
        return
    page.paragraph(
        "Expected numbers: vehicles join and leave as a table fleet_plan says, else they leave at the rate on record "
        "or in fleet.toml and none replaces them; see Assumptions, leaving_rate. Fewer vehicles need fewer parts."
    )
    monthly = table.groupby("month", as_index=False)[["vehicles", "joins", "leaves"]].sum()
    changes = [Column("joins", "Joining (vehicles)", "decimal1"), Column("leaves", "Leaving (vehicles)", "decimal1")]
    place = page.table(
        monthly,
        [Column("month", "Month ahead", "month"), Column("vehicles", "In service at its end", "decimal1"), *changes],
    )
    sums = {name: ("decimal1", float(monthly[name].sum())) for name in ("joins", "leaves")}
    page.total_row(place, label=f"All {book.span}", sums=sums)
    page.row += 1
    keys = ["vehicle_class", "depot"]
    page.break_here()
    last = table[table["month"] == table["month"].max()].drop(columns=["joins", "leaves"])
    whole = last.merge(table.groupby(keys, as_index=False)[["joins", "leaves"]].sum(), on=keys)
    page.table(
        whole,
        [
            Column("vehicle_class", "Vehicle class"),
            Column("depot", "Depot"),
            *changes,
            Column("vehicles", f"In service after {book.span}", "decimal1"),
            Column("p10", "Low, p10", "count"),
            Column("p90", "High, p90", "count"),
        ],
    )
