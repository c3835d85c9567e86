"""Sheet "Read first": what this is, cautions, where to find what, and that no input row was lost."""

from wearmodel.backtest_sentences import last_forecast_sentence
from workbook.planner.book import Book
from workbook.planner.columns import Column
from workbook.planner.forecast_and_record import RECORD_SHEET, forecast_scores
from workbook.planner.page import Page
from workbook.planner.typed import TYPED_SHEET
from workbook.planner.words import CAUTIONS

__all__ = ["write_read_first"]

_NOTES_ON_ONE_PAGE = 12

_GUIDE = {
    "Overview": "What will it cost, which way of working is cheaper, and what is urgent? One page.",
    "Due list": "Which part on which unit is due next, and what to do?",
    "Visits": "When does each vehicle come in, and which parts are worth renewing together?",
    "Intervals": "At what age should each component be replaced before it fails, and what does that save?",
    "Life curves": "What share of parts is still good at each age, and how sure is that? Look up any curve.",
    "How lives end": "Why do parts come out, which fittings come back, and do parts age by distance or by years?",
    "Raised and factory": "How much sooner do parts fail on raised vehicles in the same work?",
    "Part makes": "Does the dearer part last longer per unit of money?",
    "Ride height and angles": "How far can each class of vehicle be raised, and what does it cost in life?",
    "Parts forecast": "How many of each part will each depot need, month by month?",
    "Stock": "What to hold, when to order, and how many now?",
    "Budget": "What does each way of working cost by month? Follows the costs you enter.",
    RECORD_SHEET: "How good have forecasts of this kind been, made from earlier days and held against what came?",
    "Assumptions": "Which costs, lead times and other values is all this built on? Yellow cells can be changed.",
    "Mean replacements": "What does the record itself show, without any model?",
    "Model checks": "How far can the curves be trusted, component by component?",
    "Set aside": "Which input rows were not used as given, and why?",
    "To settle": "Which questions about the record can you answer, so that more of it counts?",
    TYPED_SHEET: "What did you change in this workbook, and does it clash with the fleet folder?",
    "Functions": "Which workbook functions can be used in sheets of your own?",
    "Interval workings": "How do the intervals follow from the costs, step by step?",
    "Lead-time demand": "How do the reorder points follow from service level and lead times?",
    "Curve laws": "The law behind each curve.",
    "Chart data": "The figures behind the charts.",
    "Lists": "What the drop-down lists of the sheet To settle offer.",
}


def write_read_first(book: Book) -> None:
    """Write the sheet.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages["Read first"]
    page.title(
        "Driveline wear planner",
        subtitle=f"Fleet folder: {book.plan.folder_name}    As of: {book.as_of}    Horizon: {book.span}    "
        f"Data fingerprint: {book.plan.fingerprint[:12] or 'none'}",
    )
    page.row += 1
    page.heading("People can be hurt under vehicles")
    for caution in CAUTIONS:
        page.paragraph(caution, role="caution")
    page.row += 1
    _write_guide(book, page)
    page.row += 1
    _write_reconciliation(book, page)
    page.row += 1
    _write_how_good(book, page)
    page.row += 1
    _write_notes(book, page)
    page.widen(1, 260)
    page.finish(footer=book.footer, one_page=len(book.plan.notes) <= _NOTES_ON_ONE_PAGE, portrait=True)


def _write_guide(book: Book, page: Page) -> None:
    page.heading("How to read this workbook")
    for sheet, question in _GUIDE.items():
        if sheet not in book.pages:
            continue
        page.sheet.write_url(
            page.row, 0, f"internal:'{sheet}'!A1", book.formats.cell("text", role="link"), sheet
        )
        page.across(page.row, 1, question)
        page.widen(0, 170)
        page.row += 1
    page.row += 1
    page.put(page.row, 0, "Yellow cell", role="input")
    page.across(page.row, 1, "An input: change it, and every figure built on it follows.")
    page.put(page.row + 1, 0, "Blue cell", role="live")
    page.across(page.row + 1, 1, "A formula: it follows the inputs. All other cells are results as computed.")
    page.put(page.row + 2, 0, "Low and high")
    page.across(page.row + 2, 1, "p10 and p90: 1 chance in 10 of less than low, 1 in 10 of more than high.")
    page.row += 3


def _write_notes(book: Book, page: Page) -> None:
    page.heading("What this plan cannot answer, and warnings")
    if not book.plan.notes:
        page.paragraph("Nothing to report: all tables were there, and no warning was raised.")
    for note in book.plan.notes:
        page.paragraph(f"•  {note}")


def _write_how_good(book: Book, page: Page) -> None:
    page.heading("How good the forecast has been")
    backtest = book.plan.backtest
    if backtest is None:
        why = book.plan.why_no_backtest or "No forecast was made from an earlier day."
        page.paragraph(f"Not known: {why} See {RECORD_SHEET}.", role="missing")
        return
    page.paragraph(last_forecast_sentence(backtest.tables["backtest_totals"]))
    for row in forecast_scores(backtest).itertuples():
        page.paragraph(f"•  {str(row.grain).capitalize()}: {row.sentence}")


def _write_reconciliation(book: Book, page: Page) -> None:
    page.heading("Every input row is accounted for")
    frame = book.table("reconciliation")
    if frame.empty:
        page.paragraph("The plan holds no counts of input rows.", role="missing")
        return
    counts = ["rows_read", "used_as_given", "used_repaired", "set_aside", "waiting_for_review"]
    agrees = frame["rows_read"] == frame[counts[1:]].sum(axis=1)
    frame["check"] = agrees.map({True: "agrees", False: "DIFFERS"})
    check = '=IF({rows_read}={used_as_given}+{used_repaired}+{set_aside}+{waiting_for_review},"agrees","DIFFERS")'
    columns = [
        Column("table", "Table"),
        Column("file", "File"),
        Column("rows_read", "Rows read", "count"),
        Column("used_as_given", "Used as given", "count"),
        Column("used_repaired", "Used after repair", "count"),
        Column("set_aside", "Set aside", "count"),
        Column("waiting_for_review", "Waiting for review", "count"),
        Column("check", "Read = used + set aside?", "text", "live", check),
    ]
    place = page.table(frame, columns)
    page.total_row(
        place, label="All files", sums={name: ("count", float(frame[name].sum())) for name in counts}
    )
