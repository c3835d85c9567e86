"""Sheet "Typed in": what a person changed in this workbook, and what clashes with the fleet folder."""

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.inputs import COST_FIELDS, RATE_LABELS
from workbook.planner.typed import INPUT_HEADINGS, LOST_HEADINGS, TYPED_SHEET

__all__ = ["write_typed_in"]

_STATE = '=IF({given}={now},"","changed here")'


def write_typed_in(book: Book, rates: Place, costs: Place) -> None:
    """Write the sheet; after all others, so that texts without a row are known.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    rates, costs : Place
        Of the input cells on the sheet Assumptions.
    """
    page = book.pages[TYPED_SHEET]
    page.title(TYPED_SHEET, subtitle="What was changed in this workbook; the next run carries it into the new one.")
    page.paragraph(
        "Give this workbook with --review, or write to the same name again: changed inputs, own intervals, notes and "
        "answers are kept. Where the fleet folder changed the same input meanwhile, the conflict is told here and the "
        "figure typed stays. Recommended intervals follow fleet.toml: put figures that are to last there."
    )
    page.row += 1
    frame, references = _inputs(book, rates, costs)
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
    page.table(frame, columns, references=references)
    lost = book.carried.without_row()
    if lost:
        page.row += 1
        page.heading("Typed beside rows that are listed no more")
        rows = [(sheet, " | ".join(keys), text) for sheet, keys, text in lost]
        page.table(pd.DataFrame(rows, columns=list(LOST_HEADINGS)), [Column(n, t) for n, t in LOST_HEADINGS.items()])
    page.finish(footer=book.footer)


def _inputs(book: Book, rates: Place, costs: Place) -> tuple[pd.DataFrame, list[dict[str, str]]]:
    """One row an input cell, and where the cell stands."""
    inputs, carried = book.inputs, book.carried
    cells = [
        (name, RATE_LABELS[name], "Value", getattr(inputs, name), rates.cell("value", index))
        for index, name in enumerate(RATE_LABELS)
    ]
    headings = book.input_headings
    for index, code in enumerate(inputs.costs["component"]):
        label = book.words.component(code)
        cells.extend(
            (f"{name} {code}", label, headings[name], inputs.value(name, code), costs.cell(name, index))
            for name in COST_FIELDS
        )
    frame = pd.DataFrame([cell[:4] for cell in cells], columns=["key", "row", "column", "now"])
    frame["given"] = frame["key"].map(book.given)
    same = frame["given"].eq(frame["now"]) | (frame["given"].isna() & frame["now"].isna())
    frame["state"] = same.map({True: "", False: "changed here"})
    frame["conflict"] = [carried.conflicts.get(key, "") for key in frame["key"]]
    return frame, [{"cell": cell[4]} for cell in cells]
