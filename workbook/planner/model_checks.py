"""Sheet "Model checks": how far each curve can be trusted, in sentences, then in figures and charts."""

import numpy as np
import pandas as pd

from workbook.planner.book import Book
from workbook.planner.charts import Band, Bars, Line, band_chart, column_chart, even_grid
from workbook.planner.columns import Column, Place
from workbook.planner.drift import WORDS_COLUMN, write_drift
from workbook.planner.formats import BAND_BLUE, BLUE, GREY, INK
from workbook.planner.page import GALLERY_SIZE, Page

__all__ = ["write_model_checks"]

_MISSING = "Nothing could be checked: no component has a life curve."
_CHECKS = {
    "failures": "What the curve rests on",
    "residuals": "Form of the curve",
    "free curve": "Its form left free",
    "calibration": "High and low risk",
    "last year": "The last year foretold",
    "chances": "Chances of single parts",
    "order": "Which fails first",
    "vehicles": "Single vehicles",
}
#: Where fewer lives are left, the residuals' curve is not drawn.
_FEWEST_LIVES = 5
_LABEL_EVERY = 10


def write_model_checks(book: Book) -> None:
    """Write the sheet and its rows of chart data.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages["Model checks"]
    page.title("Model checks", subtitle="How far each life curve can be trusted, by component.")
    checks = book.table("model_checks")
    if checks.empty:
        page.paragraph(_MISSING, role="missing")
        page.finish(footer=book.footer)
        return
    page.paragraph(
        "Result 'look': more than chance explains, or one or two vehicles decide; look at the record before you rely "
        "on that curve. 'too few': too few failures to tell a good curve from a bad one. 'fine' is no proof that a "
        "curve is right: with few failures only gross errors show."
    )
    page.row += 1
    _write_sentences(book, page, checks)
    page.row += 1
    write_drift(book, page)
    page.break_here()
    _write_charts(book, page)
    _write_free_curves(book, page)
    _write_last_year(book, page)
    _write_alternatives(book, page)
    _write_influence(book, page)
    _write_calibration(book, page)
    page.finish(footer=book.footer)


def _write_sentences(book: Book, page: Page, checks: pd.DataFrame) -> None:
    shown = checks.assign(
        label=checks["component"].map(book.words.component), check=checks["check"].map(lambda c: _CHECKS.get(c, c))
    )
    columns = [
        Column("label", "Component"),
        Column("check", "Check"),
        Column("result", "Result"),
        Column("sentence", "In words", merge=WORDS_COLUMN - 3),
    ]
    place = page.table(shown, columns)
    at = place.columns["result"]
    page.sheet.conditional_format(
        place.first_row, at, place.last_row, at,
        {"type": "cell", "criteria": "==", "value": '"look"', "format": book.formats.rule("alert")},
    )  # fmt: skip


def _write_charts(book: Book, page: Page) -> None:
    """Two charts a component: expected beside seen, and residuals."""
    calibration, residuals = book.table("calibration"), book.table("residuals")
    codes = [code for code in calibration["component"].unique() if (residuals["component"] == code).any()]
    if not codes:
        return
    page.heading("Expected beside seen, and residuals")
    page.paragraph(
        "Parts of known age, though the curves rest on the others as well. "
        "Left: lives in ten groups by the risk predicted for them. Where the curve is right, most of the thin bars, "
        f"the {book.confidence} interval that the seen failures speak for, reach the expected ones. Right: residuals, "
        "the share of its predicted wear that each part used up. With the right form the blue line keeps to "
        f"the dashed one, mostly within its {book.confidence} band; the right end rests on few parts."
    )
    charts = []
    for code in codes:
        label = book.words.component(code)
        charts.append(_calibration_chart(book, label, calibration[calibration["component"] == code]))
        charts.append(_residual_chart(book, label, residuals[residuals["component"] == code]))
    page.gallery(charts)


def _calibration_chart(book: Book, label: str, rows: pd.DataFrame) -> object:
    shown = rows.assign(
        name=[f"{tenth:.0f}" for tenth in rows["tenth"]],
        below=rows["seen"] - rows["lower"],
        above=rows["upper"] - rows["seen"],
    )
    data = book.pages["Chart data"]
    data.heading(f"Expected and seen failures: {label}")
    columns = [
        Column("name", "Tenth of risk"),
        Column("expected", "Expected", "decimal2"),
        Column("seen", "Seen", "decimal2"),
        Column("lower", "Low", "decimal2"),
        Column("upper", "High", "decimal2"),
        Column("below", "Seen less low", "decimal2", "live", '=IF(COUNT({seen},{lower})=2,{seen}-{lower},"")'),
        Column("above", "High less seen", "decimal2", "live", '=IF(COUNT({seen},{upper})=2,{upper}-{seen},"")'),
    ]
    place = data.table(shown, columns)
    data.row += 1
    return column_chart(
        book.workbook,
        label,
        categories=place.series("name"),
        bars=[
            Bars("Expected", place.series("expected"), GREY),
            Bars("Seen", place.series("seen"), BLUE, above=place.series("above"), below=place.series("below")),
        ],
        y_name="failures",
        x_name="tenth of lives by predicted risk (10: highest)",
        stacked=False,
        y_max=float(np.ceil(max(rows["upper"].max(), rows["expected"].max()))),
        size=GALLERY_SIZE,
    )


def _residual_rows(rows: pd.DataFrame) -> pd.DataFrame:
    """The residuals' curve and its band on an even grid, with the line of equality."""
    ordered = rows.sort_values("residual")
    solid = ordered[ordered["lives"] >= _FEWEST_LIVES]
    longest = float((solid if len(solid) else ordered)["residual"].max())
    grid = even_grid(longest)
    at = np.searchsorted(ordered["residual"].to_numpy(dtype=float), grid, side="right")
    # Not every program leaves out labels that do not fit: those between the marks are blank.
    marks = [f"{x:.2f}" if i % _LABEL_EVERY == 0 else "" for i, x in enumerate(grid)]
    shown = pd.DataFrame({"residual": grid, "line": grid, "mark": marks})
    for name in ("cumulative_hazard", "lower", "upper"):
        shown[name] = np.concatenate([[0.0], ordered[name].to_numpy(dtype=float)])[at]
    shown["height"] = shown["upper"] - shown["lower"]
    return shown


