"""Sheet "Stock": what to hold of each part at each depot, and what to order now."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.lead_time_demand import write_lead_time_demand
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


def write_stock(book: Book, lead_times: Place) -> StockPlaces | None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    lead_times : Place
        Input cells of the lead times, one a part number.

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
        "Order when on hand plus on order is at or below the reorder point; order up to the level beside it, in whole "
        "packs. The service level is the chance that stock lasts through one lead time. Shaded: order now. Blue "
        "figures follow the service level and the lead times on the sheet Assumptions (how, stands on the sheet "
        "Lead-time demand), and what is on hand and on order here; the next run takes those two from the stock table. "
        "What is held beyond the demand that all months ahead exceed in 1 of 10 futures is dead stock."
    )
    page.row += 1
    places = _write_rows(book, page, stock, lead_times)
    page.sheet.freeze_panes(places.table.first_row, 3)
    page.finish(footer=book.footer, repeat=places.table.first_row - 1)
    return places


_UP_TO = '=IF(ISNUMBER({reorder_point}),{reorder_point}+{lot},"")'
_POSITION = "({on_hand}+{on_order}+{held_of_others})"
_ORDER = (
    "=IF(COUNT({on_hand},{on_order},{reorder_point})=3,"
    f"IF(AND({{lot}}>0,{_POSITION}<={{reorder_point}}),-INT(-({{order_up_to}}-{_POSITION})/{{pack}})*{{pack}},0),\"\")"
)
# A missing price is no price of nothing: the value stays blank then.
_VALUE = '=IF(N({order_now})=0,0,IF(ISNUMBER({unit_price}),{order_now}*{unit_price},""))'


def _known(name: str) -> str:
    """The cell of that name, blank where it is."""
    return f'=IF(ISNUMBER({{{name}}}),{{{name}}},"")'


def _columns(book: Book) -> list[Column]:
    money = book.words.currency
    return [
        Column("part_number", "Part number"),
        Column("label", "Component"),
        Column("depot", "Depot"),
        Column("on_hand", "On hand (pieces)", "count"),
        Column("on_order", "On order (pieces)", "count"),
        Column("days", "Lead time (days)", "count", "live", '=IF(ISNUMBER({lead_cell}),{lead_cell},"")'),
        Column("mean_lead_demand", "Expected demand in the lead time (pieces)", "decimal1", "live",
               _known("worked_lead_mean")),
        Column("reorder_point", "Reorder point (pieces)", "count", "live", _known("worked_reorder")),
        Column("order_up_to", "Order up to (pieces)", "count", "live", _UP_TO),
        Column("service_level", "Service level reached (%)", "percent", "live", _known("worked_reached")),
        Column("shortage_date", "Runs short in (month)", "month"),
        Column("order_now", "Order now (pieces)", "count", "live", _ORDER),
        Column("unit_price", f"Unit price ({money})", "money2"),
        Column("order_value", f"Value of the order ({money})", "money2", "live", _VALUE),
        Column("fill_rate", "Demand met from the shelf at the last run (%)", "percent"),
        Column("horizon_p90", "Demand of all months, 90 % (pieces)", "count"),
        Column("dead_stock", "Held beyond that (pieces)", "count"),
        Column("dead_stock_value", f"Value of that ({money})", "money2"),
        Column("own_note", NOTE_HEADING, role="input", widest=300),
        Column("lot", "Order quantity, in packs (pieces)", "count"),
        Column("pack", "Pack (pieces)", "count"),
        Column("held_of_others", "Held of parts that serve as well (pieces)", "count"),
    ]  # fmt: skip


def _number(value: float) -> str:
    """A figure as written, where nothing live stands for it."""
    return repr(float(value)) if np.isfinite(value) else '""'


def _live_rows(book: Book, stock: pd.DataFrame, lead_times: Place) -> "tuple[pd.DataFrame, list[dict[str, str]]]":
    """The rows with what lead times and service level make of them now, and what their formulas refer to."""
    at = {number: index for index, number in enumerate(book.inputs.lead_times)}
    cells = [lead_times.cell("days", at[number]) for number in stock["part_number"]]
    shown = stock.assign(
        days=stock["part_number"].map(book.inputs.lead_times),
        lot=stock["order_up_to"] - stock["reorder_point"],
        pack=stock["pack"].where(stock["pack"] > 0, 1.0),
        held_of_others=stock["held_of_others"].fillna(0.0),
    )
    answers, worked = write_lead_time_demand(book, shown, cells)
    names = {"reorder": "reorder_point", "reached": "service_level", "lead_mean": "mean_lead_demand"}
    references = []
    for index, found in enumerate(worked):
        written = {f"worked_{name}": _number(shown[own].iloc[index]) for name, own in names.items()}
        references.append(written | found | {"lead_cell": cells[index]})
    live = np.array([bool(found) for found in worked])
    for name, own in names.items():
        if live.any():
            shown[own] = answers[name].where(live, shown[own])
    shown["order_up_to"] = shown["reorder_point"] + shown["lot"]
    position = shown["on_hand"] + shown["on_order"] + shown["held_of_others"]
    orders = (shown["lot"] > 0) & (position <= shown["reorder_point"])
    needed = np.ceil((shown["order_up_to"] - position) / shown["pack"]) * shown["pack"]
    shown["order_now"] = needed.where(orders, 0.0).where(position.notna() & shown["reorder_point"].notna())
    return shown, references


def _total_label(stock: pd.DataFrame) -> str:
    """What the sums are of: parts without a price are in none of money."""
    unpriced = stock.loc[stock["unit_price"].isna(), "part_number"].nunique()
    return f"To order now (value without {unpriced:,} parts that have no price)" if unpriced else "To order now"


def _write_rows(book: Book, page: Page, stock: pd.DataFrame, lead_times: Place) -> StockPlaces:
    shown, references = _live_rows(book, stock, lead_times)
    pieces = shown["order_now"].fillna(0.0)
    worth = (pieces * stock["unit_price"]).where(pieces > 0, 0.0)
    shown = shown.assign(label=stock["component"].map(book.words.component), order_value=worth)
    shown["own_note"] = book.carried.beside("Stock", zip(stock["part_number"], stock["depot"], strict=True))
    columns = _columns(book)
    page.widen([column.name for column in columns].index("own_note"), 180)
    place = page.table(shown, columns, references=references, filters=3)
    value = float(worth.sum())
    sums = {"order_now": ("count", float(pieces.sum())), "order_value": ("money2", value)}
    page.total_row(place, label=_total_label(stock), sums=sums)
    at = place.columns["order_now"]
    page.sheet.conditional_format(
        place.first_row,
        at,
        place.last_row,
        at,
        {"type": "cell", "criteria": ">", "value": 0, "format": book.formats.rule("alert")},
    )
    return StockPlaces(place, float(pieces.sum()), value)
