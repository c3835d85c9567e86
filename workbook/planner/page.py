"""One worksheet being written from top to bottom: titles, paragraphs, tables, room for charts."""

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd
from xlsxwriter.utility import xl_col_to_name, xl_rowcol_to_cell

from workbook.planner.cell_text import clean_text, is_hostile, pixel_width, wrapped_lines
from workbook.planner.columns import Column, Place, cell_values
from workbook.planner.formats import Formats

__all__ = ["GALLERY_SIZE", "ROW_PIXELS", "Page"]

ROW_PIXELS = 21
GALLERY_SIZE = (600, 335)
_GALLERY_GAP = 20
_LINE_PIXELS = 17
_DEFAULT_WIDTH = 64
_PADDING = 18
_FILTER_BUTTON = 18
_WIDEST_CHARACTER = 14
_PAGE_PIXELS = 1080
_PAPER_PIXELS = 940  # landscape A4 between the margins is 1045; column widths differ by program
_WIDEST_HEADER = 96
_MOST_LINES = 6
_ROW_LIMIT = 1_048_576
_NUMBER_TEXT = {
    "decimal1": "{:,.1f}",
    "decimal2": "{:,.2f}",
    "decimal3": "{:,.3f}",
    "money2": "{:,.2f}",
    "percent": "{:.1%}",
    "percent0": "{:.0%}",
    "percent2": "{:.2%}",
    "date": "2026-06-30",
    "month": "2026-06",
}


@dataclass(frozen=True)
class _Wrapped:
    """A cell whose text wraps: its height is known once the widths are."""

    row: int
    column: int
    text: str
    bold: bool


@dataclass(frozen=True)
class _Across:
    """Text over several columns; `last` None: as far as the page is wide; `link`: the sheet it leads to."""

    row: int
    first: int
    last: int | None
    text: str
    role: str
    link: str = ""


def _number_width(number: float, *, kind: str) -> int:
    """Width of a number as its format shows it, in bold [pixel]."""
    return pixel_width(_NUMBER_TEXT.get(kind, "{:,.0f}").format(number), bold=True)


