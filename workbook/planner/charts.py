"""The charts of the planner workbook: curves with a band, lines by month, stacked columns, ratio bars."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from workbook.planner.cell_text import chart_text
from workbook.planner.formats import FONT_NAME, GREY, INK, RULE

__all__ = ["Band", "Bars", "Line", "area_chart", "band_chart", "column_chart", "even_grid", "line_chart", "ratio_chart"]


@dataclass(frozen=True)
class Line:
    """One line: name, values, colour, dash (`solid`, `dash`, `round_dot`), and whether the legend lists it."""

    name: str
    values: str
    colour: str
    dash: str = "solid"
    width: float = 2.25
    in_legend: bool = True


@dataclass(frozen=True)
class Band:
    """A filled band: its lower edge and its height, stacked one on the other."""

    name: str
    low: str
    height: str
    colour: str


@dataclass(frozen=True)
class Bars:
    """One series of columns; `above` and `below`: ranges of the distances to the ends of an interval on each."""

    name: str
    values: str
    colour: str
    above: str = ""
    below: str = ""


def even_grid(longest: float, *, points: int = 60) -> NDArray[np.float64]:
    """Evenly spaced distances from 0 whose labelled steps are round numbers.

    Parameters
    ----------
    longest : float
        Last distance to show; above 0.
    points : int
        Steps wanted at most.

    Returns
    -------
    ndarray, shape (n_points,)
    """
    raw = longest / points
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= raw * (1 - 1e-12))
    return np.arange(math.floor(longest / step * (1 + 1e-12)) + 1, dtype=np.float64) * step


def _font(size: float, *, bold: bool = False, colour: str = INK) -> dict[str, Any]:
    return {"name": FONT_NAME, "size": size, "bold": bold, "color": colour}


def _axis(name: str, *, number_format: str, grid: bool, **more: Any) -> dict[str, Any]:
    # Months do not fit side by side: slanted, they stay on one line.
    slant = {"rotation": -45} if number_format == "yyyy-mm" else {}
    return {
        "name": chart_text(name),
        "name_font": _font(9, colour=GREY),
        "num_font": {**_font(9), **slant},
        "num_format": number_format,
        "line": {"color": RULE},
        "major_gridlines": {"visible": grid, "line": {"color": RULE, "width": 0.5}},
        **more,
    }


def _dress(chart: Any, title: str, *, size: tuple[int, int], hidden: Sequence[int] = ()) -> None:
    """Title, legend and size, the same for all charts."""
    chart.set_title({"name": chart_text(title), "name_font": _font(11, bold=True), "overlay": False})
    chart.set_legend({"position": "bottom", "font": _font(9), "delete_series": list(hidden)})
    chart.set_size({"width": size[0], "height": size[1]})
    chart.set_chartarea({"border": {"color": RULE}})
    chart.show_blanks_as("gap")


def _lines(workbook: Any, categories: str, lines: Sequence[Line]) -> Any:
    chart = workbook.add_chart({"type": "line"})
    for line in lines:
        chart.add_series(
            {
                "name": chart_text(line.name),
                "categories": categories,
                "values": line.values,
                "line": {"color": line.colour, "width": line.width, "dash_type": line.dash},
                "marker": {"type": "none"},
            }
        )
    return chart


def _band_area(workbook: Any, categories: str, band: Band) -> Any:
    """Two stacked areas: an unseen one up to the lower edge, the band upon it."""
    area = workbook.add_chart({"type": "area", "subtype": "stacked"})
    none: dict[str, Any] = {"fill": {"none": True}, "border": {"none": True}}
    filled: dict[str, Any] = {"fill": {"color": band.colour}, "border": {"none": True}}
    for name, values, look in (("", band.low, none), (band.name, band.height, filled)):
        area.add_series({"name": chart_text(name), "categories": categories, "values": values, **look})
    return area


def band_chart(
    workbook: Any,
    title: str,
    *,
    categories: str,
    band: Band | None,
    lines: Sequence[Line],
    x_name: str,
    y_name: str,
    x_format: str = "#,##0",
    y_format: str = "#,##0",
    y_max: float | None = None,
    label_every: int = 1,
    size: tuple[int, int] = (620, 330),
) -> Any:
    """Lines over a filled band on evenly spaced categories.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        Owner of the chart.
    title, x_name, y_name : str
        What is shown, with units.
    categories : str
        Range of the x values.
    band : Band or None
        Drawn below the lines.
    lines : sequence of Line
        In drawing order.
    x_format, y_format : str
        Number formats of the axes.
    y_max : float, optional
        Top of the scale.
    label_every : int
        Label each so-manyth category.
    size : tuple of int
        Width and height [pixel].

    Returns
    -------
    xlsxwriter.chart.Chart
    """
    chart = _lines(workbook, categories, lines)
    before = 0
    if band is not None:
        area = _band_area(workbook, categories, band)
        area.combine(chart)
        chart, before = area, 2
    hidden = [0] if band is not None else []
    hidden += [before + i for i, line in enumerate(lines) if not line.in_legend]
    limits: dict[str, Any] = {"min": 0}
    if y_max is not None:
        limits |= {"max": y_max, "major_unit": y_max / 5}
    chart.set_x_axis(
        _axis(
            x_name,
            number_format=x_format,
            grid=False,
            interval_unit=label_every,
            interval_tick=label_every,
            text_axis=True,
            position_axis="on_tick",
        )
    )
    chart.set_y_axis(_axis(y_name, number_format=y_format, grid=True, **limits))
    _dress(chart, title, size=size, hidden=hidden)
    return chart


def line_chart(
    workbook: Any,
    title: str,
    *,
    categories: str,
    lines: Sequence[Line],
    y_name: str,
    size: tuple[int, int] = (620, 330),
) -> Any:
    """Lines by month, scale from zero.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        Owner of the chart.
    title, y_name : str
        What is shown, with unit.
    categories : str
        Range of months.
    lines : sequence of Line
        One a policy.
    size : tuple of int
        Width and height [pixel].

    Returns
    -------
    xlsxwriter.chart.Chart
    """
    chart = _lines(workbook, categories, lines)
    chart.set_x_axis(_axis("", number_format="yyyy-mm", grid=False, text_axis=True))
    chart.set_y_axis(_axis(y_name, number_format="#,##0", grid=True, min=0))
    _dress(chart, title, size=size)
    return chart


def column_chart(
    workbook: Any,
    title: str,
    *,
    categories: str,
    bars: Sequence[Bars],
    y_name: str,
    x_name: str = "",
    stacked: bool = True,
    y_max: float | None = None,
    size: tuple[int, int] = (620, 330),
) -> Any:
    """Columns from zero, stacked or side by side.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        Owner of the chart.
    title, y_name : str
        What is shown, with unit.
    categories : str
        Range of the labels.
    bars : sequence of Bars
        From the bottom up, or from the left.
    x_name : str
        What the labels are, where that is not plain.
    stacked : bool
        Whether columns stand on one another.
    y_max : float, optional
        Top of the scale; a spreadsheet program does not make room for intervals of itself.
    size : tuple of int
        Width and height [pixel].

    Returns
    -------
    xlsxwriter.chart.Chart
    """
    chart = workbook.add_chart({"type": "column", **({"subtype": "stacked"} if stacked else {})})
    for series in bars:
        interval = {
            "type": "custom",
            "plus_values": series.above,
            "minus_values": series.below,
            "line": {"color": INK, "width": 1.0},
        }
        chart.add_series(
            {
                "name": chart_text(series.name),
                "categories": categories,
                "values": series.values,
                "fill": {"color": series.colour},
                "border": {"color": "#FFFFFF"},
                "gap": 70,
                **({"y_error_bars": interval} if series.above else {}),
            }
        )
    chart.set_x_axis(_axis(x_name, number_format="General", grid=False))
    chart.set_y_axis(_axis(y_name, number_format="#,##0", grid=True, min=0, max=y_max))
    _dress(chart, title, size=size)
    return chart


def area_chart(
    workbook: Any,
    title: str,
    *,
    categories: str,
    areas: Sequence[Bars],
    x_name: str,
    y_name: str,
    label_every: int,
    size: tuple[int, int],
) -> Any:
    """Shares stacked up to at most 1, on evenly spaced categories.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        Owner of the chart.
    title, x_name, y_name : str
        What is shown, with units.
    categories : str
        Range of the x values.
    areas : sequence of Bars
        From the bottom up.
    label_every : int
        Label each so-manyth category.
    size : tuple of int
        Width and height [pixel].

    Returns
    -------
    xlsxwriter.chart.Chart
    """
    chart = workbook.add_chart({"type": "area", "subtype": "stacked"})
    for area in areas:
        chart.add_series(
            {
                "name": chart_text(area.name),
                "categories": categories,
                "values": area.values,
                "fill": {"color": area.colour},
                "border": {"color": "#FFFFFF", "width": 0.5},
            }
        )
    ticks = {"interval_unit": label_every, "interval_tick": label_every, "text_axis": True, "position_axis": "on_tick"}
    chart.set_x_axis(_axis(x_name, number_format="#,##0", grid=False, **ticks))
    chart.set_y_axis(_axis(y_name, number_format="0%", grid=True, min=0, max=1, major_unit=0.2))
    _dress(chart, title, size=size)
    return chart


def ratio_chart(
    workbook: Any,
    title: str,
    *,
    categories: str,
    values: str,
    below: str,
    above: str,
    colour: str,
    value_name: str,
    value_max: float,
    size: tuple[int, int],
) -> Any:
    """Horizontal bars that start at 1, with an interval on each.

    Parameters
    ----------
    workbook : xlsxwriter.Workbook
        Owner of the chart.
    title, value_name : str
        What is shown.
    categories, values, below, above : str
        Ranges: labels, ratios, distance to the lower and to the upper bound.
    colour : str
        Of the bars.
    value_max : float
        Top of the scale; an interval beyond it is cut.
    size : tuple of int
        Width and height [pixel].

    Returns
    -------
    xlsxwriter.chart.Chart
    """
    chart = workbook.add_chart({"type": "bar"})
    chart.add_series(
        {
            "name": "Life ratio with its interval",
            "categories": categories,
            "values": values,
            "fill": {"color": colour},
            "border": {"none": True},
            "gap": 60,
            "y_error_bars": {
                "type": "custom",
                "plus_values": above,
                "minus_values": below,
                "line": {"color": INK, "width": 1.25},
            },
        }
    )
    # In a bar chart the horizontal x axis carries the values.
    chart.set_x_axis(_axis(value_name, number_format="0.0", grid=True, min=0, max=value_max, crossing=1))
    # Reversed, the first row stands on top; crossing at the last one keeps the scale below.
    chart.set_y_axis(
        _axis("", number_format="General", grid=False, reverse=True, label_position="low", crossing="max")
    )
    _dress(chart, title, size=size)
    chart.set_legend({"none": True})
    return chart
