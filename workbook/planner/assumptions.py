"""Sheet "Assumptions": the input cells every live figure hangs on, then what else the plan assumes."""

from dataclasses import dataclass

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.inputs import COST_FIELDS, RATE_LABELS
from workbook.planner.page import Page
from workbook.planner.typed import LEAD_TIME, LEAD_TIME_HEADING, LONGEST_LEAD_TIME

__all__ = ["InputPlaces", "write_assumptions"]

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
_LEVEL = {
    **_NOT_NEGATIVE,
    "criteria": "between",
    "minimum": 0.01,
    "maximum": 0.9999,
    "error_title": "Not a service level",
    "error_message": "A chance between 1 % and 99.99 % is needed here: that stock lasts through a lead time.",
}
_DAYS = {
    **_NOT_NEGATIVE,
    "criteria": "between",
    "minimum": 0,
    "maximum": LONGEST_LEAD_TIME,
    "error_title": "Not a lead time",
    "error_message": f"A number of days from 0 to {LONGEST_LEAD_TIME:,.0f} is needed here.",
}
_MISSING_COSTS = (
    "There are no costs to edit: the plan holds no table of costs. Give [cost.COMPONENT] sections in "
    "fleet.toml and a parts table with prices, and run the tool again."
)

#: Rates: how each is shown, and what may be typed into its cell.
_RATES = {
    "labour_rate": ("money2", _NOT_NEGATIVE),
    "downtime_cost": ("money2", _NOT_NEGATIVE),
    "price_growth": ("percent", _GROWTH),
    "service_interval": ("distance", _NOT_NEGATIVE),
    "service_level": ("percent2", _LEVEL),
}


@dataclass(frozen=True)
class InputPlaces:
    """Where the input cells stand: rates, costs by component, lead times by part."""

    rates: Place
    costs: Place
    lead_times: Place


def write_assumptions(book: Book) -> InputPlaces:
    """Write the sheet and define the names of its input cells.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    InputPlaces
    """
    page = book.pages["Assumptions"]
    page.title(
        "Assumptions", subtitle="Change the yellow cells: intervals, stock, budget and overview follow at once."
    )
    page.paragraph(
        "Recommended intervals and their costs follow the costs and the distance between services; reorder points and "
        "orders follow the service level and the lead times. The numbers of expected failures and replacements do not "
        "change here, and the due list and the visits keep to the intervals of the last run: after a large change, put "
        "the new figures in fleet.toml and the parts table, and run the tool again."
    )
    page.row += 1
    rates = _write_rates(book, page)
    page.row += 1
    costs = _write_costs(book, page)
    page.row += 1
    lead_times = _write_lead_times(book, page)
    _write_read_only(book, page)
    page.sheet.freeze_panes(2, 1)
    page.finish(footer=book.footer)
    return InputPlaces(rates, costs, lead_times)


def _write_rates(book: Book, page: Page) -> Place:
    money, unit = book.words.currency, book.words.distance
    page.heading("Rates")
    rates = pd.DataFrame(
        {
            "name": list(RATE_LABELS.values()),
            "value": [getattr(book.inputs, name) for name in RATE_LABELS],
            "unit": [*[f"{money} per hour"] * 2, "a year (%)", unit, "chance (%)"],
            "source": [_source(book, key) for key in RATE_LABELS],
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
    for index, name in enumerate(RATE_LABELS):
        kind, allowed = _RATES[name]
        book.workbook.define_name(name, f"={place.cell('value', index)}")
        row = place.first_row + index
        page.put(row, at, float(rates["value"].iloc[index]), kind=kind, role="input")
        page.sheet.data_validation(row, at, row, at, allowed)
    return place


def _write_lead_times(book: Book, page: Page) -> Place:
    """Lead time of each part, as the stock sheet takes it."""
    parts = book.table("stock").drop_duplicates("part_number", ignore_index=True)
    if parts.empty:
        return Place(page.name, page.row, page.row - 1, {})
    page.heading("Lead times of parts")
    lead_times = book.inputs.lead_times
    shown = parts.assign(
        days=parts["part_number"].map(lead_times),
        label=parts["component"].map(book.words.component),
        source=["typed in" if f"{LEAD_TIME} {n}" in book.carried.values else "parts table" for n in lead_times],
    )
    columns = [
        Column("part_number", "Part number"),
        Column("days", LEAD_TIME_HEADING, "decimal1", role="input"),
        Column("label", "Component", merge=2),
        Column("source", "Source"),
    ]
    place = page.table(shown, columns)
    at = place.columns["days"]
    page.sheet.data_validation(place.first_row, at, place.last_row, at, _DAYS)
    page.row += 1
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