class Page:
    """Cursor over one worksheet; widths and heights are settled by `finish`.

    Parameters
    ----------
    sheet : xlsxwriter.worksheet.Worksheet
        Worksheet to write.
    formats : Formats
        Formats of its workbook.

    Attributes
    ----------
    row : int
        Next free row, counted from 0.
    hidden : bool
        Whether the sheet will be hidden; it gets no print area then, as not every program leaves those out.
    """

    def __init__(self, sheet: Any, formats: Formats) -> None:
        self.sheet = sheet
        self.row = 0
        self.hidden = False
        self._formats = formats
        self._widths: dict[int, int] = {}
        self._wrapped: list[_Wrapped] = []
        self._across: list[_Across] = []
        self._heights: dict[int, int] = {}
        self._breaks: list[int] = []
        self._hidden: set[int] = set()
        self._chart_edge = 0
        sheet.set_default_row(ROW_PIXELS * 0.75)
        sheet.hide_gridlines(2)

    @property
    def name(self) -> str:
        """Sheet name."""
        return str(self.sheet.get_name())

    def title(self, text: str, *, subtitle: str) -> None:
        """Sheet title and the line below it."""
        self.put(self.row, 0, text, role="title")
        self._heights[self.row] = 34
        self.put(self.row + 1, 0, subtitle, role="subtitle")
        self.row += 2

    def paragraph(self, text: str, *, role: str = "note") -> None:
        """A sentence or more across the page."""
        self.across(self.row, 0, text, role=role)
        self.row += 1

    def heading(self, text: str, *, column: int = 0, last: int | None = None) -> None:
        """A heading over a section, underlined up to column `last` or across the page."""
        self.across(self.row, column, text, last=last, role="heading")
        self._heights[self.row] = 24
        self.row += 1

    def across(
        self, row: int, column: int, text: str, *, last: int | None = None, role: str = "body", link: str = ""
    ) -> None:
        """Text from a column to column `last`, or as far as the page is wide, wrapped where it must be.

        With `link` it leads to the sheet of that name.
        """
        self._across.append(_Across(row, column, last, clean_text(text), "link" if link else role, link))

    def put(self, row: int, column: int, value: float | str, *, kind: str = "text", role: str = "body") -> None:
        """One cell: text stays text, NaN stays blank."""
        if isinstance(value, str):
            text = clean_text(value)
            style = self._formats.cell(kind, role=role, quoted=is_hostile(text))
            self.sheet.write_string(row, column, text, style)
        elif math.isfinite(value):
            self.sheet.write_number(row, column, value, self._formats.cell(kind, role=role))
        else:
            self.sheet.write_blank(row, column, None, self._formats.cell(kind, role=role))

    def put_formula(
        self, row: int, column: int, formula: str, *, cached: float | str, kind: str, role: str = "live",
        wrap: bool = False,
    ) -> None:  # fmt: skip
        """One formula with the value it has now; NaN is cached as the empty text the formula gives."""
        if not isinstance(cached, str) and not math.isfinite(cached):
            cached = ""
        if not isinstance(cached, str):
            self.widen(column, _number_width(cached, kind=kind) + _PADDING)
        self.sheet.write_formula(row, column, formula, self._formats.cell(kind, role=role, wrap=wrap), cached)

    def widen(self, column: int, pixels: int) -> None:
        """Make a column at least this wide."""
        self._widths[column] = max(self._widths.get(column, 0), pixels)

    def hide(self, column: int) -> None:
        """Hide a column; its cells stay."""
        self._hidden.add(column)

    def width(self, first: int, last: int) -> int:
        """Width of columns `first` to `last` as known so far, hidden ones left out [pixel]."""
        shown = (column for column in range(first, last + 1) if column not in self._hidden)
        return sum(self._widths.get(column, _DEFAULT_WIDTH) for column in shown)

    def chart(self, row: int, chart: Any, *, width: int, offset: int = 0) -> None:
        """Put a chart of this width at a row, `offset` pixels from the left edge."""
        self.sheet.insert_chart(row, 0, chart, {"x_offset": offset, "y_offset": 3})
        self._chart_edge = max(self._chart_edge, offset + width)

    def skip(self, pixels: int) -> None:
        """Leave room for a chart."""
        self.row += math.ceil(pixels / ROW_PIXELS)

    def gallery(self, charts: Sequence[Any]) -> None:
        """Charts of `GALLERY_SIZE` two abreast, four to a sheet of paper."""
        width, height = GALLERY_SIZE
        for start in range(0, len(charts), 2):
            if start and start % 4 == 0:
                self.break_here()
            for offset, chart in enumerate(charts[start : start + 2]):
                self.chart(self.row, chart, width=width, offset=offset * (width + _GALLERY_GAP))
            self.skip(height + _GALLERY_GAP)
        self.break_here()

    def break_here(self) -> None:
        """Start a new sheet of paper at the cursor."""
        self._breaks.append(self.row)

    def table(
        self,
        frame: pd.DataFrame,
        columns: Sequence[Column],
        *,
        left: int = 0,
        references: Sequence[Mapping[str, str]] | None = None,
        filters: int = 0,
    ) -> Place:
        """Write a table with its header at the cursor and move the cursor below it.

        Parameters
        ----------
        frame : pandas.DataFrame
            Values; live columns hold the cached values.
        columns : sequence of Column
            What to show, from left to right.
        left : int
            First sheet column.
        references : sequence of mapping, optional
            By row, what the names in formulas stand for, beside the row's own cells.
        filters : int
            Put filter buttons on this many columns from the left.

        Returns
        -------
        Place
            Where the rows stand.
        """
        header_row = self.row
        room = _ROW_LIMIT - header_row - 10
        shown = frame.head(room)
        starts = list(itertools.accumulate((column.merge for column in columns), initial=left))
        place = Place(
            self.name,
            header_row + 1,
            header_row + len(shown),
            {column.name: start for column, start in zip(columns, starts, strict=False)},
        )
        for index, column in enumerate(columns):
            if column.merge > 1:
                self._write_merged(column, shown[column.name], place)
                continue
            self._write_header(header_row, starts[index], column, with_button=index < filters)
            if column.formula:
                self._write_live(column, shown[column.name], place, references)
            else:
                self._write_plain(column, shown[column.name], place)
        if filters and len(shown):
            self.sheet.autofilter(header_row, left, place.last_row, left + filters - 1)
        self.row = place.last_row + 1
        if len(frame) > room:
            self.paragraph(f"{len(frame) - room:,} more rows do not fit on a sheet.", role="missing")
        return place

    def _write_header(self, row: int, at: int, column: Column, *, with_button: bool) -> None:
        text = clean_text(column.header)
        style = self._formats.cell("text", role="head" if column.is_text else "number_head")
        self.sheet.write_string(row, at, text, style)
        self._wrapped.append(_Wrapped(row, at, text, bold=True))
        extra = _PADDING + (_FILTER_BUTTON if with_button else 0)
        self.widen(at, max(pixel_width(word, bold=True) for word in text.split(" ")) + extra)
        # A few lines of header read better than a tower of single words.
        self.widen(at, min(pixel_width(text, bold=True) // 3 + extra, _WIDEST_HEADER))

    def _write_merged(self, column: Column, values: "pd.Series[Any]", place: Place) -> None:
        at = place.columns[column.name]
        last = at + column.merge - 1
        self.across(place.first_row - 1, at, column.header, last=last, role="head")
        for row, text in enumerate(cell_values(values, kind="text"), start=place.first_row):
            self.across(row, at, str(text), last=last)

    def _write_plain(self, column: Column, values: "pd.Series[Any]", place: Place) -> None:
        cells = cell_values(values, kind=column.kind)
        at = place.columns[column.name]
        texts = [c for c in cells if isinstance(c, str)]
        self._fit_width(at, column, cells, texts)
        room = column.widest - _PADDING
        long = {t for t in set(texts) if len(t) * _WIDEST_CHARACTER > room and pixel_width(t) > room}
        plain = self._formats.cell(column.kind, role=column.role)
        sheet = self.sheet
        for row, cell in enumerate(cells, start=place.first_row):
            if isinstance(cell, str):
                wraps, quoted = cell in long, is_hostile(cell)
                style = plain
                if wraps or quoted:
                    top = wraps and wrapped_lines(cell, width=room) > _MOST_LINES
                    style = self._formats.cell(column.kind, role=column.role, wrap=wraps, quoted=quoted, top=top)
                sheet.write_string(row, at, cell, style)
                if wraps:
                    self._wrapped.append(_Wrapped(row, at, cell, bold=False))
            elif math.isnan(cell):
                sheet.write_blank(row, at, None, plain)
            else:
                sheet.write_number(row, at, cell, plain)

    def _write_live(
        self,
        column: Column,
        values: "pd.Series[Any]",
        place: Place,
        references: Sequence[Mapping[str, str]] | None,
    ) -> None:
        cells = cell_values(values, kind=column.kind)
        at = place.columns[column.name]
        self._fit_width(at, column, cells, [c for c in cells if isinstance(c, str)])
        # A text that follows inputs may become as long as the column allows.
        wraps = column.kind == "text"
        letters = {name: xl_col_to_name(index) for name, index in place.columns.items()}
        for i, cached in enumerate(cells):
            row = place.first_row + i
            names = {name: f"{letter}{row + 1}" for name, letter in letters.items()}
            if references is not None:
                names.update(references[i])
            self.put_formula(
                row, at, column.formula.format_map(names), cached=cached, kind=column.kind, role=column.role,
                wrap=wraps,
            )  # fmt: skip
            if wraps and isinstance(cached, str):
                self._wrapped.append(_Wrapped(row, at, cached, bold=False))

    def _fit_width(self, at: int, column: Column, cells: Sequence[float | str], texts: list[str]) -> None:
        longest = sorted(set(texts), key=len, reverse=True)[:40]
        need = max((pixel_width(text[:400]) for text in longest), default=0)
        numbers = [c for c in cells if not isinstance(c, str) and c == c]
        if numbers:
            need = max(need, *(_number_width(n, kind=column.kind) for n in (min(numbers), max(numbers))))
        self.widen(at, min(need + _PADDING, column.widest))

    def total_row(self, place: Place, *, label: str, sums: Mapping[str, tuple[str, float]]) -> None:
        """A row of sums below a table; `sums` gives kind and cached value by column."""
        row = self.row
        for name, column in place.columns.items():
            if name not in sums:
                self.sheet.write_blank(row, column, None, self._formats.cell("text", role="total"))
                continue
            kind, cached = sums[name]
            top = xl_rowcol_to_cell(place.first_row, column)
            bottom = xl_rowcol_to_cell(place.last_row, column)
            self.put_formula(row, column, f"=SUM({top}:{bottom})", cached=cached, kind=kind, role="total")
        self.put(row, min(place.columns.values()), label, role="total")
        self.row += 1

    def finish(
        self,
        *,
        footer: str,
        repeat: int | None = None,
        one_page: bool = False,
        printed: int | None = None,
        printed_rows: int | None = None,
        portrait: bool = False,
    ) -> None:
        """Settle widths, heights and print setup.

        Parameters
        ----------
        footer : str
            Page footer.
        repeat : int, optional
            Header row repeated on paper.
        one_page : bool
            Fit all on one sheet of paper.
        printed : int, optional
            Last column on paper, of a table too wide to be read there as a whole; all columns without it.
        printed_rows : int, optional
            Rows on paper from the top, of a sheet that is not to be printed as a whole; all rows without it.
        portrait : bool
            Paper upright.
        """
        for column, pixels in self._widths.items():
            self.sheet.set_column_pixels(column, column, pixels, None, {"hidden": column in self._hidden})
        last = max(self._widths, default=0) if printed is None else printed
        widest = max(self._settle_across(), self._chart_edge, self.width(0, last))
        for cell in self._wrapped:
            width = self._widths.get(cell.column, _DEFAULT_WIDTH) - 8
            lines = min(wrapped_lines(cell.text, width=width, bold=cell.bold), _MOST_LINES)
            if lines > 1 or cell.bold:
                self._heights[cell.row] = max(self._heights.get(cell.row, 0), lines * _LINE_PIXELS + 6)
        for row, pixels in self._heights.items():
            self.sheet.set_row_pixels(row, pixels)
        if not portrait:
            self.sheet.set_landscape()
        self.sheet.set_paper(9)
        self.sheet.center_horizontally()
        self.sheet.set_margins(left=0.4, right=0.4, top=0.5, bottom=0.6)
        if self._breaks:
            # A program that fits to a width ignores page breaks: scale instead.
            self.sheet.set_print_scale(max(min(math.floor(100 * _PAPER_PIXELS / widest), 100), 10))
            self.sheet.set_h_pagebreaks(self._breaks)
        else:
            self.sheet.fit_to_pages(1, 1 if one_page else 0)
        self.sheet.set_footer(footer)
        if repeat is not None:
            self.sheet.repeat_rows(repeat)
        if not self.hidden and (printed is not None or printed_rows is not None):
            rows = self.row if printed_rows is None else printed_rows
            self.sheet.print_area(0, 0, max(rows - 1, 0), last)

    def _settle_across(self) -> int:
        """Merge and wrap texts over several columns; the width of the page they reach over [pixel]."""
        page_last, used = 0, self.width(0, 0)
        while used + self.width(page_last + 1, page_last + 1) <= _PAGE_PIXELS:
            page_last += 1
            used += self.width(page_last, page_last)
        for item in self._across:
            last = max(page_last if item.last is None else item.last, item.first)
            lines = wrapped_lines(item.text, width=self.width(item.first, last) - 2 * _PADDING)
            style = self._formats.cell("text", role=item.role, wrap=lines > 1, quoted=is_hostile(item.text))
            if last > item.first:
                self.sheet.merge_range(item.row, item.first, item.row, last, "", style)
            if item.link:
                self.sheet.write_url(item.row, item.first, f"internal:'{item.link}'!A1", style, item.text)
            else:
                self.sheet.write_string(item.row, item.first, item.text, style)
            need = max(lines * _LINE_PIXELS + 5, ROW_PIXELS)
            self._heights[item.row] = max(self._heights.get(item.row, 0), need)
        return self.width(0, page_last)
