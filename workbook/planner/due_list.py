"""Sheet "Due list": every fitted part, the most urgent first."""

import numpy as np
import pandas as pd
from xlsxwriter.utility import xl_col_to_name

from wearmodel.policy.due import ACTIONS
from wearmodel.survival.component_clocks import components_by
from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.formats import BAND_BLUE, BAND_ORANGE
from workbook.planner.limits import first_rows
from workbook.planner.page import Page
from workbook.planner.typed import NOTE_HEADING

__all__ = ["MOST_DUE", "NOW", "SOON", "write_due_list"]

#: Actions that count as urgent: at once, and at the next service.
NOW, SOON = ACTIONS[:2]
#: Actions that leave nothing to do; such parts stand last.
_NOTHING = ACTIONS[-2:]
#: Parts listed at most, the most urgent first.
MOST_DUE = 20_000

_MISSING = (
    "No part can be listed as due: no vehicle is in service at the end of the record, or none of its positions is "
    "known. The notes on the sheet Read first say which."
)

_BY_TIME = (
    " Where a part ages by time (sheet How lives end), its wear is told as the distance that the fleet runs in its "
    "time on average, and its remaining life as the distance that its own vehicle will run."
)
_BY_HOURS = (
    " Where a part ages by engine hours (sheet How lives end), its wear is told as the distance that the fleet runs in "
    "those hours on average, its remaining life as the distance that its own vehicle will run in its own hours."
)

_ON_PAPER = " On paper: the first {:,} parts; those below them have no action yet."


def _columns(book: Book) -> list[Column]:
    unit = book.words.distance
    return [
        Column("unit", "Unit"),
        Column("position", "Position"),
        Column("label", "Component"),
        Column("part_number", "Part number"),
        Column("depot", "Depot"),
        Column("due_date", "Due date", "date"),
        Column("action", "Action"),
        Column("next_service_probability", "Chance of failing before the next service (%)", "percent"),
        Column("fail_probability", f"Chance of failing within {book.span} (%)", "percent"),
        Column("money_at_stake", f"Money at stake within {book.span} ({book.words.currency})", "money"),
        Column("reason", "Reason", widest=400),
        Column("own_note", NOTE_HEADING, role="input", widest=300),
        Column("age", f"Age ({unit})", "distance"),
        Column("age_known", "Age known"),
        Column("equivalent_age", f"Wear at today's height and duty ({unit})", "distance"),
        Column("remaining_p10", f"Remaining life, 1 in 10 fails by ({unit})", "distance"),
        Column("remaining_median", f"Remaining life, half fail by ({unit})", "distance"),
        Column("vehicle_rate", "Failure rate of this vehicle (fleet 1)", "decimal2"),
        Column("lift", "Lift (mm)", "count"),
        Column("duty", "Duty"),
        Column("vehicle_class", "Vehicle class"),
    ]


def write_due_list(book: Book) -> Place | None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.

    Returns
    -------
    Place or None
        Of the table; None when nothing is listed.
    """
    page = book.pages["Due list"]
    page.title("Due list", subtitle="Which part on which unit is due next; the most urgent first.")
    due = book.table("due")
    if due.empty:
        page.paragraph(_MISSING, role="missing")
        page.finish(footer=book.footer)
        return None
    # In the table's order parts with nothing to do stand last.
    with_action = np.flatnonzero(~due["action"].isin(_NOTHING).to_numpy())
    on_paper = min(int(with_action[-1]) + 1 if with_action.size else len(due), MOST_DUE)
    page.paragraph(
        "A worn, noisy or loose part is replaced on its condition whatever its date here. Shaded: replace now; "
        "bold: at the next service. 'Age known: no' means the fitting date is not in the record: the age is then an "
        "estimate, and the part is not treated as new. Failure rate of this vehicle: 1 is a usual one; its own record "
        "of that component says how many times as often its parts fail. Money at stake: the chance of failing times "
        "what a failure costs above a planned renewal; sort by it with the button in its heading."
        + (_BY_TIME if components_by(book.table("clocks"), "age") else "")
        + (_BY_HOURS if components_by(book.table("clocks"), "hours") else "")
        + (_ON_PAPER.format(on_paper) if on_paper < min(len(due), MOST_DUE) else "")
    )
    shown = first_rows(book, page, due, most=MOST_DUE, table="due", order="the most urgent first")
    page.row += 1
    place = _write_rows(book, page, shown)
    page.finish(
        footer=book.footer, repeat=place.first_row - 1, printed=place.columns["own_note"],
        printed_rows=place.first_row + on_paper,
    )  # fmt: skip
    return place


def _write_rows(book: Book, page: Page, due: pd.DataFrame) -> Place:
    shown = due.assign(
        label=due["component"].map(book.words.component),
        age_known=due["age_known"].map({True: "yes", False: "no"}),
    )
    shown["own_note"] = book.carried.beside("Due list", zip(due["unit"], due["position"], strict=True))
    columns = _columns(book)
    page.widen([column.name for column in columns].index("own_note"), 150)
    place = page.table(shown, columns, filters=len(columns))
    page.sheet.freeze_panes(place.first_row, 2)
    _add_rules(book, page, place)
    return place


def _add_rules(book: Book, page: Page, place: Place) -> None:
    for name, colour in (("next_service_probability", BAND_ORANGE), ("fail_probability", BAND_BLUE)):
        at = place.columns[name]
        page.sheet.conditional_format(
            place.first_row,
            at,
            place.last_row,
            at,
            {
                "type": "data_bar",
                "bar_color": colour,
                "bar_solid": True,
                "data_bar_2010": True,
                "min_type": "num",
                "max_type": "num",
                "min_value": 0,
                "max_value": 1,
            },
        )
    action = f"${xl_col_to_name(place.columns['action'])}{place.first_row + 1}"
    for word, rule in ((NOW, "alert"), (SOON, "strong")):
        page.sheet.conditional_format(
            place.first_row,
            place.columns["due_date"],
            place.last_row,
            place.columns["action"],
            {"type": "formula", "criteria": f'={action}="{word}"', "format": book.formats.rule(rule)},
        )
