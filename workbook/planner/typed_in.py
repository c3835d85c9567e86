"""Sheet "Typed in": what a person changed in this workbook, and what clashes with the fleet folder."""

import pandas as pd

from workbook.planner.assumptions import InputPlaces
from workbook.planner.book import Book
from workbook.planner.columns import Column
from workbook.planner.inputs import COST_FIELDS, RATE_LABELS
from workbook.planner.typed import INPUT_HEADINGS, LEAD_TIME, LEAD_TIME_HEADING, LOST_HEADINGS, TYPED_SHEET

__all__ = ["write_typed_in"]

_STATE = '=IF({given}={now},"","changed here")'


def write_typed_in(book: Book, places: InputPlaces) -> None:
    """Write the sheet; after all others, so that texts without a row are known.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    places : InputPlaces
        Where the input cells of the sheet Assumptions stand.
    """
    page = book.pages[TYPED_SHEET]
    page.title(TYPED_SHEET, subtitle="What was changed in this workbook; the next run carries it into the new one.")
    page.paragraph(
        "Give this workbook with --review, or write to the same name again: changed inputs, own intervals, notes and "
        "answers are kept. Where the fleet folder changed the same input meanwhile, the conflict is told here and the "
        "figure typed stays. Due list, visits and forecast follow the fleet folder: put figures that are to last "
        "there. Inputs that were changed when the workbook was written stand first; to gather those changed since, "
        "choose 'changed here' with the button on the column State."
    )
    page.put(page.row, 0, "Inputs changed in this workbook", role="total")
    count_row = page.row
    page.row += 1
    page.row += 1
    frame, references = _inputs(book, places)
    columns = [
        Column("key", INPUT_HEADINGS["key"]),
        Column("row", INPUT_HEADINGS["row"]),
        Column("column", INPUT_HEADINGS["column"], widest=260),
        Column("given", INPUT_HEADINGS["given"], "decimal2"),
        Column("now", "In this workbook", "decimal2", "live", '=IF({cell}="","",{cell})'),
        Column("state", "State", role="live", formula=_STATE),
        Column("conflict", "Conflict", widest=420),
    ]
    page.widen(5, 110)
    place = page.table(frame, columns, references=references, filters=6)
    page.put_formula(
        count_row, 1, f'=COUNTIF({place.range("state")},"changed here")', kind="count", role="total",
        cached=float((frame["state"] == "changed here").sum()),
    )  # fmt: skip
    page.sheet.freeze_panes(place.first_row, 1)
    lost = book.carried.without_row()
    if lost:
        page.row += 1
        page.heading("Typed beside rows that are listed no more")
        rows = [(sheet, " | ".join(keys), text) for sheet, keys, text in lost]
        page.table(pd.DataFrame(rows, columns=list(LOST_HEADINGS)), [Column(n, t) for n, t in LOST_HEADINGS.items()])
    page.finish(footer=book.footer)


def _inputs(book: Book, places: InputPlaces) -> tuple[pd.DataFrame, list[dict[str, str]]]:
    """One row an input cell, those changed first, and where the cell stands."""
    inputs, carried = book.inputs, book.carried
    cells = [
        (name, RATE_LABELS[name], "Value", getattr(inputs, name), places.rates.cell("value", index))
        for index, name in enumerate(RATE_LABELS)
    ]
    headings = book.input_headings
    for index, code in enumerate(inputs.costs["component"]):
        label = book.words.component(code)
        cells.extend(
            (f"{name} {code}", label, headings[name], inputs.value(name, code), places.costs.cell(name, index))
            for name in COST_FIELDS
        )
    cells.extend(
        (f"{LEAD_TIME} {number}", number, LEAD_TIME_HEADING, days, places.lead_times.cell("days", index))
        for index, (number, days) in enumerate(inputs.lead_times.items())
    )
    frame = pd.DataFrame(cells, columns=["key", "row", "column", "now", "cell"])
    frame["given"] = frame["key"].map(book.given)
    same = frame["given"].eq(frame["now"]) | (frame["given"].isna() & frame["now"].isna())
    frame["state"] = same.map({True: "", False: "changed here"})
    frame["conflict"] = [carried.conflicts.get(key, "") for key in frame["key"]]
    frame = frame.assign(same=same).sort_values("same", kind="stable", ignore_index=True)
    return frame, [{"cell": cell} for cell in frame["cell"]]
