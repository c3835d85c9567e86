"""Sheet "Assumptions": the input cells every live figure hangs on, then what else the plan assumes."""

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.inputs import COST_FIELDS, RATE_LABELS
from workbook.planner.page import Page

__all__ = ["write_assumptions"]

_NOT_NEGATIVE = {
    "validate": "decimal",
    "criteria": ">=",
    "value": 0,
    "ignore_blank": True,
    "input_title": "Input",
    "input_message": "Change it freely: every coloured figure of this workbook follows.",
    "error_title": "Not a cost",
    "error_message": "A number of 0 or more is needed here.",
}
_SHARE = {
    **_NOT_NEGATIVE,
    "criteria": "between",
    "minimum": 0,
    "maximum": 1,
    "error_title": "Not a share",
    "error_message": "A share between 0 and 1 (0 % to 100 %) is needed here.",
}
_GROWTH = {
    **_NOT_NEGATIVE,
    "criteria": "between",
    "minimum": -0.5,
    "maximum": 1,
    "error_title": "Not a yearly growth",
    "error_message": "A yearly growth between -50 % and 100 % is needed here; 0 for prices that stay as they are.",
}
_MISSING_COSTS = (
    "There are no costs to edit: the plan holds no table of costs. Give [cost.COMPONENT] sections in "
    "fleet.toml and a parts table with prices, and run the tool again."
)

#: Named input cells of rates, with what may be typed into each.
_RATES = {"labour_rate": _NOT_NEGATIVE, "downtime_cost": _NOT_NEGATIVE, "price_growth": _GROWTH}


def write_assumptions(book: Book) -> tuple[Place, Place]:
    """Write the sheet and define the names of its input cells.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    tuple of Place
        Of the rates and of the costs.
    """
    page = book.pages["Assumptions"]
    page.title(
        "Assumptions", subtitle="Change the yellow cells: intervals, budget and overview follow at once."
    )
    page.paragraph(
        "The numbers of expected failures and replacements do not change here; they come from the record. "
        "Recommended intervals belong to the costs at the time of writing: after a large change, run the tool "
        "again with the new costs in fleet.toml."
    )
    page.row += 1
    rates = _write_rates(book, page)
    page.row += 1
    place = _write_costs(book, page)
    page.row += 1
    _write_read_only(book, page)
    page.sheet.freeze_panes(2, 1)
    page.finish(footer=book.footer)
    return rates, place


def _write_rates(book: Book, page: Page) -> Place:
    currency = book.words.currency
    page.heading("Rates")
    rates = pd.DataFrame(
        {
            "name": list(RATE_LABELS.values()),
            "value": [book.inputs.labour_rate, book.inputs.downtime_cost, book.inputs.price_growth],
            "unit": [*[f"{currency} per hour"] * 2, "a year (%)"],
            "source": [_source(book, key) for key in _RATES],
        }
    )
    columns = [
        Column("name", "Rate"),
        Column("value", "Value", "money2", role="input"),
        Column("unit", "Unit"),
        Column("source", "Source"),
    ]
    place = page.table(rates, columns)
    at = place.columns["value"]
    for index, (name, allowed) in enumerate(_RATES.items()):
        book.workbook.define_name(name, f"={place.cell('value', index)}")
        row = place.first_row + index
        page.sheet.data_validation(row, at, row, at, allowed)
    page.put(place.last_row, at, book.inputs.price_growth, kind="percent", role="input")
    return place


def _source(book: Book, key: str) -> str:
    if key in book.carried.values:
        return "typed in"
    return "default" if key in book.plan.settings.defaults else "fleet.toml"


def _cost_columns(book: Book) -> list[Column]:
    money, hours = book.words.currency, "h"
    planned = (
        '=IF(COUNT({part_price},{planned_hours},{planned_downtime_hours})=3,{part_price}'
        '+{planned_hours}*labour_rate+{planned_downtime_hours}*downtime_cost,"")'
    )
    road = (
        '=IF(COUNT({part_price},{failed_hours},{failed_downtime_hours},{failed_extra})=4,{part_price}'
        '+{failed_hours}*labour_rate+{failed_downtime_hours}*downtime_cost+{failed_extra},"")'
    )
    failed = (
        '=IF(COUNT({planned_cost},{road_cost})=2,{worn_share}*{planned_cost}+(1-{worn_share})*{road_cost},"")'
    )
    return [
        Column("label", "Component"),
        Column("part_price", f"Part price ({money})", "money2", role="input"),
        Column("planned_hours", f"Planned: labour ({hours})", "decimal1", role="input"),
        Column("planned_downtime_hours", f"Planned: vehicle stands ({hours})", "decimal1", role="input"),
        Column("failed_hours", f"Failed: labour ({hours})", "decimal1", role="input"),
        Column("failed_downtime_hours", f"Failed: vehicle stands ({hours})", "decimal1", role="input"),
        Column("failed_extra", f"Failed: recovery and damage ({money})", "money2", role="input"),
        Column("worn_share", "Failures found at inspection, not on the road (%)", "percent0", role="input"),
        Column("source", "Source"),
        Column("planned_cost", f"One planned replacement ({money})", "money2", "live", planned),
        Column("road_cost", f"One failure on the road ({money})", "money2", "live", road),
        Column("failed_cost", f"One failure on average ({money})", "money2", "live", failed),
    ]


def _write_costs(book: Book, page: Page) -> Place:
    page.heading("Costs of one replacement, by component")
    frame = book.inputs.costs.assign(
        label=book.inputs.costs["component"].map(book.words.component)
    )
    if frame.empty:
        page.paragraph(_MISSING_COSTS, role="missing")
        return Place(page.name, page.row, page.row - 1, {})
    columns = _cost_columns(book)
    book.input_headings.update({column.name: column.header for column in columns})
    place = page.table(frame, columns)
    for field in (*COST_FIELDS, "planned_cost", "road_cost", "failed_cost"):
        for index, code in enumerate(frame["component"]):
            book.workbook.define_name(book.inputs.name(field, code), f"={place.cell(field, index)}")
    for field in COST_FIELDS:
        at = place.columns[field]
        rule = _SHARE if field == "worn_share" else _NOT_NEGATIVE
        page.sheet.data_validation(place.first_row, at, place.last_row, at, rule)
    page.paragraph(
        "A failure found at inspection is renewed at planned cost; the last column weighs both kinds. "
        "Hours marked as default are common practice, not measured in this fleet. A blank price leaves the "
        "component out of every sum of money; type one in and it is counted."
    )
    return place


def _write_read_only(book: Book, page: Page) -> None:
    page.heading("What else the plan assumes (read only)")
    frame = book.table("assumptions")
    if frame.empty:
        page.paragraph("The plan lists no further assumptions.", role="missing")
        return
    columns = [
        Column("name", "Assumption"),
        Column("value", "Value", "mixed"),
        Column("unit", "Unit"),
        Column("source", "Source"),
        Column("meaning", "What it means", merge=8),
    ]
    page.table(frame, columns)
