"""Sheet "Stock": what to hold of each part at each depot, and what to order now."""

from dataclasses import dataclass

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.page import Page
from workbook.planner.typed import NOTE_HEADING

__all__ = ["StockPlaces", "write_stock"]

_MISSING = (
    "No stock advice can be given: it needs a parts table with prices and lead times, vehicles in service and a "
    "component with a life curve; a stock table adds what is on hand."
)


@dataclass(frozen=True)
class StockPlaces:
    """Where the stock figures stand: the table, pieces to order and their value now."""

    table: Place
    pieces: float
    value: float


def write_stock(book: Book) -> StockPlaces | None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    StockPlaces or None
        None when there is no advice.
    """
    page = book.pages["Stock"]
    page.title("Stock", subtitle="What to hold of each part at each depot, and what to order now.")
    stock = book.table("stock")
    if stock.empty:
        page.paragraph(_MISSING, role="missing")
        page.finish(footer=book.footer)
        return None
    page.paragraph(
        "Order when on hand plus on order is at or below the reorder point; order up to the level beside it. "
        "The service level is the chance that stock lasts through one lead time. Shaded: order now. The value "
        "follows when an order or a price is changed here. What is held beyond the demand that all months ahead exceed "
        "in 1 of 10 futures is dead stock."
    )
    page.row += 1
    places = _write_rows(book, page, stock)
    page.sheet.freeze_panes(places.table.first_row, 3)
    page.finish(footer=book.footer, repeat=places.table.first_row - 1)
    return places


def _columns(book: Book) -> list[Column]:
    money = book.words.currency
    return [
        Column("part_number", "Part number"),
        Column("label", "Component"),
        Column("depot", "Depot"),
        Column("on_hand", "On hand (pieces)", "count"),
        Column("on_order", "On order (pieces)", "count"),
        Column("lead_time_days", "Lead time (days)", "count"),
        Column("mean_lead_demand", "Expected demand in the lead time (pieces)", "decimal1"),
        Column("reorder_point", "Reorder point (pieces)", "count"),
        Column("order_up_to", "Order up to (pieces)", "count"),
        Column("service_level", "Service level reached (%)", "percent"),
        Column("shortage_date", "Runs short in (month)", "month"),
        Column("order_now", "Order now (pieces)", "count"),
        Column("unit_price", f"Unit price ({money})", "money2"),
        Column("order_value", f"Value of the order ({money})", "money2", "live", "=N({order_now})*N({unit_price})"),
        Column("fill_rate", "Demand met from the shelf (%)", "percent"),
        Column("horizon_p90", "Demand of all months, 90 % (pieces)", "count"),
        Column("dead_stock", "Held beyond that (pieces)", "count"),
        Column("dead_stock_value", f"Value of that ({money})", "money2"),
        Column("own_note", NOTE_HEADING, role="input", widest=300),
    ]


def _write_rows(book: Book, page: Page, stock: pd.DataFrame) -> StockPlaces:
    pieces = stock["order_now"].fillna(0.0)
    price = stock["unit_price"].fillna(0.0)
    shown = stock.assign(
        label=stock["component"].map(book.words.component), order_value=pieces * price
    )
    shown["own_note"] = book.carried.beside("Stock", zip(stock["part_number"], stock["depot"], strict=True))
    page.widen(len(_columns(book)) - 1, 180)
    place = page.table(shown, _columns(book), filters=3)
    value = float((pieces * price).sum())
    sums = {"order_now": ("count", float(pieces.sum())), "order_value": ("money2", value)}
    page.total_row(place, label="To order now", sums=sums)
    at = place.columns["order_now"]
    page.sheet.conditional_format(
        place.first_row,
        at,
        place.last_row,
        at,
        {"type": "cell", "criteria": ">", "value": 0, "format": book.formats.rule("alert")},
    )
    return StockPlaces(place, float(pieces.sum()), value)
