"""Sections of the sheet "Model checks" on what changed: curves that moved, fittings that fail early."""

import pandas as pd

from workbook.planner.book import Book
from workbook.planner.columns import Column, Place
from workbook.planner.limits import whole_table
from workbook.planner.page import Page

__all__ = ["WORDS_COLUMN", "write_drift"]

#: Groups shown that give no reason to look, those with the least chance.
_NEAREST = 5
#: Column of the sheet, from 0, in which words end: beyond the figures of every table, which they would push apart.
WORDS_COLUMN = 12
_NARROWEST_WORDS, _WIDEST_WORDS = 200, 340


def write_drift(book: Book, page: Page) -> None:
    """Write both sections at the cursor of the page.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    page : Page
        The page of the sheet.
    """
    _write_moved(book, page)
    _write_early(book, page)


def _write_moved(book: Book, page: Page) -> None:
    frame = book.table("moved_curves")
    page.heading("Curves that moved since an earlier model")
    if frame.empty:
        page.paragraph(
            "No earlier model was named: keep the model file of a month (wearmodel fit) and name it later with "
            "--earlier-model."
        )
        page.row += 1
        return
    page.paragraph(
        f"Beside the model of {frame['earlier_as_of'].iloc[0]}, both in today's mix of work at factory height. The two "
        "share the record up to then, so that only what the new lines can bring by chance is allowed for. 'moved': a "
        "chance below 5%, all rows counted; of fleets in which nothing changed at most 1 in 20 shows such a row."
    )
    unit = book.words.distance
    columns = [
        Column("label", "Component"),
        Column("quantity", "Quantity"),
        Column("result", "Result"),
        Column("before", f"Before ({unit})", "distance"),
        Column("now", f"Now ({unit})", "distance"),
        Column("change", "Change", "percent"),
        Column("lower", f"Low ({book.confidence})", "percent"),
        Column("upper", f"High ({book.confidence})", "percent"),
        Column("chance", "Chance if nothing changed", "decimal3"),
        Column("chance_adjusted", "Among all rows", "decimal3"),
        Column("failures_before", "Failures then", "count"),
        Column("failures_now", "Failures now", "count"),
        Column("sentence", "In words", widest=_WIDEST_WORDS),
    ]
    place = page.table(frame.assign(label=frame["component"].map(book.words.component)), columns)
    _mark(book, page, place, "moved")
    page.row += 1


def _write_early(book: Book, page: Page) -> None:
    frame = book.table("early_failures")
    page.heading("Early failures by part number and fitting month")
    if frame.empty:
        page.paragraph("No part number and no month has five fittings of a component with a life curve.")
        page.row += 1
        return
    look = frame["result"] == "look"
    page.paragraph(
        f"{len(frame):,} part numbers and fitting months with five fittings or more were looked at; {look.sum():,} "
        "have more failures before the age at which 1 in 10 fails than chance explains ('look': a chance below 5%, all "
        "of them counted), and the nearest of the others follow. Expected: at each part's own duty, ride height, "
        "vehicle and distance run. Few parts a month hide a bad batch: 'as expected' is no proof that all is well. "
        + whole_table(book, "early_failures")
    )
    columns = [
        Column("label", "Component"),
        Column("group", "Group"),
        Column("result", "Result"),
        Column("value", "Which", "mixed"),
        Column("fittings", "Fittings", "count"),
        Column("early_failures", "Early failures", "decimal1"),
        Column("expected", "Expected", "decimal1"),
        Column("chance", "Chance of so many", "decimal3"),
        Column("chance_adjusted", "Among all looked at", "decimal3"),
        Column("still_fitted", "Still fitted", "count"),
        Column("sentence", "In words", merge=WORDS_COLUMN - 9),
    ]
    shown = pd.concat([frame[look], frame[~look].head(_NEAREST)])
    page.widen(WORDS_COLUMN, _NARROWEST_WORDS)
    place = page.table(shown.assign(label=shown["component"].map(book.words.component)), columns)
    _mark(book, page, place, "look")
    page.row += 1


def _mark(book: Book, page: Page, place: Place, word: str) -> None:
    """Colour the rows whose result is this word."""
    at = place.columns["result"]
    rule = {"type": "cell", "criteria": "==", "value": f'"{word}"', "format": book.formats.rule("alert")}
    page.sheet.conditional_format(place.first_row, at, place.last_row, at, rule)