def _residual_chart(book: Book, label: str, rows: pd.DataFrame) -> object:
    place = _write_residual_rows(book, label, _residual_rows(rows))
    return band_chart(
        book.workbook,
        f"{label}: residuals",
        categories=place.series("mark"),
        band=Band(f"{book.confidence} band", place.series("lower"), place.series("height"), BAND_BLUE),
        lines=[
            Line("Residuals", place.series("cumulative_hazard"), BLUE),
            Line("A perfect curve", place.series("line"), INK, "dash", 1.25),
        ],
        x_name="cumulative hazard by the curve",
        y_name="seen",
        y_format="0.0",
        label_every=_LABEL_EVERY,
        size=GALLERY_SIZE,
    )


def _write_residual_rows(book: Book, label: str, shown: pd.DataFrame) -> Place:
    data = book.pages["Chart data"]
    data.heading(f"Residuals: {label}")
    columns = [
        Column("residual", "Cumulative hazard by the curve", "decimal3"),
        Column("cumulative_hazard", "Seen", "decimal3"),
        Column("lower", "Low", "decimal3"),
        Column("upper", "High", "decimal3"),
        Column("mark", "Label"),
        Column("line", "A perfect curve", "decimal3"),
        Column("height", "High less low", "decimal3", "live", '=IF(COUNT({lower},{upper})=2,{upper}-{lower},"")'),
    ]
    place = data.table(shown, columns)
    data.row += 1
    return place


def _write_free_curves(book: Book, page: Page) -> None:
    frame = book.table("free_curve")
    if frame.empty:
        return
    page.heading("The curve with its form left free")
    page.paragraph(
        "Parts of known age. A curve that may bend as the failures do, beside the Weibull curve of the same parts, "
        "where the two are farthest apart. Deviance: how much better the free curve fits, about one "
        "for each of its further coefficients where the Weibull form is right. The age is that of the fleet's mix of "
        "work at factory height."
    )
    columns = [
        Column("label", "Component"),
        Column("failures", "Failures", "decimal1"),
        Column("deviance", "Deviance", "decimal1"),
        Column("degrees", "Further coefficients", "count"),
        Column("deviance_per_degree", "Deviance per coefficient", "decimal2"),
        Column("p_value", "Chance with Weibull lives", "decimal3"),
        Column("distance", f"Farthest apart at ({book.words.distance})", "distance"),
        Column("survival_free", "Still good, free curve", "percent"),
        Column("survival_weibull", "Still good, Weibull", "percent"),
        Column("difference", "Difference", "decimal3"),
        Column("lower", f"Low ({book.confidence})", "decimal3"),
        Column("upper", f"High ({book.confidence})", "decimal3"),
    ]
    page.table(frame.assign(label=frame["component"].map(book.words.component)), columns)
    page.row += 1


