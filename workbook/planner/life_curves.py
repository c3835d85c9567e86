"""Sheet "Life curves": the share of parts still good at each age, factory height and raised."""

import math
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from workbook.planner.book import Book
from workbook.planner.charts import Band, Line, band_chart, even_grid
from workbook.planner.columns import Column, Place
from workbook.planner.formats import BAND_BLUE, BLUE, GREY, ORANGE
from workbook.planner.look_up import write_look_up
from workbook.planner.page import GALLERY_SIZE, Page
from workbook.planner.typed import CURVES_SHEET

__all__ = ["CurvePair", "curve_pair", "write_life_curves"]

_MISSING = (
    "No life curve can be drawn: no component has enough failures in the record. What the record shows without "
    "any model stands on the sheet Mean replacements."
)
_LABEL_EVERY = 10
_FLEET_DUTIES = ("fleet", "all")


@dataclass(frozen=True)
class CurvePair:
    """The two curves of one component's chart: factory height, and raised where there is one."""

    duty: str
    lift: float
    factory: pd.DataFrame
    raised: pd.DataFrame


def curve_pair(curves: pd.DataFrame, due: pd.DataFrame) -> CurvePair:
    """Curves at the fleet's mix of duty if given, else at the duty of most fitted parts.

    Parameters
    ----------
    curves, due : pandas.DataFrame
        Rows of one component.

    Returns
    -------
    CurvePair
        The raised curve is that of the lift most fitted parts have.
    """
    duties = curves["duty"].unique().tolist()
    fitted = due["duty"].value_counts()
    mix = [d for d in _FLEET_DUTIES if d in duties]
    common = [d for d in fitted.index if d in duties]
    duty = (mix or common or duties)[0]
    here = curves[curves["duty"] == duty].sort_values("distance")
    raised_lifts = sorted(here.loc[here["lift"] > 0, "lift"].unique())
    lifts = due.loc[due["lift"].isin(raised_lifts), "lift"].value_counts()
    lift = float(lifts.index[0]) if len(lifts) else float(raised_lifts[-1]) if raised_lifts else math.nan
    return CurvePair(duty, lift, here[~(here["lift"] > 0)], here[here["lift"] == lift])


def _chart_rows(pair: CurvePair, record: pd.DataFrame) -> pd.DataFrame:
    """Both curves and the record on one even grid of distances."""
    longest = max(float(f["distance"].max()) for f in (pair.factory, pair.raised) if len(f))
    grid = even_grid(longest)
    rows = pd.DataFrame({"distance": grid})
    for name, curve in (("factory", pair.factory), ("raised", pair.raised)):
        for column in ("survival", "lower", "upper"):
            values = np.full(len(grid), np.nan)
            if len(curve):
                x = curve["distance"].to_numpy(dtype=float)
                values = np.interp(grid, x, curve[column].to_numpy(dtype=float), right=np.nan)
            rows[f"{name}_{column}"] = values
    rows["height"] = rows["factory_upper"] - rows["factory_lower"]
    for name, column in (("record", "survival"), ("record_lower", "lower"), ("record_upper", "upper")):
        rows[name] = _steps(record, column, grid)
    return rows


def _steps(record: pd.DataFrame, column: str, grid: np.ndarray) -> np.ndarray:
    """The record's own step curve at each distance; blank beyond its last point."""
    if record.empty:
        return np.full(len(grid), np.nan)
    ordered = record.sort_values("distance")
    x = ordered["distance"].to_numpy(dtype=float)
    steps = np.concatenate([[1.0], ordered[column].to_numpy(dtype=float)])
    values = steps[np.searchsorted(x, grid, side="right")]
    return np.where(grid <= x[-1], values, np.nan)


def write_life_curves(book: Book) -> None:
    """Write the sheet and its rows of chart data.

    Parameters
    ----------
    book : Book
        The workbook in the making.
    """
    page = book.pages[CURVES_SHEET]
    page.title(CURVES_SHEET, subtitle="The share of parts still good at each age, by component.")
    curves = book.table("curves").dropna(subset=["distance", "survival"])
    curves = curves[curves.groupby("component")["distance"].transform("max") > 0]
    if curves.empty:
        page.paragraph(_MISSING, role="missing")
    else:
        write_look_up(book)
        page.heading("All components")
        page.paragraph(
            f"Blue: factory height, with its {book.confidence} band. Orange: raised vehicles, dashed lines are "
            f"their {book.confidence} band. Grey dots: the record itself, all lifts and duties together, without a "
            f"model, the finer dots its {book.confidence} band; where it leaves the curves for long, trust the curves "
            "less. A chart without orange has no raised vehicles behind it."
        )
        _write_charts(book, page, curves)
    _write_fits(book, page)
    page.finish(footer=book.footer)


