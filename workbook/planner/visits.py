"""Sheet "Visits": one visit per vehicle, its parts renewed together, by date."""

import pandas as pd
from xlsxwriter.utility import xl_col_to_name

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.due_list import NOW, SOON
from workbook.planner.limits import first_rows
from workbook.planner.page import Page

__all__ = ["MOST_VISITS", "write_visits"]

#: Visits shown at most, the earliest first.
MOST_VISITS = 10_000

_MISSING = (
    "No visit is planned: no part is to be replaced within the horizon, or its vehicle is not known. The due list says "
    "what is known of every part."
)
_CAUTION = (
    "A worn, noisy or loose part is replaced on its condition, whatever stands here. What else is found worn in a "
    "visit is renewed too; what is listed but found good may stay if the workshop judges so."
)
_SUMS = {
    "count": "count", "hours": "decimal1", "downtime_hours": "decimal1", "parts_cost": "money", "labour_cost": "money",
    "downtime_cost": "money", "total": "money", "saving": "money",
}  # fmt: skip


def _columns(book: Book) -> list[Column]:
    money = book.words.currency
    return [
        Column("unit", "Unit"),
        Column("date", "Date", "date"),
        Column("next_service", "Next service by", "date"),
        Column("depot", "Depot"),
        Column("action", "Action"),
        Column("label", "Most urgent part"),
        Column("positions", "Positions to renew, the most urgent first", widest=260),
        Column("part_numbers", "Part numbers", widest=210),
        Column("count", "Parts", "count"),
        Column("hours", "Labour (h)", "decimal1"),
        Column("downtime_hours", "Vehicle stands (h)", "decimal1"),
        Column("parts_cost", f"Parts ({money})", "money"),
        Column("labour_cost", f"Labour ({money})", "money"),
        Column("downtime_cost", f"Standing ({money})", "money"),
        Column("total", f"Total ({money})", "money"),
        Column("saving", f"Saved against separate visits ({money})", "money"),
        Column("chance_saving", "Chance of a saving (%)", "percent0"),
        Column("sure_share", "Share of it on parts due anyway (%)", "percent0"),
        Column("money_at_stake", f"Money at stake ({money})", "money"),
        Column("reason", "Reason", widest=420),
    ]


def write_visits(book: Book) -> Place | None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    Place or None
        Of the table; None when no visit is planned.
    """
    page = book.pages["Visits"]
    page.title("Visits", subtitle="Which vehicle comes in when, and what is renewed together; by date.")
    visits = book.table("visits")
    page.paragraph(_CAUTION, role="caution")
    if visits.empty:
        page.paragraph(_MISSING, role="missing")
        _write_groups(book, page)
        page.finish(footer=book.footer)
        return None
    page.paragraph(
        "One line a vehicle of which a part is to be replaced within the horizon. Date: when that part is due, or the "
        "service soon after; next service by: a vehicle past an interval may wait for it unless it says replace now. "
        "Other positions are in the visit where they are due by then too, or where keeping them until their own time "
        "is expected to cost more than renewing them beside it, labour and standing shared (sheet Assumptions, "
        "together). A kit or complete assembly of the catalogue is in a visit, under one part number, where it costs "
        "less than single parts, what it renews early counted at the cost of keeping it. Saved: against a visit for "
        "each part when it is due; table visit_parts has it part by part. Money "
        f"at stake: what failures of these parts are expected to cost extra within {book.span} if nothing is done."
    )
    page.row += 1
    place = _write_rows(book, page, visits)
    _write_groups(book, page)
    page.finish(footer=book.footer, repeat=place.first_row - 1, printed=place.columns["total"])
    return place


def _write_rows(book: Book, page: Page, visits: pd.DataFrame) -> Place:
    shown = first_rows(book, page, visits, most=MOST_VISITS, table="visits", order="by date")
    label = "All visits" if len(shown) == len(visits) else "Visits shown"
    visits = shown
    shown = visits.assign(label=visits["main_component"].map(book.words.component))
    columns = _columns(book)
    place = page.table(shown, columns, filters=len(columns))
    page.sheet.freeze_panes(place.first_row, 2)
    page.total_row(
        place, label=label, sums={name: (kind, float(visits[name].sum())) for name, kind in _SUMS.items()}
    )
    action = f"${xl_col_to_name(place.columns['action'])}{place.first_row + 1}"
    for word, rule in ((NOW, "alert"), (SOON, "strong")):
        page.sheet.conditional_format(
            place.first_row,
            place.columns["date"],
            place.last_row,
            place.columns["action"],
            {"type": "formula", "criteria": f'={action}="{word}"', "format": book.formats.rule(rule)},
        )
    return place


def _write_groups(book: Book, page: Page) -> None:
    """The cheapest way of renewing each group of positions in the long run."""
    table = book.table("group_policies")
    if table.empty:
        return
    money, unit = book.words.currency, book.words.distance
    best = table[table["best"].astype(bool)]
    page.row += 1
    page.heading("What renewing together is worth in the long run")
    page.paragraph(
        "By vehicle class and group of positions, the way that costs least where it beats renewing each on its own by "
        "more than twice the error of the simulation; the same drawn lives for every way, and the intervals of this "
        "plan. All ways are in the table group_policies."
    )
    columns = [
        Column("vehicle_class", "Vehicle class"),
        Column("group", "Group", merge=3),
        Column("policy", "Cheapest way", merge=2),
        Column("driveline", "Driveline"),
        Column("cost_per_1000", f"Cost per 1,000 {unit} ({money})", "money2"),
        Column("difference_per_1000", f"Against each on its own ({money})", "money2"),
        Column("difference_se", f"Its standard error ({money})", "money2"),
        Column("road_failures_per_vehicle_year", "Road failures a vehicle and year", "decimal2"),
        Column("visits_per_vehicle_year", "Visits a vehicle and year", "decimal2"),
    ]
    page.table(best, columns)