def _write_last_year(book: Book, page: Page) -> None:
    frame = book.table("out_of_time")
    if frame.empty:
        return
    page.heading("The last year foretold")
    page.paragraph(
        "Each curve was fitted anew to what had been written down a year before the end of the record. Expected: its "
        "failures of the parts of known age fitted then, over the distance they really ran, until their first "
        "replacement. Low and high: what may come by chance and because that curve is uncertain. Brier score: mean "
        "squared error of the chance given to each part; lower is better."
    )
    columns = [
        Column("label", "Component"),
        Column("since", "Known until", "date"),
        Column("lives", "Parts under way", "count"),
        Column("expected", "Expected failures", "decimal1"),
        Column("lower", f"Low ({book.confidence})", "count"),
        Column("upper", f"High ({book.confidence})", "count"),
        Column("seen", "Seen", "decimal1"),
        Column("brier", "Brier score", "decimal3"),
        Column("brier_alike", "One chance for all", "decimal3"),
    ]
    page.table(frame.assign(label=frame["component"].map(book.words.component)), columns)
    page.row += 1


def _write_alternatives(book: Book, page: Page) -> None:
    frame = book.table("alternatives")
    if frame.empty:
        return
    unit = book.words.distance
    page.heading("The curve as used, and the plain one beside it")
    page.paragraph(
        "The plain analysis leaves out parts fitted before the record began, and takes all vehicles as alike. "
        "Where the two differ much, the curve rests on how such parts are reckoned with. Below it the same with other "
        "forms of life curve: one whose log-likelihood is higher by 2 or more explains the record better; where its "
        "B10 differs as well, trust the far ends of the curve less. B10 and median: the fleet's mix of work at factory "
        "height."
    )
    columns = [
        Column("label", "Component"),
        Column("analysis", "Analysis", widest=160),
        Column("failures", "Failures", "count"),
        Column("shape", "Shape", "decimal2"),
        Column("b10", f"B10 ({unit})", "distance"),
        Column("median", f"Median ({unit})", "distance"),
        Column("frailty_variance", "Spread of wear between vehicles (variance)", "decimal2"),
        Column("log_likelihood", "Log-likelihood", "decimal1"),
    ]
    page.table(frame.assign(label=frame["component"].map(book.words.component)), columns)
    page.row += 1


def _write_influence(book: Book, page: Page) -> None:
    frame = book.table("influence")
    if frame.empty:
        return
    page.heading("Vehicles that change a curve most")
    page.paragraph(
        "What leaving out one vehicle would change, without fitting again: the B10 life as a share, and the effect of "
        "ride height as it stands among the fitted parameters of the sheet Life curves."
    )
    frame["b10_share"] = np.expm1(frame["b10_change"])
    columns = [
        Column("label", "Component"),
        Column("unit", "Unit"),
        Column("failures", "Failures", "decimal1"),
        Column("lives", "Lives", "decimal1"),
        Column("b10_share", "Change of B10 without it", "percent"),
        Column("height_change", "Change of height effect", "decimal3"),
    ]
    page.table(frame.assign(label=frame["component"].map(book.words.component)), columns)
    page.row += 1


def _write_calibration(book: Book, page: Page) -> None:
    frame = book.table("calibration")
    if frame.empty:
        return
    page.heading("Expected and seen failures by tenths of predicted risk")
    page.paragraph(
        "Tenth 10 holds the lives at the highest risk. A failure known only to an interval is expected where in it the "
        f"curve has it on average. Low and high: the exact {book.confidence} interval that the seen count speaks for."
    )
    columns = [
        Column("label", "Component"),
        Column("tenth", "Tenth of risk", "count"),
        Column("lives", "Lives", "count"),
        Column("expected", "Expected", "decimal1"),
        Column("seen", "Seen", "decimal1"),
        Column("lower", f"Low ({book.confidence})", "decimal1"),
        Column("upper", f"High ({book.confidence})", "decimal1"),
    ]
    page.table(frame.assign(label=frame["component"].map(book.words.component)), columns)
