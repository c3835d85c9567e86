"""The planner workbook as a whole: every sheet in order, written whole or not at all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import xlsxwriter
from xlsxwriter.exceptions import XlsxWriterException

from wearmodel.errors import OutputError
from wearmodel.intake.cells.workbook_bounds import PLANNER_MARK
from wearmodel.output_files import whole_file
from workbook.planner.assumptions import write_assumptions
from workbook.planner.book import Book, build_book
from workbook.planner.budget import write_budget
from workbook.planner.curve_laws import LAWS_SHEET
from workbook.planner.due_list import write_due_list
from workbook.planner.forecast_and_record import RECORD_SHEET, RecordPages, write_forecast_and_record
from workbook.planner.formats import FONT_NAME, FONT_SIZE
from workbook.planner.how_lives_end import write_how_lives_end
from workbook.planner.interval_workings import WORKINGS_SHEET
from workbook.planner.intervals import write_intervals
from workbook.planner.lead_time_demand import LEAD_SHEET
from workbook.planner.life_curves import write_life_curves
from workbook.planner.mean_replacements import write_mean_replacements
from workbook.planner.model_checks import write_model_checks
from workbook.planner.overview import write_overview
from workbook.planner.part_makes import write_part_makes
from workbook.planner.parts_forecast import write_parts_forecast
from workbook.planner.raised_and_factory import write_raised_and_factory
from workbook.planner.read_first import write_read_first
from workbook.planner.records import write_functions, write_set_aside
from workbook.planner.review import write_review
from workbook.planner.ride_height_and_angles import write_ride_height_and_angles
from workbook.planner.stock import write_stock
from workbook.planner.typed import TypedIn
from workbook.planner.typed_in import write_typed_in
from workbook.planner.visits import write_visits

if TYPE_CHECKING:
    from wearmodel.plan import Plan

__all__ = ["workbook_options", "write_planner"]


def workbook_options() -> dict[str, Any]:
    """Options of a new workbook, made afresh because the library changes the one it is given.

    Returns
    -------
    dict
        For the library that writes it.
    """
    return {
        # Text from a shop's record must never turn into a formula, a link or a number.
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
        "in_memory": True,
        # Without the scheme, or the theme's own font would be shown instead.
        "default_format_properties": {"font_name": FONT_NAME, "font_size": FONT_SIZE, "font_scheme": "none"},
    }


def write_planner(
    plan: Plan,
    path: Path,
    *,
    functions: Sequence[Mapping[str, str]] | None = None,
    macros: tuple[bytes, str] | None = None,
    typed: TypedIn | None = None,
    only: Sequence[str] = (),
    tables_folder: Path | None = None,
) -> tuple[str, ...]:
    """Write the planner workbook; it needs nothing but a spreadsheet program.

    Parameters
    ----------
    plan : Plan
        Everything that is shown. A table that is missing or empty leaves one sentence on its sheet.
    path : Path
        Target file (.xlsx, or .xlsm with macros); its folder must exist.
    functions : sequence of mapping, optional
        Workbook functions to list, each with `name`, `arguments`, `answer` and `example`; without them the
        workbook has no sheet on functions.
    macros : tuple of bytes and str, optional
        VBA project of the workbook, and the macro behind the button on the sheet of functions.
    typed : TypedIn, optional
        What a person typed into an earlier workbook; it is carried into this one.
    only : sequence of str, optional
        Hide every other sheet; the first one named is shown.
    tables_folder : Path, optional
        Folder that all result tables are written to; sheets that hold only the first rows name it.

    Returns
    -------
    tuple of str
        One sentence for each input that was changed in the workbook and in the fleet folder.

    Raises
    ------
    OutputError
        If the file cannot be written; nothing is left behind then.

    Notes
    -----
    Every formula is stored with the value it has now, computed from the same numbers, so that a viewer
    that does not calculate shows the same figures.
    """
    # An archive that a full disk cuts short complains once more when it is thrown away: it is made in memory.
    content = BytesIO()
    with whole_file(path) as temporary:
        workbook = xlsxwriter.Workbook(content, workbook_options())
        folder = str(tables_folder or "")
        book = build_book(workbook, plan, with_functions=bool(functions), typed=typed, tables_folder=folder)
        workbook.set_properties(
            {
                "title": "Driveline wear planner",
                # So that a planner saved into the fleet folder is not read as one of its tables.
                "category": PLANNER_MARK,
                "created": datetime.fromisoformat(book.as_of),
            }
        )
        if macros:
            workbook.add_vba_project(BytesIO(macros[0]), is_stream=True)
        for name, page in book.pages.items():
            page.hidden = bool(only) and name not in only
        _write_sheets(book, functions or (), button=macros[1] if macros else "")
        _show_only(book, only)
        try:
            workbook.close()
        except XlsxWriterException as error:
            raise OutputError(f"{path} cannot be written: {error}; choose another place.") from None
        temporary.write_bytes(content.getbuffer())
    return tuple(book.carried.conflicts.values())


def _show_only(book: Book, only: Sequence[str]) -> None:
    """Hide every sheet but some; a hidden sheet is not printed."""
    if only:
        first = book.pages[only[0]].sheet
        first.activate()
        first.set_first_sheet()
        for page in book.pages.values():
            if page.hidden:
                page.sheet.hide()
                # With a print area LibreOffice prints a hidden sheet all the same.
                page.sheet.print_area_range = ""


def _write_sheets(book: Book, functions: Sequence[Mapping[str, str]], *, button: str) -> None:
    """All sheets; those that others refer to come first."""
    data = book.pages["Chart data"]
    data.title("Chart data", subtitle="The figures behind the charts; change nothing here. Not printed.")
    data.row += 1
    inputs = write_assumptions(book)
    due = write_due_list(book)
    write_visits(book)
    savings = write_intervals(book)
    forecast = write_parts_forecast(book)
    stock = write_stock(book, inputs.lead_times)
    budget = write_budget(book)
    pages = RecordPages(book.workbook, book.pages[RECORD_SHEET], data, book.words, book.footer)
    write_forecast_and_record(pages, book.plan.backtest, why_none=book.plan.why_no_backtest)
    write_raised_and_factory(book)
    write_part_makes(book)
    write_ride_height_and_angles(book)
    write_life_curves(book)
    write_how_lives_end(book)
    write_mean_replacements(book)
    write_model_checks(book)
    write_set_aside(book)
    write_review(book)
    if functions:
        write_functions(book, functions, button=button)
    write_overview(book, due=due, savings=savings, forecast=forecast, stock=stock, budget=budget)
    write_read_first(book)
    write_typed_in(book, inputs)
    data.finish(footer=book.footer, printed_rows=2)
    for name in (WORKINGS_SHEET, LEAD_SHEET, LAWS_SHEET):
        _explain_if_unused(book, name)


def _explain_if_unused(book: Book, name: str) -> None:
    """A sheet of workings whose own sheet had nothing to show says so."""
    page = book.pages[name]
    if page.row == 0:
        page.title(name, subtitle="Workings of another sheet.")
        page.paragraph("Nothing is worked out here: the sheet it belongs to has nothing to show.", role="missing")
        page.finish(footer=book.footer)
