"""OpenDocument spreadsheets (.ods): cells as text, read in one pass and measured on the way.

A cell or row of this format may be repeated a million times by one number, and common programs do end every
row so. Repetitions of blank cells are only counted; those of filled ones are laid out within the bounds.
"""

import datetime as dt
import re
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass, field
from xml.parsers import expat

from wearmodel.errors import InputError
from wearmodel.intake.cells.delimited_text import MOST_COLUMNS

__all__ = ["OdsContent", "OdsSheet", "read_ods_sheets"]

_MOST_CELLS = 30_000_000
_MOST_TEXT = 1024**3
_MOST_ROWS = 1_048_576
_MOST_MERGED = 200_000
_MOST_SHEETS = 1_000
_LONGEST_NUMBER = 9
_CHUNK = 1 << 20

_ODF = "urn:oasis:names:tc:opendocument:xmlns:"
_TABLE, _OFFICE, _TEXT = (f"{_ODF}{part}:1.0 " for part in ("table", "office", "text"))
_PROGRAM = "urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0 "
_ROW, _SHEET, _PARAGRAPH = f"{_TABLE}table-row", f"{_TABLE}table", f"{_TEXT}p"
_CELLS = (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")
_DATE_SYSTEM = f"{_TABLE}null-date"
_SPACES, _TAB, _LINE_BREAK = f"{_TEXT}s", f"{_TEXT}tab", f"{_TEXT}line-break"
_COLUMNS_REPEATED, _ROWS_REPEATED = f"{_TABLE}number-columns-repeated", f"{_TABLE}number-rows-repeated"
_COLUMNS_SPANNED, _ROWS_SPANNED = f"{_TABLE}number-columns-spanned", f"{_TABLE}number-rows-spanned"
_KIND, _VALUE, _DATE, _STRING = (f"{_OFFICE}{name}" for name in ("value-type", "value", "date-value", "string-value"))
_PROGRAM_KIND = f"{_PROGRAM}value-type"
_ENCRYPTED = b"encryption-data"
# Remarks, drawings and what was deleted hold cells and paragraphs of their own.
_PASSED_OVER = re.compile(
    rf"{_OFFICE}annotation|{_TABLE}(tracked-changes|shapes|dde-links)|{_ODF}drawing:1\.0 .*|{_TEXT}ruby-text"
)
_DURATION = re.compile(r"(-?)P(?:(\d{1,6})D)?T(?:(\d{1,9})H)?(?:(\d{1,9})M)?(?:(\d{1,9})(?:[.,]\d*)?S)?", re.ASCII)


@dataclass
class OdsSheet:
    """Cells of one sheet.

    Parameters
    ----------
    name : str
        Of the sheet.
    rows : mapping of int to list of str
        Place of a row, from 0, to its cells up to the last filled one; blank rows have no entry.
    merged : list of tuple
        Merged ranges: first row, first column, last row, last column, all from 0.
    columns : int
        Farthest filled column.
    """

    name: str
    rows: dict[int, list[str]] = field(default_factory=dict)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    columns: int = 0


@dataclass(frozen=True)
class OdsContent:
    """A whole spreadsheet.

    Parameters
    ----------
    sheets : tuple of OdsSheet
        In the order of the file.
    date_system : int
        1904 where plain day numbers count from 1 January 1904; else 1900.
    """

    sheets: tuple[OdsSheet, ...]
    date_system: int


def read_ods_sheets(archive: zipfile.ZipFile, *, label: str) -> OdsContent:
    """Read all cells of an OpenDocument spreadsheet.

    Parameters
    ----------
    archive : zipfile.ZipFile
        Its archive, the stated sizes of its parts within bounds.
    label : str
        Name of the file for error sentences.

    Returns
    -------
    OdsContent
        In the order of the file.

    Raises
    ------
    InputError
        The spreadsheet is protected, beyond the bounds, or holds a document type definition.
    ValueError
        It is damaged.
    """
    names = archive.namelist()
    if "META-INF/manifest.xml" in names and _ENCRYPTED in archive.read("META-INF/manifest.xml"):
        raise InputError(f"{label} is protected by a password; save it without one.")
    reading = _Reading(label)
    try:
        with archive.open("content.xml") as content:
            while chunk := content.read(_CHUNK):
                reading.parser.Parse(chunk, False)
            reading.parser.Parse(b"", True)
    except expat.ExpatError as error:
        raise ValueError(f"its content breaks off or is garbled in line {error.lineno:,}") from error
    return OdsContent(tuple(reading.sheets), reading.date_system)


class _Reading:
    """What the parser calls, and where in the spreadsheet it is."""

    def __init__(self, label: str) -> None:
        self.label = label
        self.sheets: list[OdsSheet] = []
        self.date_system = 1900
        self._cells = self._text = 0
        self._passed_over = self._depth = 0
        self._row = self._column = self._row_repeats = 0
        self._line: list[str] = []
        self._cell: Mapping[str, str] | None = None
        self._is_in_paragraph = False
        self._pieces: list[str] = []
        parser = expat.ParserCreate(namespace_separator=" ")
        parser.buffer_text = True
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        parser.StartDoctypeDeclHandler = self._refuse
        self.parser = parser

    def _refuse(self, *_: object) -> None:
        raise InputError(f"{self.label} holds a document type definition, which no spreadsheet has; save it anew.")

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        if self._passed_over:
            self._passed_over += 1
        elif name in _CELLS:
            if self._depth == 1:
                self._cell, self._pieces = attributes, []
        elif self._cell is not None:
            self._start_within_cell(name, attributes)
        elif name == _ROW:
            if self._depth == 1:
                self._line, self._column = [], 0
                self._row_repeats = self._repeats(attributes, _ROWS_REPEATED)
        elif name == _SHEET:
            self._depth += 1
            if self._depth == 1:
                self._new_sheet(attributes)
        elif name == _DATE_SYSTEM:
            self.date_system = 1904 if attributes.get(f"{_TABLE}date-value", "").startswith("1904") else 1900
        elif _PASSED_OVER.fullmatch(name):
            self._passed_over = 1

    def _start_within_cell(self, name: str, attributes: dict[str, str]) -> None:
        if name == _PARAGRAPH:
            self._is_in_paragraph = True
            if self._pieces:
                self._pieces.append("\n")
        elif name == _SPACES:
            count = attributes.get(f"{_TEXT}c", "1")
            self._pieces.append(" " * min(int(count) if count.isdecimal() and len(count) < 6 else 1, 32_767))
        elif name in (_TAB, _LINE_BREAK):
            self._pieces.append("\t" if name == _TAB else "\n")
        elif name == _SHEET or _PASSED_OVER.fullmatch(name):
            self._passed_over = 1

    def _characters(self, text: str) -> None:
        if self._is_in_paragraph and not self._passed_over:
            self._pieces.append(text)

    def _end(self, name: str) -> None:
        if self._passed_over:
            self._passed_over -= 1
        elif name in _CELLS:
            if self._cell is not None:
                self._end_cell(self._cell)
                self._cell = None
        elif name == _PARAGRAPH:
            self._is_in_paragraph = False
        elif self._cell is None and self._depth == 1 and name == _ROW:
            self._end_row()
        elif self._cell is None and name == _SHEET:
            self._depth -= 1

    def _new_sheet(self, attributes: dict[str, str]) -> None:
        if len(self.sheets) >= _MOST_SHEETS:
            raise InputError(f"{self.label} has more than {_MOST_SHEETS:,} sheets; keep those that matter.")
        self.sheets.append(OdsSheet(attributes.get(f"{_TABLE}name", f"Sheet{len(self.sheets) + 1}")))
        self._row = 0

    def _repeats(self, attributes: Mapping[str, str], what: str) -> int:
        stated = attributes.get(what)
        if stated is None:
            return 1
        if not (stated.isascii() and stated.isdecimal()) or len(stated) > _LONGEST_NUMBER:
            raise ValueError(f"{what.rpartition(' ')[2]} is not a number")
        return max(int(stated), 1)

    def _end_cell(self, attributes: Mapping[str, str]) -> None:
        """Lay the cell out as often as it stands; blank ones only move the place."""
        repeats = self._repeats(attributes, _COLUMNS_REPEATED)
        text = _cell_text(attributes, "".join(self._pieces)) if _KIND in attributes else ""
        if text:
            end = self._column + repeats
            sheet = self.sheets[-1]
            sheet.columns = max(sheet.columns, end)
            if end <= MOST_COLUMNS:
                self._line += [""] * (self._column - len(self._line))
                self._line += [text] * repeats
                self._text += len(text) * repeats * self._row_repeats
        if _ROWS_SPANNED in attributes:
            self._merge(attributes)
        self._column += repeats

    def _merge(self, attributes: Mapping[str, str]) -> None:
        down = self._repeats(attributes, _ROWS_SPANNED)
        across = self._repeats(attributes, _COLUMNS_SPANNED)
        merged = self.sheets[-1].merged
        if (down > 1 or across > 1) and len(merged) < _MOST_MERGED:
            merged.append((self._row, self._column, self._row + down - 1, self._column + across - 1))

    def _end_row(self) -> None:
        if self._line:
            self._cells += len(self._line) * self._row_repeats
            last = self._row + self._row_repeats
            if self._cells > _MOST_CELLS or last > _MOST_ROWS:
                raise InputError(
                    f"{self.label} has a sheet that reaches to row {last:,} and column {self.sheets[-1].columns:,}; "
                    "delete the cells far from the table, or save the table as CSV."
                )
            if self._text > _MOST_TEXT:
                raise InputError(f"{self.label} repeats very long texts beyond 1 GiB; shorten them or save as CSV.")
            self.sheets[-1].rows.update(dict.fromkeys(range(self._row, last), self._line))
        self._row += self._row_repeats
        self._line = []


def _cell_text(attributes: Mapping[str, str], shown: str) -> str:
    """The value as text: numbers plain, dates in ISO form, what a formula could not compute blank."""
    kind = attributes[_KIND]
    if attributes.get(_PROGRAM_KIND) == "error":
        return ""
    if kind == "string":
        return attributes.get(_STRING, shown)
    if kind == "date":
        return attributes.get(_DATE, "").removesuffix("T00:00:00")
    if kind == "time":
        return _time_of_day(attributes.get(f"{_OFFICE}time-value", ""))
    if kind == "boolean":
        return attributes.get(f"{_OFFICE}boolean-value", "").upper()
    try:
        value = float(attributes.get(_VALUE, ""))
    except ValueError:
        return shown
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


def _time_of_day(duration: str) -> str:
    """A time as hours, minutes and seconds."""
    match = _DURATION.fullmatch(duration)
    if match is None:
        return duration
    days, hours, minutes, seconds = (int(part or 0) for part in match.groups()[1:])
    return match[1] + str(dt.timedelta(days=days, hours=hours, minutes=minutes, seconds=seconds))