def _write_charts(book: Book, page: Page, curves: pd.DataFrame) -> None:
    nonparametric, due = book.table("nonparametric"), book.table("due")
    page.row += 1
    charts = []
    for code in curves["component"].unique():
        pair = curve_pair(curves[curves["component"] == code], due[due["component"] == code])
        record = nonparametric[nonparametric["component"] == code]
        charts.append(_component_chart(book, code, pair, _chart_rows(pair, record)))
    page.gallery(charts)


def _series_names(lift: float) -> dict[str, str]:
    """Header and legend of each column of a component's chart data."""
    raised = f"Raised {lift:g} mm"
    return {
        "factory_survival": "Factory height",
        "factory_lower": "Factory height, low",
        "factory_upper": "Factory height, high",
        "raised_survival": raised,
        "raised_lower": f"{raised}, low",
        "raised_upper": f"{raised}, high",
        "record": "Record without a model",
        "record_lower": "Record without a model, low",
        "record_upper": "Record without a model, high",
    }


def _write_chart_rows(book: Book, title: str, pair: CurvePair, rows: pd.DataFrame) -> Place:
    """Chart data of one component; a column without any figure is left out."""
    names = {name: text for name, text in _series_names(pair.lift).items() if rows[name].notna().any()}
    height = '=IF(COUNT({factory_lower},{factory_upper})=2,{factory_upper}-{factory_lower},"")'
    columns = [
        Column("distance", f"Age ({book.words.distance})", "distance"),
        *(Column(name, text, "decimal3") for name, text in names.items()),
    ]
    if rows["height"].notna().all():
        columns.append(Column("height", "Factory height, high less low", "decimal3", "live", height))
    data = book.pages["Chart data"]
    data.heading(f"Share still good: {title}")
    place = data.table(rows, columns)
    data.row += 1
    return place


def _component_chart(book: Book, code: str, pair: CurvePair, rows: pd.DataFrame) -> object:
    title = f"{book.words.component(code)}, duty: {book.words.duty(pair.duty)}"
    place = _write_chart_rows(book, title, pair, rows)
    names = _series_names(pair.lift)
    looks = {
        "record_lower": Line(names["record_lower"], "", GREY, "round_dot", 0.75, in_legend=False),
        "record_upper": Line(names["record_upper"], "", GREY, "round_dot", 0.75, in_legend=False),
        "record": Line(names["record"], "", GREY, "round_dot", 1.75),
        "raised_lower": Line(names["raised_lower"], "", ORANGE, "dash", 1.0, in_legend=False),
        "raised_upper": Line(names["raised_upper"], "", ORANGE, "dash", 1.0, in_legend=False),
        "raised_survival": Line(names["raised_survival"], "", ORANGE),
        "factory_survival": Line(names["factory_survival"], "", BLUE),
    }
    lines = [replace(look, values=place.series(name)) for name, look in looks.items() if name in place.columns]
    band = None
    if "height" in place.columns:
        text = f"{names['factory_survival']}, {book.confidence} band"
        band = Band(text, place.series("factory_lower"), place.series("height"), BAND_BLUE)
    return band_chart(
        book.workbook,
        title,
        categories=place.series("distance"),
        band=band,
        lines=lines,
        x_name=f"Age ({book.words.distance})",
        y_name="Share still good",
        y_format="0%",
        y_max=1,
        label_every=_LABEL_EVERY,
        size=GALLERY_SIZE,
    )


def _write_fits(book: Book, page: Page) -> None:
    """The fitted parameters, for the reader who wants them."""
    fits = book.table("fits")
    if fits.empty:
        return
    page.heading("Fitted parameters")
    page.paragraph(
        "Shape and scale (of the reference duty, at factory height) as they are; effects of duty and of joint angle "
        "or lift on the logarithm of life, where -0.10 is about 10% less life. Where duty_height stands among them, "
        "the effect of angle or lift is that of the fleet's mix of duties, and duty_height what a duty adds to that of "
        "the first duty, for a step of two standard deviations of the angle or lift met."
    )
    shown = fits.assign(label=fits["component"].map(book.words.component))
    columns = [
        Column("label", "Component"),
        Column("family", "Law"),
        Column("parameter", "Parameter"),
        Column("estimate", "Estimate", "decimal3"),
        Column("lower", f"Low ({book.confidence})", "decimal3"),
        Column("upper", f"High ({book.confidence})", "decimal3"),
        Column("lives", "Lives", "count"),
        Column("failures", "Failures", "count"),
        Column("note", "Note"),
    ]
    page.table(shown, columns)
